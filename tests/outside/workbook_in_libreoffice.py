"""The workbooks of the demo opened, recalculated and written again by LibreOffice, and read back.

    python tests/outside/workbook_in_libreoffice.py

needs LibreOffice Calc (`soffice` on the path, or SOFFICE=...) and a Python with uno (/usr/bin/python3 with python3-uno,
or PYTHON_UNO=...). It is no part of the suite, so that nothing there is skipped where they are missing.

Every workbook that an answer writes is converted twice: to a workbook, of which each cell must be what was written
(days real dates, numbers the same numbers, text the same text, no formula and no error), with the filter over the whole
table; and to comma-separated text, in which days stand as days. Opened in a window, it must have its header frozen.
Prints a line a workbook; exit status 1 where anything differs or was not looked at, 2 where LibreOffice is not there.
"""

from __future__ import annotations

import csv
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils import get_column_letter

from fleetlife.cli.walk import make_database

TODAY = "2026-11-25"
BOOKS = {
    "due": "due --all",
    "due-spares": "due --next-month --spares",
    "choose": "spares choose --within 180",
    "outlook": "spares outlook",
    "forecast": "shop forecast",
    "order": "shop order KV-2100-3 20110",
    "stores": "stores list",
}
# What a workbook program would take for a formula, a number, a date or an error, as text of the records.
TRAPS = ("=1+1", "+1", "-1+1", "@SUM(A1)", "00815", "1E5", "2026-11", "3/4", "#N/A", "TRUE", "12:30", "  x ", "a\nb")
# A workbook; and its first sheet as text in UTF-8, with commas and quotation marks, each cell as it is shown.
CONVERSIONS = (
    "xlsx:Calc MS Excel 2007 XML",
    "csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,0",
)


def main() -> int:
    soffice = os.environ.get("SOFFICE") or shutil.which("soffice")
    if soffice is None:
        print("LibreOffice is not there: install Calc, or name it by SOFFICE.")
        return 2
    version = subprocess.run([soffice, "--version"], capture_output=True, text=True, check=True).stdout.strip()
    with tempfile.TemporaryDirectory() as folder:
        written, back = Path(folder) / "written", Path(folder) / "back"
        written.mkdir()
        books = [*_demo_books(written), _trap_book(written)]
        profile = f"-env:UserInstallation=file://{folder}/profile"
        for kind in CONVERSIONS:
            subprocess.run(
                [soffice, profile, "--headless", "--convert-to", kind, "--outdir", str(back), *map(str, books)],
                capture_output=True,
                check=True,
                timeout=600,
            )
        frozen = _frozen(soffice, profile, books)
        wrong = 0
        for book in books:
            cells, differences = _compared(book, back / book.name, back / f"{book.stem}.csv", frozen)
            wrong += len(differences)
            print(f"{book.stem}: {cells:,} cells, {len(differences)} differences")
            for difference in differences[:10]:
                print(f"  {difference}")
    if not frozen:
        print("Frozen headers were NOT looked at: no Python with uno (python3-uno), name one by PYTHON_UNO.")
    print(f"{version}: {'nothing differs' if not wrong else f'{wrong} differences'}.")
    return 1 if wrong or not frozen else 0


def _frozen(soffice: str, profile: str, books: list[Path]) -> dict[tuple[str, str], str | None]:
    """By workbook and sheet where LibreOffice freezes it; empty where no Python is there that can ask it."""
    python = os.environ.get("PYTHON_UNO", "/usr/bin/python3")
    if subprocess.run([python, "-c", "import uno"], capture_output=True, check=False).returncode:
        return {}
    pipe = f"fleetlife-{os.getpid()}"
    window = [soffice, profile, "--headless", "--norestore", f"--accept=pipe,name={pipe};urp;"]
    with subprocess.Popen(window, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL):
        asks = [python, str(Path(__file__).with_name("panes_in_libreoffice.py")), pipe, *map(str, books)]
        told = subprocess.run(asks, capture_output=True, text=True, check=True, timeout=600, env={}).stdout
    found: dict[tuple[str, str], str | None] = {}
    for line in told.splitlines():
        path, sheet, rows, columns = line.split("\t")
        at = f"{get_column_letter(int(columns) + 1)}{int(rows) + 1}"
        found[Path(path).stem, sheet] = None if at == "A1" else at
    return found


def _demo_books(folder: Path) -> Iterator[Path]:
    url = f"sqlite:///{folder.parent / 'demo.db'}"
    make_database(url)
    for name, command in BOOKS.items():
        path = folder / f"{name}.xlsx"
        _run(url, *command.split(), "--format", "xlsx", "--output", str(path))
        yield path
    path = folder / "audit.xlsx"
    _run(url, "audit", "--workbook", str(path))
    yield path


def _run(url: str, *command: str) -> None:
    whole = [sys.executable, "-m", "fleetlife.cli.main", *command, "--as-of", TODAY, "--database", url]
    own = {**os.environ, "FLEETLIFE_SETTINGS": "none"}
    done = subprocess.run(whole, capture_output=True, text=True, check=False, env=own)
    assert done.returncode in (0, 1), done.stderr


def _trap_book(folder: Path) -> Path:
    from fleetlife.transfer.writing import answer_xlsx

    path = folder / "traps.xlsx"
    rows = [{"text": text, "day": "2024-02-29", "count": 2**40, "share": 0.1, "hours": "-12:30"} for text in TRAPS]
    path.write_bytes(answer_xlsx(rows, ("text", "day", "count", "share", "hours"), about={"as_of": TODAY}))
    return path


def _compared(
    written: Path, back: Path, text: Path, frozen: dict[tuple[str, str], str | None]
) -> tuple[int, list[str]]:
    """How many cells were compared, and what differs."""
    ours, theirs = openpyxl.load_workbook(written), openpyxl.load_workbook(back)
    differences = [] if ours.sheetnames == theirs.sheetnames else [f"sheets {ours.sheetnames} {theirs.sheetnames}"]
    cells = 0
    for name in ours.sheetnames:
        mine, its = ours[name], theirs[name]
        shown = frozen.get((written.stem, name))
        if frozen and mine.freeze_panes != shown:
            differences.append(f"{name}: frozen at {mine.freeze_panes}, then {shown}")
        if (mine.auto_filter.ref or None) != (its.auto_filter.ref or None):
            differences.append(f"{name}: filter over {mine.auto_filter.ref}, then {its.auto_filter.ref}")
        for row in mine.iter_rows():
            for cell in row:
                cells += 1
                other = its.cell(row=cell.row, column=cell.column)
                if not _same(cell, other):
                    told = f"{cell.value!r}, then {other.value!r} ({other.data_type})"
                    differences.append(f"{name} {cell.coordinate}: {told}")
    differences += _in_text(ours.worksheets[0], text)
    return cells, differences


def _same(mine: Any, its: Any) -> bool:
    """The same value of the same sort; empty text and nothing are one, for a cell of a workbook cannot tell them."""
    if its.data_type in ("f", "e"):
        return False
    if mine.value in (None, "") or its.value in (None, ""):
        return mine.value in (None, "") and its.value in (None, "")
    if isinstance(mine.value, datetime):
        return isinstance(its.value, datetime) and its.is_date and its.value == mine.value
    return type(mine.value) is type(its.value) and bool(mine.value == its.value)


def _in_text(sheet: Any, path: Path) -> Iterator[str]:
    """What the first sheet's text says otherwise."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    for number, row in enumerate(sheet.iter_rows(values_only=True)):
        for place, value in enumerate(row):
            found = rows[number][place] if number < len(rows) and place < len(rows[number]) else ""
            if isinstance(value, datetime) and found != value.date().isoformat():
                yield f"csv line {number + 1}: {value.date()}, then {found!r}"
            if isinstance(value, int) and found != str(value):
                yield f"csv line {number + 1}: {value}, then {found!r}"


if __name__ == "__main__":
    sys.exit(main())

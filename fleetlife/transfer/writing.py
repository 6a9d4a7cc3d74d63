"""Values as files: the files that can be taken in again, and answers for others to read.

**Files that can be taken in again** (`write_csv`, `write_xlsx`) say exactly what the records say. Nothing is put in
front of a text that begins with `=` or `+`: a mark there would come back as part of a part number. Comma-separated
files are for this program and are quoted by RFC 4180; whoever wants to look at them in a workbook takes the
workbook, where every such text is a text cell and no formula.

**Answers** (`answer_csv`, `answer_json`, `answer_xlsx`) may be opened anywhere, and a workbook program takes a text
that begins with `= + - @`, a tab or a line end for a formula. In csv such a text gets a no-break space in front. An
apostrophe would be shown as part of the number by everything but a workbook and come back with it; a plain space is
dropped by some readers before they look for a formula; the no-break space is white space that no workbook drops, is
not seen, and falls away with other outer white space when the text is taken in here. Numbers, days and hours with a
minus in front (`-12:30`) stay as they are. In workbooks no text is changed: the cell is written as text, formatted
as text, so that it stays one when it is edited.

Every file is written beside its place and moved there when it is whole.
"""

from __future__ import annotations

import csv
import io
import json
import os
import re
import secrets
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from openpyxl import Workbook
from openpyxl.cell import Cell, WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter

from fleetlife.terms.measure import hours_text, thousandths_text
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.sheet import Sheet
from fleetlife.transfer.column import Column
from fleetlife.transfer.columns import file_named

Values = Mapping[str, object]

# Bounds of a sheet: rows, and characters in a cell.
SHEET_ROWS = 1_048_576
CELL_CHARACTERS = 32_767

_NEUTRAL = "\u00a0"
_FORMULA_STARTS = tuple("=+-@\t\r\n＝＋－＠")
_HARMLESS = re.compile(r"-[0-9]+(?:[.:][0-9]+)?")
_NOT_IN_CELLS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def write_csv(path: Path | str, file_name: str, rows: Iterable[Values]) -> int:
    """Write the file called `file_name` (columns.FILE_NAMES) as comma-separated text; the number of rows.

    `rows` hold values as `reading.Row.values` does, by column; None and absent are empty. All columns are written.
    """
    columns = file_named(file_name).columns
    done = 0
    with _whole(path) as binary:
        text = io.TextIOWrapper(binary, encoding="utf-8", newline="")
        writer = csv.writer(text, lineterminator="\r\n")
        writer.writerow([column.name for column in columns])
        for values in rows:
            writer.writerow([value_text(column, values.get(column.name)) for column in columns])
            done += 1
        text.flush()
        text.detach()
    return done


def write_xlsx(path: Path | str, file_name: str, rows: Iterable[Values]) -> int:
    """Write the same file as a workbook: days as dates, counts as numbers, everything else as text.

    Refusals, with nothing written: `too-many-rows-for-workbook`, `text-too-long-for-workbook`,
    `text-not-storable`.
    """
    columns = file_named(file_name).columns
    book = Workbook(write_only=True)
    done = 0
    with _sheet(book, file_name, [column.name for column in columns]) as sheet:
        for values in rows:
            done += 1
            _check_rows(done)
            sheet.append([_file_cell(sheet, column, values.get(column.name)) for column in columns])
    with _whole(path) as binary:
        book.save(binary)
    return done


def value_text(column: Column, value: object) -> str:
    """A value as the text that is read as this value again; empty for None."""
    if value is None:
        return ""
    write = _WRITERS.get(column.kind)
    return str(value) if write is None else write(value)


_WRITERS: dict[str, Callable[[Any], str]] = {
    "hours": hours_text,
    "mass": thousandths_text,
    "celsius": thousandths_text,
    "decimal_count": thousandths_text,
    "yes_no": lambda value: "yes" if value else "no",
}


def answer_csv(rows: Iterable[Values], columns: Sequence[str]) -> str:
    """Rows of an answer as comma-separated text with a header; None is empty, true and false are words.

    Text that a workbook program would take for a formula gets a no-break space in front.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for values in rows:
        writer.writerow([_neutral(_answer_text(values.get(column))) for column in columns])
    return text.getvalue()


def answer_json(about: Mapping[str, object], rows: Iterable[Values], columns: Sequence[str] | None = None) -> str:
    """An object with `about` and `rows`; None stays null. With `columns` every row has exactly these, in order."""
    listed = [dict(values) if columns is None else {name: values.get(name) for name in columns} for values in rows]
    return json.dumps({"about": dict(about), "rows": listed}, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def answer_xlsx(
    rows: Iterable[Values],
    columns: Sequence[str],
    *,
    title: str = "answer",
    about: Mapping[str, object] | None = None,
) -> bytes:
    """The rows as a workbook: ISO days as dates, numbers as numbers, the rest as text; `about` on a second sheet.
    The header stays in sight, with a filter over it.

    Characters that no cell can hold are shown as U+FFFD. Refusals: `too-many-rows-for-workbook`,
    `text-too-long-for-workbook`.
    """
    book = Workbook(write_only=True)
    done = 0
    with _sheet(book, title, columns) as sheet:
        for done, values in enumerate(rows, start=1):
            _check_rows(done)
            sheet.append([_answer_cell(sheet, values.get(column)) for column in columns])
        _filtered(sheet, len(columns), done)
    if about:
        second = book.create_sheet("about")
        for name, value in about.items():
            second.append([_text_cell(second, name), _answer_cell(second, value)])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def answer_book(sheets: Iterable[Sheet]) -> bytes:
    """Several sheets as one workbook, their cells as in `answer_xlsx`, each with a filter over its header.

    Long text is folded in its cell. Refusals: `too-many-rows-for-workbook`, `text-too-long-for-workbook`.
    """
    book = Workbook(write_only=True)
    for each in sheets:
        with _sheet(book, each.title, each.columns) as sheet:
            for name, width in each.widths.items():
                sheet.column_dimensions[get_column_letter(each.columns.index(name) + 1)].width = width
            for done, values in enumerate(each.rows, start=1):
                _check_rows(done)
                cells = [_answer_cell(sheet, values.get(column)) for column in each.columns]
                for cell in cells:
                    if isinstance(cell, Cell):
                        cell.alignment = Alignment(vertical="top", wrap_text=True)
                sheet.append(cells)
            _filtered(sheet, len(each.columns), len(each.rows))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _filtered(sheet: Any, columns: int, rows: int) -> None:
    """A filter over the header, where there are rows under it."""
    if rows:
        sheet.auto_filter.ref = f"A1:{get_column_letter(columns)}{rows + 1}"


def write_bytes(path: Path | str, content: bytes | str) -> None:
    """Write a file whole or not at all; text as UTF-8."""
    with _whole(path) as binary:
        binary.write(content.encode("utf-8") if isinstance(content, str) else content)


def write_lines(path: Path | str, lines: Iterable[str]) -> int:
    """Write text, a line each, whole or not at all; the number of lines."""
    count = 0
    with _whole(path) as binary:
        for line in lines:
            binary.write(line.encode("utf-8") + b"\n")
            count += 1
    return count


def json_text(value: object) -> str:
    """A value of an answer as JSON text, laid out for reading."""
    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def _answer_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (list, tuple)):
        return "; ".join(_answer_text(each) for each in value)
    return str(value)


def _neutral(text: str) -> str:
    if text.startswith(_FORMULA_STARTS) and not _HARMLESS.fullmatch(text):
        return _NEUTRAL + text
    return text


@contextmanager
def _whole(path: Path | str) -> Iterator[IO[bytes]]:
    """A file beside `path` that takes its place when the block ends well, and is removed when it does not."""
    target = Path(path)
    beside = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        with beside.open("xb") as binary:
            yield binary
            binary.flush()
            os.fsync(binary.fileno())
        os.replace(beside, target)
    finally:
        beside.unlink(missing_ok=True)


@contextmanager
def _sheet(book: Workbook, title: str, header: Sequence[str]) -> Iterator[Any]:
    """A sheet of the book with a frozen header; it is closed whether its rows end well or not."""
    sheet: Any = book.create_sheet(title[:31])
    sheet.freeze_panes = "A2"
    for place, name in enumerate(header, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = max(12, len(name) + 2)
    cells = [_text_cell(sheet, name) for name in header]
    for cell in cells:
        cell.font = Font(bold=True)
    try:
        sheet.append(cells)
        yield sheet
    finally:
        sheet.close()


def _file_cell(sheet: Any, column: Column, value: object) -> Any:
    if value is None:
        return None
    if column.kind in ("day", "partial_date", "month_mark") and _DAY.fullmatch(str(value)):
        return _date_cell(sheet, str(value))
    if column.kind in ("count", "sequence") and isinstance(value, int):
        return value
    text = value_text(column, value)
    if _NOT_IN_CELLS.search(text):
        raise Refusal(
            "text-not-storable",
            f"{column.name} holds a character that no cell of a workbook can hold.",
            remedy="Write comma-separated text instead.",
        )
    return _text_cell(sheet, text)


def _answer_cell(sheet: Any, value: object) -> Any:
    if value is None:
        return None
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return value
    text = _NOT_IN_CELLS.sub("\ufffd", _answer_text(value))
    if isinstance(value, str) and _DAY.fullmatch(text):
        return _date_cell(sheet, text)
    return _text_cell(sheet, text)


def _date_cell(sheet: Any, text: str) -> Any:
    try:
        cell = WriteOnlyCell(sheet, value=datetime.fromisoformat(text))
    except ValueError:
        return _text_cell(sheet, text)
    cell.number_format = "yyyy-mm-dd"
    return cell


def _text_cell(sheet: Any, text: str) -> Any:
    """A text cell, whatever the text begins with.

    A carriage return is written as the format's escape `_x000D_`, and text that only looks like an escape is kept
    from being read as one.
    """
    text = _LOOKS_ESCAPED.sub("_x005F_", text).replace("\r", "_x000D_")
    if len(text) > CELL_CHARACTERS:
        raise Refusal(
            "text-too-long-for-workbook",
            f"A text of {len(text):,} characters does not fit into a cell ({CELL_CHARACTERS:,}).",
            remedy="Write comma-separated text instead.",
        )
    cell = WriteOnlyCell(sheet, value=text)
    cell.data_type = "s"
    cell.number_format = "@"
    return cell


def _check_rows(done: int) -> None:
    if done >= SHEET_ROWS:
        raise Refusal(
            "too-many-rows-for-workbook",
            f"A sheet holds {SHEET_ROWS:,} rows with its header, and there are more.",
            remedy="Write comma-separated text instead.",
        )

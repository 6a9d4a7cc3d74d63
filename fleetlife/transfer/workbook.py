"""Workbooks (.xlsx) as rows of cells: read only, one sheet, and nothing taken that the workbook worked out itself.

A workbook changes what is typed: it drops the zeros in front of a serial, turns `3-4` into a date and a month into
its first day. What it may have changed is refused with what to do; a real date and a duration are taken, since they
say what they are.
"""

from __future__ import annotations

import itertools
import re
import warnings
import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from fleetlife.terms.measure import hours_text
from fleetlife.transfer.column import Column
from fleetlife.transfer.problem import Problem, ProblemLog, Unreadable
from fleetlife.transfer.values import Converter

LARGEST_UNPACKED = 2 * 1024**3
# A sheet of like rows packs well; only what is large and packs far better than any sheet is an archive bomb.
LARGEST_RATIO = 200
RATIO_COUNTS_FROM = 64 * 1024**2

_ROWS_AT_A_TIME = 500
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")
_NOT_SHOWN = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]|_.|\*.')
_PLAIN_FORMATS = ("General", "0", "@", None)
_AS_TEXT = "Format the column as text in the workbook and type the number again from the paper."
_AS_DATE = "Format the column as a date (YYYY-MM-DD), or write the date as text YYYY-MM-DD."
_AS_HOURS = "Format the column as [h]:mm, or write the hours as text HHHH:MM."


def workbook_rows(path: Path, problems: ProblemLog) -> Iterator[tuple[int, list[Any]]]:
    """Each row that is not blank with its number; every cell as text, "" or the workbook's own cell.

    The first row is the header, all text, and sets the width: shorter rows are filled up, cells that are empty beyond
    it are dropped. What keeps the file from being read goes to `problems`, and then no row follows.
    """
    if (fault := archive_fault(path)) is not None:
        problems.append(Problem(path.name, 0, "", "", *fault))
        return
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(path, read_only=True, data_only=False, keep_links=False)
    except (InvalidFileException, zipfile.BadZipFile, ParseError, OSError, KeyError, ValueError, TypeError) as error:
        problems.append(_damaged(path, error))
        return
    try:
        if (sheet := _the_sheet(book, path.name, problems)) is not None:
            yield from _rows(sheet)
    except (zipfile.BadZipFile, ParseError, OSError, KeyError, ValueError, TypeError, IndexError) as error:
        problems.append(_damaged(path, error))
    finally:
        book.close()


def archive_fault(path: Path) -> tuple[str, str] | None:
    """Reason and remedy when the file must not be opened as a workbook, by its directory alone; None when it may."""
    try:
        with path.open("rb") as file:
            start = file.read(8)
        if start.startswith(b"\xd0\xcf\x11\xe0"):
            return (
                "The workbook is protected by a password or of the old format.",
                "Save it as .xlsx without a password.",
            )
        with zipfile.ZipFile(path) as archive:
            unpacked = sum(entry.file_size for entry in archive.infolist())
            packed = sum(entry.compress_size for entry in archive.infolist())
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        return f"The file is no workbook that can be read ({error}).", "Save it again as .xlsx."
    if unpacked > LARGEST_UNPACKED or (unpacked > RATIO_COUNTS_FROM and unpacked > LARGEST_RATIO * max(packed, 1)):
        return (
            f"The workbook unpacks from {packed:,} to {unpacked:,} bytes, which no sheet of records does; "
            "it was not opened.",
            "Check where the file comes from, or save the sheet as comma-separated text.",
        )
    return None


def workbook_converter(column: Column, convert: Converter, *, hours: str | None) -> Converter:
    """The column's converter for cells that may be the workbook's own."""

    def read(cell: Any) -> object:
        return convert(cell if type(cell) is str else cell_text(column, cell, hours=hours))

    return read


def cell_text(column: Column, cell: Any, *, hours: str | None = None) -> str:
    """A cell that is not text, as the text its column would be read from. Unreadable when it may have been changed."""
    value = cell.value
    if cell.data_type == "f" or not isinstance(value, (bool, int, float, str, date, time, timedelta)):
        raise Unreadable("The cell holds a formula, not a value.", "Copy the column and paste it as values.")
    if cell.data_type == "e":
        raise Unreadable(f"The cell shows an error ({value}).", "Replace it by the value.")
    if isinstance(value, bool):
        if column.kind == "yes_no":
            return "yes" if value else "no"
        raise Unreadable("The cell holds true or false.", "Write the value as text.")
    if isinstance(value, str):
        return value
    if isinstance(value, (date, time, timedelta)):
        return _time_text(column, value, str(cell.number_format or ""))
    return _number_text(column, value, cell.number_format, hours)


def _time_text(column: Column, value: date | time | timedelta, shown: str) -> str:
    """A date, a time or a duration as text for the column."""
    if column.kind in ("hours", "counter_total"):
        return _hours_text(value)
    if column.kind == "clock" and isinstance(value, time):
        if value.second or value.microsecond:
            raise Unreadable("The time of day is not a whole minute.", "Write it as HH:MM.")
        return f"{value:%H:%M}"
    if column.kind in ("day", "partial_date", "month_mark") and isinstance(value, date):
        return _date_text(column, value, shown)
    if column.kind in ("part_number", "serial_number", "identifier", "name", "text", "position"):
        raise Unreadable("A workbook turned this into a date or a time.", _AS_TEXT)
    raise Unreadable("The cell holds a date or a time.", f"Write a value of the kind {column.kind} as text.")


def _date_text(column: Column, value: date, shown: str) -> str:
    """A date cell by what it shows: a month shown without its day was typed as a month."""
    if isinstance(value, datetime):
        if value.time() != time(0):
            raise Unreadable("The cell holds a date with a time of day.", _AS_DATE)
        value = value.date()
    pattern = _NOT_SHOWN.sub("", shown.split(";")[0]).lower()
    if "d" in pattern or "y" not in pattern:
        return value.isoformat()
    if column.kind == "day":
        raise Unreadable(f"The cell shows no day (its format is {shown}), and the day is needed.", _AS_DATE)
    return f"{value:%Y-%m}" if "m" in pattern else f"{value:%Y}"


def _hours_text(value: date | time | timedelta) -> str:
    """A duration or a time of day as HHHH:MM when it is whole minutes."""
    if isinstance(value, date):
        raise Unreadable("The cell holds a date or shows only the hours beyond whole days.", _AS_HOURS)
    if isinstance(value, time):
        value = timedelta(hours=value.hour, minutes=value.minute, seconds=value.second, microseconds=value.microsecond)
    minutes, rest = divmod(value + timedelta(milliseconds=10), timedelta(minutes=1))
    # A workbook keeps a duration as a fraction of days: a whole minute comes back within milliseconds.
    if rest > timedelta(milliseconds=20):
        raise Unreadable("The duration is not a whole minute.", "Write the hours as text HHHH:MM.")
    return hours_text(minutes)


def _number_text(column: Column, value: int | float, shown: object, hours: str | None) -> str:
    """A number as text for the column; refused where the workbook may have dropped characters."""
    kind = column.kind
    if kind in ("part_number", "serial_number", "identifier"):
        what = {"part_number": "part number", "serial_number": "serial"}.get(kind, "number on paper")
        raise Unreadable(
            f"A workbook turned this {what} into a number, and zeros in front may be lost.",
            "Format the column as text in the workbook and type the number again from the paper.",
        )
    if kind in ("name", "text", "position"):
        if isinstance(value, int) and shown in _PLAIN_FORMATS:
            return str(value)
        raise Unreadable("A workbook turned this text into a number.", _AS_TEXT)
    if kind in ("day", "month_mark") or (kind == "partial_date" and not _is_year(value)):
        raise Unreadable("The cell holds a number, not a date.", _AS_DATE)
    text = _plain(value)
    if kind in ("hours", "counter_total") and hours == "minutes" and re.fullmatch(r"\d+\.\d", text):
        return text + "0"  # 1234.30 is kept as 1234.3
    return text


def _is_year(value: int | float) -> bool:
    return isinstance(value, int) and 1000 <= value <= 9999


def _plain(value: int | float) -> str:
    """The shortest decimal text of the number, without an exponent."""
    if isinstance(value, int):
        return str(value)
    if value.is_integer():
        return str(int(value))
    text = repr(value)
    if "e" in text:
        raise Unreadable("The number is too small or too large.", "Write it as text.")
    return text


def _the_sheet(book: Any, name: str, problems: ProblemLog) -> Any | None:
    """The only sheet that is not empty."""
    filled = []
    for sheet in book.worksheets:
        sheet.reset_dimensions()
        if any(cell.value not in (None, "") for row in sheet.iter_rows() for cell in row):
            filled.append(sheet)
    if len(filled) == 1:
        return filled[0]
    if not filled:
        problems.append(Problem(name, 0, "", "", "The workbook is empty.", "Write the header row and the rows."))
        return None
    sheets = ", ".join(sheet.title for sheet in filled)
    problems.append(
        Problem(
            name,
            0,
            "",
            sheets,
            f"The workbook has {len(filled)} sheets that are not empty, and one file is one sheet.",
            "Save each sheet as a file of its own.",
        )
    )
    return None


def _rows(sheet: Any) -> Iterator[tuple[int, list[Any]]]:
    width = None
    numbered = enumerate(sheet.iter_rows(), start=1)
    while True:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            batch = list(itertools.islice(numbered, _ROWS_AT_A_TIME))
        if not batch:
            return
        for number, cells in batch:
            row = [_bare(cell) for cell in cells]
            while row and (row[-1] == "" if width is None else len(row) > width and row[-1] == ""):
                row.pop()
            if all(type(cell) is str and not cell for cell in row):
                continue
            if width is None:
                width = len(row)
                row = [cell if type(cell) is str else str(cell.value) for cell in row]
            row += [""] * (width - len(row))
            yield number, row


def _bare(cell: Any) -> Any:
    """Text as text without outer white space, an empty cell as "", any other cell as it is."""
    value = cell.value
    if value is None:
        return ""
    if type(value) is str and cell.data_type not in ("f", "e"):
        if "_x" in value:
            value = _ESCAPED.sub(lambda match: chr(int(match[1], 16)), value)
        return value.strip()
    return cell


def _damaged(path: Path, error: Exception) -> Problem:
    what = str(error) or type(error).__name__
    return Problem(
        path.name, 0, "", "", f"The file is no workbook that can be read ({what}).", "Save it again as .xlsx."
    )

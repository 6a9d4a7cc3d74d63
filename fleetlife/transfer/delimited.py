"""Comma-separated text (RFC 4180, UTF-8) as rows of cells, streamed; memory does not grow with the file."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from fleetlife.transfer.problem import Problem, ProblemLog, stopped

_SUSPECTED = {";": "semicolons", "\t": "tabs", "|": "vertical bars"}
_OTHER_ENCODINGS = (
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
    (b"PK\x03\x04", "a workbook or another archive"),
    (b"\xd0\xcf\x11\xe0", "an old workbook"),
)
# UTF-16 without its mark is nearly half NUL for Latin text; a single one is a fault of its cell.
_NUL_SHARE = 10
# No row of records is longer; a file without line ends would else be read into memory whole.
LONGEST_LINE = 1_000_000
_SAVE_AS = "Save it as comma-separated text in UTF-8 (in a workbook program: CSV UTF-8)."


def csv_rows(path: Path, problems: ProblemLog) -> Iterator[tuple[int, list[str]]]:
    """Each row that is not blank with the line it begins on, its cells without outer white space.

    The first row is the header. What keeps the file from being read goes to `problems`, and then no row follows.
    """
    name = path.name
    try:
        with path.open("rb") as file:
            start = file.read(4096)
        if (fault := _not_text(start)) is not None:
            problems.append(Problem(name, 0, "", "", fault, _SAVE_AS))
            return
        with path.open(encoding="utf-8-sig", newline="") as text:
            yield from _rows(text, name, problems)
    except UnicodeDecodeError:
        problems.append(_wrong_byte(path))
    except OSError as error:
        problems.append(_not_opened(name, error))


def _rows(text: IO[str], name: str, problems: ProblemLog) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(_lines(text), strict=True)
    header = True
    while True:
        begins = reader.line_num + 1
        try:
            row = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            problems.append(_bad_quotes(name, begins, str(error)))
            if "limit" in str(error):
                return
            if problems.full:
                problems.append(stopped(name, begins))
                return
            continue
        except _TooLong:
            problems.append(
                Problem(
                    name,
                    begins,
                    "",
                    "",
                    f"The line is longer than {LONGEST_LINE:,} characters, which no row of records is.",
                    _SAVE_AS,
                )
            )
            return
        if header and any(row):
            header = False
            if (fault := _other_separator(name, begins, row)) is not None:
                problems.append(fault)
                return
        cells = [cell.strip() for cell in row]
        if any(cells):
            yield begins, cells


class _TooLong(Exception):
    """A line that no row of records can be."""


def _lines(text: IO[str]) -> Iterator[str]:
    while line := text.readline(LONGEST_LINE + 1):
        if len(line) > LONGEST_LINE:
            raise _TooLong
        yield line


def _not_text(start: bytes) -> str | None:
    """Why these first bytes are no UTF-8 text, None when they may be."""
    for mark, kind in _OTHER_ENCODINGS:
        if start.startswith(mark):
            return f"The file is {kind}, not comma-separated text in UTF-8."
    if start.count(0) * _NUL_SHARE > len(start):
        return "The file holds NUL characters, as UTF-16 does; it is not comma-separated text in UTF-8."
    return None


def _other_separator(name: str, line: int, row: list[str]) -> Problem | None:
    if len(row) != 1:
        return None
    for sign, words in _SUSPECTED.items():
        if sign in row[0]:
            return Problem(
                name,
                line,
                "",
                row[0],
                f"The columns seem to be divided by {words}; they must be divided by commas.",
                "Save the file again with commas between the columns.",
            )
    return None


def _wrong_byte(path: Path) -> Problem:
    """The first line that is not UTF-8, found by a second pass in bytes."""
    with path.open("rb") as file:
        for line, raw in enumerate(file, start=1):
            try:
                raw.decode("utf-8")
            except UnicodeDecodeError as error:
                return Problem(
                    path.name,
                    line,
                    "",
                    raw[max(0, error.start - 15) : error.start + 15].decode("utf-8", "replace").strip(),
                    f"Byte {error.start + 1} of the line (0x{raw[error.start]:02X}) is not UTF-8.",
                    _SAVE_AS,
                )
    return Problem(path.name, 0, "", "", "The file is not UTF-8.", _SAVE_AS)


def _bad_quotes(name: str, line: int, error: str) -> Problem:
    if "limit" in error or "unexpected end" in error:
        reason = "A quotation mark opens a cell here and none closes it."
    else:
        reason = f"The quotation marks of the row do not match ({error})."
    return Problem(name, line, "", "", reason, 'Close the cell with ", and write a quotation mark inside a cell as "".')


def _not_opened(name: str, error: OSError) -> Problem:
    return Problem(name, 0, "", "", f"The file cannot be read: {error.strerror}.", "Check the file and try again.")

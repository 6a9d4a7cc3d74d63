"""Workbooks: what they say for themselves is taken, what they may have changed is refused."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl import Workbook

from fleetlife.transfer import workbook
from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import Row, read_folder

# One cell: its value, its number format (None: the workbook's own), the file's column, and how hours are meant.
ReadCell = Callable[..., tuple[object, list[Problem]]]

UNIT = {"part_number": "A-1", "serial_number": "1"}
ON = "2024-03-01"
# The file that has the column, with what a row of it must say.
FILE_OF: dict[str, tuple[str, dict[str, object]]] = {
    "date": ("accomplishments", {**UNIT, "requirement": "TEST", "date": ON}),
    "mass_kg": ("parts", {"part_number": "A-1", "manufacturer": "Ledra"}),
    "required": ("positions", {"type": "MERO", "position": "L1", "side": "left"}),
    "time_utc": ("movements", {"date": ON, "registration": "Q-ABC", "position": "L1"}),
    "cycles_per_day": (
        "utilisation",
        {"registration": "Q-ABC", "from": ON, "to": ON, "hours_per_day": "1:00", "cycles_per_day": 1},
    ),
}


def save(path: Path, *sheets: list[list[Any]]) -> Path:
    book = Workbook()
    book.remove(book.active)
    for number, rows in enumerate(sheets, start=1):
        sheet = book.create_sheet(f"Sheet{number}")
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def read(path: Path, **how: str) -> tuple[list[Row], list[Problem]]:
    found = read_folder(path, **how)  # type: ignore[arg-type]
    return [row for file in found.files for row in file.rows()], list(found.problems)


@pytest.fixture
def cell(tmp_path: Path) -> ReadCell:
    """Read a row with one cell in question; that column's value (None when refused) and the problems."""

    def go(column: str, value: object, shown: str | None = None, **how: str) -> tuple[object, list[Problem]]:
        name, required = FILE_OF.get(column, ("units", UNIT))
        values = {**required, column: value}
        path = save(tmp_path / f"{name}.xlsx", [list(values), list(values.values())])
        if shown is not None:
            book = openpyxl.load_workbook(path)
            book.active.cell(2, 1 + list(values).index(column)).number_format = shown
            book.save(path)
        rows, problems = read(path, **how)
        assert all(problem.column == column for problem in problems)
        return (rows[0].values[column] if rows else None), problems

    return go


# column, cell, number format, value
TAKEN = [
    ("serial_number", "0012", None, "0012"),
    ("serial_number", "0012", "@", "0012"),
    ("serial_number", "=A1", "@", None),  # openpyxl writes a formula: refused
    ("as_of", date(2024, 3, 1), None, "2024-03-01"),
    ("as_of", datetime.fromisoformat("2024-03-01"), "dd/mm/yyyy", "2024-03-01"),
    ("as_of", "2024-03-01", None, "2024-03-01"),
    ("manufactured", date(2024, 3, 1), None, "2024-03-01"),
    ("manufactured", date(2024, 3, 1), "mmm-yy", "2024-03"),
    ("manufactured", date(2024, 3, 1), "mm/yyyy", "2024-03"),
    ("manufactured", date(2024, 3, 1), "yyyy", "2024"),
    ("manufactured", 2010, None, "2010"),
    ("manufactured", "2024-Q1", None, "2024-Q1"),
    ("date", date(2024, 3, 1), '"marked "mm\\.yyyy', "2024-03"),
    ("hours_since_new", timedelta(hours=1234, minutes=30), "[h]:mm", 74070),
    ("hours_since_new", timedelta(hours=1234, minutes=31), "[h]:mm:ss", 74071),
    ("hours_since_new", time(10, 30), "h:mm", 630),
    ("hours_since_new", "1234:30", None, 74070),
    ("hours_since_new", 1234, None, 74040),
    ("hours_since_new", 1234.0, "0.00", 74040),
    ("cycles_since_new", 800, None, 800),
    ("cycles_since_new", 800.0, None, 800),
    ("cycles_since_new", "800", None, 800),
    ("cycles_per_day", 4.5, None, 4500),
    ("mass_kg", 25.4, None, 25400),
    ("mass_kg", 25, None, 25000),
    ("required", True, None, True),
    ("required", 0, None, False),
    ("time_utc", time(7, 5), None, "07:05"),
    ("store", 12, None, "12"),
    ("store", "two _x0041_", None, "two A"),
    ("source", "line\nline", None, "line\nline"),
    ("source", " padded ", None, "padded"),
    ("position", "1L", None, "L1"),
]

# column, cell, number format, a word of the reason
REFUSED = [
    ("serial_number", 12, None, "turned this serial into a number"),
    ("serial_number", 12.0, None, "turned this serial into a number"),
    ("serial_number", 1234567890123456, None, "turned this serial into a number"),
    ("serial_number", 12, "0000", "turned this serial into a number"),
    ("serial_number", date(2024, 3, 4), None, "a date or a time"),
    ("serial_number", True, None, "true or false"),
    ("part_number", 451202, None, "turned this part number into a number"),
    ("bin", 12, None, "turned this number on paper into a number"),
    ("serial_number", "=1+1", None, "formula"),
    ("cycles_since_new", "=SUM(A1:A1)", None, "formula"),
    ("as_of", "=TODAY()", None, "formula"),
    ("cycles_since_new", "#N/A", None, "shows an error"),
    ("store", 12, "000", "turned this text into a number"),
    ("store", 1.5, None, "turned this text into a number"),
    ("as_of", 45352, None, "holds a number"),
    ("as_of", 45352.5, None, "holds a number"),
    ("as_of", date(2024, 3, 1), "mmm-yy", "shows no day"),
    ("as_of", datetime.fromisoformat("2024-03-01 14:30"), None, "time of day"),
    ("as_of", date(1901, 1, 1), None, "between 1950 and 2200"),
    ("manufactured", 45352, None, "holds a number"),
    ("date", 2024, None, "holds a number"),
    ("date", date(2024, 3, 1), "yyyy", "at least to its month"),
    ("hours_since_new", 1234.3, None, "could be decimal hours or hours and minutes"),
    ("hours_since_new", datetime.fromisoformat("1900-02-20 10:30"), "h:mm", "beyond whole days"),
    ("hours_since_new", timedelta(hours=1234, seconds=30), "[h]:mm:ss", "whole minute"),
    ("hours_since_new", -5, None, "negative"),
    ("cycles_since_new", 800.5, None, "whole number"),
    ("cycles_since_new", -1, None, "negative"),
    ("cycles_since_new", timedelta(hours=5), "[h]:mm", "holds a date or a time"),
    ("condition", 1, None, "no word"),
    ("condition", True, None, "true or false"),
    ("mass_kg", 1e-9, None, "too small or too large"),
    ("time_utc", time(7, 5, 30), None, "whole minute"),
]


class TestCells:
    @pytest.mark.parametrize(("column", "value", "shown", "result"), TAKEN)
    def test_are_taken(self, cell: ReadCell, column: str, value: object, shown: str | None, result: object) -> None:
        read_value, problems = cell(column, value, shown)
        assert read_value == result
        assert type(read_value) is type(result)
        assert (problems == []) == (result is not None)

    @pytest.mark.parametrize(("column", "value", "shown", "reason"), REFUSED)
    def test_are_refused(self, cell: ReadCell, column: str, value: object, shown: str | None, reason: str) -> None:
        read_value, problems = cell(column, value, shown)
        assert read_value is None
        assert len(problems) == 1
        assert reason in problems[0].reason
        assert problems[0].remedy

    @pytest.mark.parametrize(
        ("value", "how", "minutes"),
        [(1234.3, "minutes", 74070), (1234.5, "decimal", 74070), (1234.25, "decimal", 74055)],
    )
    def test_a_number_of_hours_is_taken_as_stated(self, cell: ReadCell, value: float, how: str, minutes: int) -> None:
        assert cell("hours_since_new", value, hours=how) == (minutes, [])


HEADER = ["registration", "date", "hours_total", "cycles_total"]
GOOD = ["Q-ABC", date(2024, 3, 1), "1234:30", 800]
GOOD_VALUES = {"registration": "Q-ABC", "date": "2024-03-01", "hours_total": 74070, "cycles_total": 800}


class TestSheets:
    def test_rows_are_named_by_their_number_in_the_sheet(self, tmp_path: Path) -> None:
        path = save(tmp_path / "readings.xlsx", [HEADER, GOOD, [], GOOD, ["Q-ABC", 45352, "1:00", 1]])
        rows, problems = read(path)
        assert rows == [Row("readings", 2, GOOD_VALUES), Row("readings", 4, GOOD_VALUES)]
        assert [(problem.file, problem.line, problem.column) for problem in problems] == [("readings.xlsx", 5, "date")]

    def test_empty_rows_and_columns_at_the_end_do_not_matter(self, tmp_path: Path) -> None:
        path = save(tmp_path / "readings.xlsx", [[*HEADER, None, " "], [*GOOD, None, "", None], [None] * 9])
        rows, problems = read(path)
        assert [row.values for row in rows] == [GOOD_VALUES]
        assert problems == []

    def test_a_cell_beyond_the_header_is_a_problem(self, tmp_path: Path) -> None:
        path = save(tmp_path / "readings.xlsx", [HEADER, [*GOOD, None, "note"]])
        rows, problems = read(path)
        assert rows == []
        assert "6 cells and the header names 4" in problems[0].reason

    def test_one_sheet_of_several_may_be_filled(self, tmp_path: Path) -> None:
        rows, problems = read(save(tmp_path / "readings.xlsx", [], [HEADER, GOOD], [[None]]))
        assert len(rows) == 1
        assert problems == []

    def test_two_filled_sheets_are_refused(self, tmp_path: Path) -> None:
        rows, problems = read(save(tmp_path / "readings.xlsx", [HEADER, GOOD], [["note"]]))
        assert rows == []
        assert "2 sheets" in problems[0].reason
        assert problems[0].value == "Sheet1, Sheet2"

    def test_an_empty_workbook_is_refused(self, tmp_path: Path) -> None:
        rows, problems = read(save(tmp_path / "readings.xlsx", []))
        assert rows == []
        assert [problem.reason for problem in problems] == ["The workbook is empty."]

    def test_a_header_alone_is_a_file_without_rows(self, tmp_path: Path) -> None:
        assert read(save(tmp_path / "readings.xlsx", [HEADER])) == ([], [])

    def test_more_rows_than_are_read_at_a_time(self, tmp_path: Path) -> None:
        rows, problems = read(save(tmp_path / "readings.xlsx", [HEADER, *[GOOD] * 1201]))
        assert [row.line for row in rows] == list(range(2, 1203))
        assert problems == []

    def test_the_header_is_checked_as_in_other_files(self, tmp_path: Path) -> None:
        _, problems = read(save(tmp_path / "readings.xlsx", [[*HEADER[:3], "landings"], GOOD]))
        assert [problem.column for problem in problems] == ["landings", "cycles_total"]


class TestArchives:
    @pytest.mark.parametrize(
        ("content", "reason"),
        [
            (b"", "no workbook"),
            (b"registration,date\n", "no workbook"),
            (b"PK\x03\x04broken", "no workbook"),
            (b"\xd0\xcf\x11\xe0" + b"\x00" * 600, "password"),
        ],
    )
    def test_what_is_no_workbook_is_refused(self, tmp_path: Path, content: bytes, reason: str) -> None:
        path = tmp_path / "readings.xlsx"
        path.write_bytes(content)
        rows, problems = read(path)
        assert rows == []
        assert [problem.line for problem in problems] == [0]
        assert reason in problems[0].reason

    def test_another_archive_is_refused(self, tmp_path: Path) -> None:
        path = tmp_path / "readings.xlsx"
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("note.txt", "x")
        rows, problems = read(path)
        assert rows == []
        assert "no workbook" in problems[0].reason

    def test_a_sheet_that_breaks_off_is_refused(self, tmp_path: Path) -> None:
        whole = save(tmp_path / "whole.xlsx", [HEADER, *[GOOD] * 50])
        path = tmp_path / "readings.xlsx"
        with zipfile.ZipFile(whole) as source, zipfile.ZipFile(path, "w") as target:
            for entry in source.infolist():
                content = source.read(entry)
                target.writestr(entry.filename, content[:-600] if "sheet1" in entry.filename else content)
        _, problems = read(path)
        assert "no workbook" in problems[-1].reason

    def test_an_archive_bomb_is_not_opened(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        path = tmp_path / "readings.xlsx"
        with (
            zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive,
            archive.open("xl/worksheets/sheet1.xml", "w") as entry,
        ):
            for _ in range(65):
                entry.write(b"\x00" * 1024 * 1024)
        monkeypatch.setattr(workbook.openpyxl, "load_workbook", lambda *a, **k: pytest.fail("it was opened"))
        rows, problems = read(path)
        assert rows == []
        assert "unpacks from" in problems[0].reason

    def test_a_directory_that_states_more_than_two_gigabytes_is_not_opened(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        path = save(tmp_path / "readings.xlsx", [HEADER, GOOD])
        assert workbook.archive_fault(path) is None
        monkeypatch.setattr(workbook, "LARGEST_UNPACKED", 1000)
        fault = workbook.archive_fault(path)
        assert fault is not None
        assert "not opened" in fault[0]

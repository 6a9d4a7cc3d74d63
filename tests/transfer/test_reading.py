"""Comma-separated files and folders: what is read, and every way in which they can be wrong."""

from __future__ import annotations

import hashlib
import tracemalloc
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.columns import FILE_NAMES, file_named
from fleetlife.transfer.problem import Problem, ProblemLog
from fleetlife.transfer.reading import Row, read_folder

Read = Callable[..., tuple[list[Row], list[Problem]]]

READINGS = "registration,date,hours_total,cycles_total\n"
GOOD = "Q-ABC,2024-03-01,1234:30,800\n"
GOOD_VALUES = {"registration": "Q-ABC", "date": "2024-03-01", "hours_total": 74070, "cycles_total": 800}


class TestRows:
    def test_a_row_has_its_file_its_line_and_its_values(self, read: Read) -> None:
        rows, problems = read("readings.csv", READINGS + GOOD)
        assert rows == [Row("readings", 2, GOOD_VALUES)]
        assert problems == []

    def test_columns_come_in_any_order_and_case(self, read: Read) -> None:
        rows, _ = read("readings.csv", "Cycles_Total, DATE ,hours_total,registration\n800,2024-03-01,1234:30,Q-ABC\n")
        assert rows[0].values == GOOD_VALUES

    def test_empty_cells_are_left_out(self, read: Read) -> None:
        rows, problems = read("types.csv", "type,name\nMERO,\nPALU,  \n")
        assert [row.values for row in rows] == [{"type": "MERO"}, {"type": "PALU"}]
        assert problems == []

    def test_outer_white_space_is_dropped(self, read: Read) -> None:
        rows, _ = read("types.csv", 'type,name\n MERO ,"  Mero 100\u00a0"\n')
        assert rows[0].values == {"type": "MERO", "name": "Mero 100"}

    @pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
    def test_every_line_end_is_read(self, read: Read, end: str) -> None:
        rows, problems = read("readings.csv", (READINGS + GOOD).replace("\n", end))
        assert [row.values for row in rows] == [GOOD_VALUES]
        assert problems == []

    def test_a_byte_order_mark_is_no_part_of_the_first_column(self, read: Read) -> None:
        rows, problems = read("readings.csv", b"\xef\xbb\xbf" + (READINGS + GOOD).encode())
        assert [row.values for row in rows] == [GOOD_VALUES]
        assert problems == []

    def test_cells_in_quotation_marks_may_hold_commas_marks_and_lines(self, read: Read) -> None:
        content = 'part_number,manufacturer,description\nA-1,"Ledra, Works","a ""big"" one\non two lines"\nA-2,X,\n'
        rows, problems = read("parts.csv", content)
        assert rows[0].values["manufacturer"] == "Ledra, Works"
        assert rows[0].values["description"] == 'a "big" one\non two lines'
        assert problems == []

    def test_a_row_is_named_by_the_line_it_begins_on(self, read: Read) -> None:
        content = 'part_number,manufacturer,description\nA-1,X,"one\ntwo\nthree"\n\nA-2,Y,\nA-3,,\n'
        rows, problems = read("parts.csv", content)
        assert [row.line for row in rows] == [2, 6]
        assert [problem.line for problem in problems] == [7]

    def test_blank_lines_and_rows_of_empty_cells_are_no_rows(self, read: Read) -> None:
        rows, problems = read("readings.csv", "\n" + READINGS + "\n" + GOOD + ",,,\n\n")
        assert len(rows) == 1
        assert problems == []

    def test_a_header_alone_is_a_file_without_rows(self, read: Read) -> None:
        assert read("readings.csv", READINGS) == ([], [])

    def test_the_last_line_needs_no_end(self, read: Read) -> None:
        assert len(read("readings.csv", READINGS + GOOD.rstrip())[0]) == 1

    def test_serials_keep_zeros_and_letters(self, read: Read) -> None:
        rows, _ = read("units.csv", "part_number,serial_number\n00451-02,0012\n1E5,1E10\n")
        assert [row.values["serial_number"] for row in rows] == ["0012", "1E10"]
        assert [row.values["part_number"] for row in rows] == ["00451-02", "1E5"]


# name of the file, content, line, column, a word of the reason
BAD_FILES: list[tuple[str, str | bytes, int, str, str]] = [
    ("readings.csv", "", 0, "", "empty"),
    ("readings.csv", "\n\n", 0, "", "empty"),
    ("readings.csv", b"\xef\xbb\xbf", 0, "", "empty"),
    ("readings.csv", READINGS.encode("utf-16"), 0, "", "UTF-16"),
    ("readings.csv", READINGS.encode("utf-16-le"), 0, "", "NUL"),
    ("readings.csv", READINGS.encode() + b"Q-\xc4BC,2024-03-01,1:00,1\n", 2, "", "0xC4"),
    ("readings.csv", READINGS.encode() + GOOD.encode() * 9000 + b"Q-\xff,2024-03-01,1:00,1\n", 9002, "", "0xFF"),
    ("readings.csv", b"PK\x03\x04rest", 0, "", "archive"),
    ("readings.csv", READINGS.replace(",", ";") + GOOD.replace(",", ";"), 1, "", "semicolons"),
    ("readings.csv", READINGS.replace(",", "\t"), 1, "", "tabs"),
    ("readings.csv", READINGS.replace(",", "|"), 1, "", "vertical bars"),
    ("readings.csv", "registration,date,hours_total,cycles_total,date\n", 1, "date", "twice"),
    ("readings.csv", "registration,date,hours_total,cycles_total,Date\n", 1, "date", "twice"),
    ("readings.csv", "registration,date,hours_total,cycles_total,\n", 1, "", "Column 5 has no name"),
    ("readings.csv", "registration,date,hours_total\nQ-ABC,2024-03-01,1:00\n", 1, "cycles_total", "missing"),
    ("readings.csv", READINGS.replace("date", "dates") + GOOD, 1, "dates", "no such column"),
    ("readings.csv", "registration,date,hours_total,cycles_total,landings\n", 1, "landings", "never taken for cycles"),
    ("requirements.csv", "requirement,part_number,kind,repeat_apu_hours\n", 1, "repeat_apu_hours", "apu hours"),
    ("requirements.csv", "requirement,part_number,kind,first landings\n", 1, "first landings", "landings"),
    ("requirements.csv", "requirement,part_number,kind,repeat_engine_cycles\n", 1, "repeat_engine_cycles", "engine"),
    ("readings.csv", READINGS + 'Q-ABC,"2024-03-01,1:00,1\n', 2, "", "none closes it"),
    ("readings.csv", READINGS + 'Q-ABC,"2024"-03-01,1:00,1\n', 2, "", "quotation marks"),
    ("readings.csv", READINGS + '"' + "x" * 200_000 + "\n", 2, "", "none closes it"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1:00\n", 2, "", "3 cells and the header names 4"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1:00,1,\n", 2, "", "5 cells and the header names 4"),
    ("readings.csv", READINGS + "Q-ABC,2024-02-30,1:00,1\n", 2, "date", "no such date"),
    ("readings.csv", READINGS + "Q-ABC,03/04/2024,1:00,1\n", 2, "date", "change places"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1234.30,1\n", 2, "hours_total", "could be decimal"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,-1:00,1\n", 2, "hours_total", "negative"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1:00,-1\n", 2, "cycles_total", "negative"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1:00,\n", 2, "cycles_total", "missing"),
    ("readings.csv", READINGS + "Q-ABC,2024-03-01,1:00,\x00\n", 2, "cycles_total", "whole number"),
    ("units.csv", "part_number,serial_number\nA-1,A\x001\n", 2, "serial_number", "cannot be seen"),
    ("units.csv", "part_number,serial_number,condition\nA-1,1,servicable\n", 2, "condition", "no word"),
    ("unit.csv", "part_number,serial_number\n", 0, "", "no file called unit"),
    ("units.xls", b"\xd0\xcf\x11\xe0", 0, "", "Files ending in .xls"),
    ("units", "part_number\n", 0, "", "Files ending in nothing"),
]


class TestBadFiles:
    @pytest.mark.parametrize(("name", "content", "line", "column", "reason"), BAD_FILES)
    def test_is_a_problem_with_its_place(
        self, read: Read, name: str, content: str | bytes, line: int, column: str, reason: str
    ) -> None:
        rows, problems = read(name, content)
        places = [(problem.file, problem.line, problem.column) for problem in problems if reason in problem.reason]
        assert places == [(name, line, column)]
        assert all(problem.remedy for problem in problems)
        assert not any(row.line == line for row in rows)

    def test_all_problems_of_a_file_are_listed(self, read: Read) -> None:
        rows, problems = read(
            "readings.csv",
            READINGS + "Q-ABC,03/04/2024,1.5,-1\n" + GOOD + "Q-ABC,2024-03-01\n" + ",2024-03-02,1:00,1\n" + GOOD,
        )
        assert [(problem.line, problem.column) for problem in problems] == [
            (2, "date"),
            (2, "hours_total"),
            (2, "cycles_total"),
            (4, ""),
            (5, "registration"),
        ]
        assert [row.line for row in rows] == [3, 6]

    def test_a_value_that_cannot_be_read_is_not_missing_as_well(self, read: Read) -> None:
        _, problems = read("readings.csv", READINGS + "Q-ABC,soon,1:00,1\n")
        assert len(problems) == 1

    def test_an_unknown_column_names_the_nearest_that_is_not_there(self, read: Read) -> None:
        _, problems = read("units.csv", "part_number,serial_number,serial_nr,hours_since_nw\n")
        assert "hours_since_new" in problems[1].remedy
        assert problems[0].remedy == "Did you mean parent_serial_number?"

    def test_rows_under_an_unknown_column_are_still_checked(self, read: Read) -> None:
        rows, problems = read("types.csv", "type,nmae\nMERO,x\n,y\n")
        assert [row.values for row in rows] == [{"type": "MERO"}]
        assert [(problem.line, problem.column) for problem in problems] == [(1, "nmae"), (3, "type")]

    def test_no_row_is_handed_out_without_a_required_column(self, read: Read) -> None:
        rows, problems = read("readings.csv", "registration,hours_total,cycles_total\nQ-ABC,1.5,1\n")
        assert rows == []
        assert [(problem.line, problem.column) for problem in problems] == [(1, "date"), (2, "hours_total")]

    def test_after_a_row_with_bad_quotation_marks_the_next_is_read(self, read: Read) -> None:
        rows, problems = read("readings.csv", READINGS + 'Q-ABC,"2024"-03-01,1:00,1\n' + GOOD)
        assert [row.line for row in rows] == [3]
        assert len(problems) == 1

    def test_the_same_text_is_read_when_the_order_and_the_hours_are_stated(self, read: Read) -> None:
        content = READINGS + "Q-ABC,03/04/2024,1234.30,800\n"
        rows, problems = read("readings.csv", content, date_order="dmy", hours="minutes")
        assert rows[0].values == {**GOOD_VALUES, "date": "2024-04-03"}
        assert problems == []

    def test_a_problem_is_one_sentence_with_place_cause_and_remedy(self, read: Read) -> None:
        _, problems = read("readings.csv", READINGS + "Q-ABC,03/04/2024,1:00,1\n")
        assert problems[0].sentence() == (
            "readings.csv line 2, date '03/04/2024': Day, month and year could change places in this date. "
            "Say --date-order dmy, mdy or ymd, or write it as YYYY-MM-DD."
        )


class TestFaultyKeys:
    def test_the_keys_of_rows_left_out_are_kept(self, tmp_path: Path) -> None:
        (tmp_path / "units.csv").write_text(
            "part_number,serial_number,manufacturer,condition\n"
            "A-1,1,Ledra,broken\nA-1,2,,broken\nA-1,3,Ledra,serviceable\nA-1,,Ledra,\n"
        )
        found = read_folder(tmp_path)
        assert len(list(found.rows("units"))) == 1
        assert found.faulty["units"] == {("A-1", "1", "Ledra"), ("A-1", "2", None), ("A-1", None, "Ledra")}


class TestFolder:
    def write(self, folder: Path, *names: str) -> None:
        for name in names:
            stem = Path(name).stem.lower()
            header = ",".join(file_named(stem).required_names) if stem in FILE_NAMES else "x"
            (folder / name).write_text(header + "\n")

    def test_files_come_in_import_order(self, tmp_path: Path) -> None:
        self.write(tmp_path, *(f"{name}.csv" for name in FILE_NAMES))
        found = read_folder(tmp_path)
        assert [file.name for file in found.files] == list(FILE_NAMES)
        assert [row for file in found.files for row in file.rows()] == []
        assert len(found.problems) == 0

    def test_names_are_recognised_in_any_case(self, tmp_path: Path) -> None:
        self.write(tmp_path, "Units.CSV")
        assert [file.name for file in read_folder(tmp_path).files] == ["units"]

    def test_an_unknown_name_is_a_problem_that_names_the_nearest(self, tmp_path: Path) -> None:
        self.write(tmp_path, "units.csv", "movement.csv")
        problems = list(read_folder(tmp_path).problems)
        assert [(problem.file, problem.remedy) for problem in problems] == [
            ("movement.csv", "Did you mean movements.csv?")
        ]

    def test_other_endings_are_passed_over_with_a_note(self, tmp_path: Path) -> None:
        self.write(tmp_path, "units.csv", "read me.md", "~$units.xlsx", ".units.csv", "scan.pdf")
        (tmp_path / "old").mkdir()
        found = read_folder(tmp_path)
        assert len(found.problems) == 0
        assert sorted(note.split(" was passed over")[0] for note in found.notes) == [
            ".units.csv",
            "old",
            "read me.md",
            "scan.pdf",
            "~$units.xlsx",
        ]

    @pytest.mark.parametrize("name", ["units.xls", "units.ods", "units.txt", "somewhere.tsv"])
    def test_a_table_in_another_format_is_not_passed_over(self, tmp_path: Path, name: str) -> None:
        self.write(tmp_path, "types.csv", name)
        assert [problem.file for problem in read_folder(tmp_path).problems] == [name]

    def test_one_file_in_two_formats_is_refused_twice(self, tmp_path: Path) -> None:
        self.write(tmp_path, "units.csv", "units.xlsx", "types.csv")
        found = read_folder(tmp_path)
        assert [problem.file for problem in found.problems] == ["units.csv", "units.xlsx"]
        assert [file.name for file in found.files] == ["types"]

    def test_a_missing_folder_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(Refusal) as caught:
            read_folder(tmp_path / "nowhere")
        assert caught.value.code == "path-not-found"

    def test_a_folder_without_files_is_refused(self, tmp_path: Path) -> None:
        (tmp_path / "scan.pdf").write_text("x")
        with pytest.raises(Refusal) as caught:
            read_folder(tmp_path)
        assert caught.value.code == "nothing-to-read"
        assert caught.value.details == ("scan.pdf was passed over: only .csv and .xlsx are taken in.",)

    def test_a_file_has_the_digest_of_its_bytes(self, tmp_path: Path) -> None:
        self.write(tmp_path, "units.csv")
        file = read_folder(tmp_path).file("units")
        assert file is not None
        assert file.digest() == hashlib.sha256((tmp_path / "units.csv").read_bytes()).hexdigest()

    def test_a_file_that_is_not_there_has_no_rows(self, tmp_path: Path) -> None:
        self.write(tmp_path, "units.csv")
        found = read_folder(tmp_path)
        assert found.file("readings") is None
        assert list(found.rows("readings")) == []


class TestLargeFiles:
    def test_memory_does_not_grow_with_the_file_and_progress_is_told(self, tmp_path: Path) -> None:
        first = date(2020, 1, 1)
        with (tmp_path / "readings.csv").open("w") as file:
            file.write(READINGS)
            for number in range(25_000):
                file.write(f"Q-{number // 1000:03d},{first + timedelta(number % 1000)},{number}:30,{number}\n")
        told: list[tuple[str, int]] = []
        found = read_folder(tmp_path, progress=lambda name, done: told.append((name, done)))
        tracemalloc.start()
        try:
            count = sum(1 for _ in found.rows("readings"))
            peak = tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()
        assert count == 25_000
        assert peak < 2_000_000
        assert told == [("readings", 10_000), ("readings", 20_000), ("readings", 25_000)]

    def test_problems_beyond_what_memory_keeps_are_all_there_in_order(self) -> None:
        log = ProblemLog()
        for line in range(20_050):
            log.append(Problem("units.csv", line, "date", "Ä\n", "No.", "Do."))
        for _ in range(2):
            assert [problem.line for problem in log] == list(range(20_050))
        log.append(Problem("units.csv", 20_050, "", "", "No.", "Do."))
        assert len(log) == 20_051
        assert list(log)[-1].line == 20_050

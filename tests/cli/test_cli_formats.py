"""The same answer as a table, json, csv and a workbook; and every answer says on what it rests."""

from __future__ import annotations

import csv
import io
import re
from datetime import datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from rich.cells import cell_len

from fleetlife.reports.rows import DUE_COLUMNS
from fleetlife.terms.finding import FINDING_COLUMNS
from fleetlife.terms.views import HOURS_FIELDS

from .running import CLEAN, FINDINGS, FIRST_INTAKE, TODAY, Said, fleetlife, head, in_a_shell

ESCAPE = "\x1b"
ON = ("--as-of", TODAY)
TABLES = {
    "due": ("due", *ON),
    "due next month": ("due", "--next-month", *ON),
    "due by month": ("due", "--by", "month", *ON),
    "due by airframe, full": ("due", "--by", "airframe", "--full", *ON),
    "due by position, all": ("due", "--by", "position", "--all", *ON),
    "no objection": ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON),
    "conditions": ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20112", *ON),
    "do not fit": ("swap", "check", "Q-SKA", "R2", "KV-2100-9", "29001", *ON),
    "audit": ("audit", *ON),
    "audit of one": ("audit", "--airframe", "Q-SKB", *ON),
    "unit": ("unit", "KV-2100-3", "20126", *ON),
    "unit nowhere": ("unit", "KV-3300-1", "33116", *ON),
    "airframe": ("airframe", "Q-SKJ", *ON),
    "airframe then": ("airframe", "Q-SKF", *ON, "--known-at", FIRST_INTAKE),
    "certificate": ("certificate", "ORO-24-0001", *ON),
    "preview": ("swap", "record", "Q-SKA", "R2", "--install", "KV-2100-3", "20301", "--harness", "right",
                "--preview", "--on", TODAY, *ON),
    "codes": ("explain",),
    "a page": ("explain", "PAP102"),
    "verified": ("ledger", "verify"),
    "a head not found": ("ledger", "verify", "--head", "0123456789abcdef"),
    "the head": ("ledger", "head"),
}  # fmt: skip
ROWS = {
    "due": (("due", "--all", *ON), DUE_COLUMNS),
    "due next month": (("due", "--next-month", *ON), DUE_COLUMNS),
    "audit": (("audit", *ON), FINDING_COLUMNS),
}


class TestTables:
    @pytest.mark.parametrize("arguments", TABLES.values(), ids=TABLES)
    def test_no_line_is_wider_than_80_columns_and_none_holds_an_escape_code(
        self, demos: dict[str, str], arguments: tuple[str, ...]
    ) -> None:
        said = fleetlife(*arguments, database=demos["sqlite"], columns=80)
        assert said.status in (CLEAN, FINDINGS)
        lines = said.out.splitlines()
        assert lines
        assert [line for line in lines if cell_len(line) > 80] == []
        assert ESCAPE not in said.out + said.err

    @pytest.mark.parametrize("arguments", TABLES.values(), ids=TABLES)
    def test_neither_does_at_100_and_both_databases_say_the_same(
        self, demos: dict[str, str], arguments: tuple[str, ...]
    ) -> None:
        """But for the heads: they hold who recorded, and PostgreSQL says that itself."""
        one, other = (fleetlife(*arguments, database=database) for database in demos.values())
        assert [line for line in one.out.splitlines() if cell_len(line) > 100] == []
        assert _without_heads(one.out) == _without_heads(other.out)
        assert one.status == other.status
        assert ESCAPE not in one.out + one.err

    def test_there_is_none_from_a_process_of_its_own(self, sqlite_demo: str) -> None:
        for env in ({}, {"NO_COLOR": "1"}, {"TERM": "xterm-256color", "COLORTERM": "truecolor"}):
            said = in_a_shell("due", *ON, database=sqlite_demo, env=env)
            assert said.status == FINDINGS
            assert ESCAPE not in said.out + said.err

    @pytest.mark.parametrize("columns", ["abc", "", "-5", "0"])
    def test_a_width_that_is_none_falls_back(self, sqlite_demo: str, columns: str) -> None:
        said = in_a_shell("due", *ON, database=sqlite_demo, env={"COLUMNS": columns})
        assert said.status == FINDINGS
        assert "DUE LIST" in said.out

    def test_an_ascii_terminal_gets_the_same_words(self, sqlite_demo: str) -> None:
        said = in_a_shell("due", *ON, database=sqlite_demo, env={"PYTHONIOENCODING": "ascii"})
        assert said.status == FINDINGS
        assert said.out.isascii()
        assert "OVERDUE" in said.out

    @pytest.mark.parametrize("name", ["due", "audit", "unit", "airframe", "certificate", "no objection", "verified"])
    def test_output_takes_the_table_to_a_file(self, sqlite_demo: str, tmp_path: Path, name: str) -> None:
        shown = fleetlife(*TABLES[name], database=sqlite_demo)
        path = tmp_path / "answer.txt"
        said = fleetlife(*TABLES[name], "--output", path, database=sqlite_demo)
        assert (said.status, said.out) == (shown.status, "")
        assert path.read_text(encoding="utf-8") == shown.out
        assert str(path) in said.err


class TestMachineFormats:
    @pytest.mark.parametrize(("arguments", "columns"), ROWS.values(), ids=ROWS)
    def test_all_three_carry_the_same_columns_and_rows(
        self, demo: str, tmp_path: Path, arguments: tuple[str, ...], columns: tuple[str, ...]
    ) -> None:
        rows = _json(demo, *arguments)["rows"]
        assert len(rows) > 10
        assert {tuple(row) for row in rows} == {columns}
        read = list(csv.reader(io.StringIO(_csv(demo, *arguments).out, newline="")))
        assert tuple(read[0]) == columns
        assert read[1:] == [[_as_text(value) for value in row.values()] for row in rows]
        sheet = _workbook(tmp_path, demo, *arguments).worksheets[0]
        cells = [[cell.value for cell in row] for row in sheet.iter_rows()]
        assert tuple(cells[0]) == columns
        assert [[_as_text(_plain(value)) for value in row] for row in cells[1:]] == read[1:]

    def test_days_are_iso_and_hours_are_hhhh_mm_with_a_minus_when_passed(self, demo: str) -> None:
        rows = _json(demo, "due", "--all", *ON)["rows"]
        day = re.compile(r"\d{4}-\d\d-\d\d")
        for name in ("due_date", "due_earliest", "due_if_fitted", "calendar_due", "readings_as_of", "last_done"):
            told = {row[name] for row in rows if row[name] is not None}
            assert told, name
            assert all(day.fullmatch(text) for text in told), name
        for name in HOURS_FIELDS:
            told = {row[name] for row in rows if row[name] is not None}
            assert told
            assert all(re.fullmatch(r"-?\d+:[0-5]\d", text) for text in told)
        passed = fleetlife("due", "--all", "--as-of", "2027-11-25", "--format", "json", database=demo).json["rows"]
        assert any((row["hours_left"] or "").startswith("-") for row in passed)
        assert any((row["days_left"] or 0) < 0 for row in passed)

    def test_what_is_not_known_is_null_and_empty_never_zero(self, demo: str, tmp_path: Path) -> None:
        asked = ("due", "--all", "--part", "KV-2100-9", *ON)
        (row,) = _json(demo, *asked)["rows"]
        unknown = ("requirement", "due_date", "days_left", "hours_left", "cycles_left", "registration")
        assert [row[name] for name in unknown] == [None] * len(unknown)
        (line,) = csv.DictReader(io.StringIO(_csv(demo, *asked).out))
        assert [line[name] for name in unknown] == [""] * len(unknown)
        sheet = _workbook(tmp_path, demo, *asked).worksheets[0]
        cells = dict(zip(*([cell.value for cell in each] for each in sheet.iter_rows()), strict=True))
        assert [cells[name] for name in unknown] == [None] * len(unknown)

    def test_a_workbook_holds_days_as_dates_counts_as_numbers_and_serials_as_text(
        self, sqlite_demo: str, tmp_path: Path
    ) -> None:
        sheet = _workbook(tmp_path, sqlite_demo, "due", "--all", *ON).worksheets[0]
        names = {cell.value: cell.column - 1 for cell in next(sheet.iter_rows())}
        rows = list(sheet.iter_rows(min_row=2))
        assert {type(row[names["serial_number"]].value) for row in rows} == {str}
        assert {type(row[names["calendar_due"]].value) for row in rows} == {datetime, type(None)}
        assert {type(row[names["days_left"]].value) for row in rows} == {int, type(None)}
        assert {cell.data_type for row in rows for cell in row}.isdisjoint({"f", "e"})


class TestAbout:
    """As of, known at, ledger head, editions, oldest reading: on every answer, in every format."""

    @pytest.mark.parametrize("known_at", [None, FIRST_INTAKE])
    @pytest.mark.parametrize("name", ["due", "no objection", "audit", "unit", "airframe then", "certificate"])
    def test_json_names_what_the_answer_rests_on(self, demo: str, name: str, known_at: str | None) -> None:
        arguments = [*TABLES[name.removesuffix(" then")], "--format", "json"]
        about = fleetlife(*arguments, *(("--known-at", known_at) if known_at else ()), database=demo).json["about"]
        entry, digest = head(demo)
        assert about["as_of"] == TODAY
        assert about["known_at"] == known_at
        assert (about["ledger_entry"] == entry) == (about["ledger_head"] == digest) == (known_at is None)
        assert "SKARHOLM edition 4" in about["editions"]
        assert about["oldest_reading"] is not None
        assert about["oldest_reading"] < TODAY

    @pytest.mark.parametrize("columns", [80, 100])
    @pytest.mark.parametrize(
        "name", ["due", "no objection", "audit", "unit", "airframe", "airframe then", "certificate"]
    )
    def test_tables_name_it_too(self, demo: str, name: str, columns: int) -> None:
        words = fleetlife(*TABLES[name], database=demo, columns=columns).words
        assert f"as of {TODAY}" in words
        assert f"known at {FIRST_INTAKE if name == 'airframe then' else 'now'}" in words
        assert "SKARHOLM edition 4" in words
        assert re.search(r"oldest reading 2026-\d\d-\d\d \(Q-SK.\)", words)
        digest = head(demo)[1][:16]
        assert (f"ledger head {digest}" in words) == (name != "airframe then")

    @pytest.mark.parametrize("name", ["due", "audit"])
    def test_csv_has_no_place_for_it_and_says_it_beside(self, demo: str, tmp_path: Path, name: str) -> None:
        path = tmp_path / "rows.csv"
        digest = head(demo)[1]
        for said in (_csv(demo, *TABLES[name]), _csv(demo, *TABLES[name], "--output", path)):
            for words in (f"As of {TODAY}", "known at now", digest, "SKARHOLM edition 4", "oldest reading 2026-"):
                assert words in said.err

    @pytest.mark.parametrize("name", ["due", "audit"])
    def test_a_workbook_has_it_on_a_sheet_of_its_own(self, demo: str, tmp_path: Path, name: str) -> None:
        book = _workbook(tmp_path, demo, *TABLES[name], "--known-at", str(head(demo)[0]))
        about = {row[0].value: row[1].value for row in book["about"].iter_rows()}
        assert about["as_of"] == datetime.fromisoformat(TODAY)
        assert about["known_at"] == str(head(demo)[0])
        assert about["ledger_head"] == head(demo)[1]
        assert "SKARHOLM edition 4" in about["editions"]
        assert isinstance(about["oldest_reading"], datetime)
        assert not any("{" in str(value) or "[" in str(value) for value in about.values())

    def test_the_coverage_is_on_it_number_by_number(self, sqlite_demo: str, tmp_path: Path) -> None:
        book = _workbook(tmp_path, sqlite_demo, *TABLES["due"])
        about = {row[0].value: row[1].value for row in book["about"].iter_rows()}
        coverage = _json(sqlite_demo, *TABLES["due"])["about"]["coverage"]
        assert about["coverage: units"] == coverage["units"] > 200
        assert about["coverage: without_programme"] == 1
        assert about["coverage: causes 1: cause"] == coverage["causes"][0]["cause"]
        assert about["findings 1: finding"] == "LIF105"

    def test_what_a_swap_changed_names_it(self, own_demo: str) -> None:
        said = fleetlife(*TABLES["preview"], "--format", "json", database=own_demo)
        assert said.json["preview"] is True
        assert said.json["about"]["editions"]
        assert (said.json["about"]["ledger_head"], said.json["entry"]) == (None, None)


class TestFormulas:
    """Text that a workbook program would take for a formula."""

    @pytest.fixture
    def with_formulas(self, sqlite_demo: str, tmp_path: Path) -> str:
        folder = tmp_path / "in"
        folder.mkdir()
        (folder / "parts.csv").write_text("part_number,manufacturer\r\n=1+1,@SUM(A1)\r\n", encoding="utf-8")
        (folder / "units.csv").write_text(
            "part_number,serial_number,manufacturer,as_of,store\r\n=1+1,\"=HYPERLINK(\"\"http://x\"\",\"\"y\"\")\",@SUM(A1),"
            "2026-11-20,+Cellar\r\n",
            encoding="utf-8",
        )  # fmt: skip
        assert fleetlife("import", folder, "--as-of", TODAY, database=sqlite_demo).status == CLEAN
        return sqlite_demo

    def test_csv_gives_it_a_space_that_breaks_the_formula(self, with_formulas: str) -> None:
        rows = list(csv.DictReader(io.StringIO(_csv(with_formulas, "due", "--part", "=1+1", *ON).out)))
        assert [(row["part_number"], row["serial_number"], row["manufacturer"], row["store"]) for row in rows] == [
            ("\xa0=1+1", '\xa0=HYPERLINK("http://x","y")', "\xa0@SUM(A1)", "\xa0+Cellar")
        ]

    def test_a_workbook_holds_it_as_text(self, with_formulas: str, tmp_path: Path) -> None:
        sheet = _workbook(tmp_path, with_formulas, "due", "--part", "=1+1", *ON).worksheets[0]
        cells = {cell.value: cell for row in sheet.iter_rows() for cell in row if cell.value is not None}
        assert cells["=1+1"].data_type == cells["@SUM(A1)"].data_type == cells["+Cellar"].data_type == "s"

    def test_json_keeps_it_as_it_is(self, with_formulas: str) -> None:
        (row,) = _json(with_formulas, "due", "--part", "=1+1", *ON)["rows"]
        assert (row["part_number"], row["store"]) == ("=1+1", "+Cellar")


def _json(database: str, *arguments: str) -> Any:
    said = fleetlife(*arguments, "--format", "json", database=database)
    assert said.status in (CLEAN, FINDINGS)
    return said.json


def _csv(database: str, *arguments: str | Path) -> Said:
    said = fleetlife(*arguments, "--format", "csv", database=database)
    assert said.status in (CLEAN, FINDINGS)
    return said


def _workbook(folder: Path, database: str, *arguments: str) -> Any:
    path = folder / "answer.xlsx"
    said = fleetlife(*arguments, "--format", "xlsx", "--output", path, database=database)
    assert said.status in (CLEAN, FINDINGS)
    assert said.out == ""
    return openpyxl.load_workbook(path)


def _plain(value: Any) -> Any:
    return value.date().isoformat() if isinstance(value, datetime) else value


def _as_text(value: Any) -> str:
    if value is None:
        return ""
    return str(value).lower() if isinstance(value, bool) else str(value)


def _without_heads(text: str) -> str:
    text = re.sub(r"\b[0-9a-f]{16}([0-9a-f]{48})?\b", "HEAD", text)
    return re.sub(r"\d{4}-\d\d-\d\dT[\d:.]+Z", "TIME", text)

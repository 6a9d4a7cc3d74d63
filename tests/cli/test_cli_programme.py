"""The change list: what moves, from when to when, why. It is the difference that importing would make."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from rich.cells import cell_len

from fleetlife.cli.walk import seed_folder
from fleetlife.reports.rows import CHANGE_COLUMNS
from fleetlife.terms.views import MOVES

from .running import CLEAN, FINDINGS, REFUSED, TODAY, fleetlife, head
from .test_cli_what_if import ADDED, BANDS, HOURS, OF_NOTHING, OLD, REQUIREMENT, SHORTER, derived, written

LONGER = "OVH,KV-3300-1,overhaul,manufacturer,SKARHOLM,5,{day},,release,,72,18000:00,,,,,Kvitnes 25-66-33 revision C"
ENDING = "OVH,KV-2100-5,overhaul,manufacturer,SKARHOLM,5,{day},2026-12-31,installation,,48,12000,,12,,,Kvitnes 25-66-25"
SAME = "OVH,KV-2100-3,overhaul,manufacturer,SKARHOLM,5,{day},,installation,,36,,,12,,,Kvitnes 25-66-21 revision B"
GENERAL = ADDED.replace("CYL", "LIM")
PAIRED = ("state", "due_date", "due_earliest", "due_if_fitted", "calendar_due", "airframe_hours_due",
          "airframe_cycles_due", "hours_left", "cycles_left", "operations_left")  # fmt: skip

Row = dict[str, Any]


def rules(tmp_path: Path, *rows: str, day: str) -> Path:
    return written(tmp_path, "requirements.csv", REQUIREMENT, *(row.format(day=day) for row in rows))


def asked(database: str, path: Path, *options: str | Path) -> dict[str, Any]:
    said = fleetlife("programme", "changes", path, "--as-of", TODAY, *options, "--format", "json", database=database)
    assert said.status in (CLEAN, FINDINGS), said.err
    answer: dict[str, Any] = said.json
    return {**answer, "status": said.status}


def as_text(value: object) -> str:
    """As csv writes it."""
    if isinstance(value, bool):
        return str(value).lower()
    return "" if value is None else str(value)


def due_rows(database: str, day: str) -> dict[tuple[str, ...], Row]:
    """By unit, requirement and, where a unit keeps several of one name, edition."""
    rows = fleetlife("due", "--all", "--as-of", day, "--format", "json", database=database).json["rows"]
    return {(row["part_number"], row["serial_number"], row["requirement"]): row for row in rows}


class TestItIsTheDifferenceThatImportingMakes:
    @pytest.fixture(params=["sqlite", "postgresql"])
    def two(self, request: pytest.FixtureRequest, demo_copy: Callable[[str], str]) -> tuple[str, str]:
        return demo_copy(request.param), demo_copy(request.param)

    @pytest.mark.parametrize(
        ("rows", "day", "on"),
        [
            ((SHORTER, HOURS, ADDED, OF_NOTHING), "2026-11-01", TODAY),
            ((LONGER, SAME), "2026-11-01", TODAY),
            ((SHORTER, OF_NOTHING), "2026-12-15", "2026-12-15"),
        ],
    )
    def test_row_by_row(self, two: tuple[str, str], tmp_path: Path, rows: tuple[str, ...], day: str, on: str) -> None:
        """An edition of a later day has calendar limits alone here, which do not move with the day asked."""
        path = rules(tmp_path, *rows, day=day)
        changes = asked(two[0], path)
        before = due_rows(two[0], on)
        assert fleetlife("import", path, database=two[1]).status == CLEAN
        after = due_rows(two[1], on)
        moved: dict[tuple[str, ...], tuple[Row, Row]] = {}
        for key in before.keys() | after.keys():
            was, becomes = before.get(key, {}), after.get(key, {})
            if [was.get(name) for name in PAIRED] != [becomes.get(name) for name in PAIRED]:
                moved[key] = was, becomes
        none = {key for key in moved if key[2] is None}  # units that had no programme: beside what they get
        told = {(row["part_number"], row["serial_number"], row["requirement"]): row for row in changes["rows"]}
        assert len(told) == len(changes["rows"])
        assert told.keys() == moved.keys() - none
        for key, row in told.items():
            was, becomes = moved[key]
            assert row["due_before"] == was.get("due_date")
            assert row["due_after"] == becomes.get("due_date")
            assert row["calendar_due_after"] == becomes.get("calendar_due")
            assert row["airframe_hours_due_after"] == becomes.get("airframe_hours_due")
            assert row["state_after"] == becomes["state"]
            assert row["applies_from"] == on
            assert row["edition_after"] == becomes["edition"]

    def test_after_importing_nothing_is_left_of_it(self, own_demo: str, tmp_path: Path) -> None:
        path = rules(tmp_path, SHORTER, HOURS, day="2026-11-01")
        assert asked(own_demo, path)["rows"]
        assert fleetlife("import", path, database=own_demo).status == CLEAN
        again = asked(own_demo, path)
        assert (again["rows"], again["status"], again["about"]["known"]) == ([], CLEAN, 2)

    def test_nothing_is_written(self, own_demo: str, tmp_path: Path) -> None:
        before, rows = head(own_demo), derived(own_demo)
        assert asked(own_demo, rules(tmp_path, SHORTER, HOURS, ADDED, day="2026-12-15"))["rows"]
        assert (head(own_demo), derived(own_demo)) == (before, rows)


class TestWhatMoves:
    def test_the_worst_comes_first_and_everything_is_counted(self, demo: str, tmp_path: Path) -> None:
        changes = asked(demo, rules(tmp_path, SHORTER, LONGER, OF_NOTHING, day="2026-12-15"))
        rows = changes["rows"]
        ranks = [MOVES.index(row["move"]) for row in rows]
        assert ranks == sorted(ranks)
        assert {rows[0]["move"], rows[-1]["move"]} == {"becomes overdue", "later"}
        earlier = [row["days"] for row in rows if row["move"] == "earlier"]
        assert earlier == sorted(earlier)
        assert changes["about"]["counts"] == {m: sum(r["move"] == m for r in rows) for m in MOVES if
                                              any(r["move"] == m for r in rows)}  # fmt: skip

    def test_a_date_between_today_and_the_editions_day_becomes_overdue_on_it(self, demo: str, tmp_path: Path) -> None:
        """20118 is due 2027-06-12, six months sooner 2026-12-12: in date today, overdue when edition 5 applies."""
        at_once = asked(demo, rules(tmp_path, SHORTER, day="2026-11-01"))["rows"]
        later = asked(demo, rules(tmp_path, SHORTER, day="2026-12-15"))["rows"]
        (one,) = [row for row in at_once if row["serial_number"] == "20118"]
        (other,) = [row for row in later if row["serial_number"] == "20118"]
        assert (one["due_after"], one["move"], one["state_after"]) == ("2026-12-12", "earlier", "in date")
        assert (other["due_after"], other["move"], other["state_after"]) == ("2026-12-12", "becomes overdue", "overdue")
        assert other["days"] == -182
        assert other["applies_from"] == "2026-12-15"
        assert other["why"] == "SKARHOLM edition 4, now SKARHOLM edition 5: repeat 36 months, now 30 months."

    def test_an_hours_limit_moves_the_total_and_the_date_with_it(self, demo: str, tmp_path: Path) -> None:
        rows = asked(demo, rules(tmp_path, HOURS, day="2026-11-01"))["rows"]
        (row,) = [row for row in rows if row["serial_number"] == "33202"]
        assert row["move"] in ("earlier", "becomes overdue")

        def minutes(text: str) -> int:
            return int(text.split(":")[0]) * 60 + int(text.split(":")[1])

        moved = minutes(row["airframe_hours_due_before"]) - minutes(row["airframe_hours_due_after"])
        assert moved == (17_500 - 9_000) * 60
        assert "repeat 60 months, 17500:00 FH, now 60 months, 9000:00 FH" in row["why"]

    def test_a_longer_interval_alone_ends_clean(self, demo: str, tmp_path: Path) -> None:
        changes = asked(demo, rules(tmp_path, LONGER, day="2026-11-01"))
        assert {row["move"] for row in changes["rows"]} == {"later"}
        assert changes["status"] == CLEAN

    def test_an_edition_without_a_successor_leaves_units_without_a_programme(self, demo: str, tmp_path: Path) -> None:
        """From the day after it ends nothing says when KV-2100-5 is to be overhauled; its other requirement stays."""
        changes = asked(demo, rules(tmp_path, ENDING, day="2026-12-01"))
        gone = [row for row in changes["rows"] if row["move"] == "no longer required"]
        assert gone
        assert {row["applies_from"] for row in gone} == {"2027-01-01"}
        assert {row["due_after"] for row in gone} == {None}
        assert all("no longer in force and nothing takes its place" in row["why"] for row in gone)

    def test_the_only_requirement_ending_becomes_unknown(self, own_demo: str, tmp_path: Path) -> None:
        assert fleetlife("import", rules(tmp_path, OF_NOTHING, day="2026-11-01"), database=own_demo).status == CLEAN
        ends = OF_NOTHING.replace(",5,{day},,", ",6,2026-12-01,2026-12-31,")
        changes = asked(own_demo, rules(tmp_path, ends, day=""))
        assert [(row["move"], row["applies_from"], row["state_after"]) for row in changes["rows"]] == [
            ("becomes unknown", "2027-01-01", "unknown")
        ]
        assert changes["status"] == FINDINGS

    def test_a_unit_that_had_no_programme_gets_one(self, demo: str, tmp_path: Path) -> None:
        (row,) = asked(demo, rules(tmp_path, OF_NOTHING, day="2026-11-01"))["rows"]
        assert (row["part_number"], row["state_before"], row["due_before"]) == ("KV-2100-9", "unknown", None)
        assert row["requirement"] == "OVH"
        assert row["why"].startswith("New requirement in SKARHOLM edition 5: start release; repeat 24 months")

    def test_a_requirement_that_was_not_there_is_new(self, demo: str, tmp_path: Path) -> None:
        changes = asked(demo, rules(tmp_path, ADDED, day="2026-11-01"))
        assert {row["move"] for row in changes["rows"]} <= {"new", "becomes overdue", "becomes unknown"}
        assert "new" in changes["about"]["counts"]
        assert changes["status"] == FINDINGS

    def test_a_general_one_is_new_only_where_none_of_the_programme_takes_its_place(
        self, demo: str, tmp_path: Path
    ) -> None:
        """Units on airframes of the programme keep its LIM; those on none keep both."""
        rows = asked(demo, rules(tmp_path, GENERAL, day="2026-11-01"))["rows"]
        assert rows
        assert {row["registration"] for row in rows} == {None}
        assert {(row["programme_after"], row["edition_after"], row["due_before"]) for row in rows} == {
            (None, "7", None)
        }

    def test_bands_say_so(self, demo: str, tmp_path: Path) -> None:
        path = written(tmp_path, "bands.csv", BANDS, OLD.format(edition=4))
        rows = asked(demo, path)["rows"]
        assert rows
        assert {row["why"] for row in rows} == {
            "SKARHOLM edition 4: bands none, now from 144 months of age 6 months (cap)."
        }


class TestNothingMoves:
    def test_a_file_of_what_is_recorded_says_so(self, demo: str) -> None:
        said = fleetlife(
            "programme", "changes", seed_folder() / "first" / "requirements.csv", "--as-of", TODAY, database=demo
        )
        assert said.status == CLEAN
        assert "This changes nothing: every row is in the records already." in said.words

    def test_an_edition_with_the_same_figures_says_so_and_counts_them(self, demo: str, tmp_path: Path) -> None:
        path = rules(tmp_path, SAME, day="2026-12-15")
        said = fleetlife("programme", "changes", path, "--as-of", TODAY, database=demo)
        assert said.status == CLEAN
        assert "Nothing moves: every due point stays where it is." in said.words
        changes = asked(demo, path)
        assert changes["rows"] == []
        assert changes["about"]["restated"] == changes["about"]["units"] > 20

    def test_a_row_that_cannot_be_taken_in_is_refused(self, demo: str, tmp_path: Path) -> None:
        before, told = head(demo), tmp_path / "problems.csv"
        path = rules(tmp_path, SHORTER.replace("KV-2100-3", "KV-9999"), day="2026-12-15")
        said = fleetlife("programme", "changes", path, "--as-of", TODAY, "--problems", told, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert "No part KV-9999" in told.read_text(encoding="utf-8")
        assert head(demo) == before


class TestFormats:
    @pytest.fixture
    def path(self, tmp_path: Path) -> Path:
        return rules(tmp_path, SHORTER, HOURS, ADDED, OF_NOTHING, day="2026-12-15")

    def test_all_carry_the_same_columns_and_rows(self, demo: str, tmp_path: Path, path: Path) -> None:
        rows = asked(demo, path)["rows"]
        assert {tuple(row) for row in rows} == {CHANGE_COLUMNS}
        words = ("programme", "changes", path, "--as-of", TODAY)
        said = fleetlife(*words, "--format", "csv", database=demo)
        read = list(csv.reader(io.StringIO(said.out, newline="")))
        assert tuple(read[0]) == CHANGE_COLUMNS
        assert read[1:] == [[as_text(value) for value in row.values()] for row in rows]
        assert "What if: requirements as in requirements.csv" in said.err
        book = tmp_path / "changes.xlsx"
        fleetlife(*words, "--format", "xlsx", "--output", book, database=demo)
        sheet = openpyxl.load_workbook(book).worksheets[0]
        assert tuple(cell.value for cell in next(sheet.iter_rows())) == CHANGE_COLUMNS
        assert sheet.max_row == len(rows) + 1

    @pytest.mark.parametrize("columns", [80, 100, 140])
    def test_no_line_of_the_table_is_too_wide_and_the_figures_are_there(
        self, demo: str, path: Path, columns: int
    ) -> None:
        said = fleetlife("programme", "changes", path, "--as-of", TODAY, database=demo, columns=columns)
        assert said.status == FINDINGS
        assert [line for line in said.out.splitlines() if cell_len(line) > columns] == []
        for words in ("BECOMES OVERDUE", "20118", "2027-06-12", "2026-12-12", "-182", "applies from 2026-12-15"):
            assert words in said.words

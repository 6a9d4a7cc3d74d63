"""The accomplishments file takes a mark as stamped where the date is a mark, and nowhere else."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.store.facts import all_entries
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import read_folder

from .fleet import BOTTLE, SLIDE, Intake, Row, d, due, everything, only, unit, write

DAY = date(2026, 11, 25)
BARE = "QR-9"  # a bottle of no requirement
OVERHAUL: Row = {"part_number": SLIDE, "serial_number": "0101", "requirement": "OVH"}
HELD: Row = {"part_number": BOTTLE, "serial_number": "R1", "requirement": "HST"}


def take(intake: Intake, *rows: Row, day: date = DAY, **files: list[Row]) -> IntakeReport:
    folder = write(intake.folder, {**files, "accomplishments": list(rows)})
    return take_in(intake.store, read_folder(folder, marks_as_of=day), recorded_by="clerk")


def refused(intake: Intake, *rows: Row, day: date = DAY, **files: list[Row]) -> Problem:
    before = everything(intake.store)
    with pytest.raises(RowsRefused) as found:
        take(intake, *rows, day=day, **files)
    assert everything(intake.store) == before
    return only(found.value.problems)


def done_on(intake: Intake) -> Any:
    with intake.store.reading() as connection:
        return list(all_entries(connection))[-1].body["items"][0]["done_on"]


class TestMarks:
    @pytest.mark.parametrize(
        ("stamped", "month"),
        [
            ("03 * 23", "2023-03"),
            ("03 A123 23+", "2023-03"),
            ("9-24", "2024-09"),
            ("3 24", "2024-03"),
            ("03/24", "2024-03"),
        ],
    )
    def test_a_requalification_is_dated_by_its_mark_as_stamped(self, fleet: Intake, stamped: str, month: str) -> None:
        take(fleet, {**HELD, "date": stamped})
        assert done_on(fleet) == month
        (point,) = due(fleet.store, "R1")
        assert point.last_done == d(f"{month}-01")

    def test_stamped_or_written_out_it_is_the_same_mark(self, fleet: Intake) -> None:
        assert take(fleet, {**HELD, "date": "03 * 23"}).entries == 1
        assert take(fleet, {**HELD, "date": "2023-03"}).entries == 0
        assert take(fleet, {**HELD, "date": "3-23*"}, day=date(2031, 1, 1)).entries == 0

    def test_the_day_of_the_import_settles_the_century(self, fleet: Intake) -> None:
        problem = refused(fleet, {**HELD, "date": "12-26"})
        assert "1926-12" in problem.reason
        take(fleet, {**HELD, "date": "12-26"}, day=date(2026, 12, 1))
        assert done_on(fleet) == "2026-12"

    def test_without_a_day_no_century_is_given(self, fleet: Intake) -> None:
        with pytest.raises(RowsRefused) as found:
            fleet.take({"accomplishments": [{**HELD, "date": "8-70"}]})
        assert "century" in only(found.value.problems).reason

    @pytest.mark.parametrize("stamped", ["8-70", "02 * 15"])
    def test_never_before_the_bottle_was_made(self, fleet: Intake, stamped: str) -> None:
        """Made in March 2015 by its opening statement, which was taken in before."""
        problem = refused(fleet, {**HELD, "date": stamped})
        assert "before it was made (2015-03-01)" in problem.reason
        assert (problem.column, problem.value, problem.line) == ("date", stamped, 2)

    def test_made_by_a_row_of_the_same_import(self, fleet: Intake) -> None:
        new = unit(BOTTLE, "R9", store="Main", manufactured="2019")
        row: Row = {**HELD, "serial_number": "R9", "date": "12-18"}
        assert "2019" in refused(fleet, row, units=[new]).reason
        take(fleet, {**row, "date": "01-19"}, units=[new])
        assert done_on(fleet) == "2019-01"

    def test_made_nobody_knows_when_the_latest_century_stands(self, fleet: Intake) -> None:
        take(fleet, {**HELD, "serial_number": "R9", "date": "8-70"}, units=[unit(BOTTLE, "R9", store="Main")])
        assert done_on(fleet) == "1970-08"

    def test_two_readings_are_refused(self, fleet: Intake) -> None:
        assert "a year and a month" in refused(fleet, {**HELD, "date": "05/07"}).reason

    @pytest.mark.parametrize("stamped", ["70-08", "13-70", "13/22"])
    def test_a_month_that_is_none_is_refused(self, fleet: Intake, stamped: str) -> None:
        assert refused(fleet, {**HELD, "date": stamped}).column == "date"


class TestNothingIsGuessed:
    @pytest.mark.parametrize("basis", [None, "release", "log"])
    def test_where_the_date_is_no_mark_it_is_an_error_that_says_so(self, fleet: Intake, basis: str | None) -> None:
        problem = refused(fleet, {**OVERHAUL, "date": "8-70", "date_basis": basis})
        assert "this row is no mark" in problem.reason
        assert "date_basis mark" in problem.remedy

    @pytest.mark.parametrize("basis", ["release", "log"])
    def test_a_requalification_dated_by_other_than_its_mark_is_no_mark(self, fleet: Intake, basis: str) -> None:
        assert "no mark" in refused(fleet, {**HELD, "date": "03 * 23", "date_basis": basis}).reason

    def test_said_to_be_a_mark_it_is_one(self, fleet: Intake) -> None:
        take(fleet, {**OVERHAUL, "date": "03 * 23", "date_basis": "mark"})
        assert done_on(fleet) == "2023-03"

    def test_a_part_that_has_no_such_requirement_does_not_make_it_a_mark(self, fleet: Intake) -> None:
        files = {
            "parts": [{"part_number": BARE, "manufacturer": "Kittiwake", "kind": "reservoir", "rig": "none"}],
            "units": [unit(BARE, "X1", store="Main")],
        }
        row: Row = {"part_number": BARE, "serial_number": "X1", "requirement": "HST", "date": "03 * 23"}
        assert "no mark" in refused(fleet, row, **files).reason

    @pytest.mark.parametrize("text", ["03/04/2023", "03-04-23", "1Q23", "3 JUN 23"])
    def test_what_could_be_a_day_is_refused_as_before(self, fleet: Intake, text: str) -> None:
        refused(fleet, {**HELD, "date": text})

"""A variation that extends nothing is refused by its line; one that does is kept, and the row shows both dates."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.mend import correct
from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.answers.due import due as due_list
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow
from fleetlife.transfer.reading import read_folder
from fleetlife.transfer.variation_limits import read_variation_limits

from .fleet import SLIDE, Files, Intake, everything, head, movement, only, small_fleet, write

TABLE = Path(__file__).parents[2] / "docs" / "variation-limits.csv"


def varied(serial: str = "0101", *, approved: str = "2024-01-20", **fields: Any) -> dict[str, Any]:
    said = {"requirement": "INS", "approved_on": approved, "approved_by": "K12", "reference": "VAR 1"}
    return {"part_number": SLIDE, "serial_number": serial, "until": "2024-02-20", **said, **fields}


def inspected() -> Files:
    """The small fleet with an inspection on the aircraft every 22 months, due 2024-02-01 on 0101."""
    files = small_fleet()
    own = {"programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "source": "programme"}
    files["requirements"] += [
        {
            "requirement": "INS",
            "part_number": SLIDE,
            "kind": "inspection",
            "done_at": "aircraft",
            **own,
            "repeat_months": 22,
            "repeat_hours": "4000:00",
            "variation_allowed": "yes",
            "reference": "Card INS",
        },
        {
            "requirement": "DIR",
            "part_number": SLIDE,
            "kind": "inspection",
            "done_at": "aircraft",
            **own,
            "source": "directive",
            "repeat_months": 22,
            "reference": "Card DIR",
        },
    ]
    files["accomplishments"] += [
        {
            "part_number": SLIDE,
            "serial_number": serial,
            "requirement": "INS",
            "date": "2022-04-01",
            "date_basis": "log",
            "hours_since_new": "950:00",
        }
        for serial in ("0101", "0102", "0103")
    ]
    return files


@pytest.fixture
def inspected_fleet(intake: Intake) -> Intake:
    intake.take(inspected())
    return intake


def row(fleet: Intake, serial: str = "0101", on: str = "2024-02-05") -> DueRow:
    rows = due_list(fleet.store, as_of=date.fromisoformat(on), everything=True).rows
    return next(r for r in rows if r.serial_number == serial and r.requirement == "INS")


def refused(fleet: Intake, *variations: dict[str, Any], **more: Any) -> str:
    before = everything(fleet.store)
    problem = only(fleet.refused({"variations": list(variations), **more}))
    assert everything(fleet.store) == before
    assert problem.file == "variations.csv"
    assert problem.remedy
    return problem.reason


class TestRefused:
    def test_a_good_one_is_kept_and_shows_both_dates(self, inspected_fleet: Intake) -> None:
        assert row(inspected_fleet).state == "overdue"
        inspected_fleet.take({"variations": [varied()]})
        found = row(inspected_fleet)
        assert (found.state, found.original_due, found.due_date) == ("in variation", "2024-02-01", "2024-02-20")
        assert inspected_fleet.take({"variations": [varied()]}).entries == 0  # the same again is known

    def test_approved_after_the_due_point(self, inspected_fleet: Intake) -> None:
        reason = refused(inspected_fleet, varied(approved="2024-02-02"))
        assert "approved 2024-02-02, after the due point had passed (due 2024-02-01)" in reason

    def test_approved_on_the_due_day_is_in_time(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied(approved="2024-02-01")]})
        assert row(inspected_fleet).state == "in variation"

    def test_a_second_for_the_same_due_point(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied()]})
        reason = refused(inspected_fleet, varied(approved="2024-01-25", until="2024-03-10", reference="VAR 2"))
        assert "already extended under VAR 1 of 2024-01-20" in reason
        assert row(inspected_fleet).due_date == "2024-02-20"

    def test_two_in_one_file(self, inspected_fleet: Intake) -> None:
        assert "already extended under VAR 1" in refused(
            inspected_fleet, varied(), varied(approved="2024-01-25", reference="VAR 2")
        )

    def test_one_for_the_next_due_point_is_another(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied()]})
        done = {"part_number": SLIDE, "serial_number": "0101", "requirement": "INS", "date": "2024-02-10"}
        inspected_fleet.take({"accomplishments": [{**done, "date_basis": "log", "hours_since_new": "1100:00"}]})
        # done under the variation: the next counts from the point first due, 2024-02-01
        assert row(inspected_fleet, on="2024-02-11").calendar_due == "2025-12-01"
        assert row(inspected_fleet, on="2024-02-11").variation is None
        inspected_fleet.take({"variations": [varied(approved="2024-03-01", until="2025-12-31", reference="VAR 2")]})
        assert row(inspected_fleet, on="2024-03-02").variation == "VAR 2, approved 2024-03-01 by K12"

    def test_to_a_day_that_extends_nothing(self, inspected_fleet: Intake) -> None:
        reason = refused(inspected_fleet, varied(until="2024-02-01"))
        assert "it extends nothing: 2024-02-01 is not beyond 2024-02-01" in reason

    def test_to_a_total_that_extends_nothing(self, inspected_fleet: Intake) -> None:
        assert "airframe hours is not beyond" in refused(inspected_fleet, varied(until="", until_hours="10200:00"))

    def test_off_an_airframe(self, inspected_fleet: Intake) -> None:
        assert "no airframe carried the unit on 2024-01-20" in refused(inspected_fleet, varied("0103"))

    def test_where_the_requirement_allows_none(self, inspected_fleet: Intake) -> None:
        reason = refused(inspected_fleet, varied(requirement="DIR"))
        assert "allows no variation" in reason

    def test_of_a_requirement_of_another_part(self, inspected_fleet: Intake) -> None:
        bottle = {**varied("R1"), "part_number": "KR-20", "requirement": "INS"}
        with pytest.raises(RowsRefused):
            inspected_fleet.take({"variations": [bottle]})

    def test_it_lapses_when_the_unit_leaves(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied()]})
        inspected_fleet.take({"movements": [movement("2024-02-03", off="0101", removed_to="store")]})
        assert row(inspected_fleet).state == "overdue"

    def test_a_correction_into_none_is_refused_too(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied()]})
        before = everything(inspected_fleet.store)
        with pytest.raises(Refusal) as told:
            correct(
                inspected_fleet.store,
                head(inspected_fleet.store),
                changes={"approved_on": "2024-02-03"},
                reason="misread",
                authorised_by="K12",
                recorded_by="clerk",
            )
        assert told.value.code == "variation-too-late"
        assert everything(inspected_fleet.store) == before

    def test_a_correction_that_changes_how_far_is_taken(self, inspected_fleet: Intake) -> None:
        inspected_fleet.take({"variations": [varied()]})
        correct(
            inspected_fleet.store,
            head(inspected_fleet.store),
            changes={"until_on": "2024-02-25"},
            reason="misread",
            authorised_by="K12",
            recorded_by="clerk",
        )
        assert row(inspected_fleet).due_date == "2024-02-25"


class TestTheTableOfLimits:
    def taken(self, fleet: Intake, tmp_path: Path, **fields: Any) -> None:
        folder = write(tmp_path / "more", {"variations": [varied(**fields)]})
        take_in(fleet.store, read_folder(folder), recorded_by="clerk", limits=read_variation_limits(TABLE))

    def test_within_two_months_of_an_interval_of_22(self, inspected_fleet: Intake, tmp_path: Path) -> None:
        self.taken(inspected_fleet, tmp_path, until="2024-04-01")
        assert row(inspected_fleet).due_date == "2024-04-01"

    def test_a_day_more_is_refused_and_nothing_is_kept(self, inspected_fleet: Intake, tmp_path: Path) -> None:
        before = everything(inspected_fleet.store)
        with pytest.raises(RowsRefused) as told:
            self.taken(inspected_fleet, tmp_path, until="2024-04-02")
        (problem,) = told.value.problems
        assert "2024-04-02 is 61 days beyond the due point; the table of limits allows 60 days" in problem.reason
        assert "JAA TGL 26, from memory" in problem.reason
        assert everything(inspected_fleet.store) == before

    def test_ten_percent_of_four_thousand_hours(self, inspected_fleet: Intake, tmp_path: Path) -> None:
        due_at = row(inspected_fleet).airframe_hours_due
        assert due_at is not None
        for minutes, fits in ((due_at + 401 * 60, False), (due_at + 400 * 60, True)):
            until = f"{minutes // 60}:{minutes % 60:02d}"
            if fits:
                self.taken(inspected_fleet, tmp_path / str(minutes), until="", until_hours=until)
            else:
                with pytest.raises(RowsRefused):
                    self.taken(inspected_fleet, tmp_path / str(minutes), until="", until_hours=until)

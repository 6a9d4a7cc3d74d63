"""Files that put right what stands: all of them together, shown before, or refused with the entry in the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import pytest

from fleetlife.actions.take_in import Replacing, RowsRefused, take_in
from fleetlife.store.facts import all_entries
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.reading import read_folder

from .fleet import Intake, Row, carried, everything, movement, only, readings, rebuilt_differs, stays, write

WHY = Replacing(reason="re-issued by the technical log office", authorised_by="Q2")
DAY = date(2024, 6, 1)


def take_again(intake: Intake, files: Mapping[str, Sequence[Row]], **asked: Any) -> IntakeReport:
    folder = read_folder(write(intake.folder, files))
    return take_in(intake.store, folder, recorded_by="clerk", replacing=WHY, **asked)


def higher(rows: Sequence[Row], since: str, by: int) -> list[Row]:
    """The readings from a day on with more hours and cycles."""
    return [
        row
        if row["date"] < since
        else row
        | {
            "hours_total": f"{int(row['hours_total'].split(':')[0]) + by}:00",
            "cycles_total": row["cycles_total"] + by // 10,
        }
        for row in rows
    ]


@pytest.fixture
def removed(fleet: Intake) -> Intake:
    """0101 off on 2024-01-10, its totals stated; 0102 off on the 20th, bounded by the readings."""
    off = movement("2024-01-10", "L1", off="0101", removed_to="store")
    fleet.take({"movements": [off | {"hours_total": "10122:00", "cycles_total": 1012}]})
    fleet.take({"movements": [movement("2024-01-20", "R1", off="0102", removed_to="store")]})
    return fleet


def as_stored(intake: Intake) -> list[Row]:
    """The standing readings of Q-AAA as a file states them."""
    with intake.store.reading() as connection:
        found: dict[str, Row] = {}
        for entry in all_entries(connection):
            if entry.kind != "reading":
                continue
            for item in entry.body["items"]:
                if item["airframe"] == 1:
                    hours = f"{item['minutes'] // 60}:{item['minutes'] % 60:02d}"
                    found[item["read_on"]] = {
                        "registration": "Q-AAA",
                        "date": item["read_on"],
                        "hours_total": hours,
                        "cycles_total": item["cycles"],
                    }
    return [found[day] for day in sorted(found)]


class TestAMonthOfHoursReissued:
    def test_every_boundary_that_rested_on_it_moves_and_what_moves_is_told(self, removed: Intake) -> None:
        rows = higher(as_stored(removed), "2024-01-15", 5)
        before = carried(removed.store, "0102")[0].until_minutes
        shown = take_again(removed, {"readings": rows}, moves_on=DAY, preview=True)
        assert carried(removed.store, "0102")[0].until_minutes == before
        assert {row.serial_number for row in shown.moved} >= {"0102"}
        report = take_again(removed, {"readings": rows})
        assert carried(removed.store, "0102")[0].until_minutes == (before or 0) + 5 * 60
        assert carried(removed.store, "0101")[0].until_minutes == 10_122 * 60
        assert dict(report.replaced)["readings"] == len([row for row in rows if row["date"] >= "2024-01-15"])
        assert rebuilt_differs(removed.store) == {}

    def test_without_leave_it_is_refused_and_the_way_is_named(self, removed: Intake) -> None:
        problems = removed.refused({"readings": higher(as_stored(removed), "2024-01-31", 5)})
        assert "--replace" in problems[0].remedy

    def test_where_it_crosses_a_stated_total_the_movement_is_named(self, removed: Intake) -> None:
        rows = higher(as_stored(removed), "2024-01-05", 10)
        before = everything(removed.store)
        with pytest.raises(RowsRefused) as refused:
            take_again(removed, {"readings": rows})
        reasons = {problem.reason for problem in refused.value.problems}
        assert any("a movement of 2024-01-10, states 10122:00, which would be below this reading" in r for r in reasons)
        assert everything(removed.store) == before

    def test_and_with_the_movement_in_the_same_folder_both_are_put_right(self, removed: Intake) -> None:
        rows = higher(as_stored(removed), "2024-01-05", 10)
        off = movement("2024-01-10", "L1", off="0101", removed_to="store")
        moved = off | {"hours_total": "10132:00", "cycles_total": 1013}
        report = take_again(removed, {"readings": rows, "movements": [moved]})
        assert dict(report.replaced)["movements"] == 1
        assert carried(removed.store, "0101")[0].until_minutes == 10_132 * 60
        assert rebuilt_differs(removed.store) == {}
        with removed.store.reading() as connection:
            made = list(all_entries(connection))[-report.entries :]
        assert {entry.kind for entry in made} == {"correction"}
        assert len({entry.body["group"] for entry in made}) == 1
        assert {(entry.body["reason"], entry.body["authorised_by"]) for entry in made} == {
            (WHY.reason, WHY.authorised_by)
        }


class TestOtherRows:
    def test_a_movement_of_the_same_place_and_day_is_the_one_put_right(self, removed: Intake) -> None:
        """Its sequence is not stated; one movement stands at that door on that day."""
        row = movement("2024-01-20", "R1", off="0102", removed_to="shop")
        take_again(removed, {"movements": [row]})
        assert [stay.kind for stay in stays(removed.store, "0102")] == ["position", "shop"]
        assert rebuilt_differs(removed.store) == {}

    def test_the_same_again_changes_nothing(self, removed: Intake) -> None:
        before = everything(removed.store)
        report = take_again(removed, {"readings": as_stored(removed)})
        assert (report.entries, report.replaced) == (0, ())
        assert everything(removed.store) == before

    def test_what_would_contradict_the_rest_is_refused_whole(self, removed: Intake) -> None:
        before = everything(removed.store)
        rows = higher(as_stored(removed), "2024-01-25", 3)
        row = movement("2024-01-20", "R1", off="0101", removed_to="store")
        with pytest.raises(RowsRefused) as refused:
            take_again(removed, {"readings": rows, "movements": [row]})
        assert only(refused.value.problems).file == "movements.csv"
        assert everything(removed.store) == before

    def test_new_rows_beside_them_are_taken_in_as_ever(self, removed: Intake) -> None:
        rows = higher(as_stored(removed), "2024-01-31", 1)
        more = readings("Q-AAA", "2024-02-10", 1, base=10_500)
        report = take_again(removed, {"readings": [*rows, *more]})
        (told,) = report.files
        assert told[2] == 1
        assert dict(report.replaced)["readings"] == 1

    def test_agreed_to_and_meanwhile_something_recorded_it_is_refused(self, removed: Intake) -> None:
        with removed.store.reading() as connection:
            digest = list(all_entries(connection))[-1].digest
        removed.take({"readings": readings("Q-BBB", "2024-03-01", 1, base=20_000)})
        with pytest.raises(Refusal) as refused:
            take_again(removed, {"readings": higher(as_stored(removed), "2024-01-31", 1)}, head=digest)
        assert refused.value.code == "recorded-meanwhile"

"""Why a row of the due list came in, went out or moved, on each database: by what was recorded, and by which entry."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import withdraw
from fleetlife.answers.due_since import Window, due_since
from fleetlife.store.engine import Store
from fleetlife.terms.due_since import CAME, MOVED, STOOD, WENT, DueSinceRow

from .fleet import SLIDE, Intake, head, kinds, movement, readings, small_fleet

DAY = date(2024, 1, 31)
UNTIL = date(2025, 12, 31)
DONE = {"part_number": SLIDE, "serial_number": "0101", "requirement": "OVH"}


@pytest.fixture
def short(intake: Intake) -> Intake:
    """The small fleet with an overhaul of half the hours: flown far more, they fall due before the calendar does."""
    files = small_fleet()
    files["requirements"][0]["repeat_hours"] = "5000:00"
    intake.take(files)
    return intake


def since(
    store: Store, moment: int, *, serial: str = "0101", requirement: str = "OVH", **more: Any
) -> DueSinceRow | None:
    window = Window(last=UNTIL)
    asked = {"as_of": DAY, "window": window, "moment": str(moment), "day_then": DAY, "window_then": window} | more
    rows = due_since(store, **asked).rows
    return next((r for r in rows if (r.row.serial_number, r.row.requirement) == (serial, requirement)), None)


class TestWhy:
    def test_nothing_recorded_nothing_moved(self, fleet: Intake) -> None:
        row = since(fleet.store, head(fleet.store))
        assert row is not None
        assert (row.since, row.state_then, row.due_date_then, row.why) == (STOOD, "due", "2025-03-10", None)

    def test_work_done_takes_it_out_and_withdrawn_it_comes_in_again(self, fleet: Intake) -> None:
        store = fleet.store
        before = head(store)
        paper = {"tracking_number": "T9", "organisation": "Fulmar Repair", "status": "Overhauled", "date": "2024-01-12"}
        named = {"part_number": SLIDE, "serial_number": "0101"}
        fleet.take(
            {
                "movements": [
                    movement("2024-01-10", off="0101", removed_to="shop"),
                    movement("2024-01-20", fit="0101", harness="left"),
                ],
                "certificates": [{**named, **paper}],
                "accomplishments": [
                    {
                        **DONE,
                        "date": "2024-01-12",
                        "date_basis": "release",
                        "certificate": "T9",
                        "certificate_organisation": "Fulmar Repair",
                    }
                ],
            }
        )
        gone = since(store, before)
        assert gone is not None
        assert (gone.since, gone.due_date_then, gone.row.due_date) == (WENT, "2025-03-10", "2027-01-12")
        assert gone.why == "Done on 2024-01-12."
        assert set(gone.entries) <= set(range(before + 1, head(store) + 1))
        done = head(store)
        wrong = next(n for n in gone.entries if _kind(store, n) == "accomplishment")
        withdraw(store, wrong, reason="of another pack", authorised_by="Q1", recorded_by="clerk")
        again = since(store, done)
        assert again is not None
        assert (again.since, again.row.due_date, again.entries) == (CAME, "2025-03-10", (done + 1,))
        assert f"What stood before was put right by entry {done + 1}." in (again.why or "")
        # held against the state before both, it is as it was
        both = since(store, before)
        assert both is not None
        assert (both.since, both.due_date_then) == (STOOD, "2025-03-10")

    def test_flown_more_than_projected(self, short: Intake) -> None:
        store = short.store
        before = head(store)
        short.take({"readings": readings("Q-AAA", "2024-02-01", 29, base=10_324, daily=22)})
        row = since(
            store,
            before,
            as_of=date(2024, 2, 29),
            day_then=date(2024, 2, 29),
        )
        assert row is not None
        assert row.since == MOVED
        assert "flew more than was projected" in (row.why or "")
        assert "Read until 2024-02-29, then 2024-01-31." in (row.why or "")
        assert row.entries
        assert all(_kind(store, number) == "reading" for number in row.entries)

    def test_planned_to_fly_more(self, short: Intake) -> None:
        store = short.store
        before = head(store)
        plan = {"registration": "Q-AAA", "from": "2024-02-01", "to": "2026-12-31"}
        short.take({"utilisation": [{**plan, "hours_per_day": "23:00", "cycles_per_day": "3"}]})
        row = since(store, before)
        assert row is not None
        assert row.since == MOVED
        assert "is planned to fly more than was projected" in (row.why or "")
        assert row.entries == (before + 1,)

    def test_a_unit_moved_elsewhere_and_one_withdrawn(self, fleet: Intake) -> None:
        store = fleet.store
        before = head(store)
        fleet.take({"movements": [movement("2024-01-25", off="0101", removed_to="store")]})
        moved = since(store, before)
        assert moved is not None
        assert (moved.since, moved.place_then, moved.entries) == (MOVED, "Q-AAA L1", (before + 1,))
        assert "It was at Q-AAA L1 by what was known then" in (moved.why or "")
        on_airframe = since(store, before, registrations=["Q-AAA"])
        assert on_airframe is not None
        assert on_airframe.since == WENT

    def test_another_edition(self, fleet: Intake) -> None:
        store = fleet.store
        before = head(store)
        rule = {"requirement": "OVH", "part_number": SLIDE, "kind": "overhaul", "programme": "TERN", "edition": "4"}
        limits = {"repeat_months": 30, "repeat_hours": "10000:00", "start": "release", "effective_from": "2024-01-15"}
        fleet.take({"requirements": [{**rule, **limits, "reference": "Card OVH"}]})
        row = since(store, before)
        assert row is not None
        assert (row.since, row.due_date_then, row.row.due_date) == (MOVED, "2025-03-10", "2024-09-10")
        assert "Its requirement is of edition 4, then of 3." in (row.why or "")


def _kind(store: Store, number: int) -> str:
    return kinds(store)[number - 1]

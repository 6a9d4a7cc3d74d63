"""What was known then: a question with a moment answers as it was answered at that moment, whatever came since."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.answers.due import due
from fleetlife.clocks.as_stored import AsStored
from fleetlife.clocks.world import open_world
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.store.engine import Store
from tests.store.fleet import statements_of

from .fleet import (
    BOTTLE,
    SLIDE,
    Files,
    Intake,
    everything,
    head,
    movement,
    readings,
    rebuilt_differs,
    small_fleet,
    transfer,
    unit,
)

AS_OF = date(2024, 3, 1)
_LOOKED_UP = "WITH w AS"  # how the statement that looks readings up begins
_ROWS = {
    "placement": "placements",
    "carriage": "carriages",
    "due_point": "due_points",
    "certificate_line": "certificate_lines",
}


def known(store: Store, entry: int | None) -> dict[str, Any]:
    """Every derived row, as known after an entry (None: now)."""
    with store.reading() as connection:
        world = open_world(connection, as_of=AS_OF, known_at=None if entry is None else str(entry))
        units = [row.unit_id for row in everything(store)["unit_state"]]
        found: dict[str, Any] = {"unit_state": sorted(world.states(units).values(), key=repr)}
        for table, method in _ROWS.items():
            found[table] = sorted(getattr(world, method)(units), key=repr)
        return found


def rows(store: Store) -> dict[str, Any]:
    return {table: sorted(held, key=repr) for table, held in everything(store).items() if table in DERIVED_TABLES}


class TestWhatItCosts:
    def test_readings_are_looked_up_together_however_many_units_were_changed(self, fleet: Intake) -> None:
        on = {"registration": "Q-BBB", "condition": "serviceable", "installed": "2022-05-01"}
        fleet.take({"units": [unit(SLIDE, "0105", position="L1", **on), unit(SLIDE, "0106", position="R1", **on)]})
        # a mark by month counts from the month's first day, on which its bottle was carried
        done = {"part_number": BOTTLE, "serial_number": "R1", "requirement": "HST", "date": "2024-02"}
        fleet.take({"accomplishments": [done]})
        entry = head(fleet.store)
        asked = []
        for row in (
            movement("2024-02-01", off="0101", removed_to="store"),
            movement("2024-02-02", off="0105", removed_to="store", registration="Q-BBB"),
            movement("2024-02-02", "R1", off="0106", removed_to="store", registration="Q-BBB"),
        ):
            fleet.take({"movements": [row]})
            with statements_of(fleet.store) as seen:
                due(fleet.store, as_of=AS_OF, known_at=str(entry))
            asked.append(sum(statement.lstrip().startswith(_LOOKED_UP) for statement in seen))
        assert asked == [
            1,
            1,
            1,
        ]  # boundaries stand as stored; around the work that nobody dated to the day they are asked


class TestReadingsThatCameLater:
    def removed(self, fleet: Intake) -> None:
        """Off on 2024-02-05, total not stated, while nothing was read after January: the end is projected."""
        fleet.take(
            {
                "movements": [
                    {
                        "date": "2024-02-05",
                        "registration": "Q-AAA",
                        "position": "L1",
                        "removed_part_number": SLIDE,
                        "removed_serial_number": "0101",
                        "removed_to": "store",
                    }
                ]
            }
        )

    def test_a_boundary_is_what_it_was_before_they_came(self, fleet: Intake) -> None:
        self.removed(fleet)
        then, entry = rows(fleet.store), head(fleet.store)
        assert {row.until_basis for row in then["carriage"]} >= {"provisional"}
        fleet.take({"readings": readings("Q-AAA", "2024-02-01", 10, base=10_300)})
        assert rebuilt_differs(fleet.store) == {}
        assert {row.until_basis for row in rows(fleet.store)["carriage"]} == {"bounded", "open"}
        assert known(fleet.store, entry) == then
        assert known(fleet.store, None) == rows(fleet.store)


def derived_again(store: Store, entry: int) -> list[str]:
    """The serial numbers of what a question about the past derives anew."""
    with store.reading() as connection:
        world = open_world(connection, as_of=AS_OF, known_at=str(entry))
        return sorted(row.serial_number for row in world.states(world.derived_anew).values())


PAPER = {
    "tracking_number": "T9",
    "organisation": "Fulmar Repair",
    "part_number": SLIDE,
    "serial_number": "0103",
    "status": "Inspected/Tested",
    "date": "2024-02-01",
}
FITTED = {"movements": [movement("2024-02-05", off="0101", fit="0103")]}


class TestWhatIsHeldIsDerivedAgainOnlyWhereItMayDiffer:
    @pytest.mark.parametrize(
        ("files", "anew"),
        [
            # another bin: what the pack holds stands as it stood
            ({"transfers": [transfer("0103", "2024-02-05", store="Main", bin="Z9")]}, ["0103"]),
            # carried: and so is what it holds
            (FITTED, ["0101", "0103", "R1", "R3"]),
            # its paper covers what it holds, and covered that before
            ({"certificates": [PAPER]}, ["0103"]),
            # out of its parent: the parent is touched, and what else it holds is not
            (
                {"transfers": [transfer("R3", "2024-02-05", "shop", BOTTLE, organisation="Fulmar Repair")]},
                ["0103", "R3"],
            ),
            # work on what is held says nothing of what holds it, which is read with it
            (
                {
                    "accomplishments": [
                        {"part_number": BOTTLE, "serial_number": "R3", "requirement": "HST", "date": "2024-02"}
                    ]
                },
                ["0103", "R3"],
            ),
        ],
    )
    def test_and_answers_as_then(self, fleet: Intake, files: Files, anew: list[str]) -> None:
        then, entry = rows(fleet.store), head(fleet.store)
        fleet.take(files)
        assert rows(fleet.store) != then
        assert derived_again(fleet.store, entry) == anew
        assert known(fleet.store, entry) == then

    def test_a_first_release_covers_what_is_held(self, intake: Intake) -> None:
        files = small_fleet()
        files["certificates"] = [paper for paper in files["certificates"] if paper["serial_number"] != "0103"]
        for work in files["accomplishments"]:
            if work["serial_number"] == "0103":
                del work["certificate"], work["certificate_organisation"]
        intake.take(files)
        then, entry = rows(intake.store), head(intake.store)
        intake.take({"certificates": [PAPER]})
        assert derived_again(intake.store, entry) == ["0103", "R3"]
        assert known(intake.store, entry) == then


def as_stored(store: Store, entry: int, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The serial numbers of the units derived anew whose due points are taken as stored."""
    found: list[int] = []
    asked = AsStored.due_points_of

    def heard(self: AsStored, unit: int, *rest: Any) -> Any:
        points = asked(self, unit, *rest)
        if points is not None:
            found.append(unit)
        return points

    with monkeypatch.context() as patch, store.reading() as connection:
        patch.setattr(AsStored, "due_points_of", heard)
        world = open_world(connection, as_of=AS_OF, known_at=str(entry))
        return sorted(row.serial_number for row in world.states(found).values())


OTHER_BIN = transfer("0103", "2024-02-05", store="Main", bin="Z9")
SHELVED = {"requirement": "STO", "part_number": SLIDE, "kind": "storage", "start": "installation", "first_months": 24}


class TestDuePointsThatMovesLeaveAlone:
    @pytest.mark.parametrize(
        ("files", "stored"),
        [
            ({"transfers": [OTHER_BIN]}, ["0103"]),
            ({"transfers": [OTHER_BIN, transfer("0103", "2024-02-08", store="Main", bin="Z8")]}, ["0103"]),
            # it lies in stores no longer: what is asked for there is judged by where it was
            ({"transfers": [transfer("0103", "2024-02-05", "shop", organisation="Fulmar Repair")]}, []),
            # carried now, and not then
            (FITTED, []),
            # more than a move came since
            ({"transfers": [OTHER_BIN], "certificates": [PAPER]}, []),
            # its bottle was taken out, and lies elsewhere; the parent only lost something
            (
                {"transfers": [transfer("R3", "2024-02-05", "shop", BOTTLE, organisation="Fulmar Repair")]},
                ["0103"],
            ),
            # of a day after the one asked about
            ({"transfers": [transfer("0103", "2024-03-05", store="Main", bin="Z9")]}, []),
        ],
    )
    def test_are_taken_as_stored_and_nothing_else_is(
        self, fleet: Intake, files: Files, stored: list[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        then, entry = rows(fleet.store), head(fleet.store)
        fleet.take(files)
        assert as_stored(fleet.store, entry, monkeypatch) == stored
        assert known(fleet.store, entry) == then

    def test_a_reading_of_a_later_day_puts_an_end_to_it(self, fleet: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        fleet.take({"readings": readings("Q-AAA", "2024-03-02", 1, base=90_000)})
        entry = head(fleet.store)
        fleet.take({"transfers": [OTHER_BIN]})
        assert as_stored(fleet.store, entry, monkeypatch) == []

    def test_a_programme_taken_in_since_puts_an_end_to_it(self, fleet: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        then, entry = rows(fleet.store), head(fleet.store)
        fleet.take({"transfers": [OTHER_BIN]})
        fleet.take({"requirements": [SHELVED]})
        assert as_stored(fleet.store, entry, monkeypatch) == []
        assert known(fleet.store, entry) == then

    def test_taken_blindly_they_would_be_wrong(self, fleet: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        """What holds them to the stays and carriages is needed."""
        then, entry = rows(fleet.store), head(fleet.store)
        fleet.take(FITTED)
        monkeypatch.setattr(AsStored, "due_points_of", lambda self, unit, *rest: tuple(self.due_points[unit]))
        assert known(fleet.store, entry)["due_point"] != then["due_point"]


class TestTheListOfAWindow:
    def test_is_what_it_was(self, fleet: Intake) -> None:
        """Units in stores, fitted, taken off and sent away since: each list of a month as it was."""
        windows = [(date(year, month, 1), date(year, month, 28)) for year in range(2024, 2028) for month in (2, 5, 10)]

        def lists(known_at: str | None) -> list[Any]:
            asked = [
                due(fleet.store, as_of=AS_OF, window_from=first, window_until=last, known_at=known_at)
                for first, last in windows
            ]
            return [(each.rows, each.coverage, each.before_window) for each in asked]

        steps: list[Files] = [
            FITTED,
            {"transfers": [transfer("0104", "2024-02-06", "shop", organisation="Fulmar Repair")]},
            {"transfers": [transfer("0101", "2024-02-07", "scrap")]},
            {
                "accomplishments": [
                    {"part_number": SLIDE, "serial_number": "0104", "requirement": "OVH", "date": "2024-02-20"}
                ]
            },
        ]
        told = []
        for step in steps:
            told.append((str(head(fleet.store)), lists(None)))
            fleet.take(step)
        assert len({str(each) for _, each in told}) == len(told)
        assert sum(len(row) for _, each in told for row, _, _ in each) > 20
        for entry, then in told:
            assert lists(entry) == then

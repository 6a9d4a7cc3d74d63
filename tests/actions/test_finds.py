"""A unit found where another is recorded, and paper of the days before that comes in after it."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.answers.verify import verify
from fleetlife.ledger.facts import Movement
from fleetlife.store.facts import all_entries, facts_touching

from .fleet import SLIDE, Intake, Row, everything, head, movement, rebuilt_differs, state, unit_id

BY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2", "recorded_by": "clerk"}
PROVENANCE = ("entry", "until_entry")
FIND = movement("2024-01-20", "L1", off="0104") | {"found": "yes", "removed_to": "store"}
SWAP = movement("2024-01-15", "L1", off="0101", fit="0103") | {"removed_to": "store"}
REFITTED = movement("2024-01-22", "L1", fit="0104")


def shorn(intake: Intake) -> dict[str, list[Any]]:
    return {
        table: [{n: getattr(r, n) for n in r.__slots__ if n not in PROVENANCE} for r in rows]
        for table, rows in everything(intake.store).items()
        if table != "head"
    }


def displaced(intake: Intake) -> int | None:
    """Whom the standing find displaced."""
    with intake.store.reading() as connection:
        touching = facts_touching(connection, [unit_id(intake.store, "0104")])
        (find,) = [fact for _, _, fact in touching if isinstance(fact, Movement) and fact.found]
        return find.displaced


class TestPaperOfTheDaysBefore:
    @pytest.mark.parametrize("rows", [[FIND], [FIND, REFITTED]], ids=["alone", "and fitted again"])
    def test_a_swap_that_comes_late_makes_it_another_unit_that_was_displaced(
        self, fleet: Intake, other_fleet: Intake, rows: list[Row]
    ) -> None:
        other_fleet.take({"movements": [SWAP, *rows]})
        fleet.take({"movements": rows})
        assert displaced(fleet) == unit_id(fleet.store, "0101")
        fleet.take({"movements": [SWAP]})
        assert displaced(fleet) == unit_id(fleet.store, "0103")
        assert state(fleet.store, "0103").kind == "unknown"
        assert shorn(fleet) == shorn(other_fleet)
        assert rebuilt_differs(fleet.store) == {}
        assert verify(fleet.store).findings == ()

    def test_the_find_is_restated_by_an_entry_that_says_why(self, fleet: Intake) -> None:
        fleet.take({"movements": [FIND]})
        find = head(fleet.store)
        fleet.take({"movements": [SWAP]})
        with fleet.store.reading() as connection:
            last = list(all_entries(connection))[-1]
        assert last.kind == "correction"
        assert last.body["replaces"] == [{"number": find}]
        assert last.body["reason"] == f"who was recorded there until then, by entry {find + 1}"
        before = everything(fleet.store)
        fleet.take({"movements": [SWAP, FIND]})
        assert everything(fleet.store) == before

    def test_withdrawn_it_is_as_it_was(self, fleet: Intake) -> None:
        fleet.take({"movements": [FIND]})
        before, late = shorn(fleet), head(fleet.store) + 1
        fleet.take({"movements": [SWAP]})
        withdraw(fleet.store, late, **BY)
        assert shorn(fleet) == before
        assert displaced(fleet) == unit_id(fleet.store, "0101")

    def test_a_late_removal_leaves_nobody_to_be_displaced(self, fleet: Intake, other_fleet: Intake) -> None:
        off = movement("2024-01-15", "L1", off="0101") | {"removed_to": "store"}
        other_fleet.take({"movements": [off, FIND]})
        fleet.take({"movements": [FIND]})
        fleet.take({"movements": [off]})
        assert displaced(fleet) is None
        assert shorn(fleet) == shorn(other_fleet)

    def test_by_a_swap_recorded_late_too(self, fleet: Intake) -> None:
        fleet.take({"movements": [FIND]})
        request = SwapRequest(
            registration="Q-AAA",
            position="L1",
            on=date(2024, 1, 15),
            install=UnitName(part_number=SLIDE, serial_number="0103"),
            removed_to="store",
            harness="left",
        )
        record_swap(fleet.store, request, as_of=date(2024, 2, 1), recorded_by="clerk")
        assert displaced(fleet) == unit_id(fleet.store, "0103")
        assert rebuilt_differs(fleet.store) == {}

    def test_after_a_correction_of_the_serial_fitted_before(self, fleet: Intake, other_fleet: Intake) -> None:
        other_fleet.take({"movements": [movement("2024-01-15", "L1", off="0101", fit="0103"), FIND]})
        fleet.take({"movements": [movement("2024-01-15", "R1", off="0102")]})
        fleet.take({"movements": [movement("2024-01-15", "L1", off="0101", fit="0102"), FIND]})
        assert displaced(fleet) == unit_id(fleet.store, "0102")
        with fleet.store.reading() as connection:
            number = next(e.number for e in all_entries(connection) if e.body["items"][0].get("installed") == 2)
        correct(fleet.store, number, changes={"installed": {"part_number": SLIDE, "serial_number": "0103"}}, **BY)
        assert displaced(fleet) == unit_id(fleet.store, "0103")
        assert rebuilt_differs(fleet.store) == {}


class TestAUnitFoundElsewhere:
    def test_no_longer_hangs_where_it_was_recorded(self, fleet: Intake, other_fleet: Intake) -> None:
        """0101, recorded at L1, was found at R1 on the 10th: at L1 nobody is left to be displaced on the 20th."""
        elsewhere = movement("2024-01-10", "R1", off="0101") | {"found": "yes", "removed_to": "store"}
        other_fleet.take({"movements": [elsewhere, FIND]})
        fleet.take({"movements": [FIND]})
        fleet.take({"movements": [elsewhere]})
        assert displaced(fleet) is None
        assert shorn(fleet) == shorn(other_fleet)
        assert verify(fleet.store).findings == ()

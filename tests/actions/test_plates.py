"""Data plates that were read: on hold while they are not what is recorded, and answered by either of two."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.identity import correct_identity
from fleetlife.actions.mend import withdraw
from fleetlife.actions.plate import PlateSeen, record_plate
from fleetlife.actions.swap import UnitName
from fleetlife.answers.audit import audit
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal

from .fleet import SLIDE, Intake, everything, head, rebuilt_differs, transfer

DAY = date(2024, 1, 31)
UNIT = UnitName(part_number=SLIDE, serial_number="0103")
BY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2", "recorded_by": "clerk"}


def see(store: Store, plate: tuple[str, str] | None, on: date = DAY, **more: Any) -> Any:
    seen = PlateSeen(unit=UNIT, plate=plate, on=on, seen_by="S4", reference="W-1")
    return record_plate(store, seen, as_of=DAY, recorded_by="clerk", **more)


def found(store: Store, **clocks: Any) -> list[tuple[str, str | None]]:
    return [(each.severity, each.found) for each in audit(store, as_of=DAY, codes=["IDN102"], **clocks).findings]


def hold(store: Store, serial: str = "0103", **clocks: Any) -> str | None:
    return unit_card(store, part_number=SLIDE, serial_number=serial, as_of=DAY, **clocks).hold


def clean(store: Store) -> bool:
    return rebuilt_differs(store) == {} and verify(store).findings == ()


OTHER = (SLIDE, "0130")
OPEN = [("stop", f"{SLIDE} 0130")]


class TestOpen:
    def test_the_unit_is_on_hold_and_may_not_be_fitted(self, fleet: Intake) -> None:
        store = fleet.store
        assert found(store) == []
        recorded = see(store, OTHER)
        assert recorded.hold == hold(store) == f"the data plate reads {SLIDE} 0130"
        assert found(store) == OPEN
        answer = swap_check(
            store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=DAY
        )
        assert answer.outcome == "do not fit"
        assert [r.verdict for r in answer.reasons if r.code == "FIT107"] == ["stop"]
        assert clean(store)

    def test_lifting_another_hold_does_not_lift_it(self, fleet: Intake) -> None:
        see(fleet.store, OTHER, on=date(2024, 1, 10))
        fleet.take({"transfers": [transfer("0103", "2024-01-12", store="Main", hold="suspect paper")]})
        assert hold(fleet.store) == f"suspect paper; the data plate reads {SLIDE} 0130"
        fleet.take({"transfers": [transfer("0103", "2024-01-14", store="Main", hold="lifted")]})
        assert hold(fleet.store) == f"the data plate reads {SLIDE} 0130"
        assert clean(fleet.store)

    def test_as_of_before_and_known_before_it_was_not(self, fleet: Intake) -> None:
        store, before = fleet.store, str(head(fleet.store))
        see(store, OTHER, on=date(2024, 1, 10))
        assert found(store, known_at=before) == []
        assert hold(store, known_at=before) is None
        early = date(2024, 1, 9)
        assert audit(store, as_of=early, codes=["IDN102"]).findings == ()
        # a later fact of the unit makes the answer one of then
        fleet.take({"transfers": [transfer("0103", "2024-01-20", store="Main", bin="B9")]})
        asked = audit(store, as_of=date(2024, 1, 12), codes=["IDN102"]).findings
        assert [each.found for each in asked] == [f"{SLIDE} 0130"]

    def test_shown_only_nothing_is_recorded(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        shown = see(fleet.store, OTHER, preview=True, moves_on=DAY)
        assert ("hold", "0103") in {(row.what, row.serial_number) for row in shown.moved}
        assert everything(fleet.store) == before

    def test_who_else_bears_what_the_plate_reads_is_told(self, fleet: Intake) -> None:
        assert "0104" in see(fleet.store, (SLIDE, "0104")).told[0]


class TestAnswered:
    def test_the_record_was_wrong(self, fleet: Intake) -> None:
        store = fleet.store
        see(store, OTHER)
        entry = str(head(store))
        correct_identity(store, UNIT, serial_number="0130", **BY)
        assert found(store) == []
        assert hold(store, "0130") is None
        assert found(store, known_at=entry) == OPEN
        assert clean(store)

    def test_corrected_to_something_else_it_stays_open(self, fleet: Intake) -> None:
        see(fleet.store, OTHER)
        correct_identity(fleet.store, UNIT, serial_number="0310", **BY)
        assert found(fleet.store) == OPEN

    def test_the_plate_was_misread(self, fleet: Intake) -> None:
        store = fleet.store
        see(store, OTHER)
        assert see(store, None).hold is None
        assert found(store) == []
        assert hold(store) is None
        assert clean(store)

    def test_an_answer_of_an_earlier_day_answers_nothing(self, fleet: Intake) -> None:
        see(fleet.store, OTHER)
        see(fleet.store, None, on=date(2024, 1, 30))
        assert found(fleet.store) == OPEN

    def test_what_agreed_is_open_again_where_the_record_is_changed_after(self, fleet: Intake) -> None:
        see(fleet.store, None)
        correct_identity(fleet.store, UNIT, serial_number="0130", **BY)
        assert found(fleet.store) == [("stop", f"{SLIDE} 0103")]

    def test_withdrawn_it_was_never_read(self, fleet: Intake) -> None:
        entry = see(fleet.store, OTHER).entry
        withdraw(fleet.store, entry, **BY)
        assert found(fleet.store) == []
        assert clean(fleet.store)


class TestTakenIn:
    def test_a_file_says_the_same(self, fleet: Intake) -> None:
        unit = {"part_number": SLIDE, "serial_number": "0103"}
        plate = {"plate_part_number": SLIDE, "plate_serial_number": "0130"}
        row = {**unit, **plate, "date": "2024-01-10", "seen_by": "S4"}
        assert fleet.take({"plate_readings": [row]}).entries == 1
        assert found(fleet.store) == OPEN
        assert fleet.take({"plate_readings": [row]}).entries == 0
        assert clean(fleet.store)


class TestRefused:
    def test_a_plate_that_agrees(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            see(fleet.store, (SLIDE.lower(), "0103"))
        assert refused.value.code == "plate-agrees"
        assert "plate-agrees" in refused.value.remedy
        assert everything(fleet.store) == before

    def test_one_not_yet_read(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            see(fleet.store, OTHER, on=date(2024, 2, 1))
        assert refused.value.code == "in-the-future"

    def test_one_of_a_unit_not_yet_there(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            see(fleet.store, OTHER, on=date(2023, 1, 1))
        assert refused.value.code == "unit-not-then"

"""Other movements recorded: the bench, a re-rig, a re-identification, loans, scrap, a deployment."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.bench import AssemblyFitRequest, TakeOutRequest, fit_child, take_out_child
from fleetlife.actions.loan import (
    LoanBackRequest,
    LoanOutRequest,
    LoanReturnRequest,
    give_back,
    lend_out,
    take_back,
)
from fleetlife.actions.operation import OperationRequest, record_operation
from fleetlife.actions.re_identify import ReIdentifyRequest, record_re_identification
from fleetlife.actions.re_rig import ReRigRequest, record_re_rig
from fleetlife.actions.scrap import ScrapRequest, record_scrap
from fleetlife.actions.swap import UnitName
from fleetlife.answers.audit import audit
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.terms.refusal import Refusal

from .fleet import BATTERY, BOTTLE, SLIDE, Intake, everything, head, rebuilt_differs, state, stays, transfer, unit

TODAY = date(2024, 2, 1)
ON = date(2024, 1, 10)


def named(serial: str, part: str = SLIDE) -> UnitName:
    return UnitName(part_number=part, serial_number=serial)


def record(act: Callable[..., Any], store: Store, request: Any, accept: Sequence[str] = (), **more: Any) -> Any:
    accepted = [Acknowledgement(finding=code, name="K12", reason="as found") for code in accept]
    return act(store, request, **{"as_of": TODAY, "recorded_by": "clerk", "acknowledged": accepted, **more})


def refused(act: Callable[..., Any], store: Store, request: Any, **more: Any) -> Refusal:
    """The refusal; the records are as they were before."""
    before = everything(store)
    with pytest.raises(Refusal) as told:
        record(act, store, request, **more)
    assert everything(store) == before
    assert told.value.remedy
    return told.value


def stops(refusal: Refusal) -> set[str]:
    assert refusal.code == "stops-not-acknowledged"
    return {detail.split()[0] for detail in refusal.details}


def sound(store: Store) -> None:
    """What is kept follows from the facts, and the chain is whole."""
    assert rebuilt_differs(store) == {}
    assert verify(store).findings == ()


IN = AssemblyFitRequest(unit=named("B1", BATTERY), parent=named("0103"), on=ON, signed_by="K12")
OUT = TakeOutRequest(unit=named("R3", BOTTLE), on=ON, store="Main", bin="C1", signed_by="K12")


@pytest.fixture
def bench(fleet: Intake) -> Store:
    """With a battery in the store, released and young."""
    paper = {"tracking_number": "B-1", "organisation": "Auk", "status": "New", "date": "2023-11-01"}
    fleet.take(
        {
            "units": [unit(BATTERY, "B1", store="Main", bin="B1", condition="serviceable", hours_since_new="0:00",
                           cycles_since_new=0, manufactured="2023-10-01")],
            "certificates": [paper | {"part_number": BATTERY, "serial_number": "B1"}],
        }
    )  # fmt: skip
    return fleet.store


class TestBench:
    def test_a_child_goes_in_and_has_its_own_life_there(self, bench: Store) -> None:
        before = head(bench)
        told = record(fit_child, bench, IN)
        assert told.entry == head(bench) == before + 1
        assert (state(bench, "B1").kind, state(bench, "B1").slot) == ("slot", "battery")
        assert (f"{BATTERY} B1", f"slot battery of {SLIDE} 0103, serviceable") in told.after
        assert {row.requirement for row in told.due} >= {"BAT", "OVH", "HST"}
        sound(bench)

    def test_it_comes_out_and_its_slot_is_empty(self, bench: Store) -> None:
        told = record(take_out_child, bench, OUT)
        assert (state(bench, "R3").kind, state(bench, "R3").bin) == ("store", "C1")
        assert told.after[-1] == (f"slot bottle of {SLIDE} 0103", "empty, and it must hold a unit")
        sound(bench)

    def test_out_of_one_and_into_another_on_one_day(self, bench: Store) -> None:
        record(take_out_child, bench, OUT)
        record(take_out_child, bench, replace(OUT, unit=named("R4", BOTTLE)))
        again = replace(IN, unit=named("R3", BOTTLE), parent=named("0104"))
        assert stops(refused(fit_child, bench, again)) == {"PAP104"}
        record(fit_child, bench, again, accept=("PAP104",))
        assert [row.slot for row in stays(bench, "R3")] == ["bottle", None, "bottle"]
        sound(bench)

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"unit": named("R1", BOTTLE)}, "not-in-hand"),
            ({"unit": named("0103")}, "own-parent"),
            ({"unit": named("0104")}, "slot-not-said"),
            ({"slot": "lamp"}, "slot-unknown"),
            ({"slot": "bottle"}, "slot-occupied"),
            ({"on": date(2024, 2, 2)}, "in-the-future"),
            ({"unit": named("B9", BATTERY)}, "unit-unknown"),
        ],
    )
    def test_refused(self, bench: Store, changes: dict[str, Any], code: str) -> None:
        assert refused(fit_child, bench, replace(IN, **changes)).code == code

    def test_a_part_that_the_slot_does_not_take_is_a_stop(self, bench: Store) -> None:
        record(take_out_child, bench, OUT)
        wrong = replace(IN, slot="bottle")
        assert stops(refused(fit_child, bench, wrong)) == {"FIT105"}
        told = record(fit_child, bench, wrong, accept=("FIT105",))
        assert [finding.code for finding in told.findings] == ["FIT105"]

    def test_condition_and_life_are_looked_at(self, bench: Store, fleet: Intake) -> None:
        fleet.take({"transfers": [transfer("B1", "2024-01-05", "store", BATTERY, store="Main", hold="leak",
                                           condition="unserviceable")]})  # fmt: skip
        assert stops(refused(fit_child, bench, IN)) == {"FIT107", "FIT109"}

    def test_a_child_past_its_date_is_a_stop(self, bench: Store) -> None:
        record(take_out_child, bench, replace(OUT, on=date(2024, 1, 5)))
        late = replace(IN, unit=named("R3", BOTTLE), on=date(2026, 3, 1))
        assert "LIF101" in stops(refused(fit_child, bench, late, as_of=date(2026, 3, 2)))

    def test_what_was_accepted_stays_open_under_that_name_until_it_comes_out(self, bench: Store) -> None:
        def statuses() -> set[str]:
            found = audit(bench, as_of=date(2026, 3, 4)).findings
            return {each.status for each in found if (each.code, each.serial_number) == ("LIF101", "R3")}

        swapped = {"as_of": date(2026, 3, 2), "accept": ("LIF101", "PAP104")}
        for out in ("R3", "R1"):
            record(take_out_child, bench, replace(OUT, unit=named(out, BOTTLE)))
        hanging = named("0101")
        late = replace(IN, unit=named("R3", BOTTLE), parent=hanging, on=date(2026, 3, 1))
        told = record(fit_child, bench, late, **swapped)
        assert statuses() == {f"acknowledged by K12, entry {told.entry}"}
        record(take_out_child, bench, replace(OUT, on=date(2026, 3, 1)), as_of=date(2026, 3, 2))
        assert statuses() == set()
        again = record(fit_child, bench, replace(late, on=date(2026, 3, 2)), **swapped)
        assert statuses() == {f"acknowledged by K12, entry {again.entry}"}

    def test_what_is_not_in_an_assembly_does_not_come_out(self, bench: Store) -> None:
        assert refused(take_out_child, bench, replace(OUT, unit=named("B1", BATTERY))).code == "not-in-an-assembly"

    def test_a_preview_writes_nothing_and_a_key_answers_once(self, bench: Store) -> None:
        before = everything(bench)
        record(fit_child, bench, IN, preview=True)
        assert everything(bench) == before
        first = record(fit_child, bench, IN, request_key="k")
        assert record(fit_child, bench, IN, request_key="k").entry == first.entry


RIG = ReRigRequest(
    unit=named("0104"), on=ON, harness="left", data_reference="CMM 25-66-11", data_revision="7", signed_by="K12"
)


class TestReRig:
    def answer(self, store: Store, position: str) -> str:
        told = swap_check(
            store, registration="Q-BBB", position=position, part_number=SLIDE, serial_number="0104", as_of=TODAY
        )
        return next(reason.verdict for reason in told.reasons if reason.topic == "harness")

    def test_the_other_side_is_recorded_where_it_lies_and_the_fitting_answers_by_it(self, fleet: Intake) -> None:
        store = fleet.store
        assert (self.answer(store, "L1"), self.answer(store, "R1")) == ("condition", "clear")
        told = record(record_re_rig, store, RIG)
        after = state(store, "0104")
        assert (after.kind, after.place_name, after.bin, after.harness) == ("store", "Main", "A2", "left")
        assert (self.answer(store, "L1"), self.answer(store, "R1")) == ("clear", "condition")
        assert "by eye" in told.notes[0]
        with store.reading() as connection:
            body = entry_of(connection, told.entry).body["items"][0]
        assert body["reference"] == "re-rigged from right to left by CMM 25-66-11 7"
        assert body["signed_by"] == "K12"
        sound(store)

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"unit": named("0101")}, "not-in-hand"),
            ({"unit": named("R4", BOTTLE)}, "not-in-hand"),
            ({"harness": "right"}, "nothing-changes"),
            ({"data_reference": " "}, "said-with-nothing"),
            ({"signed_by": ""}, "said-with-nothing"),
        ],
    )
    def test_refused(self, fleet: Intake, changes: dict[str, Any], code: str) -> None:
        assert refused(record_re_rig, fleet.store, replace(RIG, **changes)).code == code

    def test_a_part_of_one_hand_is_never_rigged_for_the_other(self, fleet: Intake) -> None:
        part = {"part_number": "QX900-1L", "manufacturer": "Auk", "rig": "left"}
        fleet.take({"parts": [part], "units": [unit("QX900-1L", "7", store="Main")]})
        one_hand = replace(RIG, unit=named("7", "QX900-1L"), harness="right")
        assert refused(record_re_rig, fleet.store, one_hand).code == "part-of-one-hand"


NEW = ReIdentifyRequest(
    unit=named("0103"), on=ON, modification="SB 25-02", new_part_number="SL-100-9", reference="SB 25-02"
)


class TestReIdentify:
    def parts(self, fleet: Intake) -> Store:
        fleet.take({"parts": [{"part_number": "SL-100-9", "manufacturer": "Kittiwake", "rig": "either"}]})
        return fleet.store

    def test_it_shows_what_moves_and_the_unit_stays_the_unit(self, fleet: Intake) -> None:
        store = self.parts(fleet)
        told = record(record_re_identification, store, NEW)
        assert state(store, "0103").part_number == "SL-100-9"
        assert told.after[0][0] == "SL-100-9 0103"
        assert told.moved
        assert [f.code for f in audit(store, as_of=TODAY, codes=["LIF103"]).findings] == ["LIF103"]
        sound(store)

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"new_part_number": "SL-100-99"}, "part-unknown"),
            ({"new_part_number": SLIDE.lower()}, "nothing-changes"),
            ({"modification": " "}, "said-with-nothing"),
            ({"on": date(2024, 2, 2)}, "in-the-future"),
        ],
    )
    def test_refused(self, fleet: Intake, changes: dict[str, Any], code: str) -> None:
        store = self.parts(fleet)
        assert refused(record_re_identification, store, replace(NEW, **changes)).code == code

    def test_not_twice_and_not_another_units_number(self, fleet: Intake) -> None:
        store = self.parts(fleet)
        fleet.take({"units": [unit("SL-100-9", "0104", store="Main", manufacturer="Kittiwake")]})
        other = replace(NEW, unit=UnitName(part_number=SLIDE, serial_number="0104"))
        assert refused(record_re_identification, store, other).code == "number-borne-by-another"
        record(record_re_identification, store, NEW)
        again = replace(NEW, new_part_number=SLIDE, unit=named("0103", "SL-100-9"))
        assert refused(record_re_identification, store, again).code == "modification-recorded-already"


LEND = LoanOutRequest(unit=named("0103"), on=ON, organisation="Auk Air", back_by=date(2024, 1, 31))


class TestLoans:
    def found(self, store: Store, on: date) -> list[tuple[str, str | None]]:
        return [(f.code, f.serial_number) for f in audit(store, as_of=on, codes=["MOV102"]).findings]

    def test_out_and_not_back_is_found_the_day_after(self, fleet: Intake) -> None:
        store = fleet.store
        record(lend_out, store, LEND)
        assert (state(store, "0103").kind, state(store, "0103").place_name) == ("loan", "Auk Air")
        assert self.found(store, date(2024, 1, 31)) == []
        assert self.found(store, TODAY) == [("MOV102", "0103")]
        sound(store)

    def test_back_its_condition_and_rig_are_unknown_and_the_paper_is_asked_for(self, fleet: Intake) -> None:
        store = fleet.store
        record(lend_out, store, LEND)
        told = record(take_back, store, LoanBackRequest(unit=named("0103"), on=date(2024, 1, 30), store="Main"))
        after = state(store, "0103")
        assert (after.kind, after.condition, after.harness) == ("store", "unknown", "unknown")
        assert "its paper" in " ".join(told.notes)
        assert self.found(store, TODAY) == []
        known = str(told.entry - 1)
        late = audit(store, as_of=TODAY, known_at=known, codes=["MOV102"]).findings
        assert [f.serial_number for f in late] == ["0103"]

    def test_a_borrowed_unit_goes_back_to_its_owner(self, fleet: Intake) -> None:
        store = fleet.store
        borrowed = unit(SLIDE, "0901", store="Main", owner="Auk Air", return_by="2024-01-31", condition="serviceable")
        fleet.take({"units": [borrowed]})
        assert self.found(store, TODAY) == [("MOV102", "0901")]
        record(give_back, store, LoanReturnRequest(unit=named("0901"), on=date(2024, 1, 20)))
        assert (state(store, "0901").kind, state(store, "0901").place_name) == ("loan", "Auk Air")
        assert self.found(store, TODAY) == []
        assert self.found(store, date(2024, 1, 15)) == []

    def test_refused(self, fleet: Intake) -> None:
        store = fleet.store
        assert refused(lend_out, store, replace(LEND, unit=named("0101"))).code == "not-in-hand"
        assert refused(lend_out, store, replace(LEND, back_by=date(2024, 1, 9))).code == "back-first"
        back = LoanBackRequest(unit=named("0103"), on=ON, store="Main")
        assert refused(take_back, store, back).code == "not-on-loan"
        assert refused(give_back, store, LoanReturnRequest(unit=named("0103"), on=ON)).code == "not-borrowed"


SCRAP = ScrapRequest(unit=named("0104"), on=ON, signed_by="K12")


class TestScrap:
    def limited(self, fleet: Intake) -> Store:
        own = {"programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "reference": "ALS 5"}
        rule = {"requirement": "LIM", "part_number": SLIDE, "kind": "life_limit", "first_cycles": 60_000, **own}
        fleet.take({"requirements": [rule | {"start": "manufacture"}]})
        return fleet.store

    def test_without_a_disposition_it_is_found_and_the_disposition_clears_it(self, fleet: Intake) -> None:
        store = self.limited(fleet)
        told = record(record_scrap, store, SCRAP)
        assert [finding.code for finding in told.findings] == ["MOV103"]
        assert (state(store, "0104").kind, state(store, "0104").condition) == ("scrap", "unsalvageable")
        assert len(audit(store, as_of=TODAY, codes=["MOV103"]).findings) == 1
        assert refused(record_scrap, store, SCRAP).code == "nothing-changes"
        later = replace(SCRAP, on=date(2024, 1, 11), disposition="mutilated")
        assert record(record_scrap, store, later).findings == ()
        assert audit(store, as_of=TODAY, codes=["MOV103"]).findings == ()
        assert len(audit(store, as_of=ON, codes=["MOV103"]).findings) == 1
        sound(store)

    def test_of_a_part_without_a_life_limit_none_is_asked(self, fleet: Intake) -> None:
        told = record(record_scrap, fleet.store, SCRAP)
        assert told.findings == ()
        assert "goes with it" in told.notes[0]

    def test_what_hangs_on_a_door_is_not_scrapped(self, fleet: Intake) -> None:
        assert refused(record_scrap, fleet.store, replace(SCRAP, unit=named("0101"))).code == "not-in-hand"


SET_OFF = OperationRequest(unit=named("0101"), operation="deployment", on=ON, intent="unintended")


class TestDeployment:
    def test_it_is_found_on_the_door_until_released(self, fleet: Intake) -> None:
        store = fleet.store
        own = {"programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "reference": "Card DEP"}
        rule = {"requirement": "DEP", "part_number": SLIDE, "kind": "inspection", "operation": "deployment"}
        fleet.take({"requirements": [rule | own | {"repeat_operations": 1}]})
        told = record(record_operation, store, SET_OFF)
        notes = " ".join(told.notes)
        assert "DEP" in notes
        assert "Q-AAA L1" in notes
        assert "121.703(a)(17)" in notes
        assert "reports nothing" in notes
        assert told.cautions
        (found,) = audit(store, as_of=TODAY, codes=["MOV104"]).findings
        assert (found.severity, found.registration, found.position) == ("stop", "Q-AAA", "L1")
        assert audit(store, as_of=date(2024, 1, 9), codes=["MOV104"]).findings == ()
        paper = {"tracking_number": "T9", "organisation": "Fulmar Repair", "status": "Overhauled", "date": "2024-01-20"}
        fleet.take({"certificates": [paper | {"part_number": SLIDE, "serial_number": "0101"}]})
        assert audit(store, as_of=TODAY, codes=["MOV104"]).findings == ()

    def test_the_last_one_counts_in_whatever_order_they_were_recorded(self, fleet: Intake) -> None:
        paper = {"organisation": "Fulmar Repair", "status": "Overhauled", "part_number": SLIDE, "serial_number": "0101"}
        for number, day in (("T9", "2024-01-15"), ("T10", "2024-01-20")):
            fleet.take({"certificates": [paper | {"tracking_number": number, "date": day}]})
        for day in (date(2024, 1, 17), date(2024, 1, 12)):
            record(record_operation, fleet.store, replace(SET_OFF, on=day))
        (found,) = audit(fleet.store, as_of=date(2024, 1, 18), codes=["MOV104"]).findings
        assert "2024-01-17" in found.message
        assert audit(fleet.store, as_of=TODAY, codes=["MOV104"]).findings == ()

    def test_off_the_door_it_may_not_be_fitted(self, fleet: Intake) -> None:
        record(record_operation, fleet.store, replace(SET_OFF, unit=named("0103")))
        told = swap_check(
            fleet.store, registration="Q-BBB", position="L1", part_number=SLIDE, serial_number="0103", as_of=TODAY
        )
        assert [r.verdict for r in told.reasons if r.code == "MOV104"] == ["stop"]

    def test_an_intended_one_is_no_occasion_for_the_reminder(self, fleet: Intake) -> None:
        told = record(record_operation, fleet.store, replace(SET_OFF, intent="intended"))
        assert "121.703" not in " ".join(told.notes)

    def test_intent_is_said_of_a_deployment_alone(self, fleet: Intake) -> None:
        other = replace(SET_OFF, operation="activation")
        assert refused(record_operation, fleet.store, other).code == "intent-of-no-deployment"

"""Receipts: what came in and does not agree holds the unit, what a person must decide is lifted by name, a suspicion
is a flag of its own."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from sqlalchemy import event

from fleetlife.actions.hold_decision import Decided, record_decision
from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.merge import merge_units
from fleetlife.actions.plate import PlateSeen, record_plate
from fleetlife.actions.receive import NewUnit, ReceiptSeen, record_receipt
from fleetlife.actions.swap import UnitName
from fleetlife.actions.take_in import take_in
from fleetlife.answers.audit import audit
from fleetlife.answers.export import export
from fleetlife.answers.stores import stores_list
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder

from .fleet import BOTTLE, SLIDE, Intake, everything, head, kinds, rebuilt_differs, state, stays, transfer

DAY = date(2024, 1, 31)
IN = date(2024, 1, 20)
BY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2", "recorded_by": "clerk"}
GOOD: dict[str, Any] = {"certificate": "T3", "certificate_organisation": "Fulmar Repair", "looked": True}


def name(serial: str, part: str = SLIDE) -> UnitName:
    return UnitName(part_number=part, serial_number=serial)


def receive(kept: Store, serial: str = "0103", /, *, part: str = SLIDE, on: date = IN, **more: Any) -> Any:
    preview = {key: more.pop(key) for key in ("preview", "moves_on") if key in more}
    given = {"store": "Main", "bin": "Q1"} | more
    seen = ReceiptSeen(
        unit=name(serial, part), on=on, **({"inspector": "S4", "result": "accepted", "reference": "W-1"} | given)
    )
    return record_receipt(kept, seen, as_of=DAY, recorded_by="clerk", **preview)


def decide(store: Store, decision: str, serial: str = "0103", *, on: date = DAY, **more: Any) -> Any:
    given = {"why": "looked at again", "decided_by": "Q2", "reference": "INS-7"} | more
    decided = Decided(unit=name(serial), decision=decision, on=on, **given)
    return record_decision(store, decided, as_of=DAY, recorded_by="clerk")


def hold(store: Store, serial: str = "0103", **clocks: Any) -> str | None:
    return unit_card(store, part_number=SLIDE, serial_number=serial, as_of=clocks.pop("as_of", DAY), **clocks).hold


def found(store: Store, *, as_of: date = DAY, **clocks: Any) -> list[tuple[str, str | None]]:
    asked = audit(store, as_of=as_of, codes=["RCP101", "RCP102", "IDN102"], **clocks).findings
    return [(each.code, each.found) for each in asked]


def clean(store: Store) -> bool:
    return rebuilt_differs(store) == {} and verify(store).findings == ()


def causes(received: Any) -> list[str]:
    return [cause.text for cause in received.causes]


class TestAgreeing:
    def test_it_goes_to_its_bin_and_nothing_holds_it(self, fleet: Intake) -> None:
        store = fleet.store
        received = receive(store, plate=(SLIDE, "0103"), **GOOD, condition="serviceable")
        assert received.hold is None
        assert received.place == "store Main, bin Q1"
        assert received.told == ()
        assert kinds(store)[-1] == "received"
        assert stays(store, "0103")[-1].bin == "Q1"
        assert found(store) == []
        assert clean(store)

    def test_without_a_named_paper_one_that_is_filed_will_do(self, fleet: Intake) -> None:
        assert receive(fleet.store, looked=True).hold is None

    def test_what_was_away_needs_a_release_of_since_then(self, fleet: Intake) -> None:
        store = fleet.store
        fleet.take({"transfers": [transfer("0103", "2024-01-10", "shop", organisation="Fulmar Repair")]})
        assert causes(receive(store, looked=True)) == ["no release certificate is named or filed"]
        fleet.take({"certificates": [_paper("T9", "0103") | {"date": "2024-01-10"}]})
        assert hold(store) is None
        # in stores since: what was good for the first receipt is good for a second
        assert receive(store, looked=True, on=date(2024, 1, 25)).hold is None
        assert clean(store)

    def test_what_was_not_looked_at_is_told(self, fleet: Intake) -> None:
        told = receive(fleet.store, certificate="T3").told
        assert told == ("Its data plate was not read.", "Nobody looked for damage.")

    def test_in_its_assembly_it_is_looked_at_and_not_moved(self, fleet: Intake) -> None:
        store = fleet.store
        received = receive(store, "R3", part=BOTTLE, store=None, bin=None, mark="2023-02", looked=True)
        assert received.hold is None
        assert state(store, "R3").kind == "slot"
        assert clean(store)


DISAGREEING: list[tuple[dict[str, Any], str]] = [
    ({"certificate": "T9"}, "certificate T9 is not filed against it"),
    ({"certificate": "T4"}, "certificate T4 is not filed against it"),
    ({**GOOD, "cured": "2019-03"}, "cured 2019-03 by what stands on it, recorded no such date"),
    ({**GOOD, "mark": "2021-11"}, "marked 2021-11, recorded no mark"),
    ({**GOOD, "damage": "torn cover"}, "damage seen (torn cover)"),
    ({**GOOD, "result": "quarantined"}, "quarantined by the inspector"),
]


class TestDisagreeing:
    @pytest.mark.parametrize(("seen", "cause"), DISAGREEING)
    def test_it_is_held_found_and_not_fitted_and_withdrawn_all_is_as_before(
        self, fleet: Intake, seen: dict[str, Any], cause: str
    ) -> None:
        store, before = fleet.store, everything(fleet.store)
        received = receive(store, **seen)
        assert causes(received) == [cause]
        text = f"receipt of 2024-01-20: {cause}"
        assert received.hold == hold(store) == text
        assert found(store) == [("RCP101", text)]
        answer = swap_check(
            store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=DAY
        )
        assert answer.outcome == "do not fit"
        assert [r.text for r in answer.reasons if r.code == "FIT107"] == [f"On hold: {text}."]
        assert clean(store)
        withdraw(store, received.entry, **BY)
        after = everything(store)
        assert {k: v for k, v in after.items() if k != "head"} == {k: v for k, v in before.items() if k != "head"}
        assert clean(store)

    def test_a_plate_that_reads_otherwise_is_its_own_finding(self, fleet: Intake) -> None:
        received = receive(fleet.store, plate=(SLIDE, "0130"), **GOOD)
        assert received.hold == f"the data plate reads {SLIDE} 0130"
        assert found(fleet.store) == [("IDN102", f"{SLIDE} 0130")]

    def test_expired_on_the_day_after_its_last_is_held(self, fleet: Intake) -> None:
        fleet.take({"units": [_spare("0190", expires="2024-01-19")]})
        assert causes(receive(fleet.store, "0190", certificate="T9", on=date(2024, 1, 19))) == [
            "certificate T9 is not filed against it"
        ]
        assert causes(receive(fleet.store, "0190", certificate="T9")) == [
            "certificate T9 is not filed against it",
            "expired on 2024-01-19",
        ]

    def test_a_paper_that_bears_other_numbers_or_is_no_release(self, fleet: Intake) -> None:
        filed = {"filed_part_number": SLIDE, "filed_serial_number": "0103"}
        fleet.take({"certificates": [_paper("T8", "0130") | filed]})
        assert causes(receive(fleet.store, certificate="T8")) == [f"certificate T8 bears other numbers ({SLIDE} 0130)"]

    def test_a_mark_of_another_month_than_recorded(self, fleet: Intake) -> None:
        seen = {"part": BOTTLE, "store": None, "bin": None, "looked": True}
        assert causes(receive(fleet.store, "R3", mark="2022-02", **seen)) == ["marked 2022-02, recorded 2023-02"]
        assert causes(receive(fleet.store, "R3", mark="2023", **seen)) == []
        assert clean(fleet.store)


class TestPutRight:
    def test_the_paper_filed_it_goes_by_itself(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, certificate="T9")
        held = str(head(store))
        fleet.take({"certificates": [_paper("T9", "0103")]})
        assert hold(store) is None
        assert found(store) == []
        assert found(store, known_at=held) == [
            ("RCP101", "receipt of 2024-01-20: certificate T9 is not filed against it")
        ]
        assert clean(store)

    def test_the_receipt_itself_corrected(self, fleet: Intake) -> None:
        entry = receive(fleet.store, **GOOD, cured="2019-03").entry
        correct(fleet.store, entry, item=0, changes={"cured": None}, **BY)
        assert hold(fleet.store) is None
        assert clean(fleet.store)

    def test_a_later_receipt_judges_the_papers_anew_and_lifts_no_damage(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, certificate="T9", looked=True, damage="torn cover")
        receive(store, **GOOD, on=date(2024, 1, 25))
        assert hold(store) == "receipt of 2024-01-20: damage seen (torn cover)"
        assert clean(store)

    def test_as_of_before_and_between_it_is_as_it_was_then(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, **GOOD, damage="torn cover")
        decide(store, "lifted", on=date(2024, 1, 28))
        assert hold(store) is None
        assert found(store, as_of=date(2024, 1, 19)) == []
        assert found(store, as_of=date(2024, 1, 22)) == [("RCP101", "receipt of 2024-01-20: damage seen (torn cover)")]


class TestLift:
    def test_damage_is_lifted_by_name_and_evidence(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, **GOOD, damage="torn cover", result="quarantined")
        lifted = decide(store, "lifted", on=IN)
        assert lifted.hold is None
        assert found(store) == []
        assert clean(store)
        withdraw(store, lifted.entry, **BY)
        assert hold(store) == "receipt of 2024-01-20: damage seen (torn cover), quarantined by the inspector"

    def test_what_comes_in_after_it_is_not_lifted(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, **GOOD, damage="torn cover")
        decide(store, "lifted", on=IN)
        receive(store, **GOOD, damage="dented")
        assert hold(store) == "receipt of 2024-01-20: damage seen (dented)"

    def test_a_stated_hold_stays(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, **GOOD, damage="torn cover")
        fleet.take({"transfers": [transfer("0103", "2024-01-22", store="Main", hold="suspect paper")]})
        assert hold(store) == "suspect paper; receipt of 2024-01-20: damage seen (torn cover)"
        assert decide(store, "lifted").hold == "suspect paper"
        assert clean(store)

    @pytest.mark.parametrize(
        ("seen", "decision", "code"),
        [
            ({**GOOD, "damage": "torn cover", "cured": "2019-03"}, {}, "record-disagrees"),
            ({**GOOD, "damage": "torn cover", "plate": (SLIDE, "0130")}, {}, "record-disagrees"),
            (GOOD, {}, "nothing-to-lift"),
            ({**GOOD, "damage": "torn cover"}, {"on": date(2024, 1, 19)}, "nothing-to-lift"),
            ({**GOOD, "damage": "torn cover"}, {"reference": " "}, "evidence-missing"),
            ({**GOOD, "damage": "torn cover"}, {"why": " "}, "reason-missing"),
            ({**GOOD, "damage": "torn cover"}, {"decided_by": " "}, "name-missing"),
            ({**GOOD, "damage": "torn cover"}, {"on": date(2024, 2, 1)}, "in-the-future"),
        ],
    )
    def test_refused(self, fleet: Intake, seen: dict[str, Any], decision: dict[str, Any], code: str) -> None:
        receive(fleet.store, **seen)
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            decide(fleet.store, "lifted", **decision)
        assert refused.value.code == code
        assert everything(fleet.store) == before


class TestSuspected:
    WHY = "serial number re-stamped"

    def test_it_is_a_stop_of_its_own_and_stays_when_other_holds_go(self, fleet: Intake) -> None:
        store = fleet.store
        receive(store, **GOOD, damage="torn cover", plate=(SLIDE, "0130"))
        decide(store, "suspected", why=self.WHY)
        record_plate(
            store,
            PlateSeen(unit=name("0103"), plate=None, on=DAY, seen_by="S4"),
            as_of=DAY,
            recorded_by="clerk",
        )
        assert decide(store, "lifted").hold == f"suspected unapproved part ({self.WHY})"
        assert found(store) == [("RCP102", self.WHY)]
        answer = swap_check(
            store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=DAY
        )
        stops = [(r.code, r.text) for r in answer.reasons if r.code in ("FIT107", "RCP102")]
        assert stops == [("RCP102", f"Suspected unapproved part: {self.WHY}.")]
        assert clean(store)
        cleared = decide(store, "cleared", why="maker confirms the stamp")
        assert cleared.hold is None
        assert found(store) == []
        assert clean(store)
        withdraw(store, cleared.entry, **BY)
        assert found(store) == [("RCP102", self.WHY)]

    def test_one_that_is_not_suspected_cannot_be_cleared(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            decide(fleet.store, "cleared")
        assert refused.value.code == "not-suspected"

    def test_a_suspicion_names_no_evidence_and_a_clearance_must(self, fleet: Intake) -> None:
        decide(fleet.store, "suspected", reference=None)
        with pytest.raises(Refusal) as refused:
            decide(fleet.store, "cleared", reference=None)
        assert refused.value.code == "evidence-missing"

    def test_what_it_holds_is_seen_through_the_assembly(self, fleet: Intake) -> None:
        store = fleet.store
        decided = Decided(unit=name("R3", BOTTLE), decision="suspected", why="no such maker", decided_by="Q2", on=DAY)
        record_decision(store, decided, as_of=DAY, recorded_by="clerk")
        answer = swap_check(
            store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=DAY
        )
        assert [r.text for r in answer.reasons if r.code == "RCP102"] == [
            f"{BOTTLE} R3 in it: Suspected unapproved part: no such maker."
        ]


class TestNewUnit:
    def test_it_is_introduced_by_what_its_paper_states_and_nothing_else(self, fleet: Intake) -> None:
        store = fleet.store
        new = NewUnit(manufactured="2023-05-02", minutes_since_new=0, cycles_since_new=0, life_quality="documented")
        received = receive(store, "0150", certificate="N1", delivery_note="DN-4", new=new)
        assert received.introduced
        assert causes(received) == ["certificate N1 is not filed against it"]
        row = state(store, "0150")
        assert (row.kind, row.place_name, row.bin, row.condition) == ("store", "Main", "Q1", "unknown")
        assert (row.minutes_since_new, row.cycles_since_new, row.manufacturer) == (0, 0, "Kittiwake")
        fleet.take({"certificates": [_paper("N1", "0150")]})
        assert hold(store, "0150") is None
        assert clean(store)

    def test_counts_the_paper_does_not_state_are_unknown(self, fleet: Intake) -> None:
        receive(fleet.store, "0150", new=NewUnit())
        row = state(fleet.store, "0150")
        assert (row.minutes_since_new, row.cycles_since_new) == (None, None)
        assert hold(fleet.store, "0150") == "receipt of 2024-01-20: no release certificate is named or filed"

    def test_the_mark_on_a_new_reservoir_is_its_record(self, fleet: Intake) -> None:
        received = receive(fleet.store, "R50", part=BOTTLE, mark="2023-04", certificate="N2", new=NewUnit())
        assert causes(received) == ["certificate N2 is not filed against it"]
        due = unit_card(fleet.store, part_number=BOTTLE, serial_number="R50", as_of=DAY).due
        assert [(row.requirement, row.due_date) for row in due] == [("HST", "2026-04-30")]

    def test_withdrawn_it_was_never_there(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        entry = receive(fleet.store, "0150", new=NewUnit()).entry
        withdraw(fleet.store, entry, **BY)
        after = everything(fleet.store)
        assert {k: v for k, v in after.items() if k != "head"} == {k: v for k, v in before.items() if k != "head"}


class TestRefused:
    @pytest.mark.parametrize(
        ("serial", "seen", "code"),
        [
            ("0103", {"on": date(2024, 2, 1)}, "in-the-future"),
            ("0103", {"on": date(2023, 1, 1)}, "unit-not-then"),
            ("0103", {"inspector": " "}, "inspector-missing"),
            ("0103", {"store": " "}, "store-missing"),
            ("0103", {"damage": "torn"}, "damage-not-looked-for"),
            ("0103", {"new": NewUnit()}, "unit-known"),
            ("0150", {}, "unit-unknown"),
            ("0150", {"new": NewUnit(), "part": "QX100-9"}, "part-unknown"),
            ("N/A", {"new": NewUnit()}, "serial-missing"),
            ("OWN:77", {"new": NewUnit()}, "batch-missing"),
            ("0101", {}, "still-installed"),
            ("R3", {"part": BOTTLE}, "in-an-assembly"),
        ],
    )
    def test_nothing_is_written(self, fleet: Intake, serial: str, seen: dict[str, Any], code: str) -> None:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            receive(fleet.store, serial, **seen)
        assert refused.value.code == code
        assert everything(fleet.store) == before

    def test_shown_only_nothing_is_recorded(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        shown = receive(fleet.store, **GOOD, damage="torn cover", preview=True, moves_on=DAY)
        assert ("hold", "0103") in {(row.what, row.serial_number) for row in shown.moved}
        assert everything(fleet.store) == before


class TestTakenIn:
    def test_files_say_the_same(self, fleet: Intake) -> None:
        unit = {"part_number": SLIDE, "serial_number": "0103"}
        receipt = unit | {
            "date": "2024-01-10",
            "inspector": "S4",
            "result": "accepted",
            "certificate": "T3",
            "mark": "06/2021",
            "looked": "yes",
            "damage": "torn cover",
        }
        flag = unit | {"date": "2024-01-12", "decision": "suspected", "why": "no such maker", "decided_by": "Q2"}
        files = {"receipts": [receipt], "hold_decisions": [flag]}
        assert fleet.take(files).entries == 2
        assert hold(fleet.store) == (
            "receipt of 2024-01-10: marked 2021-06, recorded no mark, damage seen (torn cover); "
            "suspected unapproved part (no such maker)"
        )
        assert fleet.take(files).entries == 0
        assert clean(fleet.store)

    def test_damage_nobody_looked_for_is_refused(self, fleet: Intake) -> None:
        row = {"part_number": SLIDE, "serial_number": "0103", "date": "2024-01-10", "inspector": "S4"}
        problems = fleet.refused({"receipts": [row | {"result": "accepted", "looked": "no", "damage": "torn"}]})
        assert [problem.column for problem in problems] == ["looked"]


def _spare(serial: str, **more: Any) -> dict[str, Any]:
    return {"part_number": SLIDE, "serial_number": serial, "as_of": "2024-01-01", "store": "Main", **more}


def _paper(number: str, serial: str) -> dict[str, Any]:
    return {
        "tracking_number": number,
        "organisation": "Fulmar Repair",
        "part_number": SLIDE,
        "serial_number": serial,
        "status": "Overhauled",
        "date": "2023-12-01",
    }


class TestBeside:
    def test_exported_and_taken_in_elsewhere_it_is_held_by_the_same(
        self, fleet: Intake, other_intake: Intake, tmp_path: Any
    ) -> None:
        receive(fleet.store, **GOOD, damage="torn cover", cured="2019-03", plate=(SLIDE, "0130"))
        receive(fleet.store, "R50", part=BOTTLE, mark="2023-04", certificate="N2", new=NewUnit(cycles_since_new=3))
        decide(fleet.store, "suspected", why="no such maker")
        list(export(fleet.store, tmp_path / "out"))
        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        for serial in ("0103", "R50"):
            here, there = state(fleet.store, serial), state(other_intake.store, serial)
            for name_of in ("hold", "receipt", "suspected", "plate", "place_name", "bin", "cycles_since_new"):
                assert getattr(here, name_of) == getattr(there, name_of), name_of
        assert clean(other_intake.store)

    def test_two_records_made_one_carry_their_receipts(self, fleet: Intake) -> None:
        store = fleet.store
        fleet.take({"units": [_spare("O103")]})
        seen = {"date": "2024-01-20", "inspector": "S4", "result": "accepted", "certificate": "T3"}
        fleet.take({"receipts": [{"part_number": SLIDE, "serial_number": "O103", **seen, "damage": "torn cover"}]})
        assert hold(store, "O103") == (
            "receipt of 2024-01-20: certificate T3 is not filed against it, damage seen (torn cover)"
        )
        before = state(store, "0103")
        merge_units(store, name("O103"), name("0103"), **BY)
        assert before.hold is None
        assert state(store, "0103").hold == "receipt of 2024-01-20: damage seen (torn cover)"
        assert clean(store)

    def test_a_list_of_stores_costs_the_same_however_much_lies_there(self, fleet: Intake) -> None:
        few = _statements(fleet.store)
        fleet.take({"units": [_spare(f"S{n:03d}") for n in range(60)]})
        assert _statements(fleet.store) == few
        assert len(stores_list(fleet.store, as_of=DAY).rows) == 62


def _statements(store: Store) -> int:
    """How many statements the list of what lies in stores takes."""
    stores_list(store, as_of=DAY)  # what is kept of the reference is looked up once
    counted: list[str] = []

    def count(*arguments: Any) -> None:
        counted.append(arguments[2])

    event.listen(store.engine, "before_cursor_execute", count)
    try:
        stores_list(store, as_of=DAY)
    finally:
        event.remove(store.engine, "before_cursor_execute", count)
    return len(counted)

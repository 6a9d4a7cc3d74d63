"""A robbery recorded: off the donor and on the receiver in one entry, whole or not at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.rob import RobberyRequest, record_robbery
from fleetlife.actions.take_in import take_in
from fleetlife.answers.audit import audit
from fleetlife.answers.export import export
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder

from .fleet import SLIDE, Intake, carried, everything, h, head, movement, rebuilt_differs, state, stays
from .test_swap_record import named

TODAY = date(2024, 2, 1)
ROB = RobberyRequest(
    donor="Q-AAA",
    donor_position="L1",
    registration="Q-BBB",
    position="L1",
    on=date(2024, 1, 10),
    signed_by="K12",
    inspection="TAG-7",
    unit_inspected_by="K44",
)


def rob(store: Store, *, accept: Sequence[str] = (), **changes: Any) -> MoveRecorded:
    more = {name: changes.pop(name) for name in ("preview", "request_key", "as_of") if name in changes}
    return record_robbery(
        store,
        replace(ROB, **changes),
        recorded_by="clerk",
        acknowledged=[Acknowledgement(finding=code, name="K12", reason="aircraft on ground") for code in accept],
        **{"as_of": TODAY, **more},
    )


def refusal(store: Store, **changes: Any) -> Refusal:
    """The refusal; the records are as they were before."""
    before = everything(store)
    with pytest.raises(Refusal) as refused:
        rob(store, **changes)
    assert everything(store) == before
    assert refused.value.remedy
    return refused.value


def stops(refused: Refusal) -> set[str]:
    assert refused.code == "stops-not-acknowledged"
    return {detail.split()[0] for detail in refused.details}


def released(fleet: Intake, on: str) -> None:
    paper = {"tracking_number": "T9", "organisation": "Fulmar Repair", "status": "Inspected/Tested", "date": on}
    fleet.take({"certificates": [paper | {"part_number": SLIDE, "serial_number": "0101"}]})


def state_of_donor(fleet: Intake, state: str, since: str) -> None:
    fleet.take({"airframe_states": [{"registration": "Q-AAA", "from": since, "state": state}]})


class TestRobbery:
    def test_it_leaves_the_donor_and_goes_on_the_receiver_in_one_entry(self, fleet: Intake) -> None:
        store = fleet.store
        before = head(store)
        told = rob(store)
        assert told.entry == head(store) == before + 1
        assert [(row.kind, row.airframe_id, row.removal_kind) for row in stays(store, "0101")][1:] == [
            ("store", None, "robbery"),
            ("store", None, None),
            ("position", 2, None),
        ]
        assert state(store, "0101").condition == "serviceable"
        assert state(store, "R1").carried_airframe_id == 2
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()
        assert told.findings == ()

    def test_it_tells_before_after_what_falls_due_and_the_empty_donor(self, fleet: Intake) -> None:
        told = rob(fleet.store)
        assert told.before[0] == (f"{SLIDE} 0101", "Q-AAA L1, serviceable, rigged left")
        assert (f"{SLIDE} 0101", "Q-BBB L1, serviceable, rigged left") in told.after
        assert told.after[-1] == ("Q-AAA L1", "empty, and it must hold a unit")
        assert {(row.serial_number, row.registration) for row in told.due} == {("0101", "Q-BBB"), ("R1", "Q-BBB")}
        assert any("deferral" in note for note in told.notes)
        assert told.cautions

    def test_what_hung_at_the_receiver_comes_off_with_it(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-05", fit="0103", registration="Q-BBB", sequence=10)]})
        told = rob(fleet.store, removed_to="shop", removed_to_name="Fulmar", defect="leak")
        assert (state(fleet.store, "0103").kind, state(fleet.store, "0103").place_name) == ("shop", "Fulmar")
        assert (f"{SLIDE} 0103", "Q-BBB L1, serviceable, rigged left") in told.before
        assert rebuilt_differs(fleet.store) == {}

    def test_from_one_door_to_another_of_the_same_airframe(self, fleet: Intake) -> None:
        told = rob(fleet.store, registration="Q-AAA", position="R1", harness="right", removed_to="store")
        assert (state(fleet.store, "0101").position, state(fleet.store, "0101").harness) == ("R1", "right")
        assert state(fleet.store, "0102").kind == "store"
        assert told.findings == ()

    def test_both_airframes_totals_are_stated(self, fleet: Intake) -> None:
        rob(
            fleet.store,
            donor_minutes_total=h("10125:30"),
            donor_cycles_total=1012,
            minutes_total=h("5125:00"),
            cycles_total=512,
        )
        legs = [(leg.airframe_id, leg.from_basis, leg.until_basis) for leg in carried(fleet.store, "0101")]
        assert legs == [(1, "opening", "stated"), (2, "stated", "open")]

    def test_a_preview_writes_nothing(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        shown = rob(fleet.store, preview=True, inspection=None, unit_inspected_by=None)
        assert {finding.code for finding in shown.findings} == {"PAP104", "FIT109"}
        assert everything(fleet.store) == before

    def test_asked_again_with_its_key_it_answers_alike(self, fleet: Intake) -> None:
        first = rob(fleet.store, request_key="k1")
        again = rob(fleet.store, request_key="k1")
        assert (again.entry, again.already) == (first.entry, True)
        with pytest.raises(Refusal) as refused:
            rob(fleet.store, request_key="k1", position="R1")
        assert refused.value.code == "request-key-reused"


class TestStops:
    """The unit needs its tag, inspection or release; the donor must have been flying."""

    def test_with_neither_it_is_a_stop(self, fleet: Intake) -> None:
        bare = {"inspection": None, "unit_inspected_by": None}
        refused = refusal(fleet.store, **bare)
        assert stops(refused) == {"PAP104", "FIT109"}
        assert "tag" in " ".join(refused.details)
        told = rob(fleet.store, accept=("PAP104", "FIT109"), **bare)
        assert {finding.code for finding in told.findings} == {"PAP104", "FIT109"}
        found = audit(fleet.store, as_of=TODAY, codes=["PAP104", "FIT109"]).findings
        assert {(each.code, each.severity, each.status.split(",")[0]) for each in found} == {
            ("PAP104", "stop", "acknowledged by K12"),
            ("FIT109", "stop", "acknowledged by K12"),
        }

    def test_inspected_it_stays_a_note(self, fleet: Intake) -> None:
        rob(fleet.store)
        (found,) = audit(fleet.store, as_of=TODAY, codes=["PAP104"]).findings
        assert found.severity == "note"
        assert "TAG-7" in found.message

    def test_a_release_since_is_enough(self, fleet: Intake) -> None:
        released(fleet, "2024-01-10")
        rob(fleet.store, inspection=None, unit_inspected_by=None, certificate="T9")
        assert audit(fleet.store, as_of=TODAY, codes=["PAP104", "FIT109", "MOV101"]).findings == ()

    def test_a_release_of_before_is_none(self, fleet: Intake) -> None:
        bare = {"inspection": None, "unit_inspected_by": None}
        assert stops(refusal(fleet.store, certificate="T1", **bare)) == {"PAP104", "FIT109"}

    @pytest.mark.parametrize(
        ("what", "since", "stopped"),
        [
            ("accident", "2024-01-09", True),
            ("withdrawn", "2024-01-09", True),
            ("parked", "2023-01-10", True),  # 365 days on the day it comes off
            ("parked", "2023-01-11", False),
            ("in_service", "2020-01-01", False),
            ("accident", "2024-01-11", False),  # after it had left
        ],
    )
    def test_a_donor_that_was_not_flying(self, fleet: Intake, what: str, since: str, stopped: bool) -> None:
        state_of_donor(fleet, what, since)
        if not stopped:
            rob(fleet.store)
            return
        refused = refusal(fleet.store)
        assert stops(refused) == {"MOV101"}
        assert "until released" in refused.details[0]
        rob(fleet.store, accept=("MOV101",))
        (found,) = audit(fleet.store, as_of=TODAY, codes=["MOV101"]).findings
        assert (found.severity, found.registration, found.serial_number) == ("stop", "Q-BBB", "0101")

    def test_how_long_is_long_is_the_operators(self, fleet: Intake) -> None:
        state_of_donor(fleet, "parked", "2023-11-01")
        store = fleet.store
        assert rob(store, preview=True).findings == ()
        store.engine.update_execution_options(long_parked_days=60)
        assert stops(refusal(store)) == {"MOV101"}

    def test_back_in_service_does_not_release_what_was_in_the_accident(self, fleet: Intake) -> None:
        state_of_donor(fleet, "accident", "2023-06-01")
        state_of_donor(fleet, "in_service", "2023-08-01")
        assert stops(refusal(fleet.store)) == {"MOV101"}

    def test_released_since_it_may_be_fitted(self, fleet: Intake) -> None:
        state_of_donor(fleet, "accident", "2023-06-01")
        released(fleet, "2024-01-10")
        rob(fleet.store)
        assert audit(fleet.store, as_of=TODAY, codes=["MOV101"]).findings == ()

    def test_of_a_donor_whose_row_says_withdrawn_and_not_since_when_it_is_a_condition(self, fleet: Intake) -> None:
        fleet.take({"airframes": [{"registration": "Q-CCC", "constructor_serial": "1003", "type": "ISL-90",
                                   "from": "2015-01-01", "status": "withdrawn"}],
                    "movements": [movement("2024-01-05", fit="0103", registration="Q-CCC", sequence=10)]})  # fmt: skip
        shown = rob(fleet.store, donor="Q-CCC", preview=True)
        assert {finding.code for finding in shown.findings} == set()
        rob(fleet.store, donor="Q-CCC")
        (found,) = audit(fleet.store, as_of=TODAY, codes=["MOV101"]).findings
        assert found.severity == "rectify"


class TestSwapCheck:
    """`swap check` knows the donor of a unit that came off it before."""

    def answer(self, store: Store, **more: Any) -> dict[str, str]:
        told = swap_check(
            store, registration="Q-BBB", position="L1", part_number=SLIDE, serial_number="0101", as_of=TODAY, **more
        )
        return {reason.code: reason.verdict for reason in told.reasons if reason.code}

    def test_off_an_airframe_in_an_accident_and_in_stores_since(self, fleet: Intake) -> None:
        state_of_donor(fleet, "accident", "2024-01-04")
        fleet.take({"movements": [movement("2024-01-10", off="0101", removed_condition="serviceable", sequence=10)]})
        answer = self.answer(fleet.store)
        assert answer["MOV101"] == answer["PAP104"] == "stop"
        released(fleet, "2024-01-20")
        assert {"MOV101", "PAP104"}.isdisjoint(self.answer(fleet.store))

    def test_known_at_tells_what_was_known(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-10", off="0101", removed_condition="serviceable", sequence=10)]})
        known = str(head(fleet.store))
        state_of_donor(fleet, "accident", "2024-01-04")
        assert "MOV101" in self.answer(fleet.store)
        assert "MOV101" not in self.answer(fleet.store, known_at=known)


class TestRefused:
    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"on": date(2024, 2, 2)}, "in-the-future"),
            ({"donor": "Q-BBB"}, "position-empty"),
            ({"donor": "Q-ZZZ"}, "registration-unknown"),
            ({"unit": named("0103")}, "not-at-position"),
            ({"registration": "Q-AAA"}, "robbed-from-itself"),
            ({"unit_inspected_by": None}, "inspection-incomplete"),
            ({"inspection": " "}, "inspection-incomplete"),
            ({"remove": named("0103")}, "position-empty"),
            ({"donor_minutes_total": h("9000:00")}, "totals-fall"),
            ({"minutes_total": h("9000:00")}, "totals-fall"),
            ({"on": date(2023, 12, 30)}, "unit-not-then"),
        ],
    )
    def test_nothing_is_recorded(self, fleet: Intake, changes: dict[str, Any], code: str) -> None:
        assert refusal(fleet.store, **changes).code == code


class TestMendedAndAsked:
    def test_before_it_was_recorded_it_was_not_known(self, fleet: Intake) -> None:
        known = str(head(fleet.store))
        rob(fleet.store)
        asked = {"part_number": SLIDE, "serial_number": "0101", "as_of": TODAY}
        assert unit_card(fleet.store, **asked).place == "Q-BBB L1"
        assert unit_card(fleet.store, known_at=known, **asked).place == "Q-AAA L1"
        assert unit_card(fleet.store, **{**asked, "as_of": date(2024, 1, 9)}).place == "Q-AAA L1"

    def test_one_side_of_it_is_corrected(self, fleet: Intake) -> None:
        told = rob(fleet.store)
        correct(
            fleet.store,
            told.entry,
            item=2,
            changes={"position": "R1", "harness": "right"},
            reason="other door",
            authorised_by="K1",
            recorded_by="clerk",
        )
        assert state(fleet.store, "0101").position == "R1"
        assert rebuilt_differs(fleet.store) == {}

    def test_withdrawn_it_never_happened(self, fleet: Intake) -> None:
        before = {name: rows for name, rows in everything(fleet.store).items() if name != "head"}
        told = rob(fleet.store)
        withdraw(fleet.store, told.entry, reason="not done", authorised_by="K1", recorded_by="clerk")
        assert {name: rows for name, rows in everything(fleet.store).items() if name != "head"} == before

    def test_both_movements_are_looked_at_when_derived_again(self, fleet: Intake) -> None:
        """Recorded long after it was done: found at both doors, now and as known before another entry."""
        rob(fleet.store, as_of=date(2024, 3, 20))
        late = audit(fleet.store, as_of=date(2024, 3, 20), codes=["PAP109"]).findings
        known = str(head(fleet.store))
        fleet.take({"operations": [{"part_number": SLIDE, "serial_number": "0101", "date": "2024-02-20",
                                    "operation": "pressurisation", "count": 1}]})  # fmt: skip
        again = audit(fleet.store, as_of=date(2024, 3, 20), known_at=known, codes=["PAP109"]).findings
        assert sorted(map(str, late)) == sorted(map(str, again))

    def test_the_files_of_it_give_the_same_again(self, fleet: Intake, other_intake: Intake, tmp_path: Any) -> None:
        rob(fleet.store)
        for _ in export(fleet.store, tmp_path / "out"):
            pass
        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        for serial in ("0101", "R1"):
            kept = [(s.kind, s.from_moment, s.condition) for s in stays(fleet.store, serial)]
            assert [(s.kind, s.from_moment, s.condition) for s in stays(other_intake.store, serial)] == kept

    def test_the_entry_says_what_each_item_is(self, fleet: Intake) -> None:
        told = rob(fleet.store)
        with fleet.store.reading() as connection:
            body = entry_of(connection, told.entry).body
            assert open_world(connection, as_of=TODAY).states([1])
        assert body["kind"] == "robbery"
        assert [item["fact"] for item in body["items"]] == ["movement", "transfer", "movement"]

"""Fillings and activations recorded without a file; a cylinder past its date or its life is filled by name and reason
or not at all, and is not fitted anew."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.mend import withdraw
from fleetlife.actions.operation import OperationRequest, record_operation
from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.answers.audit import audit
from fleetlife.answers.due import due as due_list
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow, OperationRecorded, Reason

from .fleet import (
    BATTERY,
    BOTTLE,
    SLIDE,
    Files,
    Intake,
    Row,
    everything,
    head,
    rebuilt_differs,
    small_fleet,
    state,
    unit,
)

# Marked 02/2023, three years, to the end of the month.
LAST_DAY, PAST = "2026-02-28", "2026-03-01"
LATER = date(2027, 1, 1)
BARE = "QR-9"


def cylinders() -> Files:
    """The small fleet, its bottles with a requalification and a life of 24 years or 4,380 fillings."""
    files = small_fleet()
    common = {"programme": "TERN", "edition": "3", "effective_from": "2000-01-01"}
    files["requirements"] = [
        row | ({"at_due": "no-refill"} if row["requirement"] == "HST" else {}) for row in files["requirements"]
    ] + [
        {
            **common,
            "requirement": "LIFE",
            "part_number": BOTTLE,
            "kind": "life_limit",
            "source": "dangerous_goods",
            "start": "manufacture",
            "first_months": 288,
            "first_operations": 4_380,
            "operation": "filling",
            "reference": "Card LIFE",
        }
    ]
    files["units"] = [
        row | ({"operations_since_new": 10} if row["part_number"] == BOTTLE else {}) for row in files["units"]
    ]
    return files


@pytest.fixture
def gas(intake: Intake) -> Intake:
    intake.take(cylinders())
    return intake


def more(intake: Intake, serial: str = "B1", *, mark: str | None = "2023-02", **fields: Any) -> None:
    """A loose bottle more, tested by its mark."""
    stated = {"manufactured": "2015-03-01", "operations_since_new": 10, "condition": "serviceable", **fields}
    files: Files = {"units": [unit(BOTTLE, serial, store="Main", **stated)]}
    if mark:
        files["accomplishments"] = [marked_on(serial, mark)]
    intake.take(files)


def marked_on(serial: str, mark: str, **fields: Any) -> Row:
    return {"part_number": BOTTLE, "serial_number": serial, "requirement": "HST", "date": mark, **fields}


def fill(
    store: Store,
    serial: str = "R1",
    *,
    on: str,
    part: str = BOTTLE,
    operation: str = "filling",
    as_of: date = LATER,
    accept: tuple[str, ...] = (),
    request_key: str | None = None,
    preview: bool = False,
    **fields: Any,
) -> OperationRecorded:
    return record_operation(
        store,
        OperationRequest(
            unit=UnitName(part_number=part, serial_number=serial),
            operation=operation,
            on=date.fromisoformat(on),
            **fields,
        ),
        as_of=as_of,
        recorded_by="clerk",
        acknowledged=[Acknowledgement(finding=code, name="K12", reason="filled on the ramp") for code in accept],
        request_key=request_key,
        preview=preview,
    )


def refusal(store: Store, serial: str = "R1", **request: Any) -> Refusal:
    """The refusal; the records are as they were before."""
    before = everything(store)
    with pytest.raises(Refusal) as refused:
        fill(store, serial, **request)
    assert everything(store) == before
    assert refused.value.remedy
    return refused.value


def stopped(store: Store, serial: str = "R1", **request: Any) -> list[str]:
    """The codes of the stops that are in the way."""
    refused = refusal(store, serial, **request)
    assert refused.code == "stops-not-acknowledged"
    assert "--acknowledge" in refused.remedy
    return [detail.split(" ", 1)[0] for detail in refused.details]


def row_of(store: Store, requirement: str, serial: str = "R1", *, on: str) -> DueRow:
    rows = due_list(store, as_of=date.fromisoformat(on), everything=True).rows
    (found,) = [row for row in rows if row.serial_number == serial and row.requirement == requirement]
    return found


class TestRecorded:
    def test_a_filling_is_one_entry_and_one_less_is_left(self, gas: Intake) -> None:
        store = gas.store
        before = head(store)
        told = fill(store, on="2024-06-01", reference="W-4471")
        assert told.entry == head(store) == before + 1
        assert told.findings == ()
        (life,) = [row for row in told.due if row.requirement == "LIFE"]
        assert (life.state, life.operations_left) == ("in date", 4_380 - 10 - 1)
        assert row_of(store, "LIFE", on="2024-07-01").operations_left == 4_369
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_everything_stated_is_in_the_entry(self, gas: Intake) -> None:
        told = fill(gas.store, on="2024-06-01", operation="Activation", count=2, reference="SK4471", sequence=30)
        with gas.store.reading() as connection:
            body = entry_of(connection, told.entry).body
        assert (body["kind"], body["on"], body["sequence"]) == ("operation", "2024-06-01", 30)
        (fact,) = body["items"]
        assert {name: fact[name] for name in ("operation", "count", "reference", "sequence")} == {
            "operation": "activation",
            "count": 2,
            "reference": "SK4471",
            "sequence": 30,
        }

    def test_by_a_file_or_by_the_command_the_same_follows(self, gas: Intake, other_intake: Intake) -> None:
        fill(gas.store, on="2024-06-01", count=3, reference="W-1")
        other_intake.take(cylinders())
        row = {"part_number": BOTTLE, "serial_number": "R1", "date": "2024-06-01", "operation": "filling", "count": 3}
        other_intake.take({"operations": [{**row, "reference": "W-1"}]})
        mine, other = everything(gas.store), everything(other_intake.store)
        assert mine["due_point"] == other["due_point"]
        assert mine["head"][0] == other["head"][0]

    def test_a_filling_in_date_keeps_it_charged_past_the_date(self, gas: Intake) -> None:
        assert row_of(gas.store, "HST", on=PAST).state == "overdue"
        fill(gas.store, on=LAST_DAY)
        kept = row_of(gas.store, "HST", on=PAST)
        assert kept.state == "no refill"
        assert "not be refilled" in kept.state_reason
        fill(gas.store, on="2026-04-01", operation="activation")
        assert row_of(gas.store, "HST", on="2026-04-01").state == "overdue"

    def test_a_count_of_none_makes_the_count_known(self, gas: Intake) -> None:
        assert row_of(gas.store, "LIFE", on="2024-07-01").operations_left is None
        fill(gas.store, on="2024-06-01", count=0)
        assert row_of(gas.store, "LIFE", on="2024-07-01").operations_left == 4_370

    def test_a_preview_shows_the_same_and_writes_nothing(self, gas: Intake) -> None:
        before = everything(gas.store)
        foreseen = fill(gas.store, on="2024-06-01", preview=True)
        assert everything(gas.store) == before
        told = fill(gas.store, on="2024-06-01")
        assert (foreseen.due, foreseen.findings, foreseen.entry) == (told.due, told.findings, told.entry)

    def test_asked_again_under_its_key_nothing_is_added(self, gas: Intake) -> None:
        first = fill(gas.store, on="2024-06-01", request_key="k1")
        again = fill(gas.store, on="2024-06-01", request_key="k1")
        assert (again.already, again.entry, head(gas.store)) == (True, first.entry, first.entry)
        assert refusal(gas.store, on="2024-06-02", request_key="k1").code == "request-key-reused"

    def test_in_the_opening_statement_already_it_is_added_to_no_count(self, gas: Intake) -> None:
        told = fill(gas.store, on="2024-01-01")
        assert "opening statement" in told.notes[0]
        assert row_of(gas.store, "LIFE", on="2024-07-01").operations_left is None
        assert fill(gas.store, on="2024-01-02").notes == ()


class TestRefused:
    def test_what_has_not_happened_yet(self, gas: Intake) -> None:
        assert refusal(gas.store, on="2024-06-02", as_of=date(2024, 6, 1)).code == "in-the-future"

    def test_a_count_below_zero(self, gas: Intake) -> None:
        assert refusal(gas.store, on="2024-06-01", count=-1).code == "total-negative"

    def test_a_word_that_would_be_counted_apart(self, gas: Intake) -> None:
        refused = refusal(gas.store, on="2024-06-01", operation="fillng")
        assert refused.code == "word-not-known"
        assert "filling" in refused.message

    @pytest.mark.parametrize("word", ["pressurisation", "refill", "topping up"])
    def test_a_filling_under_another_word_than_the_one_its_life_counts(self, gas: Intake, word: str) -> None:
        refused = refusal(gas.store, on="2024-06-01", operation=word)
        assert refused.code == "word-not-known"
        assert "counted as 'filling'" in refused.message

    def test_a_filling_of_the_pack_which_would_count_on_no_bottle(self, gas: Intake) -> None:
        refused = refusal(gas.store, "0101", part=SLIDE, on="2024-06-01")
        assert refused.code == "not-the-cylinder"
        assert f"{BOTTLE} R1" in refused.message
        assert fill(gas.store, "0101", part=SLIDE, on="2024-06-01", operation="activation").findings == ()

    def test_a_unit_that_is_not_there(self, gas: Intake) -> None:
        assert refusal(gas.store, "R77", on="2024-06-01").code == "unit-unknown"

    def test_the_same_twice_unless_a_sequence_says_so(self, gas: Intake) -> None:
        first = fill(gas.store, on="2024-06-01")
        refused = refusal(gas.store, on="2024-06-01")
        assert refused.code == "operation-recorded-already"
        assert f"Entry {first.entry} " in refused.message
        fill(gas.store, on="2024-06-01", sequence=2)
        assert row_of(gas.store, "LIFE", on="2024-07-01").operations_left == 4_368

    def test_withdrawn_it_may_be_recorded_anew(self, gas: Intake) -> None:
        first = fill(gas.store, on="2024-06-01")
        withdraw(gas.store, first.entry, reason="wrong bottle", authorised_by="K1", recorded_by="clerk")
        fill(gas.store, on="2024-06-01")
        assert row_of(gas.store, "LIFE", on="2024-07-01").operations_left == 4_369


class TestPastItsDate:
    def test_on_its_last_day_it_may_be_filled_and_not_on_the_next(self, gas: Intake) -> None:
        assert fill(gas.store, on=LAST_DAY, preview=True).findings == ()
        assert stopped(gas.store, on=PAST) == ["LIF101"]

    def test_the_refusal_names_cylinder_requirement_and_date(self, gas: Intake) -> None:
        (detail,) = refusal(gas.store, on=PAST).details
        assert all(words in detail for words in (f"{BOTTLE} R1", "HST", LAST_DAY, "before it is requalified"))

    def test_charged_or_not_it_is_not_filled(self, gas: Intake) -> None:
        fill(gas.store, on="2026-01-10")
        assert row_of(gas.store, "HST", on=PAST).state == "no refill"
        assert stopped(gas.store, on=PAST) == ["LIF101"]

    @pytest.mark.parametrize("word", ["Filling", "FILLING "])
    def test_however_the_word_is_written(self, gas: Intake, word: str) -> None:
        assert stopped(gas.store, on=PAST, operation=word) == ["LIF101"]

    def test_accepted_by_name_and_reason_it_is_recorded_and_overdue(self, gas: Intake) -> None:
        store = gas.store
        fill(store, on="2026-01-10")
        told = fill(store, on=PAST, accept=("lif101",))
        assert [(finding.code, finding.severity) for finding in told.findings] == [("LIF101", "stop")]
        with store.reading() as connection:
            kept = entry_of(connection, told.entry).body["acknowledged"]
        assert kept == [{"finding": "LIF101", "subject": f"{BOTTLE} R1", "reason": "filled on the ramp", "name": "K12"}]
        assert row_of(store, "HST", on=PAST).state == "overdue"
        open_on = {f.registration for f in audit(store, as_of=date(2026, 3, 1)).findings if f.code == "LIF101"}
        assert open_on == {"Q-AAA"}
        assert verify(store).findings == ()

    def test_another_code_accepts_nothing(self, gas: Intake) -> None:
        assert stopped(gas.store, on=PAST, accept=("LIF102",)) == ["LIF101"]

    def test_nothing_is_kept_of_a_code_that_stops_nothing(self, gas: Intake) -> None:
        told = fill(gas.store, on="2024-06-01", accept=("LIF101",))
        with gas.store.reading() as connection:
            assert "acknowledged" not in entry_of(connection, told.entry).body

    def test_recorded_late_it_is_judged_on_its_own_day(self, gas: Intake) -> None:
        assert fill(gas.store, on="2026-02-10", as_of=LATER).findings == ()

    def test_requalified_it_may_be_filled_again(self, gas: Intake) -> None:
        gas.take({"accomplishments": [marked_on("R1", "2026-03")]})
        assert stopped(gas.store, "R2", on="2026-03-15") == ["LIF101"]
        assert fill(gas.store, "R1", on="2026-03-15").findings == ()

    def test_a_later_test_does_not_cover_an_earlier_filling(self, gas: Intake) -> None:
        gas.take({"accomplishments": [marked_on("R1", "2026-05")]})
        assert stopped(gas.store, on="2026-04-15") == ["LIF101"]

    def test_an_activation_is_no_filling(self, gas: Intake) -> None:
        assert fill(gas.store, on=PAST, operation="activation").findings == ()

    def test_a_count_of_none_is_no_filling(self, gas: Intake) -> None:
        assert fill(gas.store, on=PAST, count=0).findings == ()


class TestEndOfItsLife:
    """24 years or 4,380 fillings, whichever comes first."""

    def test_by_years_whatever_its_last_test_allows(self, gas: Intake) -> None:
        more(gas, manufactured="2001-03-01", mark="2024-11")
        assert fill(gas.store, "B1", on="2025-03-01").findings == ()
        refused = refusal(gas.store, "B1", on="2025-03-02")
        assert len(refused.details) == 1
        assert "LIFE" in refused.details[0]
        assert "not filled again" in refused.details[0]

    def test_by_fillings_the_last_one_is_allowed_and_no_more(self, gas: Intake) -> None:
        more(gas, operations_since_new=4_379)
        assert stopped(gas.store, "B1", on="2024-06-01", count=2) == ["LIF101"]
        told = fill(gas.store, "B1", on="2024-06-01")
        assert [row.operations_left for row in told.due if row.requirement == "LIFE"] == [0]
        assert stopped(gas.store, "B1", on="2024-06-02") == ["LIF101"]
        assert row_of(gas.store, "LIFE", "B1", on="2024-06-02").state == "due"
        fill(gas.store, "B1", on="2024-06-02", accept=("LIF101",))
        assert row_of(gas.store, "LIFE", "B1", on="2024-06-02").state == "overdue"

    def test_both_past_both_are_said(self, gas: Intake) -> None:
        more(gas, manufactured="2001-03-01")
        assert stopped(gas.store, "B1", on=PAST) == ["LIF101", "LIF101"]


class TestNotKnown:
    """Unknown is never fine."""

    def test_no_test_at_all(self, gas: Intake) -> None:
        more(gas, mark=None)
        assert stopped(gas.store, "B1", on="2024-06-01") == ["LIF102"]

    def test_a_test_without_its_mark(self, gas: Intake) -> None:
        more(gas, mark=None)
        gas.take({"accomplishments": [marked_on("B1", "2023-02-10", date_basis="release")]})
        assert stopped(gas.store, "B1", on="2024-06-01") == ["LIF104"]

    def test_how_often_it_was_filled_from_new(self, gas: Intake) -> None:
        more(gas, operations_since_new=None)
        assert stopped(gas.store, "B1", on="2024-06-01") == ["LIF102"]

    def test_a_part_with_no_programme(self, gas: Intake) -> None:
        gas.take({
            "parts": [{"part_number": BARE, "manufacturer": "Kittiwake", "kind": "reservoir", "rig": "none"}],
            "units": [unit(BARE, "X1", store="Main")],
        })  # fmt: skip
        assert stopped(gas.store, "X1", part=BARE, on="2024-06-01") == ["LIF103"]

    def test_a_part_of_which_no_test_and_no_life_is_stated(self, gas: Intake) -> None:
        gas.take({"units": [unit(BATTERY, "X1", store="Main")]})
        assert stopped(gas.store, "X1", part=BATTERY, on="2024-06-01") == ["LIF103"]

    def test_that_nothing_applies_must_be_stated_and_then_nothing_stops_it(self, gas: Intake) -> None:
        gas.take({
            "parts": [{"part_number": BARE, "manufacturer": "Kittiwake", "kind": "reservoir", "rig": "none"}],
            "requirements": [{"requirement": "OC", "part_number": BARE, "kind": "on_condition", "reference": "3E"}],
            "units": [unit(BARE, "X1", store="Main")],
        })  # fmt: skip
        assert fill(gas.store, "X1", part=BARE, on="2024-06-01").findings == ()

    def test_before_its_records_begin(self, gas: Intake) -> None:
        refused = refusal(gas.store, on="2023-06-01")
        assert refused.code == "stops-not-acknowledged"
        assert "2024-01-01" in refused.details[0]
        told = fill(gas.store, on="2023-06-01", accept=("LIF102",))
        assert "opening statement" in told.notes[0]
        assert row_of(gas.store, "HST", on=PAST).state == "no refill"
        assert verify(gas.store).findings == ()


class TestNewFitting:
    """A pack that holds a cylinder past its date or its life is a stop in `swap check`, charged or not."""

    def life_stops(self, store: Store, serial: str = "0103", *, on: str) -> list[Reason]:
        answer = swap_check(
            store,
            registration="Q-AAA",
            position="L1",
            part_number=SLIDE,
            serial_number=serial,
            as_of=date.fromisoformat(on),
        )
        stops = [r for r in answer.reasons if r.topic == "life" and r.verdict == "stop" and BOTTLE in r.text]
        assert not stops or answer.outcome == "do not fit"
        return stops

    def test_within_its_date_and_its_life_it_is_no_stop(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01")
        assert self.life_stops(gas.store, on=LAST_DAY) == []

    def test_past_its_date_it_is(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01", operation="activation")
        (stop,) = [r for r in self.life_stops(gas.store, on=PAST) if r.code == "LIF101"]
        assert f"{BOTTLE} R3 HST" in stop.text

    def test_charged_it_may_stay_and_is_not_fitted_anew(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01")
        assert row_of(gas.store, "HST", "R3", on=PAST).state == "no refill"
        (stop,) = self.life_stops(gas.store, on=PAST)
        assert (stop.code, "never covers a new fitting" in stop.text) == ("LIF101", True)

    def test_past_its_life_in_years_it_is(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01")
        gas.take({"accomplishments": [marked_on("R3", "2039-01")]})
        assert self.life_stops(gas.store, on="2039-03-01") == []
        (stop,) = self.life_stops(gas.store, on="2039-03-02")
        assert f"{BOTTLE} R3 LIFE" in stop.text

    def test_with_no_filling_left_it_is(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01", count=4_369)
        assert self.life_stops(gas.store, on="2024-07-01") == []
        fill(gas.store, "R3", on="2024-06-02")
        (stop,) = self.life_stops(gas.store, on="2024-07-01")
        assert (stop.code, f"{BOTTLE} R3 LIFE" in stop.text) == ("LIF101", True)

    def test_the_swap_is_recorded_by_name_and_reason_or_not(self, gas: Intake) -> None:
        fill(gas.store, "R3", on="2024-06-01", count=4_370)
        request = SwapRequest(
            registration="Q-AAA",
            position="L1",
            on=date(2024, 7, 1),
            install=UnitName(part_number=SLIDE, serial_number="0103"),
        )
        with pytest.raises(Refusal) as refused:
            record_swap(gas.store, request, as_of=LATER, recorded_by="clerk")
        assert [detail.split(" ")[0] for detail in refused.value.details] == ["LIF101"]
        accepted = [Acknowledgement(finding="LIF101", name="K12", reason="it hangs there")]
        record_swap(gas.store, request, as_of=LATER, recorded_by="clerk", acknowledged=accepted)
        assert state(gas.store, "0103").position == "L1"

"""Deferrals recorded as entered: shown wherever the airframe is, never computed, and no way round a date."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from fleetlife.actions.deferral import DeferralCloseRequest, DeferralRequest, close_deferral, open_deferral
from fleetlife.actions.mend import correct
from fleetlife.actions.take_in import take_in
from fleetlife.answers.airframe import airframe_card
from fleetlife.answers.audit import audit
from fleetlife.answers.deferrals import deferral_list
from fleetlife.answers.due import due
from fleetlife.answers.export import export
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.verify import verify
from fleetlife.answers.walk_round import walk_round
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder

from .fleet import SLIDE, Intake, everything, head, movement

TODAY = date(2024, 2, 1)
EMPTY = DeferralRequest(
    registration="Q-BBB",
    position="L1",
    on=date(2024, 1, 10),
    item="slide missing",
    authorised_by="S-501",
    expires=date(2024, 1, 31),
    conditions="door not used",
    log_page="TL-9",
)
CLOSE = DeferralCloseRequest(registration="Q-BBB", position="L1", on=date(2024, 1, 20), closed_by="S-304")


def record(act: Callable[..., Any], store: Store, request: Any, **more: Any) -> Any:
    return act(store, request, **{"as_of": TODAY, "recorded_by": "clerk", **more})


def refused(act: Callable[..., Any], store: Store, request: Any, **more: Any) -> Refusal:
    before = everything(store)
    with pytest.raises(Refusal) as told:
        record(act, store, request, **more)
    assert everything(store) == before
    return told.value


def found(store: Store, on: date, **more: Any) -> list[tuple[str, str, str | None]]:
    codes = ["DEF101", "DEF102", "FIT104"]
    findings = audit(store, as_of=on, codes=codes, registrations=["Q-BBB"], **more).findings
    return sorted((f.code, f.severity, f.position) for f in findings if f.position == "L1")


class TestFindings:
    def test_empty_without_a_deferral_is_a_stop(self, fleet: Intake) -> None:
        assert found(fleet.store, TODAY) == [("FIT104", "stop", "L1")]

    def test_empty_with_one_stays_counted_as_a_note_told_with_it(self, fleet: Intake) -> None:
        store = fleet.store
        record(open_deferral, store, EMPTY)
        on = date(2024, 1, 31)  # its last day
        assert found(store, on) == [("DEF102", "note", "L1"), ("FIT104", "note", "L1")]
        empty = next(f for f in audit(store, as_of=on, codes=["FIT104"]).findings if f.severity == "note")
        assert "slide missing: deferred 2024-01-10 by S-501, expires 2024-01-31 as entered" in empty.message
        assert "door not used" in empty.message

    def test_past_its_expiry_as_entered_both_are_stops(self, fleet: Intake) -> None:
        record(open_deferral, fleet.store, EMPTY)
        assert found(fleet.store, TODAY) == [("DEF101", "stop", "L1"), ("FIT104", "stop", "L1")]

    def test_with_no_expiry_entered_nobody_can_say_when_it_is_over(self, fleet: Intake) -> None:
        record(open_deferral, fleet.store, replace(EMPTY, expires=None))
        assert found(fleet.store, TODAY) == [("DEF102", "rectify", "L1"), ("FIT104", "note", "L1")]

    def test_closed_it_covers_nothing(self, fleet: Intake) -> None:
        record(open_deferral, fleet.store, EMPTY)
        record(close_deferral, fleet.store, CLOSE)
        assert found(fleet.store, date(2024, 1, 20)) == [("FIT104", "stop", "L1")]
        assert found(fleet.store, date(2024, 1, 19)) == [("DEF102", "note", "L1"), ("FIT104", "note", "L1")]
        assert verify(fleet.store).findings == ()

    def test_known_then_what_was_recorded_then(self, fleet: Intake) -> None:
        store = fleet.store
        first = str(head(store))
        opened = record(open_deferral, store, EMPTY)
        record(close_deferral, store, CLOSE)
        on = date(2024, 1, 25)
        assert found(store, on, known_at=first) == [("FIT104", "stop", "L1")]
        assert found(store, on, known_at=str(opened.entry)) == [("DEF102", "note", "L1"), ("FIT104", "note", "L1")]
        known = str(head(store))
        changes = {"expires_on": "2024-03-31"}
        correct(store, opened.entry, changes=changes, reason="typed wrongly", authorised_by="K1", recorded_by="clerk")
        listed = deferral_list(store, as_of=on, everything=True)
        assert [row.expires for row in listed.rows] == ["2024-03-31"]
        then = deferral_list(store, as_of=on, everything=True, known_at=known)
        assert [row.expires for row in then.rows] == ["2024-01-31"]


class TestShown:
    """Wherever the airframe is."""

    def test_on_the_card_the_walk_round_the_fitting_and_the_due_list(self, fleet: Intake) -> None:
        store = fleet.store
        record(open_deferral, store, EMPTY)
        on = date(2024, 1, 20)
        said = (
            "slide missing: deferred 2024-01-10 by S-501, expires 2024-01-31 as entered, log page TL-9, "
            "conditions: door not used"
        )
        assert airframe_card(store, registration="Q-BBB", as_of=on).deferrals == (f"L1: {said}",)
        assert walk_round(store, registration="Q-BBB", seen=(), on=on).deferrals == (f"L1: {said}",)
        asked = swap_check(
            store, registration="Q-BBB", position="L1", part_number=SLIDE, serial_number="0103", as_of=on
        )
        assert any(reason.topic == "deferral" and said in reason.text for reason in asked.reasons)
        assert f"Deferred, as entered: Q-BBB L1, {said}." in due(store, as_of=on).about.notes
        elsewhere = swap_check(
            store, registration="Q-BBB", position="R1", part_number=SLIDE, serial_number="0104", as_of=on
        )
        assert all(reason.topic != "deferral" for reason in elsewhere.reasons)

    def test_listed_expired_first(self, fleet: Intake) -> None:
        store = fleet.store
        record(open_deferral, store, replace(EMPTY, position="R1", expires=date(2024, 2, 20)))
        record(open_deferral, store, EMPTY)
        rows = deferral_list(store, as_of=TODAY).rows
        assert [(row.position, row.state) for row in rows] == [("L1", "expired"), ("R1", "open")]
        record(close_deferral, store, CLOSE)
        assert [row.position for row in deferral_list(store, as_of=TODAY).rows] == ["R1"]
        assert [row.state for row in deferral_list(store, as_of=TODAY, everything=True).rows] == ["open", "closed"]
        assert deferral_list(store, as_of=TODAY, registration="Q-AAA").rows == ()

    def test_the_files_of_it_give_the_same_again(self, fleet: Intake, other_intake: Intake, tmp_path: Any) -> None:
        record(open_deferral, fleet.store, EMPTY)
        record(close_deferral, fleet.store, CLOSE)
        for _ in export(fleet.store, tmp_path / "out"):
            pass
        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        mine, theirs = (
            [replace(row, entry=None) for row in deferral_list(store, as_of=TODAY, everything=True).rows]
            for store in (fleet.store, other_intake.store)
        )
        assert mine == theirs


class TestADateIsNoItem:
    def test_what_is_overdue_there_is_named_and_stays_overdue(self, fleet: Intake) -> None:
        store, late = fleet.store, date(2025, 6, 1)
        told = record(
            open_deferral, store, replace(EMPTY, registration="Q-AAA", on=late, expires=None, item="gauge"), as_of=late
        )
        notes = " ".join(told.notes)
        assert "cannot be deferred this way" in notes
        assert "OVH is overdue" in notes
        assert "LIF101" in {f.code for f in audit(store, as_of=late).findings}

    def test_a_requirement_is_no_item(self, fleet: Intake) -> None:
        wrong = replace(EMPTY, registration="Q-AAA", item="ovh")
        assert refused(open_deferral, fleet.store, wrong).code == "not-an-inoperative-item"


class TestRefused:
    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"on": date(2024, 2, 2)}, "in-the-future"),
            ({"expires": date(2024, 1, 9)}, "expires-first"),
            ({"item": " "}, "said-with-nothing"),
            ({"authorised_by": ""}, "said-with-nothing"),
            ({"position": "L7"}, "position-unknown"),
            ({"registration": "Q-ZZZ"}, "registration-unknown"),
        ],
    )
    def test_opening(self, fleet: Intake, changes: dict[str, Any], code: str) -> None:
        assert refused(open_deferral, fleet.store, replace(EMPTY, **changes)).code == code

    def test_not_twice_on_one_day(self, fleet: Intake) -> None:
        record(open_deferral, fleet.store, EMPTY)
        assert refused(open_deferral, fleet.store, replace(EMPTY, item="light")).code == "deferral-open-already"

    def test_closing_what_is_not_open(self, fleet: Intake) -> None:
        store = fleet.store
        assert refused(close_deferral, store, CLOSE).code == "deferral-not-open"
        record(open_deferral, store, EMPTY)
        assert refused(close_deferral, store, replace(CLOSE, on=date(2024, 1, 9))).code == "deferral-not-open"
        assert refused(close_deferral, store, replace(CLOSE, opened=date(2024, 1, 9))).code == "deferral-not-open"
        record(close_deferral, store, CLOSE)
        assert refused(close_deferral, store, CLOSE).code == "deferral-not-open"

    def test_of_two_open_ones_it_is_said_which(self, fleet: Intake) -> None:
        store = fleet.store
        record(open_deferral, store, EMPTY)
        record(open_deferral, store, replace(EMPTY, on=date(2024, 1, 11), item="light"))
        assert refused(close_deferral, store, CLOSE).code == "deferrals-several"
        told = record(close_deferral, store, replace(CLOSE, opened=date(2024, 1, 11)))
        assert any("closed 2024-01-20 by S-304" in text for _, text in told.after)
        assert [row.item for row in deferral_list(store, as_of=TODAY).rows] == ["slide missing"]

    def test_a_unit_fitted_closes_nothing_by_itself(self, fleet: Intake) -> None:
        record(open_deferral, fleet.store, EMPTY)
        fleet.take({"movements": [movement("2024-01-15", fit="0103", registration="Q-BBB", sequence=10)]})
        assert found(fleet.store, date(2024, 1, 20)) == [("DEF102", "note", "L1")]

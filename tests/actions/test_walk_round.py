"""A walk-round recorded: what was seen is in the records, all of it or nothing."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.walk_round import record_walk_round
from fleetlife.answers.audit import audit
from fleetlife.answers.verify import verify
from fleetlife.answers.walk_round import walk_round
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.walk_round import SeenAt, WalkRecorded

from .fleet import SLIDE, Intake, everything, head, rebuilt_differs, transfer
from .test_two_clocks import known, rows

DAY = date(2024, 1, 31)


def at(position: str, serial: str | None = None, **fields: Any) -> SeenAt:
    return SeenAt(position=position, part_number=SLIDE if serial else None, serial_number=serial, **fields)


def record(store: Store, *seen: SeenAt, **more: Any) -> WalkRecorded:
    asked: dict[str, Any] = {"registration": "Q-AAA", "on": DAY, "seen_by": "E4", "as_of": DAY, "recorded_by": "clerk"}
    return record_walk_round(store, seen=seen, **asked | more)


def hanging(store: Store) -> dict[str, str]:
    return {
        row.position: row.serial_number
        for row in everything(store)["unit_state"]
        if row.kind == "position" and row.airframe_id == 1
    }


def places(store: Store) -> dict[str, str]:
    return {row.serial_number: row.kind for row in everything(store)["unit_state"]}


def clean(store: Store) -> bool:
    return rebuilt_differs(store) == {} and verify(store).findings == ()


class TestRecorded:
    def test_plates_that_agree_are_evidence(self, fleet: Intake) -> None:
        before = hanging(fleet.store)
        done = record(fleet.store, at("L1", "0101"), at("R1", "0102"))
        assert (done.agreed, done.read_otherwise, done.moved, len(done.entries)) == (2, 0, 0, 2)
        assert hanging(fleet.store) == before
        assert {row.hold for row in everything(fleet.store)["unit_state"]} == {None}
        assert clean(fleet.store)

    def test_a_plate_that_reads_otherwise_holds_its_unit(self, fleet: Intake) -> None:
        done = record(fleet.store, at("L1", "O101"))
        assert (done.read_otherwise, done.moved) == (1, 0)
        state = next(row for row in everything(fleet.store)["unit_state"] if row.serial_number == "0101")
        assert state.hold is not None
        assert "O101" in state.hold
        (found,) = audit(fleet.store, as_of=DAY, codes=["IDN102"]).findings
        assert found.serial_number == "0101"
        assert clean(fleet.store)

    def test_what_nobody_knows_holds_the_unit_recorded_there(self, fleet: Intake) -> None:
        record(fleet.store, at("L1", "7777"))
        assert [each.code for each in audit(fleet.store, as_of=DAY, codes=["IDN102"]).findings] == ["IDN102"]

    def test_a_spare_found_hanging_takes_the_place_of_the_one_recorded(self, fleet: Intake) -> None:
        done = record(fleet.store, at("L1", "0103", harness="left"))
        assert done.moved == 1
        assert hanging(fleet.store)["L1"] == "0103"
        assert places(fleet.store)["0101"] == "unknown"
        assert [each.code for each in audit(fleet.store, as_of=DAY, codes=["FIT106"]).findings] == ["FIT106"]
        assert clean(fleet.store)

    def test_found_on_the_day_on_which_it_was_moved_in_stores(self, fleet: Intake) -> None:
        """The find comes after everything that is recorded of the day for the unit found."""
        fleet.take({"transfers": [transfer("0103", DAY.isoformat(), store="Line", sequence=30)]})
        record(fleet.store, at("L1", "0103"))
        assert hanging(fleet.store)["L1"] == "0103"
        assert clean(fleet.store)

    def test_two_that_hang_on_each_others_doors(self, fleet: Intake) -> None:
        done = record(fleet.store, at("L1", "0102"), at("R1", "0101"))
        assert done.moved == 2
        assert hanging(fleet.store) == {"L1": "0102", "R1": "0101"}
        assert clean(fleet.store)

    def test_one_that_hangs_at_the_next_door_leaves_its_own_empty(self, fleet: Intake) -> None:
        done = record(fleet.store, at("L1", "0102"), at("R1"))
        assert done.moved == 1
        assert hanging(fleet.store) == {"L1": "0102"}
        assert places(fleet.store)["0101"] == "unknown"
        assert clean(fleet.store)

    def test_one_that_is_gone(self, fleet: Intake) -> None:
        done = record(fleet.store, at("R1"))
        assert done.moved == 1
        assert hanging(fleet.store) == {"L1": "0101"}
        assert places(fleet.store)["0102"] == "unknown"
        assert clean(fleet.store)

    def test_one_that_is_on_another_airframe_in_the_records(self, fleet: Intake) -> None:
        done = record(fleet.store, at("L1", "0101"), registration="Q-BBB")
        assert done.moved == 1
        assert hanging(fleet.store) == {"R1": "0102"}
        assert clean(fleet.store)

    def test_known_before_it_is_as_it_was(self, fleet: Intake) -> None:
        then, entry = rows(fleet.store), head(fleet.store)
        record(fleet.store, at("L1", "0102"), at("R1"))
        assert known(fleet.store, entry) == then

    def test_twice_on_one_day(self, fleet: Intake) -> None:
        record(fleet.store, at("L1", "O101"))
        record(fleet.store, at("L1", "0101"))
        assert audit(fleet.store, as_of=DAY, codes=["IDN102"]).findings == ()
        assert clean(fleet.store)

    def test_nothing_looked_at_is_nothing_recorded(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        assert record(fleet.store).entries == ()
        assert everything(fleet.store) == before


class TestRefused:
    @pytest.mark.parametrize(
        ("seen", "more", "code"),
        [
            ([at("L9", "0101")], {}, "position-unknown"),
            ([at("L1", "0101"), at("1L", "0102")], {}, "position-seen-twice"),
            ([at("L1", "0101")], {"registration": "Q-ZZZ"}, "registration-unknown"),
            ([at("L1", "0101")], {"seen_by": " "}, "seen-by-missing"),
            ([at("L1", "0101")], {"as_of": date(2024, 1, 30)}, "in-the-future"),
            ([at("L1", "0101")], {"head": "0" * 64}, "recorded-meanwhile"),
        ],
    )
    def test_and_nothing_is_written(self, fleet: Intake, seen: list[SeenAt], more: dict[str, Any], code: str) -> None:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            record(fleet.store, *seen, **more)
        assert refused.value.code == code
        assert everything(fleet.store) == before


def test_a_position_nobody_looked_at_says_so(fleet: Intake) -> None:
    answer = walk_round(fleet.store, registration="Q-AAA", seen=[at("L1", "0101")], on=DAY)
    assert [(row.position, row.verdict) for row in answer.rows] == [("L1", "agree"), ("R1", "not looked at")]
    assert answer.clean


def test_a_rig_other_than_recorded_is_told(fleet: Intake) -> None:
    answer = walk_round(fleet.store, registration="Q-AAA", seen=[at("L1", "0101", harness="right")], on=DAY)
    assert answer.rows[0].verdict == "agree"
    assert answer.harness_differs == ("L1: rigged right by eye, left in the records.",)
    assert not answer.clean

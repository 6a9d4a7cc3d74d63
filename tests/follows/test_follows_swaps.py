"""A swap from plan to release: its state, what is accounted for, what keeps the door shut, who may sign."""

from __future__ import annotations

from typing import Any

import pytest

from fleetlife.follows.place import Recorded
from fleetlife.follows.reference import Reference
from fleetlife.follows.swaps import (
    SwapLife,
    authorised,
    expected_at,
    gauge_items,
    items_of,
    own_work,
    points_before_release,
    retained_items,
    second_person_asked,
    swap_lives,
    works_at,
)
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.facts import Movement, Position
from fleetlife.ledger.swaps import (
    Authorisation,
    GaugeReading,
    PositionWork,
    PressureBand,
    ReleaseItem,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.terms.words import OUTCOMES

DOOR = Position(type="ISL-90", position="L1", side="left", harness="left", kind="door", retained="girt bar; shear pin")
PLAN = SwapPlan(swap="S1", airframe=7, position="L1", planned_on="2024-03-01", incoming=2, outgoing=1, planned_by="P1")
CATEGORY = {outcome: category for category, outcomes in OUTCOMES.items() for outcome in outcomes}


def change(on: str = "2024-03-05", swap: str | None = "S1") -> Movement:
    return Movement(airframe=7, position="L1", moved_on=on, sequence=10, removed=1, installed=2, swap=swap)


def work(item: str, outcome: str, on: str = "2024-03-05", *, swap: str | None = "S1", **more: Any) -> PositionWork:
    return PositionWork(
        airframe=7,
        position="L1",
        category=CATEGORY[outcome],
        item=item,
        outcome=outcome,
        worked_on=on,
        swap=swap,
        **{"signed_by": "M1", **more},
    )


def sign(role: str, by: str, on: str = "2024-03-05", **more: Any) -> SwapSignature:
    return SwapSignature(swap="S1", airframe=7, role=role, signed_on=on, signed_by=by, **more)


def asks(category: str, item: str, *, position: str | None = None, **more: Any) -> ReleaseItem:
    return ReleaseItem(type="ISL-90", position=position, category=category, item=item, **more)


def may(staff: str, role: str, **more: Any) -> Authorisation:
    return Authorisation(staff=staff, role=role, **{"valid_from": "2024-01-01", **more})


def reference(*facts: Fact) -> Reference:
    return Reference([(number, fact) for number, fact in enumerate((DOOR, *facts), 1)])


def recorded(*facts: Fact, first: int = 100) -> list[Recorded]:
    return [Recorded(first + place, fact) for place, fact in enumerate((PLAN, *facts))]


def life(*facts: Fact) -> SwapLife:
    return swap_lives(recorded(*facts))["S1"]


def told(known: Reference, *facts: Fact) -> dict[str, tuple[bool, str]]:
    held = recorded(*facts)
    swap = swap_lives(held)["S1"]
    return {item.item: (item.settled, item.told) for item in items_of(swap, DOOR, known, works_at(held, "L1"))}


def points(known: Reference, *facts: Fact) -> list[str]:
    held = recorded(*facts)
    swap = swap_lives(held)["S1"]
    return [point.what for point in points_before_release(swap, DOOR, known, works_at(held, "L1"))]


STATES: list[tuple[tuple[Fact, ...], str]] = [
    ((), "planned"),
    ((SwapStep(swap="S1", airframe=7, step="checked", stepped_on="2024-03-02", signed_by="M1"),), "checked"),
    ((SwapStep(swap="S1", airframe=7, step="begun", stepped_on="2024-03-02", signed_by="M1"),), "begun"),
    ((SwapStep(swap="S1", airframe=7, step="given_up", stepped_on="2024-03-02", signed_by="M1"),), "given up"),
    ((change(),), "done"),
    ((change(), sign("performed", "M1")), "done"),
    ((change(), sign("released", "C1")), "released"),
    ((change(swap=None),), "planned"),
    ((change(swap="S2"),), "planned"),
]


class TestState:
    @pytest.mark.parametrize(("facts", "state"), STATES)
    def test_follows_from_what_was_recorded(self, facts: tuple[Fact, ...], state: str) -> None:
        assert life(*facts).state == state

    def test_what_was_fitted_counts_and_not_what_was_planned(self) -> None:
        other = Movement(airframe=7, position="L1", moved_on="2024-03-05", removed=8, installed=9, swap="S1")
        assert (life().incoming, life().outgoing) == (2, 1)
        assert (life(other).incoming, life(other).outgoing) == (9, 8)

    def test_the_order_in_which_it_was_recorded_does_not_matter(self) -> None:
        facts = (
            work("pin", "removed", sequence=2),
            work("pin", "placed", sequence=1),
            change(),
            sign("performed", "M1"),
        )
        one, other = life(*facts), life(*reversed(facts))
        assert [w.outcome for _, w in one.works] == [w.outcome for _, w in other.works] == ["placed", "removed"]
        assert one.state == other.state


def runs(*outcomes: str) -> tuple[Fact, ...]:
    """Runs of the test of arming on one day, after the change."""
    return (change(), *(work("arming", outcome, sequence=place) for place, outcome in enumerate(outcomes, 1)))


ITEMS: list[tuple[ReleaseItem, tuple[Fact, ...], bool, str]] = [
    (asks("device", "pin"), (), False, "neither placed nor said to be not used"),
    (asks("device", "pin"), (work("pin", "placed"),), False, "placed 2024-03-05"),
    (asks("device", "pin"), (work("pin", "placed"), work("PIN", "removed", sequence=2)), True, "removed"),
    (asks("device", "pin"), (work("pin", "not_used"),), True, "not used"),
    (asks("device", "pin"), (work("pin", "removed"), work("pin", "placed", sequence=2)), False, "placed"),
    (asks("lock", "wire"), (), False, "neither broken"),
    (asks("lock", "wire"), (change(), work("wire", "broken")), False, "broken"),
    (asks("lock", "wire"), (change(), work("wire", "broken"), work("wire", "remade", sequence=2)), True, "remade"),
    (asks("lock", "wire"), (change(), work("wire", "remade", "2024-03-04")), False, "before the unit was changed"),
    (asks("lock", "wire"), (change(), work("wire", "not_broken", "2024-03-04")), True, "not broken"),
    (asks("test", "arming"), (change(),), False, "not signed"),
    (asks("test", "arming"), (work("arming", "passed"),), False, "not recorded yet"),
    (asks("test", "arming"), (change(), work("arming", "passed", "2024-03-04")), False, "not signed since"),
    (asks("test", "arming"), runs("passed"), True, "passed"),
    (asks("test", "arming"), runs("passed", "failed"), False, "failed"),
    (asks("test", "arming", runs=2), runs("passed"), False, "1 of 2"),
    (asks("test", "arming", runs=2), runs("passed", "passed"), True, "2 of 2"),
    (asks("test", "arming", runs=2), runs("passed", "failed", "passed"), False, "1 of 2"),
]  # fmt: skip


class TestItems:
    @pytest.mark.parametrize(("row", "facts", "settled", "says"), ITEMS)
    def test_each_stands_as_recorded(self, row: ReleaseItem, facts: tuple[Fact, ...], settled: bool, says: str) -> None:
        stands = told(reference(row), *facts)[row.item]
        assert stands[0] is settled
        assert says in stands[1]

    def test_each_retained_item_of_the_position_is_asked_for(self) -> None:
        assert retained_items(DOOR) == ("girt bar", "shear pin")
        stands = told(reference(), change(), work("girt bar", "stayed"), work("shear pin", "left", sequence=2))
        assert stands["girt bar"][0]
        assert not stands["shear pin"][0]
        assert told(reference(), change())["girt bar"] == (False, "not accounted for")

    def test_a_device_left_in_for_another_swap_keeps_this_door_shut(self) -> None:
        stands = told(reference(), change(), work("pin", "placed", "2024-01-01", swap="S0"))
        assert not stands["pin"][0]
        assert "for S0" in stands["pin"][1]
        assert "pin" not in told(
            reference(), work("pin", "placed", swap="S0"), work("pin", "removed", swap=None, sequence=2)
        )

    def test_what_no_data_asks_for_counts_all_the_same(self) -> None:
        assert not told(reference(), change(), work("tie wrap", "placed"))["tie wrap"][0]

    def test_a_row_of_the_position_wins_over_one_of_the_type(self) -> None:
        known = reference(asks("test", "arming"), asks("test", "arming", position="L1", runs=3))
        assert [row.runs for row in expected_at(DOOR, known)] == [3]
        assert expected_at(DOOR, reference(asks("test", "arming", position="R1"))) == []

    def test_a_row_of_a_kind_of_position_is_asked_for_at_those_alone(self) -> None:
        known = reference(asks("test", "arming", position_kind="Door"), asks("test", "hatch", position_kind="hatch"))
        assert [row.item for row in expected_at(DOOR, known)] == ["arming"]

    def test_what_was_stated_after_the_release_is_not_asked_of_it(self) -> None:
        late = Reference([(1, DOOR), (500, asks("test", "arming"))])
        stayed = (work("girt bar", "stayed"), work("shear pin", "stayed", sequence=2))
        done = (change(), *stayed, sign("performed", "M1"))
        assert "test-open" in points(late, *done)
        assert "test-open" not in points(late, *done, sign("released", "C1"))


RELEASABLE = (
    change(),
    work("girt bar", "stayed"),
    work("shear pin", "stayed", sequence=2),
    sign("performed", "M1"),
    sign("inspected", "M2"),
)
STAFF = (may("M1", "performed"), may("M2", "inspected"), may("C1", "released"))
CRITICAL = (asks("inspection", "independent inspection"), *STAFF)


class TestRelease:
    def test_nothing_open_when_all_is_accounted_for(self) -> None:
        assert points(reference(*CRITICAL), *RELEASABLE) == []

    @pytest.mark.parametrize(
        ("without", "what"),
        [(0, "not-done"), (1, "retained-open"), (3, "not-signed"), (4, "not-inspected")],
    )
    def test_each_thing_that_is_missing_is_a_point(self, without: int, what: str) -> None:
        facts = [fact for place, fact in enumerate(RELEASABLE) if place != without]
        assert what in points(reference(*CRITICAL), *facts)

    def test_no_second_person_where_none_is_asked_for(self) -> None:
        assert second_person_asked(DOOR, reference(*STAFF)) is None
        assert points(reference(*STAFF), *RELEASABLE[:-1]) == []

    def test_own_work_is_inspected_under_an_exception_alone(self) -> None:
        known = reference(*CRITICAL, may("M1", "inspected"))
        own = (*RELEASABLE[:-1], sign("inspected", "m1"))
        assert points(known, *own) == ["inspected-own-work"]
        with_why = (*RELEASABLE[:-1], sign("inspected", "M1", exception="the second fell ill"))
        assert points(known, *with_why) == []
        assert own_work(life(*own))

    def test_a_signature_outside_the_authorisation_is_a_point(self) -> None:
        known = reference(asks("inspection", "inspection"), may("M1", "performed", valid_to="2024-03-04"), *STAFF[1:])
        assert points(known, *RELEASABLE) == ["outside-authorisation"]


AUTHORISED: list[tuple[Authorisation | None, str, str, str | None]] = [
    # what is held, role, day, why not
    (None, "performed", "2024-03-05", "no authorisation of M1"),
    (may("M1", "performed"), "performed", "2024-03-05", None),
    (may("m1", "performed"), "performed", "2024-03-05", None),
    (may("M1", "performed"), "released", "2024-03-05", "and not released"),
    (may("M1", "performed"), "performed", "2023-12-31", "not on 2023-12-31"),
    (may("M1", "performed", valid_to="2024-03-05"), "performed", "2024-03-05", None),
    (may("M1", "performed", valid_to="2024-03-04"), "performed", "2024-03-05", "not on 2024-03-05"),
    (may("M1", "performed", type="isl-90"), "performed", "2024-03-05", None),
    (may("M1", "performed", type="LMV-120"), "performed", "2024-03-05", "this is ISL-90"),
    (may("M1", "performed", position_kind="door"), "performed", "2024-03-05", None),
    (may("M1", "performed", position_kind="over-wing exit"), "performed", "2024-03-05", "over-wing exit"),
]


class TestAuthorised:
    @pytest.mark.parametrize(("held", "role", "day", "why"), AUTHORISED)
    def test_by_role_scope_and_day(self, held: Authorisation | None, role: str, day: str, why: str | None) -> None:
        found, says = authorised("M1", role, DOOR, reference(*([held] if held else [])), day)
        assert (found is None) == (why is not None)
        if why is not None:
            assert why in says


class TestGauge:
    BANDS = tuple(
        PressureBand(
            part_number="B-1", millicelsius=c * 1000, minimum=low * 1000, maximum=high * 1000, pressure_unit="psi"
        )
        for c, low, high in ((0, 2500, 2800), (20, 2900, 3200))
    )

    def read(self, pressure: int, celsius: int, **more: Any) -> GaugeReading:
        given = {"read_on": "2024-03-04", "sequence": 1, "pressure_unit": "psi", "seen_by": "M1", "swap": "S1"} | more
        return GaugeReading(unit=3, pressure=pressure * 1000, millicelsius=celsius * 1000, airframe=7, **given)

    def stands(self, *facts: Fact) -> tuple[bool, str]:
        (item,) = gauge_items(life(*facts), reference(*self.BANDS), [(3, "B-1", "B-1 R3")])
        return item.settled, item.told

    def test_a_reading_inside_the_band_settles_it_before_the_fitting_too(self) -> None:
        assert self.stands(change(), self.read(2750, 10))[0]

    def test_outside_the_band_or_the_table_or_unread_it_stays_open(self) -> None:
        assert self.stands() == (False, "not read for this swap")
        assert "below the least of 2700" in self.stands(self.read(2699, 10))[1]
        assert "not known" in self.stands(self.read(2750, 21))[1]
        assert not self.stands(self.read(2750, 10, pressure_unit="bar"))[0]

    def test_the_last_reading_counts(self) -> None:
        assert self.stands(self.read(2000, 10), self.read(2750, 10, sequence=2))[0]
        assert not self.stands(self.read(2750, 10), self.read(2000, 10, sequence=2))[0]

"""The planner's page of the demo: its doors, months and stock are those that the other answers tell."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.airframe import airframe_card
from fleetlife.answers.due_spares import due_with_spares
from fleetlife.answers.planned import planned
from fleetlife.answers.spares_outlook import spares_outlook
from fleetlife.store.engine import Store
from fleetlife.terms.planned import Planned

TODAY = date(2026, 11, 25)
WINDOW = {"window_from": date(2026, 12, 1), "window_until": date(2026, 12, 31)}


@pytest.fixture(scope="module")
def plan(demo: Store) -> Planned:
    return planned(demo, as_of=TODAY, **WINDOW)


class TestPlanned:
    def test_the_list_is_that_of_due_with_spares(self, demo: Store, plan: Planned) -> None:
        assert plan.listed == due_with_spares(demo, as_of=TODAY, **WINDOW)

    def test_the_stock_is_that_of_the_outlook(self, demo: Store, plan: Planned) -> None:
        assert plan.outlook == spares_outlook(demo, as_of=TODAY, months=12)

    def test_each_removal_is_in_one_month_of_the_outlook(self, plan: Planned) -> None:
        for month in plan.months:
            off = sum(each.removals for line in plan.outlook.lines for each in line.months if each.month == month.month)
            assert len(month.removals) == off, month.month
        places = [(each.registration, each.position) for month in plan.months for each in month.removals]
        assert len(places) == len(set(places)) > 20
        assert [each.overdue for each in plan.months[0].removals] == [True]
        assert plan.empty == 2

    def test_every_position_is_drawn_as_its_airframe_tells(self, demo: Store, plan: Planned) -> None:
        assert len(plan.airframes) == len({each.registration for each in plan.airframes}) > 12
        for name in ("Q-SKA", "Q-SKB", "Q-SKH", "Q-SKL"):
            drawn = next(each for each in plan.airframes if each.registration == name)
            card = {door.position: door for door in airframe_card(demo, registration=name, as_of=TODAY).doors}
            assert [door.position for door in drawn.doors] == list(card)
            for door in drawn.doors:
                assert door.serial_number == card[door.position].serial_number

    def test_the_worst_state_and_the_first_date_stand_together(self, plan: Planned) -> None:
        doors = {f"{each.registration} {door.position}": door for each in plan.airframes for door in each.doors}
        late, stays, unknown = doors["Q-SKA R2"], doors["Q-SKC L1"], doors["Q-SKB R1"]
        assert (late.state, late.due_on, late.days_left) == ("overdue", "2026-11-10", -15)
        assert (stays.state, stays.due_on) == ("no refill", "2027-01-16"), "what may stay has no date of its own"
        assert (unknown.state, unknown.unknown) == ("unknown", True)
        assert doors["Q-SKL R1"].state == "in date", "a soft life stops nothing"
        assert (doors["Q-SKT L1"].serial_number, doors["Q-SKT L1"].required) == (None, True)

    def test_narrowed_to_a_station(self, demo: Store) -> None:
        there = planned(demo, as_of=TODAY, **WINDOW, stations=("Ytrevik",))
        assert {each.station for each in there.airframes} == {"Ytrevik"}
        assert {each.registration for month in there.months for each in month.removals} <= {
            each.registration for each in there.airframes
        }

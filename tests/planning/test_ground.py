"""Ground times: the latest that begins in time, the next, the one a day is in; and which least life counts."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.planning.ground import Least, Period, holding, least_life, next_after, place_in_time

ONE = Period(first=10, last=12, station="SKA")
TWO = Period(first=20, last=24, station="YTR")


@st.composite
def periods(draw: st.DrawFn) -> list[Period]:
    """Apart from one another, in any order."""
    found, day = [], 0
    for _ in range(draw(st.integers(0, 5))):
        first = day + draw(st.integers(1, 6))
        day = first + draw(st.integers(0, 4))
        found.append(Period(first=first, last=day, station="SKA"))
    return draw(st.permutations(found))


class TestPlaced:
    @pytest.mark.parametrize(
        ("due", "as_of", "placed"),
        [
            (9, 1, None),  # due before the first begins
            (10, 1, (ONE, 10)),  # on its first day: done in time
            (19, 1, (ONE, 10)),
            (20, 1, (TWO, 20)),  # the latest that begins in time
            (22, 1, (TWO, 20)),
            (11, 11, (ONE, 11)),  # it has begun: from the day asked about on
            (12, 13, None),  # it is over
            (11, 12, None),  # it goes on, and the due day has passed
        ],
    )
    def test_in_the_latest_that_begins_no_later_than_the_due_day(
        self, due: int, as_of: int, placed: tuple[Period, int] | None
    ) -> None:
        found = place_in_time([TWO, ONE], due=due, as_of=as_of)
        assert (None if found is None else (found.period, found.day)) == placed

    @given(periods(), st.integers(0, 60), st.integers(0, 60))
    def test_it_is_what_walking_back_from_the_due_day_meets_first(
        self, held: list[Period], due: int, as_of: int
    ) -> None:
        met = None
        for day in range(due, as_of - 1, -1):
            begins = [p for p in held if p.first == day or (day == as_of and p.first < day <= p.last)]
            if begins:
                met = (max(begins), day)
                break
        found = place_in_time(held, due=due, as_of=as_of)
        assert (None if found is None else (found.period, found.day)) == met

    @given(periods(), st.integers(0, 60))
    def test_the_next_begins_after_the_day_and_none_lies_between(self, held: list[Period], day: int) -> None:
        found = next_after(held, day)
        later = [p for p in held if p.first > day]
        assert (found is None) == (not later)
        assert found is None or all(found.first <= p.first for p in later)

    def test_both_its_days_are_in_it(self) -> None:
        assert [holding([TWO, ONE], day) for day in (9, 10, 12, 13, 24)] == [None, ONE, ONE, None, TWO]


def rule(days: int, **more: Any) -> Least:
    return Least(**{"days": days, "effective_from": 1, "reference": "note"} | more)


class TestLeast:
    @pytest.mark.parametrize(
        ("rules", "days"),
        [
            ([], None),
            ([rule(30)], 30),
            ([rule(30), rule(60, operator="Tern Air")], 60),
            ([rule(90, part_number="sl-100-1"), rule(60, operator="Tern Air")], 90),
            ([rule(90, part_number="SL-100-1"), rule(20, part_number="SL-100-1", operator="tern air")], 20),
            ([rule(30), rule(45, effective_from=50)], 45),
            ([rule(30), rule(45, effective_from=101)], 30),
            ([rule(30, operator="Auk Air")], None),
            ([rule(30, part_number="SL-200-1")], None),
        ],
    )
    def test_the_nearest_rule_in_force_counts(self, rules: list[Least], days: int | None) -> None:
        found = least_life(rules, operator="Tern Air", part_number="SL-100-1", on=100)
        assert (None if found is None else found.days) == days

    def test_an_airframe_without_an_operator_has_the_general_rule(self) -> None:
        rules = [rule(60, operator="Tern Air"), rule(30)]
        found = least_life(rules, operator=None, part_number="SL-100-1", on=100)
        assert found is not None
        assert found.days == 30

"""Projected totals and the days of thresholds: exact, inverse to each other, and no row lost by the search."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import ceil

from hypothesis import given, settings
from hypothesis import strategies as st
from life_history import d, flying, h, iso, needs

from fleetlife.life.projection import (
    all_rates,
    days_since_reading,
    last_day_at_or_below,
    outlook,
    search_limits,
    totals_at,
)
from fleetlife.life.state import judge
from fleetlife.life.values import DuePoint, Outlook, Period, Rate

BASE = d("2026-03-01")


def view(*, earlier=(), oldest=None, plan=(), base=(BASE, 60_000, 1_000)):
    return outlook(1, as_of=BASE + 5, base=base, earlier=earlier, oldest=oldest, plan=plan)


def period(first, last, minutes, millicycles=0):
    return Period(from_day=BASE + first, to_day=BASE + last, minutes_per_day=minutes, millicycles_per_day=millicycles)


class TestRates:
    def test_the_mean_is_the_growth_over_the_trailing_365_days(self):
        found = view(earlier=((30, BASE - 30, 54_000, 900), (365, BASE - 365, 20_000, 300)), oldest=(BASE - 900, 0, 0))
        assert found.rate == Rate(minutes=40_000, cycles=700, span=365)
        assert found.rates == (Rate(minutes=6_000, cycles=100, span=30), Rate(minutes=40_000, cycles=700, span=365))

    def test_with_less_it_is_what_there_is(self):
        found = view(earlier=((30, BASE - 30, 54_000, 900),), oldest=(BASE - 40, 52_000, 880))
        assert found.rate == Rate(minutes=8_000, cycles=120, span=40)
        assert all_rates(found) == (Rate(minutes=6_000, cycles=100, span=30), found.rate)

    def test_below_28_days_there_is_none(self):
        assert view(oldest=(BASE - 27, 50_000, 800)).rate is None
        assert view(oldest=(BASE - 28, 50_000, 800)).rate == Rate(minutes=10_000, cycles=200, span=28)
        assert all_rates(view()) == (None,)

    def test_a_window_the_records_do_not_reach_back_to_has_no_rate(self):
        assert view(earlier=((90, BASE - 60, 50_000, 800),)).rates == ()

    def test_without_a_base_there_is_nothing_to_project(self):
        found = view(base=None)
        assert (found.base_day, found.rate, days_since_reading(found, as_of=BASE)) == (None, None, None)
        assert last_day_at_or_below(found, rate=None, threshold_minutes=1) is None
        assert search_limits(found, until_day=BASE) == (None, None)

    def test_the_age_of_the_reading_is_counted_in_days(self):
        assert days_since_reading(view(), as_of=BASE + 15) == 15


class TestTotals:
    def test_they_round_up(self):
        found = replace(view(), rate=Rate(minutes=1, cycles=1, span=365))
        assert totals_at(found, BASE, rate=found.rate) == (60_000, 1_000)
        assert totals_at(found, BASE + 1, rate=found.rate) == (60_001, 1_001)
        assert totals_at(found, BASE + 365, rate=found.rate) == (60_001, 1_001)
        assert totals_at(found, BASE + 366, rate=found.rate) == (60_002, 1_002)

    def test_a_planned_period_wins_over_the_rate(self):
        found = view(plan=(period(3, 4, 0), period(6, 7, 600, 1_500)))
        rate = Rate(minutes=100, cycles=2, span=1)
        totals = [totals_at(found, BASE + day, rate=rate) for day in range(9)]
        assert [minutes - 60_000 for minutes, _ in totals] == [0, 100, 200, 200, 200, 300, 900, 1_500, 1_600]
        assert [cycles - 1_000 for _, cycles in totals] == [0, 2, 4, 4, 4, 6, 8, 9, 11]

    def test_the_part_of_a_period_before_the_reading_is_flown_already(self):
        found = view(plan=(period(-10, 1, 600),))
        assert totals_at(found, BASE + 2, rate=None) == (60_600, 1_000)

    def test_of_two_periods_on_a_day_the_one_that_begins_later_counts(self):
        found = view(plan=(period(1, 10, 600), period(4, 5, 0)))
        assert totals_at(found, BASE + 10, rate=None)[0] == 60_000 + 8 * 600


class TestDays:
    def test_the_last_day_at_or_below(self):
        found = flying("2026-03-01", "6000:00", a_day="8:00")
        assert iso(last_day_at_or_below(found, rate=found.rate, threshold_minutes=h("6369:45"))) == "2026-04-16"
        assert iso(last_day_at_or_below(found, rate=found.rate, threshold_minutes=h("6368:00"))) == "2026-04-16"
        assert iso(last_day_at_or_below(found, rate=found.rate, threshold_minutes=h("6367:59"))) == "2026-04-15"

    def test_a_threshold_below_the_reading_has_no_day(self):
        found = flying("2026-03-01", "6000:00", a_day="8:00")
        assert last_day_at_or_below(found, rate=found.rate, threshold_minutes=h("5999:59")) is None

    def test_with_no_growth_there_is_no_day(self):
        found = flying("2026-03-01", "6000:00")
        assert last_day_at_or_below(found, rate=found.rate, threshold_minutes=h("6000:00")) is None
        assert last_day_at_or_below(found, rate=None, threshold_cycles=1) is None

    def test_a_threshold_reached_within_a_plan_has_a_day_without_any_rate(self):
        found = replace(view(plan=(period(1, 10, 600, 500),)), rate=None)
        assert last_day_at_or_below(found, rate=None, threshold_minutes=61_199) == BASE + 1
        assert last_day_at_or_below(found, rate=None, threshold_cycles=1_004) == BASE + 8
        assert last_day_at_or_below(found, rate=None, threshold_cycles=1_005) is None


rates = st.builds(
    Rate, minutes=st.integers(0, 20_000), cycles=st.integers(0, 300), span=st.sampled_from([28, 30, 90, 365, 400])
)
periods = st.lists(
    st.tuples(st.integers(-5, 60), st.integers(0, 30), st.integers(0, 900), st.integers(0, 9_000)), max_size=3
)


@st.composite
def outlooks(draw):
    mean = draw(st.none() | rates)
    trailing = tuple(draw(st.lists(rates, max_size=3))) if mean else ()
    plan = tuple(period(first, first + length, m, c) for first, length, m, c in draw(periods))
    return Outlook(
        airframe_id=1,
        base_day=BASE,
        base_minutes=60_000,
        base_cycles=1_000,
        rate=mean,
        rates=trailing,
        plan=tuple(sorted(plan, key=lambda p: p.from_day)),
    )


def by_the_day(found, rate, days):
    """Day by day in exact fractions, the totals at the end of each day from the base day on."""
    minutes, cycles = Fraction(found.base_minutes), Fraction(found.base_cycles)
    totals = [(ceil(minutes), ceil(cycles))]
    for day in range(found.base_day + 1, found.base_day + days + 1):
        today = [p for p in found.plan if p.from_day <= day <= p.to_day]
        if today:
            plan = max(today, key=lambda p: (p.from_day, -p.to_day))
            minutes, cycles = minutes + plan.minutes_per_day, cycles + Fraction(plan.millicycles_per_day, 1000)
        elif rate is not None:
            minutes, cycles = minutes + Fraction(rate.minutes, rate.span), cycles + Fraction(rate.cycles, rate.span)
        totals.append((ceil(minutes), ceil(cycles)))
    return totals


class TestAgainstTheDayByDaySum:
    @settings(max_examples=80, deadline=None)
    @given(outlooks())
    def test_totals_are_the_sum_of_the_days(self, found):
        totals = by_the_day(found, found.rate, 120)
        assert [totals_at(found, BASE + day, rate=found.rate) for day in range(121)] == totals

    @settings(max_examples=120, deadline=None)
    @given(outlooks(), st.integers(-50, 40_000), st.integers(-2, 500))
    def test_the_last_day_is_the_exact_inverse(self, found, minutes, cycles):
        totals = by_the_day(found, found.rate, 150)
        for index, threshold, name in (
            (0, 60_000 + minutes, "threshold_minutes"),
            (1, 1_000 + cycles, "threshold_cycles"),
        ):
            day = last_day_at_or_below(found, rate=found.rate, **{name: threshold})
            below = [i for i, total in enumerate(totals) if total[index] <= threshold]
            if not below:
                assert day is None
            elif below[-1] < 150:
                assert day == BASE + below[-1]
            else:
                assert day is None or day >= BASE + 150

    @settings(max_examples=80, deadline=None)
    @given(outlooks(), st.integers(0, 30), st.integers(0, 90), st.data())
    def test_the_search_loses_no_row(self, found, since, ahead, data):
        as_of, until = BASE + since, BASE + since + ahead
        minutes_limit, cycles_limit = search_limits(found, until_day=until)
        rule = needs(repeat={"minutes": 1, "cycles": 1})
        near = st.integers(-400, 400)
        for _ in range(6):
            point = DuePoint(
                standing="known",
                due_minutes=minutes_limit + data.draw(near),
                due_cycles=cycles_limit + data.draw(near),
            )
            judged = judge(rule, point, found, as_of=as_of, window_from=None, window_until=until, stored=False)
            if judged.state in ("due", "overdue"):
                assert point.due_minutes <= minutes_limit or point.due_cycles <= cycles_limit

    @settings(max_examples=80, deadline=None)
    @given(outlooks(), st.integers(0, 90))
    def test_the_search_brings_no_threshold_that_cannot_fall_due(self, found, ahead):
        """At the limit itself a row falls due by that day with one of the rates; above it with none."""
        until = BASE + ahead
        limit, _ = search_limits(found, until_day=until)
        days = [last_day_at_or_below(found, rate=r, threshold_minutes=limit) for r in all_rates(found)]
        assert limit < found.base_minutes or any(day is not None and day <= until for day in days)
        above = [last_day_at_or_below(found, rate=r, threshold_minutes=limit + 1) for r in all_rates(found)]
        assert not any(day is not None and day <= until for day in above)

    def test_the_sentence_at_or_below_the_total_of_the_day_itself_would_lose_rows(self):
        found = flying("2026-03-01", "6000:00", a_day="8:00")
        until = d("2026-03-10")
        threshold = totals_at(found, until, rate=found.rate)[0] + 1
        assert last_day_at_or_below(found, rate=found.rate, threshold_minutes=threshold) == until
        assert threshold <= search_limits(found, until_day=until)[0]

    @settings(max_examples=60, deadline=None)
    @given(outlooks(), st.integers(0, 120))
    def test_totals_never_fall_and_a_higher_threshold_is_never_earlier(self, found, day):
        assert totals_at(found, BASE + day, rate=found.rate) <= totals_at(found, BASE + day + 1, rate=found.rate)
        one = last_day_at_or_below(found, rate=found.rate, threshold_minutes=60_000 + day * 50)
        more = last_day_at_or_below(found, rate=found.rate, threshold_minutes=60_050 + day * 50)
        assert more is None or (one is not None and one <= more)

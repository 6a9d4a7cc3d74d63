"""What must hold of every due point, whatever the figures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st
from life_history import band, carried, needs, ran, unit

from fleetlife.dates.moment import moment_of
from fleetlife.dates.partial import PartialDate
from fleetlife.life.points import due_point, expand_resets
from fleetlife.life.values import Done, Installation, Limits, Varied

FIRST = date(2005, 1, 1).toordinal()

days = st.integers(FIRST, FIRST + 7_000)
months = st.integers(1, 120)
amounts = st.integers(0, 500_000)


def exact(day: int) -> PartialDate:
    return PartialDate(date.fromordinal(day), "day")


def worked(day: int, minutes: int = 0, requirement: str = "R1") -> Done:
    return Done(
        requirement=requirement,
        date=exact(day),
        day=day,
        moment=moment_of(day, 10),
        count=ran(minutes, 0),
        on_aircraft=True,
        installed=True,
        date_basis="log",
    )


bands = st.lists(st.tuples(st.integers(1, 240), months), max_size=3, unique_by=lambda pair: pair[0]).map(
    lambda pairs: tuple(band(age, months=interval) for age, interval in sorted(pairs))
)


class TestCalendar:
    @settings(max_examples=200, deadline=None)
    @given(days, st.integers(0, 900), months, bands, st.booleans())
    def test_later_work_never_makes_it_due_earlier(self, day, later, interval, ages, to_month_end):
        rule = needs(repeat={"months": interval}, bands=ages, month_rule="last" if to_month_end else None)
        made = exact(FIRST - 100)
        one = due_point(rule, unit(manufactured=made, done=(worked(day),))).calendar_due
        two = due_point(rule, unit(manufactured=made, done=(worked(day + later),))).calendar_due
        assert one <= two

    @settings(max_examples=100, deadline=None)
    @given(days, st.integers(0, 900), st.integers(0, 900), months, st.none() | st.integers(0, 36))
    def test_a_later_fitting_never_makes_it_due_earlier_nor_later_than_the_allowance(
        self, day, wait, longer, interval, allowance
    ):
        rule = needs(start="installation", repeat={"months": interval}, shelf_allowance_months=allowance)
        shop = replace(worked(day), on_aircraft=False, installed=False, date_basis="release")

        def due(fitted_after):
            fitting = Installation(day=day + fitted_after, moment=moment_of(day + fitted_after, 20), count=ran(0, 0))
            return due_point(rule, unit(done=(shop,), installations=(fitting,), carried=carried())).calendar_due

        assert due(0) <= due(wait) <= due(wait + longer)
        if allowance is not None:
            assert due(wait) <= due_point(rule, unit(done=(shop,))).calendar_due

    @settings(max_examples=100, deadline=None)
    @given(days, months, days)
    def test_a_stated_expiry_never_makes_it_later(self, day, interval, expires):
        rule = needs(repeat={"months": interval})
        opened = date.fromordinal(day + 1).isoformat()
        without = due_point(rule, unit(opened=opened, done=(worked(day),))).calendar_due
        point = due_point(rule, unit(opened=opened, done=(worked(day),), expires=exact(expires)))
        assert point.calendar_due == min(without, expires)

    @settings(max_examples=100, deadline=None)
    @given(days, months, st.integers(-400, 400), st.integers(-400, 400))
    def test_a_variation_never_moves_the_point_first_due(self, day, interval, approved, until):
        rule = needs(kind="inspection", repeat={"months": interval}, done_at="aircraft", variation_allowed=True)
        plain = due_point(rule, unit(done=(worked(day),), carried=carried()))
        due = plain.calendar_due
        variation = Varied(requirement="R1", approved_on=due + approved, until_day=due + until, airframe_id=1)
        point = due_point(rule, unit(done=(worked(day),), carried=carried(), variations=(variation,)))
        assert point.calendar_due == due
        assert (point.varied_calendar is not None) == (day < due + approved <= due and until > 0)


class TestCounts:
    @settings(max_examples=150, deadline=None)
    @given(amounts, amounts, st.integers(1, 500_000), amounts, amounts)
    def test_the_due_total_is_the_limit_after_the_work_wherever_the_carriage_began(
        self, at_work, run_on, limit, total, later_total
    ):
        """Split anywhere, the run from the work to the due total is the limit."""
        rule = needs(repeat={"minutes": limit})
        history = unit(
            done=(worked(FIRST, at_work),), carried=carried(minutes=total, count=ran(at_work + run_on, None))
        )
        due = due_point(rule, history).due_minutes
        assert run_on + (due - total) == limit
        elsewhere = replace(history, carried=carried(minutes=later_total, count=ran(at_work + run_on, None)))
        assert due_point(rule, elsewhere).due_minutes - due == later_total - total

    @settings(max_examples=100, deadline=None)
    @given(amounts, st.integers(1, 500_000), amounts)
    def test_off_the_airframe_what_is_left_and_what_was_run_make_the_limit(self, at_work, limit, run_on):
        rule = needs(repeat={"minutes": limit})
        history = unit(done=(worked(FIRST, at_work),), now=ran(at_work + run_on, None))
        assert due_point(rule, history).left_minutes + run_on == limit

    @settings(max_examples=100, deadline=None)
    @given(amounts, amounts, st.integers(1, 500_000), st.integers(0, 60_000), st.integers(0, 60_000))
    def test_a_window_never_makes_the_next_later_than_an_interval_after_the_later_of_work_and_due(
        self, first, drift, limit, early, late
    ):
        rule = needs(
            kind="inspection",
            repeat={"minutes": limit},
            done_at="aircraft",
            anchor="due",
            window_early={"minutes": early},
            window_late={"minutes": late},
        )
        due = first + limit
        done_at = first + drift
        history = unit(done=(worked(FIRST, first), worked(FIRST + 400, done_at)), carried=carried())
        following = due_point(rule, history).due_minutes
        if due - early <= done_at <= due + late:
            assert following == due + limit
        else:
            assert following == done_at + limit


class TestResets:
    @settings(max_examples=60, deadline=None)
    @given(st.lists(st.tuples(days, st.sampled_from(["R1", "R2", "R3"])), max_size=6, unique=True))
    def test_resetting_twice_is_resetting_once(self, pairs):
        rules = (
            replace(needs(resets=("R2", "R3")), requirement="R1"),
            replace(needs(kind="inspection"), requirement="R2"),
            replace(needs(kind="life_limit", first=Limits(months=1)), requirement="R3"),
        )
        done = tuple(worked(day, requirement=name) for day, name in sorted(pairs))
        once = expand_resets(rules, done)
        assert expand_resets(rules, once) == once
        assert {w for w in once if w.requirement == "R3"} == {w for w in done if w.requirement == "R3"}


class TestOrder:
    @settings(max_examples=60, deadline=None)
    @given(st.lists(days, min_size=1, max_size=5, unique=True), st.randoms(use_true_random=False), months)
    def test_work_told_in_any_order_gives_the_same_point(self, on, rng, interval):
        rule = needs(kind="inspection", repeat={"months": interval}, done_at="aircraft", anchor="due")
        rule = replace(rule, window_early=Limits(days=30), window_late=Limits(days=30))
        done = [worked(day) for day in on]
        straight = due_point(rule, unit(done=tuple(done), manufactured=exact(FIRST)))
        rng.shuffle(done)
        assert due_point(rule, unit(done=tuple(done), manufactured=exact(FIRST))) == straight

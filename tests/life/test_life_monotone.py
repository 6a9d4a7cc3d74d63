"""What may never move the wrong way: starts, hours flown, a shift of all dates."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from hypothesis import assume, given, settings
from hypothesis import strategies as st
from life_history import band, carried, needs, ran, unit

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import PartialDate
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import Done, History, Installation, Outlook, Rate, Release, Requirement, Varied

FIRST = date(2012, 3, 1).toordinal()
ORDER = ("overdue", "no refill", "in variation", "due", "in date")

days = st.integers(FIRST, FIRST + 3_000)
limits = st.fixed_dictionaries(
    {},
    optional={
        "months": st.integers(1, 60),
        "days": st.integers(1, 1_500),
        "minutes": st.integers(1, 300_000),
        "cycles": st.integers(1, 3_000),
    },
).filter(bool)
whichever = st.sampled_from(["first", "last"])


def exact(day: int) -> PartialDate:
    return PartialDate(date.fromordinal(day), "day")


class TestALaterStart:
    @settings(max_examples=150, deadline=None)
    @given(
        days,
        st.integers(0, 900),
        st.sampled_from(["manufacture", "cure", "release", "first_installation", "installation", "each_installation"]),
        limits,
        whichever,
        st.booleans(),
        st.none() | st.integers(0, 24),
    )
    def test_never_makes_it_due_earlier(self, day, later, start, allowed, which, to_month_end, allowance):
        assume("months" in allowed or "days" in allowed)
        rule = needs(
            start=start,
            repeat=allowed,
            whichever=which,
            month_rule="last" if to_month_end and "months" in allowed else None,
            shelf_allowance_months=allowance if start in ("first_installation", "installation") else None,
        )

        def due(on: int) -> int:
            history = unit(
                manufactured=exact(on),
                cured=exact(on),
                releases=(Release(day=on, new=True),),
                opening=ran(0, 0),
                installations=(
                    Installation(day=on + 50, moment=moment_of(on + 50, 20), count=ran(0, 0), first_ever=True),
                ),
                carried=carried(),
            )
            found = due_point(rule, history).calendar_due
            assert found is not None
            return found

        assert due(day) <= due(day + later)

    @settings(max_examples=100, deadline=None)
    @given(days, st.integers(0, 900), st.integers(1, 60), st.integers(1, 60), st.integers(1, 60), st.integers(1, 120))
    def test_nor_does_a_younger_unit_fall_due_earlier_where_the_repeat_shortens_with_age(
        self, worked, younger, first, second, third, age
    ):
        longest, middle, shortest = sorted((first, second, third), reverse=True)
        rule = needs(repeat={"months": longest}, bands=(band(age, months=middle), band(age + 12, months=shortest)))
        done = Done(requirement="R1", date=exact(worked), day=worked, moment=moment_of(worked), count=ran(0, 0))

        def due(made: int) -> int:
            found = due_point(rule, unit(manufactured=exact(made), done=(done,))).calendar_due
            assert found is not None
            return found

        assert due(FIRST - 2_000) <= due(FIRST - 2_000 + younger)


def flown(rule: Requirement, minutes: int, cycles: int, *, off: bool, as_of: int, rate: int):
    """The row of a unit that has run so much by `as_of`, on an airframe read that day or lying in stores."""
    history = unit(manufactured=exact(FIRST), releases=(Release(day=FIRST, new=True),), opening=ran(0, 0), stored=off)
    if off:
        history = replace(history, now=ran(minutes, cycles))
        return judge_of(rule, history, None, as_of)
    history = replace(history, carried=carried(minutes=0, cycles=0, count=ran(0, 0)), installed_now=True)
    view = Outlook(
        airframe_id=1,
        base_day=as_of,
        base_minutes=minutes,
        base_cycles=cycles,
        rate=Rate(minutes=rate * 365, cycles=365, span=365),
    )
    return judge_of(rule, history, view, as_of)


def judge_of(rule: Requirement, history: History, view: Outlook | None, as_of: int):
    return judge(
        rule,
        due_point(rule, history),
        view,
        as_of=as_of,
        window_from=None,
        window_until=None,
        stored=history.stored,
        manufactured=history.manufactured,
    )


class TestMoreFlown:
    @settings(max_examples=200, deadline=None)
    @given(
        limits,
        whichever,
        st.none() | st.tuples(st.integers(1, 120), st.integers(1, 300_000)),
        st.booleans(),
        st.integers(0, 3_000),
        st.integers(0, 400_000),
        st.integers(0, 4_000),
        st.integers(0, 100_000),
        st.integers(0, 1_000),
        st.integers(0, 900),
    )
    def test_never_makes_a_date_later_nor_a_state_better(
        self, allowed, which, shorter, off, age, minutes, cycles, more_minutes, more_cycles, rate
    ):
        bands = () if shorter is None or "minutes" not in allowed else (band(shorter[0], minutes=shorter[1]),)
        rule = needs(start="manufacture", repeat=allowed, whichever=which, bands=bands)
        as_of = FIRST + age
        less = flown(rule, minutes, cycles, off=off, as_of=as_of, rate=rate)
        more = flown(rule, minutes + more_minutes, cycles + more_cycles, off=off, as_of=as_of, rate=rate)
        assert ORDER.index(more.state) <= ORDER.index(less.state)
        if less.due_date is not None and more.state != "overdue":
            assert more.due_date is not None
            assert more.due_date <= less.due_date
        if less.minutes_left is not None:
            assert more.minutes_left is not None
            assert more.minutes_left <= less.minutes_left

    @settings(max_examples=100, deadline=None)
    @given(st.integers(1, 300_000), st.integers(0, 200_000), st.integers(0, 50_000), st.integers(0, 900))
    def test_nor_does_a_unit_that_had_run_more_when_it_was_fitted(self, limit, run, more, rate):
        rule = needs(start="manufacture", repeat={"minutes": limit})
        history = unit(manufactured=exact(FIRST), opening=ran(0, 0), carried=carried(minutes=5_000, count=ran(run, 0)))
        longer = replace(history, carried=carried(minutes=5_000, count=ran(run + more, 0)))
        assert due_point(rule, history).due_minutes - due_point(rule, longer).due_minutes == more


class TestAShiftOfAllDates:
    @settings(max_examples=150, deadline=None)
    @given(
        days,
        limits,
        whichever,
        st.sampled_from(["manufacture", "release", "installation", "each_installation"]),
        st.booleans(),
        st.integers(0, 200),
        st.none() | st.integers(-30, 30),
    )
    def test_by_a_day_moves_every_due_date_by_that_day_where_the_months_allow(
        self, day, allowed, which, start, done_once, wait, approved
    ):
        """Days of the month up to the 27th, so that the day after exists in every month."""
        assume("months" in allowed or "days" in allowed)
        rule = needs(
            kind="inspection",
            start=start,
            repeat=allowed,
            whichever=which,
            done_at="aircraft",
            variation_allowed=True,
        )

        def history(shift: int) -> tuple[History, list[int]]:
            fitted_on, worked_on = day + wait + shift, day + wait + 30 + shift
            found = History(
                unit_id=1,
                as_of=end_of_day(day + shift),
                manufactured=exact(day - 100 + shift),
                releases=(Release(day=day - 20 + shift, new=True),),
                opening=ran(0, 0),
                installations=(
                    Installation(day=fitted_on, moment=moment_of(fitted_on, 20), count=ran(0, 0), first_ever=True),
                ),
                installed_now=True,
                carried=carried(),
                done=(
                    Done(
                        requirement="R1",
                        date=exact(worked_on),
                        day=worked_on,
                        moment=moment_of(worked_on, 10),
                        count=ran(0, 0),
                        on_aircraft=True,
                        installed=True,
                        date_basis="log",
                    ),
                )
                if done_once
                else (),
            )
            if approved is not None:
                on = worked_on + 40 + approved
                varied = Varied(requirement="R1", approved_on=on, until_day=on + 2_500, airframe_id=1)
                found = replace(found, variations=(varied,))
            return found, [day - 100, day - 20, day + wait, day + wait + 30]

        told, bases = history(0)
        assume(all(date.fromordinal(base).day <= 27 for base in bases))
        before, after = due_point(rule, told), due_point(rule, history(1)[0])
        assert after.calendar_due == before.calendar_due + 1
        assert (after.varied_calendar is None) == (before.varied_calendar is None)
        if before.varied_calendar is not None:
            assert after.varied_calendar == before.varied_calendar + 1

    @settings(max_examples=60, deadline=None)
    @given(days, st.integers(1, 1_500), st.integers(-2_000, 2_000))
    def test_in_days_any_shift_moves_it_alike(self, day, limit, shift):
        rule = needs(start="manufacture", repeat={"days": limit})
        first = due_point(rule, unit(manufactured=exact(day))).calendar_due
        assert due_point(rule, unit(manufactured=exact(day + shift))).calendar_due == first + shift

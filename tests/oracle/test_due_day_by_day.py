"""Due points and states against the day-by-day walk, over random lives.

A life is a list of days with what happened on each; the walk lives through it, and the same life told as a history
goes to the rules. Airframes fly the same every day, so that the projection is exact and the two must agree to the day.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field, replace
from datetime import date

import pytest
from day_by_day import Allowed, Approval, Rule, Walk

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import PartialDate
from fleetlife.life.points import check_requirement, due_point
from fleetlife.life.state import judge, left_if_fitted
from fleetlife.life.values import (
    AgeBand,
    Carried,
    Count,
    Done,
    History,
    Installation,
    Limits,
    Outlook,
    Rate,
    Release,
    Requirement,
    Varied,
)

HORIZON_DAYS = 1_900
LIVES = 20
SEEDS = range(16)


@dataclass
class Flown:
    """An airframe: its total at the end of the day before it is first met, and what it flies every day."""

    minutes: int
    cycles: int
    minutes_a_day: int
    cycles_a_day: int
    since: int

    def minutes_on(self, day: int) -> int:
        return self.minutes + self.minutes_a_day * (day - self.since + 1)

    def cycles_on(self, day: int) -> int:
        return self.cycles + self.cycles_a_day * (day - self.since + 1)


@dataclass
class Life:
    """What happened, by day: fit (airframe), remove, work, approve (approval)."""

    rule: Rule
    made: int
    released: int
    opened: int
    last: int
    flown: list[Flown]
    events: dict[int, tuple[str, object]] = field(default_factory=dict)
    expires: int | None = None


def exact(day: int) -> PartialDate:
    return PartialDate(date.fromordinal(day), "day")


def lived(life: Life) -> tuple[Walk, History]:
    """The walk at the end of the life's last day, and the same life as a history."""
    walk = Walk(life.rule, made=life.made, released=life.released, expires=life.expires)
    told = History(
        unit_id=1,
        as_of=end_of_day(life.opened),
        manufactured=exact(life.made),
        expires=None if life.expires is None else exact(life.expires),
        releases=(Release(day=life.released, new=True),),
    )
    installations: list[Installation] = []
    done: list[Done] = []
    varied: list[Varied] = []
    carried: tuple[int, int, int, int] | None = None  # airframe, day, counts at its start
    opening = (0, 0)
    for day in range(life.made, life.last + 1):
        walk.begin(day)
        what, detail = life.events.get(day, ("", None))
        if what == "work":
            done.append(
                Done(
                    requirement="R1",
                    date=exact(day),
                    day=day,
                    moment=moment_of(day, 10),
                    count=Count(minutes=walk.minutes, cycles=walk.cycles),
                    on_aircraft=walk.airframe is not None,
                    installed=walk.airframe is not None,
                    date_basis="log" if walk.airframe is not None else "release",
                )
            )
            walk.work()
        elif what == "fit":
            assert isinstance(detail, int)
            walk.fit(detail, life.flown[detail].minutes_on(day - 1))
            carried = (detail, day, walk.minutes, walk.cycles)
            installations.append(
                Installation(
                    day=day,
                    moment=moment_of(day, 20),
                    count=Count(minutes=walk.minutes, cycles=walk.cycles),
                    first_ever=not installations,
                )
            )
        elif what == "remove":
            walk.remove()
            carried = None
            varied = [left_at(v, moment_of(day, 20)) for v in varied]
        if walk.airframe is not None:
            walk.fly(life.flown[walk.airframe].minutes_a_day, life.flown[walk.airframe].cycles_a_day)
        else:
            walk.fly(0, 0)
        if what == "approve" and walk.airframe is not None:
            assert isinstance(detail, Approval)
            approval = Approval(until_day=detail.until_day, until_minutes=detail.until_minutes)
            if detail.until_minutes is not None:
                approval.until_minutes = walk.total_minutes + detail.until_minutes
            walk.approve(approval)
            varied.append(
                Varied(
                    requirement="R1",
                    approved_on=day,
                    until_day=approval.until_day,
                    until_minutes=approval.until_minutes,
                    airframe_id=walk.airframe,
                    approved_minutes=walk.total_minutes,
                    approved_cycles=life.flown[walk.airframe].cycles_on(day),
                    approved_minutes_least=walk.total_minutes,
                    approved_cycles_least=life.flown[walk.airframe].cycles_on(day),
                    entry=len(varied),
                )
            )
        if day == life.opened:
            opening = (walk.minutes, walk.cycles)
    return walk, told_from(told, life, opening, installations, done, varied, carried, walk)


def left_at(varied: Varied, moment: int) -> Varied:
    return varied if varied.left_moment is not None else replace(varied, left_moment=moment)


def told_from(told, life, opening, installations, done, varied, carried, walk) -> History:
    """Counts made relative to the opening, as a history keeps them."""

    def relative(count: Count) -> Count:
        assert count.minutes is not None
        assert count.cycles is not None
        return Count(minutes=count.minutes - opening[0], cycles=count.cycles - opening[1])

    now = None
    if carried is not None:
        airframe, day, minutes, cycles = carried
        now = Carried(
            airframe_id=airframe,
            moment=moment_of(day, 20),
            minutes=life.flown[airframe].minutes_on(day - 1),
            cycles=life.flown[airframe].cycles_on(day - 1),
            count=relative(Count(minutes=minutes, cycles=cycles)),
        )
    return replace(
        told,
        opening=Count(minutes=opening[0], cycles=opening[1]),
        installations=tuple(replace(i, count=relative(i.count)) for i in installations),
        done=tuple(replace(d, count=relative(d.count)) for d in done),
        variations=tuple(varied),
        installed_now=carried is not None,
        carried=now,
        now=relative(Count(minutes=walk.minutes, cycles=walk.cycles)),
        stored=carried is None,
    )


def limits(allowed: Allowed) -> Limits:
    return Limits(months=allowed.months, days=allowed.days, minutes=allowed.minutes, cycles=allowed.cycles)


def stated(rule: Rule) -> Requirement:
    kind = "life_limit" if rule.life_limit else "inspection" if rule.on_aircraft else "overhaul"
    return Requirement(
        key=1,
        requirement="R1",
        part_number="QX100-1",
        kind=kind,
        start=rule.start,
        first=limits(rule.first),
        repeat=limits(rule.repeat),
        whichever=rule.whichever,
        month_rule="last" if rule.month_last else None,
        shelf_allowance_months=rule.allowance,
        done_at="aircraft" if rule.on_aircraft else "shop",
        anchor="due" if rule.anchor_due else "done",
        window_early=limits(rule.early),
        window_late=limits(rule.late),
        variation_allowed=rule.variation_allowed,
        bands=tuple(AgeBand(from_age_months=age, repeat=limits(allowed)) for age, allowed in rule.bands),
    )


# --- random lives ---


def some_limits(rng: random.Random, *, calendar_only: bool = False) -> Allowed:
    while True:
        found = Allowed(
            months=rng.choice([None, rng.randint(3, 48)]),
            days=rng.choice([None, None, None, rng.randint(40, 900)]),
            minutes=None if calendar_only else rng.choice([None, rng.randint(5_000, 400_000)]),
            cycles=None if calendar_only else rng.choice([None, rng.randint(100, 4_000)]),
        )
        if found.any():
            return found


def some_airframes(rng: random.Random, since: int) -> list[Flown]:
    return [
        Flown(
            minutes=rng.randint(0, 900_000),
            cycles=rng.randint(0, 9_000),
            minutes_a_day=rng.choice([0, rng.randint(1, 700)]),
            cycles_a_day=rng.choice([0, rng.randint(1, 8)]),
            since=since,
        )
        for _ in range(2)
    ]


def shop_life(rng: random.Random) -> Life:
    """Fitted, removed and overhauled at random, on two airframes."""
    made = date(2010, 1, 1).toordinal() + rng.randint(0, 900)
    released = made + rng.randint(0, 60)
    start = rng.choice(["manufacture", "release", "installation", "first_installation", "each_installation"])
    rule = Rule(start=start, whichever=rng.choice(["first", "first", "last"]), life_limit=rng.random() < 0.15)
    if rule.life_limit:
        rule.start = "manufacture" if start == "each_installation" else start
        rule.first = some_limits(rng)
    else:
        rule.first = rng.choice([Allowed(), some_limits(rng)])
        rule.repeat = some_limits(rng)
        rule.month_last = rng.random() < 0.25
    if rule.start in ("installation", "first_installation") and rng.random() < 0.6:
        rule.allowance = rng.randint(1, 24)
        if not (limits(rule.first).months or limits(rule.first).days or rule.repeat.months or rule.repeat.days):
            rule.repeat.months = None if rule.life_limit else 24
            rule.first.months = 60 if rule.life_limit else rule.first.months
    if rule.month_last and not (rule.first.months or rule.repeat.months):
        rule.month_last = False
    if not rule.life_limit and rule.start != "each_installation" and rng.random() < 0.3:
        rule.bands = [(age, banded(rng, rule.repeat)) for age in sorted(rng.sample(range(12, 150), 2))]
    life = Life(rule=rule, made=made, released=released, opened=released, last=0, flown=some_airframes(rng, made))
    day, on = released + rng.randint(1, 500), False
    for _ in range(rng.randint(0, 7)):
        if on:
            life.events[day] = ("remove", None)
            on = False
        elif rng.random() < 0.4:
            life.events[day] = ("work", None)
        else:
            life.events[day] = ("fit", rng.randint(0, 1))
            on = True
        day += rng.randint(1, 500)
    life.last = day
    if start in ("manufacture", "release") and rng.random() < 0.5:
        life.opened = rng.randint(released, day)
    if rule.whichever == "first" and rng.random() < 0.2:
        life.expires = rng.randint(released, day + 700)
        if not rule.life_limit and any(what == "work" for what, _ in life.events.values()):
            life.expires = None  # work that renews a unit ends a stated expiry; told in the tests by rule
    return life


def banded(rng: random.Random, own: Allowed) -> Allowed:
    """A band states the measures the requirement has, so that nothing is left to be kept from it."""
    return Allowed(
        months=None if own.months is None else rng.randint(2, 30),
        days=None if own.days is None else rng.randint(30, 400),
        minutes=None if own.minutes is None else rng.randint(3_000, 300_000),
        cycles=None if own.cycles is None else rng.randint(50, 3_000),
    )


def line_life(rng: random.Random) -> Life:
    """Inspected on one aircraft near its due points, with windows and variations."""
    made = date(2015, 1, 1).toordinal() + rng.randint(0, 400)
    rule = Rule(
        start="manufacture",
        on_aircraft=True,
        whichever=rng.choice(["first", "first", "last"]),
        repeat=Allowed(
            months=rng.choice([None, rng.randint(6, 14)]),
            minutes=rng.choice([None, rng.randint(60_000, 160_000)]),
            cycles=rng.choice([None, rng.randint(400, 1_600)]),
        ),
        month_last=rng.random() < 0.2,
        anchor_due=rng.random() < 0.6,
        variation_allowed=rng.random() < 0.7,
    )
    if not rule.repeat.any():
        rule.repeat.months = 12
    rule.month_last = rule.month_last and rule.repeat.months is not None
    if rule.anchor_due:
        side = rng.choice(["both", "early", "late"])
        for window, use in ((rule.early, side != "late"), (rule.late, side != "early")):
            window.days = rng.randint(5, 60) if use and rule.repeat.months else None
            window.minutes = rng.randint(600, 9_000) if use and rule.repeat.minutes else None
            window.cycles = rng.randint(5, 90) if use and rule.repeat.cycles else None
    flown = some_airframes(rng, made)
    flown[0].minutes_a_day, flown[0].cycles_a_day = rng.randint(200, 500), rng.randint(2, 5)
    life = Life(rule=rule, made=made, released=made + 1, opened=made + 1, last=0, flown=flown)
    life.events[made + 2] = ("fit", 0)
    # Off an airframe its totals can no longer be compared with a variation stated in them; the rules then count from
    # the earlier point. So lives that change airframe have variations by the calendar only, where both are exact.
    moves = rng.random() < 0.3
    day = made + 2
    for _ in range(rng.randint(1, 6)):
        day += rng.randint(200, 420)
        if rng.random() < 0.6:
            approved = day - rng.randint(1, 40)
            until: dict[str, int] = (
                {"until_day": day + rng.randint(-20, 60)} if moves or rng.random() < 0.6 else {"until_minutes": 12_000}
            )
            life.events.setdefault(approved, ("approve", Approval(**until)))
        life.events.setdefault(day, ("work", None))
    life.last = day + rng.randint(1, 400)
    if rng.random() < 0.5:
        approved = life.last - rng.randint(0, 30)
        life.events.setdefault(approved, ("approve", Approval(until_day=approved + rng.randint(1, 90))))
    if moves:
        moved = life.last + rng.randint(1, 30)
        life.events[moved], life.events[moved + 1], life.last = ("remove", None), ("fit", 1), moved + 2
    life.opened = rng.randint(life.released, life.last)
    return life


# --- the comparison ---


def outlook_on(life: Life, walk: Walk, day: int) -> Outlook | None:
    if walk.airframe is None:
        return None
    own = life.flown[walk.airframe]
    rate = Rate(minutes=own.minutes_a_day * 365, cycles=own.cycles_a_day * 365, span=365)
    return Outlook(
        airframe_id=walk.airframe,
        base_day=day,
        base_minutes=own.minutes_on(day),
        base_cycles=own.cycles_on(day),
        rate=rate,
        rates=(rate,),
    )


def days_ahead(life: Life, walk: Walk) -> list[tuple[bool, bool]]:
    """For each evening from the last day on: whether it is past, and whether it may fly all the same."""
    ahead = walk.copy()
    evenings = [(ahead.passed(), ahead.may_fly())]
    for day in range(life.last + 1, life.last + HORIZON_DAYS):
        ahead.begin(day)
        own = None if ahead.airframe is None else life.flown[ahead.airframe]
        ahead.fly(own.minutes_a_day if own else 0, own.cycles_a_day if own else 0)
        evenings.append((ahead.passed(), ahead.may_fly()))
    return evenings


def compare(life: Life, rng: random.Random) -> set[str]:
    """The states met, for the tally; asserts every agreement on the way."""
    requirement = stated(life.rule)
    assert check_requirement(requirement) == []
    walk, history = lived(life)
    point = due_point(requirement, history)
    evenings = days_ahead(life, walk)
    last_good = next((i - 1 for i, (_, may) in enumerate(evenings) if not may), None)
    samples = {0, *(rng.randint(0, 500) for _ in range(4))}
    if last_good is not None:
        samples |= {max(last_good, 0), last_good + 1}
    met = set()
    for offset in sorted(samples):
        as_of = life.last + offset
        judged = judge(
            requirement,
            point,
            outlook_on(life, walk, as_of),
            as_of=as_of,
            window_from=None,
            window_until=None,
            stored=walk.airframe is None,
            manufactured=history.manufactured,
        )
        past, may = evenings[offset]
        expected = "overdue" if not may else "in variation" if past else "flies"
        state = judged.state if judged.state in ("overdue", "in variation") else "flies"
        met.add(state)
        assert state == expected, (date.fromordinal(as_of), judged, point, life)
        if may and walk.airframe is not None:
            due = None if last_good is None else life.last + last_good
            if due is not None or (judged.due_date or 0) < life.last + HORIZON_DAYS - 1:
                assert judged.due_date == due, (date.fromordinal(as_of), judged, point, life)
        if judged.due_if_fitted is not None:
            check_fitting(life, walk, requirement, history, as_of, judged.due_if_fitted)
    return met


def check_fitting(life, walk, requirement, history, as_of, due_if_fitted) -> None:
    """Fit it that day on an airframe that stands, and walk until the calendar alone has run out."""
    fitted = walk.copy()
    for day in range(life.last + 1, as_of):
        fitted.begin(day)
        fitted.fly(0, 0)
    if as_of > life.last:
        fitted.begin(as_of)
    fitted.fit(1, life.flown[1].minutes_on(as_of - 1))
    fitted.fly(0, 0)
    day = as_of
    while not fitted._measures()["calendar"] and not (fitted.expires is not None and fitted.today > fitted.expires):
        day += 1
        fitted.begin(day)
        fitted.fly(0, 0)
        assert day < as_of + 3_000
    left = left_if_fitted(requirement, history, due_point(requirement, history), on=as_of)
    assert left.calendar_due == due_if_fitted
    if due_if_fitted >= as_of:
        assert due_if_fitted == day - 1, (date.fromordinal(as_of), date.fromordinal(due_if_fitted), life)
    else:
        assert day == as_of


class TestDayByDay:
    @pytest.mark.parametrize("seed", SEEDS)
    def test_shop_lives_agree_to_the_day(self, seed):
        rng = random.Random(seed)
        met = set().union(*(compare(shop_life(rng), rng) for _ in range(LIVES)))
        assert met == {"overdue", "flies"}

    @pytest.mark.parametrize("seed", SEEDS)
    def test_lives_on_one_aircraft_agree_to_the_day(self, seed):
        rng = random.Random(1_000 + seed)
        met = set().union(*(compare(line_life(rng), rng) for _ in range(LIVES)))
        assert met >= {"overdue", "flies"}

    def test_lives_with_variations_are_among_them(self):
        rng = random.Random(77)
        met = set().union(*(compare(line_life(rng), rng) for _ in range(3 * LIVES)))
        assert "in variation" in met

    def test_the_walk_knows_the_worked_examples(self):
        """The oracle itself, on two cases worked out by hand."""
        made = date(2010, 6, 15).toordinal()
        walk = Walk(
            Rule(start="manufacture", repeat=Allowed(months=36), bands=[(180, Allowed(months=12))]),
            made=made,
            released=made,
        )
        done, due = date(2024, 3, 10).toordinal(), date(2025, 6, 15).toordinal()
        for day in range(made, due + 2):
            walk.begin(day)
            if day == done:
                walk.work()
            walk.fly(0, 0)
            if day >= done:
                assert walk.may_fly() == (day <= due)

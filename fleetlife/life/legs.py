"""One measure of a due point on a day: passed or not, what is left, until when. The state of a row is made of these."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fleetlife.dates.partial import PartialDate, day_text
from fleetlife.life.bands import intervals, uses_first
from fleetlife.life.projection import all_rates, last_day_at_or_below, totals_at
from fleetlife.life.reach import Step, named_unknown, steps_of
from fleetlife.life.values import DuePoint, Outlook, Rate, Requirement, Unknown
from fleetlife.terms.filling import filled
from fleetlife.terms.measure import count_text, hours_text


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """One known measure on `as_of`.

    `passed`: past its due point; `over`: past it under a variation too. `date`: the last day on which it is not
    past (under the variation where one applies), `earliest` the same with the highest rate; `first_date` and
    `first_earliest` without the variation. `left` is against the point in force, minus when passed. `at_zero`:
    nothing left where nothing is flown. `projected`: a rate or plan stands behind the date or the total.
    """

    measure: str
    passed: bool
    over: bool
    left: int
    text: str
    date: int | None = None
    earliest: int | None = None
    first_date: int | None = None
    first_earliest: int | None = None
    at_zero: bool = False
    projected: bool = False
    varied: bool = False


def legs_of(
    requirement: Requirement,
    point: DuePoint,
    view: Outlook | None,
    *,
    as_of: int,
    manufactured: PartialDate | None,
    counter_view: Outlook | None = None,
) -> tuple[list[Leg], list[Unknown]]:
    """The known measures of a point on a day, and those that want a reading of the airframe.

    `counter_view` is the outlook of the airframe's counter, for the axis that is counted in it.
    """
    legs: list[Leg] = []
    unknown: list[Unknown] = []
    if point.calendar_due is not None:
        legs.append(_calendar(point, point.calendar_due, as_of))
    for measure, total, left in (
        ("hours", point.due_minutes, point.left_minutes),
        ("cycles", point.due_cycles, point.left_cycles),
    ):
        threshold = total if total is not None else left
        if threshold is None:
            continue
        steps = _steps(requirement, point, threshold, measure, manufactured)
        name, seen = requirement.named(measure), view
        if requirement.counter is not None and measure == requirement.counter_axis:
            seen = counter_view
        if total is None:
            legs.append(_off(measure, name, steps, as_of))
        elif seen is None or seen.base_day is None:
            unknown.append(named_unknown(requirement, Unknown(measure=measure, cause="no-airframe-reading")))
        else:
            varied = point.varied_minutes if measure == "hours" else point.varied_cycles
            legs.append(_flying(measure, name, steps, varied, seen, as_of))
    if point.operations_left is not None:
        legs.append(_operations(point.operations_left))
    return legs, unknown


def figure(measure: str, value: int) -> str:
    """Hours as HHHH:MM, other measures as a whole number."""
    return hours_text(value) if measure == "hours" else count_text(value)


def _calendar(point: DuePoint, due: int, as_of: int) -> Leg:
    until = due if point.varied_calendar is None else point.varied_calendar
    days = until - as_of
    if days < 0:
        text = f"Due {day_text(until)} by the calendar, {_days(-days)} before {day_text(as_of)}."
    else:
        text = f"Good through {day_text(until)} by the calendar, {_days(days)} from {day_text(as_of)}."
    return Leg(
        measure="calendar",
        passed=as_of > due,
        over=as_of > until,
        left=days,
        text=text,
        date=until,
        earliest=until,
        first_date=due,
        first_earliest=due,
        varied=point.varied_calendar is not None,
    )


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"


def _operations(left: int) -> Leg:
    if left < 0:
        text = f"The limit in operations is passed by {-left}."
    else:
        text = f"{left} operations are left."
    return Leg(measure="operations", passed=left < 0, over=left < 0, left=left, text=text, at_zero=left == 0)


def _off(measure: str, name: str, steps: Sequence[Step], as_of: int) -> Leg:
    """A unit that no airframe carries: what is left, due at 0 and passed below.

    A band that is still to come and of which nothing is left gives a date: the day on which it begins to bind.
    """
    passed = any(s.threshold < 0 and _past_start(s, as_of) for s in steps)
    gone = [s.from_day for s in steps if s.threshold < 0]
    date = None if None in gone else min((day for day in gone if day is not None), default=None)
    left = _in_force(steps, as_of)
    if passed:
        text = f"The limit in {name} is passed by {figure(measure, -left)}; no airframe carries the unit."
    else:
        text = f"{figure(measure, left)} {name} are left; no airframe carries the unit."
    binds = any(s.from_day is None or s.from_day <= as_of for s in steps)
    at_zero = binds and not passed and left <= 0
    return Leg(
        measure=measure,
        passed=passed,
        over=passed,
        left=left,
        text=text,
        date=date,
        earliest=date,
        first_date=date,
        first_earliest=date,
        at_zero=at_zero,
    )


def _flying(measure: str, name: str, steps: Sequence[Step], varied: int | None, view: Outlook, as_of: int) -> Leg:
    """A unit that an airframe carries, judged on the total projected for the day from the last reading."""
    total = _total(measure, view, as_of, view.rate)
    passed = any(total > s.threshold and _past_start(s, as_of) for s in steps)
    first_date = _date(measure, steps, view, view.rate)
    first_earliest = _earliest(measure, steps, view)
    date, earliest, over = first_date, first_earliest, passed
    point = _in_force(steps, as_of)
    if varied is not None:
        # Beside a band still to come it may lie below what binds today: it makes no date earlier.
        under = [Step(threshold=varied)]
        over = total > varied
        ends = {"passed": passed, "over": over}
        date = _later(first_date, _date(measure, under, view, view.rate), **ends)
        earliest = _later(first_earliest, _earliest(measure, under, view), **ends)
        point = max(point, varied)
    return Leg(
        measure=measure,
        passed=passed,
        over=over and passed,
        left=point - total,
        text=_flying_text(measure, name, point, total, view, as_of),
        date=date,
        earliest=earliest,
        first_date=first_date,
        first_earliest=first_earliest,
        projected=date is not None or _age(view, as_of) > 0,
        varied=varied is not None,
    )


def _flying_text(measure: str, name: str, point: int, total: int, view: Outlook, as_of: int) -> str:
    if _age(view, as_of) == 0:
        source = f"read {day_text(as_of)}"
    elif view.rate is None and not view.plan:
        source = f"read {day_text(view.base_day)}, with no rate to project it to {day_text(as_of)}"
    else:
        source = f"projected for {day_text(as_of)} from the reading of {day_text(view.base_day)}"
    left = point - total
    tail = f"{figure(measure, -left)} over" if left < 0 else f"{figure(measure, left)} left"
    return f"Due at {figure(measure, point)} airframe {name}; {figure(measure, total)} {source}, {tail}."


def _age(view: Outlook, as_of: int) -> int:
    assert view.base_day is not None
    return as_of - view.base_day


def _total(measure: str, view: Outlook, day: int, rate: Rate | None) -> int:
    minutes, cycles = totals_at(view, day, rate=rate)
    return minutes if measure == "hours" else cycles


def _earliest(measure: str, steps: Sequence[Step], view: Outlook) -> int | None:
    dates = [_date(measure, steps, view, rate) for rate in all_rates(view)]
    return min((day for day in dates if day is not None), default=None)


def _date(measure: str, steps: Sequence[Step], view: Outlook, rate: Rate | None) -> int | None:
    """The last day on which no step is past: of each the later of its first day and its total.

    None where one that binds at once was past at the base reading already: on which day nobody knows.
    """
    assert view.base_day is not None
    dates = []
    at_base = _total(measure, view, view.base_day, rate)
    if any(step.from_day is None and at_base > step.threshold for step in steps):
        return None
    for step in steps:
        if measure == "hours":
            day = last_day_at_or_below(view, rate=rate, threshold_minutes=step.threshold)
        else:
            day = last_day_at_or_below(view, rate=rate, threshold_cycles=step.threshold)
        if step.from_day is not None:
            if day is not None:
                day = max(day, step.from_day)
            elif at_base > step.threshold:
                day = step.from_day
        if day is not None:
            dates.append(day)
    return min(dates, default=None)


def _later(first: int | None, under: int | None, *, passed: bool, over: bool) -> int | None:
    """The later of two days, of which a variation gives the second.

    No day where a total is passed already at the base reading; and none where it is never reached, which is later
    than any day.
    """
    if (first is None and not passed) or (under is None and not over):
        return None
    return max((day for day in (first, under) if day is not None), default=None)


def _past_start(step: Step, as_of: int) -> bool:
    return step.from_day is None or step.from_day < as_of


def _in_force(steps: Sequence[Step], as_of: int) -> int:
    """The threshold that binds on the day; before any does, the lowest to come."""
    binding = [s.threshold for s in steps if s.from_day is None or s.from_day <= as_of]
    return min(binding or [s.threshold for s in steps])


def _steps(
    requirement: Requirement, point: DuePoint, threshold: int, measure: str, manufactured: PartialDate | None
) -> list[Step]:
    """The threshold of each band from the lowest one, which is what a due point carries.

    Without the date of manufacture the lowest binds at once: earlier perhaps, never later.
    """
    accomplished = point.last_done is not None
    at_day = point.last_done if accomplished else point.basis_day
    if not requirement.bands or uses_first(requirement, accomplished=accomplished) or manufactured is None:
        return [Step(threshold=threshold)]
    found = intervals(requirement, manufactured, accomplished=accomplished, at_day=at_day)
    lengths = steps_of(0, found.steps, measure)
    if not lengths:
        return [Step(threshold=threshold)]
    least = min(s.threshold for s in lengths)
    return [Step(threshold=threshold + s.threshold - least, from_day=s.from_day) for s in lengths]

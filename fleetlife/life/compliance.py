"""When a publication must be complied with on a unit: by the arithmetic of due points, no other.

What runs from manufacture is a first limit from manufacture. What runs from the effective date is one too, of a unit as
if new on that day. Each gives a due point; of several the first or the last counts, measure by measure. Nothing extends
a directive: permitted variations and stated expiries have no say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from fleetlife.dates.partial import PartialDate, day_text
from fleetlife.life.points import due_point, proven_work
from fleetlife.life.values import Count, DuePoint, History, Limits, Requirement, Unknown
from fleetlife.terms.number import fold

NO_COUNT_THEN = "no-count-at-effective-date"
NOT_EFFECTIVE_YET = "not-effective-yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What is asked: `work` the name under which it is recorded, `after` from `effective_on`, `since_new` from
    manufacture, `repeat` from each time it was done."""

    work: str
    part_number: str
    effective_on: int
    source: str = "directive"
    reference: str | None = None
    comply_by: int | None = None
    after: Limits = field(default_factory=Limits)
    since_new: Limits = field(default_factory=Limits)
    repeat: Limits = field(default_factory=Limits)
    whichever: str = "first"


def requirement_of(demand: Demand) -> Requirement:
    """The demand as a requirement on the part, for the judgement of its state."""
    return Requirement(
        key=0,
        requirement=demand.work,
        part_number=demand.part_number,
        kind="inspection",
        source=demand.source,
        reference=demand.reference,
        start="manufacture",
        first=demand.since_new,
        repeat=demand.repeat,
        whichever=demand.whichever,
    )


def demanded_point(demand: Demand, history: History, *, at_effective: Count, as_of: int) -> DuePoint:
    """When the demand falls due on the unit. `at_effective`: its relative count at the beginning of the effective date,
    None inside where not known."""
    rule = requirement_of(demand)
    work = tuple(replace(d, requirement=demand.work) for d in history.done if fold(d.requirement) == fold(demand.work))
    own = replace(history, expires=None, variations=(), operated=(), done=work, counted=(), counter=None)
    if proven := proven_work(rule, own):
        if demand.repeat.any():
            return due_point(rule, own)
        last = proven[-1]
        return DuePoint(
            standing="complete", basis=f"done once {last.date.text}", basis_day=last.day, last_done=last.day
        )
    points: list[DuePoint] = []
    if demand.comply_by is not None:
        points.append(
            DuePoint(standing="known", calendar_due=demand.comply_by, basis=f"by {day_text(demand.comply_by)}")
        )
    once = replace(rule, repeat=Limits())
    if demand.after.any():
        points.append(_after(demand, replace(once, first=demand.after), own, at_effective, as_of))
    if demand.since_new.any():
        points.append(due_point(once, own))
    return together(points, demand.whichever)


def _after(demand: Demand, rule: Requirement, own: History, at_effective: Count, as_of: int) -> DuePoint:
    """The due point of what runs from the effective date."""
    begun = PartialDate(date.fromordinal(demand.effective_on), "day")
    opening = Count(
        minutes=None if at_effective.minutes is None else -at_effective.minutes,
        cycles=None if at_effective.cycles is None else -at_effective.cycles,
        estimated=at_effective.estimated,
    )
    point = due_point(rule, replace(own, manufactured=begun, opening=opening))
    cause = NOT_EFFECTIVE_YET if as_of < demand.effective_on else NO_COUNT_THEN
    unknown = tuple(replace(u, cause=cause) if u.cause == "no-count-since-new" else u for u in point.unknown)
    return replace(point, unknown=unknown, basis=f"effective {begun.text}")


def together(points: Sequence[DuePoint], whichever: str) -> DuePoint:
    """One point of several: in each measure the lowest figure, or with `last` the highest. Whichever first: what is
    known stands; whichever last: with anything unknown the whole is."""
    choose: Callable[[Iterable[int]], int] = max if whichever == "last" else min

    def chosen(figures: Iterable[int | None]) -> int | None:
        known = [figure for figure in figures if figure is not None]
        return choose(known) if known else None

    figures = {
        name: chosen(getattr(point, name) for point in points)
        for name in ("calendar_due", "due_minutes", "due_cycles", "left_minutes", "left_cycles")
    }
    unknown = tuple(dict.fromkeys(u for point in points for u in point.unknown))
    known = any(figure is not None for figure in figures.values())
    return DuePoint(
        standing="known" if known and not (whichever == "last" and unknown) else "unknown",
        whichever=whichever,
        estimated=any(point.estimated for point in points),
        basis="; ".join(point.basis for point in points if point.basis),
        basis_day=min((p.basis_day for p in points if p.basis_day is not None), default=None),
        unknown=unknown or (() if known else (Unknown(measure="calendar", cause="no-limit-stated"),)),
        calendar_due=figures["calendar_due"],
        due_minutes=figures["due_minutes"],
        due_cycles=figures["due_cycles"],
        left_minutes=figures["left_minutes"],
        left_cycles=figures["left_cycles"],
    )

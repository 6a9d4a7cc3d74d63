"""How far the limits reach from their basis: a day for the calendar, relative counts for hours and cycles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fleetlife.life.bands import Interval, Intervals, intervals, measures_of
from fleetlife.life.reckoning import calendar_after, rounded
from fleetlife.life.starts import Anchor
from fleetlife.life.values import History, Limits, Requirement, Unknown
from fleetlife.terms.filling import filled


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A threshold that binds from `from_day` on; None: at once."""

    threshold: int
    from_day: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Where each limited measure falls due.

    `calendar` is before, `calendar_due` after the month rule. `minutes` and `cycles` are relative counts, or with
    `at_fitting` the whole limits that would run from a fitting. `waiting`: the calendar has not started, by rule.
    """

    limits: Limits
    calendar: int | None = None
    calendar_due: int | None = None
    minutes: tuple[Step, ...] = ()
    cycles: tuple[Step, ...] = ()
    waiting: bool = False
    at_fitting: bool = False
    unknown: tuple[Unknown, ...] = ()

    @property
    def measures(self) -> int:
        """How many of calendar, hours and cycles are limited, be it known or not where they fall due."""
        limited = {each.measure for each in self.unknown if each.measure in ("calendar", "hours", "cycles")}
        known = (("calendar", self.waiting or self.calendar_due is not None), ("hours", self.minutes))
        limited.update(measure for measure, falls_due in (*known, ("cycles", self.cycles)) if falls_due)
        return len(limited)


def binding(steps: Sequence[Step], day: int) -> int | None:
    """The threshold that binds on `day`; None when the measure is not limited or not known."""
    return min((s.threshold for s in steps if s.from_day is None or s.from_day <= day), default=None)


def lowest(steps: Sequence[Step]) -> int | None:
    """The lowest threshold that will ever bind."""
    return min((s.threshold for s in steps), default=None)


def reach(requirement: Requirement, history: History, anchor: Anchor) -> Reach:
    """Where the limits in force end, counted from `anchor`. Operations are not counted relatively and not here."""
    found = _intervals(requirement, history, anchor)
    limited = measures_of(found.in_force).union(*(measures_of(step.limits) for step in found.steps)) | found.unknown
    band_cause = "no-manufacture-date" if history.manufactured is None else anchor.day_cause or "no-accomplishment"
    unknown: list[Unknown] = []
    calendar, waiting = None, False
    if "calendar" in limited:
        if "calendar" in found.unknown:
            unknown.append(Unknown(measure="calendar", cause=band_cause))
        elif anchor.day is not None:
            calendar = _calendar(anchor.day, found.steps, requirement.whichever)
        elif anchor.unfitted:
            waiting = True
        else:
            unknown.append(Unknown(measure="calendar", cause=anchor.day_cause or "no-accomplishment"))
    counted: dict[str, tuple[Step, ...]] = {"hours": (), "cycles": ()}
    for measure, basis in (("hours", anchor.minutes), ("cycles", anchor.cycles)):
        if measure not in limited:
            continue
        if measure in found.unknown:
            unknown.append(Unknown(measure=measure, cause=band_cause))
        elif anchor.at_fitting or basis is not None:
            counted[measure] = steps_of(0 if anchor.at_fitting or basis is None else basis, found.steps, measure)
        else:
            unknown.append(Unknown(measure=measure, cause=anchor.count_cause))
    return Reach(
        limits=found.in_force,
        calendar=calendar,
        calendar_due=None if calendar is None else rounded(calendar, requirement.month_rule),
        minutes=counted["hours"],
        cycles=counted["cycles"],
        waiting=waiting,
        at_fitting=anchor.at_fitting,
        unknown=tuple(unknown),
    )


def named_unknown(requirement: Requirement, unknown: Unknown) -> Unknown:
    """The same under the counter's name, where it is of the axis that counts it."""
    if requirement.counter is None or unknown.measure != requirement.counter_axis:
        return unknown
    cause = "no-counter-reading" if unknown.cause == "no-airframe-reading" else unknown.cause
    return Unknown(measure=requirement.counter, cause=cause)


def _intervals(requirement: Requirement, history: History, anchor: Anchor) -> Intervals:
    """The limits that count from `anchor`.

    Fitted anew each time, never done and not fitted now, no day decides on the band yet: every band is kept, so that
    the shortest is what is left.
    """
    accomplished, at_day = anchor.done is not None, anchor.band_day
    if anchor.at_fitting and at_day is None and history.manufactured is not None:
        made = history.manufactured.first_day.toordinal()
        every_band = replace(requirement, band_rule="cap")
        return intervals(every_band, history.manufactured, accomplished=accomplished, at_day=made)
    return intervals(requirement, history.manufactured, accomplished=accomplished, at_day=at_day)


def calendar_reach(day: int, steps: Sequence[Interval], requirement: Requirement) -> int | None:
    """The due date when the calendar starts on `day`, month rule included; None when the calendar is not limited."""
    end = _calendar(day, steps, requirement.whichever)
    return None if end is None else rounded(end, requirement.month_rule)


def _calendar(day: int, steps: Sequence[Interval], whichever: str) -> int | None:
    ends = []
    for step in steps:
        end = calendar_after(day, step.limits, whichever=whichever)
        if end is not None:
            ends.append(end if step.from_day is None else max(end, step.from_day))
    return min(ends, default=None)


def steps_of(basis: int, steps: Sequence[Interval], measure: str) -> tuple[Step, ...]:
    """The thresholds of a measure counted from `basis`; later ones only where they bind lower than all before."""
    found: list[Step] = []
    for step in steps:
        limit = step.limits.minutes if measure == "hours" else step.limits.cycles
        if limit is not None and all(basis + limit < earlier.threshold for earlier in found):
            found.append(Step(threshold=basis + limit, from_day=step.from_day))
    return tuple(found)

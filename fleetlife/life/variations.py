"""Permitted variations: what may be extended at all, and which variation belongs to which due point."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from fleetlife.dates.moment import day_of
from fleetlife.life.values import Done, History, Requirement, Varied
from fleetlife.terms.words import UNEXTENDABLE_SOURCES


def extendable(requirement: Requirement) -> bool:
    """Whether a variation can extend it at all: never a life limit, a limitation, a directive, a cylinder's life.

    A replacement whose source is the dangerous-goods rules is a cylinder's service life under another name; one that
    has ended is not extended (49 CFR 180.205, PHMSA 11-0131).
    """
    if not requirement.variation_allowed or requirement.kind == "life_limit":
        return False
    if requirement.source == "dangerous_goods" and requirement.kind == "replacement":
        return False
    return requirement.source not in UNEXTENDABLE_SOURCES


def variation_for(
    requirement: Requirement,
    variations: Sequence[Varied],
    *,
    since_day: int | None,
    calendar_due: int | None,
    counts_due: Callable[[int], tuple[int | None, int | None]],
    measures: int,
    on_airframe: int | None = None,
) -> Varied | None:
    """The one variation of a due point: the first approved after the work before it and before the due point.

    One per due point, never stacked: a later approval for the same due point changes nothing. The rest as `in_time`.
    """
    found = in_time(
        requirement,
        variations,
        since_day=since_day,
        calendar_due=calendar_due,
        counts_due=counts_due,
        measures=measures,
        on_airframe=on_airframe,
    )
    return next(found, None)


def in_time(
    requirement: Requirement,
    variations: Sequence[Varied],
    *,
    since_day: int | None,
    calendar_due: int | None,
    counts_due: Callable[[int], tuple[int | None, int | None]],
    measures: int,
    on_airframe: int | None,
    at_least: bool = False,
) -> Iterator[Varied]:
    """The variations approved after the work before a due point and before the point itself, in order of approval.

    Approval on the due day is in time, since nothing is passed until the day after. `counts_due` gives the totals of
    `on_airframe`, in its present carriage, in hours and cycles that bind on a day; a variation approved in it at totals
    above them came too late. Whichever last nothing is due before all of the `measures` are passed: where one cannot be
    compared, it was in time. `at_least`: by the totals rounded down; only what is too late for sure is left out.
    """
    if not extendable(requirement):
        return
    for varied in sorted(variations, key=lambda v: (v.approved_on, v.entry)):
        if varied.requirement != requirement.requirement:
            continue
        if since_day is not None and varied.approved_on <= since_day:
            continue
        then = varied
        if at_least:
            then = replace(
                varied, approved_minutes=varied.approved_minutes_least, approved_cycles=varied.approved_cycles_least
            )
        passed = _passed_at_approval(then, calendar_due, *counts_due(varied.approved_on), on_airframe)
        if requirement.whichever == "last":
            too_late = bool(passed) and all(passed) and len(passed) == measures
        else:
            too_late = any(passed)
        if not too_late:
            yield varied


def approved_since(requirement: Requirement, history: History, done: Done | None, *, before: Done | None) -> int | None:
    """The day after which an approval belongs to the due point in force; None where nothing has moved it yet.

    That is the day of the work behind it. Fitted anew each time, a fitting after the work has begun a due point of
    its own: what was approved on its day, or later, is the new one's. `before` bounds the fittings as in `starts`.
    """
    since = None if done is None else done.day
    if requirement.start != "each_installation":
        return since
    for fitting in history.installations:
        later = done is None or (fitting.moment > done.moment and fitting.day >= done.day)
        if later and fitting.day_known and (before is None or fitting.moment < before.moment):
            since = fitting.day - 1 if since is None else max(since, fitting.day - 1)
    return since


def covers_now(varied: Varied, history: History) -> bool:
    """Whether the variation is alive: it belongs to one airframe and lapses when the unit leaves it."""
    return (
        varied.left_moment is None
        and varied.airframe_id is not None
        and history.carried is not None
        and history.carried.airframe_id == varied.airframe_id
    )


def covered_when_done(varied: Varied, done: Done) -> bool:
    """Whether the variation was approved and alive when the work was done on the aircraft."""
    if varied.airframe_id is None or varied.approved_on > day_of(done.moment):
        return False
    return varied.left_moment is None or varied.left_moment >= done.moment


def _passed_at_approval(
    varied: Varied, calendar_due: int | None, due_minutes: int | None, due_cycles: int | None, on_airframe: int | None
) -> list[bool]:
    """For each measure that can be compared, whether it was already passed when the variation was approved."""
    passed = []
    if calendar_due is not None:
        passed.append(varied.approved_on > calendar_due)
    if on_airframe is not None and varied.airframe_id == on_airframe and varied.left_moment is None:
        if due_minutes is not None and varied.approved_minutes is not None:
            passed.append(varied.approved_minutes > due_minutes)
        if due_cycles is not None and varied.approved_cycles is not None:
            passed.append(varied.approved_cycles > due_cycles)
    return passed

"""What life a unit would have if it were fitted on a day: the question before it goes on a door."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.dates.partial import PartialDate
from fleetlife.life.bands import Interval, intervals, uses_first
from fleetlife.life.causes import cause_sentence
from fleetlife.life.legs import legs_of
from fleetlife.life.reach import calendar_reach
from fleetlife.life.values import DuePoint, History, Limits, Outlook, Requirement, Unknown
from fleetlife.terms.filling import filled


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class IfFitted:
    """The life left by one requirement if the unit were fitted on a day.

    state: in date, overdue (passed, or nothing left to fly), unknown, waiting (no date even if fitted that day).
    stops: whether an overdue state forbids the fitting; False for a soft life. calendar_due: the due date if
    fitted. *_left: what is left on that day, minus when passed. reason: complete sentences. `unknown` holds the
    measures that are not known beside the state: in date with something unknown is not yet a clean answer.
    """

    state: str
    reason: str
    stops: bool = True
    calendar_due: int | None = None
    days_left: int | None = None
    minutes_left: int | None = None
    cycles_left: int | None = None
    operations_left: int | None = None
    unknown: tuple[Unknown, ...] = ()
    estimated: bool = False


def due_if_fitted(
    requirement: Requirement, point: DuePoint, *, on: int, manufactured: PartialDate | None = None
) -> int | None:
    """The calendar due date if fitted on `on`; None when a fitting would not start the calendar.

    A shelf allowance that ran out earlier has started it already, so the date is never after the point's own.
    Without the date of manufacture the shortest of the bands is taken: earlier perhaps, never later.
    """
    if point.if_fitted_months is None and point.if_fitted_days is None:
        return None
    accomplished = point.last_done is not None
    if requirement.bands and manufactured is None and not uses_first(requirement, accomplished=accomplished):
        own = Limits(months=point.if_fitted_months, days=point.if_fitted_days)
        days = [
            calendar_reach(on, (Interval(limits=limits),), requirement)
            for limits in (own, *(band.repeat for band in requirement.bands))
        ]
        due: int | None = min(day for day in days if day is not None)
    else:
        at_day = point.last_done if accomplished else on
        found = intervals(requirement, manufactured, accomplished=accomplished, at_day=at_day)
        due = calendar_reach(on, found.steps, requirement)
    if due is None or point.calendar_due is None:
        return due
    return min(due, point.calendar_due)


def left_if_fitted(
    requirement: Requirement,
    history: History,
    point: DuePoint,
    *,
    on: int,
    outlook: Outlook | None = None,
    counter_outlook: Outlook | None = None,
) -> IfFitted:
    """What life is left if the unit were fitted on `on`; the outlooks are those of the airframe that carries it now.

    A variation belongs to the airframe it was approved on and lapses when the unit leaves it, and a reservoir that
    may stay until emptied may not be newly fitted: neither counts here. With nothing left to fly it is overdue.
    """
    stops = requirement.kind != "soft_life"
    if point.standing == "complete":
        return IfFitted(state="in date", reason=f"Nothing is due: {point.basis or 'done once'}.", stops=stops)
    calendar = due_if_fitted(requirement, point, on=on, manufactured=history.manufactured)
    bare = DuePoint(
        standing=point.standing,
        whichever=point.whichever,
        calendar_due=calendar if calendar is not None else point.calendar_due,
        due_minutes=point.due_minutes,
        due_cycles=point.due_cycles,
        left_minutes=point.left_minutes,
        left_cycles=point.left_cycles,
        operations_left=point.operations_left,
        basis_day=point.basis_day,
        last_done=point.last_done,
    )
    legs, no_reading = legs_of(
        requirement, bare, outlook, as_of=on, manufactured=history.manufactured, counter_view=counter_outlook
    )
    unknown = (*point.unknown, *no_reading)
    left = {leg.measure: leg.left for leg in legs}
    spent = [leg for leg in legs if leg.passed or (leg.measure != "calendar" and leg.left <= 0)]
    state, reason = _state(point, unknown, legs=len(legs), spent=len(spent))
    if state == "overdue":
        reason = " ".join(leg.text for leg in spent)
    elif state == "in date":
        reason = " ".join(leg.text for leg in legs if leg not in spent)
    if unknown:
        reason = " ".join([reason, *(f"Not known in {u.measure}: {cause_sentence(u.cause)}" for u in unknown)]).strip()
    if state == "overdue" and point.charged and "calendar" in {leg.measure for leg in spent}:
        reason += " It may stay where it is until emptied; that never covers a new fitting."
    return IfFitted(
        state=state,
        reason=reason,
        stops=stops,
        calendar_due=bare.calendar_due,
        days_left=left.get("calendar"),
        minutes_left=left.get("hours"),
        cycles_left=left.get("cycles"),
        operations_left=left.get("operations"),
        unknown=unknown,
        estimated=point.estimated or any(leg.projected for leg in legs),
    )


def _state(point: DuePoint, unknown: tuple[Unknown, ...], *, legs: int, spent: int) -> tuple[str, str]:
    """The state, and the reason where no measure gives one."""
    if point.whichever == "last":
        if unknown:
            return "unknown", "Whichever comes last cannot be judged with a measure unknown."
        if legs and spent == legs and point.standing != "waiting":
            return "overdue", ""
    elif spent:
        return "overdue", ""
    if legs:
        return "in date", ""
    if point.standing == "waiting" and not unknown:
        return "waiting", "No date follows even from a fitting."
    return "unknown", ""

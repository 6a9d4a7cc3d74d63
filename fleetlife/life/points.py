"""When one requirement falls due on one unit: independent of today.

While an airframe carries the unit, hours and cycles become totals of that airframe, which daily flying does not
move: due total = total at the start of the carriage + threshold - count at that start. Off an airframe they are
what is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fleetlife.dates.partial import day_text
from fleetlife.life.anchors import anchor_in_force
from fleetlife.life.bands import measures_of
from fleetlife.life.operations import is_charged, operations_left
from fleetlife.life.problems import check_requirement, check_requirements
from fleetlife.life.reach import Reach, Step, binding, lowest, named_unknown, reach
from fleetlife.life.reckoning import expiry_day
from fleetlife.life.resets import expand_resets
from fleetlife.life.starts import Anchor
from fleetlife.life.values import Done, DuePoint, History, Limits, Requirement, Unknown
from fleetlife.life.variations import approved_since, covers_now, variation_for
from fleetlife.terms.filling import changed

__all__ = ["check_requirement", "check_requirements", "due_point", "expand_resets"]

# Work of these kinds renews what an expiry stated at the opening was stated for; looking at it or testing it does not.
RENEWING_KINDS = ("overhaul", "requalification", "replacement")


def due_point(requirement: Requirement, history: History) -> DuePoint:
    """The due point of `requirement` on the unit whose history is given, resets already expanded.

    Never refuses: what cannot be computed is listed in `unknown`, measure by measure, with its cause. Where the
    requirement names a counter, the figures of its axis are that counter's.
    """
    point = _due_point(requirement, history.counted_in(requirement.counter))
    if requirement.counter is None or not point.unknown:
        return point
    return changed(point, unknown=tuple(named_unknown(requirement, each) for each in point.unknown))


def _due_point(requirement: Requirement, history: History) -> DuePoint:
    if requirement.kind == "on_condition":
        reference = requirement.reference or "no reference"
        return _under_expiry(DuePoint(standing="complete", basis=f"on condition ({reference})"), requirement, history)
    proven = proven_work(requirement, history)
    last_done = proven[-1].day if proven else None
    if not (requirement.first.any() or requirement.repeat.any() or requirement.bands):
        nothing = Unknown(measure="calendar", cause="no-limit-stated")
        point = DuePoint(standing="unknown", unknown=(nothing,), last_done=last_done)
        return _under_expiry(point, requirement, history)
    if proven and not (requirement.repeat.any() or requirement.bands):
        point = DuePoint(
            standing="complete", basis=f"done once {proven[-1].date.text}", basis_day=last_done, last_done=last_done
        )
        return _under_expiry(point, requirement, history)
    anchor = anchor_in_force(requirement, history, proven)
    found = reach(requirement, history, anchor)
    point = _assembled(requirement, history, anchor, found, last_done)
    return _under_expiry(_with_variation(point, requirement, history, anchor, found), requirement, history)


def proven_work(requirement: Requirement, history: History) -> tuple[Done, ...]:
    """The accomplishments that restart the requirement, in order. Nothing restarts a life limit."""
    if requirement.kind == "life_limit":
        return ()
    shown = (d for d in history.done if d.requirement == requirement.requirement and d.proven)
    return tuple(sorted(shown, key=lambda d: (d.moment, d.entry)))


def unproven_work(requirement: Requirement, history: History) -> list[Done]:
    """Accomplishments whose paper does not show the work, or of a condemned cylinder: they restart nothing."""
    return [d for d in history.done if d.requirement == requirement.requirement and not d.proven]


def _assembled(
    requirement: Requirement, history: History, anchor: Anchor, found: Reach, last_done: int | None
) -> DuePoint:
    claims = unproven_work(requirement, history)
    unknown = [_claimed(u, anchor, claims) for u in found.unknown]
    due_minutes, left_minutes, minutes_cause = _carried_or_left(history, found, measure="hours")
    due_cycles, left_cycles, cycles_cause = _carried_or_left(history, found, measure="cycles")
    operations: int | None = None
    operations_cause: str | None = None
    if found.limits.operations is not None:
        operations, operations_cause = operations_left(requirement, history, anchor, found.limits.operations)
    for measure, cause in (("hours", minutes_cause), ("cycles", cycles_cause), ("operations", operations_cause)):
        if cause is not None:
            unknown.append(Unknown(measure=measure, cause=cause))
    text = anchor.text
    if claims:
        claimed = max(claims, key=lambda d: d.moment)
        text += f"; {_why_unproven(claimed)}"
    counted = bool(found.minutes or found.cycles)
    if_fitted = _if_fitted(requirement, found) if anchor.unfitted else Limits()
    point = DuePoint(
        standing="known",
        whichever=requirement.whichever,
        calendar_due=found.calendar_due,
        due_minutes=due_minutes,
        due_cycles=due_cycles,
        left_minutes=left_minutes,
        left_cycles=left_cycles,
        operations_left=operations,
        charged=is_charged(requirement, history, anchor, found.calendar_due),
        if_fitted_months=if_fitted.months,
        if_fitted_days=if_fitted.days,
        estimated=counted and _estimated(history, anchor),
        basis=text,
        basis_day=anchor.day if anchor.day is not None else (anchor.done.day if anchor.done else None),
        last_done=last_done,
        unknown=tuple(unknown),
    )
    return changed(point, standing=_standing(point, waiting=found.waiting))


def _if_fitted(requirement: Requirement, found: Reach) -> Limits:
    """The limits whose calendar a fitting would start: those in force, else of the first band that has a calendar."""
    if not found.waiting and found.calendar is None:
        return Limits()
    bands = sorted(requirement.bands, key=lambda band: band.from_age_months)
    sets = (found.limits, *(band.repeat for band in bands))
    return next(limits for limits in sets if "calendar" in measures_of(limits))


def _why_unproven(claimed: Done) -> str:
    if claimed.condemned is None:
        return f"the paper of {claimed.date.text} does not show this work"
    later = "" if claimed.condemned == claimed.date.text else f", which that of {claimed.date.text} does not undo"
    return f"the expansion test of {claimed.condemned} condemned the cylinder{later}"


def _claimed(unknown: Unknown, anchor: Anchor, claims: Sequence[Done]) -> Unknown:
    """Where only work that proves nothing stands behind it, that is the cause to read."""
    if claims and anchor.done is None and unknown.cause in ("no-accomplishment", "no-release", "no-count-since-new"):
        condemned = any(claim.condemned is not None for claim in claims)
        return replace(unknown, cause="not-passed" if condemned else "not-proven-by-paper")
    return unknown


def _counted(point: DuePoint) -> bool:
    """Whether anything but the calendar is known of it."""
    figures = (point.due_minutes, point.due_cycles, point.left_minutes, point.left_cycles, point.operations_left)
    return any(figure is not None for figure in figures)


def _standing(point: DuePoint, *, waiting: bool) -> str:
    """Whichever first: what is known stands. Whichever last: an unknown leg makes the whole unknown."""
    known = point.calendar_due is not None or _counted(point)
    if point.whichever == "last" and point.unknown:
        return "unknown"
    if waiting:
        return "waiting"
    return "known" if known else "unknown"


def _carried_or_left(history: History, found: Reach, *, measure: str) -> tuple[int | None, int | None, str | None]:
    """The airframe total at which it falls due when carried, else what is left; else the cause.

    Of several bands the lowest threshold is given; the state of a row looks at the day each begins to bind.
    """
    threshold = lowest(found.minutes if measure == "hours" else found.cycles)
    if threshold is None:
        return None, None, None
    if found.at_fitting:
        return None, threshold, None
    carried = history.carried
    if carried is None:
        now = history.now.minutes if measure == "hours" else history.now.cycles
        return (None, None, "no-totals-of-a-stay") if now is None else (None, threshold - now, None)
    total = carried.minutes if measure == "hours" else carried.cycles
    run = carried.count.minutes if measure == "hours" else carried.count.cycles
    if total is None:
        return None, None, "no-airframe-reading"
    if run is None:
        return None, None, "no-totals-of-a-stay"
    return total + threshold - run, None, None


def _estimated(history: History, anchor: Anchor) -> bool:
    if history.rebuilt or anchor.estimated:
        return True
    if history.carried is not None:
        return history.carried.estimated or history.carried.count.estimated
    return history.now.estimated


def _on_day(total: int | None, steps: Sequence[Step], day: int) -> int | None:
    """The total that binds on a day, from the lowest there is, which is what a due point carries."""
    bound, least = binding(steps, day), lowest(steps)
    return None if total is None or bound is None or least is None else total + bound - least


def _with_variation(
    point: DuePoint, requirement: Requirement, history: History, anchor: Anchor, found: Reach
) -> DuePoint:
    """The point with the variation of this due point, if one was approved in time and is alive.

    A figure that does not lie beyond the due point extends nothing and is left out.
    """
    varied = variation_for(
        requirement,
        history.variations,
        since_day=approved_since(requirement, history, anchor.done, before=None),
        calendar_due=point.calendar_due,
        counts_due=lambda day: (
            _on_day(point.due_minutes, found.minutes, day),
            _on_day(point.due_cycles, found.cycles, day),
        ),
        measures=found.measures,
        on_airframe=None if history.carried is None else history.carried.airframe_id,
    )
    if varied is None or not covers_now(varied, history):
        return point
    calendar = _beyond(varied.until_day, point.calendar_due)
    minutes = _beyond(varied.until_minutes, point.due_minutes)
    cycles = _beyond(varied.until_cycles, point.due_cycles)
    if calendar is None and minutes is None and cycles is None:
        return point
    return replace(
        point,
        varied_calendar=calendar,
        varied_minutes=minutes,
        varied_cycles=cycles,
        variation=variation_text(varied.reference, varied.approved_by, varied.approved_on),
    )


def variation_text(reference: str | None, approved_by: str | None, approved_on: int) -> str:
    """The variation in words: its reference, approver and day."""
    by = f" by {approved_by}" if approved_by else ""
    return f"{reference or 'no reference'}, approved {day_text(approved_on)}{by}"


def _beyond(until: int | None, due: int | None) -> int | None:
    return until if until is not None and due is not None and until > due else None


def _under_expiry(point: DuePoint, requirement: Requirement, history: History) -> DuePoint:
    """The point with the unit's stated expiry where that is earlier. It extends for nobody and is never varied.

    A soft life never stops, so no expiry is put on it. Under whichever last an expiry binds by itself: one before the
    calendar point stands alone; beside a later one the row is judged as whichever first, by the expiry and what else
    is known, or by the calendar point where nothing else is. That can only be earlier.
    """
    if history.expires is None or requirement.kind == "soft_life":
        return point
    if requirement.kind in RENEWING_KINDS and any(d.moment > history.as_of for d in proven_work(requirement, history)):
        return point
    expiry = expiry_day(history.expires)
    governing = point.calendar_due is None or expiry < point.calendar_due
    text = f"{point.basis or 'no basis'}; expires {history.expires.text} as stated"
    if point.whichever == "last":
        if governing and point.calendar_due is not None:
            alone = DuePoint(standing="known", calendar_due=expiry, basis=text, basis_day=point.basis_day)
            return replace(alone, last_done=point.last_done, unknown=point.unknown)
        if point.calendar_due is not None and not _counted(point):
            until = None if point.varied_calendar is None else min(point.varied_calendar, expiry)
            first = replace(
                point, standing="known", whichever="first", varied_calendar=_beyond(until, point.calendar_due)
            )
            return first if first.varied_calendar is not None else replace(first, variation=None)
        capped = replace(point, standing="known", whichever="first", calendar_due=expiry, basis=text)
        return replace(capped, varied_calendar=None, charged=False)
    if governing:
        capped = replace(point, standing="known", calendar_due=expiry, basis=text)
        return replace(capped, varied_calendar=None, charged=False)
    # Staying until emptied does not outlast the expiry, and a row has one date: it ends at the test date.
    until = None if point.varied_calendar is None else min(point.varied_calendar, expiry)
    return replace(point, varied_calendar=_beyond(until, point.calendar_due), charged=False)

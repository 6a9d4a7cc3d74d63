"""The state of a due row on a day, with the figures and the sentence that explain it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fleetlife.dates.partial import PartialDate, day_text
from fleetlife.life.causes import cause_sentence
from fleetlife.life.fitting import IfFitted, due_if_fitted, left_if_fitted
from fleetlife.life.legs import Leg, legs_of
from fleetlife.life.values import DuePoint, Judged, Outlook, Requirement, Unknown

__all__ = ["IfFitted", "due_if_fitted", "judge", "left_if_fitted"]

# The worst first.
_ORDER = ("overdue", "no refill", "in variation", "due", "in date")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Dates:
    """Of the whole row: under the variation where one applies, and without it."""

    due: int | None
    earliest: int | None
    first_due: int | None
    first_earliest: int | None


def judge(
    requirement: Requirement,
    point: DuePoint,
    outlook: Outlook | None,
    *,
    as_of: int,
    window_from: int | None,
    window_until: int | None,
    stored: bool,
    manufactured: PartialDate | None = None,
    fitted_on: int | None = None,
    counter_outlook: Outlook | None = None,
) -> Judged:
    """The state of the row on `as_of`.

    `outlook` is that of the airframe that carries the unit, None when none does or there are no readings. The
    window (both days included, None = open) decides between due and in date by `due_earliest`; with no window
    nothing is merely due but what has nothing left. `stored`: the unit is in a store; a storage limit runs only
    there. `manufactured` is used for bands alone: without it the shortest later band binds at once. `fitted_on`: the
    day for which the date if fitted is asked, `as_of` when left out; an edition that has ended by then dates nothing.
    `counter_outlook`: the same airframe's outlook of the counter that the requirement names, both its figures the
    counter's; the driver and what is left of that axis stand under the axis.
    """
    fitting = as_of if fitted_on is None else fitted_on
    if point.standing == "complete":
        return Judged(state="in date", state_reason=f"Nothing further is due: {point.basis or 'done once'}.")
    if requirement.kind == "storage" and not stored:
        reason = "A storage limit runs only in stores, and the unit is not in one."
        return Judged(state="in date", state_reason=reason, unknown=point.unknown)
    legs, no_reading = legs_of(
        requirement, point, outlook, as_of=as_of, manufactured=manufactured, counter_view=counter_outlook
    )
    unknown = (*point.unknown, *no_reading)
    fitted = None
    if fitting < requirement.in_force_until:
        fitted = due_if_fitted(requirement, point, on=fitting, manufactured=manufactured)
    if point.whichever == "last":
        dates = _dates_last(legs, as_of)
        state, driver = _last(point, legs, unknown, dates, window_from, window_until)
    else:
        dates = _dates_first(legs, as_of)
        state, driver = _first(point, legs, dates, window_from, window_until)
    varied = any(leg.varied for leg in legs)
    left = {leg.measure: leg.left for leg in legs}
    dated = state not in ("waiting", "unknown")
    counted = driver is not None and driver.measure in ("hours", "cycles")
    return Judged(
        state=state,
        state_reason=_reason(requirement, point, state, driver, unknown, dates, fitted, fitting),
        driver=None if driver is None else driver.measure,
        due_date=dates.due if dated else None,
        due_earliest=dates.earliest if dated else None,
        due_if_fitted=fitted,
        days_left=left.get("calendar"),
        minutes_left=left.get("hours"),
        cycles_left=left.get("cycles"),
        operations_left=left.get("operations"),
        estimated=counted and driver is not None and (point.estimated or driver.projected),
        original_due=dates.first_due if varied and dated else None,
        unknown=unknown,
    )


def _fitting_counts(point: DuePoint) -> bool:
    """Whether a fitting would start its calendar."""
    return point.if_fitted_months is not None or point.if_fitted_days is not None


def _dates_first(legs: Sequence[Leg], as_of: int) -> _Dates:
    """Whichever first: the earliest date. Once something is passed only what is passed has a say in it."""

    def earliest_of(days: list[int | None], *, passed: list[bool]) -> int | None:
        if any(passed):
            gone = [day for day, is_gone in zip(days, passed, strict=True) if is_gone]
            return None if None in gone else min(day for day in gone if day is not None)
        return min((day for day in days if day is not None), default=None)

    over, first = [leg.over for leg in legs], [leg.passed for leg in legs]
    earliest = earliest_of([leg.earliest for leg in legs], passed=over)
    first_earliest = earliest_of([leg.first_earliest for leg in legs], passed=first)
    return _Dates(
        due=earliest_of([leg.date for leg in legs], passed=over),
        earliest=_not_before(earliest, as_of, passed=any(over)),
        first_due=earliest_of([leg.first_date for leg in legs], passed=first),
        first_earliest=_not_before(first_earliest, as_of, passed=any(first)),
    )


def _dates_last(legs: Sequence[Leg], as_of: int) -> _Dates:
    """Whichever last: the latest date, none when one measure has none to come."""

    def latest_of(days: list[int | None], *, passed: list[bool]) -> int | None:
        known = [day for day in days if day is not None]
        if any(day is None and not is_gone for day, is_gone in zip(days, passed, strict=True)):
            return None
        return max(known, default=None)

    over, first = [leg.over for leg in legs], [leg.passed for leg in legs]
    all_over, all_first = bool(legs) and all(over), bool(legs) and all(first)
    earliest = latest_of([leg.earliest for leg in legs], passed=over)
    first_earliest = latest_of([leg.first_earliest for leg in legs], passed=first)
    return _Dates(
        due=latest_of([leg.date for leg in legs], passed=over),
        earliest=_not_before(earliest, as_of, passed=all_over),
        first_due=latest_of([leg.first_date for leg in legs], passed=first),
        first_earliest=_not_before(first_earliest, as_of, passed=all_first),
    )


def _not_before(day: int | None, as_of: int, *, passed: bool) -> int | None:
    """What is not passed on as_of is not past before it, whatever the highest rate says."""
    return day if day is None or passed else max(day, as_of)


def _inside(dates: _Dates, window_from: int | None, window_until: int | None) -> bool:
    """Whether the row falls due inside the window, by its own date or, with a variation, by the one first due."""
    if window_from is None and window_until is None:
        return False
    return any(
        day is not None
        and (window_from is None or day >= window_from)
        and (window_until is None or day <= window_until)
        for day in (dates.earliest, dates.first_earliest)
    )


def _first(
    point: DuePoint,
    legs: Sequence[Leg],
    dates: _Dates,
    window_from: int | None,
    window_until: int | None,
) -> tuple[str, Leg | None]:
    """Whichever first: the worst known measure decides."""
    states = [(_leg_state(point, leg), leg) for leg in legs]
    worst = min((_ORDER.index(state) for state, _ in states), default=None)
    if worst is None or (point.standing == "waiting" and worst > _ORDER.index("due")):
        return ("waiting" if point.standing == "waiting" else "unknown"), None
    state = _ORDER[worst]
    driver = min((leg for own, leg in states if own == state), key=_soonest)
    if state == "in date" and _inside(dates, window_from, window_until):
        state = "due"
    return state, driver


def _leg_state(point: DuePoint, leg: Leg) -> str:
    if leg.over:
        return "no refill" if leg.measure == "calendar" and point.charged else "overdue"
    if leg.passed:
        return "in variation"
    return "due" if leg.at_zero else "in date"


def _soonest(leg: Leg) -> tuple[bool, int, int]:
    """Sorts the leg that drives to the front: the earliest date, then what has none with the least left."""
    return leg.earliest is None, leg.earliest or 0, leg.left


def _last(
    point: DuePoint,
    legs: Sequence[Leg],
    unknown: Sequence[Unknown],
    dates: _Dates,
    window_from: int | None,
    window_until: int | None,
) -> tuple[str, Leg | None]:
    """Whichever last: due only when all have been passed; any unknown leg makes it unknown."""
    if unknown or not legs:
        return ("waiting" if point.standing == "waiting" and not unknown else "unknown"), None
    if point.standing == "waiting":
        return "waiting", None
    driver = max(legs, key=lambda leg: (not leg.over, leg.date is None, leg.date or 0))
    if all(leg.over for leg in legs):
        return "overdue", driver
    if all(leg.passed for leg in legs):
        return "in variation", driver
    if all(leg.over or leg.at_zero for leg in legs) or _inside(dates, window_from, window_until):
        return "due", driver
    return "in date", driver


def _reason(
    requirement: Requirement,
    point: DuePoint,
    state: str,
    driver: Leg | None,
    unknown: Sequence[Unknown],
    dates: _Dates,
    fitted: int | None,
    fitting: int,
) -> str:
    """Complete sentences with the figures: what decides, under what, and what is not known beside it."""
    sentences = [driver.text] if driver is not None else []
    if state == "waiting":
        sentences.append("The calendar starts when the unit is fitted.")
    if state == "unknown" and point.whichever == "last":
        sentences.append("Whichever comes last cannot be judged with a measure unknown.")
    if fitted is not None and state in ("waiting", "in date", "due"):
        sentences.append(f"Fitted on {day_text(fitting)} it would be due {day_text(fitted)}.")
    if fitting >= requirement.in_force_until and _fitting_counts(point):
        ended = day_text(requirement.in_force_until - 1)
        sentences.append(f"This edition ends on {ended}: what a fitting on {day_text(fitting)} starts it does not say.")
    if state == "no refill":
        sentences.append("It was filled before that date and not since: it may stay until emptied, not be refilled.")
    if driver is not None and driver.varied and point.variation:
        first = f", first due {day_text(dates.first_due)}" if dates.first_due is not None else ""
        sentences.append(f"Under the permitted variation {point.variation}{first}.")
    if requirement.kind == "soft_life" and state in ("overdue", "in variation"):
        sentences.append("A soft life is listed and stops nothing.")
    sentences += [f"Not known in {u.measure}: {cause_sentence(u.cause)}" for u in unknown]
    return " ".join(sentences) or "Nothing is known of it."

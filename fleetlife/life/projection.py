"""What an airframe will have flown: rates, plans, totals on a day and the day of a total. Whole numbers throughout.

The total at the end of day D is base + the sum of the usage of the days after the base day up to D, rounded up.
A day inside a planned period uses the plan; every other day the rate given.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fleetlife.dates.moment import FAR_DAY
from fleetlife.life.values import Outlook, Period, Rate

SHORTEST_SPAN_DAYS = 28
RATE_WINDOWS_DAYS = (30, 90, 365)
MEAN_WINDOW_DAYS = 365

Reading = tuple[int, int, int]  # day, minutes, cycles
Earlier = tuple[int, int, int, int]  # window in days, then the reading that opens the window


def outlook(
    airframe_id: int,
    *,
    as_of: int,
    base: Reading | None,
    earlier: Sequence[Earlier],
    oldest: Reading | None,
    plan: Sequence[Period],
) -> Outlook:
    """The base reading of an airframe, its rates and its plan.

    `base` is the last reading at or before `as_of`. `earlier` holds, for each trailing window of 30, 90 and 365
    days that the records reach back to, the last reading at or before base day minus window. `oldest` is the first
    reading there is. The mean rate is that of the 365-day window, or from the oldest reading when that spans at
    least 28 days, else None: no rate can be formed.
    """
    if base is None:
        return Outlook(airframe_id=airframe_id, base_day=None, base_minutes=None, base_cycles=None)
    base_day, base_minutes, base_cycles = base
    assert base_day <= as_of, "the base reading is the last at or before as_of"
    found: dict[int, Rate] = {}
    for window, day, minutes, cycles in earlier:
        if base_day - day >= max(window, SHORTEST_SPAN_DAYS):
            found[window] = Rate(minutes=base_minutes - minutes, cycles=base_cycles - cycles, span=base_day - day)
    mean = found.get(MEAN_WINDOW_DAYS)
    if mean is None and oldest is not None and base_day - oldest[0] >= SHORTEST_SPAN_DAYS:
        mean = Rate(minutes=base_minutes - oldest[1], cycles=base_cycles - oldest[2], span=base_day - oldest[0])
    return Outlook(
        airframe_id=airframe_id,
        base_day=base_day,
        base_minutes=base_minutes,
        base_cycles=base_cycles,
        rate=mean,
        rates=tuple(found[window] for window in RATE_WINDOWS_DAYS if window in found),
        plan=tuple(sorted((p for p in plan if p.to_day > base_day), key=lambda p: p.from_day)),
    )


def all_rates(view: Outlook) -> tuple[Rate | None, ...]:
    """The rates of which the highest decides what a window lists: the trailing ones and the mean; (None,) if none."""
    rates = dict.fromkeys((*view.rates, view.rate) if view.rate is not None else view.rates)
    return tuple(rates) or (None,)


def totals_at(view: Outlook, day: int, *, rate: Rate | None) -> tuple[int, int]:
    """Minutes and cycles at the end of `day`, rounded up. `day` is the base day or later, and there is a base.

    Without a rate the days outside the plan add nothing.
    """
    assert view.base_minutes is not None
    assert view.base_cycles is not None
    minutes, cycles = _growth(view, day, rate)
    span = rate.span if rate else 1
    return view.base_minutes - (-minutes // span), view.base_cycles - (-cycles // (1000 * span))


def last_day_at_or_below(
    view: Outlook,
    *,
    rate: Rate | None,
    threshold_minutes: int | None = None,
    threshold_cycles: int | None = None,
) -> int | None:
    """The last day on which the projected total is at or below the one threshold given.

    None when no day can be named: no base, the base itself above the threshold, or the threshold never reached
    (no growth, or not before the calendar ends).
    """
    assert (threshold_minutes is None) != (threshold_cycles is None), "one threshold"
    if view.base_day is None or view.base_minutes is None or view.base_cycles is None:
        return None
    span = rate.span if rate else 1
    if threshold_minutes is not None:
        budget = (threshold_minutes - view.base_minutes) * span
        daily = rate.minutes if rate else 0
    else:
        assert threshold_cycles is not None
        budget = (threshold_cycles - view.base_cycles) * 1000 * span
        daily = rate.cycles * 1000 if rate else 0
    if budget < 0:
        return None
    for first, last, period in _stretches(view):
        cost = daily
        if period is not None:
            cost = (period.minutes_per_day if threshold_minutes is not None else period.millicycles_per_day) * span
        if cost > 0 and budget // cost < last - first + 1:
            day = first - 1 + budget // cost
            return day if day < FAR_DAY else None
        budget -= cost * (last - first + 1)
    return None


def search_limits(view: Outlook, *, until_day: int) -> tuple[int | None, int | None]:
    """The highest thresholds (minutes, cycles) that can fall due by `until_day`, the day as_of or later.

    A threshold falls due by H only if it lies strictly below the projected total of H + 1; taken with the highest
    of the rates, so that no row is lost. (None, None): no base reading, every row is a candidate.
    """
    if view.base_day is None:
        return None, None
    day = min(max(until_day + 1, view.base_day), FAR_DAY)
    totals = [totals_at(view, day, rate=rate) for rate in all_rates(view)]
    return max(minutes for minutes, _ in totals) - 1, max(cycles for _, cycles in totals) - 1


def days_since_reading(view: Outlook | None, *, as_of: int) -> int | None:
    """How old the base reading is on `as_of`; None without one."""
    return None if view is None or view.base_day is None else as_of - view.base_day


def _growth(view: Outlook, day: int, rate: Rate | None) -> tuple[int, int]:
    """Growth from the base to the end of `day`: minutes x span, and cycles x 1000 x span, exact."""
    assert view.base_day is not None
    assert day >= view.base_day, "totals before the base reading are read, not projected"
    span = rate.span if rate else 1
    minutes = cycles = 0
    for first, last, period in _stretches(view):
        if first > day:
            break
        days = min(last, day) - first + 1
        if period is not None:
            minutes += days * period.minutes_per_day * span
            cycles += days * period.millicycles_per_day * span
        elif rate is not None:
            minutes += days * rate.minutes
            cycles += days * 1000 * rate.cycles
    return minutes, cycles


def _stretches(view: Outlook) -> Iterator[tuple[int, int, Period | None]]:
    """The days after the base day as stretches without overlap, planned or not, up to the end of the calendar.

    Where periods overlap the one that begins later is the later decision and wins; of two that begin together the
    one that ends sooner.
    """
    assert view.base_day is not None
    day = view.base_day + 1
    while day <= FAR_DAY:
        covering = [p for p in view.plan if p.from_day <= day <= p.to_day]
        period = max(covering, key=lambda p: (p.from_day, -p.to_day)) if covering else None
        starts = [p.from_day - 1 for p in view.plan if p.from_day > day]
        last = min([*starts, period.to_day if period else FAR_DAY])
        yield day, last, period
        day = last + 1

"""Reckoning a calendar due date from its basis: always from the anchor, never by repeated addition."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

from fleetlife.dates.moment import FAR_DAY
from fleetlife.dates.months import add_months, end_of_month
from fleetlife.dates.partial import PartialDate
from fleetlife.life.values import Limits

_LAST_YEAR = 9999


@lru_cache(maxsize=65_536)
def months_later(day: int, months: int) -> int:
    """The day number `months` after `day`, the last day of a shorter month; the end of the calendar if beyond it."""
    start = date.fromordinal(day)
    if (start.year * 12 + start.month - 1 + months) // 12 > _LAST_YEAR:
        return FAR_DAY
    return add_months(start, months).toordinal()


def calendar_after(day: int, limits: Limits, *, whichever: str) -> int | None:
    """The last day allowed when months and days run from `day`; None when the calendar is not limited.

    Stated in months and in days they are two limits: the earlier of the two, or the later with whichever last.
    """
    ends = []
    if limits.months is not None:
        ends.append(months_later(day, limits.months))
    if limits.days is not None:
        ends.append(min(day + limits.days, FAR_DAY))
    if not ends:
        return None
    return max(ends) if whichever == "last" else min(ends)


def rounded(day: int, month_rule: str | None) -> int:
    """The due date after the month rule: `last` rounds up to the end of its month, whatever the basis' precision.

    A cylinder may be requalified at any time before or during the month and year it is due (PHMSA 11-0131).
    """
    return end_of_month(date.fromordinal(day)).toordinal() if month_rule == "last" else day


def cure_start(cured: PartialDate) -> int:
    """The day from which a cure date counts.

    Makers date by the calendar quarter, and the last day of the quarter is taken as the date (MIL-HDBK-695E, 3.3).
    A month or a year counts from its first day like any other basis: no published convention moves it later.
    """
    return (cured.last_day if cured.precision == "quarter" else cured.first_day).toordinal()


def expiry_day(expires: PartialDate) -> int:
    """The last day a stated expiry allows.

    A month or quarter printed as an expiry means through its end, as makers and marks print it. A year alone is
    no printed convention but want of knowledge: it counts from its first day, so that it never flatters.
    """
    return (expires.first_day if expires.precision == "year" else expires.last_day).toordinal()

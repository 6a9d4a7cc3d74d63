"""Calendar arithmetic: months from the anchor, never by repeated addition."""

from __future__ import annotations

import calendar
from datetime import date
from functools import lru_cache

from dateutil.relativedelta import relativedelta


@lru_cache(maxsize=1 << 12)  # a fleet's dates are few, and each is asked for many times
def add_months(day: date, months: int) -> date:
    """The same day of the month `months` later, or the last day of a shorter month.

    The same rule as PostgreSQL's `date + interval 'n months'`; SQLite's date() rolls over and is never used.
    """
    return day + relativedelta(months=months)


def end_of_month(day: date) -> date:
    """The last day of the month of `day`."""
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])

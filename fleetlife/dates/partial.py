"""A date known to the day, the month, the quarter or the year; the precision is kept and printed."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import Literal

from fleetlife.terms.refusal import Refusal

# Days come again and again; what a text means never changes.
CACHED = 65_536

Precision = Literal["day", "month", "quarter", "year"]

_DAY = re.compile(r"^(\d{4})-(\d{2})-(\d{2})$")
_MONTH = re.compile(r"^(\d{4})-(\d{2})$")
_QUARTER = re.compile(r"^(?:(\d{4})-?Q([1-4])|([1-4])Q(\d{4}))$")
_YEAR = re.compile(r"^(\d{4})$")


@dataclass(frozen=True, slots=True, order=True)
class PartialDate:
    """`text` is the canonical spelling: 2024-03-01, 2024-03, 2024-Q1 or 2024."""

    first_day: date
    precision: Precision

    @property
    def last_day(self) -> date:
        """The last day the date may mean."""
        start = self.first_day
        if self.precision == "day":
            return start
        if self.precision == "month":
            return start.replace(day=calendar.monthrange(start.year, start.month)[1])
        if self.precision == "quarter":
            month = start.month + 2
            return date(start.year, month, calendar.monthrange(start.year, month)[1])
        return date(start.year, 12, 31)

    @property
    def text(self) -> str:
        if self.precision == "day":
            return self.first_day.isoformat()
        if self.precision == "month":
            return f"{self.first_day:%Y-%m}"
        if self.precision == "quarter":
            return f"{self.first_day.year:04d}-Q{(self.first_day.month - 1) // 3 + 1}"
        return f"{self.first_day.year:04d}"

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=CACHED)
def parse_partial(text: str) -> PartialDate:
    """Canonical text as a partial date. Refusal: `date-not-read`."""
    value = text.strip().upper()
    try:
        if match := _DAY.match(value):
            return PartialDate(date(int(match[1]), int(match[2]), int(match[3])), "day")
        if match := _MONTH.match(value):
            return PartialDate(date(int(match[1]), int(match[2]), 1), "month")
        if match := _QUARTER.match(value):
            year = int(match[1] or match[4])
            quarter = int(match[2] or match[3])
            return PartialDate(date(year, 3 * quarter - 2, 1), "quarter")
        if match := _YEAR.match(value):
            return PartialDate(date(int(match[1]), 1, 1), "year")
    except ValueError:
        pass
    raise Refusal(
        "date-not-read",
        f"{text!r} is not a date that exists.",
        remedy="Write dates as YYYY-MM-DD; where only less is known YYYY-MM, YYYY-Qn or YYYY.",
    )


@lru_cache(maxsize=CACHED)
def day_number(text: str) -> int:
    """An ISO day as its ordinal number (day 1 is 0001-01-01)."""
    return date.fromisoformat(text).toordinal()


@lru_cache(maxsize=CACHED)
def day_text(number: int | None) -> str | None:
    """An ordinal day number as ISO text."""
    return None if number is None else date.fromordinal(number).isoformat()


def day_after(day: date) -> date:
    return day + timedelta(days=1)

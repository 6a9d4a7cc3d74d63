"""The month stamped on a cylinder when it was tested, as a partial date.

A mark is the month and the year, in this order, with the requalifier's number or a sign between them: `06 * 99`,
`06 A123 99`, `8-70`, `03/2022`, `3 22` (49 CFR 180.213, 2007 edition; its layout is cited from memory). What is stamped
behind the year says how the test was done or what may be done with it: `+`, a star (typed as `*` or a star), E, S, UE,
X. It belongs to no date and is read past.

**The century of a year of two digits.** It is the latest such year in which the month is not after the day asked about.
If that lies before the month or year of manufacture, where that is known, or before 1950, the mark is not read: an
earlier century would be earlier still. So, asked on 2026-11-25, `06 * 99` is 1999-06 and `05 * 07` is 2007-05, and
`12-26` is not read, because nothing was stamped in a month to come. Asked later a mark means the same until its
year comes round again a hundred years after.
"""

from __future__ import annotations

import re
from datetime import date

from fleetlife.dates.partial import PartialDate
from fleetlife.terms.refusal import Refusal

EARLIEST_YEAR = 1950

_NUMBER = (
    "[A-Z][0-9]{3}"  # a requalifier's: a letter and three digits; nothing longer, so that no name of a month is one
)
_BETWEEN = rf"(?P<between>[ ]*[*★☆][ ]*|[ ]*[-/.][ ]*|[ ]+|[ *-]+{_NUMBER}[ *-]+)"
_BEHIND = r"(?:[ ]*(?:[+*★☆]|UE|E|S|X))*"
_MARK = re.compile(rf"(?P<month>[0-9]{{1,2}}){_BETWEEN}(?P<year>[0-9]{{4}}|[0-9]{{2}}){_BEHIND}")
_YEAR_FIRST = re.compile(rf"(?P<year>[0-9]{{4}})[ ]?[-/.*][ ]?(?P<month>[0-9]{{1,2}}){_BEHIND}")

REMEDY = "Read the mark again and write the month with all four digits of its year, as YYYY-MM."


def parse_mark(text: str, *, as_of: date, manufactured: PartialDate | None = None) -> PartialDate:
    """The month of a mark, precision month. `as_of` settles the century as told above; no mark is after it.

    Refusal: `mark-not-read`, for what is no mark, for what can be read in two ways, and for a month that is after
    `as_of`, before the manufacture or before 1950.
    """
    wanted = text.strip().upper()
    match = _MARK.fullmatch(wanted) or _YEAR_FIRST.fullmatch(wanted)
    if match is None:
        raise _not_read(text, "is not the month and year of a mark")
    month, digits = int(match["month"]), match["year"]
    between = match.groupdict().get("between")
    stroke = between is not None and between.strip() in ("/", ".")
    if stroke and len(digits) == 2 and 1 <= month <= 12 and 1 <= int(digits) <= 12:
        # United Nations receptacles are stamped year first, with a stroke (from memory): 05/07 may be July 2005.
        raise _not_read(text, "could be a month and a year or a year and a month")
    if not 1 <= month <= 12:
        raise _not_read(text, f"has no month that exists ({match['month']}); a mark is the month and then the year")
    if len(digits) == 2:
        return _within(text, _latest(int(digits), month, as_of), as_of, manufactured)
    if int(digits) < EARLIEST_YEAR:
        raise _not_read(text, f"has a year before {EARLIEST_YEAR}")
    return _within(text, date(int(digits), month, 1), as_of, manufactured)


def looks_like_mark(text: str) -> bool:
    """Whether the text has the shape of a mark; whether it is one, `parse_mark` says."""
    wanted = text.strip().upper()
    return (_MARK.fullmatch(wanted) or _YEAR_FIRST.fullmatch(wanted)) is not None


def _latest(year: int, month: int, as_of: date) -> date:
    """The latest first of that month, of a year that ends in these two digits, that is not after the day."""
    full = as_of.year - (as_of.year - year) % 100
    return date(full if (full, month) <= (as_of.year, as_of.month) else full - 100, month, 1)


def _within(text: str, first_day: date, as_of: date, manufactured: PartialDate | None) -> PartialDate:
    mark = PartialDate(first_day, "month")
    if (first_day.year, first_day.month) > (as_of.year, as_of.month):
        raise _not_read(text, f"would be {mark.text}, which is after {as_of.isoformat()}")
    if first_day.year < EARLIEST_YEAR:
        raise _not_read(text, f"would be {mark.text} at the latest, which is before {EARLIEST_YEAR}")
    if manufactured is not None and mark.last_day < manufactured.first_day:
        raise _not_read(text, f"would be {mark.text} at the latest, before it was made ({manufactured.text})")
    return mark


def _not_read(text: str, why: str) -> Refusal:
    return Refusal("mark-not-read", f"{text!r} {why}.", remedy=REMEDY)

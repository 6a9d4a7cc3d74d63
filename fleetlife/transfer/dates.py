"""Text as dates. A date's order is never guessed: where day, month and year could change places it must be said."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from fleetlife.dates.marks import looks_like_mark
from fleetlife.dates.partial import parse_partial
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.problem import Unreadable

DATE_ORDERS: tuple[str, ...] = ("dmy", "mdy", "ymd")

FIRST_YEAR = 1950
LAST_YEAR = 2200

_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[T ]00:00(?::00(?:\.0+)?)?Z?)?")
_ISO_WITH_TIME = re.compile(r"\d{4}-\d{2}-\d{2}[T ]\d")
_THREE = re.compile(r"(\d{1,4})([./ -])(\d{1,2})\2(\d{1,4})")
_WORDED = re.compile(r"(\d{1,2})[ ./-]*([A-Za-z]{3,9})\.?[ ,./-]*(\d{1,4})")
_WORDED_MONTH = re.compile(r"([A-Za-z]{3,9})\.?[ ,./-]*(\d{1,4})")
_MONTH_YEAR = re.compile(r"(\d{1,2}) ?[./*-] ?(\d{4})")
_YEAR_MONTH = re.compile(r"(\d{4}) ?[./*] ?(\d{1,2})|(\d{4})-(\d{2})")
_SHORT_YEAR = re.compile(r"\d{1,2} ?[./*-] ?\d{2}|[1-4] ?Q ?\d{2}|\d{2} ?-? ?Q ?[1-4]", re.IGNORECASE)
_QUARTER = re.compile(r"\d{4}-?Q[1-4]|[1-4]Q\d{4}", re.IGNORECASE)
_YEAR = re.compile(r"\d{4}")
_DAY_NUMBER = re.compile(r"[1-9]\d{4}(?:\.\d+)?")

_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
# English names, whole or cut to three letters (and Sept), as certificates print them (`dd mmm yyyy`).
_MONTH_NUMBERS = {
    **{name: number for number, name in enumerate(_MONTHS, start=1)},
    **{name[:3]: number for number, name in enumerate(_MONTHS, start=1)},
    "sept": 9,
}

_WRITE_DAY = "Write it as YYYY-MM-DD."
_WRITE_PARTIAL = "Write YYYY-MM-DD, or as much as is known: YYYY-MM, YYYY-Qn or YYYY."
_WRITE_MARK = "Write YYYY-MM-DD, or YYYY-MM where only the month is marked."
_CACHED = 50_000


@dataclass(frozen=True, slots=True)
class StampedMark:
    """A mark as stamped, such as `06 * 99`. Whether the date may be one, its row says; `as_of` settles its century."""

    text: str
    as_of: date

    def __str__(self) -> str:
        return self.text


def day_reader(order: str | None) -> Callable[[str], str]:
    """A converter of text to an ISO day. `order` says how `03/04/2024` is meant; None refuses such dates."""
    known: dict[str, str] = {}

    def read(text: str) -> str:
        if (day := known.get(text)) is None:
            if len(known) >= _CACHED:
                known.clear()
            day = known[text] = read_day(text, order)
        return day

    return read


def partial_reader(
    order: str | None, *, mark: bool, marks_as_of: date | None = None
) -> Callable[[str], str | StampedMark]:
    """A converter of text to the canonical text of a partial date; with `mark` only days and months.

    With `mark` and `marks_as_of` what has the shape of a stamped mark and can be read no other way comes back as
    a `StampedMark`; without the day its century would be a guess, and it is refused.
    """

    def read(text: str) -> str | StampedMark:
        try:
            return read_partial(text, order, mark=mark)
        except Unreadable:
            if mark and marks_as_of is not None and looks_like_mark(text) and not _less_than_a_day(text):
                return StampedMark(text, marks_as_of)
            raise

    return read


def read_day(text: str, order: str | None) -> str:
    """The text as an ISO day."""
    if match := _ISO.fullmatch(text):
        return _day(int(match[1]), int(match[2]), int(match[3]), text, _WRITE_DAY)
    if match := _THREE.fullmatch(text):
        return _ordered(match[1], match[3], match[4], text, order)
    if match := _WORDED.fullmatch(text):
        month = _month_number(match[2], text, _WRITE_DAY)
        return _day(_year(match[3], text), month, int(match[1]), text, _WRITE_DAY)
    if _ISO_WITH_TIME.match(text):
        raise Unreadable("The date has a time of day.", "Write the day alone, as YYYY-MM-DD.")
    if _DAY_NUMBER.fullmatch(text):
        raise Unreadable(
            "This looks like a workbook's own day number, not a date.",
            "Format the column as a date (YYYY-MM-DD) in the workbook and save it again.",
        )
    if _less_than_a_day(text):
        raise Unreadable("Only a month, a quarter or a year is given and the day is needed.", _WRITE_DAY)
    raise Unreadable("This is not a date.", _WRITE_DAY)


def read_partial(text: str, order: str | None, *, mark: bool) -> str:
    """The text as the canonical text of a partial date; a mark is a day or a month."""
    remedy = _WRITE_MARK if mark else _WRITE_PARTIAL
    year, month = 0, 0
    if match := _MONTH_YEAR.fullmatch(text):
        month, year = int(match[1]), int(match[2])
    elif match := _YEAR_MONTH.fullmatch(text):
        year, month = int(match[1] or match[3]), int(match[2] or match[4])
    elif match := _WORDED_MONTH.fullmatch(text):
        month, year = _month_number(match[1], text, remedy), _year(match[2], text)
    if year:
        return _day(year, month, 1, text, remedy)[:7]
    if _QUARTER.fullmatch(text) or _YEAR.fullmatch(text):
        if mark:
            raise Unreadable("A mark is known at least to its month.", remedy)
        return _quarter_or_year(text, remedy)
    if _SHORT_YEAR.fullmatch(text):
        raise Unreadable("The year has two digits, which does not say the century.", remedy)
    return read_day(text, order)


def check_order(order: str | None) -> None:
    """Refusal `date-order-unknown` for a word that is no order."""
    if order is not None and order not in DATE_ORDERS:
        raise Refusal(
            "date-order-unknown",
            f"{order!r} is no order of day, month and year.",
            remedy=f"Say --date-order with one of {', '.join(DATE_ORDERS)}.",
            status=2,
        )


def _ordered(first: str, second: str, third: str, text: str, order: str | None) -> str:
    if order is None:
        raise Unreadable(
            "Day, month and year could change places in this date.",
            "Say --date-order dmy, mdy or ymd, or write it as YYYY-MM-DD.",
        )
    parts = dict(zip(order, (first, second, third), strict=True))
    if len(parts["y"]) not in (2, 4) or len(parts["m"]) > 2 or len(parts["d"]) > 2:
        raise Unreadable(f"This date does not fit --date-order {order}.", _WRITE_DAY)
    if len(parts["y"]) == 2:
        raise Unreadable("The year has two digits, which does not say the century.", _WRITE_DAY)
    remedy = f"Check --date-order {order}, or write the date as YYYY-MM-DD."
    return _day(int(parts["y"]), int(parts["m"]), int(parts["d"]), text, remedy)


def _day(year: int, month: int, day: int, text: str, remedy: str) -> str:
    try:
        value = date(year, month, day)
    except ValueError:
        raise Unreadable(f"There is no such date as {text}.", remedy) from None
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Unreadable(f"The year {year} is not between {FIRST_YEAR} and {LAST_YEAR}.", "Check the year.")
    return value.isoformat()


def _quarter_or_year(text: str, remedy: str) -> str:
    value = parse_partial(text)
    year = value.first_day.year
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Unreadable(f"The year {year} is not between {FIRST_YEAR} and {LAST_YEAR}.", remedy)
    return value.text


def _year(digits: str, text: str) -> int:
    if len(digits) != 4:
        raise Unreadable(f"The year of {text} does not have four digits.", "Write the year with four digits.")
    return int(digits)


def _month_number(name: str, text: str, remedy: str) -> int:
    number = _MONTH_NUMBERS.get(name.lower())
    if number is None:
        raise Unreadable(f"{name} in {text} is no month.", remedy)
    return number


def _less_than_a_day(text: str) -> bool:
    patterns = (_MONTH_YEAR, _YEAR_MONTH, _WORDED_MONTH, _QUARTER, _YEAR)
    return any(pattern.fullmatch(text) for pattern in patterns)

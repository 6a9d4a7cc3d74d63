"""Text as values: one converter a column, made once a file. Nothing is guessed on the way in.

A converter takes text without outer white space and never empty, and returns the canonical value: days and partial
dates as ISO text, hours as whole minutes, masses as grams, cycles per day as thousandths, yes and no as booleans,
everything else as text or whole numbers. It raises Unreadable with a reason and a remedy.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable
from datetime import date

from fleetlife.terms.measure import hours_text, parse_hours
from fleetlife.terms.number import nearest, position_label
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.column import Column
from fleetlife.transfer.dates import day_reader, partial_reader
from fleetlife.transfer.problem import Unreadable

Converter = Callable[[str], object]

HOURS_READINGS: tuple[str, ...] = ("decimal", "minutes")
LONGEST_DAY = 24 * 60
_LONGEST_COUNT = 12
_CACHED = 50_000

_YES_NO = {"yes": True, "y": True, "true": True, "1": True, "no": False, "n": False, "false": False, "0": False}
_WHOLE = re.compile(r"[0-9]+")
_WITH_SECONDS = re.compile(r"([0-9]{1,9}:[0-5][0-9]):00")
_DECIMAL = re.compile(r"([0-9]{1,9})(?:\.([0-9]{1,3}))?")
_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])(?::00)?Z?")
_LINE_ENDS = re.compile(r"\r\n?")


def converter_of(
    column: Column, *, date_order: str | None, hours: str | None, marks_as_of: date | None = None
) -> Converter:
    """The converter of a column, under the order of dates and the reading of hours that were stated, and the day that
    settles the century of a stamped mark."""
    kind = column.kind
    if kind == "day":
        return day_reader(date_order)
    if kind in ("partial_date", "month_mark"):
        return partial_reader(date_order, mark=kind == "month_mark", marks_as_of=marks_as_of)
    if kind == "hours":
        if column.name == "hours_per_day":
            return _hours_a_day(_hours_reader(hours, up=False))
        return _hours_reader(hours, up=column.up)
    if kind == "counter_total":
        return _counter_total(_hours_reader(hours, up=column.up))
    if kind == "word":
        return _word_reader(column)
    return _SIMPLE[kind]


def check_hours(reading: str | None) -> None:
    """Refusal `hours-reading-unknown` for a word that is no reading of hours."""
    if reading is not None and reading not in HOURS_READINGS:
        raise Refusal(
            "hours-reading-unknown",
            f"{reading!r} is no way to read hours with a point or comma.",
            remedy="Say --hours decimal or --hours minutes.",
            status=2,
        )


def _number_on_paper(text: str) -> str:
    """Part and serial numbers and other numbers on paper, character by character as they stand."""
    if text.isascii() and text.isprintable():
        return text
    for place, one in enumerate(text, start=1):
        if unicodedata.category(one) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
            raise Unreadable(
                f"Character {place} is one that cannot be seen or printed ({_character_name(one)}).",
                "Remove it and type the number again from the paper.",
            )
    return text


def _name(text: str) -> str:
    """One line of text, composed characters in their usual form."""
    if text.isascii() and text.isprintable():
        return text
    _refuse_control(text, allowed="")
    return unicodedata.normalize("NFC", text)


def _text(text: str) -> str:
    """Free text: line breaks and tabs stay, every sort of line end as one."""
    if text.isascii() and text.isprintable():
        return text
    _refuse_control(text, allowed="\n\t\r")
    return unicodedata.normalize("NFC", _LINE_ENDS.sub("\n", text))


def _refuse_control(text: str, *, allowed: str) -> None:
    for place, one in enumerate(text, start=1):
        if unicodedata.category(one) in ("Cc", "Cs", "Zl", "Zp") and one not in allowed:
            raise Unreadable(
                f"Character {place} cannot stand in this text ({_character_name(one)}).", "Remove it and try again."
            )


def _character_name(one: str) -> str:
    name = unicodedata.name(one, "control character").lower()
    return f"{name}, U+{ord(one):04X}"


def _count(text: str) -> int:
    if _WHOLE.fullmatch(text):
        if len(text) > _LONGEST_COUNT:
            raise Unreadable("The number is too large to be a count.", "Check the number.")
        return int(text)
    if _is_negative(text):
        raise Unreadable("A count cannot be negative.", "Check the number.")
    raise Unreadable("This is not a whole number.", "Write digits only, without a point, comma or space.")


def _sequence(text: str) -> int:
    value = _count(text)
    if value > 9999:
        raise Unreadable("A sequence within a day runs from 0 to 9999.", "Number the day's rows 1, 2, 3.")
    return value


def _thousandths(text: str) -> int:
    if match := _DECIMAL.fullmatch(text):
        return int(match[1]) * 1000 + int((match[2] or "").ljust(3, "0"))
    if _is_negative(text):
        raise Unreadable("The number cannot be negative.", "Check the number.")
    raise Unreadable(
        "This is not a number with at most three decimals after a point.", "Write it like 4.5, without a comma."
    )


def _celsius(text: str) -> int:
    if _is_negative(text):
        return -_thousandths(text[1:].lstrip())
    return _thousandths(text)


def _is_negative(text: str) -> bool:
    return text[0] in "-−" and any(one.isdecimal() for one in text)


def _yes_no(text: str) -> bool:
    value = _YES_NO.get(text.lower())
    if value is None:
        raise Unreadable("This is neither yes nor no.", "Write yes or no.")
    return value


def _position(text: str) -> str:
    return position_label(_name(text))


def _clock(text: str) -> str:
    if match := _CLOCK.fullmatch(text):
        return f"{int(match[1]):02d}:{match[2]}"
    raise Unreadable("This is not a time of day.", "Write it as HH:MM.")


def _word_reader(column: Column) -> Converter:
    allowed = {_folded(word): word for word in column.words}

    def read(text: str) -> str:
        word = allowed.get(_folded(text))
        if word is None:
            close = nearest(_folded(text), allowed)
            hint = f"Did you mean {allowed[close]}? " if close else ""
            raise Unreadable(f"This is no word for {column.name}.", f"{hint}Allowed are {', '.join(column.words)}.")
        return word

    return read


def _folded(word: str) -> str:
    """Words are the same whatever their case and whether their parts are joined by a hyphen, space or underscore."""
    return word.lower().replace("-", "_").replace(" ", "_")


def _hours_reader(reading: str | None, *, up: bool) -> Callable[[str], int]:
    def read(text: str) -> int:
        hours, colon, minutes = text.partition(":")
        # The shape of nearly every value, read without the patterns.
        if (
            colon
            and len(minutes) == 2
            and 0 < len(hours) <= 9
            and text.isascii()
            and hours.isdecimal()
            and minutes.isdecimal()
            and minutes < "60"
        ):
            return int(hours) * 60 + int(minutes)
        return _any_hours(text, reading, up=up)

    return read


def _any_hours(text: str, reading: str | None, *, up: bool) -> int:
    if _is_negative(text):
        raise Unreadable("Hours cannot be negative.", "Check the number.")
    if match := _WITH_SECONDS.fullmatch(text):
        text = match[1]
    if not text.isascii():
        raise Unreadable("This is not a number of hours.", "Write hours as HHHH:MM, for instance 1234:30.")
    try:
        return parse_hours(text, reading=reading, up=up)
    except Refusal as refusal:
        raise Unreadable(refusal.message, refusal.remedy) from None


def _hours_a_day(read: Callable[[str], int]) -> Converter:
    def read_day(text: str) -> int:
        minutes = read(text)
        if minutes > LONGEST_DAY:
            raise Unreadable(f"A day has no {hours_text(minutes)} hours.", "Check the number of hours a day.")
        return minutes

    return read_day


def _counter_total(read: Callable[[str], int]) -> Converter:
    """Digits as they are, everything else as hours HHHH:MM: which of the two it may be the counter says, later."""

    def read_total(text: str) -> str:
        return str(_count(text)) if _WHOLE.fullmatch(text) else hours_text(read(text))

    return read_total


def remembered(convert: Converter) -> Converter:
    """The converter with a memory: files say the same registrations and names again and again."""
    known: dict[str, object] = {}

    def read(text: str) -> object:
        value = known.get(text)
        if value is None:
            if len(known) >= _CACHED:
                known.clear()
            value = known[text] = convert(text)
        return value

    return read


_SIMPLE: dict[str, Converter] = {
    "text": _text,
    "name": _name,
    "identifier": _number_on_paper,
    "part_number": _number_on_paper,
    "serial_number": _number_on_paper,
    "position": remembered(_position),
    "clock": _clock,
    "count": _count,
    "sequence": _sequence,
    "decimal_count": _thousandths,
    "mass": _thousandths,
    "celsius": _celsius,
    "yes_no": _yes_no,
}

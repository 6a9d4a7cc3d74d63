"""Hours are integer minutes inside; text is `HHHH:MM`."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation

from fleetlife.terms.refusal import Refusal

_CLOCK = re.compile(r"^(-?)(\d{1,9}):([0-5]\d)$")
_POINT = re.compile(r"^(-?)(\d{1,9})[.,](\d{1,6})$")
_WHOLE = re.compile(r"^(-?)(\d{1,9})$")
_DECIMAL = re.compile(r"([-−]?)([0-9]{1,9})(?:\.([0-9]{1,3}))?")


def hours_text(minutes: int | None) -> str:
    """Minutes as `HHHH:MM`, minus in front when passed; empty when not known."""
    if minutes is None:
        return ""
    sign = "-" if minutes < 0 else ""
    whole, rest = divmod(abs(minutes), 60)
    return f"{sign}{whole}:{rest:02d}"


def parse_hours(text: str, *, reading: str | None = None, up: bool = False) -> int:
    """Text as minutes.

    `reading` says how a value with a point or comma is meant: "decimal" (hundredths of an hour) or
    "minutes" (`1234.30` is 1234 h 30 min). Without it such a value is refused: nothing is guessed.
    A decimal value that is no whole minute rounds down, or up with `up=True`.

    Refusals: `hours-ambiguous`, `hours-not-read`.
    """
    value = text.strip().replace(" ", "")
    if match := _CLOCK.match(value):
        minutes = int(match[2]) * 60 + int(match[3])
        return -minutes if match[1] else minutes
    if match := _WHOLE.match(value):
        return int(value) * 60
    if match := _POINT.match(value):
        if reading == "minutes":
            if len(match[3]) != 2 or int(match[3]) > 59:
                raise Refusal(
                    "hours-not-read",
                    f"{text!r} is not hours and minutes: two digits from 00 to 59 are needed after the point.",
                    remedy="Write it as HHHH:MM, or say --hours decimal if it is hundredths of an hour.",
                )
            minutes = int(match[2]) * 60 + int(match[3])
            return -minutes if match[1] else minutes
        if reading == "decimal":
            try:
                exact = Decimal(value.replace(",", ".")) * 60
            except InvalidOperation as error:  # pragma: no cover - the pattern above admits only digits
                raise AssertionError(value) from error
            whole = int(exact)  # toward zero
            if up and exact > whole:
                whole += 1
            if not up and exact < whole:
                whole -= 1
            return whole
        raise Refusal(
            "hours-ambiguous",
            f"{text!r} could be decimal hours or hours and minutes.",
            remedy="Say which with --hours decimal or --hours minutes, or write HHHH:MM.",
        )
    raise Refusal(
        "hours-not-read",
        f"{text!r} is not a number of hours.",
        remedy="Write hours as HHHH:MM, for instance 1234:30.",
    )


def count_text(value: int | None) -> str:
    """A whole count, empty when not known."""
    return "" if value is None else str(value)


def thousandths_text(value: int) -> str:
    """Thousandths as a decimal with a point and no zeros behind it: -53889 is `-53.889`, 1250000 is `1250`."""
    whole, rest = divmod(abs(value), 1000)
    return ("-" if value < 0 else "") + (f"{whole}.{rest:03d}".rstrip("0") if rest else str(whole))


def parse_thousandths(text: str) -> int:
    """A decimal with up to three decimals after a point as thousandths; a minus may stand in front.

    Refusal: `number-not-read`.
    """
    match = _DECIMAL.fullmatch(text.strip())
    if match is None:
        raise Refusal(
            "number-not-read",
            f"{text!r} is not a number with at most three decimals after a point.",
            remedy="Write it like 21.5, without a comma.",
            status=2,
        )
    value = int(match[2]) * 1000 + int((match[3] or "").ljust(3, "0"))
    return -value if match[1] else value


class Minutes(int):
    """Minutes of a counter in hours: a whole number that is shown as `HHHH:MM`, where another counter's figure is a
    whole number and shown as one."""


def counted_figure(axis: str | None, value: int | None) -> int | None:
    """A figure of a counter that stands for an axis (hours or cycles) as a value that knows how it is shown; None where
    there is none."""
    if axis is None or value is None:
        return None
    return Minutes(value) if axis == "hours" else value


def counted_text(value: int | None) -> str:
    """A figure of a counter as it is shown; empty when not known."""
    return hours_text(value) if isinstance(value, Minutes) else count_text(value)

"""Does a publication apply to a unit: yes, no, or it cannot be told; each with its reasons.

Unknown is never "not affected": a serial number in another form than the range's, a date of manufacture that nobody
recorded, a part number borne only formerly. Serial numbers compare as numbers, after the text before them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from fleetlife.dates.partial import PartialDate, day_text, parse_partial
from fleetlife.ledger.publications import Applicability
from fleetlife.terms.number import compare_serials, fold, is_own_tracking

Outcome = Literal["yes", "no", "unknown"]
_RANGE = re.compile(r"^(?P<first>\S+)\s+to\s+(?P<last>\S+)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitNamed:
    """The numbers of a unit. `borne`: (first ordinal day, part number), the last one in force; the first day is 0 for
    the one it was opened with."""

    borne: tuple[tuple[int, str], ...]
    serial_number: str
    manufacturer: str | None = None
    manufactured: PartialDate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Affected:
    """`groups`: the publication's groups that the unit is in (None: of no group), `possible` those it may be in."""

    outcome: Outcome
    reasons: tuple[str, ...]
    groups: tuple[str | None, ...] = ()
    possible: tuple[str | None, ...] = ()


def judge_affected(unit: UnitNamed, rows: Sequence[Applicability]) -> Affected:
    """Whether the rows of one revision of a publication mean the unit."""
    named = [(row, *_judge_row(unit, row)) for row in rows if not row.excluded]
    left_out = [(row, *_judge_row(unit, row)) for row in rows if row.excluded]
    if not named:
        return Affected(
            outcome="unknown",
            reasons=("The records do not say which units the publication names.",),
            possible=(None,),
        )
    for _, outcome, reasons in left_out:
        if outcome == "yes":
            return Affected(outcome="no", reasons=("Left out by the publication: " + " ".join(reasons),))
    doubt = tuple(f"It may be left out: {' '.join(r)}" for _, outcome, r in left_out if outcome == "unknown")
    sure = [(row, reasons) for row, outcome, reasons in named if outcome == "yes" and not doubt]
    unsure = ("unknown", "yes") if doubt else ("unknown",)
    open_rows = [(row, reasons) for row, outcome, reasons in named if outcome in unsure]
    groups = tuple(dict.fromkeys(row.unit_group for row, _ in sure))
    possible = tuple(g for g in dict.fromkeys(row.unit_group for row, _ in open_rows) if g not in groups)
    if sure:
        told = sure if not possible else [*sure, *open_rows]
        return Affected(outcome="yes", reasons=_told(told), groups=groups, possible=possible)
    if open_rows:
        return Affected(outcome="unknown", reasons=(*_told(open_rows), *doubt), possible=possible)
    return Affected(outcome="no", reasons=tuple(dict.fromkeys(r for _, _, reasons in named for r in reasons)))


def _told(rows: Sequence[tuple[Applicability, tuple[str, ...]]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(reason for _, reasons in rows for reason in reasons))


def _judge_row(unit: UnitNamed, row: Applicability) -> tuple[Outcome, tuple[str, ...]]:
    """One row: what closes it, else what leaves it open, else all that is so."""
    answers = [
        answer
        for answer in (_part(unit, row), _maker(unit, row), _serial(unit, row), _excepted(unit, row), _made(unit, row))
        if answer is not None
    ]
    for wanted in ("no", "unknown"):
        said = tuple(reason for outcome, reason in answers if outcome == wanted)
        if said:
            return ("no" if wanted == "no" else "unknown"), said
    return "yes", tuple(reason for _, reason in answers)


# --- part numbers ---------------------------------------------------------------------------------------------------


@lru_cache(maxsize=4096)
def _pattern(pattern: str) -> re.Pattern[str]:
    parts = {"*": ".*", "?": "."}
    return re.compile("".join(parts.get(sign, re.escape(sign)) for sign in fold(pattern)), re.DOTALL)


def part_matches(pattern: str, part_number: str) -> bool:
    """Whether the part number is one that the pattern means: `*` stands for any characters, `?` for any one. Case and
    white space do not count."""
    return _pattern(pattern).fullmatch(fold(part_number)) is not None


def _part(unit: UnitNamed, row: Applicability) -> tuple[Outcome, str]:
    since, current = unit.borne[-1]
    if part_matches(row.part_number, current):
        when = f" since {day_text(since)}" if since else ""
        means = "" if fold(row.part_number) == fold(current) else f", which {row.part_number} means"
        return "yes", f"Its part number is {current}{when}{means}."
    for index in range(len(unit.borne) - 2, -1, -1):
        former = unit.borne[index][1]
        if part_matches(row.part_number, former):
            until = day_text(unit.borne[index + 1][0])
            return "unknown", (
                f"It bore {former} until {until} and is {current} now: whether the publication still means it is not "
                "stated."
            )
    return "no", f"Its part number {current} is not {row.part_number}."


def _maker(unit: UnitNamed, row: Applicability) -> tuple[Outcome, str] | None:
    if not row.manufacturer:
        return None
    if not unit.manufacturer:
        return "unknown", f"It must be made by {row.manufacturer}; by whom it was made is not recorded."
    stated, own = row.manufacturer.upper().split(), unit.manufacturer.upper().split()
    if fold(row.manufacturer) == fold(unit.manufacturer):
        return "yes", f"Made by {unit.manufacturer}."
    if stated[0].strip(",.") == own[0].strip(",."):
        return "unknown", f"It is made by {unit.manufacturer}; whether that is {row.manufacturer} is not stated."
    return "no", f"It is made by {unit.manufacturer}, not by {row.manufacturer}."


# --- serial numbers -------------------------------------------------------------------------------------------------


def serial_within(serial: str, first: str | None, last: str | None) -> bool | None:
    """Whether the serial number lies in the inclusive range, an empty end open; None where it is in another form."""
    inside: bool | None = True
    for bound, wrong in ((first, -1), (last, 1)):
        if not bound:
            continue
        order = compare_serials(serial, bound)
        if order == wrong:
            return False
        if order is None:
            inside = None
    return inside


def range_text(first: str | None, last: str | None) -> str:
    if first and last:
        return first if fold(first) == fold(last) else f"{first} to {last}"
    return f"from {first} on" if first else f"up to {last}"


def _serial(unit: UnitNamed, row: Applicability) -> tuple[Outcome, str] | None:
    if not (row.serial_from or row.serial_to):
        return None
    stated, serial = range_text(row.serial_from, row.serial_to), unit.serial_number
    if is_own_tracking(serial):
        return "unknown", f"It is for serials {stated}; {serial} is the operator's own tracking number."
    inside = serial_within(serial, row.serial_from, row.serial_to)
    if inside is None:
        return "unknown", f"Serial {serial} is in another form than {stated}."
    return ("yes", f"Serial {serial} lies in {stated}.") if inside else ("no", f"Serial {serial} is not in {stated}.")


def exceptions_of(text: str | None) -> tuple[tuple[str, str], ...]:
    """The serials and ranges a cell lists, divided by semicolons, with first and last: `0120; 0130 to 0135`."""
    found = []
    for item in (text or "").split(";"):
        if not item.strip():
            continue
        match = _RANGE.match(item.strip())
        found.append((match["first"], match["last"]) if match else (item.strip(), item.strip()))
    return tuple(found)


def _excepted(unit: UnitNamed, row: Applicability) -> tuple[Outcome, str] | None:
    """What leaves the unit out; a serial that is only numerically the same as one listed may be it."""
    listed = exceptions_of(row.excepted)
    if not listed:
        return None
    serial = unit.serial_number
    if is_own_tracking(serial):
        return "unknown", f"Serials are left out ({row.excepted}); {serial} is the operator's own tracking number."
    doubtful = None
    for first, last in listed:
        inside = serial_within(serial, first, last)
        if inside and first == last and fold(serial) != fold(first):
            inside = None
        if inside:
            return "no", f"Serial {serial} is left out ({range_text(first, last)})."
        if inside is None and doubtful is None and _may_be(serial, first, last):
            doubtful = f"Whether serial {serial} is the one left out as {range_text(first, last)} cannot be told."
    return None if doubtful is None else ("unknown", doubtful)


def _may_be(serial: str, first: str, last: str) -> bool:
    """One listed serial in another form is another serial; a range in another form leaves it open."""
    return first != last or compare_serials(serial, first) == 0


# --- manufacture ----------------------------------------------------------------------------------------------------


def _made(unit: UnitNamed, row: Applicability) -> tuple[Outcome, str] | None:
    if not (row.made_from or row.made_to):
        return None
    stated = _span(row.made_from, row.made_to)
    made = unit.manufactured
    if made is None:
        return "unknown", f"It is for units made {stated}; when it was made is not recorded."
    begin = parse_partial(row.made_from).first_day if row.made_from else None
    end = parse_partial(row.made_to).last_day if row.made_to else None
    if (begin and made.last_day < begin) or (end and made.first_day > end):
        return "no", f"It was made {made.text}, and it is for units made {stated}."
    if (begin and made.first_day < begin) or (end and made.last_day > end):
        return "unknown", f"It was made {made.text}; whether that is {stated} cannot be told."
    return "yes", f"It was made {made.text}."


def _span(first: str | None, last: str | None) -> str:
    if first and last:
        return f"{first} to {last}"
    return f"from {first} on" if first else f"up to {last}"

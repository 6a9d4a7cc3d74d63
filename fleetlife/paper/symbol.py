"""What a data plate's symbol says: enterprise, part, serial, lot, dates, and the unique item identifier it amounts to.

The identifier is formed as MIL-STD-130N with Change 1 (2012-11-16) lays down, table A-II for data identifiers and its
like for the others: construct 1 is unique in the enterprise, construct 2 in the original part number or the lot. The
current part number never belongs to it. SER and SEQ are no synonyms: one is unique in the enterprise, the other only in
the part or lot, and neither stands in for the other. Where two identifiers can be formed, none is.

**The century of a year of two digits** (format 05) is GS1's: the year nearest to the year of the day asked about, 49
years before it at most and 50 after (GS1 General Specifications, determination of the century in dates; from memory). A
date of manufacture after the day asked about is not taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from fleetlife.dates.partial import PartialDate
from fleetlife.paper import identifiers as known
from fleetlife.paper.envelope import Message, open_envelope
from fleetlife.paper.identifiers import MEANINGS, Meaning, divided

EARLIEST_YEAR, LATEST_YEAR = 1950, 2999
_GRAI_WITHOUT_SERIAL = 14
_SERIALS = (known.ENTERPRISE_SERIAL, known.ITEM_SERIAL, known.ENTERPRISE_AND_SERIAL)
NO_IDENTIFIER, NOT_LISTED, OTHER_FORMAT = "no identifier", "not known here", "a format that is not read here"


@dataclass(frozen=True, slots=True)
class Element:
    """One element as marked. identifier: empty where the field begins with none; used: whether anything rests on it."""

    format: str
    identifier: str
    value: str
    says: str
    used: bool
    from_memory: bool = False


@dataclass(frozen=True, slots=True)
class Enterprise:
    """Who numbered the item: the code, whose code it is (`CAGE`, `DUNS` ...; None where its agency is not known), and
    the identifier it stands under."""

    code: str
    agency: str | None
    identifier: str

    @property
    def named(self) -> str:
        return f"{self.agency or 'enterprise'} {self.code}"


@dataclass(frozen=True, slots=True)
class ItemIdentifier:
    """A unique item identifier. construct: `1`, `2`, `complete` (marked whole) or `equivalent`; formed: of what."""

    text: str
    construct: str
    formed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """What the symbol says. None is what it does not say, or what it says twice and not alike, as the remarks tell.

    serial_unique_in: `enterprise` or `part or lot`. remarks: what was not taken and why, each a sentence; left_out:
    those of them that tell what the scanner did not send.
    """

    elements: tuple[Element, ...]
    enterprises: tuple[Enterprise, ...] = ()
    original_part: str | None = None
    current_part: str | None = None
    serial: str | None = None
    serial_unique_in: str | None = None
    lot: str | None = None
    manufactured: PartialDate | None = None
    expires: PartialDate | None = None
    identifier: ItemIdentifier | None = None
    remarks: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()

    @property
    def part(self) -> str | None:
        """The part number the item is to be known by: the current one, else the original."""
        return self.current_part or self.original_part


@dataclass(frozen=True, slots=True)
class _Read:
    """An element with what it means here."""

    record: int
    element: Element
    role: str
    meaning: Meaning | None


def read_symbol(text: str, *, as_of: date) -> Plate:
    """What the message says. `as_of` settles the century of a year of two digits.

    Refusals: those of `envelope.open_envelope`.
    """
    message = open_envelope(text)
    remarks = list(message.remarks)
    read = list(_elements(message, remarks))
    enterprises = tuple(dict.fromkeys(_enterprises(read)))
    identifier = _identifier(read, remarks)
    serial, unique_in = _serial(read, remarks)
    return Plate(
        elements=tuple(each.element for each in read),
        enterprises=enterprises,
        original_part=_single(read, known.ORIGINAL_PART, "original part numbers", remarks),
        current_part=_single(read, known.CURRENT_PART, "current part numbers", remarks),
        serial=serial,
        serial_unique_in=unique_in,
        lot=_one("lots", (*_values(read, known.LOT), *_values(read, known.BATCH)), remarks),
        manufactured=_dated(read, known.MADE, "dates of manufacture", as_of, remarks),
        expires=_dated(read, known.EXPIRES, "expiry dates", as_of, remarks),
        identifier=identifier,
        remarks=tuple(dict.fromkeys(remarks)),
        left_out=message.remarks,
    )


# -- elements --------------------------------------------------------------------------------------------------------


def _elements(message: Message, remarks: list[str]) -> Iterator[_Read]:
    for place, record in enumerate(message.records):
        if record.format is None:
            for field in record.fields:
                yield _Read(place, Element(record.named, "", field, OTHER_FORMAT, False), "", None)
            remarks.append(f"Format {record.named} is not read here; it is kept as it stands.")
            continue
        for field in record.fields:
            for identifier, value in divided(record.format, field) if field else ():
                meaning = MEANINGS[record.format].get(identifier)
                role = meaning.role if meaning is not None and _sound(identifier, value, meaning, remarks) else ""
                says = meaning.says if meaning else (NOT_LISTED if identifier else NO_IDENTIFIER)
                memory = meaning is not None and meaning.from_memory
                yield _Read(place, Element(record.named, identifier, value, says, bool(role), memory), role, meaning)


def _sound(identifier: str, value: str, meaning: Meaning, remarks: list[str]) -> bool:
    """Whether the value can be what its identifier says; what cannot is remarked on and used for nothing."""
    if not value:
        remarks.append(f"{identifier} ({meaning.says}) is empty.")
        return False
    length = known.CODE_LENGTHS.get(meaning.agency or "", 0)
    if meaning.role == known.ENTERPRISE_AND_SERIAL and len(value) <= length:
        remarks.append(f"{identifier} is a CAGE code of {length} characters and a serial number; {value} is too short.")
        return False
    if meaning.role == known.TRADE_ITEM and not (len(value) == 14 and value.isascii() and value.isdigit()):
        remarks.append(f"{identifier} is a number of 14 digits, and {value} is none.")
        return False
    if identifier == "8003" and len(value) <= _GRAI_WITHOUT_SERIAL:
        remarks.append(f"{identifier} {value} has no serial number: it names a kind of thing and not this one.")
        return False
    if meaning.role == known.ENTERPRISE and length and len(value) != length:
        # A published example has a CAGE code of six characters, so it is taken all the same.
        remarks.append(f"A {meaning.agency} code has {length} characters; {identifier} has {len(value)}, {value}.")
    return True


def _values(read: Iterable[_Read], role: str) -> tuple[str, ...]:
    return tuple(each.element.value for each in read if each.role == role)


def _single(read: Sequence[_Read], role: str, words: str, remarks: list[str]) -> str | None:
    return _one(words, _values(read, role), remarks)


def _one(words: str, values: Iterable[str], remarks: list[str]) -> str | None:
    """The one value stated, None where none or more than one is."""
    found = list(dict.fromkeys(values))
    if len(found) > 1:
        remarks.append(f"It states {len(found)} {words}, {' and '.join(found)}; none is taken.")
    return found[0] if len(found) == 1 else None


def _serial(read: Sequence[_Read], remarks: list[str]) -> tuple[str | None, str | None]:
    """The serial number and in what it is unique. One unique in the enterprise and one unique in the part may both be
    marked; which of them the item is known by is then not said."""
    stated: dict[str, set[str]] = {}
    for each in read:
        if each.role in _SERIALS:
            value = each.element.value
            if each.role == known.ENTERPRISE_AND_SERIAL:
                value = value[known.CODE_LENGTHS[known.CAGE] :]
            stated.setdefault(value, set()).add("part or lot" if each.role == known.ITEM_SERIAL else "enterprise")
    serial = _one("serial numbers", stated, remarks)
    if serial is None:
        return None, None
    return serial, "enterprise" if "enterprise" in stated[serial] else "part or lot"


# -- enterprise and identifier ---------------------------------------------------------------------------------------


def _enterprises(read: Iterable[_Read]) -> Iterator[Enterprise]:
    for each in read:
        element, meaning = each.element, each.meaning
        if each.role == known.ENTERPRISE and meaning is not None:
            if meaning.agency is not None:
                yield Enterprise(element.value, meaning.agency, element.identifier)
            else:
                yield _with_agency(element.value, element.identifier) or Enterprise(
                    element.value, None, element.identifier
                )
        elif each.role == known.ENTERPRISE_AND_SERIAL:
            yield Enterprise(element.value[: known.CODE_LENGTHS[known.CAGE]], known.CAGE, element.identifier)
        elif each.role == known.COMPLETE and (stated := _with_agency(element.value, element.identifier, more=True)):
            yield stated


def _with_agency(text: str, identifier: str, *, more: bool = False) -> Enterprise | None:
    """The enterprise of a text that begins with its agency's code, where that agency's codes have one length.

    more: a serial number follows it. A GS1 company prefix ends where nothing shows it, so one with more behind it is
    not told.
    """
    for agency, code in known.AGENCY_CODES.items():
        length = known.CODE_LENGTHS.get(agency)
        if length is None or not text.startswith(code):
            continue
        stated = text[len(code) : len(code) + length]
        rest = text[len(code) + length :]
        if len(stated) == length and bool(rest) == more:
            return Enterprise(stated, agency, identifier)
    if not more and text.isascii() and text.isdigit():
        return Enterprise(text, known.GS1, identifier)
    return None


def _identifier(read: Sequence[_Read], remarks: list[str]) -> ItemIdentifier | None:
    formed: dict[str, ItemIdentifier] = {}
    for record in sorted({each.record for each in read}):
        for one in _formed([each for each in read if each.record == record]):
            formed.setdefault(one.text, one)
    if len(formed) == 1:
        return next(iter(formed.values()))
    if formed:
        told = " and ".join(f"{one.text} ({one.formed})" for one in formed.values())
        remarks.append(f"{len(formed)} unique item identifiers can be formed, {told}; none is taken.")
    else:
        remarks.append(_why_none(read))
    return None


def _formed(read: Sequence[_Read]) -> Iterator[ItemIdentifier]:
    """Every unique item identifier that one format's elements amount to (MIL-STD-130N Change 1, table A-II)."""
    by_role: dict[str, list[_Read]] = {}
    for each in read:
        by_role.setdefault(each.role, []).append(each)
    for each in by_role.get(known.COMPLETE, ()):
        yield ItemIdentifier(each.element.value, "complete", each.element.identifier)
    for each in by_role.get(known.EQUIVALENT, ()):
        yield ItemIdentifier(each.element.value, "equivalent", each.element.identifier)
    for each in by_role.get(known.ENTERPRISE_AND_SERIAL, ()):
        yield _joined("1", each)
    for enterprise in by_role.get(known.ENTERPRISE, ()):
        for serial in by_role.get(known.ENTERPRISE_SERIAL, ()):
            yield _joined("1", enterprise, serial)
        for item in (*by_role.get(known.ORIGINAL_PART, ()), *by_role.get(known.LOT, ())):
            for serial in by_role.get(known.ITEM_SERIAL, ()):
                yield _joined("2", enterprise, item, serial)
    for item in by_role.get(known.TRADE_ITEM, ()):
        for serial in by_role.get(known.ITEM_SERIAL, ()):
            yield _joined("2", item, serial)


def _joined(construct: str, *parts: _Read) -> ItemIdentifier:
    """The values one behind the other, before them the agency's code, which the item does not bear."""
    meaning = parts[0].meaning
    code = known.AGENCY_CODES[meaning.agency] if meaning is not None and meaning.agency else ""
    named = [part.element.identifier for part in parts]
    return ItemIdentifier(
        code + "".join(part.element.value for part in parts),
        construct,
        " + ".join([code, *named] if code else named),
    )


def _why_none(read: Sequence[_Read]) -> str:
    roles = {each.role for each in read}
    why = "it states none of the sets that make one"
    if known.ITEM_SERIAL in roles and not roles & {known.ORIGINAL_PART, known.LOT, known.TRADE_ITEM}:
        why = "its serial number is unique in the part or lot alone, and it states neither original part number nor lot"
    elif roles & {known.ENTERPRISE_SERIAL, known.ITEM_SERIAL} and known.ENTERPRISE not in roles:
        why = "it names no enterprise"
    elif known.ENTERPRISE in roles and not roles & {known.ENTERPRISE_SERIAL, known.ITEM_SERIAL}:
        why = "it states no serial number"
    return f"It amounts to no unique item identifier: {why}."


# -- dates -----------------------------------------------------------------------------------------------------------

_DIGITS = {"YYYYMMDD": 8, "DDMMYYYY": 8, "YYMMDD": 6}


def _dated(read: Sequence[_Read], role: str, words: str, as_of: date, remarks: list[str]) -> PartialDate | None:
    found: dict[str, PartialDate] = {}
    for each in read:
        if each.role != role or each.meaning is None:
            continue
        name, value = each.element.identifier, each.element.value
        day = _day(value, each.meaning.how, as_of)
        if day is None:
            remarks.append(f"{name} {value} is no date as {name} is written, {each.meaning.how}; it is not taken.")
        elif role == known.MADE and day.first_day > as_of:
            remarks.append(f"{name} {value} would be {day.text}, after {as_of.isoformat()}; it is not taken.")
        else:
            found[day.text] = day
    one = _one(words, found, remarks)
    return None if one is None else found[one]


def _day(text: str, how: str, as_of: date) -> PartialDate | None:
    """A date in its layout; in two digits of a year with the day 00 it is known to the month. None for what is none."""
    if not re.fullmatch(rf"[0-9]{{{_DIGITS[how]}}}", text):
        return None
    if how == "YYMMDD":
        year, month, day = _full_year(int(text[:2]), as_of), int(text[2:4]), int(text[4:])
    elif how == "DDMMYYYY":
        year, month, day = int(text[4:]), int(text[2:4]), int(text[:2])
    else:
        year, month, day = int(text[:4]), int(text[4:6]), int(text[6:])
    if not EARLIEST_YEAR <= year <= LATEST_YEAR:
        return None
    try:
        if how == "YYMMDD" and day == 0:
            return PartialDate(date(year, month, 1), "month")
        return PartialDate(date(year, month, day), "day")
    except ValueError:
        return None


def _full_year(digits: int, as_of: date) -> int:
    """GS1's rule: 51 to 99 ahead of the day's year belongs to the century before, 50 to 99 behind it to the next."""
    century, year = divmod(as_of.year, 100)
    ahead = digits - year
    if ahead >= 51:
        century -= 1
    elif ahead <= -50:
        century += 1
    return 100 * century + digits

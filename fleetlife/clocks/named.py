"""The unit that numbers mean in the records as they are: as it is recorded now, else as it was before a correction."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Any

from fleetlife.clocks.naming import Known, Spelling, UnitIndex
from fleetlife.ledger.facts import Opening
from fleetlife.store import reference as stored_reference
from fleetlife.store.facts import LATEST
from fleetlife.store.former import former_openings
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal


def unit_named(connection: Any, part_number: str, serial_number: str, manufacturer: str | None = None) -> int:
    """The one unit the numbers mean. Refusals: `unit-unknown`, `unit-ambiguous`."""
    return find_unit(connection, part_number, serial_number, manufacturer)[0]


def find_unit(
    connection: Any, part_number: str, serial_number: str, manufacturer: str | None = None, *, known: int = LATEST
) -> tuple[int, str | None]:
    """The one unit the numbers mean, and where they are a former spelling of it what it is recorded as and since when.

    What was so spelt at `known` comes first: whoever asks about then asks with the numbers of then. Refusals:
    `unit-unknown`, `unit-ambiguous`.
    """
    wanted = (part_number, serial_number, manufacturer)
    rows = stored_reference.units_by_number(connection, serial_number=serial_number)
    index = UnitIndex(Known(*row) for row in rows)
    if known == LATEST and index.matches(*wanted):
        return index.find(*wanted).unit, None
    spelt = spellings(connection)
    then = UnitIndex(each.known(then=True) for each in spelt if each.number <= known < each.until)
    if then.matches(*wanted):
        return then.find(*wanted).unit, None
    if not index.matches(*wanted):
        once = {each.unit for each in spelt if fold(each.serial_number) == fold(serial_number)}
        openings = stored_reference.unit_facts(connection, once)
        for opening in openings.values():
            borne = stored_reference.units_by_number(connection, serial_number=opening.serial_number)
            for row in borne:
                if row[0] == opening.unit:
                    index.add(Known(*row))
        add_spellings(index, (each for each in spelt if each.unit in openings))
    found = index.find(*wanted)
    if found.until is None or found.until > known:
        return found.unit, None
    return found.unit, told(f"{part_number} {serial_number}", openings[found.unit], spelt)


def spellings(connection: Any) -> list[Spelling]:
    """What units were recorded as before a correction, in the order stated."""
    former = former_openings(connection)
    into = {each.opening.unit: each.into for each in former if each.into is not None}

    def one(unit: int) -> int:
        seen = {unit}
        while (after := into.get(unit)) is not None and after not in seen:
            seen.add(unit := after)
        return unit

    return [
        Spelling(one(o.unit), o.unit, o.part_number, o.serial_number, o.manufacturer, number, until)
        for o, number, until, _ in former
    ]


def add_spellings(index: UnitIndex, spelt: Iterable[Spelling]) -> None:
    """The former spellings beside what the index holds of the units."""
    for each in spelt:
        index.add_former(each.known())


def told(quoted: str, now: Opening, spelt: Iterable[Spelling]) -> str:
    """That what was quoted is recorded as something else, and since which entry."""
    identity = (fold(now.part_number), fold(now.serial_number), fold(now.manufacturer))
    since = max(each.until for each in spelt if each.unit == now.unit and each.folded != identity)
    return f"{quoted} is recorded as {now.part_number} {now.serial_number} since entry {since}."


def one_issuer(tracking_number: str, organisation: str | None, found: Collection[str]) -> str:
    """Who issued the certificate, of those `found` with the number (and the organisation, where it was named).
    Refusals: `certificate-unknown`, `certificate-ambiguous`."""
    makers = sorted(found)
    if not makers:
        raise Refusal(
            "certificate-unknown",
            f"No certificate {tracking_number}{f' of {organisation}' if organisation else ''} is filed.",
            remedy="Correct the tracking number, or file it: fleetlife import certificates.csv",
        )
    if len(makers) > 1:
        raise Refusal(
            "certificate-ambiguous",
            f"Certificate number {tracking_number} was issued by {' and by '.join(makers)}.",
            remedy="Say which with --organisation.",
        )
    return makers[0]

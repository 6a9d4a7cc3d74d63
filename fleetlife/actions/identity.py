"""`identity correct`: the record of what a unit is was wrong; the metal is what it always was.

The unit's opening statement is corrected; what it was recorded as before is found by still, and said to be so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.actions.mend import Mend, Mended, mend
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.named import find_unit
from fleetlife.ledger.facts import Opening
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_touching
from fleetlife.store.heads import head_of
from fleetlife.store.reference import load_reference, unit_facts, units_by_number
from fleetlife.terms.number import did_you_mean, fold, is_own_tracking
from fleetlife.terms.refusal import Refusal

NO_SERIAL = ("", "N/A", "NA", "NIL", "NONE", "-")


@dataclass(frozen=True, slots=True, kw_only=True)
class IdentityCorrected:
    """What the unit was recorded as and is recorded as now, and the correction that made it so."""

    before: str
    after: str
    corrects: int
    mended: Mended


def correct_identity(
    store: Store,
    unit: UnitName,
    *,
    serial_number: str | None = None,
    part_number: str | None = None,
    manufacturer: str | None = None,
    reason: str,
    authorised_by: str,
    recorded_by: str,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> IdentityCorrected:
    """Correct what the unit's opening statement says it is: serial number, part number at manufacture, manufacturer.

    None leaves a thing as it is. `moves_on`, `preview` and `head` as of `mend`.

    Refusals: `nothing-changes`, `serial-missing`, `part-unknown`, `manufacturer-missing`, `identity-taken`,
    `unit-unknown`, `unit-ambiguous`, and those of `mend`.
    """
    with store.reading() as connection:
        number, digest = head_of(connection)
        unit_id, _ = find_unit(connection, unit.part_number, unit.serial_number, unit.manufacturer)
        entry, item, opening = _opening(connection, unit_id)
        new = _corrected(connection, opening, part_number, serial_number, manufacturer)
        _refuse_if_taken(connection, new)
    names = ("part_number", "serial_number", "manufacturer")
    changes = {name: getattr(new, name) for name in names if getattr(new, name) != getattr(opening, name)}
    if not changes:
        raise Refusal(
            "nothing-changes",
            f"The unit is recorded as {_name(opening)} already.",
            remedy="Nothing is needed; say what is right with --serial, --part or --manufacturer.",
        )
    mended = mend(
        store,
        [Mend(entry=entry, item=item, changes=changes)],
        reason=reason,
        authorised_by=authorised_by,
        recorded_by=recorded_by,
        moves_on=moves_on,
        preview=preview,
        # what was looked up must still be so
        head=head or digest if number else None,
    )
    return IdentityCorrected(before=_name(opening), after=_name(new), corrects=entry, mended=mended)


def _opening(connection: Any, unit: int) -> tuple[int, int, Opening]:
    return next(
        (number, item, fact)
        for number, item, fact in facts_touching(connection, [unit])
        if isinstance(fact, Opening) and fact.unit == unit
    )


def _corrected(
    connection: Any, opening: Opening, part_number: str | None, serial_number: str | None, manufacturer: str | None
) -> Opening:
    """The opening statement as it should read."""
    new = opening
    if serial_number is not None:
        serial_number = serial_number.strip()
        if fold(serial_number) in NO_SERIAL or (is_own_tracking(serial_number) and not opening.batch):
            raise Refusal(
                "serial-missing",
                f"{serial_number!r} is no serial number a unit is known by.",
                remedy="Give the serial number on the plate, or an own tracking number for an item whose batch is "
                "recorded.",
            )
        new = replace(new, serial_number=serial_number)
    if part_number is not None and fold(part_number) != fold(opening.part_number):
        reference = load_reference(connection)
        parts = reference.parts.get(fold(part_number), [])
        if not parts:
            raise Refusal(
                "part-unknown",
                f"No part {part_number} is in the records." + did_you_mean(fold(part_number), reference.parts),
                remedy="Correct the number, or state the part first (parts file).",
            )
        makers = sorted({part.manufacturer for part in parts if part.manufacturer})
        maker = manufacturer or opening.manufacturer
        if manufacturer is None and makers and fold(maker) not in {fold(each) for each in makers}:
            if len(makers) > 1:
                raise Refusal(
                    "manufacturer-missing",
                    f"Part {part_number} is made by {' and by '.join(makers)}.",
                    remedy="Say which with --manufacturer.",
                )
            maker = makers[0]
        new = replace(new, part_number=parts[0].part_number, manufacturer=maker)
    elif part_number is not None:
        new = replace(new, part_number=part_number.strip())
    return new if manufacturer is None else replace(new, manufacturer=manufacturer.strip())


def _refuse_if_taken(connection: Any, new: Opening) -> None:
    """Another unit that bears the numbers, by whatever part number and by no other maker. Refusal: `identity-taken`."""
    rows = units_by_number(connection, serial_number=new.serial_number, part_number=new.part_number)
    for unit, opening in sorted(unit_facts(connection, {row[0] for row in rows} - {new.unit}).items()):
        makers = (fold(opening.manufacturer), fold(new.manufacturer))
        if not all(makers) or makers[0] == makers[1]:
            number, _, _ = _opening(connection, unit)
            raise Refusal(
                "identity-taken",
                f"Another unit is recorded as {_name(opening)} (entry {number}).",
                remedy="Look at both plates. Two records of one unit are made one with fleetlife identity merge; of "
                "two units, one number is wrong, or the manufacturers differ.",
            )


def _name(opening: Opening) -> str:
    maker = f" by {opening.manufacturer}" if opening.manufacturer else ""
    return f"{opening.part_number} {opening.serial_number}{maker}"

"""Which unit a data plate's symbol names: by part and serial number, and by whose code the plate bears.

A code is tied to a manufacturer by the parts that state it (parts file, column `cage`). Where the plate bears none, or
one that nobody states, its two numbers are looked for as any others are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from fleetlife.clocks.named import find_unit
from fleetlife.ledger.facts import Part
from fleetlife.paper.symbol import Enterprise, Plate
from fleetlife.store import reference as stored_reference
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal

# A supplier that numbered the item need not have made it.
_NO_MAKER = ("SPL",)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPlate:
    """The numbers under which the records hold the unit of a plate; manufacturer None where nothing says it.

    notes: how it was found, each a sentence.
    """

    part_number: str
    serial_number: str
    manufacturer: str | None
    notes: tuple[str, ...] = ()


def makers_of_code(parts: Iterable[Part], code: str) -> tuple[str, ...]:
    """The manufacturers whose parts state the code, in the order of their names."""
    wanted = fold(code)
    found = {
        fold(p.manufacturer): p.manufacturer for p in parts if p.manufacturer and p.cage and fold(p.cage) == wanted
    }
    return tuple(sorted(found.values()))


def tied(parts: Iterable[Part], enterprises: Iterable[Enterprise]) -> list[tuple[Enterprise, tuple[str, ...]]]:
    """Each code that may be the maker's, and the manufacturers it is tied to."""
    held = list(parts)
    return [(each, makers_of_code(held, each.code)) for each in enterprises if each.identifier not in _NO_MAKER]


def unit_on_plate(connection: Any, plate: Plate, *, manufacturer: str | None = None) -> OnPlate:
    """The unit that the plate names; with `manufacturer` by that maker, whatever code the plate bears.

    Refusals: `plate-names-no-serial`, `plate-names-no-part`, `plate-names-two-units`, `plate-of-another-maker`,
    `unit-unknown`, `unit-ambiguous`.
    """
    if plate.serial is None:
        raise Refusal(
            "plate-names-no-serial",
            f"The plate's symbol states no one serial number.{_remarks(plate)}",
            remedy="Type part and serial number as they are on the plate.",
        )
    maker, notes = (manufacturer, []) if manufacturer else _maker(connection, plate)
    notes = [*plate.left_out, *notes]
    if plate.part is None:
        return _by_maker_and_serial(connection, plate, maker, notes)
    return _by_numbers(connection, plate, maker, notes, by_code=manufacturer is None)


def _maker(connection: Any, plate: Plate) -> tuple[str | None, list[str]]:
    """The one manufacturer to whom the plate's code is tied, and what is to be known of a code that is not."""
    parts = [fact for _, fact in stored_reference.facts_of_kind(connection, Part) if isinstance(fact, Part)]
    codes = tied(parts, plate.enterprises)
    notes = [
        f"{code.named} is tied to no manufacturer in these records (parts file, column cage)."
        for code, makers in codes
        if not makers
    ]
    makers = sorted({maker for _, names in codes for maker in names})
    if len(makers) > 1:
        notes.append(f"The plate's code is that of {' and of '.join(makers)} in these records; none was taken.")
    return makers[0] if len(makers) == 1 else None, notes


def _by_numbers(connection: Any, plate: Plate, maker: str | None, notes: list[str], *, by_code: bool) -> OnPlate:
    """By the current part number, else by the original one; where both are recorded they must mean one unit."""
    serial = plate.serial or ""
    found: dict[str, int] = {}
    refused: list[Refusal] = []
    for part in dict.fromkeys(filter(None, (plate.current_part, plate.original_part))):
        try:
            found[part] = find_unit(connection, part, serial, maker)[0]
        except Refusal as refusal:
            if refusal.code != "unit-unknown":
                raise
            refused.append(refusal)
    if len(set(found.values())) > 1:
        raise Refusal(
            "plate-names-two-units",
            f"The plate's part numbers {' and '.join(found)} with serial number {serial} are two units in the records.",
            remedy="Look at both: fleetlife identity merge, if they are one. Until then type the numbers of the one "
            "that is meant.",
        )
    if not found:
        if maker is not None and by_code:
            _refuse_another_maker(connection, plate, maker)
        raise refused[0]
    part = next(iter(found))
    if plate.current_part is not None and part != plate.current_part:
        notes.append(f"The plate's current part number {plate.current_part} is not recorded for it; {part} is.")
    return OnPlate(part_number=part, serial_number=serial, manufacturer=maker, notes=tuple(notes))


def _refuse_another_maker(connection: Any, plate: Plate, maker: str) -> None:
    """Where the numbers are there, under another maker's name. Refusal: `plate-of-another-maker`."""
    rows = [
        row
        for part in dict.fromkeys(filter(None, (plate.current_part, plate.original_part)))
        for row in stored_reference.units_by_number(connection, serial_number=plate.serial or "", part_number=part)
        if row[3]
    ]
    if rows:
        _, part, serial, recorded = rows[0]
        code = next((each for each in plate.enterprises if each.identifier not in _NO_MAKER), plate.enterprises[0])
        raise Refusal(
            "plate-of-another-maker",
            f"The plate bears {code.named}, which is {maker}; the records hold {part} {serial} by {recorded}.",
            remedy="Look at the plate. If it is that unit, compare them with fleetlife identity plate PART SERIAL "
            "--scan, naming the manufacturer recorded; if the code is another's, correct the parts file, column cage.",
        )


def _by_maker_and_serial(connection: Any, plate: Plate, maker: str | None, notes: list[str]) -> OnPlate:
    """A plate without a part number names a unit where its serial number is unique in the enterprise."""
    serial = plate.serial or ""
    if maker is None or plate.serial_unique_in != "enterprise":
        raise Refusal(
            "plate-names-no-part",
            f"The plate's symbol states serial number {serial} and no part number.{_remarks(plate)}",
            remedy="Type part and serial number as they are on the plate.",
        )
    rows = stored_reference.units_by_number(connection, serial_number=serial)
    mine = [row for row in rows if row[3] and fold(row[3]) == fold(maker)]
    if len({row[0] for row in mine}) != 1:
        what = "no unit" if not mine else "more than one unit"
        raise Refusal(
            "unit-unknown" if not mine else "unit-ambiguous",
            f"The records hold {what} of serial number {serial} by {maker}, and the plate states no part number.",
            remedy="Type part and serial number as they are on the plate.",
        )
    _, part, recorded, _ = mine[0]
    notes.append(f"Found by serial number and maker alone: the plate states no part number, the records {part}.")
    return OnPlate(part_number=part, serial_number=recorded, manufacturer=maker, notes=tuple(notes))


def _remarks(plate: Plate) -> str:
    return "".join(f" {remark}" for remark in plate.remarks)

"""Which unit a data plate's symbol names: by part and serial number, and by whose code the plate bears.

A code is tied to a manufacturer by the parts that state it (parts file, column `cage`). Where the plate bears none, or
one that nobody states, its two numbers are looked for as any others are.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.clocks.named import find_unit
from fleetlife.dates.partial import parse_partial
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Part
from fleetlife.paper.symbol import Enterprise, Plate
from fleetlife.store import reference as stored_reference
from fleetlife.store.rows import read_rows
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal

# A supplier that numbered the item need not have made it.
_NO_MAKER = ("SPL",)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnPlate:
    """The numbers under which the records hold the unit of a plate; manufacturer None where nothing says it.

    notes: how it was found and what is to be known of it, each a sentence.
    """

    unit: int
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


def unit_on_plate(
    connection: Any,
    plate: Plate,
    *,
    manufacturer: str | None = None,
    to_compare: bool = False,
    fitted_on: date | None = None,
) -> OnPlate:
    """The unit that the plate names; with `manufacturer` by that maker, whatever code the plate bears.

    to_compare: it is only laid beside the record, so it may be found by its original part number where the current one
    on its plate is not recorded. fitted_on: whether it may be fitted on that day is the question, and a plate that says
    it expired before, which the record does not know, names no unit for it.

    Refusals: `plate-names-no-serial`, `plate-names-no-part`, `plate-names-two-units`, `plate-of-another-maker`,
    `plate-part-not-recorded`, `plate-expired`, `unit-unknown`, `unit-ambiguous`.
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
        return _expiry_known(connection, plate, _by_maker_and_serial(connection, plate, maker, notes), fitted_on)
    found = _found_by_numbers(connection, plate, maker)
    if not found and maker is not None and manufacturer is None:
        _refuse_another_maker(connection, plate, maker)
    named = _by_numbers(connection, plate, maker, found, notes, to_compare=to_compare)
    return _expiry_known(connection, plate, named, fitted_on)


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


def _found_by_numbers(connection: Any, plate: Plate, maker: str | None) -> dict[str, int]:
    """The unit of each of the plate's part numbers that is recorded for one, the current one first. Refusal:
    `unit-ambiguous`."""
    found: dict[str, int] = {}
    for part in dict.fromkeys(filter(None, (plate.current_part, plate.original_part))):
        try:
            found[part] = find_unit(connection, part, plate.serial or "", maker)[0]
        except Refusal as refusal:
            if refusal.code != "unit-unknown":
                raise
    return found


def _by_numbers(
    connection: Any, plate: Plate, maker: str | None, found: dict[str, int], notes: list[str], *, to_compare: bool
) -> OnPlate:
    """By the current part number; the original one must mean the same unit, where it is recorded."""
    serial = plate.serial or ""
    if not found:
        find_unit(connection, plate.part or "", serial, maker)  # says why not
    if len(set(found.values())) > 1:
        raise Refusal(
            "plate-names-two-units",
            f"The plate's part numbers {' and '.join(found)} with serial number {serial} are two units in the records.",
            remedy="Look at both: fleetlife identity merge, if they are one. Until then type the numbers of the one "
            "that is meant.",
        )
    part, unit = next(iter(found.items()))
    [state] = read_rows(connection, UnitStateRow, unit_ids=[unit])
    if plate.current_part is not None and plate.current_part not in found and not to_compare:
        raise Refusal(
            "plate-part-not-recorded",
            f"The plate says that the unit is {plate.current_part} now, made as {plate.original_part}, serial number "
            f"{serial}; recorded it is {state.part_number}.",
            remedy="Compare them with fleetlife identity plate. If the plate is right, record the modification first "
            "(unit_modifications file, column new_part_number).",
        )
    for what, stated in (("current", plate.current_part), ("original", plate.original_part)):
        if stated is not None and stated not in found:
            notes.append(f"The plate's {what} part number {stated} is not recorded for it.")
    if plate.current_part in found and fold(plate.current_part) != fold(state.part_number):
        notes.append(f"The plate says {plate.current_part}; recorded it is {state.part_number} now.")
    return OnPlate(unit=unit, part_number=part, serial_number=serial, manufacturer=maker, notes=tuple(notes))


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
    unit, part, recorded, _ = mine[0]
    notes.append(f"Found by serial number and maker alone: the plate states no part number, the records {part}.")
    return OnPlate(unit=unit, part_number=part, serial_number=recorded, manufacturer=maker, notes=tuple(notes))


def _expiry_known(connection: Any, plate: Plate, named: OnPlate, fitted_on: date | None) -> OnPlate:
    """That the record knows of the expiry the plate states; a note where it does not, or says a later day. Refusal:
    `plate-expired`."""
    if plate.expires is None:
        return named
    stated = stored_reference.unit_facts(connection, [named.unit])[named.unit].expires
    if stated is not None and parse_partial(stated).last_day <= plate.expires.last_day:
        return named
    told = f"The plate says that it expires {plate.expires.text}; the record says {stated or 'nothing of it'}."
    if fitted_on is not None and plate.expires.last_day < fitted_on:
        raise Refusal(
            "plate-expired",
            told,
            remedy="Compare them with fleetlife identity plate. If the plate is right, correct the unit's opening "
            "statement (fleetlife ledger correct) and ask again.",
        )
    return replace(named, notes=(*named.notes, told))


def _remarks(plate: Plate) -> str:
    return "".join(f" {remark}" for remark in plate.remarks)

"""Which unit a row means: part number (any it has borne), serial number and, where needed, manufacturer."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal


@dataclass(frozen=True, slots=True)
class Known:
    """A unit that can be named: its id, the part number it is quoted by, serial, manufacturer."""

    unit: int
    part_number: str
    serial_number: str
    manufacturer: str | None


class UnitIndex:
    """Units by folded part and serial number; re-identified units stand under every number they have borne."""

    def __init__(self, known: Iterable[Known] = ()) -> None:
        self._by_number: dict[tuple[str, str], list[Known]] = {}
        self._by_serial: dict[str, list[Known]] = {}
        self._part_numbers: dict[int, list[str]] = {}
        for unit in known:
            self.add(unit)

    def add(self, unit: Known) -> None:
        key = (fold(unit.part_number), fold(unit.serial_number))
        rows = self._by_number.setdefault(key, [])
        if all(row.unit != unit.unit for row in rows):
            rows.append(unit)
            self._part_numbers.setdefault(unit.unit, []).append(unit.part_number)
            self._by_serial.setdefault(key[1], []).append(unit)

    def part_numbers_of(self, unit: int) -> tuple[str, ...]:
        """Every part number the unit is known to have borne, oldest first."""
        return tuple(self._part_numbers.get(unit, ()))

    def matches(self, part_number: str, serial_number: str, manufacturer: str | None = None) -> list[Known]:
        """Every unit the numbers may mean."""
        rows = self._by_number.get((fold(part_number), fold(serial_number)), [])
        if manufacturer:
            wanted = fold(manufacturer)
            exact = [row for row in rows if row.manufacturer and fold(row.manufacturer) == wanted]
            return exact or [row for row in rows if not row.manufacturer]
        return rows

    def find(self, part_number: str, serial_number: str, manufacturer: str | None = None) -> Known:
        """The one unit meant. Refusals: `unit-unknown`, `unit-ambiguous`."""
        rows = self.matches(part_number, serial_number, manufacturer)
        if len(rows) == 1:
            return rows[0]
        if len(rows) > 1:
            makers = " and ".join(sorted(row.manufacturer or "no manufacturer stated" for row in rows))
            raise Refusal(
                "unit-ambiguous",
                f"Two units are {part_number} {serial_number}: by {makers}.",
                remedy="Say which by naming the manufacturer.",
            )
        same_serial = self._by_serial.get(fold(serial_number), [])
        hint = ""
        if same_serial:
            hint = f" The serial is recorded under part number {same_serial[0].part_number}."
        raise Refusal(
            "unit-unknown",
            f"No unit {part_number} {serial_number} is in the records.{hint}",
            remedy="Correct the numbers, or take the unit in first (units file).",
        )

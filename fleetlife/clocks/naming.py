"""Which unit a row means: part number (any it has borne), serial number and, where needed, manufacturer.

A spelling that a correction replaced means the unit still, where no other unit bears it now, and the answer says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal


@dataclass(frozen=True, slots=True)
class Known:
    """A unit that can be named: its id, the part number it is quoted by, serial, manufacturer.

    until: the entry that replaced this spelling by another; None for one that stands.
    """

    unit: int
    part_number: str
    serial_number: str
    manufacturer: str | None
    until: int | None = None


class UnitIndex:
    """Units by folded part and serial number; re-identified units stand under every number they have borne."""

    def __init__(self, known: Iterable[Known] = ()) -> None:
        self._by_number: dict[tuple[str, str], list[Known]] = {}
        self._by_serial: dict[str, list[Known]] = {}
        self._part_numbers: dict[int, list[str]] = {}
        self._former: dict[tuple[str, str], list[Known]] = {}
        for unit in known:
            self.add(unit)

    def add(self, unit: Known) -> None:
        key = (fold(unit.part_number), fold(unit.serial_number))
        rows = self._by_number.setdefault(key, [])
        if all(row.unit != unit.unit for row in rows):
            rows.append(unit)
            self._part_numbers.setdefault(unit.unit, []).append(unit.part_number)
            self._by_serial.setdefault(key[1], []).append(unit)

    def add_former(self, spelling: Known) -> None:
        """A spelling that no longer stands, under the part number stated with it and every one the unit has borne."""
        assert spelling.until is not None, "the spelling stands"
        for part_number in dict.fromkeys((spelling.part_number, *self.part_numbers_of(spelling.unit))):
            rows = self._former.setdefault((fold(part_number), fold(spelling.serial_number)), [])
            # the last correction of a spelling is the one told
            rows[:] = [row for row in rows if row.unit != spelling.unit]
            rows.append(spelling)

    def part_numbers_of(self, unit: int) -> tuple[str, ...]:
        """Every part number the unit is known to have borne, oldest first."""
        return tuple(self._part_numbers.get(unit, ()))

    def matches(self, part_number: str, serial_number: str, manufacturer: str | None = None) -> list[Known]:
        """Every unit the numbers may mean; those formerly recorded so where none is now."""
        key = (fold(part_number), fold(serial_number))
        rows = self._by_number.get(key, []) or self._former.get(key, [])
        if manufacturer:
            wanted = fold(manufacturer)
            exact = [row for row in rows if row.manufacturer and fold(row.manufacturer) == wanted]
            return exact or [row for row in rows if not row.manufacturer]
        return rows

    def find(self, part_number: str, serial_number: str, manufacturer: str | None = None) -> Known:
        """The one unit meant; its `until` says whether by a former spelling. Refusals: `unit-unknown`,
        `unit-ambiguous`."""
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


@dataclass(frozen=True, slots=True)
class Spelling:
    """What a unit was recorded as from entry `number` until entry `until`; `then`: as which unit, where two records of
    one were made one since."""

    unit: int
    then: int
    part_number: str
    serial_number: str
    manufacturer: str | None
    number: int
    until: int

    @property
    def name(self) -> str:
        return f"{self.part_number} {self.serial_number}"

    @property
    def folded(self) -> tuple[str, str, str]:
        return fold(self.part_number), fold(self.serial_number), fold(self.manufacturer)

    def known(self, *, then: bool = False) -> Known:
        unit = self.then if then else self.unit
        return Known(unit, self.part_number, self.serial_number, self.manufacturer, self.until)

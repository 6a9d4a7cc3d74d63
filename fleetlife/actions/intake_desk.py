"""The desk at which rows are taken in: what is known so far, what was wrong, the ids next to be allotted.

A row that cannot be taken is reported as a problem with its file, line, column, value, reason and remedy; all of
them, not the first. A row that rests on a bad row is reported once as such.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from fleetlife.clocks.naming import Known, Spelling, UnitIndex
from fleetlife.dates.partial import PartialDate, day_number, parse_partial
from fleetlife.follows.reference import Reference
from fleetlife.ledger import facts as f
from fleetlife.ledger.swaps import SwapPlan
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import Row

Values = dict[str, Any]
MOST_ROWS = 3


class Desk:
    """The state of an intake: what is known so far, what was wrong, and the ids next to be allotted."""

    def __init__(self, reference: Reference, units: UnitIndex, *, next_airframe: int, next_unit: int) -> None:
        self.reference = reference
        self.units = units
        self.next_airframe = next_airframe
        self.next_unit = next_unit
        self.problems: list[Problem] = []
        self.bad_units: dict[tuple[str, str], tuple[str, int]] = {}
        self.bad_registrations: dict[str, tuple[str, int]] = {}
        self.bad_parts: set[str] = set()
        self.bad_counters: set[str] = set()
        self.known_units: dict[tuple[str, str, str], int] = {}
        # what units were recorded as before a correction, by identity, and how to tell what they are recorded as now
        self.former: dict[tuple[str, str, str], Spelling] = {}
        self.former_told: Callable[[str, int], str] = lambda quoted, unit: quoted
        self.stated_before: Callable[[f.Fact], bool] = lambda fact: False
        self.notes: dict[str, list[str]] = {}
        self.file_names: dict[str, str] = {}
        self.requirement_rows: list[tuple[Row, f.Requirement]] = []
        self.seen: dict[str, tuple[str, int, f.Fact]] = {}
        # when units were made: of those of this intake, and how to look up the others, once, when first needed
        self.made: dict[int, str | None] = {}
        self.look_up_made: Callable[[], Mapping[int, str]] = dict
        self._made_before: Mapping[int, str] | None = None
        # swaps by number: those of this intake, and how to look up one that was planned before
        self.planned: dict[str, SwapPlan] = {}
        self.look_up_swap: Callable[[str], SwapPlan | None] = lambda number: None

    def refuse(self, row: Row, column: str, value: object, reason: str, remedy: str) -> None:
        text = "" if value is None else str(value)
        file = self.file_names.get(row.file, row.file)
        self.problems.append(Problem(file=file, line=row.line, column=column, value=text, reason=reason, remedy=remedy))

    def remember_faulty(self, file: str, keys: Iterable[tuple[object, ...]]) -> None:
        """Natural keys of rows that were left out while reading, for the rows that rest on them."""
        for key in keys:
            if file == "units" and key[0] and key[1]:
                self.bad_units.setdefault((fold(str(key[0])), fold(str(key[1]))), (file, 0))
            elif file == "parts" and key[0]:
                self.bad_parts.add(fold(str(key[0])))
            elif file == "counters" and key[0]:
                self.bad_counters.add(fold(str(key[0])))

    def airframe(self, row: Row, column: str, registration: str, day: str | None) -> int | None:
        """The airframe a registration means on the row's own day."""
        bad = self.bad_registrations.get(fold(registration))
        if bad is not None:
            self.rests_on(row, column, registration, bad)
            return None
        try:
            if day is None:
                return self._any_airframe(registration)
            return self.reference.airframe_on(registration, day_number(day))
        except Refusal as refusal:
            self.refuse(row, column, registration, refusal.message, refusal.remedy)
            return None

    def _any_airframe(self, registration: str) -> int:
        periods = self.reference.by_registration.get(fold(registration), [])
        found = {airframe for _, _, airframe in periods}
        if len(found) == 1:
            return found.pop()
        return self.reference.airframe_on(registration, 700_000)

    def unit(self, row: Row, prefix: str, values: Values) -> int | None:
        """The unit that `<prefix>part_number` and the columns beside it mean; None when refused."""
        part, serial = values.get(f"{prefix}part_number"), values.get(f"{prefix}serial_number")
        if part is None or serial is None:
            missing = "serial_number" if part is not None else "part_number"
            self.refuse(
                row,
                f"{prefix}{missing}",
                "",
                "A unit needs both its part number and its serial number.",
                "Fill in the missing number.",
            )
            return None
        bad = self.bad_units.get((fold(part), fold(serial)))
        if bad is not None and not self.units.matches(part, serial):
            self.rests_on(row, f"{prefix}serial_number", f"{part} {serial}", bad)
            return None
        try:
            return self.found(row, part, serial, self.units.find(part, serial, values.get(f"{prefix}manufacturer")))
        except Refusal as refusal:
            self.refuse(row, f"{prefix}serial_number", f"{part} {serial}", refusal.message, refusal.remedy)
            return None

    def found(self, row: Row, part: str, serial: str, known: Known) -> int:
        """The unit; a row that quotes a former spelling of it is taken in and told so."""
        if known.until is not None:
            self.note(row, self.former_told(f"{part} {serial}", known.unit))
        return known.unit

    def note(self, row: Row, text: str) -> None:
        """What is taken in and must not pass in silence, once however many rows it is about."""
        self.notes.setdefault(text, []).append(f"{self.file_names.get(row.file, row.file)} line {row.line}")

    def notes_told(self) -> list[str]:
        """Each note with the first rows it is about."""
        told = []
        for text, rows in self.notes.items():
            more = f" and {len(rows) - MOST_ROWS} more" if len(rows) > MOST_ROWS else ""
            told.append(f"{text} So in {', '.join(rows[:MOST_ROWS])}{more}.")
        return told

    def manufactured(self, unit: int) -> PartialDate | None:
        """When the unit was made, by its opening statement in these files or in the records; None when not known."""
        if unit in self.made:
            text = self.made[unit]
        else:
            if self._made_before is None:
                self._made_before = self.look_up_made()
            text = self._made_before.get(unit)
        return None if text is None else parse_partial(text)

    def rests_on(self, row: Row, column: str, value: str, bad: tuple[str, int]) -> None:
        """Report a row that rests on a refused one: file and line of that one, line 0 where it is not known."""
        self.refuse(
            row,
            column,
            value,
            f"It rests on {f'line {bad[1]}' if bad[1] else 'a row'} of {bad[0]} that was refused.",
            "Mend that line first.",
        )

    def counter(self, row: Row, column: str, name: str) -> f.Counter | None:
        """The counter of that name as the register spells it; None when refused, with the nearest."""
        found = self.reference.counters.get(fold(name))
        if found is None and fold(name) in self.bad_counters:
            self.rests_on(row, column, name, ("counters", 0))
        elif found is None:
            near = did_you_mean(fold(name), self.reference.counters)
            self.refuse(
                row,
                column,
                name,
                f"No counter {name} is in the register.{near}",
                "Correct the name, or state the counter in the counters file first.",
            )
        return found

    def counter_total(self, row: Row, column: str, counter: f.Counter, text: str | None) -> int | None:
        """A total as stated, in what the counter counts: a whole number, or minutes. None when refused or empty."""
        if text is None:
            return None
        if counter.measure == "hours":
            return parse_hours(text)
        if text.isdigit():
            return int(text)
        self.refuse(
            row,
            column,
            text,
            f"{counter.counter} is counted in whole numbers, and this is a number of hours.",
            "Write digits only, or see whether it is the right counter.",
        )
        return None

    def swap(self, number: str) -> SwapPlan | None:
        """The plan of a swap, of these files or in the records; None when there is none of the number."""
        key = fold(number)
        if key not in self.planned:
            plan = self.look_up_swap(number)
            if plan is None:
                return None
            self.planned[key] = plan
        return self.planned[key]

    def type_of(self, row: Row, name: str) -> bool:
        if fold(name) in self.reference.types:
            return True
        self.refuse(
            row, "type", name, f"No airframe type {name} is in the records.", "State it in the types file first."
        )
        return False

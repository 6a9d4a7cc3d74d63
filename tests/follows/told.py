"""A story in few words: who was where, what was read, what was done; and what follows from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from fleetlife.dates.moment import moment_of
from fleetlife.follows.book import Book, requirement_values, stand_ins_of
from fleetlife.follows.derive import Derived, connected, derive
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import CarriageRow, DuePointRow, PlacementRow
from fleetlife.follows.totals import MemoryTotals, Point
from fleetlife.ledger.facts import (
    Accomplishment,
    Alternate,
    Certificate,
    Fact,
    Movement,
    Opening,
    Operation,
    Requirement,
    Transfer,
    UnitModification,
    Variation,
)

AIRFRAME, OTHER = 1, 2


def d(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def at(text: str, sequence: int = 0) -> int:
    return moment_of(d(text), sequence)


def h(text: str) -> int:
    """HHHH:MM as minutes."""
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


class Story:
    """Facts numbered in the order told, readings by airframe, a programme."""

    def __init__(self) -> None:
        self.told: list[Recorded] = []
        self.points: dict[int, list[Point]] = {AIRFRAME: [], OTHER: []}
        self.rules: list[tuple[int, Requirement]] = []
        self.alternates: list[Alternate] = []
        self.programmes: dict[int, str | None] = {AIRFRAME: None, OTHER: None}

    def fact(self, fact: Fact) -> Fact:
        self.told.append(Recorded(len(self.told) + 1, fact))
        return fact

    def unit(
        self,
        unit: int,
        where: str = "store",
        *,
        as_of: str = "2024-01-01",
        airframe: int = AIRFRAME,
        parent: int | None = None,
        **fields: Any,
    ) -> Fact:
        """An opening: `where` is a position (`L1`), a slot when a parent is given, else a kind of place."""
        place: dict[str, Any] = {"place": where}
        if parent is not None:
            place = {"place": "slot", "parent": parent, "slot": where}
        elif where[0] in "LR" and where[1:].isdigit():
            place = {"place": "position", "airframe": airframe, "position": where}
        elif where == "store":
            place["place_name"] = "Main"
        numbers = {"part_number": "QX100-1", "serial_number": f"{unit:04d}", "manufacturer": "Kittiwake"}
        return self.fact(Opening(unit=unit, as_of=as_of, **{**numbers, **place, **fields}))

    def moved(
        self,
        on: str,
        position: str = "L1",
        *,
        off: int | None = None,
        fit: int | None = None,
        hours: str | None = None,
        cycles: int | None = None,
        airframe: int = AIRFRAME,
        sequence: int = 10,
        **fields: Any,
    ) -> Fact:
        return self.fact(
            Movement(
                airframe=airframe,
                position=position,
                moved_on=on,
                sequence=sequence,
                removed=off,
                installed=fit,
                minutes_total=None if hours is None else h(hours),
                cycles_total=cycles,
                **fields,
            )
        )

    def sent(self, unit: int, on: str, target: str = "store", *, sequence: int = 10, **fields: Any) -> Fact:
        return self.fact(Transfer(unit=unit, moved_on=on, target=target, sequence=sequence, **fields))

    def paper(self, unit: int | None, on: str, status: str = "Overhauled", **fields: Any) -> Fact:
        given = {
            "tracking_number": f"T-{len(self.told) + 1}",
            "organisation": "Fulmar Repair",
            "part_number": "QX100-1",
            "serial_number": f"{unit or 0:04d}",
        }
        return self.fact(Certificate(unit=unit, dated_on=on, status=status, **{**given, **fields}))

    def done(self, unit: int, on: str, requirement: str = "OVH", **fields: Any) -> Fact:
        return self.fact(Accomplishment(unit=unit, requirement=requirement, done_on=on, **fields))

    def operated(self, unit: int, on: str, operation: str = "filling", count: int = 1, **fields: Any) -> Fact:
        return self.fact(Operation(unit=unit, operated_on=on, operation=operation, count=count, **fields))

    def modified(self, unit: int, on: str, modification: str, new: str | None = None) -> Fact:
        return self.fact(UnitModification(unit=unit, embodied_on=on, modification=modification, new_part_number=new))

    def varied(self, unit: int, approved_on: str, requirement: str = "OVH", **fields: Any) -> Fact:
        return self.fact(Variation(unit=unit, requirement=requirement, approved_on=approved_on, **fields))

    def read(self, on: str, hours: str, cycles: int = 0, *, airframe: int = AIRFRAME) -> None:
        self.points[airframe].append(Point(d(on), h(hours), cycles))

    def needs(self, requirement: str = "OVH", *, kind: str = "overhaul", part: str = "QX100-1", **fields: Any) -> None:
        rule = Requirement(requirement=requirement, part_number=part, kind=kind, **fields)
        self.rules.append((0, rule))

    def book(self) -> Book:
        return Book(
            requirements=requirement_values(self.rules, []),
            programmes=self.programmes,
            stand_ins=stand_ins_of(self.alternates),
        )

    def totals(self) -> MemoryTotals:
        return MemoryTotals(self.points)

    def facts(self, told: Sequence[Recorded] | None = None) -> dict[int, list[Recorded]]:
        """By unit, in the order of `told`."""
        found: dict[int, list[Recorded]] = {}
        for recorded in self.told if told is None else told:
            for unit in dict.fromkeys(recorded.fact.unit_ids()):
                found.setdefault(unit, []).append(recorded)
        return found

    def follows(self, units: Iterable[int] | None = None) -> Derived:
        """What follows for the units, or for all."""
        facts = self.facts()
        chosen = facts if units is None else {unit: facts[unit] for unit in units}
        return derive(chosen, book=self.book(), totals=self.totals())

    def tree(self, unit: int) -> list[int]:
        """The units that must be derived with the unit, itself among them."""
        pairs = connected(self.told)
        reached = {unit}
        while True:
            more = {b for a, b in pairs if a in reached} | {a for a, b in pairs if b in reached}
            if more <= reached:
                return sorted(reached)
            reached |= more

    def stays(self, unit: int) -> tuple[PlacementRow, ...]:
        return clean(self.follows(self.tree(unit))).placements[unit]

    def carried(self, unit: int) -> tuple[CarriageRow, ...]:
        return clean(self.follows(self.tree(unit))).carriages[unit]

    def due(self, unit: int, requirement: str = "OVH") -> DuePointRow:
        """The one due point of the requirement on the unit."""
        derived = clean(self.follows(self.tree(unit)))
        keys = {
            rule.key for rules in self.book().requirements.values() for rule in rules if rule.requirement == requirement
        }
        found = [row for row in derived.due_points[unit] if row.requirement_key in keys]
        assert len(found) == 1, found
        return found[0]

    def codes(self) -> list[str]:
        """The codes of what is impossible."""
        return [problem.code for problem in self.follows().problems]


def clean(derived: Derived) -> Derived:
    assert derived.problems == ()
    return derived


def places(rows: Sequence[PlacementRow]) -> list[tuple[str, str | None, str | None]]:
    """(kind, label, since) of the stays."""
    return [(row.kind, row.position or row.slot or row.place_name, _day(row.from_moment)) for row in rows]


def _day(moment: int) -> str:
    return date.fromordinal(moment // 10_000).isoformat()


def ends(row: CarriageRow) -> tuple[int | None, int | None, str, str]:
    """Minutes at both ends and their bases."""
    return (row.from_minutes, row.until_minutes, row.from_basis, row.until_basis)

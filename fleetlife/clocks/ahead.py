"""Rows and facts of many assemblies read together, for the same question asked of each of them in turn."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fleetlife.clocks.gathered import by_unit
from fleetlife.follows.rows import DERIVED_TABLES, UnitStateRow
from fleetlife.ledger.facts import Accomplishment, Fact, Opening, Operation, Transfer, UnitModification
from fleetlife.store import reference as stored_reference
from fleetlife.store.rows import read_rows
from fleetlife.terms.finding import Finding

KINDS: tuple[type[Fact], ...] = (Opening, UnitModification, Accomplishment, Operation, Transfer)


@dataclass(slots=True)
class Ahead:
    """Of the units, by unit: the stored rows of each table, the facts of each of `KINDS`, and what each holds.
    `papers`: what is found of their papers, once it was asked for."""

    units: frozenset[int]
    rows: Mapping[str, Mapping[int, Sequence[Any]]]
    facts: Mapping[type[Fact], Mapping[int, Sequence[Fact]]]
    held: Mapping[int, Sequence[UnitStateRow]]
    papers: dict[int, list[Finding]] | None = None

    def stated(self, wanted: Collection[int], kinds: Iterable[type[Fact]]) -> list[Fact]:
        """The facts of the kinds on the units, kind by kind and unit by unit."""
        return [fact for kind in kinds for unit in sorted(set(wanted)) for fact in self.facts[kind].get(unit, ())]

    def answers(self, wanted: Iterable[int], kinds: Iterable[type[Fact]] = ()) -> bool:
        """Whether everything asked for was read."""
        return self.units.issuperset(wanted) and all(kind in self.facts for kind in kinds)


def read_ahead(connection: Any, units: Collection[int]) -> Ahead:
    """The units, which are closed under what they hold. A fixed number of statements."""
    rows = {name: by_unit(read_rows(connection, kind, unit_ids=units)) for name, kind in DERIVED_TABLES.items()}
    held: dict[int, list[UnitStateRow]] = {}
    for unit in sorted(rows["unit_state"]):
        for state in rows["unit_state"][unit]:
            if state.parent_id is not None:
                held.setdefault(state.parent_id, []).append(state)
    return Ahead(
        units=frozenset(units),
        rows=rows,
        facts={kind: _by_unit(stored_reference.facts_of_units(connection, kind, units)) for kind in KINDS},
        held=held,
    )


def _by_unit(facts: Iterable[tuple[int, Fact]]) -> dict[int, list[Fact]]:
    found: dict[int, list[Fact]] = {}
    for _, fact in facts:
        found.setdefault(fact.unit_ids()[0], []).append(fact)
    return found

"""Assemblies read once in a transaction: their facts and their stored rows, for every question asked of them there.

A swap asks whether a unit may be fitted and then derives again what it touched: both rest on the same facts and rows,
which nobody else can change while the transaction holds the ledger's lock.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.ledger.entry import Draft
from fleetlife.store.rows import read_rows
from fleetlife.store.trees import trees_of


@dataclass(frozen=True, slots=True)
class Gathered:
    """Facts by unit, and by table the stored rows by unit; what a unit ever held or was in is there too."""

    facts: dict[int, list[Recorded]]
    rows: dict[str, dict[int, list[Any]]]

    def of_table(self, name: str) -> list[Any]:
        """The stored rows of a table, unit by unit."""
        return [row for rows in self.rows[name].values() for row in rows]

    def add(self, drafts: Sequence[Draft], *, first_number: int) -> None:
        """Take in what was appended since as entries `first_number` and up: facts new to the ledger, none retired."""
        for offset, draft in enumerate(drafts):
            assert not draft.replaces, "what was gathered no longer stands"
            assert not draft.withdraws, "what was gathered no longer stands"
            for fact in draft.items:
                recorded = Recorded(first_number + offset, fact)
                for unit_id in dict.fromkeys(fact.unit_ids()):
                    self.facts[unit_id].append(recorded)


def gather(connection: Any, unit_ids: Iterable[int]) -> Gathered:
    """The units and all they must be derived with. A fixed number of statements for each level of the assemblies."""
    facts = trees_of(connection, unit_ids)
    return Gathered(
        facts=facts,
        rows={
            name: by_unit(read_rows(connection, kind, unit_ids=list(facts))) for name, kind in DERIVED_TABLES.items()
        },
    )


def by_unit(rows: Iterable[Any]) -> dict[int, list[Any]]:
    """Rows of units, by unit."""
    found: dict[int, list[Any]] = {}
    for row in rows:
        found.setdefault(row.unit_id, []).append(row)
    return found

"""What an answer may suppose beside the records: planned utilisation, and a programme that is not stated yet.

It comes as values and lives as long as the answer. Nothing of it is ever written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import requirement_key
from fleetlife.ledger.facts import Band, Requirement, Utilisation
from fleetlife.terms.number import fold
from fleetlife.terms.views import SupposedFile


@dataclass(frozen=True, slots=True, kw_only=True)
class Supposed:
    """The files it was read from; the plans that take the place of an airframe's recorded ones; the requirements and
    bands that are new, with all reference data as if they were stated; how many rows are in the records already."""

    files: tuple[SupposedFile, ...] = ()
    plans: Mapping[int, tuple[Utilisation, ...]] = field(default_factory=dict)
    rules: tuple[Requirement | Band, ...] = ()
    reference: Reference | None = None
    unchanged: int = 0

    @property
    def parts(self) -> frozenset[str]:
        """The folded part numbers for which something is stated anew."""
        return frozenset(fold(fact.part_number) for fact in self.rules)

    @property
    def rule_keys(self) -> frozenset[int]:
        """The keys of the requirements that are new, or have new bands."""
        return frozenset(
            requirement_key(fact.requirement, fold(fact.part_number), fact.programme, fact.edition)
            for fact in self.rules
        )


# Reads what is to be supposed, in the transaction of the answer: the connection, and the number of the last entry.
Suppose = Callable[[Any, int], Supposed]

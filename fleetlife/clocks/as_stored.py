"""Which due points of units that moved since stand as they are stored: a third of a question about the past is in
working them out again, and a move from one shelf to another leaves them alone."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from fleetlife.follows.book import Book
from fleetlife.follows.history import about
from fleetlife.follows.place import Recorded, UnitStays
from fleetlife.follows.rows import CarriageRow, DuePointRow, PlacementRow
from fleetlife.ledger.facts import Movement, Transfer
from fleetlife.terms.filling import changed

MOVES = frozenset((Movement.KIND, Transfer.KIND))


@dataclass(frozen=True, slots=True, kw_only=True)
class AsStored:
    """The stored rows of units, by unit, and the facts of then.

    `otherwise`: the units of which more was recorded since, or later than the day asked about, than where they were, or
    that readings, reference data or corrections recorded since reach; what of theirs is stored answers nothing.
    """

    otherwise: Collection[int]
    facts: Mapping[int, Sequence[Recorded]]
    placements: Mapping[int, Sequence[PlacementRow]]
    carriages: Mapping[int, Sequence[CarriageRow]]
    due_points: Mapping[int, Sequence[DuePointRow]]
    book: Book

    def due_points_of(
        self, unit: int, stays: Mapping[int, UnitStays], carriages: Sequence[CarriageRow]
    ) -> tuple[DuePointRow, ...] | None:
        """The stored due points, where all that they follow from was then as it is now: what was done and stated,
        where it was installed, what carried it, and whether it lies in stores.

        The entry that a row names is the last about the unit, a move too, and is told as of then.
        """
        now = self.placements.get(unit)
        if not now or list(carriages) != list(self.carriages.get(unit, ())) or self._otherwise(unit, stays):
            return None
        if _judged_by(stays[unit].rows) != _judged_by(now):
            return None
        # facts come in the order of their entries
        last = next(recorded.number for recorded in reversed(self.facts[unit]) if about(recorded.fact, unit))
        return tuple(self._told_then(row, last) for row in self.due_points.get(unit, ()))

    def _otherwise(self, unit: int, stays: Mapping[int, UnitStays]) -> bool:
        """Whether anything but moves came since of the unit, or of what it was ever in."""
        seen, waiting = {unit}, [unit]
        while waiting:
            each = waiting.pop()
            if each in self.otherwise:
                return True
            above = {row.parent_id for row in stays[each].rows if row.parent_id is not None} if each in stays else set()
            waiting.extend(above - seen)
            seen |= above
        return False

    def _told_then(self, row: DuePointRow, last: int) -> DuePointRow:
        rule = self.book.by_key.get(row.requirement_key)
        return changed(row, entry=last if rule is None else max(last, rule.entry))


def _judged_by(stays: Sequence[PlacementRow]) -> tuple[object, ...]:
    """What of a unit's stays its due points follow from, but for what carried it."""
    installed = [
        (row.from_moment, row.until_moment, row.entry, row.kind, row.parent_id, number == 0)
        for number, row in enumerate(stays)
        if row.kind in ("position", "slot")
    ]
    return installed, stays[-1].kind == "store"

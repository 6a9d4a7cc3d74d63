"""After an entry: derive again what it touches, and write the difference, inside the same transaction.

The entry is appended first, so that what is derived rests on the ledger alone; an impossible outcome is refused and
the transaction leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from fleetlife.clocks.boundaries import counters_wanted, readings_wanted, settled_boundaries
from fleetlife.clocks.gathered import Gathered, gather
from fleetlife.follows.book import Book
from fleetlife.follows.derive import Derived, derive
from fleetlife.follows.place import Contradiction, crowding
from fleetlife.follows.rows import DERIVED_TABLES, PlacementRow
from fleetlife.follows.totals import Totals
from fleetlife.store import places as stored_places
from fleetlife.store import rows as stored_rows
from fleetlife.store.counters import StoredCounters
from fleetlife.store.totals import StoredTotals
from fleetlife.terms.refusal import Refusal


class Impossible(Exception):
    """Contradictions found while deriving; the caller turns them into a refusal in its own terms."""

    def __init__(self, problems: Sequence[Contradiction]) -> None:
        super().__init__(f"{len(problems)} contradictions")
        self.problems = tuple(problems)


CHUNK = 500


@dataclass(slots=True)
class Followed:
    """The stored stays before, and all derived rows after, by unit."""

    stays_before: dict[int, list[PlacementRow]] = field(default_factory=dict)
    after: Derived = field(default_factory=Derived)


def follow(
    connection: Any,
    unit_ids: Iterable[int],
    *,
    book: Book,
    totals: Totals | None = None,
    unsettled_airframes: Iterable[int] = (),
    stated_anew: bool = False,
    gathered: Gathered | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Followed:
    """Derive the units and their trees again and write what differs.

    Stays are judged and written when all are derived: who makes room and who takes the place may be derived apart.
    `stated_anew`: facts were replaced or withdrawn, so no stored boundary is taken as settled. `gathered`: the units'
    assemblies as already read in this transaction, new facts added. Raises `Impossible` with every contradiction and
    the entry in the way.
    """
    ids = list(dict.fromkeys(unit_ids))
    assert gathered is None or gathered.facts.keys() >= set(ids), "a unit the entry touches was not gathered"
    followed = Followed()
    problems: list[Contradiction] = []
    done: set[int] = set()
    source = totals or StoredTotals(connection)
    counters = StoredCounters(connection) if book.counters else None
    for start in range(0, len(ids), CHUNK):
        chunk = [unit_id for unit_id in ids[start : start + CHUNK] if unit_id not in done]
        if not chunk:
            continue
        held = gathered or gather(connection, chunk)
        facts = held.facts
        done.update(facts)
        old = {name: held.of_table(name) for name in DERIVED_TABLES}
        known = {} if stated_anew else settled_boundaries(old["carriage"], unsettled_airframes=unsettled_airframes)
        if isinstance(source, StoredTotals):
            source.prefetch(readings_wanted(facts, known, old["carriage"], bounded=book.compares))
        if counters is not None:
            counters.prefetch(counters_wanted(facts, old["carriage"], book))
        derived = derive(facts, book=book, totals=source, known=known, counters=counters)
        problems.extend(derived.problems)
        if problems:
            continue
        followed.stays_before.update(held.rows["placement"])
        followed.after.take(derived)
        new = derived.by_table()
        for name in DERIVED_TABLES:
            if name != "placement":
                stored_rows.write_difference(connection, name, old[name], new[name])
        if progress:
            progress(min(start + CHUNK, len(ids)), len(ids))
    if not problems:
        problems.extend(_moved(connection, followed))
    if problems:
        raise Impossible(problems)
    return followed


def _moved(connection: Any, followed: Followed) -> list[Contradiction]:
    """Write the stays that differ; nothing is written and the contradictions come back where two units would be in
    one place."""
    before, after = followed.stays_before, followed.after.placements
    # a unit that was withdrawn has stays before and none after
    moved = [unit for unit in sorted({*before, *after}) if list(after.get(unit, ())) != before.get(unit, [])]
    new = [row for unit in moved for row in after.get(unit, ())]
    stood_before = {(row.unit_id, row.from_moment): row for unit in moved for row in before.get(unit, [])}
    anew = [row for row in new if row != stood_before.get((row.unit_id, row.from_moment))]
    keys = {row.place_key for row in anew if row.place_key is not None}
    if keys:
        # Where no stay changed, none can be in the way of another now: only the places of the changed ones are asked.
        placed = [row for row in new if row.place_key in keys]
        stood = stored_places.placements_at_places(connection, keys)
        taken = set(moved)
        if problems := crowding([*placed, *(row for row in stood if row.unit_id not in taken)]):
            return problems
    stored_rows.write_difference(connection, "placement", [row for unit in moved for row in before.get(unit, [])], new)
    return []


def impossible(problems: Sequence[Contradiction], *, recorded: int) -> Refusal:
    """One refusal for everything that cannot be, each with the entry in the way and the command that makes room.

    `recorded`: the last entry before what is refused. Of the two that contradict each other the one up to that stands
    in the way; where both do, one of them was made so by a correction, and the later-standing one no longer fits.
    """
    told = [(problem, problem.number if problem.number <= recorded else problem.in_the_way) for problem in problems]
    first, in_the_way = told[0]
    mended = first.number <= recorded
    room = f" To change both at once, name entry {in_the_way} as well: fleetlife ledger mend." if mended else ""
    return Refusal(
        first.code,
        f"This cannot have happened as stated: {first.message}; entry {in_the_way} is in the way.",
        remedy=first.remedy + room,
        details=tuple(f"{each.message} (entry {number}). {each.remedy}" for each, number in told[1:]),
    )

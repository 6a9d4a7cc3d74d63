"""After an entry: derive again what it touches, and write the difference, inside the same transaction.

The entry is appended first, so that what is derived rests on the ledger alone; an impossible outcome is refused and
the transaction leaves nothing behind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from fleetlife.clocks.gathered import Gathered, gather
from fleetlife.dates.moment import moment_of
from fleetlife.dates.partial import day_number
from fleetlife.follows.book import Book
from fleetlife.follows.carry import Boundary, BoundaryKey
from fleetlife.follows.derive import Derived, derive
from fleetlife.follows.place import Contradiction, Recorded, crowding
from fleetlife.follows.rows import DERIVED_TABLES, CarriageRow
from fleetlife.follows.totals import Totals
from fleetlife.ledger.facts import Accomplishment, Movement
from fleetlife.store import places as stored_places
from fleetlife.store import rows as stored_rows
from fleetlife.store.totals import StoredTotals
from fleetlife.terms.refusal import Refusal


class Impossible(Exception):
    """Contradictions found while deriving; the caller turns them into a refusal in its own terms."""

    def __init__(self, problems: Sequence[Contradiction]) -> None:
        super().__init__(f"{len(problems)} contradictions")
        self.problems = tuple(problems)


SETTLED = ("stated", "bounded", "opening")
CHUNK = 500


@dataclass(slots=True)
class Followed:
    """Stored rows before and derived rows after, by unit."""

    before: dict[str, dict[int, list[Any]]] = field(default_factory=dict)
    after: Derived = field(default_factory=Derived)
    changed: dict[str, int] = field(default_factory=dict)


def settled_boundaries(
    carriages: Iterable[CarriageRow], *, unsettled_airframes: Iterable[int] = ()
) -> dict[BoundaryKey, Boundary]:
    """Boundaries that later readings do not move, so that they need not be looked up again."""
    open_again = set(unsettled_airframes)
    known: dict[BoundaryKey, Boundary] = {}
    for row in carriages:
        if row.airframe_id in open_again:
            continue
        if row.from_basis in SETTLED and row.from_minutes is not None:
            known[row.root_id, row.airframe_id, row.from_moment, "from"] = (
                row.from_minutes,
                row.from_cycles,
                row.from_basis,
            )
        if row.until_moment is not None and row.until_basis in SETTLED and row.until_minutes is not None:
            key = (row.root_id, row.airframe_id, row.until_moment, "until")
            known[key] = (row.until_minutes, row.until_cycles, row.until_basis)
    return known


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
            source.prefetch(_wanted(facts, known, old["carriage"]))
        derived = derive(facts, book=book, totals=source, known=known)
        problems.extend(derived.problems)
        if problems:
            continue
        for name, rows in held.rows.items():
            followed.before.setdefault(name, {}).update(rows)
        followed.after.take(derived)
        new = derived.by_table()
        for name in DERIVED_TABLES:
            if name != "placement":
                _write(connection, name, old[name], new[name], followed)
        if progress:
            progress(min(start + CHUNK, len(ids)), len(ids))
    if not problems:
        problems.extend(_moved(connection, followed))
    if problems:
        raise Impossible(problems)
    return followed


def _wanted(
    facts: Mapping[int, Sequence[Recorded]], known: Mapping[BoundaryKey, Boundary], carriages: Sequence[CarriageRow]
) -> Iterator[tuple[int, int, str]]:
    """The readings that the derivation will ask for, as far as they can be told, to be looked up together."""
    settled = {(airframe, moment) for _, airframe, moment, _ in known}
    carried: dict[int, list[CarriageRow]] = {}
    for row in carriages:
        carried.setdefault(row.unit_id, []).append(row)
    for unit_id, held in facts.items():
        for recorded in held:
            fact = recorded.fact
            if isinstance(fact, Movement):
                day = day_number(fact.moved_on)
                if (fact.airframe, moment_of(day, fact.sequence)) not in settled:
                    yield fact.airframe, day - 1, "before"
                    yield fact.airframe, day, "after"
            elif isinstance(fact, Accomplishment) and fact.unit == unit_id and len(fact.done_on) == len("2026-01-01"):
                day = day_number(fact.done_on)
                moment = moment_of(day)
                for row in carried.get(unit_id, ()):
                    if row.from_moment <= moment and (row.until_moment is None or row.until_moment > moment):
                        yield row.airframe_id, day - 1, "before"


def _moved(connection: Any, followed: Followed) -> list[Contradiction]:
    """Write the stays that differ; nothing is written and the contradictions come back where two units would be in
    one place."""
    before, after = followed.before["placement"] if followed.before else {}, followed.after.placements
    moved = [unit for unit in sorted(after) if list(after[unit]) != before.get(unit, [])]
    new = [row for unit in moved for row in after[unit]]
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
    _write(connection, "placement", [row for unit in moved for row in before.get(unit, [])], new, followed)
    return []


def _write(connection: Any, name: str, old: Sequence[Any], new: Sequence[Any], followed: Followed) -> None:
    deleted, inserted = stored_rows.write_difference(connection, name, old, new)
    followed.changed[name] = followed.changed.get(name, 0) + deleted + inserted


def impossible(problems: Sequence[Contradiction]) -> Refusal:
    """One refusal for everything that cannot be, each with the entry in the way and the command that makes room."""
    first = problems[0]
    # What is refused is the newest entry, so the older of the two is the one that stands in its way.
    details = tuple(f"{p.message} (entry {min(p.number, p.in_the_way)}). {p.remedy}" for p in problems)
    in_the_way = min(first.number, first.in_the_way)
    return Refusal(
        first.code,
        f"This cannot have happened as stated: {first.message}; entry {in_the_way} is in the way.",
        remedy=first.remedy,
        details=details[1:],
    )

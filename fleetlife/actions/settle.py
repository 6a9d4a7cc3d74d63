"""After entries: which units they reach, and writing what follows for them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import Any

from fleetlife.actions.finds import finds_restated
from fleetlife.actions.follow import CHUNK, Followed, Impossible, follow
from fleetlife.clocks.gathered import Gathered
from fleetlife.clocks.reached import reached_by_counters, reached_by_readings, reached_by_reference
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_number
from fleetlife.follows.book import Book
from fleetlife.follows.derive import connected, derive, line_of
from fleetlife.follows.place import Contradiction, Recorded, crowding
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import DERIVED_TABLES, PlacementRow
from fleetlife.follows.totals import Counters, MemoryTotals, Point, Totals
from fleetlife.ledger.entry import Draft, facts_of
from fleetlife.ledger.facts import Certificate, CounterReading, Fact, Reading
from fleetlife.store import facts as stored_facts
from fleetlife.store import rows as stored_rows
from fleetlife.store.engine import Store
from fleetlife.store.reference import current_reference
from fleetlife.store.unit_of_work import Writer

Progress = Callable[[str, int], None]


def settle(
    writer: Writer,
    drafts: Sequence[Draft],
    *,
    first_number: int,
    reference: Reference,
    from_empty: bool = False,
    readings: Mapping[int, Sequence[Point]] | None = None,
    counters: Counters | None = None,
    totals: Totals | None = None,
    gathered: Gathered | None = None,
    progress: Progress | None = None,
) -> Followed:
    """Derive and write what follows from the drafts just appended as entries `first_number` and up.

    `readings` and `counters`: all there are, where everything is in memory (`from_empty`). `totals`: readings already
    looked up in this transaction, which the drafts do not change. `gathered`: the assemblies the drafts touch as they
    stood before them. Finds that displaced another unit than they state are restated here, as entries of their own.

    Raises `Impossible` when what is stated cannot be.
    """
    connection = writer.connection
    _unfiled_lines(connection, drafts, first_number, reference)
    if from_empty and readings is not None:
        return _from_empty(connection, drafts, first_number, reference, readings, counters, progress)
    facts, anew = _facts_of(connection, drafts)
    if restated := finds_restated(writer, facts, because=first_number):
        writer.append(restated, together=True)
        drafts, gathered = [*drafts, *restated], None
        facts, anew = _facts_of(connection, drafts)
    units, airframes = reached(connection, drafts, facts, reference, anew=anew)
    if not units:
        return Followed()
    if gathered is not None:
        gathered.add(drafts, first_number=first_number)
    followed = follow(
        connection,
        sorted(units),
        book=reference.book(),
        totals=totals,
        unsettled_airframes=airframes,
        stated_anew=anew,
        gathered=gathered,
        progress=None if progress is None else (lambda done, total: progress("working out what follows", done)),
    )
    return followed


def world_at_head(writer: Writer, store: Store, *, as_of: date) -> World:
    """The world of the day by everything recorded so far."""
    reference = current_reference(writer.connection, store.kept)
    return open_world(
        writer.connection, as_of=as_of, reference=reference, head=(writer.head.number, writer.head.digest)
    )


def world_after(writer: Writer, before: World, followed: Followed, *, as_of: date) -> World:
    """The world of the day after an entry that was recorded in the world of before, with what followed from it."""
    head = (writer.head.number, writer.head.digest)
    world = open_world(writer.connection, as_of=as_of, reference=before.reference, head=head)
    world.notes = before.notes
    if not world.past:
        # what was just derived need not be read back
        world.changed = followed.after
        world.changed_units = world.derived_anew = frozenset(followed.after.unit_states)
    return world


def entered(
    writer: Writer,
    draft: Draft,
    *,
    reference: Reference,
    as_of: date,
    request_key: str | None = None,
    request_digest: str | None = None,
) -> World:
    """One entry recorded with all that follows from it; the world after it. Raises `Impossible`."""
    first = writer.head.number + 1
    writer.append([draft], request_key=request_key, request_digest=request_digest)
    settle(writer, [draft], first_number=first, reference=reference)
    head = (writer.head.number, writer.head.digest)
    return open_world(writer.connection, as_of=as_of, reference=reference, head=head)


def _unfiled_lines(connection: Any, drafts: Sequence[Draft], first_number: int, reference: Reference) -> None:
    """Certificate lines that agree with no unit have no unit to be derived with."""
    rows = []
    for offset, draft in enumerate(drafts):
        for fact in draft.items:
            if isinstance(fact, Certificate) and fact.unit is None:
                rows.append(line_of(first_number + offset, fact, borne=(), opening=None, book=reference.book()))
    if rows:
        stored_rows.insert_rows(connection, "certificate_line", rows)


def _facts_of(connection: Any, drafts: Sequence[Draft]) -> tuple[list[Fact], bool]:
    """What the drafts state, replace and withdraw, and whether they replace or withdraw anything."""
    facts: list[Fact] = []
    anew = False
    for draft in drafts:
        facts.extend(draft.items)
        named = dict(draft.items_of)
        for number in (*draft.replaces, *draft.withdraws):
            anew = True
            stated = facts_of(stored_facts.entry(connection, number).body)
            facts.extend(stated[item] for item in named.get(number, range(len(stated))))
    return facts, anew


def reached(
    connection: Any, drafts: Sequence[Draft], facts: Sequence[Fact], reference: Reference, *, anew: bool
) -> tuple[set[int], set[int]]:
    """The units that follow from the drafts with these facts, and the airframes whose readings changed."""
    units: set[int] = set()
    first_day: dict[int, int] = {}
    first_counted: dict[tuple[int, str], int] = {}
    for draft in drafts:
        units.update(draft.also_units)
    for fact in facts:
        units.update(fact.unit_ids())
        if isinstance(fact, Reading):
            day = day_number(fact.read_on)
            first_day[fact.airframe] = min(day, first_day.get(fact.airframe, day))
        elif isinstance(fact, CounterReading):
            day, series = day_number(fact.read_on), (fact.airframe, fact.counter)
            first_counted[series] = min(day, first_counted.get(series, day))
    units.update(reached_by_reference(connection, facts, reference, airframes_too=anew))
    units.update(reached_by_readings(connection, first_day))
    units.update(reached_by_counters(connection, first_counted))
    return units, set(first_day)


def _from_empty(
    connection: Any,
    drafts: Sequence[Draft],
    first_number: int,
    reference: Reference,
    readings: Mapping[int, Sequence[Point]],
    counters: Counters | None,
    progress: Progress | None,
) -> Followed:
    """The first intake: everything is in memory, derived tree by tree, written in bulk."""
    by_unit: dict[int, list[Recorded]] = {}
    links: list[tuple[int, int]] = []
    for offset, draft in enumerate(drafts):
        for fact in draft.items:
            units = fact.unit_ids()
            if not units:
                continue
            recorded = Recorded(first_number + offset, fact)
            for unit in dict.fromkeys(units):
                by_unit.setdefault(unit, []).append(recorded)
            links.extend(connected([recorded]))
    totals = MemoryTotals(readings)
    book: Book = reference.book()
    problems: list[Contradiction] = []
    placements: list[PlacementRow] = []
    batch: dict[int, list[Recorded]] = {}
    done = 0
    waiting: dict[str, list[Any]] = {name: [] for name in DERIVED_TABLES}

    def work() -> None:
        derived = derive(batch, book=book, totals=totals, counters=counters)
        problems.extend(derived.problems)
        if not problems:
            for name, rows in derived.by_table().items():
                waiting[name].extend(rows)
            placements.extend(row for rows in derived.placements.values() for row in rows if row.place_key is not None)
        batch.clear()

    for tree in _trees(by_unit, links):
        for unit in tree:
            batch[unit] = by_unit[unit]
        done += len(tree)
        if len(batch) >= CHUNK:
            work()
            if progress:
                progress("working out what follows", done)
    if batch:
        work()
    problems.extend(crowding(placements))
    if problems:
        raise Impossible(problems)
    for name, rows in waiting.items():
        rows.sort(key=lambda row: (row.unit_id, getattr(row, "from_moment", 0)))
        stored_rows.insert_rows(connection, name, rows)
    return Followed()


def _trees(by_unit: Mapping[int, Sequence[Recorded]], links: Sequence[tuple[int, int]]) -> list[list[int]]:
    """The units grouped by what connects them, in order of their smallest id."""
    parent = {unit: unit for unit in by_unit}

    def root(unit: int) -> int:
        while parent[unit] != unit:
            parent[unit] = parent[parent[unit]]
            unit = parent[unit]
        return unit

    for first, second in links:
        if first in parent and second in parent:
            one, other = root(first), root(second)
            if one != other:
                parent[max(one, other)] = min(one, other)
    groups: dict[int, list[int]] = {}
    for unit in sorted(by_unit):
        groups.setdefault(root(unit), []).append(unit)
    return [groups[key] for key in sorted(groups)]

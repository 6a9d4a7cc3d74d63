"""Units that came under their airframe's programme from another, gathered: both due points by the one derivation.

Under the former programme a unit is derived as if the airframe that carries it now still flew under that one.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from fleetlife.clocks.boundaries import settled_boundaries
from fleetlife.clocks.gathered import by_unit
from fleetlife.clocks.world import CHUNK, World
from fleetlife.follows.book import Book
from fleetlife.follows.derive import Derived, applicable, derive, point_of_row
from fleetlife.follows.rows import CarriageRow, DuePointRow
from fleetlife.life.bridging import Kept, Side, bridged_lines, programmes_before
from fleetlife.life.state import judge
from fleetlife.life.values import Outlook, Requirement
from fleetlife.store.audit_query import Scope, ask
from fleetlife.terms.views import BridgedLine


def bridged_units(world: World, units: Collection[int] | None = None) -> dict[int, tuple[BridgedLine, ...]]:
    """What differs between the two programmes, by unit, of the fleet or of the units named; others are left out."""
    if not _several_programmes(world):
        return {}
    asked = None if units is None else frozenset(units)
    scope = Scope(units=asked if asked is not None and len(asked) <= CHUNK else None)
    stored = {row[0] for row in ask(world.connection, "two programmes", scope)} - world.changed_units
    return bridged_of(world, [u for u in sorted(stored | world.changed_units) if asked is None or u in asked])


def bridged_of(world: World, units: Iterable[int]) -> dict[int, tuple[BridgedLine, ...]]:
    """The same of units that are looked at one by one: their carriages are read, whatever programmes they show."""
    if not _several_programmes(world):
        return {}
    wanted = list(dict.fromkeys(units))
    states = world.states(wanted)
    carriers = {
        unit: state.carried_airframe_id for unit, state in states.items() if state.carried_airframe_id is not None
    }
    programmes = world.reference.book().programmes
    kept = {unit: kept_of(rows, programmes) for unit, rows in by_unit(world.carriages(carriers)).items()}
    asked = _Asked(world.reference.book())
    moved = [
        unit
        for unit, carrier in carriers.items()
        if asked.otherwise(states[unit].part_number, programmes.get(carrier), {s.programme for s in kept.get(unit, ())})
    ]
    found: dict[int, tuple[BridgedLine, ...]] = {}
    for start in range(0, len(moved), CHUNK):
        chunk = moved[start : start + CHUNK]
        found |= _lines(world, {unit: carriers[unit] for unit in chunk}, kept)
    return found


def remarks_of(bridged: Mapping[int, Sequence[BridgedLine]]) -> dict[tuple[int, str], str]:
    """By unit and requirement the sentence that a due row adds where the former programme's due point is earlier."""
    found: dict[tuple[int, str], str] = {}
    for unit, lines in bridged.items():
        for line in lines:
            if line.earlier != line.kept_under or line.state_after is None:
                continue
            due = f"due {line.due_before}" if line.due_before else f"{line.state_before}"
            left = f" until {line.kept_until}" if line.kept_until else ""
            told = f"Kept under {line.kept_under}{left}, by which it would be {due}, earlier (LIF109)."
            key = (unit, line.requirement)
            found[key] = f"{found[key]} {told}" if key in found else told
    return found


def kept_of(carriages: Iterable[CarriageRow], programmes: Mapping[int, str | None]) -> tuple[Kept, ...]:
    """The stays on airframes with the programme of each, in order."""
    return tuple(
        Kept(
            programme=programmes.get(row.airframe_id) or None,
            from_moment=row.from_moment,
            until_moment=row.until_moment,
        )
        for row in sorted(carriages, key=lambda row: row.from_moment)
    )


def points_under(world: World, unit_ids: Collection[int], programme: str | None) -> dict[int, tuple[DuePointRow, ...]]:
    """The due points of carried units as if their airframe flew under the programme, by unit."""
    derived = derive(
        world.facts(unit_ids),
        book=_under(world.reference.book(), programme),
        totals=world.totals(),
        counters=world.counters(),
    )
    return {unit: derived.due_points.get(unit, ()) for unit in unit_ids}


def _several_programmes(world: World) -> bool:
    return len({programme or None for programme in world.reference.book().programmes.values()}) > 1


class _Asked:
    """Whether programmes ask other things of a part at any time, each pair compared once."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self._content: dict[tuple[str, str | None], frozenset[Requirement]] = {}

    def otherwise(self, part_number: str, programme: str | None, others: Collection[str | None]) -> bool:
        mine = self._of(part_number, programme or None)
        return any(self._of(part_number, other) != mine for other in others if other != (programme or None))

    def _of(self, part_number: str, programme: str | None) -> frozenset[Requirement]:
        key = (part_number, programme)
        if key not in self._content:
            rules = self.book.on_part(part_number)
            every = [rule.requires_unit_modification for rule in rules if rule.requires_unit_modification]
            self._content[key] = frozenset(
                replace(rule, key=0, programme=None, edition=None, reference=None, entry=0)
                for rule in applicable(rules, programme, True, every)
            )
        return self._content[key]


def _under(book: Book, programme: str | None) -> Book:
    return replace(book, programmes=dict.fromkeys(book.programmes, programme))


def _lines(
    world: World, carriers: Mapping[int, int], kept: Mapping[int, tuple[Kept, ...]]
) -> dict[int, tuple[BridgedLine, ...]]:
    """Of the units, by unit: derived as they are, and once more under each programme they were kept under."""
    book = world.reference.book()
    facts = world.facts(carriers)
    derived = derive(facts, book=book, totals=world.totals(), counters=world.counters())
    now = {unit: _sides(world, derived, unit) for unit in carriers}
    former = {
        unit: programmes_before(kept[unit], book.programmes.get(carrier) or None, now[unit])
        for unit, carrier in carriers.items()
    }
    counters = world.counters()
    known = settled_boundaries(row for rows in derived.carriages.values() for row in rows)
    before: dict[int, dict[str | None, dict[str, Side]]] = {unit: {} for unit in carriers}
    for programme in dict.fromkeys(each for programmes in former.values() for each in programmes):
        under = derive(facts, book=_under(book, programme), totals=world.totals(), known=known, counters=counters)
        for unit, programmes in former.items():
            if programme in programmes:
                before[unit][programme] = _sides(world, under, unit)
    found = {}
    for unit, carrier in carriers.items():
        state = derived.unit_states[unit]
        lines = bridged_lines(
            kept[unit],
            book.programmes.get(carrier) or None,
            now=now[unit],
            before=before[unit],
            part_number=state.part_number,
            serial_number=state.serial_number,
        )
        if lines:
            found[unit] = lines
    return found


def _counter_outlook(world: World, carrier: int | None, rule: Requirement) -> Outlook | None:
    if carrier is None or rule.counter is None:
        return None
    return world.counter_outlooks([carrier]).get((carrier, rule.counter))


def _sides(world: World, derived: Derived, unit: int) -> dict[str, Side]:
    """The requirements in force on the unit with what they say on the world's day, by name."""
    rules = world.reference.book().by_key
    made = derived.histories[unit].manufactured
    found = {}
    for row in derived.due_points[unit]:
        rule = rules.get(row.requirement_key)
        if rule is None or not row.in_force_from <= world.as_of < row.in_force_until:
            continue
        carrier = row.airframe_id
        point = point_of_row(row, rule)
        judged = judge(
            rule,
            point,
            None if carrier is None else world.outlooks([carrier]).get(carrier),
            as_of=world.as_of,
            window_from=None,
            window_until=None,
            stored=False,
            manufactured=made,
            counter_outlook=_counter_outlook(world, carrier, rule),
        )
        found[rule.requirement] = Side(
            rule=rule,
            point=point,
            state=judged.state,
            due=judged.due_date,
            minutes=point.due_minutes,
            cycles=point.due_cycles,
            unknown=judged.unknown,
        )
    return found

"""`unit`: one unit, what it is, where it was and is, its paper, its work, and what falls due."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleetlife.answers.cards import certificate_facts, paper_line, stays_of
from fleetlife.answers.story_told import stores_told
from fleetlife.clocks.bridging import bridged_of
from fleetlife.clocks.due_rows import due_rows_of
from fleetlife.clocks.findings import findings_of_unit
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.publications import modification_lines, rows_of_unit
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.follows.history import expansion_of, part_numbers_of
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Accomplishment, HoldDecision, Opening, Operation, PlateReading, Receipt
from fleetlife.life.expansion import expansion_told
from fleetlife.life.values import History
from fleetlife.store.engine import Store
from fleetlife.terms.measure import counted_figure, counted_text, hours_text
from fleetlife.terms.number import is_own_tracking
from fleetlife.terms.views import UnitCard


def unit_card(
    store: Store,
    *,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    as_of: date,
    known_at: str | None = None,
) -> UnitCard:
    """The card of one unit. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`, those of `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        return card_of(world, world.unit_named(part_number, serial_number, manufacturer))


def card_of(world: World, unit_id: int) -> UnitCard:
    """The card of the unit in an open world."""
    tree = world.tree_of(unit_id)
    state = tree.get(unit_id)
    if state is None:
        raise unit_not_then()
    facts = world.facts([unit_id])
    own = facts[unit_id]
    opening_fact = next(r for r in own if isinstance(r.fact, Opening) and r.fact.unit == unit_id)
    opening = opening_fact.fact
    assert isinstance(opening, Opening)
    placements = world.placements([unit_id])
    parents = {row.parent_id for row in placements if row.parent_id is not None}
    names = {**world.states(parents), **tree}
    part = world.reference.part(state.part_number, state.manufacturer)
    carriages = world.carriages([unit_id])
    papers = certificate_facts(own)
    lines = sorted(world.certificate_lines([unit_id]), key=lambda line: (line.dated_on, line.tracking_number))
    carriers = {state.carried_airframe_id} - {None}
    derived = world.derive([unit_id])
    hours, cycles = _since_new(world, state, derived.histories[unit_id])
    borne = part_numbers_of(unit_id, own, opening)
    asked = rows_of_unit(world, unit_id)
    return UnitCard(
        about=world.about("unit", airframes={a for a in carriers if a is not None} or None),
        part_number=state.part_number,
        serial_number=state.serial_number,
        manufacturer=state.manufacturer,
        description=part.description if part else None,
        own_tracking=is_own_tracking(state.serial_number),
        batch=opening.batch,
        manufactured=opening.manufactured,
        part_numbers_borne=tuple(number for _, number in borne),
        place=place_text(world, state, names),
        condition=state.condition,
        hold=state.hold,
        harness=state.harness,
        rig=part.rig if part else None,
        hours_since_new=hours,
        cycles_since_new=cycles,
        life_quality=state.life_quality,
        owner=opening.owner,
        children=tuple(f"{child.slot}: {name_of(child)}" for child in tree.values() if child.parent_id == unit_id),
        due=due_rows_of(world, tree),
        stays=stays_of(world, placements, carriages, names),
        papers=tuple(
            paper_line(
                line,
                papers.get((line.organisation, line.tracking_number, line.item, line.serial_number)),
                state,
            )
            for line in lines
        ),
        done=_done(own, unit_id),
        findings=findings_of_unit(world, list(tree)),
        bridged=tuple(line for lines in bridged_of(world, tree).values() for line in lines),
        received=_received(own, unit_id),
        counters=tuple(_counted(world, state, each) for each in derived.histories[unit_id].counted),
        publications=tuple(asked),
        modifications=modification_lines(unit_id, own, asked),
    )


def _counted(world: World, state: UnitStateRow, history: History) -> tuple[str, str | None]:
    """A counter in which a requirement limits the unit, and its total since new in it, as far as it is known."""
    counter = history.counter or ""
    in_hours, counters = world.reference.counter_measures[counter] == "hours", world.counters()
    assert counters is not None, "a requirement names the counter"
    opening = history.opening.minutes if in_hours else history.opening.cycles
    run = history.now.minutes if in_hours else history.now.cycles
    note, estimated = "", history.now.estimated
    if history.carried is not None and state.carried_airframe_id is not None:
        point = counters.of(counter).before(state.carried_airframe_id, world.as_of)
        start = history.carried.minutes if in_hours else history.carried.cycles
        run = history.carried.count.minutes if in_hours else history.carried.count.cycles
        grown = None if point is None or start is None else max(0, point.cycles - start)
        run = None if run is None or grown is None else run + grown
        note = f" at the reading of {date.fromordinal(point.day).isoformat()}" if point else ""
        estimated = estimated or history.carried.estimated
    if opening is None or run is None:
        return counter, None
    total = counted_text(counted_figure("hours" if in_hours else "cycles", opening + run))
    if history.rebuilt:
        estimated, note = True, f"{note}, the life before these records {state.life_quality}"
    return counter, f"{'~' if estimated else ''}{total}{note}"


def _since_new(world: World, state: UnitStateRow, history: History) -> tuple[str | None, str | None]:
    """Totals since new: at the last known moment, and how they are known."""
    minutes, cycles = history.opening.minutes, history.opening.cycles
    run_minutes, run_cycles = history.now.minutes, history.now.cycles
    note = ""
    if history.carried is not None and state.carried_airframe_id is not None:
        point = world.totals().before(state.carried_airframe_id, world.as_of)
        run_minutes, run_cycles = history.carried.count.minutes, history.carried.count.cycles
        if point is not None and history.carried.minutes is not None and run_minutes is not None:
            run_minutes += max(0, point.minutes - history.carried.minutes)
        else:
            run_minutes = None
        if point is not None and history.carried.cycles is not None and run_cycles is not None:
            run_cycles += max(0, point.cycles - history.carried.cycles)
        else:
            run_cycles = None
        note = f" at the reading of {date.fromordinal(point.day).isoformat()}" if point else ""
    estimated = "~" if history.now.estimated or (history.carried and history.carried.estimated) else ""
    if history.rebuilt:
        estimated, note = "~", f"{note}, the life before these records {state.life_quality}"
    hours = None if minutes is None or run_minutes is None else f"{estimated}{hours_text(minutes + run_minutes)}{note}"
    count = None if cycles is None or run_cycles is None else f"{estimated}{cycles + run_cycles}{note}"
    return hours, count


def _operated(facts: Sequence[Recorded], unit_id: int) -> list[tuple[str, str]]:
    """One line for each operation recorded: how many, since when, the last of them and its entry."""
    kinds: dict[str, list[tuple[str, int, Operation]]] = {}
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, Operation) and fact.unit == unit_id:
            kinds.setdefault(fact.operation.casefold(), []).append((fact.operated_on, recorded.number, fact))
    lines = []
    for held in kinds.values():
        held.sort(key=lambda one: one[:2])
        (first, _, _), (last, number, fact) = held[0], held[-1]
        total = sum(each.count for _, _, each in held)
        lines.append((last, f"{last} {fact.operation}, {total:,} recorded since {first} (last entry {number})"))
    return lines


def _received(facts: Sequence[Recorded], unit_id: int) -> tuple[str, ...]:
    """What was seen of it in stores and decided of its holds, oldest first, each with its entry."""
    found = []
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, (Receipt, HoldDecision, PlateReading)) and fact.unit == unit_id:
            order = (fact.dated() or "", fact.sequence, recorded.number)
            found.append((order, f"{fact.dated()} {stores_told(fact)} (entry {recorded.number})"))
    return tuple(text for _, text in sorted(found))


def _done(facts: Sequence[Recorded], unit_id: int) -> tuple[str, ...]:
    """The work recorded, oldest first, each with its basis, paper and entry."""
    found = []
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, Accomplishment) and fact.unit == unit_id:
            parts = [f"{fact.done_on} {fact.requirement}"]
            if fact.date_basis:
                parts.append(f"by {fact.date_basis}")
            if fact.minutes_since_new is not None:
                parts.append(f"at {hours_text(fact.minutes_since_new)} since new")
            if fact.certificate:
                parts.append(f"certificate {fact.certificate}")
            test = expansion_of(fact)
            if test is not None:
                parts.append(expansion_told(test))
            found.append((fact.done_on, f"{', '.join(parts)} (entry {recorded.number})"))
    found.extend(_operated(facts, unit_id))
    return tuple(text for _, text in sorted(found))

"""`due --page`: what the planner's page tells, from one look at the records."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from datetime import date

from fleetlife.answers.due import airframes_narrowed
from fleetlife.answers.due_spares import due_with_spares_in
from fleetlife.answers.spares_choose import check_horizon
from fleetlife.answers.spares_outlook import outlook_in
from fleetlife.clocks.due_rows import judged_rows
from fleetlife.clocks.held_spares import Need, needs_of, units_at_positions
from fleetlife.clocks.supposed import Suppose
from fleetlife.clocks.world import World, open_world, statuses_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Position
from fleetlife.planning.stock import months_from
from fleetlife.store.engine import Store
from fleetlife.terms.planned import AirframeDoors, DoorLeft, Planned, Removal, RemovalMonth
from fleetlife.terms.views import DueRow

MONTHS = 12


def planned(
    store: Store,
    *,
    as_of: date,
    window_until: date,
    window_from: date | None = None,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
    stations: Collection[str] = (),
    types: Collection[str] = (),
    operators: Collection[str] = (),
    sources: Collection[str] = (),
    sides: Collection[str] = (),
    suppose: Suppose | None = None,
    least_days: int = 0,
    tell: Callable[[str, int], None] = lambda what, count: None,
) -> Planned:
    """The window with its spares as `due_with_spares` gives it, and beside it the doors, the removals of this month and
    twelve more, and the stock. Refusals: those of `due_with_spares`."""
    check_horizon(window_until, as_of=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept, suppose=suppose)
        told = {"station": stations, "type": types, "operator": operators}
        airframes = airframes_narrowed(world, registrations, told, part_numbers=part_numbers, requirements=requirements)
        listed = due_with_spares_in(
            world,
            window_from=window_from,
            window_until=window_until,
            airframes=airframes,
            part_numbers=part_numbers,
            requirements=requirements,
            sources=sources,
            sides=sides,
            least_days=least_days,
            tell=tell,
        )
        months, empty, unknown = _removals(world, airframes)
        return Planned(
            listed=listed,
            airframes=_doors(world, airframes, until=window_until.toordinal()),
            months=months,
            empty=empty,
            unknown=unknown,
            outlook=outlook_in(world, months=MONTHS),
        )


def _doors(world: World, airframes: Collection[int] | None, *, until: int) -> tuple[AirframeDoors, ...]:
    """Every position of the airframes with what is left there."""
    wanted = list(world.reference.airframes) if airframes is None else list(airframes)
    there = {(unit.airframe_id, unit.position): unit for unit in units_at_positions(world, airframes)}
    trees = world.trees_of([unit.unit_id for unit in there.values()])
    by_root: dict[int, list[DueRow]] = {}
    for candidate, rule, _, row in judged_rows(world, trees):
        if rule is None or rule.kind != "soft_life":
            by_root.setdefault(_root(trees, candidate.unit.unit_id), []).append(row)
    statuses = statuses_of(world, wanted)
    found = []
    for airframe in wanted:
        frame = world.reference.airframes[airframe]
        doors = []
        for place in world.reference.positions_of_type(frame.type):
            unit = there.get((airframe, place.position))
            rows = [] if unit is None else by_root.get(unit.unit_id, [])
            doors.append(_door(world, place, unit, rows, until=until))
        found.append(
            AirframeDoors(
                registration=world.registration(airframe),
                type=frame.type,
                station=frame.station,
                status=statuses[airframe],
                doors=tuple(doors),
            )
        )
    return tuple(sorted(found, key=lambda each: each.registration))


def _root(trees: dict[int, UnitStateRow], unit: int) -> int:
    while (parent := trees[unit].parent_id) is not None and parent in trees:
        unit = parent
    return unit


def _door(world: World, place: Position, unit: UnitStateRow | None, rows: Sequence[DueRow], *, until: int) -> DoorLeft:
    """`rows`: of the unit and what it holds, the worst first."""
    door = DoorLeft(position=place.position, side=place.side, pair=place.pair, required=place.required)
    if unit is None:
        return door
    # What waits, or may stay although its date has passed, has no date by which something must be done.
    dated = [row for row in rows if row.state not in ("waiting", "no refill") and (row.due_earliest or row.due_date)]
    first = min(dated, key=lambda row: row.due_earliest or row.due_date or "", default=None)
    due_on = None if first is None else first.due_earliest or first.due_date
    worst = rows[0] if rows else None
    shown = first or worst
    return DoorLeft(
        position=place.position,
        side=place.side,
        pair=place.pair,
        required=place.required,
        part_number=unit.part_number,
        serial_number=unit.serial_number,
        state=worst.state if worst else "unknown",
        requirement=None if shown is None else shown.requirement,
        due_on=due_on,
        days_left=None if due_on is None else day_number(due_on) - world.as_of,
        in_window=due_on is not None and day_number(due_on) <= until,
        unknown=not rows or any(row.state == "unknown" or row.unknown_measures for row in rows),
    )


def _removals(world: World, airframes: Collection[int] | None) -> tuple[tuple[RemovalMonth, ...], int, int]:
    """The months with the removals in each, how many required positions are empty, and at how many nothing is told."""
    months = months_from(as_of=world.as_of, months=MONTHS)
    hanging = units_at_positions(world, airframes)
    needs, unknown = needs_of(world, until_day=months[-1][1], airframes=airframes, at_positions=hanging)
    found = []
    for first, last in months:
        here = [need for need in needs if need.row is not None and first <= need.by <= last]
        found.append(
            RemovalMonth(month=(day_text(first) or "")[:7], removals=tuple(_removal(world, each) for each in here))
        )
    return tuple(found), sum(need.row is None for need in needs), unknown


def _removal(world: World, need: Need) -> Removal:
    row, occupant = need.row, need.occupant
    assert row is not None, "an empty position has no removal"
    assert occupant is not None, "a row at a position is of a unit that hangs there"
    return Removal(
        registration=world.registration(need.airframe),
        position=need.position,
        part_number=occupant.part_number,
        serial_number=occupant.serial_number,
        requirement=row.requirement or "no programme",
        due_on=day_text(need.due) or "",
        overdue=row.state == "overdue",
    )

"""`airframe`: its doors, what hangs where since when, what falls due next, and open findings."""

from __future__ import annotations

from datetime import date

from fleetlife.clocks.deferrals import deferrals_told
from fleetlife.clocks.due_rows import counters_read, due_rows_of
from fleetlife.clocks.findings import findings_of_airframe
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World, open_world, statuses_of
from fleetlife.dates.moment import FAR_DAY, FIRST_DAY, moment_text
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.life.values import Outlook
from fleetlife.store.engine import Store
from fleetlife.terms.measure import counted_figure, counted_text, hours_text
from fleetlife.terms.views import AirframeCard, Door, DueRow


def airframe_card(store: Store, *, registration: str, as_of: date, known_at: str | None = None) -> AirframeCard:
    """The card of one airframe. Refusals: `registration-*`, those of `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        return card_of(world, world.reference.airframe_on(registration, world.as_of))


def card_of(world: World, airframe: int) -> AirframeCard:
    """The card of the airframe in an open world."""
    fact = world.reference.airframes[airframe]
    units = {unit.position: unit for unit in world.installed_on(airframe) if unit.position}
    trees = {position: world.tree_of(unit.unit_id) for position, unit in units.items()}
    rows = due_rows_of(world, [unit for tree in trees.values() for unit in tree])
    names = {name_of(unit): position for position, tree in trees.items() for unit in tree.values()}
    by_position: dict[str, list[DueRow]] = {}
    for row in rows:
        by_position.setdefault(names[f"{row.part_number} {row.serial_number}"], []).append(row)
    view = world.outlooks({airframe})[airframe]
    doors = tuple(
        _door(world, airframe, place.position, trees.get(place.position, {}), by_position.get(place.position, []))
        for place in world.reference.positions_of_type(fact.type)
    )
    return AirframeCard(
        about=world.about("airframe", airframes={airframe}),
        registration=world.registration(airframe),
        constructor_serial=fact.constructor_serial,
        type=fact.type,
        operator=fact.operator,
        station=fact.station,
        programme=fact.programme,
        status=statuses_of(world, [airframe])[airframe],
        registrations=_registrations(world, airframe),
        hours_total=hours_text(view.base_minutes) or None,
        cycles_total=None if view.base_cycles is None else str(view.base_cycles),
        read_on=day_text(view.base_day),
        daily=_daily(view),
        doors=doors,
        findings=findings_of_airframe(world, airframe),
        deferrals=tuple(deferrals_told(world, airframe)),
        counters=tuple(_counter(world, counter, view) for _, _, counter, view in counters_read(world, [airframe])),
    )


def _counter(world: World, counter: str, view: Outlook) -> tuple[str, str | None]:
    """A counter in which something the airframe carries is limited: its last reading, and what it runs in a day."""
    axis = "hours" if world.reference.counter_measures[counter] == "hours" else "cycles"
    if view.base_day is None:
        return counter, None
    daily = ""
    if view.rate is not None:
        if axis == "hours":
            daily = hours_text(view.rate.minutes // view.rate.span)
        else:
            tenths = view.rate.cycles * 10 // view.rate.span
            daily = f"{tenths // 10}.{tenths % 10}"
        daily = f", {daily} a day over {view.rate.span} days"
    return counter, f"{counted_text(counted_figure(axis, view.base_cycles))} read {day_text(view.base_day)}{daily}"


def _registrations(world: World, airframe: int) -> tuple[str, ...]:
    told = []
    for begin, end, name in world.reference.registrations.get(airframe, ()):
        since = "" if begin == FIRST_DAY else f" from {day_text(begin)}"
        until = "" if end == FAR_DAY else f" until {day_text(end)}"
        told.append(f"{name}{since}{until}")
    return tuple(told)


def _daily(view: Outlook) -> str | None:
    """What it flies in a day, by the mean of the trailing year."""
    if view.rate is None:
        return None
    minutes = view.rate.minutes // view.rate.span
    tenths = view.rate.cycles * 10 // view.rate.span
    return f"{hours_text(minutes)} hours and {tenths // 10}.{tenths % 10} cycles a day over {view.rate.span} days"


def _door(world: World, airframe: int, position: str, tree: dict[int, UnitStateRow], rows: list[DueRow]) -> Door:
    """`tree`: the unit that hangs there, first, and what it holds; empty where none does."""
    unit = next(iter(tree.values()), None)
    place = world.reference.position_of(airframe, position)
    worst = rows[0] if rows else None
    dated = next((row for row in rows if row.due_earliest or row.due_date), None)
    return Door(
        position=position,
        side=place.side,
        pair=place.pair,
        required=place.required,
        harness_side=place.harness,
        part_number=unit.part_number if unit else None,
        serial_number=unit.serial_number if unit else None,
        harness=unit.harness if unit else None,
        since=moment_text(unit.since_moment) if unit else None,
        next_due=(dated.due_earliest or dated.due_date) if dated else None,
        next_requirement=dated.requirement if dated else None,
        state=worst.state if worst else None,
        signs=tuple(
            f"life of {name_of(each)} {each.life_quality}"
            for each in tree.values()
            if each.life_quality not in (None, "documented")
        ),
        retained=place.retained,
    )

"""What lies in stores, and which positions will want a spare: what choosing spares and their outlook share."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from fleetlife.clocks.due_rows import Desk, candidates_of, is_scrapped
from fleetlife.clocks.world import World, statuses_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.store.audit_query import Scope, ask, state_of
from fleetlife.store.due_query import DueCandidate
from fleetlife.terms.views import DueRow

# States by which a unit must come off by its date. One that may stay until emptied need not.
COMES_OFF = ("overdue", "in variation", "due")


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """A position that wants a spare by a day, the world's own where that has passed.

    `row`: the due row that says so, of the unit there or of what it holds; None where a required position is empty.
    `due`: the day it says, at the earliest.
    """

    airframe: int
    position: str
    due: int
    by: int
    row: DueRow | None = None
    occupant: UnitStateRow | None = None


def units_in_stores(world: World) -> list[UnitStateRow]:
    """The units that lie in a store by themselves."""
    stored = [state_of(row) for row in ask(world.connection, "in stores")]
    world.take_up_held()
    then = [row for row in world.changed.unit_states.values() if row.kind == "store"]
    return [*(row for row in stored if row.unit_id not in world.changed_units), *then]


def units_at_positions(world: World, airframes: Collection[int] | None = None) -> list[UnitStateRow]:
    """The units that hang at positions by themselves, of the airframes (None: all)."""
    scope = None if airframes is None else Scope(airframes=frozenset(airframes))
    stored = [state_of(row) for row in ask(world.connection, "at positions", scope)]
    then = [row for row in world.changed.unit_states.values() if airframes is None or row.airframe_id in airframes]
    found = [*(row for row in stored if row.unit_id not in world.changed_units), *then]
    return [row for row in found if row.kind == "position"]


def needs_of(
    world: World, *, until_day: int, airframes: Collection[int] | None = None, at_positions: Collection[UnitStateRow]
) -> tuple[list[Need], int]:
    """The positions that want a spare by the day, the first to fall due in front; and at how many more nothing can be
    told, because a row of the unit there is unknown.

    A position wants one where work done in a shop falls due on the unit or on what it holds (what is done on the
    aircraft takes nothing off, a soft life stops nothing), and where it is required and empty.
    """
    outlooks = world.outlooks()
    found = candidates_of(world, outlooks, until_day=until_day, airframes=airframes)
    wanted = [c for c in found if c.unit.carried_airframe_id is not None and c.root_position and not is_scrapped(c)]
    desk = Desk(world, outlooks)
    desk.prepare(wanted)
    there = {(row.airframe_id, row.position): row for row in at_positions}
    first: dict[tuple[int, str], tuple[int, DueRow]] = {}
    unknown: set[tuple[int, str]] = set()
    for candidate in wanted:
        place = (candidate.unit.carried_airframe_id or 0, candidate.root_position or "")
        if not takes_it_off(desk, candidate):
            continue
        judged, row = desk.row(candidate, None, until_day)
        day = judged.earliest
        if judged.state == "unknown":
            unknown.add(place)
        elif judged.state in COMES_OFF and (judged.state == "overdue" or (day is not None and day <= until_day)):
            due = world.as_of if day is None else day
            if place not in first or due < first[place][0]:
                first[place] = (due, row)
    needs = [
        Need(airframe=a, position=p, due=due, by=max(due, world.as_of), row=row, occupant=there.get((a, p)))
        for (a, p), (due, row) in first.items()
    ]
    needs += _empty(world, airframes, there)
    return sorted(needs, key=lambda need: _order(world, need)), len(unknown - first.keys())


def takes_it_off(desk: Desk, candidate: DueCandidate) -> bool:
    """Must the unit come off for it: work done in a shop, and no soft life, which stops nothing. What has no programme
    counts as such work."""
    rule = desk.rules.get(candidate.point.requirement_key)
    return rule is None or (rule.done_at == "shop" and rule.kind != "soft_life")


def told_of(world: World, need: Need) -> dict[str, Any]:
    """What is said of a position that wants a spare, by the names that every answer about it has."""
    row, occupant = need.row, need.occupant
    return {
        "registration": world.registration(need.airframe),
        "constructor_serial": world.reference.airframes[need.airframe].constructor_serial,
        "position": need.position,
        "part_number": None if occupant is None else occupant.part_number,
        "serial_number": None if occupant is None else occupant.serial_number,
        "state": "empty" if row is None else row.state,
        "due_on": day_text(need.due) or "",
        "requirement": None if row is None else row.requirement,
        "of_part_number": None if row is None else row.part_number,
        "of_serial_number": None if row is None else row.serial_number,
    }


def _empty(world: World, airframes: Collection[int] | None, there: Collection[Any]) -> list[Need]:
    """Required positions of airframes in service on the world's day where nothing hangs."""
    statuses = statuses_of(world, world.reference.airframes)
    return [
        Need(airframe=airframe, position=place.position, due=world.as_of, by=world.as_of)
        for airframe, frame in world.reference.airframes.items()
        if (airframes is None or airframe in airframes) and statuses[airframe] in (None, "in_service")
        for place in world.reference.positions_of_type(frame.type)
        if place.required and (airframe, place.position) not in there
    ]


def _order(world: World, need: Need) -> tuple[int, str, str]:
    return need.due, world.registration(need.airframe), need.position

"""What was found at each position of an airframe, in a world: against what is recorded there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from fleetlife.clocks.deferrals import deferrals_told
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World
from fleetlife.follows.history import part_numbers_of
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Opening
from fleetlife.paper.sighting import Numbered, Sighting, judge_sighting
from fleetlife.store.reference import units_by_number
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.walk_round import EMPTY, NOT_RECORDED, OTHER_TEXT, OTHER_UNIT, UNKNOWN, SeenAt, WalkRound, WalkRow

SIDES = ("left", "right")


def walk_round_in(world: World, *, registration: str, seen: Sequence[SeenAt]) -> WalkRound:
    """Every position of the airframe on the world's day, in order. Refusals: `registration-*`, `position-unknown`,
    `position-seen-twice`."""
    airframe = world.reference.airframe_on(registration, world.as_of)
    frame = world.reference.airframes[airframe]
    by_position: dict[str, SeenAt] = {}
    for each in seen:
        label = world.reference.position_of(airframe, each.position).position
        if label in by_position:
            raise Refusal("position-seen-twice", f"{label} is given twice.", remedy="Keep what is right.", status=2)
        by_position[label] = each
    installed = {row.position: row for row in world.installed_on(airframe)}
    labels = [row.position for row in world.reference.positions_of_type(frame.type)]
    labels += sorted(label for label in by_position if label not in labels)
    name = world.registration(airframe)
    rows = tuple(_row(world, name, label, by_position.get(label), installed.get(label)) for label in labels)
    found_at = {row.unit: row.position for row in rows if row.verdict in (OTHER_UNIT, NOT_RECORDED)}
    rows = tuple(
        replace(row, action=f"It hangs at {found_at[installed[row.position].unit_id]} now.")
        if row.verdict == EMPTY and installed[row.position].unit_id in found_at
        else row
        for row in rows
    )
    return WalkRound(
        about=world.about("walk-round", airframes={airframe}),
        registration=name,
        type=frame.type,
        on=date.fromordinal(world.as_of).isoformat(),
        rows=rows,
        deferrals=tuple(deferrals_told(world, airframe)),
        harness_differs=tuple(
            f"{row.position}: rigged {row.harness} by eye, {row.recorded_harness} in the records."
            for row in rows
            if row.harness in SIDES and row.recorded_harness in SIDES and row.harness != row.recorded_harness
        ),
    )


def _row(world: World, registration: str, label: str, seen: SeenAt | None, there: UnitStateRow | None) -> WalkRow:
    recorded = None if there is None else _numbered(world, there)
    bearing = _bearing(world, seen)
    found = judge_sighting(seen, recorded, bearing)
    state = None
    if found.unit is not None and found.verdict in (OTHER_UNIT, NOT_RECORDED):
        state = world.states([found.unit]).get(found.unit)
    return WalkRow(
        position=label,
        verdict=found.verdict,
        recorded_part_number=there.part_number if there else None,
        recorded_serial_number=there.serial_number if there else None,
        found_part_number=seen.part_number if seen else None,
        found_serial_number=seen.serial_number if seen else None,
        why=found.why,
        elsewhere=_where(world, state),
        harness=seen.harness if seen else None,
        recorded_harness=there.harness if there else None,
        note=seen.note if seen else None,
        unit=found.unit,
        action=_action(registration, label, found, there, state),
        part_marks=found.part_marks,
        serial_marks=found.serial_marks,
    )


def _numbered(world: World, state: UnitStateRow) -> Numbered:
    own = world.facts([state.unit_id])[state.unit_id]
    opening = next(r.fact for r in own if isinstance(r.fact, Opening) and r.fact.unit == state.unit_id)
    borne = tuple(part for _, part in part_numbers_of(state.unit_id, own, opening) if part != state.part_number)
    return Numbered(unit=state.unit_id, part_number=state.part_number, serial_number=state.serial_number, borne=borne)


def _bearing(world: World, seen: SeenAt | None) -> list[Numbered]:
    """The units in the records of exactly the numbers seen, by the maker named where one is."""
    if seen is None or seen.part_number is None or seen.serial_number is None:
        return []
    rows = units_by_number(world.connection, serial_number=seen.serial_number, part_number=seen.part_number)
    found = {
        row[0]: Numbered(unit=row[0], part_number=row[1], serial_number=row[2])
        for row in rows
        if not seen.manufacturer or not row[3] or fold(row[3]) == fold(seen.manufacturer)
    }
    known = world.states(found)
    return [each for unit, each in found.items() if unit in known]


def _where(world: World, state: UnitStateRow | None) -> str | None:
    if state is None:
        return None
    parents = world.states([state.parent_id]) if state.parent_id is not None else {}
    return place_text(world, state, parents)


def _action(
    registration: str,
    label: str,
    found: Sighting,
    there: UnitStateRow | None,
    state: UnitStateRow | None,
) -> str | None:
    """What to do about it, and what recording the walk-round will say of it."""
    if found.verdict == OTHER_TEXT and there is not None:
        return f"Look at the plate of {name_of(there)} again; recorded, it is on hold until that is answered."
    if found.verdict in (OTHER_UNIT, NOT_RECORDED) and state is not None:
        gone = "" if there is None else f"; {name_of(there)} is at an unknown place from then on"
        return f"Recorded, {name_of(state)} was found there{gone}. Judge the fitting: fleetlife swap check " + (
            f"{registration} {label} {name_of(state)}"
        )
    if found.verdict == EMPTY and there is not None:
        return f"Find {name_of(there)}; recorded, it is at an unknown place from then on."
    if found.verdict == UNKNOWN:
        told = f"Find its papers and take it in (fleetlife import), then record what hangs at {label}."
        return told if there is None else f"{told} Recorded, {name_of(there)} is on hold until it is answered."
    return None

"""`stores list`: what lies in the stores, by store and bin, on hold or not, and what is left of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from fleetlife.clocks.due_rows import judged_rows
from fleetlife.clocks.fitting import check_fitting_day
from fleetlife.clocks.held_spares import units_in_stores
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Part
from fleetlife.store.engine import Store
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.stores import StoresList, StoresRow
from fleetlife.terms.views import DueRow

SIDED = ("left", "right")
# States of what is passed, the worst first; what is not known comes after them, and then whatever is still good.
PASSED = ("overdue", "no refill", "in variation")


def stores_list(
    store: Store,
    *,
    as_of: date,
    known_at: str | None = None,
    part_numbers: Collection[str] = (),
    stores: Collection[str] = (),
    side: str | None = None,
    fitted_on: date | None = None,
) -> StoresList:
    """The units in stores, those of one store together, the worst first: overdue, unknown, then by what is left.

    What a unit holds is told with it. `side`: units rigged for it, and parts that are made for it alone. `fitted_on`:
    as of `due`. Refusals: `fitting-in-the-past`, `part-unknown`, `store-unknown`, those of `clocks.world`.
    """
    check_fitting_day(fitted_on, as_of=as_of)
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        world.check_parts(part_numbers)
        there = units_in_stores(world)
        _check_stores(there, stores)
        parts = {fold(number) for number in part_numbers}
        places = {fold(name) for name in stores}
        asked = [
            unit
            for unit in there
            if (not parts or fold(unit.part_number) in parts)
            and (not places or fold(unit.place_name) in places)
            and (side is None or side in (unit.harness, getattr(_part(world, unit), "rig", None)))
        ]
        due = _due_by_root(world, asked, fitted_on)
        rows = [_row(world, unit, due.get(unit.unit_id, ())) for unit in asked]
        return StoresList(
            about=world.about("stores list"),
            rows=tuple(sorted(rows, key=_worst_first)),
            on_hold=sum(row.hold is not None for row in rows),
            suspected=sum(row.suspected for row in rows),
            fitted_on=None if fitted_on is None else fitted_on.isoformat(),
        )


def _check_stores(there: Sequence[UnitStateRow], names: Collection[str]) -> None:
    known = sorted({row.place_name for row in there if row.place_name})
    for name in names:
        if fold(name) not in {fold(each) for each in known}:
            raise Refusal(
                "store-unknown",
                f"No unit is in a store {name}." + did_you_mean(name, known),
                remedy="Correct the name, or leave it out and look at all of them.",
            )


def _part(world: World, unit: UnitStateRow) -> Part | None:
    return world.reference.part(unit.part_number, unit.manufacturer)


def _due_by_root(
    world: World, units: Sequence[UnitStateRow], fitted_on: date | None
) -> dict[int, list[tuple[UnitStateRow, DueRow]]]:
    """The due rows of each unit and of what it holds, the worst first."""
    tree = world.trees_of([unit.unit_id for unit in units])
    on = None if fitted_on is None else fitted_on.toordinal()
    found: dict[int, list[tuple[UnitStateRow, DueRow]]] = {}
    for candidate, _, _, row in judged_rows(world, tree, fitted_on=on):
        found.setdefault(_root(candidate.unit, tree), []).append((candidate.unit, row))
    return found


def _root(unit: UnitStateRow, tree: Mapping[int, UnitStateRow]) -> int:
    while unit.parent_id is not None and unit.parent_id in tree:
        unit = tree[unit.parent_id]
    return unit.unit_id


def _row(world: World, unit: UnitStateRow, due: Sequence[tuple[UnitStateRow, DueRow]]) -> StoresRow:
    part = _part(world, unit)
    rig = None if part is None else part.rig
    dated = sorted((each for each in due if each[1].state != "unknown"), key=lambda each: _soonest(each[1]))
    of, first = dated[0] if dated else due[0] if due else (None, None)
    held = of is not None and of.unit_id != unit.unit_id
    unknown = sum(row.state == "unknown" for _, row in due)
    return StoresRow(
        store=unit.place_name,
        bin=unit.bin,
        part_number=unit.part_number,
        serial_number=unit.serial_number,
        manufacturer=unit.manufacturer,
        description=None if part is None else part.description,
        side=unit.harness if unit.harness in SIDED else rig if rig in SIDED else unit.harness,
        rig=rig,
        condition=unit.condition,
        hold=unit.hold,
        suspected=unit.suspected is not None,
        since=day_text(day_of(unit.since_moment)) or "",
        state=None if first is None else "unknown" if unknown and first.state not in PASSED else first.state,
        requirement=None if first is None else first.requirement,
        of_part_number=of.part_number if of is not None and held else None,
        of_serial_number=of.serial_number if of is not None and held else None,
        due_date=None if first is None else first.due_date,
        due_if_fitted=None if first is None else first.due_if_fitted,
        days_left=None if first is None else first.days_left,
        hours_left=None if first is None else first.hours_left,
        cycles_left=None if first is None else first.cycles_left,
        operations_left=None if first is None else first.operations_left,
        estimated=first is not None and first.estimated,
        unknown_rows=unknown,
    )


def _soonest(row: DueRow) -> tuple[int, str]:
    """What is passed first, then by date; what waits for a fitting by the date it would have if fitted."""
    return _rank(row.state), row.due_date or row.due_if_fitted or "9999"


def _rank(state: str | None) -> int:
    if state in PASSED:
        return PASSED.index(state or "")
    return len(PASSED) + (state is not None and state != "unknown")


def _worst_first(row: StoresRow) -> tuple[Any, ...]:
    return (
        row.store or "~",
        _rank(row.state),
        row.due_date or row.due_if_fitted or "9999",
        row.bin or "~",
        row.part_number,
        row.serial_number,
    )

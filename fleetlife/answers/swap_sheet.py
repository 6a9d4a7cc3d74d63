"""`swap sheet`: everything for one position on one page, as things stand on the day asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.plans import where_told
from fleetlife.clocks.swaps import SCANNED, SwapInWorld, card_of, swap_named
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text
from fleetlife.paper.status import is_release
from fleetlife.store.engine import Store
from fleetlife.terms import words
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.swap_sheet import SheetTable, SheetUnit, SwapSheet


def swap_sheet(store: Store, number: str, *, as_of: date, fitted_on: date | None = None) -> SwapSheet:
    """The sheet of a swap that is not over. Refusals: `swap-unknown`, `swap-over`, `fitting-in-the-past`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, kept=store.kept)
        swap = swap_named(world, number)
        if swap.life.state in words.SWAPS_OVER:
            raise Refusal(
                "swap-over",
                f"Swap {swap.life.plan.swap} is {swap.life.state}: there is nothing to take to the door.",
                remedy=f"Look at it: fleetlife swap show {swap.life.plan.swap}.",
            )
        return _sheet(world, swap, fitted_on)


def _sheet(world: World, swap: SwapInWorld, fitted_on: date | None) -> SwapSheet:
    life, plan = swap.life, swap.life.plan
    answer = None
    if life.incoming is not None and not life.movements:
        answer = check_fitting(
            world, airframe=plan.airframe, position=plan.position, unit_id=life.incoming, fitted_on=fitted_on
        )
    units = {unit: _unit(world, unit) for unit in (life.incoming, life.outgoing) if unit is not None}
    return SwapSheet(
        card=card_of(world, swap),
        incoming=units.get(life.incoming or 0),
        outgoing=units.get(life.outgoing or 0),
        fitted_on=(fitted_on or date.fromordinal(world.as_of)).isoformat(),
        outcome=None if answer is None else answer.outcome,
        reasons=() if answer is None else answer.reasons,
        life=() if answer is None else answer.life,
        not_checked=() if answer is None else answer.not_checked,
        tables=tuple(_tables(world, life.incoming)),
        symbol=f"{SCANNED}{plan.swap}",
    )


def _unit(world: World, unit: int) -> SheetUnit:
    state = world.states([unit])[unit]
    part = world.reference.part(state.part_number, state.manufacturer)
    lines = [line for line in world.certificate_lines([unit]) if is_release(line.status)]
    last = max(lines, key=lambda line: (line.dated_on, line.entry), default=None)
    release = None
    if last is not None:
        release = f"{last.tracking_number} of {last.organisation}, {last.status}, {day_text(last.dated_on)}"
    return SheetUnit(
        part_number=state.part_number,
        serial_number=state.serial_number,
        manufacturer=state.manufacturer,
        description=None if part is None else part.description,
        rig=None if part is None else part.rig,
        rig_in_hand=state.harness,
        mass_grams=None if part is None else part.mass_grams,
        release=release,
        where=where_told(world, state),
    )


def _tables(world: World, unit: int | None) -> Sequence[SheetTable]:
    """The tables of pressures of what is to be fitted and all it holds."""
    found = []
    for state in world.tree_of(unit).values() if unit is not None else ():
        points = sorted(world.reference.pressures.get(fold(state.part_number), []), key=lambda p: p.millicelsius)
        if points:
            sources = dict.fromkeys(
                f"{point.reference} revision {point.revision}" if point.revision else point.reference
                for point in points
                if point.reference
            )
            found.append(
                SheetTable(
                    unit=f"{state.part_number} {state.serial_number}",
                    pressure_unit=points[0].pressure_unit,
                    rows=tuple((point.millicelsius, point.minimum, point.maximum) for point in points),
                    sources=tuple(sources),
                )
            )
    return found

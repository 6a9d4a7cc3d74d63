"""`swap show` and `swap list`: where planned swaps stand, and what keeps their doors from being released."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date
from typing import Any

from fleetlife.clocks.doors import doors_of
from fleetlife.clocks.places import name_of
from fleetlife.clocks.swaps import card_of, in_world, points_of, swap_named, told_of_plans
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.swaps import swap_lives
from fleetlife.store.engine import Store
from fleetlife.store.swaps import airframes_with_swaps
from fleetlife.terms.swaps import SwapCard, SwapFinding, SwapLine, SwapList
from fleetlife.terms.words import SWAPS_OVER


def swap_show(store: Store, number: str, *, as_of: date, known_at: str | None = None) -> SwapCard:
    """One swap. Refusals: `swap-unknown`, `swap-not-then`, those of `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        return card_of(world, swap_named(world, number))


def swap_list(
    store: Store,
    *,
    as_of: date,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    over_too: bool = False,
) -> SwapList:
    """The swaps that are open, or all of them: what is done and not released first, then by target. Refusals:
    `registration-*`, those of `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        wanted = {world.reference.airframe_on(each, world.as_of) for each in registrations}
        airframes = [a for a in airframes_with_swaps(connection) if not wanted or a in wanted]
        rows, found = _lines(world, airframes, over_too=over_too)
        return SwapList(about=world.about("swap list", airframes=wanted or None), rows=tuple(rows), findings=found)


def with_plan(store: Store, values: dict[str, Any], *, as_of: date) -> dict[str, Any]:
    """What a swap is recorded from, with what its plan says where nothing is said: airframe, position, the unit that
    goes on, work order and approved data. Refusals: `swap-unknown`, `swap-not-then`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, kept=store.kept)
        plan = swap_named(world, values["swap"]).life.plan
        state = None if plan.incoming is None else world.states([plan.incoming]).get(plan.incoming)
    named = None if state is None else [state.part_number, state.serial_number, state.manufacturer]
    planned = {
        "registration": world.registration(plan.airframe),
        "position": plan.position,
        "install": None if values.get("remove_only") else named,
        "work_order": plan.work_order,
        "data_reference": plan.data_reference,
        "data_revision": plan.data_revision,
    }
    return {**values, "swap": plan.swap, **{name: values.get(name) or planned[name] for name in planned}}


def _lines(
    world: World, airframes: Collection[int], *, over_too: bool
) -> tuple[list[SwapLine], dict[str, tuple[SwapFinding, ...]]]:
    """The lines, and what is found of those that are planned and not done."""
    found: list[SwapLine] = []
    doors = doors_of(world, airframes)
    told = told_of_plans(world, [life for facts in doors.values() for life in swap_lives(facts).values()])
    for airframe, facts in doors.items():
        lives = [life for life in swap_lives(facts).values() if over_too or life.state not in SWAPS_OVER]
        swaps = in_world(world, lives, facts)
        units = {unit for swap in swaps for unit in (swap.life.incoming, swap.life.outgoing) if unit is not None}
        names = {unit: name_of(row) for unit, row in world.states(units).items()}
        for swap in swaps:
            life = swap.life
            found.append(
                SwapLine(
                    swap=life.plan.swap,
                    state=life.state,
                    registration=world.registration(airframe),
                    position=life.plan.position,
                    target=life.plan.target_on,
                    incoming=names.get(life.incoming or 0),
                    outgoing=names.get(life.outgoing or 0),
                    planned_by=life.plan.planned_by,
                    done_on=life.done_on,
                    open_points=0 if life.state in SWAPS_OVER else len(points_of(swap, world)),
                    work_order=life.plan.work_order,
                    findings="; ".join(dict.fromkeys(each.finding for each in told.get(life.plan.swap, ()))) or None,
                )
            )
    order = ("done", "begun", "checked", "planned", "given up", "released")
    found.sort(key=lambda row: (order.index(row.state), row.target or "9", row.registration, row.position))
    return found, told

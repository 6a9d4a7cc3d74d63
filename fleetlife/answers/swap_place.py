"""`swap place`: in which ground time each swap that falls due is done, so that it is in time and least is lost."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from datetime import date

from fleetlife.answers.due import airframes_asked
from fleetlife.clocks.ground import ground_times
from fleetlife.clocks.held_spares import Need, needs_of, told_of, units_at_positions
from fleetlife.clocks.plans import open_swaps
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text
from fleetlife.ledger.swaps import SwapPlan
from fleetlife.planning.ground import next_after, place_in_time
from fleetlife.store.engine import Store
from fleetlife.terms.placing import PlacedSwap, SwapsPlaced
from fleetlife.terms.refusal import Refusal


def swap_place(
    store: Store,
    *,
    as_of: date,
    until: date,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    stations: Collection[str] = (),
) -> SwapsPlaced:
    """Every position that wants a swap by `until`, with the latest of its airframe's ground times that begins no later
    than the day it falls due at the earliest; those without one first.

    `stations`: where airframes are based. Refusals: `horizon-in-the-past`, `registration-*`, `station-unknown`, those
    of `world.open_world`.
    """
    if until < as_of:
        raise Refusal(
            "horizon-in-the-past",
            f"The horizon {until.isoformat()} lies before {as_of.isoformat()}, the day asked about.",
            remedy="Name that day or a later one; or ask as of the earlier day (--as-of).",
            status=2,
        )
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        airframes = airframes_asked(world, registrations, {"station": stations})
        hanging = units_at_positions(world, airframes)
        needs, unknown = needs_of(world, until_day=until.toordinal(), airframes=airframes, at_positions=hanging)
        planned = {
            (plan.airframe, plan.position): plan for plan in (life.plan for life in open_swaps(world, airframes))
        }
        rows = sorted((_row(world, need, planned) for need in needs), key=lambda row: row.place_on is not None)
        return SwapsPlaced(
            about=world.about("swap place", airframes=airframes),
            until=until.isoformat(),
            rows=tuple(rows),
            unknown=unknown,
        )


def _row(world: World, need: Need, planned: Mapping[tuple[int, str], SwapPlan]) -> PlacedSwap:
    plan = planned.get((need.airframe, need.position))
    row = PlacedSwap(
        **told_of(world, need),
        swap=None if plan is None else plan.swap,
        target=None if plan is None else plan.target_on,
    )
    periods = ground_times(world, need.airframe)
    later = next_after(periods, max(need.due, world.as_of - 1))
    if later is not None:
        row = replace(row, next_from=day_text(later.first), next_station=later.station)
    placing = place_in_time(periods, due=need.due, as_of=world.as_of)
    if placing is None:
        return replace(row, why=_why(world, need, row))
    period = placing.period
    return replace(
        row,
        place_on=day_text(placing.day),
        station=period.station,
        ground_from=day_text(period.first),
        ground_until=day_text(period.last),
        ground_reference=period.reference,
        ground_entry=period.entry,
        days_given_away=need.due - placing.day,
    )


def _why(world: World, need: Need, row: PlacedSwap) -> str:
    """Why there is no ground time in time."""
    if not world.reference.ground_times.get(need.airframe):
        return f"No ground time of {row.registration} is in the records."
    told = f"No ground time of {row.registration} begins by {row.due_on}."
    if need.due < world.as_of:
        told = f"It fell due on {row.due_on}, and no ground time begins in a day that has passed."
    if row.next_from is None:
        return f"{told} None is known later."
    return f"{told} The next begins on {row.next_from} at {row.next_station}."

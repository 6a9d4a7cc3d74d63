"""`swap check`: may this unit go on this door. An answer is not a release."""

from __future__ import annotations

from datetime import date

from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.terms.views import SwapAnswer


def swap_check(
    store: Store,
    *,
    registration: str,
    position: str,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    as_of: date,
    known_at: str | None = None,
    fitted_on: date | None = None,
) -> SwapAnswer:
    """One of three outcomes, with every reason and with what was not checked; `fitted_on`: a day after `as_of`.

    Refusals: `fitting-in-the-past`, `registration-*`, `position-unknown`, `unit-unknown`, `unit-ambiguous`, those of
    `clocks.world`.
    """
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        airframe = world.reference.airframe_on(registration, world.as_of)
        unit = world.unit_named(part_number, serial_number, manufacturer)
        return check_fitting(world, airframe=airframe, position=position, unit_id=unit, fitted_on=fitted_on)

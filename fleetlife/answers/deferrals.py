"""`deferral list`: what is carried under a deferral, where, by whom and until when, as it was entered."""

from __future__ import annotations

from datetime import date

from fleetlife.clocks.deferrals import deferrals_in
from fleetlife.clocks.held_spares import units_at_positions
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.deferrals import CLOSED, EXPIRED, NOT_AN_ITEM, OPEN, Carried
from fleetlife.follows.rows import UnitStateRow
from fleetlife.store.engine import Store
from fleetlife.terms.deferrals import DeferralList, DeferralRowTold

_ORDER = (EXPIRED, OPEN, CLOSED)


def deferral_list(
    store: Store,
    *,
    as_of: date,
    registration: str | None = None,
    everything: bool = False,
    known_at: str | None = None,
) -> DeferralList:
    """The deferrals that stand on the day, with `everything` closed ones too. Refusals: `registration-*`, those of
    `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        only = None if registration is None else [world.reference.airframe_on(registration, world.as_of)]
        found = deferrals_in(world, only, over_too=everything)
        frames = {airframe for airframe, _ in found}
        hanging = {(row.airframe_id, row.position): row for row in units_at_positions(world, frames)}
        rows = [_row(world, each, hanging.get(key)) for key, held in found.items() for each in held]
        rows.sort(key=lambda row: (_ORDER.index(row.state), row.expires or "9999", row.registration, row.position))
        return DeferralList(
            about=world.about("deferral list", airframes=only or frames), rows=tuple(rows), told=NOT_AN_ITEM
        )


def _row(world: World, carried: Carried, hanging: UnitStateRow | None) -> DeferralRowTold:
    fact = carried.fact
    return DeferralRowTold(
        registration=world.registration(fact.airframe),
        position=fact.position,
        opened=fact.opened_on,
        item=fact.item,
        state=carried.standing(world.as_of),
        expires=fact.expires_on,
        log_page=fact.log_page,
        conditions=fact.conditions,
        authorised_by=fact.authorised_by,
        closed=None if carried.closed is None else carried.closed.closed_on,
        closed_by=None if carried.closed is None else carried.closed.closed_by,
        holds=None if hanging is None else name_of(hanging),
        entry=carried.entry,
    )

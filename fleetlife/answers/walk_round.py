"""`walk-round`: what was found at each position of an airframe against what is recorded there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleetlife.clocks.walk_round import walk_round_in
from fleetlife.clocks.world import open_world
from fleetlife.store.engine import Store
from fleetlife.terms.walk_round import SeenAt, WalkRound


def walk_round(store: Store, *, registration: str, seen: Sequence[SeenAt], on: date) -> WalkRound:
    """Every position of the airframe on the day of the walk-round, in order. Nothing is recorded.

    Refusals: `registration-*`, `position-unknown`, `position-seen-twice`.
    """
    with store.reading() as connection:
        return walk_round_in(open_world(connection, as_of=on, kept=store.kept), registration=registration, seen=seen)

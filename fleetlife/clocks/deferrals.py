"""The deferrals of airframes in a world: on its day, and as known then."""

from __future__ import annotations

from collections.abc import Collection

from fleetlife.clocks.world import World
from fleetlife.follows.deferrals import CLOSED, Carried, deferrals_of
from fleetlife.store.deferrals import deferral_facts


def deferrals_in(
    world: World, airframes: Collection[int] | None = None, *, over_too: bool = False
) -> dict[tuple[int, str], list[Carried]]:
    """By airframe and position the deferrals that stand on the world's day, the oldest first; with `over_too` closed
    ones as well. One statement, or two."""
    facts = deferral_facts(world.connection, day=world.as_of, known=world.known, airframes=airframes, over_too=over_too)
    found: dict[tuple[int, str], list[Carried]] = {}
    for each in deferrals_of(facts, on=world.as_of):
        if over_too or each.standing(world.as_of) != CLOSED:
            found.setdefault((each.fact.airframe, each.fact.position), []).append(each)
    return found


def deferrals_told(world: World, airframe: int, position: str | None = None) -> list[str]:
    """The deferrals that stand on an airframe, or at one of its positions, a sentence each with its position."""
    return [
        f"{at}: {each.told(world.as_of)}"
        for (_, at), rows in deferrals_in(world, [airframe]).items()
        if position is None or at == position
        for each in rows
    ]

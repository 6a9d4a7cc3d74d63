"""The work at doors in a world: what was recorded of it by the world's day and moment."""

from __future__ import annotations

from collections.abc import Collection

from fleetlife.clocks.world import World
from fleetlife.dates.partial import day_text
from fleetlife.follows.place import Recorded
from fleetlife.store.swaps import door_facts


def doors_of(world: World, airframes: Collection[int]) -> dict[int, list[Recorded]]:
    """The work at the doors of the airframes, as known and true in the world."""
    found = door_facts(world.connection, airframes, known=world.known)
    last = day_text(world.as_of) or ""
    return {airframe: [r for r in facts if (r.fact.dated() or "") <= last] for airframe, facts in found.items()}

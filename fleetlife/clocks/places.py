"""Where a unit is, in words."""

from __future__ import annotations

from collections.abc import Mapping

from fleetlife.clocks.world import World
from fleetlife.dates.moment import day_of
from fleetlife.follows.rows import PlacementRow, UnitStateRow


def name_of(unit: UnitStateRow) -> str:
    return f"{unit.part_number} {unit.serial_number}"


def place_text(world: World, row: PlacementRow | UnitStateRow, names: Mapping[int, UnitStateRow]) -> str:
    """Where a stay is, in words."""
    if row.kind == "position" and row.airframe_id is not None:
        # a stay of the past under the registration of its day, where the unit is now under today's
        day = day_of(row.from_moment) if isinstance(row, PlacementRow) else world.as_of
        return f"{world.reference.registration_on(row.airframe_id, day)} {row.position}"
    if row.kind == "slot" and row.parent_id is not None:
        parent = names.get(row.parent_id)
        return f"slot {row.slot} of {name_of(parent) if parent else f'unit {row.parent_id}'}"
    text = row.kind if not row.place_name else f"{row.kind} {row.place_name}"
    return f"{text}, bin {row.bin}" if row.bin else text

"""What holds a unit since it was received, in a world: for who would lift it, and for whoever looks at its card."""

from __future__ import annotations

from fleetlife.clocks.world import World
from fleetlife.follows.place import Recorded, UnitStays
from fleetlife.follows.receipts import Received, causes_of
from fleetlife.ledger.facts import Opening
from fleetlife.terms.stores import Cause


def causes_in(world: World, unit_id: int) -> list[Cause]:
    """What holds the unit since it was received, one cause each; none where nothing does."""
    derived = world.derive([unit_id])
    facts = world.facts([unit_id])[unit_id]
    opened = next(r for r in facts if isinstance(r.fact, Opening) and r.fact.unit == unit_id)
    return causes_of(
        Received(
            unit_id=unit_id,
            facts=facts,
            stays=UnitStays(derived.placements[unit_id], (), opened),
            opening=_opening(opened),
            lines=derived.certificate_lines[unit_id],
            requalifications=requalifications_of(world, derived.unit_states[unit_id].part_number),
        )
    )


def requalifications_of(world: World, part_number: str) -> set[str]:
    """The requirements on the part whose dates are marks on the unit."""
    rules = world.reference.book().on_part(part_number)
    return {rule.requirement for rule in rules if rule.kind == "requalification"}


def _opening(recorded: Recorded) -> Opening:
    assert isinstance(recorded.fact, Opening)
    return recorded.fact

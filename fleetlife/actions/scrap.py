"""`stores scrap`: a unit that will not come back, and how it is kept from doing so."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from typing import Any

from fleetlife.actions.swap import UnitName
from fleetlife.actions.transferred import IN_HAND, Planned, record_transfer, refuse_unless_at
from fleetlife.checks.life import LIFE_LIMIT
from fleetlife.checks.moves import scrapped_without_disposition
from fleetlife.checks.rows import Placed, ScrapRow
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World
from fleetlife.dates.moment import moment_of
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Transfer
from fleetlife.store.engine import Store
from fleetlife.terms import words
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal

WHAT = "stores scrap"


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapRequest:
    """Which unit is scrapped and by which of words.DISPOSITIONS it is kept from coming back."""

    unit: UnitName
    on: date
    disposition: str | None = field(default=None, metadata={"words": words.DISPOSITIONS})
    order: str | None = None
    reference: str | None = None
    signed_by: str | None = None
    sequence: int | None = None


def record_scrap(store: Store, request: ScrapRequest, **more: Any) -> MoveRecorded:
    """Record that it was scrapped, or how one that was is kept from coming back; `more` as of `record_transfer`.

    Refusals: `not-in-hand`, `nothing-changes`, those of `record_transfer`.
    """
    return record_transfer(store, request, partial(_plan, request), what=WHAT, **more)


def _plan(request: ScrapRequest, world: World, unit: UnitStateRow, sequence: int) -> Planned:
    refuse_unless_at(
        world,
        unit,
        (*IN_HAND, "unknown", "scrap"),
        remedy="Record first that it came here: off a door with fleetlife swap record, out of an assembly with "
        "fleetlife assembly take-out, back with fleetlife loan back.",
    )
    if unit.kind == "scrap" and request.disposition is None:
        raise Refusal(
            "nothing-changes",
            f"{name_of(unit)} is scrapped already, and no disposition is said.",
            remedy="Say how it is kept from coming back: --disposition.",
            status=2,
        )
    fact = Transfer(
        unit=unit.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target="scrap",
        condition="unsalvageable",
        order=request.order,
        reference=request.reference,
        signed_by=request.signed_by,
        disposition=request.disposition,
    )
    held = [row for row in world.tree_of(unit.unit_id).values() if row.unit_id != unit.unit_id]
    notes = [f"It holds {', '.join(map(name_of, held))}, which goes with it."] if held else []
    limits = sorted(
        {
            rule.requirement
            for _, rule in world.reference.requirements
            if rule.kind == LIFE_LIMIT and fold(rule.part_number) == fold(unit.part_number)
        }
    )
    gone = replace(unit, kind="scrap", since_moment=moment_of(request.on.toordinal(), sequence))
    row = ScrapRow(unit=Placed(state=gone), limits=tuple(limits), disposition=request.disposition)
    return Planned(fact=fact, notes=notes, findings=tuple(scrapped_without_disposition([row])))

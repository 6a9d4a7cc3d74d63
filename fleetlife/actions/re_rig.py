"""`stores re-rig`: the harness of a unit in hand made for the other side, by name and by the data worked to."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import Any

from fleetlife.actions.moving import refuse_blank
from fleetlife.actions.swap import UnitName
from fleetlife.actions.transferred import IN_HAND, Planned, record_transfer, refuse_unless_at
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Transfer
from fleetlife.store.engine import Store
from fleetlife.terms import words
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.refusal import Refusal

WHAT = "stores re-rig"
LOOKED_AT = (
    "What is recorded is what somebody made and saw: the rig is looked at by eye before fitting, whatever the records "
    "say, and it lapses when the unit goes to a shop."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReRigRequest:
    """Which unit is rigged for which side now, who made it and to which approved data."""

    unit: UnitName
    on: date
    harness: str = field(metadata={"words": words.HARNESS_SIDES})
    data_reference: str
    signed_by: str
    data_revision: str | None = None
    inspected_by: str | None = None
    sequence: int | None = None


def record_re_rig(store: Store, request: ReRigRequest, **more: Any) -> MoveRecorded:
    """Record the re-rig; `more` as of `record_transfer`.

    Refusals: `not-in-hand`, `part-of-one-hand`, `nothing-changes`, `said-with-nothing`, those of `record_transfer`.
    """
    refuse_blank(("data reference", request.data_reference), ("signed by", request.signed_by))
    return record_transfer(store, request, partial(_plan, request), what=WHAT, **more)


def _plan(request: ReRigRequest, world: World, unit: UnitStateRow, sequence: int) -> Planned:
    refuse_unless_at(
        world,
        unit,
        IN_HAND,
        remedy="A harness is made on a unit in hand: record its removal first (fleetlife swap record), or state the "
        "rig with its fitting (--harness).",
    )
    part = world.reference.part(unit.part_number, unit.manufacturer)
    rig = None if part is None else part.rig
    if rig in (*words.HARNESS_SIDES, "none"):
        what = "has no harness that makes it a left or a right one" if rig == "none" else f"is a {rig} one by itself"
        raise Refusal(
            "part-of-one-hand",
            f"Part {unit.part_number} {what}: no rig makes it another.",
            remedy="Read the plate again; if the parts file is wrong, correct its row.",
        )
    if unit.harness == request.harness:
        raise Refusal(
            "nothing-changes",
            f"{name_of(unit)} is recorded as rigged {unit.harness} since {day_text(day_of(unit.since_moment))}.",
            remedy="Nothing is needed.",
        )
    stay = world.placements([unit.unit_id])[-1]
    data = " ".join(text.strip() for text in (request.data_reference, request.data_revision) if text)
    seen = f", inspected by {request.inspected_by.strip()}" if request.inspected_by else ""
    fact = Transfer(
        unit=unit.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target=unit.kind,
        store=unit.place_name if unit.kind == "store" else None,
        bin=unit.bin,
        organisation=unit.place_name if unit.kind != "store" else None,
        harness=request.harness,
        expected_back=day_text(stay.expected_back),
        reference=f"re-rigged from {unit.harness} to {request.harness} by {data}{seen}",
        signed_by=request.signed_by.strip(),
    )
    notes = [LOOKED_AT]
    if rig is None:
        notes.append(f"Whether part {unit.part_number} serves either side is not stated (parts file, column rig).")
    return Planned(fact=fact, notes=notes)

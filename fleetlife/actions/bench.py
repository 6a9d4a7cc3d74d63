"""`assembly fit` and `assembly take-out`: a child put into its parent on the bench, or taken out of it.

Whether the slot takes it, whether it is fit to go in and what is left of its life is looked at before. What is wrong is
accepted by name and reason, or nothing is recorded.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import Any

from fleetlife.actions.swap import UnitName
from fleetlife.actions.transferred import IN_HAND, Planned, record_transfer, refuse_unless_at, unit_then
from fleetlife.checks.life import LIFE_LIMIT
from fleetlife.checks.removal import off_a_donor_not_flying, refitted_without_release
from fleetlife.clocks.due_rows import judged_rows
from fleetlife.clocks.places import name_of
from fleetlife.clocks.removals import removals_of
from fleetlife.clocks.world import World
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.receipts import hold_beside_suspicion
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Slot, Transfer
from fleetlife.store.engine import Store
from fleetlife.terms import words
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow, Reason

FIT, TAKE_OUT = "assembly fit", "assembly take-out"


@dataclass(frozen=True, slots=True, kw_only=True)
class AssemblyFitRequest:
    """Which child goes into which slot of which parent. `slot` None: the only one that takes its part."""

    unit: UnitName
    parent: UnitName
    on: date
    slot: str | None = None
    sequence: int | None = None
    condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    certificate: str | None = None
    certificate_organisation: str | None = None
    order: str | None = None
    reference: str | None = None
    signed_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeOutRequest:
    """Which child comes out of its parent, and where it goes."""

    unit: UnitName
    on: date
    to: str = field(default="store", metadata={"words": ("store", "shop", "unknown")})
    store: str | None = None
    bin: str | None = None
    organisation: str | None = None
    sequence: int | None = None
    condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    order: str | None = None
    expected_back: date | None = None
    reference: str | None = None
    signed_by: str | None = None


def fit_child(store: Store, request: AssemblyFitRequest, **more: Any) -> MoveRecorded:
    """Record that the child went in; `more` as of `record_transfer`.

    Refusals: `not-in-hand`, `own-parent`, `slot-unknown`, `slot-not-said`, `slot-occupied`, those of `record_transfer`.
    """
    return record_transfer(store, request, partial(_into, request), what=FIT, **more)


def take_out_child(store: Store, request: TakeOutRequest, **more: Any) -> MoveRecorded:
    """Record that the child came out; `more` as of `record_transfer`. Refusals: `not-in-an-assembly`, those of
    `record_transfer`."""
    return record_transfer(store, request, partial(_out, request), what=TAKE_OUT, **more)


def _into(request: AssemblyFitRequest, world: World, child: UnitStateRow, sequence: int) -> Planned:
    parent = unit_then(world, request.parent)
    if parent.unit_id == child.unit_id:
        raise Refusal("own-parent", "A unit cannot hold itself.", remedy="Name the unit that holds it.", status=2)
    refuse_unless_at(
        world,
        child,
        IN_HAND,
        remedy="Record first that it came here: out of its assembly with fleetlife assembly take-out, off a door with "
        "fleetlife swap record.",
    )
    if parent.kind in ("scrap", "unknown", "loan"):
        refuse_unless_at(world, parent, (), remedy="Record first where it is.")
    rows = world.reference.slots.get(fold(parent.part_number), [])
    slot = _slot(rows, parent, child, request.slot)
    held = [row for row in world.tree_of(parent.unit_id).values() if row.parent_id == parent.unit_id]
    for other in held:
        if other.slot == slot:
            raise Refusal(
                "slot-occupied",
                f"Slot {slot} of {name_of(parent)} holds {name_of(other)} since "
                f"{day_text(day_of(other.since_moment))}.",
                remedy=f"Record that it came out: fleetlife assembly take-out {name_of(other)}",
            )
    fact = Transfer(
        unit=child.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target="parent",
        parent=parent.unit_id,
        slot=slot,
        condition=request.condition,
        order=request.order,
        certificate=request.certificate,
        certificate_organisation=request.certificate_organisation,
        reference=request.reference,
        signed_by=request.signed_by,
    )
    stops = [
        *_takes(rows, slot, parent, child),
        *_fit_to_go_in(world, child, request.condition),
        *_life(world, child),
    ]
    return Planned(fact=fact, stops=stops, others=[parent.unit_id], notes=_carried(world, parent))


def _slot(rows: Sequence[Slot], parent: UnitStateRow, child: UnitStateRow, said: str | None) -> str:
    """The slot as it is stated. Refusals: `slot-unknown`, `slot-not-said`."""
    names = sorted({row.slot for row in rows})
    if said is not None:
        found = next((name for name in names if fold(name) == fold(said)), None)
        if found is None:
            raise Refusal(
                "slot-unknown",
                f"Part {parent.part_number} has no slot {said}; it has {', '.join(names) or 'none'}."
                + did_you_mean(said, names),
                remedy="Correct the slot, or state it first (slots file).",
            )
        return found
    takes = sorted({row.slot for row in rows if fold(row.child_part_number) == fold(child.part_number)})
    if len(takes) == 1:
        return takes[0]
    told = f"several slots of {parent.part_number} take it: {', '.join(takes)}" if takes else "no slot of it takes this"
    raise Refusal(
        "slot-not-said",
        f"Into which slot {name_of(child)} went is not said, and {told}.",
        remedy=f"Say it with --slot; {parent.part_number} has {', '.join(names) or 'none'}.",
        status=2,
    )


def _takes(rows: Sequence[Slot], slot: str, parent: UnitStateRow, child: UnitStateRow) -> list[Reason]:
    """Whether the slot takes the part."""
    numbers = [row.child_part_number for row in rows if row.slot == slot]
    if fold(child.part_number) in {fold(number) for number in numbers}:
        return []
    text = f"Slot {slot} of {parent.part_number} takes {' or '.join(numbers) or 'nothing known'}, and not this part."
    return [Reason(topic="assembly", verdict="stop", code="FIT105", text=text)]


def _fit_to_go_in(world: World, child: UnitStateRow, stated: str | None) -> list[Reason]:
    """Condition, hold, release and donor of the child."""
    reasons = []
    hold = hold_beside_suspicion(child)
    if child.suspected:
        text = f"Suspected unapproved part: {child.suspected}."
        reasons.append(Reason(topic="condition", verdict="stop", code="RCP102", text=text))
    if hold:
        reasons.append(Reason(topic="condition", verdict="stop", code="FIT107", text=f"On hold: {hold}."))
    condition = stated or child.condition
    if condition in ("unserviceable", "unsalvageable"):
        text = f"{condition.capitalize()} in these records."
        reasons.append(Reason(topic="condition", verdict="stop", code="FIT109", text=text))
    removal = removals_of(world, {child.unit_id: child}).get(child.unit_id)
    if removal is not None:
        judged = refitted_without_release(removal)
        if judged is not None and judged.verdict == "stop":
            text = f"Taken out on {day_text(removal.removed_on)} and not released since. {judged.text}".strip()
            reasons.append(Reason(topic="release", verdict="stop", code="PAP104", text=text))
        donor = off_a_donor_not_flying(removal)
        if donor is not None and donor.verdict == "stop":
            reasons.append(Reason(topic="release", verdict="stop", code="MOV101", text=donor.text))
    return reasons


def _life(world: World, child: UnitStateRow) -> list[Reason]:
    """What is overdue or cannot be told of the child and what it holds, if it is fitted on the day."""
    reasons = []
    for _, _, _, row in judged_rows(world, world.tree_of(child.unit_id), fitted_on=world.as_of):
        code = _life_code(row)
        if code is not None:
            told = row.state_reason or row.state or ""
            name = f"{row.part_number} {row.serial_number}"
            text = f"{name} {row.requirement or 'no requirement'}: {told}"
            reasons.append(Reason(topic="life", verdict="stop", code=code, text=text))
    return reasons


def _life_code(row: DueRow) -> str | None:
    if row.requirement is None:
        return "LIF103"
    if row.kind == "soft_life":
        return None
    if row.state == "overdue":
        return "LIF101"
    if row.state == "unknown" or (row.kind == LIFE_LIMIT and row.unknown_measures):
        return "LIF110" if row.kind == LIFE_LIMIT else "LIF102"
    return None


def _carried(world: World, parent: UnitStateRow) -> list[str]:
    if parent.carried_airframe_id is None:
        return []
    named = world.registration(parent.carried_airframe_id)
    return [f"{name_of(parent)} is on {named}: this is work on the aircraft, with its own log page and release."]


def _out(request: TakeOutRequest, world: World, child: UnitStateRow, sequence: int) -> Planned:
    if child.kind != "slot" or child.parent_id is None:
        raise Refusal(
            "not-in-an-assembly",
            f"The records do not have {name_of(child)} in an assembly.",
            remedy=f"fleetlife unit {name_of(child)} shows where it is.",
        )
    parent = world.states([child.parent_id])[child.parent_id]
    rows = world.reference.slots.get(fold(parent.part_number), [])
    required = any(row.slot == child.slot and row.required for row in rows)
    fact = Transfer(
        unit=child.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target=request.to,
        store=request.store if request.to == "store" else None,
        bin=request.bin if request.to == "store" else None,
        organisation=request.organisation,
        condition=request.condition,
        order=request.order,
        expected_back=None if request.expected_back is None else request.expected_back.isoformat(),
        reference=request.reference,
        signed_by=request.signed_by,
    )
    empty = [(f"slot {child.slot} of {name_of(parent)}", "empty, and it must hold a unit" if required else "empty")]
    return Planned(fact=fact, others=[parent.unit_id], empty=empty, notes=_carried(world, parent))

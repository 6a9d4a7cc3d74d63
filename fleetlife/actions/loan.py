"""`loan out`, `loan back` and `loan return`: a unit lent out, come back, or a borrowed one gone back to its owner.

What a lent unit flies elsewhere is not in these records: when it is back, its paper must say.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import partial
from typing import Any

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

OUT, BACK, RETURN = "loan out", "loan back", "loan return"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanOutRequest:
    """Which unit goes to whom, and by when it is to be back."""

    unit: UnitName
    on: date
    organisation: str
    back_by: date | None = None
    order: str | None = None
    condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    reference: str | None = None
    signed_by: str | None = None
    sequence: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanBackRequest:
    """Which unit is back, and where it lies now. Its condition and its rig are unknown unless they are stated."""

    unit: UnitName
    on: date
    store: str
    bin: str | None = None
    condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    harness: str | None = field(default=None, metadata={"words": words.HARNESS_SIDES})
    certificate: str | None = None
    certificate_organisation: str | None = None
    order: str | None = None
    reference: str | None = None
    signed_by: str | None = None
    sequence: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoanReturnRequest:
    """Which borrowed unit went back to its owner."""

    unit: UnitName
    on: date
    order: str | None = None
    condition: str | None = field(default=None, metadata={"words": words.CONDITIONS})
    reference: str | None = None
    signed_by: str | None = None
    sequence: int | None = None


def lend_out(store: Store, request: LoanOutRequest, **more: Any) -> MoveRecorded:
    """Record that it went out; `more` as of `record_transfer`.

    Refusals: `not-in-hand`, `back-first`, `not-its-own`, those of `record_transfer`.
    """
    if request.back_by is not None and request.back_by < request.on:
        raise Refusal(
            "back-first",
            f"It would be back on {request.back_by.isoformat()}, before it goes on {request.on.isoformat()}.",
            remedy="Correct one of the two days.",
            status=2,
        )
    return record_transfer(store, request, partial(_out, request), what=OUT, **more)


def take_back(store: Store, request: LoanBackRequest, **more: Any) -> MoveRecorded:
    """Record that it is back; `more` as of `record_transfer`. Refusals: `not-on-loan`, those of `record_transfer`."""
    return record_transfer(store, request, partial(_back, request), what=BACK, **more)


def give_back(store: Store, request: LoanReturnRequest, **more: Any) -> MoveRecorded:
    """Record that it went back to its owner; `more` as of `record_transfer`. Refusals: `not-borrowed`, `not-in-hand`,
    those of `record_transfer`."""
    return record_transfer(store, request, partial(_return, request), what=RETURN, **more)


def _out(request: LoanOutRequest, world: World, unit: UnitStateRow, sequence: int) -> Planned:
    refuse_unless_at(world, unit, IN_HAND, remedy="Record first that it came off, or is back: fleetlife swap record.")
    owner = world.openings([unit.unit_id])[unit.unit_id].owner
    notes = ["What it flies there is not in these records: when it is back, its paper must say what it ran."]
    if owner:
        notes.append(f"It is {owner}'s, by its opening statement; back to its owner: fleetlife loan return.")
    if request.back_by is None:
        notes.append("No day by which it is to be back is stated: that it is late will never be found.")
    fact = Transfer(
        unit=unit.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target="loan",
        organisation=request.organisation,
        condition=request.condition,
        order=request.order,
        expected_back=None if request.back_by is None else request.back_by.isoformat(),
        reference=request.reference,
        signed_by=request.signed_by,
    )
    return Planned(fact=fact, notes=notes)


def _back(request: LoanBackRequest, world: World, unit: UnitStateRow, sequence: int) -> Planned:
    if unit.kind != "loan":
        raise Refusal(
            "not-on-loan",
            f"The records do not have {name_of(unit)} on loan.",
            remedy=f"fleetlife unit {name_of(unit)} shows where it is.",
        )
    since = day_text(day_of(unit.since_moment))
    fact = Transfer(
        unit=unit.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target="store",
        store=request.store,
        bin=request.bin,
        condition=request.condition or "unknown",
        harness=request.harness or "unknown",
        order=request.order,
        certificate=request.certificate,
        certificate_organisation=request.certificate_organisation,
        reference=request.reference,
        signed_by=request.signed_by,
    )
    notes = [
        f"It was away since {since}. Nothing that it flew or that was done to it there is counted here: take in what "
        "its paper says, and file its release, before it is fitted."
    ]
    return Planned(fact=fact, notes=notes)


def _return(request: LoanReturnRequest, world: World, unit: UnitStateRow, sequence: int) -> Planned:
    owner = world.openings([unit.unit_id])[unit.unit_id].owner
    if not owner:
        raise Refusal(
            "not-borrowed",
            f"The records name no owner of {name_of(unit)}.",
            remedy="State the owner in its opening statement (fleetlife ledger correct), or lend it out with fleetlife "
            "loan out.",
        )
    refuse_unless_at(
        world,
        unit,
        IN_HAND,
        remedy="Record first that it came off: fleetlife swap record with --remove-only --removal-kind loan_return.",
    )
    fact = Transfer(
        unit=unit.unit_id,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        target="loan",
        organisation=owner,
        condition=request.condition,
        order=request.order,
        reference=request.reference,
        signed_by=request.signed_by,
    )
    return Planned(fact=fact, notes=["Its log card goes with it: fleetlife unit PART SERIAL --log-card."])

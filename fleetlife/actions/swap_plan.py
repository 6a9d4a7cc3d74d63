"""`swap plan`: a swap gets its number, before anything is touched: which unit is to go where, to which data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fleetlife.actions.settle import entered, world_at_head
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.ground import ground_times
from fleetlife.clocks.swaps import card_of, swap_named
from fleetlife.clocks.world import World
from fleetlife.dates.partial import day_text
from fleetlife.follows.swaps import swap_lives
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.swaps import SwapPlan
from fleetlife.planning.ground import holding, next_after
from fleetlife.store.engine import Store
from fleetlife.store.swaps import door_facts, planned_swap
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms import words
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.swaps import WorkRecorded


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest:
    """What is planned. `swap` None: the number follows from the entry. `install` None: a removal, or not yet chosen."""

    registration: str
    position: str
    on: date
    planned_by: str
    swap: str | None = None
    install: UnitName | None = None
    target: date | None = None
    work_order: str | None = None
    data_reference: str | None = None
    data_revision: str | None = None
    remarks: str | None = None


def plan_swap(
    store: Store, request: PlanRequest, *, as_of: date, recorded_by: str, preview: bool = False
) -> WorkRecorded:
    """Record the plan; the unit that hangs at the position on that day is the one to come off.

    Refusals: `in-the-future`, `name-missing`, `target-before-the-plan`, `swap-number-taken`, `position-has-a-swap`,
    `removed-and-installed`, `registration-*`, `position-unknown`, `unit-unknown`, `unit-ambiguous`.
    """
    refuse_to_come(
        request.on, as_of=as_of, said="a plan is recorded when it has been made; the day it is for is --target"
    )
    if not request.planned_by.strip():
        raise Refusal("name-missing", "Nobody is named who plans it.", remedy="Say who with --by.", status=2)
    if request.target is not None and request.target < request.on:
        raise Refusal(
            "target-before-the-plan",
            f"The target {request.target.isoformat()} lies before the plan of {request.on.isoformat()}.",
            remedy="Correct one of the two days.",
        )

    def work(writer: Writer) -> WorkRecorded:
        return _plan(writer, store, request, as_of)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _plan(writer: Writer, store: Store, request: PlanRequest, as_of: date) -> WorkRecorded:
    number = writer.head.number + 1
    world = world_at_head(writer, store, as_of=request.on)
    reference = world.reference
    airframe = reference.airframe_on(request.registration, request.on.toordinal())
    place = reference.position_of(airframe, request.position)
    incoming = None
    if request.install is not None:
        unit = request.install
        incoming = world.unit_named(unit.part_number, unit.serial_number, unit.manufacturer)
    hanging = [row.unit_id for row in world.installed_on(airframe) if row.position == place.position]
    outgoing = hanging[0] if hanging else None
    if incoming is not None and incoming == outgoing:
        raise Refusal(
            "removed-and-installed",
            f"The unit named hangs at {place.position} already.",
            remedy="Name the unit that is to go on; or leave it out, where it is not chosen yet.",
        )
    named = (request.swap or "").strip() or f"SW{number}"
    _refuse_taken(writer, named, airframe, place.position)
    fact = SwapPlan(
        swap=named,
        airframe=airframe,
        position=place.position,
        planned_on=request.on.isoformat(),
        target_on=None if request.target is None else request.target.isoformat(),
        incoming=incoming,
        outgoing=outgoing,
        planned_by=request.planned_by.strip(),
        work_order=request.work_order,
        data_reference=request.data_reference,
        data_revision=request.data_revision,
        remarks=request.remarks,
    )
    after = entered(
        writer, Draft(kind=SwapPlan.KIND, on=fact.planned_on, items=(fact,)), reference=reference, as_of=as_of
    )
    return WorkRecorded(
        first_entry=number,
        entries=1,
        ledger_head=writer.head.digest,
        told=(f"Swap {named} is planned.", *_outside(world, request, airframe), *world.notes),
        card=card_of(after, swap_named(after, named)),
    )


def _outside(world: World, request: PlanRequest, airframe: int) -> tuple[str, ...]:
    """That the target lies in no ground time of the airframe, where ground times of it are known."""
    periods = ground_times(world, airframe)
    if request.target is None or not periods or holding(periods, request.target.toordinal()) is not None:
        return ()
    around = [
        f"{word} from {day_text(period.first)} until {day_text(period.last)} at {period.station}"
        for word, period in (
            ("before it", max((p for p in periods if p.last < request.target.toordinal()), default=None)),
            ("after it", next_after(periods, request.target.toordinal())),
        )
        if period is not None
    ]
    where = f"; {', '.join(around)}" if around else ""
    return (f"The target {request.target.isoformat()} lies in no ground time of {request.registration}{where}.",)


def _refuse_taken(writer: Writer, named: str, airframe: int, position: str) -> None:
    if planned_swap(writer.connection, named) is not None:
        raise Refusal(
            "swap-number-taken",
            f"There is a swap {named} already.",
            remedy=f"Look at it: fleetlife swap show {named}; or leave --number out, and it gets one of its own.",
        )
    lives = swap_lives(door_facts(writer.connection, [airframe])[airframe])
    for life in lives.values():
        if life.plan.position == position and life.state not in words.SWAPS_OVER:
            raise Refusal(
                "position-has-a-swap",
                f"Swap {life.plan.swap} is open at {position} (entry {life.entry}): {life.state}.",
                remedy=f"Go on with it (fleetlife swap show {life.plan.swap}), or give it up "
                f"(fleetlife swap give-up {life.plan.swap}).",
            )

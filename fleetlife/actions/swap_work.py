"""What is done for a planned swap beside the change of the unit: steps, safety devices, locks, tests, retained items,
gauges, signatures and the release. One thing or a filled sheet of them, all or nothing.

The tool records and checks; what is done, and how, the current approved maintenance data says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.settle import entered, world_at_head
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import SwapRequest, UnitName, record_within
from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.swaps import SwapInWorld, card_of, points_of, swap_named
from fleetlife.clocks.world import World
from fleetlife.follows.swaps import SETTLES, TOLD, authorised, expected_at, last_of, retained_items
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.swaps import GaugeReading, PositionWork, SwapSignature, SwapStep
from fleetlife.store.append import request_answered
from fleetlife.store.engine import Store
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms import words
from fleetlife.terms.measure import thousandths_text
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.swaps import WorkRecorded
from fleetlife.terms.words import OUTCOMES, SIGNATURE_ROLES

CATEGORY_OF = {outcome: category for category, outcomes in OUTCOMES.items() for outcome in outcomes}
# What must have been recorded before the other of a pair.
BEFORE = {"removed": "placed", "remade": "broken"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """The swap is `begun` or `given_up`; `checked`: the fitting was asked about, and its answer is kept."""

    step: str
    on: date
    by: str
    why: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What was done or seen of an item; the outcome says of which category it is. `unlisted`: no data asks for it."""

    item: str
    outcome: str
    on: date
    by: str
    value: str | None = None
    reference: str | None = None
    unlisted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """What a gauge showed, both in thousandths. `unit` None: the one unit fitted whose part has a table."""

    pressure: int
    pressure_unit: str
    millicelsius: int
    on: date
    by: str
    unit: UnitName | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sign:
    """A signature in one of words.SIGNATURE_ROLES. `alone`: why the one who did the work inspects it."""

    role: str
    on: date
    by: str
    alone: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The change of the unit itself, as `swap record` takes it; registration and position are the plan's."""

    request: SwapRequest
    acknowledged: tuple[Acknowledgement, ...] = ()


Wanted = Step | Work | Gauge | Sign | Change


def record_work(
    store: Store,
    number: str,
    wanted: Sequence[Wanted],
    *,
    as_of: date,
    recorded_by: str,
    request_key: str | None = None,
    preview: bool = False,
) -> WorkRecorded:
    """Record what was done for a swap, in this order, each as an entry of its own: all of it or nothing.

    Refusals: `swap-unknown`, `swap-over`, `in-the-future`, `name-missing`, `reason-missing`, `nothing-to-record`,
    `item-unknown`, `not-placed`, `placed-already`, `gauge-of-which`, `not-done`, `inspected-own-work`,
    `not-authorised`, `not-releasable` (every open point in the details), `request-key-reused`, those of
    `actions.swap.record_swap`.
    """
    if not wanted:
        raise Refusal("nothing-to-record", "Nothing is said to have been done.", remedy="Name one thing at least.")
    for each in wanted:
        _refuse_unfit(each, as_of)

    def work(writer: Writer) -> WorkRecorded:
        return _record(writer, store, number, wanted, as_of, request_key)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _refuse_unfit(wanted: Wanted, as_of: date) -> None:
    on = wanted.request.on if isinstance(wanted, Change) else wanted.on
    refuse_to_come(on, as_of=as_of, said="what was done for a swap is recorded when it has happened")
    if not isinstance(wanted, Change) and not wanted.by.strip():
        raise Refusal("name-missing", "Nobody is named who did it.", remedy="Say who with --by.", status=2)
    if isinstance(wanted, Step) and wanted.step == "given_up" and not (wanted.why or "").strip():
        raise Refusal("reason-missing", "Why it is given up is not said.", remedy="Say it with --why.", status=2)
    if isinstance(wanted, Sign) and wanted.role not in SIGNATURE_ROLES:
        raise Refusal(
            "word-not-known",
            f"{wanted.role!r} is no role in which a swap is signed." + did_you_mean(wanted.role, SIGNATURE_ROLES),
            remedy=f"Allowed are {', '.join(SIGNATURE_ROLES)}.",
        )
    if isinstance(wanted, Work) and wanted.outcome not in CATEGORY_OF:
        raise Refusal(
            "word-not-known",
            f"{wanted.outcome!r} is nothing that can be said of an item." + did_you_mean(wanted.outcome, CATEGORY_OF),
            remedy=f"Allowed are {', '.join(CATEGORY_OF)}.",
        )


def _record(
    writer: Writer, store: Store, number: str, wanted: Sequence[Wanted], as_of: date, request_key: str | None
) -> WorkRecorded:
    first, key = writer.head.number + 1, request_key
    said = digest(canonical([repr(each) for each in (number, *wanted)]))
    if key is not None and (answered := request_answered(writer.connection, key, said)) is not None:
        world = world_at_head(writer, store, as_of=as_of)
        return WorkRecorded(
            first_entry=answered[0],
            entries=len(answered),
            ledger_head=writer.head.digest,
            told=("This was recorded already.",),
            card=card_of(world, swap_named(world, number)),
            already=True,
        )
    told: list[str] = []
    world = world_at_head(writer, store, as_of=as_of)
    for each in wanted:
        swap = swap_named(world, number)
        _refuse_over(swap)
        if isinstance(each, Change):
            told.extend(_change(writer, store, world, swap, each, as_of))
            world = world_at_head(writer, store, as_of=as_of)
            continue
        fact, says = _fact_of(world, swap, each)
        draft = Draft(kind=fact.KIND, on=fact.dated(), sequence=getattr(fact, "sequence", None), items=(fact,))
        world = entered(writer, draft, reference=world.reference, as_of=as_of)
        told.extend(says)
    if key is not None:
        writer.answered(key, said, first)
    return WorkRecorded(
        first_entry=first,
        entries=writer.head.number - first + 1,
        ledger_head=writer.head.digest,
        told=tuple(told),
        card=card_of(world, swap_named(world, number)),
    )


def _refuse_over(swap: SwapInWorld) -> None:
    state, plan = swap.life.state, swap.life.plan
    if state in words.SWAPS_OVER:
        raise Refusal(
            "swap-over",
            f"Swap {plan.swap} is {state}: nothing more is recorded for it.",
            remedy=f"What is wrong in it is put right by its entry: fleetlife swap show {plan.swap}, fleetlife ledger "
            "correct. Other work at the position: a new swap, or a row of position_work.",
        )


def _change(writer: Writer, store: Store, world: World, swap: SwapInWorld, change: Change, as_of: date) -> list[str]:
    """The movement itself, for this swap."""
    request, plan = change.request, swap.life.plan
    on = request.on.toordinal()
    install = request.install or (None if request.remove_only else _planned_unit(world, plan.incoming))
    request = replace(
        request,
        registration=request.registration or world.reference.registration_on(plan.airframe, on),
        position=request.position or plan.position,
        install=install,
        work_order=request.work_order or plan.work_order,
        data_reference=request.data_reference or plan.data_reference,
        data_revision=request.data_revision or plan.data_revision,
        swap=plan.swap,
    )
    recorded = record_within(writer, store, request, as_of=as_of, acknowledged=change.acknowledged)
    return [f"The change of the unit is recorded, entry {recorded.entry}."]


def _planned_unit(world: World, unit: int | None) -> UnitName | None:
    """The unit that was planned to go on, by its numbers."""
    state = None if unit is None else world.states([unit]).get(unit)
    if state is None:
        return None
    return UnitName(part_number=state.part_number, serial_number=state.serial_number, manufacturer=state.manufacturer)


def _fact_of(world: World, swap: SwapInWorld, wanted: Step | Work | Gauge | Sign) -> tuple[Fact, list[str]]:
    """The fact to be recorded, and what is told of it."""
    if isinstance(wanted, Step):
        return _step(world, swap, wanted)
    if isinstance(wanted, Work):
        return _work(swap, world, wanted)
    if isinstance(wanted, Gauge):
        return _gauge(world, swap, wanted)
    return _sign(world, swap, wanted)


def _step(world: World, swap: SwapInWorld, wanted: Step) -> tuple[Fact, list[str]]:
    plan, day = swap.life.plan, wanted.on.isoformat()
    if wanted.step == "given_up" and swap.life.movements:
        raise Refusal(
            "swap-done",
            f"The unit was changed on {swap.life.done_on}: a swap that was done is released, and not given up.",
            remedy=f"See what is open: fleetlife swap show {plan.swap}.",
        )
    checked: dict[str, Any] = {}
    says = [f"Swap {plan.swap} is {wanted.step.replace('_', ' ')}."]
    if wanted.step == "checked":
        if plan.incoming is None:
            raise Refusal(
                "unit-not-chosen",
                f"No unit is planned to go on for {plan.swap}.",
                remedy="Give it up and plan it anew with the unit, or ask without --swap.",
            )
        answer = check_fitting(world, airframe=plan.airframe, position=plan.position, unit_id=plan.incoming)
        checked = {
            "incoming": plan.incoming,
            "answer": answer.outcome,
            "stops": sum(1 for reason in answer.reasons if reason.verdict == "stop"),
            "conditions": sum(1 for reason in answer.reasons if reason.verdict == "condition"),
            "ledger_head": answer.about.ledger_head,
        }
        says = [
            f"Checked: {answer.outcome}.",
            *(f"{each.verdict}: {each.text}" for each in answer.reasons if each.verdict in ("stop", "condition")),
        ]
    taken = [step.sequence for _, step in swap.life.steps if (step.step, step.stepped_on) == (wanted.step, day)]
    fact = SwapStep(
        swap=plan.swap,
        airframe=plan.airframe,
        step=wanted.step,
        stepped_on=day,
        sequence=max(taken, default=0) + 1,
        signed_by=wanted.by.strip(),
        why=wanted.why,
        **checked,
    )
    return fact, says


def _work(swap: SwapInWorld, world: World, wanted: Work) -> tuple[Fact, list[str]]:
    plan, day = swap.life.plan, wanted.on.isoformat()
    category = CATEGORY_OF[wanted.outcome]
    item = _item_named(swap, world, category, wanted)
    if category == "test" and not swap.life.movements:
        raise Refusal(
            "not-done",
            f"The change of the unit of {plan.swap} is not recorded: what is tested before it shows nothing of it.",
            remedy=f"Record the change first: fleetlife swap record --swap {plan.swap}.",
        )
    last = last_of(swap.works, category).get(fold(item))
    _refuse_out_of_turn(item, wanted.outcome, last)
    taken = [work.sequence for _, work in swap.works if work.worked_on == day]
    run = None
    if category == "test":
        run = 1 + sum(1 for _, work in swap.life.works if work.category == "test" and fold(work.item) == fold(item))
    fact = PositionWork(
        airframe=plan.airframe,
        position=plan.position,
        category=category,
        item=item,
        outcome=wanted.outcome,
        worked_on=day,
        sequence=max(taken, default=0) + 1,
        swap=plan.swap,
        run=run,
        value=wanted.value,
        signed_by=wanted.by.strip(),
        reference=wanted.reference,
    )
    return fact, [f"{item}: {TOLD[wanted.outcome]}, signed by {fact.signed_by}."]


def _item_named(swap: SwapInWorld, world: World, category: str, wanted: Work) -> str:
    """The item as the data, or an entry before, spells it. Refusal: `item-unknown`, with the nearest."""
    listed = [row.item for row in expected_at(swap.position, world.reference) if row.category == category]
    if category == "retained":
        listed = list(retained_items(swap.position))
    known = {
        fold(name): name for name in (*listed, *(work.item for _, work in swap.works if work.category == category))
    }
    if fold(wanted.item) in known:
        return known[fold(wanted.item)]
    if wanted.unlisted:
        return wanted.item.strip()
    word = {"device": "safety device", "lock": "lock", "test": "test", "retained": "retained item"}[category]
    raise Refusal(
        "item-unknown",
        f"No {word} {wanted.item} is asked for at {swap.position.position} of {swap.position.type}."
        + did_you_mean(wanted.item, known.values()),
        remedy=(f"Known are {', '.join(known.values())}. " if known else "")
        + "One that no data asks for is recorded with --unlisted.",
    )


def _refuse_out_of_turn(item: str, outcome: str, last: tuple[int, PositionWork] | None) -> None:
    """A device is removed that was placed, and placed that is not in. Refusals: `not-placed`, `placed-already`."""
    first = BEFORE.get(outcome)
    if first is not None and (last is None or last[1].outcome != first):
        how = "nothing is recorded of it" if last is None else f"it was {TOLD[last[1].outcome]} (entry {last[0]})"
        raise Refusal(
            "not-placed",
            f"{item} is said to be {TOLD[outcome]}, and was never recorded as {TOLD[first]}: {how}.",
            remedy=f"Record when it was {TOLD[first]} first.",
        )
    if outcome in BEFORE.values() and last is not None and last[1].outcome == outcome:
        raise Refusal(
            "placed-already",
            f"{item} was {TOLD[outcome]} on {last[1].worked_on} by {last[1].signed_by} (entry {last[0]}).",
            remedy=f"Record when it was {TOLD[SETTLES[CATEGORY_OF[outcome]][0]]}; two of one kind bear two names.",
        )
    if outcome.startswith("not_") and CATEGORY_OF[outcome] != "retained" and last is not None:
        if last[1].outcome not in SETTLES[last[1].category]:
            raise Refusal(
                "placed-already",
                f"{item} was {TOLD[last[1].outcome]} on {last[1].worked_on} (entry {last[0]}).",
                remedy="If that entry is wrong, withdraw it: fleetlife ledger withdraw.",
            )


def _gauge(world: World, swap: SwapInWorld, wanted: Gauge) -> tuple[Fact, list[str]]:
    plan, day = swap.life.plan, wanted.on.isoformat()
    unit = _gauged_unit(world, swap, wanted)
    state = world.states([unit]).get(unit)
    taken = [
        recorded.fact.sequence
        for recorded in world.facts([unit])[unit]
        if isinstance(recorded.fact, GaugeReading) and recorded.fact.unit == unit and recorded.fact.read_on == day
    ]
    fact = GaugeReading(
        unit=unit,
        read_on=day,
        sequence=max(taken, default=0) + 1,
        pressure=wanted.pressure,
        pressure_unit=wanted.pressure_unit,
        millicelsius=wanted.millicelsius,
        seen_by=wanted.by.strip(),
        swap=plan.swap,
        airframe=plan.airframe,
        reference=wanted.reference,
    )
    name = "" if state is None else f"{state.part_number} {state.serial_number}"
    says = (
        f"Gauge of {name}: {thousandths_text(fact.pressure)} {fact.pressure_unit} at "
        f"{thousandths_text(fact.millicelsius)} °C, read by {fact.seen_by}."
    )
    return fact, [says]


def _gauged_unit(world: World, swap: SwapInWorld, wanted: Gauge) -> int:
    """Whose gauge was read. Refusal: `gauge-of-which`."""
    if wanted.unit is not None:
        name = wanted.unit
        unit = world.unit_named(name.part_number, name.serial_number, name.manufacturer)
        held = world.tree_of(swap.life.incoming) if swap.life.incoming is not None else {}
        if held and unit not in held:
            raise Refusal(
                "gauge-of-which",
                f"{name.part_number} {name.serial_number} is not what is fitted, nor in it.",
                remedy="Name the unit fitted, or what it holds.",
            )
        return unit
    named = {gauge.item for gauge in swap.gauges}
    if len(named) != 1:
        told = f"{len(named)} units to be fitted have a table of pressures" if named else "No unit to be fitted has one"
        raise Refusal(
            "gauge-of-which",
            f"Whose gauge was read is not said: {told}.",
            remedy="Name the unit: PART SERIAL.",
        )
    tree = world.tree_of(swap.life.incoming or 0)
    return next(u for u, state in tree.items() if f"{state.part_number} {state.serial_number}" in named)


def _sign(world: World, swap: SwapInWorld, wanted: Sign) -> tuple[Fact, list[str]]:
    plan, day, by = swap.life.plan, wanted.on.isoformat(), wanted.by.strip()
    if not swap.life.movements:
        raise Refusal(
            "not-done",
            f"The change of the unit of {plan.swap} is not recorded, so there is nothing to sign for.",
            remedy=f"Record it first: fleetlife swap record --swap {plan.swap}.",
        )
    if swap.life.done_on is not None and day < swap.life.done_on:
        raise Refusal(
            "not-done",
            f"On {day} the unit was not changed yet: that was on {swap.life.done_on}.",
            remedy="Correct the day of the signature.",
        )
    alone = (wanted.alone or "").strip() or None
    performers = {fold(signature.signed_by) for _, signature in swap.life.signed("performed")}
    inspectors = {
        fold(signature.signed_by) for _, signature in swap.life.signed("inspected") if not signature.exception
    }
    own = (wanted.role == "inspected" and fold(by) in performers) or (
        wanted.role == "performed" and fold(by) in inspectors
    )
    if own and (wanted.role == "performed" or alone is None):
        raise Refusal(
            "inspected-own-work",
            f"{by} signs both that the work was performed and that it was independently inspected.",
            remedy="Another person inspects. Where a second one is unforeseeably absent, say why with --alone: it is "
            "recorded as the published exception and stays visible.",
        )
    if alone is not None and not own:
        raise Refusal(
            "no-exception-needed",
            f"{by} did not sign that the work was performed: this is no inspection of own work.",
            remedy="Leave --alone out.",
        )
    held, why = authorised(by, wanted.role, swap.position, world.reference, day)
    if held is None:
        raise Refusal(
            "not-authorised",
            f"{by} may not sign {wanted.role} for {plan.swap} on {day}: {why}.",
            remedy="Somebody who may signs; what persons may sign is stated in the authorisations file.",
        )
    if wanted.role == "released":
        _refuse_open(world, swap)
    taken = [s.sequence for _, s in swap.life.signatures if (s.role, s.signed_on) == (wanted.role, day)]
    fact = SwapSignature(
        swap=plan.swap,
        airframe=plan.airframe,
        role=wanted.role,
        signed_on=day,
        sequence=max(taken, default=0) + 1,
        signed_by=by,
        exception=alone,
        reference=wanted.reference,
    )
    return fact, [f"Signed {wanted.role} by {by}: {why}."]


def _refuse_open(world: World, swap: SwapInWorld) -> None:
    points = points_of(swap, world)
    if points:
        raise Refusal(
            "not-releasable",
            f"{swap.position.position} cannot be released: {len(points)} point{'s' if len(points) != 1 else ''} open.",
            remedy=f"Settle each; fleetlife swap show {swap.life.plan.swap} lists them.",
            details=tuple(point.text for point in points),
        )

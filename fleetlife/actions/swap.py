"""`swap record`: a removal and an installation at one position as one thing, with the stops acknowledged.

What really happened can always be recorded. A stop finding of the fitting is acknowledged by name and reason, or the
entry is not made; acknowledged, it stays open on the airframe. Refused is only what cannot be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any

from fleetlife.actions.acknowledge import Acknowledgement, notes_of
from fleetlife.actions.follow import Followed
from fleetlife.actions.settle import settle, world_after
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.clocks.due_rows import due_rows_of
from fleetlife.clocks.fitting import check_fitting
from fleetlife.clocks.plans import plans_overtaken
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.moment import LAST_SEQUENCE, day_of, moment_of, sequence_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.order import STEP
from fleetlife.follows.place import stay_before
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import PlacementRow, UnitStateRow
from fleetlife.follows.swaps import swap_lives
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Movement
from fleetlife.store.append import request_answered
from fleetlife.store.engine import Store
from fleetlife.store.places import placements_at_positions, placements_of
from fleetlife.store.readings import bounds
from fleetlife.store.reference import current_reference
from fleetlife.store.swaps import door_facts, planned_swap
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms import words
from fleetlife.terms.finding import Finding
from fleetlife.terms.measure import hours_text
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow, Reason, SwapAnswer, SwapRecorded


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitName:
    """A unit as quoted: part number, serial number and, where two would answer, the manufacturer."""

    part_number: str
    serial_number: str
    manufacturer: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapRequest:
    """What happened at a position. `remove` None with a unit recorded there and one to install: that unit came off.

    `found`: the unit that really hung there when the records hold another. `remove_only` is a removal without a
    fitting. Hours are airframe minutes.
    """

    registration: str
    position: str
    on: date
    install: UnitName | None = None
    remove: UnitName | None = None
    found: UnitName | None = None
    remove_only: bool = False
    sequence: int | None = None
    removed_to: str | None = None
    removed_to_name: str | None = None
    removed_condition: str | None = None
    removal_kind: str | None = None
    defect: str | None = None
    minutes_total: int | None = None
    cycles_total: int | None = None
    certificate: str | None = None
    certificate_organisation: str | None = None
    harness: str | None = None
    technical_log: str | None = None
    work_order: str | None = None
    data_reference: str | None = None
    data_revision: str | None = None
    station: str | None = None
    time_utc: str | None = None
    signed_by: str | None = None
    inspected_by: str | None = None
    released_by: str | None = None
    swap: str | None = None


# What the request states of the movement word for word.
AS_STATED = (
    "removed_to",
    "removed_to_name",
    "removed_condition",
    "removal_kind",
    "defect",
    "minutes_total",
    "cycles_total",
    "certificate",
    "certificate_organisation",
    "harness",
    "technical_log",
    "work_order",
    "data_reference",
    "data_revision",
    "station",
    "time_utc",
    "signed_by",
    "inspected_by",
    "released_by",
    "swap",
)


@dataclass(slots=True)
class Prepared:
    """A movement ready to be recorded: the fact, the fitting's answer before it, and who is concerned."""

    movement: Movement
    answer: SwapAnswer | None
    outgoing: UnitStateRow | None
    displaced: UnitStateRow | None


def record_swap(
    store: Store,
    request: SwapRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
    tell: bool = True,
) -> SwapRecorded:
    """Record the swap, or with `preview` show what it would change and record nothing.

    Without `tell` the answer names the entry and the findings alone, not before, after and what falls due.
    Refusals: `stops-not-acknowledged` (every stop in the details), `nothing-to-record`, `not-at-position`,
    `removed-and-installed`, `position-empty`,
    `totals-fall`, `in-the-future`, the contradictions of the derivation, `request-key-reused`.
    """
    refuse_to_come(request.on, as_of=as_of, said="a swap is recorded when it has happened")

    def work(writer: Writer) -> SwapRecorded:
        wanted = digest(canonical(stated_in(request)))
        if request_key is not None:
            answered = request_answered(writer.connection, request_key, wanted)
            if answered is not None:
                return SwapRecorded(
                    entry=answered[0],
                    ledger_head=writer.head.digest,
                    before=(),
                    after=(),
                    due=(),
                    findings=(),
                    already=True,
                )
        reference = current_reference(writer.connection, store.kept)
        return _record(writer, request, as_of, acknowledged, request_key, wanted, reference, preview, tell)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def record_within(
    writer: Writer, store: Store, request: SwapRequest, *, as_of: date, acknowledged: Sequence[Acknowledgement] = ()
) -> SwapRecorded:
    """Record the swap in a transaction that records more. Refusals: those of `record_swap`."""
    refuse_to_come(request.on, as_of=as_of, said="a swap is recorded when it has happened")
    reference = current_reference(writer.connection, store.kept)
    return _record(writer, request, as_of, acknowledged, None, "", reference, False, False)


def stated_in(request: Any) -> dict[str, Any]:
    """Every field of a request that says something, as canonical JSON can hold it, for its digest."""
    body: dict[str, Any] = {}
    for each in fields(request):
        value = getattr(request, each.name)
        if isinstance(value, UnitName):
            value = [value.part_number, value.serial_number, value.manufacturer]
        elif isinstance(value, date):
            value = value.isoformat()
        if value is not None:
            body[each.name] = value
    return body


def _record(
    writer: Writer,
    request: SwapRequest,
    as_of: date,
    acknowledged: Sequence[Acknowledgement],
    request_key: str | None,
    request_digest: str,
    reference: Reference,
    preview: bool,
    tell: bool,
) -> SwapRecorded:
    world = open_world(
        writer.connection, as_of=request.on, reference=reference, head=(writer.head.number, writer.head.digest)
    )
    prepared = prepare(world, request)
    stops = () if prepared.answer is None else stops_of(prepared)
    notes = acknowledged_in(stops, acknowledged, prepared, preview)
    movement = prepared.movement
    draft = Draft(
        kind=Movement.KIND,
        on=movement.moved_on,
        sequence=movement.sequence,
        items=(movement,),
        acknowledged=notes,
    )
    first = writer.head.number + 1
    writer.append([draft], request_key=request_key, request_digest=request_digest)
    followed = settle(
        writer,
        [draft],
        first_number=first,
        reference=world.reference,
        totals=None if world.past else world.totals(),
        gathered=world.gathered,
    )
    units = [unit for unit in (movement.installed, movement.removed, movement.displaced) if unit is not None]
    if not tell:
        return SwapRecorded(
            entry=first,
            ledger_head=writer.head.digest,
            before=(),
            after=(),
            due=(),
            findings=tuple(finding_in(reason, prepared) for reason in stops),
        )
    return _told(writer, world, prepared, stops, units, followed, as_of, first)


def prepare(world: World, request: SwapRequest) -> Prepared:
    """Resolve names, the order of the day and who comes off; judge the fitting. Nothing is written."""
    connection = world.connection
    airframe = world.reference.airframe_on(request.registration, request.on.toordinal())
    place = world.reference.position_of(airframe, request.position)
    if request.swap is not None:
        request = replace(request, swap=_planned(world, request.swap, airframe, place.position))
    stays = placements_at_positions(connection, [(airframe, place.position)])
    installed = _unit(world, request.install)
    named = _unit(world, request.found or request.remove)
    day = request.on.toordinal()
    units = [unit for unit in (installed, named) if unit is not None]
    sequence = request.sequence if request.sequence is not None else next_sequence(connection, units, stays, day)
    moment = moment_of(day, sequence)
    believed = stay_before(stays, moment)
    if request.found is not None:
        removed, displaced = _found(request, named, believed)
    else:
        removed, displaced = _removed(request, place.position, named, believed), None
    if removed is None and installed is None:
        raise Refusal(
            "nothing-to-record",
            f"Nothing comes off {place.position} and nothing is fitted.",
            remedy="Name the unit fitted with --install, the unit removed with --remove, or both.",
        )
    if removed is not None and removed == installed:
        raise Refusal(
            "removed-and-installed",
            f"The unit fitted is the one that the records hold at {place.position}, and would come off by this.",
            remedy="If it came off and was fitted again, record the removal with --remove-only first; if another unit "
            "hung there, name it with --found.",
        )
    found = request.found is not None
    movement = Movement(
        airframe=airframe,
        position=place.position,
        moved_on=request.on.isoformat(),
        sequence=sequence,
        removed=removed,
        installed=installed,
        found=found,
        displaced=displaced,
        **{name: getattr(request, name) for name in AS_STATED},
    )
    check_totals(
        connection, airframe=airframe, on=request.on, minutes=request.minutes_total, cycles=request.cycles_total
    )
    world.gather(unit for unit in (installed, removed, displaced) if unit is not None)
    answer = None
    if installed is not None:
        answer = check_fitting(world, airframe=airframe, position=place.position, unit_id=installed)
        if request.harness:
            answer = _with_harness(answer, request.harness, place.harness)
    concerned = world.states([unit for unit in (removed, displaced) if unit is not None])
    return Prepared(
        movement=movement,
        answer=answer,
        outgoing=concerned.get(removed) if removed is not None else None,
        displaced=concerned.get(displaced) if displaced is not None else None,
    )


def _planned(world: World, number: str, airframe: int, position: str) -> str:
    """The number of the planned swap that this carries out. Refusals: `swap-unknown`, `swap-elsewhere`, `swap-over`."""
    plan = planned_swap(world.connection, number)
    if plan is None:
        raise Refusal(
            "swap-unknown",
            f"No swap {number} is planned.",
            remedy="Correct the number (fleetlife swap list), or record the swap without one.",
        )
    if (plan.airframe, plan.position) != (airframe, position):
        raise Refusal(
            "swap-elsewhere",
            f"Swap {plan.swap} is planned for {plan.position} of {world.registration(plan.airframe)}.",
            remedy="Correct the number, or record the swap without one.",
        )
    facts = door_facts(world.connection, [airframe])[airframe]
    state = swap_lives(facts)[plan.swap].state
    if state in words.SWAPS_OVER:
        raise Refusal(
            "swap-over",
            f"Swap {plan.swap} is {state}.",
            remedy="Plan another (fleetlife swap plan), or record the swap without one.",
        )
    return plan.swap


def _unit(world: World, name: UnitName | None) -> int | None:
    if name is None:
        return None
    return world.unit_named(name.part_number, name.serial_number, name.manufacturer)


def next_sequence(connection: Any, units: Sequence[int], stays: Sequence[PlacementRow], day: int) -> int:
    """After everything recorded of the day for these units and this position."""
    rows = [*placements_of(connection, units), *stays] if units else list(stays)
    moments = [m for row in rows for m in (row.from_moment, row.until_moment) if m is not None and day_of(m) == day]
    taken = max((sequence_of(m) for m in moments if sequence_of(m) != LAST_SEQUENCE), default=0)
    return taken + STEP


def _found(request: SwapRequest, named: int | None, believed: PlacementRow | None) -> tuple[int | None, int | None]:
    """The unit found comes off, the believed one is displaced. A found unit that is the believed one is no find."""
    if request.remove is not None:
        raise Refusal(
            "found-and-removed",
            "--found already says which unit hung there and came off.",
            remedy="Leave --remove out.",
        )
    if believed is not None and believed.unit_id == named:
        return named, None
    return named, None if believed is None else believed.unit_id


def _removed(request: SwapRequest, position: str, named: int | None, believed: PlacementRow | None) -> int | None:
    if named is None:
        if request.remove_only and believed is None:
            raise Refusal(
                "position-empty",
                f"The records hold no unit at {position} on {request.on.isoformat()}.",
                remedy="If a unit hung there, record it with --found PART SERIAL.",
            )
        return None if believed is None else believed.unit_id
    if believed is not None and believed.unit_id == named:
        return named
    if believed is None:
        raise Refusal(
            "position-empty",
            f"The records hold no unit at {position} on {request.on.isoformat()}.",
            remedy="If the unit really hung there, record it with --found instead of --remove.",
        )
    since = day_text(day_of(believed.from_moment))
    raise Refusal(
        "not-at-position",
        f"The records hold another unit at {position} since {since} (entry {believed.entry}).",
        remedy="If the unit you name really hung there, record it with --found instead of --remove.",
    )


def check_totals(connection: Any, *, airframe: int, on: date, minutes: int | None, cycles: int | None) -> None:
    """Stated totals lie between the readings around the day. Refusal: `totals-fall`."""
    if minutes is None and cycles is None:
        return
    day = on.toordinal()
    keys = [(airframe, day - 1, "before"), (airframe, day, "after")]
    found = bounds(connection, keys)
    before, after = found.get(keys[0]), found.get(keys[1])
    for index, value, name in ((1, minutes, "hours"), (2, cycles, "cycles")):
        if value is None:
            continue
        shown = hours_text(value) if index == 1 else str(value)
        for point, wrong, word in (
            (before, before and value < before[index], "below"),
            (after, after and value > after[index], "above"),
        ):
            if point is not None and wrong:
                there = hours_text(point[index]) if index == 1 else str(point[index])
                raise Refusal(
                    "totals-fall",
                    f"The stated {name} total {shown} is {word} the reading of {day_text(point[0])}, {there}.",
                    remedy="Correct the total; if the reading is wrong, correct its entry first.",
                )


def _with_harness(answer: SwapAnswer, harness: str, wanted: str | None) -> SwapAnswer:
    """The rig stated with the swap answers the condition of a two-hand part."""
    if wanted is None or harness != wanted:
        return answer
    reasons = tuple(
        replace(reason, verdict="clear", text=f"Rigged {harness} for this fitting, as recorded with the swap.")
        if reason.topic == "harness" and reason.verdict == "condition"
        else reason
        for reason in answer.reasons
    )
    return replace(answer, reasons=reasons)


def stops_of(prepared: Prepared) -> tuple[Reason, ...]:
    """The stops of the fitting, and conditions of the harness not met at the fitting."""
    assert prepared.answer is not None
    return tuple(
        reason
        for reason in prepared.answer.reasons
        if reason.verdict == "stop" or (reason.topic == "harness" and reason.verdict == "condition")
    )


def acknowledged_in(
    stops: Sequence[Reason], acknowledged: Sequence[Acknowledgement], prepared: Prepared, preview: bool
) -> tuple[dict[str, str], ...]:
    """The acknowledgements as the entry keeps them. Refusal: `stops-not-acknowledged`."""
    answer = prepared.answer
    return notes_of(
        stops,
        acknowledged,
        subject="" if answer is None else f"{answer.part_number} {answer.serial_number}",
        what="this fitting",
        kept_open="the findings stay open on the airframe.",
        preview=preview,
    )


def _told(
    writer: Writer,
    before_world: World,
    prepared: Prepared,
    stops: Sequence[Reason],
    units: Sequence[int],
    followed: Followed,
    as_of: date,
    entry: int,
) -> SwapRecorded:
    reference = before_world.reference
    world = world_after(writer, before_world, followed, as_of=as_of)
    movement = prepared.movement
    names = {unit: followed.after.unit_states[unit] for unit in units}
    place = f"{reference.registration_on(movement.airframe, day_number(movement.moved_on))} {movement.position}"
    before: list[tuple[str, str]] = []
    after: list[tuple[str, str]] = []
    gone = prepared.outgoing
    if prepared.displaced is not None:
        before.append((place, f"{_name(prepared.displaced)} (believed)"))
        after.append((_name(prepared.displaced), "place unknown since then"))
    if gone is not None:
        before.append((place, _name(gone)) if not movement.found else (_name(gone), _was(gone)))
        after.append((_name(gone), _was(names[gone.unit_id])))
    elif prepared.displaced is None:
        before.append((place, "empty"))
    if movement.installed is not None and prepared.answer is not None:
        where = next((reason.text for reason in prepared.answer.reasons if reason.topic == "place"), "")
        before.append((_name(names[movement.installed]), where))
        after.append((place, f"{_name(names[movement.installed])}, rigged {names[movement.installed].harness}"))
    elif movement.removed is not None:
        after.append((place, "empty"))
    rows: tuple[DueRow, ...] = due_rows_of(world, followed.after.unit_states)
    return SwapRecorded(
        entry=entry,
        ledger_head=writer.head.digest,
        before=tuple(before),
        after=tuple(after),
        due=rows,
        findings=tuple(finding_in(reason, prepared) for reason in stops),
        about=world.about("swap record", airframes={movement.airframe}),
        overtaken=tuple(
            found.message
            for found in plans_overtaken(
                world, [unit for unit in (movement.installed, movement.removed, movement.displaced) if unit is not None]
            )
        ),
    )


def finding_in(reason: Reason, prepared: Prepared) -> Finding:
    from fleetlife.checks.register import REGISTER

    answer = prepared.answer
    assert answer is not None
    known = REGISTER.get(reason.code or "")
    return Finding(
        code=reason.code or "",
        name=known.name if known else reason.topic,
        severity="stop" if reason.verdict == "stop" else "rectify",
        message=reason.text,
        hint=f"fleetlife airframe {answer.registration}",
        registration=answer.registration,
        position=answer.position,
        part_number=answer.part_number,
        serial_number=answer.serial_number,
    )


def _name(unit: UnitStateRow) -> str:
    return f"{unit.part_number} {unit.serial_number}"


def _was(unit: UnitStateRow) -> str:
    where = f"{unit.kind}{' ' + unit.place_name if unit.place_name else ''}"
    if unit.kind == "position":
        where = f"position {unit.position}"
    return f"{where}, {unit.condition}"

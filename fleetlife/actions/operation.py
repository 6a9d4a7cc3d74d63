"""`operation record`: a filling, a pressurisation, an activation or a deployment of a unit, without a file.

What really happened can always be recorded. A filling of a cylinder past its requalification date or its service life
is a stop: it is acknowledged by name and reason, or the entry is not made. Acknowledged, it is kept with the entry, and
the cylinder stays overdue.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from fleetlife.actions.acknowledge import Acknowledgement, notes_of
from fleetlife.actions.settle import settle
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.checks.filling import is_filling
from fleetlife.checks.fitting import CAUTIONS
from fleetlife.checks.register import REGISTER
from fleetlife.clocks.due_rows import due_rows_of
from fleetlife.clocks.filling import check_operation
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Operation
from fleetlife.store.append import request_answered
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_ever
from fleetlife.store.reference import current_reference
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms import words
from fleetlife.terms.finding import Finding
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.published import RULES
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow, OperationRecorded, Reason

DEPLOYMENT = "deployment"
STAYS = "it stays with the entry, and what it breaks stays open."


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationRequest:
    """What happened to a unit: `operation` is one of words.OPERATIONS or what a requirement of its part counts.

    `sequence` orders what happened on one day; needed where the same operation happened again on it. `intent`: of a
    deployment, one of words.INTENTS.
    """

    unit: UnitName
    operation: str
    on: date
    count: int = 1
    reference: str | None = None
    sequence: int | None = None
    intent: str | None = field(default=None, metadata={"words": words.INTENTS})


def record_operation(
    store: Store,
    request: OperationRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> OperationRecorded:
    """Record the operation, or with `preview` show what it would change and record nothing.

    Refusals: `stops-not-acknowledged` (every stop in the details), `in-the-future`, `total-negative`, `word-not-known`,
    `not-the-cylinder`, `operation-recorded-already`, `intent-of-no-deployment`, `unit-unknown`, `unit-ambiguous`,
    `request-key-reused`.
    """
    _possible(request, as_of)

    def work(writer: Writer) -> OperationRecorded:
        wanted = digest(canonical(_body(request)))
        if request_key is not None:
            answered = request_answered(writer.connection, request_key, wanted)
            if answered is not None:
                return _before(request, answered[0], writer)
        reference = current_reference(writer.connection, store.kept)
        return _record(writer, request, as_of, acknowledged, (request_key, wanted), reference, preview)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _possible(request: OperationRequest, as_of: date) -> None:
    refuse_to_come(request.on, as_of=as_of, said="an operation is recorded when it has happened")
    if request.count < 0 or (request.sequence or 0) < 0:
        raise Refusal("total-negative", "A count or a sequence is below zero.", remedy="Correct it.")
    if request.intent is not None and fold(request.operation) != fold(DEPLOYMENT):
        raise Refusal(
            "intent-of-no-deployment",
            f"Whether it was intended is said of a deployment, and this is a {request.operation}.",
            remedy="Leave it out, or record a deployment.",
            status=2,
        )


def _body(request: OperationRequest) -> dict[str, object]:
    unit = request.unit
    return {
        "operation_of": [unit.part_number, unit.serial_number, unit.manufacturer],
        "operation": request.operation,
        "on": request.on.isoformat(),
        "count": request.count,
        "reference": request.reference,
        "sequence": request.sequence,
        **({} if request.intent is None else {"intent": request.intent}),
    }


def _before(request: OperationRequest, entry: int, writer: Writer) -> OperationRecorded:
    """The answer to a request that was recorded before under its key."""
    return OperationRecorded(
        entry=entry,
        ledger_head=writer.head.digest,
        part_number=request.unit.part_number,
        serial_number=request.unit.serial_number,
        operation=request.operation,
        count=request.count,
        on=request.on.isoformat(),
        due=(),
        findings=(),
        already=True,
    )


def _record(
    writer: Writer,
    request: OperationRequest,
    as_of: date,
    acknowledged: Sequence[Acknowledgement],
    key: tuple[str | None, str],
    reference: Reference,
    preview: bool,
) -> OperationRecorded:
    head = (writer.head.number, writer.head.digest)
    then = open_world(writer.connection, as_of=request.on, reference=reference, head=head)
    name = request.unit
    unit = then.unit_named(name.part_number, name.serial_number, name.manufacturer)
    fact = Operation(
        unit=unit,
        operated_on=request.on.isoformat(),
        operation=_word(then, unit, request.operation),
        count=request.count,
        reference=request.reference,
        sequence=request.sequence,
        intent=request.intent,
    )
    _not_recorded_yet(writer, fact)
    stops = check_operation(then, fact)
    quoted = f"{name.part_number} {name.serial_number}"
    notes = notes_of(
        stops, acknowledged, subject=quoted, what=f"this {fact.operation}", kept_open=STAYS, preview=preview
    )
    first = head[0] + 1
    draft = Draft(kind=Operation.KIND, on=fact.operated_on, sequence=fact.sequence, items=(fact,), acknowledged=notes)
    writer.append([draft], request_key=key[0], request_digest=key[1])
    settle(writer, [draft], first_number=first, reference=reference)
    now = open_world(writer.connection, as_of=as_of, reference=reference, head=(writer.head.number, writer.head.digest))
    now.notes = then.notes
    tree = now.tree_of(unit)
    state = tree.get(unit)
    carrier = None if state is None else state.carried_airframe_id
    rows = due_rows_of(now, tree)
    return OperationRecorded(
        entry=first,
        ledger_head=writer.head.digest,
        part_number=name.part_number if state is None else state.part_number,
        serial_number=name.serial_number if state is None else state.serial_number,
        operation=fact.operation,
        count=fact.count,
        on=fact.operated_on,
        due=rows,
        findings=tuple(_finding(stop, request, now, state) for stop in stops),
        notes=(*_beside(now, fact), *_deployed(now, fact, state, rows)),
        cautions=CAUTIONS if fold(fact.operation) == fold(DEPLOYMENT) else (),
        about=now.about("operation record", airframes=set() if carrier is None else {carrier}),
    )


def _word(world: World, unit: int, said: str) -> str:
    """The operation by the word it is counted under, so that a slip is not counted apart. Refusal: `word-not-known`."""
    opening = world.openings([unit])[unit]
    parts = {fold(opening.part_number)}
    state = world.states([unit]).get(unit)
    if state is not None:
        parts.add(fold(state.part_number))
    counted = [
        fact.operation for _, fact in world.reference.requirements if fact.operation and fold(fact.part_number) in parts
    ]
    gas = [word for word in counted if is_filling(word)]
    other = [word for word in words.OPERATIONS if not (gas and is_filling(word))]
    known = tuple(dict.fromkeys((*sorted(counted), *other)))
    for word in known:
        if word.casefold() == said.strip().casefold():
            return word
    if gas and is_filling(said.strip()):
        raise Refusal(
            "word-not-known",
            f"A filling of this part is counted as {gas[0]!r}; as {said!r} it would be counted apart.",
            remedy=f"Say --operation {gas[0]}.",
        )
    raise Refusal(
        "word-not-known",
        f"{said!r} is no operation known of this part." + did_you_mean(said, known),
        remedy=f"Known are {', '.join(known)}; another is counted once a requirement names it.",
    )


def _not_recorded_yet(writer: Writer, fact: Operation) -> None:
    """The same operation of the unit on the same day is recorded once for each sequence."""
    standing = [
        one for one in facts_ever(writer.connection, [fact.key()]).get(fact.key(), []) if one.standing == "stands"
    ]
    if standing:
        number = standing[0].number
        raise Refusal(
            "operation-recorded-already",
            f"Entry {number} states a {fact.operation} of {fact.operated_on} for this unit.",
            remedy="If it happened again on that day, say which in order with --sequence; if the entry is wrong, "
            f"correct it: fleetlife ledger correct {number}.",
        )


def _beside(world: World, fact: Operation) -> tuple[str, ...]:
    """What is to be known beside the entry: where the opening statement holds the count already."""
    opening = world.openings([fact.unit])[fact.unit]
    if fact.operated_on > opening.as_of:
        return ()
    return (f"The opening statement holds the counts up to the end of {opening.as_of}: this is added to no count.",)


def _deployed(world: World, fact: Operation, state: UnitStateRow | None, rows: Sequence[DueRow]) -> tuple[str, ...]:
    """What a deployment makes due, that the unit is unserviceable, and a reminder of what may have to be reported."""
    if fold(fact.operation) != fold(DEPLOYMENT) or fact.count == 0:
        return ()
    counted = {rule.requirement for rule in world.reference.book().by_key.values() if rule.operation == DEPLOYMENT}
    told = [
        f"Made due by it: {row.part_number} {row.serial_number} {row.requirement}, {row.state}"
        + (f", {row.operations_left} operations left." if row.operations_left is not None else ".")
        for row in rows
        if row.requirement in counted
    ] or ["No requirement of these records counts deployments: see what the approved data asks for after one."]
    if state is not None and state.kind == "position" and state.airframe_id is not None:
        where = f"{world.registration(state.airframe_id)} {state.position}"
        told.append(
            f"It deployed at {where}: it is unserviceable until released, and found there (MOV104). Record its "
            "removal: fleetlife swap record."
        )
    if fact.intent is None:
        told.append("Whether it was intended is not said: --intended, --unintended.")
    if fact.intent != "intended":
        rule = RULES["14 CFR 121.703(a)(17)"]
        told.append(f"A reminder only: {rule.says} ({rule.named}). This program reports nothing.")
    return tuple(told)


def _finding(stop: Reason, request: OperationRequest, world: World, state: UnitStateRow | None) -> Finding:
    carrier = None if state is None else state.carried_airframe_id
    return Finding(
        code=stop.code or "",
        name=REGISTER[stop.code or ""].name,
        severity="stop",
        message=stop.text,
        hint=f"fleetlife unit {request.unit.part_number} {request.unit.serial_number}",
        registration=None if carrier is None else world.registration(carrier),
        part_number=request.unit.part_number,
        serial_number=request.unit.serial_number,
        manufacturer=request.unit.manufacturer,
    )

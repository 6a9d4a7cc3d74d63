"""`stores lift`, `stores suspect` and `stores clear`: what a person decides of a hold, by name and with evidence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fleetlife.actions.mend import unchanged_since
from fleetlife.actions.receive import next_in_day
from fleetlife.actions.settle import entered
from fleetlife.actions.showing import recorded_or_shown, refuse_to_come
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.receipts import causes_in
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import HoldDecision
from fleetlife.store.engine import Store
from fleetlife.store.reference import load_reference
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.stores import DecisionRecorded


@dataclass(frozen=True, slots=True, kw_only=True)
class Decided:
    """What was decided of which unit; `decision` is one of words.HOLD_DECISIONS. `document`: a kept paper's name."""

    unit: UnitName
    decision: str
    why: str
    decided_by: str
    on: date
    reference: str | None = None
    document: str | None = None


def record_decision(
    store: Store,
    decided: Decided,
    *,
    as_of: date,
    recorded_by: str,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> DecisionRecorded:
    """Record what was decided, or with `preview` show what would follow and record nothing.

    Refusals: `in-the-future`, `name-missing`, `reason-missing`, `evidence-missing`, `record-disagrees` (something that
    is put right and not lifted still holds the unit), `nothing-to-lift`, `not-suspected`, `unit-unknown`,
    `unit-ambiguous`, `unit-not-then`, `recorded-meanwhile`.
    """
    _refuse_unfit(decided, as_of)

    def work(writer: Writer) -> DecisionRecorded:
        unchanged_since(writer, head)
        return _record(writer, decided, as_of, moves_on)

    return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


def _refuse_unfit(decided: Decided, as_of: date) -> None:
    refuse_to_come(decided.on, as_of=as_of, said="what was decided is recorded afterwards")
    if not decided.decided_by.strip():
        raise Refusal("name-missing", "Nobody is named who decided.", remedy="Say who with --by.", status=2)
    if not decided.why.strip():
        raise Refusal("reason-missing", "Why is not said.", remedy="Say it with --why.", status=2)
    evidence = (decided.reference or "").strip() or decided.document
    if decided.decision != "suspected" and not evidence:
        raise Refusal(
            "evidence-missing",
            "A hold goes by name and evidence, and no evidence is named.",
            remedy="Name the document that shows it (--reference), or keep it with --document.",
            status=2,
        )


def _record(writer: Writer, decided: Decided, as_of: date, moves_on: date | None) -> DecisionRecorded:
    connection, before = writer.connection, writer.head.number
    reference = load_reference(connection)
    present = open_world(connection, as_of=as_of, reference=reference, head=(before, writer.head.digest))
    then = open_world(connection, as_of=decided.on, reference=reference, head=(before, writer.head.digest))
    unit = then.unit_named(decided.unit.part_number, decided.unit.serial_number, decided.unit.manufacturer)
    if unit not in then.states([unit]):
        raise unit_not_then()
    if decided.decision == "lifted":
        _refuse_unless_liftable(present, unit, decided)
    if decided.decision == "cleared" and present.states([unit])[unit].suspected is None:
        raise Refusal("not-suspected", "It is not suspected.", remedy="Name the unit that is.")
    fact = HoldDecision(
        unit=unit,
        decided_on=decided.on.isoformat(),
        sequence=next_in_day(then.facts([unit])[unit], decided.on),
        decision=decided.decision,
        why=decided.why.strip(),
        decided_by=decided.decided_by.strip(),
        reference=(decided.reference or "").strip() or None,
        document=decided.document,
    )
    draft = Draft(kind=HoldDecision.KIND, on=fact.decided_on, sequence=fact.sequence, items=(fact,))
    now = entered(writer, draft, reference=reference, as_of=as_of)
    after = now.states([unit])[unit]
    if decided.decision == "lifted" and any(cause.decided for cause in causes_in(now, unit)):
        raise Refusal(
            "nothing-to-lift",
            f"What holds it was found after {fact.decided_on}: a decision lifts what was known by then.",
            remedy="Give the day on which it was decided with --on.",
        )
    return DecisionRecorded(
        entry=before + 1,
        ledger_head=writer.head.digest,
        name=f"{after.part_number} {after.serial_number}",
        decision=decided.decision,
        hold=after.hold,
        told=tuple(then.notes),
        moved=() if moves_on is None else moved_since(connection, before, as_of=moves_on),
    )


def _refuse_unless_liftable(world: World, unit: int, decided: Decided) -> None:
    """Refusals: `record-disagrees`, `nothing-to-lift`."""
    causes, state = causes_in(world, unit), world.states([unit])[unit]
    standing = [cause.text for cause in causes if not cause.decided]
    if state.plate is not None:
        standing.append(f"the data plate reads {state.plate}")
    if standing:
        raise Refusal(
            "record-disagrees",
            f"What does not agree is put right, not lifted: {'; '.join(standing)}.",
            remedy="File the paper, or put right the record, the plate's reading or the receipt; it goes by itself.",
        )
    if not causes:
        suspected = " A suspicion is cleared with fleetlife stores clear." if state.suspected else ""
        raise Refusal(
            "nothing-to-lift",
            f"No receipt holds {decided.unit.part_number} {decided.unit.serial_number}.{suspected}",
            remedy="A hold stated with a transfer is lifted with a transfer (column hold: lifted).",
        )

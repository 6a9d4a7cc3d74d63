"""What holds a unit since it was received, and whether it is a suspected unapproved part.

Of what its last receipt says, whatever is not what the record says holds it until the two agree. What a person must
decide (damage seen, quarantined) holds it until somebody lifts it by name, and so does a suspicion.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from fleetlife.dates.moment import day_of, moment_of
from fleetlife.dates.partial import PartialDate, day_number, parse_partial
from fleetlife.follows.place import Recorded, UnitStays, stay_before
from fleetlife.follows.plates import hold_with_plate, hold_without_plate
from fleetlife.follows.rows import CertificateLineRow, PlacementRow, UnitStateRow
from fleetlife.ledger.facts import Accomplishment, HoldDecision, Opening, Receipt
from fleetlife.paper.agreement import SAME_NUMBER
from fleetlife.paper.status import is_release
from fleetlife.terms.filling import changed
from fleetlife.terms.number import fold
from fleetlife.terms.stores import Cause

SUSPECTED = "suspected unapproved part"
Kind = TypeVar("Kind", Receipt, HoldDecision)


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """A unit as its receipts are judged: its facts, stays, opening statement and papers with their verdicts.

    requalifications: the requirements whose dates are marks on the unit.
    """

    unit_id: int
    facts: Sequence[Recorded]
    stays: UnitStays
    opening: Opening
    lines: Sequence[CertificateLineRow]
    requalifications: Collection[str]


def facts_about(kind: type[Kind], unit_id: int, facts: Sequence[Recorded]) -> list[tuple[int, Kind]]:
    """(entry, fact) of the unit's receipts or decisions, in order of day and of the order within it."""
    found = [(r.number, r.fact) for r in facts if isinstance(r.fact, kind) and r.fact.unit == unit_id]
    return sorted(found, key=lambda each: (order_of(each[1]), each[0]))


def order_of(fact: Receipt | HoldDecision) -> tuple[str, int]:
    """The day, and the order within it: receipts and decisions of one unit are told in this order."""
    return (fact.received_on if isinstance(fact, Receipt) else fact.decided_on, fact.sequence)


def causes_of(received: Received) -> list[Cause]:
    """What holds the unit since it was received: what disagrees by its last receipt, and what nobody has lifted."""
    receipts = [fact for _, fact in facts_about(Receipt, received.unit_id, received.facts)]
    if not receipts:
        return []
    decisions = [fact for _, fact in facts_about(HoldDecision, received.unit_id, received.facts)]
    lifted = max((order_of(fact) for fact in decisions if fact.decision == "lifted"), default=("", 0))
    causes = []
    for receipt in receipts:
        on = receipt.received_on
        if receipt is receipts[-1]:
            causes += [Cause(on=on, text=text, decided=False) for text in disagreements(receipt, received)]
        # a decision of the same moment lifts nothing: which came first is not known
        if lifted <= order_of(receipt):
            if receipt.damage:
                causes.append(Cause(on=on, text=f"damage seen ({receipt.damage})", decided=True))
            if receipt.result == "quarantined":
                causes.append(Cause(on=on, text="quarantined by the inspector", decided=True))
    return causes


def causes_text(causes: Sequence[Cause]) -> str | None:
    """`receipt of 2026-11-24: no release certificate is named or filed, damage seen (torn cover)`; None without any."""
    days = list(dict.fromkeys(cause.on for cause in causes))
    told = [f"receipt of {day}: {', '.join(c.text for c in causes if c.on == day)}" for day in days]
    return "; ".join(told) or None


def disagreements(receipt: Receipt, received: Received) -> Iterator[str]:
    """What the receipt says, or fails to name, that is not what the record says. The plate is told by its readings."""
    yield from _paper(receipt, received)
    opening = received.opening
    if receipt.mark:
        recorded = _mark_recorded(receipt, received)
        if recorded is None or not _may_be_one(parse_partial(receipt.mark), parse_partial(recorded)):
            yield f"marked {receipt.mark}, recorded {recorded or 'no mark'}"
    for what, seen, stated in (("cured", receipt.cured, opening.cured), ("expires", receipt.expires, opening.expires)):
        if seen and (stated is None or not _may_be_one(parse_partial(seen), parse_partial(stated))):
            yield f"{what} {seen} by what stands on it, recorded {stated or 'no such date'}"
    ends = [parse_partial(each).last_day for each in (receipt.expires, opening.expires) if each]
    if ends and min(ends).isoformat() < receipt.received_on:
        yield f"expired on {min(ends).isoformat()}"


def _paper(receipt: Receipt, received: Received) -> Iterator[str]:
    """What is wrong with the release certificate that came with it."""
    if receipt.certificate:
        named = f"certificate {receipt.certificate}"
        lines = [
            line
            for line in received.lines
            if fold(line.tracking_number) == fold(receipt.certificate)
            and fold(receipt.certificate_organisation or line.organisation) == fold(line.organisation)
        ]
        if not lines:
            yield f"{named} is not filed against it"
        elif not any(is_release(line.status) for line in lines):
            yield f"{named} is no release ({lines[0].status})"
        elif not any(_agrees(line) for line in lines):
            yield f"{named} bears other numbers ({lines[0].part_number} {lines[0].serial_number})"
        return
    before = stay_before(received.stays.rows, moment_of(day_number(receipt.received_on), receipt.sequence))
    if before is None or before.kind == "slot":
        return  # looked at inside an assembly: the assembly's paper is asked for
    since = _away_since(received.stays.rows[: received.stays.rows.index(before) + 1])
    if not any(
        is_release(line.status) and _agrees(line) and (since is None or line.dated_on >= since)
        for line in received.lines
    ):
        yield "no release certificate is named or filed"


def _away_since(rows: Sequence[PlacementRow]) -> int | None:
    """The day since which a release must be: since what came in was sent away, or came off an aircraft; None where it
    lay in stores all the time, or where the records begin with it away."""
    for row in reversed(rows):
        if row.kind in ("position", "slot"):
            return None if row.until_moment is None else day_of(row.until_moment)
        if row.kind != "store":
            return None if row is rows[0] else day_of(row.from_moment)
    return None


def _agrees(line: CertificateLineRow) -> bool:
    return line.part_verdict in SAME_NUMBER and line.serial_verdict in SAME_NUMBER


def _mark_recorded(receipt: Receipt, received: Received) -> str | None:
    """The last requalification recorded up to the day of the receipt."""
    done = [
        recorded.fact.done_on
        for recorded in received.facts
        if isinstance(recorded.fact, Accomplishment)
        and recorded.fact.unit == received.unit_id
        and recorded.fact.requirement in received.requalifications
        and parse_partial(recorded.fact.done_on).first_day.isoformat() <= receipt.received_on
    ]
    return max(done, key=lambda text: parse_partial(text).last_day, default=None)


def _may_be_one(one: PartialDate, other: PartialDate) -> bool:
    """Whether two dates, each as precise as it is, can mean one day."""
    return one.first_day <= other.last_day and other.first_day <= one.last_day


def suspicion_of(unit_id: int, facts: Sequence[Recorded]) -> tuple[int, HoldDecision] | None:
    """(entry, decision) of the last suspicion that nobody has cleared the unit of since."""
    standing = None
    for number, fact in facts_about(HoldDecision, unit_id, facts):
        if fact.decision == "suspected":
            standing = number, fact
        elif fact.decision == "cleared":
            standing = None
    return standing


def with_holds(state: UnitStateRow, received: Received, plate: str | None) -> UnitStateRow:
    """The state with what holds the unit beside a hold that was stated: its receipts, a suspicion, its data plate."""
    causes = causes_text(causes_of(received))
    suspicion = suspicion_of(received.unit_id, received.facts)
    suspected = None if suspicion is None else suspicion[1].why
    if causes is None and suspected is None and plate is None:
        return state
    hold = _joined(_joined(state.hold, causes), _suspected(suspected))
    return changed(state, plate=plate, receipt=causes, suspected=suspected, hold=hold_with_plate(hold, plate))


def stated_hold(state: UnitStateRow) -> str | None:
    """The hold that somebody stated, without what follows beside it."""
    hold = hold_without_plate(state.hold, state.plate)
    return _without(_without(hold, _suspected(state.suspected)), state.receipt)


def hold_beside_suspicion(state: UnitStateRow) -> str | None:
    """What holds the unit beside a suspicion that it is an unapproved part."""
    hold = _without(hold_without_plate(state.hold, state.plate), _suspected(state.suspected))
    return hold_with_plate(hold, state.plate)


def _suspected(why: str | None) -> str | None:
    return None if why is None else f"{SUSPECTED} ({why})"


def _joined(hold: str | None, told: str | None) -> str | None:
    return hold if told is None else told if hold is None else f"{hold}; {told}"


def _without(hold: str | None, told: str | None) -> str | None:
    if hold is None or told is None or hold == told:
        return None if hold == told else hold
    return hold.removesuffix(f"; {told}")

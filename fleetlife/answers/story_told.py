"""The words for what was stated of a unit: one sentence a fact, for its story and its log card."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fleetlife.dates.partial import day_number
from fleetlife.follows.history import expansion_of
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    HoldDecision,
    Movement,
    Opening,
    Operation,
    PlateReading,
    Receipt,
    Transfer,
    UnitCounter,
    UnitModification,
    Variation,
)
from fleetlife.ledger.publications import NotEmbodied
from fleetlife.ledger.swaps import GaugeReading, SwapPlan, SwapStep
from fleetlife.life.expansion import expansion_told
from fleetlife.paper.status import is_new
from fleetlife.terms.measure import hours_text, thousandths_text


@dataclass(frozen=True, slots=True)
class Teller:
    """unit: whose story it is. name: a unit's numbers by its id; registration: an airframe's on an ordinal day;
    counted: a figure of a counter as it is written."""

    unit: int
    name: Callable[[int], str]
    registration: Callable[[int, int], str]
    counted: Callable[[str, int], str]

    def topic(self, fact: Fact) -> str:
        """One of `terms.story.TOPICS`."""
        if isinstance(fact, Opening):
            return "opening"
        if isinstance(fact, Movement):
            if fact.found or fact.displaced == self.unit:
                return "found"
            return "removal" if fact.removed == self.unit else "stay"
        if isinstance(fact, Certificate):
            return "release"
        named: dict[type[Fact], str] = {Transfer: "stay", Accomplishment: "work", Operation: "operation"}
        named |= {UnitModification: "modification", NotEmbodied: "modification", Variation: "variation"}
        return named.get(type(fact), "statement")

    def text(self, fact: Fact) -> str:
        """What the fact says, in words."""
        if isinstance(fact, Opening):
            return self._opening(fact) if fact.unit == self.unit else f"opening statement of {self.name(fact.unit)}"
        if isinstance(fact, Movement):
            return self._movement(fact)
        if isinstance(fact, Transfer):
            return self._transfer(fact)
        if isinstance(fact, Certificate):
            return _certificate(fact)
        if isinstance(fact, Accomplishment):
            return self._work(fact)
        if isinstance(fact, Operation):
            reference = f", {fact.reference}" if fact.reference else ""
            return f"{fact.operation}, {fact.count:,}{reference}"
        if isinstance(fact, UnitModification):
            return _modification(fact)
        if isinstance(fact, NotEmbodied):
            reference = f", {fact.reference}" if fact.reference else ""
            return f"looked at: modification {fact.modification} not embodied{reference}"
        if isinstance(fact, Variation):
            return _variation(fact)
        if isinstance(fact, UnitCounter):
            total = self.counted(fact.counter, fact.since_new)
            return f"{fact.counter}: {total} since new, beside the opening statement"
        if isinstance(fact, (Receipt, HoldDecision, PlateReading)):
            return stores_told(fact)
        if isinstance(fact, SwapPlan):
            return self._planned(fact)
        if isinstance(fact, SwapStep):
            return f"checked for swap {fact.swap}: {fact.answer or 'answer not stated'}, asked by {fact.signed_by}"
        if isinstance(fact, GaugeReading):
            shown = f"{thousandths_text(fact.pressure)} {fact.pressure_unit}"
            swap = f", swap {fact.swap}" if fact.swap else ""
            return f"gauge {shown} at {thousandths_text(fact.millicelsius)} °C, read by {fact.seen_by}{swap}"
        return fact.KIND.replace("_", " ")

    def _work(self, fact: Accomplishment) -> str:
        parts = [f"{fact.requirement} done"]
        if fact.date_basis:
            parts.append(f"by {fact.date_basis}")
        if fact.minutes_since_new is not None:
            parts.append(f"at {hours_text(fact.minutes_since_new)} hours since new")
        if fact.cycles_since_new is not None:
            parts.append(f"at {fact.cycles_since_new:,} cycles since new")
        if fact.counter is not None and fact.counter_since_new is not None:
            parts.append(f"at {self.counted(fact.counter, fact.counter_since_new)} {fact.counter} since new")
        parts.append(f"certificate {fact.certificate}" if fact.certificate else "no certificate named")
        test = expansion_of(fact)
        if test is not None:
            parts.append(expansion_told(test))
        return ", ".join(parts)

    def _opening(self, fact: Opening) -> str:
        quality = fact.life_quality or "quality not stated"
        hours = hours_text(fact.minutes_since_new) or "hours not stated"
        cycles = "cycles not stated" if fact.cycles_since_new is None else f"{fact.cycles_since_new:,} cycles"
        hours = f"{hours} hours" if fact.minutes_since_new is not None else hours
        parts = [f"opening statement as of {fact.as_of}: {hours}, {cycles} since new, {quality}"]
        if fact.operations_since_new is not None:
            parts.append(f"{fact.operations_since_new:,} operations since new")
        parts.append(f"condition {fact.condition or 'unknown'}")
        told = (("source", fact.source), ("expires", fact.expires), ("owner", fact.owner), ("hold", fact.hold))
        parts += [f"{label} {value}" for label, value in told if value]
        return ", ".join(parts)

    def _movement(self, fact: Movement) -> str:
        place = f"{self.registration(fact.airframe, day_number(fact.moved_on))} {fact.position}"
        if fact.displaced == self.unit:
            text = f"not found at {place}, where it was believed; {self._other(fact)} was there"
        elif fact.removed == self.unit:
            verb = "found at and removed from" if fact.found else "removed from"
            text = f"{verb} {place}"
            if fact.removal_kind:
                text += f", {fact.removal_kind.replace('_', ' ')}"
            text += f", to {fact.removed_to or 'store'}{' ' + fact.removed_to_name if fact.removed_to_name else ''}"
            text += f", {fact.removed_condition or 'unserviceable'}"
            text += f", defect: {fact.defect}" if fact.defect else ""
            text += "" if fact.removal_kind or fact.defect else ", reason not stated"
        else:
            text = f"{'found at' if fact.found else 'fitted at'} {place}"
            text += f", rigged {fact.harness}" if fact.harness else ""
            text += f", on certificate {fact.certificate}" if fact.certificate else ", no certificate named"
        return text + _signed(fact)

    def _planned(self, fact: SwapPlan) -> str:
        place = f"{self.registration(fact.airframe, day_number(fact.planned_on))} {fact.position}"
        what = "to go on" if fact.incoming == self.unit else "to come off"
        by = f", by {fact.target_on}" if fact.target_on else ""
        return f"planned {what} {place}, swap {fact.swap}{by}, planned by {fact.planned_by}"

    def _other(self, fact: Movement) -> str:
        there = fact.removed if fact.removed not in (None, self.unit) else fact.installed
        return self.name(there) if there is not None else "another unit"

    def _transfer(self, fact: Transfer) -> str:
        if fact.target == "parent":
            to = f"slot {fact.slot} of {self.name(fact.parent) if fact.parent is not None else 'an assembly'}"
        else:
            to = " ".join(each for each in (fact.target, fact.store or fact.organisation) if each)
            to += f", bin {fact.bin}" if fact.bin else ""
        if fact.unit != self.unit:
            return f"{self.name(fact.unit)} moved to {to}"
        told = [("condition", fact.condition), ("hold", fact.hold), ("order", fact.order)]
        told += [("certificate", fact.certificate), ("reference", fact.reference), ("signed by", fact.signed_by)]
        return ", ".join([f"moved to {to}", *(f"{label} {value}" for label, value in told if value)])


def _signed(fact: Movement) -> str:
    told = [("swap", fact.swap), ("log", fact.technical_log), ("order", fact.work_order), ("signed by", fact.signed_by)]
    told.append(("released by", fact.released_by))
    return "".join(f", {label} {value}" for label, value in told if value)


def _certificate(fact: Certificate) -> str:
    parts = [f"certificate {fact.tracking_number} of {fact.organisation}: {fact.status}"]
    if is_new(fact.status):
        parts.append("release of new production")
    if fact.minutes_since_new is not None:
        parts.append(f"at {hours_text(fact.minutes_since_new)} hours since new")
    if fact.cycles_since_new is not None:
        parts.append(f"at {fact.cycles_since_new:,} cycles since new")
    parts.append(f"for {fact.part_number} {fact.serial_number}")
    told = (("form", fact.form), ("corrects", fact.corrects), ("remarks:", fact.remarks), ("document", fact.document))
    return ", ".join([*parts, *(f"{label} {value}" for label, value in told if value)])


def _modification(fact: UnitModification) -> str:
    parts = [f"modification {fact.modification} embodied"]
    if fact.new_part_number:
        parts.append(f"re-identified as {fact.new_part_number}")
    told = (("certificate", fact.certificate), ("reference", fact.reference))
    return ", ".join([*parts, *(f"{label} {value}" for label, value in told if value)])


def _variation(fact: Variation) -> str:
    until = [each for each in (fact.until_on, hours_text(fact.until_minutes) or None) if each]
    if fact.until_cycles is not None:
        until.append(f"{fact.until_cycles:,} airframe cycles")
    told = (("approved by", fact.approved_by), ("reference", fact.reference))
    parts = [f"permitted variation of {fact.requirement} until {' or '.join(until) or 'not stated'}"]
    return ", ".join([*parts, *(f"{label} {value}" for label, value in told if value)])


def stores_told(fact: Receipt | HoldDecision | PlateReading) -> str:
    """What was seen or decided in stores, in words."""
    if isinstance(fact, PlateReading):
        parts = [f"data plate read as {fact.part_number} {fact.serial_number} by {fact.seen_by}"]
    elif isinstance(fact, HoldDecision):
        decided = {"suspected": "suspected unapproved part", "cleared": "cleared of suspicion", "lifted": "hold lifted"}
        parts = [f"{decided[fact.decision]} by {fact.decided_by}: {fact.why}"]
        parts += [f"document {fact.document}"] if fact.document else []
    else:
        paper = f" of {fact.certificate_organisation}" if fact.certificate_organisation else ""
        parts = [f"received, {fact.result} by {fact.inspector}"]
        parts.append(f"certificate {fact.certificate}{paper}" if fact.certificate else "no certificate named")
        told = [("order", fact.order), ("delivery note", fact.delivery_note), ("marked", fact.mark)]
        told += [("cured", fact.cured), ("expires", fact.expires)]
        parts += [f"{label} {value}" for label, value in told if value]
        seen = f"damage: {fact.damage}" if fact.damage else "no damage seen"
        parts.append(seen if fact.looked else "not looked for damage")
    return ", ".join([*parts, *([f"reference {fact.reference}"] if fact.reference else [])])

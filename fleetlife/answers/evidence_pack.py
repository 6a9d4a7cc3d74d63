"""`stores evidence-pack`: all that the records hold of one unit, and which other units have something in common."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from fleetlife.answers.pack import not_filed_of, papers_of
from fleetlife.answers.story import story_of
from fleetlife.answers.unit import card_of
from fleetlife.clocks.places import place_text
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.place import Recorded
from fleetlife.ledger.facts import Certificate, Fact, HoldDecision, Opening, Receipt
from fleetlife.store.engine import Store
from fleetlife.store.reference import facts_of_kind
from fleetlife.terms.evidence import Concerned, EvidencePack
from fleetlife.terms.number import fold

# What two units can have in common, the closest first.
WHYS = ("same certificate", "same batch", "same delivery", "same organisation")


def evidence_pack(
    store: Store, *, part_number: str, serial_number: str, manufacturer: str | None = None, as_of: date
) -> EvidencePack:
    """The pack of one unit, suspected or not. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, kept=store.kept)
        unit = world.unit_named(part_number, serial_number, manufacturer)
        card = card_of(world, unit)
        state, facts = world.states([unit])[unit], world.facts([unit])[unit]
        own = [recorded for recorded in facts if unit in recorded.fact.unit_ids()]
        return EvidencePack(
            about=replace(card.about, question="stores evidence-pack"),
            name=f"{card.part_number} {card.serial_number}",
            card=card,
            story=story_of(world, unit, card),
            papers=tuple(papers_of(card, own)),
            not_filed=tuple(not_filed_of(world, state, own)),
            received=card.received,
            suspected=state.suspected,
            findings=card.findings,
            concerned=tuple(_concerned(world, unit, own)),
            named=tuple(_named(unit, own)),
        )


def _named(unit: int, facts: Iterable[Recorded]) -> Iterator[tuple[str, str]]:
    """The documents that the unit's papers and decisions name, and what names each."""
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, Certificate) and fact.unit == unit and fact.document:
            yield fact.document, f"certificate {fact.tracking_number} of {fact.organisation}, entry {recorded.number}"
        elif isinstance(fact, HoldDecision) and fact.document:
            yield fact.document, f"{fact.decision} on {fact.decided_on} by {fact.decided_by}, entry {recorded.number}"


def _common(fact: Fact) -> Iterator[tuple[str, str, str]]:
    """(why, key, as it is told) of what other units may have in common with the unit that the fact is about."""
    if isinstance(fact, Certificate):
        organisation = fold(fact.organisation)
        paper = f"certificate {fact.tracking_number} of {fact.organisation}"
        yield "same certificate", f"{fold(fact.tracking_number)}|{organisation}", paper
        yield "same organisation", organisation, fact.organisation
    if isinstance(fact, (Certificate, Opening)) and fact.batch:
        yield "same batch", f"{fold(fact.part_number)}|{fold(fact.batch)}", f"batch {fact.batch} of {fact.part_number}"
    if isinstance(fact, Receipt):
        for what, value in (("order", fact.order), ("delivery note", fact.delivery_note)):
            if value:
                yield "same delivery", f"{what}|{fold(value)}", f"{what} {value}"


def _concerned(world: World, unit: int, own: Iterable[Recorded]) -> list[Concerned]:
    """Every other unit with something in common, once for each thing; the closest first."""
    wanted: dict[tuple[str, str], str] = {}
    for recorded in own:
        fact = recorded.fact
        if getattr(fact, "unit", None) == unit:
            wanted.update({(why, key): told for why, key, told in _common(fact)})
    found: dict[tuple[str, str, int], int] = {}
    if wanted:
        for kind in (Certificate, Opening, Receipt):
            for number, fact in facts_of_kind(world.connection, kind):
                other = getattr(fact, "unit", None)
                if other in (None, unit) or (fact.dated() or "") > date.fromordinal(world.as_of).isoformat():
                    continue
                for why, key, _ in _common(fact):
                    if (why, key) in wanted:
                        found.setdefault((why, key, other), number)
    states = world.states({other for _, _, other in found})
    parents = world.states({state.parent_id for state in states.values() if state.parent_id is not None})
    rows = [
        Concerned(
            part_number=states[other].part_number,
            serial_number=states[other].serial_number,
            manufacturer=states[other].manufacturer,
            place=place_text(world, states[other], parents),
            hold=states[other].hold,
            why=why,
            shared=wanted[why, key],
            entry=number,
        )
        for (why, key, other), number in found.items()
        if other in states
    ]
    return sorted(rows, key=lambda row: (WHYS.index(row.why), row.shared, row.part_number, row.serial_number))

"""`airframe --pack`: what goes with an airframe at the end of a lease, as values."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import date

from fleetlife.answers.airframe import card_of
from fleetlife.answers.log_card import log_card_of
from fleetlife.clocks.world import World, open_world
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    Movement,
    Receipt,
    Transfer,
    UnitModification,
)
from fleetlife.store.engine import Store
from fleetlife.store.papers import lines_of
from fleetlife.terms.number import fold
from fleetlife.terms.story import LogCard, Pack, PackPaper
from fleetlife.terms.views import UnitCard

Tell = Callable[[str, int], None]


def airframe_pack(
    store: Store, *, registration: str, as_of: date, known_at: str | None = None, tell: Tell | None = None
) -> Pack:
    """The pack of one airframe; `tell` hears how many units are done. Refusals: `registration-*`, those of
    `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        airframe = world.reference.airframe_on(registration, world.as_of)
        card = card_of(world, airframe)
        carried = list(_carried(world, airframe))
        cards: list[LogCard] = []
        papers: list[PackPaper] = []
        missing: list[PackPaper] = []
        for done, (_, unit) in enumerate(carried, start=1):
            made = log_card_of(world, unit.unit_id)
            facts = world.facts([unit.unit_id])[unit.unit_id]
            cards.append(made)
            papers += papers_of(made, facts)
            missing += not_filed_of(world, unit, facts)
            if tell is not None:
                tell("log cards", done)
        return Pack(
            about=world.about("airframe --pack", airframes={airframe}),
            registration=card.registration,
            constructor_serial=card.constructor_serial,
            type=card.type,
            operator=card.operator,
            registrations=card.registrations,
            hours_total=card.hours_total,
            cycles_total=card.cycles_total,
            read_on=card.read_on,
            units=tuple(cards),
            places=tuple(place for place, _ in carried),
            empty=tuple(
                f"{door.position}{', required' if door.required else ''}"
                for door in card.doors
                if door.part_number is None
            ),
            papers=tuple(papers),
            not_filed=tuple(missing),
            findings=card.findings,
        )


def _carried(world: World, airframe: int) -> Iterator[tuple[str, UnitStateRow]]:
    """(place, unit) of everything the airframe carries: position by position, each unit before what it holds."""
    installed = sorted(world.installed_on(airframe), key=lambda unit: (unit.position or "", unit.unit_id))
    for unit in installed:
        for held in world.tree_of(unit.unit_id).values():
            yield (unit.position or "") + (f" {held.slot}" if held.unit_id != unit.unit_id else ""), held


def papers_of(card: LogCard | UnitCard, facts: Iterable[Recorded]) -> Iterator[PackPaper]:
    """The certificates filed against the unit, each with its verdict and the document it names."""
    documents = {
        (fact.organisation, fact.tracking_number, fact.item or "", fact.serial_number): fact.document
        for recorded in facts
        if isinstance(fact := recorded.fact, Certificate)
    }
    for line in card.papers:
        key = (line.organisation, line.tracking_number, line.item or "", line.serial_number)
        yield PackPaper(
            part_number=card.part_number,
            serial_number=card.serial_number,
            certificate=line.tracking_number,
            organisation=line.organisation,
            dated_on=line.dated_on,
            status=line.status,
            filed=True,
            part_verdict=line.part_verdict,
            serial_verdict=line.serial_verdict,
            document=documents.get(key),
            named_by=None,
            entry=line.entry,
        )


def not_filed_of(world: World, unit: UnitStateRow, facts: Iterable[Recorded]) -> Iterator[PackPaper]:
    """The papers that work, a fitting, a receipt or a modification of the unit names and that nobody has filed."""
    seen: set[tuple[str, str]] = set()
    for recorded in facts:
        number, organisation = _named(recorded.fact, unit.unit_id)
        if number is None or (fold(number), fold(organisation or "")) in seen:
            continue
        seen.add((fold(number), fold(organisation or "")))
        filed = any(
            line.entry <= world.known and (organisation is None or fold(line.organisation) == fold(organisation))
            for line in lines_of(world.connection, number)
        )
        if not filed:
            yield PackPaper(
                part_number=unit.part_number,
                serial_number=unit.serial_number,
                certificate=number,
                organisation=organisation,
                dated_on=None,
                status=None,
                filed=False,
                part_verdict=None,
                serial_verdict=None,
                document=None,
                named_by=f"{recorded.fact.KIND.replace('_', ' ')} of {recorded.fact.dated()}",
                entry=recorded.number,
            )


def _named(fact: Fact, unit: int) -> tuple[str | None, str | None]:
    """The certificate that a fact about the unit names, and whose it is."""
    about = isinstance(fact, (Accomplishment, Receipt, Transfer, UnitModification)) and fact.unit == unit
    if isinstance(fact, Movement):
        about = fact.installed == unit
    if not about:
        return None, None
    return getattr(fact, "certificate", None), getattr(fact, "certificate_organisation", None)

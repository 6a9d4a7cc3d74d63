"""`unit --log-card`: what goes with a unit at a transfer, part by part as AMC M.A.305(e) asks for it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date

from fleetlife.answers.story import StoryDesk
from fleetlife.answers.story_told import Teller
from fleetlife.answers.unit import card_of
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.moment import day_of, moment_text
from fleetlife.follows.rows import PlacementRow
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    Movement,
    Operation,
    UnitCounter,
    UnitModification,
    Variation,
)
from fleetlife.paper.status import status_term
from fleetlife.store.engine import Store
from fleetlife.terms.published import RULES
from fleetlife.terms.story import CardLine, Fitting, LogCard

RULE = "AMC M.A.305(e) log card"


def log_card(
    store: Store,
    *,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    as_of: date,
    known_at: str | None = None,
) -> LogCard:
    """The log card of one unit. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`, those of
    `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        return log_card_of(world, world.unit_named(part_number, serial_number, manufacturer))


def log_card_of(world: World, unit_id: int) -> LogCard:
    """The log card of the unit in an open world."""
    card = card_of(world, unit_id)
    desk = StoryDesk(world, unit_id)
    return LogCard(
        about=replace(card.about, question="unit --log-card"),
        rule=RULES[RULE].cited,
        part_number=card.part_number,
        serial_number=card.serial_number,
        manufacturer=card.manufacturer,
        description=card.description,
        part_numbers_borne=card.part_numbers_borne,
        place=card.place,
        condition=card.condition,
        hold=card.hold,
        harness=card.harness,
        life_quality=card.life_quality,
        manufactured=card.manufactured,
        hours_since_new=card.hours_since_new,
        cycles_since_new=card.cycles_since_new,
        operations=tuple(_lines(desk, Operation)),
        fitted=tuple(_fittings(desk)),
        parts=tuple(_parts(desk, world)),
        due=card.due,
        papers=card.papers,
        holes=desk.holes(),
        holds=card.children,
        findings=card.findings,
        counters=card.counters,
    )


# -- installations and removals --------------------------------------------------------------------------------------


def _fittings(desk: StoryDesk) -> Iterator[Fitting]:
    """The beginning and the end of every stay on an airframe or in an assembly."""
    for number, row in enumerate(desk.placements):
        if row.kind not in ("position", "slot"):
            continue
        into = _into(desk, row)
        fact = desk.movement_of(row.entry, row.from_moment)
        hours, cycles = desk.since_new(row.from_moment)
        event, basis = "fitted", _basis(desk, row.from_moment, begins=True)
        if fact is None and number == 0:
            event, basis = "fitted before", f"as the opening statement of {desk.opening.as_of} has it"
        elif isinstance(fact, Movement) and fact.found:
            event = "found"
        yield replace(
            into,
            on=moment_text(row.from_moment),
            event=event,
            hours_since_new=hours,
            cycles_since_new=cycles,
            basis=basis,
            entry=row.entry,
        )
        if row.until_moment is None:
            continue
        hours, cycles = desk.since_new(row.until_moment - (row.kind == "slot"))
        yield replace(
            into,
            on=moment_text(row.until_moment),
            event="removed",
            hours_since_new=hours,
            cycles_since_new=cycles,
            basis=_basis(desk, row.until_moment, begins=False),
            reason=_reason(desk, row),
            entry=row.until_entry,
        )


def _into(desk: StoryDesk, row: PlacementRow) -> Fitting:
    reference, day = desk.world.reference, day_of(row.from_moment)
    if row.airframe_id is not None:
        airframe = reference.airframes[row.airframe_id]
        return Fitting(
            on="",
            event="",
            into_type=airframe.type,
            into_serial_number=airframe.constructor_serial,
            into_registration=reference.registration_on(row.airframe_id, day),
            position=row.position,
        )
    parent = desk.names.get(row.parent_id) if row.parent_id is not None else None
    carrier = next((leg for leg in desk.legs if _during(leg.from_moment, row)), None)
    part = None if parent is None else reference.part(parent.part_number, parent.manufacturer)
    return Fitting(
        on="",
        event="",
        into_type=None if part is None else part.description,
        into_part_number=parent.part_number if parent else None,
        into_serial_number=parent.serial_number if parent else None,
        into_registration=None
        if carrier is None
        else reference.registration_on(carrier.airframe_id, day_of(carrier.from_moment)),
        position=row.slot,
    )


def _during(moment: int, row: PlacementRow) -> bool:
    return moment >= row.from_moment and (row.until_moment is None or moment < row.until_moment)


def _basis(desk: StoryDesk, moment: int, *, begins: bool) -> str | None:
    """How the airframe's totals at that end are known."""
    for leg in desk.legs:
        if moment == (leg.from_moment if begins else leg.until_moment):
            return leg.from_basis if begins else leg.until_basis
    return None


def _reason(desk: StoryDesk, row: PlacementRow) -> str:
    fact = desk.movement_of(row.until_entry, row.until_moment)
    if not row.until_known:
        return "when it left is not known; this is the latest"
    if isinstance(fact, Movement):
        told = [(fact.removal_kind or "").replace("_", " "), f"defect: {fact.defect}" if fact.defect else ""]
        return ", ".join(each for each in told if each) or "reason not stated"
    return "moved to another place" if fact is not None else "reason not stated"


# -- the other parts ---------------------------------------------------------------------------------------------------


def _parts(desk: StoryDesk, world: World) -> Iterator[CardLine]:
    """Directives, modifications, repairs, maintenance, deferred tasks; of each what these records do not hold."""
    rules = world.reference.book().by_key
    points = [rules[row.requirement_key] for row in world.due_points([desk.unit]) if row.requirement_key in rules]
    directives = {rule.requirement for rule in points if rule.source == "directive"}
    stated = [f"{name}: required by directive in these records" for name in sorted(directives)]
    yield CardLine(
        asked="directives",
        held=(*stated, *_lines(desk, Accomplishment, only=directives)),
        not_held="Directives that no requirement in these records names, and whether any apply.",
    )
    yield CardLine(
        asked="modifications",
        held=tuple(_lines(desk, UnitModification)),
        not_held="Modifications embodied that nobody has recorded here; their drawings and instructions.",
    )
    repairs = _lines(desk, Certificate, status="repaired")
    yield CardLine(
        asked="repairs",
        held=tuple(repairs),
        not_held="What was repaired and by which data: it stands in the papers themselves, which are not kept here.",
    )
    yield CardLine(
        asked="maintenance",
        held=tuple(_lines(desk, Accomplishment, but=directives)),
        not_held="Work sheets and detailed maintenance records; work that nobody has recorded here.",
    )
    yield CardLine(
        asked="deferred tasks",
        held=tuple(_lines(desk, Variation)),
        not_held="Items carried under minimum-equipment provisions, and tasks deferred in the technical log.",
    )
    counted = tuple(_lines(desk, UnitCounter))
    if counted:
        yield CardLine(asked="other parameters", held=counted)


def _lines(
    desk: StoryDesk,
    kind: type[Fact],
    *,
    only: set[str] | None = None,
    but: Collection[str] = (),
    status: str | None = None,
) -> list[str]:
    """The standing statements of a kind in words, oldest first, each with its day and entry."""
    teller: Teller = desk.teller
    found = []
    for each in desk.stated:
        fact = each.fact
        if each.standing != "stands" or not isinstance(fact, kind) or getattr(fact, "unit", None) != desk.unit:
            continue
        if isinstance(fact, Accomplishment):
            if fact.requirement in but or (only is not None and fact.requirement not in only):
                continue
            names, why = desk.restarted.get((each.number, fact.requirement, fact.done_on), ((), ""))
            after = f"; restarts {', '.join(names)}" if names else f"; restarts nothing: {why}"
        else:
            after = ""
        if status is not None and isinstance(fact, Certificate) and status_term(fact.status) != status:
            continue
        found.append((fact.dated() or "", each.number, f"{teller.text(fact)}{after}"))
    return [f"{day} {text} (entry {number})".strip() for day, number, text in sorted(found)]

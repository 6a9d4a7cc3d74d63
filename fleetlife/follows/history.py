"""From a unit's facts, stays and carriages to the `History` that the life rules judge."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fleetlife.dates.moment import day_of, end_of_day, moment_of
from fleetlife.dates.partial import PartialDate, day_number, parse_partial
from fleetlife.follows.book import compares
from fleetlife.follows.carry import ESTIMATED_BASES, Counts
from fleetlife.follows.place import Recorded, UnitStays
from fleetlife.follows.rows import CarriageRow
from fleetlife.follows.totals import Point, Totals, projected
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    Opening,
    Operation,
    UnitModification,
    Variation,
)
from fleetlife.life.condemned import none_restored
from fleetlife.life.expansion import ExpansionTest
from fleetlife.life.values import Carried, Count, Done, History, Installation, Operated, Release, Requirement, Varied
from fleetlife.paper.status import is_new, is_release, proves
from fleetlife.terms.filling import changed
from fleetlife.terms.number import fold

ByKind = Mapping[type[Fact], Sequence[Recorded]]


def by_kind(facts: Sequence[Recorded]) -> dict[type[Fact], list[Recorded]]:
    """The facts of each class, in their order: read once, and not once for each class that is looked for."""
    found: dict[type[Fact], list[Recorded]] = {}
    for recorded in facts:
        found.setdefault(type(recorded.fact), []).append(recorded)
    return found


def history_of(
    unit_id: int,
    facts: ByKind,
    *,
    stays: UnitStays,
    carriages: Sequence[CarriageRow],
    counts: Counts,
    requirements: Sequence[Requirement],
) -> History:
    """The history of one unit. `facts`, by class, touch it; facts about other units are passed over."""
    assert stays.opened is not None
    opening = stays.opened.fact
    assert isinstance(opening, Opening)
    last = stays.rows[-1]
    compared = any(compares(requirement) for requirement in requirements)
    as_of = end_of_day(day_number(opening.as_of))
    return History(
        unit_id=unit_id,
        as_of=as_of,
        manufactured=_partial(opening.manufactured),
        cured=_partial(opening.cured),
        expires=_partial(opening.expires),
        first_installed=_partial(opening.first_installed),
        opening=Count(
            minutes=opening.minutes_since_new,
            cycles=opening.cycles_since_new,
            estimated=opening.life_quality in ("rebuilt", "estimated"),
        ),
        operations_opening=opening.operations_since_new,
        releases=_releases(unit_id, facts.get(Certificate, ())),
        installations=_installations(stays, opening, counts, compared=compared),
        installed_now=last.kind in ("position", "slot"),
        done=_done(unit_id, facts, stays=stays, opening=opening, counts=counts, requirements=requirements),
        operated=_operated(unit_id, facts.get(Operation, ())),
        variations=_variations(unit_id, facts.get(Variation, ()), carriages, counts),
        modifications=modifications_of(unit_id, facts.get(UnitModification, ())),
        carried=_carried(carriages, counts, compared=compared),
        now=counts.final,
        stored=last.kind == "store",
        rebuilt=opening.life_quality in ("rebuilt", "estimated"),
        entry=max(
            (each.number for held in facts.values() for each in held if about(each.fact, unit_id)),
            default=stays.opened.number,
        ),
    )


def about(fact: Fact, unit_id: int) -> bool:
    """Whether the fact is about the unit itself, and not about what it was in or held."""
    return getattr(fact, "unit", None) == unit_id or unit_id in (
        getattr(fact, "removed", None),
        getattr(fact, "installed", None),
        getattr(fact, "displaced", None),
    )


def _partial(text: str | None) -> PartialDate | None:
    return parse_partial(text) if text else None


def modifications_of(unit_id: int, facts: Sequence[Recorded]) -> tuple[str, ...]:
    """The modifications recorded on the unit, in order of embodiment."""
    found = [r.fact for r in facts if isinstance(r.fact, UnitModification) and r.fact.unit == unit_id]
    return tuple(fact.modification for fact in sorted(found, key=lambda fact: fact.embodied_on))


def part_numbers_of(unit_id: int, facts: Sequence[Recorded], opening: Opening) -> tuple[tuple[int, str], ...]:
    """(day from which, part number) in order: the one at manufacture first, then each re-identification."""
    changes = sorted(
        (day_number(r.fact.embodied_on), r.fact.new_part_number)
        for r in facts
        if isinstance(r.fact, UnitModification) and r.fact.unit == unit_id and r.fact.new_part_number
    )
    return ((0, opening.part_number), *changes)


def part_number_on(borne: Sequence[tuple[int, str]], day: int) -> str:
    """The part number the unit bore on a day."""
    result = borne[0][1]
    for start, part_number in borne:
        if start <= day:
            result = part_number
    return result


def _releases(unit_id: int, facts: Sequence[Recorded]) -> tuple[Release, ...]:
    found = [
        Release(day=day_number(r.fact.dated_on), new=is_new(r.fact.status), entry=r.number)
        for r in facts
        if isinstance(r.fact, Certificate) and r.fact.unit == unit_id and is_release(r.fact.status)
    ]
    return tuple(sorted(found, key=lambda release: (release.day, release.entry)))


def _installations(stays: UnitStays, opening: Opening, counts: Counts, *, compared: bool) -> tuple[Installation, ...]:
    found: list[Installation] = []
    count_at = counts.bounded_at if compared else counts.at
    for index, row in enumerate(stays.rows):
        if row.kind not in ("position", "slot"):
            continue
        found.append(
            Installation(
                day=day_of(row.from_moment),
                moment=row.from_moment,
                # installed before the opening, nobody says when: the stay is known, its beginning is not
                day_known=index > 0 or opening.placed_on is not None,
                count=count_at(row.from_moment) if index > 0 or opening.placed_on is not None else Count(),
                first_ever=opening.first_installed is None and index == 0 and _is_new(opening),
                entry=row.entry,
            )
        )
    return tuple(found)


def _is_new(opening: Opening) -> bool:
    return opening.minutes_since_new == 0 and opening.cycles_since_new in (0, None)


def _done(
    unit_id: int,
    facts: ByKind,
    *,
    stays: UnitStays,
    opening: Opening,
    counts: Counts,
    requirements: Sequence[Requirement],
) -> tuple[Done, ...]:
    rules = {requirement.requirement: requirement for requirement in requirements}
    papers = [r.fact for r in facts.get(Certificate, ()) if isinstance(r.fact, Certificate) and r.fact.unit == unit_id]
    as_of = end_of_day(day_number(opening.as_of))
    result: list[Done] = []
    for recorded in facts.get(Accomplishment, ()):
        fact = recorded.fact
        if not isinstance(fact, Accomplishment) or fact.unit != unit_id:
            continue
        rule = rules.get(fact.requirement)
        basis = fact.date_basis or _date_basis(rule)
        on_aircraft = basis == "log"
        when = parse_partial(fact.done_on)
        day = when.first_day.toordinal()
        if fact.sequence is not None:
            moment = moment_of(day, fact.sequence)
        else:
            moment = end_of_day(day) if on_aircraft else moment_of(day)
        proven = True
        shown = _papers_named(fact, papers)
        if shown and rule is not None and basis != "log":
            proven = any(proves(rule.kind, paper.status) for paper in shown)
        counted = Count()
        if moment >= as_of:
            counted = counts.bounded_at(moment) if rule is not None and compares(rule) else counts.at(moment)
        result.append(
            Done(
                requirement=fact.requirement,
                date=when,
                day=day,
                moment=moment,
                count=_count_when_done(fact, opening, counted),
                operations=_operations_when_done(fact, opening),
                on_aircraft=on_aircraft,
                installed=_installed_at(stays, moment),
                proven=proven,
                date_basis=basis,
                stated_due=day_number(fact.stated_due) if fact.stated_due else None,
                entry=recorded.number,
                expansion=expansion_of(fact),
            )
        )
    requalifications = {rule.requirement for rule in requirements if rule.kind == "requalification"}
    return none_restored(sorted(result, key=lambda done: (done.moment, done.entry)), requalifications)


def expansion_of(fact: Accomplishment) -> ExpansionTest | None:
    """The figures of the expansion test that the fact states; None where it states none."""
    if fact.expansion_total is None or fact.expansion_permanent is None or fact.expansion_specification is None:
        return None
    return ExpansionTest(
        total=fact.expansion_total,
        permanent=fact.expansion_permanent,
        limit=fact.expansion_limit,
        specification=fact.expansion_specification,
    )


def _papers_named(fact: Accomplishment, papers: Sequence[Certificate]) -> list[Certificate]:
    """The lines of the one paper the accomplishment names; none where two organisations' papers bear the number."""
    if not fact.certificate:
        return []
    number, organisation = fold(fact.certificate), fold(fact.certificate_organisation)
    found = [paper for paper in papers if fold(paper.tracking_number) == number]
    if organisation:
        return [paper for paper in found if fold(paper.organisation) == organisation]
    return found if len({fold(paper.organisation) for paper in found}) == 1 else []


def _date_basis(rule: Requirement | None) -> str:
    if rule is None:
        return "release"
    if rule.kind == "requalification":
        return "mark"
    return "log" if rule.done_at == "aircraft" else "release"


def _count_when_done(fact: Accomplishment, opening: Opening, counted: Count) -> Count:
    """Stated counts first; else counted along the stays; before the opening only what the paper states."""
    minutes = relative(fact.minutes_since_new, opening.minutes_since_new, fact.minutes_since, counted.minutes)
    cycles = relative(fact.cycles_since_new, opening.cycles_since_new, fact.cycles_since, counted.cycles)
    stated = fact.minutes_since_new is not None or fact.minutes_since is not None
    spread = counted.spread
    if spread is not None and stated:
        spread = changed(spread, minutes_over=0, minutes_under=0)
    if spread is not None and (fact.cycles_since_new is not None or fact.cycles_since is not None):
        spread = changed(spread, cycles_over=0, cycles_under=0)
    return Count(minutes=minutes, cycles=cycles, estimated=counted.estimated and not stated, spread=spread)


def relative(since_new: int | None, opening: int | None, since: int | None, counted: int | None) -> int | None:
    """A count relative to the opening: by the total since new, by what was run since, else as counted."""
    if since_new is not None and opening is not None:
        return since_new - opening
    if since is not None:
        return -since
    return counted


def _operations_when_done(fact: Accomplishment, opening: Opening) -> int | None:
    return relative(fact.operations_since_new, opening.operations_since_new, fact.operations_since, None)


def _installed_at(stays: UnitStays, moment: int) -> bool:
    for row in stays.rows:
        if row.from_moment <= moment and (row.until_moment is None or row.until_moment > moment):
            return row.kind in ("position", "slot")
    return False


def _operated(unit_id: int, facts: Sequence[Recorded]) -> tuple[Operated, ...]:
    found: list[Operated] = []
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, Operation) and fact.unit == unit_id:
            day = day_number(fact.operated_on)
            found.append(
                Operated(
                    day=day,
                    moment=moment_of(day, fact.sequence or 0),
                    operation=fact.operation,
                    count=fact.count,
                    entry=recorded.number,
                )
            )
    return tuple(sorted(found, key=lambda operated: (operated.moment, operated.entry)))


def _variations(
    unit_id: int, facts: Sequence[Recorded], carriages: Sequence[CarriageRow], counts: Counts
) -> tuple[Varied, ...]:
    found: list[Varied] = []
    for recorded in facts:
        fact = recorded.fact
        if not isinstance(fact, Variation) or fact.unit != unit_id:
            continue
        approved = day_number(fact.approved_on) if fact.approved_on else 0
        carried = _carriage_on(carriages, approved)
        then = None if carried is None else total_by(counts.totals, carried.airframe_id, approved)
        least = None if carried is None else counts.totals.before(carried.airframe_id, approved - 1)
        found.append(
            Varied(
                requirement=fact.requirement,
                approved_on=approved,
                until_day=day_number(fact.until_on) if fact.until_on else None,
                until_minutes=fact.until_minutes,
                until_cycles=fact.until_cycles,
                approved_minutes=then.minutes if then else None,
                approved_cycles=then.cycles if then else None,
                approved_minutes_least=least.minutes if least else None,
                approved_cycles_least=least.cycles if least else None,
                airframe_id=carried.airframe_id if carried else None,
                left_moment=carried.until_moment if carried else None,
                reference=fact.reference,
                approved_by=fact.approved_by,
                entry=recorded.number,
            )
        )
    return tuple(sorted(found, key=lambda varied: (varied.approved_on, varied.entry)))


def total_by(totals: Totals, airframe_id: int, day: int) -> Point | None:
    """The airframe's totals on a day, rounded up: the first reading at or after it, else projected."""
    return totals.after(airframe_id, day) or projected(totals, airframe_id, day)


def _carriage_on(carriages: Sequence[CarriageRow], day: int) -> CarriageRow | None:
    moment = end_of_day(day)
    for row in carriages:
        if row.from_moment <= moment and (row.until_moment is None or row.until_moment > moment):
            return row
    return None


def _carried(carriages: Sequence[CarriageRow], counts: Counts, *, compared: bool) -> Carried | None:
    if not carriages or carriages[-1].until_moment is not None:
        return None
    row = carriages[-1]
    start = counts.starts[-1]
    return Carried(
        airframe_id=row.airframe_id,
        moment=row.from_moment,
        minutes=row.from_minutes,
        cycles=row.from_cycles,
        count=start,
        estimated=start.estimated or row.from_basis in ESTIMATED_BASES,
        spread=counts.spread_once_carried() if compared else None,
    )

"""The findings of a world: every check over the rows gathered for it, with what is acknowledged and what is waived.

For the audit, for the cards, and for whoever takes files in. All of them, and always in the same order.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from fleetlife.checks import (
    cylinders,
    deferrals,
    fit,
    identity,
    life,
    moves,
    paper,
    plans,
    publications,
    receipts,
    stores,
    swaps,
    work,
)
from fleetlife.checks.every import REGISTER
from fleetlife.checks.rows import AssemblyRow, DoorRow, Placed
from fleetlife.clocks.due_rows import Desk, candidates_of, changed_candidates, counters_read
from fleetlife.clocks.evidence import Bench
from fleetlife.clocks.papers import (
    OF_FORMS,
    approvals_not_known,
    counts_that_differ,
    forms_not_known,
    lives_not_on_paper,
    paper_findings,
)
from fleetlife.clocks.plans import plan_findings
from fleetlife.clocks.publications import publication_rows, publications_in_force
from fleetlife.clocks.swaps import door_rows
from fleetlife.clocks.world import STALE_DAYS, World, statuses_of
from fleetlife.dates.partial import day_number
from fleetlife.fit.eligibility import depends_on_unit
from fleetlife.follows.rows import UnitStateRow
from fleetlife.follows.states import registered_by
from fleetlife.ledger.entry import facts_of
from fleetlife.ledger.facts import Waiver
from fleetlife.store.audit_query import Scope, ask
from fleetlife.store.due_query import DueCandidate, due_candidates
from fleetlife.terms.finding import Evidence, Finding
from fleetlife.terms.number import fold

# Raised elsewhere: by the verification of the ledger, by the question about a fitting, by reading every document.
ELSEWHERE = {
    "LED101": "fleetlife ledger verify",
    "LED102": "fleetlife ledger verify",
    "FIT108": "fleetlife swap check",
    "PAT102": "fleetlife audit --patterns",
    "DOC101": "fleetlife document check",
    "DOC102": "fleetlife document check",
}


@dataclass(frozen=True, slots=True)
class Section:
    """Checks that judge the same rows. level: of units, of airframes, or of the fleet as a whole."""

    codes: tuple[str, ...]
    level: str
    run: Callable[[Bench], Iterator[Finding]]


def findings_in(
    world: World, *, scope: Scope | None = None, codes: Collection[str] = (), level: str = "fleet"
) -> list[Finding]:
    """Every finding of the scope, without waivers, acknowledged ones marked; sorted.

    `level`: "fleet" runs every check, "airframes" those of airframes and units, "units" those of units alone.
    """
    bench = Bench(world, scope or Scope(), of_units=level == "units")
    found: dict[Finding, None] = {}
    for section in SECTIONS:
        if _LEVELS[section.level] > _LEVELS[level] or (codes and not set(section.codes) & set(codes)):
            continue
        found.update(dict.fromkeys(section.run(bench)))
    units = bench.scope.units if level == "units" else None
    kept = [
        each
        for each in found
        if (not codes or each.code in codes) and (units is None or each.unit in units or each.code == "IDN101")
    ]
    return sorted(_with_acknowledged(bench, kept), key=Finding.sort_key)


def findings_of_unit(world: World, unit_ids: Collection[int]) -> tuple[Finding, ...]:
    """The findings about the units, each with its status; waived ones are left out."""
    units = frozenset(unit_ids)
    states = world.states(units)
    carriers = frozenset(s.carried_airframe_id for s in states.values() if s.carried_airframe_id is not None)
    found = findings_in(world, scope=Scope(units=units, airframes=carriers), level="units")
    return tuple(each for each in with_waivers(world, found) if not is_waived(each))


def findings_of_airframe(world: World, airframe: int) -> tuple[Finding, ...]:
    """The findings about the airframe and what it carries, each with its status; waived ones are left out."""
    found = findings_in(world, scope=airframe_scope(world, [airframe]), level="airframes")
    return tuple(each for each in with_waivers(world, found) if not is_waived(each))


def former_due_count(world: World) -> int:
    """How many former due dates differ from the ones computed from the same work (LIF106). One statement."""
    return sum(1 for _ in life.former_due_differs(Bench(world, Scope()).former_due()))


def airframe_scope(world: World, airframes: Collection[int]) -> Scope:
    """The airframes and the units that they carry in this world."""
    only = Scope(airframes=frozenset(airframes))
    units = {unit for _, carried in Bench(world, only).aboard() for unit in carried}
    return Scope(units=frozenset(units), airframes=only.airframes)


# --- waivers and acknowledgements ----------------------------------------------------------------------------------


def with_waivers(world: World, found: Iterable[Finding]) -> list[Finding]:
    """The findings with the waivers in the ledger laid upon them: `waived until D`, or why a waiver does not count.

    A waiver names a code (or a finding's name) and the finding's subject exactly; it ends with its day.
    """
    waivers = {_waiver_key(waiver): (number, waiver) for number, waiver in _waivers(world)}
    if not waivers:
        return list(found)
    result = []
    for each in found:
        held = waivers.get((each.code, fold(each.subject()))) or waivers.get((each.name, fold(each.subject())))
        result.append(each if held is None else _laid_upon(each, *held, on=world.as_of))
    return result


def is_waived(found: Finding) -> bool:
    return found.status.startswith("waived until")


def _waiver_key(waiver: Waiver) -> tuple[str, str]:
    name = waiver.finding.strip()
    return (name.upper() if name.upper() in REGISTER else name.lower()), fold(waiver.subject)


def _laid_upon(found: Finding, number: int, waiver: Waiver, *, on: int) -> Finding:
    until = day_number(waiver.expires_on)
    told = f"by {waiver.approved_by} until {waiver.expires_on}: {waiver.reason}"
    if not REGISTER[found.code].waivable:
        says = f"ignored, because {found.code} is never waived ({told})"
        return replace(found, evidence=(*found.evidence, Evidence(source="waiver", says=says, entry=number)))
    if on > until:
        says = f"expired {told}"
        return replace(found, evidence=(*found.evidence, Evidence(source="waiver", says=says, entry=number)))
    return replace(
        found,
        status=f"waived until {waiver.expires_on}",
        evidence=(*found.evidence, Evidence(source="waiver", says=told, entry=number)),
    )


def _waivers(world: World) -> Iterator[tuple[int, Waiver]]:
    """The waivers that stand, in the order recorded."""
    for number, body, gone in ask(world.connection, "waivers", known=world.known):
        retired = set(gone.split(",")) if gone else set()
        for item, fact in enumerate(facts_of(json.loads(body))):
            if isinstance(fact, Waiver) and str(item) not in retired:
                yield number, fact


def ignored_waivers(found: Iterable[Finding]) -> tuple[str, ...]:
    """A sentence for each waiver of a finding that is never waived."""
    return tuple(
        f"The waiver of {each.code} on {each.subject()} (entry {evidence.entry}) is ignored: it is never waived."
        for each in found
        for evidence in each.evidence
        if evidence.source == "waiver" and evidence.says.startswith("ignored")
    )


def _with_acknowledged(bench: Bench, found: list[Finding]) -> list[Finding]:
    """Acknowledged at the fitting that still stands, a finding stays open under the name of who accepted it.

    An acknowledgement counts for the unit fitted and what it holds, until the unit leaves that position; of a unit put
    into its assembly on the bench for that unit, until it is taken out.
    """
    about = frozenset(each.unit for each in found if each.unit is not None)
    fitted = bench.roots(about) | about
    if not fitted:
        return found
    held: dict[int, list[tuple[int, int, dict[str, str]]]] = {}
    known = bench.world.known
    for unit, moment, number, body in ask(bench.world.connection, "acknowledged", ids=fitted, known=known):
        for item in json.loads(body)["acknowledged"]:
            held.setdefault(unit, []).append((moment, number, item))
    if not held:
        return found
    units = bench.units_named(about | held.keys())
    result = []
    for each in found:
        own = units.get(each.unit or 0)
        root = None if own is None else units.get(own.state.root_id or 0)
        marked = each
        for fitted_unit in (root, own):
            if fitted_unit is not None and marked is each:
                marked = _acknowledged(each, fitted_unit.state, held.get(fitted_unit.state.unit_id, []))
        result.append(marked)
    return result


def _acknowledged(found: Finding, fitted: UnitStateRow, held: list[tuple[int, int, dict[str, str]]]) -> Finding:
    for moment, number, item in held:
        if moment == fitted.since_moment and item["finding"].upper() == found.code:
            says = f"by {item['name']}: {item['reason']}"
            return replace(
                found,
                status=f"acknowledged by {item['name']}, entry {number}",
                evidence=(*found.evidence, Evidence(source="acknowledged", says=says, entry=number)),
            )
    return found


# --- the sections --------------------------------------------------------------------------------------------------


def _life(bench: Bench) -> Iterator[Finding]:
    world = bench.world
    outlooks = world.outlooks(bench.scope.airframes)
    desk = Desk(world, outlooks)
    candidates = _candidates(bench, outlooks)
    desk.prepare(candidates)
    for candidate in candidates:
        unit = candidate.unit
        if unit.kind == "scrap":
            continue
        row = desk.row(candidate, None, world.as_of)[1]
        for judge in (
            life.overdue,
            life.basis_unknown,
            life.life_not_shown,
            life.no_programme,
            life.requalification_without_mark,
            life.stays_until_emptied,
        ):
            for found in judge((row,)):
                yield replace(found, unit=unit.unit_id, airframe=unit.carried_airframe_id)


def _candidates(bench: Bench, outlooks: Any) -> list[DueCandidate]:
    """What can be overdue or unknown on the day: by the window of the fleet or the airframes, or all of the units."""
    world, scope = bench.world, bench.scope
    if scope.units is None:
        return candidates_of(world, outlooks, until_day=world.as_of, airframes=scope.airframes)
    stored = [unit for unit in scope.units if bench.stands(unit)]
    found = due_candidates(world.connection, as_of=world.as_of, unit_ids=sorted(stored)) if stored else []
    return [*found, *changed_candidates(world, units=scope.units)]


def _readings(bench: Bench) -> Iterator[Finding]:
    world, asked = bench.world, bench.scope.airframes
    views = world.outlooks(asked)
    rows = [
        (world.registration(a), a, view)
        for a, view in sorted(views.items())
        if a in world.reference.airframes and (asked is None or a in asked)
    ]
    statuses = statuses_of(world, [a for _, a, _ in rows])
    counters = counters_read(world, asked)
    return life.stale_readings(rows, as_of=world.as_of, after_days=STALE_DAYS, statuses=statuses, counters=counters)


def _agreement(bench: Bench) -> Iterator[Finding]:
    rows = list(bench.differing())  # as many as there are findings, near enough
    yield from paper.part_number_differs(rows)
    yield from paper.serial_number_differs(rows)


def _aboard(bench: Bench) -> Iterator[Finding]:
    """Airframe by airframe, so that no more than one is held in memory."""
    reference = bench.world.reference
    plainly = _plainly_eligible(bench)
    doubtful: list[DoorRow] = []
    for airframe, units in bench.aboard():
        doors = bench.doors(airframe, units)
        doubtful.extend(door for door in doors if door.occupant is not None and not plainly(door))
        yield from paper.no_certificate(units.values())
        yield from fit.harness_other_side(doors)
        yield from fit.pair_intermix(_pairs(doors), rows=reference.intermix)
        if registered_by(reference, airframe, bench.world.as_of):
            yield from fit.position_empty(doors, as_of=bench.world.as_of)
        yield from fit.on_hold_installed(units.values())
        yield from fit.not_serviceable_installed(units.values())
        yield from fit.child_missing(_assemblies(bench, units), slots=reference.slots)
    hanging = [door.occupant.state.unit_id for door in doubtful if door.occupant is not None]
    depends = any(depends_on_unit(rows) for rows in reference.eligibility.values())
    asked: dict[str, Any] = {
        "reference": reference,
        "unit_modifications": bench.modifications(hanging),
        "unit_without": bench.world.found_without(hanging) if depends else {},
        "on": bench.world.as_of,
    }
    yield from fit.not_eligible(doubtful, **asked)
    yield from fit.stand_in_without_reference(doubtful, **asked)


def _plainly_eligible(bench: Bench) -> Callable[[DoorRow], bool]:
    """Whether a row without any effectivity names the part for the position: then there is nothing to judge."""
    named = {
        (of_type, position, fold(row.part_number))
        for (of_type, position), rows in bench.world.reference.eligibility.items()
        for row in rows
        if not (row.serial_from or row.serial_to or row.requires_modification or row.excludes_modification)
        and not (row.requires_unit_modification or row.excludes_unit_modification or row.effective_from)
    }

    def plainly(door: DoorRow) -> bool:
        unit = door.occupant
        assert unit is not None
        return (fold(door.frame.type), door.position.position, fold(unit.state.part_number)) in named

    return plainly


def _pairs(doors: list[DoorRow]) -> Iterator[tuple[DoorRow, DoorRow]]:
    pairs: dict[str, list[DoorRow]] = {}
    for door in doors:
        if door.position.pair and door.occupant is not None:
            pairs.setdefault(door.position.pair, []).append(door)
    for mates in pairs.values():
        for index, one in enumerate(mates):
            for other in mates[index + 1 :]:
                yield one, other


def _assemblies(bench: Bench, units: dict[int, Placed]) -> Iterator[AssemblyRow]:
    slots = bench.world.reference.slots
    children: dict[int, list[UnitStateRow]] = {}
    for placed in units.values():
        if placed.state.parent_id is not None:
            children.setdefault(placed.state.parent_id, []).append(placed.state)
    for unit, placed in units.items():
        if fold(placed.state.part_number) in slots:
            yield AssemblyRow(unit=placed, children=tuple(children.get(unit, ())))


def _loose(bench: Bench) -> Iterator[Finding]:
    slots = bench.world.reference.slots
    for row in bench.loose():
        yield from fit.place_unknown((row.unit,))
        yield from fit.child_missing((row,), slots=slots)


def _fittings(bench: Bench) -> Iterator[Finding]:
    """A fitting that names its paper is told once, though it has no earlier release either."""
    seen: set[tuple[int | None, str | None]] = set()
    for found in paper.certificate_after_fitting(bench.fittings()):
        if (found.unit, found.certificate) not in seen:
            seen.add((found.unit, found.certificate))
            yield found


def _look_alikes(bench: Bench) -> Iterator[Finding]:
    connection, units = bench.world.connection, bench.scope.units
    keys: dict[int, list[int]] = {}
    if units is None or len(units) > FEW:
        rows = ask(connection, "identities")
    elif units:
        named = bench.units_named(units)
        patterns = frozenset(identity.look_alike_pattern(placed.state.serial_number) for placed in named.values())
        rows = ask(connection, "like", patterns=patterns)
    else:
        return
    firsts: dict[int, int] = {}
    for unit, part_number, serial_number in rows:
        key = hash(identity.identity_key(part_number, serial_number))
        first = firsts.setdefault(key, unit)
        if first != unit:
            keys.setdefault(key, [first]).append(unit)
    groups = [group for group in keys.values() if units is None or units & set(group)]
    placed = bench.units_named({unit for group in groups for unit in group}) if groups else {}
    yield from identity.look_alike_identity([[placed[u] for u in group if u in placed] for group in groups])


def _swaps(bench: Bench) -> Iterator[Finding]:
    """What is open at doors: devices and locks, swaps that are done, releases that these records do not bear out."""
    left, rows = door_rows(bench.world, bench.scope.airframes)
    for judge in (swaps.safety_device_still_in, swaps.lock_not_remade, swaps.retained_item_gone):
        yield from judge(left)
    for of_swap in (
        swaps.swap_not_released,
        swaps.released_with_something_open,
        swaps.released_outside_authorisation,
        swaps.own_work_inspected,
        swaps.gauge_outside_its_band,
    ):
        yield from of_swap(rows)


def _plans(bench: Bench) -> Iterator[Finding]:
    """What can go wrong with swaps that are planned and not done."""
    airframes, units = (None, bench.scope.units) if bench.of_units else (bench.scope.airframes, None)
    yield from (found for _, found in plan_findings(bench.world, airframes=airframes, units=units))


def _publications(bench: Bench) -> Iterator[Finding]:
    """What publications in force ask of the units and is not met; no statement where there are none. One that names
    nobody is told once, not of every unit."""
    naming = [notice for notice in publications_in_force(bench.world) if notice.names_units]
    rows = publication_rows(bench.world, naming, units=bench.scope.units)
    return publications.findings_of_rows(rows)


def _deferrals(bench: Bench) -> Iterator[Finding]:
    rows = list(bench.deferred())
    yield from deferrals.deferral_expired(rows, as_of=bench.world.as_of)
    yield from deferrals.deferral_open(rows, as_of=bench.world.as_of)


FEW = 8  # units up to which look-alikes are sought by pattern

SECTIONS = (
    Section(("LIF101", "LIF102", "LIF103", "LIF104", "LIF107", "LIF110"), "units", _life),
    Section(("LIF105",), "airframes", _readings),
    Section(("LIF106",), "units", lambda bench: life.former_due_differs(bench.former_due())),
    Section(("LIF109",), "units", lambda bench: life.programmes_not_bridged(bench.bridged())),
    Section(("LIF108",), "units", lambda bench: work.done_late_without_approval(bench.works())),
    Section(("CYL101",), "units", lambda bench: cylinders.expansion_test_not_passed(bench.tested())),
    Section(("PAP101", "PAP102"), "units", _agreement),
    Section(
        ("PAP103", "FIT101", "FIT102", "FIT103", "FIT104", "FIT105", "FIT107", "FIT109", "FIT110"),
        "units",
        _aboard,
    ),
    Section(("FIT105", "FIT106"), "units", _loose),
    Section(("PAP104",), "units", lambda bench: paper.no_release_since_removal(bench.refitted())),
    Section(("MOV101",), "units", lambda bench: moves.donor_not_in_service(bench.off_donors())),
    Section(("MOV102",), "units", lambda bench: moves.loan_not_returned(bench.loans(), as_of=bench.world.as_of)),
    Section(("MOV103",), "units", lambda bench: moves.scrapped_without_disposition(bench.scrapped())),
    Section(("MOV104",), "units", lambda bench: moves.deployed_not_released(bench.deployed())),
    Section(("DEF101", "DEF102"), "airframes", _deferrals),
    Section(("PAP105",), "units", lambda bench: paper.certificate_filed_twice(bench.same_papers())),
    Section(("PAP106",), "units", _fittings),
    Section(("PAP107",), "units", lambda bench: paper.certificate_before_manufacture(bench.before_manufacture())),
    Section(
        ("PAP109",),
        "airframes",
        lambda bench: paper.entered_late(bench.late_entries(within=paper.ENTERED_WITHIN_DAYS)),
    ),
    Section(("PAP110",), "units", lambda bench: paper.paper_does_not_show_the_work(bench.claims())),
    Section(OF_FORMS, "units", paper_findings),
    Section(("FRM108",), "fleet", forms_not_known),
    Section(("APP103",), "fleet", approvals_not_known),
    Section(("PAP112",), "units", counts_that_differ),
    Section(("PAP113",), "units", lives_not_on_paper),
    Section(("PAP111",), "fleet", lambda bench: paper.certificate_unfiled(bench.unfiled())),
    Section(("IDN101",), "units", _look_alikes),
    Section(("IDN102",), "units", lambda bench: identity.plate_differs(bench.plates())),
    Section(("RCP101",), "units", lambda bench: receipts.receipt_holds(bench.received())),
    Section(("RCP102",), "units", lambda bench: receipts.suspected_part(bench.suspected())),
    Section(("PAT101",), "airframes", lambda bench: work.one_person_many_doors(bench.signed(doors=work.MANY_DOORS))),
    Section(swaps.OF_DOORS, "airframes", _swaps),
    Section(plans.OF_PLANS, "units", _plans),
    Section(("SPR101",), "units", lambda bench: stores.spare_promised_twice(bench.promised())),
    Section(publications.OF_PUBLICATIONS, "units", _publications),
    Section(
        ("PUB105",),
        "fleet",
        lambda bench: publications.publication_without_applicability(publications_in_force(bench.world)),
    ),
)
_LEVELS = {"units": 0, "airframes": 1, "fleet": 2}


def checks_of(codes: Collection[str] = (), *, level: str = "fleet") -> tuple[str, ...]:
    """The codes that an audit of this level runs, in order."""
    run = {code for section in SECTIONS if _LEVELS[section.level] <= _LEVELS[level] for code in section.codes}
    return tuple(sorted(run & set(codes) if codes else run))

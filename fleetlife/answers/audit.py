"""`audit`: does the paper agree with the metal; every finding, with its evidence and with what was not checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

from fleetlife.answers.audit_since import since
from fleetlife.checks.every import REGISTER
from fleetlife.clocks.evidence import Bench
from fleetlife.clocks.findings import (
    ELSEWHERE,
    airframe_scope,
    checks_of,
    findings_of_airframe,
    findings_of_unit,
    former_due_count,
    ignored_waivers,
    is_waived,
    with_waivers,
)
from fleetlife.clocks.patterns import PATTERN, found_in
from fleetlife.clocks.places import place_text
from fleetlife.clocks.sampling import drawn, population
from fleetlife.clocks.world import World, open_world
from fleetlife.store.audit_query import Scope
from fleetlife.store.engine import Store
from fleetlife.terms.audited import OrganisationPapers, Sample, SampledUnit
from fleetlife.terms.finding import SEVERITY_ORDER, Finding, number_read
from fleetlife.terms.number import fold, nearest
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import AuditReport

__all__ = ["audit", "audit_in", "findings_of_airframe", "findings_of_unit", "former_due_count"]

NOT_CHECKED = (
    "the physical condition of any unit, and what its data plate says",
    "papers, work and movements that nobody has taken in",
    "directives and modifications that are not loaded here",
    "papers that name no form, or one that is not known here, by that form's own rules",
    "whether requirements, eligibility and intermix rows are the current revision of the approved data",
    "whether the ledger was altered: fleetlife ledger verify",
)

PAPERS_THEN = "papers that no unit answered to then and that have been filed since: they are seen as they stand now"


def audit(
    store: Store,
    *,
    as_of: date,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    part_numbers: Collection[str] = (),
    codes: Collection[str] = (),
    severities: Collection[str] = (),
    numbers: Collection[str] = (),
    waived: bool = False,
    draw: tuple[int, str] | None = None,
    earlier: str | None = None,
    earlier_day: date | None = None,
) -> AuditReport:
    """Every finding, worst first; counts are of findings that are not waived, and waived ones are counted beside.

    `registrations` narrows to airframes and what they carry, `part_numbers` to units of these parts, `codes` (or
    names) to these checks, `severities` to these, `numbers` to these findings. With `waived`, waived findings are
    among the rows. `draw` (how many, seed): of that many units of the scope only, by the rule of `terms.audited`.
    `earlier`: what is new and what is closed since that moment, of `earlier_day` (the same day where None).
    Refusals: those of `clocks.world.open_world`, `registration-*`, `code-unknown`, `severity-unknown`,
    `finding-unknown`, `finding-not-standing`, `sample-not-drawn`, `moments-reversed`.
    """
    wanted = tuple(code_named(each) for each in codes)
    asked_for = tuple(number_named(each) for each in numbers)
    wanted += tuple(dict.fromkeys(each[:6] for each in asked_for if each[:6] not in wanted))
    for severity in severities:
        if severity not in SEVERITY_ORDER:
            raise Refusal(
                "severity-unknown",
                f"{severity!r} is no severity.",
                remedy="Ask for stop, rectify or note.",
                status=2,
            )
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        airframes = [world.reference.airframe_on(name, world.as_of) for name in registrations] or None
        asked: dict[str, Any] = {"part_numbers": part_numbers, "severities": severities, "numbers": asked_for}
        report = audit_in(world, airframes=airframes, codes=wanted, waived=True, draw=draw, **asked)
        # a number is a digest: none is reckoned where none was asked for
        missing = set(asked_for) - {each.number for each in report.findings} if asked_for else None
        if missing and earlier is None:
            raise Refusal(
                "finding-not-standing",
                f"{', '.join(sorted(missing))} does not stand on {as_of}, by these records and in this scope.",
                remedy="It is closed, or mistyped; `fleetlife audit --since ENTRY` lists what was closed, and when.",
            )
        if earlier is not None:
            then = since(
                store,
                world,
                report.findings,
                moment=earlier,
                as_of=earlier_day or as_of,
                airframes=airframes,
                codes=wanted,
                asked=partial(_asked, **asked),
            )
            report = replace(report, since=then, not_checked=(*report.not_checked, PAPERS_THEN))
        return report if waived else replace(report, findings=tuple(f for f in report.findings if not is_waived(f)))


def audit_in(
    world: World,
    *,
    airframes: Collection[int] | None = None,
    part_numbers: Collection[str] = (),
    codes: Collection[str] = (),
    severities: Collection[str] = (),
    numbers: Collection[str] = (),
    waived: bool = False,
    draw: tuple[int, str] | None = None,
) -> AuditReport:
    """The audit in an open world; see `audit`. `codes` are codes, not names."""
    level = "fleet" if airframes is None else "airframes"
    scope = Scope() if airframes is None else airframe_scope(world, airframes)
    sample = None
    if draw is not None:
        level, (sample, scope) = "units", _drawn(world, scope, part_numbers, draw)
    found, rows = found_in(world, scope=scope, codes=codes, level=level)
    found = with_waivers(world, found)
    found = _asked(found, part_numbers=part_numbers, severities=severities, numbers=numbers)
    if not found:  # nothing found of a part that is not there is no clean audit
        world.check_parts(part_numbers)
    standing = [each for each in found if not is_waived(each)]
    run = (*checks_of(codes, level=level), *((PATTERN,) if rows else ()))
    return AuditReport(
        about=world.about("audit", airframes=airframes),
        scope=_scope_words(world, airframes, part_numbers, codes, severities),
        findings=tuple(found if waived else standing),
        counts=tuple((severity, _count(standing, severity)) for severity in SEVERITY_ORDER),
        waived=len(found) - len(standing),
        checks_run=run,
        units_examined=Bench(world, scope).count(),
        not_checked=(*NOT_CHECKED, *_left_out(world, run, level), *ignored_waivers(found)),
        organisations=tuple(
            OrganisationPapers(organisation=row.organisation, lines=row.lines, differing=row.differing) for row in rows
        ),
        sample=None if sample is None else _with_counts(world, sample, standing),
    )


def _asked(
    found: Iterable[Finding],
    *,
    part_numbers: Collection[str] = (),
    severities: Collection[str] = (),
    numbers: Collection[str] = (),
) -> list[Finding]:
    """The findings that were asked for."""
    parts = {fold(number) for number in part_numbers}
    return [
        each
        for each in found
        if (not parts or fold(each.part_number) in parts)
        and (not severities or each.severity in severities)
        and (not numbers or each.number in numbers)
    ]


def _drawn(
    world: World, scope: Scope, part_numbers: Collection[str], draw: tuple[int, str]
) -> tuple[tuple[str, int, int, list[int]], Scope]:
    """(seed, asked, population, units drawn in the order of the seed) and the scope of the units drawn."""
    count, seed = draw
    if count < 1 or not seed.strip() or "\n" in seed:
        raise Refusal(
            "sample-not-drawn",
            f"A sample of {count} with the seed {seed!r} cannot be drawn.",
            remedy="Ask for one unit or more, with a seed in one line that was stated before.",
            status=2,
        )
    world.check_parts(part_numbers)
    named = population(Bench(world, scope), part_numbers)
    chosen = drawn(named, seed=seed, count=count)
    states = world.states(chosen)
    carriers = frozenset(s.carried_airframe_id for s in states.values() if s.carried_airframe_id is not None)
    return (seed, count, len(named), chosen), Scope(units=frozenset(chosen), airframes=carriers)


def _with_counts(world: World, sample: tuple[str, int, int, list[int]], standing: Collection[Finding]) -> Sample:
    seed, asked, size, chosen = sample
    states = world.states(chosen)
    names = world.states({s.parent_id for s in states.values() if s.parent_id is not None})
    found = Counter(each.unit for each in standing)
    return Sample(
        seed=seed,
        asked=asked,
        population=size,
        units=tuple(
            SampledUnit(
                part_number=state.part_number,
                serial_number=state.serial_number,
                manufacturer=state.manufacturer,
                place=place_text(world, state, names),
                findings=found[unit],
            )
            for unit in chosen
            for state in (states[unit],)
        ),
    )


def number_named(text: str) -> str:
    """A finding's number as it is kept. Refusal: `finding-unknown`, for what can be none."""
    number = number_read(text)
    if number is None or number[:6] not in REGISTER:
        raise Refusal(
            "finding-unknown",
            f"{text!r} is no finding's number.",
            remedy="Write it as the audit prints it: the code, a hyphen and eight signs.",
            status=2,
        )
    return number


def code_named(code_or_name: str) -> str:
    """The code of a check by its code or its name. Refusal: `code-unknown`, with the nearest."""
    text = code_or_name.strip()
    if text.upper() in REGISTER:
        return text.upper()
    for code, check in REGISTER.items():
        if check.name == text.lower():
            return code
    near = nearest(text.upper(), REGISTER) or nearest(text.lower(), {c.name for c in REGISTER.values()})
    raise Refusal(
        "code-unknown",
        f"There is no finding {code_or_name!r}.{f' Did you mean {near}?' if near else ''}",
        remedy="`fleetlife explain` lists every finding.",
        status=2,
    )


def _count(found: Collection[Finding], severity: str) -> int:
    return sum(each.severity == severity for each in found)


def _scope_words(
    world: World,
    airframes: Collection[int] | None,
    part_numbers: Collection[str],
    codes: Collection[str],
    severities: Collection[str],
) -> str:
    words = ["the whole fleet"] if airframes is None else [", ".join(world.registration(a) for a in airframes)]
    for name, values in (("part", part_numbers), ("finding", codes), ("severity", severities)):
        if values:
            words.append(f"{name} {', '.join(values)}")
    return "; ".join(words)


def _left_out(world: World, run: Collection[str], level: str) -> tuple[str, ...]:
    """What this audit, of all audits, did not look at."""
    sentences = []
    every = set(checks_of())
    missing = sorted(every - set(run))
    if missing:
        sentences.append(f"not run: {', '.join(missing)}")
    elsewhere = {
        command: [c for c, by in ELSEWHERE.items() if by == command and c not in run] for command in ELSEWHERE.values()
    }
    sentences += [f"{', '.join(codes)}: raised by {command}" for command, codes in sorted(elsewhere.items()) if codes]
    if not world.reference.approvals:
        sentences.append("whether who signed the papers was approved then: no approvals are taken in (file approvals)")
    if not world.reference.publications:
        sentences.append("what directives and bulletins ask for: none are taken in (file publications)")
    if level == "units":
        sentences.append("every unit that was not drawn, and what is wrong with airframes and with papers as a whole")
    if level == "airframes":
        sentences.append("units in stores, at shops, on loan or nowhere, which no airframe of this audit carries")
    if world.known_at is not None:
        sentences.append(PAPERS_THEN)
    return tuple(sentences)

"""`audit`: does the paper agree with the metal; every finding, with its evidence and with what was not checked."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from fleetlife.checks.every import REGISTER
from fleetlife.clocks.evidence import Bench
from fleetlife.clocks.findings import (
    ELSEWHERE,
    airframe_scope,
    checks_of,
    findings_in,
    findings_of_airframe,
    findings_of_unit,
    former_due_count,
    ignored_waivers,
    is_waived,
    with_waivers,
)
from fleetlife.clocks.world import World, open_world
from fleetlife.store.audit_query import Scope
from fleetlife.store.engine import Store
from fleetlife.terms.finding import SEVERITY_ORDER, Finding
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


def audit(
    store: Store,
    *,
    as_of: date,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    part_numbers: Collection[str] = (),
    codes: Collection[str] = (),
    severities: Collection[str] = (),
    waived: bool = False,
) -> AuditReport:
    """Every finding, worst first; counts are of findings that are not waived, and waived ones are counted beside.

    `registrations` narrows to airframes and what they carry, `part_numbers` to units of these parts, `codes` (or
    names) to these checks, `severities` to these. With `waived`, waived findings are among the rows.
    Refusals: those of `clocks.world.open_world`, `registration-*`, `code-unknown`, `severity-unknown`.
    """
    wanted = tuple(code_named(each) for each in codes)
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
        return audit_in(
            world,
            airframes=[world.reference.airframe_on(name, world.as_of) for name in registrations] or None,
            part_numbers=part_numbers,
            codes=wanted,
            severities=severities,
            waived=waived,
        )


def audit_in(
    world: World,
    *,
    airframes: Collection[int] | None = None,
    part_numbers: Collection[str] = (),
    codes: Collection[str] = (),
    severities: Collection[str] = (),
    waived: bool = False,
) -> AuditReport:
    """The audit in an open world; see `audit`. `codes` are codes, not names."""
    level = "fleet" if airframes is None else "airframes"
    scope = Scope() if airframes is None else airframe_scope(world, airframes)
    found = with_waivers(world, findings_in(world, scope=scope, codes=codes, level=level))
    parts = {fold(number) for number in part_numbers}
    found = [
        each
        for each in found
        if (not parts or fold(each.part_number) in parts) and (not severities or each.severity in severities)
    ]
    if not found:  # nothing found of a part that is not there is no clean audit
        world.check_parts(part_numbers)
    standing = [each for each in found if not is_waived(each)]
    run = checks_of(codes, level=level)
    return AuditReport(
        about=world.about("audit", airframes=airframes),
        scope=_scope_words(world, airframes, part_numbers, codes, severities),
        findings=tuple(found if waived else standing),
        counts=tuple((severity, _count(standing, severity)) for severity in SEVERITY_ORDER),
        waived=len(found) - len(standing),
        checks_run=run,
        units_examined=Bench(world, scope).count(),
        not_checked=(*NOT_CHECKED, *_left_out(world, run, level), *ignored_waivers(found)),
    )


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
    elsewhere = {command: [c for c, by in ELSEWHERE.items() if by == command] for command in ELSEWHERE.values()}
    sentences += [f"{', '.join(codes)}: raised by {command}" for command, codes in sorted(elsewhere.items())]
    if not world.reference.approvals:
        sentences.append("whether who signed the papers was approved then: no approvals are taken in (file approvals)")
    if not world.reference.publications:
        sentences.append("what directives and bulletins ask for: none are taken in (file publications)")
    if level != "fleet":
        sentences.append("units in stores, at shops, on loan or nowhere, which no airframe of this audit carries")
    if world.known_at is not None:
        sentences.append(
            "papers that no unit answered to then and that have been filed since: they are seen as they stand now"
        )
    return tuple(sentences)

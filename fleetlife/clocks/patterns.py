"""How often the papers of each organisation disagree with the units they are filed against."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from fleetlife.checks import paper
from fleetlife.checks.patterns import papers_often_disagree
from fleetlife.checks.rows import OrganisationRow
from fleetlife.clocks.evidence import Bench
from fleetlife.clocks.findings import findings_in
from fleetlife.clocks.world import World
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.store.audit_query import Scope, ask
from fleetlife.terms.finding import Finding
from fleetlife.terms.number import fold

PATTERN = "PAT102"  # runs where it is asked for: it is about nobody's unit, and looks at every paper
SHOWN = 10  # lines of one organisation that are shown as evidence


def organisations(bench: Bench) -> list[OrganisationRow]:
    """Every organisation with lines filed against units, in order; a stated alternate is no difference."""
    connection, changed = bench.world.connection, frozenset(bench.world.changed_units)
    names: dict[str, str] = {}
    lines: Counter[str] = Counter()

    def count(organisation: str, number: int) -> None:
        names.setdefault(fold(organisation), organisation)
        lines[fold(organisation)] += number

    for organisation, number in ask(connection, "filed lines"):
        count(organisation, number)
    for organisation, number in ask(connection, "filed lines of units", ids=changed) if changed else ():
        count(organisation, -number)
    for row in bench.changed_papers():
        count(row.line.organisation, 1)
    differing: dict[str, dict[tuple[str, str, str], CertificateLineRow]] = {}
    for row in bench.differing():
        judged = (*paper.part_number_differs((row,)), *paper.serial_number_differs((row,)))
        if any(found.severity != "note" for found in judged):
            line = row.line
            key = (line.tracking_number, line.item, line.serial_number)
            differing.setdefault(fold(line.organisation), {})[key] = line
    return [
        OrganisationRow(
            organisation=names[name],
            lines=lines[name],
            differing=len(differing.get(name, {})),
            papers=tuple(line for _, line in sorted(differing.get(name, {}).items())[:SHOWN]),
        )
        for name in sorted(names)
        if lines[name] > 0
    ]


def found_in(
    world: World, *, scope: Scope, codes: Collection[str], level: str
) -> tuple[list[Finding], list[OrganisationRow]]:
    """`clocks.findings.findings_in`, with the patterns of papers where they are asked for by their code."""
    found = findings_in(world, scope=scope, codes=codes, level=level)
    if PATTERN not in codes or level != "fleet":
        return found, []
    rows = organisations(Bench(world, scope))
    return sorted([*found, *papers_often_disagree(rows)], key=Finding.sort_key), rows

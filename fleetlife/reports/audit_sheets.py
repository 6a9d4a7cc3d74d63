"""The audit as sheets of a workbook: about, findings, evidence, not checked, rules, and the sample if one was drawn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from fleetlife.reports.rows import findings_as_dicts
from fleetlife.terms.audited import SAMPLE_RULE
from fleetlife.terms.finding import FINDING_COLUMNS, SEVERITY_ORDER
from fleetlife.terms.published import PublishedRule
from fleetlife.terms.sheet import Sheet
from fleetlife.terms.views import AuditReport

_WIDE = {"message": 60, "action": 50, "published_rule": 50, "expected": 28, "found": 28, "number": 18, "status": 24}
_FIRST = ("number", "severity", "status")
FINDINGS = (*_FIRST, *(name for name in FINDING_COLUMNS if name not in _FIRST))
EVIDENCE = ("number", "finding", "severity", "subject", "source", "says", "entry")
SAMPLE = ("place", "part_number", "serial_number", "manufacturer", "where", "findings", "seen", "remarks")


def audit_sheets(report: AuditReport, *, rules: Iterable[PublishedRule]) -> tuple[Sheet, ...]:
    """The sheets in order. `evidence` has a line for each side of each finding, by the finding's number."""
    sheets = [
        Sheet(
            title="about",
            columns=("what", "says"),
            rows=[{"what": what, "says": says} for what, says in _about(report)],
            widths={"what": 24, "says": 90},
        ),
        Sheet(title="findings", columns=FINDINGS, rows=findings_as_dicts(report.findings), widths=_WIDE),
        Sheet(
            title="evidence",
            columns=EVIDENCE,
            rows=list(_evidence(report)),
            widths={"number": 18, "subject": 36, "source": 40, "says": 60},
        ),
        Sheet(
            title="not checked",
            columns=("not checked",),
            rows=[{"not checked": text} for text in report.not_checked],
            widths={"not checked": 110},
        ),
        Sheet(
            title="rules",
            columns=("rule", "edition", "text"),
            rows=[
                {"rule": each.name, "edition": each.edition, "text": "from memory" if each.from_memory else "read"}
                for each in rules
            ],
            widths={"rule": 50, "edition": 50},
        ),
    ]
    if report.organisations:
        counted = [
            {"organisation": each.organisation, "lines filed": each.lines, "disagree": each.differing}
            for each in report.organisations
        ]
        columns = ("organisation", "lines filed", "disagree")
        sheets.append(Sheet(title="organisations", columns=columns, rows=counted, widths={"organisation": 40}))
    if report.sample is not None:
        rows = [
            {
                "place": place,
                "part_number": unit.part_number,
                "serial_number": unit.serial_number,
                "manufacturer": unit.manufacturer,
                "where": unit.place,
                "findings": unit.findings,
            }
            for place, unit in enumerate(report.sample.units, start=1)
        ]
        sheets.append(Sheet(title="sample", columns=SAMPLE, rows=rows, widths={"where": 36, "remarks": 40}))
    return tuple(sheets)


def _about(report: AuditReport) -> Iterator[tuple[str, Any]]:
    about = report.about
    yield "scope", report.scope
    yield "as of", about.as_of
    yield "known at", about.known_at or "now, every entry counted"
    yield "ledger head", about.ledger_head
    yield "last entry", about.ledger_entry
    yield "oldest reading", about.oldest_reading
    yield "oldest reading of", about.oldest_reading_airframe
    yield "programme editions", "; ".join(about.editions) or "none in force"
    yield "units examined", report.units_examined
    yield "checks run", ", ".join(report.checks_run)
    counts = dict(report.counts)
    for severity in SEVERITY_ORDER:
        yield f"findings: {severity}", counts.get(severity, 0)
    yield "findings: waived, counted beside", report.waived
    if report.sample is not None:
        yield "sample: seed", report.sample.seed
        yield "sample: drawn", len(report.sample.units)
        yield "sample: of units", report.sample.population
        yield "sample: rule", SAMPLE_RULE
    for note in (*about.notes, *about.rules):
        yield "note", note


def _evidence(report: AuditReport) -> Iterator[dict[str, Any]]:
    for found in report.findings:
        for each in found.evidence:
            yield {
                "number": found.number,
                "finding": found.code,
                "severity": found.severity,
                "subject": found.subject(),
                "source": each.source,
                "says": each.says,
                "entry": each.entry,
            }

"""Findings: the audit's report, findings as lines of other reports, a finding's page, the list of all codes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Protocol

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Flow,
    Listing,
    Paragraph,
    Report,
    Rule,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed, verdict_legend, verdict_sign
from fleetlife.terms.audited import SAMPLE_RULE, OrganisationPapers, Sample, Since
from fleetlife.terms.finding import SEVERITY_ORDER, Finding
from fleetlife.terms.views import AuditReport

INDENT = 3


class Page(Protocol):
    """What a finding's page holds: `paragraphs` follow the meaning and begin with what they are about."""

    @property
    def code(self) -> str: ...
    @property
    def name(self) -> str: ...
    @property
    def severity(self) -> str: ...
    @property
    def meaning(self) -> str: ...
    @property
    def paragraphs(self) -> tuple[str, ...]: ...
    @property
    def published_rule(self) -> str: ...
    @property
    def waivable(self) -> bool: ...


def findings_report(report: AuditReport) -> RenderableType:
    """The audit: by severity, then by code, with counts; the total, the waived and what was not checked at the end."""
    blocks: list[Block | None] = [
        title("AUDIT", said(report.scope)),
        about_block(report.about),
        Rule(),
        _totals(report),
    ]
    blocks += _organisations(report.organisations)
    blocks += [] if report.sample is None else _sampled(report.sample)
    shown = report.findings
    if report.since is not None:
        shown = tuple(found for found in shown if found.number in report.since.new)
        blocks += _since(report.since)
    if not shown:
        blocks += [Blank(), Paragraph(Text(_NOTHING if report.since is None else _NOTHING_NEW))]
    for severity in SEVERITY_ORDER:
        mine = sorted((f for f in shown if f.severity == severity), key=Finding.sort_key)
        if mine:
            waived = sum(_is_waived(found) for found in mine)
            count = f"{len(mine):,}, of these {waived:,} waived" if waived else len(mine)
            blocks.append(heading(severity.upper() if report.since is None else f"NEW: {severity.upper()}", count))
            for number, (code, group) in enumerate(groupby(mine, key=_code)):
                blocks += [Blank() if number else None, *_of_code(code, list(group))]
    blocks += [] if report.since is None else _closed(report.since)
    if report.not_checked:
        blocks += [heading("NOT CHECKED"), Listing([said(text) for text in report.not_checked])]
    blocks += [Blank(), Rule(), _totals(report)]
    blocks.append(
        Paragraph(
            Text.assemble(
                f"Examined: {counted(report.units_examined, 'unit')}, {counted(len(report.checks_run), 'check')}: ",
                (harmless(", ".join(report.checks_run)), QUIET),
            )
        )
    )
    if shown:
        blocks += [
            verdict_legend(*(s for s in SEVERITY_ORDER if any(f.severity == s for f in shown))),
            Paragraph(Text("What a finding means and what to do: fleetlife explain CODE", style=QUIET)),
        ]
    return Report(blocks)


def _organisations(listed: Sequence[OrganisationPapers]) -> list[Block]:
    """Every organisation, those with nothing wrong too: a rate says something only beside the others."""
    if not listed:
        return []
    rows = [
        Row([said(each.organisation), whole(f"{each.lines:,}"), whole(f"{each.differing:,}")])
        for each in sorted(listed, key=lambda each: (-each.differing, -each.lines, each.organisation))
    ]
    columns = [Column("organisation"), Column("lines filed", right=True), Column("disagree", right=True)]
    return [heading("PAPERS BY ORGANISATION", len(rows)), Columns(columns, [Section("", rows)])]


def _sampled(sample: Sample) -> list[Block]:
    """The rule, the population and every unit drawn, those without findings too."""
    drawn = f"{len(sample.units):,} of {counted(sample.population, 'unit')} drawn, seed {harmless(sample.seed)}"
    rows = []
    for place, unit in enumerate(sample.units, start=1):
        named = tied(unit.part_number, unit.serial_number)
        rows.append(Row([whole(f"{place:,}"), named, said(unit.place), whole(f"{unit.findings:,}")]))
    return [
        heading("SAMPLE", len(sample.units)),
        Paragraph(Text(f"{drawn}: {SAMPLE_RULE}.", style=QUIET)),
        Columns(
            [Column("", right=True), Column("unit", whole=True), Column("where"), Column("findings", right=True)],
            [Section("", rows)],
        ),
    ]


def _since(since: Since) -> list[Block]:
    told = (
        f"Held against {since.as_of} as known after entry {since.entry} (ledger head {since.head[:HEAD_LENGTH]}): "
        f"{len(since.new):,} new, {len(since.closed):,} closed, {since.stood:,} stood already (fleetlife audit lists "
        "those)."
    )
    return [Blank(), Paragraph(Text(told, style=STRONG))]


def _closed(since: Since) -> Iterator[Block]:
    """What stood and stands no longer, with the entries that name what it was about."""
    if not since.closed:
        return
    yield heading("CLOSED SINCE", len(since.closed))
    for each in since.closed:
        found = each.finding
        where = [
            tied(found.registration, found.position),
            tied(found.part_number, found.serial_number),
            Text.assemble("certificate ", whole(found.certificate)) if found.certificate else Text(""),
        ]
        by = f"entries between: {', '.join(str(n) for n in each.entries)}" if each.entries else _NO_ENTRY
        yield Flow([whole(f"{found.code} {found.name}"), *where, whole(found.number, QUIET)], hang=INDENT)
        yield Paragraph(said(found.message), indent=INDENT)
        yield Paragraph(Text(by, style=QUIET), indent=INDENT)


_NOTHING = "Nothing found in these records."
_NOTHING_NEW = "Nothing new."
_NO_ENTRY = "no entry between names it: a day passed, or what it was measured by changed"


def _code(found: Finding) -> str:
    return found.code


def _is_waived(found: Finding) -> bool:
    return found.status.startswith("waived")


def _totals(report: AuditReport) -> Paragraph:
    """The total of what stands; waived ones are counted beside it and never left out."""
    counts = dict(report.counts)
    by_severity = ", ".join(f"{counts.get(severity, 0):,} {severity}" for severity in SEVERITY_ORDER)
    total = sum(counts.get(severity, 0) for severity in SEVERITY_ORDER)
    shown = any(_is_waived(found) for found in report.findings)
    text = Text(f"{counted(total, 'finding')}: {by_severity}.", style=STRONG)
    if report.waived:
        listed = "listed with the others" if shown else "not listed (--waived lists them)"
        text.append(f" {counted(report.waived, 'waived finding')} counted beside, {listed}.", style="")
    else:
        text.append(" None waived.", style="")
    return Paragraph(text)


def _of_code(code: str, findings: Sequence[Finding]) -> Iterator[Block]:
    first = findings[0]
    head = Text.assemble((harmless(code), STRONG), f" {harmless(first.name)}", (f" ({len(findings):,})", QUIET))
    yield Paragraph(head)
    if first.published_rule:
        yield Paragraph(Text(f"rule: {harmless(first.published_rule)}", style=QUIET), indent=INDENT, hang=6)
    for found in findings:
        yield _finding(found, named=False)


def finding_lines(findings: Sequence[Finding]) -> RenderableType:
    """Findings for another report: sign, code, name, where, what, what to do."""
    return finding_block(findings)


def finding_block(findings: Sequence[Finding]) -> Block:
    """The same as a block of a report; worst first."""
    return Report([_finding(found, named=True) for found in sorted(findings, key=Finding.sort_key)])


def _finding(found: Finding, *, named: bool) -> Block:
    first = [signed(verdict_sign(found.severity))]
    if named:
        first = [signed(verdict_sign(found.severity), f"{found.severity}"), whole(f"{found.code} {found.name}")]
    address = [
        tied(found.registration, found.position),
        tied(found.part_number, found.serial_number),
        Text.assemble("certificate ", whole(found.certificate)) if found.certificate else Text(""),
        said(found.organisation),
    ]
    if not any(text.plain for text in address):
        address = [Text("the records as a whole", style=QUIET)] if not named else []
    if found.status != "open":
        address.append(Text(f"[{harmless(found.status)}]", style=STRONG))
    if not named:
        address.append(whole(found.number, QUIET))
    blocks: list[Block] = [
        Flow([*first, *address], hang=INDENT),
        Paragraph(said(found.message), indent=INDENT),
    ]
    # What the evidence says word for word need not be said twice.
    told = {evidence.says for evidence in found.evidence}
    sides = [
        Text.assemble((f"{word}: ", QUIET), said(text))
        for word, text in (("expected", found.expected), ("found", found.found))
        if text and text not in told
    ]
    if sides:
        blocks.append(Flow(sides, indent=INDENT))
    for evidence in found.evidence:
        entry = f" (entry {evidence.entry})" if evidence.entry is not None else ""
        text = Text(f"{harmless(evidence.source)}: {harmless(evidence.says)}{entry}", style=QUIET)
        blocks.append(Listing([text], indent=INDENT))
    if found.hint:
        blocks.append(Paragraph(Text(f"-> {harmless(found.hint)}"), indent=INDENT, hang=3))
    return Report(blocks)


def finding_page(page: Page) -> RenderableType:
    """The page of a finding: what it means, why it matters, the published rule, examples, what to do."""
    waiver = "may be waived by name and reason until a day" if page.waivable else "is never waived"
    blocks: list[Block] = [
        Flow([Text.assemble((harmless(page.code), STRONG), f"  {harmless(page.name)}"), said(f"({page.severity})")]),
        Rule(),
        Paragraph(said(page.meaning)),
    ]
    for paragraph in page.paragraphs:
        lead, colon, rest = paragraph.partition(":")
        text = said(paragraph)
        if colon and rest and len(lead) < 30:
            text.stylize(STRONG, 0, len(harmless(lead)) + 1)
        blocks += [Blank(), Paragraph(text)]
    rule = Text.assemble(("Published rule:", STRONG), f" {harmless(page.published_rule)}.")
    blocks += [Blank(), Paragraph(rule), Blank(), Paragraph(Text(f"This finding {waiver}.", style=QUIET))]
    return Report(blocks)


def codes_table(rows: Iterable[Sequence[str]]) -> RenderableType:
    """Every finding: code, name, severity, what it means."""
    listed = [
        Row([whole(code), whole(name), signed(verdict_sign(severity), severity), said(meaning, QUIET)])
        for code, name, severity, meaning in rows
    ]
    return Report(
        [
            title("FINDINGS", Text(f"{len(listed):,} codes")),
            Rule(),
            Columns(
                [
                    Column("code", whole=True),
                    Column("name", whole=True),
                    Column("severity", whole=True),
                    Column("what it means", rank=1, floor=34, under=""),
                ],
                [Section("", listed)],
            ),
            Blank(),
            Paragraph(Text("One in full: fleetlife explain CODE", style=QUIET)),
        ]
    )

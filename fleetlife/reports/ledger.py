"""The ledger's head, and what a verification walked and compared."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Pairs, Paragraph, Report, Rule, counted, heading, title
from fleetlife.reports.signs import signed
from fleetlife.terms.views import VerifyReport


def head_lines(number: int, digest: str, recorded_at: str) -> RenderableType:
    """The last entry: its number, when it was recorded, its whole digest, to be kept elsewhere."""
    return Report(
        [
            Pairs([("entry", Text(str(number))), ("recorded at", whole(recorded_at)), ("ledger head", whole(digest))]),
            Paragraph(Text("Keep it elsewhere: it proves later that nothing was rewritten or cut.", style=QUIET)),
        ]
    )


def verify_report(report: VerifyReport) -> RenderableType:
    """What was walked and compared, table by table, what became of heads given, and what differs."""
    outcome = (
        Text.assemble(signed("!!"), (f"  {counted(len(report.findings), 'DIFFERENCE')}", STRONG))
        if report.findings
        else Text.assemble(signed("=="), ("  THE LEDGER AGREES WITH ITSELF", STRONG))
    )
    blocks: list[Block] = [
        title("LEDGER VERIFIED"),
        Rule(),
        Paragraph(outcome),
        Blank(),
        Pairs(
            [
                ("entries walked", Text(f"{report.entries:,}")),
                ("first recorded", whole(report.recorded_from or "none")),
                ("last recorded", whole(report.recorded_to or "none")),
                ("ledger head", whole(report.ledger_head)),
            ]
        ),
    ]
    if report.tables:
        blocks += [heading("REBUILT AND COMPARED"), _tables(report)]
    blocks.append(heading("HEADS KEPT ELSEWHERE", len(report.known_heads)))
    if report.known_heads:
        blocks.append(_heads(report))
    else:
        blocks.append(
            Paragraph(
                Text(
                    "None was given. A chain that agrees with itself may have been rewritten as a whole; only a head "
                    "printed earlier shows that it was not: fleetlife ledger verify --head DIGEST"
                )
            )
        )
    if report.findings:
        blocks += [heading("FINDINGS", len(report.findings)), finding_block(report.findings)]
    blocks += [Blank(), Rule(), Paragraph(Text("== agrees   !! differs", style=QUIET))]
    return Report(blocks)


def _tables(report: VerifyReport) -> Columns:
    rows = [
        Row(
            [
                signed("!!" if differ else "=="),
                said(name.replace("_", " ")),
                Text(f"{compared:,}"),
                Text(f"{differ:,}", style=STRONG if differ else ""),
            ]
        )
        for name, compared, differ in report.tables
    ]
    return Columns(
        [
            Column("", whole=True),
            Column("table", floor=12),
            Column("rows compared", whole=True, right=True),
            Column("differ", whole=True, right=True),
        ],
        [Section("", rows)],
    )


def _heads(report: VerifyReport) -> Columns:
    rows = [
        Row([signed("==" if told.startswith("the digest of") else "!!"), whole(given), said(told)])
        for given, told in report.known_heads
    ]
    return Columns(
        [Column("", whole=True), Column("head", whole=True), Column("found", rank=1, floor=20, under="")],
        [Section("", rows)],
    )

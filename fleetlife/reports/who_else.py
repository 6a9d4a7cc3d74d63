"""Who else: the other units whose papers have something in common with a paper, worst first."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Listing,
    Paragraph,
    Report,
    Rule,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed, verdict_sign
from fleetlife.terms.finding import SEVERITY_ORDER
from fleetlife.terms.shared import ElseUnit, WhoElse


def who_else_report(answer: WhoElse) -> RenderableType:
    """What the paper states, then every other unit that shares it, and what was not checked."""
    installed = sum(unit.standing == "installed" for unit in answer.units)
    against = sum(bool(unit.findings) for unit in answer.units)
    blocks: list[Block | None] = [
        title("WHO ELSE", said(f"certificate {answer.tracking_number} of {answer.organisation}")),
        about_block(answer.about),
        Rule(),
        Paragraph(
            Text(
                f"{counted(len(answer.units), 'other unit')}, of these {installed:,} installed; "
                f"findings stand against {against:,}.",
                style=STRONG,
            )
        ),
        Listing([said(f"{what}: {value}") for what, value in answer.common]),
    ]
    if answer.missing:
        blocks.append(Paragraph(said(f"Not stated on this paper: {', '.join(answer.missing)}.", QUIET)))
    if answer.units:
        columns = [
            Column("", whole=True),
            Column("unit", whole=True),
            Column("where"),
            Column("shares"),
            Column("findings", rank=1),
        ]
        blocks += [Blank(), Columns(columns, [Section("", [_row(unit) for unit in answer.units])])]
    blocks += [heading("NOT CHECKED"), Listing([said(text) for text in answer.not_checked])]
    return Report(blocks)


def _row(unit: ElseUnit) -> Row:
    worst = min((each.severity for each in unit.findings), key=SEVERITY_ORDER.__getitem__, default=None)
    codes = ", ".join(dict.fromkeys(each.code for each in unit.findings)) or "none"
    return Row(
        [
            signed(verdict_sign(worst)) if worst else Text(""),
            tied(unit.part_number, unit.serial_number),
            said(unit.place),
            said(", ".join(unit.shares)),
            said(codes),
        ],
        details=[Text.assemble((f"{harmless('paper')} ", QUIET), whole(each)) for each in unit.certificates],
    )

"""What a recorded operation changed."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.due import due_rows_block, legend_of
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Flow,
    Listing,
    Pairs,
    Paragraph,
    Report,
    Rule,
    heading,
    title,
)
from fleetlife.reports.swap import KEEP
from fleetlife.terms.views import OperationRecorded


def operation_recorded(recorded: OperationRecorded, preview: bool = False) -> RenderableType:
    """What was recorded, or with `preview` would be: the unit, what falls due after it, findings left open."""
    if recorded.already:
        words = f"Recorded before under this request key, as entry {recorded.entry}. Nothing was added."
        return Report(
            [title("OPERATION"), Paragraph(Text(words)), _entry(recorded), Paragraph(Text(KEEP, style=QUIET))]
        )
    name = "PREVIEW OF AN OPERATION: NOTHING IS RECORDED" if preview else f"OPERATION RECORDED, ENTRY {recorded.entry}"
    blocks: list[Block] = [Rule(heavy=True), Paragraph(Text(name, style=STRONG), indent=1), Rule(heavy=True)]
    blocks.append(
        Pairs(
            [
                ("unit", tied(recorded.part_number, recorded.serial_number, style=STRONG)),
                ("operation", Text(f"{harmless(recorded.operation)}, {recorded.count:,}")),
                ("on", whole(recorded.on)),
            ]
        )
    )
    if recorded.notes:
        blocks += [heading("NOTE"), Listing([said(text) for text in recorded.notes])]
    blocks.append(heading("WHAT WOULD FALL DUE" if preview else "WHAT FALLS DUE AFTER IT"))
    blocks.append(
        due_rows_block(recorded.due) if recorded.due else Paragraph(Text("No requirement rows for the unit."))
    )
    words = "FINDINGS IT WOULD LEAVE OPEN" if preview else "FINDINGS LEFT OPEN"
    blocks.append(heading(words, len(recorded.findings)))
    blocks.append(finding_block(recorded.findings) if recorded.findings else Paragraph(Text("None.")))
    blocks += [Blank(), Rule(), *legend_of(recorded.due)]
    if preview:
        if recorded.about is not None:
            blocks.append(Flow([Text(f"as of {harmless(recorded.about.as_of)}", style=QUIET)]))
        blocks.append(Paragraph(Text("Nothing was written. Recorded, it would be the ledger's next entry.")))
        return Report(blocks)
    blocks.append(_entry(recorded) if recorded.about is None else about_block(recorded.about))
    blocks.append(Paragraph(Text(KEEP, style=QUIET)))
    return Report(blocks)


def _entry(recorded: OperationRecorded) -> Block:
    return Flow(
        [
            Text.assemble(("entry ", QUIET), f"{recorded.entry}"),
            Text.assemble(("ledger head ", QUIET), whole(recorded.ledger_head[:HEAD_LENGTH])),
        ]
    )

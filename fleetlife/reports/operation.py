"""What a recorded operation changed."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.due import due_rows_block
from fleetlife.reports.harmless import harmless, said, tied, whole
from fleetlife.reports.lines import (
    STRONG,
    Listing,
    Pairs,
    Paragraph,
    Report,
    heading,
)
from fleetlife.reports.recorded import left_open, recorded_already, recorded_title
from fleetlife.terms.views import OperationRecorded


def operation_recorded(recorded: OperationRecorded, preview: bool = False) -> RenderableType:
    """What was recorded, or with `preview` would be: the unit, what falls due after it, findings left open."""
    if recorded.already:
        return recorded_already("OPERATION", recorded)
    blocks = recorded_title("OPERATION", "AN OPERATION", recorded, preview)
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
    if recorded.cautions:
        blocks += [heading("CAUTION"), Listing([said(text) for text in recorded.cautions], mark="!")]
    return Report([*blocks, *left_open(recorded, preview)])

"""What another movement than a swap changed."""

from __future__ import annotations

from rich.console import RenderableType

from fleetlife.reports.compare import moved_blocks
from fleetlife.reports.due import due_rows_block
from fleetlife.reports.harmless import said
from fleetlife.reports.lines import Listing, Report, heading
from fleetlife.reports.recorded import left_open, recorded_already, recorded_title
from fleetlife.reports.swap import changes
from fleetlife.terms.moves import MoveRecorded

_TITLES = {
    "swap rob": ("ROBBERY", "A ROBBERY"),
    "assembly fit": ("FITTING INTO AN ASSEMBLY", "A FITTING INTO AN ASSEMBLY"),
    "assembly take-out": ("TAKING OUT OF AN ASSEMBLY", "A TAKING OUT OF AN ASSEMBLY"),
    "stores re-rig": ("RE-RIG", "A RE-RIG"),
    "stores scrap": ("SCRAP", "A SCRAPPING"),
    "loan out": ("LOAN OUT", "A LOAN OUT"),
    "loan back": ("LOAN BACK", "A LOAN COME BACK"),
    "loan in": ("LOAN IN", "A LOAN IN"),
    "loan return": ("LOAN RETURNED", "A LOAN RETURNED"),
    "identity re-identify": ("RE-IDENTIFICATION", "A RE-IDENTIFICATION"),
    "deferral open": ("DEFERRAL", "A DEFERRAL"),
    "deferral close": ("DEFERRAL CLOSED", "THE CLOSING OF A DEFERRAL"),
}


def move_recorded(recorded: MoveRecorded, preview: bool = False) -> RenderableType:
    """What it changed, or with `preview` would change: before, after, due dates, findings left open, the entry."""
    name, one = _TITLES[recorded.what]
    if recorded.already:
        return recorded_already(name, recorded)
    blocks = recorded_title(name, one, recorded, preview)
    for label, pairs in (("BEFORE", recorded.before), ("AFTER", recorded.after)):
        blocks += [heading(label), changes(pairs)]
    if recorded.moved:
        blocks += moved_blocks(recorded.moved)
    if recorded.notes:
        blocks += [heading("NOTE"), Listing([said(text) for text in recorded.notes])]
    if recorded.due:
        blocks += [
            heading("WHAT WOULD FALL DUE" if preview else "WHAT FALLS DUE AFTER IT"),
            due_rows_block(recorded.due),
        ]
    if recorded.cautions:
        blocks += [heading("CAUTION"), Listing([said(text) for text in recorded.cautions], mark="!")]
    return Report([*blocks, *left_open(recorded, preview)])

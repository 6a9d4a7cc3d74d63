"""What every report of a record says alike: that it is recorded or only shown, and what it leaves open."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.due import legend_of
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import harmless, said, whole
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Flow, Paragraph, Report, Rule, heading, title
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.views import OperationRecorded, SwapRecorded

Recorded = SwapRecorded | OperationRecorded | MoveRecorded
KEEP = "Keep the ledger head elsewhere: it proves later that nothing was rewritten or cut."


def recorded_already(name: str, recorded: Recorded) -> RenderableType:
    """The answer to a request that was recorded before under its key."""
    words = f"Recorded before under this request key, as entry {recorded.entry}. Nothing was added."
    return Report([title(name), Paragraph(Text(words)), _entry_line(recorded), Paragraph(Text(KEEP, style=QUIET))])


def recorded_title(name: str, one: str, recorded: Recorded, preview: bool) -> list[Block]:
    """`SWAP RECORDED, ENTRY 1220`, or with `preview` that nothing is."""
    words = f"PREVIEW OF {one}: NOTHING IS RECORDED" if preview else f"{name} RECORDED, ENTRY {recorded.entry}"
    return [Rule(heavy=True), Paragraph(Text(words, style=STRONG), indent=1), Rule(heavy=True)]


def left_open(recorded: Recorded, preview: bool) -> list[Block]:
    """The findings it leaves open, and the end of the report: the entry and the head of the answer.

    A preview shows no ledger head: the head it would have is on no ledger.
    """
    words = "FINDINGS IT WOULD LEAVE OPEN" if preview else "FINDINGS LEFT OPEN"
    blocks: list[Block] = [
        heading(words, len(recorded.findings)),
        finding_block(recorded.findings) if recorded.findings else Paragraph(Text("None.")),
        Blank(),
        Rule(),
        *legend_of(recorded.due),
    ]
    about = recorded.about
    if preview:
        if about is not None:
            blocks += [Paragraph(said(f"NOTE: {note}", STRONG), hang=3) for note in about.notes]
            blocks.append(Flow([Text(f"as of {harmless(about.as_of)}", style=QUIET)]))
        blocks.append(Paragraph(Text("Nothing was written. Recorded, it would be the ledger's next entry.")))
        return blocks
    if about is None or (about.ledger_entry, about.ledger_head) != (recorded.entry, recorded.ledger_head):
        blocks.append(_entry_line(recorded))
    if about is not None:
        blocks.append(about_block(about))
    blocks.append(Paragraph(Text(KEEP, style=QUIET)))
    return blocks


def _entry_line(recorded: Recorded) -> Block:
    return Flow(
        [
            Text.assemble(("entry ", QUIET), f"{recorded.entry}"),
            Text.assemble(("ledger head ", QUIET), whole(recorded.ledger_head[:HEAD_LENGTH])),
        ]
    )

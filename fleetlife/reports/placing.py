"""In which ground times the swaps that fall due are done: those without one on top."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, tied, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Paragraph, Report, Rule, counted, heading, title
from fleetlife.reports.signs import signed
from fleetlife.reports.spares import CARE
from fleetlife.terms.placing import PlacedSwap, SwapsPlaced

_PLACES = (
    Column("", whole=True),
    Column("where", whole=True),
    Column("due", whole=True),
    Column("comes off", floor=12, rank=1, under="comes off"),
    Column("for", rank=2, floor=8, under="for"),
    Column("done on", whole=True),
    Column("at", floor=8),
    Column("given away", whole=True, right=True),
)
WORDS = (
    "Due: at the earliest. Done on: the first day of the latest ground time that begins no later than that (the day "
    "asked about, where it has begun). Given away: days from then until the position falls due."
)


def swaps_placed(answer: SwapsPlaced) -> RenderableType:
    """The positions without a ground time in time first, then each with its own."""
    blocks: list[Block] = [
        title("SWAPS PLACED", Text(f"until {answer.until}"), Text(counted(len(answer.rows), "position"))),
        about_block(answer.about),
        Rule(),
    ]
    if not answer.rows:
        blocks.append(Paragraph(Text("No position that was asked for wants a swap by then.")))
    for words, rows in (
        ("NO GROUND TIME BEFORE IT FALLS DUE", [row for row in answer.rows if row.place_on is None]),
        ("PLACED", [row for row in answer.rows if row.place_on is not None]),
    ):
        if rows:
            table = Columns(_PLACES, [Section("", [_row(row) for row in rows])], indent=3)
            blocks += [heading(words, len(rows)), table]
    if answer.unknown:
        told = (
            f"At {counted(answer.unknown, 'more position')} it cannot be told whether something falls due: due --full."
        )
        blocks += [Blank(), Paragraph(Text.assemble(signed("??"), f" {told}"))]
    notes = [Paragraph(Text(WORDS, style=QUIET)), Paragraph(Text(CARE, style=QUIET))]
    return Report([*blocks, Blank(), Rule(), *notes])


def _row(row: PlacedSwap) -> Row:
    of = "" if row.of_serial_number in (None, row.serial_number) else f" of {row.of_part_number} {row.of_serial_number}"
    placed = row.place_on is not None
    away = "" if row.days_given_away is None else f"{row.days_given_away:,} d"
    cells = [
        signed("==" if placed else "!!"),
        tied(row.registration, row.position),
        whole(row.due_on),
        tied(row.part_number, row.serial_number) if row.serial_number else said("empty"),
        said(f"{row.requirement}{of}" if row.requirement else ""),
        whole(row.place_on, STRONG) if placed else Text("none", style=STRONG),
        said(row.station or ""),
        whole(away),
    ]
    return Row(cells, notes=[said(text, QUIET) for text in _notes(row)])


def _beside(row: PlacedSwap) -> str:
    """How the day by which a swap is planned lies beside where it is placed and when it falls due."""
    if row.target is None:
        return ""
    if row.target > row.due_on:
        return ", after it falls due"
    if row.ground_from is None or row.ground_until is None or row.ground_from <= row.target <= row.ground_until:
        return ""
    return ", before this ground time" if row.target < row.ground_from else ", after this ground time"


def _notes(row: PlacedSwap) -> list[str]:
    found = [] if row.why is None else [row.why]
    if row.place_on is not None:
        reference = f", {row.ground_reference}" if row.ground_reference else ""
        where = f" (entry {row.ground_entry})" if row.ground_entry else ""
        found.append(f"Ground time from {row.ground_from} until {row.ground_until}{reference}{where}.")
    if row.swap is not None:
        by = f", by {row.target}" if row.target else ""
        found.append(f"Planned as {row.swap}{by}{_beside(row)}.")
    return found

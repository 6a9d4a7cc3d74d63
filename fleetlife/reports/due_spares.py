"""The due list with what is to be put where a unit must come off."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.due import due_report
from fleetlife.reports.harmless import said
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Paragraph, counted, heading
from fleetlife.reports.signs import signed
from fleetlife.reports.spares import CARE, positions_block
from fleetlife.terms.spares import LATER, NO_SPARE, ON_THE_AIRCRAFT, SPARE, DueWithSpares, PutThere, SpareChoice


def due_spares_report(answer: DueWithSpares, *, by: str = "state", full: bool = False) -> RenderableType:
    """The due list; under each row whose unit must come off the spare that goes there, or why there is none. Positions
    that want a spare by then without a row that says so stand apart."""
    notes = {row: put_lines(there) for row, there in zip(answer.due.rows, answer.put, strict=True)}
    return due_report(answer.due, by=by, full=full, notes=notes, more=_more(answer))


def put_lines(there: PutThere) -> list[Text]:
    """The lines under a row; none where nothing is put there and the row shows why by itself."""
    if there.put == SPARE:
        sign = signed(">>" if there.conditions else "==")
        return [
            Text.assemble(sign, " put there ", said(spare_named(there), STRONG), said(f": {told_of(there)}")),
            *(said(f"   > {text}") for text in there.conditions),
        ]
    if there.put == NO_SPARE:
        head = Text.assemble(signed("!!"), (" no spare to put there:", STRONG))
        return [head, *(said(f"   {line}", QUIET) for line in there.stops)]
    return [said(there.put, QUIET)] if there.put in (ON_THE_AIRCRAFT, LATER) else []


def spare_named(there: PutThere) -> str:
    """The spare and where it lies."""
    place = " ".join(part for part in (there.spare_store, there.spare_bin) if part)
    named = f"{there.spare_part_number} {there.spare_serial_number}"
    return f"{named}, {place}" if place else named


def told_of(there: PutThere) -> str:
    """The day for which it was judged, the outcome, and the life it has then."""
    parts = [f"fitted on {there.fit_on}: {there.outcome}"]
    if there.rerig:
        parts.append("harness to be re-rigged or looked at")
    if there.days_of_life is not None:
        parts.append(f"{there.days_of_life:,} days of life then")
    return "; ".join(parts)


def _more(answer: DueWithSpares) -> list[Block]:
    chosen = answer.chosen
    blocks: list[Block] = []
    if answer.also:
        ranked = sorted(answer.also, key=_left_first)
        blocks += [
            heading("ALSO WANT A SPARE BY THEN: empty, or due before the window or by a row not listed", len(ranked)),
            positions_block(ranked),
        ]
    if chosen.unknown:
        told = f"At {counted(chosen.unknown, 'more position')} it cannot be told whether something falls due."
        blocks += [Blank(), Paragraph(Text.assemble(signed("??"), f" {told}"))]
    words = (
        f"Spares: {chosen.spares:,} in stores, chosen together for {counted(len(chosen.rows), 'position')} that want "
        f"one by {chosen.until}; nothing is reserved. Second best and totals: spares choose --to {chosen.until}."
    )
    return [*blocks, Blank(), Paragraph(Text(words, style=QUIET)), Paragraph(Text(CARE, style=QUIET))]


def _left_first(row: SpareChoice) -> tuple[bool, str, str, str]:
    return row.spare_serial_number is not None, row.due_on, row.registration, row.position

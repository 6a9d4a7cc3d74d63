"""The head of every answer: which question, under which clocks, on which ledger, under which editions."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.harmless import TIE, harmless, said, tied
from fleetlife.reports.lines import QUIET, STRONG, Block, Flow, Paragraph, Report
from fleetlife.terms.views import About

HEAD_LENGTH = 16


def about_lines(about: About) -> RenderableType:
    """Two or three quiet lines. The ledger head is its first 16 characters, enough for `ledger verify --head`."""
    return about_block(about)


def about_block(about: About) -> Block:
    """The same as a block of a report. What is supposed beside the records stands first and strong."""
    reading = "none"
    if about.oldest_reading:
        reading = about.oldest_reading
        if about.oldest_reading_airframe:
            reading += f" ({about.oldest_reading_airframe})"
    return Report(
        [
            *([_what_if(about)] if about.what_if else []),
            *(Paragraph(said(f"NOTE: {note}", STRONG), hang=3) for note in about.notes),
            Flow(
                [
                    _item("question", about.question),
                    _item("as of", about.as_of),
                    _item("known at", about.known_at or "now, every entry counted"),
                ]
            ),
            Flow(
                [
                    _item("ledger head", about.ledger_head[:HEAD_LENGTH] or "none", f"entry {about.ledger_entry}"),
                    _item("oldest reading", reading),
                ]
            ),
            Flow([_item("editions", "; ".join(about.editions) or "none in force")], indent=0),
            Flow([_item("rules", "; ".join(about.rules))]) if about.rules else None,
        ]
    )


def _what_if(about: About) -> Block:
    """That it is a what-if, and the files it supposes with the first characters of their digests."""
    files = [f"{each.states} as in {each.file} (SHA-256 {each.sha256[:HEAD_LENGTH]})" for each in about.what_if]
    text = f"WHAT IF: {'; '.join(files)}. Supposed for this answer alone, not recorded."
    return Paragraph(said(text, STRONG), hang=3)


def _item(label: str, *words: str) -> Text:
    """A label and its words; long lists may fold at their spaces, a short item stays on one line."""
    said = ", ".join(words)
    text = tied(said, style=QUIET) if len(said) <= 60 else Text(harmless(said), style=QUIET)
    return Text.assemble((label.replace(" ", TIE) + TIE, QUIET), text)

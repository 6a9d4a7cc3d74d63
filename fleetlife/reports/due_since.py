"""What came into a window of the due list, went out of it or moved in it: the row as it is, as it was, and why."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Columns, Row, Section
from fleetlife.reports.due import DUE_TABLE, coverage_line, due_row, legend_of, window_words
from fleetlife.reports.findings import finding_block
from fleetlife.reports.harmless import said
from fleetlife.reports.head import HEAD_LENGTH, about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Paragraph, Report, Rule, heading, title
from fleetlife.terms.due_since import CAME, MOVED, STOOD, WENT, DueSince, DueSinceRow

_HEADINGS = {CAME: "CAME IN", WENT: "WENT OUT", MOVED: "MOVED"}
MOST_ENTRIES = 12


def due_since_report(answer: DueSince) -> RenderableType:
    """Counts on top, then each row that came in, went out or moved, with what was said of it then and why."""
    now = answer.now
    blocks: list[Block] = [
        title("DUE LIST", Text(window_words(now)), Text(f"since {answer.moment}")),
        about_block(now.about),
        Rule(),
        Paragraph(Text(_held_against(answer), style=STRONG)),
    ]
    shown = [each for each in answer.rows if each.since != STOOD]
    sections = [
        Section(words, [_row(each) for each in rows], f"{len(rows):,}")
        for since, words in _HEADINGS.items()
        if (rows := [each for each in shown if each.since == since])
    ]
    if sections:
        blocks += [Blank(), Columns(DUE_TABLE, sections, indent=3)]
    else:
        blocks += [Blank(), Paragraph(Text("Nothing came in, went out or moved."))]
    if now.findings:
        blocks += [heading("FINDINGS", len(now.findings)), finding_block(now.findings)]
    blocks += [Blank(), Rule(), *legend_of([each.row for each in shown]), coverage_line(now.coverage)]
    return Report(blocks)


def _held_against(answer: DueSince) -> str:
    window = f"from {answer.window_from} " if answer.window_from else ""
    window += f"until {answer.window_until}" if answer.window_until else "every row, dated or not"
    counts = f"{answer.count(CAME):,} came in, {answer.count(WENT):,} went out, {answer.count(MOVED):,} moved"
    return (
        f"Held against {answer.as_of}, {window}, as known after entry {answer.entry} (ledger head "
        f"{answer.head[:HEAD_LENGTH]}): {counts}, {answer.count(STOOD):,} stood as they were (fleetlife due lists "
        "those)."
    )


def _row(each: DueSinceRow) -> Row:
    shown = due_row(each.row, full=False)
    notes = [Text.assemble(("then: ", QUIET), said(_then(each)))]
    by = f" By entry {_entries(each.entries)}." if each.entries else ""
    return Row(shown.cells, shown.details, [*notes, said(f"{each.why or ''}{by}", QUIET)])


def _then(each: DueSinceRow) -> str:
    if each.state_then is None:
        return "not asked for"
    dates = each.due_date_then or each.due_earliest_then or "no day"
    if each.due_earliest_then and each.due_earliest_then != dates:
        dates += f", at the earliest {each.due_earliest_then}"
    return f"{each.state_then}, {dates}, at {each.place_then}"


def _entries(entries: tuple[int, ...]) -> str:
    shown = ", ".join(str(number) for number in entries[:MOST_ENTRIES])
    more = len(entries) - MOST_ENTRIES
    return f"{shown} and {more} more (--format json lists them)" if more > 0 else shown

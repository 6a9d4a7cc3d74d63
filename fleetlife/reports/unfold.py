"""A due date unfolded on the screen: what it is, then passage by passage what it rests on."""

from __future__ import annotations

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.bridging import bridged_blocks
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Pairs, Paragraph, Report, Rule, heading, title
from fleetlife.reports.signs import state_in_words
from fleetlife.terms.views import Passage, Unfolded, UnfoldedUnit


def unfolded_unit(answer: UnfoldedUnit) -> RenderableType:
    """Every due row of the answer with its passages."""
    made = [said(f"made by {answer.manufacturer}")] if answer.manufacturer else []
    blocks: list[Block] = [
        title("WHY IT IS DUE", whole(answer.part_number, STRONG), whole(answer.serial_number, STRONG), *made),
        about_block(answer.about),
        Rule(),
        Pairs([("place", said(answer.place))]),
    ]
    if not answer.due:
        blocks.append(Paragraph(Text("No requirement is in force for this unit: that is not the same as nothing due.")))
    blocks += bridged_blocks(answer.bridged)
    for each in answer.due:
        blocks += _row(each)
    blocks += [Blank(), Rule(), Paragraph(Text(_LEGEND, style=QUIET))]
    return Report(blocks)


_LEGEND = (
    "In brackets how a figure is known, and the ledger entries behind it: `fleetlife explain ENTRY` shows one word for "
    "word. The records do not replace the approved data; certifying staff decide."
)


def _row(each: Unfolded) -> list[Block]:
    row = each.row
    return [
        heading(row.requirement or "NO PROGRAMME"),
        Paragraph(Text.assemble(state_in_words(row.state), _when(each))),
        Pairs(_topics(each.passages)),
    ]


def _when(each: Unfolded) -> Text:
    row = each.row
    if row.due_date is None:
        return Text(", with no date")
    text = Text.assemble(", ", whole(row.due_date, STRONG))
    if row.due_earliest and row.due_earliest != row.due_date:
        text.append_text(Text.assemble(", at the earliest ", whole(row.due_earliest)))
    return text


def _topics(passages: tuple[Passage, ...]) -> list[tuple[str, Text]]:
    found: list[tuple[str, Text]] = []
    last = ""
    for passage in passages:
        text = said(passage.text)
        marks = [passage.known] if passage.known else []
        if passage.entries:
            marks.append("entry " + ", ".join(str(entry) for entry in passage.entries))
        if marks:
            text = Text.assemble(text, " ", Text(f"[{'; '.join(marks)}]", style=QUIET))
        found.append((passage.topic if passage.topic != last else "", text))
        last = passage.topic
    return found

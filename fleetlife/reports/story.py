"""The life story of a unit on one page, oldest first: what no longer stands is struck through, and says so in words."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.harmless import harmless, said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Listing,
    Pairs,
    Paragraph,
    Report,
    Rule,
    heading,
    title,
)
from fleetlife.terms.story import Hole, StoryLine, UnitStory

STRUCK = "strike"
LEGEND = (
    "Airframe totals at the ends of a stay are stated on paper, reading of that day, bounded by the readings around "
    "it, provisional until the reading comes, doubtful (the whole doubtful time is charged), or from the opening "
    "statement. ~ marks a total of the unit that rests on one not stated. Entry: the ledger entry that says so."
)


def unit_story(story: UnitStory) -> RenderableType:
    """The story: identity, what the records do not say on top, then everything oldest first."""
    made = [said(f"made by {story.manufacturer}")] if story.manufacturer else [Text("manufacturer not recorded")]
    unknown = Text("not recorded", style=QUIET)
    borne = ", ".join(number for number in story.part_numbers_borne if number != story.part_number)
    blocks: list[Block] = [
        title("LIFE STORY", whole(story.part_number, STRONG), whole(story.serial_number, STRONG), *made),
        about_block(story.about),
        Rule(),
        Pairs(
            [
                ("description", said(story.description)),
                ("place", said(story.place)),
                ("manufactured", whole(story.manufactured) if story.manufactured else unknown),
                ("hours since new", whole(story.hours_since_new) if story.hours_since_new else unknown),
                ("cycles since new", whole(story.cycles_since_new) if story.cycles_since_new else unknown),
                ("life is", said(story.life_quality) if story.life_quality else unknown),
                ("also bore", said(borne)),
            ]
        ),
        *holes_blocks(story.holes),
        heading("FROM THE BEGINNING", len(story.lines)),
        *(block for line in story.lines for block in line_blocks(line)),
        Blank(),
        Rule(),
    ]
    if story.mended:
        mended = f"{story.mended} no longer {'stands' if story.mended == 1 else 'stand'}: struck through, and marked."
        blocks.append(Paragraph(Text(mended)))
    blocks.append(Paragraph(Text(LEGEND, style=QUIET)))
    return Report(blocks)


def holes_blocks(holes: Sequence[Hole]) -> list[Block]:
    """Gaps, overlaps and unknowns, each by its name and with its days."""
    blocks: list[Block] = [heading("GAPS, OVERLAPS AND UNKNOWNS", len(holes))]
    if not holes:
        return [*blocks, Paragraph(Text("None: these records say where it was and what it ran at every time."))]
    return [*blocks, Listing([Text(harmless(hole_text(hole))) for hole in holes])]


def hole_text(hole: Hole) -> str:
    """`gap 2020-01-01 to 2022-05-01: where it was ... (entry 12)`."""
    days = hole.since or "from the beginning"
    if hole.until != hole.since:
        days += f" to {hole.until}" if hole.until else ""
    entry = f" (entry {hole.entry})" if hole.entry else ""
    return f"{hole.kind} {days}: {hole.text}{entry}"


def line_blocks(line: StoryLine, *, indent: int = 0) -> list[Block]:
    """A line of the story: its days and topic, what it says, and its totals under it."""
    gone = line.standing != "stands"
    style = STRUCK if gone else ""
    days = line.since or "day not known"
    if line.topic in ("stay", "carried") and not gone:
        days += f" to {line.until}" if line.until else " to now"
    words = Text.assemble((days, f"{STRONG} {style}".strip()), "  ", (f"{line.topic}: ", style))
    words.append(harmless(line.text), style=style)
    if gone:
        words.append(f"  [{line.standing} by entry {line.by_entry}: {harmless(line.why)}]", style=STRONG)
    elif line.doubtful:
        words.append("  [doubtful]", style=STRONG)
    if line.entry:
        corrects = ", ".join(str(number) for number in line.corrects)
        words.append(f"  (entry {line.entry}{f', corrects {corrects}' if corrects else ''})", style=QUIET)
    blocks: list[Block] = [Paragraph(words, indent=indent, hang=12)]
    totals = _totals(line)
    if totals:
        blocks.append(Paragraph(said(totals, STRUCK if gone else QUIET), indent=indent + 12))
    return blocks


def _totals(line: StoryLine) -> str:
    parts = []
    if line.basis_from is not None:
        hours, cycles = line.hours_from or "not known", line.cycles_from or "not known"
        basis = f"{line.basis_from}, as of {line.totals_from}" if line.totals_from else line.basis_from
        start = f"airframe {hours} hours, {cycles} cycles ({basis})"
        end = "now"
        if line.basis_until != "open":
            hours, cycles = line.hours_until or "not known", line.cycles_until or "not known"
            end = f"{hours} hours, {cycles} cycles ({line.basis_until})"
        parts.append(f"{start} to {end}")
    elif line.hours_from or line.cycles_from:
        stated = [f"{line.hours_from} hours" if line.hours_from else "", f"{line.cycles_from} cycles"]
        parts.append(f"airframe {', '.join(each for each in stated if each and not each.startswith('None'))} stated")
    if line.hours_since_new or line.cycles_since_new:
        own = f"{line.hours_since_new or 'not known'} hours, {line.cycles_since_new or 'not known'} cycles since new"
        parts.append(f"the unit {own} then")
    return "; ".join(parts)

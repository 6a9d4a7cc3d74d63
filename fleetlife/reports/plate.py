"""Plate, paper and record of a unit, one under the other, what differs marked and spelled out; a plate's elements."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from rich.cells import cell_len
from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.certificate import ABSENT, MOST_SPELLED, SAME, VERDICT_WORDS, place_by_place, spelled
from fleetlife.reports.harmless import TIE, harmless, said, whole
from fleetlife.reports.head import about_block
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
    Space,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed
from fleetlife.terms.plate import Marks, PlateCard, PlateElement, PlatePaper, PlateRow, PlateSays
from fleetlife.terms.published import RULES

FORMED_BY = "MIL-STD-130N A-II"
NOT_COMPARED = "not compared"
LEAD = 11
SHORT = 24
NOTHING = "-"
CONSTRUCTS = {
    "1": "construct 1, unique in the enterprise",
    "2": "construct 2, unique in the part or lot",
    "complete": "marked whole",
    "equivalent": "an equivalent, marked whole",
}


def plate_card(card: PlateCard) -> RenderableType:
    """The three beside one another, then what to do, then what the symbol holds."""
    subject = [whole(card.part_number), whole(card.serial_number)]
    if card.manufacturer:
        subject.append(said(f"by {card.manufacturer}"))
    blocks: list[Block] = [
        title("PLATE, PAPER AND RECORD", *subject),
        about_block(card.about),
        Rule(heavy=True),
        Paragraph(
            Text.assemble(signed("!!" if card.differs else "=="), (f" {harmless(card.outcome)}", STRONG)), hang=3
        ),
        Rule(heavy=True),
        _paper_line(card.paper),
        *(_Three(row) for row in card.rows),
    ]
    if card.others:
        blocks.append(Blank())
        blocks += [
            Paragraph(said(f"The records have another unit under what the plate says: fleetlife unit {name}"), hang=3)
            for name in card.others
        ]
    if card.actions:
        blocks += [heading("WHAT TO DO"), Listing([said(text) for text in card.actions])]
    if card.other_papers:
        blocks += _other_papers(card.other_papers)
    blocks += says_blocks(card.plate)
    return Report([*blocks, Blank(), Rule(), *_legend(card.rows)])


def plate_read(says: PlateSays) -> RenderableType:
    """What a plate's symbol says, with nothing looked up in the records."""
    blocks: list[Block] = [title("DATA PLATE", Text("as its symbol says; nothing was looked up")), Rule()]
    blocks.append(
        Pairs(
            [
                (label, whole(value))
                for label, value in (
                    ("part number", says.current_part_number or says.original_part_number),
                    ("original part", says.original_part_number),
                    ("serial number", says.serial_number),
                    ("unique in the", says.serial_unique_in),
                    ("lot", says.lot),
                    ("manufactured", says.manufactured),
                    ("expires", says.expires),
                )
                if value
            ]
        )
    )
    return Report([*blocks, *says_blocks(says), Blank(), Rule()])


def says_blocks(says: PlateSays) -> list[Block]:
    """The identifier and how it is formed, every element as marked, and what was not taken."""
    blocks: list[Block] = []
    if says.unique_item_identifier:
        how = CONSTRUCTS.get(says.construct or "", says.construct or "")
        blocks += [
            heading("UNIQUE ITEM IDENTIFIER"),
            Flow([whole(says.unique_item_identifier), said(f"{says.formed}: {how}", QUIET)], indent=2, hang=2),
            Paragraph(said(RULES[FORMED_BY].named, QUIET), indent=2, hang=2),
        ]
    if says.elements:
        blocks.append(heading("THE SYMBOL", len(says.elements)))
        blocks += [_element(each, says) for each in says.elements]
        blocks += [
            Paragraph(said(f"{code} ({identifier}) is {maker} in these records.", QUIET), indent=2, hang=2)
            for code, identifier, maker in says.enterprises
            if maker
        ]
    if says.remarks:
        blocks += [heading("REMARKS"), Listing([said(text) for text in says.remarks])]
    return blocks


def _element(element: PlateElement, says: PlateSays) -> Block:
    """One element: format, identifier and value as marked, the values under one another where they are short."""
    name = f"{harmless(element.format)} {harmless(element.identifier) or NOTHING}"
    names = max(len(f"{each.format} {each.identifier or NOTHING}") for each in says.elements)
    values = max((len(each.value) for each in says.elements if len(each.value) <= SHORT), default=0)
    value = harmless(element.value) or NOTHING
    memory = ", cited from memory" if element.from_memory else ""
    kept = "" if element.used else ", kept and not used"
    return Flow(
        [
            Text.assemble(f"{name:<{names}}".replace(" ", TIE), TIE * 2, f"{value:<{values}}".replace(" ", TIE)),
            Text(f"{element.says}{kept}{memory}", style=QUIET),
        ],
        indent=2,
        hang=2,
    )


def _paper_line(paper: PlatePaper | None) -> Block:
    if paper is None:
        return Paragraph(Text("paper: no certificate is filed against the unit", style=STRONG))
    return Flow(
        [
            Text.assemble(("paper  ", QUIET), whole(paper.tracking_number)),
            said(f"of {paper.organisation}"),
            whole(f"dated {paper.dated_on}"),
            said(paper.status),
            whole(f"entry {paper.entry:,}"),
        ],
        hang=3,
    )


def _other_papers(papers: Sequence[PlatePaper]) -> list[Block]:
    """How the earlier papers agree with the record of their own days; those that do not are named one by one."""
    off = [paper for paper in papers if not paper.agrees]
    agree = len(papers) - len(off)
    blocks: list[Block] = [heading("EARLIER PAPERS", len(papers))]
    if agree:
        blocks.append(Paragraph(signed("==", f"{counted(agree, 'line')} as the unit was recorded on the day"), hang=3))
    for paper in off:
        worse = paper.serial_verdict if paper.part_verdict in SAME else paper.part_verdict
        text = (
            f"{paper.tracking_number} of {paper.dated_on} says {paper.part_number} {paper.serial_number}: {worse}, "
            f"{VERDICT_WORDS.get(worse, worse)}"
        )
        blocks.append(Paragraph(signed("!!", text), hang=3))
    return blocks


def _legend(rows: Sequence[PlateRow]) -> list[Block]:
    found = "== as recorded   !! not as recorded   ?? not compared: one of them states nothing"
    marks = [each for row in rows for each in (*row.plate_marks, *row.paper_marks)]
    if any(not same for *_, same in marks):
        found += "   ^ stands under what differs"
        if any(len(one) != len(other) for one, other, _ in marks):
            found += f"   {ABSENT} stands where one has no character"
    return [
        Flow([Text(part, style=QUIET) for part in found.split("   ")]),
        Paragraph(Text("Nothing was recorded. Only a second look at the plate says which is right.", style=QUIET)),
    ]


class _Three(Block):
    """One thing of plate, paper and record: a line where they agree, else one under the other and spelled out."""

    def __init__(self, row: PlateRow) -> None:
        self.row = row

    def lines(self, space: Space) -> Iterator[Text]:
        row = self.row
        yield Text("")
        yield from Paragraph(
            Text.assemble(signed(_sign(row)), (f" {row.what}", STRONG), f"  {harmless(_words(row))}"), hang=3
        ).lines(space)
        told = (("plate", row.plate), ("paper", row.paper), ("record", row.record))
        rows, under = star(row)
        if under.strip() and space.width - LEAD >= cell_len(under):
            for (label, _), text in zip(told, rows, strict=True):
                yield Text.assemble((f"   {label:<8}", QUIET), text)
            yield Text(" " * LEAD + under.rstrip(), style=STRONG)
        else:
            shown = [Text.assemble((label + TIE, QUIET), whole(text) if text else NOTHING) for label, text in told]
            yield from Flow(shown, indent=3, fold=3).lines(space)
        for text in _spelled(row):
            yield from Listing([Text(text)], indent=3).lines(space)
        if row.note:
            yield from Paragraph(said(row.note), indent=3).lines(space)


def _sign(row: PlateRow) -> str:
    if row.differs:
        return "!!"
    return "??" if row.plate_verdict == NOT_COMPARED else "=="


def _words(row: PlateRow) -> str:
    """Which of the three differs, by which class."""
    said_of = []
    sides = [("the plate is", row.plate_verdict), ("the paper is", row.paper_verdict)]
    if row.plate == row.paper and row.plate_verdict == row.paper_verdict:
        sides = [("plate and paper are", row.plate_verdict)]
    for name, verdict in sides:
        if verdict not in (*SAME, NOT_COMPARED):
            words = "" if row.what == "manufacturer" else f", {VERDICT_WORDS.get(verdict, verdict)}"
            words = "" if verdict == "different" else words
            said_of.append(f"{name} not as recorded: {verdict}{words}")
    if said_of:
        return "; ".join(said_of)
    if row.plate is None:
        return "the plate does not state it"
    if row.plate_verdict == NOT_COMPARED:
        return "the record does not state it" if row.record is None else "the plate's code says nothing of it"
    if row.paper is not None and row.paper != row.record and row.paper_verdict == "exact":
        return "plate and record the same; the paper as recorded of its day"
    written = ", written otherwise" if "formatting" in (row.plate_verdict, row.paper_verdict) else ""
    which = "all three the same" if row.paper is not None else "plate and record the same"
    return f"{which}{written}"


def _spelled(row: PlateRow) -> list[str]:
    """Each differing character in words, plate against record, then paper against record."""
    found = []
    for of, number, verdict, marks in (
        ("plate", row.plate, row.plate_verdict, row.plate_marks),
        ("paper", row.paper, row.paper_verdict, row.paper_marks),
    ):
        if of == "paper" and number == row.plate:
            continue
        if marks and number and row.record and verdict not in SAME:
            told = spelled(place_by_place(number, row.record, marks), one_of=of, other_of="record", at="in")
            found += told[:MOST_SPELLED]
            if len(told) > MOST_SPELLED:
                found.append(f"and {counted(len(told) - MOST_SPELLED, 'more place')}")
    return found


def star(row: PlateRow) -> tuple[tuple[str, str, str], str]:
    """Plate, paper and record so that what belongs together stands in one column, and the marks under what differs.

    Both are laid against the record; where one has characters that the record has not, the others have a gap.
    """
    record = row.record or ""
    sides = []
    for number, marks in ((row.plate, row.plate_marks), (row.paper, row.paper_marks)):
        # a paper of another day may rightly bear another number, and is then laid against nothing
        compared = number is not None and (marks or number == record)
        sides.append(_against(number or "", record, marks) if compared else None)
    columns: list[tuple[str, str, str]] = []
    for place in range(len(record) + 1):
        before = [("" if side is None else side[place][0]) for side in sides]
        for one, other in zip_longest(*before, fillvalue=""):
            columns.append((one, other, ""))
        if place < len(record):
            columns.append(
                (
                    "" if sides[0] is None else sides[0][place][1],
                    "" if sides[1] is None else sides[1][place][1],
                    record[place],
                )
            )
    stated = [side is not None for side in sides] + [row.record is not None]
    rows = ["", "", ""]
    under = ""
    for column in columns:
        cells = [
            (harmless(text) or ABSENT) if is_stated else "" for text, is_stated in zip(column, stated, strict=True)
        ]
        width = max(cell_len(cell) for cell in cells)
        differs = len({text for text, is_stated in zip(column, stated, strict=True) if is_stated}) > 1
        for place, cell in enumerate(cells):
            rows[place] += cell + " " * (width - cell_len(cell))
        under += ("^" if differs else " ") * width
    shown = [
        text if is_stated else harmless(number) or NOTHING
        for text, is_stated, number in zip(rows, stated, (row.plate, row.paper, row.record), strict=True)
    ]
    return (shown[0], shown[1], shown[2]), under if row.plate_marks or row.paper_marks else ""


def _against(number: str, record: str, marks: Marks) -> list[tuple[str, str]]:
    """For each place of the record, and the end, what the number has before it and what at it."""
    found = [["", ""] for _ in range(len(record) + 1)]
    place = 0
    for one, other, _ in place_by_place(number, record, marks or ((number, record, number == record),)):
        for mine, theirs in zip_longest(one, other, fillvalue=""):
            if theirs:
                found[place][1] = mine
                place += 1
            else:
                found[place][0] += mine
    return [(before, at) for before, at in found]

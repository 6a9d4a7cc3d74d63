"""A release certificate beside the unit: the two numbers one under the other, what differs marked and spelled out.

In many typefaces O and 0, I and 1 look alike, so each differing character is named in words: letter O, digit zero.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from rich.cells import cell_len
from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.findings import finding_block
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
    Space,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed
from fleetlife.terms.views import CertificateCard, PaperBlock, PaperLine

Marks = Sequence[tuple[str, str, bool]]
ABSENT = "_"
MOST_SPELLED = 12
SAME = ("exact", "formatting")
_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
VERDICT_WORDS = {
    "exact": "the same number",
    "formatting": "the same number, written otherwise",
    "leading-zeros": "differs in leading zeros",
    "look-alike": "differs in characters that look alike",
    "transposed": "two neighbouring characters exchanged",
    "one-character": "one character differs",
    "other-dash-number": "another dash number: another part",
    "alternate": "an alternate, or a number the unit bore at another time",
    "different": "different numbers",
    "unfiled": "filed against no unit, nothing to compare with",
}


def certificate_card(card: CertificateCard) -> RenderableType:
    """The certificate's lines, each beside the unit it is filed against."""
    first = card.lines[0] if card.lines else None
    subject = [whole(first.tracking_number), said(f"of {first.organisation}")] if first else []
    blocks: list[Block] = [title("CERTIFICATE", *subject), about_block(card.about), Rule()]
    blocks += [*_form(card), *numbered(card.blocks, None)]
    if not card.lines:
        blocks.append(Paragraph(Text("No lines.")))
    for number, line in enumerate(card.lines, start=1):
        if number > 1 or card.blocks:
            blocks.append(Blank())
        if len(card.lines) > 1:
            blocks.append(Paragraph(Text(f"LINE {number} OF {len(card.lines)}", style=STRONG)))
        blocks += [*numbered(card.blocks, number), *paper_blocks(line, numbered=bool(card.blocks))]
    if card.findings:
        blocks += [heading("FINDINGS", len(card.findings)), finding_block(card.findings)]
    blocks += [Blank(), Rule(), *legend(card.lines, card.blocks)]
    return Report(blocks)


def _form(card: CertificateCard) -> list[Block]:
    """The form it is on, and what of it is known here."""
    if not card.blocks:
        return []
    if card.form is None:
        told = "No form is stated: its blocks have no numbers here."
    elif not card.editions:
        told = f"{harmless(card.form)}: not among the forms known here, so its blocks have no numbers."
    elif len(card.editions) == 1:
        told = f"On {harmless(card.editions[0])}."
    else:
        told = f"On {harmless(card.form)}, its edition not stated: numbered where {' and '.join(card.editions)} agree."
    return [Paragraph(Text(told))]


def numbered(blocks: Sequence[PaperBlock], line: int | None) -> list[Block]:
    """The statements of the whole certificate, or of one line, each with the number of its block."""
    shown = [block for block in blocks if block.line == line]
    if not shown:
        return []
    width = max((len(block.block) for block in shown if block.block), default=0)
    pairs = []
    for block in shown:
        number = f"block {block.block:<{width}} " if block.block else " " * (7 + width if width else 0)
        # a number is never broken at a space, and free text may run over several lines on the paper
        says = whole(block.says) if "number" in block.holds else said(" / ".join(block.says.splitlines()))
        pairs.append((f"{number}{block.holds}{'*' if block.from_memory else ''}", says))
    label = max(len(name) for name, _ in pairs)
    return [Pairs([(name.ljust(label), text)]) for name, text in pairs]


def legend(lines: Sequence[PaperLine], blocks: Sequence[PaperBlock]) -> list[Block]:
    numbers = [marks for line in lines for marks in (line.part_marks, line.serial_marks)]
    found = ["== agrees   !! does not   paper: the certificate's   unit: in these records"]
    if any(not same for marks in numbers for _, _, same in marks):
        found = ["== agrees   !! does not   ^ stands under what differs"]
        if any(len(paper) != len(unit) for marks in numbers for paper, unit, _ in marks):
            found[0] += f"   {ABSENT} stands where one of the two has no character"
    if any(block.from_memory for block in blocks):
        found.append("* the number of this block is cited from memory: check it against the form itself.")
    found.append("Only the data plate says which of the two is right; look at it.")
    return [Paragraph(Text(text, style=QUIET)) for text in found]


def paper_blocks(line: PaperLine, *, numbered: bool = False) -> list[Block]:
    """One line of a certificate: where it is filed, then both numbers. `numbered`: what it states is shown already."""
    stated = [
        ("status", said(line.status)),
        ("dated", whole(line.dated_on)),
        ("form", said(line.form)),
        ("item", said(line.item)),
    ]
    return [
        Pairs(
            [
                *([] if numbered else stated),
                ("filed against", whole(line.unit) if line.unit else Text("no unit in these records", style=STRONG)),
                ("entry", Text("" if line.entry is None else str(line.entry))),
            ]
        ),
        _Numbers(
            "part number",
            line.part_number,
            line.expected_part_number,
            line.part_verdict,
            line.part_marks,
        ),
        _Numbers(
            "serial number",
            line.serial_number,
            line.expected_serial_number,
            line.serial_verdict,
            line.serial_marks,
        ),
        *([] if numbered else _remarks(line.remarks)),
    ]


def _remarks(remarks: str | None) -> list[Block]:
    """Remarks may run over several lines on the paper; each is shown as one."""
    if not remarks:
        return []
    return [
        Blank(),
        Paragraph(Text("remarks", style=QUIET)),
        *(Paragraph(said(text), indent=2) for text in remarks.splitlines()),
    ]


class _Numbers(Block):
    """The paper's number over the unit's, a line of `^` under what differs, the characters spelled out."""

    def __init__(self, label: str, paper: str, unit: str | None, verdict: str, marks: Marks) -> None:
        self.label = label
        self.paper = paper
        self.unit = unit
        self.verdict = verdict
        self.marks = place_by_place(paper, unit or "", marks)

    def lines(self, space: Space) -> Iterator[Text]:
        yield Text("")
        sign = "==" if self.verdict in SAME else ("??" if self.unit is None else "!!")
        words = VERDICT_WORDS.get(self.verdict, self.verdict)
        yield from Paragraph(
            Text.assemble(signed(sign), (f" {self.label}", STRONG), f"  {harmless(self.verdict)}: {harmless(words)}"),
            hang=3,
        ).lines(space)
        lead = 10
        if self.unit is None:
            yield from Pairs([("paper", whole(self.paper)), ("unit", Text("none"))], indent=3).lines(space)
            return
        places = aligned(self.marks)
        if any(not one or not other for paper, unit, _ in self.marks for one, other in zip_longest(paper, unit)):
            yield from Pairs(
                [("paper says", whole(self.paper)), ("unit bears", whole(self.unit))],
                indent=3,
            ).lines(space)
        for piece in _pieces(places, space.width - lead):
            top, bottom, under = ("".join(texts) for texts in zip(*piece, strict=True))
            yield Text.assemble(("   paper  ", QUIET), top)
            yield Text.assemble(("   unit   ", QUIET), bottom)
            if under.strip():
                yield Text(" " * lead + under.rstrip(), style=STRONG)
        told = spelled(self.marks)
        yield from Listing([Text(text) for text in told[:MOST_SPELLED]], indent=3).lines(space)
        if len(told) > MOST_SPELLED:
            yield Text(f"   - and {counted(len(told) - MOST_SPELLED, 'more place')}")


def place_by_place(paper: str, unit: str, marks: Marks) -> Marks:
    """The marks, or character against character where that tells the difference no longer.

    Of two crossed digits the marks say that one is lacking here and another there; one under the other they are
    what they are: 16 for 61.
    """
    if paper == unit or not marks:
        return [(paper, unit, paper == unit)]
    straight = [(one, other, one == other) for one, other in zip(paper, unit, strict=False)]
    places = sum(max(len(one), len(other)) for one, other, same in marks if not same)
    if len(paper) == len(unit) and sum(not same for _, _, same in straight) <= places:
        return straight
    return marks


def aligned(marks: Marks) -> list[tuple[str, str, str]]:
    """Place by place the paper's character, the unit's and the mark under them, all three of one width."""
    places = []
    for paper, unit, same in marks:
        for one, other in zip_longest(paper, unit, fillvalue=""):
            above, below = harmless(one) or ABSENT, harmless(other) or ABSENT
            width = max(cell_len(above), cell_len(below))
            places.append(
                (
                    above + " " * (width - cell_len(above)),
                    below + " " * (width - cell_len(below)),
                    (" " if same else "^") * width,
                )
            )
    return places


def _pieces(places: Sequence[tuple[str, str, str]], width: int) -> Iterator[list[tuple[str, str, str]]]:
    """Stretches that fit the width, for numbers longer than the line."""
    piece: list[tuple[str, str, str]] = []
    taken = 0
    for place in places:
        if piece and taken + len(place[2]) > width:
            yield piece
            piece, taken = [], 0
        piece.append(place)
        taken += len(place[2])
    if piece:
        yield piece


def spelled(marks: Marks, *, one_of: str = "paper", other_of: str = "unit", at: str = "on") -> list[str]:
    """Each differing place in words: which character of the paper, what stands there, what the unit has; or of two
    others than these, `at` which the second has it."""
    found = []
    place = 0
    for paper, unit, same in marks:
        if same:
            place += len(paper)
            continue
        for one, other in zip(paper, unit, strict=False):
            place += 1
            found.append(f"character {place} is {named(one)} on the {one_of}, {named(other)} {at} the {other_of}")
        shared = min(len(paper), len(unit))
        if rest := unit[shared:]:
            where = f"after character {place}" if place else "before its first character"
            found.append(f"{where} the {one_of} lacks {_names(rest)}, which the {other_of} has")
        for one in paper[shared:]:
            place += 1
            found.append(f"character {place} is {named(one)} on the {one_of}, the {other_of} has nothing there")
    return found


def _names(characters: str) -> str:
    """Several characters in words, in their order."""
    named_ones = [named(one) for one in characters[:MOST_SPELLED]]
    return ", ".join(named_ones) + (" and more" if len(characters) > MOST_SPELLED else "")


def named(character: str) -> str:
    """A character in words: letter O, small letter l, digit zero, hyphen."""
    if character.isascii() and character.isdigit():
        return f"digit {_DIGITS[int(character)]}"
    if character.isascii() and character.isalpha():
        return f"letter {character}" if character.isupper() else f"small letter {character}"
    if character == "-":
        return "hyphen"
    name = unicodedata.name(character, "character without a name").lower()
    return name if character.isascii() else f"{name} (U+{ord(character):04X})"

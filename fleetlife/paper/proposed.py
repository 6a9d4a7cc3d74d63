"""What the text of a paper says by the numbered blocks of its form, proposed for a person to confirm.

The text is that of the page as it is laid out: a line for each line, blanks where there is room between. A block is
found by its number and the words printed with it; what stands beside those words or below them, as far as the next
block, is what it holds. Where a form has several items, each line of the table of items is one.

Nothing is made up: a block that is not found is not proposed, and one found twice with two contents is named as such.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from fleetlife.paper.status import status_term
from fleetlife.terms.forms import FORMS, MAINTENANCE, PRODUCTION, ReleaseForm

# What is printed with the number of a block, by the column in which it is kept; any of them.
_PRINTED = {
    "authority": ("approving", "competent authority", "civil aviation authority"),
    "tracking_number": ("form tracking number", "tracking number"),
    "organisation": ("organisation name", "organization name", "approved organisation", "organisation", "organization"),
    "work_order": ("work order", "contract", "invoice"),
    "item": ("item",),
    "description": ("description",),
    "part_number": ("part no", "part number"),
    "quantity": ("quantity", "qty"),
    "serial_number": ("serial no", "serial number", "serial/batch", "serial"),
    "status": ("status/work", "status"),
    "remarks": ("remarks",),
    "approval": ("approval", "certificate", "authorisation number", "authorization number"),
    "signatory": ("name",),
    "date": ("date",),
}
_IN_TABLE = ("item", "description", "part_number", "quantity", "serial_number", "status")
_LABEL = re.compile(r"(?<![\w./-])(\d{1,2}[a-e]?)\s?[.:)]\s*(?=[A-Za-z])")
_PIECE = re.compile(r"\S+(?: \S+)*")
_SLACK = 3  # characters by which what belongs to a block may begin left of its number


@dataclass(frozen=True, slots=True)
class Read:
    """What was read in a block: its number, the column it is kept in, and the text."""

    block: str
    column: str
    text: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the paper seems to say.

    forms: the editions it may be, those whose name stands in the text. once: blocks that hold for every item; lines:
    one for each item. doubts: sentences about what was not clear.
    """

    forms: tuple[ReleaseForm, ...]
    once: tuple[Read, ...] = ()
    lines: tuple[tuple[Read, ...], ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Label:
    line: int
    start: int
    text_from: int
    block: str
    column: str | None
    goes_on: str = ""  # of the printed title, what stands in the next line


@dataclass(slots=True)
class _Cell:
    label: _Label
    end: int
    pieces: list[tuple[int, str]] = field(default_factory=list)  # line and text


def propose(text: str, *, form: ReleaseForm | None = None) -> Proposal:
    """The blocks found in the text of a paper, on the form given or on one of those that it names."""
    lines = text.splitlines()
    forms = (form,) if form is not None else forms_in(text)
    if not forms:
        return Proposal((), doubts=("No name of a release form stands in the text: say which it is.",))
    labels = list(_labels(lines, forms))
    if not labels:
        return Proposal(forms, doubts=("No numbered block stands in the text.",))
    cells = _filled(lines, labels)
    once, doubts = _once(cells)
    return Proposal(forms, once, tuple(_table(cells)), tuple(doubts))


def forms_in(text: str) -> tuple[ReleaseForm, ...]:
    """The editions whose name stands in the text; of a family that is named, those whose own mark does, or all."""
    folded = " ".join(text.casefold().split())
    named = [form for form in FORMS if _short(form.family) in folded]
    marked = [form for form in named if (mark := _mark(form)) and mark in folded]
    return tuple(marked or named)


def _short(family: str) -> str:
    """The family as papers print it: FAA Form 8130-3 says 8130-3."""
    return family.casefold().removeprefix("faa form ")


def _mark(form: ReleaseForm) -> str:
    """What tells an edition from others of its family: `mf/145 issue 2`, `02-14`."""
    return form.name.removeprefix(form.family).strip(" -()").casefold()


def _labels(lines: Sequence[str], forms: Sequence[ReleaseForm]) -> Iterator[_Label]:
    """Where the numbers of blocks stand, each with words that are printed with that number on one of the forms."""
    known: dict[str, set[str | None]] = {}
    for form in forms:
        for block in form.blocks:
            known.setdefault(block.number, set()).add(block.column)
    for number, line in enumerate(lines):
        for found in _LABEL.finditer(line):
            rest = line[found.end() :].casefold()
            for column in sorted(known.get(found[1], ()), key=lambda each: each is None):
                words, goes_on = _title(rest, _PRINTED.get(column or "", ()))
                if column not in _PRINTED or words is not None:
                    kept = column if column in _PRINTED else None
                    past = _past_title(line, found.end(), words or "")
                    yield _Label(number, found.start(), past, found[1], kept, goes_on)
                    break


def _title(rest: str, printed: Sequence[str]) -> tuple[str | None, str]:
    """The printed title that the text begins with, and what of it stands in the next line; None: it is no title."""
    whole = next((words for words in printed if rest.startswith(words)), None)
    piece = _PIECE.match(rest)
    begun = piece[0] if piece else ""
    longer = next((words for words in printed if begun and words.startswith(f"{begun} ")), None)
    if longer is not None:
        return begun, longer.removeprefix(begun).strip()
    return whole, ""


def _past_title(line: str, start: int, words: str) -> int:
    """Where the printed title ends: at a colon, or where there is room, or with the line."""
    end = start + len(words)
    room = re.search(r"  |$", line[end:])
    stop = end + (room.start() if room else 0)
    colon = line.find(":", end, stop)
    return colon + 1 if colon >= 0 else stop


def _filled(lines: Sequence[str], labels: Sequence[_Label]) -> list[_Cell]:
    """Each block with the pieces of text beside and below it, as far as the next block below reaches."""
    by_line: dict[int, list[_Label]] = {}
    for label in labels:
        by_line.setdefault(label.line, []).append(label)
    cells: list[_Cell] = []
    open_cells: list[_Cell] = []
    for number, line in enumerate(lines):
        new = by_line.get(number, [])
        if new:
            started = [
                _Cell(label, new[place + 1].start if place + 1 < len(new) else 1 << 30)
                for place, label in enumerate(new)
            ]
            # a row of blocks closes those above that it reaches across; beside it others may go on
            first = new[0].start
            open_cells = [cell for cell in open_cells if cell.end <= first + _SLACK] + started
            cells += started
        for piece in _PIECE.finditer(line):
            at, text = piece.start(), piece[0]
            own = next((label for label in reversed(new) if label.start <= piece.end() and at < label.text_from), None)
            if own is not None:
                # the number and its title; what stands behind a colon in the same piece is the block's
                text, at = line[own.text_from : piece.end()].strip(), own.text_from
                if not text:
                    continue
            cell = _cell_at(open_cells, at)
            if cell is not None and (text := _without_title(cell, text)):
                cell.pieces.append((number, text))
    return cells


def _without_title(cell: _Cell, text: str) -> str:
    """The text without what goes on of the printed title. What ends with a colon is printed on the form, no value."""
    if text.endswith(":"):
        return ""
    if cell.label.goes_on and not cell.pieces:
        return re.sub(rf"^{re.escape(cell.label.goes_on)}[.]?(?=\s|$)", "", text, flags=re.IGNORECASE).strip()
    return text


def _cell_at(cells: Sequence[_Cell], at: int) -> _Cell | None:
    """The block in whose column a piece of text begins."""
    inside = [cell for cell in cells if cell.label.start - _SLACK <= at < cell.end - _SLACK]
    return max(inside, key=lambda cell: cell.label.start, default=None)


def _once(cells: Iterable[_Cell]) -> tuple[tuple[Read, ...], list[str]]:
    """The blocks that hold for the whole paper, each with its text; what two blocks say differently is a doubt."""
    found: dict[str, Read] = {}
    doubts: list[str] = []
    for cell in cells:
        column = cell.label.column
        pieces = cell.pieces
        if column == "organisation":  # below the name stands the address
            pieces = [piece for piece in pieces if piece[0] == pieces[0][0]]
        text = " ".join(piece for _, piece in pieces).strip()
        if column is None or column in _IN_TABLE or not text:
            continue
        read = Read(cell.label.block, column, text)
        if column in found and found[column].text != text:
            doubts.append(
                f"Block {found[column].block} says {found[column].text}, and block {read.block} says {text}: "
                f"see which is the {column.replace('_', ' ')}."
            )
            continue
        found[column] = read
    return tuple(found.values()), doubts


def _table(cells: Sequence[_Cell]) -> Iterator[tuple[Read, ...]]:
    """One row for each line of the table of items that bears a part or serial number; what goes on below it belongs to
    it."""
    columns = [cell for cell in cells if cell.label.column in _IN_TABLE]
    rows: list[dict[str, Read]] = []
    numbers = sorted({number for cell in columns for number, _ in cell.pieces})
    for number in numbers:
        here: dict[str, Read] = {}
        for cell in columns:
            text = " ".join(piece for line, piece in cell.pieces if line == number)
            if text and cell.label.column is not None:
                here[cell.label.column] = Read(cell.label.block, cell.label.column, text)
        if not rows or {"part_number", "serial_number", "item"} & here.keys():
            rows.append(here)
            continue
        for column, read in here.items():
            before = rows[-1].get(column)
            rows[-1][column] = read if before is None else Read(read.block, column, f"{before.text} {read.text}")
    yield from (tuple(row.values()) for row in rows if "part_number" in row or "serial_number" in row)


def side_proposed(proposal: Proposal, status: str | None) -> str | None:
    """The side on which it is released: by the signature block that is filled, else by the term."""
    signed = {read.block[:2] for read in proposal.once if read.column in ("approval", "signatory", "date")}
    sides = {
        side
        for form in proposal.forms
        for block in form.blocks
        if block.number[:2] in signed
        for side in (PRODUCTION, MAINTENANCE)
        if block.holds.endswith(f", {side}")
    }
    if len(sides) == 1:
        return sides.pop()
    term = status_term(status)
    belongs = {each.side for form in proposal.forms for each in form.terms if each.term == term}
    return belongs.pop() if len(belongs) == 1 else None

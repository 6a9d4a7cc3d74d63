"""Lines that fit the width given: paragraphs, flowing items, lists, pairs, rules. Nothing is cut.

A word longer than the line (a part or serial number of extraordinary length) goes on in the next line, and the end
of the line says so in words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.console import Console, ConsoleOptions, RenderResult
from rich.text import Text

from fleetlife.reports.harmless import TIE

CONTINUES = " (goes on)"
BETWEEN = 3
QUIET = "dim"
STRONG = "bold"
_WORD = re.compile(r"[^ ]+")


@dataclass(frozen=True, slots=True)
class Space:
    """What there is room for: `width` in cells; `plain` when only ASCII can be shown."""

    width: int
    plain: bool = False


class Block:
    """A piece of a report. `lines` gives its lines, none wider than the space; it is a rich renderable itself."""

    def lines(self, space: Space) -> Iterator[Text]:
        raise NotImplementedError

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        space = Space(width=max(options.max_width, 20), plain=options.ascii_only)
        lost = False
        for line in self.lines(space):
            shown = line.plain.replace(TIE, " ")
            if space.plain:
                fit = "".join(c if _fits(c, options.encoding) else "?" * max(cell_len(c), 1) for c in shown)
                lost = lost or fit != shown
                line = Text(fit)
            else:
                line.plain = shown
            line.rstrip()
            # every line fits and holds no tab: rich need not fold it again
            yield from line.render(console, end="\n")
        if lost:
            yield from Text("? where this terminal's character set lacks the character.").render(console, end="\n")


def _fits(character: str, encoding: str) -> bool:
    try:
        character.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def wrap(text: Text, width: int) -> list[Text]:
    """The text in lines of at most `width` cells, broken at spaces alone; at least one line."""
    width = max(width, 2)
    plain = text.plain
    if plain and plain[0] != " " and plain[-1] != " " and cell_len(plain) <= width:
        return [text.copy()]  # as most do
    lines: list[Text] = []
    begin = end = -1
    for match in _WORD.finditer(text.plain):
        start, stop = match.span()
        if begin >= 0 and cell_len(text.plain[begin:stop]) <= width:
            end = stop
            continue
        if begin >= 0:
            lines.append(text[begin:end])
        begin, end = start, stop
        while cell_len(text.plain[begin:stop]) > width:
            mark = CONTINUES if width > 2 * len(CONTINUES) else ">"
            cut = _as_many(text.plain, begin, width - len(mark))
            piece = text[begin:cut]
            piece.append(mark)
            lines.append(piece)
            begin = cut
    if begin >= 0:
        lines.append(text[begin:end])
    return lines or [Text("")]


def _as_many(plain: str, begin: int, width: int) -> int:
    """The index after as many characters as fit, at least one."""
    taken = 0
    for index in range(begin, len(plain)):
        taken += cell_len(plain[index])
        if taken > width and index > begin:
            return index
    return len(plain)


def flow(items: Iterable[Text], width: int, *, between: int = BETWEEN, fold: int = 0) -> list[Text]:
    """Items one after the other, an item begun on a new line where it does not fit on the one before.

    An item longer than a line is folded, its further lines `fold` further in.
    """
    lines: list[Text] = []
    for item in items:
        if not item.plain:
            continue
        if lines and lines[-1].cell_len + between + item.cell_len <= width:
            lines[-1].append(" " * between)
            lines[-1].append_text(item)
        else:
            first, *rest = wrap(item, width) if item.cell_len <= width else wrap(item, width - fold)
            # A new line each, so that the item's own style does not spread over those that follow it.
            lines += [Text.assemble(first), *indented(rest, fold)]
    return lines


def indented(lines: Iterable[Text], indent: int) -> Iterator[Text]:
    for line in lines:
        yield Text.assemble(" " * indent, line)


@dataclass(frozen=True, slots=True)
class Report(Block):
    """Blocks one after the other. Blocks that give no line leave no trace."""

    blocks: Sequence[Block | None]

    def lines(self, space: Space) -> Iterator[Text]:
        for block in self.blocks:
            if block is not None:
                yield from block.lines(space)


@dataclass(frozen=True, slots=True)
class Blank(Block):
    """One empty line."""

    def lines(self, space: Space) -> Iterator[Text]:
        yield Text("")


@dataclass(frozen=True, slots=True)
class Paragraph(Block):
    """Text folded at spaces."""

    text: Text
    indent: int = 0
    hang: int = 0

    def lines(self, space: Space) -> Iterator[Text]:
        room = space.width - self.indent - self.hang
        for number, line in enumerate(wrap(self.text, room)):
            yield Text.assemble(" " * (self.indent + (self.hang if number else 0)), line)


@dataclass(frozen=True, slots=True)
class Flow(Block):
    """Items on as few lines as they fit; lines after the first begin `hang` further in, a folded item's `fold`."""

    items: Sequence[Text]
    indent: int = 0
    hang: int = 0
    fold: int = 0

    def lines(self, space: Space) -> Iterator[Text]:
        folded = flow((item.copy() for item in self.items), space.width - self.indent - self.hang, fold=self.fold)
        for number, line in enumerate(folded):
            yield Text.assemble(" " * (self.indent + (self.hang if number else 0)), line)


@dataclass(frozen=True, slots=True)
class Listing(Block):
    """Lines that begin with a mark, folded under their text."""

    items: Sequence[Text]
    mark: str = "-"
    indent: int = 2

    def lines(self, space: Space) -> Iterator[Text]:
        under = self.indent + len(self.mark) + 1
        for item in self.items:
            for number, line in enumerate(wrap(item, space.width - under)):
                lead = f"{' ' * self.indent}{self.mark} " if number == 0 else " " * under
                yield Text.assemble(lead, line)


@dataclass(frozen=True, slots=True)
class Rule(Block):
    """A line across; heavy ones frame the answer to a go/no-go question."""

    heavy: bool = False

    def lines(self, space: Space) -> Iterator[Text]:
        character = ("=" if self.heavy else "-") if space.plain else ("═" if self.heavy else "─")
        yield Text(character * space.width, style=QUIET)


@dataclass(frozen=True, slots=True)
class Pairs(Block):
    """Labels with what they say, in two columns where there is room for both, in one where not."""

    pairs: Sequence[tuple[str, Text]]
    indent: int = 0

    def lines(self, space: Space) -> Iterator[Text]:
        shown = [(label, text) for label, text in self.pairs if text.plain]
        if not shown:
            return
        label_width = max(len(label) for label, _ in shown) + 2
        half = (space.width - self.indent - 4) // 2
        if half >= label_width + max((text.cell_len for _, text in shown), default=0):
            rows = (len(shown) + 1) // 2
            for number in range(rows):
                left = _pair(shown[number], label_width)
                if number + rows < len(shown):
                    left.append(" " * (half + 4 - left.cell_len))
                    left.append_text(_pair(shown[number + rows], label_width))
                yield Text.assemble(" " * self.indent, left)
            return
        for label, text in shown:
            for number, line in enumerate(wrap(text, space.width - self.indent - label_width)):
                lead = Text((label if number == 0 else "").ljust(label_width), style=QUIET)
                yield Text.assemble(" " * self.indent, lead, line)


def _pair(pair: tuple[str, Text], label_width: int) -> Text:
    return Text.assemble((pair[0].ljust(label_width), QUIET), pair[1])


def title(words: str, *more: Text) -> Report:
    """The name of the report in strong letters, what it is about beside it."""
    return Report([Flow([Text(words, style=STRONG), *more])])


def heading(words: str, count: int | str | None = None) -> Report:
    """A blank line and the heading of a part of the report, with how many lines it has."""
    text = Text(words, style=STRONG)
    if count is not None:
        text.append(f" ({count if isinstance(count, str) else f'{count:,}'})", style=QUIET)
    return Report([Blank(), Paragraph(text)])


def counted(number: int, one: str, many: str | None = None) -> str:
    """`1 row`, `4,120 rows`."""
    return f"{number:,} {one if number == 1 else (many or one + 's')}"

"""Tables whose columns give way: numbers are never broken, what does not fit beside them moves under its row.

Every column has a rank. While the columns do not fit, the one with the highest rank leaves the table and its cells
are shown under their rows with its label. Columns of rank 0 stay; a row for whose numbers even they have no
room is written without columns. All sections of a table share one plan, so that figures stand under figures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rich.cells import cell_len
from rich.text import Text

from fleetlife.reports.lines import QUIET, STRONG, Block, Space, flow, indented, wrap

GAP = 2


@dataclass(frozen=True, slots=True)
class Column:
    """`whole`: cells are never folded. `floor`: how narrow a folded one may become, beside its longest word.

    `under`: the label its cells bear when they stand under their row; empty when they speak for themselves.
    """

    label: str
    rank: int = 0
    whole: bool = False
    right: bool = False
    floor: int = 8
    under: str | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """`details` flow under the row; `notes` are paragraphs under it."""

    cells: Sequence[Text]
    details: Sequence[Text] = ()
    notes: Sequence[Text] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """Rows under a heading; without words the rows follow directly."""

    words: str
    rows: Sequence[Row]
    count: str = ""


@dataclass(frozen=True, slots=True)
class _Plan:
    widths: dict[int, int]
    moved: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Columns(Block):
    """The table. `indent` is where details begin; None: under the second column.

    `measured`: rows that take part in the plan without being shown, so that two tables of one report agree.
    `aligned`: how wide a column is at least, for the same purpose.
    """

    columns: Sequence[Column]
    sections: Sequence[Section] = field(default_factory=tuple)
    indent: int | None = None
    measured: Sequence[Row] = ()
    aligned: Mapping[int, int] = field(default_factory=dict)

    def lines(self, space: Space) -> Iterator[Text]:
        rows = [row for section in self.sections for row in section.rows]
        if not rows:
            return
        plan, apart = self._planned([*rows, *self.measured], space.width)
        if plan is not None and any(column.label for column in self.columns):
            yield self._header(plan)
        for number, section in enumerate(self.sections):
            if not section.rows:
                continue
            if section.words:
                if number:
                    yield Text("")
                yield from _section_head(section, space)
            for row in section.rows:
                if plan is None or id(row) in apart:
                    yield from self._listed(row, space)
                else:
                    yield from self._row(row, plan, space)

    def _planned(self, rows: Sequence[Row], width: int) -> tuple[_Plan | None, set[int]]:
        """The plan, and the rows set apart because their numbers are too long for any: as few as need be."""
        plan = self._plan(rows, width)
        if plan is not None:
            return plan, set()
        stay = [i for i, column in enumerate(self.columns) if column.rank == 0 and column.whole]
        ordered = sorted(rows, key=lambda row: sum(row.cells[i].cell_len for i in stay))
        low, high = 0, len(ordered) - 1
        while low < high:
            middle = (low + high + 1) // 2
            if self._plan(ordered[:middle], width) is None:
                high = middle - 1
            else:
                low = middle
        if low == 0:
            return None, set()
        return self._plan(ordered[:low], width), {id(row) for row in ordered[low:]}

    def _plan(self, rows: Sequence[Row], width: int) -> _Plan | None:
        """The widths of the columns that stay, in order, and those that move under the rows; None: no room for all."""
        used = [i for i in range(len(self.columns)) if i in self.aligned or any(row.cells[i].plain for row in rows)]
        natural = {
            i: max(self.aligned.get(i, 0), cell_len(self.columns[i].label), *(row.cells[i].cell_len for row in rows))
            for i in used
        }
        least = {i: self._least(i, natural[i], rows) for i in used}
        kept = list(used)
        while sum(least[i] for i in kept) + GAP * (len(kept) - 1) > width:
            leaving = max(kept, key=lambda i: (self.columns[i].rank, i))
            if self.columns[leaving].rank == 0:
                return None
            kept.remove(leaving)
        room = width - sum(least[i] for i in kept) - GAP * (len(kept) - 1)
        widths = {i: least[i] for i in kept}
        # What is left over goes to the folded columns, a cell at a time to the one that still lacks most.
        while room and (wanting := [i for i in kept if widths[i] < natural[i]]):
            widths[max(wanting, key=lambda i: natural[i] / widths[i])] += 1
            room -= 1
        return _Plan(widths, tuple(i for i in used if i not in kept))

    def _least(self, i: int, natural: int, rows: Sequence[Row]) -> int:
        column = self.columns[i]
        if column.whole:
            return natural
        words = [word for row in rows for word in row.cells[i].plain.split(" ")]
        return min(natural, max(column.floor, cell_len(column.label), *(cell_len(word) for word in words)))

    def _header(self, plan: _Plan) -> Text:
        line = Text("")
        last = list(plan.widths)[-1]
        for i, width in plan.widths.items():
            label = self.columns[i].label
            line.append(label.rjust(width) if self.columns[i].right else label.ljust(width), style=QUIET)
            line.append("" if i == last else " " * GAP)
        return line

    def _row(self, row: Row, plan: _Plan, space: Space) -> Iterator[Text]:
        cells = {i: wrap(row.cells[i], width) for i, width in plan.widths.items()}
        for number in range(max(len(lines) for lines in cells.values())):
            line, waiting = Text(""), 0  # blanks are written with what comes after them
            for i, width in plan.widths.items():
                if number >= len(cells[i]):
                    waiting += width + GAP
                    continue
                piece = cells[i][number]
                filler = width - piece.cell_len
                waiting += filler if self.columns[i].right else 0
                if waiting and piece.plain:
                    line.append(" " * waiting)
                    waiting = 0
                line.append_text(piece)
                waiting += (0 if self.columns[i].right else filler) + GAP
            line.rstrip()
            yield line
        first = next(iter(plan.widths))
        indent = self.indent if self.indent is not None else min(plan.widths[first] + GAP, space.width // 4)
        items = [self._under(i, row) for i in plan.moved if row.cells[i].plain]
        yield from _below(row, items, indent, space)

    def _under(self, i: int, row: Row) -> Text:
        label = self.columns[i].label if self.columns[i].under is None else self.columns[i].under
        return Text.assemble((f"{label} " if label else "", QUIET), row.cells[i])

    def _listed(self, row: Row, space: Space) -> Iterator[Text]:
        """The row without columns: its cells one after the other with their labels, each number whole on its line."""
        indent = self.indent if self.indent is not None else 4
        items = [self._under(i, row) for i in range(len(self.columns)) if row.cells[i].plain]
        for number, line in enumerate(flow(items, space.width - indent)):
            yield line if number == 0 else Text.assemble(" " * indent, line)
        yield from _below(row, [], indent, space)


def _below(row: Row, items: list[Text], indent: int, space: Space) -> Iterator[Text]:
    yield from indented(flow([*items, *(item.copy() for item in row.details)], space.width - indent), indent)
    for note in row.notes:
        if note.plain:
            yield from indented(wrap(note, space.width - indent), indent)


def _section_head(section: Section, space: Space) -> Iterator[Text]:
    text = Text(section.words, style=STRONG)
    if section.count:
        text.append(f" ({section.count})", style=QUIET)
    yield from wrap(text, space.width)

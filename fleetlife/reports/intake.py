"""What an intake did, and what is wrong in files that were refused."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, islice
from typing import Any

from rich.cells import cell_len
from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.compare import moved_blocks
from fleetlife.reports.due import causes_table, coverage_line
from fleetlife.reports.harmless import harmless, said, whole
from fleetlife.reports.head import HEAD_LENGTH
from fleetlife.reports.lines import (
    QUIET,
    STRONG,
    Blank,
    Block,
    Flow,
    Listing,
    Paragraph,
    Report,
    Rule,
    counted,
    heading,
    title,
)
from fleetlife.reports.signs import signed
from fleetlife.terms.views import Coverage, IntakeReport

MOST_PROBLEMS = 1_000
WIDEST_VALUE = 24
LONGEST_VALUE = 300


def preview_report(report: IntakeReport) -> RenderableType:
    """What the files would bring: rows new, unchanged and replaced, and what moves."""
    blocks: list[Block] = [
        title("WOULD BE TAKEN IN", Text(counted(report.entries, "new entry", "new entries"))),
        Rule(),
    ]
    blocks += [_files(report.files), *_replaced(report), *moved_blocks(report.moved)]
    return Report(blocks)


def _replaced(report: IntakeReport) -> list[Block]:
    total = sum(rows for _, rows in report.replaced)
    if not total:
        return []
    files = ", ".join(f"{rows:,} in {file}" for file, rows in report.replaced)
    verb = "takes" if total == 1 else "take"
    text = f"{counted(total, 'row')} {verb} the place of what stood ({files}); the old stays in the ledger."
    return [Blank(), Paragraph(said(text, STRONG))]


def intake_report(report: IntakeReport) -> RenderableType:
    """Files with what was new, the coverage of the whole database after it, former due dates that differ."""
    blocks: list[Block] = [title("TAKEN IN", Text(counted(report.entries, "new entry", "new entries"))), Rule()]
    if report.files:
        blocks.append(_files(report.files))
    else:
        blocks.append(Paragraph(Text("No files with rows.")))
    blocks += _replaced(report)
    if not report.entries:
        blocks += [Blank(), Paragraph(Text("Nothing was new: everything was in these records already."))]
    if report.notes:
        blocks += [heading("NOTES", len(report.notes)), Listing([said(note) for note in report.notes])]
    if report.coverage is not None:
        blocks += _coverage(report.coverage)
    if report.former_due_differ:
        verb = "differs" if report.former_due_differ == 1 else "differ"
        text = (
            f"{counted(report.former_due_differ, 'due date')} of the former records {verb} from what is counted here; "
            "the former date is never used. Each one: fleetlife audit --code LIF106"
        )
        blocks += [heading("FORMER DUE DATES"), Paragraph(Text.assemble(signed(">>"), f" {text}"), hang=3)]
    blocks += [
        Blank(),
        Rule(),
        Flow([Text.assemble(("ledger head ", QUIET), whole(report.ledger_head[:HEAD_LENGTH]))]),
    ]
    if report.coverage is not None:
        blocks.append(coverage_line(report.coverage))
    return Report(blocks)


def _files(files: Sequence[tuple[str, int, int, int]]) -> Columns:
    rows = [
        Row([whole(name), *(Text(f"{number:,}") for number in (read, new, unchanged))])
        for name, read, new, unchanged in files
    ]
    total = [sum(numbers) for numbers in ([f[1] for f in files], [f[2] for f in files], [f[3] for f in files])]
    rows.append(Row([Text("all", style=STRONG), *(Text(f"{number:,}", style=STRONG) for number in total)]))
    return Columns(
        [
            Column("file", whole=True),
            Column("rows read", whole=True, right=True),
            Column("new", whole=True, right=True),
            Column("unchanged", whole=True, right=True),
        ],
        [Section("", rows)],
    )


def _coverage(coverage: Coverage) -> list[Block]:
    blocks: list[Block] = [heading("COVERAGE OF ALL UNITS, AFTER THIS INTAKE")]
    rows = [
        Row([signed("=="), Text("with a programme"), Text(f"{coverage.with_programme:,}")]),
        Row(
            [
                signed("!!" if coverage.without_programme else "=="),
                Text("without a programme: nothing says what they need"),
                Text(f"{coverage.without_programme:,}"),
            ]
        ),
        Row(
            [
                signed("??" if coverage.unknown_units else "=="),
                Text("with a date, or one measure of it, that cannot be told"),
                Text(f"{coverage.unknown_units:,}"),
            ]
        ),
    ]
    blocks.append(
        Columns(
            [Column("", whole=True), Column("", floor=30), Column("units", whole=True, right=True)],
            [Section("", rows)],
        )
    )
    if coverage.causes:
        blocks += [
            heading("WHAT IS UNKNOWN, BY THE DOCUMENT THAT WOULD CLEAR IT"),
            causes_table(coverage.causes),
        ]
    return blocks


def problems_table(problems: Sequence[Any], *, outcome: str = "nothing was taken in") -> RenderableType:
    """Problems by file, with line, column, value, reason and remedy; at most 1,000 of them.

    `outcome` says what was not done because of them. A problem has file, line (0: the file as a whole), column, value,
    reason and remedy.
    """
    shown = list(islice(problems, MOST_PROBLEMS))
    sections = []
    for file, group in groupby(shown, key=lambda problem: str(problem.file)):
        mine = list(group)
        sections.append(Section(harmless(file), [_problem(problem) for problem in mine], counted(len(mine), "problem")))
    blocks: list[Block] = [
        title("PROBLEMS", Text(counted(len(problems), "problem")), Text(outcome)),
        Rule(),
    ]
    blocks.append(
        Columns(
            [
                Column("line", whole=True, right=True, under="line"),
                Column("column", rank=1, whole=True, under="column"),
                Column("value", rank=2, whole=True, under="value"),
                Column("what is wrong, and what to do", floor=30, under=""),
            ],
            sections,
        )
    )
    more = len(problems) - len(shown)
    if more:
        blocks += [
            Blank(),
            Paragraph(
                Text(f"{counted(more, 'more problem')} not shown; --problems FILE writes them all.", style=STRONG)
            ),
        ]
    return Report(blocks)


def _problem(problem: Any) -> Row:
    """A problem's row. A long value stands under it, whole as far as anybody can read it, with its length."""
    value = harmless(str(problem.value))
    cell, details = whole(str(problem.value)), []
    if cell_len(value) > WIDEST_VALUE:
        more = f" ... ({len(value):,} characters in all)" if len(value) > LONGEST_VALUE else ""
        cell, details = Text(""), [Text.assemble(("value ", QUIET), value[:LONGEST_VALUE] + more)]
    text = Text.assemble(said(str(problem.reason)), " ", said(str(problem.remedy), QUIET))
    line = Text(str(problem.line) if problem.line else "")
    return Row([line, whole(str(problem.column) or ("" if problem.line else "the file")), cell, text], details)

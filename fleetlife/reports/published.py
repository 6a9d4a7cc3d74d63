"""The published rules that the program applies: the list, and the page of one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import harmless, said, whole
from fleetlife.reports.lines import QUIET, STRONG, Blank, Block, Flow, Paragraph, Report, Rule, title
from fleetlife.terms.published import PublishedRule

MEMORY = "Cited from memory: the text was not seen. Check it against the live document."


class RulePage(Protocol):
    """A rule, and the checks that cite it by code and name."""

    @property
    def rule(self) -> PublishedRule: ...
    @property
    def cited_by(self) -> Sequence[tuple[str, str]]: ...


def rules_table(pages: Iterable[RulePage]) -> RenderableType:
    """Every rule: what it is asked for by, its edition, what it says."""
    rows = [
        Row([whole(page.rule.key), said(_edition(page.rule)), said(page.rule.says, QUIET)], notes=()) for page in pages
    ]
    return Report(
        [
            title("PUBLISHED RULES APPLIED", Text(f"{len(rows):,} rules")),
            Rule(),
            Columns(
                [
                    Column("rule", whole=True),
                    Column("edition", floor=20),
                    Column("what it says", rank=1, floor=34, under=""),
                ],
                [Section("", rows)],
            ),
            Blank(),
            Paragraph(Text("One in full, with what is done by it: fleetlife explain RULE", style=QUIET)),
        ]
    )


def rule_pages(pages: Iterable[RulePage]) -> RenderableType:
    """Each rule in full: edition, sentence, what the program does by it, which findings cite it."""
    blocks: list[Block] = []
    for page in pages:
        rule = page.rule
        cited = ", ".join(f"{code} {name}" for code, name in page.cited_by) or "no finding"
        blocks += [
            *([Blank()] if blocks else []),
            Flow([Text(harmless(rule.name), style=STRONG), said(f"({_edition(rule)})")]),
            Rule(),
            Paragraph(Text.assemble(("What it says:", STRONG), f" {harmless(rule.says)}.")),
            Paragraph(Text.assemble(("What is done by it:", STRONG), f" {harmless(rule.does)}")),
            Paragraph(Text.assemble(("Cited by:", STRONG), f" {harmless(cited)}.")),
        ]
        if rule.from_memory:
            blocks.append(Paragraph(Text(MEMORY, style=QUIET)))
    return Report(blocks)


def _edition(rule: PublishedRule) -> str:
    return f"{rule.edition}, cited from memory" if rule.from_memory else rule.edition

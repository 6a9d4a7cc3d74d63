"""Deferrals as entered: a table, and the lines that stand where an airframe is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rich.console import RenderableType
from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.head import about_block
from fleetlife.reports.lines import QUIET, Blank, Block, Listing, Paragraph, Report, Rule, heading, title
from fleetlife.reports.rows import listed
from fleetlife.reports.signs import signed
from fleetlife.terms.deferrals import DEFERRAL_COLUMNS, DeferralList, DeferralRowTold

_SIGNS = {"expired": "!!", "open": ">>", "closed": "--"}


def deferral_report(answer: DeferralList) -> RenderableType:
    """Each deferral with who, until when and under which conditions, expired ones first."""
    blocks: list[Block] = [title("DEFERRALS"), about_block(answer.about), Rule()]
    if answer.rows:
        blocks += [Blank(), _table(answer.rows)]
    else:
        blocks += [Blank(), Paragraph(Text("None stands in these records."))]
    return Report([*blocks, Blank(), Rule(), Paragraph(said(answer.told, QUIET))])


def _table(rows: Sequence[DeferralRowTold]) -> Columns:
    return Columns(
        [
            Column("at", whole=True),
            Column("", whole=True),
            Column("item", floor=14),
            Column("opened", rank=1, whole=True, under="opened"),
            Column("expires", whole=True, under="expires"),
            Column("authorised by", rank=2, whole=True, under="by"),
        ],
        [Section("", [_row(row) for row in rows])],
        indent=3,
    )


def _row(row: DeferralRowTold) -> Row:
    details = [("conditions", row.conditions), ("log page", row.log_page), ("hangs there", row.holds or "nothing")]
    if row.closed:
        details.append(("closed", f"{row.closed} by {row.closed_by}"))
    return Row(
        [
            whole(f"{row.registration} {row.position}"),
            signed(_SIGNS[row.state], row.state),
            said(row.item),
            whole(row.opened),
            whole(row.expires or "not entered"),
            whole(row.authorised_by),
        ],
        [Text.assemble((f"{name}: ", QUIET), said(text)) for name, text in details if text],
    )


def deferral_rows(answer: DeferralList) -> list[dict[str, Any]]:
    """The rows for machines."""
    return listed(answer.rows, DEFERRAL_COLUMNS)


def deferred_block(told: Sequence[str]) -> list[Block]:
    """The deferrals of an airframe, as sentences under a heading; nothing where there are none."""
    if not told:
        return []
    return [heading("DEFERRED, AS ENTERED", len(told)), Listing([said(text) for text in told], mark="!")]

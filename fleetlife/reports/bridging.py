"""Two programmes beside each other: by requirement both due points, and which comes first."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from fleetlife.reports.columns import Column, Columns, Row, Section
from fleetlife.reports.harmless import said, whole
from fleetlife.reports.lines import QUIET, Block, Paragraph, heading
from fleetlife.terms.measure import hours_text
from fleetlife.terms.views import BridgedLine


def bridged_blocks(lines: Sequence[BridgedLine]) -> list[Block]:
    """The section of a card; nothing where no programme was left for another that asks other things."""
    if not lines:
        return []
    return [
        heading("TWO PROGRAMMES", len(lines)),
        Columns(
            [
                Column("requirement", whole=True),
                Column("kept under", floor=10),
                Column("due by it", floor=10),
                Column("now under", floor=10),
                Column("due by it", floor=10),
                Column("earlier", floor=8),
                Column("unit", rank=1, whole=True, under="unit"),
            ],
            [Section("", [_row(line) for line in lines])],
            indent=3,
        ),
        Paragraph(Text(_LEGEND, style=QUIET)),
    ]


_LEGEND = (
    "It is judged by the programme it is under now. Which of the two holds is decided by those who approve the "
    "programme (LIF109)."
)


def _row(line: BridgedLine) -> Row:
    left = f" until {line.kept_until}" if line.kept_until else ""
    hours, cycles = line.airframe_hours_due_before, line.airframe_cycles_due_before
    return Row(
        [
            whole(line.requirement),
            said(f"{_named(line.kept_under, line.edition_before)}{left}"),
            said(_due(line.state_before, line.due_before, hours, cycles)),
            said(_named(line.now_under, line.edition_after)),
            said(_due(line.state_after, line.due_after, line.airframe_hours_due_after, line.airframe_cycles_due_after)),
            said(line.earlier or "cannot be told"),
            whole(f"{line.part_number} {line.serial_number}"),
        ],
        notes=[said(line.differs, QUIET)] if line.differs else [],
    )


def _named(programme: str, edition: str | None) -> str:
    """The edition with its programme; both where the programme leaves the requirement to the general ones."""
    if edition is None:
        return programme
    return edition if edition.startswith(f"{programme} ") else f"{programme}, {edition}"


def _due(state: str | None, due: str | None, minutes: int | None, cycles: int | None) -> str:
    """The date with what else is to be known of it; `not in it` for what a programme does not ask."""
    if state is None:
        return "not in it"
    told = [state] if state in ("overdue", "unknown", "waiting") or due is None else []
    if due is not None:
        told.append(due)
    else:
        told += [f"at {hours_text(minutes)} hours"] if minutes is not None else []
        told += [f"at {cycles} cycles"] if cycles is not None else []
    return ", ".join(told)

"""What is told of other movements than a swap: a robbery, the bench, stores, loans, scrap; and of deferrals."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.finding import Finding
from fleetlife.terms.views import About, DifferenceRow, DueRow


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRecorded:
    """What a movement changed: the entry, before and after, the new due dates, the findings it leaves open; `notes`:
    what is to be known beside it; `moved`: what is believed otherwise after it, where that was asked for."""

    what: str
    entry: int
    ledger_head: str
    before: tuple[tuple[str, str], ...]
    after: tuple[tuple[str, str], ...]
    due: tuple[DueRow, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    moved: tuple[DifferenceRow, ...] = ()
    already: bool = False
    about: About | None = None

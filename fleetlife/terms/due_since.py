"""What came into an asked window of the due list, went out of it or moved in it since an earlier state."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import DueList, DueRow

CAME, WENT, MOVED, STOOD = "came in", "went out", "moved", "stood"
SINCE = (CAME, WENT, MOVED, STOOD)


@dataclass(frozen=True, slots=True, kw_only=True)
class DueSinceRow:
    """A row of the window now, or one that was in it then. `row`: as it is now (as it was then, where it is asked for
    no more); `*_then`: what was said of it then, None where it was not asked for then.

    `why`: what moved it, in sentences; `entries`: the entries between that say so, in order.
    """

    since: str
    row: DueRow
    state_then: str | None = None
    due_date_then: str | None = None
    due_earliest_then: str | None = None
    place_then: str | None = None
    why: str | None = None
    entries: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueSince:
    """A due list held against an earlier state: `now`; how that state was asked for, its last entry and head, its day
    and its window; and every row, what came in first."""

    now: DueList
    moment: str
    entry: int
    head: str
    as_of: str
    window_from: str | None
    window_until: str | None
    rows: tuple[DueSinceRow, ...]

    def count(self, since: str) -> int:
        """How many rows came in, went out, moved or stood."""
        return sum(each.since == since for each in self.rows)

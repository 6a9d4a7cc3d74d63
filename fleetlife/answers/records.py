"""The answers for those who go on from there in Python: `fleetlife.open(url)`.

Every method asks what the command of its name asks and gives a pandas DataFrame; nothing is written. `as_of` has no
default: the same question with the same day gives the same frame.
"""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.frames import attributes, due_frame, findings_frame
from fleetlife.answers.swaps import swap_list
from fleetlife.store.engine import open_store
from fleetlife.terms.swaps import SwapLine

if TYPE_CHECKING:
    import pandas as pd


class Records:
    """An open database. To be closed, or used in a `with` statement.

    >>> with fleetlife.open("sqlite:///fleet.db") as records:          # doctest: +SKIP
    ...     late = records.due(as_of=date(2026, 11, 25)).query("state == 'overdue'")
    """

    def __init__(self, url: str) -> None:
        self._store = open_store(url)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let the database go."""
        self._store.close()

    def due(self, *, as_of: date, **asked: Any) -> pd.DataFrame:
        """The due list, a row a due point; see `answers.frames.due_frame`. Without a window every row.

        `asked`: window_from, window_until, registrations, part_numbers, requirements, stations, types, operators,
        sources, sides, known_at, fitted_on, as of `answers.due.due`, with its refusals.
        """
        asked.setdefault("everything", not {"window_from", "window_until"} & set(asked))
        return due_frame(due(self._store, as_of=as_of, **asked))

    def findings(self, *, as_of: date, **asked: Any) -> pd.DataFrame:
        """The findings of the audit, a row a finding. `asked`: registrations, part_numbers, codes, severities,
        known_at, as of `answers.audit.audit`, with its refusals."""
        return findings_frame(audit(self._store, as_of=as_of, **asked))

    def swaps(self, *, as_of: date, **asked: Any) -> pd.DataFrame:
        """The planned swaps, open ones unless `over_too`; a column a field of `SwapLine`, days as datetime64."""
        import pandas as pd

        answer = swap_list(self._store, as_of=as_of, **asked)
        names = [field.name for field in fields(SwapLine)]
        frame = pd.DataFrame([[getattr(row, name) for name in names] for row in answer.rows], columns=names)
        for name in ("target", "done_on"):
            frame[name] = pd.to_datetime(frame[name], format="%Y-%m-%d")
        frame.attrs.update(attributes(answer))
        return frame

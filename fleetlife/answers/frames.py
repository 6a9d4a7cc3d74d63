"""Answers as pandas data frames, for those who go on from there: dates as dates, counts that can be unknown.

pandas is imported inside: nothing else of the program needs it.
"""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING, Any

from fleetlife.terms.finding import FINDING_COLUMNS, Finding
from fleetlife.terms.measure import Minutes, hours_text
from fleetlife.terms.swaps import SwapList
from fleetlife.terms.views import AuditReport, DueList, DueRow

if TYPE_CHECKING:
    import pandas as pd

DATES = ("due_date", "due_earliest", "due_if_fitted", "calendar_due", "original_due", "last_done", "readings_as_of")
COUNTS = ("airframe_cycles_due", "cycles_left", "operations_left", "days_left")
HOURS = ("airframe_hours_due", "hours_left")
COUNTERS = ("counter_due", "counter_left")


def due_frame(answer: DueList) -> pd.DataFrame:
    """The rows of a due list, a column a field of `DueRow`.

    Days are datetime64, unknown as NaT; counts Int64 and hours timedelta64 (minus when passed), unknown as missing;
    the figures of counters whole numbers or, of a counter in hours, text HHHH:MM; everything else text or missing.
    `attrs` holds as_of, known_at and the ledger head.
    """
    import pandas as pd

    names = [field.name for field in fields(DueRow)]
    columns: dict[str, Any] = {name: [getattr(row, name) for row in answer.rows] for name in names}
    for name in COUNTERS:
        columns[name] = [hours_text(value) if isinstance(value, Minutes) else value for value in columns[name]]
    frame = pd.DataFrame(columns, columns=names)
    for name in COUNTERS:
        frame[name] = pd.Series(columns[name], dtype=object)  # not floats, where some row has none
    for name in DATES:
        frame[name] = pd.to_datetime(frame[name], format="%Y-%m-%d")
    for name in COUNTS:
        frame[name] = frame[name].astype("Int64")
    for name in HOURS:
        frame[name] = pd.to_timedelta(frame[name].astype("Int64"), unit="min")
    frame["estimated"] = frame["estimated"].astype(bool)
    frame.attrs.update(attributes(answer))
    return frame


def findings_frame(answer: AuditReport) -> pd.DataFrame:
    """The findings of an audit, a column a field of the machine formats; text or missing."""
    import pandas as pd

    rows = [[_cell(finding, name) for name in FINDING_COLUMNS] for finding in answer.findings]
    frame = pd.DataFrame(rows, columns=list(FINDING_COLUMNS))
    frame.attrs.update(attributes(answer))
    return frame


def _cell(finding: Finding, name: str) -> str | None:
    attribute = {"finding": "code", "rule": "name", "action": "hint"}.get(name, name)
    value: str | None = getattr(finding, attribute)
    return value


def attributes(answer: DueList | AuditReport | SwapList) -> dict[str, str | None]:
    """What a frame says of itself: the day asked about, what was known, and the ledger head."""
    about = answer.about
    return {"as_of": about.as_of, "known_at": about.known_at, "ledger_head": about.ledger_head}

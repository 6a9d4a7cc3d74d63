"""Due points as a calendar (RFC 5545): an all-day event for each row, to be taken in where planners keep their days.

The same answer gives the same bytes: an event's identifier follows from the unit and the requirement, and its stamp is
the day asked about. A calendar taken in again later moves the events that are there.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from icalendar import Calendar, Event

from fleetlife.terms.number import fold
from fleetlife.terms.views import DueList, DueRow

PAST = ("overdue", "no refill", "in variation")


def due_calendar(due: DueList) -> bytes:
    """The rows that have a day, and one event that tells how many have none.

    An event stands on the earliest day on which its row can fall due; a row past its due point on the day asked about,
    with the day on which it fell due in its title.
    """
    stamp = datetime.combine(date.fromisoformat(due.about.as_of), time(), UTC)
    calendar = Calendar()
    calendar.add("prodid", "-//fleetlife//due//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"Due, as of {due.about.as_of}")
    undated = [row for row in due.rows if _day(row) is None]
    for row in due.rows:
        day = _day(row)
        if day is not None:
            shown = date.fromisoformat(due.about.as_of) if row.state in PAST else day
            calendar.add_component(_event(_key(row), _title(row, day), shown, stamp, _told(row, due)))
    if undated:
        many = f"{len(undated)} due points have" if len(undated) > 1 else "1 due point has"
        text = f"{many} no day in these records"
        told = "\n".join(f"{_unit(row)}, {row.requirement or 'no programme'}: {row.state_reason}" for row in undated)
        calendar.add_component(_event("undated", text, stamp.date(), stamp, f"{told}\n{_head(due)}"))
    return bytes(calendar.to_ical())


def _event(key: str, title: str, day: date, stamp: datetime, told: str) -> Event:
    event = Event()
    event.add("uid", f"{hashlib.sha256(key.encode()).hexdigest()[:32]}@fleetlife")
    event.add("dtstamp", stamp)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", title)
    event.add("description", told)
    event.add("transp", "TRANSPARENT")
    return event


def _day(row: DueRow) -> date | None:
    text = row.due_earliest or row.due_date
    return None if text is None else date.fromisoformat(text)


def _key(row: DueRow) -> str:
    """What tells one due point from every other, wherever the unit is."""
    parts: Sequence[str | None] = (row.part_number, row.serial_number, row.manufacturer, row.requirement, row.edition)
    return "|".join(fold(part) for part in parts)


def _title(row: DueRow, day: date) -> str:
    where = " ".join(part for part in (row.registration, row.position) if part) or row.store or "place not known"
    what = f"{row.requirement} {(row.kind or '').replace('_', ' ')}".strip()
    state = f"{row.state.upper()} since {day.isoformat()}: " if row.state in PAST else ""
    return f"{state}{where}: {_unit(row)}, {what}"


def _unit(row: DueRow) -> str:
    inside = f" in {row.parent_part_number} {row.parent_serial_number}" if row.parent_serial_number else ""
    return f"{row.part_number} {row.serial_number}{inside}"


def _told(row: DueRow, due: DueList) -> str:
    dates = f"Due {row.due_date}, at the earliest {row.due_earliest}." if row.due_date != row.due_earliest else ""
    return "\n".join(part for part in (row.state_reason, dates, _head(due)) if part)


def _head(due: DueList) -> str:
    return f"As of {due.about.as_of}; ledger head {due.about.ledger_head}, entry {due.about.ledger_entry}."

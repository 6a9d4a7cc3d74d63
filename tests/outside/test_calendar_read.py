"""The calendar of a due list read by vobject, a reader of RFC 5545 that shares nothing with the writer (icalendar)."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import vobject

from fleetlife.answers.due import due
from fleetlife.store.engine import open_store
from fleetlife.terms.views import DueList
from fleetlife.transfer.calendar import due_calendar

TODAY = date(2026, 11, 25)
HOSTILE = "a, b; c\\n \\, \\; \n BEGIN:VEVENT\r\nEND:VCALENDAR\r\n" + "ä€😀" * 60


@pytest.fixture(scope="module")
def listed(tmp_path_factory: pytest.TempPathFactory, demo_file: Path) -> Iterator[DueList]:
    """A year of the demo, with what is past and what has no day."""
    path = tmp_path_factory.mktemp("calendar") / "demo.db"
    shutil.copyfile(demo_file, path)
    store = open_store(f"sqlite:///{path}")
    yield due(store, as_of=TODAY, window_until=date(2027, 11, 25))
    store.close()


def read(answer: DueList) -> list[Any]:
    [calendar] = list(vobject.readComponents(due_calendar(answer).decode("utf-8")))
    calendar.validate(raiseException=True)
    return list(calendar.vevent_list)


class TestCalendar:
    def test_every_row_with_a_day_is_an_all_day_event_on_it(self, listed: DueList) -> None:
        dated = [row for row in listed.rows if row.due_earliest or row.due_date]
        *events, last = read(listed)
        assert len(events) == len(dated) > 60
        for event, row in zip(events, dated, strict=True):
            past = row.state in ("overdue", "no refill", "in variation")
            day = TODAY if past else date.fromisoformat(row.due_earliest or row.due_date or "")
            assert (event.dtstart.value, event.dtend.value) == (day, day + timedelta(days=1))
            assert f"{row.part_number} {row.serial_number}" in event.summary.value
            assert row.state_reason in event.description.value
            assert event.dtstamp.value == datetime(2026, 11, 25, tzinfo=UTC)
        assert "no day in these records" in last.summary.value

    def test_no_two_events_have_one_identifier(self, listed: DueList) -> None:
        identifiers = [event.uid.value for event in read(listed)]
        assert len(set(identifiers)) == len(identifiers)

    def test_hostile_text_comes_back_as_it_was_and_makes_no_event(self, listed: DueList) -> None:
        row = next(row for row in listed.rows if row.state == "due")
        [event] = read(replace(listed, rows=(replace(row, state_reason=HOSTILE),)))
        assert HOSTILE.replace("\r\n", "\n") in event.description.value.replace("\r\n", "\n")

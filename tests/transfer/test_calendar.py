"""Due points as a calendar: read back by a library that shares nothing with the one that wrote it."""

from __future__ import annotations

import re
from typing import Any

from fleetlife.terms.views import About, Coverage, DueList, DueRow
from fleetlife.transfer.calendar import due_calendar

ABOUT = About(
    question="due",
    as_of="2026-03-01",
    known_at=None,
    ledger_head="ab" * 32,
    ledger_entry=420,
    editions=(),
    oldest_reading=None,
)
COVERAGE = Coverage(units=3, with_programme=3, without_programme=0, unknown_rows=1, unknown_units=1, causes=())


def row(serial: str, **more: Any) -> DueRow:
    given: dict[str, Any] = {
        "registration": "Q-TRN",
        "position": "L1",
        "part_number": "SL-100-1",
        "serial_number": serial,
        "requirement": "OVH",
        "kind": "overhaul",
        "edition": "3",
        "state": "due",
        "state_reason": "Due by the calendar; nothing covers it, and so on, and so on, and so on.",
        "due_date": "2026-03-20",
        "due_earliest": "2026-03-20",
    }
    return DueRow(**given | more)


def listed(*rows: DueRow) -> DueList:
    return DueList(
        about=ABOUT, window_from=None, window_until=None, rows=rows, coverage=COVERAGE, findings=(), before_window=0
    )


def events(content: bytes) -> list[dict[str, str]]:
    """The events by the text of RFC 5545 itself: lines of 75 octets at most, continued by a space, text escaped."""
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
    text = content.decode("utf-8").replace("\r\n ", "")
    found = []
    for block in re.findall(r"BEGIN:VEVENT\r\n(.*?)END:VEVENT", text, re.S):
        pairs = [line.partition(":") for line in block.strip().split("\r\n")]
        plain = re.compile(r"\\(.)")
        found.append({name: plain.sub(lambda m: "\n" if m[1] in "nN" else m[1], value) for name, _, value in pairs})
    return found


class TestCalendar:
    def test_an_all_day_event_on_the_earliest_day(self) -> None:
        (event,) = events(due_calendar(listed(row("1", due_earliest="2026-03-18"))))
        assert (event["DTSTART;VALUE=DATE"], event["DTEND;VALUE=DATE"]) == ("20260318", "20260319")
        assert event["SUMMARY"] == "Q-TRN L1: SL-100-1 1, OVH overhaul"
        assert "Due 2026-03-20, at the earliest 2026-03-18." in event["DESCRIPTION"]
        assert f"ledger head {'ab' * 32}, entry 420" in event["DESCRIPTION"]

    def test_what_is_past_stands_on_the_day_asked_with_the_day_it_fell_due(self) -> None:
        past = row("1", state="overdue", due_date="2026-02-20", due_earliest="2026-02-20")
        (event,) = events(due_calendar(listed(past)))
        assert event["DTSTART;VALUE=DATE"] == "20260301"
        assert event["SUMMARY"].startswith("OVERDUE since 2026-02-20: Q-TRN L1")

    def test_what_has_no_day_is_told_and_not_left_out(self) -> None:
        none = row("2", state="unknown", due_date=None, due_earliest=None, state_reason="No birth paper.")
        first, last = events(due_calendar(listed(row("1"), none)))
        assert first["SUMMARY"].endswith("SL-100-1 1, OVH overhaul")
        assert last["SUMMARY"] == "1 due point has no day in these records"
        assert "SL-100-1 2, OVH: No birth paper." in last["DESCRIPTION"]

    def test_an_event_keeps_its_identifier_where_the_unit_moves_and_its_date_does(self) -> None:
        one = events(due_calendar(listed(row("1"))))[0]["UID"]
        moved = row("1", registration="Q-GAN", position="R2", due_date="2026-04-01", due_earliest="2026-04-01")
        assert events(due_calendar(listed(moved)))[0]["UID"] == one
        others = {events(due_calendar(listed(each)))[0]["UID"] for each in (row("2"), row("1", requirement="FNT"))}
        assert one not in others
        assert len(others) == 2

    def test_the_same_answer_gives_the_same_bytes(self) -> None:
        assert due_calendar(listed(row("1"))) == due_calendar(listed(row("1")))

    def test_text_of_the_records_ends_no_line_of_the_calendar(self) -> None:
        (event,) = events(due_calendar(listed(row("1\r\nEND:VCALENDAR", state_reason="a\nBEGIN:VEVENT"))))
        assert "END:VCALENDAR" in event["SUMMARY"]

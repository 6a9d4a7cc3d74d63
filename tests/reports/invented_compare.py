"""Hand-written comparisons of two states of knowledge for the golden files."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.views import Comparison, DifferenceRow, EntryLine

from .invented import BOTTLE, LONG_PART, LONG_SERIAL, PACK, about

_DOOR = {"registration": "Q-PUF", "position": "L1", "place": "Q-PUF L1", "entries": "4118; 4120"}
_INSIDE = {"parent_part_number": "KW-4100-3", "parent_serial_number": "00815"}

DIFFERENCES = (
    DifferenceRow(
        what="place",
        move="differs",
        before="store Puffin main store, bin A-12",
        after="Q-PUF L1",
        serial_number="00815",
        **PACK,
        **_DOOR,
    ),
    DifferenceRow(
        what="harness", move="differs", before="unknown", after="left", serial_number="00815", **PACK, **_DOOR
    ),
    DifferenceRow(
        what="due point",
        move="becomes overdue",
        requirement="OVH",
        kind="overhaul",
        before="in date, 2027-06-12",
        after="overdue, 2026-11-20",
        state_before="in date",
        state_after="overdue",
        due_before="2027-06-12",
        due_after="2026-11-20",
        days=-204,
        serial_number="00815",
        why="PUFFIN edition 7, now PUFFIN edition 8: repeat 36 months, now 30 months.",
        **PACK,
        **_DOOR,
    ),
    DifferenceRow(
        what="due point",
        move="earlier",
        requirement="HST",
        kind="requalification",
        before="in date, 2027-11-30",
        after="in date, 2027-10-31",
        state_before="in date",
        state_after="in date",
        due_before="2027-11-30",
        due_after="2027-10-31",
        days=-30,
        serial_number="77-1",
        **BOTTLE,
        **(_DOOR | _INSIDE | {"place": "slot reservoir of KW-4100-3 00815", "entries": None}),
    ),
    DifferenceRow(
        what="unit",
        move="stated",
        after="store Puffin main store",
        place="store Puffin main store",
        store="Puffin main store",
        part_number="KW-4100-9",
        serial_number="90001",
        manufacturer="Kittiwake",
        entries="4119",
    ),
    DifferenceRow(
        what="certificate",
        move="stated",
        after="KWS-26-1 of Kittiwake, New, 2026-10-30, KW-4100-9 9OOO1: look alike",
        place="store Puffin main store",
        store="Puffin main store",
        part_number="KW-4100-9",
        serial_number="90001",
        manufacturer="Kittiwake",
        entries="4119",
    ),
    DifferenceRow(
        what="condition",
        move="differs",
        before="serviceable",
        after="unserviceable",
        place="shop Northern Isles Overhaul and Repair Station Number Two, Skua Bay",
        part_number=LONG_PART,
        serial_number=LONG_SERIAL[:40],
        entries="4121",
    ),
)
ENTRIES = (
    EntryLine(
        number=4118,
        kind="movement",
        on="2026-11-20",
        recorded_at="2026-11-24T08:15:00.000000Z",
        recorded_by="K12",
    ),
    EntryLine(number=4119, kind="unit", on="2026-11-21", recorded_at="2026-11-24T08:16:00.000000Z", recorded_by="K12"),
    EntryLine(
        number=4120,
        kind="correction",
        on="2026-11-20",
        recorded_at="2026-11-24T17:00:00.000000Z",
        recorded_by="K30",
        mends="4118",
        reason="the unit fitted was written up with the day it came out of stores",
        authorised_by="Q2",
    ),
    EntryLine(
        number=4121,
        kind="withdrawal",
        on=None,
        recorded_at="2026-11-25T06:30:00.000000Z",
        recorded_by="K30",
        mends="3990 item 2, 5",
        reason="typed twice",
        authorised_by="Q2",
    ),
)
COMPARED = Comparison(
    about=replace(about("compare"), known_at="2026-11-25"),
    earlier_entry=4117,
    earlier_head="9ae4" * 16,
    earlier_moment="2026-11-23",
    rows=DIFFERENCES,
    entries=ENTRIES,
    reading_entries=36,
    reading_airframes=12,
    units=41,
)
NOTHING = replace(COMPARED, rows=(), entries=(), reading_entries=0, reading_airframes=0, units=0)

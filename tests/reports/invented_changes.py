"""Hand-written change lists for the golden files."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.views import ChangeList, ChangeRow, SupposedFile

from .invented import BOTTLE, PACK, about

WHY = "PUFFIN edition 7, now PUFFIN edition 8: repeat 36 months, now 30 months."
_EDITIONS = {"programme_before": "PUFFIN", "programme_after": "PUFFIN", "edition_before": "7", "edition_after": "8"}
_PACK = {"requirement": "OVH", "kind": "overhaul", "driver_before": "calendar", "driver_after": "calendar", **PACK}

WHAT_IF = replace(
    about("programme changes"),
    what_if=(
        SupposedFile("requirements", "edition 8.csv", "5b1f" * 16),
        SupposedFile("bands", "ages.csv", "c0de" * 16),
    ),
)
CHANGES = ChangeList(
    about=WHAT_IF,
    rows=(
        ChangeRow(
            move="becomes overdue",
            applies_from="2026-12-15",
            registration="Q-PUF",
            position="L1",
            serial_number="00815",
            state_before="in date",
            state_after="overdue",
            due_before="2027-06-12",
            due_after="2026-12-12",
            days=-182,
            calendar_due_before="2027-06-12",
            calendar_due_after="2026-12-12",
            why=WHY,
            **_PACK,
            **_EDITIONS,
        ),
        ChangeRow(
            move="becomes unknown",
            applies_from="2026-11-25",
            registration="Q-PUF",
            position="R1",
            serial_number="77-1",
            parent_part_number="KW-4100-3",
            parent_serial_number="00816",
            requirement="FIL",
            kind="functional_test",
            state_after="unknown",
            unknown_after="operations: no-operations",
            why="New requirement in PUFFIN edition 8: start manufacture; first limit 40 operations.",
            programme_after="PUFFIN",
            edition_after="8",
            **BOTTLE,
        ),
        ChangeRow(
            move="earlier",
            applies_from="2026-11-25",
            registration="Q-AUK",
            position="R2",
            serial_number="00830",
            state_before="in date",
            state_after="in date",
            due_before="2028-01-02",
            due_after="2027-08-20",
            due_earliest_before="2027-12-24",
            due_earliest_after="2027-08-11",
            days=-135,
            estimated_before=True,
            estimated_after=True,
            airframe_hours_due_before=1_890_745,
            airframe_hours_due_after=1_800_745,
            why="PUFFIN edition 7, now PUFFIN edition 8: repeat 7500:00 FH, now 6000:00 FH.",
            **{**_PACK, "driver_before": "hours", "driver_after": "hours"},
            **_EDITIONS,
        ),
        ChangeRow(
            move="later",
            applies_from="2026-12-15",
            store="Northern line store, Auk Bay",
            serial_number="00840",
            state_before="waiting",
            state_after="waiting",
            due_if_fitted_before="2029-11-25",
            due_if_fitted_after="2030-11-25",
            days=365,
            why="PUFFIN edition 7, now PUFFIN edition 8: repeat 36 months, now 48 months.",
            **{**_PACK, "driver_before": None, "driver_after": None},
            **_EDITIONS,
        ),
    ),
    new=4,
    known=1,
    units=23,
    restated=18,
)
NO_CHANGES = ChangeList(about=WHAT_IF, rows=(), new=0, known=5, units=0, restated=0)

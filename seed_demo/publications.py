"""Directives and bulletins of the demo fleet: one of each thing that can be wrong with them, and what is in order."""

from __future__ import annotations

from typing import Any

OFFICE = "Skarholm Aviation Office"
MAKER = "Kvitnes Survival"


def tables() -> dict[str, list[dict[str, Any]]]:
    """The rows of the four files."""
    publications: list[dict[str, Any]] = [
        {
            "publication": "QD-2025-021",
            "kind": "directive",
            "issuer": OFFICE,
            "title": "Springs of the inflation valve",
            "effective_on": "2025-11-01",
            "supersedes": "QD-2024-008",
        },
        {
            "publication": "QD-2024-008",
            "kind": "directive",
            "issuer": OFFICE,
            "title": "Inspection of the inflation valve",
            "effective_on": "2024-05-01",
        },
        {
            "publication": "KV-2100-25-02",
            "revision": "A",
            "kind": "bulletin",
            "issuer": MAKER,
            "title": "Longer girt lacing",
            "effective_on": "2024-06-01",
        },
        {
            "publication": "TH-880-A-03",
            "kind": "alert",
            "issuer": "Teistholm Cylinders",
            "title": "Porous castings of the regulator",
            "effective_on": "2026-09-01",
        },
        {
            "publication": "KV-3350-25-07",
            "kind": "bulletin",
            "issuer": MAKER,
            "title": "Wear of the over-wing fabric",
            "effective_on": "2025-02-01",
        },
        {
            "publication": "KV-SL-26-03",
            "kind": "letter",
            "issuer": MAKER,
            "title": "New tools for folding",
            "effective_on": "2026-03-01",
        },
    ]
    valve = {"publication": "QD-2025-021"}
    lacing = {"publication": "KV-2100-25-02", "revision": "A"}
    applicability = [
        {**valve, "part_number": "KV-3300-?", "serial_from": "33201", "serial_to": "33210", "made_from": "2016"},
        {**valve, "part_number": "KV-3300-1", "excluded": True},
        {"publication": "QD-2024-008", "part_number": "KV-3300-*"},
        {**lacing, "part_number": "KV-2100-1", "serial_from": "20100", "serial_to": "20205", "except": "20110; 20140"},
        {"publication": "TH-880-A-03", "part_number": "TH-880-1", "serial_from": "R88940", "serial_to": "R88960"},
        {"publication": "KV-3350-25-07", "part_number": "KV-3350-?L", "serial_from": "L610", "serial_to": "L630"},
    ]
    compliance = [
        {
            **valve,
            "action": "replace springs",
            "comply_by": "2026-10-31",
            "hours_after": 2500 * 60,
            "whichever": "last",
            "closed_by_modification": "SB KV-3300-25-11",
        },
        {"publication": "QD-2024-008", "action": "inspect", "months_after": 12, "repeat_months": 12},
        {
            **lacing,
            "action": "replace lacing",
            "months_after": 24,
            "closed_by_modification": "SB KV-2100-25-02",
        },
        {"publication": "TH-880-A-03", "action": "inspect casting", "days_after": 365},
        {"publication": "KV-3350-25-07", "action": "inspect fabric", "cycles_since_new": 9000, "repeat_cycles": 1500},
    ]
    looked_at = [
        {
            "part_number": "KV-2100-1",
            "serial_number": "20202",
            "modification": "SB KV-2100-25-02",
            "date": "2026-05-04",
            "reference": "stores inspection 26-118",
        }
    ]
    return {
        "publications": publications,
        "applicability": applicability,
        "compliance": compliance,
        "not_embodied": looked_at,
    }

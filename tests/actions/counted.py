"""Two airframes, a unit on each in turn, a limit in a counter: worked example 2 with nothing stated but readings."""

from __future__ import annotations

from typing import Any

from .fleet import Files, Row, unit

PART = "QX900"
# The figures of the example, as landings and as APU hours.
COUNTED = {
    "landings": ("1000", "3000", ("20000", "20750"), ("5040", "5120", "6000")),
    "APU hours": ("1000:00", "3000:00", ("20000:00", "20750:30"), ("5040:00", "5120:15", "6000:00")),
}


def worked_example(counter: str, **more: Any) -> Files:
    """A unit with 1 000 since new, fitted and removed on one airframe and fitted on another; a life of 3 000.

    What was flown is stated too and is far from all this, so that a figure of one in place of the other shows.
    """
    since_new, limit, first, second = COUNTED[counter]
    column = "first_cycles" if counter == "landings" else "first_hours"
    days = (("Q-AAA", "2025-03-01", "2025-06-20"), ("Q-BBB", "2025-11-01", "2025-11-11", "2026-03-01"))
    counted: list[Row] = []
    flown: list[Row] = []
    for (registration, *dates), totals in zip(days, (first, second), strict=True):
        counted += [
            {"registration": registration, "counter": counter, "date": on, "total": total}
            for on, total in zip(dates, totals, strict=True)
        ]
        flown += [
            {"registration": registration, "date": on, "hours_total": f"{400 + n}:00", "cycles_total": 90 + n}
            for n, on in enumerate(dates)
        ]
    kind = "hours" if counter == "APU hours" else "count"
    moves = [
        {"registration": "Q-AAA", "date": "2025-03-02", "installed_part_number": PART, "installed_serial_number": "1"},
        {"registration": "Q-AAA", "date": "2025-06-15", "removed_part_number": PART, "removed_serial_number": "1"},
        {"registration": "Q-BBB", "date": "2025-11-12", "installed_part_number": PART, "installed_serial_number": "1"},
    ]
    return {
        "types": [{"type": "ISL-90"}],
        "positions": [{"type": "ISL-90", "position": "L1", "side": "left"}],
        "airframes": [
            {"registration": r, "constructor_serial": c, "type": "ISL-90", "programme": "TERN"}
            for r, c in (("Q-AAA", "1001"), ("Q-BBB", "1002"))
        ],
        "parts": [{"part_number": PART, "manufacturer": "Auk"}],
        "counters": [{"counter": counter, "unit": kind, "description": "as read on the aircraft"}],
        "requirements": [
            {
                "requirement": "LIFE",
                "part_number": PART,
                "kind": "life_limit",
                "programme": "TERN",
                "edition": "1",
                "reference": "Card 9",
                "counter": counter,
                column: limit,
            }
        ],
        "units": [unit(PART, "1", store="Main", condition="serviceable") | {"as_of": "2025-01-31"}],
        "unit_counters": [{"part_number": PART, "serial_number": "1", "counter": counter, "since_new": since_new}],
        "readings": flown,
        "counter_readings": counted,
        "movements": [{**move, "position": "L1"} for move in moves],
        **more,
    }

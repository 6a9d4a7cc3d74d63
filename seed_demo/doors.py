"""The work at doors of the demo fleet: what must be so before one is released, who may sign, and swaps under a
number, of which one is in order from plan to release."""

from __future__ import annotations

from typing import Any

import reference as ref

Rows = list[dict[str, Any]]

DATA = {ref.SMALL: ("SKR-60 AMM 25-66", "R22"), ref.LARGE: ("LMV-120 AMM 25-66", "R17")}
PIN, HOLD, SEAL, BAR = "inflation pin", "door hold-open pin", "cover seal wire", "girt bar"
ARMING, DOOR, CABIN, LIGHTS = "arming and disarming", "door indication", "cabin indication", "emergency lights"
GAUGE, MARKS = "gauge readable with the cover on", "markings visible"
# Swap, registration, position, day, who plans, performs, inspects and releases, and the reservoir in the unit fitted.
DONE = (
    ("SK-26-014", "Q-SKM", "R2", "2026-08-02", "S-123", "S-123", "S-304", None),
    ("SK-26-019", "Q-SKF", "L1", "2026-10-21", "S-101", "S-210", "S-301", "R41033"),
    ("SK-26-020", "Q-SKM", "L1", "2026-10-28", "S-104", "S-201", "S-302", None),
    ("SK-26-022", "Q-SKE", "R1", "2026-11-18", "S-107", "S-206", "S-301", "R41020"),
)
PLANNER = "S-402"
# When aircraft are on the ground long enough for work in the coming year.
GROUND = ("registration", "from", "until", "station", "reference")
ON_THE_GROUND = (
    ("Q-SKA", "2026-12-04", "2026-12-06", "Skarholm", "visit A-26-31"),
    ("Q-SKB", "2027-03-20", "2027-03-23", "Skarholm", "visit A-27-04"),
    ("Q-SKC", "2027-01-11", "2027-01-12", "Ytrevik", None),
    ("Q-SKC", "2027-05-08", "2027-05-12", "Skarholm", "visit A-27-09"),
    ("Q-SKC", "2027-10-04", "2027-10-08", "Skarholm", "visit C-27-02"),
    ("Q-SKE", "2026-12-14", "2026-12-16", "Skarholm", "visit A-26-33"),
    ("Q-SKG", "2026-12-08", "2026-12-10", "Skarholm", "visit A-26-32"),
    ("Q-SKG", "2027-06-01", "2027-06-04", "Skarholm", "visit A-27-11"),
    ("Q-SKH", "2026-12-29", "2026-12-30", "Ytrevik", None),
    ("Q-SKH", "2027-04-12", "2027-04-16", "Skarholm", "visit A-27-06"),
    ("Q-SKJ", "2026-12-11", "2026-12-13", "Skarholm", "visit A-26-34"),
    ("Q-SKJ", "2027-04-20", "2027-04-24", "Skarholm", "visit A-27-07"),
    ("Q-SKM", "2027-04-05", "2027-04-09", "Skarholm", "visit A-27-05"),
    ("Q-SKM", "2027-05-31", "2027-06-03", "Skarholm", "visit A-27-10"),
)


def tables(movements: Rows) -> dict[str, Rows]:
    """The rows of the files of doors; the movements that carry the swaps out get their numbers."""
    rows: dict[str, Rows] = {
        "release_items": _release_items(),
        "pressures": _pressures(),
        "authorisations": _authorisations(),
        "ground_times": [dict(zip(GROUND, each, strict=True)) for each in ON_THE_GROUND],
        "least_lives": [
            {"operator": ref.OPERATOR, "from": "2026-11-01", "days": 180, "reference": "SKARHOLM planning note 4"}
        ],
        "swap_plans": [],
        "swap_steps": [],
        "position_work": [],
        "gauge_readings": [],
        "swap_signatures": [],
    }
    for done in DONE:
        _swap(rows, movements, *done)
    _begun_and_left(rows, movements)
    _planned(rows)
    rows["position_work"].append(
        {
            "registration": "Q-SKH",
            "position": "L2",
            "category": "retained",
            "item": BAR,
            "outcome": "not_found",
            "date": "2026-11-23",
            "sequence": 10,
            "signed_by": "S-112",
            "reference": "TL7001-0009",
        }
    )
    return rows


def _release_items() -> Rows:
    rows: Rows = []
    for type_name, (reference, revision) in DATA.items():
        stated = {"type": type_name, "reference": reference, "revision": revision}
        # an over-wing exit has no lever to arm
        at_doors = {**stated, "position_kind": "passenger door"}
        rows += [
            {**stated, "category": "device", "item": PIN},
            {**stated, "category": "device", "item": HOLD},
            {**stated, "category": "lock", "item": SEAL},
            {**at_doors, "category": "test", "item": ARMING, "runs": 2, "expects": "both indications each time"},
            {**at_doors, "category": "test", "item": DOOR},
            {**at_doors, "category": "test", "item": CABIN, "expects": "armed and disarmed shown"},
            {**stated, "category": "test", "item": LIGHTS},
            {**stated, "category": "test", "item": GAUGE},
            {**stated, "category": "test", "item": MARKS},
            {**stated, "category": "inspection", "item": "independent inspection"},
        ]
    return rows


def _pressures() -> Rows:
    """Acceptance of the composite reservoir's gauge, invented: the records hold what the part's own data states."""
    points = ((-40, 2050, 2350), (0, 2500, 2800), (21, 2900, 3200), (40, 3080, 3400), (55, 3250, 3600))
    stated = {"part_number": "TH-410-1", "unit": "psi", "reference": "Teistholm data TH-410", "revision": "7"}
    return [
        {**stated, "celsius": celsius * 1000, "minimum": least * 1000, "maximum": most * 1000}
        for celsius, least, most in points
    ]


def _authorisations() -> Rows:
    staff = (
        *((f"S-{number}", "performed", None) for number in (101, 104, 107, 112, 119, 123)),
        *((f"S-{number}", "inspected", None) for number in (123, 201, 206, 210)),
        *((f"S-{number}", "released", end) for number, end in ((301, None), (302, "2026-06-30"), (304, None))),
    )
    return [
        {"staff": who, "role": role, "from": "2023-01-01", "until": until, "reference": "QA register 3"}
        for who, role, until in staff
    ]


def _plan(rows: dict[str, Rows], swap: str, registration: str, position: str, day: str, **more: Any) -> None:
    reference, revision = DATA[ref.LARGE if registration in ("Q-SKJ", "Q-SKM") else ref.SMALL]
    rows["swap_plans"].append(
        {
            "swap": swap,
            "registration": registration,
            "position": position,
            "date": day,
            "planned_by": PLANNER,
            "data_reference": reference,
            "data_revision": revision,
            **more,
        }
    )


def _numbered(movements: Rows, swap: str, registration: str, position: str, day: str) -> dict[str, Any]:
    """The movement that carries the swap out, with its number."""
    (row,) = [
        row
        for row in movements
        if (row["registration"], row["position"], str(row["date"])) == (registration, position, day)
    ]
    row["swap"] = swap
    return row


def _units(row: dict[str, Any]) -> dict[str, Any]:
    return {
        f"{plan}_{name}": row[f"{done}_{name}"]
        for plan, done in (("incoming", "installed"), ("outgoing", "removed"))
        for name in ("part_number", "serial_number")
        if row.get(f"{done}_{name}")
    }


def _work(rows: dict[str, Rows], at: dict[str, Any], by: str, *done: tuple[str, str, str]) -> None:
    """Items of a position in their order; each test has its run."""
    runs: dict[str, int] = {}
    for place, (category, item, outcome) in enumerate(done, start=len(rows["position_work"]) + 1):
        run = None
        if category == "test":
            run = runs[item] = runs.get(item, 0) + 1
        rows["position_work"].append(
            {
                **at,
                "category": category,
                "item": item,
                "outcome": outcome,
                "sequence": place * 10,
                "signed_by": by,
                "run": run,
            }
        )


BEFORE = (("device", PIN, "placed"), ("device", HOLD, "placed"), ("lock", SEAL, "broken"))
AFTER = (
    *(("device", PIN, "removed"), ("device", HOLD, "removed"), ("lock", SEAL, "remade"), ("retained", BAR, "stayed")),
    *(("test", ARMING, "passed"), ("test", ARMING, "passed"), ("test", DOOR, "passed"), ("test", CABIN, "passed")),
    *(("test", LIGHTS, "passed"), ("test", GAUGE, "passed"), ("test", MARKS, "passed")),
)


def _swap(
    rows: dict[str, Rows],
    movements: Rows,
    swap: str,
    registration: str,
    position: str,
    day: str,
    performed: str,
    inspected: str,
    released: str,
    reservoir: str | None,
) -> None:
    """A swap with everything accounted for, but for what the story picks out of it."""
    row = _numbered(movements, swap, registration, position, day)
    row |= {"signed_by": performed, "inspected_by": inspected, "released_by": released}
    _plan(rows, swap, registration, position, day, **_units(row))
    of = {"swap": swap, "date": day}
    at = {**of, "registration": registration, "position": position}
    rows["swap_steps"] += [
        {**of, "step": "checked", "signed_by": performed, "answer": "no objection in these records", "sequence": 1},
        {**of, "step": "begun", "signed_by": performed, "sequence": 2},
    ]
    _work(rows, at, performed, *BEFORE, *AFTER)
    if reservoir is not None:
        low = swap == "SK-26-019"
        rows["gauge_readings"].append(
            {
                **of,
                "part_number": "TH-410-1",
                "serial_number": reservoir,
                "pressure": (2_520 if low else 2_840) * 1000,
                "unit": "psi",
                "celsius": 9_500,
                "seen_by": performed,
                "sequence": 1,
            }
        )
    alone = {"exception": "the second inspector was taken ill during the night"} if inspected == performed else {}
    rows["swap_signatures"] += [
        {**of, "role": "performed", "signed_by": performed, "sequence": 1},
        {**of, "role": "inspected", "signed_by": inspected, "sequence": 2, **alone},
        {**of, "role": "released", "signed_by": released, "sequence": 3, "reference": row["technical_log"]},
    ]


def _begun_and_left(rows: dict[str, Rows], movements: Rows) -> None:
    """The unit was changed, and everything after it is still open."""
    swap, registration, position, day = "SK-26-024", "Q-SKJ", "R2", "2026-11-22"
    row = _numbered(movements, swap, registration, position, day)
    _plan(rows, swap, registration, position, day, **_units(row))
    rows["swap_steps"].append({"swap": swap, "date": day, "step": "begun", "signed_by": "S-123", "sequence": 1})
    at = {"swap": swap, "date": day, "registration": registration, "position": position}
    _work(rows, at, "S-123", *BEFORE, ("device", HOLD, "removed"), ("retained", BAR, "stayed"))


# Swaps that are planned and not done: swap, airframe, position, planned on, by, what goes on and what comes off. Each
# shows what is told of a plan before it goes wrong.
PLANNED = (
    # a pack rigged left is to go on a right door
    ("SK-26-026", "Q-SKA", "R2", "2026-11-24", "2026-12-05", ("KV-2100-3", "20211"), ("KV-2100-3", "20104")),
    # the wide pack goes with nothing at L4, and the unit that was to come off came off for a low gauge
    ("SK-26-021", "Q-SKJ", "R4", "2026-11-17", "2026-12-12", ("KV-3300-4", "33401"), ("KV-3300-1", "33109")),
    # a dash number that the parts data does not name
    ("SK-26-027", "Q-SKE", "L2", "2026-11-24", "2026-12-15", ("KV-2100-9", "29001"), ("KV-2100-3", "20305")),
    # one spare for two doors
    ("SK-26-028", "Q-SKC", "R1", "2026-11-24", "2027-05-10", ("KV-2100-3", "20121"), ("KV-2100-3", "20304")),
    ("SK-26-029", "Q-SKG", "R2", "2026-11-24", "2026-12-09", ("KV-2100-3", "20121"), ("KV-2100-3", "20130")),
)


def _planned(rows: dict[str, Rows]) -> None:
    for swap, registration, position, day, target, goes_on, comes_off in PLANNED:
        _plan(
            rows,
            swap,
            registration,
            position,
            day,
            target=target,
            incoming_part_number=goes_on[0],
            incoming_serial_number=goes_on[1],
            outgoing_part_number=comes_off[0],
            outgoing_serial_number=comes_off[1],
            **({"work_order": "WO-26-0031"} if swap == "SK-26-026" else {}),
        )

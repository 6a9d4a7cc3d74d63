"""What is stated before any unit: types, doors, aircraft, parts, what may go where, and the programme.

Everything here is invented: airline, types, makers, part numbers, references.
"""

from __future__ import annotations

from datetime import date
from typing import Any

Rows = list[dict[str, Any]]

OPERATOR = "Skarholm Airways"
PROGRAMME = "SKARHOLM"
EDITION = "4"
LANDINGS = "landings"
SMALL, LARGE = "SKR-60", "LMV-120"
PACKS, CYLINDERS, CELLS = "Kvitnes Survival", "Teistholm Cylinders", "Lundey Cells"
SHOP, OTHER_SHOP = "Storm Harbour Components", "Outer Reef Overhaul"
TESTERS, STRANGERS = "Grunnvik Cylinder Test", "Ytri Slide Service"
MAIN_STORE, LINE_STORE = "Skarholm main store", "Ytrevik line store"
MODIFICATION = "MOD-25-114"
SMALL_DOORS = ("L1", "R1", "L2", "R2")
LARGE_DOORS = ("L1", "R1", "L2", "R2", "L3", "R3", "L4", "R4")
PACK_DOORS = ("L1", "R1", "L2", "R2", "L4", "R4")  # of the large type: the third pair is over the wing

# registration today, constructor's serial, type, made, base
AIRFRAMES = (
    ("Q-SKA", "6001", SMALL, "2014-03", "Skarholm"),
    ("Q-SKB", "6002", SMALL, "2014-07", "Skarholm"),
    ("Q-SKC", "6003", SMALL, "2015-02", "Skarholm"),
    ("Q-SKD", "6004", SMALL, "2015-09", "Ytrevik"),
    ("Q-SKE", "6005", SMALL, "2016-05", "Ytrevik"),
    ("Q-SKF", "6006", SMALL, "2018-11", "Skarholm"),
    ("Q-SKG", "6007", SMALL, "2019-04", "Ytrevik"),
    ("Q-SKH", "7001", LARGE, "2013-06", "Skarholm"),
    ("Q-SKJ", "7002", LARGE, "2013-11", "Skarholm"),
    ("Q-SKK", "7003", LARGE, "2014-10", "Skarholm"),
    ("Q-SKL", "7004", LARGE, "2017-08", "Skarholm"),
    ("Q-SKM", "7005", LARGE, "2018-01", "Skarholm"),
)
# The third aircraft of the small type bore another registration until the end of March 2025.
OLD_REGISTRATION, RENAMED, RENAMED_ON = "Q-TRN", "6003", "2025-04-01"
PARKED = "Q-SKG"
# Two small aircraft with one door each: one flies under the airline's programme, the leased one under its owner's.
TINY, TINY_PACK, TINY_ALTERNATE, TINY_FROM = "HVN-20", "KV-1800-1", "KV-1800-2", "2026-07-01"
OWN, LEASED = "Q-SKP", "Q-SKN"
# Four small aircraft of another length, with one door that must hold a slide: what happens beside swaps.
FOUR_PACK = "KV-1800-4"
FOUR_TYPE, FOUR = "HVN-24", (("Q-SKR", "8003"), ("Q-SKS", "8004"), ("Q-SKT", "8005"), ("Q-SKU", "8006"))
LEASED_PROGRAMME, LEASED_EDITION = "FUGLAVIK", "2"
# The authorities are invented as all else; the forms are public ones, so that their rules can be shown.
AUTHORITY, OTHER_AUTHORITY = "Skarholm Aviation Office", "Eyland Air Authority"
PRODUCTION_FORM, OTHER_FORM = "EASA Form 1-21 Issue 2", "FAA Form 8130-3 (02-14)"


def form_of(day: date) -> str:
    """The maintenance form in use on the day."""
    return f"EASA Form 1 - {'MF/CAO/145 Issue 3' if day >= date(2021, 1, 1) else 'MF/145 Issue 2'}"


def side_of(position: str) -> str:
    return "left" if position.startswith("L") else "right"


def doors_of(type_name: str) -> tuple[str, ...]:
    return SMALL_DOORS if type_name == SMALL else LARGE_DOORS


def tables() -> dict[str, Rows]:
    """The reference files, by name, as values of the list of columns (hours in minutes, masses in grams)."""
    return {
        "types": [
            {"type": SMALL, "name": "Skerry 60"},
            {"type": LARGE, "name": "Lomvi 120"},
            {"type": TINY, "name": "Havern 20"},
            {"type": FOUR_TYPE, "name": "Havern 24"},
        ],
        "positions": [*_positions(), _tiny_door(), {**_tiny_door(), "type": FOUR_TYPE, "required": True}],
        "airframes": [*_airframes(), *_tiny_airframes()],
        "registrations": [{"constructor_serial": RENAMED, "registration": "Q-SKC", "from": RENAMED_ON}],
        "modifications": [
            {"registration": OLD_REGISTRATION, "modification": MODIFICATION, "date": "2022-05-19"},
            {"registration": "Q-SKF", "modification": MODIFICATION, "date": "2021-10-04"},
        ],
        "parts": [
            *_parts(),
            _tiny_part(),
            {**_tiny_part(), "part_number": TINY_ALTERNATE},
            {**_tiny_part(), "part_number": FOUR_PACK},
        ],
        "slots": _slots(),
        "eligibility": [
            *_eligibility(),
            {"type": TINY, "position": "L1", "part_number": TINY_PACK, "reference": "HVN-20 parts data 25-66-01"},
            {"type": FOUR_TYPE, "position": "L1", "part_number": FOUR_PACK, "reference": "HVN-24 parts data 25-66-01"},
        ],
        "alternates": _alternates(),
        "intermix": _intermix(),
        "counters": [{"counter": LANDINGS, "unit": "count", "description": "all landings, training among them"}],
        "requirements": [*_requirements(), *_tiny_requirements()],
        "bands": [
            {
                "requirement": "OVH",
                "part_number": "KV-2100-1",
                "programme": PROGRAMME,
                "edition": EDITION,
                "from_age_months": 180,
                "repeat_months": 12,
                "band_rule": "cap",
            }
        ],
        "organisations": _organisations(),
        "approvals": _approvals(),
        "utilisation": [
            {
                "registration": "Q-SKA",
                "from": "2026-12-01",
                "to": "2027-03-31",
                "hours_per_day": 330,
                "cycles_per_day": 6500,
            },
            {
                "registration": "Q-SKH",
                "from": "2026-12-15",
                "to": "2027-01-31",
                "hours_per_day": 690,
                "cycles_per_day": 5250,
            },
        ],
    }


def _organisations() -> Rows:
    return [
        {"organisation": SHOP, "name": "Storm Harbour Components Limited", "country": "Skarholm"},
        {"organisation": OTHER_SHOP, "name": "Outer Reef Overhaul Incorporated", "country": "Eyland"},
        {"organisation": PACKS, "country": "Skarholm"},
        {"organisation": CYLINDERS, "country": "Skarholm"},
        {"organisation": CELLS, "country": "Skarholm"},
        {"organisation": TESTERS, "country": "Skarholm"},
    ]


def _approvals() -> Rows:
    """Who may sign under what, and when; the testers' ended."""
    rows = [
        (SHOP, "Q.145.0021", AUTHORITY, "C6, C15", "2012-04-01", None),
        (SHOP, "QEY145S", OTHER_AUTHORITY, "accessories", "2016-02-01", None),
        (OTHER_SHOP, "Q.145.0034", OTHER_AUTHORITY, "accessories", "2010-01-01", None),
        (PACKS, "Q.21G.0008", AUTHORITY, None, "2008-01-01", None),
        (CYLINDERS, "Q.21G.0011", AUTHORITY, None, "2008-01-01", None),
        (CELLS, "Q.21G.0015", AUTHORITY, None, "2009-01-01", None),
        (TESTERS, "Q.145.0077", AUTHORITY, "C15", "2014-01-01", "2022-12-31"),
    ]
    names = ("organisation", "approval", "authority", "scope", "from", "until")
    return [dict(zip(names, row, strict=True)) for row in rows]


def _tiny_door() -> dict[str, Any]:
    return {
        "type": TINY,
        "position": "L1",
        "side": "left",
        "harness": "left",
        "kind": "passenger door",
        "required": False,
        "retained": "girt bar",
    }


def _tiny_airframes() -> Rows:
    return [
        {
            "registration": registration,
            "constructor_serial": serial,
            "type": of_type,
            "manufactured": "2012-05",
            "operator": OPERATOR,
            "station": "Ytrevik",
            "programme": programme,
            "from": TINY_FROM,
            "status": "in_service",
        }
        for registration, serial, programme, of_type in (
            (OWN, "8001", PROGRAMME, TINY),
            (LEASED, "8002", LEASED_PROGRAMME, TINY),
            *((registration, serial, PROGRAMME, FOUR_TYPE) for registration, serial in FOUR),
        )
    ]


def _tiny_part() -> dict[str, Any]:
    return {
        "part_number": TINY_PACK,
        "manufacturer": PACKS,
        "description": "Slide pack, short, sprung",
        "kind": "slide pack",
        "rig": "either",
        "mass_kg": 11_400,
        "cage": "Q0KV1",
    }


def _tiny_requirements() -> Rows:
    """The airline's programme asks for an overhaul every 36 months and a test; the owner's for one every 48 alone."""
    overhaul = _rule(
        "OVH", TINY_PACK, "overhaul", "manufacturer", "Kvitnes 25-66-11 chapter 5", start="release", repeat_months=36
    )
    test = _rule(
        "FNT",
        TINY_PACK,
        "functional_test",
        "programme",
        "SKARHOLM programme 25-66-F",
        start="each_installation",
        repeat_months=24,
        done_at="aircraft",
    )
    leased = {"programme": LEASED_PROGRAMME, "edition": LEASED_EDITION, "reference": "FUGLAVIK programme 25-66-1"}
    alternate = {"part_number": TINY_ALTERNATE}
    four = {"part_number": FOUR_PACK}
    ours = [overhaul, test, {**overhaul, **alternate}, {**test, **alternate}, {**overhaul, **four}, {**test, **four}]
    return [*ours, {**overhaul, **leased, "source": "programme", "repeat_months": 48}]


def _positions() -> Rows:
    rows: Rows = []
    for type_name in (SMALL, LARGE):
        for position in doors_of(type_name):
            over_wing = type_name == LARGE and position[1] == "3"
            rows.append(
                {
                    "type": type_name,
                    "position": position,
                    "side": side_of(position),
                    "harness": side_of(position),
                    "pair": position[1],
                    "kind": "over-wing exit" if over_wing else "passenger door",
                    "required": True,
                    "retained": None if over_wing else "girt bar",
                }
            )
    return rows


def _airframes() -> Rows:
    rows: Rows = []
    for registration, serial, type_name, made, station in AIRFRAMES:
        renamed = serial == RENAMED
        rows.append(
            {
                "registration": OLD_REGISTRATION if renamed else registration,
                "constructor_serial": serial,
                "type": type_name,
                "manufactured": made,
                "operator": OPERATOR,
                "station": station,
                "programme": PROGRAMME,
                "from": f"{made}-20",
                "until": RENAMED_ON if renamed else None,
                "status": "parked" if registration == PARKED else "in_service",
            }
        )
    return rows


# part number, description, kind, rig, grams, intermix family
_PACK_PARTS = (
    ("KV-2100-1", "Slide pack, single lane", "either", 24_600, "KV2100 short"),
    ("KV-2100-3", "Slide pack, single lane, lit", "either", 25_100, "KV2100 short"),
    ("KV-2100-5", "Slide pack, single lane, lit, long", "either", 26_300, "KV2100 long"),
    ("KV-2100-9", "Slide pack, single lane, lit, light fabric", "either", 22_900, "KV2100 light"),
    ("KV-3300-1", "Slide-raft pack, dual lane", "either", 48_200, "KV3300"),
    ("KV-3300-2", "Slide-raft pack, dual lane, second source fabric", "either", 48_000, "KV3300"),
    ("KV-3300-4", "Slide-raft pack, dual lane, wide", "either", 51_500, "KV3300 wide"),
    ("KV-3350-1L", "Over-wing slide, left", "left", 31_000, "KV3350 early"),
    ("KV-3350-1R", "Over-wing slide, right", "right", 31_000, "KV3350 early"),
    ("KV-3350-3L", "Over-wing slide, left, stiffened", "left", 31_800, "KV3350 late"),
    ("KV-3350-3R", "Over-wing slide, right, stiffened", "right", 31_800, "KV3350 late"),
)


def _parts() -> Rows:
    rows: Rows = [
        {
            "part_number": number,
            "manufacturer": PACKS,
            "description": description,
            "kind": "slide pack",
            "rig": rig,
            "mass_kg": grams,
            "intermix_family": family,
            "cage": "Q0KV1",
        }
        for number, description, rig, grams, family in _PACK_PARTS
    ]
    for number, maker, description, kind, grams, cage in (
        ("TH-410-1", CYLINDERS, "Reservoir, composite", "reservoir", 6_400, "Q0TH7"),
        ("TH-410-2", CYLINDERS, "Reservoir, steel", "reservoir", 8_900, "Q0TH7"),
        ("TH-880-1", CYLINDERS, "Reservoir, composite, large", "reservoir", 11_200, "Q0TH7"),
        ("LC-12-1", CELLS, "Battery for slide lights", "battery", 450, "Q0LC3"),
        ("LC-20-1", CELLS, "Battery for slide lights, large", "battery", 820, "Q0LC3"),
    ):
        rows.append(
            {
                "part_number": number,
                "manufacturer": maker,
                "description": description,
                "kind": kind,
                "rig": "none",
                "mass_kg": grams,
                "cage": cage,
            }
        )
    return rows


SMALL_PACKS = ("KV-2100-1", "KV-2100-3", "KV-2100-5")
LARGE_PACKS = ("KV-3300-1", "KV-3300-2", "KV-3300-4")
WING_PACKS = ("KV-3350-1L", "KV-3350-1R", "KV-3350-3L", "KV-3350-3R")


def _slots() -> Rows:
    rows: Rows = []
    for part in SMALL_PACKS:
        for child in ("TH-410-1", "TH-410-2"):
            rows.append({"part_number": part, "slot": "reservoir", "child_part_number": child, "required": True})
        if part != "KV-2100-1":
            rows.append({"part_number": part, "slot": "battery", "child_part_number": "LC-12-1", "required": True})
    for part in LARGE_PACKS:
        rows.append({"part_number": part, "slot": "reservoir", "child_part_number": "TH-880-1", "required": True})
        rows.append({"part_number": part, "slot": "battery", "child_part_number": "LC-20-1", "required": True})
    for part in WING_PACKS:
        rows.append({"part_number": part, "slot": "reservoir", "child_part_number": "TH-880-1", "required": True})
    return rows


def _eligibility() -> Rows:
    rows: Rows = []
    for position in SMALL_DOORS:
        rows.append(
            {"type": SMALL, "position": position, "part_number": "KV-2100-1", "reference": "SKR-60 parts data 25-66-01"}
        )
        rows.append(
            {
                "type": SMALL,
                "position": position,
                "part_number": "KV-2100-5",
                "serial_from": "6003",
                "requires_modification": MODIFICATION,
                "effective_from": "2021-01-01",
                "reference": "SKR-60 parts data 25-66-01A",
            }
        )
    for position in PACK_DOORS:
        for part in ("KV-3300-1", "KV-3300-4"):
            rows.append(
                {
                    "type": LARGE,
                    "position": position,
                    "part_number": part,
                    "reference": "LMV-120 parts data 25-66-10",
                }
            )
    for position in ("L3", "R3"):
        hand = position[0]
        rows.append(
            {
                "type": LARGE,
                "position": position,
                "part_number": f"KV-3350-1{hand}",
                "serial_from": "7001",
                "serial_to": "7003",
                "reference": "LMV-120 parts data 25-66-14",
            }
        )
        rows.append(
            {
                "type": LARGE,
                "position": position,
                "part_number": f"KV-3350-3{hand}",
                "serial_from": "7004",
                "reference": "LMV-120 parts data 25-66-14",
            }
        )
    return rows


def _alternates() -> Rows:
    return [
        {
            "part_number": "KV-2100-1",
            "alternate": "KV-2100-3",
            "direction": "supersedes",
            "reference": "Kvitnes letter 2100-07",
        },
        {
            "part_number": "KV-2100-3",
            "alternate": "KV-2100-5",
            "direction": "supersedes",
            "reference": "Kvitnes letter 2100-11",
        },
        {
            "part_number": "KV-3300-1",
            "alternate": "KV-3300-2",
            "direction": "one-way",
            "reference": "Kvitnes letter 3300-02",
        },
        {
            "part_number": "TH-410-1",
            "alternate": "TH-410-2",
            "direction": "two-way",
            "conditions": "The pack's weight placard is changed",
            "reference": "Kvitnes letter 2100-09",
        },
        # nobody has stated by which document
        {"part_number": TINY_PACK, "alternate": TINY_ALTERNATE, "direction": "one-way"},
    ]


def _intermix() -> Rows:
    return [
        {
            "family": "KV3350 early",
            "other_family": "KV3350 late",
            "permitted": True,
            "reference": "LMV-120 parts data 25-66-14 note 2",
        },
        {
            "family": "KV3300",
            "other_family": "KV3300 wide",
            "permitted": False,
            "reference": "LMV-120 parts data 25-66-10 note 5",
        },
    ]


def _rule(requirement: str, part: str, kind: str, source: str, reference: str, **more: Any) -> dict[str, Any]:
    return {
        "requirement": requirement,
        "part_number": part,
        "kind": kind,
        "source": source,
        "programme": PROGRAMME,
        "edition": EDITION,
        "effective_from": "2020-01-01",
        "reference": reference,
        **more,
    }


def _requirements() -> Rows:
    rows: Rows = []
    for part in ("KV-2100-1", "KV-2100-3"):
        rows.append(
            _rule(
                "OVH",
                part,
                "overhaul",
                "manufacturer",
                "Kvitnes 25-66-21 chapter 5",
                start="installation",
                repeat_months=36,
                shelf_allowance_months=12,
            )
        )
    rows.append(
        _rule(
            "OVH",
            "KV-2100-5",
            "overhaul",
            "manufacturer",
            "Kvitnes 25-66-25 chapter 5",
            start="installation",
            repeat_months=48,
            repeat_cycles=12_000,
            shelf_allowance_months=12,
        )
    )
    for part in (*SMALL_PACKS, *LARGE_PACKS):
        rows.append(
            _rule(
                "FNT",
                part,
                "functional_test",
                "programme",
                "SKARHOLM programme 25-66-F",
                start="each_installation",
                repeat_months=24,
                done_at="aircraft",
            )
        )
    for part in LARGE_PACKS:
        rows.append(
            _rule(
                "OVH",
                part,
                "overhaul",
                "manufacturer",
                "Kvitnes 25-66-33 chapter 5",
                start="release",
                repeat_months=60,
                repeat_hours=17_500 * 60,
                variation_allowed=True,
                resets="STO" if part == "KV-3300-4" else None,
            )
        )
        rows.append(
            _rule(
                "SFT",
                part,
                "soft_life",
                "operator",
                "SKARHOLM reliability note 12",
                start="manufacture",
                first_months=152,
            )
        )
    rows.append(
        _rule(
            "STO",
            "KV-3300-4",
            "storage",
            "manufacturer",
            "Kvitnes 25-66-33 chapter 15",
            start="release",
            repeat_months=24,
            done_at="shop",
        )
    )
    for part in WING_PACKS:
        rows.extend(_wing_rules(part))
    rows.append(
        _rule(
            "LDG",
            "KV-3350-3L",
            "functional_test",
            "operator",
            "SKARHOLM programme 25-66-L",
            start="release",
            repeat_cycles=5_600,
            counter=LANDINGS,
            done_at="aircraft",
        )
    )
    rows.extend(_child_rules())
    return rows


def _wing_rules(part: str) -> Rows:
    return [
        _rule(
            "OVH",
            part,
            "overhaul",
            "manufacturer",
            "Kvitnes 25-66-35 chapter 5",
            start="release",
            repeat_months=60,
            resets="INS;VIS",
        ),
        _rule(
            "INS",
            part,
            "inspection",
            "programme",
            "SKARHOLM programme 25-66-I",
            start="release",
            repeat_hours=4_000 * 60,
            repeat_cycles=2_500,
            done_at="aircraft",
            anchor="due",
            window_early_hours=40 * 60,
            window_late_hours=20 * 60,
            variation_allowed=True,
        ),
        _rule(
            "VIS",
            part,
            "inspection",
            "operator",
            "SKARHOLM programme 25-66-V",
            start="installation",
            repeat_months=24,
            repeat_cycles=1_500,
            whichever="last",
            done_at="aircraft",
        ),
        _rule(
            "LIM",
            part,
            "life_limit",
            "airworthiness_limitation",
            "LMV-120 limitations 25-1",
            start="manufacture",
            first_months=240,
            first_cycles=36_000,
        ),
    ]


def _child_rules() -> Rows:
    rows: Rows = []
    for part, months, more in (
        ("TH-410-1", 60, {}),
        ("TH-410-2", 36, {"at_due": "no-refill"}),
        ("TH-880-1", 60, {}),
    ):
        rows.append(
            _rule(
                "HST",
                part,
                "requalification",
                "dangerous_goods",
                f"Teistholm {part} sheet 2",
                start="manufacture",
                repeat_months=months,
                month_rule="last",
                **more,
            )
        )
        life: dict[str, Any] = {"first_months": 288 if part == "TH-410-2" else 180}
        if part == "TH-410-2":
            life |= {"first_operations": 4_380, "operation": "filling"}
        rows.append(
            _rule(
                "LIM", part, "life_limit", "dangerous_goods", f"Teistholm {part} sheet 3", start="manufacture", **life
            )
        )
    rows.append(
        _rule(
            "RPL",
            "LC-12-1",
            "replacement",
            "manufacturer",
            "Lundey LC-12 sheet 1",
            start="first_installation",
            first_months=60,
            shelf_allowance_months=12,
        )
    )
    rows.append(
        {
            "requirement": "CND",
            "part_number": "LC-20-1",
            "kind": "on_condition",
            "source": "manufacturer",
            "reference": "Lundey LC-20 sheet 1: replaced when the lights fail their test",
        }
    )
    return rows

"""A month of invented paper for the demo fleet, and how some of it was wrong at first and put right.

Each paper is a row of a file. `Wrong` holds the row as it was recorded, and how it is put right: by `ledger correct`,
by `ledger withdraw` and the right row, together with others by `ledger mend`, by `import --replace`, or by
`identity correct`. The units are those of the demo on the evening of 2026-11-24.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tests.actions.fleet import Row

SEED = Path(__file__).parents[2] / "seed_demo"
FIRST, DAYS = date(2026, 11, 25), 30
LAST = FIRST + timedelta(days=DAYS - 1)
# Q-SKE brought no hours for three weeks, and brings them now.
FLOWN = ("Q-SKA", "Q-SKB", "Q-SKC", "Q-SKD", "Q-SKE", "Q-SKF", "Q-SKH", "Q-SKJ", "Q-SKK", "Q-SKL", "Q-SKM")
REISSUED = "Q-SKB"  # its month of hours was wrong
PACK, RAFT, BOTTLE = "KV-2100-3", "KV-3300-1", "TH-410-1"
SHOP, REEF = "Storm Harbour Components", "Outer Reef Overhaul"
BY_CORRECTION, BY_WITHDRAWAL, TOGETHER, REPLACED, BY_IDENTITY = "correct", "withdraw", "mend", "replace", "identity"


@dataclass(frozen=True, slots=True)
class Wrong:
    """What was recorded at first, and how it is put right; `changes` as `ledger correct` takes them.

    `never`: what was recorded never happened, and no right row follows.
    """

    how: str
    row: Row
    changes: dict[str, Any] = field(default_factory=dict)
    never: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """A row of a file. `by_swap`: recorded by `swap record` and not from a file."""

    file: str
    row: Row
    wrong: Wrong | None = None
    by_swap: bool = False


def named(serial: str, part: str) -> dict[str, str]:
    """A unit as a correction names it."""
    return {"part_number": part, "serial_number": serial}


def _moved(
    day: str, registration: str, position: str, *, off: str | None = None, fit: str | None = None, **more: Any
) -> Row:
    """A movement in December, or in November with a full date; units as `PART SERIAL`."""
    row: Row = {"date": _day(day), "registration": registration, "position": position, **more}
    for prefix, unit in (("removed", off), ("installed", fit)):
        if unit is not None:
            row[f"{prefix}_part_number"], row[f"{prefix}_serial_number"] = unit.split()
    if off is not None:
        row = {"removed_to": "store", "removed_to_name": "Skarholm main store", "removal_kind": "unscheduled"} | row
    return row | {"technical_log": f"TL-{registration}-{day}", "signed_by": "S-101", "released_by": "S-301"}


def _sent(day: str, unit: str, to: str, **more: Any) -> Row:
    part, serial = unit.split()
    return {"date": _day(day), "part_number": part, "serial_number": serial, "to": to, "signed_by": "S-402", **more}


def _done(unit: str, requirement: str, day: str, **more: Any) -> Row:
    part, serial = unit.split()
    return {"part_number": part, "serial_number": serial, "requirement": requirement, "date": _day(day), **more}


def _paper(number: str, organisation: str, unit: str, day: str, status: str, **more: Any) -> Row:
    part, serial = unit.split()
    row = {"tracking_number": number, "organisation": organisation, "part_number": part, "serial_number": serial}
    return {**row, "status": status, "date": _day(day), "side": "maintenance", "item": "1", **more}


def _day(text: str) -> str:
    """`03` is a day of December; all else is left as it is."""
    return f"2026-12-{text}" if len(text) == 2 else text


# --- hours -----------------------------------------------------------------------------------------------------------


def totals() -> dict[str, dict[str, tuple[int, int]]]:
    """Minutes and cycles by registration and day: of the whole month, and from the last day the demo knows."""
    last: dict[str, tuple[date, int, int]] = {}
    with (SEED / "readings.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            last[row["registration"]] = (
                date.fromisoformat(row["date"]),
                _minutes(row["hours_total"]),
                int(row["cycles_total"]),
            )
    found: dict[str, dict[str, tuple[int, int]]] = {}
    for place, registration in enumerate(FLOWN):
        day, minutes, cycles = last[registration]
        held = found[registration] = {day.isoformat(): (minutes, cycles)}
        while day < LAST:
            day += timedelta(days=1)
            number = day.toordinal()
            minutes += 330 + (number * 37 + place * 91) % 150
            cycles += 4 + (number + place) % 3
            held[day.isoformat()] = (minutes, cycles)
    return found


def _minutes(text: str) -> int:
    hours, rest = text.split(":")
    return int(hours) * 60 + int(rest)


def hours(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"


def _stated(registration: str, day: str, *, short_by: int = 0) -> Row:
    """The totals of a movement in the night before the day's flying."""
    before = (date.fromisoformat(_day(day)) - timedelta(days=1)).isoformat()
    minutes, cycles = totals()[registration][before]
    return {"hours_total": hours(minutes - short_by), "cycles_total": cycles}


def _readings() -> Iterator[Paper]:
    """Every day of every airframe; those of one airframe were all an hour short at first, and re-issued."""
    for registration, held in totals().items():
        for day, (minutes, cycles) in list(held.items())[1:]:
            row = {"registration": registration, "date": day, "hours_total": hours(minutes), "cycles_total": cycles}
            short = Wrong(REPLACED, row | {"hours_total": hours(minutes - SHORT)})
            yield Paper("readings", row, short if registration == REISSUED else None)
    for number, day in enumerate(("2026-11-29", "06", "13", "20")):
        row = {"registration": "Q-SKM", "counter": "landings", "date": _day(day), "total": 13_410 + 31 * number}
        low = Wrong(REPLACED, row | {"total": 13_410 + 31 * number - 9})
        yield Paper("counter_readings", row, low if number == 2 else None)


SHORT = 60  # minutes by which the month was wrong


# --- everything else --------------------------------------------------------------------------------------------------


def _movements() -> list[Paper]:
    crossed = _moved("08", "Q-SKD", "L1", off=f"{PACK} 20141", fit=f"{PACK} 20306", harness="left")
    late = _moved("10", "Q-SKA", "L2", off=f"{PACK} 20115", fit=f"{PACK} 20210", harness="left", removal_kind="access")
    short = _moved("03", "Q-SKB", "R1", off=f"{PACK} 20107", fit=f"{PACK} 20121", removed_condition="serviceable")
    leased = _moved("18", "Q-SKE", "R2", off=f"{PACK} 20120", removal_kind="access", removed_condition="serviceable")
    return [
        Paper(
            "movements",
            _moved("2026-11-25", "Q-SKA", "R2", off=f"{PACK} 20104", fit=f"{PACK} 20301", harness="right")
            | {"removal_kind": "scheduled", **_stated("Q-SKA", "2026-11-25")},
            by_swap=True,
        ),
        Paper("movements", _moved("2026-11-27", "Q-SKM", "L1", off=f"{RAFT} 33303", fit=f"{RAFT} 33211")),
        Paper("movements", _moved("2026-11-28", "Q-SKJ", "R4", fit=f"{RAFT} 33130", harness="right"), by_swap=True),
        Paper("movements", _moved("01", "Q-SKL", "L3", off="KV-3350-1L L504", defect="lanyard frayed")),
        Paper("movements", _moved("02", "Q-SKL", "R3", off="KV-3350-3R R604", fit="KV-3350-3R R621")),
        Paper(
            "movements",
            short | _stated("Q-SKB", "03"),
            Wrong(REPLACED, short | _stated("Q-SKB", "03", short_by=SHORT)),
        ),
        Paper("movements", _moved("05", "Q-SKB", "R1", off=f"{PACK} 20121", fit=f"{PACK} 20107")),
        Paper(
            "movements",
            crossed,
            Wrong(
                TOGETHER, crossed | {"installed_serial_number": "20211"}, {"installed": named("20306", PACK)}
            ),  # the other spare of the same shelf
        ),
        Paper("movements", late, Wrong(BY_CORRECTION, late | {"date": "2026-12-09"}, {"moved_on": "2026-12-10"})),
        # a swap whose page came late: whoever was found there the day after displaced the unit fitted here
        Paper("movements", _moved("11", "Q-SKH", "L1", off=f"{RAFT} 33105", fit=f"{RAFT} 33123", harness="left")),
        Paper("movements", _moved("12", "Q-SKH", "L1", off=f"{RAFT} 33218", found="yes")),
        Paper("movements", _moved("13", "Q-SKH", "L1", fit=f"{RAFT} 33214", harness="left")),
        Paper("movements", _moved("15", "Q-SKK", "L1", off=f"{RAFT} 33114", removal_kind="robbery"), by_swap=True),
        Paper("movements", _moved("16", "Q-SKK", "L1", fit=f"{RAFT} 33303", **_stated("Q-SKK", "16"))),
        Paper(
            "movements",
            leased,
            Wrong(
                BY_CORRECTION,
                leased | {"removal_kind": "scheduled", "removed_condition": "unserviceable"},
                {"removal_kind": "access", "removed_condition": "serviceable"},
            ),
        ),
        Paper("movements", _moved("19", "Q-SKE", "R2", fit=f"{PACK} 20120", harness="right", sequence=20)),
    ]


def _transfers() -> list[Paper]:
    scrapped = _sent("17", "LC-12-1 B12066", "scrap", reference="life ended")
    return [
        Paper("transfers", _sent("2026-11-26", f"{PACK} 20104", "shop", organisation=SHOP, order="RO-0050")),
        Paper("transfers", _sent("2026-11-30", f"{RAFT} 33303", "shop", organisation=REEF, order="RO-0051")),
        Paper("transfers", _sent("07", f"{RAFT} 33109", "shop", organisation=SHOP, expected_back="2027-02-01")),
        Paper("transfers", _sent("11", f"{PACK} 20115", "shop", organisation=SHOP)),
        Paper(
            "transfers",
            _sent("13", f"{PACK} 20104", "store", store="Skarholm main store", bin="A-07", condition="serviceable")
            | {"harness": "left", "certificate": "SHC-26-0101", "certificate_organisation": SHOP},
        ),
        Paper("transfers", _sent("14", f"{RAFT} 33105", "store", store="Skarholm main store")),
        Paper("transfers", _sent("14", f"{RAFT} 33303", "store", store="Ytrevik line store", condition="serviceable")),
        Paper(
            "transfers",
            scrapped,
            Wrong(TOGETHER, scrapped | {"serial_number": "B12067"}, {"unit": named("B12066", "LC-12-1")}),
        ),
        Paper(
            "transfers",
            _sent("19", f"{BOTTLE} R41077", "parent", parent_part_number=PACK, parent_serial_number="20120")
            | {"slot": "reservoir", "condition": "serviceable", "sequence": 10},
        ),
        Paper("transfers", _sent("21", f"{RAFT} 33218", "store", store="Skarholm main store", hold="found, not asked")),
        Paper("transfers", _sent("22", f"{BOTTLE} R41005", "store", store="Skarholm main store")),
        Paper("transfers", _sent("23", f"{BOTTLE} R41001", "shop", organisation=REEF)),
        Paper(
            "transfers",
            {},
            Wrong(BY_WITHDRAWAL, _sent("06", f"{PACK} 20209", "loan", organisation="Fuglavik Air"), never=True),
        ),
    ]


def _papers() -> list[Paper]:
    """Releases, work, fillings, an extension, a plate read again, a modification and a reservoir received."""
    received = {"part_number": BOTTLE, "serial_number": "R41077", "manufactured": "2026-10", "as_of": "2026-11-30"}
    received |= {"store": "Skarholm main store", "condition": "serviceable", "life_quality": "documented"}
    overhauled = _paper("SHC-26-0101", SHOP, f"{PACK} 20104", "12", "Overhauled")
    tested = _paper("ORO-26-0102", REEF, f"{RAFT} 33303", "10", "Inspected/Tested")
    filling = {"part_number": "TH-410-2", "serial_number": "R42002", "date": "2026-12-05", "operation": "filling"}
    extended = {"part_number": RAFT, "serial_number": "33202", "requirement": "OVH", "until": "2027-03-10"}
    extended |= {"approved_on": "2026-12-03", "approved_by": "S-501", "reference": "SKARHOLM variation 26-08"}
    plate = {"part_number": "KV-3350-1L", "serial_number": "L620", "date": "2026-12-02", "seen_by": "S-402"}
    plate |= {"plate_part_number": "KV-3350-1L", "plate_serial_number": "L620", "reference": "read again"}
    tried = _done(f"{PACK} 20206", "FNT", "16", date_basis="log")
    mark = _done(f"{BOTTLE} R41005", "HST", "2026-12", date_basis="mark")
    modified = {"part_number": "KV-2100-1", "serial_number": "20202", "modification": "SB KV-2100-25-02"}
    modified |= {"date": "2026-12-09", "new_part_number": PACK, "reference": "Kvitnes bulletin 2100-25-02"}
    return [
        Paper(
            "units",
            received,
            Wrong(BY_IDENTITY, received | {"serial_number": "R41177"}, {"serial_number": "R41077"}),
        ),
        # filed before the unit was known, or while it was known as another, and against it afterwards
        Paper("certificates", _paper("THC-26-0009", "Teistholm Cylinders", f"{BOTTLE} R41077", "2026-11-20", "New")),
        Paper(
            "certificates",
            overhauled,
            Wrong(
                BY_CORRECTION,
                overhauled | {"serial_number": "20140"},
                {"serial_number": "20104", "unit": named("20104", PACK)},
            ),
        ),
        Paper("certificates", tested, Wrong(BY_WITHDRAWAL, tested | {"date": "2026-12-11"})),
        Paper("certificates", _paper("SHC-26-0104", SHOP, f"{BOTTLE} R41005", "20", "Inspected/Tested")),
        Paper(
            "accomplishments",
            _done(f"{PACK} 20104", "OVH", "12", certificate="SHC-26-0101", certificate_organisation=SHOP)
            | {"date_basis": "release"},
        ),
        Paper(
            "accomplishments",
            tried,
            Wrong(TOGETHER, tried | {"serial_number": "20118"}, {"unit": named("20206", PACK)}),
        ),
        Paper("accomplishments", mark, Wrong(BY_CORRECTION, mark | {"date": "2026-11"}, {"done_on": "2026-12"})),
        Paper("accomplishments", _done("KV-3350-1R R602", "VIS", "10", date_basis="log")),
        Paper("accomplishments", _done("KV-3350-1L L601", "INS", "11", date_basis="log")),
        Paper("accomplishments", _done(f"{BOTTLE} R41077", "HST", "2026-10", date_basis="mark")),
        Paper(
            "accomplishments",
            {},
            Wrong(BY_WITHDRAWAL, _done(f"{RAFT} 33204", "OVH", "01", date_basis="release"), never=True),
        ),
        Paper(
            "operations",
            filling | {"count": 1},
            Wrong(BY_CORRECTION, filling | {"count": 2}, {"count": 1}),
        ),
        Paper(
            "variations", extended, Wrong(BY_CORRECTION, extended | {"until": "2027-04-10"}, {"until_on": "2027-03-10"})
        ),
        Paper(
            "plate_readings",
            plate,
            Wrong(BY_CORRECTION, plate | {"plate_serial_number": "L602"}, {"serial_number": "L620"}),
        ),
        Paper("unit_modifications", modified, Wrong(REPLACED, modified | {"date": "2026-12-08"})),
    ]


def month() -> list[Paper]:
    """All the paper of the month; rows that never should have been have no right row."""
    return [*_papers(), *_movements(), *_transfers(), *_readings()]

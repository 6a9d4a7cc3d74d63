"""A generated fleet of any size as the files that import takes: the same seed gives the same files.

Twelve positions an airframe, each with a slide pack that holds a reservoir and a battery; 15 % spares; two to six
stays a unit; one to four certificates a unit; daily readings over two years and month ends before.
"""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Any

TODAY = date(2026, 11, 25)
OPENED = date(2021, 12, 31)
DAILY_FROM = date(2024, 11, 25)
SIDES = [(side, number) for number in range(1, 7) for side in ("L", "R")]
SWAPS = 20


@contextmanager
def _file(folder: Path, name: str, header: str) -> Iterator[Any]:
    with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as handle:
        writer = csv.writer(handle)
        writer.writerow(header.split())
        yield writer


def make(folder: Path, airframes: int, *, seed: int = 7) -> int:
    """Write the files; the number of rows in all of them."""
    folder.mkdir(parents=True, exist_ok=True)
    rows = _reference(folder, airframes)
    rows += _readings(folder, airframes, seed)
    return rows + _units(folder, airframes, random.Random(seed))


def _reference(folder: Path, airframes: int) -> int:
    rows = 0
    with _file(folder, "types", "type name") as out:
        out.writerow(["BT-1", "Bench type"])
    with _file(folder, "positions", "type position side harness pair kind required") as out:
        for side, number in SIDES:
            word = "left" if side == "L" else "right"
            out.writerow(["BT-1", f"{side}{number}", word, word, number, "passenger door", "yes"])
    with _file(folder, "airframes", "registration constructor_serial type operator station programme from") as out:
        for index in range(airframes):
            out.writerow([registration(index), 1000 + index, "BT-1", "Bench Air", f"ST{index % 9}", "BP", "2010-01-01"])
    with _file(folder, "parts", "part_number manufacturer description kind rig mass_kg") as out:
        for number in range(4):
            out.writerow([f"BS-10{number}-1", "Bench Works", "slide pack", "slide", "either", "25.4"])
        out.writerow(["BR-200-1", "Bench Works", "reservoir", "reservoir", "none", "6.1"])
        out.writerow(["BB-300-1", "Bench Works", "battery", "battery", "none", "0.4"])
        out.writerow(["BX-400-1", "Bench Works", "slide without assembly", "slide", "either", "21"])
    with _file(folder, "slots", "part_number slot child_part_number required") as out:
        for number in range(4):
            out.writerow([f"BS-10{number}-1", "reservoir", "BR-200-1", "yes"])
            out.writerow([f"BS-10{number}-1", "battery", "BB-300-1", "yes"])
    with _file(folder, "eligibility", "type position part_number reference") as out:
        for side, position in SIDES:
            for number in range(4):
                out.writerow(["BT-1", f"{side}{position}", f"BS-10{number}-1", "BIPC 25-60"])
            out.writerow(["BT-1", f"{side}{position}", "BX-400-1", "BIPC 25-60"])
    header = (
        "requirement part_number kind source programme edition effective_from start repeat_months repeat_hours "
        "repeat_cycles first_months month_rule done_at reference"
    )
    with _file(folder, "requirements", header) as out:
        base = ["manufacturer", "BP", "1", "2015-01-01"]
        for number in range(4):
            part = f"BS-10{number}-1"
            out.writerow(["OVH", part, "overhaul", *base, "release", 83, "30000:00", "", "", "", "shop", "B 1"])
            out.writerow(["FT", part, "functional_test", *base, "release", 24, "", 6000, "", "", "aircraft", "B 2"])
        out.writerow(["OVH", "BX-400-1", "overhaul", *base, "release", 83, "", "", "", "", "shop", "B 6"])
        out.writerow(
            ["HST", "BR-200-1", "requalification", *base, "manufacture", 36, "", "", "", "last", "shop", "B 3"]
        )
        out.writerow(["LIFE", "BR-200-1", "life_limit", *base, "manufacture", "", "", "", 288, "", "shop", "B 4"])
        out.writerow(["BAT", "BB-300-1", "replacement", *base, "manufacture", 180, "", "", "", "", "shop", "B 5"])
    rows += 1 + 12 + airframes + 7 + 8 + 60 + 12
    return rows


def registration(index: int) -> str:
    """Q- and three letters or more; no state's nationality mark."""
    letters = ""
    for _ in range(4):
        index, rest = divmod(index, 26)
        letters = chr(65 + rest) + letters
    return f"Q-{letters}"


def _readings(folder: Path, airframes: int, seed: int) -> int:
    days = [date(year, month, 1) - timedelta(days=1) for year in range(2022, 2025) for month in range(1, 13)]
    days = [day for day in days if day >= OPENED - timedelta(days=31) and day < DAILY_FROM]
    day = DAILY_FROM
    while day < TODAY:
        days.append(day)
        day += timedelta(days=1)
    with _file(folder, "readings", "registration date hours_total cycles_total") as out:
        for index in range(airframes):
            mark, rate, base = registration(index), 6 + index % 6, 8000 + (index * 37 + seed) % 9000
            for day in days:
                run = (day - OPENED).days + 60
                out.writerow([mark, day.isoformat(), f"{base + run * rate}:{(run * 7) % 60:02d}", base + run * 4])
    return airframes * len(days)


def _units(folder: Path, airframes: int, chance: random.Random) -> int:
    rows = 0
    unit_header = (
        "part_number serial_number manufacturer manufactured hours_since_new cycles_since_new as_of registration "
        "position parent_part_number parent_serial_number slot store condition harness installed"
    )
    certificate_header = "tracking_number organisation part_number serial_number status date form"
    done_header = (
        "part_number serial_number requirement date date_basis hours_since_new cycles_since_new certificate "
        "certificate_organisation"
    )
    move_header = (
        "date registration position sequence removed_part_number removed_serial_number removed_to removal_kind "
        "installed_part_number installed_serial_number harness technical_log signed_by"
    )
    transfer_header = "date part_number serial_number to organisation store condition sequence"
    with (
        _file(folder, "units", unit_header) as units,
        _file(folder, "certificates", certificate_header) as papers,
        _file(folder, "accomplishments", done_header) as work,
        _file(folder, "movements", move_header) as moves,
        _file(folder, "transfers", transfer_header) as transfers,
    ):
        rows += _singles(units, papers, work)
        serial = 0
        for index in range(airframes):
            mark = registration(index)
            doors: dict[str, tuple[str, str]] = {}
            spares: list[tuple[str, str, date]] = []
            for place in range(14 if index % 5 < 4 else 13):
                serial += 1
                part, number = f"BS-10{serial % 4}-1", f"{serial:06d}"
                made = date(2012 + serial % 8, 1 + serial % 12, 1 + serial % 28)
                worked = date(2020 + serial % 2, 1 + serial % 12, 1 + serial % 28)
                position = "" if place >= 12 else f"{SIDES[place][0]}{SIDES[place][1]}"
                harness = "" if not position else ("left" if position[0] == "L" else "right")
                where = [mark, position, "", "", "", ""] if position else ["", "", "", "", "", "Main store"]
                new = [f"{serial % 9000}:00", serial % 4000, OPENED.isoformat()]
                units.writerow(
                    [part, number, "Bench Works", made.isoformat(), *new, *where, "serviceable", harness, "2021-06-01"]
                )
                for child, slot in (("BR-200-1", "reservoir"), ("BB-300-1", "battery")):
                    inside = ["", "", part, number, slot, ""]
                    units.writerow(
                        [
                            child,
                            f"{slot[0].upper()}{number}",
                            "Bench Works",
                            made.isoformat(),
                            *new,
                            *inside,
                            "serviceable",
                            "",
                            "",
                        ]
                    )
                paper = f"A{number}"
                papers.writerow([paper, "Bench Repair", part, number, "Overhauled", worked.isoformat(), "F1"])
                work.writerow([part, number, "OVH", worked.isoformat(), "release", *new[:2], paper, "Bench Repair"])
                months = 2023 * 12 + 11 + serial % 35  # December 2023 to October 2026
                mark_date = date(months // 12, 1 + months % 12, 1)
                work.writerow(["BR-200-1", f"R{number}", "HST", f"{mark_date:%Y-%m}", "mark", "", "", "", ""])
                tested = TODAY - timedelta(days=1 + serial % 715)
                work.writerow([part, number, "FT", tested.isoformat(), "log", "", "", "", ""])
                rows += 7
                if position:
                    doors[position] = (part, number)
                else:
                    spares.append((part, number, OPENED))
            rows += _life(index, mark, doors, spares, chance, moves, transfers, papers, work)
    return rows


def _singles(units: Any, papers: Any, work: Any) -> int:
    """Forty spares without children."""
    for number in range(40):
        serial = f"X{number:04d}"
        where = ["", "", "", "", "", "Main store", "serviceable", "right", ""]
        units.writerow(["BX-400-1", serial, "Bench Works", "2018-05-01", "10:00", 5, OPENED.isoformat(), *where])
        papers.writerow([f"X-{serial}", "Bench Repair", "BX-400-1", serial, "Overhauled", "2021-11-01", "F1"])
        paper = [f"X-{serial}", "Bench Repair"]
        work.writerow(["BX-400-1", serial, "OVH", "2021-11-01", "release", "10:00", 5, *paper])
    return 120


def _life(
    index: int,
    mark: str,
    doors: dict[str, tuple[str, str]],
    spares: list[tuple[str, str, date]],
    chance: random.Random,
    moves: Any,
    transfers: Any,
    papers: Any,
    work: Any,
) -> int:
    rows = 0
    day = OPENED + timedelta(days=20)
    step = (TODAY - OPENED).days // (SWAPS + 1)
    for number in range(SWAPS):
        day = OPENED + timedelta(days=20 + number * step + chance.randrange(20))
        ready = [spare for spare in spares if spare[2] < day]
        if not ready:
            continue
        spare = ready[0]
        spares.remove(spare)
        position = sorted(doors)[chance.randrange(len(doors))]
        gone = doors[position]
        doors[position] = (spare[0], spare[1])
        side = "left" if position[0] == "L" else "right"
        moves.writerow(
            [
                day,
                mark,
                position,
                1,
                *gone,
                "store",
                "scheduled",
                spare[0],
                spare[1],
                side,
                f"TL{number}",
                f"S{index % 40}",
            ]
        )
        sent, back = day + timedelta(days=3), day + timedelta(days=40)
        rows += 1
        if back >= TODAY:
            continue
        transfers.writerow([sent, *gone, "shop", "Bench Repair", "", "", 1])
        transfers.writerow([back, *gone, "store", "", "Main store", "serviceable", 1])
        paper = f"C{index}-{number}"
        papers.writerow([paper, "Bench Repair", *gone, "Overhauled", back - timedelta(days=2), "F1"])
        work.writerow([*gone, "OVH", back - timedelta(days=2), "release", "", "", paper, "Bench Repair"])
        spares.append((*gone, back))
        rows += 4
    return rows

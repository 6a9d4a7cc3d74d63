"""Make the files of the demo fleet: `python seed_demo/make.py [FOLDER]`, by default the folder beside this file.

The same files come out every time. FOLDER holds the whole fleet as of 2026-11-24. The same rows stand once more in
FOLDER/first, what was in the records on 2026-10-20, and FOLDER/since, what came after: taken in one after the other
they tell when a thing was recorded as well as when it happened.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

import doors
import moves
import papers
import publications
import reference as ref
import story
from fleet import LAST, OPENED, Fleet
from life import Life

from fleetlife.transfer.columns import FILE_NAMES
from fleetlife.transfer.writing import write_csv

SEED = 20_261_125
FIRST_RECORDED = date(2026, 10, 20)
_DATE = {"units": "as_of", "variations": "approved_on", "airframe_states": "from", "deferrals": "opened"}
_DATE |= {"ground_times": "from", "least_lives": "from"}
_UNDATED = ("types", "positions", "airframes", "registrations", "modifications", "parts", "slots", "eligibility")
_UNDATED += ("alternates", "intermix", "counters", "requirements", "bands", "unit_counters")
_UNDATED += ("utilisation", "organisations", "approvals", "publications", "applicability", "compliance")
_UNDATED += ("release_items", "pressures", "authorisations")


def tables() -> dict[str, list[dict[str, Any]]]:
    """Every file's rows."""
    fleet = Fleet(Random(SEED))
    life = Life(fleet)
    made = story.openings(life)
    _ordinary(life)
    _spares(life)
    story.plan(life, made)
    life.live()
    story.two_programmes(life)
    story.plates(life)
    story.received(life)
    papers.wrong(life)
    moves.moves(life)
    _no_fillings(fleet)
    _landings(fleet)
    at_doors = doors.tables(fleet.rows["movements"])
    return {**ref.tables(), **publications.tables(), **fleet.rows, **at_doors}


def _ordinary(life: Life) -> None:
    """Packs at every door that the story leaves alone, their overhauls spread over the years."""
    fleet = life.fleet
    small = large = 0
    for craft in fleet.aircraft.values():
        for position in ref.doors_of(craft.type):
            if position in craft.doors:
                continue
            door: dict[str, Any] = {"craft": craft, "position": position}
            if craft.type == ref.LARGE and position[1] == "3":
                _wing_pack(life, craft.serial, position, door)
            elif craft.type == ref.LARGE:
                large += 1
                overhauled = date(2020, 8, 10) + timedelta(days=37 * ((large * 7) % 29))
                part = "KV-3300-2" if large in (6, 17) else "KV-3300-1"
                made = date(2014 + large % 4, 1 + large % 12, 1)
                fitted = overhauled + timedelta(days=25 + large % 40)
                life.pack(part, f"{33200 + large}", made, overhauled, fitted=fitted, **door)
            elif craft.registration == "Q-SKF" and position in ("L2", "R2"):
                life.pack(
                    "KV-2100-5", f"2520{position[0] == 'R':d}", date(2023, 2, 1), None, fitted=date(2023, 6, 19), **door
                )
            else:
                small += 1
                _small_pack(life, small, door)


def _small_pack(life: Life, number: int, door: dict[str, Any]) -> None:
    """Those of one aircraft were fitted late, so that they are still in date on the night when all four come off."""
    late = door["craft"].registration == "Q-SKD"
    start = date(2022, 11, 20) if late else date(2020, 12, 28)
    fitted = start + timedelta(days=(61 if late else 76) * ((number * 5) % (5 if late else 14)))
    overhauled = fitted - timedelta(days=30 + number * 9 % 110)
    part = "KV-2100-1" if number in (2, 7) and not late else "KV-2100-3"
    made = date(2012 if part == "KV-2100-1" else 2015 + number % 4, 1 + number * 5 % 12, 1)
    life.pack(part, f"{20200 + number}", made, overhauled, fitted=fitted, **door)


def _wing_pack(life: Life, serial: str, position: str, door: dict[str, Any]) -> None:
    hand, index = position[0], int(serial[-1])
    part = f"KV-3350-{'1' if serial <= '7003' else '3'}{hand}"
    overhauled = date(2022, 3, 14) + timedelta(days=50 * index + (20 if hand == "R" else 0))
    fitted = overhauled + timedelta(days=40)
    life.pack(part, f"{hand}{600 + index}", date(2015 + index % 3, 2 + index, 1), overhauled, fitted=fitted, **door)


def _spares(life: Life) -> None:
    for number in range(1, 7):
        store = ref.MAIN_STORE if number % 3 else ref.LINE_STORE
        overhauled = date(2023, 6, 12) + timedelta(days=24 * number)
        life.pack("KV-2100-3", f"{20300 + number}", date(2015 + number % 4, 2 * number, 1), overhauled, store=store)
    for number in range(1, 6):
        store = ref.MAIN_STORE if number % 3 else ref.LINE_STORE
        overhauled = date(2023, 5, 22) + timedelta(days=31 * number)
        life.pack("KV-3300-1", f"{33300 + number}", date(2015 + number % 3, 2 * number, 1), overhauled, store=store)
    for part, serial in (("KV-3350-1L", "L620"), ("KV-3350-3R", "R621")):
        life.pack(part, serial, date(2017, 5, 1), date(2023, 9, 4), store=ref.MAIN_STORE)
    tracking = ""
    for number in range(1, 3):
        bottle = life.reservoir("TH-880-1", date(2018, 3, 1), date(2023, 8, 1))
        bottle.store, bottle.bin = ref.MAIN_STORE, life.fleet.free_bin(ref.MAIN_STORE)
        life.fleet.opening(bottle)
        read = {"expansion_total": 168_500, "expansion_permanent": 6_200, "expansion_specification": "DOT-3AA1850"}
        life.fleet.mark(bottle, date(2023, 8, 1), **(read if number == 2 else {}))
        if number == 2:  # tested again early, and over the limit: 17.1 of 170.2 is more than ten per cent
            worse = {**read, "expansion_total": 170_200, "expansion_permanent": 17_100}
            life.fleet.done(bottle, "HST", date(2026, 11, 17), "release", **worse)
        # both are on one paper, one item of two serials; the number of the second is left out
        shared = {"tracking_number": tracking} if number == 2 else {}
        if shared:
            life.fleet.number("SHC-23")
        tracking = life.fleet.certificate(bottle, ref.SHOP, date(2023, 8, 21), "Inspected/Tested", quantity=2, **shared)


def _no_fillings(fleet: Fleet) -> None:
    """Steel reservoirs are counted by fillings: what was filled before the opening is part of the opening."""
    for row in fleet.rows["units"]:
        if row["part_number"] == "TH-410-2" and "operations_since_new" not in row:
            row["operations_since_new"] = 63


def _landings(fleet: Fleet) -> None:
    """Landings of the one aircraft that carries a pack limited in them, read each Sunday: more than it flew cycles,
    for it also flies the crews' training. The test before the opening states what was run since."""
    craft = fleet.aircraft["Q-SKM"]
    rows = fleet.rows["counter_readings"] = []
    unit = {"part_number": "KV-3350-3L", "serial_number": "L511"}
    fleet.rows["unit_counters"] = [{**unit, "counter": ref.LANDINGS, "since_new": "7290"}]
    day = OPENED
    while day <= LAST:
        cycles = craft.totals[day][1]
        rows.append(
            {
                "registration": craft.registration,
                "counter": ref.LANDINGS,
                "date": day.isoformat(),
                "total": str(cycles + cycles // 40),
            }
        )
        day += timedelta(days=6 - day.weekday() or 7)
    fleet.rows["accomplishments"].append(
        {
            **unit,
            "requirement": "LDG",
            "date": "2023-08-15",
            "date_basis": "log",
            "counter": ref.LANDINGS,
            "counter_since": "420",
        }
    )


def _known_first(rows: dict[str, list[dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    """The rows that were in the records on the day the fleet was first taken in."""
    day = FIRST_RECORDED.isoformat()
    result = {name: rows[name] for name in _UNDATED}
    for name in rows:
        if name not in _UNDATED:
            result[name] = [row for row in rows[name] if str(row[_DATE.get(name, "date")]) <= day]
    late = {(row["part_number"], row["serial_number"]) for row in rows["units"]}
    late -= {(row["part_number"], row["serial_number"]) for row in result["units"]}
    for name in ("accomplishments", "certificates", "transfers", "operations", "unit_modifications"):
        result[name] = [row for row in result[name] if (row["part_number"], row["serial_number"]) not in late]
    return result


def _since(rows: dict[str, list[dict[str, Any]]], first: dict[str, list[dict[str, Any]]]) -> dict[str, Any]:
    """The rows that came later."""
    known = {name: {id(row) for row in first[name]} for name in first}
    return {name: [row for row in rows[name] if id(row) not in known[name]] for name in rows}


def _write(folder: Path, rows: dict[str, list[dict[str, Any]]]) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for name in FILE_NAMES:
        if rows.get(name):
            write_csv(folder / f"{name}.csv", name, _in_order(name, rows[name]))


def _in_order(name: str, rows: list[dict[str, Any]]) -> Iterable[dict[str, Any]]:
    """As a clerk would keep them: things that happen by date, readings by aircraft."""
    if name in ("movements", "transfers", "operations", "accomplishments", "certificates"):
        return sorted(rows, key=lambda row: str(row["date"]))
    return rows


def main() -> None:
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    rows = tables()
    _write(folder, rows)
    first = _known_first(rows)
    _write(folder / "first", first)
    _write(folder / "since", _since(rows, first))


if __name__ == "__main__":
    main()


__all__ = ["OPENED", "main", "tables"]

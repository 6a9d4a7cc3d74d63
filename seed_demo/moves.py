"""Other movements than swaps, on four small aircraft of their own: a robbery off an aircraft that was in an accident, a
pack lent out and not back, an empty door under a deferral, a deployment on the door, a reservoir on the scrap heap.

It comes after everything else and draws on chance of its own, so that the rest of the fleet stays as it is.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

import reference as ref
from fleet import LAST, Aircraft, Fleet, Unit
from life import Life

BEGUN = date.fromisoformat(ref.TINY_FROM)


def moves(life: Life) -> None:
    """The rows of it all."""
    fleet = life.fleet
    chance, fleet.random = fleet.random, Random(9001)
    fleet.rows |= {"airframe_states": [], "deferrals": []}
    craft = {
        registration: _aircraft(fleet, registration, serial, 1_400_000 + 90_000 * n, 28_000 + 1_700 * n)
        for n, (registration, serial) in enumerate(ref.FOUR)
    }
    packs = [_pack(fleet, f"1801{n}", each) for n, each in enumerate(craft.values())]
    _robbery(fleet, craft["Q-SKR"], craft["Q-SKS"], packs[0], packs[1])
    _lent(fleet, craft["Q-SKT"], packs[2])
    _set_off(fleet, packs[3])
    _scrapped(life)
    fleet.random = chance


def _aircraft(fleet: Fleet, registration: str, serial: str, minutes: int, cycles: int) -> Aircraft:
    craft, day = Aircraft(registration, serial, ref.FOUR_TYPE), BEGUN
    while day <= LAST:
        craft.totals[day] = (minutes, cycles)
        read = {"registration": registration, "date": day.isoformat(), "hours_total": minutes, "cycles_total": cycles}
        fleet.rows["readings"].append(read)
        # the one that was in an accident flies no more
        if registration != "Q-SKR" or day < date(2026, 10, 11):
            minutes, cycles = minutes + fleet.random.randint(150, 330), cycles + fleet.random.randint(3, 8)
        day += timedelta(days=1)
    return craft


def _pack(fleet: Fleet, serial: str, craft: Aircraft) -> Unit:
    """A pack on the door, overhauled in 2025."""
    unit = Unit(ref.FOUR_PACK, serial, ref.PACKS, date(2019, 6, 1), ordinary=False)
    unit.minutes, unit.cycles = 480_000, 9_900
    unit.aircraft, unit.position, unit.fitted = craft, "L1", BEGUN
    fleet.opening(unit, BEGUN, hours_since_new=unit.minutes, cycles_since_new=unit.cycles, harness="left")
    tracking = fleet.certificate(unit, ref.SHOP, date(2025, 11, 25), "Overhauled")
    fleet.done(unit, "OVH", date(2025, 11, 25), "release", certificate=tracking, certificate_organisation=ref.SHOP)
    return unit


def _robbery(fleet: Fleet, donor: Aircraft, receiver: Aircraft, robbed: Unit, old: Unit) -> None:
    """Off the aircraft that ran off the runway, inspected and tagged, and on another; no release since."""
    state = {"registration": donor.registration, "from": "2026-10-11", "state": "accident"}
    fleet.rows["airframe_states"].append({**state, "reference": "occurrence report 26-017"})
    day = date(2026, 10, 30)
    common: dict[str, Any] = {"date": day.isoformat(), "position": "L1", "station": "Ytrevik", "signed_by": "S-112"}
    common |= {"inspected_by": "S-206", "released_by": "S-304", "work_order": fleet.number("WO-26")}
    fleet.rows["movements"] += [
        {
            **common,
            "registration": donor.registration,
            "sequence": 10,
            "removed_part_number": robbed.part,
            "removed_serial_number": robbed.serial,
            "removed_to": "store",
            "removal_kind": "robbery",
        },
        {
            **common,
            "registration": receiver.registration,
            "sequence": 30,
            "removed_part_number": old.part,
            "removed_serial_number": old.serial,
            "removed_to": "shop",
            "removed_to_name": ref.OTHER_SHOP,
            "removal_kind": "unscheduled",
            "defect": "Cover worn through",
            "installed_part_number": robbed.part,
            "installed_serial_number": robbed.serial,
            "harness": "left",
        },
    ]
    fleet.transfer(day, robbed, "store", sequence=20, condition="serviceable", reference="TAG-1180", signed_by="S-402")


def _lent(fleet: Fleet, craft: Aircraft, pack: Unit) -> None:
    """Lent to the neighbour for a month, and still there; the door is empty under a deferral until December."""
    day = date(2026, 10, 28)
    fleet.swap(day, craft, "L1", None, stated=True, removal_kind="convenience", removed_condition="serviceable")
    fleet.transfer(
        day + timedelta(days=1), pack, "loan", organisation="Fuglavik Air", order="LN-26-04", expected_back="2026-11-15"
    )
    fleet.rows["deferrals"].append(
        {
            "registration": craft.registration,
            "position": "L1",
            "opened": day.isoformat(),
            "item": "slide missing at L1",
            "expires": "2026-12-04",
            "log_page": "TL8005-11",
            "conditions": "door L1 not used for passengers; cabin crew briefed",
            "authorised_by": "S-501",
        }
    )


def _set_off(fleet: Fleet, pack: Unit) -> None:
    """It deployed when the door was opened armed, and hangs there still; beside it a deferral that has expired."""
    fleet.rows["operations"].append(
        {
            **pack.name,
            "date": "2026-11-22",
            "operation": "deployment",
            "count": 1,
            "intent": "unintended",
            "reference": "TL8006-19",
        }
    )
    fleet.rows["deferrals"].append(
        {
            "registration": "Q-SKU",
            "position": "L1",
            "opened": "2026-11-10",
            "item": "arming indicator light inoperative",
            "expires": "2026-11-20",
            "log_page": "TL8006-17",
            "conditions": "lever checked by eye before each departure",
            "authorised_by": "S-502",
        }
    )


def _scrapped(life: Life) -> None:
    """A reservoir with a life in years, on the scrap heap with nothing to say that it stays there."""
    fleet = life.fleet
    bottle = Unit("TH-880-1", "R88990", ref.CYLINDERS, date(2012, 4, 1), ordinary=False)
    bottle.store, bottle.bin = ref.LINE_STORE, fleet.free_bin(ref.LINE_STORE)
    fleet.opening(bottle, BEGUN)
    fleet.mark(bottle, date(2024, 5, 1))
    fleet.transfer(date(2026, 10, 12), bottle, "scrap", condition="unsalvageable", reference="leak at the neck")

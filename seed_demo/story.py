"""What was picked by hand: every wrong thing that a report must show, and the worked questions.

README.md lists them with the finding expected; tests/demo compares that list with what the audit finds.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random
from typing import Any

import reference as ref
from fleet import LAST, OPENED, Aircraft, Fleet, Unit, months_later
from life import INSPECTED_EVERY, Life


def openings(life: Life) -> dict[str, Unit]:
    """Units whose opening statement is part of the story; by serial."""
    fleet = life.fleet
    craft = fleet.aircraft
    made: dict[str, Unit] = {}

    def pack(part: str, serial: str, *args: Any, ordinary: bool = False, **more: Any) -> Unit:
        unit = life.pack(part, serial, *args, **more)
        unit.ordinary = ordinary
        made[serial] = unit
        return unit

    def door(registration: str, position: str, fitted: date) -> dict[str, Any]:
        return {"craft": craft[registration], "position": position, "fitted": fitted}

    small, large = "KV-2100-3", "KV-3300-1"
    # Past its date: due 2026-11-10 and still on the door.
    pack(small, "20104", date(2017, 5, 1), date(2023, 10, 20), **door("Q-SKA", "R2", date(2023, 11, 10)))
    # Nothing from which the overhaul could count: the only paper says repaired.
    pack(
        small,
        "20105",
        date(2018, 2, 1),
        date(2022, 3, 14),
        **door("Q-SKB", "L1", date(2022, 4, 20)),
        certificate={"status": "Repaired"},
        claimed=False,
    )
    # The old records stated another date than the rule gives.
    pack(
        large,
        "33128",
        date(2016, 3, 1),
        date(2022, 5, 17),
        **door("Q-SKM", "R1", date(2022, 7, 8)),
        overhaul={"stated_due": "2026-05-17"},
    )
    # The papers bear other numbers: a letter O for a zero, two digits crossed.
    pack(
        large,
        "33105",
        date(2015, 9, 1),
        date(2022, 9, 12),
        **door("Q-SKH", "L1", date(2022, 11, 4)),
        certificate={
            "part_number": "KV-33O0-1",
            "filed_part_number": large,
            "filed_serial_number": "33105",
            "filed_manufacturer": ref.PACKS,
        },
    )
    # No paper at all.
    pack(large, "33107", date(2016, 1, 1), date(2022, 10, 3), **door("Q-SKH", "R2", date(2022, 12, 1)), paper=False)
    # An early over-wing slide on an aircraft that takes the late ones only.
    pack("KV-3350-1L", "L504", date(2016, 6, 1), date(2022, 6, 20), **door("Q-SKL", "L3", date(2022, 8, 15)))
    # The long slide beside the short one, on an aircraft that may carry either.
    pack("KV-2100-5", "25106", date(2023, 1, 1), None, **door("Q-SKC", "R2", date(2023, 5, 22)))
    # The reservoir of the next is in the records twice, once with a letter O.
    pack(
        large,
        "33110",
        date(2015, 4, 1),
        date(2022, 4, 25),
        **door("Q-SKJ", "L2", date(2022, 6, 10)),
        reservoir=life.reservoir("TH-880-1", date(2015, 4, 1), date(2022, 4, 1), series="R88950"),
    )
    _twice(life, made)
    # Its battery's paper is dated before the battery was made.
    keeper = pack(large, "33119", date(2017, 2, 1), date(2022, 7, 4), **door("Q-SKK", "R2", date(2022, 9, 1)))
    _paper_before_birth(life, keeper)
    # Claimed overhauled in 2026 on a paper that says inspected/tested.
    pack(large, "33114", date(2015, 7, 1), date(2022, 8, 16), **door("Q-SKK", "L1", date(2022, 10, 10)))
    pack(large, "33112", date(2016, 10, 1), date(2022, 11, 7), **door("Q-SKJ", "R1", date(2023, 1, 12)))
    pack(large, "33116", date(2016, 11, 1), date(2023, 2, 6), **door("Q-SKK", "L2", date(2023, 4, 3)))
    pack(
        large,
        "33123",
        date(2014, 9, 1),
        date(2021, 9, 30),
        **door("Q-SKM", "L1", date(2022, 4, 11)),
        reservoir=life.reservoir("TH-880-1", date(2014, 9, 1), date(2022, 3, 1)),
    )
    pack(large, "33109", date(2016, 12, 1), date(2023, 3, 20), **door("Q-SKJ", "R4", date(2023, 5, 2)))
    pack("KV-3350-3L", "L511", date(2018, 1, 1), date(2023, 1, 30), **door("Q-SKM", "L3", date(2023, 3, 6)))
    # Removed for overhaul forty days after it was due.
    pack(small, "20112", date(2016, 8, 1), date(2022, 2, 10), **door("Q-SKE", "L2", date(2022, 3, 1)))
    pack(small, "20120", date(2018, 4, 1), date(2023, 3, 6), **door("Q-SKE", "R2", date(2023, 4, 11)))
    pack(small, "20107", date(2017, 9, 1), date(2021, 5, 3), **door("Q-SKB", "R1", date(2021, 6, 21)))
    pack(small, "20125", date(2016, 5, 1), date(2022, 11, 14), **door("Q-SKG", "L1", date(2022, 12, 19)))
    pack(small, "20126", date(2016, 7, 1), date(2021, 4, 12), **door("Q-SKB", "R2", date(2021, 5, 25)))
    pack(small, "20115", date(2018, 6, 1), date(2021, 9, 6), **door("Q-SKF", "R1", date(2021, 10, 18)))
    pack(small, "20124", date(2018, 9, 1), date(2023, 9, 25), **door("Q-SKF", "L1", date(2023, 11, 6)))
    pack(small, "20122", date(2017, 11, 1), date(2023, 5, 15), **door("Q-SKE", "L1", date(2023, 6, 26)))
    pack(small, "20127", date(2018, 1, 1), date(2023, 10, 16), **door("Q-SKE", "R1", date(2023, 11, 27)))
    pack("KV-2100-1", "20130", date(2013, 4, 1), date(2021, 10, 11), **door("Q-SKG", "R2", date(2021, 11, 29)))
    pack(small, "20361", date(2017, 3, 1), date(2021, 7, 12), **door("Q-SKG", "L2", date(2021, 8, 30)))
    _in_stores(life, pack)
    return made


def _in_stores(life: Life, pack: Any) -> None:
    """Spares at the opening that the story needs."""
    small, large = "KV-2100-3", "KV-3300-1"
    store = {"store": ref.MAIN_STORE}
    steel = life.reservoir("TH-410-2", date(2014, 11, 1), date(2023, 9, 1))
    pack(small, "20110", date(2017, 12, 1), date(2023, 10, 12), **store, reservoir=steel)
    life.fleet.filled(steel, date(2023, 10, 9))
    pack(small, "20118", date(2018, 3, 1), date(2023, 8, 28), **store)
    pack(small, "20121", date(2017, 6, 1), date(2023, 9, 18), **store)
    pack(large, "33121", date(2016, 2, 1), date(2023, 7, 10), **store)
    pack(large, "33120", date(2017, 4, 1), date(2023, 6, 5), store=ref.LINE_STORE)
    pack(large, "33130", date(2017, 7, 1), date(2023, 10, 2), **store)
    pack("KV-3300-4", "33401", date(2023, 4, 1), None, **store)


def plates(life: Life) -> None:
    """The receiving inspector's stock check: one plate does not read what the records say, and what the slide had flown
    in cycles stands on no card."""
    row = next(row for row in life.fleet.rows["units"] if row["serial_number"] == "L620")
    row["cycles_since_new"] = ""
    row = next(row for row in life.fleet.rows["accomplishments"] if row["serial_number"] == "L620")
    row |= {"cycles_since_new": "", "cycles_since": 0}
    life.fleet.rows["plate_readings"].append(
        {
            "part_number": "KV-3350-1L",
            "serial_number": "L620",
            "date": "2026-11-19",
            "plate_part_number": "KV-3350-1L",
            "plate_serial_number": "L640",
            "seen_by": "S-402",
            "reference": "stock check of week 47",
        }
    )


def _twice(life: Life, made: dict[str, Unit]) -> None:
    """One reservoir under two serials, and one line of its paper filed against both."""
    fleet = life.fleet
    true = made["33110"].children["reservoir"]
    false = Unit("TH-880-1", "R8895O", ref.CYLINDERS, true.made, ordinary=False)
    false.store, false.bin = ref.LINE_STORE, fleet.free_bin(ref.LINE_STORE)
    fleet.opening(false, source="old records system, second card")
    fleet.mark(false, date(2022, 4, 1))
    tracking = fleet.certificate(true, ref.OTHER_SHOP, date(2022, 4, 20), "Tested", item="3")
    fleet.certificate(false, ref.OTHER_SHOP, date(2022, 4, 20), "Tested", item="3", tracking_number=tracking)


def _paper_before_birth(life: Life, keeper: Unit) -> None:
    cell = keeper.children["battery"]
    line = next(row for row in life.fleet.rows["certificates"] if row["serial_number"] == cell.serial)
    line["date"] = "2017-11-20"


def plan(life: Life, made: dict[str, Unit]) -> None:
    """What happens on its day."""
    fleet, craft = life.fleet, life.fleet.aircraft
    at = fleet.at

    def put(day: date, registration: str, position: str, serial: str, **more: Any) -> None:
        """The unit from stores on, whatever hangs there off and to the shop."""
        at(day, lambda today: life.swap_and_send(today, craft[registration], position, made[serial], **more) and None)

    # A steel reservoir that may stay until emptied: mark 09/2023, filled before, not since.
    put(date(2024, 1, 16), "Q-SKC", "L1", "20110")
    _nothing_filled(life, made["20110"].children["reservoir"], date(2023, 12, 4))
    at(date(2024, 5, 14), lambda day: fleet.filled(made["20110"].children["reservoir"], day, why="topped up"))
    # Rigged for the other side.
    put(date(2024, 6, 12), "Q-SKA", "R1", "20118", harness="left")
    _late_overhaul(life, made)
    _shop_stories(life, made)
    _refits(life, made)
    _one_night(life, made)
    _found(life, made)
    _store_stories(life, made)
    _variations(life, made)
    _last_days(life, made)


def _nothing_filled(life: Life, bottle: Unit, day: date) -> None:
    """A count of none is a record too: without it nobody could say how many fillings are left."""
    life.fleet.filled(bottle, day, count=0, why="store card: none since the opening statement")


def _spare(life: Life, like: Unit, day: date) -> Unit:
    spare = life._spare(like, day)
    assert spare is not None, f"no spare for {like.serial} on {day}"
    return spare


def _late_overhaul(life: Life, made: dict[str, Unit]) -> None:
    def off(day: date) -> None:
        unit = made["20112"]
        life.swap_and_send(day, life.fleet.aircraft["Q-SKE"], "L2", _spare(life, unit, day))
        unit.ordinary = True

    life.fleet.at(date(2025, 4, 10), off)


def _shop_stories(life: Life, made: dict[str, Unit]) -> None:
    fleet, craft = life.fleet, life.fleet.aircraft

    def visit(day: date, registration: str, position: str, serial: str, again: date, **more: Any) -> None:
        """Off for a spare, through the shop, and on again at the same door on `again`."""

        def off(today: date) -> None:
            unit, air = made[serial], craft[registration]
            fitted = fleet.swap(today, air, position, _spare(life, unit, today))
            assert fitted is unit
            new = air.doors[position]
            assert new is not None
            life.fitted(new, today)
            life.send(unit, today, **more)

        def on(today: date) -> None:
            life.swap_and_send(today, craft[registration], position, made[serial])

        fleet.at(day, off)
        fleet.at(again, on)

    # Its reservoir's test is recorded by the pack's release instead of by the mark.
    visit(date(2024, 4, 9), "Q-SKB", "R1", "20107", date(2024, 8, 20), basis="release", days=60)
    # The paper of this overhaul has two digits of the serial crossed.
    visit(
        date(2024, 5, 21),
        "Q-SKG",
        "L2",
        "20361",
        date(2024, 10, 8),
        days=58,
        certificate={
            "serial_number": "20316",
            "filed_part_number": "KV-2100-3",
            "filed_serial_number": "20361",
            "filed_manufacturer": ref.PACKS,
        },
    )
    # In time through the shop; what is wrong with it comes later.
    visit(date(2024, 7, 2), "Q-SKF", "R1", "20115", date(2024, 11, 19), days=52)
    # Re-identified at its overhaul: it takes a battery from then on.
    visit(date(2024, 6, 25), "Q-SKG", "R2", "20130", date(2024, 11, 5), days=55)
    fleet.at(date(2024, 8, 15), lambda day: _reidentify(life, made["20130"], day))
    # Claimed overhauled on a paper that says inspected/tested.
    visit(
        date(2025, 12, 16),
        "Q-SKK",
        "L1",
        "33114",
        date(2026, 3, 17),
        days=50,
        status="Inspected/Tested",
        certificate={"tracking_number": "SHC-26-0900", "remarks": "Inspected and leak tested, no defects found."},
        shop=ref.SHOP,
    )
    fleet.at(
        date(2026, 2, 16),
        lambda day: fleet.done(
            made["33114"],
            "OVH",
            next(row["date"] for row in fleet.rows["certificates"] if row["tracking_number"] == "SHC-26-0900"),
            "release",
            certificate="SHC-26-0900",
            certificate_organisation=ref.SHOP,
        ),
    )
    _paper_later(life, made)


def _reidentify(life: Life, pack: Unit, day: date) -> None:
    """A bulletin embodied at the shop: another dash number, and a battery for the lights."""
    fleet = life.fleet
    fleet.rows["unit_modifications"].append(
        {
            **pack.name,
            "modification": "SB KV-2100-25-02",
            "date": day.isoformat(),
            "new_part_number": "KV-2100-3",
            "reference": "Kvitnes bulletin 2100-25-02",
        }
    )
    pack.part = "KV-2100-3"
    life.new_battery(pack, day)


def _paper_later(life: Life, made: dict[str, Unit]) -> None:
    """Repaired, back in stores and fitted elsewhere; its paper is dated twenty days after the fitting."""
    fleet, craft = life.fleet, life.fleet.aircraft
    paper = {"certificate": "SHC-26-0911", "certificate_organisation": ref.SHOP}

    def off(day: date) -> None:
        unit = made["33112"]
        fleet.swap(
            day,
            craft["Q-SKJ"],
            "R1",
            _spare(life, unit, day),
            removal_kind="unscheduled",
            defect="Cover found torn at the lower edge",
        )
        new = craft["Q-SKJ"].doors["R1"]
        assert new is not None
        life.fitted(new, day)
        fleet.transfer(
            day + timedelta(days=3),
            unit,
            "shop",
            organisation=ref.SHOP,
            order="RO-9011",
            condition="unserviceable",
            expected_back="2026-03-01",
        )

    def back(day: date) -> None:
        bin_name = fleet.free_bin(ref.MAIN_STORE)
        fleet.transfer(
            day,
            made["33112"],
            "store",
            store=ref.MAIN_STORE,
            bin=bin_name,
            condition="serviceable",
            harness="right",
            order="RO-9011",
        )

    def on(day: date) -> None:
        life.swap_and_send(day, craft["Q-SKK"], "R1", made["33112"], **paper)
        fleet.certificate(
            made["33112"], ref.SHOP, date(2026, 3, 22), "Repaired", tracking_number="SHC-26-0911", work_order="RO-9011"
        )

    fleet.at(date(2026, 1, 14), off)
    fleet.at(date(2026, 2, 20), back)
    fleet.at(date(2026, 3, 2), on)


def _refits(life: Life, made: dict[str, Unit]) -> None:
    fleet, craft = life.fleet, life.fleet.aircraft

    # Released 2024-06-10, fitted 2025-02-01, off for access 2025-09-01 and back two days later: nothing restarts.
    def to_shop(day: date) -> None:
        unit = made["20126"]
        fleet.swap(day, craft["Q-SKB"], "R2", _spare(life, unit, day))
        new = craft["Q-SKB"].doors["R2"]
        assert new is not None
        life.fitted(new, day)
        fleet.at(
            date(2024, 4, 15),
            lambda today: fleet.transfer(
                today, unit, "shop", organisation=ref.OTHER_SHOP, order="RO-9020", condition="unserviceable"
            ),
        )
        fleet.at(date(2024, 6, 10), lambda today: life.released(unit, today, ref.OTHER_SHOP, "RO-9020"))

    fleet.at(date(2024, 4, 9), to_shop)
    fleet.at(
        date(2025, 2, 1), lambda day: life.swap_and_send(day, craft["Q-SKB"], "R2", made["20126"], stated=True) and None
    )

    def access_off(day: date) -> None:
        unit = fleet.swap(
            day,
            craft["Q-SKB"],
            "R2",
            None,
            stated=True,
            removal_kind="access",
            removed_condition="serviceable",
            defect="Off for access to the door frame",
        )
        assert unit is made["20126"]

    def access_on(day: date) -> None:
        due = life.test_due[made["20126"].serial]
        fleet.swap(day, craft["Q-SKB"], "R2", made["20126"], stated=True)
        life.fitted(made["20126"], day)
        assert due < life.test_due[made["20126"].serial]

    fleet.at(date(2025, 9, 1), access_off)
    fleet.at(date(2025, 9, 3), access_on)

    # Off with a defect, never released, fitted elsewhere.
    def defect_off(day: date) -> None:
        unit = made["20115"]
        fleet.swap(
            day,
            craft["Q-SKF"],
            "R1",
            _spare(life, unit, day),
            removal_kind="unscheduled",
            removed_condition="serviceable",
            defect="Water found in the cover; dried",
        )
        new = craft["Q-SKF"].doors["R1"]
        assert new is not None
        life.fitted(new, day)

    fleet.at(date(2026, 5, 4), defect_off)
    fleet.at(date(2026, 5, 20), lambda day: life.swap_and_send(day, craft["Q-SKA"], "L2", made["20115"]) and None)


def _one_night(life: Life, made: dict[str, Unit]) -> None:
    """Four new packs at four doors in one night, all signed for by one person."""
    fleet, craft = life.fleet, life.fleet.aircraft
    serials = ("20141", "20142", "20143", "20144")

    def arrive(day: date) -> None:
        for serial in serials:
            made[serial] = life.pack(
                "KV-2100-3",
                serial,
                date(2025, 6, 1),
                None,
                store=ref.MAIN_STORE,
                as_of=day,
                opening={"harness": "left"},
            )
            made[serial].ordinary = False

    def night(day: date) -> None:
        for position, serial in zip(ref.SMALL_DOORS, serials, strict=True):
            life.swap_and_send(
                day, craft["Q-SKD"], position, made[serial], signed_by="S-114", inspected_by="S-206", stated=True
            )

    fleet.at(date(2025, 8, 20), arrive)
    fleet.at(date(2025, 9, 14), night)


def _found(life: Life, made: dict[str, Unit]) -> None:
    """At the door hangs another unit than the one recorded."""
    fleet, craft = life.fleet, life.fleet.aircraft["Q-SKK"]

    def look(day: date) -> None:
        new, believed = made["33120"], craft.doors["L2"]
        assert believed is made["33116"]
        fleet.rows["movements"].append(
            {
                "date": day.isoformat(),
                "registration": "Q-SKK",
                "position": "L2",
                "station": "Skarholm",
                "installed_part_number": new.part,
                "installed_serial_number": new.serial,
                "found": True,
                "harness": "left",
                "technical_log": fleet.number("TL7003"),
                "work_order": fleet.number("WO-26"),
                "signed_by": "S-107",
                "inspected_by": "S-201",
            }
        )
        believed.aircraft, believed.position, believed.fitted = None, None, None
        new.aircraft, new.position, new.fitted, new.store, new.bin = craft, "L2", day, None, None
        craft.doors["L2"] = new
        life.fitted(new, day)
        fleet.moved.add(("Q-SKK", day))

    fleet.at(date(2026, 6, 11), look)


def _store_stories(life: Life, made: dict[str, Unit]) -> None:
    fleet, craft = life.fleet, life.fleet.aircraft

    # On hold for its paper, and fitted all the same.
    def hold(day: date) -> None:
        fleet.transfer(
            day,
            made["33121"],
            "store",
            store=ref.MAIN_STORE,
            bin=made["33121"].bin,
            hold="paper under question",
            harness="left",
        )

    fleet.at(date(2026, 4, 7), hold)
    fleet.at(date(2026, 4, 28), lambda day: life.swap_and_send(day, craft["Q-SKL"], "L1", made["33121"]) and None)

    # Promised to two orders while it lies there.
    for day, order in ((date(2026, 9, 8), "AO-2611"), (date(2026, 10, 6), "AO-2644")):
        fleet.at(
            day,
            lambda today, order=order: fleet.transfer(
                today, made["33130"], "store", store=ref.MAIN_STORE, bin=made["33130"].bin, order=order
            ),
        )
    # The wide spare lies long: its storage check is done in time.
    fleet.at(date(2025, 4, 8), lambda day: fleet.done(made["33401"], "STO", day, "release"))

    # Overhauled and released, but nobody recorded that it is serviceable again.
    def off(day: date) -> None:
        unit = made["20122"]
        fleet.swap(
            day,
            craft["Q-SKE"],
            "L1",
            _spare(life, unit, day),
            removal_kind="unscheduled",
            defect="Handle stiff",
        )
        new = craft["Q-SKE"].doors["L1"]
        assert new is not None
        life.fitted(new, day)
        life.send(unit, day, days=40, back={"condition": None})

    fleet.at(date(2025, 12, 9), off)
    fleet.at(date(2026, 3, 24), lambda day: life.swap_and_send(day, craft["Q-SKE"], "L1", made["20122"]) and None)

    # Its reservoir went for a test in August and has not come back.
    def robbed(day: date) -> None:
        bottle = made["20120"].children.pop("reservoir")
        fleet.transfer(
            day, bottle, "shop", organisation=ref.SHOP, order="RO-9033", condition="unserviceable", reference="leak"
        )

    life.fleet.at(date(2025, 3, 12), lambda day: _overhaul_in_time(life, made["20120"], day))
    fleet.at(date(2026, 8, 12), robbed)


def _overhaul_in_time(life: Life, unit: Unit, day: date) -> None:
    """Through the shop and back on its own door, so that only its reservoir is wrong with it."""
    fleet, craft = life.fleet, life.fleet.aircraft["Q-SKE"]
    fleet.swap(day, craft, "R2", _spare(life, unit, day))
    new = craft.doors["R2"]
    assert new is not None
    life.fitted(new, day)
    life.send(unit, day, days=48)
    fleet.at(date(2025, 7, 22), lambda today: life.swap_and_send(today, craft, "R2", unit) and None)


def _variations(life: Life, made: dict[str, Unit]) -> None:
    fleet, craft = life.fleet, life.fleet.aircraft

    def vary(unit: Unit, requirement: str, day: date, **more: Any) -> None:
        fleet.rows["variations"].append(
            {
                **unit.name,
                "requirement": requirement,
                "approved_on": day.isoformat(),
                "approved_by": "S-501",
                **more,
            }
        )

    # An inspection in flight hours, carried on under a variation that is in force.
    late = made["L511"]

    def hours(day: date) -> None:
        due = life.inspection_due.pop(late.serial)
        start = craft["Q-SKM"].totals[OPENED][0] - late.minutes
        vary(late, "INS", day, until_hours=due + start + 250 * 60, reference="SKARHOLM variation 26-07")

    life.inspection_due[late.serial] = _hours_in_november(life, late)
    fleet.at(date(2026, 11, 6), hours)
    # An overhaul under a variation that ended when the unit left the aircraft.
    fleet.at(
        date(2026, 9, 18),
        lambda day: vary(made["33123"], "OVH", day, until="2026-12-31", reference="SKARHOLM variation 26-05"),
    )

    def leave(day: date) -> None:
        unit = made["33123"]
        fleet.swap(
            day,
            craft["Q-SKM"],
            "L1",
            _spare(life, unit, day),
            to=ref.LINE_STORE,
            stated=True,
            removal_kind="convenience",
            removed_condition="serviceable",
        )
        new = craft["Q-SKM"].doors["L1"]
        assert new is not None
        life.fitted(new, day)

    fleet.at(date(2026, 10, 28), leave)


def _hours_in_november(life: Life, unit: Unit) -> int:
    """The inspection's due point, in hours since new, such that it is passed in the middle of this November.

    The overhaul from which it counts is restated by the hours that make it so.
    """
    air = life.fleet.aircraft["Q-SKM"]
    due = unit.minutes + air.totals[date(2026, 11, 13)][0] - air.totals[OPENED][0] - 130
    while due - INSPECTED_EVERY > unit.minutes:
        due -= INSPECTED_EVERY
    rows = life.fleet.rows["accomplishments"]
    row = next(row for row in rows if row["serial_number"] == unit.serial and row["requirement"] == "OVH")
    row["hours_since_new"] = due - INSPECTED_EVERY
    row["cycles_since_new"] = unit.cycles - int((unit.minutes - row["hours_since_new"]) / 590 * 4.1)
    papers = life.fleet.rows["certificates"]
    paper = next(paper for paper in papers if paper["tracking_number"] == row["certificate"])
    paper["cycles_since_new"] = row["cycles_since_new"]
    return due


def _last_days(life: Life, made: dict[str, Unit]) -> None:
    fleet, craft = life.fleet, life.fleet.aircraft

    # A swap whose log page was mislaid: done 2026-10-21, recorded on 2026-11-24.
    def mislaid(day: date) -> None:
        life.swap_and_send(day, craft["Q-SKF"], "L1", _spare(life, made["20124"], day), stated=True)

    fleet.at(date(2026, 10, 21), mislaid)

    # A pack released overhauled in March whose reservoir was tested long before.
    def out(day: date) -> None:
        unit = made["20125"]
        fleet.swap(day, craft["Q-SKG"], "L1", _spare(life, unit, day))
        new = craft["Q-SKG"].doors["L1"]
        assert new is not None
        life.fitted(new, day)
        bottle = unit.children["reservoir"]
        fleet.at(
            date(2025, 11, 3),
            lambda today: fleet.transfer(
                today, unit, "shop", organisation=ref.SHOP, order="RO-9041", condition="unserviceable"
            ),
        )
        fleet.at(date(2026, 2, 20), lambda today: _other_bottle(life, unit, bottle, today))
        fleet.at(date(2026, 3, 10), lambda today: life.released(unit, today, ref.SHOP, "RO-9041", basis="none"))

    fleet.at(date(2025, 10, 28), out)
    fleet.at(date(2026, 4, 2), lambda day: life.swap_and_send(day, craft["Q-SKG"], "L1", made["20125"]) and None)

    # Off for a leak, no spare: the door is empty.
    def emptied(day: date) -> None:
        fleet.swap(
            day,
            craft["Q-SKJ"],
            "R4",
            None,
            stated=True,
            removal_kind="unscheduled",
            defect="Gauge below the green band",
        )

    fleet.at(date(2026, 11, 20), emptied)

    # No totals in the log, and no reading since: the boundary is provisional.
    def provisional(day: date) -> None:
        life.swap_and_send(day, craft["Q-SKE"], "R1", _spare(life, made["20127"], day), stated=False)

    fleet.at(date(2026, 11, 18), provisional)
    fleet.at(date(2026, 10, 30), lambda day: _new_dash(life, day))
    fleet.at(date(2026, 9, 28), lambda day: _before_parking(life, day))
    _strays(life)


def _before_parking(life: Life, day: date) -> None:
    """The doors of the aircraft that is parked are tested a last time, so that nothing lapses while it stands."""
    for unit in life.fleet.aircraft[ref.PARKED].doors.values():
        if unit is not None and life.test_due[unit.serial] < date(2027, 4, 1):
            life.fleet.done(unit, "FNT", day, "log")
            life.test_due[unit.serial] = months_later(day, 24)


def _other_bottle(life: Life, pack: Unit, old: Unit, day: date) -> None:
    fleet = life.fleet
    steel = life.reservoir("TH-410-2", date(2016, 10, 1), date(2024, 11, 1))
    steel.store, steel.bin = ref.MAIN_STORE, fleet.free_bin(ref.MAIN_STORE)
    fleet.opening(steel, date(2025, 1, 15), operations_since_new=41)
    fleet.mark(steel, date(2024, 11, 1))
    _nothing_filled(life, steel, date(2025, 1, 16))
    tracking = fleet.certificate(steel, ref.OTHER_SHOP, date(2024, 11, 28), "Tested")
    fleet.transfer(day, old, "store", store=ref.MAIN_STORE, bin=fleet.free_bin(ref.MAIN_STORE), condition="serviceable")
    fleet.transfer(
        day,
        steel,
        "parent",
        parent_part_number=pack.part,
        parent_serial_number=pack.serial,
        slot="reservoir",
        condition="serviceable",
        certificate=tracking,
        certificate_organisation=ref.OTHER_SHOP,
    )
    fleet.filled(steel, day + timedelta(days=4))
    steel.store = steel.bin = None
    pack.children["reservoir"] = steel


def _new_dash(life: Life, day: date) -> None:
    """A dash number that nobody has put into the programme yet; it came in yesterday."""
    fleet = life.fleet
    unit = Unit("KV-2100-9", "29001", ref.PACKS, date(2026, 9, 1), ordinary=False)
    unit.store, unit.bin = ref.MAIN_STORE, fleet.free_bin(ref.MAIN_STORE)
    fleet.opening(unit, date(2026, 11, 24), hours_since_new=0, cycles_since_new=0, harness="left")
    fleet.certificate(unit, ref.PACKS, day, "New")


def _strays(life: Life) -> None:
    """A paper for a serial that is nobody's; an item without a serial; a borrowed pack."""
    fleet = life.fleet
    nobody = Unit("KV-2100-3", "20999", ref.PACKS, date(2019, 1, 1))
    fleet.certificate(nobody, ref.OTHER_SHOP, date(2026, 7, 7), "Overhauled")
    cell = Unit("LC-20-1", "OWN:SK-0001", ref.CELLS, date(2022, 7, 1), ordinary=False)
    cell.store, cell.bin = ref.LINE_STORE, fleet.free_bin(ref.LINE_STORE)
    fleet.opening(cell, batch="LC20-2207")
    fleet.certificate(
        cell,
        ref.CELLS,
        date(2022, 8, 1),
        "New",
        serial_number="N/A",
        batch="LC20-2207",
        filed_part_number=cell.part,
        filed_serial_number=cell.serial,
        filed_manufacturer=ref.CELLS,
    )
    loan = life.pack(
        "KV-3300-2",
        "33290",
        date(2021, 3, 1),
        date(2026, 5, 19),
        store=ref.LINE_STORE,
        as_of=date(2026, 8, 3),
        shop=ref.OTHER_SHOP,
        opening={"harness": "left", "owner": ref.OTHER_SHOP, "return_by": "2026-12-15"},
    )
    loan.ordinary = False


def two_programmes(life: Life) -> None:
    """A pack of an aircraft under the airline's programme goes on the leased one, which flies under its owner's.

    It comes after everything else and draws on chance of its own, so that the rest of the fleet stays as it is.
    """
    fleet = life.fleet
    chance, fleet.random = fleet.random, Random(8001)
    since = date.fromisoformat(ref.TINY_FROM)
    own = _tiny_aircraft(fleet, ref.OWN, "8001", since, 1_430_000, 29_100)
    other = _tiny_aircraft(fleet, ref.LEASED, "8002", since, 1_512_000, 30_800)
    hanging = _tiny_pack(fleet, "18001", own, since)
    spare = _tiny_pack(fleet, "18002", None, since, part=ref.TINY_ALTERNATE)
    loaned = _tiny_pack(fleet, "18003", other, since)
    fleet.swap(date(2026, 8, 18), own, "L1", spare, stated=True, removal_kind="convenience")
    fleet.certificate(hanging, ref.SHOP, date(2026, 8, 31), "Inspected/Tested")
    fleet.transfer(
        date(2026, 9, 2), hanging, "store", store=ref.MAIN_STORE, bin="A-90", condition="serviceable", harness="left"
    )
    fleet.swap(date(2026, 9, 16), other, "L1", hanging, stated=True, removed_to="scrap", removed_to_name=None)
    loaned.store = None
    fleet.random = chance


def _tiny_aircraft(fleet: Fleet, registration: str, serial: str, day: date, minutes: int, cycles: int) -> Aircraft:
    craft = Aircraft(registration, serial, ref.TINY)
    while day <= LAST:
        craft.totals[day] = (minutes, cycles)
        read = {"registration": registration, "date": day.isoformat(), "hours_total": minutes, "cycles_total": cycles}
        fleet.rows["readings"].append(read)
        minutes, cycles = minutes + fleet.random.randint(150, 330), cycles + fleet.random.randint(3, 8)
        day += timedelta(days=1)
    return craft


def _tiny_pack(fleet: Fleet, serial: str, craft: Aircraft | None, since: date, *, part: str = ref.TINY_PACK) -> Unit:
    """A pack overhauled in 2025, on the aircraft or in stores."""
    unit = Unit(part, serial, ref.PACKS, date(2019, 4, 1), ordinary=False)
    unit.minutes, unit.cycles = 510_000, 10_400
    counts: dict[str, Any] = {"hours_since_new": unit.minutes, "cycles_since_new": unit.cycles, "harness": "left"}
    if craft is not None:
        unit.aircraft, unit.position, unit.fitted = craft, "L1", since
    else:
        unit.store, unit.bin = ref.MAIN_STORE, "A-91"
    fleet.opening(unit, since, **counts)
    tracking = fleet.certificate(unit, ref.SHOP, date(2025, 11, 24), "Overhauled")
    fleet.done(unit, "OVH", date(2025, 11, 24), "release", certificate=tracking, certificate_organisation=ref.SHOP)
    return unit

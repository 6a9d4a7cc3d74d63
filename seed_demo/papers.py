"""Papers picked by hand: lawful ones of several lines and under two authorities, and one of each that is wrong.

Most are of reservoirs, before the records begin, so that they change nothing else.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import reference as ref
from fleet import SHOP_MARKS
from life import Life


class Desk:
    """Writes lines of certificates of reservoirs that were in packs when the records began."""

    def __init__(self, life: Life) -> None:
        self.fleet = life.fleet
        self.within = {
            row["parent_serial_number"]: row["serial_number"]
            for row in self.fleet.rows["units"]
            if row["part_number"] == "TH-880-1" and row.get("parent_serial_number")
        }

    def line(self, number: str, pack: str | None, day: date, **more: Any) -> None:
        """A line for the reservoir of the pack, Inspected/Tested by the shop unless `more` says otherwise."""
        serial = self.within[pack] if pack is not None else "N/A"
        self.fleet.rows["certificates"].append(
            {
                "tracking_number": number,
                "organisation": ref.SHOP,
                "part_number": "TH-880-1",
                "serial_number": serial,
                "status": "Inspected/Tested",
                "date": day.isoformat(),
                "form": ref.form_of(day),
                "side": "maintenance",
                "item": "1",
                "authority": ref.AUTHORITY,
                "approval": "Q.145.0021",
                "quantity": 1,
                "signatory": f"{SHOP_MARKS[ref.SHOP]} {10 + day.day % 7}",
                "document": f"scan/{number}.pdf",
                **more,
            }
        )


def wrong(life: Life) -> None:
    """Everything about papers that the page of the demo lists, and the lawful ones beside it."""
    desk = Desk(life)
    _lawful(desk)
    _of_forms(desk)
    _of_corrections(desk)
    _of_approvals(desk)
    _too_many_cycles(desk)


def _lawful(desk: Desk) -> None:
    """Three serials of one item; a release under two authorities; a correction on either form."""
    for pack in ("33201", "33202", "33203"):
        desk.line("SHC-23-0801", pack, date(2023, 5, 8), quantity=3)
    desk.line(
        "SHC-23-0802",
        "33204",
        date(2023, 5, 9),
        second_authority=ref.OTHER_AUTHORITY,
        second_approval="QEY145S",
        remarks="Tested to the component manual. Released under approval QEY145S as well.",
    )
    desk.line("SHC-23-0803", "33205", date(2023, 5, 10), description="Resevoir")
    desk.line(
        "SHC-23-0804",
        "33205",
        date(2023, 5, 16),
        corrects="SHC-23-0803",
        remarks="Corrects block 7 of certificate SHC-23-0803 dated 10 May 2023. Does not cover conformity, condition "
        "or release to service.",
    )
    again = {"organisation": ref.OTHER_SHOP, "form": ref.OTHER_FORM, "authority": ref.OTHER_AUTHORITY}
    again |= {"approval": "Q.145.0034", "signatory": "ORO 12", "status": "Inspected and Tested"}
    desk.line("ORO-23-0810", "33207", date(2023, 5, 17), corrects="ORO-23-0810", remarks="Block 7 corrected.", **again)


def _of_forms(desk: Desk) -> None:
    fourth = {"form": "CAA Form 1"}
    desk.line("SHC-23-0820", "33208", date(2023, 6, 1), status="Serviceable")
    lot = {"part_number": "LC-20-1", "serial_number": "none", "quantity": 12, "batch": "LC20-2301"}
    desk.line("SHC-23-0821", None, date(2023, 6, 2), **lot)
    other = {"organisation": ref.OTHER_SHOP, "form": ref.OTHER_FORM, "authority": ref.OTHER_AUTHORITY}
    other |= {"approval": "Q.145.0034", "signatory": "ORO 12"}
    desk.line("ORO-23-0822", "33209", date(2023, 6, 5), **other)
    desk.line("ORO-23-0822", None, date(2023, 6, 5), part_number="LC-20-1", serial_number="B20001", item="2", **other)
    desk.line("SHC-23-0823", "33210", date(2023, 6, 6), **fourth)
    desk.line("SHC-23-0823", "33211", date(2023, 6, 6), item="2", status="New", side="production", **fourth)
    desk.line("SHC-23-0824", "33212", date(2023, 6, 7), form="Form One")
    desk.line("SHC-20-0825", "33213", date(2020, 11, 30), **fourth)
    desk.line("SHC-23-0826", "33214", date(2023, 6, 8), second_authority=ref.OTHER_AUTHORITY)
    desk.line("SHC-23-0827", "33215", date(2023, 6, 9), quantity=3)


def _of_corrections(desk: Desk) -> None:
    desk.line(
        "SHC-23-0830", "33216", date(2023, 6, 12), corrects="SHC-23-0799", remarks="Corrects block 10 of SHC-23-0799."
    )
    desk.line("SHC-23-0831", "33218", date(2023, 6, 13), corrects="SHC-23-0831", remarks="SHC-23-0831, block 12.")
    desk.line(
        "SHC-23-0832", "33205", date(2023, 5, 3), corrects="SHC-23-0803", remarks="Corrects block 5 of SHC-23-0803."
    )


def _of_approvals(desk: Desk) -> None:
    desk.line(
        "GCT-23-0840",
        "33219",
        date(2023, 2, 10),
        organisation=ref.TESTERS,
        approval="Q.145.0077",
        signatory="GCT 2",
    )
    desk.line("SHC-23-0841", "33220", date(2023, 6, 14), approval="Q.145.0034")
    desk.line(
        "YSS-23-0842",
        "33206",
        date(2023, 6, 15),
        organisation=ref.STRANGERS,
        approval="Q.145.0099",
        signatory="YSS 5",
    )


def _too_many_cycles(desk: Desk) -> None:
    """The paper of an over-wing slide says nine hundred cycles more than the work that rests on it."""
    rows = desk.fleet.rows["certificates"]
    paper = next(row for row in rows if row["serial_number"] == "L504" and row["status"] == "Overhauled")
    paper["cycles_since_new"] += 900

"""Receipts, decisions, what lies in stores and an evidence pack, invented."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fleetlife.terms.evidence import Concerned, EvidencePack, PackDocument
from fleetlife.terms.stores import Cause, DecisionRecorded, StoresList, StoresRow, UnitReceived

from . import invented as given
from . import invented_story as told

HEAD = "5f36508c8516fb71" * 4
ON = "2026-11-24"
GOOD = UnitReceived(
    entry=12_050,
    ledger_head=HEAD,
    name="KW-4100-3 0417",
    introduced=False,
    place="store Main store, bin A-12",
    hold=None,
    causes=(),
)
TEXTS = (
    ("certificate FR-22-0871 bears other numbers (KW-4100-3 0471)", False),
    ("marked 2021-11, recorded 2024-11", False),
    ("damage seen (cover torn at the girt, about a hand long, webbing not looked at)", True),
)
HELD = replace(
    GOOD,
    introduced=True,
    hold=f"receipt of {ON}: {', '.join(text for text, _ in TEXTS)}",
    causes=tuple(Cause(on=ON, text=text, decided=decided) for text, decided in TEXTS),
    told=("Its data plate was not read.", "Nobody looked for damage."),
    cautions=("Follow the current approved maintenance data.", "Stored gas: an armed unit can inflate."),
)
SUSPECTED = DecisionRecorded(
    entry=12_051,
    ledger_head=HEAD,
    name="KW-4100-3 0417",
    decision="suspected",
    hold="suspected unapproved part (serial number re-stamped)",
    told=("KW-4100-3 0471 is recorded as KW-4100-3 0417 since entry 12001.",),
)
LIFTED = replace(SUSPECTED, decision="lifted", hold=None, told=())


def row(serial: str, **fields: Any) -> StoresRow:
    usual: dict[str, Any] = {
        "store": "Main store",
        "bin": "A-12",
        "part_number": "KW-4100-3",
        "manufacturer": "Gannet Marine",
        "description": "Slide pack",
        "side": "left",
        "rig": "either",
        "condition": "serviceable",
        "hold": None,
        "suspected": False,
        "since": "2026-03-01",
        "state": "in date",
        "requirement": "OVH",
        "of_part_number": None,
        "of_serial_number": None,
        "due_date": "2027-11-01",
        "due_if_fitted": None,
        "days_left": 341,
        "hours_left": None,
        "cycles_left": None,
        "operations_left": None,
        "estimated": False,
        "unknown_rows": 0,
    }
    return StoresRow(serial_number=serial, **usual | fields)


NONE_LEFT: dict[str, Any] = {"days_left": None, "due_date": None}
ROWS = (
    row("0404", state="overdue", days_left=-56, hours_left=-83_600, due_date="2026-09-30", condition="unserviceable"),
    row("0405", state=None, requirement=None, **NONE_LEFT),
    row("0406", state="unknown", unknown_rows=2, **NONE_LEFT),
    row("0407", hold=HELD.hold, suspected=True, estimated=True, cycles_left=1_500, hours_left=72_001),
    row("0408", requirement="HST", of_part_number="SV-RES-88", of_serial_number="R-2201", unknown_rows=1),
    row("0409", state="waiting", requirement="FNT", due_if_fitted="2028-11-25", **NONE_LEFT),
    row("0410", state="in date", requirement="CND", **NONE_LEFT),
    row("OWN:SK-0000000000000000000000000000001", part_number="KW-4100-3-0000000000000000000000000000001"),
    row("0411", store=None, bin=None, side="unknown", operations_left=3),
)
LISTED = StoresList(about=given.about("stores list"), rows=ROWS, on_hold=1, suspected=1)
EMPTY = replace(LISTED, rows=(), on_hold=0, suspected=0)

PAPERS = (
    PackDocument(
        document="sha256:" + "ab" * 32 + ".pdf",
        named_by="certificate FR-22-0871 of Far Reef Overhaul, entry 871",
        state="kept",
        file="documents/" + "ab" * 32 + ".pdf",
        sha256="ab" * 32,
        bytes=48_210,
    ),
    PackDocument(
        document="scan/FR-19-0044.pdf",
        named_by="certificate FR-19-0044 of Far Reef Overhaul, entry 212",
        state="elsewhere",
        file=None,
        sha256=None,
        bytes=None,
    ),
)
FILES = [("card.txt", "cd" * 32, 2_048), (PAPERS[0].file or "", "ab" * 32, 48_210)]
CONCERNED = tuple(
    Concerned(
        part_number="KW-4100-3",
        serial_number=serial,
        manufacturer="Gannet Marine",
        place=place,
        hold=hold,
        why=why,
        shared=shared,
        entry=entry,
    )
    for serial, place, hold, why, shared, entry in (
        ("0418", "Q-TRN L1", None, "same certificate", "certificate FR-22-0871 of Far Reef Overhaul", 871),
        ("0419", "store Main store, bin A-13", "suspect paper", "same delivery", "delivery note DN-9", 990),
        ("0420", "Q-TRN R1", None, "same organisation", "Far Reef Overhaul", 640),
    )
)
EVIDENCE = EvidencePack(
    about=given.about("stores evidence-pack"),
    name="KW-4100-3 0417",
    card=given.UNIT,
    story=told.STORY,
    papers=(),
    not_filed=(),
    received=(f"{ON} suspected unapproved part by S-204: serial number re-stamped (entry 12051)",),
    suspected="serial number re-stamped",
    findings=(),
    concerned=CONCERNED,
    named=(),
)
BARE = replace(EVIDENCE, received=(), suspected=None, concerned=())

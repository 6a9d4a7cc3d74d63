"""Invented publications, with the longest numbers among them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from fleetlife.terms.asked import AFFECTED, CANNOT_BE_TOLD, ModificationLine, PublicationRow
from fleetlife.terms.publications import (
    PublicationList,
    PublicationStatus,
    PublicationSummary,
    PublicationTold,
    UnitsLookedAt,
)

from . import invented as given

TOLD = PublicationTold(
    publication="QD-2026-014",
    revision="2",
    kind="emergency_directive",
    mandatory=True,
    issuer="Skarholm Aviation Office",
    title="Springs of the inflation valve",
    effective_on="2026-03-01",
    standing="in force",
    entry=4_101,
    supersedes="QD-2024-008; QD-2025-021",
    names=("SL-100-*, of Kittiwake, serials 0001 to 0400, except 0120; 0130 to 0135, group 1", "not SL-100-9"),
    asks=(
        "replace springs, group 1: by 2026-10-31 or 500 FC after the effective date, whichever last; closed by "
        "modification M-77, or work recorded as QD-2026-014",
    ),
)


def row(serial: str, state: str, reason: str, **more: Any) -> PublicationRow:
    told: dict[str, Any] = {
        "publication": "QD-2026-014",
        "revision": "2",
        "kind": "emergency_directive",
        "mandatory": True,
        "affected": AFFECTED,
        "why_affected": f"Its part number is SL-100-1, which SL-100-* means. Serial {serial} lies in 0001 to 0400.",
        "place": "store Main store, bin B-4",
        "part_number": "SL-100-1",
        "manufacturer": "Kittiwake",
        "unit": 1,
        "action": "replace springs",
        "group": "1",
        "closes": "modification M-77, or work recorded as QD-2026-014",
        "publication_entry": 4_101,
        "ask_entry": 4_103,
    }
    return PublicationRow(serial_number=serial, state=state, state_reason=reason, **{**told, **more})


ROWS = (
    row(
        "0007",
        "overdue",
        "Due 2026-10-31 by the calendar, 25 days before 2026-11-25.",
        registration="Q-AAA",
        position="L1",
        due_date="2026-10-31",
        days_left=-25,
        hours_left=-73_304,
        basis="by 2026-10-31; effective 2026-03-01",
    ),
    row(
        "AX-0120",
        "unknown",
        "Whether it applies cannot be told. Serial AX-0120 is in another form than 0001 to 0400.",
        affected=CANNOT_BE_TOLD,
        why_affected="Serial AX-0120 is in another form than 0001 to 0400.",
        place="shop Outer Reef Overhaul",
    ),
    row(
        "0009",
        "unknown",
        "Not known in cycles: What the unit had run on the effective date of the publication is not known.",
        registration="Q-AAB",
        position="R2",
        unknown_measures="cycles: no-count-at-effective-date",
    ),
    row(
        "0011",
        "in date",
        "Due at 12,000 airframe cycles; 11,400 projected for 2026-11-25 from the reading of 2026-11-20, 600 left.",
        registration="Q-AAC",
        position="L2",
        due_date="2027-05-02",
        due_earliest="2027-04-11",
        cycles_left=600,
        airframe_cycles_due=12_000,
        estimated=True,
        basis="effective 2026-03-01",
        unknown_measures="hours: no-count-since-new",
        last_done="2026-04-01",
    ),
    row(
        "0012",
        "in date",
        "Closed by modification M-77, certificate FR-26-0091 on 2026-05-04 (entry 4,311).",
        closed_by="modification M-77, certificate FR-26-0091",
        closed_on="2026-05-04",
        closed_entry=4_311,
        closes=None,
    ),
)
STATUS = PublicationStatus(
    about=given.about("publication status"),
    told=TOLD,
    rows=ROWS,
    units=UnitsLookedAt(looked_at=4_120, affected=4, not_affected=4_115, cannot_be_told=1),
    others=(replace(TOLD, revision=None, effective_on="2025-11-01", standing="earlier revision"),),
    not_checked=("units that are not in these records",),
)
SUPERSEDED = replace(
    STATUS,
    told=replace(TOLD, standing="superseded", instead="QD-2026-099", supersedes=None),
    rows=ROWS[:1],
    others=(),
)
NOBODY = replace(
    STATUS,
    told=replace(TOLD, names=(), asks=(), revision=None),
    rows=(),
    others=(),
    units=UnitsLookedAt(looked_at=4_120, affected=0, not_affected=0, cannot_be_told=4_120),
)
LONG_NUMBERS = replace(
    STATUS,
    told=replace(TOLD, publication="Q" * 44, title=None),
    rows=(replace(ROWS[0], part_number="P" * 40, serial_number="S" * 40), replace(ROWS[1], action="x" * 90)),
)
LIST = PublicationList(
    about=given.about("publication list"),
    rows=(
        PublicationSummary(told=TOLD, affected=1_204, open=311, overdue=1, unknown=1, closed=893, cannot_be_told=12),
        PublicationSummary(
            told=replace(TOLD, publication="KV-SL-26-03", revision=None, kind="letter", title=None),
            cannot_be_told=4_120,
        ),
        PublicationSummary(told=replace(TOLD, publication="QD-2024-008", standing="superseded", instead="QD-2026-014")),
    ),
    units=4_120,
)
NO_LIST = replace(LIST, rows=(), units=0)
UNIT = replace(
    given.UNIT,
    publications=ROWS[:1],
    modifications=(
        ModificationLine(modification="M-12", status="embodied", on="2024-04-01", paper="FR-24-0007", entry=911),
        ModificationLine(modification="M-70", status="not embodied", on="2026-05-04", paper="CARD 12", entry=4_200),
        ModificationLine(modification="M-77", status="not known", asked_by=("QD-2026-014",)),
    ),
)

"""Audits that were sampled, and audits held against an earlier one."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.audited import Closed, Sample, SampledUnit, Since

from . import invented as given

SAMPLED = replace(
    given.AUDIT,
    findings=given.AUDIT.findings[1:2],
    counts=(("stop", 1), ("rectify", 0), ("note", 0)),
    waived=0,
    units_examined=3,
    sample=Sample(
        seed="2026-11-25 hangar 2",
        asked=3,
        population=4_120,
        units=(
            SampledUnit(
                part_number="KW-4100-3", serial_number="00789", manufacturer="Kittiwake", place="Q-GUL L1", findings=1
            ),
            SampledUnit(
                part_number="KW-4100-3",
                serial_number="0O17",
                manufacturer=None,
                place="slot reservoir of a very long part number KW-4100-3-LEFT 000000000000000001",
            ),
            SampledUnit(part_number="RB-7", serial_number="9", manufacturer="Kittiwake", place="store MAIN, bin 4"),
        ),
    ),
)
COMPARED = replace(
    given.AUDIT,
    since=Since(
        moment="2026-11-01",
        entry=1_235,
        head="0123456789abcdef" * 4,
        as_of="2026-11-01",
        new=frozenset({given.STALE.number}),
        stood=len(given.AUDIT.findings) - 1,
        closed=(
            Closed(finding=replace(given.SWAP_STOP, status="open"), entries=(1_240, 1_244)),
            Closed(finding=replace(given.STALE, registration="Q-PUF", airframe=None), entries=()),
        ),
    ),
)
NOTHING_NEW = replace(COMPARED, since=replace(COMPARED.since, new=frozenset(), closed=()))  # type: ignore[type-var]

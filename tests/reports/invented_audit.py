"""Audits that were sampled, and audits held against an earlier one."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.audited import Closed, OrganisationPapers, Sample, SampledUnit, Since
from fleetlife.terms.finding import Evidence, Finding
from fleetlife.terms.shared import ElseUnit, WhoElse

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
PATTERNS = replace(
    given.AUDIT,
    scope="the whole fleet; finding PAT101, PAT102",
    findings=(
        Finding(
            code="PAT102",
            name="papers-often-disagree",
            severity="note",
            message="3 of 9 (33.3 %) lines of Gannet Repair disagree with their units, 2 of 260 (0.8 %) of all others.",
            hint="Look at all its papers; fleetlife certificate GR-1 --who-else organisation",
            organisation="Gannet Repair",
            found="33.3 %",
            evidence=(
                Evidence(source="certificate GR-1 of Gannet Repair", says="RB-7 0019: transposed", entry=44),
                Evidence(source="certificate GR-2 of Gannet Repair", says="RB-7 O021: look-alike", entry=45),
            ),
        ),
    ),
    counts=(("stop", 0), ("rectify", 0), ("note", 1)),
    waived=0,
    checks_run=("PAT101", "PAT102"),
    organisations=(
        OrganisationPapers(organisation="Fulmar Repair", lines=260, differing=2),
        OrganisationPapers(organisation="Gannet Repair", lines=9, differing=3),
    ),
)
WHO_ELSE = WhoElse(
    about=given.about("certificate --who-else"),
    tracking_number="FR-24-0871",
    organisation="Fulmar Repair",
    common=(("visit", "WO 4471 of Fulmar Repair"), ("signatory", "FR 4"), ("organisation", "Fulmar Repair")),
    missing=("batch",),
    units=(
        ElseUnit(
            part_number="KW-4100-3",
            serial_number="00815",
            manufacturer="Kittiwake",
            standing="installed",
            place="Q-PUF L1",
            shares=("visit", "signatory", "organisation"),
            certificates=("FR-24-0872 of Fulmar Repair", "FR-24-0875 of Fulmar Repair"),
            findings=given.CERTIFICATE.findings,
        ),
        ElseUnit(
            part_number="RB-7",
            serial_number="9",
            manufacturer=None,
            standing="stores",
            place="store MAIN, bin 4",
            shares=("organisation",),
            certificates=("FR-22-0001 of Fulmar Repair",),
        ),
    ),
    not_checked=("papers filed against no unit: fleetlife audit --code PAP111",),
)
NOBODY_ELSE = replace(WHO_ELSE, units=(), common=WHO_ELSE.common[2:], missing=("batch", "visit", "signatory"))

"""Hand-written values for the golden files. Everything is invented: numbers, firms, registrations, people."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fleetlife.terms.finding import Evidence, Finding
from fleetlife.terms.views import (
    About,
    AirframeCard,
    AuditReport,
    BridgedLine,
    CertificateCard,
    Coverage,
    Door,
    DueList,
    DueRow,
    IntakeReport,
    LifeLeft,
    PaperBlock,
    PaperLine,
    Passage,
    Reason,
    Stay,
    SwapAnswer,
    SwapRecorded,
    Unfolded,
    UnfoldedUnit,
    UnitCard,
    UnknownCause,
    VerifyReport,
)

HEAD = "3f9a4c17d2e0b1a6c8845e02f77d1b93a0c6e15d4b28f9370e6ad1c25b7f8e04"


def about(question: str) -> About:
    return About(
        question=question,
        as_of="2026-11-25",
        known_at=None,
        ledger_head=HEAD,
        ledger_entry=12045,
        editions=("PUFFIN edition 7", "dangerous goods edition 2"),
        oldest_reading="2026-11-08",
        oldest_reading_airframe="Q-PUF",
    )


# --- due rows ------------------------------------------------------------------------------------------------------

PACK = {"part_number": "KW-4100-3", "manufacturer": "Kittiwake Safety"}
BOTTLE = {"part_number": "RV-77", "manufacturer": "Razorbill Gas"}

OVERDUE = DueRow(
    registration="Q-PUF",
    position="L1",
    serial_number="00815",
    requirement="OVH",
    kind="overhaul",
    state="overdue",
    state_reason="Good through 2026-11-20 by the calendar, passed 5 days before 2026-11-25.",
    driver="calendar",
    due_date="2026-11-20",
    due_earliest="2026-11-20",
    days_left=-5,
    hours_left=18_330,
    cycles_left=1_204,
    edition="7",
    reference="MM 25-60 table 2",
    basis="done 2023-11-20 (release)",
    **PACK,
)
OVERDUE_HOURS = DueRow(
    registration="Q-GUL",
    position="R2",
    serial_number="00816",
    requirement="FNC-18",
    kind="functional_test",
    state="overdue",
    state_reason="Due at 30110:00 airframe hours; 30122:30 read 2026-11-24, 12:30 past.",
    driver="hours",
    hours_left=-750,
    airframe_hours_due=1_806_600,
    readings_as_of="2026-11-24",
    **PACK,
)
SOFT = DueRow(
    registration="Q-GUL",
    position="R1",
    serial_number="00790",
    requirement="SOFT-15Y",
    kind="soft_life",
    state="overdue",
    state_reason="Good through 2026-10-31 by the calendar. A soft life is listed and stops nothing.",
    driver="calendar",
    due_date="2026-10-31",
    due_earliest="2026-10-31",
    days_left=-25,
    **PACK,
)
NO_REFILL = DueRow(
    registration="Q-PUF",
    position="L2",
    serial_number="R-1177",
    parent_part_number="KW-4100-3",
    parent_serial_number="00822",
    requirement="HST",
    kind="requalification",
    state="no refill",
    state_reason="Good through 2026-10-31 by the calendar. It was filled before that date and not since: it may stay "
    "until emptied, not be refilled.",
    driver="calendar",
    due_date="2026-10-31",
    due_earliest="2026-10-31",
    days_left=-25,
    **BOTTLE,
)
VARIED = DueRow(
    registration="Q-TRN",
    position="R1",
    serial_number="00801",
    requirement="OVH",
    kind="overhaul",
    state="in variation",
    state_reason="Good through 2026-12-15 by the calendar, 20 days from 2026-11-25. Under the permitted variation "
    "PV-26-004, first due 2026-11-15.",
    driver="calendar",
    due_date="2026-12-15",
    due_earliest="2026-12-15",
    original_due="2026-11-15",
    days_left=20,
    variation="PV-26-004",
    **PACK,
)
DUE_CALENDAR = DueRow(
    registration="Q-TRN",
    position="L2",
    serial_number="R-1180",
    parent_part_number="KW-4100-3",
    parent_serial_number="00804",
    requirement="HST",
    kind="requalification",
    state="due",
    state_reason="Good through 2026-12-31 by the calendar, 36 days from 2026-11-25.",
    driver="calendar",
    due_date="2026-12-31",
    due_earliest="2026-12-31",
    days_left=36,
    **BOTTLE,
)
DUE_HOURS = DueRow(
    registration="Q-TRN",
    position="L1",
    serial_number="00803",
    requirement="FNC-18",
    kind="functional_test",
    state="due",
    state_reason="Due at 29248:00 airframe hours; 28720:00 projected for 2026-11-25, 528:00 left.",
    driver="hours",
    due_date="2026-12-20",
    due_earliest="2026-12-11",
    airframe_hours_due=1_754_880,
    hours_left=31_680,
    cycles_left=2_050,
    days_left=410,
    estimated=True,
    life_quality="rebuilt",
    readings_as_of="2026-11-20",
    **PACK,
)
DUE_STORE = DueRow(
    store="North store",
    serial_number="00811",
    requirement="OVH",
    kind="overhaul",
    state="due",
    state_reason="Good through 2026-12-05 by the calendar, 10 days from 2026-11-25.",
    driver="calendar",
    due_date="2026-12-05",
    due_earliest="2026-12-05",
    days_left=10,
    **PACK,
)
DUE_PARTLY = DueRow(
    registration="Q-TRN",
    position="R2",
    serial_number="B-31",
    parent_part_number="KW-4100-3",
    parent_serial_number="00805",
    part_number="BT-9",
    requirement="RPL",
    kind="replacement",
    state="due",
    state_reason="Good through 2026-12-08 by the calendar. Not known in operations: no record since the opening.",
    driver="calendar",
    due_date="2026-12-08",
    due_earliest="2026-12-08",
    days_left=13,
    unknown_measures="operations: no-operation-record",
)
UNKNOWN_WORK = DueRow(
    registration="Q-GUL",
    position="L1",
    serial_number="00777",
    requirement="OVH",
    kind="overhaul",
    state="unknown",
    state_reason="Not known in calendar: No accomplishment of this requirement is recorded.",
    unknown_measures="calendar: no-accomplishment",
    **PACK,
)
UNKNOWN_MARK = DueRow(
    registration="Q-GUL",
    position="L1",
    serial_number="R-1001",
    parent_part_number="KW-4100-3",
    parent_serial_number="00777",
    requirement="HST",
    kind="requalification",
    state="unknown",
    state_reason="Not known in calendar: The last requalification is recorded without the mark on the cylinder.",
    unknown_measures="calendar: no-mark",
    **BOTTLE,
)
NO_PROGRAMME = DueRow(
    registration="Q-GUL",
    position="L2",
    part_number="KW-4100-9",
    serial_number="00910",
    manufacturer="Kittiwake Safety",
    state="unknown",
    state_reason="No programme: no requirement is in force for part number KW-4100-9. "
    "A unit without a programme is not clean.",
    unknown_measures="calendar: no-programme",
)
WAITING = DueRow(
    store="North store",
    serial_number="00820",
    requirement="OVH",
    kind="overhaul",
    state="waiting",
    state_reason="The calendar starts when the unit is fitted. Fitted on 2026-11-25 it would be due 2029-11-25.",
    due_if_fitted="2029-11-25",
    **PACK,
)
IN_DATE = DueRow(
    registration="Q-PUF",
    position="R1",
    serial_number="00818",
    requirement="OVH",
    kind="overhaul",
    state="in date",
    state_reason="Good through 2028-02-29 by the calendar, 461 days from 2026-11-25.",
    driver="calendar",
    due_date="2028-02-29",
    due_earliest="2028-02-29",
    days_left=461,
    operations_left=3,
    **PACK,
)
ON_CONDITION = DueRow(
    registration="Q-PUF",
    position="R2",
    part_number="GB-2",
    serial_number="OWN:GB-0007",
    requirement="OC",
    kind="on_condition",
    state="in date",
    state_reason="On condition: nothing is due by the calendar or by counts.",
)
# Two makers gave the same numbers: the maker must stand in the row.
TWIN_A = replace(IN_DATE, serial_number="00830", position="L1", registration="Q-GAN", manufacturer="Kittiwake Safety")
TWIN_B = replace(TWIN_A, position="L2", manufacturer="Guillemot Rubber")
AT_SHOP = replace(WAITING, store="shop Fulmar Repair", serial_number="00821", state="in date", due_if_fitted=None)

LONG_PART = "KW-4100-3-AMENDED-BATCH-2019-REV-C-SUPPLEMENT"
LONG_SERIAL = "2019/0000000000000000000815/A-REWORKED/0000000000000000000000000000000000000000000000000000000000000042"
LONG_ROW = replace(OVERDUE, part_number=LONG_PART, serial_number=LONG_SERIAL)
ROOMY_ROW = replace(OVERDUE, part_number="KW-4100-3-AMENDED-2019-REV", serial_number="2019/00000000815/A-REWORK")

STALE = Finding(
    code="LIF105",
    name="stale-readings",
    severity="rectify",
    message="The last reading of Q-PUF is of 2026-11-08, 17 days before 2026-11-25.",
    hint="Take in its readings: fleetlife import readings.csv",
    registration="Q-PUF",
    found="2026-11-08",
)
CAUSES = (
    UnknownCause(
        cause="no-mark",
        rows=3,
        units=3,
        sentence="The last requalification is recorded without the mark on the cylinder.",
        cleared_by="The month and year stamped on the cylinder, or the test report that states them.",
    ),
    UnknownCause(
        cause="no-accomplishment",
        rows=41,
        units=38,
        sentence="No accomplishment of this requirement is recorded, and nothing else from which it could count.",
        cleared_by="The release certificate or log page that shows the work.",
    ),
    UnknownCause(
        cause="no-operation-record",
        rows=1,
        units=1,
        sentence="No operation of the named kind is recorded since the opening statement.",
        cleared_by="The record of fillings, pressurisations or activations since then, a count of none included.",
    ),
)
COVERAGE = Coverage(
    units=4_120, with_programme=4_100, without_programme=20, unknown_rows=45, unknown_units=41, causes=CAUSES
)
CLEAN = Coverage(units=86, with_programme=86, without_programme=0, unknown_rows=0, unknown_units=0)

LISTED = (
    SOFT,
    OVERDUE,
    OVERDUE_HOURS,
    NO_REFILL,
    VARIED,
    DUE_STORE,
    DUE_PARTLY,
    DUE_HOURS,
    DUE_CALENDAR,
    UNKNOWN_WORK,
    UNKNOWN_MARK,
    NO_PROGRAMME,
    replace(NO_PROGRAMME, serial_number="00911", registration="Q-TRN"),
    replace(
        NO_PROGRAMME,
        part_number="XR-1",
        serial_number="7",
        registration=None,
        position=None,
        store="North store",
        state_reason="No programme: no requirement is in force for part number XR-1.",
    ),
)
WINDOW = DueList(
    about=about("due"),
    window_from="2026-12-01",
    window_until="2026-12-31",
    rows=LISTED,
    coverage=COVERAGE,
    findings=(STALE,),
    before_window=7,
)
EVERYTHING = DueList(
    about=replace(about("due"), known_at="2026-11-20T08:00:00.000000Z", rules=("stale readings after 14 days",)),
    window_from=None,
    window_until=None,
    rows=(*LISTED, WAITING, AT_SHOP, TWIN_A, TWIN_B, IN_DATE, ON_CONDITION),
    coverage=COVERAGE,
)
EMPTY = DueList(
    about=replace(about("due"), editions=(), oldest_reading=None, oldest_reading_airframe=None),
    window_from="2026-12-01",
    window_until="2026-12-31",
    rows=(),
    coverage=CLEAN,
)
ONLY_UNKNOWN = DueList(
    about=about("due"),
    window_from=None,
    window_until="2026-12-25",
    rows=(UNKNOWN_WORK,),
    coverage=replace(
        COVERAGE, without_programme=0, unknown_rows=1, unknown_units=1, causes=(replace(CAUSES[1], rows=1, units=1),)
    ),
)
LONG_NUMBERS = DueList(
    about=about("due"), window_from=None, window_until="2026-12-25", rows=(LONG_ROW, VARIED), coverage=CLEAN
)
ROOMY_NUMBERS = DueList(
    about=about("due"), window_from=None, window_until="2026-12-25", rows=(ROOMY_ROW, VARIED, DUE_HOURS), coverage=CLEAN
)

# --- swaps ---------------------------------------------------------------------------------------------------------

REASONS = (
    Reason(topic="place", verdict="clear", text="It is at store North store since 2026-09-01."),
    Reason(topic="place", verdict="note", text="To come off: KW-4100-3 00815."),
    Reason(
        topic="eligibility",
        verdict="condition",
        code="FIT101",
        text="KW-4100-3 may be installed at L1 of ISL-90 1001 after modification M-25-7, which is not shown for this "
        "airframe. Reference: IPC 25-66 figure 4.",
    ),
    Reason(topic="condition", verdict="clear", text="Serviceable, and not on hold."),
    Reason(
        topic="release",
        verdict="stop",
        code="PAP104",
        text="Removed on 2026-06-01 and not released since; the last release is Overhauled of 2024-03-10, certificate "
        "FR-24-0871.",
    ),
    Reason(topic="life", verdict="clear", text="KW-4100-3 00811 OVH: Good through 2026-12-05 by the calendar."),
    Reason(topic="life", verdict="stop", code="LIF102", text="RV-77 R-1001 HST: Not known in calendar: no mark."),
    Reason(
        topic="harness",
        verdict="condition",
        code="FIT102",
        text="The unit is rigged right; it must be rigged left before it is fitted at this position.",
    ),
)
CLEAR_ANSWER = SwapAnswer(
    about=about("swap check"),
    outcome="no objection in these records",
    registration="Q-PUF",
    constructor_serial="1001",
    type="ISL-90",
    position="L1",
    side="left",
    part_number="KW-4100-3",
    serial_number="00811",
    manufacturer="Kittiwake Safety",
    outgoing="KW-4100-3 00815",
    reasons=tuple(reason for reason in REASONS if reason.verdict == "clear"),
    life=(
        LifeLeft(
            part_number="KW-4100-3",
            serial_number="00811",
            requirement="OVH",
            kind="overhaul",
            state="in date",
            due_if_fitted="2029-11-25",
            hours_left=352_080,
            cycles_left=12_500,
            operations_left=None,
            text="",
        ),
        LifeLeft(
            part_number="RV-77",
            serial_number="R-1001",
            requirement="HST",
            kind="requalification",
            state="unknown",
            due_if_fitted=None,
            hours_left=None,
            cycles_left=None,
            operations_left=None,
            text="",
        ),
        LifeLeft(
            part_number="RV-77",
            serial_number="R-1001",
            requirement="LIFE-15Y",
            kind="life_limit",
            state="in date",
            due_if_fitted="2034-03-31",
            hours_left=None,
            cycles_left=None,
            operations_left=48,
            text="",
        ),
    ),
    not_checked=(
        "the physical condition of the unit and of the door",
        "the reservoir's gauge reading and its temperature",
        "the rig of the harness by eye",
    ),
    cautions=(
        "Follow the current approved maintenance data and local rules; certifying staff decide. This is not a release.",
        "Stored gas: an armed or charged unit can inflate with great force. Heavy lift at an open door.",
    ),
)
CONDITIONS_ANSWER = replace(
    CLEAR_ANSWER,
    outcome="conditions to meet first",
    outgoing=None,
    manufacturer=None,
    reasons=tuple(reason for reason in REASONS if reason.verdict != "stop"),
    life=(),
    cautions=(),
)
STOP_ANSWER = replace(CLEAR_ANSWER, outcome="do not fit", reasons=REASONS)

SWAP_STOP = Finding(
    code="PAP104",
    name="no-release-since-removal",
    severity="stop",
    message=REASONS[4].text,
    hint="fleetlife airframe Q-PUF",
    registration="Q-PUF",
    position="L1",
    part_number="KW-4100-3",
    serial_number="00811",
    status="acknowledged by C117: fitted on the night of the diversion, paper to follow",
)
RECORDED = SwapRecorded(
    entry=12_046,
    ledger_head=HEAD,
    before=(("Q-PUF L1", "KW-4100-3 00815"), ("KW-4100-3 00811", "It is at store North store since 2026-09-01.")),
    after=(
        ("KW-4100-3 00815", "shop Fulmar Repair, unserviceable"),
        ("Q-PUF L1", "KW-4100-3 00811, rigged left"),
    ),
    due=(replace(DUE_STORE, registration="Q-PUF", position="L1", store=None), NO_REFILL, WAITING),
    findings=(SWAP_STOP,),
    about=replace(about("swap record"), ledger_entry=12_046),
)
RECORDED_CLEAN = replace(RECORDED, due=(), findings=(), before=())
RECORDED_ALREADY = SwapRecorded(entry=12_046, ledger_head=HEAD, before=(), after=(), due=(), findings=(), already=True)

# --- papers --------------------------------------------------------------------------------------------------------

PAPER = PaperLine(
    tracking_number="FR-24-0871",
    organisation="Fulmar Repair",
    item="1",
    dated_on="2024-03-10",
    status="Overhauled",
    form="Form 1",
    part_number="KW-4100-3",
    serial_number="00815",
    expected_part_number="KW-4100-3",
    expected_serial_number="00815",
    part_verdict="exact",
    serial_verdict="exact",
    entry=210,
    unit="KW-4100-3 00815",
)
LOOK_ALIKE = replace(
    PAPER,
    tracking_number="FR-25-0012",
    part_number="KW-41O0-3",
    part_verdict="look-alike",
    part_marks=(("KW-41", "KW-41", True), ("O", "0", False), ("0-3", "0-3", True)),
    serial_number="O0l15",
    serial_verdict="look-alike",
    serial_marks=(("O", "0", False), ("0", "0", True), ("l", "8", False), ("15", "15", True)),
    remarks="Overhauled in accordance with the current manual.\nReservoir not part of this release.",
    entry=4_711,
)
TRANSPOSED = replace(
    PAPER,
    item="2",
    serial_number="00851",
    serial_verdict="transposed",
    serial_marks=(("008", "008", True), ("", "1", False), ("5", "5", True), ("1", "", False)),
)
SHORTER = replace(
    PAPER,
    item="3",
    part_number="KW4100-3",
    part_verdict="formatting",
    part_marks=(("KW", "KW", True), ("", "-", False), ("4100-3", "4100-3", True)),
    serial_number="815",
    serial_verdict="leading-zeros",
    serial_marks=(("", "00", False), ("815", "815", True)),
)
UNFILED = replace(
    PAPER,
    item=None,
    tracking_number="FR-25-0040",
    expected_part_number=None,
    expected_serial_number=None,
    part_verdict="unfiled",
    serial_verdict="unfiled",
    unit=None,
    form=None,
    entry=None,
)
OTHER_ALPHABET = replace(
    PAPER,
    item="4",
    serial_number="А0815",
    expected_serial_number="A0815",
    serial_verdict="look-alike",
    serial_marks=(("А", "A", False), ("0815", "0815", True)),
)
LONG_PAPER = replace(
    PAPER,
    item="5",
    part_number=LONG_PART * 3,
    expected_part_number=LONG_PART * 2 + LONG_PART.replace("SUPPLEMENT", "SUPPLEMENB"),
    part_verdict="one-character",
    part_marks=(((LONG_PART * 3)[:-1], (LONG_PART * 3)[:-1], True), ("T", "B", False)),
)
CERTIFICATE = CertificateCard(
    about=about("certificate"),
    lines=(PAPER, TRANSPOSED, SHORTER, OTHER_ALPHABET, LONG_PAPER),
    findings=(
        Finding(
            code="PAP102",
            name="serial-number-differs",
            severity="stop",
            message="The certificate FR-24-0871 of Fulmar Repair says serial 00851, the unit is 00815: transposed.",
            hint="Look at the data plate; fleetlife certificate FR-24-0871",
            registration="Q-PUF",
            position="L1",
            part_number="KW-4100-3",
            serial_number="00815",
            certificate="FR-24-0871",
            expected="00815",
            found="00851",
            published_rule="EASA Form 1, Appendix II to Part-M, block 10: the serial number, or N/A where it has none",
            evidence=(
                Evidence(source="certificate FR-24-0871 of Fulmar Repair", says="00851", entry=210),
                Evidence(source="the unit in these records", says="00815", entry=17),
            ),
        ),
    ),
)
CERTIFICATE_LOOK_ALIKE = CertificateCard(about=about("certificate"), lines=(LOOK_ALIKE,))
CERTIFICATE_UNFILED = CertificateCard(about=about("certificate"), lines=(UNFILED,))
CERTIFICATE_BY_BLOCKS = CertificateCard(
    about=about("certificate"),
    lines=(PAPER, replace(PAPER, item="2", serial_number="00816", expected_serial_number="00816", entry=211)),
    form="FAA Form 8130-3 (02-14)",
    editions=("FAA Form 8130-3 (02-14)",),
    blocks=(
        PaperBlock(line=None, block="1", holds="approving authority and country", says="Eyland", from_memory=True),
        PaperBlock(line=None, block="3", holds="form tracking number", says="FR-24-0871"),
        PaperBlock(line=None, block=None, holds="second authority", says="Skarholm"),
        *(
            block
            for line, serial in ((1, "00815"), (2, "00816"))
            for block in (
                PaperBlock(line=line, block="6", holds="item", says=str(line), from_memory=True),
                PaperBlock(line=line, block="10", holds="serial number", says=serial),
                PaperBlock(line=line, block="11", holds="status or work", says="Overhauled"),
                PaperBlock(
                    line=line,
                    block="12",
                    holds="remarks",
                    says="Overhauled in accordance with the current manual, revision 9. Released under the approval "
                    "of the second authority as well.\nReservoir not part of this release.",
                ),
            )
        ),
    ),
)
CERTIFICATE_NO_NUMBERS = CertificateCard(
    about=about("certificate"),
    lines=(PAPER,),
    form="Form One",
    blocks=(
        PaperBlock(line=None, block=None, holds="form", says="Form One"),
        PaperBlock(line=1, block=None, holds="serial number", says="00815"),
    ),
)

# --- cards ---------------------------------------------------------------------------------------------------------

UNIT = UnitCard(
    about=about("unit"),
    part_number="KW-4100-3",
    serial_number="00815",
    manufacturer="Kittiwake Safety",
    description="Slide pack, forward door",
    own_tracking=False,
    batch=None,
    manufactured="2012-Q3",
    part_numbers_borne=("KW-4100-1", "KW-4100-3"),
    place="Q-PUF L1",
    condition="serviceable",
    hold=None,
    harness="left",
    rig="either",
    hours_since_new="~24118:35 at the reading of 2026-11-08",
    cycles_since_new="~11402 at the reading of 2026-11-08",
    life_quality="rebuilt",
    owner="Storm Petrel Leasing",
    children=("reservoir: RV-77 R-1177", "battery: BT-9 B-31"),
    due=(
        OVERDUE,
        replace(NO_REFILL, position="L1", parent_serial_number="00815"),
        replace(DUE_PARTLY, registration="Q-PUF", position="L1", parent_serial_number="00815", state="in date"),
    ),
    stays=(
        Stay(
            since="2023-12-01",
            until="2025-06-01 #10",
            place="Q-TRN R1",
            harness="right",
            condition="serviceable",
            hours="20248:00 to 24380:00",
            cycles="1186 to 4288",
            basis="opening, bounded",
            entry=14,
        ),
        Stay(
            since="2025-06-01 #10",
            until="2025-08-11 at the latest",
            place="shop Fulmar Repair",
            harness="unknown",
            condition="unserviceable",
            entry=4_402,
        ),
        Stay(
            since="2025-08-12",
            until=None,
            place="Q-PUF L1",
            harness="left",
            condition="serviceable",
            hours="30012:10 to now",
            cycles="15020 to now",
            basis="stated",
            entry=4_690,
        ),
    ),
    papers=(PAPER, LOOK_ALIKE),
    done=(
        "2023-11-20 OVH, by release, at 19870:00 since new, certificate FR-23-0440 (entry 18)",
        "2026-02 FNC-18, by log (entry 9120)",
    ),
    findings=(replace(SWAP_STOP, status="open", serial_number="00815"),),
)
TWO_PROGRAMMES = replace(
    UNIT,
    bridged=(
        BridgedLine(
            part_number="KW-4100-3",
            serial_number="00815",
            requirement="OVERHAUL",
            kept_under="SHEARWATER",
            kept_until="2026-06-01",
            now_under="PUFFIN",
            edition_before="SHEARWATER edition 7",
            edition_after="PUFFIN edition 3",
            state_before="in date",
            state_after="in date",
            due_before="2027-03-10",
            due_after="2028-03-10",
            earlier="SHEARWATER",
            differs="repeat 24 months, now 36 months",
        ),
        BridgedLine(
            part_number="KW-4100-3",
            serial_number="00815",
            requirement="INSPECTION",
            kept_under="SHEARWATER",
            kept_until="2026-06-01",
            now_under="PUFFIN",
            edition_before="general edition 2",
            state_before="overdue",
            airframe_hours_due_before=2_400_030,
            airframe_cycles_due_before=20_100,
            earlier="SHEARWATER",
            differs="repeat 600:00 FH, 400 FC",
        ),
        BridgedLine(
            part_number="GB-2",
            serial_number="GB-0815",
            requirement="TEST",
            kept_under="SHEARWATER",
            kept_until="2026-06-01",
            now_under="PUFFIN",
            edition_before="SHEARWATER edition 7",
            edition_after="PUFFIN edition 3",
            state_before="in date",
            state_after="unknown",
            due_before="2027-09-30",
            unknown_after="calendar: no-mark",
            earlier=None,
            differs="repeat 60 months, now 36 months",
        ),
    ),
)
BARE_UNIT = UnitCard(
    about=about("unit"),
    part_number="GB-2",
    serial_number="OWN:GB-0007",
    manufacturer=None,
    description=None,
    own_tracking=True,
    batch="B 2019 04",
    manufactured=None,
    part_numbers_borne=("GB-2",),
    place="North store, bin 4-B",
    condition="unknown",
    hold="plate not legible",
    harness="none",
    rig=None,
    hours_since_new=None,
    cycles_since_new=None,
    life_quality=None,
    owner=None,
    children=(),
    due=(),
    stays=(),
    papers=(),
    done=(),
)
AIRFRAME = AirframeCard(
    about=about("airframe"),
    registration="Q-PUF",
    constructor_serial="1001",
    type="ISL-90",
    operator="Skerry Air",
    station="SKA",
    programme="PUFFIN",
    status="in_service",
    registrations=("Q-OLD until 2021-03-31", "Q-PUF from 2021-04-01"),
    hours_total="30122:30",
    cycles_total="15077",
    read_on="2026-11-08",
    daily="8:10 hours and 6.1 cycles a day over 365 days",
    doors=(
        Door(
            position="R1",
            side="right",
            pair="1",
            required=True,
            harness_side="right",
            part_number="KW-4100-3",
            serial_number="00818",
            harness="right",
            since="2024-01-09",
            next_due="2028-02-29",
            next_requirement="OVH",
            state="in date",
            retained="girt bar",
        ),
        Door(
            position="L1",
            side="left",
            pair="1",
            required=True,
            harness_side="left",
            part_number="KW-4100-3",
            serial_number="00815",
            harness="right",
            since="2025-08-12",
            next_due="2026-11-20",
            next_requirement="OVH",
            state="overdue",
            signs=("FIT102 harness-other-side",),
            retained="girt bar",
        ),
        Door(position="L10", side="left", pair="10", required=True, harness_side="left"),
        Door(
            position="R10",
            side="right",
            pair="10",
            required=False,
            harness_side="right",
        ),
        Door(
            position="L2",
            side="left",
            pair="2",
            required=True,
            harness_side="left",
            part_number="KW-4100-9",
            serial_number="00910",
            harness="unknown",
            since="2026-10-02",
            state="unknown",
        ),
        Door(
            position="C1",
            side="centre",
            pair=None,
            required=False,
            harness_side=None,
            part_number="RF-20",
            serial_number="0044",
            harness="none",
            since="2022-05-01",
            next_due="2027-05-31",
            next_requirement="INS",
            state="in date",
        ),
    ),
    findings=(STALE,),
)
BARE_AIRFRAME = AirframeCard(
    about=about("airframe"),
    registration="Q-NEW",
    constructor_serial="2002",
    type="ISL-20",
    operator=None,
    station=None,
    programme=None,
    status=None,
    registrations=(),
    hours_total=None,
    cycles_total=None,
    read_on=None,
    daily=None,
    doors=(),
)
LONG_AIRFRAME = replace(
    AIRFRAME,
    doors=tuple(
        replace(door, part_number=LONG_PART, serial_number="2019/00000000815/A-REWORKED")
        if door.position == "L1"
        else door
        for door in AIRFRAME.doors
    ),
    findings=(),
)

# --- audit, intake, ledger -----------------------------------------------------------------------------------------

AUDIT = AuditReport(
    about=about("audit"),
    scope="the whole fleet",
    findings=(
        STALE,
        *CERTIFICATE.findings,
        replace(SWAP_STOP),
        replace(SWAP_STOP, serial_number="00790", position="R1", status="open", hint="fleetlife airframe Q-GUL"),
        Finding(
            code="IDN101",
            name="look-alike-identity",
            severity="note",
            message="KW-4100-3 0O17 and KW-4100-3 0017 differ in characters that look alike.",
            hint="Look at both plates; fleetlife unit KW-4100-3 0O17",
            part_number="KW-4100-3",
            serial_number="0O17",
            status="waived until 2027-01-31",
        ),
        Finding(
            code="LED101",
            name="chain-differs",
            severity="stop",
            message="Entry 12: expected the digest of entry 11, found another.",
            hint="Stop recording and compare with a backup.",
        ),
    ),
    counts=(("stop", 4), ("rectify", 1), ("note", 0)),
    waived=1,
    checks_run=("FIT101", "IDN101", "LED101", "LIF105", "PAP102", "PAP104"),
    units_examined=4_120,
    not_checked=(
        "the physical condition of any unit, and what its data plate says",
        "papers, work and movements that nobody has taken in",
    ),
)
AUDIT_CLEAN = replace(
    AUDIT, findings=(), counts=(("stop", 0), ("rectify", 0), ("note", 0)), waived=0, scope="Q-PUF; severity stop"
)

INTAKE = IntakeReport(
    files=(("units", 4_120, 4_118, 2), ("readings", 1_095_000, 1_095_000, 0), ("movements", 31, 30, 1)),
    entries=8_412,
    ledger_head=HEAD,
    coverage=COVERAGE,
    former_due_differ=12,
    notes=("units.csv: the column 'shelf mark' is not known and was left out.",),
)
INTAKE_NOTHING_NEW = IntakeReport(
    files=(("units", 86, 0, 86),), entries=0, ledger_head=HEAD, coverage=CLEAN, former_due_differ=0
)


@dataclass(frozen=True)
class Wrong:
    """A problem of a file as the readers of files tell it."""

    file: str
    line: int
    column: str
    value: str
    reason: str
    remedy: str


PROBLEMS = (
    Wrong("readings.csv", 0, "", "", "The column cycles_total is missing.", "Add it, or take the workbook."),
    Wrong(
        "units.csv",
        17,
        "hours_since_new",
        "1234.30",
        "It could be decimal hours or hours and minutes.",
        "Say which with --hours decimal or --hours minutes, or write HHHH:MM.",
    ),
    Wrong("units.csv", 1_018, "serial_number", "8.15E+02", "A workbook turned a serial into a number.", "Type it."),
    Wrong("units.csv", 1_019, "parent_serial_number", "x" * 300, "No such unit is known.", "Correct it."),
)

VERIFIED = VerifyReport(
    entries=12_045,
    ledger_head=HEAD,
    recorded_from="2026-01-04T08:00:00.000000Z",
    recorded_to="2026-11-25T17:40:02.118000Z",
    tables=(("movement", 1_204, 0), ("due_point", 8_911, 0)),
    known_heads=(),
    findings=(),
)
VERIFIED_WRONG = replace(
    VERIFIED,
    tables=(("movement", 1_204, 0), ("due_point", 8_911, 2)),
    known_heads=(
        ("3f9a4c17d2e0b1a6", "the digest of entry 12045"),
        ("deadbeef00", "not on this chain: the ledger was rewritten or cut since that head was printed"),
    ),
    findings=(
        Finding(
            code="LED101",
            name="chain-differs",
            severity="stop",
            message="Entry 12045: expected the head deadbeef00, kept elsewhere, on the chain.",
            hint="Stop recording and compare with a backup; fleetlife ledger verify --head DIGEST",
            expected="the head deadbeef00, kept elsewhere, on the chain",
            found="not on this chain",
            evidence=(
                Evidence(
                    source="computed",
                    says="the head deadbeef00, kept elsewhere, on the chain",
                    entry=12_045,
                ),
                Evidence(source="stored", says="not on this chain", entry=12_045),
            ),
        ),
    ),
)


@dataclass(frozen=True)
class InventedPage:
    """A finding's page."""

    code: str = "LIF101"
    name: str = "overdue"
    severity: str = "stop"
    meaning: str = "A unit that an airframe carries is past a due point, and nothing approved covers it."
    paragraphs: tuple[str, ...] = (
        "Why it matters: the work, the test or the removal that the programme asks for has not been done in time.",
        "Triggers: an overhaul due 2026-11-20, asked on 2026-11-25.",
        "What to do: look at the unit with `fleetlife unit PART SERIAL`; remove it or have the work done; if it was "
        "done, take in its certificate and the accomplishment.",
    )
    published_rule: str = "M.A.503 (older text): a life-limited component shall not exceed its approved life"
    waivable: bool = False


CODES = (
    ("LIF101", "overdue", "stop", "A unit that an airframe carries is past a due point, and nothing covers it."),
    ("LIF105", "stale-readings", "rectify", "The last reading of an airframe is too old to judge by."),
    ("PAP106", "certificate-after-fitting", "note", "The paper is dated after the fitting that rests on it."),
)

UNFOLDED = UnfoldedUnit(
    about=about("unit --explain"),
    part_number="KW-4100-3",
    serial_number="00815",
    manufacturer="Kittiwake Safety",
    place="Q-TRN L1",
    due=(
        Unfolded(
            row=DUE_HOURS,
            passages=(
                Passage(topic="rule", text="OVH: every 600:00 flight hours.", known="stated", entries=(11,)),
                Passage(
                    topic="basis", text="It counts from: done 2024-03-10 (release).", known="bounded", entries=(388,)
                ),
                Passage(topic="restarts nothing", text="Fitted again 2024-05-03.", entries=(98, 104)),
                Passage(topic="restarts nothing", text="Released 2025-01-02, \x1b[31mno OVH by it.", entries=(205,)),
                Passage(topic="due point", text="Due at 5120:15 + 600:00 - 120:10 = 5600:05.", known="counted"),
                Passage(topic="today", text="On 2026-11-25: due.", known="projected"),
                Passage(topic="false if", text="It would be otherwise if a reading of the airframe is wrong."),
            ),
        ),
        Unfolded(row=NO_PROGRAMME, passages=(Passage(topic="today", text="No programme."),)),
    ),
)
UNFOLDED_BARE = replace(UNFOLDED, manufacturer=None, due=())

"""An invented unit's story, its log card, its airframe's pack and what is to be kept: for the golden reports."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.published import RULES
from fleetlife.terms.retained import OperatorRules, RetainedRow, RetentionList
from fleetlife.terms.story import CardLine, Fitting, Hole, LogCard, Pack, PackPaper, StoryLine, UnitStory

from . import invented as given

SHA = "9f2c" * 16
HOLES = (
    Hole(
        kind="gap",
        what="where",
        since="2012-07-01",
        until="2019-05-02",
        text="Where it was from its manufacture (2012-Q3) until 2019-05-02 these records do not say; the totals of the "
        "opening statement count what it ran.",
        entry=41,
    ),
    Hole(
        kind="unknown",
        what="quality",
        since="2022-01-01",
        until=None,
        text="Its life up to 2022-01-01 is rebuilt and not documented.",
        entry=41,
    ),
    Hole(
        kind="overlap",
        what="paper",
        since="2023-02-14",
        until="2023-02-14",
        text="Certificate GR-23-0007 of Gannet Repair is dated 2023-02-14, and the records have it on an airframe from "
        "2019-05-02 until 2023-03-01.",
        entry=1204,
    ),
)
LINES = (
    StoryLine(since="2012-Q3", topic="made", text="manufactured 2012-Q3", entry=41),
    StoryLine(
        since="2019-05-02",
        until="2023-03-01",
        topic="stay",
        text="at Q-PUF L1, condition serviceable; registered Q-PFN from 2021-04-01",
        registration="Q-PUF",
        position="L1",
        totals_from="2022-01-01",
        hours_from="20100:00",
        cycles_from="9000",
        hours_until="22750:30",
        cycles_until="10120",
        basis_from="opening",
        basis_until="bounded",
        hours_since_new="~8650:30",
        cycles_since_new="~4120",
        entry=41,
    ),
    StoryLine(
        since="2022-01-01",
        topic="opening",
        text="opening statement as of 2022-01-01: 6000:00 hours, 3,000 cycles since new, rebuilt, condition unknown",
        entry=41,
    ),
    StoryLine(
        since="2023-03-01",
        topic="removal",
        text="removed from Q-PFN L1, unscheduled, to shop Gannet Repair, unserviceable, defect: lacing torn",
        registration="Q-PFN",
        position="L1",
        standing="replaced",
        by_entry=1410,
        why="defect misread, authorised by Q-7",
        entry=1209,
    ),
    StoryLine(
        since="2023-03-01",
        topic="removal",
        text="removed from Q-PFN L1, unscheduled, to shop Gannet Repair, unserviceable, defect: facing torn",
        registration="Q-PFN",
        position="L1",
        hours_since_new="~8650:30",
        cycles_since_new="~4120",
        corrects=(1209,),
        entry=1410,
    ),
    StoryLine(
        since="2023-05-20",
        topic="work",
        text="OVH done, by release, certificate GR-23-0031; restarts nothing: the paper named does not show that work",
        restarts=(),
        entry=1350,
    ),
    StoryLine(
        since="2023-06-02",
        topic="stay",
        text="moved to store North store",
        standing="withdrawn",
        by_entry=1502,
        why="it was another unit, authorised by Q-7",
        entry=1361,
    ),
    StoryLine(
        since="2023-06-05",
        until="2024-01-10",
        topic="stay",
        text="at store North store, condition serviceable; until when is not known",
        doubtful=True,
        hours_since_new="~8650:30",
        cycles_since_new="~4120",
        entry=1362,
    ),
    StoryLine(
        since="2024-01-10",
        topic="stay",
        text="fitted at Q-PFN R1, rigged right, no certificate named, condition serviceable",
        registration="Q-PFN",
        position="R1",
        hours_from="24100:00",
        cycles_from=None,
        basis_from="stated",
        basis_until="open",
        entry=1498,
    ),
)
STORY = UnitStory(
    about=given.about("unit --story"),
    part_number="KW-4100-3",
    serial_number="00815",
    manufacturer="Kittiwake Safety",
    description="Slide pack, forward door",
    part_numbers_borne=("KW-4100-1", "KW-4100-3"),
    place="Q-PFN R1",
    manufactured="2012-Q3",
    life_quality="rebuilt",
    hours_since_new="~9990:30",
    cycles_since_new=None,
    holes=HOLES,
    lines=LINES,
    mended=2,
)
BARE_STORY = replace(STORY, manufacturer=None, description=None, holes=(), lines=LINES[:1], mended=0)
CARD = LogCard(
    about=given.about("unit --log-card"),
    rule=RULES["AMC M.A.305(e) log card"].cited,
    part_number="KW-4100-3",
    serial_number="00815",
    manufacturer="Kittiwake Safety",
    description="Slide pack, forward door",
    part_numbers_borne=("KW-4100-1", "KW-4100-3"),
    place="Q-PFN R1",
    condition="serviceable",
    hold=None,
    harness="right",
    life_quality="rebuilt",
    manufactured="2012-Q3",
    hours_since_new="~9990:30",
    cycles_since_new=None,
    operations=(),
    fitted=(
        Fitting(
            on="2019-05-02",
            event="fitted before",
            into_type="PFN-200",
            into_serial_number="3107",
            into_registration="Q-PUF",
            position="L1",
            basis="as the opening statement of 2022-01-01 has it",
            entry=41,
        ),
        Fitting(
            on="2023-03-01",
            event="removed",
            into_type="PFN-200",
            into_serial_number="3107",
            into_registration="Q-PUF",
            position="L1",
            hours_since_new="~8650:30",
            cycles_since_new="~4120",
            basis="bounded",
            reason="unscheduled, defect: facing torn",
            entry=1410,
        ),
    ),
    parts=(
        CardLine(asked="directives", held=(), not_held="Directives that no requirement in these records names."),
        CardLine(
            asked="maintenance",
            held=("2023-05-20 OVH done, by release; restarts nothing (entry 1350)",),
            not_held="Work sheets and detailed maintenance records.",
        ),
    ),
    due=given.UNIT.due,
    papers=given.UNIT.papers,
    holes=HOLES,
    holds=("reservoir: KR-77 R-0020",),
    findings=given.UNIT.findings,
)
BARE_CARD = replace(CARD, holes=(), fitted=(), parts=(), due=(), papers=(), holds=(), findings=())
_PAPER = PackPaper(
    part_number="KW-4100-3",
    serial_number="00815",
    certificate="GR-23-0031",
    organisation="Gannet Repair",
    dated_on=None,
    status=None,
    filed=False,
    part_verdict=None,
    serial_verdict=None,
    document=None,
    named_by="accomplishment of 2023-05-20",
    entry=1350,
)
PACK = Pack(
    about=given.about("airframe --pack"),
    registration="Q-PFN",
    constructor_serial="3107",
    type="PFN-200",
    operator="Puffin Air",
    registrations=("Q-PUF until 2021-04-01", "Q-PFN from 2021-04-01"),
    hours_total="24880:15",
    cycles_total="11020",
    read_on="2026-11-08",
    units=(CARD,),
    places=("R1",),
    empty=("L1, required",),
    papers=(),
    not_filed=(_PAPER,),
    findings=given.AIRFRAME.findings,
)
FILES = (("cards/001-KW-4100-3_00815.txt", SHA, 4211), ("units.csv", SHA[::-1], 310))
BARE_PACK = replace(PACK, units=(), places=(), empty=(), not_filed=(), findings=(), hours_total=None)


def _row(**named: object) -> RetainedRow:
    usual = {
        "record": "work",
        "what": "OVH of 2023-05-20, certificate GR-23-0031",
        "dated_on": "2023-05-20",
        "registration": None,
        "part_number": "KW-4100-3",
        "serial_number": "00815",
        "manufacturer": "Kittiwake Safety",
        "superseded_on": None,
        "withdrawn_on": None,
        "kept_until": None,
        "standing": "no end",
        "kept_until_eu": "no end",
        "kept_until_us": "2024-05-20",
        "rules": "",
        "entry": 1350,
    }
    return RetainedRow(**{**usual, **named})  # type: ignore[arg-type]


RETAINED = RetentionList(
    about=given.about("retention"),
    chosen=("eu", "us"),
    stated=False,
    rows=(
        _row(
            record="technical log",
            what="movement at L1, log TL-1",
            registration="Q-PFN",
            dated_on="2023-03-01",
            kept_until="2026-03-01",
            kept_until_eu="2026-03-01",
            kept_until_us="2024-03-01",
            standing="time is over",
            entry=1410,
        ),
        _row(
            record="certificate",
            what="certificate GR-24-0002 of Gannet Repair, Repaired",
            dated_on="2024-04-02",
            kept_until="2027-04-02",
            kept_until_eu="2027-04-02",
            kept_until_us="2026-04-02",
            standing="to be kept",
            entry=1600,
        ),
        _row(),
    ),
    cited=(RULES["145.A.55"].cited, RULES["M.A.305(e) detailed records"].cited),
    not_listed=("records of the airframes themselves",),
)
RETAINED_BY_OPERATOR = replace(
    RETAINED,
    operators=(
        OperatorRules(operator="Gannet Air", rules=("us",), stated=True),
        OperatorRules(operator="Puffin Air", rules=("eu", "us"), stated=True),
        OperatorRules(operator=None, rules=("eu", "us"), stated=False),
    ),
    not_in_records=("Pufin Air",),
)
NOTHING_RETAINED = replace(RETAINED, chosen=("eu",), stated=True, rows=(), cited=())

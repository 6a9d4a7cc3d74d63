"""Plates for the report: one that agrees, one of which nothing agrees, one with numbers longer than a line."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms.plate import PlateCard, PlateElement, PlatePaper, PlateRow, PlateSays

from . import invented as given

SAYS = PlateSays(
    elements=(
        PlateElement(format="12", identifier="MFR", value="Q0GM7", says="manufacturer, CAGE code", used=True),
        PlateElement(
            format="12", identifier="SER", value="0417", says="serial number, unique in the enterprise", used=True
        ),
        PlateElement(
            format="12",
            identifier="PNR",
            value="KW-4100-3",
            says="current part number",
            used=True,
            from_memory=True,
        ),
        PlateElement(format="12", identifier="XYZ", value="7", says="not known here", used=False),
    ),
    enterprises=(("CAGE Q0GM7", "MFR", "Gannet Marine"),),
    current_part_number="KW-4100-3",
    serial_number="0417",
    serial_unique_in="enterprise",
    unique_item_identifier="DQ0GM70417",
    construct="1",
    formed="D + MFR + SER",
)
PAPER = PlatePaper(
    tracking_number="FR-22-0871",
    organisation="Far Reef Overhaul",
    item=None,
    dated_on="2022-05-11",
    status="Overhauled",
    part_number="KW-4100-3",
    serial_number="0417",
    part_verdict="exact",
    serial_verdict="exact",
    agrees=True,
    entry=812,
)


def row(what: str, plate: str | None, paper: str | None, record: str | None, **more: object) -> PlateRow:
    return PlateRow(
        what=what,
        plate=plate,
        paper=paper,
        record=record,
        **{  # type: ignore[arg-type]
            "plate_verdict": "exact",
            "paper_verdict": "exact" if paper else "not compared",
            "differs": False,
            **more,
        },
    )


AGREES = PlateCard(
    about=given.about("identity plate"),
    part_number="KW-4100-3",
    serial_number="0417",
    manufacturer="Gannet Marine",
    plate=SAYS,
    rows=(
        row("part number", "KW-4100-3", "KW-4100-1", "KW-4100-3", note="The paper is of 2022-05-11; the unit bore "
            "KW-4100-1 then."),
        row("serial number", "0417", "0417", "0417"),
        row("manufacturer", "CAGE Q0GM7 (Gannet Marine)", None, "Gannet Marine"),
    ),
    paper=PAPER,
    outcome="Plate, paper and record agree.",
)  # fmt: skip
DIFFERS = replace(
    AGREES,
    rows=(
        row(
            "part number",
            "KW-4100-3",
            "KW-410-3",
            "KW-4100-3",
            differs=True,
            paper_verdict="one-character",
            paper_marks=(("KW-410", "KW-410", True), ("", "0", False), ("-3", "-3", True)),
        ),
        row(
            "serial number",
            "O471",
            "417",
            "0417",
            differs=True,
            plate_verdict="different",
            plate_marks=(("O", "0", False), ("4", "4", True), ("71", "17", False)),
            paper_verdict="leading-zeros",
            paper_marks=(("", "0", False), ("417", "417", True)),
        ),
        row("manufacturer", "CAGE Q0TX1 (Tern)", None, "Gannet Marine", differs=True, plate_verdict="different"),
        row("manufactured", "2019-03-04", None, "2018-12", differs=True, plate_verdict="different"),
        row("expires", "2034-03-03", None, None, plate_verdict="not compared"),
    ),
    paper=replace(PAPER, part_number="KW-410-3", serial_number="417", serial_verdict="leading-zeros", agrees=False),
    other_papers=(
        replace(PAPER, tracking_number="FR-19-0110", dated_on="2019-04-02", entry=14),
        replace(
            PAPER,
            tracking_number="FR-20-0007",
            dated_on="2020-04-02",
            serial_number="0471",
            serial_verdict="transposed",
            agrees=False,
            entry=15,
        ),
    ),
    others=("KW-4100-3 O471",),
    plate=replace(SAYS, unique_item_identifier=None, construct=None, formed=None, remarks=("99Z is empty.",)),
    outcome="They differ in part number, serial number, manufacturer and manufactured.",
    actions=(
        "Look at the plate again. If it reads so, record it: fleetlife identity plate-differs KW-4100-3 0417 --scan "
        "SCAN --seen-by STAFF",
        "No two of the three say the same.",
    ),
)
LONG = "KW-4100-3-" + "0123456789" * 9
LONG_NUMBERS = replace(
    AGREES,
    rows=(
        row(
            "serial number",
            LONG + "7",
            LONG + "1",
            LONG + "1",
            differs=True,
            plate_verdict="one-character",
            plate_marks=((LONG, LONG, True), ("7", "1", False)),
        ),
        row("lot", "L\x1b[31m5", None, None, plate_verdict="not compared"),
    ),
    paper=None,
    plate=replace(SAYS, unique_item_identifier="D" + LONG + LONG),
    outcome="They differ in serial number.",
)

"""Invented documents, and a paper as it was read."""

from __future__ import annotations

from fleetlife.terms.documents import DocumentReport, DocumentRow, PaperRead
from fleetlife.terms.finding import Evidence, Finding
from fleetlife.terms.views import PaperBlock, PaperLine

from . import invented as given

_NAME = f"sha256:{'4f1a' * 16}.pdf"


def _row(number: str, state: str, document: str = _NAME, lines: int = 1) -> DocumentRow:
    return DocumentRow(
        tracking_number=number,
        organisation="Outer Reef Overhaul",
        part_number="KV-3300-2",
        serial_number="33290",
        document=document,
        state=state,
        lines=lines,
        entry=1007,
    )


CHECKED = DocumentReport(
    about=given.about("document check"),
    place="/srv/records/fleet.db.documents",
    rows=(
        _row("ORO-26-0002", "altered"),
        _row("ORO-26-0003", "missing", lines=6),
        _row("SHC-26-0911", "elsewhere", "binder 12, page 4"),
        _row("SHC-26-0912", "there"),
    ),
    without=3,
    unnamed=(f"sha256:{'77ab' * 16}.pdf",),
    findings=(
        Finding(
            code="DOC102",
            name="document-altered",
            severity="stop",
            message=f"The document of certificate ORO-26-0002 of Outer Reef Overhaul is not what was filed: {_NAME}.",
            hint="Keep the changed file aside and put the backup back; then fleetlife document check",
            certificate="ORO-26-0002",
            part_number="KV-3300-2",
            serial_number="33290",
            expected=_NAME,
            found="another content",
            evidence=(Evidence(source="the records", says=_NAME, entry=1007),),
        ),
    ),
)


def _block(line: int | None, block: str, holds: str, says: str) -> PaperBlock:
    return PaperBlock(line=line, block=block, holds=holds, says=says)


PAPER = PaperRead(
    about=given.about("document read"),
    file="HB-40117.pdf",
    form="CAA Form 1",
    blocks=(
        _block(None, "3", "tracking number", "HB-40117"),
        _block(None, "4", "organisation", "Hvalba Overhaul"),
        _block(None, "12", "remarks", "Overhauled to CMM 25-66-01 revision 7. Reservoir requalified, mark 02 26."),
        _block(None, "14e", "date", "03/04/2026"),
        _block(1, "8", "part number", "KV-3300-2"),
        _block(1, "10", "serial number", "3329O"),
        _block(1, "11", "status", "Overhauled"),
        _block(2, "8", "part number", "TH-880-1"),
        _block(2, "10", "serial number", "R88061"),
        _block(2, "11", "status", "Inspected/Tested"),
    ),
    lines=(
        PaperLine(
            tracking_number="HB-40117",
            organisation="Hvalba Overhaul",
            item=None,
            dated_on="03/04/2026",
            status="Overhauled",
            form="CAA Form 1",
            part_number="KV-3300-2",
            serial_number="3329O",
            expected_part_number="KV-3300-2",
            expected_serial_number="33290",
            part_verdict="exact",
            serial_verdict="look-alike",
            serial_marks=(("3329", "3329", True), ("O", "0", False)),
            unit="KV-3300-2 33290",
        ),
        PaperLine(
            tracking_number="HB-40117",
            organisation="Hvalba Overhaul",
            item=None,
            dated_on="03/04/2026",
            status="Inspected/Tested",
            form="CAA Form 1",
            part_number="TH-880-1",
            serial_number="R88061",
            expected_part_number=None,
            expected_serial_number=None,
            part_verdict="unfiled",
            serial_verdict="unfiled",
        ),
    ),
    rows=({}, {}),
    changes=("2.serial_number=R88061",),
    doubts=("The date 03/04/2026: It can be read two ways. Say the order with --date-order.",),
    missing=(),
)

"""Every report as it looks at width 100 and 80, without colour and without a terminal.

The files under golden/ are written anew only on request: FLEETLIFE_WRITE_GOLDEN=1 pytest tests/reports. Look at what
changed before it is committed.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rich.cells import cell_len

from fleetlife.reports import (
    airframe,
    certificate,
    changes,
    compare,
    documents,
    due,
    due_spares,
    evidence,
    findings,
    head,
    intake,
    ledger,
    log_card,
    pack,
    plate,
    publication,
    retention,
    shop,
    spares,
    stores,
    story,
    swap,
    unfold,
    unit,
    who_else,
)

from . import invented as given
from . import (
    invented_audit,
    invented_changes,
    invented_compare,
    invented_counters,
    invented_documents,
    invented_plate,
    invented_publications,
    invented_shop,
    invented_spares,
    invented_stores,
    invented_story,
)
from .rendered import WIDTHS, rendered

GOLDEN = Path(__file__).parent / "golden"
FLAG = "FLEETLIFE_WRITE_GOLDEN"

REPORTS: dict[str, Callable[[], Any]] = {
    "head": lambda: head.about_lines(given.about("due")),
    "due-window": lambda: due.due_report(given.WINDOW),
    "due-window-full": lambda: due.due_report(given.WINDOW, full=True),
    "due-spares": lambda: due_spares.due_spares_report(invented_spares.LISTED),
    "spares-chosen": lambda: spares.spares_chosen(invented_spares.CHOSEN),
    "shop-forecast": lambda: shop.shop_forecast(invented_shop.FORECAST),
    "shop-forecast-nothing": lambda: shop.shop_forecast(invented_shop.NOTHING),
    "shop-order": lambda: shop.shop_order(invented_shop.ORDER),
    "shop-order-bare": lambda: shop.shop_order(invented_shop.BARE_ORDER),
    "shop-order-assumed": lambda: shop.shop_order(invented_shop.ASSUMED_ORDER),
    "due-everything": lambda: due.due_report(given.EVERYTHING),
    "due-by-month": lambda: due.due_report(given.EVERYTHING, by="month"),
    "due-by-airframe": lambda: due.due_report(given.EVERYTHING, by="airframe"),
    "due-by-position": lambda: due.due_report(given.EVERYTHING, by="position"),
    "due-empty": lambda: due.due_report(given.EMPTY),
    "due-only-unknown": lambda: due.due_report(given.ONLY_UNKNOWN),
    "due-long-numbers": lambda: due.due_report(given.LONG_NUMBERS),
    "due-roomy-numbers": lambda: due.due_report(given.ROOMY_NUMBERS),
    "due-counters": lambda: due.due_report(invented_counters.COUNTED, full=True),
    "changes-counters": lambda: changes.changes_report(invented_counters.COUNTED_CHANGES),
    "swap-counters": lambda: swap.swap_answer(invented_counters.COUNTED_ANSWER),
    "unit-counters": lambda: unit.unit_card(invented_counters.COUNTED_UNIT),
    "airframe-counters": lambda: airframe.airframe_card(invented_counters.COUNTED_AIRFRAME),
    "plate-agrees": lambda: plate.plate_card(invented_plate.AGREES),
    "plate-differs": lambda: plate.plate_card(invented_plate.DIFFERS),
    "plate-long-numbers": lambda: plate.plate_card(invented_plate.LONG_NUMBERS),
    "plate-read": lambda: plate.plate_read(invented_plate.SAYS),
    "stores-received": lambda: stores.unit_received(invented_stores.GOOD),
    "stores-received-held": lambda: stores.unit_received(invented_stores.HELD),
    "stores-received-preview": lambda: stores.unit_received(invented_stores.HELD, preview=True),
    "stores-suspected": lambda: stores.decision_recorded(invented_stores.SUSPECTED),
    "stores-lifted-preview": lambda: stores.decision_recorded(invented_stores.LIFTED, preview=True),
    "stores-list": lambda: stores.stores_list(invented_stores.LISTED),
    "stores-list-empty": lambda: stores.stores_list(invented_stores.EMPTY),
    "evidence": lambda: evidence.evidence_index(
        invented_stores.EVIDENCE, invented_stores.PAPERS, invented_stores.FILES
    ),
    "evidence-bare": lambda: evidence.evidence_index(invented_stores.BARE, (), invented_stores.FILES),
    "compare": lambda: compare.comparison_report(invented_compare.COMPARED),
    "compare-nothing": lambda: compare.comparison_report(invented_compare.NOTHING),
    "compare-moves": lambda: compare.moved_report(invented_compare.DIFFERENCES, units=9),
    "publication": lambda: publication.status_report(invented_publications.STATUS),
    "publication-full": lambda: publication.status_report(invented_publications.STATUS, full=True),
    "publication-superseded": lambda: publication.status_report(invented_publications.SUPERSEDED),
    "publication-nobody": lambda: publication.status_report(invented_publications.NOBODY),
    "publication-long-numbers": lambda: publication.status_report(invented_publications.LONG_NUMBERS),
    "publications": lambda: publication.list_report(invented_publications.LIST),
    "publications-none": lambda: publication.list_report(invented_publications.NO_LIST),
    "unit-publications": lambda: unit.unit_card(invented_publications.UNIT),
    "documents": lambda: documents.documents_report(invented_documents.CHECKED, everything=True),
    "paper-read": lambda: documents.paper_read_report(invented_documents.PAPER),
    "changes": lambda: changes.changes_report(invented_changes.CHANGES),
    "changes-nothing": lambda: changes.changes_report(invented_changes.NO_CHANGES),
    "swap-no-objection": lambda: swap.swap_answer(given.CLEAR_ANSWER),
    "swap-conditions": lambda: swap.swap_answer(given.CONDITIONS_ANSWER),
    "swap-do-not-fit": lambda: swap.swap_answer(given.STOP_ANSWER),
    "swap-recorded": lambda: swap.swap_recorded(given.RECORDED),
    "swap-recorded-clean": lambda: swap.swap_recorded(given.RECORDED_CLEAN),
    "swap-preview": lambda: swap.swap_recorded(given.RECORDED, preview=True),
    "swap-already": lambda: swap.swap_recorded(given.RECORDED_ALREADY),
    "unit": lambda: unit.unit_card(given.UNIT),
    "unit-two-programmes": lambda: unit.unit_card(given.TWO_PROGRAMMES),
    "unit-bare": lambda: unit.unit_card(given.BARE_UNIT),
    "unfolded": lambda: unfold.unfolded_unit(given.UNFOLDED),
    "unfolded-bare": lambda: unfold.unfolded_unit(given.UNFOLDED_BARE),
    "story": lambda: story.unit_story(invented_story.STORY),
    "story-bare": lambda: story.unit_story(invented_story.BARE_STORY),
    "log-card": lambda: log_card.log_card(invented_story.CARD, invented_story.SHA),
    "log-card-bare": lambda: log_card.log_card(invented_story.BARE_CARD, invented_story.SHA),
    "pack": lambda: pack.pack_index(invented_story.PACK, invented_story.FILES),
    "pack-bare": lambda: pack.pack_index(invented_story.BARE_PACK, ()),
    "retention": lambda: retention.retention_report(invented_story.RETAINED),
    "retention-by-operator": lambda: retention.retention_report(invented_story.RETAINED_BY_OPERATOR),
    "retention-nothing": lambda: retention.retention_report(invented_story.NOTHING_RETAINED),
    "airframe": lambda: airframe.airframe_card(given.AIRFRAME),
    "airframe-bare": lambda: airframe.airframe_card(given.BARE_AIRFRAME),
    "airframe-long-numbers": lambda: airframe.airframe_card(given.LONG_AIRFRAME),
    "certificate": lambda: certificate.certificate_card(given.CERTIFICATE),
    "certificate-look-alike": lambda: certificate.certificate_card(given.CERTIFICATE_LOOK_ALIKE),
    "certificate-unfiled": lambda: certificate.certificate_card(given.CERTIFICATE_UNFILED),
    "certificate-by-blocks": lambda: certificate.certificate_card(given.CERTIFICATE_BY_BLOCKS),
    "certificate-no-numbers": lambda: certificate.certificate_card(given.CERTIFICATE_NO_NUMBERS),
    "audit": lambda: findings.findings_report(given.AUDIT),
    "audit-sampled": lambda: findings.findings_report(invented_audit.SAMPLED),
    "audit-since": lambda: findings.findings_report(invented_audit.COMPARED),
    "audit-patterns": lambda: findings.findings_report(invented_audit.PATTERNS),
    "who-else": lambda: who_else.who_else_report(invented_audit.WHO_ELSE),
    "who-else-nobody": lambda: who_else.who_else_report(invented_audit.NOBODY_ELSE),
    "audit-since-nothing": lambda: findings.findings_report(invented_audit.NOTHING_NEW),
    "audit-clean": lambda: findings.findings_report(given.AUDIT_CLEAN),
    "finding-lines": lambda: findings.finding_lines(given.AUDIT.findings),
    "finding-page": lambda: findings.finding_page(given.InventedPage()),
    "codes": lambda: findings.codes_table(given.CODES),
    "intake": lambda: intake.intake_report(given.INTAKE),
    "intake-nothing-new": lambda: intake.intake_report(given.INTAKE_NOTHING_NEW),
    "problems": lambda: intake.problems_table(given.PROBLEMS),
    "ledger-head": lambda: ledger.head_lines(12_045, given.HEAD, "2026-11-25T17:40:02.118000Z"),
    "ledger-verified": lambda: ledger.verify_report(given.VERIFIED),
    "ledger-verified-wrong": lambda: ledger.verify_report(given.VERIFIED_WRONG),
}
CASES = [(name, width) for name in REPORTS for width in WIDTHS]


def agrees_with_golden(folder: Path, name: str, text: str, *, write: bool) -> bool:
    """Whether the file says the same; with `write` it is made to."""
    path = folder / f"{name}.txt"
    if write:
        path.write_text(text, encoding="utf-8")
    return path.is_file() and path.read_text(encoding="utf-8") == text


class TestGolden:
    @pytest.mark.parametrize(("name", "width"), CASES)
    def test_report_looks_as_its_golden_file(self, name: str, width: int) -> None:
        text = rendered(REPORTS[name](), width)
        same = agrees_with_golden(GOLDEN, f"{name}-{width}", text, write=os.environ.get(FLAG) == "1")
        assert same, f"{name} at {width} looks otherwise:\n{text}"

    def test_golden_files_are_written_on_request_only(self, tmp_path: Path) -> None:
        assert not agrees_with_golden(tmp_path, "new", "text\n", write=False)
        assert list(tmp_path.iterdir()) == []
        assert agrees_with_golden(tmp_path, "new", "text\n", write=True)
        assert not agrees_with_golden(tmp_path, "new", "other text\n", write=False)
        assert (tmp_path / "new.txt").read_text() == "text\n"

    def test_every_golden_file_belongs_to_a_report(self) -> None:
        assert {path.stem for path in GOLDEN.iterdir()} == {f"{name}-{width}" for name, width in CASES}

    def test_no_golden_line_is_wider_than_its_report(self) -> None:
        paths = sorted(GOLDEN.iterdir())
        assert len(paths) == len(CASES)
        for path in paths:
            width = int(path.stem.rpartition("-")[2])
            for line in path.read_text(encoding="utf-8").splitlines():
                assert cell_len(line) <= width, f"{path.name}: {line}"

    def test_no_golden_line_ends_in_a_space(self) -> None:
        for path in GOLDEN.iterdir():
            assert not any(line.endswith(" ") for line in path.read_text(encoding="utf-8").splitlines()), path.name

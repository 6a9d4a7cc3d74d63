"""The sheet that goes to the door: what it shows, what it leaves blank, and that a scanner reads its symbol."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from typing import Any

import pytest

from fleetlife.reports.swap_sheet import PAPERS, swap_sheet_page
from fleetlife.terms.swap_sheet import SheetTable, SheetUnit, SwapSheet
from fleetlife.terms.swaps import SwapCard, SwapItem, SwapPoint
from fleetlife.terms.views import About, LifeLeft, Reason

ABOUT = About(
    question="swap",
    as_of="2026-03-01",
    known_at=None,
    ledger_head="0123456789abcdef" * 4,
    ledger_entry=420,
    editions=("TERN edition 3",),
    oldest_reading=None,
    oldest_reading_airframe=None,
    rules=(),
    what_if=(),
    notes=(),
)


def item(category: str, name: str, **more: Any) -> SwapItem:
    given = {"settled": False, "told": "open", "asked": True, "runs": 1, "passed": 0, "expects": None}
    return SwapItem(category=category, item=name, **{**given, "reference": None, "entry": None} | more)


def card(**more: Any) -> SwapCard:
    given: dict[str, Any] = {
        "about": ABOUT,
        "swap": "SW420",
        "state": "planned",
        "registration": "Q-TRN",
        "constructor_serial": "1001",
        "type": "ISL-90",
        "position": "R1",
        "side": "right",
        "harness": "right",
        "target": "2026-03-10",
        "done_on": None,
        "work_order": "WO-7",
        "data_reference": "ISL-90 door data 25-66",
        "data_revision": "14",
        "remarks": None,
        "incoming": None,
        "outgoing": None,
        "events": (),
        "items": (
            item("device", "inflation pin"),
            item("lock", "seal wire"),
            item("test", "arming", runs=2, expects="both indications"),
            item("retained", "girt bar"),
            item("gauge", "B-1 R3"),
        ),
        "open": (SwapPoint(what="not-done", text="The change of the unit is not recorded.", entry=None),),
        "second_person": "independent inspection",
        "cautions": ("Follow the current approved maintenance data; certifying staff decide.",),
    }
    return SwapCard(**given | more)


def unit(serial: str, **more: Any) -> SheetUnit:
    given: dict[str, Any] = {
        "part_number": "SL-100-1",
        "serial_number": serial,
        "manufacturer": "Kittiwake",
        "description": "slide pack",
        "rig": "either",
        "rig_in_hand": "left",
        "mass_grams": 25_100,
        "release": "T3 of Fulmar Repair, Overhauled, 2025-10-10",
        "where": "store Main since 2025-10-20",
    }
    return SheetUnit(**given | more)


def sheet(**more: Any) -> SwapSheet:
    given: dict[str, Any] = {
        "card": card(),
        "incoming": unit("O1O3"),
        "outgoing": unit("0102", release=None),
        "fitted_on": "2026-03-10",
        "outcome": "conditions to meet first",
        "reasons": (Reason(topic="harness", verdict="condition", code="FIT102", text="It must be rigged right."),),
        "life": (
            LifeLeft(
                part_number="SL-100-1",
                serial_number="O1O3",
                requirement="OVH",
                kind="overhaul",
                state="in date",
                due_if_fitted="2028-10-10",
                hours_left=None,
                cycles_left=None,
                operations_left=None,
                text="Good through 2028-10-10.",
            ),
        ),
        "not_checked": ("the rig of the harness by eye",),
        "tables": (
            SheetTable(
                unit="B-1 R3", pressure_unit="psi", rows=((-40_000, 2_050_000, 2_350_000),), sources=("CMM revision 7",)
            ),
        ),
        "symbol": "fleetlife swap show SW420",
    }
    return SwapSheet(**given | more)


def words(page: str) -> str:
    """What the page says, in one line."""
    body = page[page.index("<body>") :]
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())


class TestSheet:
    def test_both_units_and_the_characters_that_look_alike_are_spelled(self) -> None:
        said = words(swap_sheet_page(sheet()))
        assert "O1O3 1: letter O; 2: digit one; 3: letter O" in said
        assert "0102 1: digit zero; 2: digit one; 3: digit zero" in said

    def test_the_rig_in_hand_and_the_rig_to_be_made(self) -> None:
        assert "left; TO BE MADE RIGHT before it is fitted" in words(swap_sheet_page(sheet()))
        assert "right; as it must be" in words(swap_sheet_page(sheet(incoming=unit("0103", rig_in_hand="right"))))
        unknown = words(swap_sheet_page(sheet(incoming=unit("0103", rig_in_hand="unknown"))))
        assert "not known: look; TO BE MADE RIGHT" in unknown
        assert "right, by its part" in words(
            swap_sheet_page(sheet(incoming=unit("0103", rig="right", rig_in_hand=None)))
        )

    def test_cautions_mass_and_that_it_gives_no_procedure(self) -> None:
        said = words(swap_sheet_page(sheet()))
        for caution in ("Stored gas", "Pressurised cylinder", "Heavy lift at an open door: 25.1 kg.", "no procedure"):
            assert caution in said
        assert "the mass of the unit is not stated" in words(swap_sheet_page(sheet(incoming=None, outgoing=None)))

    def test_a_test_has_a_line_for_each_run_and_every_item_its_boxes(self) -> None:
        said = words(swap_sheet_page(sheet()))
        assert "arming, run 1 of 2 (both indications) passed failed" in said
        assert "arming, run 2 of 2" in said
        assert "inflation pin placed removed not used" in said
        assert "girt bar stays with the aircraft" in said

    def test_the_table_of_the_gauge_or_that_there_is_none(self) -> None:
        assert "Gauge of B-1 R3 in psi, by CMM revision 7" in words(swap_sheet_page(sheet()))
        assert "2050 to 2350" in words(swap_sheet_page(sheet()))
        assert "No table of pressures is in these records" in words(swap_sheet_page(sheet(tables=())))

    def test_the_answer_the_life_left_the_data_and_the_ledger_head(self) -> None:
        said = words(swap_sheet_page(sheet()))
        assert "if fitted on 2026-03-10: conditions to meet first" in said
        assert "CONDITION It must be rigged right." in said
        assert "Good through 2028-10-10." in said
        assert "Approved data ISL-90 door data 25-66 Its revision 14" in said
        assert f"Ledger head {'0123456789abcdef' * 4}, entry 420" in said
        assert "T3 of Fulmar Repair, Overhauled, 2025-10-10" in said

    def test_without_data_or_certificate_it_says_so(self) -> None:
        bare = sheet(card=card(data_reference=None, data_revision=None), incoming=unit("0103", release=None))
        said = words(swap_sheet_page(bare))
        assert "not stated: look up the current one" in said
        assert "none that releases it is filed" in said

    def test_it_fetches_nothing_and_runs_nothing(self) -> None:
        page = swap_sheet_page(sheet(card=card(remarks='<script src="x">&</script>')))
        assert "<script" not in page
        assert "default-src 'none'" in html.unescape(page)
        assert not re.search(r"\b(src|href)=", page.replace("&lt;script src=", ""))

    @pytest.mark.parametrize("paper", PAPERS)
    def test_each_size_of_paper(self, paper: str) -> None:
        assert f"@page {{ size: {paper}; margin: {PAPERS[paper][0]}" in swap_sheet_page(sheet(), paper=paper)

    def test_a_scanner_reads_the_symbol_back(self) -> None:
        zxingcpp = pytest.importorskip("zxingcpp")
        image_of = pytest.importorskip("PIL.Image")
        page = swap_sheet_page(replace(sheet(), symbol="fleetlife swap show SW1277"))
        wide, high = (int(each) for each in re.search(r'viewBox="0 0 (\d+) (\d+)"', page).groups())  # type: ignore[union-attr]
        image = image_of.new("L", (wide, high), 255)
        for x, y in re.findall(r"M(\d+) (\d+)h1v1h-1z", page):
            image.putpixel((int(x), int(y)), 0)
        found = zxingcpp.read_barcodes(image.resize((wide * 8, high * 8), 0))
        assert [each.text for each in found] == ["fleetlife swap show SW1277"]

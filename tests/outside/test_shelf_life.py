"""Cure dates and shelf life of elastomers."""

from __future__ import annotations

from pathlib import Path

import pytest

from fleetlife.dates.partial import parse_partial
from fleetlife.life.points import check_requirement
from fleetlife.life.values import Requirement

from .trade import calendar, rows_read, rule, state_on, unit, write

QUARTER = "MIL-HDBK-695E (20 Oct 2011) 3.3, READ: makers date by the quarter, its last day is taken as the date"
TABLE = "SAE ARP5316 table as reproduced in two public copies, READ: storage only, not installed life"

# Polymer, years on the shelf; None: unlimited.
SHELF = {
    "NBR nitrile": 15,
    "CR chloroprene": 15,
    "HNBR": 15,
    "AEM": 15,
    "ACM": 15,
    "AU/EU polyurethane": 5,
    "SBR": 3,
    "FKM": None,
    "FVMQ": None,
    "VMQ silicone": None,
    "EPDM": None,
    "IIR butyl": None,
    "FFKM": None,
    "FEPM": None,
}
# The last day of the first quarter of 2025, years later.
ENDS = {15: "2040-03-31", 5: "2030-03-31", 3: "2028-03-31"}


def shelf(years: int) -> Requirement:
    return rule("storage", start="cure", first={"months": 12 * years}, source="manufacturer", reference="ARP5316")


class TestShelfLifeTable:
    """SAE ARP5316 table (READ) with the quarter rule of MIL-HDBK-695E 3.3 (READ)."""

    @pytest.mark.parametrize("polymer", [name for name, years in SHELF.items() if years is not None])
    def test_it_runs_from_the_last_day_of_the_cure_quarter(self, polymer: str) -> None:
        years = SHELF[polymer]
        assert years is not None
        assert check_requirement(shelf(years)) == []
        assert calendar(shelf(years), unit(cured="2025-Q1")) == ENDS[years], (QUARTER, TABLE)

    def test_polyurethane_of_the_fourth_quarter_of_2024_ends_with_2029(self) -> None:
        assert calendar(shelf(5), unit(cured="2024-Q4")) == "2029-12-31"

    @pytest.mark.parametrize(
        ("quarter", "ends"),
        [("2023-Q1", "2026-03-31"), ("2023-Q2", "2026-06-30"), ("2023-Q3", "2026-09-30"), ("2023-Q4", "2026-12-31")],
    )
    def test_sbr_of_each_quarter(self, quarter: str, ends: str) -> None:
        assert calendar(shelf(3), unit(cured=quarter)) == ends

    @pytest.mark.parametrize("polymer", [name for name, years in SHELF.items() if years is None])
    def test_what_keeps_without_limit_is_stated_so_and_never_due(self, polymer: str) -> None:
        unlimited = rule("on_condition", reference=f"ARP5316, {polymer}: unlimited")
        judged = state_on("2090-01-01", unlimited, unit(cured="1990-Q1"), stored=True)
        assert (judged.state, judged.due_date) == ("in date", None)
        assert polymer in judged.state_reason

    def test_the_last_day_is_good_and_the_next_is_not(self) -> None:
        nitrile = unit(cured="2025-Q1")
        assert state_on("2040-03-31", shelf(15), nitrile, stored=True).state == "in date"
        assert state_on("2040-04-01", shelf(15), nitrile, stored=True).state == "overdue"

    def test_it_is_no_limit_on_what_is_installed(self) -> None:
        """ARP5316 (READ): storage only. MIL-HDBK-695E 3.3 (READ): from cure to the first removal from the package."""
        judged = state_on("2045-01-01", shelf(15), unit(cured="2025-Q1"), stored=False)
        assert judged.state == "in date"
        assert "only in stores" in judged.state_reason

    def test_without_its_cure_date_it_is_unknown(self) -> None:
        judged = state_on("2025-06-01", shelf(3), unit(), stored=True)
        assert judged.state == "unknown"
        assert [u.cause for u in judged.unknown] == ["no-cure-date"]


class TestCureDatesAsPrinted:
    """`1Q2025` and `1Q25` are both in use (from memory)."""

    @pytest.mark.parametrize("printed", ["1Q2025", "2025-Q1", "2025Q1", "1q2025"])
    def test_the_year_in_full_is_read(self, printed: str) -> None:
        assert parse_partial(printed).last_day.isoformat() == "2025-03-31"

    def test_a_year_of_two_digits_is_refused_on_the_way_in(self, tmp_path: Path) -> None:
        units = [{"part_number": "QC-1", "serial_number": "7", "as_of": "2025-06-01", "cured": "1Q25"}]
        rows, problems = rows_read(write(tmp_path / "files", {"units": units}))
        assert rows == []
        assert ["century" in problem for problem in problems] == [True]

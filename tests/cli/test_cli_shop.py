"""`shop` as it is typed: the visits to come and the order of one, on the demo."""

from __future__ import annotations

import csv
from pathlib import Path

import openpyxl
import pytest

from fleetlife.reports.rows import ORDER_COLUMNS, SHOP_COLUMNS

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head

FORECAST = ("shop", "forecast", "--as-of", TODAY)
ORDER = ("shop", "order", "KV-2100-3", "20110", "--as-of", TODAY)


class TestForecast:
    @pytest.mark.parametrize("columns", [80, 100])
    def test_the_table_fits_and_ends_with_what_is_assumed(self, demos: dict[str, str], columns: int) -> None:
        before = head(demos["sqlite"])
        said = fleetlife(*FORECAST, "--months", "60", database=demos["sqlite"], columns=columns)
        assert said.status == FINDINGS, said.err
        for words in (
            "BY MONTH AND KIND",
            "BY PART AND KIND",
            "cannot be told when",
            "come again",
            "Assumed: each piece",
        ):
            assert words in said.words
        assert max(len(line) for line in said.out.splitlines()) <= columns
        assert head(demos["sqlite"]) == before

    def test_formats_have_the_same_rows(self, demos: dict[str, str], tmp_path: Path) -> None:
        rows = fleetlife(*FORECAST, "--format", "json", database=demos["sqlite"]).json["rows"]
        said = fleetlife(*FORECAST, "--format", "csv", database=demos["sqlite"])
        lines = list(csv.DictReader(said.out.splitlines()))
        assert [{name: str(row[name]) for name in SHOP_COLUMNS} for row in rows] == lines
        book = tmp_path / "visits.xlsx"
        fleetlife(*FORECAST, "--format", "xlsx", "--output", book, database=demos["sqlite"])
        sheet = openpyxl.load_workbook(book)["answer"]
        assert [cell.value for cell in sheet[1]] == list(SHOP_COLUMNS)
        assert sum(row[SHOP_COLUMNS.index("visits")] for row in sheet.iter_rows(min_row=2, values_only=True)) == sum(
            row["visits"] for row in rows
        )

    @pytest.mark.parametrize(
        ("more", "status"),
        [(("--months", "121"), WRONG_USE), (("--turnaround", "-1"), WRONG_USE), (("--part", "KV-9"), REFUSED)],
    )
    def test_a_slip_is_refused(self, demos: dict[str, str], more: tuple[str, ...], status: int) -> None:
        assert fleetlife(*FORECAST, *more, database=demos["sqlite"]).status == status


class TestOrder:
    @pytest.mark.parametrize("columns", [80, 100])
    def test_the_table_fits(self, demos: dict[str, str], columns: int) -> None:
        said = fleetlife(*ORDER, database=demos["sqlite"], columns=columns)
        assert said.status == CLEAN, said.err
        assert "TO BE DONE IN THIS VISIT (2)" in said.out
        assert "FALLS DUE BEFORE THE UNIT'S OWN NEXT DATE (2)" in said.out
        assert "follow the current approved maintenance data" in said.words
        assert max(len(line) for line in said.out.splitlines()) <= columns

    def test_what_cannot_be_told_is_said_and_told_by_the_status(self, demos: dict[str, str]) -> None:
        said = fleetlife("shop", "order", "KV-2100-3", "20107", "--as-of", TODAY, database=demos["sqlite"])
        assert said.status == FINDINGS
        assert "CANNOT BE TOLD (1)" in said.out

    def test_formats_have_the_same_rows(self, demos: dict[str, str], tmp_path: Path) -> None:
        body = fleetlife(*ORDER, "--turnaround", "60", "--format", "json", database=demos["sqlite"]).json
        assert (body["about"]["next_on"], body["about"]["work"]) == ("2030-01-24", ["OVH"])
        assert [tuple(row) for row in body["rows"]] == [ORDER_COLUMNS] * 4
        said = fleetlife(*ORDER, "--format", "csv", database=demos["sqlite"])
        assert [row["due_on"] for row in csv.DictReader(said.out.splitlines())] == [
            row["due_on"] for row in body["rows"]
        ]
        book = tmp_path / "order.xlsx"
        fleetlife(*ORDER, "--format", "xlsx", "--output", book, database=demos["sqlite"])
        assert openpyxl.load_workbook(book)["answer"].max_row == 5

    @pytest.mark.parametrize(
        ("more", "status"),
        [
            (("--on", "2026-11-01"), WRONG_USE),
            (("--work", "HST"), REFUSED),
            (("--turnaround", "40000"), WRONG_USE),
        ],
    )
    def test_a_slip_is_refused(self, demos: dict[str, str], more: tuple[str, ...], status: int) -> None:
        assert fleetlife(*ORDER, *more, database=demos["sqlite"]).status == status

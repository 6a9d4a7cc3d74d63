"""`due --spares` as it is typed: what expires, where, and what is to be put there, on the demo."""

from __future__ import annotations

import csv
import datetime
from pathlib import Path

import openpyxl
import pytest

from fleetlife.reports.rows import DUE_COLUMNS, DUE_SPARES_COLUMNS

from .running import FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head

DUE = ("due", "--as-of", TODAY)
UNTIL = ("--to", "2027-01-31")
CHOICE = ("spare_part_number", "spare_serial_number", "fit_on", "outcome")


class TestDueWithSpares:
    def test_each_row_says_what_to_put_there_and_the_list_is_the_due_list(self, demo: str) -> None:
        before = head(demo)
        said = fleetlife(*DUE, *UNTIL, "--spares", "--format", "json", database=demo)
        assert said.status == FINDINGS, said.err
        rows = said.json["rows"]
        bare = fleetlife(*DUE, *UNTIL, "--format", "json", database=demo).json["rows"]
        assert [{name: row[name] for name in DUE_COLUMNS} for row in rows] == bare
        put = {(row["registration"], row["position"], row["requirement"]): row for row in rows if row["registration"]}
        assert put["Q-SKA", "R2", "OVH"]["put"] == "spare"
        assert put["Q-SKC", "L1", "HST"]["put"] == "may stay until emptied"
        assert put["Q-SKM", "L3", "INS"]["put"] == "done on the aircraft: nothing comes off"
        assert put["Q-SKL", "R1", "SFT"]["put"] == "soft life: nothing has to come off"
        assert {row["put"] for row in rows if row["registration"] is None} == {"not on an aircraft"}
        assert {row["put"] for row in rows if row["state"] == "unknown" and row["registration"]} == {"cannot be told"}
        also = said.json["about"]["spares"]["also"]
        assert {f"{row['registration']} {row['position']}" for row in also} == {"Q-SKJ R4", "Q-SKT L1"}

        chosen = fleetlife("spares", "choose", "--as-of", TODAY, *UNTIL, "--format", "json", database=demo).json["rows"]
        told = {f"{row['registration']} {row['position']}": [row[name] for name in CHOICE] for row in also}
        told |= {f"{r} {p}": [row[name] for name in CHOICE] for (r, p, _), row in put.items() if row["put"] == "spare"}
        assert told == {f"{row['registration']} {row['position']}": [row[name] for name in CHOICE] for row in chosen}
        assert head(demo) == before, "nothing is reserved"

    @pytest.mark.parametrize("columns", [80, 100])
    def test_the_table_says_it_under_the_row(self, demos: dict[str, str], columns: int) -> None:
        said = fleetlife(*DUE, "--next-month", "--spares", database=demos["sqlite"], columns=columns)
        assert said.status == FINDINGS, said.err
        assert "== put there KV-2100-3 20121, Skarholm main store A-03: fitted on 2026-11-25" in said.words
        assert "ALSO WANT A SPARE BY THEN" in said.out
        assert said.out.rstrip().endswith("no mark 1 unit).")
        assert max(len(line) for line in said.out.splitlines()) <= columns

    def test_files_have_the_same_columns(self, demos: dict[str, str], tmp_path: Path) -> None:
        asked = (*DUE, "--next-month", "--spares")
        said = fleetlife(*asked, "--format", "csv", database=demos["sqlite"])
        [first, *_] = csv.reader(said.out.splitlines())
        assert tuple(first) == DUE_SPARES_COLUMNS
        book = tmp_path / "due.xlsx"
        fleetlife(*asked, "--format", "xlsx", "--output", book, database=demos["sqlite"])
        sheet = openpyxl.load_workbook(book)["answer"]
        header = [cell.value for cell in sheet[1]]
        assert tuple(header) == DUE_SPARES_COLUMNS
        days = [row[header.index("fit_on")].value for row in sheet.iter_rows(min_row=2)]
        assert datetime.date(2026, 11, 25) in [day.date() for day in days if day]

    def test_it_is_written_as_a_page_in_the_place_of_the_table(self, demos: dict[str, str], tmp_path: Path) -> None:
        page = tmp_path / "next-month.html"
        said = fleetlife(*DUE, "--next-month", "--page", page, database=demos["sqlite"])
        assert said.status == FINDINGS, said.err
        assert said.out == ""
        assert f"Written to {page}" in said.words
        text = page.read_text(encoding="utf-8")
        for words in ("KV-2100-3 20121, Skarholm main store A-03", "Doors by airframe", "280 units counted"):
            assert words in text
        nowhere = tmp_path / "nowhere" / "page.html"
        assert fleetlife(*DUE, "--next-month", "--page", nowhere, database=demos["sqlite"]).status == REFUSED

    def test_a_spare_must_have_the_life_asked_for(self, demos: dict[str, str]) -> None:
        said = fleetlife(*DUE, "--next-month", "--spares", "--least-days", "3000", database=demos["sqlite"])
        assert "no spare to put there" in said.words
        assert "fewer than the 3,000 wanted" in said.words

    @pytest.mark.parametrize(
        "more",
        [
            ("--all", "--spares"),
            ("--next-month", "--spares", "--fitted-on", "2027-01-01"),
            ("--next-month", "--least-days", "30"),
            ("--next-month", "--spares", "--least-days", "-1"),
            ("--month", "2026-09", "--spares"),
        ],
    )
    def test_a_slip_is_refused(self, demos: dict[str, str], more: tuple[str, ...]) -> None:
        said = fleetlife(*DUE, *more, database=demos["sqlite"])
        assert said.status == WRONG_USE, said.words

    def test_to_the_end_of_the_next_month(self, demos: dict[str, str]) -> None:
        said = fleetlife(
            "spares", "choose", "--as-of", TODAY, "--next-month", "--format", "json", database=demos["sqlite"]
        )
        assert said.json["about"]["until"] == "2026-12-31"
        both = fleetlife(
            "spares", "choose", "--as-of", TODAY, "--next-month", "--within", "5", database=demos["sqlite"]
        )
        assert both.status == WRONG_USE

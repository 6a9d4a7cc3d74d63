"""`audit` as typed: its page, its workbook, a sample, what is new, a finding by its number."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl

from tests.cli.running import CLEAN, FINDINGS, FIRST_INTAKE, REFUSED, TODAY, WRONG_USE, fleetlife

ON = ("--as-of", TODAY)


class TestBothDatabases:
    def test_numbers_are_the_same(self, demos: dict[str, str]) -> None:
        one, other = (
            [row["number"] for row in fleetlife("audit", *ON, "--format", "json", database=url).json["rows"]]
            for url in demos.values()
        )
        assert one == other
        assert len(set(one)) == len(one) > 40

    def test_a_sample_is_the_same_and_says_how_it_was_drawn(self, demos: dict[str, str]) -> None:
        asked = ("audit", *ON, "--sample", "12", "--seed", "2026-11-25 B", "--format", "json")
        one, other = (fleetlife(*asked, database=url).json["about"]["sample"] for url in demos.values())
        assert one == other
        assert (one["seed"], one["asked"], len(one["units"])) == ("2026-11-25 B", 12, 12)
        assert one["population"] > 200
        assert "SHA-256" in one["rule"]

    def test_what_is_new_and_closed_is_the_same(self, demos: dict[str, str]) -> None:
        asked = ("audit", *ON, "--since", FIRST_INTAKE, "--format", "csv")
        one, other = (fleetlife(*asked, database=url) for url in demos.values())
        assert one.out == other.out
        rows = list(csv.DictReader(io.StringIO(one.out)))
        words = {row["since"] for row in rows}
        assert words == {"new", "stood", "closed"}
        assert all(row["status"] == "closed" for row in rows if row["since"] == "closed")
        assert any(row["entries"] for row in rows if row["since"] == "closed")


class TestPageAndWorkbook:
    def test_both_are_written_whole_and_hold_every_finding(self, sqlite_demo: str, tmp_path: Path) -> None:
        page, book = tmp_path / "audit.html", tmp_path / "audit.xlsx"
        said = fleetlife("audit", *ON, "--report", page, "--workbook", book, database=sqlite_demo)
        assert (said.status, said.out) == (FINDINGS, "")
        assert str(page) in said.err
        assert str(book) in said.err
        rows = fleetlife("audit", *ON, "--waived", "--format", "json", database=sqlite_demo).json["rows"]
        text = page.read_text(encoding="utf-8")
        assert all(text.count(row["number"]) == 1 for row in rows)
        sheet = openpyxl.load_workbook(book)["findings"]
        assert [row[0].value for row in sheet.iter_rows(min_row=2)] == [row["number"] for row in rows]

    def test_the_same_question_gives_the_same_page(self, sqlite_demo: str, tmp_path: Path) -> None:
        pages = []
        for name in ("one.html", "two.html"):
            fleetlife("audit", *ON, "--report", tmp_path / name, database=sqlite_demo)
            pages.append((tmp_path / name).read_bytes())
        assert pages[0] == pages[1]

    def test_a_folder_that_is_not_there_is_refused(self, sqlite_demo: str, tmp_path: Path) -> None:
        said = fleetlife("audit", *ON, "--report", tmp_path / "none" / "a.html", database=sqlite_demo)
        assert said.status == REFUSED
        assert "file-not-usable" in said.err


class TestByNumber:
    def test_one_finding_by_its_number(self, sqlite_demo: str) -> None:
        [row, *_] = fleetlife("audit", *ON, "--format", "json", database=sqlite_demo).json["rows"]
        said = fleetlife("audit", *ON, "--finding", row["number"].lower(), database=sqlite_demo)
        assert said.status == FINDINGS
        assert row["number"] in said.out

    def test_one_that_does_not_stand_is_no_clean_audit(self, sqlite_demo: str) -> None:
        said = fleetlife("audit", *ON, "--finding", "LIF101-00000000", database=sqlite_demo)
        assert said.status == REFUSED
        assert "finding-not-standing" in said.err

    def test_what_is_no_number_is_wrong_use(self, sqlite_demo: str) -> None:
        assert fleetlife("audit", *ON, "--finding", "7", database=sqlite_demo).status == WRONG_USE


class TestWrongUse:
    def test_a_sample_needs_its_seed(self, sqlite_demo: str) -> None:
        assert fleetlife("audit", *ON, "--sample", "3", database=sqlite_demo).status == WRONG_USE
        assert fleetlife("audit", *ON, "--seed", "3", database=sqlite_demo).status == WRONG_USE
        assert fleetlife("audit", *ON, "--sample", "0", "--seed", "3", database=sqlite_demo).status == WRONG_USE

    def test_since_goes_with_neither_sample_nor_page(self, sqlite_demo: str, tmp_path: Path) -> None:
        since = ("audit", *ON, "--since", FIRST_INTAKE)
        assert fleetlife(*since, "--sample", "3", "--seed", "3", database=sqlite_demo).status == WRONG_USE
        assert fleetlife(*since, "--report", tmp_path / "a.html", database=sqlite_demo).status == WRONG_USE
        assert fleetlife("audit", *ON, "--since-as-of", TODAY, database=sqlite_demo).status == WRONG_USE

    def test_a_part_without_findings_is_clean(self, sqlite_demo: str) -> None:
        said = fleetlife("audit", *ON, "--code", "PAP107", "--airframe", "Q-SKA", database=sqlite_demo)
        assert said.status == CLEAN


class TestPatterns:
    def test_every_organisation_is_listed_with_its_counts(self, sqlite_demo: str) -> None:
        said = fleetlife("audit", *ON, "--patterns", "--format", "json", database=sqlite_demo)
        assert {row["finding"] for row in said.json["rows"]} == {"PAT101"}
        listed = said.json["about"]["organisations"]
        assert len(listed) == len({each["organisation"] for each in listed}) > 3
        assert sum(each["lines"] for each in listed) > 200
        assert not any(sentence.startswith("PAT102") for sentence in said.json["about"]["not_checked"])

    def test_they_are_of_the_whole_fleet(self, sqlite_demo: str) -> None:
        assert fleetlife("audit", *ON, "--patterns", "--airframe", "Q-SKA", database=sqlite_demo).status == WRONG_USE


class TestWhoElse:
    def test_both_databases_say_the_same_and_installed_ones_come_first(self, demos: dict[str, str]) -> None:
        asked = ("certificate", "ORO-24-0004", *ON, "--who-else", "all", "--format", "json")
        one, other = (fleetlife(*asked, database=url).json for url in demos.values())
        assert one["units"] == other["units"]
        standing = [unit["standing"] for unit in one["units"]]
        assert standing == sorted(standing, key=["installed", "unknown", "stores", "loan", "shop", "scrap"].index)
        assert len(standing) > 10
        assert one["common"][-1] == {"what": "organisation", "value": "Outer Reef Overhaul"}
        assert one["missing"] == ["batch"]

    def test_what_papers_do_not_share_is_wrong_use(self, sqlite_demo: str) -> None:
        said = fleetlife("certificate", "ORO-24-0004", *ON, "--who-else", "colour", database=sqlite_demo)
        assert said.status == WRONG_USE
        assert "shared-unknown" in said.err

    def test_it_fits_into_eighty_columns(self, sqlite_demo: str) -> None:
        asked = ("certificate", "ORO-24-0004", *ON, "--who-else", "all")
        for columns in (80, 100):
            said = fleetlife(*asked, database=sqlite_demo, columns=columns)
            assert said.status == FINDINGS
            assert max(len(text) for text in said.out.splitlines()) <= columns

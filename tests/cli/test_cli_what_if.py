"""What if: the due list with planned utilisation or a programme supposed. It is what importing them would give, and
nothing is written."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import sqlalchemy

from fleetlife.actions.suppose import supposing
from fleetlife.answers.due import due
from fleetlife.follows.rows import DERIVED_TABLES
from fleetlife.store.engine import Store, open_store
from fleetlife.store.rows import read_rows
from fleetlife.transfer.reading import read_named

from .running import FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head

REQUIREMENT = (
    "requirement,part_number,kind,source,programme,edition,effective_from,effective_to,start,first_months,repeat_months,"
    "repeat_hours,repeat_cycles,shelf_allowance_months,done_at,resets,reference"
)
SHORTER = "OVH,KV-2100-3,overhaul,manufacturer,SKARHOLM,5,{day},,installation,,30,,,12,,,Kvitnes 25-66-21 revision B"
HOURS = "OVH,KV-3300-1,overhaul,manufacturer,SKARHOLM,5,{day},,release,,60,9000:00,,,,,Kvitnes 25-66-33 revision C"
ADDED = "CYL,TH-880-1,life_limit,dangerous_goods,,7,{day},,manufacture,120,,,,,,,Cylinder notice 7"
OF_NOTHING = "OVH,KV-2100-9,overhaul,manufacturer,SKARHOLM,5,{day},,release,,24,,,,,,Kvitnes 25-66-29"
PLAN = "registration,from,to,hours_per_day,cycles_per_day"
BUSY = (
    "Q-SKB,2026-12-01,2027-08-31,15:00,12",
    "Q-SKM,2026-11-26,2027-03-31,14:00,9.5",
    "Q-SKG,2026-11-26,2029-12-31,6:00,5",
)
BANDS = "requirement,part_number,programme,edition,from_age_months,repeat_months,repeat_hours,repeat_cycles,band_rule"
OLD = "OVH,KV-2100-3,SKARHOLM,{edition},144,6,,,cap"


def written(folder: Path, name: str, header: str, *rows: str) -> Path:
    folder.mkdir(exist_ok=True, parents=True)
    path = folder / name
    path.write_text("\n".join((header, *rows)) + "\n", encoding="utf-8")
    return path


def as_workbook(path: Path) -> Path:
    book = openpyxl.Workbook()
    with path.open(encoding="utf-8", newline="") as file:
        for row in csv.reader(file):
            book.active.append(row)
    book.save(path.with_suffix(".xlsx"))
    path.unlink()
    return path.with_suffix(".xlsx")


def answer(database: str, *arguments: str | Path) -> dict[str, Any]:
    """Rows, coverage, findings and editions of a due list."""
    said = fleetlife("due", *arguments, "--format", "json", database=database)
    assert said.status in (0, FINDINGS), said.err
    about = said.json["about"]
    kept = {name: about[name] for name in ("as_of", "editions", "oldest_reading", "coverage", "findings")}
    return {"rows": said.json["rows"], **kept}


def derived(database: str) -> dict[str, list[Any]]:
    store = open_store(database)
    try:
        with store.reading() as connection:
            return {name: sorted(read_rows(connection, kind), key=repr) for name, kind in DERIVED_TABLES.items()}
    finally:
        store.close()


@pytest.fixture(params=["sqlite", "postgresql"])
def two(request: pytest.FixtureRequest, demo_copy: Callable[[str], str]) -> tuple[str, str]:
    """Two copies of the demo on each engine in turn: one to ask what if, one to import into."""
    return demo_copy(request.param), demo_copy(request.param)


class TestItIsWhatImportingWouldGive:
    ASKED = (
        ("--all", "--as-of", TODAY),
        ("--to", "2027-06-30", "--as-of", TODAY),
        ("--from", "2027-01-01", "--to", "2027-12-31", "--as-of", "2026-12-24", "--airframe", "Q-SKB"),
        ("--all", "--as-of", "2026-11-10"),
        ("--to", "2027-06-30", "--as-of", TODAY, "--part", "KV-2100-3", "--part", "KV-3300-1"),
        ("--to", "2027-06-30", "--as-of", TODAY, "--requirement", "OVH"),
    )

    def same(self, two: tuple[str, str], files: Sequence[Path], *options: str | Path) -> None:
        asked, imported = two
        before = [answer(asked, *words) for words in self.ASKED]
        supposed = [answer(asked, *words, *options) for words in self.ASKED]
        for path in files:
            said = fleetlife("import", path, "--as-of", TODAY, database=imported)
            assert said.status == 0, said.err
        assert supposed == [answer(imported, *words) for words in self.ASKED]
        assert supposed[0] != before[0]

    def test_of_planned_utilisation(self, two: tuple[str, str], tmp_path: Path) -> None:
        plan = written(tmp_path, "utilisation.csv", PLAN, *BUSY)
        self.same(two, [plan], "--utilisation", plan)

    def test_of_utilisation_that_takes_the_place_of_what_is_planned(self, two: tuple[str, str], tmp_path: Path) -> None:
        """Q-SKA and Q-SKH have plans; in the copy they are withdrawn first."""
        number = self.entry_of_the_plans(two[1])
        said = fleetlife(
            "ledger",
            "withdraw",
            str(number),
            "--reason",
            "another plan",
            "--authorised-by",
            "Q1",
            "--yes",
            database=two[1],
        )
        assert said.status == 0, said.err
        rows = ("Q-SKA,2026-12-15,2027-05-31,16:00,14", "Q-SKH,2027-02-01,2027-04-30,0:00,0")
        plan = written(tmp_path, "utilisation.csv", PLAN, *rows)
        self.same(two, [plan], "--utilisation", plan)

    @staticmethod
    def entry_of_the_plans(database: str) -> int:
        store = open_store(database)
        try:
            with store.reading() as connection:
                return int(connection.execute(sqlalchemy.text("SELECT min(entry_number) FROM utilisation")).scalar())
        finally:
            store.close()

    @pytest.mark.parametrize("day", ["2020-06-01", "2026-11-20", "2026-12-20"])
    def test_of_a_programme(self, two: tuple[str, str], tmp_path: Path, day: str) -> None:
        """An edition in force for years, for days, and on some of the days asked about only."""
        rows = [row.format(day=day) for row in (SHORTER, HOURS, ADDED, OF_NOTHING)]
        rules = written(tmp_path, "requirements.csv", REQUIREMENT, *rows)
        if day == "2026-12-20":
            asked, imported = two
            words = ("--all", "--as-of", "2026-12-24")
            supposed = answer(asked, *words, "--programme", rules)
            assert supposed != answer(asked, *words)
            assert answer(asked, "--all", "--as-of", TODAY, "--programme", rules)["rows"]
            assert fleetlife("import", rules, database=imported).status == 0
            assert supposed == answer(imported, *words)
            return
        self.same(two, [rules], "--programme", rules)

    def test_of_bands_alone_on_an_edition_that_is_recorded(self, two: tuple[str, str], tmp_path: Path) -> None:
        bands = written(tmp_path, "bands.csv", BANDS, OLD.format(edition=4))
        self.same(two, [bands], "--programme", bands)

    def test_of_a_folder_with_bands_and_of_workbooks(self, two: tuple[str, str], tmp_path: Path) -> None:
        folder = tmp_path / "edition 5"
        as_workbook(written(folder, "requirements.csv", REQUIREMENT, SHORTER.format(day="2026-11-01")))
        as_workbook(written(folder, "bands.csv", BANDS, OLD.format(edition=5)))
        self.same(two, [folder], "--programme", folder)

    def test_of_all_of_it_together_under_names_of_its_own(self, two: tuple[str, str], tmp_path: Path) -> None:
        taken, own = tmp_path / "taken", tmp_path / "own"
        rows = [row.format(day="2026-11-01") for row in (SHORTER, HOURS)]
        for folder, names in (
            (taken, ("requirements.csv", "bands.csv", "utilisation.csv")),
            (own, ("edition 5.csv", "ages 5.csv", "summer.csv")),
        ):
            written(folder, names[0], REQUIREMENT, *rows)
            written(folder, names[1], BANDS, OLD.format(edition=5))
            written(folder, names[2], PLAN, *BUSY)
        options = ("--programme", own / "edition 5.csv", "--bands", own / "ages 5.csv")
        self.same(two, [taken], *options, "--utilisation", own / "summer.csv")

    def test_after_a_swap_of_a_unit_it_is_about(self, two: tuple[str, str], tmp_path: Path) -> None:
        """Facts dated after the day asked: there the records themselves are derived again."""
        for database in two:
            said = fleetlife(
                "swap", "record", "Q-SKA", "R2", "--install", "KV-2100-3", "20301", "--on", "2026-11-25", "--harness",
                "right", "--removed-to", "shop", "--removal-kind", "scheduled", "--technical-log", "SK4471",
                "--signed-by", "M117", "--yes", "--as-of", TODAY, database=database,
            )  # fmt: skip
            assert said.status in (0, FINDINGS), said.err
        rules = written(tmp_path, "requirements.csv", REQUIREMENT, SHORTER.format(day="2026-11-01"))
        self.same(two, [rules], "--programme", rules)


class TestNothingIsWritten:
    def test_head_and_derived_rows_are_as_they_were(self, own_demo: str, tmp_path: Path) -> None:
        rules = written(tmp_path, "requirements.csv", REQUIREMENT, SHORTER.format(day="2026-11-01"))
        plan = written(tmp_path, "plan.csv", PLAN, *BUSY)
        before, rows, list_ = head(own_demo), derived(own_demo), answer(own_demo, "--all", "--as-of", TODAY)
        said = fleetlife(
            "due", "--all", "--as-of", TODAY, "--programme", rules, "--utilisation", plan, database=own_demo
        )
        assert said.status == FINDINGS
        assert head(own_demo) == before
        assert derived(own_demo) == rows
        assert answer(own_demo, "--all", "--as-of", TODAY) == list_

    def test_neither_does_the_store_keep_what_was_supposed(self, own_demo: str, tmp_path: Path) -> None:
        """One open store, asked plainly, then what if, then plainly again."""
        rules = written(tmp_path, "requirements.csv", REQUIREMENT, SHORTER.format(day="2026-11-01"))
        plan = written(tmp_path, "plan.csv", PLAN, *BUSY)
        files = supposing(read_named([("requirements", rules), ("utilisation", plan)]))
        with opened(own_demo) as store:
            plain = due(store, as_of=date.fromisoformat(TODAY), everything=True)
            supposed = due(store, as_of=date.fromisoformat(TODAY), everything=True, suppose=files)
            assert supposed.rows != plain.rows
            assert due(store, as_of=date.fromisoformat(TODAY), everything=True) == plain


class TestTheHeadSaysSo:
    @pytest.fixture
    def files(self, tmp_path: Path) -> tuple[str | Path, ...]:
        rules = written(tmp_path, "edition 5.csv", REQUIREMENT, SHORTER.format(day="2026-11-01"))
        plan = written(tmp_path, "summer.csv", PLAN, *BUSY)
        return "--programme", rules, "--utilisation", plan

    def test_in_a_table(self, demo: str, files: tuple[str | Path, ...]) -> None:
        words = fleetlife("due", "--as-of", TODAY, *files, database=demo).words
        assert "WHAT IF: requirements as in edition 5.csv (SHA-256 " in words
        assert "planned utilisation as in summer.csv (SHA-256 " in words
        assert "not recorded" in words

    def test_in_json_with_whole_digests(self, demo: str, files: tuple[str | Path, ...]) -> None:
        about = fleetlife("due", "--as-of", TODAY, *files, "--format", "json", database=demo).json["about"]
        assert about["what_if"] == [
            {"states": states, "file": Path(path).name, "sha256": hashlib.sha256(Path(path).read_bytes()).hexdigest()}
            for states, path in (("requirements", files[1]), ("planned utilisation", files[3]))
        ]
        assert fleetlife("due", "--as-of", TODAY, "--format", "json", database=demo).json["about"]["what_if"] == []

    def test_beside_csv_and_in_a_workbook(self, demo: str, files: tuple[str | Path, ...], tmp_path: Path) -> None:
        said = fleetlife("due", "--as-of", TODAY, *files, "--format", "csv", database=demo)
        assert "What if: requirements as in edition 5.csv" in said.err
        path = tmp_path / "due.xlsx"
        fleetlife("due", "--as-of", TODAY, *files, "--format", "xlsx", "--output", path, database=demo)
        about = {row[0].value: row[1].value for row in openpyxl.load_workbook(path)["about"].iter_rows()}
        assert about["what_if 1: file"] == "edition 5.csv"
        assert about["what_if 2: states"] == "planned utilisation"

    def test_that_an_edition_takes_effect_only_later(self, demo: str, tmp_path: Path) -> None:
        rules = written(tmp_path, "requirements.csv", REQUIREMENT, SHORTER.format(day="2026-12-20"))
        words = fleetlife("due", "--as-of", TODAY, "--programme", rules, database=demo).words
        assert "SKARHOLM edition 5 takes effect on 2026-12-20 and is not counted before" in words


class TestRefusals:
    def refused(self, demo: str, tmp_path: Path, *options: str | Path) -> tuple[Said, list[dict[str, str]]]:
        before, told = head(demo), tmp_path / "problems.csv"
        said = fleetlife("due", "--as-of", TODAY, *options, "--problems", told, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert "nothing is answered" in said.words
        assert head(demo) == before
        with told.open(encoding="utf-8", newline="") as file:
            return said, list(csv.DictReader(file))

    @pytest.mark.parametrize(
        ("row", "column", "value", "words"),
        [
            ("Q-NONE,2026-12-01,2027-01-31,5:00,5", "registration", "Q-NONE", "No airframe with registration"),
            ("Q-SKA,2026-12-01,2026-11-01,5:00,5", "to", "2026-11-01", "ends before it begins"),
            ("Q-SKA,01/12/2026,2027-11-01,5:00,5", "from", "01/12/2026", ""),
            ("Q-SKA,2026-12-01,2027-11-01,5.30,5", "hours_per_day", "5.30", ""),
            ("Q-SKA,2026-12-01,2027-11-01,,5", "hours_per_day", "", "missing"),
        ],
    )
    def test_of_a_row_of_utilisation(
        self, demo: str, tmp_path: Path, row: str, column: str, value: str, words: str
    ) -> None:
        plan = written(tmp_path, "plan.csv", PLAN, BUSY[0], row)
        _, (problem,) = self.refused(demo, tmp_path, "--utilisation", plan)
        assert (problem["file"], problem["line"], problem["column"]) == ("plan.csv", "3", column)
        assert problem["value"] == value
        assert words in problem["reason"]
        assert problem["remedy"]

    def test_of_two_rows_that_say_otherwise(self, demo: str, tmp_path: Path) -> None:
        plan = written(tmp_path, "plan.csv", PLAN, BUSY[0], BUSY[0].replace("15:00", "14:00"))
        _, (problem,) = self.refused(demo, tmp_path, "--utilisation", plan)
        assert "states the same key otherwise" in problem["reason"]

    def test_of_a_part_that_is_not_known(self, demo: str, tmp_path: Path) -> None:
        rules = written(tmp_path, "r.csv", REQUIREMENT, SHORTER.format(day="").replace("KV-2100-3", "KV-9999-1"))
        _, (problem,) = self.refused(demo, tmp_path, "--programme", rules)
        assert (problem["file"], problem["line"], problem["column"]) == ("r.csv", "2", "part_number")
        assert "No part KV-9999-1" in problem["reason"]

    def test_of_another_content_for_a_recorded_edition(self, demo: str, tmp_path: Path) -> None:
        rules = written(tmp_path, "r.csv", REQUIREMENT, SHORTER.format(day="2020-01-01").replace(",5,", ",4,", 1))
        _, (problem,) = self.refused(demo, tmp_path, "--programme", rules)
        assert "states this key with other content" in problem["reason"]

    def test_of_a_rule_that_cannot_be_used(self, demo: str, tmp_path: Path) -> None:
        row = "LIM,KV-2100-3,life_limit,manufacturer,SKARHOLM,5,,,manufacture,,24,,,,,,x"
        _, problems = self.refused(demo, tmp_path, "--programme", written(tmp_path, "r.csv", REQUIREMENT, row))
        assert [problem["column"] for problem in problems] == ["requirement"]

    def test_of_files_that_are_none(self, demo: str, tmp_path: Path) -> None:
        _, (problem,) = self.refused(demo, tmp_path, "--utilisation", written(tmp_path, "plan.txt", PLAN, BUSY[0]))
        assert "are not taken in" in problem["reason"]
        said = fleetlife("due", "--utilisation", tmp_path / "not there.csv", database=demo)
        assert (said.status, "path-not-found" in said.err) == (WRONG_USE, True)
        (tmp_path / "empty").mkdir()
        said = fleetlife("due", "--programme", tmp_path / "empty", database=demo)
        assert (said.status, "nothing-to-read" in said.err) == (REFUSED, True)

    def test_of_two_files_of_bands(self, demo: str, tmp_path: Path) -> None:
        folder = tmp_path / "p"
        written(folder, "requirements.csv", REQUIREMENT, SHORTER.format(day=""))
        bands = written(folder, "bands.csv", BANDS, OLD.format(edition=5))
        _, problems = self.refused(demo, tmp_path, "--programme", folder, "--bands", bands)
        assert all("twice" in problem["reason"] for problem in problems)

    def test_of_what_was_known_then(self, demo: str, tmp_path: Path) -> None:
        plan = written(tmp_path, "plan.csv", PLAN, BUSY[0])
        said = fleetlife("due", "--known-at", "2026-11-01", "--utilisation", plan, database=demo)
        assert (said.status, "what-if-of-then" in said.err) == (WRONG_USE, True)

    def test_how_it_is_meant_can_be_said(self, demo: str, tmp_path: Path) -> None:
        plan = written(tmp_path, "plan.csv", PLAN, "Q-SKM,01/12/2026,31/08/2027,15.50,12")
        asked = ("--all", "--as-of", TODAY, "--utilisation", plan, "--date-order", "dmy", "--hours")
        same = written(tmp_path, "same.csv", PLAN, "Q-SKM,2026-12-01,2027-08-31,15:50,12")
        told = answer(demo, "--all", "--as-of", TODAY, "--utilisation", same)
        assert answer(demo, *asked, "minutes") == told
        assert answer(demo, *asked, "decimal") != told


@contextmanager
def opened(database: str) -> Iterator[Store]:
    store = open_store(database)
    try:
        yield store
    finally:
        store.close()


class TestCost:
    def test_the_statements_do_not_grow_with_the_units_of_the_parts(self, demo: str, tmp_path: Path) -> None:
        """A part of a few units and parts of many cost the same number, as long as one batch holds them."""
        few = written(tmp_path, "few.csv", REQUIREMENT, OF_NOTHING.format(day="2026-11-01"))
        many = written(
            tmp_path, "many.csv", REQUIREMENT, *(r.format(day="2026-11-01") for r in (SHORTER, HOURS, ADDED))
        )
        counts = []
        for path in (few, many):
            with opened(demo) as store:
                files = supposing(read_named([("requirements", path)]))
                said = []
                note = partial(_note, said)
                sqlalchemy.event.listen(store.engine, "before_cursor_execute", note)
                found = due(store, as_of=date.fromisoformat(TODAY), everything=True, suppose=files)
                sqlalchemy.event.remove(store.engine, "before_cursor_execute", note)
                counts.append((len(said), sum(row.edition in ("5", "7") for row in found.rows)))
        (small, one), (large, many_rows) = counts
        assert one == 1
        assert many_rows > 80
        # a level of assemblies more, and a look-up for each removal that no reading has followed and each variation
        assert large <= small + 12


def _note(said: list[str], _connection: object, _cursor: object, statement: str, *_more: object) -> None:
    said.append(statement)

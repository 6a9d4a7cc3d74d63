"""`unit --story`, `unit --log-card`, `airframe --pack` and `retention`, as they are typed."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path
from typing import Any

import pytest
import rfc8785

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head

ON = ("--as-of", TODAY)
UNIT = ("unit", "KV-2100-3", "20125")


class TestStory:
    def test_it_tells_the_life_oldest_first(self, demo: str) -> None:
        said = fleetlife(*UNIT, "--story", *ON, database=demo)
        assert said.status == FINDINGS  # the years before the records are a gap
        made, removed = said.out.index("made: manufactured 2016-05"), said.out.index("removal: removed from Q-SKG L1")
        assert made < removed
        assert "gap 2016-05-01 to 2022-12-19" in said.words

    def test_the_object_has_the_same_structure(self, demo: str) -> None:
        found = fleetlife(*UNIT, "--story", *ON, "--format", "json", database=demo).json
        assert found["about"]["question"] == "unit --story"
        assert [hole["kind"] for hole in found["holes"]] == ["gap"]
        stay = next(line for line in found["lines"] if line["topic"] == "stay")
        assert (stay["since"], stay["until"], stay["registration"]) == ("2022-12-19", "2025-10-28", "Q-SKG")
        assert (stay["hours_until"], stay["basis_until"]) == ("16660:18", "stated")

    def test_two_questions_at_once_are_wrong_use(self, demo: str) -> None:
        assert fleetlife(*UNIT, "--story", "--explain", *ON, database=demo).status == WRONG_USE
        assert fleetlife(*UNIT, "--story", "--log-card", *ON, database=demo).status == WRONG_USE


class TestLogCard:
    def test_its_digest_is_that_of_the_canonical_text_of_its_content(self, demo: str) -> None:
        said = fleetlife(*UNIT, "--log-card", *ON, "--format", "json", database=demo)
        card = said.json
        assert hashlib.sha256(rfc8785.dumps(card["content"])).hexdigest() == card["sha256"]
        assert card["content"]["about"]["ledger_head"] == head(demo)[1]
        page = fleetlife(*UNIT, "--log-card", *ON, database=demo)
        assert f"SHA-256 {card['sha256']}" in page.out
        assert head(demo)[1] in page.out

    def test_a_changed_figure_gives_another_digest(self, demo: str) -> None:
        card = fleetlife(*UNIT, "--log-card", *ON, "--format", "json", database=demo).json
        card["content"]["fitted"][1]["hours_since_new"] = "20983:01"
        assert hashlib.sha256(rfc8785.dumps(card["content"])).hexdigest() != card["sha256"]

    def test_it_names_the_rule_and_what_is_not_held(self, demo: str, tmp_path: Path) -> None:
        said = fleetlife(*UNIT, "--log-card", *ON, "--output", tmp_path / "card.txt", database=demo)
        assert said.out == ""
        text = " ".join((tmp_path / "card.txt").read_text(encoding="utf-8").split())
        assert "By AMC M.A.305(e) (edition not stated): a log card holds" in text
        assert text.count("Not held by these records:") == 5
        assert "A log card is no release" in text


class TestPack:
    def test_every_file_is_there_with_its_digest_and_the_open_things_on_top(self, demo: str, tmp_path: Path) -> None:
        folder = tmp_path / "pack"
        said = fleetlife("airframe", "Q-SKA", "--pack", folder, *ON, database=demo)
        assert said.status == FINDINGS
        sums = dict(reversed(line.split("  ")) for line in (folder / "sha256sums.txt").read_text("utf-8").splitlines())
        written = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
        assert written == {*sums, "sha256sums.txt", "index.txt"}
        index = (folder / "index.txt").read_text("utf-8")
        for name, sha in sums.items():
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == sha
            assert name in index
            assert sha in index
        assert index.index("GAPS, OVERLAPS AND UNKNOWNS") < index.index("OPEN FINDINGS") < index.index("FILES")
        assert head(demo)[1] in index

    def test_its_tables_say_what_its_cards_say(self, demo: str, tmp_path: Path) -> None:
        fleetlife("airframe", "Q-SKA", "--pack", tmp_path / "pack", *ON, database=demo)
        units = _rows(tmp_path / "pack" / "units.csv")
        assert len(units) == 12
        gaps = _rows(tmp_path / "pack" / "gaps.csv")
        for unit in units:
            card = json.loads((tmp_path / "pack" / unit["card"]).with_suffix(".json").read_text("utf-8"))
            assert card["sha256"] == unit["content_sha256"]
            mine = [gap for gap in gaps if gap["serial_number"] == unit["serial_number"]]
            assert len(mine) == len(card["content"]["holes"]) == int(unit["gaps"])

    def test_asked_again_it_is_the_same_to_the_byte(self, demo: str, tmp_path: Path) -> None:
        for name in ("one", "two"):
            fleetlife("airframe", "Q-SKA", "--pack", tmp_path / name, *ON, database=demo)
        one, two = (
            {path.relative_to(tmp_path / name): path.read_bytes() for path in (tmp_path / name).rglob("*.*")}
            for name in ("one", "two")
        )
        assert one == two

    def test_a_folder_that_holds_something_is_refused_and_left_alone(self, demo: str, tmp_path: Path) -> None:
        (tmp_path / "mine.txt").write_text("mine")
        said = fleetlife("airframe", "Q-SKA", "--pack", tmp_path, *ON, database=demo)
        assert said.status == REFUSED
        assert "folder-not-empty" in said.err
        assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]

    def test_a_refusal_leaves_no_folder(self, demo: str, tmp_path: Path) -> None:
        said = fleetlife("airframe", "Q-NONE", "--pack", tmp_path / "pack", *ON, database=demo)
        assert said.status == REFUSED
        assert list(tmp_path.iterdir()) == []

    def test_a_pack_is_no_format(self, demo: str, tmp_path: Path) -> None:
        given = ("airframe", "Q-SKA", "--pack", tmp_path / "pack", "--format", "json")
        assert fleetlife(*given, database=demo).status == WRONG_USE


class TestRetention:
    def rows(self, demo: str, *more: str, env: dict[str, str | None] | None = None) -> list[dict[str, Any]]:
        said = fleetlife("retention", *ON, *more, "--format", "csv", database=demo, env=env)
        assert said.status == CLEAN, said.err
        return list(csv.DictReader(io.StringIO(said.out)))

    def test_without_a_choice_all_rules_answer_and_the_latest_counts(self, demo: str) -> None:
        for row in self.rows(demo):
            days = (row["kept_until_eu"], row["kept_until_us"])
            assert all(days)
            assert row["kept_until"] == ("" if "no end" in days else max(days))

    def test_the_rules_chosen_answer_alone(self, demo: str) -> None:
        assert {row["kept_until_us"] for row in self.rows(demo, "--rules", "eu")} == {""}
        assert not any("14 CFR" in row["rules"] for row in self.rows(demo, "--rules", "eu"))

    def test_the_settings_file_chooses_too(self, demo: str, tmp_path: Path) -> None:
        path = tmp_path / "settings.toml"
        path.write_text('retention_rules = "us"\n')
        rows = self.rows(demo, env={"FLEETLIFE_SETTINGS": str(path)})
        assert {row["kept_until_eu"] for row in rows} == {""}
        path.write_text('retention_rules = "moon"\n')
        said = fleetlife("retention", *ON, database=demo, env={"FLEETLIFE_SETTINGS": str(path)})
        assert said.status == REFUSED
        assert "setting-not-read" in said.err

    def stated(self, tmp_path: Path, text: str) -> dict[str, str | None]:
        path = tmp_path / "settings.toml"
        path.write_text(text, encoding="utf-8")
        return {"FLEETLIFE_SETTINGS": str(path)}

    def test_the_settings_file_chooses_by_operator(self, demo: str, tmp_path: Path) -> None:
        env = self.stated(tmp_path, 'retention_rules = "eu"\n[retention_operators]\n"skarholm airways" = "us"\n')
        for row in self.rows(demo, env=env):
            if row["operators"]:
                assert (row["operators"], row["kept_until_eu"]) == ("Skarholm Airways", "")
                assert row["kept_until_us"]
            else:  # never carried: what goes for all others
                assert row["kept_until_us"] == ""
                assert row["kept_until_eu"]

    def test_who_is_not_stated_is_kept_by_all_rules(self, demo: str, tmp_path: Path) -> None:
        env = self.stated(tmp_path, '[retention_operators]\n"Skarholm Airways" = ["eu"]\n')
        rows = self.rows(demo, env=env)
        assert {bool(row["kept_until_us"]) for row in rows if row["operators"]} == {False}
        assert {bool(row["kept_until_us"]) for row in rows if not row["operators"]} == {True}

    def test_the_answer_says_whose_rules_were_followed_and_who_is_not_there(self, demo: str, tmp_path: Path) -> None:
        text = '[retention_operators]\n"Skarholm Airways" = "eu"\n"Skarhelm Airways" = "us"\n'
        env = self.stated(tmp_path, text)
        said = fleetlife("retention", *ON, database=demo, env=env)
        assert "RETENTION rules by operator" in said.words
        assert "Skarholm Airways: EU, as the settings say" in said.words
        assert "no operator, carried by no airframe of one: EU and US, nothing is stated for it" in said.words
        assert "Skarhelm Airways: named in the settings, and no airframe of it is here" in said.words
        about = fleetlife("retention", *ON, "--format", "json", database=demo, env=env).json["about"]
        assert about["rules_by_operator"][0] == {"operator": "Skarholm Airways", "rules": ["eu"], "stated": True}
        assert about["operators_not_in_records"] == ["Skarhelm Airways"]

    def test_the_option_goes_before_the_settings(self, demo: str, tmp_path: Path) -> None:
        env = self.stated(tmp_path, '[retention_operators]\n"Skarholm Airways" = "us"\n')
        rows = self.rows(demo, "--rules", "eu", env=env)
        assert {row["kept_until_us"] for row in rows} == {""}

    @pytest.mark.parametrize("said", ['"us"', '{"Skarholm Airways" = "moon"}', '{"Skarholm Airways" = []}'])
    def test_what_the_settings_say_otherwise_is_refused(self, demo: str, tmp_path: Path, said: str) -> None:
        told = fleetlife("retention", *ON, database=demo, env=self.stated(tmp_path, f"retention_operators = {said}\n"))
        assert told.status == REFUSED
        assert "setting-not-read" in told.err

    def test_the_page_says_that_nothing_is_deleted_and_what_is_from_memory(self, demo: str) -> None:
        said = fleetlife("retention", "--part", "KV-2100-3", *ON, database=demo)
        assert "Nothing is deleted by this program" in said.words
        assert "entries in the ledger stay for ever" in said.words
        assert "none was chosen (--rules)" in said.words
        assert "145.A.55(a)-(c) (UK consolidated text 201121): " in said.words
        assert "(edition not known, cited from memory)" in said.words

    @pytest.mark.parametrize("given", [("--rules", "moon"), ("--format", "pdf")])
    def test_another_word_is_wrong_use(self, demo: str, given: tuple[str, str]) -> None:
        assert fleetlife("retention", *given, *ON, database=demo).status == WRONG_USE

    def test_a_part_nobody_knows_is_refused(self, demo: str) -> None:
        assert fleetlife("retention", "--part", "KV-2100-33", *ON, database=demo).status == REFUSED


def _rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"))))

"""Other movements and deferrals at the command line: options, a JSON file, preview, refusals, JSON out."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head
from .test_cli_prompts import Terminal

ON = ("--as-of", TODAY)
ROB = {
    "donor": "Q-SKU", "donor_position": "L1", "registration": "Q-SKT", "position": "L1", "on": "2026-11-25",
    "unit": {"part_number": "KV-1800-4", "serial_number": "18013"}, "inspection": "TAG-9", "unit_inspected_by": "S-402",
    "harness": "left", "donor_hours_total": None,
}  # fmt: skip
PREVIEWS: tuple[tuple[str, ...], ...] = (
    ("assembly", "take-out", "LC-12-1", "B12053", "--store", "Main", "--condition", "unserviceable"),
    ("stores", "re-rig", "KV-2100-3", "20121", "--harness", "left", "--data-reference", "CMM", "--signed-by", "S-1"),
    ("stores", "scrap", "TH-880-1", "R88052", "--disposition", "mutilated"),
    ("identity", "re-identify", "KV-3300-1", "33121", "--new-part-number", "KV-3300-4", "--modification", "SB-1"),
    ("loan", "out", "KV-3300-1", "33130", "--to", "Fuglavik Air", "--back-by", "2027-01-31"),
    ("loan", "back", "KV-1800-4", "18012", "--store", "Main"),
    ("loan", "return", "KV-3300-2", "33290"),
    ("deferral", "open", "Q-SKJ", "R4", "--item", "slide missing", "--authorised-by", "S-501"),
    ("deferral", "close", "Q-SKU", "L1", "--closed-by", "S-304"),
    ("operation", "record", "KV-2100-3", "20141", "--operation", "deployment", "--unintended"),
)


def written(folder: Path, body: Any) -> str:
    path = folder / "asked.json"
    path.write_text(json.dumps(body), encoding="utf-8")
    return str(path)


class TestRobbery:
    def test_from_a_file_it_is_shown_refused_acknowledged_and_recorded(self, own_demo: str, tmp_path: Path) -> None:
        file = written(tmp_path, ROB)
        shown = fleetlife("swap", "rob", "--file", file, "--preview", *ON, database=own_demo)
        assert shown.status == FINDINGS
        assert "PREVIEW OF A ROBBERY" in shown.out
        assert "Stored gas" in shown.words
        refused = fleetlife("swap", "rob", "--file", file, "--yes", *ON, database=own_demo)
        assert (refused.status, "MOV104" in refused.err) == (REFUSED, True)
        body = ROB | {"acknowledged": [{"finding": "MOV104", "name": "S-501", "reason": "test"}]}
        done = fleetlife(
            "swap", "rob", "--file", written(tmp_path, body), "--yes", "--format", "json", *ON, database=own_demo
        )
        assert done.status == FINDINGS
        told = json.loads(done.out)
        assert [each["finding"] for each in told["findings"]] == ["MOV104"]
        assert told["after"][0] == {"what": "KV-1800-4 18013", "is": "Q-SKT L1, serviceable, rigged left"}
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"donr": "Q-SKU"}, "field-not-known"),
            ({"unit": {"part_number": "KV-1800-4"}}, "field-missing"),
            ({"harness": "port"}, "word-not-known"),
            ({"hours_total": 5}, "field-not-read"),
            ({"sequence": "5"}, "field-not-read"),
            ({"on": "25.11.2026"}, "field-not-read"),
            ({"donor_cycles_total": -1}, "total-negative"),
        ],
    )
    def test_a_file_is_read_strictly(self, demo: str, tmp_path: Path, changes: dict[str, Any], code: str) -> None:
        said = fleetlife("swap", "rob", "--file", written(tmp_path, ROB | changes), *ON, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert f"Refused ({code})" in said.err

    def test_wrong_use(self, demo: str, tmp_path: Path) -> None:
        both = ("swap", "rob", "Q-SKU", "L1", "--file", written(tmp_path, ROB))
        assert fleetlife(*both, *ON, database=demo).status == WRONG_USE
        assert fleetlife("swap", "rob", "Q-SKU", "L1", *ON, database=demo).status == WRONG_USE


class TestEach:
    @pytest.mark.parametrize("asked", PREVIEWS, ids=lambda asked: " ".join(asked[:2]))
    def test_a_preview_records_nothing(self, demo: str, asked: tuple[str, ...]) -> None:
        before = fleetlife("ledger", "head", database=demo).out
        said = fleetlife(*asked, "--preview", *ON, database=demo)
        assert said.status in (CLEAN, FINDINGS), said.err
        assert "NOTHING IS RECORDED" in said.out
        assert fleetlife("ledger", "head", database=demo).out == before

    @pytest.mark.parametrize("asked", PREVIEWS, ids=lambda asked: " ".join(asked[:2]))
    def test_recorded_it_stands_as_json_and_the_ledger_agrees(self, own_demo: str, asked: tuple[str, ...]) -> None:
        said = fleetlife(*asked, "--yes", "--format", "json", *ON, database=own_demo)
        assert said.status in (CLEAN, FINDINGS), said.err
        assert json.loads(said.out)["entry"] > 1
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN


class TestDeferralList:
    def test_it_ends_with_findings_where_one_has_expired(self, demo: str) -> None:
        said = fleetlife("deferral", "list", *ON, database=demo)
        assert said.status == FINDINGS
        assert said.words.index("Q-SKU L1") < said.words.index("Q-SKT L1")
        assert "cannot be deferred this way" in said.words
        alone = fleetlife("deferral", "list", "Q-SKT", "--format", "json", *ON, database=demo)
        assert alone.status == CLEAN
        assert [row["expires"] for row in json.loads(alone.out)["rows"]] == ["2026-12-04"]
        assert "slide missing at L1" in fleetlife("deferral", "list", "--format", "csv", *ON, database=demo).out


class TestSetting:
    @pytest.mark.parametrize(("stated", "status"), [("0", REFUSED), ('"long"', REFUSED), ("180", FINDINGS)])
    def test_how_long_is_long_comes_from_the_settings(
        self, demo: str, tmp_path: Path, stated: str, status: int
    ) -> None:
        settings = tmp_path / "settings.toml"
        settings.write_text(f"long_parked_days = {stated}\n", encoding="utf-8")
        said = fleetlife("deferral", "list", *ON, database=demo, env={"FLEETLIFE_SETTINGS": str(settings)})
        assert said.status == status
        assert ("settings-not-read" in said.err) == (status == REFUSED)


class TestAtATerminal:
    def test_each_field_is_asked_for_and_checked_before_anything_is_recorded(self, sqlite_demo: str) -> None:
        before = head(sqlite_demo)
        lent = Terminal(sqlite_demo, "loan", "out", *ON)
        lent.answer_all(
            ("Unit: PART SERIAL", "KV-3300-1"),
            ("with a space between", None),
            ("Unit: PART SERIAL", "KV-3300-1 33130"),
            ("On [2026-11-25]", ""),
            ("Organisation", ""),
            ("It must be said", None),
            ("Organisation", "Fuglavik Air"),
            ("Back by", "31.1.2027"),
            ("is not a day", None),
            ("Back by", "2027-01-31"),
            ("Order", "LO-7"),
            ("Condition (serviceable", "good"),
            ("is no word for condition", None),
            ("Condition (serviceable", "serviceable"),
            ("Reference", ""),
            ("Signed by", "S-1"),
            ("Sequence", "first"),
            ("is not a whole number", None),
            ("Sequence", ""),
            ("Record this?", "y"),
        )
        assert lent.end() in (CLEAN, FINDINGS)
        assert head(sqlite_demo)[0] == before[0] + 1

    def test_stop_leaves_with_nothing_recorded(self, sqlite_demo: str) -> None:
        before = head(sqlite_demo)
        left = Terminal(sqlite_demo, "stores", "scrap", *ON)
        left.answer_all(("Unit: PART SERIAL", "stop"), ("Nothing was recorded.", None))
        assert left.end() == FINDINGS
        assert head(sqlite_demo) == before

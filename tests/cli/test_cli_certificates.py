"""The certificate by its blocks and the findings of papers, from the command line on the demo fleet."""

from __future__ import annotations

from pathlib import Path

from tests.cli.running import CLEAN, FINDINGS, TODAY, fleetlife

FORM = "EASA Form 1 - MF/CAO/145 Issue 3"


def test_the_card_shows_the_blocks_by_the_numbers_of_its_own_edition(demo: str) -> None:
    said = fleetlife("certificate", "SHC-23-0801", "--as-of", TODAY, database=demo)
    assert said.status == CLEAN
    assert "On EASA Form 1 - MF/CAO/145 Issue 3." in said.out
    assert said.out.count("LINE ") == 3
    assert "block 14c certificate or approval number, maintenance* Q.145.0021" in said.words
    assert said.words.count("block 10 serial number R88") == 3


def test_for_machines_it_is_the_same(demo: str) -> None:
    card = fleetlife("certificate", "SHC-23-0802", "--as-of", TODAY, "--format", "json", database=demo).json
    assert (card["form"], card["editions"]) == (FORM, [FORM])
    blocks = {each["holds"]: (each["block"], each["says"], each["from_memory"]) for each in card["blocks"]}
    assert blocks["status or work"] == ("11", "Inspected/Tested", False)
    assert blocks["remarks"][0] == "12"
    assert blocks["second authority"] == (None, "Eyland Air Authority", False)
    assert card["findings"] == []


def test_the_serial_block_of_the_other_form_has_the_number_of_that_form(demo: str) -> None:
    card = fleetlife("certificate", "ORO-23-0822", "--as-of", TODAY, "--format", "json", database=demo).json
    serials = [(b["line"], b["block"], b["says"]) for b in card["blocks"] if b["holds"] == "serial number"]
    assert [(line, block) for line, block, _ in serials] == [(1, "10"), (2, "10")]
    assert {each["finding"] for each in card["findings"]} == {"FRM103"}


def test_an_audit_of_one_code_names_the_rule_it_follows(demo: str) -> None:
    said = fleetlife("audit", "--code", "FRM106", "--as-of", TODAY, "--format", "json", database=demo)
    assert said.status == FINDINGS
    [row] = said.json["rows"]
    assert (row["certificate"], row["severity"]) == ("SHC-23-0831", "rectify")
    assert "cited from memory" in row["published_rule"]


def test_approvals_are_taken_in_and_written_out(demo: str, tmp_path: Path) -> None:
    said = fleetlife("export", tmp_path / "out", database=demo)
    assert said.status == CLEAN
    lines = (tmp_path / "out" / "approvals.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0] == "organisation,approval,authority,scope,from,until"
    assert any(line.startswith("Grunnvik Cylinder Test,Q.145.0077,") for line in lines)

"""`walk-round`, as it is typed and asked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head

AGREE = "position,part_number,serial_number\nL1,KV-2100-3,20206\n"
DIFFER = """position,part_number,serial_number,harness,note
L1,KV-2100-3,20206,left,
R1,KV-2100-3,20ll8,,plate scratched
L2,KV-2100-3,20104,,
R2,empty,,,
"""


def walk(database: str, folder: Path, text: str, *words: str) -> Said:
    path = folder / "doors.csv"
    path.write_text(text, encoding="utf-8")
    return fleetlife("walk-round", "Q-SKA", path, "--on", TODAY, *words, database=database)


def test_everything_agrees(demo: str, tmp_path: Path) -> None:
    said = walk(demo, tmp_path, AGREE)
    assert said.status == CLEAN, said.words
    assert "1 of 4 positions looked at: 1 as recorded, 0 not" in said.words
    assert said.out.count("not looked at") == 3


def test_what_differs_is_told_and_nothing_recorded(demo: str, tmp_path: Path) -> None:
    before = head(demo)
    said = walk(demo, tmp_path, DIFFER)
    assert said.status == FINDINGS
    for words in ("other unit", "recorded at Q-SKA R2", "other text", "small letter l", "It hangs at L2 now"):
        assert words in said.words
    rows = {row["position"]: row for row in walk(demo, tmp_path, DIFFER, "--format", "json").json["rows"]}
    assert {p: row["verdict"] for p, row in rows.items()} == {
        "L1": "agree",
        "L2": "other unit",
        "R1": "other text",
        "R2": "empty",
    }
    assert head(demo) == before


def test_recorded_it_is_in_the_records(own_demo: str, tmp_path: Path) -> None:
    said = walk(own_demo, tmp_path, DIFFER, "--record", "--seen-by", "C117", "--yes")
    assert said.status == FINDINGS
    assert "1 plate as recorded, 1 otherwise" in said.words
    doors = fleetlife("airframe", "Q-SKA", "--as-of", TODAY, "--format", "json", database=own_demo).json["doors"]
    assert {door["position"]: door["serial_number"] for door in doors} == {
        "L1": "20206",
        "R1": "20118",
        "L2": "20104",
        "R2": None,
    }
    again = walk(own_demo, tmp_path, DIFFER.replace("20ll8", "20118"))
    assert again.status == CLEAN, again.words
    held = fleetlife("audit", "--airframe", "Q-SKA", "--as-of", TODAY, database=own_demo)
    assert "IDN102" in held.words
    verified = fleetlife("ledger", "verify", database=own_demo)
    assert verified.status == CLEAN


def test_a_no_records_nothing(own_demo: str, tmp_path: Path) -> None:
    before = head(own_demo)
    path = tmp_path / "doors.csv"
    path.write_text(DIFFER)
    words = ("walk-round", "Q-SKA", path, "--on", TODAY, "--record", "--seen-by", "C117")
    assert "Record this walk-round?" in fleetlife(*words, database=own_demo, stdin="n\n").out
    assert head(own_demo) == before


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "empty"),
        ("position,serial\nL1,1\n", "no column 'serial'"),
        ("part_number,serial_number\nA,1\n", "position"),
        ("position,part_number,serial_number\nL1,KV-2100-3,\n", "needed both"),
        ("position,part_number,serial_number\nL1,A,1\n1L,A,2\n", "twice"),
        ("position,part_number,serial_number,harness\nL1,A,1,up\n", "left or right"),
        ("position,part_number,serial_number,scan\nL1,A,1,[)>\n", "both given"),
        ("position,part_number,serial_number\nL1,A\n", "2 cells"),
    ],
)
def test_a_file_that_cannot_be_read(demo: str, tmp_path: Path, text: str, reason: str) -> None:
    said = walk(demo, tmp_path, text)
    assert said.status == REFUSED
    assert "(walk-round-not-read)" in said.err
    assert reason in said.words


def test_a_scan_stands_for_the_numbers(demo: str, tmp_path: Path) -> None:
    scan = "[)>{RS}06{GS}1PKV-2100-3{GS}S20206{RS}{EOT}"
    said = walk(demo, tmp_path, f"position,scan\nL1,{scan}\n", "--format", "json")
    assert said.status == CLEAN, said.words
    row = next(row for row in said.json["rows"] if row["position"] == "L1")
    assert (row["verdict"], row["found_serial_number"]) == ("agree", "20206")


def test_recording_needs_a_name(demo: str, tmp_path: Path) -> None:
    assert walk(demo, tmp_path, AGREE, "--record").status == WRONG_USE


def test_without_a_file_and_a_terminal_it_says_so(demo: str) -> None:
    said = fleetlife("walk-round", "Q-SKA", database=demo)
    assert said.status == WRONG_USE
    assert "(walk-round-not-given)" in said.err

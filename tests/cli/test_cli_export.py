"""What `export` writes, taken into an empty database, gives the same answers."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, fleetlife, head

ON = ("--as-of", TODAY)
CARDS = [
    ("KV-2100-3", "20126"), ("KV-2100-3", "20112"), ("KV-3300-1", "33116"), ("KV-2100-9", "29001"),
    ("TH-410-2", "R42001"), ("TH-880-1", "R8895O"), ("KV-2100-1", "20130"),
]  # fmt: skip
QUESTIONS = [
    ("due", "--all", *ON),
    ("due", "--next-month", *ON),
    ("due", "--all", "--as-of", "2025-06-01"),
    ("audit", *ON),
    *(("unit", *numbers, *ON) for numbers in CARDS),
    ("airframe", "Q-SKJ", *ON),
    ("airframe", "Q-TRN", "--as-of", "2025-03-01"),
    ("certificate", "ORO-24-0001", *ON),
    ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON),
    ("swap", "check", "Q-SKJ", "R4", "KV-3300-1", "33123", *ON),
    ("publication", "status", "KV-2100-25-02", *ON),
    ("publication", "status", "QD-2025-021", *ON),
    ("publication", "list", "--all", *ON),
]
# What a second database cannot have in common with the first: its own ledger, and the numbers of findings, which go by
# how that one tells its units and airframes apart. What is counted counts those found by when they were recorded too.
OWN = {"ledger_head", "ledger_entry", "entry", "closed_entry", "evidence", "known_at", "number", "counts"}
# Found by when it was recorded, which travels with `ledger export` alone.
BY_RECORDING = {"PAP109"}


def without_own(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: without_own(each) for name, each in value.items() if name not in OWN}
    if isinstance(value, list):
        return [
            without_own(each) for each in value if not (isinstance(each, dict) and each.get("finding") in BY_RECORDING)
        ]
    return value


def answers(database: str) -> list[Any]:
    found = []
    for question in QUESTIONS:
        said = fleetlife(*question, "--format", "json", database=database)
        assert said.status in (CLEAN, FINDINGS), said.err
        text = json.dumps(without_own(said.json))
        # sentences name entries by number: theirs differ too
        found.append(json.loads(_numbers_gone(text)))
    return found


def _numbers_gone(text: str) -> str:
    return re.sub(r"\b(entry|entries|correct) \d+", r"\1 N", text)


@pytest.fixture(scope="module")
def expected(demos: dict[str, str]) -> list[Any]:
    """The answers of the demo, the same on both engines."""
    one, other = (answers(database) for database in demos.values())
    assert one == other
    return one


@pytest.mark.parametrize("format", ["csv", "xlsx"])
def test_the_same_answers_come_from_what_was_exported(
    database_url: str, demos: dict[str, str], expected: list[Any], format: str, tmp_path: Path
) -> None:
    folder = tmp_path / "handover"
    engine = "postgresql" if database_url.startswith("postgresql") else "sqlite"
    said = fleetlife("export", folder, "--format", format, database=demos[engine])
    assert said.status == CLEAN, said.err
    written = {path.name for path in folder.iterdir()}
    assert {f"units.{format}", f"movements.{format}", f"readings.{format}", f"variations.{format}"} <= written
    assert f"readings.{format}: 13,901 rows" in said.out
    taken = fleetlife("import", folder, *ON, database=database_url)
    assert taken.status == CLEAN, taken.err
    for question, then, now in zip(QUESTIONS, expected, answers(database_url), strict=True):
        assert now == then, question
    assert fleetlife("ledger", "verify", database=database_url).status == CLEAN

    number, _ = head(database_url)
    again = fleetlife("import", folder, *ON, database=database_url)
    assert again.status == CLEAN
    assert head(database_url)[0] == number


def test_what_was_corrected_is_exported_as_it_stands(own_demo: str, sqlite_url: str, tmp_path: Path) -> None:
    assert fleetlife(
        "swap", "record", "Q-SKA", "R2", "--install", "KV-2100-3", "20301", "--harness", "right", "--on", TODAY, *ON,
        database=own_demo,
    ).status == CLEAN  # fmt: skip
    (tmp_path / "right.json").write_text('{"signed_by": "M999"}', encoding="utf-8")
    correct = ("ledger", "correct", str(head(own_demo)[0]), "--file", tmp_path / "right.json")
    assert fleetlife(*correct, "--reason", "r", "--authorised-by", "C117", database=own_demo).status == CLEAN
    assert fleetlife("export", tmp_path / "out", database=own_demo).status == CLEAN
    lines = (tmp_path / "out" / "movements.csv").read_text(encoding="utf-8").splitlines()
    assert len([line for line in lines if line.startswith(TODAY)]) == 1
    assert any("M999" in line for line in lines)
    assert fleetlife("import", tmp_path / "out", *ON, database=sqlite_url).status == CLEAN
    asked = ("due", "--all", *ON, "--format", "json")
    one, other = (fleetlife(*asked, database=url).json["rows"] for url in (own_demo, sqlite_url))
    assert one == other


def test_a_folder_that_holds_files_already_is_left_alone(demo: str, tmp_path: Path) -> None:
    (tmp_path / "units.xlsx").write_bytes(b"kept")
    said = fleetlife("export", tmp_path, database=demo)
    assert said.status == REFUSED
    assert "folder-not-empty" in said.err
    assert [path.name for path in tmp_path.iterdir()] == ["units.xlsx"]

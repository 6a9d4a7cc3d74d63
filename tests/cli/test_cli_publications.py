"""Directives and bulletins from the command line on the demo fleet, on both engines."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from fleetlife.terms.publications import LIST_COLUMNS, STATUS_COLUMNS
from tests.cli.running import CLEAN, FINDINGS, REFUSED, TODAY, fleetlife


def test_a_directive_past_its_limit_names_its_units_and_ends_with_one(demo: str) -> None:
    said = fleetlife("publication", "status", "QD-2025-021", "--as-of", TODAY, database=demo)
    assert said.status == FINDINGS
    assert "OPEN PAST ITS LIMIT (1)" in said.out
    assert "shop Storm" in said.out
    assert "closed by modification SB KV-3300-25-11, or work recorded as QD-2025-021" in said.words
    assert "affected 1, not affected 279, cannot be told 0." in said.words


def test_before_its_limit_it_ends_with_none(demo: str) -> None:
    said = fleetlife("publication", "status", "QD-2025-021", "--as-of", "2026-01-15", database=demo)
    assert said.status == CLEAN
    assert "OPEN (1)" in said.out
    assert "Q-SKJ R2" in said.words


def test_one_that_is_superseded_says_so_and_by_what(demo: str) -> None:
    said = fleetlife("publication", "status", "QD-2024-008", "--as-of", TODAY, database=demo)
    assert said.status == CLEAN
    assert "It is superseded by QD-2025-021: nothing is found of it in an audit." in said.words
    assert "NO LONGER ASKED FOR" in said.out


def test_what_cannot_be_told_stands_above_what_is_in_order(demo: str) -> None:
    said = fleetlife("publication", "status", "th-880-a-03", "--as-of", TODAY, database=demo)
    assert said.status == FINDINGS
    assert said.out.index("CANNOT BE TOLD WHETHER IT APPLIES (1)") < said.out.index("OPEN (1)")
    assert "Serial R8895O is in another form than R88940 to R88960." in said.words


def test_for_machines_it_has_the_same_rows_in_every_format(demo: str, tmp_path: Path) -> None:
    ask = ("publication", "status", "KV-2100-25-02", "--as-of", TODAY)
    body = fleetlife(*ask, "--format", "json", database=demo).json
    assert [row["serial_number"] for row in body["rows"]] == ["20202", "20130"]
    assert list(body["rows"][0]) == list(STATUS_COLUMNS)
    assert body["rows"][1]["closed_by"] == "modification SB KV-2100-25-02"
    assert body["rows"][1]["closed_on"] == "2024-08-15"
    assert body["about"]["units"] == {"looked_at": 280, "affected": 1, "not_affected": 278, "cannot_be_told": 1}
    assert body["about"]["publication"]["standing"] == "in force"
    text = fleetlife(*ask, "--format", "csv", database=demo).out
    rows = list(csv.DictReader(io.StringIO(text)))
    assert [row["state"] for row in rows] == ["overdue", "in date"]
    book = tmp_path / "affected.xlsx"
    assert fleetlife(*ask, "--format", "xlsx", "--output", book, database=demo).status == FINDINGS
    assert book.stat().st_size > 1000


def test_hours_are_written_as_hours(demo: str) -> None:
    body = fleetlife("publication", "status", "QD-2025-021", "--as-of", TODAY, "--format", "json", database=demo).json
    assert body["rows"][0]["hours_left"].startswith("-")
    assert ":" in body["rows"][0]["hours_left"]


def test_the_list_counts_units_and_shows_the_superseded_when_asked(demo: str) -> None:
    said = fleetlife("publication", "list", "--as-of", TODAY, database=demo)
    assert said.status == FINDINGS
    assert "QD-2024-008" not in said.out
    every = fleetlife("publication", "list", "--all", "--as-of", TODAY, "--format", "json", database=demo).json
    assert list(every["rows"][0]) == list(LIST_COLUMNS)
    rows = {row["publication"]: row for row in every["rows"]}
    assert (rows["QD-2024-008"]["standing"], rows["QD-2024-008"]["affected"]) == ("superseded", None)
    assert (rows["QD-2025-021"]["affected"], rows["QD-2025-021"]["overdue"]) == (1, 1)
    assert rows["KV-3350-25-07"]["unknown"] == 1
    assert every["about"]["units_looked_at"] == 280


def test_known_before_anything_was_recorded_there_are_none(demo: str) -> None:
    said = fleetlife("publication", "list", "--as-of", TODAY, "--known-at", "1", database=demo)
    assert said.status == CLEAN
    assert "None in these records" in said.out


def test_an_unknown_reference_is_refused_with_the_nearest(demo: str) -> None:
    said = fleetlife("publication", "status", "QD-2025-012", "--as-of", TODAY, database=demo)
    assert said.status == REFUSED
    assert "Did you mean QD-2025-021?" in said.err


@pytest.mark.parametrize("serial", ["20202"])
def test_the_card_shows_what_is_asked_and_that_the_modification_is_missing(demo: str, serial: str) -> None:
    said = fleetlife("unit", "KV-2100-1", serial, "--as-of", TODAY, database=demo)
    assert "DIRECTIVES AND BULLETINS (1)" in said.out
    assert "SB KV-2100-25-02: not embodied when looked at on 2026-05-04, paper stores inspection 26-118" in said.words
    card = fleetlife("unit", "KV-2100-3", "20130", "--as-of", TODAY, "--format", "json", database=demo).json
    assert [(m["modification"], m["status"], m["on"]) for m in card["modifications"]] == [
        ("SB KV-2100-25-02", "embodied", "2024-08-15")
    ]


def test_a_unit_with_a_directive_past_its_limit_is_not_to_be_fitted(demo: str) -> None:
    said = fleetlife("swap", "check", "Q-SKJ", "R4", "KV-3300-2", "33206", "--as-of", TODAY, database=demo)
    assert said.status == FINDINGS
    assert "PUB101" in said.out

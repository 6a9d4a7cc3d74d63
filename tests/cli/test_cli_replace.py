"""`import --replace` and `--preview`: what was re-issued put right, and shown before it is recorded."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from .running import CLEAN, REFUSED, ROOT, TODAY, WRONG_USE, fleetlife, head

WHY = ("--reason", "re-issued", "--authorised-by", "C117", "--as-of", TODAY)


@pytest.fixture
def reissued(tmp_path: Path) -> Path:
    """The last four days of Q-SKA's readings, two hours higher."""
    with (ROOT / "seed_demo" / "since" / "readings.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["registration"] == "Q-SKA"][-4:]
    folder = tmp_path / "again"
    folder.mkdir()
    with (folder / "readings.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        for row in rows:
            hours, minutes = row["hours_total"].split(":")
            writer.writerow(row | {"hours_total": f"{int(hours) + 2}:{minutes}"})
    return folder


class TestReplace:
    def test_without_leave_it_is_refused_and_named(self, own_demo: str, reissued: Path) -> None:
        before = head(own_demo)
        said = fleetlife("import", reissued, "--as-of", TODAY, database=own_demo)
        assert said.status == REFUSED
        assert "--replace" in said.words
        assert head(own_demo) == before

    def test_a_preview_records_nothing(self, own_demo: str, reissued: Path) -> None:
        before = head(own_demo)
        said = fleetlife("import", reissued, "--replace", *WHY, "--preview", database=own_demo)
        assert said.status == CLEAN
        assert "4 rows take the place of what stood (4 in readings)" in said.words
        assert "Nothing was recorded." in said.words
        assert head(own_demo) == before

    def test_with_leave_it_takes_the_place_and_the_old_stays_readable(self, own_demo: str, reissued: Path) -> None:
        number, _ = head(own_demo)
        said = fleetlife("import", reissued, "--replace", *WHY, "--yes", database=own_demo)
        assert said.status == CLEAN
        assert "4 rows take the place of what stood" in said.words
        assert head(own_demo)[0] == number + 1
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN
        told = fleetlife("explain", str(number + 1), database=own_demo)
        assert '"reason": "re-issued"' in told.out
        again = fleetlife("import", reissued, "--replace", *WHY, "--yes", database=own_demo)
        assert again.status == CLEAN
        assert head(own_demo)[0] == number + 1

    @pytest.mark.parametrize(
        "options", [("--replace",), ("--replace", "--reason", "x"), ("--reason", "x", "--authorised-by", "y")]
    )
    def test_reason_and_name_go_with_it(self, own_demo: str, reissued: Path, options: tuple[str, ...]) -> None:
        assert fleetlife("import", reissued, *options, database=own_demo).status == WRONG_USE


class TestPreview:
    def test_late_paper_shows_what_moves_first(self, own_demo: str, tmp_path: Path) -> None:
        """An overhaul of 2026-06 that nobody filed: the due date goes with it, and nothing is recorded yet."""
        path = tmp_path / "accomplishments.csv"
        path.write_text(
            "part_number,serial_number,requirement,date\nKV-3300-1,33202,OVH,2026-06-01\n", encoding="utf-8"
        )
        before = head(own_demo)
        said = fleetlife("import", path, "--preview", "--as-of", TODAY, database=own_demo)
        assert said.status == CLEAN
        assert "WHAT MOVES" in said.out
        assert "KV-3300-1 33202" in said.words
        assert "OVH overhaul later by" in said.words
        assert head(own_demo) == before

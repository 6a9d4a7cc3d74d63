"""The files of the demo fleet: whole, made anew the same, taken in without a problem."""

from __future__ import annotations

import csv
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from fleetlife.actions.take_in import take_in
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.transfer.columns import FILE_NAMES
from fleetlife.transfer.reading import read_folder
from tests.demo.conftest import SEED_DEMO

MOST_BYTES = 3_000_000


def _rows(folder: Path, name: str) -> Counter[tuple[str, ...]]:
    path = folder / f"{name}.csv"
    if not path.exists():
        return Counter()
    with path.open(encoding="utf-8", newline="") as file:
        return Counter(tuple(row) for row in list(csv.reader(file))[1:])


class TestFiles:
    def test_every_file_that_can_be_taken_in_is_there_with_rows(self) -> None:
        assert {name for name in FILE_NAMES if _rows(SEED_DEMO, name)} == set(FILE_NAMES)

    def test_the_generator_makes_the_same_files_again(self, tmp_path: Path) -> None:
        subprocess.run([sys.executable, "-B", str(SEED_DEMO / "make.py"), str(tmp_path)], check=True)
        made = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.csv")}
        kept = {path.relative_to(SEED_DEMO): path.read_bytes() for path in SEED_DEMO.rglob("*.csv")}
        assert made.keys() == kept.keys()
        assert [str(name) for name in kept if made[name] != kept[name]] == []

    @pytest.mark.parametrize("name", FILE_NAMES)
    def test_the_two_steps_hold_the_rows_of_the_whole(self, name: str) -> None:
        steps = _rows(SEED_DEMO / "first", name) + _rows(SEED_DEMO / "since", name)
        assert steps == _rows(SEED_DEMO, name)

    def test_the_folder_stays_small(self) -> None:
        assert sum(path.stat().st_size for path in SEED_DEMO.rglob("*.csv")) < MOST_BYTES

    def test_no_registration_is_one_of_a_state(self) -> None:
        with (SEED_DEMO / "readings.csv").open(encoding="utf-8", newline="") as file:
            registrations = {row["registration"] for row in csv.DictReader(file)}
        assert len(registrations) == 19  # eighteen aircraft, one of which bore two
        assert all(name.startswith("Q-") for name in registrations)


class TestTakingIn:
    def test_the_whole_folder_is_taken_in_at_once(self, store: Store) -> None:
        report = take_in(store, read_folder(SEED_DEMO), recorded_by="S-900")
        taken = {name: (rows, new) for name, rows, new, _ in report.files}
        assert taken == {name: (_rows(SEED_DEMO, name).total(),) * 2 for name in FILE_NAMES}

    def test_taken_in_again_everything_is_unchanged(self, sqlite_store: Store) -> None:
        take_in(sqlite_store, read_folder(SEED_DEMO), recorded_by="S-900")
        report = take_in(sqlite_store, read_folder(SEED_DEMO), recorded_by="S-900")
        assert report.entries == 0
        assert all(rows == unchanged for _, rows, _, unchanged in report.files)

    def test_the_whole_folder_after_the_first_step_adds_only_what_came_since(self, sqlite_store: Store) -> None:
        take_in(sqlite_store, read_folder(SEED_DEMO / "first"), recorded_by="S-900")
        report = take_in(sqlite_store, read_folder(SEED_DEMO), recorded_by="S-900")
        added = {name: new for name, _, new, _ in report.files if new}
        assert added == {name: rows for name in FILE_NAMES if (rows := _rows(SEED_DEMO / "since", name).total())}
        assert verify(sqlite_store).findings == ()

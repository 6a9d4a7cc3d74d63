"""The small fleet, taken in on each database in turn."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from fleetlife.store.engine import Store, open_store

from .fleet import Intake, small_fleet


@pytest.fixture
def intake(store: Store, tmp_path: Path) -> Intake:
    """An empty database to take files in."""
    return Intake(store, tmp_path / "files")


@pytest.fixture
def fleet(intake: Intake) -> Intake:
    """The small fleet, taken in."""
    intake.take(small_fleet())
    return intake


@pytest.fixture
def other_intake(tmp_path: Path, sqlite_template: Path) -> Iterator[Intake]:
    """A SQLite file beside the database of the test, to compare with and for what no database has a say in."""
    path = tmp_path / "other.db"
    shutil.copyfile(sqlite_template, path)
    store = open_store(f"sqlite:///{path}")
    yield Intake(store, tmp_path / "other files")
    store.close()


@pytest.fixture
def other_fleet(other_intake: Intake) -> Intake:
    other_intake.take(small_fleet())
    return other_intake

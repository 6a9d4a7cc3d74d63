"""A small fleet for the history on each database, and one for the truth beside it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from fleetlife.store.engine import Store, open_store
from tests.actions.fleet import Intake, small_fleet


@pytest.fixture
def fleet(store: Store, tmp_path: Path) -> Intake:
    intake = Intake(store, tmp_path / "files")
    intake.take(small_fleet())
    return intake


@pytest.fixture
def truth(tmp_path: Path, sqlite_template: Path) -> Iterator[Intake]:
    path = tmp_path / "truth.db"
    shutil.copyfile(sqlite_template, path)
    own = open_store(f"sqlite:///{path}")
    intake = Intake(own, tmp_path / "truth files")
    intake.take(small_fleet())
    yield intake
    own.close()

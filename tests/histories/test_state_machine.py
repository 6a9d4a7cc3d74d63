"""The state machine of `machine.py` on both databases.

After every step the ledger verifies, every unit is where the entries say, what was answered before is answered as known
then, and a refusal or a preview has changed no row of any table; in the end what stands, exported and taken in at once,
gives the same rows. The suite looks at a few short histories, the same every time. For more, and new ones:

    FLEETLIFE_RANDOM=1 FLEETLIFE_MACHINE=500x40 pytest tests/histories/test_state_machine.py

runs 500 histories of 40 steps on each database. What goes wrong is printed as the steps that lead there; with
FLEETLIFE_SHRINK=1 they are made as few and plain as possible first, which takes minutes.
"""

from __future__ import annotations

import itertools
import os
import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from fleetlife.actions import mend, settle
from fleetlife.answers import export
from fleetlife.clocks import world
from fleetlife.store.engine import open_store
from tests.actions.fleet import Intake, head, small_fleet

from .machine import TAKEN_IN, Ground, Opened, Recording

SIZES = {"sqlite": (12, 11), "postgresql": (4, 9)}


def size(engine: str) -> settings:
    """How many histories, of how many steps."""
    histories, steps = SIZES[engine]
    phases = [Phase.generate]
    if asked := os.environ.get("FLEETLIFE_MACHINE"):
        histories, steps = (int(number) for number in asked.split("x"))
    if os.environ.get("FLEETLIFE_SHRINK"):
        phases.append(Phase.shrink)
    slow = [HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large]
    return settings(
        max_examples=histories,
        stateful_step_count=steps,
        deadline=None,
        phases=phases,
        report_multiple_bugs=False,
        suppress_health_check=slow,
    )


def filled(url: str, folder: Path) -> None:
    store = open_store(url)
    Intake(store, folder).take(small_fleet())
    assert head(store) == TAKEN_IN
    if store.engine.dialect.name == "sqlite":
        with store.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()


def on_files(folder: Path, template: Path) -> Callable[[], Opened]:
    """Gives copies of a SQLite file."""
    number = itertools.count()

    def opened() -> Opened:
        path = folder / f"{template.stem} {next(number)}.db"
        shutil.copyfile(template, path)
        store = open_store(f"sqlite:///{path}")

        def close() -> None:
            store.close()
            for left in folder.glob(f"{path.name}*"):
                left.unlink()

        return store, close

    return opened


@pytest.fixture
def on_sqlite(tmp_path: Path, sqlite_url: str, sqlite_template: Path) -> Ground:
    filled(sqlite_url, tmp_path / "in")
    fleet = on_files(tmp_path, Path(sqlite_url.removeprefix("sqlite:///")))
    return Ground(fleet=fleet, empty=on_files(tmp_path, sqlite_template), folder=tmp_path)


@pytest.fixture
def on_postgresql(tmp_path: Path, postgres_server: Any, postgres_url: str, sqlite_template: Path) -> Ground:
    """What is exported from the server is taken in by a file."""
    filled(postgres_url, tmp_path / "in")
    template = postgres_url.partition("?")[0].rpartition("/")[2]

    def opened() -> Opened:
        name = postgres_server.make(migrated=False, of=template)
        store = open_store(postgres_server.url(name))

        def close() -> None:
            store.close()
            postgres_server.drop(name)

        return store, close

    return Ground(fleet=opened, empty=on_files(tmp_path, sqlite_template), folder=tmp_path)


def lived(ground: Ground, engine: str) -> type[Recording]:
    """The machine run; the class that counted what was accepted and refused."""
    machine = type("Recorded", (Recording,), {"ground": ground, "accepted": Counter(), "refused": Counter()})
    run_state_machine_as_test(machine, settings=size(engine))
    return machine


class TestRecording:
    def test_on_sqlite(self, on_sqlite: Ground) -> None:
        machine = lived(on_sqlite, "sqlite")
        assert len(machine.accepted) >= 10, machine.accepted  # ways of recording
        assert sum(machine.refused.values()) > 10

    def test_on_postgresql(self, on_postgresql: Ground) -> None:
        machine = lived(on_postgresql, "postgresql")
        assert sum(machine.accepted.values()) > 10
        assert sum(machine.refused.values()) > 5


class TestItCanFail:
    """Each time one thing is taken away from the program, and the machine must see it."""

    def seen(self, ground: Ground) -> None:
        """Whichever of the invariants sees it first."""
        with pytest.raises(AssertionError) as failed:
            lived(ground, "sqlite")
        assert failed.traceback[-1].path.name == "machine.py"

    def test_hours_that_move_no_boundary(self, on_sqlite: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(settle, "reached_by_readings", lambda connection, first_day: set())
        self.seen(on_sqlite)

    def test_what_came_later_shining_through(self, on_sqlite: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(world, "units_touched_after", lambda connection, number: {})
        self.seen(on_sqlite)

    def test_a_preview_that_records(self, on_sqlite: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
        really = mend.recorded_or_shown
        monkeypatch.setattr(
            mend, "recorded_or_shown", lambda *given, preview, **how: really(*given, preview=False, **how)
        )
        self.seen(on_sqlite)

    def test_an_export_that_leaves_something_out(self, on_sqlite: Ground, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.delitem(export.KINDS, "transfers")
        self.seen(on_sqlite)

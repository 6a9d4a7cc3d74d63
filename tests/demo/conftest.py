"""The demo fleet on both databases, taken in once, in the two steps in which it was recorded."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from fleetlife.actions.take_in import take_in
from fleetlife.store.engine import Store, open_store
from fleetlife.transfer.reading import read_folder

SEED_DEMO = Path(__file__).parents[2] / "seed_demo"
STEPS = (("first", datetime(2026, 10, 20, 18, tzinfo=UTC)), ("since", datetime(2026, 11, 24, 20, tzinfo=UTC)))


def _clock(moment: datetime) -> Callable[[], datetime]:
    return lambda: moment


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def demo(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """The fleet as of the evening of 2026-11-24, on each engine in turn. For reading only."""
    if request.param == "sqlite":
        path = tmp_path_factory.mktemp("demo") / "demo.db"
        shutil.copyfile(request.getfixturevalue("sqlite_template"), path)
        url, drop = f"sqlite:///{path}", None
    else:
        server = request.getfixturevalue("postgres_server")
        name = server.make(migrated=True)
        url, drop = server.url(name), lambda: server.drop(name)
    for folder, moment in STEPS:
        store = open_store(url, clock=_clock(moment))
        take_in(store, read_folder(SEED_DEMO / folder), recorded_by="S-900")
        store.close()
    store = open_store(url)
    yield store
    store.close()
    if drop is not None:
        drop()

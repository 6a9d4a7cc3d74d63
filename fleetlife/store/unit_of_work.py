"""Transactions: readers see one state, writers hold the ledger's lock from their first statement on.

This module holds the one clock of the store: `recorded_at` is read once a transaction, after the lock.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection, Engine
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError

from fleetlife.ledger.entry import Draft
from fleetlife.model.ledger import ledger_head
from fleetlife.store import quick
from fleetlife.store.append import append_drafts, keep_request
from fleetlife.store.refusals import database_lost, refused_by_guard
from fleetlife.terms.refusal import Refusal

CLOCK_BEHIND = timedelta(minutes=5)
MANY_ENTRIES = 1_000  # in one transaction: from here on the planners' statistics are taken anew
TIMESTAMP = "%Y-%m-%dT%H:%M:%S.%fZ"

_HEAD = select(ledger_head.c.number, ledger_head.c.digest, ledger_head.c.recorded_at).where(
    ledger_head.c.one == bindparam("one", 1)
)
_HEAD_LOCKED = _HEAD.with_for_update()

# Writers of one process wait here in turn: SQLite's own waiting is by sleeping, and can starve one of many.
_queues: dict[str, threading.Lock] = {}
_queues_guard = threading.Lock()


def utc_now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Head:
    """The last entry of the ledger: number 0 and a digest of zeros before the first."""

    number: int
    digest: str
    recorded_at: str


@dataclass(slots=True)
class Writer:
    """A transaction under the ledger's lock. `head` moves with what is appended; `appended` counts the entries."""

    connection: Connection
    head: Head
    recorded_at: str
    recorded_by: str
    appended: int = 0

    def append(
        self,
        drafts: Iterable[Draft],
        *,
        request_key: str | None = None,
        request_digest: str | None = None,
        together: bool = False,
    ) -> list[int]:
        """Record the drafts in order; their entry numbers come back. See `append.append_drafts`."""
        numbers, head = append_drafts(
            self.connection,
            drafts,
            number=self.head.number,
            digest=self.head.digest,
            recorded_at=self.recorded_at,
            recorded_by=self.recorded_by,
            request_key=request_key,
            request_digest=request_digest,
            together=together,
        )
        if head is not None:
            self.head = Head(number=head.number, digest=head.digest, recorded_at=head.recorded_at)
            self.appended += len(numbers)
        return numbers

    def answered(self, request_key: str, request_digest: str, first: int) -> None:
        """Keep what was asked under the key, and that entries from `first` to the head answer it."""
        keep_request(self.connection, request_key, request_digest, first, self.head.number)


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection whose statements all see one state; nothing can be written through it on PostgreSQL.

    Refusal: `database-lost`.
    """
    options = (
        {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
        if engine.dialect.name == "postgresql"
        else {}
    )
    try:
        with engine.connect() as plain:
            connection = plain.execution_options(**options)
            with connection.begin() as transaction:
                yield connection
                if transaction.is_active:
                    transaction.rollback()
    except DBAPIError as error:
        if (refusal := database_lost(error)) is not None:
            raise refusal from error
        raise


@contextmanager
def writing(
    engine: Engine,
    *,
    clock: Callable[[], datetime] = utc_now,
    recorded_by: str | None = None,
    accept_clock_behind: bool = False,
) -> Iterator[Writer]:
    """A writer under the lock; committed at the end, rolled back when anything is raised.

    `recorded_by` is needed on SQLite; on PostgreSQL it is the user of the session, whatever is given.
    Refusals: `database-busy`, `database-lost`, `clock-behind`, `fact-conflict`, and the guards of `refusals.py`.
    """
    if engine.dialect.name == "sqlite":
        with _queue_of(engine), _guarded(engine, clock, recorded_by, accept_clock_behind) as writer:
            yield writer
    else:
        with _guarded(engine, clock, recorded_by, accept_clock_behind) as writer:
            yield writer


@contextmanager
def _guarded(
    engine: Engine, clock: Callable[[], datetime], recorded_by: str | None, accept_clock_behind: bool
) -> Iterator[Writer]:
    try:
        with engine.connect() as plain:
            connection = plain.execution_options(fleetlife_writes=True)
            if engine.dialect.name == "postgresql":
                # What is read after the lock must be what the last holder committed, whatever the server's default.
                connection = connection.execution_options(isolation_level="READ COMMITTED")
            with connection.begin():
                writer = _start(connection, clock, recorded_by, accept_clock_behind)
                yield writer
            if writer.appended >= MANY_ENTRIES:
                _refresh_statistics(connection)
    except IntegrityError as error:
        if (refusal := refused_by_guard(error)) is not None:
            raise refusal from error
        raise
    except OperationalError as error:
        if "database is locked" in str(error.orig):
            raise Refusal(
                "database-busy",
                "Another program has been writing to the database for too long.",
                remedy="Nothing was recorded: try again when it is done.",
            ) from error
        if (refusal := database_lost(error)) is not None:
            raise refusal from error
        raise
    except DBAPIError as error:
        if (refusal := database_lost(error)) is not None:
            raise refusal from error
        raise


def _start(
    connection: Connection, clock: Callable[[], datetime], recorded_by: str | None, accept_clock_behind: bool
) -> Writer:
    on_postgresql = connection.dialect.name == "postgresql"
    (row,) = quick.rows(connection, _HEAD_LOCKED if on_postgresql else _HEAD)
    head = Head(*row)
    if on_postgresql:
        recorded_by = connection.exec_driver_sql("SELECT session_user::text").scalar_one()
    if not recorded_by:
        raise AssertionError("recorded_by is needed: who records?")
    return Writer(
        connection=connection,
        head=head,
        recorded_at=next_recorded_at(head.recorded_at, now=clock(), accept_clock_behind=accept_clock_behind),
        recorded_by=recorded_by,
    )


def next_recorded_at(head: str, *, now: datetime, accept_clock_behind: bool) -> str:
    """The later of the clock and the head plus one microsecond. Refusal: `clock-behind`, by more than five minutes."""
    last = datetime.fromisoformat(head)
    if now < last - CLOCK_BEHIND and not accept_clock_behind:
        raise Refusal(
            "clock-behind",
            f"The clock says {now.strftime(TIMESTAMP)}, but the last entry was recorded at {head}.",
            remedy="Set the clock right; if the last entry was recorded by a clock that ran ahead, say so with"
            " --accept-clock-behind.",
        )
    return max(now, last + timedelta(microseconds=1)).strftime(TIMESTAMP)


def _refresh_statistics(connection: Connection) -> None:
    """Tell the planner what a large intake has changed; without it a PostgreSQL swap takes twice as long.

    What was recorded is committed by now: where another writer is in the way, statistics stay as they were.
    """
    with suppress(OperationalError), connection.begin():
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("PRAGMA analysis_limit = 1000")
        connection.exec_driver_sql("ANALYZE")


def _queue_of(engine: Engine) -> threading.Lock:
    name = str(engine.url.database)
    with _queues_guard:
        return _queues.setdefault(name, threading.Lock())

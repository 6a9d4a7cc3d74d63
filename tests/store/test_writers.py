"""Writers under the lock: chained without gaps, one clock reading, nothing left of what was refused."""

from __future__ import annotations

import multiprocessing
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

import pytest

from fleetlife.ledger.canonical import digest
from fleetlife.ledger.entry import GENESIS
from fleetlife.store import engine as engines
from fleetlife.store.engine import Store, open_store
from fleetlife.store.facts import all_entries, next_unit_id
from fleetlife.terms.refusal import Refusal

from .fleet import CLERK, begin, count, draft, opening, record, statements_of

WRITERS, EACH = 8, 6


def write_some(url: str) -> None:
    """One writer."""
    store = open_store(url)
    for _ in range(EACH):
        with store.writing(recorded_by=CLERK) as writer:
            writer.append([draft(opening(next_unit_id(writer.connection)))])
    store.close()


def write_some_in_pairs(url: str) -> None:
    """A process of two writers; its exit status tells whether both wrote."""
    with ThreadPoolExecutor(2) as writers:
        list(writers.map(write_some, [url, url]))


def assert_chained(store: Store, entries: int) -> None:
    with store.reading() as connection:
        chain = list(all_entries(connection))
        head = connection.exec_driver_sql("SELECT number, digest FROM ledger_head").one()
    assert [entry.number for entry in chain] == list(range(1, entries + 1))
    assert [entry.previous for entry in chain] == [GENESIS, *(entry.digest for entry in chain[:-1])]
    assert all(digest(entry.text) == entry.digest for entry in chain)
    moments = [entry.recorded_at for entry in chain]
    assert moments == sorted(moments)
    assert tuple(head) == (entries, chain[-1].digest)


class TestConcurrentWriters:
    def test_eight_threads_chain_without_gaps(self, store: Store, database_url: str) -> None:
        with ThreadPoolExecutor(WRITERS) as writers:
            list(writers.map(write_some, [database_url] * WRITERS))
        assert_chained(store, WRITERS * EACH)

    def test_eight_writers_in_four_processes_chain_without_gaps(self, store: Store, database_url: str) -> None:
        spawn = multiprocessing.get_context("spawn")
        processes = [spawn.Process(target=write_some_in_pairs, args=(database_url,)) for _ in range(WRITERS // 2)]
        for process in processes:
            process.start()
        for process in processes:
            process.join()
        assert [process.exitcode for process in processes] == [0] * (WRITERS // 2)
        assert_chained(store, WRITERS * EACH)


class TestWriter:
    def test_a_readers_statements_see_one_state(self, store: Store) -> None:
        begin(store)
        with store.reading() as connection:
            before = count(connection, "unit")
            record(store, draft(opening(7)))
            assert count(connection, "unit") == before
        with store.reading() as connection:
            assert count(connection, "unit") == before + 1

    def test_what_raises_leaves_nothing(self, store: Store) -> None:
        begin(store)

        def stopped_after_writing() -> None:
            with store.writing(recorded_by=CLERK) as writer:
                writer.append([draft(opening(7))])
                raise RuntimeError

        with pytest.raises(RuntimeError):
            stopped_after_writing()
        with store.reading() as connection:
            assert count(connection, "entry") == 4
            assert count(connection, "unit") == 2
        assert record(store, draft(opening(7))) == [5]

    def test_the_entries_of_a_transaction_share_their_time(self, store: Store) -> None:
        with store.writing(recorded_by=CLERK) as writer:
            writer.append([draft(opening(1))])
            writer.append([draft(opening(2))])
            assert writer.head.number == 2
        with store.reading() as connection:
            moments = {entry.recorded_at for entry in all_entries(connection)}
        assert moments == {writer.recorded_at}
        assert len(writer.recorded_at) == 27

    def test_who_records_is_given_on_sqlite_and_is_the_session_on_postgresql(self, store: Store) -> None:
        record(store, draft(opening(1)))
        with store.reading() as connection:
            who = {entry.recorded_by for entry in all_entries(connection)}
        assert who == ({CLERK} if store.dialect == "sqlite" else {"postgres"})

    def test_a_reader_writes_nothing_on_postgresql(self, postgres_store: Store) -> None:
        with pytest.raises(Exception, match="read-only"), postgres_store.reading() as connection:
            connection.exec_driver_sql("DELETE FROM unit")

    def test_a_reader_that_wrote_on_sqlite_leaves_nothing(self, sqlite_store: Store) -> None:
        begin(sqlite_store)
        with sqlite_store.reading() as connection:
            connection.exec_driver_sql("DELETE FROM due_point")
            connection.exec_driver_sql("DELETE FROM fact")
        with sqlite_store.reading() as connection:
            assert count(connection, "fact") == 4

    def test_a_locked_file_is_told_as_busy(self, sqlite_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(engines, "BUSY_SECONDS", 0)
        store = open_store(sqlite_url)
        other = sqlite3.connect(sqlite_url.removeprefix("sqlite:///"), isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Refusal) as refused, store.writing(recorded_by=CLERK):
            pass
        assert refused.value.code == "database-busy"
        other.execute("ROLLBACK")
        other.close()
        assert record(store, draft(opening(1))) == [1]
        store.close()


class TestStatistics:
    @pytest.mark.parametrize(("entries", "taken"), [(999, False), (1_000, True)])
    def test_a_large_intake_ends_with_statistics(self, store: Store, entries: int, taken: bool) -> None:
        with statements_of(store) as seen:
            record(store, *(draft(opening(unit)) for unit in range(entries)))
        assert ("ANALYZE" in seen) == taken
        with store.reading() as connection:
            if store.dialect == "sqlite":
                known = count(connection, "sqlite_master WHERE name = 'sqlite_stat1'")
            else:
                known = count(connection, "pg_class WHERE relname = 'unit' AND reltuples > 0")
        assert known == taken

    def test_a_large_intake_that_is_refused_takes_none(self, store: Store) -> None:
        with statements_of(store) as seen, pytest.raises(Refusal):
            record(store, *(draft(opening(unit)) for unit in [*range(1_200), 7]))
        assert "ANALYZE" not in seen


class TestClock:
    NOW = datetime(2026, 3, 1, 12, 0, 0, 123456, tzinfo=UTC)

    def at(self, url: str, moment: datetime) -> Store:
        return open_store(url, clock=lambda: moment)

    def test_the_clock_is_kept_to_the_microsecond(self, database_url: str) -> None:
        store = self.at(database_url, self.NOW)
        with store.writing(recorded_by=CLERK) as writer:
            assert writer.recorded_at == "2026-03-01T12:00:00.123456Z"
        store.close()

    def test_a_clock_that_stands_still_still_moves_on(self, database_url: str) -> None:
        store = self.at(database_url, self.NOW)
        record(store, draft(opening(1)))
        with store.writing(recorded_by=CLERK) as writer:
            assert writer.recorded_at == "2026-03-01T12:00:00.123457Z"
        store.close()

    @pytest.mark.parametrize(
        ("behind", "taken"), [(timedelta(minutes=5), True), (timedelta(minutes=5, seconds=1), False)]
    )
    def test_a_clock_far_behind_the_head_is_refused(self, database_url: str, behind: timedelta, taken: bool) -> None:
        first = self.at(database_url, self.NOW)
        record(first, draft(opening(1)))
        first.close()
        store = self.at(database_url, self.NOW - behind)
        if taken:
            assert record(store, draft(opening(2))) == [2]
        else:
            with pytest.raises(Refusal) as refused:
                record(store, draft(opening(2)))
            assert refused.value.code == "clock-behind"
            with store.writing(recorded_by=CLERK, accept_clock_behind=True) as writer:
                assert writer.append([draft(opening(2))]) == [2]
        store.close()

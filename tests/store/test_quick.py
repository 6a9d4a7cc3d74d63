"""Small reads at the driver's price say what Core would say."""

from __future__ import annotations

import pytest
from sqlalchemy import bindparam, select, text
from sqlalchemy.exc import DBAPIError

from fleetlife.model.airframes import reading
from fleetlife.store import quick
from fleetlife.store.engine import Store

from .fleet import begin, count, insert_readings, statements_of

_OF_AIRFRAME = select(reading.c.read_on, reading.c.minutes).where(reading.c.airframe == bindparam("airframe"))
_OF_NO_TABLE = text("SELECT 1 FROM nowhere")


@pytest.fixture
def read(store: Store) -> Store:
    begin(store)
    with store.writing(recorded_by="test") as writer:
        insert_readings(writer.connection, [(1, day, 10 * day, day) for day in range(1, 26)])
    return store


class TestStream:
    @pytest.mark.parametrize("at_once", [1, 7, 25, 100])
    def test_it_brings_the_rows_of_a_read_at_once(self, read: Store, at_once: int) -> None:
        with read.reading() as connection:
            streamed = list(quick.stream(connection, _OF_AIRFRAME, {"airframe": 1}, at_once))
            assert streamed == quick.rows(connection, _OF_AIRFRAME, {"airframe": 1})
            assert sorted(streamed) == [(day, 10 * day) for day in range(1, 26)]
            assert list(quick.stream(connection, _OF_AIRFRAME, {"airframe": 2}, at_once)) == []

    def test_left_early_it_stands_in_nobodys_way(self, read: Store) -> None:
        with read.writing(recorded_by="test") as writer:
            rows = quick.stream(writer.connection, _OF_AIRFRAME, {"airframe": 1}, 1)
            assert next(rows)
            rows.close()
            insert_readings(writer.connection, [(1, 26, 260, 26)])
        with read.reading() as connection:
            assert count(connection, "reading") == 26

    def test_it_is_heard_as_one_statement(self, read: Store) -> None:
        with read.reading() as connection, statements_of(read) as seen:
            list(quick.stream(connection, _OF_AIRFRAME, {"airframe": 1}, 3))
        assert len(seen) == 1


def test_errors_come_as_cores_do(store: Store) -> None:
    with store.reading() as connection, pytest.raises(DBAPIError, match="nowhere"):
        quick.rows(connection, _OF_NO_TABLE)
    with store.reading() as connection, pytest.raises(DBAPIError, match="nowhere"):
        list(quick.stream(connection, _OF_NO_TABLE, {}, 10))

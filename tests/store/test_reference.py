"""Reference data kept between questions, and how it is told that it must be read again."""

from __future__ import annotations

from typing import Any

from sqlalchemy import func, select

from fleetlife.model.ledger import entry, entry_touch
from fleetlife.store.engine import Store
from fleetlife.store.facts import _TOUCHED_AFTER
from fleetlife.store.heads import _UNITS_BETWEEN
from fleetlife.store.reference import _KINDS, MARK, current_reference

from .fleet import airframe, draft, opening, record, statements_of, withdrawal

MANY = 3_000


def plan(store: Store, statement: Any) -> str:
    text = str(statement.compile(dialect=store.engine.dialect, compile_kwargs={"literal_binds": True}))
    verb = "EXPLAIN QUERY PLAN " if store.dialect == "sqlite" else "EXPLAIN "
    with store.reading() as connection:
        return "\n".join(str(row[-1]) for row in connection.exec_driver_sql(verb + text.replace("%", "%%")))


class TestCurrentReference:
    def test_is_read_once_until_an_entry_may_have_changed_it(self, store: Store) -> None:
        (first,) = record(store, draft(airframe(1)))
        with store.reading() as connection:
            held = current_reference(connection, store.kept)
            with statements_of(store) as seen:
                assert current_reference(connection, store.kept) is held
            assert len(seen) == 1
        record(store, draft(opening(1)))
        with store.reading() as connection:
            assert current_reference(connection, store.kept) is held
        record(store, draft(airframe(2)))
        with store.reading() as connection:
            after = current_reference(connection, store.kept)
        assert after is not held
        assert sorted(after.airframes) == [1, 2]
        record(store, withdrawal(first))
        with store.reading() as connection:
            assert sorted(current_reference(connection, store.kept).airframes) == [2]

    def test_does_not_walk_what_was_recorded_since(self, store: Store) -> None:
        record(store, draft(airframe(1)))
        record(store, *(draft(opening(unit)) for unit in range(1, MANY)))
        with store.writing(recorded_by="clerk") as writer:
            writer.connection.exec_driver_sql("ANALYZE")
        assert "ix_entry_kind" in plan(store, MARK[store.dialect])
        assert "pk_entry" not in plan(store, MARK[store.dialect])

    def test_a_walk_would_be_seen(self, postgres_store: Store) -> None:
        """The statement as one writes it first."""
        record(postgres_store, draft(airframe(1)))
        record(postgres_store, *(draft(opening(unit)) for unit in range(1, MANY)))
        with postgres_store.writing() as writer:
            writer.connection.exec_driver_sql("ANALYZE")
        walking = select(func.max(entry.c.number)).where(entry.c.kind.in_(_KINDS))
        assert "pk_entry" in plan(postgres_store, walking)


class TestWhatLaterEntriesTouch:
    """A question about the past asks which units and airframes later entries touch, whatever was recorded before."""

    def test_is_asked_by_the_number_of_the_entry(self, store: Store) -> None:
        record(store, draft(airframe(1)))
        record(store, *(draft(opening(unit)) for unit in range(1, MANY)))
        with store.writing(recorded_by="clerk") as writer:
            writer.connection.exec_driver_sql("ANALYZE")
        for statement in (_TOUCHED_AFTER, _UNITS_BETWEEN):
            asked = statement.params(number=MANY - 5, after=MANY - 5, until=MANY)
            assert "ix_entry_touch_number" in plan(store, asked)

    def test_the_statement_as_one_writes_it_first_walks_them_all(self, sqlite_store: Store) -> None:
        record(sqlite_store, draft(airframe(1)))
        record(sqlite_store, *(draft(opening(unit)) for unit in range(1, MANY)))
        touched = select(entry_touch.c.unit_id).distinct().where(entry_touch.c.number > MANY - 5)
        assert "SCAN entry_touch" in plan(sqlite_store, touched)

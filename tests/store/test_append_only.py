"""What raw SQL may not do to the ledger, on both databases."""

from __future__ import annotations

import json
from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from fleetlife.ledger.canonical import canonical, digest
from fleetlife.store.engine import Store
from fleetlife.store.refusals import guard_name

from .fleet import CLERK, begin, count, opening, record

COLUMNS = ("number", "previous", "kind", "on_day", "recorded_at", "recorded_by", "request_key", "body", "digest")


def next_entry(store: Store, **changed: Any) -> dict[str, Any]:
    """An entry that would follow the head, by hand; `changed` columns differ from what its text says."""
    with store.reading() as connection:
        head = connection.exec_driver_sql("SELECT number, digest FROM ledger_head").one()
        who = CLERK
        if store.dialect == "postgresql":
            who = connection.exec_driver_sql("SELECT session_user::text").scalar_one()
    said = changed.pop("said", {})
    body = {
        "number": head.number + 1,
        "previous": head.digest,
        "kind": "unit",
        "recorded_at": "2999-01-01T00:00:00.000000Z",
        "recorded_by": who,
        "items": [],
        **said,
    }
    text = canonical(body)
    entry = {name: body.get(name) for name in COLUMNS} | {"body": text, "digest": digest(text)}
    return entry | changed


def insert(store: Store, entry: dict[str, Any], verb: str = "INSERT") -> None:
    mark = "?" if store.dialect == "sqlite" else "%s"
    with store.engine.begin() as connection:
        connection.exec_driver_sql(
            f"{verb} INTO entry ({', '.join(COLUMNS)}) VALUES ({', '.join([mark] * len(COLUMNS))})",
            tuple(entry[name] for name in COLUMNS),
        )


def refused_guard(store: Store, statement: str) -> str | None:
    with pytest.raises(DBAPIError) as refused, store.engine.begin() as connection:
        connection.exec_driver_sql(statement)
    return guard_name(refused.value)


class TestAppendOnly:
    def test_an_entry_is_never_changed(self, store: Store) -> None:
        begin(store)
        assert refused_guard(store, "UPDATE entry SET recorded_by = 'nobody' WHERE number = 2") == "entry_append_only"

    def test_an_entry_is_never_removed(self, store: Store) -> None:
        begin(store)
        assert refused_guard(store, "DELETE FROM entry WHERE number = 4") == "entry_append_only"
        with store.reading() as connection:
            assert count(connection, "entry") == 4

    def test_entries_are_not_truncated_on_postgresql(self, postgres_store: Store) -> None:
        begin(postgres_store)
        assert refused_guard(postgres_store, "TRUNCATE entry CASCADE") == "entry_append_only"

    @pytest.mark.parametrize("verb", ["INSERT OR REPLACE", "REPLACE"])
    def test_an_entry_is_not_replaced_by_number_on_sqlite(self, sqlite_store: Store, verb: str) -> None:
        begin(sqlite_store)
        with pytest.raises(DBAPIError) as refused:
            insert(sqlite_store, next_entry(sqlite_store, number=2), verb)
        assert guard_name(refused.value) == "entry_append_only"

    def test_an_entry_is_not_replaced_by_digest_on_sqlite(self, sqlite_store: Store) -> None:
        begin(sqlite_store)
        with sqlite_store.reading() as connection:
            old = connection.exec_driver_sql("SELECT digest FROM entry WHERE number = 1").scalar_one()
        with pytest.raises(DBAPIError) as refused:
            insert(sqlite_store, next_entry(sqlite_store, digest=old), "INSERT OR REPLACE")
        assert guard_name(refused.value) == "entry_append_only"
        with sqlite_store.reading() as connection:
            assert count(connection, "entry") == 4


class TestChain:
    def test_an_entry_that_follows_the_head_is_taken(self, store: Store) -> None:
        begin(store)
        entry = next_entry(store)
        insert(store, entry)
        with store.reading() as connection:
            head = connection.exec_driver_sql("SELECT number, digest, recorded_at FROM ledger_head").one()
        assert tuple(head) == (5, entry["digest"], entry["recorded_at"])

    @pytest.mark.parametrize(
        "said",
        [
            {"number": 6},
            {"number": 5, "previous": "0" * 64},
            {"recorded_at": "2001-01-01T00:00:00.000000Z"},
        ],
        ids=["gap", "previous", "earlier"],
    )
    def test_an_entry_out_of_the_chain_is_refused(self, store: Store, said: dict[str, Any]) -> None:
        begin(store)
        with pytest.raises(DBAPIError) as refused:
            insert(store, next_entry(store, said=said))
        assert guard_name(refused.value) == "entry_chain"

    @pytest.mark.parametrize(
        "said", [{"number": 9}, {"previous": "f" * 64}, {"kind": "movement"}, {"recorded_by": "other"}]
    )
    def test_columns_that_differ_from_the_text_are_refused(self, store: Store, said: dict[str, Any]) -> None:
        begin(store)
        right = next_entry(store)
        wrong = next_entry(store, said=said)
        with pytest.raises(DBAPIError) as refused:
            insert(store, right | {"body": wrong["body"], "digest": wrong["digest"]})
        assert guard_name(refused.value) == "entry_body"

    def test_a_digest_that_is_not_the_texts_is_refused_on_postgresql(self, postgres_store: Store) -> None:
        with pytest.raises(DBAPIError) as refused:
            insert(postgres_store, next_entry(postgres_store, digest="a" * 64))
        assert guard_name(refused.value) == "entry_digest"

    def test_another_recorder_than_the_session_is_refused_on_postgresql(self, postgres_store: Store) -> None:
        with pytest.raises(DBAPIError) as refused:
            insert(postgres_store, next_entry(postgres_store, said={"recorded_by": "somebody"}))
        assert guard_name(refused.value) == "entry_recorded_by"

    def test_a_fault_of_the_chain_is_no_refusal_but_an_error(self, store: Store) -> None:
        begin(store)
        wrong = next_entry(store, said={"number": 9})
        mark = "?" if store.dialect == "sqlite" else "%s"
        with pytest.raises(DBAPIError), store.writing(recorded_by=CLERK) as writer:
            writer.connection.exec_driver_sql(
                f"INSERT INTO entry ({', '.join(COLUMNS)}) VALUES ({', '.join([mark] * len(COLUMNS))})",
                tuple(wrong[name] for name in COLUMNS),
            )


class TestHead:
    @pytest.mark.parametrize(
        ("statement", "guard"),
        [
            ("UPDATE ledger_head SET number = 3", "ledger_head_forward"),
            ("UPDATE ledger_head SET number = 9", "ledger_head_forward"),
            ("UPDATE ledger_head SET digest = 'f'", "ledger_head_forward"),
            ("DELETE FROM ledger_head", "ledger_head_one"),
            ("INSERT INTO ledger_head VALUES (2, 0, '', '')", "ledger_head_one"),
        ],
    )
    def test_the_head_is_moved_by_entries_alone(self, store: Store, statement: str, guard: str) -> None:
        begin(store)
        assert refused_guard(store, statement) == guard

    def test_the_head_is_not_replaced_on_sqlite(self, sqlite_store: Store) -> None:
        assert refused_guard(sqlite_store, "REPLACE INTO ledger_head VALUES (1, 9, '', '')") == "ledger_head_one"

    def test_the_head_is_not_truncated_on_postgresql(self, postgres_store: Store) -> None:
        assert refused_guard(postgres_store, "TRUNCATE ledger_head") == "ledger_head_one"


class TestBody:
    def test_the_text_is_kept_as_it_was_hashed(self, store: Store) -> None:
        record(store)
        begin(store)
        with store.reading() as connection:
            for body, kept in connection.exec_driver_sql("SELECT body, digest FROM entry"):
                assert digest(body) == kept
                assert canonical(json.loads(body)) == body

    def test_text_beyond_ascii_survives(self, store: Store) -> None:
        begin(store)
        record(store, *[_draft_with_bin('Ré"gal\\ 3 \u2028 \U0001f6df')])
        with store.reading() as connection:
            body = connection.exec_driver_sql("SELECT body FROM entry WHERE number = 5").scalar_one()
            kept = connection.exec_driver_sql("SELECT bin FROM unit WHERE unit = 9").scalar_one()
        assert kept == 'Ré"gal\\ 3 \u2028 \U0001f6df'
        assert json.loads(body)["items"][0]["bin"] == kept


def _draft_with_bin(name: str) -> Any:
    from .fleet import draft

    return draft(opening(9, bin=name))

"""Tables and classes say the same: every fact kind has its table, every derived row its columns."""

from __future__ import annotations

from dataclasses import MISSING, fields
from typing import Any

import pytest
from sqlalchemy import select

from fleetlife.dates.moment import FAR_DAY
from fleetlife.follows.rows import requirement_key
from fleetlife.ledger.facts import FACTS, Fact, Requirement, field_names
from fleetlife.model import derived, metadata
from fleetlife.store.engine import Store
from fleetlife.store.rows import KEPT
from fleetlife.store.typed import PROVENANCE, TYPED
from fleetlife.terms import words

PARTIAL = {"manufactured", "cured", "expires", "first_installed", "done_on"}
ISO_DAY = "2024-02-29"
# A word each closed list takes, by the column's name.
WORDS: dict[str, str] = {
    "side": "left",
    "harness": "left",
    "rig": "either",
    "direction": "two-way",
    "source": "manufacturer",
    "start": "release",
    "whichever": "last",
    "month_rule": "last",
    "done_at": "shop",
    "anchor": "due",
    "at_due": "no-refill",
    "band_rule": "cap",
    "place": "store",
    "condition": "serviceable",
    "life_quality": "rebuilt",
    "date_basis": "mark",
    "removed_to": "store",
    "removed_condition": "unserviceable",
    "removal_kind": "scheduled",
    "target": "store",
    "result": "accepted",
    "decision": "suspected",
    "status": "parked",
    "measure": "hours",
    "category": "test",
    "outcome": "passed",
    "pressure_unit": "psi",
    "role": "performed",
    "state": "parked",
    "step": "checked",
    "disposition": "tag",
    "intent": "unintended",
}


def value_of(kind: type[Fact], name: str, annotation: str) -> Any:
    """A value that differs from field to field, so that two columns mixed up do not pass."""
    column = metadata.tables[kind.KIND].c[name]
    if column.info.get("day"):
        return ISO_DAY
    if annotation.startswith("bool"):
        return True
    if name == "expansion_permanent":
        return 0  # a part of the total, and no other field's number
    if annotation.startswith("int"):
        return 1 + field_names(kind).index(name)
    if name == "kind" and kind.KIND == "publication":
        return words.PUBLICATION_KINDS[0]
    if name == "kind" and kind is Requirement:
        return words.REQUIREMENT_KINDS[0]
    if kind.KIND == "certificate" and name == "side":
        return words.FORM_SIDES[0]
    if kind.KIND == "certificate" and name == "status":
        return "overhauled"
    return WORDS.get(name, f"{name} é")


def full(kind: type[Fact]) -> Fact:
    return kind(**{f.name: value_of(kind, f.name, str(f.type)) for f in fields(kind)})


def bare(kind: type[Fact]) -> Fact:
    """Only what must be said. A movement names a unit."""
    needed = [f for f in fields(kind) if f.default is MISSING]
    # what the database asks for besides: one of the two units, one of the limits
    more = {"movement": {"installed": 1}, "compliance": {"months_after": 1}}.get(kind.KIND, {})
    return kind(**{f.name: value_of(kind, f.name, str(f.type)) for f in needed}, **more)


class TestTypedTables:
    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_columns_are_the_fields_and_where_they_come_from(self, kind: type[Fact]) -> None:
        table = metadata.tables[kind.KIND]
        own = {c.name for c in table.c if "fold" not in c.info and "requirement_key" not in c.info}
        assert own == {*field_names(kind), *PROVENANCE}

    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_a_field_that_may_be_missing_is_a_column_that_may_be_null(self, kind: type[Fact]) -> None:
        table = metadata.tables[kind.KIND]
        assert {f.name for f in fields(kind) if "None" in str(f.type)} == {c.name for c in table.c if c.nullable}

    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_columns_have_the_type_of_their_field(self, kind: type[Fact]) -> None:
        for field in fields(kind):
            column = metadata.tables[kind.KIND].c[field.name]
            is_day = bool(column.info.get("day"))
            is_text = str(field.type).startswith("str")
            assert column.type.python_type is (str if is_text and not is_day else int), field.name
            assert bool(column.info.get("flag")) == (str(field.type) == "bool"), field.name
            assert not (is_day and field.name in PARTIAL), field.name

    @pytest.mark.parametrize("make", [full, bare], ids=["full", "bare"])
    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_a_fact_comes_back_from_its_row(self, store: Store, kind: type[Fact], make: Any) -> None:
        typed, fact = TYPED[kind.KIND], make(kind)
        from fleetlife.store.bulk import insert_tuples

        with store.engine.connect() as connection:
            if store.dialect == "sqlite":
                connection.exec_driver_sql("PRAGMA defer_foreign_keys = ON")
            if kind.KIND == "reading":
                insert_bare_airframe(connection, fact)
            insert_tuples(connection, typed.table, typed.names, [typed.row_of(fact, 7, 3)])
            row = connection.execute(select(typed.table)).mappings().one()
            assert typed.fact_of([row[name] for name in typed.fields]) == fact
            assert (row["entry_number"], row["entry_item"]) == (7, 3)
            assert typed.key_of(fact, 7, 3) == tuple(row[name] for name in typed.key_names)
            connection.rollback()

    def test_the_requirements_key_is_that_of_the_derivation(self) -> None:
        fact = full(Requirement)
        assert isinstance(fact, Requirement)
        typed = TYPED["requirement"]
        row = dict(zip(typed.names, typed.row_of(fact, 1, 0), strict=True))
        assert row["requirement_key"] == requirement_key(
            fact.requirement, fact.part_number, fact.programme, fact.edition
        )

    def test_the_primary_key_is_the_natural_key_where_it_is_whole(self) -> None:
        own = {"unit": ("unit",), "airframe": ("airframe",), "requirement": ("requirement_key",)}
        for name, typed in TYPED.items():
            optional = {f.name for f in fields(typed.fact) if "None" in str(f.type)}
            natural = PROVENANCE if optional & set(typed.fact.KEY) else typed.fact.KEY
            assert typed.key_names == own.get(name, natural), name


def insert_bare_airframe(connection: Any, fact: Any) -> None:
    from fleetlife.ledger.facts import Airframe
    from fleetlife.store.bulk import insert_tuples

    typed = TYPED["airframe"]
    airframe = Airframe(airframe=fact.airframe, registration="Q-AAA", constructor_serial="1", type="T")
    insert_tuples(connection, typed.table, typed.names, [typed.row_of(airframe, 1, 0)])


class TestDerivedTables:
    @pytest.mark.parametrize("name", KEPT)
    def test_columns_are_the_fields(self, name: str) -> None:
        kept = KEPT[name]
        assert {c.name for c in kept.table.c if "fold" not in c.info} == {f.name for f in fields(kept.row_class)}

    @pytest.mark.parametrize("name", KEPT)
    def test_a_field_that_may_be_missing_is_a_column_that_may_be_null(self, name: str) -> None:
        kept = KEPT[name]
        assert {f.name for f in fields(kept.row_class) if "None" in str(f.type)} == {
            c.name for c in kept.table.c if c.nullable
        }

    def test_entry_numbers_are_marked_as_provenance(self) -> None:
        for kept in KEPT.values():
            marked = {c.name for c in kept.table.c if c.info.get("provenance")}
            assert marked == {name for name in kept.names if name in ("entry", "until_entry")}, kept.table.name

    def test_the_open_end_of_an_edition_is_the_one_of_the_dates(self) -> None:
        assert f"in_force_until = {FAR_DAY}" == derived.OPEN_ENDED
        assert f"in_force_until < {FAR_DAY}" == derived.ENDING


class TestModel:
    def test_every_table_says_what_it_holds(self) -> None:
        assert all(table.comment for table in metadata.tables.values())

    def test_every_table_is_of_a_fact_derived_or_the_ledgers_own(self) -> None:
        ledger = {"entry", "ledger_head", "entry_touch", "entry_touch_airframe", "fact", "request", "reading_history"}
        assert set(metadata.tables) == set(FACTS) | set(KEPT) | ledger

    def test_a_fold_is_of_a_column_that_is_there(self) -> None:
        folds = [(t, c) for t in metadata.tables.values() for c in t.c if "fold" in c.info]
        assert len(folds) == 10
        assert all(c.info["fold"] in t.c for t, c in folds)

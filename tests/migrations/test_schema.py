"""Up, down, up; nothing to generate; every guard, constraint and view present and what the model says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import inspect
from sqlalchemy.engine import Connection
from sqlalchemy.exc import IntegrityError

from alembic import command
from fleetlife.model import metadata
from fleetlife.store.engine import REVISIONS, Store, open_store, schema_revision
from fleetlife.store.migrate import configuration, make_or_upgrade, migrations_folder
from fleetlife.store.views import VIEWS
from fleetlife.terms.refusal import Refusal

GUARDS_SQLITE = {
    "carriage_overlap_insert",
    "carriage_overlap_update",
    "counter_reading_never_falls_insert",
    "counter_reading_never_falls_update",
    "entry_append_only_delete",
    "entry_append_only_update",
    "entry_chain_after",
    "entry_chain_before",
    "ledger_head_forward",
    "ledger_head_one_delete",
    "ledger_head_one_insert",
    "movement_never_falls_insert",
    "movement_never_falls_update",
    "placement_overlap_insert",
    "placement_overlap_update",
    "reading_never_falls_insert",
    "reading_never_falls_update",
}
GUARDS_POSTGRESQL = {
    "counter_reading_never_falls_insert",
    "counter_reading_never_falls_update",
    "entry_append_only_delete",
    "entry_append_only_truncate",
    "entry_append_only_update",
    "entry_chain",
    "ledger_head_forward",
    "ledger_head_one_delete",
    "ledger_head_one_insert",
    "ledger_head_one_truncate",
    "movement_never_falls_insert",
    "movement_never_falls_update",
    "reading_never_falls_insert",
    "reading_never_falls_update",
}
EXCLUSIONS = {"carriage_unit_overlap", "placement_place_overlap", "placement_unit_overlap"}


def upgrade(store: Store, revision: str) -> None:
    with store.engine.connect() as plain:
        connection = plain.execution_options(fleetlife_writes=True)
        with connection.begin():
            command.upgrade(configuration(connection), revision)


def downgrade(store: Store, revision: str) -> None:
    with store.engine.connect() as plain:
        connection = plain.execution_options(fleetlife_writes=True)
        with connection.begin():
            command.downgrade(configuration(connection), revision)


def catalogue(connection: Connection) -> dict[str, str]:
    """Everything the database knows of its tables, indexes, constraints, triggers, functions and views, by name."""
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql(
            "SELECT type || ' ' || name, coalesce(sql, '') FROM sqlite_master WHERE name NOT LIKE 'alembic%'"
            " AND name NOT LIKE 'sqlite%'"
        )
        return {row[0]: " ".join(row[1].split()) for row in rows}
    statements = (
        "SELECT 'index ' || indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
        "SELECT 'constraint ' || conrelid::regclass || '.' || conname, pg_get_constraintdef(oid) FROM pg_constraint"
        " WHERE connamespace = 'public'::regnamespace AND conrelid <> 0",
        "SELECT 'trigger ' || tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal",
        "SELECT 'function ' || proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace",
        "SELECT 'view ' || viewname, definition FROM pg_views WHERE schemaname = 'public'",
        "SELECT 'column ' || table_name || '.' || column_name, data_type || ' ' || is_nullable || ' '"
        " || coalesce(collation_name, '') FROM information_schema.columns WHERE table_schema = 'public'",
    )
    found: dict[str, str] = {}
    for statement in statements:
        found.update({row[0]: row[1] for row in connection.exec_driver_sql(statement)})
    return {name: text for name, text in found.items() if "alembic" not in name}


def tables_told(connection: Connection) -> dict[tuple[str, str], object]:
    """The columns, keys, checks and indexes of every table, whatever the order of the columns."""
    found: dict[tuple[str, str], object] = {}
    known, where = inspect(connection), f"{connection.dialect.name}_where"
    for name in known.get_table_names():
        if name == "alembic_version":
            continue
        found[name, "columns"] = {
            column["name"]: (str(column["type"]), column["nullable"], column.get("comment"))
            for column in known.get_columns(name)
        }
        found[name, "key"] = known.get_pk_constraint(name)["constrained_columns"]
        found[name, "checks"] = {check["name"]: check["sqltext"] for check in known.get_check_constraints(name)}
        found[name, "foreign"] = {key["name"]: key["referred_table"] for key in known.get_foreign_keys(name)}
        found[name, "indexes"] = {
            index["name"]: (index["column_names"], index["unique"], str(index.get("dialect_options", {}).get(where)))
            for index in known.get_indexes(name)
            if index["name"] not in EXCLUSIONS
        }
    return found


class TestRevisions:
    def test_the_program_names_every_revision_in_order(self) -> None:
        from alembic.config import Config

        config = Config()
        config.set_main_option("script_location", str(migrations_folder()))
        revisions = [one.revision for one in ScriptDirectory.from_config(config).walk_revisions()]
        assert tuple(reversed(revisions)) == REVISIONS

    def test_no_revision_follows_the_model(self) -> None:
        for path in (migrations_folder() / "versions").glob("*.py"):
            assert "fleetlife" not in path.read_text(encoding="utf-8"), path.name

    def test_the_folder_of_migrations_is_no_package(self) -> None:
        assert not (migrations_folder() / "__init__.py").exists()

    def test_the_revisions_make_the_tables_of_the_model(self, empty_store: Store) -> None:
        with empty_store.engine.connect() as plain:
            connection = plain.execution_options(fleetlife_writes=True)
            with connection.begin():
                metadata.create_all(connection)
                by_model = tables_told(connection)
                metadata.drop_all(connection)
        upgrade(empty_store, "head")
        with empty_store.reading() as connection:
            by_revisions = tables_told(connection)
        assert {name for name, _ in by_model} == {table.name for table in metadata.sorted_tables}
        assert by_revisions == by_model


class TestExpansionTest:
    """Revision 0002: the figures of an expansion test."""

    ROW = (
        "INSERT INTO accomplishment (unit, requirement, done_on, sequence, entry_number, entry_item) "
        "VALUES (1, 'HST', '2024-03', NULL, 7, 0)"
    )

    def test_a_database_of_the_first_revision_keeps_its_rows_and_states_no_figures(self, empty_store: Store) -> None:
        upgrade(empty_store, "0001")
        with empty_store.writing(recorded_by="clerk") as writer:
            writer.connection.exec_driver_sql(
                "INSERT INTO unit (unit, part_number, serial_number, as_of, place, part_fold, serial_fold,"
                " manufacturer_fold, entry_number, entry_item)"
                " VALUES (1, 'RV-7', '1', 738945, 'store', 'RV-7', '1', '', 1, 0)"
            )
            writer.connection.exec_driver_sql(self.ROW)
        assert make_or_upgrade(empty_store) == "0001"
        with empty_store.reading() as connection:
            rows = connection.exec_driver_sql(
                "SELECT requirement, done_on, entry_number, expansion_total, expansion_permanent, expansion_limit,"
                " expansion_specification FROM accomplishment"
            ).all()
        assert [tuple(row) for row in rows] == [("HST", "2024-03", 7, None, None, None, None)]

    def test_down_again_it_is_the_first_revision(self, empty_store: Store) -> None:
        upgrade(empty_store, "0001")
        with empty_store.reading() as connection:
            first = catalogue(connection)
        upgrade(empty_store, "0002")
        downgrade(empty_store, "0001")
        with empty_store.reading() as connection:
            assert catalogue(connection) == first

    @pytest.mark.parametrize(
        ("figures", "constraint"),
        [
            ((0, 0, None, "3AA"), "expansion_total"),
            ((200, 201, None, "3AA"), "expansion_permanent"),
            ((200, -1, None, "3AA"), "expansion_permanent"),
            ((200, 20, 0, "3HT"), "expansion_limit"),
            ((200, None, None, "3AA"), "expansion_together"),
            ((200, 20, None, None), "expansion_together"),
            ((None, None, 105, None), "expansion_together"),
        ],
    )
    def test_figures_that_cannot_be_are_kept_out(
        self, store: Store, figures: tuple[object, ...], constraint: str
    ) -> None:
        names = ("expansion_total", "expansion_permanent", "expansion_limit", "expansion_specification")
        values = dict(zip(names, figures, strict=True))
        row = {"unit": 1, "requirement": "HST", "done_on": "2024-03", "entry_number": 7, "entry_item": 0}
        table = metadata.tables["accomplishment"]
        with pytest.raises(Refusal) as refused, store.writing(recorded_by="clerk") as writer:
            writer.connection.execute(table.insert(), {**row, **values})
        assert refused.value.code == "value-impossible"
        assert f"ck_accomplishment_{constraint}" in str(refused.value.__cause__)


class TestOrganisations:
    """Revision 0005: organisations, their approvals, and the second authority of a certificate."""

    PAPER = (
        "INSERT INTO certificate (tracking_number, organisation, part_number, serial_number, status, dated_on,"
        " filed_stated, entry_number, entry_item) VALUES ('T-1', 'Fulmar', 'RV-7', '1', 'New', 738945, 0, 7, 0)"
    )

    def test_a_database_of_the_revision_before_keeps_its_papers_and_states_no_second_authority(
        self, empty_store: Store
    ) -> None:
        upgrade(empty_store, "0004")
        with empty_store.engine.begin() as connection:
            connection.exec_driver_sql(self.PAPER)
        assert make_or_upgrade(empty_store) == "0004"
        with empty_store.reading() as connection:
            row = connection.exec_driver_sql(
                "SELECT tracking_number, status, second_authority, second_approval FROM certificate"
            ).one()
            held = [
                connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one()
                for name in ("organisation", "approval")
            ]
        assert (tuple(row), held) == (("T-1", "New", None, None), [0, 0])

    def test_down_again_it_is_the_revision_before(self, empty_store: Store) -> None:
        upgrade(empty_store, "0004")
        with empty_store.reading() as connection:
            before = catalogue(connection)
        upgrade(empty_store, "0005")
        downgrade(empty_store, "0004")
        with empty_store.reading() as connection:
            assert catalogue(connection) == before

    def test_an_approval_that_ends_before_it_begins_is_kept_out(self, store: Store) -> None:
        row = {"organisation": "Fulmar", "approval": "Q.1", "valid_from": 738945, "entry_number": 7, "entry_item": 0}
        table = metadata.tables["approval"]
        with store.writing(recorded_by="clerk") as writer:
            writer.connection.execute(table.insert(), {**row, "valid_to": 738945})
        with pytest.raises(Refusal) as refused, store.writing(recorded_by="clerk") as writer:
            writer.connection.execute(table.insert(), {**row, "valid_to": 738944, "entry_number": 8})
        assert refused.value.code == "value-impossible"
        assert "ck_approval_valid_to" in str(refused.value.__cause__)


class TestPublications:
    """Revision 0007: publications, whom they name, what they ask for, modifications that units were found without."""

    TABLES = ("publication", "applicability", "compliance", "not_embodied")
    BEFORE = REVISIONS[REVISIONS.index("0007") - 1]

    def test_a_database_of_the_revision_before_keeps_what_it_holds(self, empty_store: Store) -> None:
        upgrade(empty_store, self.BEFORE)
        with empty_store.engine.begin() as connection:
            connection.exec_driver_sql(TestOrganisations.PAPER)
        upgrade(empty_store, "0007")
        with empty_store.reading() as connection:
            assert connection.exec_driver_sql("SELECT tracking_number FROM certificate").scalar_one() == "T-1"
            held = [connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one() for name in self.TABLES]
        assert held == [0, 0, 0, 0]

    def test_down_again_it_is_the_revision_before(self, empty_store: Store) -> None:
        upgrade(empty_store, self.BEFORE)
        with empty_store.reading() as connection:
            before = catalogue(connection)
        upgrade(empty_store, "0007")
        downgrade(empty_store, self.BEFORE)
        with empty_store.reading() as connection:
            assert catalogue(connection) == before

    @pytest.mark.parametrize(
        ("name", "values", "constraint"),
        [
            ("publication", {"kind": "order"}, "kind"),
            ("publication", {"cancelled_on": 738944}, "cancelled_on"),
            ("applicability", {"excluded": 2}, "excluded"),
            ("compliance", {"comply_by": None}, "limit"),
            ("compliance", {"cycles_after": -1}, "cycles_after"),
            ("compliance", {"repeat_months": 0}, "repeat_months"),
            ("compliance", {"whichever": "both"}, "whichever"),
        ],
    )
    def test_what_cannot_be_is_kept_out(
        self, store: Store, name: str, values: dict[str, object], constraint: str
    ) -> None:
        good: dict[str, dict[str, object]] = {
            "publication": {"publication": "QD-1", "kind": "directive", "effective_on": 738945},
            "applicability": {"publication": "QD-1", "part_number": "SL-*", "excluded": 0},
            "compliance": {"publication": "QD-1", "action": "replace", "comply_by": 739000},
        }
        table, row = metadata.tables[name], {**good[name], "entry_number": 7, "entry_item": 0}
        with store.engine.begin() as connection:
            connection.execute(table.insert(), row)
        with pytest.raises(IntegrityError, match=f"ck_{name}_{constraint}"), store.engine.begin() as connection:
            connection.execute(table.insert(), {**row, **values, "entry_number": 8})


class TestPlanning:
    """Revision 0009: ground times, and the least life to fit."""

    def test_down_again_it_is_the_revision_before(self, empty_store: Store) -> None:
        upgrade(empty_store, "0008")
        with empty_store.reading() as connection:
            before = catalogue(connection)
        upgrade(empty_store, "0009")
        with empty_store.reading() as connection:
            held = [
                connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one()
                for name in ("ground_time", "least_life")
            ]
        assert held == [0, 0]
        downgrade(empty_store, "0008")
        with empty_store.reading() as connection:
            assert catalogue(connection) == before

    def test_what_cannot_be_is_kept_out(self, store: Store) -> None:
        table = metadata.tables["least_life"]
        row = {"effective_from": 738945, "days": 0, "reference": "note 4", "entry_number": 7, "entry_item": 0}
        with pytest.raises(IntegrityError, match="ck_least_life_days"), store.engine.begin() as connection:
            connection.execute(table.insert(), row)


class TestMigrations:
    def test_up_down_up_gives_the_same_catalogue(self, empty_store: Store) -> None:
        upgrade(empty_store, "head")
        with empty_store.reading() as connection:
            first = catalogue(connection)
        downgrade(empty_store, "base")
        with empty_store.reading() as connection:
            assert catalogue(connection) == {}
        upgrade(empty_store, "head")
        with empty_store.reading() as connection:
            assert catalogue(connection) == first

    def test_a_database_of_the_first_release_is_upgraded_with_what_it_holds(self, empty_store: Store) -> None:
        upgrade(empty_store, "0001")
        with empty_store.engine.begin() as connection:
            connection.exec_driver_sql(
                "INSERT INTO requirement (requirement, part_number, kind, repeat_cycles, variation_allowed,"
                " requirement_key, entry_number, entry_item) VALUES ('FT', 'QX1', 'functional_test', 300, 0, 7, 1, 0)"
            )
        assert make_or_upgrade(empty_store) == "0001"
        with empty_store.reading() as connection:
            row = connection.exec_driver_sql("SELECT requirement, repeat_cycles, counter FROM requirement").one()
        assert tuple(row) == ("FT", 300, None)

    def test_nothing_is_left_to_generate(self, store: Store) -> None:
        with store.engine.connect() as connection:
            command.check(configuration(connection))

    def test_every_guard_is_there(self, store: Store) -> None:
        with store.reading() as connection:
            names = catalogue(connection)
        triggers = {name.partition(" ")[2] for name in names if name.startswith("trigger ")}
        assert triggers == (GUARDS_SQLITE if store.dialect == "sqlite" else GUARDS_POSTGRESQL)
        if store.dialect == "postgresql":
            exclusions = {n for n, text in names.items() if n.startswith("constraint") and text.startswith("EXCLUDE")}
            assert {name.partition(".")[2] for name in exclusions} == EXCLUSIONS

    def test_every_constraint_of_the_model_is_there_by_name(self, store: Store) -> None:
        with store.reading() as connection:
            names = catalogue(connection)
        for table in metadata.sorted_tables:
            for constraint in table.constraints:
                name = str(constraint.name)
                if store.dialect == "sqlite":
                    assert re.search(rf"CONSTRAINT {name} ", names[f"table {table.name}"]), name
                else:
                    assert f"constraint {table.name}.{name}" in {n.replace('"', "") for n in names}, name

    def test_every_index_of_the_model_is_there_with_its_condition(self, store: Store) -> None:
        with store.reading() as connection:
            names = catalogue(connection)
        for table in metadata.sorted_tables:
            for index in table.indexes:
                condition = index.dialect_options[store.dialect]["where"]
                text = names[f"index {index.name}"]
                assert (" WHERE " in text) == (condition is not None), index.name

    def test_every_constraint_has_a_name(self) -> None:
        for table in metadata.sorted_tables:
            assert all(constraint.name for constraint in table.constraints), table.name

    def test_tables_are_strict_on_sqlite(self, sqlite_store: Store) -> None:
        with sqlite_store.reading() as connection:
            loose = connection.exec_driver_sql(
                "SELECT name FROM pragma_table_list WHERE type = 'table' AND strict = 0 AND schema = 'main'"
                " AND name NOT LIKE 'sqlite%'"
            ).scalars()
            assert set(loose) == {"alembic_version"}

    def test_text_is_ordered_by_bytes_on_postgresql(self, postgres_store: Store) -> None:
        with postgres_store.reading() as connection:
            rows = connection.exec_driver_sql(
                "SELECT table_name || '.' || column_name FROM information_schema.columns JOIN information_schema.tables"
                " USING (table_schema, table_name) WHERE table_schema = 'public' AND table_type = 'BASE TABLE'"
                " AND data_type <> 'bigint' AND collation_name IS DISTINCT FROM 'C'"
            ).scalars()
            assert set(rows) == {"alembic_version.version_num"}

    def test_views_show_days_as_iso_text(self, store: Store) -> None:
        with store.writing(recorded_by="clerk") as writer:
            writer.connection.exec_driver_sql(
                "INSERT INTO airframe (airframe, registration, constructor_serial, type, registration_fold,"
                " entry_number, entry_item) VALUES (1, 'Q-AAA', '001', 'T', 'Q-AAA', 1, 0)"
            )
            writer.connection.exec_driver_sql(
                "INSERT INTO reading (airframe, read_on, minutes, cycles, entry_number, entry_item)"
                " VALUES (1, 738945, 60, 1, 1, 0)"
            )
        with store.reading() as connection:
            known = inspect(connection)
            assert set(known.get_view_names()) == set(VIEWS)
            for name, view in VIEWS.items():
                columns = [column["name"] for column in known.get_columns(name)]
                assert columns == [column for column, _ in view.columns], name
            row = connection.exec_driver_sql("SELECT registration, read_on, minutes FROM readings_latest").one()
        assert tuple(row) == ("Q-AAA", "2024-02-29", 60)


class TestAgreementView:
    def test_down_again_it_is_the_revision_before_and_up_it_is_there(self, empty_store: Store) -> None:
        one_before = REVISIONS[REVISIONS.index("0010") - 1]
        upgrade(empty_store, one_before)
        with empty_store.reading() as connection:
            before = catalogue(connection)
        upgrade(empty_store, "0010")
        with empty_store.reading() as connection:
            assert set(catalogue(connection)) - set(before) == {"view agreement"} | _columns_of(connection, "agreement")
        downgrade(empty_store, one_before)
        with empty_store.reading() as connection:
            assert catalogue(connection) == before


def _columns_of(connection: Connection, name: str) -> set[str]:
    """What the catalogue of PostgreSQL lists of a view's columns; SQLite's lists none."""
    if connection.dialect.name == "sqlite":
        return set()
    return {f"column {name}.{column}" for column, _ in VIEWS[name].columns}


class TestMakeOrUpgrade:
    def test_an_empty_database_is_made_and_a_made_one_is_left(self, empty_store: Store) -> None:
        assert make_or_upgrade(empty_store) is None
        assert make_or_upgrade(empty_store) == REVISIONS[-1]

    def test_somebody_elses_database_is_refused_and_left(self, empty_store: Store) -> None:
        with empty_store.engine.begin() as connection:
            connection.exec_driver_sql("CREATE TABLE guests (name text)")
        with pytest.raises(Refusal) as refused:
            make_or_upgrade(empty_store)
        assert refused.value.code == "database-not-empty"
        with empty_store.reading() as connection:
            assert inspect(connection).get_table_names() == ["guests"]

    def test_a_schema_that_fails_half_way_leaves_nothing(
        self, empty_store: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        real = Path.read_text

        def broken(path: Path, *args: object, **more: object) -> str:
            text = real(path, *args, **more)  # type: ignore[arg-type]
            return text + "\n-- then\nCREATE NONSENSE" if "guards" in path.name else text

        monkeypatch.setattr(Path, "read_text", broken)
        with pytest.raises(Exception, match="NONSENSE"):
            make_or_upgrade(empty_store)
        with empty_store.reading() as connection:
            assert inspect(connection).get_table_names() == []

    @pytest.mark.parametrize(("revision", "code"), [("9999", "schema-newer"), (None, "schema-missing")])
    def test_another_schema_is_refused_by_one_select(self, database_url: str, revision: str | None, code: str) -> None:
        store = open_store(database_url)
        with store.engine.begin() as connection:
            if revision is None:
                connection.exec_driver_sql("DROP TABLE alembic_version")
            else:
                connection.exec_driver_sql(f"UPDATE alembic_version SET version_num = '{revision}'")
        store.close()
        with pytest.raises(Refusal) as refused:
            open_store(database_url)
        assert refused.value.code == code

    def test_an_older_schema_is_refused_with_what_to_do(
        self, database_url: str, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr("fleetlife.store.engine.REVISIONS", (*REVISIONS, "9000"))
        with pytest.raises(Refusal) as refused:
            open_store(database_url)
        assert refused.value.code == "schema-older"
        assert REVISIONS[-1] in refused.value.message

    def test_the_revision_is_the_last(self, store: Store) -> None:
        with store.engine.connect() as connection:
            assert schema_revision(connection) == REVISIONS[-1]

"""The views that others may build on, of the demo on both databases: what they show is what the answers rest on."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy.exc import DBAPIError

from fleetlife.store.engine import Store
from fleetlife.store.views import VIEWS


def rows(store: Store, statement: str) -> list[tuple[Any, ...]]:
    with store.reading() as connection:
        return [tuple(row) for row in connection.exec_driver_sql(statement)]


class TestAgreement:
    def test_what_differs_stands_as_printed_beside_the_unit(self, demo: Store) -> None:
        found = rows(
            demo,
            "SELECT certificate, organisation, dated_on, printed_part_number, printed_serial_number, filed_part_number,"
            " filed_serial_number, verdict, difference FROM agreement WHERE difference <> 'none' ORDER BY certificate",
        )
        outer, storm = "Outer Reef Overhaul", "Storm Harbour Components"
        none = (None, None, "unfiled", "unfiled")
        assert found == [
            (
                "ORO-24-0004",
                outer,
                "2024-07-24",
                "KV-2100-3",
                "20316",
                "KV-2100-3",
                "20361",
                "transposed",
                "serial number",
            ),
            ("ORO-26-0001", outer, "2026-07-07", "KV-2100-3", "20999", *none),
            (
                "SHC-22-0003",
                storm,
                "2022-09-12",
                "KV-33O0-1",
                "33105",
                "KV-3300-1",
                "33105",
                "look-alike",
                "part number",
            ),
            ("SHC-23-0821", storm, "2023-06-02", "LC-20-1", "none", *none),
        ]

    def test_each_line_of_a_certificate_is_one_row(self, demo: Store) -> None:
        [(lines,)] = rows(demo, "SELECT count(*) FROM certificate_line")
        assert rows(demo, "SELECT count(*), count(DISTINCT entry) > 100 FROM agreement") == [(lines, True)]


class TestAll:
    def test_each_gives_rows_with_its_columns(self, demo: Store) -> None:
        for name, view in VIEWS.items():
            [first, *_] = rows(demo, f"SELECT * FROM {name} LIMIT 2")
            assert len(first) == len(view.columns), name

    def test_days_are_iso_text(self, demo: Store) -> None:
        for name, column in (("installed", "installed_on"), ("due", "calendar_due"), ("readings_latest", "read_on")):
            [(day,)] = rows(demo, f"SELECT {column} FROM {name} WHERE {column} IS NOT NULL ORDER BY {column} LIMIT 1")
            assert isinstance(day, str)
            assert len(day) == 10

    def test_none_of_them_can_be_written_through(self, demo: Store) -> None:
        for name in VIEWS:
            with pytest.raises(DBAPIError), demo.engine.begin() as connection:
                connection.exec_driver_sql(f"DELETE FROM {name}")

"""Answers as data frames, on the demo."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pandas as pd
import pytest

from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.frames import due_frame, findings_frame
from fleetlife.cli.walk import make_database
from fleetlife.reports.rows import DUE_COLUMNS, finding_rows_as_dicts
from fleetlife.store.engine import Store, open_store
from fleetlife.terms.finding import FINDING_COLUMNS

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    url = f"sqlite:///{Path(tmp_path_factory.mktemp('frames')) / 'demo.db'}"
    make_database(url)
    store = open_store(url)
    yield store
    store.close()


class TestDueFrame:
    def test_it_has_the_columns_of_the_machine_formats_and_types_that_reckon(self, demo: Store) -> None:
        answer = due(demo, as_of=TODAY, everything=True)
        frame = due_frame(answer)
        assert tuple(frame.columns) == DUE_COLUMNS
        assert len(frame) == len(answer.rows)
        assert pd.api.types.is_datetime64_any_dtype(frame["due_date"])
        assert pd.api.types.is_timedelta64_dtype(frame["hours_left"])
        assert str(frame["days_left"].dtype) == "Int64"

    def test_what_is_unknown_is_missing_and_what_is_passed_is_negative(self, demo: Store) -> None:
        answer = due(demo, as_of=TODAY, everything=True)
        frame = due_frame(answer)
        undated = [row.due_date is None for row in answer.rows]
        assert frame["due_date"].isna().tolist() == undated
        passed = frame[(frame["serial_number"] == "20104") & (frame["requirement"] == "OVH")].iloc[0]
        assert passed["days_left"] == -15
        assert passed["due_date"] == pd.Timestamp("2026-11-10")
        variation = frame[frame["serial_number"] == "L511"].set_index("requirement")["hours_left"]["INS"]
        assert variation == pd.Timedelta(hours=138, minutes=2)

    def test_an_empty_list_keeps_its_columns(self, demo: Store) -> None:
        frame = due_frame(due(demo, as_of=TODAY, everything=True, requirements=("OVH",), part_numbers=("KV-2100-9",)))
        assert tuple(frame.columns) == DUE_COLUMNS
        assert frame.empty

    def test_it_says_under_which_clocks_and_head(self, demo: Store) -> None:
        answer = due(demo, as_of=TODAY)
        assert due_frame(answer).attrs["ledger_head"] == answer.about.ledger_head


class TestFindingsFrame:
    def test_a_row_a_finding_with_the_printed_columns(self, demo: Store) -> None:
        answer = audit(demo, as_of=TODAY)
        frame = findings_frame(answer)
        assert tuple(frame.columns) == FINDING_COLUMNS == tuple(finding_rows_as_dicts(answer)[0])
        assert frame["finding"].tolist() == [finding.code for finding in answer.findings]

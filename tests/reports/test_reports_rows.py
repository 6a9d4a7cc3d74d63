"""Machine rows: the names and their order, hours as text, not known as None."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from fleetlife.reports import rows
from fleetlife.terms.finding import FINDING_COLUMNS
from fleetlife.terms.views import DueRow

from . import invented as given
from .invented_counters import COUNTED, COUNTED_CHANGES

DUE_NAMES = [
    "registration",
    "constructor_serial",
    "operator",
    "station",
    "position",
    "store",
    "part_number",
    "serial_number",
    "manufacturer",
    "parent_part_number",
    "parent_serial_number",
    "description",
    "requirement",
    "kind",
    "source",
    "reference",
    "edition",
    "state",
    "state_reason",
    "driver",
    "due_date",
    "due_earliest",
    "due_if_fitted",
    "calendar_due",
    "airframe_hours_due",
    "airframe_cycles_due",
    "hours_left",
    "cycles_left",
    "operations_left",
    "days_left",
    "unknown_measures",
    "estimated",
    "variation",
    "original_due",
    "last_done",
    "basis",
    "life_quality",
    "readings_as_of",
    "counter",
    "counter_due",
    "counter_left",
]
FINDING_NAMES = [
    "finding",
    "rule",
    "severity",
    "status",
    "registration",
    "position",
    "part_number",
    "serial_number",
    "manufacturer",
    "certificate",
    "expected",
    "found",
    "message",
    "action",
    "published_rule",
    "number",
]
CARDS: dict[str, Any] = {
    "due": given.EVERYTHING,
    "swap answer": given.STOP_ANSWER,
    "swap recorded": given.RECORDED,
    "unit": given.UNIT,
    "airframe": given.AIRFRAME,
    "certificate": given.CERTIFICATE,
    "audit": given.AUDIT,
    "intake": given.INTAKE,
    "verify": given.VERIFIED_WRONG,
}


class TestDueRows:
    def test_columns_are_the_published_ones_in_their_order(self) -> None:
        assert list(rows.DUE_COLUMNS) == DUE_NAMES
        for row in rows.due_rows_as_dicts(given.EVERYTHING):
            assert list(row) == DUE_NAMES

    def test_figures_of_a_counter_are_numbers_or_hours_by_what_it_counts(self) -> None:
        found = rows.due_rows_as_dicts(COUNTED)
        told = [(row["counter"], row["counter_due"], row["counter_left"]) for row in found]
        assert told == [("landings", 14_101, -19), ("APU hours", "21000:30", "600:20")]
        changed = rows.change_rows_as_dicts(COUNTED_CHANGES)[0]
        assert (changed["counter_due_before"], changed["counter_left_after"]) == (14_101, -278)

    def test_every_row_is_there_in_its_order(self) -> None:
        found = rows.due_rows_as_dicts(given.WINDOW)
        assert [row["serial_number"] for row in found] == [row.serial_number for row in given.WINDOW.rows]

    def test_hours_are_text_with_a_minus_when_passed(self) -> None:
        row = rows.due_row_as_dict(given.OVERDUE_HOURS)
        assert row["hours_left"] == "-12:30"
        assert row["airframe_hours_due"] == "30110:00"

    def test_no_time_left_is_not_the_same_as_not_known(self) -> None:
        assert rows.due_row_as_dict(DueRow(hours_left=0))["hours_left"] == "0:00"
        assert rows.due_row_as_dict(DueRow())["hours_left"] is None

    def test_what_is_not_known_stays_none(self) -> None:
        row = rows.due_row_as_dict(given.UNKNOWN_WORK)
        assert row["due_date"] is None
        assert row["days_left"] is None

    def test_data_is_as_recorded(self) -> None:
        assert rows.due_row_as_dict(replace(given.OVERDUE, serial_number="\x1b[1m"))["serial_number"] == "\x1b[1m"


class TestFindingRows:
    def test_columns_are_the_published_ones_in_their_order(self) -> None:
        assert list(FINDING_COLUMNS) == FINDING_NAMES
        for row in rows.finding_rows_as_dicts(given.AUDIT):
            assert list(row) == FINDING_NAMES

    def test_finding_is_the_code_and_action_the_hint(self) -> None:
        row = rows.findings_as_dicts([given.STALE])[0]
        assert (row["finding"], row["rule"]) == ("LIF105", "stale-readings")
        assert row["action"] == given.STALE.hint
        assert row["expected"] is None


class TestObjects:
    @pytest.mark.parametrize("name", CARDS)
    def test_every_card_is_json_without_loss_of_a_field(self, name: str) -> None:
        card = CARDS[name]
        found = rows.card_as_dict(card)
        assert list(found) == list(card.__dataclass_fields__)
        assert json.loads(json.dumps(found, allow_nan=False)) == found

    def test_head_of_an_answer_is_whole(self) -> None:
        assert rows.about_as_dict(given.about("due"))["ledger_head"] == given.HEAD

    def test_pairs_are_named(self) -> None:
        found = rows.swap_recorded_as_dict(given.RECORDED)
        assert found["before"][0] == {"what": "Q-PUF L1", "was": "KW-4100-3 00815"}
        assert found["after"][1] == {"what": "Q-PUF L1", "is": "KW-4100-3 00811, rigged left"}
        assert rows.verify_as_dict(given.VERIFIED_WRONG)["tables"][1] == {
            "table": "due_point",
            "rows": 8_911,
            "differ": 2,
        }

    def test_preview_names_no_entry_and_no_head(self) -> None:
        found = rows.swap_recorded_as_dict(given.RECORDED, preview=True)
        assert found["preview"] is True
        assert given.HEAD not in json.dumps(found)
        assert "12046" not in json.dumps(found)
        assert rows.swap_recorded_as_dict(given.RECORDED)["ledger_head"] == given.HEAD

    def test_hours_of_life_left_are_text(self) -> None:
        assert rows.swap_answer_as_dict(given.CLEAR_ANSWER)["life"][0]["hours_left"] == "5868:00"

    def test_findings_in_cards_keep_their_evidence(self) -> None:
        found = rows.certificate_card_as_dict(given.CERTIFICATE)["findings"][0]
        assert found["evidence"][0] == {
            "source": "certificate FR-24-0871 of Fulmar Repair",
            "says": "00851",
            "entry": 210,
        }

    def test_due_rows_in_cards_are_due_rows(self) -> None:
        assert rows.unit_card_as_dict(given.UNIT)["due"][0] == rows.due_row_as_dict(given.OVERDUE)

    def test_coverage_names_its_causes(self) -> None:
        found = rows.coverage_as_dict(given.COVERAGE)
        assert found["without_programme"] == 20
        assert found["causes"][1]["units"] == 38

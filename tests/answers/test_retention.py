"""Whose rules a record is kept by, where each operator has its own."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fleetlife.answers.retention import retention
from fleetlife.store.engine import Store
from fleetlife.terms.retained import OperatorRules, RetainedRow, RetentionList
from tests.actions.fleet import SLIDE, Intake, movement, small_fleet

AS_OF = date(2024, 6, 1)
OWN = {"TERN AIR": ["eu"], "Auk Air": ["us"], "Gannet Air": ["eu", "us"]}


@pytest.fixture
def flown(store: Store, tmp_path: Path) -> Store:
    """0101 went from Tern Air's airframe to Auk Air's; 0103 and 0104 never flew."""
    files = small_fleet()
    files["airframes"] = [
        row | {"operator": name} for row, name in zip(files["airframes"], ("Tern Air", "Auk Air"), strict=True)
    ]
    intake = Intake(store, tmp_path / "files")
    intake.take(files)
    on_other = movement("2024-01-15", "L1", fit="0101") | {"registration": "Q-BBB"}
    intake.take({"movements": [movement("2024-01-10", "L1", off="0101") | {"removed_to": "store"}, on_other]})
    return store


def of(answer: RetentionList, serial: str, record: str) -> list[RetainedRow]:
    return [
        row for row in answer.rows if row.part_number == SLIDE and row.serial_number == serial and row.record == record
    ]


class TestByOperator:
    def test_what_several_carried_is_kept_as_long_as_each_of_them_must(self, flown: Store) -> None:
        answer = retention(flown, as_of=AS_OF, by_operator=OWN)
        (both,) = of(answer, "0101", "work")
        assert both.operators == "Auk Air; Tern Air"
        assert both.kept_until_eu
        assert both.kept_until_us
        (one,) = of(answer, "0102", "work")
        assert (one.operators, one.kept_until_us) == ("Tern Air", None)

    def test_a_movement_belongs_to_the_log_of_its_airframe(self, flown: Store) -> None:
        answer = retention(flown, as_of=AS_OF, by_operator=OWN)
        told = {row.registration: row for row in of(answer, "0101", "technical log")}
        assert (told["Q-AAA"].operators, told["Q-AAA"].kept_until_us) == ("Tern Air", None)
        assert (told["Q-BBB"].operators, told["Q-BBB"].kept_until_eu) == ("Auk Air", None)

    @pytest.mark.parametrize(("regimes", "expected"), [((), ("eu", "us")), (("us",), ("us",))])
    def test_what_nobody_carried_is_kept_by_what_goes_for_all_others(
        self, flown: Store, regimes: tuple[str, ...], expected: tuple[str, ...]
    ) -> None:
        answer = retention(flown, as_of=AS_OF, regimes=regimes, by_operator=OWN)
        (row,) = of(answer, "0103", "work")
        assert row.operators is None
        assert tuple(n for n, d in (("eu", row.kept_until_eu), ("us", row.kept_until_us)) if d) == expected
        assert answer.operators == (
            OperatorRules(operator="Auk Air", rules=("us",), stated=True),
            OperatorRules(operator="Tern Air", rules=("eu",), stated=True),
            OperatorRules(operator=None, rules=expected, stated=False),
        )

    def test_an_operator_that_is_not_in_the_records_is_named(self, flown: Store) -> None:
        assert retention(flown, as_of=AS_OF, by_operator=OWN).not_in_records == ("Gannet Air",)

    def test_without_rules_of_their_own_nothing_is_told_by_operator(self, flown: Store) -> None:
        answer = retention(flown, as_of=AS_OF)
        assert answer.operators == ()
        assert all(row.kept_until_eu and row.kept_until_us for row in answer.rows)

"""What a door pair may carry together."""

from __future__ import annotations

import pytest

from fleetlife.fit.intermix import judge_intermix
from fleetlife.ledger.facts import Intermix


def rule(family: str, other: str, permitted: bool, reference: str | None = None) -> Intermix:
    return Intermix(family=family, other_family=other, permitted=permitted, reference=reference)


# family, other family, rules, outcome
CASES = [
    ("F1", "F1", (), "fine"),
    ("F1", "f1", (), "fine"),
    ("F1", "F2", (), "note"),
    ("F1", "F2", (rule("F1", "F2", True, "SL-3"),), "fine"),
    ("F1", "F2", (rule("F2", "F1", True, "SL-3"),), "fine"),
    ("F1", "F2", (rule("F1", "F2", False, "SL-3"),), "stop"),
    ("F2", "F1", (rule("F1", "F2", False, "SL-3"),), "stop"),
    ("F1", "F2", (rule("F1", "F2", False),), "note"),
    ("F1", "F2", (rule("F1", "F3", False, "SL-3"),), "note"),
    ("F1", "F2", (rule("F1", "F2", True, "SL-3"), rule("F2", "F1", False, "SL-4")), "stop"),
    ("F1", "F2", (rule("F1", "F2", True, "SL-3"), rule("F2", "F1", False)), "note"),
    ("F1", "F1", (rule("F1", "F1", False, "SL-5"),), "stop"),
    (None, "F2", (), "note"),
    ("F1", None, (rule("F1", "F2", False, "SL-3"),), "note"),
]


class TestIntermix:
    @pytest.mark.parametrize(("family", "other", "rules", "outcome"), CASES)
    def test_a_stop_only_where_a_reference_says_so(
        self, family: str | None, other: str | None, rules: tuple[Intermix, ...], outcome: str
    ) -> None:
        answer = judge_intermix(
            part_number="A-1", family=family, other_part_number="A-3", other_family=other, rows=rules
        )
        assert answer.outcome == outcome
        assert all(reason.endswith(".") for reason in answer.reasons)

    def test_the_reference_is_in_the_answer(self) -> None:
        rules = (rule("F1", "F2", False, "SL-3"),)
        answer = judge_intermix(part_number="A-1", family="F1", other_part_number="B-1", other_family="F2", rows=rules)
        assert (answer.row, answer.reference) == (rules[0], "SL-3")
        assert "SL-3" in answer.reasons[0]

    def test_one_part_on_both_doors_needs_no_family(self) -> None:
        answer = judge_intermix(part_number="A-1", family=None, other_part_number="a-1", other_family=None, rows=())
        assert answer.outcome == "fine"

    @pytest.mark.parametrize(("family", "other", "missing"), [(None, "F2", "A-1"), ("F1", None, "B-1")])
    def test_the_part_without_a_family_is_named(self, family: str | None, other: str | None, missing: str) -> None:
        answer = judge_intermix(part_number="A-1", family=family, other_part_number="B-1", other_family=other, rows=())
        assert missing in answer.reasons[0]

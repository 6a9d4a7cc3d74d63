"""The rig of the part, the harness of the unit and the side of the position."""

from __future__ import annotations

import pytest

from fleetlife.fit.harness import judge_harness
from fleetlife.terms import words

# rig, harness of the unit, side of the position, outcome
CASES = [
    ("none", None, "left", "fine"),
    ("none", "left", "left", "fine"),
    ("none", "right", "left", "condition"),
    ("none", "right", None, "fine"),
    ("none", None, None, "fine"),
    ("either", "left", "left", "fine"),
    ("either", "right", "right", "fine"),
    ("either", "right", "left", "condition"),
    ("either", "left", "right", "condition"),
    ("either", "unknown", "left", "condition"),
    ("either", None, "left", "condition"),
    ("either", "none", "left", "condition"),
    ("either", "left", None, "condition"),
    ("left", None, "left", "fine"),
    ("left", "left", "left", "fine"),
    ("left", "right", "left", "condition"),
    ("left", "left", "right", "stop"),
    ("left", None, "right", "stop"),
    ("right", "left", "left", "stop"),
    ("right", None, "right", "fine"),
    ("right", None, None, "condition"),
    (None, "left", "left", "condition"),
    (None, None, None, "condition"),
]


class TestHarness:
    @pytest.mark.parametrize(("rig", "harness", "position_harness", "outcome"), CASES)
    def test_each_combination(
        self, rig: str | None, harness: str | None, position_harness: str | None, outcome: str
    ) -> None:
        answer = judge_harness(rig=rig, harness=harness, position_harness=position_harness)
        assert answer.outcome == outcome
        assert all(reason.endswith(".") for reason in answer.reasons)

    def test_the_sides_are_named(self) -> None:
        answer = judge_harness(rig="either", harness="right", position_harness="left")
        assert answer.reasons == (
            "The unit is rigged right; it must be rigged left before it is fitted at this position.",
        )

    @pytest.mark.parametrize("rig", [*words.RIGS, None])
    @pytest.mark.parametrize("harness", [*words.HARNESSES, None])
    def test_nothing_unknown_is_fine_but_where_no_harness_matters(self, rig: str | None, harness: str | None) -> None:
        outcome = judge_harness(rig=rig, harness=harness, position_harness=None).outcome
        assert outcome == ("fine" if rig == "none" else "condition")

"""How long the maintenance organisation keeps the papers of a release."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.paper.retention import Held, kept_by
from fleetlife.terms.published import RULES

RELEASED = date(2023, 1, 15)


@pytest.mark.parametrize(
    ("regime", "rule", "expected"),
    [
        # 145.A.55(a)-(c), UK consolidated text 201121, READ: 3 years from the release to service
        ("eu", "145.A.55", date(2026, 1, 15)),
        # 14 CFR 145.219 as of 2026-04-05, READ: 2 years from the approval for return to service
        ("us", "14 CFR 145.219", date(2025, 1, 15)),
    ],
)
def test_a_release_of_2023_01_15(regime: str, rule: str, expected: date) -> None:
    held = Held(record="certificate", dated_on=RELEASED)
    assert {each.rule: each.until for each in kept_by(held, [regime])}[rule] == expected
    assert not RULES[rule].from_memory


@pytest.mark.parametrize(
    "rule",
    # M.A.305(e) but for the technical log, 91.417(b) and 121.380: MEMORY
    ["M.A.305(e) detailed records", "M.A.305(e) life-limited", "14 CFR 91.417(b)(1)", "14 CFR 121.380"],
)
def test_what_nobody_has_read_says_so(rule: str) -> None:
    assert RULES[rule].from_memory
    assert "cited from memory" in RULES[rule].named


# AMC M.A.305(e)(1), READ: technical log 36 months; 135.439(b), READ: the last overhaul until superseded
@pytest.mark.parametrize("rule", ["AMC M.A.305(e)(1)", "14 CFR 135.439(b)"])
def test_what_was_read_does_not(rule: str) -> None:
    assert not RULES[rule].from_memory

"""Two editions of a requirement beside each other: everything by which a due point can move is told, in words."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import pytest

from fleetlife.life.differences import band_words, limit_words, stated_words, what_differs
from fleetlife.life.values import AgeBand, Limits, Requirement

RULE = Requirement(
    key=1,
    requirement="OVH",
    part_number="QX-1",
    kind="overhaul",
    edition="4",
    repeat=Limits(months=36),
    bands=(AgeBand(from_age_months=180, repeat=Limits(months=12)),),
)
# What names an edition and when it is in force; by these alone no due point moves. The axis of a counter is its own.
NAMES = {"key", "requirement", "part_number", "source", "programme", "edition", "reference", "in_force_from",
         "in_force_until", "entry", "counter_axis"}  # fmt: skip
OTHER: dict[str, Any] = {
    "kind": "inspection", "start": "installation", "first": Limits(months=24), "repeat": Limits(months=30),
    "operation": "filling", "whichever": "last", "month_rule": "last", "shelf_allowance_months": 12,
    "done_at": "aircraft", "anchor": "due", "window_early": Limits(days=10), "window_late": Limits(days=5),
    "variation_allowed": True, "at_due": "no-refill", "resets": ("INS",), "bands": (), "band_rule": "basis",
    "requires_unit_modification": "SB 4", "counter": "landings",
}  # fmt: skip


@pytest.mark.parametrize("name", sorted({field.name for field in fields(Requirement)} - NAMES))
def test_each_field_that_moves_a_due_point_is_told(name: str) -> None:
    (clause,) = what_differs(RULE, replace(RULE, **{name: OTHER[name]}))
    assert ", now " in clause


def test_another_name_or_reference_alone_is_no_difference() -> None:
    assert what_differs(RULE, replace(RULE, key=2, edition="5", reference="revision B", in_force_from=700_000)) == ()


def test_limits_and_bands_are_told_with_their_figures() -> None:
    assert limit_words(Limits(months=60, minutes=17_500 * 60, cycles=2_500)) == "60 months, 17500:00 FH, 2500 FC"
    assert limit_words(Limits()) == "none"
    assert band_words(RULE) == "from 180 months of age 12 months (cap)"
    (clause,) = what_differs(RULE, replace(RULE, repeat=Limits(months=30)))
    assert clause == "repeat 36 months, now 30 months"
    assert stated_words(RULE) == "start release; repeat 36 months; bands from 180 months of age 12 months (cap)"


def test_the_same_figures_in_a_counter_are_told_by_its_name() -> None:
    flown = replace(RULE, repeat=Limits(cycles=900), bands=())
    counted = replace(flown, counter="landings", counter_axis="cycles")
    assert what_differs(flown, counted) == ("repeat 900 FC, now 900 landings", "counter none, now landings")
    assert stated_words(counted) == "start release; repeat 900 landings"
    assert what_differs(counted, counted) == ()

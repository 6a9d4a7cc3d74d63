"""What is refused in a requirement as stated."""

from __future__ import annotations

from dataclasses import replace

import pytest
from life_history import band, h, needs

from fleetlife.life.points import check_requirement, check_requirements
from fleetlife.terms.words import UNEXTENDABLE_SOURCES

OVERHAUL = needs(repeat={"months": 36})
LIFE = needs(kind="life_limit", start="manufacture", first={"months": 180})
WINDOWED = needs(
    kind="inspection",
    repeat={"minutes": h("600:00")},
    done_at="aircraft",
    anchor="due",
    window_late={"minutes": h("30:00")},
)
CYLINDER = needs(
    kind="requalification",
    source="dangerous_goods",
    reference="49 CFR 180.209",
    repeat={"months": 60},
    month_rule="last",
    at_due="no-refill",
)

GOOD = {
    "overhaul": OVERHAUL,
    "life limit": LIFE,
    "window": WINDOWED,
    "cylinder": CYLINDER,
    "on condition": needs(kind="on_condition", reference="MPD 25-60"),
    "bands": replace(OVERHAUL, bands=(band(180, months=12),)),
    "allowance": replace(OVERHAUL, start="installation", shelf_allowance_months=12),
    "operations": needs(first={"operations": 10}, operation="activation"),
    "variation": replace(OVERHAUL, variation_allowed=True),
}

BAD = {
    "month_rule is refused on a life_limit": replace(LIFE, month_rule="last"),
    "month_rule needs a limit in months": needs(repeat={"days": 30}, month_rule="last"),
    "takes first_ limits only": replace(LIFE, repeat=OVERHAUL.repeat),
    "refitting would restart it": replace(LIFE, start="each_installation"),
    "no anchor and no window": replace(LIFE, anchor="due", done_at="aircraft", window_late=WINDOWED.window_late),
    "always counts from what was done": replace(WINDOWED, done_at="shop"),
    "needs a window": replace(WINDOWED, window_late=needs().repeat),
    "needs anchor due": replace(WINDOWED, anchor="done"),
    "in which nothing is limited": replace(WINDOWED, window_early=needs(repeat={"days": 5}).repeat),
    "needs the reference that states it": needs(kind="on_condition"),
    "takes no limits": needs(kind="on_condition", reference="X", repeat={"months": 1}),
    "No limit is stated": needs(),
    "needs the operation it counts named": needs(first={"operations": 10}),
    "does not reset itself": replace(OVERHAUL, resets=("R1",)),
    "needs start installation": replace(OVERHAUL, shelf_allowance_months=12),
    "shelf_allowance_months needs a limit in months": needs(
        repeat={"cycles": 9}, start="installation", shelf_allowance_months=12
    ),
    "below 0": replace(OVERHAUL, start="installation", shelf_allowance_months=-1),
    "repeat_months 0 is below 1": needs(repeat={"months": 0}),
    "window_late_hours -1 is below 0": replace(WINDOWED, window_late=needs(repeat={"minutes": -1}).repeat),
    "counts from its mark": replace(CYLINDER, start="installation"),
    "variation_allowed is refused on a life_limit": replace(LIFE, variation_allowed=True),
    "that is a service life": replace(OVERHAUL, kind="replacement", source="dangerous_goods", variation_allowed=True),
    "needs source dangerous_goods": replace(CYLINDER, source="programme"),
    "and the reference that allows it": replace(CYLINDER, reference=None),
    "no-refill is refused on a life_limit": replace(LIFE, source="dangerous_goods", reference="X", at_due="no-refill"),
    "cannot be judged with whichever last": replace(CYLINDER, whichever="last"),
    "no-refill needs a limit in months": replace(CYLINDER, month_rule=None, repeat=needs(repeat={"cycles": 9}).repeat),
    "begin at the same age": replace(OVERHAUL, bands=(band(180, months=12), band(180, months=6))),
    "begins below age 0": replace(OVERHAUL, bands=(band(-1, months=12),)),
    "a life_limit has none": replace(LIFE, bands=(band(180, months=12),)),
    "younger than 180 months": replace(
        OVERHAUL, repeat=needs().repeat, bands=(band(180, months=12),), band_rule="basis"
    ),
    "states no repeat": replace(OVERHAUL, bands=(band(180),)),
    "effective_to is before effective_from": replace(OVERHAUL, in_force_from=10, in_force_until=10),
    "kind 'polish' is not one of": needs(kind="polish", repeat={"months": 1}),
    "start 'birth' is not one of": replace(OVERHAUL, start="birth"),
    "whichever 'both' is not one of first, last": replace(OVERHAUL, whichever="both"),
    "source 'rumour' is not one of": replace(OVERHAUL, source="rumour"),
    "month_rule 'first' is not one of last": replace(OVERHAUL, month_rule="first"),
    "at_due 'ignore' is not one of": replace(OVERHAUL, at_due="ignore"),
}


class TestCheckRequirement:
    @pytest.mark.parametrize("name", GOOD)
    def test_what_can_be_used_has_no_problem(self, name):
        assert check_requirement(GOOD[name]) == []

    @pytest.mark.parametrize("words", BAD)
    def test_what_cannot_be_used_is_named(self, words):
        problems = check_requirement(BAD[words])
        assert [p for p in problems if words in p], problems
        assert all(p.endswith(".") for p in problems)

    @pytest.mark.parametrize("source", UNEXTENDABLE_SOURCES)
    def test_no_variation_where_nothing_may_be_extended(self, source):
        problems = check_requirement(replace(OVERHAUL, source=source, variation_allowed=True))
        assert problems == [f"variation_allowed is refused where the source is {source}: nothing extends it."]

    def test_every_problem_is_named_not_the_first(self):
        assert len(check_requirement(replace(LIFE, month_rule="last", variation_allowed=True, whichever="both"))) == 3


class TestCheckRequirements:
    def test_a_life_limit_is_not_reset(self):
        life = replace(LIFE, requirement="LIFE")
        assert check_requirements((replace(OVERHAUL, resets=("LIFE",)), life)) == [
            "R1 resets LIFE, a life limit: nothing restarts one."
        ]

    def test_what_is_reset_must_exist(self):
        assert check_requirements((replace(OVERHAUL, resets=("R9",)),)) == ["R1 resets R9, which is no requirement."]

    def test_a_reset_of_known_work_is_no_problem(self):
        other = replace(OVERHAUL, requirement="R2")
        assert check_requirements((replace(OVERHAUL, resets=("R2",)), other)) == []

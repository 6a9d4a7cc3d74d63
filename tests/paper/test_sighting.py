"""What a sighting says of a position, from numbers alone."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.paper.sighting import Numbered, judge_sighting
from fleetlife.terms.walk_round import DIFFER, SeenAt

THERE = Numbered(unit=1, part_number="SL-100-1", serial_number="0012", borne=("SL-100-0",))
OTHER = Numbered(unit=2, part_number="SL-100-1", serial_number="0021")
SPARE = Numbered(unit=3, part_number="SL-100-1", serial_number="0O12")


def seen(part: str | None = "SL-100-1", serial: str | None = "0012") -> SeenAt:
    return SeenAt(position="L1", part_number=part, serial_number=serial)


@pytest.mark.parametrize(
    ("sighting", "recorded", "bearing", "verdict", "unit"),
    [
        (None, THERE, [], "not looked at", None),
        (seen(None, None), THERE, [], "empty", None),
        (seen(None, None), None, [], "agree", None),
        (seen(), THERE, [THERE], "agree", 1),
        (seen("sl 100-1", "0012 "), THERE, [THERE], "agree", 1),
        # misread, and no unit bears what was read
        (seen(serial="0O12"), THERE, [], "other text", 1),
        (seen(serial="0021"), THERE, [], "other text", 1),
        (seen(serial="12"), THERE, [], "other text", 1),
        # the part number it bore before
        (seen("SL-100-0"), THERE, [THERE], "other text", 1),
        # the same text, and a unit of it is recorded: it is that one
        (seen(serial="0O12"), THERE, [SPARE], "other unit", 3),
        (seen(serial="0021"), THERE, [OTHER], "other unit", 2),
        (seen(), None, [OTHER], "not recorded", 2),
        # nobody bears it, and it is not near what is recorded
        (seen(serial="7777"), THERE, [], "unknown", None),
        (seen("SL-100-3"), THERE, [], "unknown", None),
        (seen(), None, [], "unknown", None),
        # two bear it
        (seen(serial="0099"), THERE, [OTHER, SPARE], "unknown", None),
        (seen(), None, [OTHER, SPARE], "unknown", None),
    ],
)
def test_the_verdict(
    sighting: SeenAt | None, recorded: Numbered | None, bearing: list[Numbered], verdict: str, unit: int | None
) -> None:
    found = judge_sighting(sighting, recorded, bearing)
    assert (found.verdict, found.unit) == (verdict, unit)
    assert found.why


def test_the_differing_characters_are_marked() -> None:
    found = judge_sighting(seen(serial="0O12"), THERE, [])
    assert found.part_marks == ()
    assert [mark for mark in found.serial_marks if not mark[2]] == [("O", "0", False)]


@given(st.text(min_size=1, max_size=8), st.text(min_size=1, max_size=8))
def test_only_the_same_numbers_agree(part: str, serial: str) -> None:
    """Whatever was read: with another character that is no blank or letter case it does not agree."""
    found = judge_sighting(seen(part, serial), THERE, [])
    bare = "".join(c for c in f"{part}|{serial}".upper() if c.isalnum() or c == "|")
    assert (found.verdict in DIFFER) == (bare != "SL1001|0012")

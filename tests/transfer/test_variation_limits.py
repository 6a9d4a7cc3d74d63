"""The operator's table of limits: read as it stands, and refused where it could be read two ways."""

from __future__ import annotations

from pathlib import Path

import pytest

from fleetlife.life.extensions import Allowance
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.variation_limits import read_variation_limits

HEADER = "measure,over,up_to,percent,at_most,reference\n"


def refusal(folder: Path, text: str) -> str:
    path = folder / "limits.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Refusal) as told:
        read_variation_limits(path)
    assert told.value.code == "limits-not-read"
    return " ".join([told.value.message, *told.value.details])


class TestReading:
    def test_figures_are_in_the_units_of_their_measure(self, tmp_path: Path) -> None:
        path = tmp_path / "limits.csv"
        path.write_text(f"{HEADER}hours,0,5000:00,10,,T 1\ncalendar,36,,,3,\ncycles,500,,10,500,\n", encoding="utf-8")
        assert read_variation_limits(path) == (
            Allowance(measure="hours", over=0, up_to=300_000, percent=10, at_most=None, reference="T 1"),
            Allowance(measure="calendar", over=36, up_to=None, percent=None, at_most=3, reference=None),
            Allowance(measure="cycles", over=500, up_to=None, percent=10, at_most=500, reference=None),
        )

    @pytest.mark.parametrize(
        ("text", "told"),
        [
            ("", "The file is empty."),
            ("measure,over,most\n", "most is no column"),
            ("measure,percent\n", "over is missing"),
            (f"{HEADER}landings,0,,10,,\n", "A measure is calendar, hours or cycles."),
            (f"{HEADER}hours,0,5000.30,10,,\n", "Hours are written HHHH:MM."),
            (f"{HEADER}cycles,-1,,10,,\n", "A whole number is wanted."),
            (f"{HEADER}cycles,0,,1e1,,\n", "A whole number is wanted."),
            (f"{HEADER}cycles,,,10,,\n", "The interval it begins above is empty."),
            (f"{HEADER}cycles,0,,,,\n", "Neither percent nor at_most is stated."),
            (f"{HEADER}cycles,0,,110,,\n", "not between 0 and 100"),
            (f"{HEADER}cycles,0,500,10,,\ncycles,400,,10,,\n", "Two lines of cycles speak of the same intervals."),
        ],
    )
    def test_what_cannot_be_read_is_told_by_line(self, tmp_path: Path, text: str, told: str) -> None:
        assert told in refusal(tmp_path, text)

    def test_every_bad_line_is_told(self, tmp_path: Path) -> None:
        told = refusal(tmp_path, f"{HEADER}x,0,,10,,\ncycles,0,,,,\n")
        assert "line 2" in told
        assert "line 3" in told

    def test_a_file_that_is_not_there(self, tmp_path: Path) -> None:
        with pytest.raises(Refusal, match="limits"):
            read_variation_limits(tmp_path / "none.csv")

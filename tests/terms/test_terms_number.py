"""Part and serial numbers and positions: folding, ordering, ranges."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.terms.number import fold, is_own_tracking, nearest, position_label, serial_in_range, serial_runs


class TestFold:
    def test_only_case_and_white_space_go(self) -> None:
        assert fold(" qx 100-1\u00a0a ") == "QX100-1A"
        assert (fold(None), fold("")) == ("", "")
        assert len({fold(text) for text in ("QX1001", "QX100-1", "0QX1001", "QXI00-1")}) == 4

    @given(st.text(max_size=12))
    @settings(max_examples=200, derandomize=True, deadline=None)
    def test_folding_twice_is_folding_once(self, text: str) -> None:
        assert fold(fold(text)) == fold(text)


class TestPositionLabel:
    @pytest.mark.parametrize("text", ["L1", "1L", "l1", "01l", "L01", " L 1 "])
    def test_spellings_of_one_position(self, text: str) -> None:
        assert position_label(text) == "L1"

    @pytest.mark.parametrize(("text", "label"), [("r12", "R12"), ("c3", "C3"), ("owe-l", "OWE-L"), ("L123", "L123")])
    def test_other_labels_are_only_folded(self, text: str, label: str) -> None:
        assert position_label(text) == label


class TestSerialOrder:
    def test_runs_of_digits_are_numbers(self) -> None:
        serials = ["B2", "A10", "A9", "859", "1132", "A9B", "0859"]
        assert sorted(serials, key=serial_runs) == ["A9", "A9B", "A10", "B2", "859", "0859", "1132"]

    def test_signs_that_only_look_like_digits_are_text(self) -> None:
        assert serial_runs("12²") == ((1, 12, ""), (0, 0, "²"))


class TestSerialRange:
    @pytest.mark.parametrize(
        ("serial", "first", "last", "inside"),
        [
            ("859", "0859", "1132", True),
            ("1132", "0859", "1132", True),
            ("1133", "0859", "1132", False),
            ("858", "0859", "1132", False),
            ("5", None, "10", True),
            ("11", None, "10", False),
            ("11", "10", "", True),
            ("anything", None, None, True),
            ("B100", "A050", "A150", False),
            ("A100", "A050", "A150", True),
            ("a100", "A050", None, True),
            ("A100", "100", "200", False),
            ("A9-20", "A9-3", "A9-100", True),
            ("A8-20", "A9-3", None, False),
            ("SPARE", "SPARE", "SPARE", True),
            ("SPARF", "SPARE", "SPARE", False),
            ("100", "SPARE", None, False),
        ],
    )
    def test_inclusive_open_at_an_empty_end_and_never_of_another_prefix(
        self, serial: str, first: str | None, last: str | None, inside: bool
    ) -> None:
        assert serial_in_range(serial, first, last) is inside

    @given(st.integers(0, 500), st.integers(0, 500), st.integers(0, 500), st.sampled_from(["", "A", "A7-"]))
    @settings(max_examples=200, derandomize=True, deadline=None)
    def test_numbers_are_compared_whatever_their_leading_zeros(self, n: int, low: int, high: int, prefix: str) -> None:
        found = serial_in_range(f"{prefix}{n:04d}", f"{prefix}{low}", f"{prefix}{high:06d}")
        assert found is (low <= n <= high)


class TestOwnTracking:
    def test_it_is_marked_as_such(self) -> None:
        assert is_own_tracking("own:77")
        assert not is_own_tracking("OWN77")


class TestNearest:
    def test_the_most_alike_or_nothing(self) -> None:
        assert nearest("serial_numbr", ["part_number", "serial_number"]) == "serial_number"
        assert nearest("zzz", ["part_number"]) is None

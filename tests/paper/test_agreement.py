"""How two numbers differ: every verdict, found and not found."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.paper.agreement import VERDICTS, Segment, compare_numbers, look_alike_key, worse

# paper, record, verdict
SERIALS = [
    ("A1047", "A1047", "exact"),
    (" A1047 ", "A1047", "exact"),
    ("a1047", "A1047", "formatting"),
    ("A-1047", "A1047", "formatting"),
    ("A 10 47", "A1047", "formatting"),
    ("A/1047", "A-1047", "formatting"),
    ("A–1047", "A-1047", "formatting"),  # a dash of another sort
    ("Ａ１０４７", "A1047", "formatting"),  # full-width characters
    ("01047", "1047", "leading-zeros"),
    ("A01047", "A1047", "leading-zeros"),
    ("A-0012", "A-12", "leading-zeros"),
    ("0012-03", "12-3", "leading-zeros"),
    ("A1O47", "A1047", "look-alike"),
    ("AI047", "A1047", "look-alike"),
    ("Al047", "A1047", "look-alike"),
    ("5012", "S012", "look-alike"),
    ("80512", "BO5I2", "look-alike"),
    ("Z6", "2G", "look-alike"),
    ("А1047", "A1047", "look-alike"),  # the first letter is Cyrillic
    ("A1074", "A1047", "transposed"),
    ("1A047", "A1047", "transposed"),
    ("A1048", "A1047", "one-character"),
    ("A147", "A1047", "one-character"),
    ("A10477", "A1047", "one-character"),
    ("A7401", "A1047", "different"),
    ("B2200", "A1047", "different"),
    ("1004", "0104", "transposed"),
    ("105", "10-05", "one-character"),  # a zero inside is no leading zero once the separators are gone
    ("", "A1047", "different"),
    ("A1047", "", "different"),
    ("", "", "different"),
    ("--", "A1047", "different"),
    ("4512-1", "451-21", "different"),  # the same characters, divided otherwise, are two numbers
]

PARTS = [
    ("D4512-101", "D4512-101", "exact"),
    ("D4512 101", "D4512-101", "formatting"),
    ("D4512101", "D4512-101", "formatting"),
    ("D4512-103", "D4512-101", "other-dash-number"),  # one character apart, and yet another part
    ("D4512-110", "D4512-101", "other-dash-number"),  # neighbours exchanged, and yet another part
    ("D4512103", "D4512-101", "other-dash-number"),
    ("D4512-7", "D4512-101", "other-dash-number"),
    ("D4512", "D4512-101", "other-dash-number"),
    ("D4512-101", "D4512", "other-dash-number"),
    ("D4512-01", "D4512-1", "leading-zeros"),
    ("D4512-1O1", "D4512-101", "look-alike"),
    ("D4521-101", "D4512-101", "transposed"),
    ("D4513-101", "D4512-101", "one-character"),
    ("D4513-103", "D4512-101", "different"),
    ("K77-1", "K77-56789", "different"),  # what follows the separator is too long for a dash number
    ("K7-1", "K7-9", "one-character"),  # what stands before it is too short for a base number
    ("4512-1", "451-21", "different"),
]


class TestSerials:
    @pytest.mark.parametrize(("paper", "record", "verdict"), SERIALS)
    def test_each_difference_has_its_verdict(self, paper: str, record: str, verdict: str) -> None:
        assert compare_numbers(paper, record, kind="serial").verdict == verdict

    def test_a_serial_has_no_dash_number(self) -> None:
        assert compare_numbers("D4512-103", "D4512-101", kind="serial").verdict == "one-character"

    def test_alternates_say_nothing_about_serials(self) -> None:
        assert compare_numbers("B9", "A1047", kind="serial", alternates=("B9",)).verdict == "different"


class TestParts:
    @pytest.mark.parametrize(("paper", "record", "verdict"), PARTS)
    def test_each_difference_has_its_verdict(self, paper: str, record: str, verdict: str) -> None:
        assert compare_numbers(paper, record, kind="part").verdict == verdict

    def test_a_paper_with_an_alternate_says_which(self) -> None:
        agreement = compare_numbers("R900-1", "D4512-101", kind="part", alternates=("X1", "R900-1"))
        assert (agreement.verdict, agreement.stands_for) == ("alternate", "R900-1")

    def test_a_known_alternate_is_never_taken_for_a_misprint(self) -> None:
        agreement = compare_numbers("D4513-101", "D4512-101", kind="part", alternates=("D4513-101",))
        assert agreement.verdict == "alternate"

    def test_an_alternate_may_be_printed_without_its_separators(self) -> None:
        agreement = compare_numbers("r9001", "D4512-101", kind="part", alternates=("R900-1",))
        assert agreement.stands_for == "R900-1"

    def test_a_number_the_unit_bore_at_another_time_is_not_the_expected_one(self) -> None:
        agreement = compare_numbers("D4512-101", "D4512-103", kind="part", borne=("D4512-101",))
        assert (agreement.verdict, agreement.stands_for) == ("alternate", "D4512-101")
        assert "at another time" in agreement.detail

    def test_the_number_borne_that_day_is_exact_whatever_it_bore_besides(self) -> None:
        agreement = compare_numbers("D4512-101", "D4512-101", kind="part", borne=("D4512-101", "D4512-103"))
        assert agreement.verdict == "exact"


class TestItemsWithoutSerial:
    """Form 1 block 10 says N/A for an item without a serial number (Appendix II to Part-M)."""

    @pytest.mark.parametrize("paper", ["N/A", "n/a", "NA", "Not applicable"])
    def test_not_applicable_agrees_with_an_own_tracking_number(self, paper: str) -> None:
        assert compare_numbers(paper, "OWN:0031", kind="serial").verdict == "exact"

    def test_an_empty_block_does_not_agree(self) -> None:
        agreement = compare_numbers("", "OWN:0031", kind="serial")
        assert agreement.verdict == "different"
        assert "N/A" in agreement.detail

    def test_the_tracking_number_itself_agrees(self) -> None:
        assert compare_numbers("OWN:0031", "OWN:0031", kind="serial").verdict == "exact"
        assert compare_numbers("0031", "OWN:0031", kind="serial").verdict == "formatting"

    def test_a_serial_on_the_paper_is_another_item(self) -> None:
        assert compare_numbers("A1047", "OWN:0031", kind="serial").verdict == "different"

    def test_not_applicable_does_not_agree_with_a_serial(self) -> None:
        assert compare_numbers("N/A", "A1047", kind="serial").verdict == "different"


class TestWords:
    @pytest.mark.parametrize(
        ("paper", "record", "words"),
        [
            ("A1O47", "A1047", "the letter O where the record has the digit 0 (character 3)"),
            ("A1074", "A1047", "two neighbours are exchanged, 74 for 47"),
            ("A1048", "A1047", "one character differs, 8 for 7"),
            ("A147", "A1047", "one character less, 0"),
            ("A10947", "A1047", "one character more, 9"),
            ("А1047", "A1047", "cyrillic capital letter a"),
        ],
    )
    def test_the_sentence_says_where_and_what(self, paper: str, record: str, words: str) -> None:
        detail = compare_numbers(paper, record, kind="serial").detail
        assert words in detail
        assert detail.endswith(".")
        assert paper in detail
        assert record in detail

    def test_the_marks_show_the_differing_character(self) -> None:
        assert compare_numbers("A1O47", "A1047", kind="serial").marks == (
            Segment("A1", "A1", True),
            Segment("O", "0", False),
            Segment("47", "47", True),
        )

    @given(st.text("A0O1-", max_size=6), st.text("A0O1-", max_size=6))
    def test_the_marks_cover_both_numbers(self, paper: str, record: str) -> None:
        marks = compare_numbers(paper, record, kind="serial").marks
        assert "".join(mark.paper for mark in marks) == paper.strip()
        assert "".join(mark.record for mark in marks) == record.strip()
        assert all((mark.paper == mark.record) == mark.equal for mark in marks)


class TestOrder:
    def test_the_worse_of_two_verdicts_is_further_down_the_list(self) -> None:
        assert worse("exact", "look-alike") == "look-alike"
        assert worse("different", "transposed") == "different"
        assert worse("formatting", "formatting") == "formatting"

    def test_an_unknown_verdict_is_no_agreement(self) -> None:
        with pytest.raises(KeyError):
            worse("fine", "exact")

    @given(
        st.text("AB80OSG56-12", min_size=1, max_size=8),
        st.text("AB80OSG56-12", min_size=1, max_size=8),
        st.sampled_from(["part", "serial"]),
    )
    def test_either_number_may_be_the_paper(self, one: str, other: str, kind: str) -> None:
        there = compare_numbers(one, other, kind=kind).verdict  # type: ignore[arg-type]
        assert there in VERDICTS
        if "-" in one and "-" in other:  # without separators only the recorded number says where its dash number begins
            assert there == compare_numbers(other, one, kind=kind).verdict  # type: ignore[arg-type]

    @given(st.text(max_size=12), st.text(max_size=12))
    def test_any_two_texts_get_a_verdict(self, one: str, other: str) -> None:
        for kind in ("part", "serial"):
            assert compare_numbers(one, other, kind=kind).verdict in VERDICTS


class TestLookAlikeKey:
    @pytest.mark.parametrize(("one", "other"), [("AB0-12", "a8O12"), ("S5I", "551"), ("2G6", "Z66"), ("Q1", "0l")])
    def test_look_alikes_share_a_key(self, one: str, other: str) -> None:
        assert look_alike_key(one) == look_alike_key(other)

    @pytest.mark.parametrize(("one", "other"), [("A1047", "A1048"), ("A1047", "A1074"), ("01047", "1047")])
    def test_other_differences_keep_their_keys_apart(self, one: str, other: str) -> None:
        assert look_alike_key(one) != look_alike_key(other)

    def test_an_absent_number_has_an_empty_key(self) -> None:
        assert look_alike_key(None) == ""

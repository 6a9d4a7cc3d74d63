"""What differs between paper and unit is marked at its place and named in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleetlife.reports.certificate import aligned, certificate_card, named, place_by_place, spelled

from . import invented as given
from .rendered import rendered


class TestCharacters:
    @pytest.mark.parametrize(
        ("character", "words"),
        [
            ("O", "letter O"),
            ("0", "digit zero"),
            ("l", "small letter l"),
            ("1", "digit one"),
            ("I", "letter I"),
            ("-", "hyphen"),
            ("/", "solidus"),
            (" ", "space"),
            ("О", "cyrillic capital letter o (U+041E)"),
            ("０", "fullwidth digit zero (U+FF10)"),
            ("\x07", "character without a name"),
        ],
    )
    def test_character_is_named_so_that_no_typeface_matters(self, character: str, words: str) -> None:
        assert named(character) == words


class TestMarks:
    def test_crossed_digits_stand_under_each_other(self) -> None:
        # What comparing by insertions and deletions says of 20316 and 20361.
        marks = (("203", "203", True), ("", "6", False), ("1", "1", True), ("6", "", False))
        assert spelled(place_by_place("20316", "20361", marks)) == [
            "character 4 is digit one on the paper, digit six on the unit",
            "character 5 is digit six on the paper, digit one on the unit",
        ]

    def test_shifted_number_keeps_its_marks(self) -> None:
        marks = (("", "A", False), ("12345", "12345", True), ("6", "", False))
        assert place_by_place("123456", "A12345", marks) == marks

    def test_lacking_characters_are_named_together(self) -> None:
        marks = place_by_place("815", "00815", (("", "00", False), ("815", "815", True)))
        assert spelled(marks) == [
            "before its first character the paper lacks digit zero, digit zero, which the unit has"
        ]
        assert ["".join(texts) for texts in zip(*aligned(marks), strict=True)] == ["__815", "00815", "^^   "]

    def test_character_too_many_on_the_paper_is_named(self) -> None:
        marks = place_by_place("KW-12", "KW12", (("KW", "KW", True), ("-", "", False), ("12", "12", True)))
        assert spelled(marks) == ["character 3 is hyphen on the paper, the unit has nothing there"]

    def test_wide_character_does_not_shift_the_marks(self) -> None:
        lines = ["".join(texts) for texts in zip(*aligned((("０", "0", False), ("1", "1", True))), strict=True)]
        assert lines == ["０1", "0 1", "^^ "]


class TestCard:
    @pytest.mark.parametrize("width", [80, 100])
    def test_marks_stand_under_the_characters_that_differ(self, width: int) -> None:
        lines = rendered(certificate_card(given.CERTIFICATE_LOOK_ALIKE), width).splitlines()
        unit = next(i for i, line in enumerate(lines) if line.endswith("unit   00815"))
        paper, marks = lines[unit - 1], lines[unit + 1]
        differing = [i for i, (one, other) in enumerate(zip(paper[10:], lines[unit][10:], strict=True)) if one != other]
        assert [i - 10 for i, mark in enumerate(marks) if mark == "^"] == differing == [0, 2]

    def test_numbers_that_agree_have_no_marks(self) -> None:
        text = rendered(certificate_card(replace(given.CERTIFICATE, lines=(given.PAPER,), findings=())), 80)
        assert "^" not in text
        assert "!! part" not in text
        assert "== part number  exact" in text

    def test_both_numbers_stand_unaltered_where_gaps_are_shown(self) -> None:
        text = rendered(certificate_card(replace(given.CERTIFICATE, lines=(given.SHORTER,), findings=())), 80)
        assert "paper says  815" in text
        assert "unit bears  00815" in text

"""What is said of a certificate's blocks where its form is known, known without its edition, or not known."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fleetlife.answers.paper_blocks import editions_of, paper_blocks
from fleetlife.ledger.facts import Certificate
from fleetlife.paper.forms import blocks_of, correction_rule, named_block, side_of, term_fault
from fleetlife.terms.forms import forms_named

LINE = Certificate(
    tracking_number="T-1",
    organisation="Fulmar Repair",
    part_number="SL-100-1",
    serial_number="0101",
    status="Overhauled",
    dated_on="2024-03-10",
    form="FAA Form 8130-3 (02-14)",
    side="maintenance",
    item="1",
    authority="Skarholm",
    approval="Q.145.1",
    quantity=2,
    signatory="FR 4",
    remarks="Overhauled to the manual.",
    minutes_since_new=540_030,
    second_authority="Eyland",
)


def told(*facts: Certificate) -> list[tuple[int | None, str | None, str, str]]:
    return [(block.line, block.block, block.holds, block.says) for block in paper_blocks(facts)]


class TestBlocks:
    def test_what_all_lines_say_alike_is_told_once_and_first(self) -> None:
        second = replace(LINE, item="2", serial_number="0102")
        lines = [(line, number) for line, number, _, _ in told(LINE, second)]
        assert lines[: lines.index((1, "6"))] == [
            (None, "1"),
            (None, "2"),
            (None, "3"),
            (None, "4"),
            (None, "14c"),
            (None, None),
            (None, "14d"),
            (None, "14e"),
        ]
        assert ("10", "0101") in [(n, says) for line, n, _, says in told(LINE, second) if line == 1]
        assert ("10", "0102") in [(n, says) for line, n, _, says in told(LINE, second) if line == 2]

    def test_lines_of_different_days_each_tell_their_own(self) -> None:
        second = replace(LINE, dated_on="2024-03-11", serial_number="0102")
        dates = [(line, says) for line, number, _, says in told(LINE, second) if number == "14e"]
        assert dates == [(1, "2024-03-10"), (2, "2024-03-11")]

    @pytest.mark.parametrize(
        ("form", "numbers"),
        [
            ("FAA Form 8130-3 (02-14)", ("10", "11", "12", "14c", "14e")),
            ("FAA Form 8130-3 (06-01)", ("11", "12", "13", "21", "23")),
            ("EASA Form 1", ("10", "11", "12", None, None)),
            ("FAA Form 8130-3", (None, None, None, None, None)),
            ("Form One", (None, None, None, None, None)),
        ],
    )
    def test_the_numbers_are_those_of_the_form_it_is_on(self, form: str, numbers: tuple[str | None, ...]) -> None:
        found = {says: number for _, number, _, says in told(replace(LINE, form=form))}
        said = ("0101", "Overhauled", "Overhauled to the manual.", "Q.145.1", "2024-03-10")
        assert tuple(found[each] for each in said) == numbers

    def test_a_line_for_production_is_signed_on_the_other_side(self) -> None:
        new = replace(LINE, side=None, status="New")
        assert [number for _, number, _, says in told(new) if says == "Q.145.1"] == ["13c"]

    def test_what_has_no_block_of_its_own_is_told_without_a_number(self) -> None:
        assert (1, None, "hours since new", "9000:30") in told(LINE)
        assert (None, None, "second authority", "Eyland") in told(LINE)

    def test_what_was_not_read_in_the_form_is_marked(self) -> None:
        marked = {block.block: block.from_memory for block in paper_blocks([LINE])}
        assert (marked["11"], marked["14e"], marked["3"]) == (False, True, False)

    def test_the_form_is_that_of_the_first_line_that_names_one(self) -> None:
        assert editions_of([replace(LINE, form=None), LINE]) == forms_named(LINE.form)
        assert editions_of([replace(LINE, form=None)]) == ()


class TestInQuestion:
    def test_a_fault_is_none_where_one_of_the_editions_knows_the_term(self) -> None:
        assert term_fault(forms_named("EASA Form 1"), None, "New") is None
        assert term_fault(forms_named("EASA Form 1"), None, "Overhauled") is None
        assert term_fault(forms_named("EASA Form 1"), None, "Rebuilt") is not None

    def test_the_same_correction_rule_holds_for_all_of_a_family(self) -> None:
        rule = correction_rule(forms_named("FAA Form 8130-3"))
        assert rule is not None
        assert rule.correction == "the same tracking number"
        assert correction_rule(()) is None

    def test_a_block_without_a_number_is_named_by_what_it_holds(self) -> None:
        assert named_block(forms_named("CAA Form 1"), "status", "status") == "block 11 (status)"
        assert named_block((), "status", "status") == "the status block"

    def test_the_stated_side_wins_over_that_of_the_term(self) -> None:
        assert side_of("production", "Overhauled") == "production"
        assert side_of(None, "Overhauled") == "maintenance"
        assert side_of(None, "Serviceable") is None
        assert blocks_of((), "maintenance") == ()

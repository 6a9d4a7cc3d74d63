"""The outcome is said in words and first; a preview never passes for a record."""

from __future__ import annotations

import pytest

from fleetlife.reports.swap import swap_answer, swap_recorded
from fleetlife.terms.views import SwapAnswer

from . import invented as given
from .rendered import WIDTHS, rendered


class TestAnswer:
    @pytest.mark.parametrize("width", WIDTHS)
    @pytest.mark.parametrize("answer", [given.CLEAR_ANSWER, given.CONDITIONS_ANSWER, given.STOP_ANSWER])
    def test_outcome_stands_on_the_first_lines_in_words(self, answer: SwapAnswer, width: int) -> None:
        lines = rendered(swap_answer(answer), width).splitlines()
        assert answer.outcome.upper() in lines[1]

    def test_every_reason_is_said_with_its_code(self) -> None:
        text = " ".join(rendered(swap_answer(given.STOP_ANSWER), 100).split())
        for reason in given.STOP_ANSWER.reasons:
            assert f"{reason.topic} {reason.code + ' ' if reason.code else ''}{reason.text}" in text

    def test_stops_come_before_conditions_before_notes_before_clear(self) -> None:
        text = rendered(swap_answer(given.STOP_ANSWER), 100)
        places = [text.index(f"\n{words} (") for words in ("STOP", "TO MEET FIRST", "NOTE", "CLEAR")]
        assert places == sorted(places)

    @pytest.mark.parametrize("answer", [given.CLEAR_ANSWER, given.STOP_ANSWER])
    def test_what_was_not_checked_and_that_it_is_no_release_is_said_always(self, answer: SwapAnswer) -> None:
        text = " ".join(rendered(swap_answer(answer), 80).split())
        for words in (*answer.not_checked, *answer.cautions):
            assert words in text


class TestRecorded:
    @pytest.mark.parametrize("width", WIDTHS)
    def test_preview_shows_no_ledger_head_and_no_entry(self, width: int) -> None:
        text = rendered(swap_recorded(given.RECORDED, preview=True), width)
        assert "NOTHING IS RECORDED" in text
        assert given.HEAD[:8] not in text
        assert "12046" not in text

    def test_record_shows_its_entry_and_head(self) -> None:
        text = rendered(swap_recorded(given.RECORDED), 100)
        assert "SWAP RECORDED, ENTRY 12,046" not in text
        assert "SWAP RECORDED, ENTRY 12046" in text
        assert f"ledger head {given.HEAD[:16]}" in text

    def test_stop_left_open_is_shown_with_who_accepted_it(self) -> None:
        text = " ".join(rendered(swap_recorded(given.RECORDED), 100).split())
        assert "FINDINGS LEFT OPEN (1)" in text
        assert "acknowledged by C117" in text

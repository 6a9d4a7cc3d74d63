"""Histories recorded late, out of order and wrong, and put right. `run.py` in this folder lives through hundreds."""

from __future__ import annotations

import pytest

from fleetlife.clocks import world
from fleetlife.store.heads import FirstRead
from tests.actions.fleet import Intake

from . import histories
from .histories import History


class TestHistories:
    @pytest.mark.parametrize("seed", range(1, 6))
    def test_end_as_if_recorded_in_order_and_right_and_the_past_answers_as_it_did(
        self, fleet: Intake, truth: Intake, seed: int
    ) -> None:
        outcome = History(fleet, truth, seed).told()
        assert outcome.differences == []
        assert outcome.histories == 1
        assert outcome.late
        assert outcome.wrong
        assert outcome.undone


class TestTheComparisonCanFail:
    """Each time one thing is taken away from the program, or from the mending, and the comparison must see it."""

    def lived(self, fleet: Intake, truth: Intake) -> list[str]:
        return History(fleet, truth, 3).told().differences

    def test_what_came_later_shining_through(
        self, fleet: Intake, truth: Intake, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Both together: on so small a fleet nearly every unit is named by a later entry and rests on later readings.
        Each alone is tried in tests/actions/test_two_clocks.py and tests/store."""
        monkeypatch.setattr(world, "first_read_since", lambda connection, number: FirstRead({}, {}))
        monkeypatch.setattr(world, "units_touched_after", lambda connection, number: {})
        assert any("known at" in difference for difference in self.lived(fleet, truth))

    def test_what_was_wrong_left_wrong(self, fleet: Intake, truth: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(histories, "mend", lambda store, wrong, **by: None)
        monkeypatch.setattr(History, "_undone", lambda self: None)
        assert any("ends otherwise" in difference for difference in self.lived(fleet, truth))

"""A unit that was looked at and found without a modification: what a fitting and an audit make of that."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from fleetlife.answers.audit import audit
from fleetlife.answers.swap_check import swap_check
from fleetlife.store.engine import Store
from fleetlife.terms.views import SwapAnswer
from tests.checks.fleet import AS_OF, Fleet, fleet, later

SPARE = {"part_number": "SL-100-1", "serial_number": "9001", "manufacturer": "Kittiwake"}
HANGING = {**SPARE, "serial_number": "0001"}
LOOKED = datetime(2026, 1, 20, 8, tzinfo=UTC)


def needing(column: str = "requires_unit_modification") -> Fleet:
    made = fleet()
    made.row("eligibility", position="L1")[column] = "U-9"
    return made


def spare(store: Store, **more: object) -> SwapAnswer:
    return swap_check(store, registration="Q-AAA", position="L1", **SPARE, as_of=AS_OF, **more)  # type: ignore[arg-type]


def eligibility(answer: SwapAnswer) -> list[tuple[str, bool]]:
    """Verdict, and whether it says that somebody looked."""
    return [(r.verdict, "was found without it" in r.text) for r in answer.reasons if r.topic == "eligibility"]


class TestFoundWithout:
    def test_a_fitting_is_refused_once_it_is_known_and_was_a_condition_before(
        self, store: Store, tmp_path: Path
    ) -> None:
        needing().take(store, tmp_path / "files")
        assert eligibility(spare(store)) == [("condition", False)]
        looked = {**SPARE, "modification": "U-9", "date": "2026-01-15", "reference": "SHEET 4"}
        later(store, tmp_path / "later", at=LOOKED, not_embodied=[looked])
        assert eligibility(spare(store)) == [("stop", True)]
        assert spare(store).outcome == "do not fit"
        assert eligibility(spare(store, known_at="2026-01-19T00:00:00Z")) == [("condition", False)]

    def test_a_look_on_a_later_day_says_nothing_yet(self, store: Store, tmp_path: Path) -> None:
        made = needing()
        made.add("not_embodied", {**SPARE, "modification": "U-9", "date": "2026-02-02"})
        made.take(store, tmp_path / "files")
        assert eligibility(spare(store)) == [("condition", False)]

    def test_where_the_row_excludes_it_the_look_opens_the_way(self, store: Store, tmp_path: Path) -> None:
        made = needing("excludes_unit_modification")
        made.add("not_embodied", {**SPARE, "modification": "u-9", "date": "2026-01-15"})
        made.take(store, tmp_path / "files")
        assert eligibility(spare(store)) == [("clear", False)]

    @pytest.mark.parametrize(("looked", "severity"), [(True, "stop"), (False, "rectify")])
    def test_an_audit_stops_on_the_one_that_hangs(
        self, store: Store, tmp_path: Path, looked: bool, severity: str
    ) -> None:
        made = needing()
        if looked:
            made.add("not_embodied", {**HANGING, "modification": "U-9", "date": "2026-01-15"})
        made.take(store, tmp_path / "files")
        found = [each for each in audit(store, as_of=AS_OF).findings if each.code == "FIT101"]
        (told,) = [each for each in found if (each.registration, each.position) == ("Q-AAA", "L1")]
        assert told.severity == severity

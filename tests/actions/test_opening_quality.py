"""What was known before these records: a repeat without a total, a life not shown, a life that was rebuilt."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.answers.airframe import airframe_card
from fleetlife.answers.audit import audit
from fleetlife.answers.due import due
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store

from .fleet import SLIDE, Files, Intake, rebuilt_differs, small_fleet

DAY = date(2024, 1, 31)
LIMIT = {
    "requirement": "LIM", "part_number": SLIDE, "kind": "life_limit", "source": "airworthiness_limitation",
    "programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "start": "manufacture",
    "first_months": 240, "first_hours": "30000:00", "reference": "ALS 5",
}  # fmt: skip


def known(serial: str, **fields: Any) -> Files:
    """The small fleet with a life limit, and other totals of one slide."""
    files = small_fleet()
    files["requirements"].append(LIMIT)
    for row in files["units"]:
        if row["part_number"] == SLIDE and row["serial_number"] == serial:
            row.update(fields)
    return files


def without_totals(serial: str) -> Files:
    """Nobody knows its hours since new; since its overhaul it had run 120 hours at the opening."""
    files = known(serial, hours_since_new=None)
    for row in files["accomplishments"]:
        if row["serial_number"] == serial:
            row.update(hours_since_new=None, hours_since="120:00")
    return files


def rows_of(store: Store, serial: str) -> dict[str | None, Any]:
    return {row.requirement: row for row in due(store, as_of=DAY, everything=True).rows if row.serial_number == serial}


def checked(store: Store, serial: str) -> Any:
    return swap_check(
        store, registration="Q-BBB", position="L1", part_number=SLIDE, serial_number=serial, as_of=DAY
    )  # fmt: skip


class TestWithoutTotals:
    @pytest.fixture
    def store(self, intake: Intake) -> Store:
        for serial in ("0101",):
            intake.take(without_totals(serial))
        return intake.store

    def test_the_repeat_is_known_by_what_was_run_since(self, store: Store) -> None:
        """120:00 at the opening, and Q-AAA flew 8 a day: 10 056:00 on 2024-01-01, so due at 10 056 + 10 000 - 120."""
        row = rows_of(store, "0101")["OVH"]
        assert not row.unknown_measures
        assert row.airframe_hours_due == (10_056 + 10_000 - 120) * 60
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_the_life_is_not(self, store: Store) -> None:
        assert rows_of(store, "0101")["LIM"].unknown_measures == "hours: no-count-since-new"
        found = audit(store, as_of=DAY, codes=["LIF110", "LIF102"]).findings
        assert [(each.code, each.severity, each.serial_number) for each in found] == [("LIF110", "stop", "0101")]
        assert "treat as unsalvageable until decided by authorised staff" in found[0].message
        assert found[0].published_rule is not None
        assert found[0].published_rule.startswith("AMC1 145.A.42(a)(iii)")


class TestLifeNotShown:
    def test_it_may_not_be_fitted(self, intake: Intake) -> None:
        intake.take(without_totals("0103"))
        answer = checked(intake.store, "0103")
        assert answer.outcome == "do not fit"
        (stop,) = [reason for reason in answer.reasons if reason.code == "LIF110"]
        assert stop.verdict == "stop"
        for words in ("treat as unsalvageable until decided by authorised staff", "AMC1 145.A.42(a)(iii)"):
            assert words in stop.text

    def test_one_whose_life_is_known_is_not_stopped_by_it(self, intake: Intake) -> None:
        intake.take(known("0103"))
        assert [reason for reason in checked(intake.store, "0103").reasons if reason.code == "LIF110"] == []
        assert audit(intake.store, as_of=DAY, codes=["LIF110"]).findings == ()


class TestRebuilt:
    """Every place that shows a count leaning on a rebuilt opening says so."""

    @pytest.mark.parametrize("quality", ["rebuilt", "estimated"])
    def test_the_mark_is_wherever_it_is_leaned_on(self, intake: Intake, quality: str) -> None:
        files = known("0101", life_quality=quality)
        next(row for row in files["units"] if row["serial_number"] == "0103")["life_quality"] = quality
        intake.take(files)
        store = intake.store
        assert {row.life_quality for row in rows_of(store, "0101").values()} == {quality}
        card = unit_card(store, part_number=SLIDE, serial_number="0101", as_of=DAY)
        assert card.hours_since_new is not None
        assert card.hours_since_new.startswith("~")
        assert card.hours_since_new.endswith(f"the life before these records {quality}")
        door = airframe_card(store, registration="Q-AAA", as_of=DAY).doors[0]
        assert door.signs == (f"life of {SLIDE} 0101 {quality}",)
        notes = [reason.text for reason in checked(store, "0103").reasons if reason.verdict == "note"]
        assert f"{SLIDE} 0103: its life before these records is {quality}, and every count leans on that." in notes
        late = audit(store, as_of=date(2026, 1, 31), codes=["LIF101"]).findings
        told = [each.evidence for each in late if each.serial_number == "0101"]
        assert told
        assert all((quality in [line.says for line in lines]) for lines in told)

    def test_a_documented_one_carries_no_mark(self, intake: Intake) -> None:
        intake.take(known("0101", life_quality="documented"))
        card = unit_card(intake.store, part_number=SLIDE, serial_number="0101", as_of=DAY)
        assert card.hours_since_new is not None
        assert "before these records" not in card.hours_since_new
        assert airframe_card(intake.store, registration="Q-AAA", as_of=DAY).doors[0].signs == ()

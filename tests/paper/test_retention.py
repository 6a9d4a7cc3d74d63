"""How long a record is kept, by rule: hand-computed days."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.paper.retention import RECORDS, REGIMES, Held, kept_by, latest
from fleetlife.terms.published import RULES

DAY = date(2023, 1, 15)


def until(record: str, regime: str, **given: Any) -> dict[str, str]:
    held = Held(record=record, dated_on=DAY, **given)
    return {each.rule: each.until.isoformat() if each.until else "no end" for each in kept_by(held, [regime])}


class TestWork:
    def test_work_that_nothing_superseded_has_no_end_in_the_eu_and_a_year_in_the_us(self) -> None:
        assert until("work", "eu") == {"M.A.305(e) detailed records": "no end"}
        assert until("work", "us") == {"14 CFR 91.417(b)(1)": "2024-01-15"}

    @pytest.mark.parametrize(("again", "expected"), [("2024-06-01", "2026-01-15"), ("2027-02-01", "2027-02-01")])
    def test_superseded_work_is_kept_until_then_and_at_least_36_months(self, again: str, expected: str) -> None:
        found = until("work", "eu", superseded_on=date.fromisoformat(again))
        assert found == {"M.A.305(e) detailed records": expected}

    def test_the_last_overhaul_is_kept_until_another_one(self) -> None:
        assert until("work", "us", overhaul=True)["14 CFR 135.439(b)"] == "no end"
        again = until("work", "us", overhaul=True, superseded_on=date(2025, 3, 1))
        assert again == {
            "14 CFR 91.417(b)(1)": "2024-01-15",
            "14 CFR 135.439(b)": "2025-03-01",
            "14 CFR 121.380": "2025-03-01",
        }


class TestOthers:
    def test_a_technical_log_page_is_kept_36_months(self) -> None:
        assert until("technical log", "eu") == {"AMC M.A.305(e)(1)": "2026-01-15"}

    def test_the_history_of_a_life_limited_part_ends_a_year_after_it_is_withdrawn(self) -> None:
        assert until("life-limited history", "eu") == {"M.A.305(e) life-limited": "no end"}
        withdrawn = until("life-limited history", "eu", withdrawn_on=date(2024, 2, 29))
        assert withdrawn == {"M.A.305(e) life-limited": "2025-02-28"}
        assert until("life-limited history", "us", withdrawn_on=date(2024, 2, 29)) == {"14 CFR 91.417(b)(2)": "no end"}

    def test_a_modification_stays_with_the_unit(self) -> None:
        assert set(until("modification", "eu").values()) == {"no end"}
        assert set(until("modification", "us").values()) == {"no end"}

    def test_the_paper_of_work_in_force_is_kept_longer_than_the_shop_keeps_its_own(self) -> None:
        assert until("certificate", "eu") == {"145.A.55": "2026-01-15", "M.A.305(e) detailed records": "no end"}


class TestAllOfThem:
    def test_without_a_choice_every_rule_answers_and_the_latest_counts(self) -> None:
        kept = kept_by(Held(record="technical log", dated_on=DAY))
        assert [each.regime for each in kept] == ["eu", "us"]
        assert latest(kept) == date(2026, 1, 15)

    def test_one_rule_without_an_end_leaves_the_whole_without_one(self) -> None:
        assert latest(kept_by(Held(record="work", dated_on=DAY))) is None
        assert latest([]) is None

    def test_a_month_end_is_taken_from_the_last_day_of_a_shorter_month(self) -> None:
        kept = kept_by(Held(record="technical log", dated_on=date(2024, 2, 29)), ["us"])
        assert latest(kept) == date(2025, 2, 28)

    @pytest.mark.parametrize("record", RECORDS)
    def test_every_rule_stands_in_the_register_with_its_edition(self, record: str) -> None:
        for each in kept_by(Held(record=record, dated_on=DAY)):
            assert each.regime in REGIMES
            assert RULES[each.rule].applied == "retention"
            assert RULES[each.rule].edition

    def test_a_record_of_no_kind_is_a_slip(self) -> None:
        with pytest.raises(KeyError):
            kept_by(Held(record="napkin", dated_on=DAY))

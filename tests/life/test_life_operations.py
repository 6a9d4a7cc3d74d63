"""Limits in operations, and cylinders that may stay until emptied."""

from __future__ import annotations

from dataclasses import replace

import pytest
from life_history import d, done, fitted, iso, needs, operated, row, unit

from fleetlife.life.points import due_point
from fleetlife.life.state import left_if_fitted


class TestOperations:
    life = needs(kind="life_limit", start="manufacture", first={"months": 288, "operations": 4380}, operation="filling")

    def left(self, *records, opening=4000, rule=None, work=(), **fields):
        history = unit(manufactured="2010-03-01", operations_opening=opening, operated=records, done=work, **fields)
        return due_point(rule or self.life, history)

    def cause(self, point):
        return {u.measure: u.cause for u in point.unknown}.get("operations")

    def test_what_was_recorded_since_the_opening_is_taken_off(self):
        assert self.left(operated("2021-01-01", count=300)).operations_left == 80

    def test_with_no_record_since_the_opening_it_is_unknown(self):
        point = self.left()
        assert (point.operations_left, self.cause(point)) == (None, "no-operation-record")
        before = self.left(operated("2019-06-01", count=5))
        assert self.cause(before) == "no-operation-record"

    def test_a_record_of_none_is_a_record(self):
        assert self.left(operated("2021-01-01", count=0)).operations_left == 380

    def test_another_kind_of_operation_is_no_record(self):
        assert self.cause(self.left(operated("2021-01-01", "activation"))) == "no-operation-record"

    def test_without_the_count_at_the_opening_it_is_unknown(self):
        point = self.left(operated("2021-01-01"), opening=None)
        assert self.cause(point) == "no-operations-since-new"
        assert point.standing == "known"

    def test_a_repeat_counts_what_came_after_the_work(self):
        rule = replace(self.life, kind="inspection", repeat=needs(repeat={"operations": 10}).repeat)
        records = (operated("2021-01-01", count=3), operated("2022-02-01", count=4))
        point = self.left(*records, rule=rule, work=(done("2022-01-01"),), opening=None)
        assert point.operations_left == 6

    def test_an_operation_at_the_moment_of_the_work_counts_as_after_it(self):
        rule = replace(self.life, kind="inspection", repeat=needs(repeat={"operations": 10}).repeat)
        record = operated("2022-01-01", count=3, sequence=5000)
        assert self.left(record, rule=rule, work=(done("2022-01-01", sequence=5000),)).operations_left == 7
        assert self.left(record, rule=rule, work=(done("2022-01-01", sequence=5001),)).operations_left == 10

    def test_a_repeat_needs_only_the_difference_for_work_before_the_opening(self):
        rule = replace(self.life, kind="inspection", repeat=needs(repeat={"operations": 10}).repeat)
        records = (operated("2021-01-01", count=3),)
        known = self.left(*records, rule=rule, work=(done("2019-01-01", operations=-2),), opening=None)
        assert known.operations_left == 5
        unknown = self.left(*records, rule=rule, work=(done("2019-01-01"),))
        assert self.cause(unknown) == "no-count-at-accomplishment"

    @pytest.mark.parametrize(("fillings", "state"), [(379, "in date"), (380, "due"), (381, "overdue")])
    def test_it_is_due_at_none_left_and_overdue_below(self, fillings, state):
        judged = row(self.life, self.left(operated("2021-01-01", count=fillings)), as_of="2022-01-01")
        assert (judged.state, judged.operations_left) == (state, 380 - fillings)


class TestServiceLife:
    """Retire at 24 years or 4,380 fillings, whichever comes first (AC 43.13-1B, page 9-42)."""

    rule = TestOperations.life

    def test_the_life_made_03_2001_ends_in_03_2025(self):
        history = unit(manufactured="2001-03", operations_opening=0, operated=(operated("2021-01-01"),))
        assert iso(due_point(self.rule, history).calendar_due) == "2025-03-01"

    def test_the_fillings_end_it_first(self):
        history = unit(manufactured="2015-03", operations_opening=4380, operated=(operated("2021-01-01"),))
        judged = row(self.rule, due_point(self.rule, history), as_of="2025-03-01")
        assert (judged.state, judged.driver) == ("overdue", "operations")


class TestMayStayUntilEmptied:
    """Filled before the due date a cylinder may stay until emptied and may not be refilled (PHMSA 11-0131)."""

    rule = needs(
        kind="requalification",
        source="dangerous_goods",
        reference="49 CFR 180.205",
        repeat={"months": 36},
        month_rule="last",
        at_due="no-refill",
    )

    def history(self, *records):
        return unit(
            done=(done("2022-03", date_basis="mark"),),
            operated=records,
            installations=(fitted("2022-05-01"),),
            installed_now=True,
        )

    def state(self, *records, rule=None, as_of="2025-04-01"):
        rule = rule or self.rule
        return row(rule, due_point(rule, self.history(*records)), as_of=as_of).state

    def test_filled_before_and_not_since_it_is_its_own_state(self):
        assert self.state(operated("2022-03-20")) == "no refill"
        assert self.state(operated("2022-03-20"), as_of="2025-03-31") == "in date"

    def test_with_no_filling_recorded_it_is_overdue(self):
        assert self.state() == "overdue"
        assert self.state(operated("2022-03-20", count=0)) == "overdue"

    def test_a_filling_before_the_test_says_nothing(self):
        assert self.state(operated("2022-02-20")) == "overdue"

    def test_filled_after_the_date_it_is_overdue(self):
        assert self.state(operated("2022-03-20"), operated("2025-04-02"), as_of="2025-05-01") == "overdue"

    def test_what_may_have_emptied_it_ends_the_proof(self):
        assert self.state(operated("2022-03-20"), operated("2024-01-01", "activation")) == "overdue"
        again = (operated("2022-03-20"), operated("2024-01-01", "activation"), operated("2024-01-02"))
        assert self.state(*again) == "no refill"

    @pytest.mark.parametrize(
        "change", [{"at_due": "remove"}, {"source": "programme"}, {"reference": None}, {"kind": "life_limit"}]
    )
    def test_only_under_the_rule_that_allows_it(self, change):
        rule = replace(self.rule, **change)
        if change.get("kind") == "life_limit":
            rule = replace(rule, start="manufacture", first=rule.repeat)
            history = replace(self.history(operated("2022-03-20")), manufactured=done("2022-03").date)
            assert row(rule, due_point(rule, history), as_of="2025-04-01").state == "overdue"
        else:
            assert self.state(operated("2022-03-20"), rule=rule) == "overdue"

    def test_it_never_covers_a_new_fitting(self):
        history = replace(self.history(operated("2022-03-20")), installed_now=False, stored=True)
        point = due_point(self.rule, history)
        assert point.charged
        fitting = left_if_fitted(self.rule, history, point, on=d("2025-04-01"))
        assert (fitting.state, fitting.days_left) == ("overdue", -1)
        assert "never covers a new fitting" in fitting.reason


class TestChargedBesideAnExpiry:
    def test_staying_until_emptied_does_not_outlast_a_stated_expiry(self):
        """Due by the test on 2024-01-31, filled before, expiry 2024-06-30: past the expiry nothing may stay."""
        rule = needs(
            kind="requalification",
            source="dangerous_goods",
            reference="49 CFR 180.205(c)",
            repeat={"months": 36},
            operation="filling",
            at_due="no-refill",
            month_rule="last",
        )
        history = unit(
            opened="2022-01-01",
            expires="2024-06-30",
            done=(done("2021-01", date_basis="mark"),),
            operated=(operated("2023-01-10"),),
        )
        assert row(rule, due_point(rule, history), as_of="2024-07-01").state == "overdue"
        without = replace(history, expires=None)
        assert row(rule, due_point(rule, without), as_of="2024-07-01").state == "no refill"

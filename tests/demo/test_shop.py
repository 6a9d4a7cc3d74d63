"""Visits to shops that are to come, on the demo, against what the due list says and figures worked out by hand."""

from __future__ import annotations

from collections import Counter
from datetime import date

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.shop import shop_forecast
from fleetlife.answers.shop_order import shop_order
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.shop import BEFORE, DUE, NOT_TOLD, ShopOrder

TODAY = date(2026, 11, 25)
AT_SHOPS = ("overhaul", "requalification", "replacement", "life_limit", "storage")  # of the demo's programmes


def order(store: Store, part: str, serial: str, **more: object) -> ShopOrder:
    return shop_order(store, part_number=part, serial_number=serial, as_of=TODAY, **more)  # type: ignore[arg-type]


def told(answer: ShopOrder, group: str) -> list[tuple[str, str | None, str | None, str | None]]:
    return [
        (line.serial_number, line.requirement, line.due_on, line.next_due)
        for line in answer.lines
        if line.group == group
    ]


class TestForecast:
    def test_every_first_visit_is_a_row_of_the_due_list(self, demo: Store) -> None:
        answer = shop_forecast(demo, as_of=TODAY)
        listed = due(demo, as_of=TODAY, window_until=date(2028, 11, 30)).rows
        rows = [row for row in listed if row.kind in AT_SHOPS and row.state in ("overdue", "due", "in variation")]
        asked: Counter[tuple[str, str | None, str]] = Counter()
        for row in rows:
            day = row.due_earliest or row.due_date or ""
            asked[row.part_number, row.kind, max(day, TODAY.isoformat())[:7]] += 1
        found = {(each.part_number, each.kind, each.month): each.visits - each.again for each in answer.rows}
        assert found == dict(asked)
        assert sum(found.values()) > 100
        assert answer.months[0] == "2026-11"
        assert answer.months[-1] == "2028-11"
        assert sum(each.overdue for each in answer.rows) == sum(row.state == "overdue" for row in rows)

    def test_what_cannot_be_told_is_counted_apart(self, demo: Store) -> None:
        apart = {(each.part_number, each.why): each.units for each in shop_forecast(demo, as_of=TODAY).apart}
        assert apart == {
            ("KV-2100-3", "cannot be told when"): 1,
            ("KV-3350-1L", "cannot be told when"): 1,
            ("TH-410-1", "cannot be told when"): 1,
            ("KV-2100-9", "no programme"): 1,
            ("TH-410-2", "past its date, may stay until emptied"): 1,
        }

    def test_work_comes_again_after_its_interval_and_the_turnaround(self, demo: Store) -> None:
        answer = shop_forecast(demo, as_of=TODAY, months=60, turnaround=40, part_numbers=("KV-2100-3",))
        again = {each.month: each.again for each in answer.rows if each.again}
        first = {each.month: each.visits - each.again for each in answer.rows}
        # 20104 has passed: it goes today, is back on 2027-01-04, and 36 months end on 2030-01-04.
        assert again["2030-01"] >= 1
        assert min(again) == "2030-01", "nothing comes again sooner than 36 months after a visit"
        assert sum(again.values()) <= sum(first.values())
        assert {(each.turnaround, each.turnaround_from) for each in answer.parts} == {(40, "given")}

    def test_the_measured_turnaround_is_the_median_of_the_line(self, demo: Store) -> None:
        parts = {each.part_number: each for each in shop_forecast(demo, as_of=TODAY).parts}
        assert (parts["KV-2100-3"].turnaround, parts["KV-2100-3"].turnaround_from) == (60, "this line")
        assert parts["TH-880-1"].turnaround_from == "all lines"


class TestOrder:
    def test_work_that_is_due_and_children_that_would_not_last(self, demo: Store) -> None:
        answer = order(demo, "KV-2100-3", "20110", turnaround=60)
        # Back on 2027-01-24; 36 months from then. The bottle is stamped 11/2026 and good for 36 months.
        assert (answer.back_on, answer.next_on, answer.next_requirement) == ("2027-01-24", "2030-01-24", "OVH")
        assert told(answer, DUE) == [
            ("R42001", "HST", "2026-09-30", "2029-11-30"),
            ("20110", "OVH", "2027-01-16", "2030-01-24"),
        ]
        assert told(answer, BEFORE) == [
            ("B12014", "RPL", "2028-10-12", None),
            ("R42001", "HST", "2029-11-30", None),
        ]
        assert "before the unit itself falls due again on 2030-01-24 by OVH" in answer.lines[-1].reason
        assert not answer.assumed

    def test_back_sooner_less_is_due_in_it(self, demo: Store) -> None:
        answer = order(demo, "KV-2100-3", "20110", turnaround=30)
        assert [line.requirement for line in answer.lines if line.group == DUE] == ["HST", "OVH"]
        assert answer.assumed, "its own overhaul is not due before it is back"
        assert answer.next_on == "2029-12-25"

    def test_nothing_is_due_and_the_next_to_come_is_taken(self, demo: Store) -> None:
        answer = order(demo, "KV-2100-3", "20107")
        assert (answer.work, answer.assumed) == (("OVH",), True)
        assert told(answer, NOT_TOLD) == [("R41006", "HST", None, None)]

    def test_work_that_is_named_is_done(self, demo: Store) -> None:
        answer = order(demo, "KV-2100-3", "20107", work=("OVH",), sent_on=date(2027, 3, 1), turnaround=10)
        assert (answer.work, answer.assumed, answer.back_on) == (("OVH",), False, "2027-03-11")
        assert answer.next_on == "2030-03-11"

    @pytest.mark.parametrize(
        ("more", "code"),
        [
            ({"work": ("HST",)}, "requirement-not-of-the-unit"),
            ({"sent_on": date(2026, 11, 24)}, "sent-in-the-past"),
        ],
    )
    def test_a_slip_is_refused(self, demo: Store, more: dict[str, object], code: str) -> None:
        with pytest.raises(Refusal) as refused:
            order(demo, "KV-2100-3", "20107", **more)
        assert refused.value.code == code

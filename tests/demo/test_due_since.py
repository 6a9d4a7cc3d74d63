"""What came into a window of the due list, went out of it or moved in it, and why, on the demo fleet."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.due_since import Window, due_since
from fleetlife.store.engine import Store
from fleetlife.store.heads import head_of
from fleetlife.terms.due_since import CAME, MOVED, STOOD, WENT, DueSince, DueSinceRow
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow

TODAY = date(2026, 11, 25)
FIRST = "1282"  # the last entry of the first intake


def window(days: int, *, of: date = TODAY) -> Window:
    return Window(last=of + timedelta(days=days))


def since(store: Store, days: int = 60, *, moment: str = FIRST, then: date = TODAY, **more: object) -> DueSince:
    asked = {"window": window(days), "day_then": then, "window_then": window(days, of=then)}
    return due_since(store, **({"as_of": TODAY, "moment": moment} | asked | more))  # type: ignore[arg-type]


def last(store: Store) -> str:
    with store.reading() as connection:
        return str(head_of(connection)[0])


def row(answer: DueSince, serial: str, requirement: str | None) -> DueSinceRow:
    (found,) = [r for r in answer.rows if (r.row.serial_number, r.row.requirement) == (serial, requirement)]
    return found


def named(rows: list[DueRow]) -> list[tuple[str, str, str | None]]:
    return sorted((each.part_number, each.serial_number, each.requirement or "") for each in rows)


class TestSince:
    def test_what_stands_now_and_what_stood_then_are_each_told_once(self, demo: Store) -> None:
        answer = since(demo, then=date(2026, 10, 20))
        now = due(demo, as_of=TODAY, window_until=TODAY + timedelta(days=60))
        day = date(2026, 10, 20)
        then = due(demo, as_of=day, window_until=day + timedelta(days=60), known_at=FIRST)
        assert answer.now == now
        assert named([each.row for each in answer.rows if each.since != WENT]) == named(list(now.rows))
        assert named([each.row for each in answer.rows if each.since != CAME]) == named(list(then.rows))
        assert {each.since for each in answer.rows} == {CAME, WENT, MOVED, STOOD}
        assert all(each.why for each in answer.rows if each.since != STOOD)

    def test_the_same_question_gives_the_same_answer(self, demo: Store) -> None:
        assert since(demo) == since(demo)

    def test_since_now_nothing_has_changed(self, demo: Store) -> None:
        answer = since(demo, moment=last(demo))
        assert {each.since for each in answer.rows} == {STOOD}
        assert len(answer.rows) == len(answer.now.rows)

    def test_done_is_told_with_its_entry(self, demo: Store) -> None:
        told = row(since(demo), "33107", "FNT")
        assert (told.since, told.state_then, told.due_date_then) == (WENT, "overdue", "2026-11-22")
        assert told.why == "Done on 2026-11-13."
        assert len(told.entries) == 1

    def test_a_unit_that_is_new(self, demo: Store) -> None:
        told = row(since(demo), "29001", None)
        assert (told.since, told.state_then) == (CAME, None)
        assert "not in these records then" in (told.why or "")

    def test_flying_less_than_was_projected_is_told_with_both_days(self, demo: Store) -> None:
        told = row(since(demo), "L601", "INS")
        assert told.since == MOVED
        assert told.why is not None
        assert "flew less than was projected: at the earliest 2026-12-16, then 2026-12-12" in told.why
        assert "Read until 2026-11-24, then 2026-10-20" in told.why
        assert told.entries

    def test_a_variation_and_a_change_of_place(self, demo: Store) -> None:
        assert "Variation SKARHOLM variation 26-07" in (row(since(demo), "L511", "INS").why or "")
        moved = row(since(demo), "33210", "OVH")
        assert moved.place_then == "Skarholm main store"
        assert "is at shop Outer Reef Overhaul" in (moved.why or "")

    def test_time_alone(self, demo: Store) -> None:
        answer = since(demo, 30, moment=last(demo), then=date(2026, 11, 1))
        assert answer.window_until == "2026-12-01"
        came = row(answer, "R602", "VIS")
        assert (came.since, came.entries) == (CAME, ())
        assert came.why == "Time passed: the window reaches until 2026-12-25, then until 2026-12-01."
        past = row(answer, "20104", "OVH")
        assert (past.state_then, past.row.state) == ("due", "overdue")
        assert past.why == "Time passed: 2026-11-25 is past its due point."

    def test_done_in_time_it_is_not_said_to_be_past(self, demo: Store) -> None:
        """Due then, done since: only by what was known then would it be overdue by now."""
        told = row(since(demo, then=date(2026, 11, 18)), "33107", "FNT")
        assert (told.since, told.state_then, told.row.state) == (WENT, "due", "in date")
        assert told.why == "Done on 2026-11-13. By what was known then it would be past its due point on 2026-11-25."

    def test_narrowed_alike_on_both_sides(self, demo: Store) -> None:
        answer = since(demo, registrations=["Q-SKH"], requirements=["INS"])
        assert {(each.row.registration, each.row.requirement) for each in answer.rows} == {("Q-SKH", "INS")}

    @pytest.mark.parametrize(
        "asked", [{"known_at": "1000"}, {"then": TODAY + timedelta(days=1)}, {"moment": "2020-01-01"}]
    )
    def test_what_lies_after_or_before_everything_is_refused(self, demo: Store, asked: dict[str, object]) -> None:
        with pytest.raises(Refusal) as refused:
            since(demo, **asked)  # type: ignore[arg-type]
        assert refused.value.code in ("moments-reversed", "nothing-known-then")
        assert refused.value.remedy

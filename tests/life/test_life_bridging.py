"""Which programme a unit was kept under, and which of two due points comes first."""

from __future__ import annotations

import pytest

from fleetlife.dates.moment import moment_of
from fleetlife.life.bridging import Kept, Side, bridged_lines, due_words, kept_at, moved_from, programmes_before
from fleetlife.life.values import DuePoint, Limits, Requirement, Unknown

DAY = 739_000
NOTHING = Unknown(measure="hours", cause="no-count-since-new")


def stay(programme: str | None, start: int, until: int | None = None) -> Kept:
    return Kept(
        programme=programme,
        from_moment=moment_of(DAY + start),
        until_moment=None if until is None else moment_of(DAY + until),
    )


def side(
    months: int,
    *,
    name: str = "OVH",
    kind: str = "overhaul",
    state: str = "in date",
    due: int | None = None,
    minutes: int | None = None,
    done: int | None = None,
    standing: str = "known",
    unknown: tuple[Unknown, ...] = (),
) -> Side:
    rule = Requirement(key=months, requirement=name, part_number="X", kind=kind, repeat=Limits(months=months))
    point = DuePoint(
        standing=standing,
        calendar_due=None if due is None else DAY + due,
        due_minutes=minutes,
        last_done=None if done is None else DAY + done,
        unknown=unknown,
    )
    day = None if due is None else DAY + due
    return Side(rule=rule, point=point, state=state, due=day, minutes=minutes, unknown=unknown)


FROM_P_TO_Q = (stay("P", 0, 100), stay("Q", 120))


def earlier(old: Side | None, new: Side | None) -> str | None:
    [line] = bridged_lines(
        FROM_P_TO_Q,
        "Q",
        now={} if new is None else {new.rule.requirement: new},
        before={"P": {} if old is None else {old.rule.requirement: old}},
        part_number="X",
        serial_number="1",
    )
    return line.earlier


class TestKept:
    def test_in_stores_a_unit_stays_kept_under_the_last_programme(self) -> None:
        assert kept_at(FROM_P_TO_Q, moment_of(DAY + 110)) == FROM_P_TO_Q[0]
        assert kept_at(FROM_P_TO_Q, moment_of(DAY + 120)) == FROM_P_TO_Q[1]
        assert kept_at(FROM_P_TO_Q, moment_of(DAY - 1)) is None

    def test_the_present_run_begins_with_its_first_stay_without_another_between(self) -> None:
        kept = (stay("Q", 0, 10), stay("P", 20, 30), stay("Q", 40, 50), stay("Q", 60))
        assert moved_from(kept, "Q") == (kept[1], moment_of(DAY + 40))

    def test_asked_for_another_programme_it_is_not_under_it_yet(self) -> None:
        assert moved_from(FROM_P_TO_Q[:1], "Q") == (FROM_P_TO_Q[0], None)
        assert moved_from(FROM_P_TO_Q[:1], "P") is None
        assert moved_from((), "Q") is None

    def test_the_general_programme_is_one_too(self) -> None:
        assert moved_from((stay(None, 0, 10), stay("Q", 20)), "Q") == (stay(None, 0, 10), moment_of(DAY + 20))


class TestProgrammes:
    def test_work_done_under_a_third_programme_brings_that_one_too(self) -> None:
        kept = (stay("R", 0, 10), *(stay("P", 20, 100), stay("Q", 120)))
        now = {"OVH": side(36, due=900, done=5)}
        assert programmes_before(kept, "Q", now) == ("P", "R")
        assert programmes_before(kept, "Q", {"OVH": side(36, due=900, done=50)}) == ("P",)

    @pytest.mark.parametrize(("done", "left"), [(119, 1), (120, 1), (121, 0)])
    def test_only_work_after_the_day_of_the_fitting_settles_it(self, done: int, left: int) -> None:
        lines = bridged_lines(
            FROM_P_TO_Q,
            "Q",
            now={"OVH": side(36, due=900, done=done)},
            before={"P": {"OVH": side(24, due=600, done=done)}},
            part_number="X",
            serial_number="1",
        )
        assert len(lines) == left


class TestEarlier:
    @pytest.mark.parametrize(
        ("old", "new", "expected"),
        [
            (side(24, due=600), side(36, due=900), "P"),
            (side(36, due=900), side(24, due=600), "Q"),
            (side(24, due=600), side(36, due=600), "neither"),
            (side(24, due=600, unknown=(NOTHING,)), side(36, due=600), None),
            (side(24, state="overdue"), side(36, due=10), "P"),
            (side(24, due=600), side(36, state="unknown", unknown=(NOTHING,)), None),
            (side(24, due=600), side(36, minutes=500), "P"),
            (side(24, minutes=700), side(36, minutes=500), "Q"),
            (side(24, due=600), None, "P"),
            (None, side(36, state="unknown", standing="unknown", unknown=(NOTHING,)), "Q"),
        ],
    )
    def test_the_sooner_one_and_none_where_it_cannot_be_told(
        self, old: Side | None, new: Side | None, expected: str | None
    ) -> None:
        assert earlier(old, new) == expected

    def test_what_comes_earlier_under_the_former_programme_stands_first(self) -> None:
        lines = bridged_lines(
            FROM_P_TO_Q,
            "Q",
            now={"A": side(24, name="A", due=100), "B": side(36, name="B", due=900)},
            before={"P": {"A": side(36, name="A", due=300), "B": side(24, name="B", due=600)}},
            part_number="X",
            serial_number="1",
        )
        assert [(line.requirement, line.earlier) for line in lines] == [("B", "P"), ("A", "Q")]

    def test_storage_limits_and_what_asks_for_nothing_are_left_out(self) -> None:
        lines = bridged_lines(
            FROM_P_TO_Q,
            "Q",
            now={
                "STO": side(12, name="STO", kind="storage"),
                "OC": side(0, name="OC", kind="on_condition", standing="complete"),
            },
            before={
                "P": {"STO": side(24, name="STO", kind="storage"), "ONCE": side(1, name="ONCE", standing="complete")}
            },
            part_number="X",
            serial_number="1",
        )
        assert lines == ()

    def test_a_due_point_is_told_in_words(self) -> None:
        assert due_words(side(1, due=0)) == "due 2024-04-24"
        assert due_words(side(1, due=0, state="overdue")) == "overdue, it was due 2024-04-24"
        assert due_words(side(1, minutes=383_385)) == "due at 6389:45 hours of the airframe"
        assert due_words(side(1, state="unknown", unknown=(NOTHING,))) == "unknown (hours: no-count-since-new)"
        assert due_words(side(1, due=0, unknown=(NOTHING,))) == "due 2024-04-24, unknown (hours: no-count-since-new)"
        assert due_words(side(1, state="waiting")) == "waiting, with no date"

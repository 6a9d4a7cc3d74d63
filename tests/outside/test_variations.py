"""Permitted variations: where there are none, to whom one belongs, and where the interval goes on from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fleetlife.life.anchors import anchor_in_force
from fleetlife.life.extensions import largest
from fleetlife.life.points import check_requirement, due_point
from fleetlife.life.reach import reach
from fleetlife.life.values import Count, History, Requirement, Varied
from fleetlife.transfer.variation_limits import read_variation_limits

from .trade import calendar, d, iso, on_airframe, read_on, rule, state_on, unit, work

TABLE = Path(__file__).parents[2] / "docs" / "variation-limits.csv"
LEAFLET = (
    "Netherlands ILT leaflet Permitted Variations, READ: one aircraft, one occasion; never on ADs or on Airworthiness "
    "Limitation tasks (ALI, CMR, chapter 4); the programme states the maximum per task"
)
LIFE = 'ILT guidance to Maintenance Directive NL-2011-001, READ: "no extension may be applied to any life limit"'


def task(source: str = "programme", **fields: object) -> Requirement:
    fields = {"repeat": {"months": 24}, "variation_allowed": True, "done_at": "aircraft", **fields}
    return rule("inspection", source=source, **fields)


def until(day: str, *, approved: str = "2025-01-10", airframe: int = 1, **fields: object) -> Varied:
    return Varied(
        requirement="R",
        approved_on=d(approved),
        until_day=d(day),
        airframe_id=airframe,
        reference="PV 7",
        approved_by="S-114",
        **fields,
    )


def flown(*variations: Varied, **fields: object) -> History:
    """Done on 2023-02-01 on airframe 1, which still carries it."""
    fields = {"carried": on_airframe(), "done": (work("2023-02-01", basis="log"),), **fields}
    return unit(variations=variations, **fields)


class TestWhatIsNeverVaried:
    @pytest.mark.parametrize("source", ["directive", "airworthiness_limitation", "certification_maintenance"])
    def test_a_directive_or_limitation_does_not_move(self, source: str) -> None:
        """ILT leaflet (READ)."""
        varied = flown(until("2025-03-31"))
        forced = task(source)
        assert any("variation_allowed is refused" in problem for problem in check_requirement(forced)), LEAFLET
        assert due_point(forced, varied).varied_calendar is None
        assert state_on("2025-02-02", forced, varied).state == "overdue"

    def test_a_life_limit_does_not_move(self) -> None:
        """ILT guidance (READ): any life limit, whoever states it."""
        for source in ("manufacturer", "programme", "operator", "dangerous_goods"):
            limit = rule("life_limit", start="manufacture", first={"months": 24}, source=source, variation_allowed=True)
            worn = flown(until("2025-03-31"), manufactured="2023-02-01")
            assert any("variation_allowed is refused" in problem for problem in check_requirement(limit)), LIFE
            assert due_point(limit, worn).varied_calendar is None
            assert state_on("2025-02-02", limit, worn).state == "overdue"

    def test_a_task_for_which_the_programme_states_none_does_not_move(self) -> None:
        """ILT guidance (READ): if the programme states no limit for a task, no variation may be used."""
        silent = task(variation_allowed=False)
        assert state_on("2025-02-02", silent, flown(until("2025-03-31"))).state == "overdue"


class TestOneAircraftOnOneOccasion:
    """ILT leaflet (READ): a variation applies to one aircraft on one occasion."""

    def test_a_programme_task_may_run_to_the_day_approved(self) -> None:
        varied = flown(until("2025-03-31"))
        assert [
            state_on(day, task(), varied).state for day in ("2025-02-01", "2025-02-02", "2025-03-31", "2025-04-01")
        ] == [
            "in date",
            "in variation",
            "in variation",
            "overdue",
        ], LEAFLET

    def test_its_row_still_names_the_date_first_due_and_who_approved(self) -> None:
        judged = state_on("2025-02-10", task(), flown(until("2025-03-31")))
        assert iso(judged.original_due) == "2025-02-01"
        assert "PV 7" in judged.state_reason
        assert "S-114" in judged.state_reason

    def test_the_second_for_the_same_occasion_adds_nothing(self) -> None:
        twice = flown(until("2025-03-31"), until("2025-05-31", approved="2025-01-20"))
        assert state_on("2025-04-01", task(), twice).state == "overdue"

    def test_it_does_not_follow_the_unit_to_another_aircraft(self) -> None:
        moved = flown(
            until("2025-03-31", left_moment=on_airframe("2025-01-20").moment),
            carried=on_airframe("2025-01-21", airframe=2),
        )
        assert state_on("2025-02-02", task(), moved).state == "overdue"

    def test_it_is_used_up_by_the_work(self) -> None:
        after = flown(until("2025-03-31"), done=(work("2023-02-01", basis="log"), work("2025-03-10", basis="log")))
        point = due_point(task(), after)
        assert (iso(point.calendar_due), point.varied_calendar) == ("2027-02-01", None)

    def test_approved_after_the_due_date_it_is_none(self) -> None:
        """A variation is granted beforehand; common practice, no source."""
        assert state_on("2025-02-20", task(), flown(until("2025-03-31", approved="2025-02-02"))).state == "overdue"

    def test_hours_and_cycles_are_varied_as_totals_of_that_aircraft(self) -> None:
        """ILT leaflet (READ): 10 % of a task in flight hours, at most 500; the figure approved is data here:
        4,000 h with 400 more."""
        in_hours = task(repeat={"minutes": 4_000 * 60}, start="manufacture")
        varied = replace(until("2025-03-31"), until_day=None, until_minutes=4_400 * 60)
        new = unit(
            manufactured="2020-01-01",
            opening=Count(minutes=0, cycles=0),
            carried=on_airframe("2020-01-01"),
            variations=(varied,),
        )
        told = [
            state_on("2025-02-01", in_hours, new, view=read_on("2025-02-01", minutes=minutes)).state
            for minutes in (4_000 * 60, 4_000 * 60 + 1, 4_400 * 60, 4_400 * 60 + 1)
        ]
        assert told == ["in date", "in variation", "in variation", "overdue"]


class TestNoAccumulation:
    """EASA FAQ 19102 (READ): after a permitted variation the next due counts from the original due date."""

    def test_a_varied_task_keeps_its_calendar(self) -> None:
        dates = [work("2023-02-01", basis="log")]
        variations: list[Varied] = []
        for year, day in ((2025, "2025-03-10"), (2027, "2027-03-10"), (2029, "2029-03-10")):
            variations.append(until(f"{year}-03-31", approved=f"{year}-01-10"))
            dates.append(work(day, basis="log"))
            varied = flown(*variations, done=tuple(dates))
            assert calendar(task(), varied) == f"{year + 2}-02-01"

    def test_component_work_in_a_shop_counts_from_its_own_release(self) -> None:
        """EASA FAQ 19102 (READ): for component tasks the interval starts at the release to service after overhaul."""
        shop = rule("overhaul", repeat={"months": 24}, source="programme", variation_allowed=True)
        varied = unit(
            carried=on_airframe(), done=(work("2023-02-01"), work("2025-03-10")), variations=(until("2025-03-31"),)
        )
        assert calendar(shop, varied) == "2027-03-10"


class TestTheTableOfLimits:
    """The table of JAA TGL 26, from memory (trade-facts); 10 % and 500 hours also in the ILT leaflet (READ). It is an
    example file beside the manual: nothing of it is in the program."""

    @pytest.mark.parametrize(
        ("measure", "limits", "most"),
        [
            ("hours", {"minutes": 600 * 60}, 60 * 60),
            ("hours", {"minutes": 5_000 * 60}, 500 * 60),
            ("hours", {"minutes": 12_000 * 60}, 500 * 60),
            ("cycles", {"cycles": 200}, 20),
            ("cycles", {"cycles": 500}, 25),
            ("cycles", {"cycles": 3_000}, 300),
            ("cycles", {"cycles": 9_000}, 500),
            ("calendar", {"months": 6}, 18),  # 10 % of the 184 days from 2023-03-01
            ("calendar", {"months": 12}, 31),  # 10 % of 366 days are 36; the month from 2024-03-01 is the lesser
            ("calendar", {"months": 24}, 61),  # to 2025-05-01
            ("calendar", {"months": 60}, 92),  # to 2028-06-01
        ],
    )
    def test_the_most_by_interval(self, measure: str, limits: dict[str, int], most: int) -> None:
        allowances = read_variation_limits(TABLE)
        asked = task(repeat=limits)
        history = unit(done=(work("2023-03-01", basis="log", count=Count(minutes=0, cycles=0)),), carried=on_airframe())
        anchor = anchor_in_force(asked, history, history.done)
        found = largest(asked, reach(asked, history, anchor), anchor, measure, allowances)
        assert found == (most, "JAA TGL 26, from memory")

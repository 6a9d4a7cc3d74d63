"""Where the next interval starts: from what was done, from the due point, from a release or from an installation."""

from __future__ import annotations

import pytest

from fleetlife.life.points import check_requirement, due_point
from fleetlife.life.values import Count, History, Requirement, Varied

from .trade import calendar, d, fitted, on_airframe, read_on, rule, state_on, unit, work

FAQ = "EASA FAQ 19102, READ: https://www.easa.europa.eu/faq/19102"
LIGHT_AIRCRAFT = "maintenance manual of a light aircraft, extract READ: 100 h check +/- 10 h, annual +/- 2 months"
SEVENTY_LATER = "published tolerance example, READ: due 100 h, tolerance 30 h, done at 130 h, next 70 h later"

H = 60


def check_of(hours: int, *, early: int | None, late: int | None) -> Requirement:
    """A check every so many hours whose next interval goes on from the due point inside a window."""
    return rule(
        "inspection",
        start="manufacture",
        repeat={"minutes": hours * H},
        done_at="aircraft",
        anchor="due",
        window_early={"minutes": None if early is None else early * H},
        window_late={"minutes": None if late is None else late * H},
    )


def next_due(requirement: Requirement, *done_at: int) -> int | None:
    """The airframe hours at which it falls due after having been done at these; aircraft and unit new together."""
    assert check_requirement(requirement) == []
    flown = unit(
        opened="2020-01-01",
        manufactured="2020-01-01",
        opening=Count(minutes=0, cycles=0),
        carried=on_airframe("2020-01-01"),
        done=tuple(
            work(f"2020-{month:02d}-01", basis="log", count=Count(minutes=hours * H, cycles=0))
            for month, hours in enumerate(done_at, start=2)
        ),
    )
    due = due_point(requirement, flown).due_minutes
    return None if due is None else due // H


class TestToleranceExamples:
    """Published examples of non-accumulating tolerances (READ)."""

    hundred = check_of(100, early=10, late=10)

    def test_before_anything_was_done_it_is_due_at_100(self) -> None:
        assert next_due(self.hundred) == 100

    def test_done_late_at_110_it_is_due_at_200_and_not_at_210(self) -> None:
        assert next_due(self.hundred, 110) == 200, LIGHT_AIRCRAFT

    def test_done_early_at_87_it_is_due_at_187(self) -> None:
        assert next_due(self.hundred, 87) == 187, LIGHT_AIRCRAFT

    def test_late_every_time_gains_nothing(self) -> None:
        assert next_due(self.hundred, 110, 210, 310) == 400

    def test_past_its_window_it_counts_from_what_was_done(self) -> None:
        assert next_due(self.hundred, 111) == 211

    def test_tolerance_30_done_at_130_is_due_70_hours_later(self) -> None:
        assert next_due(check_of(100, early=None, late=30), 130) == 200, SEVENTY_LATER

    def test_a_programme_may_reset_on_any_early_accomplishment(self) -> None:
        """The same manual resets at 87 h; with no early window stated every early one resets."""
        late_only = check_of(100, early=None, late=10)
        assert (next_due(late_only, 87), next_due(late_only, 95)) == (187, 195)

    def test_a_programme_may_keep_its_anchor_when_done_a_little_early(self) -> None:
        """An army technical manual (from memory): the anchor is kept inside the window and reset only outside it."""
        assert (next_due(self.hundred, 95), next_due(self.hundred, 90), next_due(self.hundred, 89)) == (200, 200, 189)

    def test_the_annual_done_inside_two_months_keeps_its_day(self) -> None:
        annual = rule(
            "inspection",
            repeat={"months": 12},
            done_at="aircraft",
            anchor="due",
            window_early={"days": 59},
            window_late={"days": 61},
        )
        before = work("2023-05-01", basis="log")
        assert check_requirement(annual) == []
        assert calendar(annual, unit(done=(before,))) == "2024-05-01"
        assert calendar(annual, unit(done=(before, work("2024-06-28", basis="log")))) == "2025-05-01", LIGHT_AIRCRAFT
        assert calendar(annual, unit(done=(before, work("2024-03-10", basis="log")))) == "2025-05-01"
        assert calendar(annual, unit(done=(before, work("2024-02-01", basis="log")))) == "2025-02-01"

    @pytest.mark.parametrize(
        ("hours", "state"), [(100, "in date"), (101, "overdue"), (110, "overdue"), (111, "overdue")]
    )
    def test_the_window_is_no_leave_to_run_on(self, hours: int, state: str) -> None:
        """The Dutch authority's guidance on its variations directive (READ): where the programme states no limit for a
        task no variation may be used."""
        new = unit(
            manufactured="2020-01-01",
            opening=Count(minutes=0, cycles=0),
            carried=on_airframe("2020-01-01"),
        )
        view = read_on("2021-01-01", minutes=hours * H)
        assert state_on("2021-01-01", self.hundred, new, view=view).state == state


class TestAfterAccomplishment:
    """EASA FAQ 19102 (READ)."""

    on_aircraft = rule(
        "inspection", repeat={"months": 36}, done_at="aircraft", source="programme", variation_allowed=True
    )
    first = work("2022-05-01", basis="log")

    def varied(self, until: str = "2025-06-30") -> Varied:
        return Varied(
            requirement="R",
            approved_on=d("2025-04-20"),
            until_day=d(until),
            airframe_id=1,
            reference="PV 7",
            approved_by="S-114",
        )

    def history(self, *done: str, variations: tuple[Varied, ...] = ()) -> History:
        return unit(
            carried=on_airframe(), done=(self.first, *(work(day, basis="log") for day in done)), variations=variations
        )

    def test_in_the_normal_case_from_the_day_of_the_release(self) -> None:
        assert calendar(self.on_aircraft, self.history("2025-04-02")) == "2028-04-02", FAQ

    def test_under_a_permitted_variation_from_the_original_due_date(self) -> None:
        assert calendar(self.on_aircraft, self.history("2025-06-20", variations=(self.varied(),))) == "2028-05-01", FAQ

    def test_late_without_one_from_what_was_done(self) -> None:
        """The FAQ gives the original due date to permitted variations alone."""
        assert calendar(self.on_aircraft, self.history("2025-06-20")) == "2028-06-20"

    def test_a_variation_not_needed_in_the_end_changes_nothing(self) -> None:
        assert calendar(self.on_aircraft, self.history("2025-04-25", variations=(self.varied(),))) == "2028-04-25"


class TestComponentTasks:
    """EASA FAQ 19102 (READ): from the release after overhaul, or where the data says so from the installation."""

    released = work("2020-01-10")
    later = fitted("2020-06-01")

    def test_by_default_from_the_release_to_service_after_overhaul(self) -> None:
        overhaul = rule("overhaul", repeat={"months": 36})
        pack = unit(done=(self.released,), installations=(self.later,), carried=on_airframe("2020-06-01"))
        assert calendar(overhaul, pack) == "2023-01-10", FAQ

    def test_where_the_data_says_so_from_the_installation(self) -> None:
        overhaul = rule("overhaul", start="installation", repeat={"months": 36})
        pack = unit(done=(self.released,), installations=(self.later,), carried=on_airframe("2020-06-01"))
        assert calendar(overhaul, pack) == "2023-06-01", FAQ

    def test_a_second_installation_after_the_same_release_restarts_nothing(self) -> None:
        """Common practice, no source: access to the door is no overhaul."""
        overhaul = rule("overhaul", start="installation", repeat={"months": 36})
        again = fitted("2021-02-03")
        pack = unit(done=(self.released,), installations=(self.later, again), carried=on_airframe("2021-02-03"))
        assert calendar(overhaul, pack) == "2023-06-01"

    def test_a_time_on_the_shelf_is_not_yet_counted_but_never_lost_sight_of(self) -> None:
        """From the installation, so in stores there is no date yet; the program says what it would be."""
        overhaul = rule("overhaul", start="installation", repeat={"months": 36})
        judged = state_on("2020-03-01", overhaul, unit(done=(self.released,)), stored=True)
        assert (judged.state, judged.due_date, judged.due_if_fitted) == ("waiting", None, d("2023-03-01"))

    def test_porosity_every_18_months_from_the_last_leak_check(self) -> None:
        """AD 85-11-03 on door slides (READ): within 18 months of manufacture, then every 18 months from the last
        leak check."""
        leak = rule("inspection", start="manufacture", first={"months": 18}, repeat={"months": 18}, source="directive")
        assert calendar(leak, unit(manufactured="1985-05-20")) == "1986-11-20"
        assert calendar(leak, unit(manufactured="1985-05-20", done=(work("1986-08-31"),))) == "1988-02-29"

    def test_a_raft_counts_from_the_date_on_its_tag(self) -> None:
        """FAA AC 43.13-1B chapter 9 (READ): the latest inspection date, stencilled on top, sets the next due date;
        life vests every 12 months."""
        vest = rule("inspection", repeat={"months": 12})
        assert calendar(vest, unit(done=(work("2022-04-04"), work("2023-04-01"), work("2024-02-29")))) == "2025-02-28"

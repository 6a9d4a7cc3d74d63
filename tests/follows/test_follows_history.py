"""From facts to the history that the rules of life judge."""

from __future__ import annotations

import pytest

from fleetlife.dates.moment import end_of_day
from fleetlife.life.values import History

from .told import AIRFRAME, OTHER, Story, at, clean, d, h


def history(story: Story, unit: int = 1) -> History:
    return clean(story.follows(story.tree(unit))).histories[unit]


def flown() -> Story:
    """Eight hours and a cycle a day, in May 2024; nothing else."""
    story = Story()
    for day in range(1, 29):
        story.read(f"2024-05-{day:02d}", f"{10_000 + 8 * day}:00", 100 + day)
    return story


class TestOpening:
    def test_what_it_states_is_taken_over(self) -> None:
        story = Story()
        story.unit(
            1,
            "store",
            manufactured="2015",
            cured="2015-Q2",
            expires="2030-06",
            first_installed="2016-02",
            minutes_since_new=h("1000:00"),
            cycles_since_new=500,
            operations_since_new=3,
        )
        found = history(story)
        assert [str(p) for p in (found.manufactured, found.cured, found.expires, found.first_installed)] == [
            "2015",
            "2015-Q2",
            "2030-06",
            "2016-02",
        ]
        assert (found.opening.minutes, found.opening.cycles, found.operations_opening) == (h("1000:00"), 500, 3)
        assert (found.as_of, found.stored, found.installed_now) == (end_of_day(d("2024-01-01")), True, False)

    @pytest.mark.parametrize(
        ("quality", "rebuilt"), [("documented", False), ("rebuilt", True), ("estimated", True), (None, False)]
    )
    def test_a_rebuilt_life_is_an_estimate(self, quality: str | None, rebuilt: bool) -> None:
        story = Story()
        story.unit(1, "store", life_quality=quality)
        assert (history(story).rebuilt, history(story).opening.estimated) == (rebuilt, rebuilt)


class TestInstallations:
    def test_positions_and_slots_are_installations_and_stores_are_not(self) -> None:
        story = flown()
        story.unit(1, "store", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.sent(1, "2024-05-03", "parent", parent=2, slot="battery")
        story.sent(1, "2024-05-05", "store")
        story.moved("2024-05-07", fit=1)
        found = history(story)
        assert [i.day for i in found.installations] == [d("2024-05-03"), d("2024-05-07")]
        assert found.installed_now

    def test_the_count_at_an_installation_is_what_it_had_run_by_then(self) -> None:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01", placed_on="2024-04-01")
        story.moved("2024-05-11", off=1, hours="10085:00", cycles=110)
        story.moved("2024-05-15", fit=1)
        first, second = history(story).installations
        assert (first.day, first.count.minutes) == (d("2024-04-01"), None)
        assert (second.count.minutes, second.count.cycles) == (h("77:00"), 9)

    def test_installed_at_the_opening_nobody_says_since_when(self) -> None:
        """Its beginning is not known; a later removal and refit is not taken for the first fitting."""
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01")
        story.moved("2024-05-11", off=1)
        story.moved("2024-05-15", fit=1)
        assert [i.day_known for i in history(story).installations] == [False, True]
        story.needs(start="installation", repeat_months=36)
        story.paper(1, "2024-01-15", "New")
        assert story.due(1).calendar_due is None

    def test_a_refit_restarts_nothing(self) -> None:
        story = Story()
        story.unit(1, "store", as_of="2023-01-01", part_number="QX100-1", minutes_since_new=0)
        story.needs(start="installation", repeat_months=36, shelf_allowance_months=12)
        story.paper(1, "2023-01-10")
        story.done(1, "2023-01-10", certificate="T-2")
        assert (story.due(1).calendar_due, story.due(1).standing) == (d("2027-01-10"), "known")
        story.moved("2023-09-01", fit=1)
        assert story.due(1).calendar_due == d("2026-09-01")
        story.moved("2024-05-01", off=1, removal_kind="access")
        assert story.due(1).calendar_due == d("2026-09-01")
        story.moved("2024-05-03", fit=1)
        assert story.due(1).calendar_due == d("2026-09-01")


class TestReleases:
    def test_only_releases_of_the_unit_itself_count(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.unit(2, "store")
        story.paper(1, "2023-05-01", "Overhauled")
        story.paper(1, "2022-05-01", "NEW")
        story.paper(1, "2024-06-01", "Prototype")
        story.paper(2, "2024-06-01", "Overhauled")
        story.paper(None, "2024-06-01", "Overhauled")
        assert [(r.day, r.new) for r in history(story).releases] == [(d("2022-05-01"), True), (d("2023-05-01"), False)]


class TestDone:
    def test_the_date_basis_follows_from_the_requirement(self) -> None:
        for kind, done_at, basis in (
            ("overhaul", None, "release"),
            ("requalification", None, "mark"),
            ("inspection", None, "log"),
            ("functional_test", None, "log"),
            ("inspection", "shop", "release"),
        ):
            story = Story()
            story.unit(1, "store")
            story.needs("R", kind=kind, repeat_months=12, done_at=done_at)
            story.done(1, "2024-02-01", "R")
            assert history(story).done[0].date_basis == basis

    def test_what_is_stated_with_the_work_goes_before_what_is_told(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs("R", kind="requalification", repeat_months=36)
        story.done(1, "2024-02-01", "R", date_basis="release")
        (done,) = history(story).done
        assert done.date_basis == "release"
        assert story.due(1, "R").standing == "unknown"

    def test_counts_since_new_are_taken_relative_to_the_opening(self) -> None:
        story = Story()
        story.unit(1, "store", minutes_since_new=h("5000:00"), cycles_since_new=900, operations_since_new=4)
        story.needs(repeat_minutes=h("1000:00"))
        story.done(1, "2023-02-01", minutes_since_new=h("4200:00"), cycles_since_new=700, operations_since_new=1)
        (done,) = history(story).done
        assert (done.count.minutes, done.count.cycles, done.operations) == (-h("800:00"), -200, -3)

    def test_counts_run_since_need_no_total_since_new(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs(repeat_minutes=h("1000:00"))
        story.done(1, "2023-02-01", minutes_since=h("300:00"), cycles_since=20, operations_since=2)
        (done,) = history(story).done
        assert (done.count.minutes, done.count.cycles, done.operations) == (-h("300:00"), -20, -2)
        assert story.due(1).left_minutes == h("700:00")

    def test_work_after_the_opening_is_counted_along_the_stays(self) -> None:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01")
        story.needs("CHK", kind="inspection", repeat_minutes=h("600:00"))
        story.done(1, "2024-05-11", "CHK")
        (done,) = history(story).done
        assert (done.count.minutes, done.count.cycles, done.installed, done.on_aircraft) == (h("72:00"), 9, True, True)
        assert story.due(1, "CHK").due_minutes == h("10680:00")

    def test_work_before_the_opening_without_counts_is_not_known_in_counts(self) -> None:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01", minutes_since_new=60)
        story.needs(repeat_minutes=h("600:00"))
        story.done(1, "2024-04-11")
        assert history(story).done[0].count.minutes is None
        assert story.due(1).standing == "unknown"

    def test_work_on_the_aircraft_is_at_the_end_of_its_day_and_shop_work_at_its_beginning(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs("A", kind="inspection", repeat_months=12)
        story.needs("B", kind="overhaul", repeat_months=12)
        story.done(1, "2024-05-11", "A")
        story.done(1, "2024-05-11", "B")
        story.done(1, "2024-05-12", "B", sequence=30)
        assert [done.moment for done in history(story).done] == [
            at("2024-05-11"),
            end_of_day(d("2024-05-11")),
            at("2024-05-12", 30),
        ]

    @pytest.mark.parametrize(
        ("status", "proven"), [("Overhauled", True), ("Inspected/Tested", False), ("Repaired", False), ("New", True)]
    )
    def test_the_paper_named_decides_whether_the_work_is_shown(self, status: str, proven: bool) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs(repeat_months=36)
        story.paper(1, "2024-02-01", status, tracking_number="A-7")
        story.done(1, "2024-02-01", certificate="A-7", certificate_organisation="Fulmar Repair")
        assert history(story).done[0].proven is proven
        assert (story.due(1).calendar_due == d("2027-02-01")) is proven

    def test_a_number_alone_is_enough_where_one_paper_has_it_and_not_where_two_have(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs(repeat_months=36)
        story.paper(1, "2024-02-01", "Repaired", tracking_number="A-7")
        story.done(1, "2024-02-01", certificate="A-7")
        assert history(story).done[0].proven is False
        story.paper(1, "2024-03-01", "Repaired", tracking_number="A-7", organisation="Gannet")
        assert history(story).done[0].proven is True

    def test_of_two_lines_of_one_paper_for_the_unit_either_may_show_the_work(self) -> None:
        for statuses in (("Overhauled", "Repaired"), ("Repaired", "Overhauled")):
            story = Story()
            story.unit(1, "store")
            story.needs(repeat_months=36)
            for item, status in enumerate(statuses, 1):
                story.paper(1, "2024-02-01", status, tracking_number="A-7", item=str(item))
            story.done(1, "2024-02-01", certificate="A-7", certificate_organisation="Fulmar Repair")
            assert history(story).done[0].proven is True

    def test_the_organisation_may_be_spelled_in_another_case(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs(repeat_months=36)
        story.paper(1, "2024-02-01", "Repaired", tracking_number="A-7")
        story.done(1, "2024-02-01", certificate="a-7", certificate_organisation="FULMAR REPAIR")
        assert history(story).done[0].proven is False

    def test_a_test_over_the_published_limit_shows_no_requalification(self) -> None:
        for permanent, due in ((20_000, "2027-02-28"), (20_001, "2025-03-31")):
            story = Story()
            story.unit(1, "store")
            story.needs("HST", kind="requalification", repeat_months=36, month_rule="last")
            story.done(1, "2022-03", "HST")
            story.done(
                1,
                "2024-02",
                "HST",
                expansion_total=200_000,
                expansion_permanent=permanent,
                expansion_specification="DOT-3AA1850",
            )
            earlier, later = history(story).done
            assert (earlier.proven, later.proven) == (True, permanent == 20_000)
            assert story.due(1, "HST").calendar_due == d(due)

    def test_a_log_entry_needs_no_paper(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs("CHK", kind="inspection", repeat_months=12)
        story.paper(1, "2024-02-01", "Repaired", tracking_number="A-7")
        story.done(1, "2024-02-01", "CHK", certificate="A-7", date_basis="log")
        assert history(story).done[0].proven is True

    def test_a_month_counts_from_its_first_day_and_keeps_its_precision(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.needs("HST", kind="requalification", repeat_months=36, month_rule="last")
        story.done(1, "2022-03", "HST")
        (done,) = history(story).done
        assert (str(done.date), done.day) == ("2022-03", d("2022-03-01"))
        assert story.due(1, "HST").calendar_due == d("2025-03-31")


class TestOperated:
    def test_operations_come_in_order_of_time(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.unit(2, "store")
        story.operated(1, "2024-03-01", sequence=20)
        story.operated(1, "2024-03-01", "discharge", sequence=10)
        story.operated(1, "2024-02-01", count=2)
        story.operated(2, "2024-02-01")
        assert [(o.day, o.operation, o.count) for o in history(story).operated] == [
            (d("2024-02-01"), "filling", 2),
            (d("2024-03-01"), "discharge", 1),
            (d("2024-03-01"), "filling", 1),
        ]


class TestVariations:
    def told(self) -> Story:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01")
        story.varied(1, "2024-05-05", until_on="2024-07-01", reference="V-1")
        return story

    def test_it_belongs_to_the_airframe_that_carries_the_unit(self) -> None:
        (varied,) = history(self.told()).variations
        assert (varied.airframe_id, varied.left_moment) == (AIRFRAME, None)

    def test_it_lapses_when_the_unit_leaves_it(self) -> None:
        story = self.told()
        story.moved("2024-05-11", off=1)
        story.moved("2024-05-13", fit=1)
        (varied,) = history(story).variations
        assert varied.left_moment == at("2024-05-11", 10)

    def test_it_lapses_on_another_airframe_too(self) -> None:
        story = self.told()
        story.needs(kind="inspection", variation_allowed=True, repeat_months=12)
        story.done(1, "2023-06-01")
        assert story.due(1).varied_calendar == d("2024-07-01")
        story.moved("2024-05-11", off=1)
        story.moved("2024-05-13", fit=1, airframe=OTHER)
        assert story.due(1).varied_calendar is None

    def test_of_a_unit_in_stores_it_belongs_to_none(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.varied(1, "2024-05-05", until_on="2024-07-01")
        assert history(story).variations[0].airframe_id is None

    def test_the_totals_at_approval_round_up_and_what_they_were_at_least_is_kept_beside_them(self) -> None:
        story = Story()
        story.read("2024-05-01", "10000:00", 100)
        story.read("2024-05-10", "10090:00", 109)
        story.unit(1, "L1", as_of="2024-05-01")
        story.varied(1, "2024-05-05", until_minutes=h("11000:00"))
        (varied,) = history(story).variations
        assert (varied.approved_minutes, varied.approved_cycles) == (h("10090:00"), 109)
        assert (varied.approved_minutes_least, varied.approved_cycles_least) == (h("10000:00"), 100)

    def test_of_a_child_it_belongs_to_the_airframe_that_carries_the_parent(self) -> None:
        story = flown()
        story.unit(2, "L1", as_of="2024-05-01")
        story.unit(1, "battery", parent=2, as_of="2024-05-01")
        story.varied(1, "2024-05-05", until_on="2024-07-01")
        assert history(story).variations[0].airframe_id == AIRFRAME


class TestNow:
    def test_carried_tells_the_start_of_the_carriage(self) -> None:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01")
        story.moved("2024-05-11", off=1, hours="10085:00", cycles=110)
        story.moved("2024-05-15", fit=1, hours="10115:00", cycles=114)
        carried = history(story).carried
        assert carried is not None
        assert (carried.airframe_id, carried.minutes, carried.cycles) == (AIRFRAME, h("10115:00"), 114)
        assert (carried.count.minutes, carried.count.cycles, carried.estimated) == (h("77:00"), 9, False)

    def test_off_every_airframe_there_is_only_what_it_ran(self) -> None:
        story = flown()
        story.unit(1, "L1", as_of="2024-05-01")
        story.moved("2024-05-11", off=1)
        found = history(story)
        assert found.carried is None
        assert (found.now.minutes, found.now.cycles, found.now.estimated) == (h("80:00"), 10, True)

    def test_the_entry_is_the_last_that_is_about_the_unit(self) -> None:
        story = Story()
        story.unit(2, "store")
        story.unit(1, "battery", parent=2)
        story.sent(2, "2024-05-01", "store")
        found = clean(story.follows()).histories
        assert (found[1].entry, found[2].entry) == (2, 3)

"""Stage two: on which airframe a unit was carried, with the totals at both ends and what they rest on."""

from __future__ import annotations

import pytest

from fleetlife.dates.moment import end_of_day
from fleetlife.follows.carry import Counts, carriages_of
from fleetlife.follows.place import stays_of
from fleetlife.follows.totals import Point, projected
from fleetlife.life.values import Spread

from .told import AIRFRAME, OTHER, Story, at, clean, d, ends, h


def counts_of(story: Story, unit: int) -> Counts:
    as_of = story.stays(unit) and end_of_day(d("2024-01-01"))
    return Counts(story.carried(unit), as_of=as_of, totals=story.totals())


class TestBoundaries:
    def test_the_published_example_of_two_readings(self) -> None:
        """Readings 10 000:00 on 05-10 and 10 020:00 on 05-14: a fitting on 05-12 starts low, a removal ends high."""
        fitted, removed = Story(), Story()
        for story in (fitted, removed):
            story.read("2024-05-10", "10000:00")
            story.read("2024-05-14", "10020:00")
        fitted.unit(1, "store")
        fitted.moved("2024-05-12", fit=1)
        assert ends(fitted.carried(1)[0]) == (h("10000:00"), None, "bounded", "open")
        removed.unit(1, "L1")
        removed.moved("2024-05-12", off=1)
        assert ends(removed.carried(1)[0])[1:4:2] == (h("10020:00"), "bounded")

    def test_on_and_off_on_one_day_between_two_readings_is_charged_with_all_between_them(self) -> None:
        story = Story()
        story.read("2024-05-10", "10000:00", 500)
        story.read("2024-05-14", "10020:00", 512)
        story.unit(1, "store")
        story.moved("2024-05-12", fit=1, sequence=10)
        story.moved("2024-05-12", off=1, sequence=20)
        (row,) = story.carried(1)
        assert (row.until_minutes or 0) - (row.from_minutes or 0) == h("20:00")
        assert (row.until_cycles or 0) - (row.from_cycles or 0) == 12

    def test_a_fitting_never_starts_from_the_reading_of_its_own_day(self) -> None:
        story = Story()
        story.read("2024-05-11", "10000:00")
        story.read("2024-05-12", "10008:00")
        story.unit(1, "store")
        story.moved("2024-05-12", fit=1)
        assert story.carried(1)[0].from_minutes == h("10000:00")

    def test_a_removal_may_end_with_the_reading_of_its_own_day(self) -> None:
        story = Story()
        story.read("2024-05-12", "10008:00")
        story.read("2024-05-13", "10016:00")
        story.unit(1, "L1")
        story.moved("2024-05-12", off=1)
        assert story.carried(1)[0].until_minutes == h("10008:00")

    def test_what_is_stated_with_the_movement_is_used_as_it_is(self) -> None:
        story = Story()
        story.read("2024-05-10", "10000:00", 500)
        story.read("2024-05-14", "10020:00", 512)
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-05-12", off=1, fit=2, hours="10007:30", cycles=503)
        off, on = story.carried(1)[0], story.carried(2)[0]
        assert (off.until_minutes, off.until_cycles, off.until_basis) == (h("10007:30"), 503, "stated")
        assert (on.from_minutes, on.from_cycles, on.from_basis) == (h("10007:30"), 503, "stated")

    def test_of_one_total_stated_the_other_is_bounded_and_the_boundary_says_so(self) -> None:
        story = Story()
        story.read("2024-05-10", "10000:00", 500)
        story.read("2024-05-14", "10020:00", 512)
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-05-12", off=1, fit=2, hours="10007:30")
        off, on = story.carried(1)[0], story.carried(2)[0]
        assert (off.until_minutes, off.until_cycles, off.until_basis) == (h("10007:30"), 512, "bounded")
        assert (on.from_minutes, on.from_cycles, on.from_basis) == (h("10007:30"), 500, "bounded")

    def test_a_removal_after_the_last_reading_is_projected_against_the_unit_and_provisional(self) -> None:
        story = Story()
        story.read("2024-01-31", "10000:00", 100)
        story.read("2024-03-01", "10100:01", 121)
        story.unit(1, "L1")
        story.moved("2024-03-04", off=1)
        (row,) = story.carried(1)
        # 30 days: 6001 minutes and 21 cycles; 3 days on: 600.1 and 2.1, rounded up
        assert (row.until_minutes, row.until_cycles) == (h("10100:01") + 601, 121 + 3)
        assert row.until_basis == "provisional"

    @pytest.mark.parametrize(
        ("hours", "cycles", "ended"),
        [("10200:00", 150, ("10207:30", 152)), ("10200:00", None, ("10207:30", 130)), (None, 150, ("10110:00", 152))],
    )
    def test_the_projection_goes_on_from_what_was_stated_at_the_fitting(
        self, hours: str | None, cycles: int | None, ended: tuple[str, int]
    ) -> None:
        """The last reading may be older than the fitting, and the airframe has flown more than was to be expected."""
        story = Story()
        story.read("2024-01-31", "10000:00", 100)
        story.read("2024-03-01", "10075:00", 120)
        story.unit(1, "store")
        story.unit(2, "battery", parent=1, part_number="QB-1")
        story.moved("2024-03-12", fit=1, hours=hours, cycles=cycles)
        story.moved("2024-03-15", off=1)
        for unit in (1, 2):
            (row,) = story.carried(unit)
            assert (row.until_minutes, row.until_cycles, row.until_basis) == (h(ended[0]), ended[1], "provisional")

    def test_also_where_what_it_holds_goes_out_first(self) -> None:
        story = Story()
        story.read("2024-01-31", "10000:00", 100)
        story.read("2024-03-01", "10075:00", 120)
        story.unit(1, "store")
        story.unit(2, "battery", parent=1, part_number="QB-1")
        story.moved("2024-03-12", fit=1, hours="10200:00", cycles=150)
        story.sent(2, "2024-03-15", "store")
        assert story.carried(2)[0].until_minutes == h("10207:30")

    def test_the_later_reading_takes_the_place_of_the_projection(self) -> None:
        story = Story()
        story.read("2024-01-31", "10000:00")
        story.read("2024-03-01", "10100:00")
        story.unit(1, "L1")
        story.moved("2024-03-04", off=1)
        story.read("2024-03-05", "10104:00")
        assert ends(story.carried(1)[0])[1:4:2] == (h("10104:00"), "bounded")

    def test_without_any_reading_before_it_the_start_is_not_known(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.moved("2024-05-12", fit=1)
        story.read("2024-05-14", "10020:00")
        assert ends(story.carried(1)[0]) == (None, None, "provisional", "open")

    def test_the_opening_takes_the_reading_of_its_own_day(self) -> None:
        story = Story()
        story.read("2024-01-01", "10000:00")
        story.unit(1, "L1", placed_on="2022-05-01")
        (row,) = story.carried(1)
        assert row.from_moment == end_of_day(d("2024-01-01"))
        assert ends(row) == (h("10000:00"), None, "opening", "open")

    def test_an_opening_between_readings_takes_the_one_before(self) -> None:
        story = Story()
        story.read("2023-12-30", "9990:00")
        story.read("2024-01-02", "10005:00")
        story.unit(1, "L1")
        assert ends(story.carried(1)[0]) == (h("9990:00"), None, "bounded", "open")

    def test_totals_stated_at_one_position_say_nothing_about_another(self) -> None:
        """The first event of a day has the same sequence everywhere; who is derived together must not matter."""
        story = Story()
        story.read("2024-05-10", "10000:00", 500)
        story.read("2024-05-14", "10020:00", 512)
        story.unit(1, "L1")
        story.unit(2, "R1")
        story.moved("2024-05-12", "L1", off=1, hours="10007:30", cycles=503)
        story.moved("2024-05-12", "R1", off=2)
        together = clean(story.follows()).carriages
        assert together[2] == clean(story.follows([2])).carriages[2]
        assert ends(together[2][0])[1:4:2] == (h("10020:00"), "bounded")
        assert ends(together[1][0])[1:4:2] == (h("10007:30"), "stated")

    def test_what_is_settled_elsewhere_at_the_same_moment_is_not_taken_over(self) -> None:
        story = Story()
        story.read("2024-05-10", "10000:00", 500)
        story.read("2024-05-14", "10020:00", 512)
        story.unit(1, "L1")
        story.unit(2, "R1")
        story.moved("2024-05-12", "L1", off=1, hours="10007:30", cycles=503)
        story.moved("2024-05-12", "R1", off=2)
        rows = clean(story.follows()).carriages
        known = {}
        for row in (*rows[2], *rows[1]):
            known[row.root_id, row.airframe_id, row.until_moment or 0, "until"] = (
                row.until_minutes,
                row.until_cycles,
                row.until_basis,
            )
        facts = story.facts()
        stays = {unit: stays_of(unit, facts[unit]) for unit in facts}
        assert carriages_of(stays, facts, totals=story.totals(), known=known) == rows


class TestProjected:
    def readings(self, *points: tuple[str, int, int]) -> Story:
        story = Story()
        story.points[AIRFRAME] = [Point(d(on), minutes, cycles) for on, minutes, cycles in points]
        return story

    def test_a_day_with_a_reading_is_not_projected(self) -> None:
        story = self.readings(("2024-01-01", 100, 1), ("2024-03-01", 700, 7))
        assert projected(story.totals(), AIRFRAME, d("2024-03-01")) == (d("2024-03-01"), 700, 7)

    def test_the_rate_is_that_of_a_year_back(self) -> None:
        story = self.readings(("2022-01-01", 0, 0), ("2023-03-02", 10_000, 0), ("2024-03-01", 10_365, 365))
        assert projected(story.totals(), AIRFRAME, d("2024-03-11")) == (d("2024-03-11"), 10_375, 375)

    def test_or_of_what_there_is_from_28_days_on(self) -> None:
        short = self.readings(("2024-02-03", 0, 0), ("2024-03-01", 270, 27))
        enough = self.readings(("2024-02-02", 0, 0), ("2024-03-01", 280, 28))
        assert projected(short.totals(), AIRFRAME, d("2024-03-11")) == (d("2024-03-11"), 270, 27)
        assert projected(enough.totals(), AIRFRAME, d("2024-03-11")) == (d("2024-03-11"), 380, 38)

    def test_without_a_reading_there_is_nothing(self) -> None:
        assert projected(Story().totals(), AIRFRAME, d("2024-03-11")) is None
        later = self.readings(("2024-04-01", 0, 0))
        assert projected(later.totals(), AIRFRAME, d("2024-03-11")) is None


class TestHowFarACountMayBeOff:
    """Read on 1, 10, 12 and 20 January; fitted on the 11th, worked on on the 15th: neither total is stated."""

    def told(self) -> Story:
        story = Story()
        for day, hours, cycles in (("01", "1000:00", 100), ("10", "1090:00", 109), ("12", "1110:00", 111)):
            story.read(f"2024-01-{day}", hours, cycles)
        story.read("2024-01-20", "1190:00", 119)
        story.unit(1, "store")
        story.moved("2024-01-11", fit=1)
        return story

    def test_the_start_may_be_too_low_and_the_day_of_work_run_on(self) -> None:
        count = counts_of(self.told(), 1).bounded_at(at("2024-01-15"))
        assert (count.minutes, count.cycles, count.estimated) == (h("20:00"), 2, True)
        # A fitting after the readings of the 12th would have run 20:00 less; the reading of the 20th is 80:00 more.
        assert count.spread == Spread(minutes_over=h("20:00"), minutes_under=h("80:00"), cycles_over=2, cycles_under=8)

    def test_before_the_reading_that_bounds_it_nobody_knows_how_far(self) -> None:
        count = counts_of(self.told(), 1).bounded_at(at("2024-01-25"))
        assert count.spread == Spread(minutes_over=h("20:00"), minutes_under=None, cycles_over=2, cycles_under=None)

    def test_a_stay_that_ended_between_readings_may_have_been_shorter(self) -> None:
        story = self.told()
        story.moved("2024-01-15", off=1)
        count = counts_of(story, 1).bounded_at(at("2024-02-01"))
        assert count.minutes == h("100:00")
        assert count.spread == Spread(minutes_over=h("100:00"), minutes_under=0, cycles_over=10, cycles_under=0)

    def test_what_is_stated_at_both_ends_is_exact(self) -> None:
        story = self.told()
        story.moved("2024-01-21", off=1, hours="1195:00", cycles=120)
        story.moved("2024-01-23", fit=1, hours="1200:00", cycles=121)
        story.moved("2024-01-25", off=1, hours="1210:00", cycles=122)
        counts = counts_of(story, 1)
        before, after = counts.bounded_at(at("2024-01-22")), counts.bounded_at(at("2024-02-01"))
        assert (
            before.spread
            == after.spread
            == Spread(minutes_over=h("20:00"), minutes_under=0, cycles_over=2, cycles_under=0)
        )

    def test_of_a_fitting_of_now_the_airframes_totals_are_in_it(self) -> None:
        assert counts_of(self.told(), 1).spread_once_carried() == Spread(
            minutes_over=h("20:00"), minutes_under=0, cycles_over=2, cycles_under=0
        )


class TestAssembly:
    def pack(self) -> Story:
        """Unit 1 on L1 holds 2, which holds 3."""
        story = Story()
        for day in range(1, 29):
            story.read(f"2024-05-{day:02d}", f"{10_000 + 8 * day}:00", 100 + day)
        story.unit(1, "L1", as_of="2024-05-01")
        story.unit(2, "battery", parent=1, as_of="2024-05-01", part_number="QB-1")
        story.unit(3, "cell", parent=2, as_of="2024-05-01", part_number="QC-1")
        return story

    def test_what_it_holds_is_carried_with_it(self) -> None:
        story = self.pack()
        story.moved("2024-05-10", off=1, hours="10076:00", cycles=109)
        rows = clean(story.follows()).carriages
        for unit in (1, 2, 3):
            (row,) = rows[unit]
            assert (row.airframe_id, row.root_id) == (AIRFRAME, 1)
            assert ends(row) == (h("10008:00"), h("10076:00"), "opening", "stated")

    def test_a_child_that_goes_in_half_way_is_carried_from_then(self) -> None:
        story = self.pack()
        story.unit(4, "store", as_of="2024-05-01", part_number="QB-1")
        story.sent(2, "2024-05-10", "store", sequence=10)
        story.sent(4, "2024-05-10", "parent", parent=1, slot="battery", sequence=10)
        out, into = story.carried(2), story.carried(4)
        assert ends(out[0])[1] == h("10080:00")
        assert ends(into[0]) == (h("10072:00"), None, "bounded", "open")
        assert [row.until_moment for row in story.carried(3)] == [at("2024-05-10", 10)]

    def test_a_child_in_a_pack_in_stores_is_not_carried(self) -> None:
        story = self.pack()
        story.moved("2024-05-10", off=1)
        story.moved("2024-05-20", "R1", fit=1)
        assert [(row.from_moment, row.until_moment) for row in story.carried(3)] == [
            (end_of_day(d("2024-05-01")), at("2024-05-10", 10)),
            (at("2024-05-20", 10), None),
        ]

    def test_what_a_child_ran_before_its_parents_opening_is_not_counted_as_nothing(self) -> None:
        story = self.pack()
        story.unit(5, "squib", parent=1, as_of="2024-04-20", part_number="QS-1", minutes_since_new=0)
        story.needs("LIFE", kind="life_limit", part="QS-1", first_minutes=h("1000:00"))
        row = story.due(5, "LIFE")
        assert row.due_minutes is None
        assert row.standing == "unknown"

    def test_where_the_parent_was_before_its_opening_is_known_from_when_it_was_put_there(self) -> None:
        story = Story()
        for day in range(1, 29):
            story.read(f"2024-05-{day:02d}", f"{10_000 + 8 * day}:00", 100 + day)
        story.unit(1, "L1", as_of="2024-05-20", placed_on="2024-05-01")
        story.unit(2, "battery", parent=1, as_of="2024-05-10", part_number="QB-1")
        story.moved("2024-05-25", off=1, hours="10200:00", cycles=125)
        assert [ends(row) for row in story.carried(2)] == [(h("10080:00"), h("10200:00"), "opening", "stated")]
        assert [ends(row) for row in story.carried(1)] == [(h("10160:00"), h("10200:00"), "opening", "stated")]

    def test_in_stores_too_it_is_not_known_what_it_ran_before_that(self) -> None:
        story = Story()
        story.unit(1, "store", as_of="2024-05-20")
        story.unit(2, "battery", parent=1, as_of="2024-05-10", part_number="QB-1", minutes_since_new=0)
        story.unit(3, "cell", parent=2, as_of="2024-05-01", part_number="QC-1", minutes_since_new=0)
        states = clean(story.follows()).unit_states
        assert [states[unit].minutes_since_new for unit in (2, 3)] == [None, None]

    def test_what_went_in_after_the_parents_opening_is_known_throughout(self) -> None:
        story = Story()
        story.unit(1, "store", as_of="2024-05-20")
        story.unit(2, "store", as_of="2024-05-10", part_number="QB-1", minutes_since_new=60)
        story.sent(2, "2024-05-21", "parent", parent=1, slot="battery")
        assert clean(story.follows()).unit_states[2].minutes_since_new == 60


class TestDoubt:
    """Another unit was found: both are charged for the whole doubtful time."""

    def told(self) -> Story:
        story = Story()
        for day in range(1, 29):
            story.read(f"2024-05-{day:02d}", f"{10_000 + 8 * day}:00", 100 + day)
            story.read(f"2024-05-{day:02d}", f"{5_000 + 10 * day}:00", 50 + day, airframe=OTHER)
        return story

    def ran(self, story: Story, unit: int) -> int | None:
        return counts_of_as_of(story, unit, "2024-05-01").final.minutes

    def test_the_unit_found_is_charged_since_its_last_stay_began_and_the_displaced_one_to_the_end(self) -> None:
        story = self.told()
        story.unit(1, "L1", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.moved("2024-05-11", off=2, found=True, displaced=1, hours="10080:00", cycles=110)
        (found,) = story.carried(2)
        assert (found.from_moment, found.until_moment) == (end_of_day(d("2024-05-01")), at("2024-05-11", 10))
        assert (found.from_basis, found.until_basis) == ("doubtful", "stated")
        assert self.ran(story, 1) == h("72:00")
        assert self.ran(story, 2) == h("72:00")

    def test_the_doubt_begins_when_the_displaced_unit_was_fitted(self) -> None:
        story = self.told()
        story.unit(1, "store", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.moved("2024-05-05", fit=1, hours="10035:00", cycles=104)
        story.moved("2024-05-11", off=2, found=True, displaced=1, hours="10080:00", cycles=110)
        (found,) = story.carried(2)
        assert found.from_moment == at("2024-05-05", 10)
        assert self.ran(story, 1) == h("45:00")
        assert self.ran(story, 2) == h("45:00")

    def test_of_two_airframes_the_dearer_is_charged(self) -> None:
        story = self.told()
        story.unit(1, "store", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.moved("2024-05-05", "L1", fit=1)
        story.moved("2024-05-05", "R1", fit=2, airframe=OTHER)
        story.moved("2024-05-11", "L1", off=2, found=True, displaced=1)
        # found on the first airframe (8:00 a day), believed on the other (10:00 a day): 05-04 to 05-11
        assert self.ran(story, 2) == h("70:00")
        assert self.ran(story, 1) == h("56:00")
        assert counts_of_as_of(story, 2, "2024-05-01").final.estimated

    def test_what_the_found_unit_holds_is_charged_the_same(self) -> None:
        story = self.told()
        story.unit(1, "store", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.unit(3, "battery", parent=2, as_of="2024-05-01", part_number="QB-1")
        story.moved("2024-05-05", "L1", fit=1)
        story.moved("2024-05-05", "R1", fit=2, airframe=OTHER)
        story.moved("2024-05-11", "L1", off=2, found=True, displaced=1)
        assert self.ran(story, 3) == self.ran(story, 2) == h("70:00")

    def test_a_unit_found_where_nobody_was_believed_is_charged_since_it_was_last_seen(self) -> None:
        story = self.told()
        story.unit(2, "store", as_of="2024-05-01")
        story.sent(2, "2024-05-03", "store", store="Second")
        story.moved("2024-05-11", off=2, found=True)
        (found,) = story.carried(2)
        assert found.from_moment == at("2024-05-03", 10)
        assert self.ran(story, 2) == h("72:00")

    def test_found_and_left_there_goes_on_from_the_doubt(self) -> None:
        story = self.told()
        story.unit(1, "store", as_of="2024-05-01")
        story.unit(2, "store", as_of="2024-05-01")
        story.moved("2024-05-05", fit=1)
        story.moved("2024-05-11", fit=2, found=True, displaced=1)
        doubt, now = story.carried(2)
        assert (doubt.from_basis, doubt.until_moment) == ("doubtful", now.from_moment)
        assert now.until_basis == "open"

    def test_time_before_the_opening_is_not_charged_again(self) -> None:
        story = self.told()
        story.unit(1, "L1", as_of="2024-05-01", placed_on="2020-01-01")
        story.unit(2, "store", as_of="2024-05-03")
        story.moved("2024-05-11", off=2, found=True, displaced=1)
        (found,) = story.carried(2)
        assert found.from_moment == end_of_day(d("2024-05-03"))

    def test_found_where_it_was_recorded_is_not_in_doubt(self) -> None:
        story = self.told()
        story.unit(1, "L1", as_of="2024-05-01")
        story.moved("2024-05-11", off=1, found=True)
        assert [row.from_basis for row in story.carried(1)] == ["opening"]


def counts_of_as_of(story: Story, unit: int, as_of: str) -> Counts:
    return Counts(story.carried(unit), as_of=end_of_day(d(as_of)), totals=story.totals())


class TestCounts:
    def told(self) -> Story:
        story = Story()
        for day in range(1, 29):
            story.read(f"2024-05-{day:02d}", f"{10_000 + 8 * day}:00", 100 + day)
        story.unit(1, "L1", as_of="2024-05-01")
        return story

    def counts(self, story: Story) -> Counts:
        return counts_of_as_of(story, 1, "2024-05-01")

    def test_before_the_opening_nothing_is_known(self) -> None:
        count = self.counts(self.told()).at(at("2024-05-01"))
        assert (count.minutes, count.cycles) == (None, None)

    def test_on_the_airframe_it_rounds_down_to_the_day_before(self) -> None:
        count = self.counts(self.told()).at(at("2024-05-11"))
        assert (count.minutes, count.cycles, count.estimated) == (h("72:00"), 9, True)

    def test_off_it_stands_still(self) -> None:
        story = self.told()
        story.moved("2024-05-11", off=1, hours="10085:00", cycles=110)
        for moment in (at("2024-05-11", 10), at("2024-05-20")):
            count = self.counts(story).at(moment)
            assert (count.minutes, count.cycles, count.estimated) == (h("77:00"), 9, False)

    def test_it_adds_up_over_stays(self) -> None:
        story = self.told()
        story.moved("2024-05-11", off=1, hours="10085:00", cycles=110)
        story.moved("2024-05-15", fit=1, hours="10115:00", cycles=114)
        counts = self.counts(story)
        assert counts.at(at("2024-05-15", 10)).minutes == h("77:00")
        assert counts.at(at("2024-05-21")).minutes == h("77:00") + h("45:00")

    def test_an_estimate_once_stays_one(self) -> None:
        story = self.told()
        story.moved("2024-05-11", off=1)
        story.moved("2024-05-15", fit=1, hours="10115:00", cycles=114)
        assert self.counts(story).at(at("2024-05-15", 10)).estimated

    def test_a_stay_without_totals_makes_everything_after_it_unknown(self) -> None:
        story = self.told()
        story.moved("2024-05-11", off=1)
        story.moved("2024-05-15", fit=1, airframe=OTHER)
        story.moved("2024-05-17", off=1, airframe=OTHER)
        counts = self.counts(story)
        assert counts.at(at("2024-05-12")).minutes == h("80:00")
        assert counts.at(at("2024-05-18")).minutes is None
        assert counts.final.minutes is None

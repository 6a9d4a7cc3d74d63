"""Stage one: the stays of a unit, and what cannot be."""

from __future__ import annotations

import pytest

from fleetlife.dates.moment import end_of_day
from fleetlife.follows.place import Recorded, crowded, crowding, stays_of
from fleetlife.follows.rows import place_key
from fleetlife.ledger.facts import Movement

from .told import AIRFRAME, OTHER, Story, at, d, places


class TestOpening:
    def test_a_stay_begins_when_the_opening_says_the_unit_was_put_there(self) -> None:
        story = Story()
        story.unit(1, "L1", placed_on="2022-05-01", condition="serviceable", harness="left")
        (stay,) = story.stays(1)
        assert (stay.from_moment, stay.until_moment) == (at("2022-05-01"), None)
        assert (stay.kind, stay.airframe_id, stay.position) == ("position", AIRFRAME, "L1")
        assert stay.place_key == place_key(AIRFRAME, "L1", slot=False)
        assert (stay.condition, stay.harness, stay.until_known) == ("serviceable", "left", True)

    def test_without_a_day_it_begins_with_the_statement(self) -> None:
        story = Story()
        story.unit(1, "store")
        (stay,) = story.stays(1)
        assert stay.from_moment == end_of_day(d("2024-01-01"))
        assert (stay.kind, stay.place_name, stay.place_key) == ("store", "Main", None)

    def test_what_is_not_stated_is_unknown(self) -> None:
        story = Story()
        story.unit(1, "store")
        (stay,) = story.stays(1)
        assert (stay.condition, stay.harness, stay.hold) == ("unknown", "unknown", None)

    def test_a_unit_without_opening_has_no_stays(self) -> None:
        moved = Recorded(1, Movement(airframe=1, position="L1", moved_on="2024-03-01", installed=7))
        unit = stays_of(7, [moved])
        assert (unit.rows, unit.problems, unit.opened) == ((), (), None)


class TestSwap:
    def test_one_comes_off_where_the_other_goes_on(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store", condition="serviceable", harness="left")
        story.moved("2024-03-01", off=1, fit=2, removed_to="shop", removed_to_name="Fulmar")
        off, on = story.stays(1), story.stays(2)
        assert places(off)[1:] == [("shop", "Fulmar", "2024-03-01")]
        assert places(on)[1:] == [("position", "L1", "2024-03-01")]
        assert off[0].until_moment == on[1].from_moment == at("2024-03-01", 10)
        assert (off[0].until_entry, off[1].entry, on[1].entry) == (3, 3, 3)
        assert crowded([*off, *on]) == []

    def test_a_removed_unit_is_unserviceable_unless_stated(self) -> None:
        for stated, kept in ((None, "unserviceable"), ("serviceable", "serviceable")):
            story = Story()
            story.unit(1, "L1", condition="serviceable")
            story.moved("2024-03-01", off=1, removed_condition=stated)
            assert story.stays(1)[-1].condition == kept

    def test_a_removal_goes_to_stores_at_the_station_unless_stated(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.moved("2024-03-01", off=1, station="QKA")
        stay = story.stays(1)[-1]
        assert (stay.kind, stay.place_name) == ("store", "QKA")

    def test_the_kind_of_removal_is_kept_on_the_stay_it_begins(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.moved("2024-03-01", off=1, removal_kind="access")
        story.moved("2024-03-03", fit=1)
        assert [stay.removal_kind for stay in story.stays(1)] == [None, "access", None]

    def test_a_stay_may_begin_and_end_on_one_day(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.moved("2024-03-01", fit=1, sequence=10)
        story.moved("2024-03-01", off=1, sequence=20)
        stays = story.stays(1)
        assert [stay.kind for stay in stays] == ["store", "position", "store"]
        assert (stays[1].from_moment, stays[1].until_moment) == (at("2024-03-01", 10), at("2024-03-01", 20))


class TestHarness:
    def test_it_stays_as_rigged_off_and_on_the_aircraft(self) -> None:
        story = Story()
        story.unit(1, "L1", harness="left")
        story.moved("2024-03-01", off=1)
        story.sent(1, "2024-03-02", "store", store="Second")
        assert [stay.harness for stay in story.stays(1)] == ["left", "left", "left"]

    @pytest.mark.parametrize("way", ["removed to the shop", "transferred to the shop"])
    def test_it_lapses_at_the_shop(self, way: str) -> None:
        story = Story()
        story.unit(1, "L1", harness="left")
        if way == "removed to the shop":
            story.moved("2024-03-01", off=1, removed_to="shop")
        else:
            story.moved("2024-03-01", off=1)
            story.sent(1, "2024-03-02", "shop", organisation="Fulmar")
        story.sent(1, "2024-06-01", "store", store="Main")
        assert story.stays(1)[-1].harness == "unknown"

    def test_it_is_what_somebody_saw_at_the_transfer_or_the_fitting(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.sent(1, "2024-03-01", "shop", harness="right")
        story.moved("2024-06-01", fit=1, harness="left")
        assert [stay.harness for stay in story.stays(1)] == ["unknown", "right", "left"]


class TestHoldAndCondition:
    def test_a_hold_stays_until_it_is_lifted(self) -> None:
        story = Story()
        story.unit(1, "store", hold="suspect seal")
        story.sent(1, "2024-03-01", "store", store="Second")
        story.sent(1, "2024-03-02", "store", store="Second", hold="none")
        assert [stay.hold for stay in story.stays(1)] == ["suspect seal", "suspect seal", None]

    def test_a_hold_goes_with_the_unit_onto_the_aircraft_and_off_again(self) -> None:
        story = Story()
        story.unit(1, "store", hold="suspect seal")
        story.moved("2024-03-01", fit=1)
        story.moved("2024-03-02", off=1)
        assert [stay.hold for stay in story.stays(1)] == ["suspect seal"] * 3

    def test_the_condition_is_the_last_one_stated(self) -> None:
        story = Story()
        story.unit(1, "store", condition="serviceable")
        story.sent(1, "2024-03-01", "store", store="Second")
        story.sent(1, "2024-03-02", "store", store="Second", condition="unserviceable")
        assert [stay.condition for stay in story.stays(1)] == ["serviceable", "serviceable", "unserviceable"]

    def test_what_is_expected_back_is_kept(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.sent(1, "2024-03-01", "shop", organisation="Fulmar", expected_back="2024-05-01")
        assert story.stays(1)[-1].expected_back == d("2024-05-01")


class TestFound:
    def test_the_unit_found_comes_off_and_the_believed_one_is_nowhere_known(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.unit(3, "store")
        story.moved("2024-03-01", off=2, fit=3, found=True, displaced=1)
        believed, found = story.stays(1), story.stays(2)
        assert places(believed) == [("position", "L1", "2024-01-01"), ("unknown", None, "2024-03-01")]
        assert [stay.until_known for stay in believed] == [False, True]
        assert [(stay.kind, stay.until_known) for stay in found] == [("store", False), ("store", True)]
        assert found[1].from_moment == at("2024-03-01", 10)
        assert places(story.stays(3))[-1] == ("position", "L1", "2024-03-01")

    def test_the_unit_found_may_stay_where_it_is(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "R1")
        story.moved("2024-03-01", "L1", fit=2, found=True, displaced=1)
        assert places(story.stays(2)) == [("position", "R1", "2024-01-01"), ("position", "L1", "2024-03-01")]
        assert story.stays(2)[0].until_known is False
        assert story.stays(1)[-1].kind == "unknown"

    def test_the_displaced_unit_has_neither_rig_nor_condition(self) -> None:
        story = Story()
        story.unit(1, "L1", harness="left", condition="serviceable", hold="suspect seal")
        story.unit(2, "store")
        story.moved("2024-03-01", off=2, found=True, displaced=1)
        stay = story.stays(1)[-1]
        assert (stay.harness, stay.condition, stay.hold) == ("unknown", "unknown", "suspect seal")

    def test_found_where_it_was_recorded_is_a_plain_removal(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.moved("2024-03-01", off=1, found=True)
        assert [stay.until_known for stay in story.stays(1)] == [True, True]

    def test_a_displaced_unit_that_turns_up_goes_on_from_there(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-03-01", off=2, found=True, displaced=1)
        story.sent(1, "2024-04-01", "store", store="Main")
        assert [stay.kind for stay in story.stays(1)] == ["position", "unknown", "store"]


class TestContradictions:
    """Every code, with the entry in the way."""

    def problem(self, story: Story, code: str, in_the_way: int) -> None:
        (problem,) = story.follows().problems
        assert (problem.code, problem.number, problem.in_the_way) == (code, len(story.told), in_the_way)
        assert problem.message
        assert problem.remedy.endswith(".")

    @pytest.mark.parametrize("on", ["2023-12-31", "2024-01-01"])
    def test_nothing_happens_up_to_the_opening(self, on: str) -> None:
        story = Story()
        story.unit(1, "store")
        story.moved(on, fit=1)
        self.problem(story, "before-opening", 1)

    def test_not_even_at_the_last_moment_of_its_day(self) -> None:
        story = Story()
        story.unit(1, "L1", placed_on="2022-05-01")
        story.moved("2024-01-01", off=1, sequence=9999)
        self.problem(story, "before-opening", 1)

    def test_the_first_moment_of_the_day_after_the_opening_is_possible(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.moved("2024-01-02", fit=1, sequence=0)
        assert story.codes() == []

    def test_two_changes_at_one_moment(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.sent(1, "2024-03-01", "shop")
        story.sent(1, "2024-03-01", "store")
        self.problem(story, "same-moment", 2)

    def test_a_transfer_of_an_installed_unit(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.sent(1, "2024-03-01", "shop")
        self.problem(story, "still-installed", 1)

    def test_a_unit_in_itself(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.sent(1, "2024-03-01", "parent", parent=1, slot="battery")
        self.problem(story, "own-parent", 1)

    def test_a_unit_taken_off_and_fitted_by_one_movement(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.moved("2024-03-01", off=1, fit=1)
        self.problem(story, "removed-and-installed", 1)

    @pytest.mark.parametrize("turned", [False, True])
    def test_units_that_hold_one_another_are_told_by_the_last_of_it(self, turned: bool) -> None:
        story = Story()
        for unit in (3, 2, 1):
            story.unit(unit, "store")
        into = [(1, 2, "2024-03-01"), (2, 3, "2024-03-02"), (3, 1, "2024-03-03")]
        for unit, parent, on in reversed(into) if turned else into:
            story.sent(unit, on, "parent", parent=parent, slot="s")
        (problem,) = story.follows().problems
        assert (problem.code, problem.unit_id) == ("own-parent", 3)
        assert problem.number == (4 if turned else 6)

    def test_what_was_in_the_other_before_may_hold_it_later(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.unit(2, "store")
        story.sent(1, "2024-03-01", "parent", parent=2, slot="s")
        story.sent(1, "2024-03-02", "store", sequence=10)
        story.sent(2, "2024-03-02", "parent", parent=1, slot="s", sequence=10)
        assert story.codes() == []

    def test_a_unit_below_a_circle_is_not_told_of_it(self) -> None:
        story = Story()
        for unit in (1, 2):
            story.unit(unit, "store")
        story.unit(9, "s", parent=1)
        story.sent(1, "2024-03-01", "parent", parent=2, slot="s")
        story.sent(2, "2024-03-02", "parent", parent=1, slot="s")
        assert [problem.unit_id for problem in story.follows().problems] == [2]

    @pytest.mark.parametrize(
        ("position", "airframe"), [("R1", AIRFRAME), ("L1", OTHER)], ids=["another position", "another airframe"]
    )
    def test_a_removal_from_where_it_is_not(self, position: str, airframe: int) -> None:
        story = Story()
        story.unit(1, "L1")
        story.moved("2024-03-01", position, off=1, airframe=airframe)
        self.problem(story, "not-at-position", 1)

    def test_a_removal_of_a_unit_in_stores(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.moved("2024-03-01", off=1)
        self.problem(story, "not-at-position", 1)

    def test_a_fitting_of_a_unit_that_hangs_elsewhere(self) -> None:
        story = Story()
        story.unit(1, "R1")
        story.moved("2024-03-01", fit=1)
        self.problem(story, "installed-elsewhere", 1)

    def test_a_fitting_of_a_unit_in_an_assembly(self) -> None:
        story = Story()
        story.unit(2, "store")
        story.unit(1, "battery", parent=2)
        story.moved("2024-03-01", fit=1)
        self.problem(story, "installed-elsewhere", 2)

    def test_nothing_is_derived_from_what_cannot_be(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.sent(1, "2024-03-01", "shop")
        derived = story.follows()
        assert derived.problems
        assert derived.placements == {}

    def test_all_contradictions_are_told_not_the_first(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.sent(1, "2024-03-01", "shop")
        story.moved("2024-03-05", "R1", off=2)
        assert story.codes() == ["still-installed", "not-at-position"]


class TestCrowding:
    def test_two_units_at_one_position(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-03-01", fit=2)
        rows = [*story.stays(1), *story.stays(2)]
        (problem,) = crowding(rows)
        assert (problem.code, problem.unit_id, problem.number, problem.in_the_way) == ("place-occupied", 2, 3, 1)
        assert "position L1" in problem.message

    def test_two_units_in_one_slot(self) -> None:
        story = Story()
        story.unit(3, "store")
        story.unit(1, "battery", parent=3)
        story.unit(2, "store")
        story.sent(2, "2024-03-01", "parent", parent=3, slot="battery")
        derived = story.follows()
        (problem,) = crowding([row for rows in derived.placements.values() for row in rows])
        assert "slot battery" in problem.message

    def test_one_long_stay_over_two_short_ones_is_told_twice(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-03-01", fit=2)
        story.moved("2024-03-05", off=2)
        story.moved("2024-04-01", fit=2)
        rows = [*story.stays(1), *story.stays(2)]
        assert [problem.number for problem in crowding(rows)] == [3, 5]

    def test_touching_stays_do_not_crowd(self) -> None:
        story = Story()
        story.unit(1, "L1")
        story.unit(2, "store")
        story.moved("2024-03-01", off=1, sequence=10)
        story.moved("2024-03-01", fit=2, sequence=10)
        assert crowding([*story.stays(1), *story.stays(2)]) == []

    def test_stores_hold_as_many_as_they_like(self) -> None:
        story = Story()
        story.unit(1, "store")
        story.unit(2, "store")
        assert crowding([*story.stays(1), *story.stays(2)]) == []

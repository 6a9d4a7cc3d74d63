"""The order of a day: the only one that is possible, or a question."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.follows.order import ELSEWHERE, MOST_PERMUTED, Event, Place, order_events, place_of_opening
from fleetlife.follows.rows import place_key
from fleetlife.ledger.facts import Movement, Opening, Transfer

DAY = "2024-03-01"
L1: Place = ("position", 1, "L1")
R1: Place = ("position", 1, "R1")


def moved(
    *, off: int | None = None, fit: int | None = None, position: str = "L1", on: str = DAY, **fields: object
) -> Movement:
    return Movement(airframe=1, position=position, moved_on=on, removed=off, installed=fit, **fields)  # type: ignore[arg-type]


def sent(unit: int, target: str = "store", on: str = DAY, **fields: object) -> Transfer:
    return Transfer(unit=unit, moved_on=on, target=target, **fields)  # type: ignore[arg-type]


def ordered(
    events: list[Event], start: dict[int, Place], taken: dict[tuple[str, int], int] | None = None
) -> tuple[list[int], list[int], tuple[tuple[int, ...], ...]]:
    """Indexes in order, their sequences by index, ambiguous groups; none states its sequence."""
    result = order_events([(i, e, False) for i, e in enumerate(events)], start=start, taken=taken)
    sequence = dict.fromkeys(range(len(events)), 0)
    for index, event in result.events:
        sequence[index] = event.sequence
    return [index for index, _ in result.events], list(sequence.values()), result.ambiguous


class TestOneEvent:
    def test_a_single_event_needs_no_place_to_begin_with(self) -> None:
        assert ordered([moved(off=1)], {}) == ([0], [10], ())

    def test_events_without_a_common_unit_or_place_are_each_alone(self) -> None:
        assert ordered([moved(off=1), moved(off=2, position="R1")], {1: L1, 2: R1}) == ([0, 1], [10, 10], ())

    def test_days_follow_one_another(self) -> None:
        later, earlier = moved(fit=1, on="2024-03-02"), moved(off=1)
        assert ordered([later, earlier], {1: L1})[0] == [1, 0]


class TestTheOnlyPossibleOrder:
    @pytest.mark.parametrize("order", list(permutations(range(3))))
    def test_off_to_the_shop_and_another_on_whatever_the_order_in_the_file(self, order: tuple[int, ...]) -> None:
        events: list[Event] = [moved(off=1), moved(fit=2), sent(1, "shop")]
        found, _, ambiguous = ordered([events[i] for i in order], {1: L1, 2: ELSEWHERE})
        assert ambiguous == ()
        told = [order[i] for i in found]
        assert told.index(0) < told.index(1)
        assert told.index(0) < told.index(2)

    def test_a_unit_that_goes_from_door_to_door(self) -> None:
        events: list[Event] = [moved(fit=1, position="R1"), moved(off=1), moved(off=2, position="R1")]
        found, sequences, ambiguous = ordered(events, {1: L1, 2: R1})
        assert ambiguous == ()
        assert found.index(0) == 2
        assert sequences[0] > max(sequences[1:])

    def test_two_units_that_change_doors(self) -> None:
        events: list[Event] = [
            moved(fit=1, position="R1"),
            moved(fit=2, position="L1"),
            moved(off=1, position="L1"),
            moved(off=2, position="R1"),
        ]
        found, _, ambiguous = ordered(events, {1: L1, 2: R1})
        assert ambiguous == ()
        assert set(found[:2]) == {2, 3}

    def test_a_swap_as_one_thing_needs_the_place_before_and_leaves_it_taken(self) -> None:
        events: list[Event] = [moved(off=2, fit=3), moved(off=1, fit=2)]
        assert ordered(events, {1: L1, 2: ELSEWHERE, 3: ELSEWHERE})[0] == [1, 0]

    def test_an_occupant_nobody_names_is_in_the_way(self) -> None:
        events: list[Event] = [moved(fit=2), moved(off=1)]
        assert ordered(events, {1: L1, 2: ELSEWHERE})[0] == [1, 0]

    def test_off_and_back_on_the_same_day(self) -> None:
        assert ordered([moved(fit=1), moved(off=1)], {1: L1})[0] == [1, 0]

    def test_a_child_goes_into_the_parent_after_the_parents_own_day(self) -> None:
        events: list[Event] = [sent(1, "parent", parent=9, slot="battery"), moved(off=1)]
        found, _, ambiguous = ordered(events, {1: L1})
        assert (found, ambiguous) == ([1, 0], ())


class TestAmbiguity:
    def test_two_transfers_of_one_unit_could_be_either_way_round(self) -> None:
        assert ordered([sent(1, "shop"), sent(1, "store")], {})[2] == ((0, 1),)

    def test_on_and_off_of_a_unit_in_stores_is_clear_and_twice_is_not(self) -> None:
        once: list[Event] = [moved(off=1), moved(fit=1)]
        assert ordered(once, {1: ELSEWHERE})[2] == ()
        twice: list[Event] = [*once, moved(off=1, position="R1"), moved(fit=1, position="R1")]
        assert ordered(twice, {1: ELSEWHERE})[2] == ((0, 1, 2, 3),)

    def test_a_stated_sequence_settles_it(self) -> None:
        events = [(0, sent(1, "shop", sequence=2), True), (1, sent(1, "store", sequence=1), True)]
        result = order_events(events, start={})
        assert [index for index, _ in result.events] == [1, 0]
        assert [event.sequence for _, event in result.events] == [1, 2]
        assert result.ambiguous == ()

    def test_half_stated_is_asked_for(self) -> None:
        events = [(0, sent(1, "shop", sequence=2), True), (1, sent(1, "store"), False)]
        assert order_events(events, start={}).ambiguous == ((0, 1),)

    def test_more_than_can_be_tried_is_asked_for(self) -> None:
        many: list[Event] = []
        for _ in range(MOST_PERMUTED // 2 + 1):
            many += [moved(off=1), moved(fit=1)]
        assert ordered(many, {1: L1})[2] == (tuple(range(len(many))),)

    def test_where_no_order_is_possible_the_one_given_is_kept_for_the_contradiction_to_be_told(self) -> None:
        assert ordered([moved(off=1), moved(off=1)], {1: R1}) == ([0, 1], [10, 20], ())


class TestLateAdditions:
    def test_they_come_after_what_is_recorded_of_the_day(self) -> None:
        assert ordered([moved(off=1)], {1: L1}, taken={(DAY, 1): 20})[1] == [30]

    def test_the_highest_of_the_units_counts_for_all_of_the_group(self) -> None:
        events: list[Event] = [moved(off=1), moved(fit=2)]
        assert ordered(events, {1: L1}, taken={(DAY, 2): 50})[1] == [60, 70]

    def test_what_another_unit_did_at_the_position_counts_too(self) -> None:
        taken = {(DAY, place_key(1, "L1", slot=False)): 40}
        assert ordered([moved(fit=1)], {1: ELSEWHERE}, taken=taken)[1] == [50]
        assert ordered([moved(fit=1, position="R1")], {1: ELSEWHERE}, taken=taken)[1] == [10]


class TestFound:
    def test_the_unit_believed_there_is_put_out(self) -> None:
        result = order_events([(0, moved(off=2, found=True), False)], start={1: L1, 2: ELSEWHERE})
        assert result.events[0][1].displaced == 1  # type: ignore[union-attr]

    def test_who_is_believed_there_is_judged_at_that_moment_not_at_the_start(self) -> None:
        events = [
            (0, moved(off=1, fit=3, on="2024-02-01"), False),
            (1, moved(off=2, found=True), False),
        ]
        result = order_events(events, start={1: L1, 2: ELSEWHERE, 3: ELSEWHERE})
        assert result.events[1][1].displaced == 3  # type: ignore[union-attr]

    def test_found_where_it_was_believed_puts_nobody_out(self) -> None:
        result = order_events([(0, moved(off=1, found=True), False)], start={1: L1})
        assert result.events[0][1].displaced is None  # type: ignore[union-attr]

    def test_found_and_left_there(self) -> None:
        result = order_events([(0, moved(fit=2, found=True), False)], start={1: L1, 2: R1})
        assert result.events[0][1].displaced == 1  # type: ignore[union-attr]


class TestWhereAnOpeningPutsAUnit:
    def test_position_slot_and_elsewhere(self) -> None:
        given = {"part_number": "P", "serial_number": "1", "as_of": DAY, "unit": 1}
        assert place_of_opening(Opening(place="position", airframe=1, position="L1", **given)) == L1  # type: ignore[arg-type]
        assert place_of_opening(Opening(place="slot", parent=9, slot="battery", **given)) == ("slot", 9, "battery")  # type: ignore[arg-type]
        assert place_of_opening(Opening(place="store", place_name="Main", **given)) == ELSEWHERE  # type: ignore[arg-type]


@st.composite
def days(draw: st.DrawFn) -> tuple[dict[int, Place], list[Event]]:
    """A possible day of up to five events, in the order in which it happened."""
    where: dict[int, Place] = {1: L1, 2: R1, 3: ELSEWHERE}
    start = dict(where)
    events: list[Event] = []
    for _ in range(draw(st.integers(2, 5))):
        unit = draw(st.sampled_from([1, 2, 3]))
        if where[unit] != ELSEWHERE:
            events.append(moved(off=unit, position=where[unit][2]))
            where[unit] = ELSEWHERE
        else:
            free = [place for place in (L1, R1) if place not in where.values()]
            if free and draw(st.booleans()):
                place = draw(st.sampled_from(free))
                events.append(moved(fit=unit, position=place[2]))
                where[unit] = place
            else:
                events.append(sent(unit, draw(st.sampled_from(["shop", "store"]))))
    return start, events


class TestEveryOrderGiven:
    @settings(max_examples=150, derandomize=True, deadline=None)
    @given(days(), st.randoms(use_true_random=False))
    def test_shuffled_rows_give_one_result_or_the_question(
        self, day: tuple[dict[int, Place], list[Event]], rng: object
    ) -> None:
        start, events = day
        shuffled = list(range(len(events)))
        rng.shuffle(shuffled)  # type: ignore[attr-defined]

        def seen(order: list[int]) -> tuple[bool, dict[str, list[str]]]:
            result = order_events([(i, events[i], False) for i in order], start=start)
            by_unit: dict[str, list[str]] = {}
            for index, event in sorted(result.events, key=lambda item: item[1].sequence):
                for unit in event.unit_ids():
                    by_unit.setdefault(str(unit), []).append(repr(events[index]))
            return bool(result.ambiguous), by_unit

        unclear, first = seen(list(range(len(events))))
        unclear_too, second = seen(shuffled)
        assert unclear == unclear_too
        if not unclear:
            assert first == second

"""What may go where: direct rows, effectivity, alternates and supersession."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleetlife.fit.eligibility import EligibilityAnswer, judge_eligibility
from fleetlife.fit.standing_in import stand_ins
from fleetlife.ledger.facts import Alternate, Eligibility

ON = date(2026, 3, 1).toordinal()
BEFORE = date(2025, 1, 1).toordinal()
AFTER = date(2027, 1, 1).toordinal()


def row(part_number: str, **more: str) -> Eligibility:
    return Eligibility(type="MERO", position="L1", part_number=part_number, reference="IPC 25-1", **more)


def edge(part_number: str, alternate: str, direction: str, conditions: str | None = None) -> Alternate:
    return Alternate(
        part_number=part_number, alternate=alternate, direction=direction, conditions=conditions, reference="SL-7"
    )


def judge(
    part_number: str, *rows: Eligibility, alternates: tuple[Alternate, ...] = (), **more: object
) -> EligibilityAnswer:
    question: dict[str, object] = {
        "serial_number": "S1",
        "unit_modifications": (),
        "type": "MERO",
        "position": "L1",
        "airframe_serial": "0105",
        "airframe_modifications": {},
        "on": ON,
    }
    question.update(more)
    return judge_eligibility(part_number=part_number, rows=rows, alternates=alternates, **question)  # type: ignore[arg-type]


class TestDirectRow:
    def test_a_part_with_a_row_is_eligible(self) -> None:
        answer = judge("A-1", row("A-1"))
        assert answer.outcome == "eligible"
        assert answer.reference == "IPC 25-1"
        assert answer.via == ()
        assert answer.reasons == ("A-1 S1 may be installed at L1 of MERO 0105, by IPC 25-1.",)

    def test_no_row_is_not_eligible(self) -> None:
        answer = judge("A-1", row("B-1"))
        assert answer.outcome == "not-eligible"
        assert answer.row is None
        assert answer.reasons == ("No row makes A-1 eligible at L1 of MERO.",)

    @pytest.mark.parametrize(
        ("more", "outcome"),
        [
            ({"position": "1L"}, "eligible"),
            ({"position": "l1"}, "eligible"),
            ({"position": "R1"}, "not-eligible"),
            ({"type": "mero"}, "eligible"),
            ({"type": "PALU"}, "not-eligible"),
        ],
    )
    def test_the_row_is_for_its_type_and_position(self, more: dict[str, str], outcome: str) -> None:
        assert judge("A-1", row("A-1"), **more).outcome == outcome

    def test_the_part_number_may_be_written_in_another_case(self) -> None:
        assert judge("a-1", row("A-1")).outcome == "eligible"

    def test_a_missing_hyphen_is_another_part(self) -> None:
        assert judge("A1", row("A-1")).outcome == "not-eligible"

    def test_the_best_of_several_rows_decides(self) -> None:
        rows = row("A-1", serial_from="0001", serial_to="0050"), row("A-1", serial_from="0100")
        assert judge("A-1", *rows).outcome == "eligible"

    def test_when_no_row_admits_all_their_reasons_are_given(self) -> None:
        rows = row("A-1", serial_to="0050"), row("A-1", serial_from="0200")
        answer = judge("A-1", *rows)
        assert answer.outcome == "not-eligible"
        assert len(answer.reasons) == 2


# serial_from, serial_to, airframe serial, outcome
RANGES = [
    ("0100", "0150", "0105", "eligible"),
    ("0105", "0105", "0105", "eligible"),
    ("0106", None, "0105", "not-eligible"),
    (None, "0104", "0105", "not-eligible"),
    (None, None, "0105", "eligible"),
    ("0859", None, "1132", "eligible"),
    ("859", "1132", "1000", "eligible"),  # digit runs compare as numbers
    ("A050", "A150", "B100", "not-eligible"),  # another prefix is never inside
    ("A050", "A150", "A100", "eligible"),
]


class TestEffectivity:
    @pytest.mark.parametrize(("first", "last", "serial", "outcome"), RANGES)
    def test_the_range_is_about_the_constructors_serial(
        self, first: str | None, last: str | None, serial: str, outcome: str
    ) -> None:
        bounds = {name: value for name, value in (("serial_from", first), ("serial_to", last)) if value}
        assert judge("A-1", row("A-1", **bounds), airframe_serial=serial).outcome == outcome

    @pytest.mark.parametrize(
        ("start", "outcome"), [("2026-03-01", "eligible"), ("2026-03-02", "not-eligible"), ("2020-01-01", "eligible")]
    )
    def test_a_row_counts_from_its_day(self, start: str, outcome: str) -> None:
        assert judge("A-1", row("A-1", effective_from=start)).outcome == outcome


# requires, excludes, recorded modifications of the airframe, outcome
AIRFRAME_MODIFICATIONS = [
    ("MOD-4", None, {"MOD-4": BEFORE}, "eligible"),
    ("MOD-4", None, {"MOD-4": ON}, "eligible"),
    ("MOD-4", None, {"mod-4": BEFORE}, "eligible"),
    ("MOD-4", None, {"MOD-4": AFTER}, "not-eligible"),
    ("MOD-4", None, {"MOD-5": BEFORE}, "unknown"),
    ("MOD-4", None, {}, "unknown"),
    ("MOD-4", None, None, "unknown"),
    (None, "MOD-4", {"MOD-4": BEFORE}, "not-eligible"),
    (None, "MOD-4", {"MOD-4": AFTER}, "eligible"),
    (None, "MOD-4", {}, "unknown"),
    (None, "MOD-4", None, "unknown"),
    ("MOD-4; MOD-6", None, {"MOD-4": BEFORE, "MOD-6": BEFORE}, "eligible"),
    ("MOD-4; MOD-6", None, {"MOD-4": BEFORE}, "unknown"),
    ("MOD-4", "MOD-6", {"MOD-6": BEFORE}, "not-eligible"),  # what is known to close it decides
]

# requires, excludes, recorded on the unit, outcome
UNIT_MODIFICATIONS = [
    ("SB-9", None, ("SB-9",), "eligible"),
    ("SB-9", None, ("sb-9",), "eligible"),
    ("SB-9", None, (), "unknown"),
    (None, "SB-9", ("SB-9",), "not-eligible"),
    (None, "SB-9", (), "unknown"),
    ("SB-9", "SB-8", ("SB-9", "SB-8"), "not-eligible"),
]


class TestModifications:
    @pytest.mark.parametrize(("requires", "excludes", "recorded", "outcome"), AIRFRAME_MODIFICATIONS)
    def test_of_the_airframe(
        self, requires: str | None, excludes: str | None, recorded: dict[str, int] | None, outcome: str
    ) -> None:
        given_row = Eligibility(
            type="MERO",
            position="L1",
            part_number="A-1",
            requires_modification=requires,
            excludes_modification=excludes,
        )
        assert judge("A-1", given_row, airframe_modifications=recorded).outcome == outcome

    @pytest.mark.parametrize(("requires", "excludes", "recorded", "outcome"), UNIT_MODIFICATIONS)
    def test_of_the_unit(
        self, requires: str | None, excludes: str | None, recorded: tuple[str, ...], outcome: str
    ) -> None:
        given_row = Eligibility(
            type="MERO",
            position="L1",
            part_number="A-1",
            requires_unit_modification=requires,
            excludes_unit_modification=excludes,
        )
        assert judge("A-1", given_row, unit_modifications=recorded).outcome == outcome

    def test_what_has_to_be_found_out_is_named(self) -> None:
        answer = judge("A-1", row("A-1", requires_modification="MOD-4", excludes_unit_modification="SB-9"))
        assert answer.unknown_modifications == ("MOD-4", "SB-9")
        assert "MOD-4" in answer.reasons[0]
        assert "not recorded" in answer.reasons[0]

    def test_outside_the_range_nothing_has_to_be_found_out(self) -> None:
        answer = judge("A-1", row("A-1", requires_modification="MOD-4", serial_to="0050"))
        assert answer.outcome == "not-eligible"
        assert answer.unknown_modifications == ()


# the part asked for, edges (part, alternate, direction), the part with a row, outcome, via
STANDING_IN = [
    ("B", [("A", "B", "one-way")], "A", "eligible", ("B", "A")),
    ("A", [("A", "B", "one-way")], "B", "not-eligible", ()),
    ("B", [("A", "B", "two-way")], "A", "eligible", ("B", "A")),
    ("A", [("A", "B", "two-way")], "B", "eligible", ("A", "B")),
    ("b", [("A", "B", "one-way")], "a", "eligible", ("b", "A")),
    # alternates are not transitive
    ("C", [("A", "B", "one-way"), ("B", "C", "one-way")], "A", "not-eligible", ()),
    ("C", [("A", "B", "two-way"), ("B", "C", "two-way")], "A", "not-eligible", ()),
    # a supersession is a chain
    ("B", [("A", "B", "supersedes")], "A", "eligible", ("B", "A")),
    ("A", [("A", "B", "supersedes")], "B", "not-eligible", ()),
    ("C", [("A", "B", "supersedes"), ("B", "C", "supersedes")], "A", "eligible", ("C", "B", "A")),
    ("C", [("B", "C", "supersedes"), ("A", "B", "supersedes")], "A", "eligible", ("C", "B", "A")),
    ("A", [("A", "B", "supersedes"), ("B", "C", "supersedes")], "C", "not-eligible", ()),
    (
        "D",
        [("A", "B", "supersedes"), ("B", "C", "supersedes"), ("C", "D", "supersedes")],
        "A",
        "eligible",
        ("D", "C", "B", "A"),
    ),
    # a chain is not continued through an alternate, in either order
    ("C", [("A", "B", "one-way"), ("B", "C", "supersedes")], "A", "not-eligible", ()),
    ("C", [("A", "B", "supersedes"), ("B", "C", "one-way")], "A", "not-eligible", ()),
    # a circle ends, and opens nothing that it does not contain
    ("B", [("A", "B", "supersedes"), ("B", "A", "supersedes")], "A", "eligible", ("B", "A")),
    ("B", [("A", "B", "supersedes"), ("B", "A", "supersedes")], "C", "not-eligible", ()),
    ("A", [("A", "A", "supersedes")], "B", "not-eligible", ()),
]


class TestStandingIn:
    @pytest.mark.parametrize(("part", "edges", "listed", "outcome", "via"), STANDING_IN)
    def test_each_direction_opens_what_it_states(
        self, part: str, edges: list[tuple[str, str, str]], listed: str, outcome: str, via: tuple[str, ...]
    ) -> None:
        answer = judge(part, row(listed), alternates=tuple(edge(*each) for each in edges))
        assert (answer.outcome, answer.via) == (outcome, via)

    def test_the_answer_carries_the_chain_in_sentences(self) -> None:
        edges = edge("A", "B", "supersedes"), edge("B", "C", "supersedes")
        assert judge("C", row("A"), alternates=edges).reasons == (
            "C supersedes B, by SL-7.",
            "B supersedes A, by SL-7.",
            "A may be installed at L1 of MERO 0105, by IPC 25-1, and C S1 may stand in for it.",
        )

    def test_the_parts_own_row_wins_over_an_alternate(self) -> None:
        rows = row("A"), row("B", serial_to="0050")
        answer = judge("B", *rows, alternates=(edge("A", "B", "two-way"),))
        assert answer.outcome == "not-eligible"
        assert answer.via == ()

    def test_conditions_have_to_be_met_first(self) -> None:
        answer = judge("B", row("A"), alternates=(edge("A", "B", "one-way", "with bracket kit K-2"),))
        assert answer.outcome == "conditional"
        assert answer.conditions == ("with bracket kit K-2",)
        assert answer.reasons[-1] == "Condition: with bracket kit K-2."

    def test_every_condition_of_a_chain_counts(self) -> None:
        edges = edge("A", "B", "supersedes", "first"), edge("B", "C", "supersedes", "second.")
        assert judge("C", row("A"), alternates=edges).conditions == ("second", "first")

    def test_a_way_without_conditions_is_taken_before_a_shorter_one_with(self) -> None:
        edges = (
            edge("A", "C", "one-way", "with kit"),
            edge("A", "B", "supersedes"),
            edge("B", "C", "supersedes"),
        )
        answer = judge("C", row("A"), alternates=edges)
        assert (answer.outcome, answer.via) == ("eligible", ("C", "B", "A"))

    def test_a_way_of_the_chain_without_conditions_is_taken_first(self) -> None:
        edges = (
            edge("A", "D", "supersedes", "with kit"),
            edge("A", "B", "supersedes"),
            edge("B", "C", "supersedes"),
            edge("C", "D", "supersedes"),
        )
        assert judge("D", row("A"), alternates=edges).outcome == "eligible"

    def test_an_open_question_is_not_covered_by_a_condition(self) -> None:
        answer = judge(
            "B", row("A", requires_modification="MOD-4"), alternates=(edge("A", "B", "one-way", "with kit"),)
        )
        assert answer.outcome == "unknown"
        assert answer.conditions == ("with kit",)

    def test_the_effectivity_of_the_part_replaced_holds_for_the_one_that_replaces(self) -> None:
        assert judge("B", row("A", serial_to="0050"), alternates=(edge("A", "B", "one-way"),)).outcome == "not-eligible"

    def test_the_reverse_of_a_stated_way_is_named(self) -> None:
        edges = edge("A", "B", "supersedes"), edge("B", "C", "supersedes")
        assert judge("A", row("C"), alternates=edges).reasons[-1] == (
            "C has a row here and may stand in for A; the reverse is not stated."
        )

    def test_a_way_in_two_steps_is_named(self) -> None:
        edges = edge("A", "B", "one-way"), edge("B", "C", "one-way")
        assert "two steps through an alternate" in judge("C", row("A"), alternates=edges).reasons[-1]


PARTS = st.sampled_from("ABCDEF")


class TestChains:
    @given(st.lists(st.tuples(PARTS, PARTS), max_size=12), PARTS)
    def test_supersession_reaches_exactly_what_a_slow_walk_reaches(
        self, pairs: list[tuple[str, str]], part: str
    ) -> None:
        edges = [edge(old, new, "supersedes") for old, new in pairs]
        reached = {part}
        for _ in range(len(pairs)):
            reached |= {old for old, new in pairs if new in reached}
        assert {each.part_number for each in stand_ins(part, edges)} == reached - {part}

    @given(st.lists(st.tuples(PARTS, PARTS, st.sampled_from(["one-way", "two-way"])), max_size=12), PARTS)
    def test_alternates_reach_one_step(self, triples: list[tuple[str, str, str]], part: str) -> None:
        edges = [edge(*each) for each in triples]
        wanted = {old for old, new, _ in triples if new == part}
        wanted |= {new for old, new, direction in triples if old == part and direction == "two-way"}
        assert {each.part_number for each in stand_ins(part, edges)} == wanted - {part}

"""Entries: sealed in their place in the chain, and read back."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import GENESIS, SCHEMA, Draft, Entry, facts_of, seal
from fleetlife.ledger.facts import Accomplishment, Fact, Part, Reading, Requirement, Transfer

from .samples import ANY_FACT

PART = Part(part_number="QX100-1", rig="either")


def sealed(draft: Draft, *, number: int = 1, previous: str = GENESIS, **fields: Any) -> Entry:
    given = {"recorded_at": "2024-03-01T08:00:00.000000Z", "recorded_by": "K12", "program": "fleetlife 0"}
    return seal(draft, number=number, previous=previous, **{**given, **fields})


class TestSeal:
    def test_the_text_says_what_the_entry_is(self) -> None:
        entry = sealed(Draft(kind="part", on=None, items=(PART,)), request_key="r-1")
        assert entry.text == canonical(entry.body)
        assert entry.digest == digest(entry.text)
        assert json.loads(entry.text) == {
            "schema": SCHEMA,
            "number": 1,
            "previous": GENESIS,
            "kind": "part",
            "recorded_at": "2024-03-01T08:00:00.000000Z",
            "recorded_by": "K12",
            "program": "fleetlife 0",
            "items": [{"part_number": "QX100-1", "rig": "either"}],
            "subject": {"units": [], "airframes": []},
            "request_key": "r-1",
        }

    def test_everything_a_draft_may_carry_is_in_the_text(self) -> None:
        note = {"finding": "FIT102", "subject": "QX100-1 0001", "reason": "rigged on the ramp", "name": "K12"}
        draft = Draft(
            kind="transfer",
            on="2024-03-01",
            items=(Transfer(unit=1, moved_on="2024-03-01", target="store"),),
            sequence=10,
            reason="late paper",
            authorised_by="K1",
            acknowledged=(note,),
            group="g-1",
            source={"file": "transfers.csv", "lines": [2, 2]},
            also_units=(7,),
            also_airframes=(3,),
        )
        body = json.loads(sealed(draft).text)
        assert body["on"] == "2024-03-01"
        assert (body["sequence"], body["reason"], body["authorised_by"], body["group"]) == (
            10,
            "late paper",
            "K1",
            "g-1",
        )
        assert body["acknowledged"] == [note]
        assert body["source"] == {"file": "transfers.csv", "lines": [2, 2]}
        assert body["subject"] == {"units": [7, 1], "airframes": [3]}

    def test_a_subject_is_named_once(self) -> None:
        items = tuple(Reading(airframe=4, read_on=f"2024-03-0{day}", minutes=day, cycles=day) for day in (1, 2, 3))
        draft = Draft(kind="reading", on="2024-03-03", items=items, also_airframes=(4,))
        assert (draft.units(), draft.airframes()) == ((), (4,))

    def test_any_change_of_anything_changes_the_digest(self) -> None:
        draft = Draft(kind="part", on=None, items=(PART,))
        plain = sealed(draft).digest
        others = {
            sealed(draft, number=2).digest,
            sealed(draft, previous="1" * 64).digest,
            sealed(draft, recorded_by="K13").digest,
            sealed(draft, recorded_at="2024-03-01T08:00:00.000001Z").digest,
            sealed(draft, program="fleetlife 1").digest,
            sealed(draft, request_key="r").digest,
            sealed(Draft(kind="part", on=None, items=(PART,), reason="x")).digest,
            sealed(Draft(kind="part", on=None, items=(Part(part_number="QX100-1", rig="left"),))).digest,
        }
        assert plain not in others
        assert len(others) == 8


class TestChain:
    def test_each_entry_holds_the_digest_of_the_one_before(self) -> None:
        previous, digests = GENESIS, []
        for number in range(1, 5):
            entry = sealed(Draft(kind="part", on=None, items=(PART,)), number=number, previous=previous)
            assert json.loads(entry.text)["previous"] == previous
            previous = entry.digest
            digests.append(previous)
        assert len(set(digests)) == 4

    def test_a_change_in_the_first_shows_in_the_last(self) -> None:
        def last(rig: str) -> str:
            previous = GENESIS
            for number in range(1, 4):
                part = Part(part_number="QX100-1", rig=rig if number == 1 else "none")
                previous = sealed(Draft(kind="part", on=None, items=(part,)), number=number, previous=previous).digest
            return previous

        assert last("left") != last("right")


class TestFactsOf:
    @settings(max_examples=200, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_an_entry_gives_back_its_facts(self, fact: Fact) -> None:
        entry = sealed(Draft(kind=fact.KIND, on=None, items=(fact,)))
        assert facts_of(json.loads(entry.text)) == [fact]

    @settings(max_examples=100, derandomize=True, deadline=None)
    @given(st.lists(ANY_FACT, min_size=1, max_size=4))
    def test_a_correction_may_hold_facts_of_several_kinds(self, facts: list[Fact]) -> None:
        entry = sealed(Draft(kind="correction", on=None, items=tuple(facts), replaces=(3,), reason="r"))
        assert facts_of(json.loads(entry.text)) == facts

    def test_the_kind_of_a_requirement_is_not_that_of_the_fact(self) -> None:
        rule = Requirement(requirement="OVH", part_number="QX100-1", kind="overhaul", repeat_months=36)
        for draft in (
            Draft(kind="requirement", on=None, items=(rule,)),
            Draft(kind="correction", on=None, items=(rule,), replaces=(2,)),
        ):
            assert facts_of(json.loads(sealed(draft).text)) == [rule]

    def test_a_withdrawal_states_nothing(self) -> None:
        entry = sealed(Draft(kind="withdrawal", on=None, items=(), withdraws=(4, 5), reason="entered twice"))
        body = json.loads(entry.text)
        assert body["withdraws"] == [{"number": 4}, {"number": 5}]
        assert facts_of(body) == []
        assert "replaces" not in body

    def test_items_are_named_where_not_the_whole_entry_is_meant(self) -> None:
        done = Accomplishment(unit=1, requirement="OVH", done_on="2024-03-01")
        draft = Draft(kind="correction", on=None, items=(done,), replaces=(3, 4), items_of=((3, (0, 2)),))
        assert json.loads(sealed(draft).text)["replaces"] == [{"number": 3, "items": [0, 2]}, {"number": 4}]

"""Facts of every kind: what they say, the key they say it under, whom they touch."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import ClassVar

import pytest
from hypothesis import given, settings

from fleetlife.ledger import facts as f
from fleetlife.ledger.entry import fact_digest
from fleetlife.ledger.facts import FACTS, Fact, fact_from_body, field_names

from .samples import ANY_FACT, bare

# Frozen: a digest that changes makes every ledger disagree with itself.
DIGESTS = {
    "airframe_type": "bde1a8ba70543caf",
    "position": "6f9033076635e2b6",
    "airframe": "d63beb7885b46a5b",
    "registration": "f19a02bda15cb183",
    "airframe_modification": "8835ec557d952646",
    "part": "8fbc20d93240c78b",
    "slot": "7ddf8b384f27f1ff",
    "eligibility": "95779efdcf45efab",
    "alternate": "2904d3dcb4ffb76e",
    "intermix": "84efe4a64a78f319",
    "requirement": "37f236cda18b4b18",
    "band": "ce22edfd51513ac9",
    "unit": "10b6374745b5cc1a",
    "unit_modification": "f0996be168f91b33",
    "accomplishment": "b409748319db1349",
    "operation": "4b4242d5bb0ccafa",
    "certificate": "b9767d2ead365277",
    "reading": "dd9908bee0c3b9da",
    "movement": "138403ef810a2106",
    "transfer": "d01fc0d09d8cd2c7",
    "utilisation": "066bf2077dc81119",
    "variation": "3cab499ff1c46850",
    "waiver": "e4057dcd854f7960",
}


class TestBodies:
    @settings(max_examples=300, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_a_body_gives_back_its_fact(self, fact: Fact) -> None:
        assert fact_from_body(fact.KIND, fact.body()) == fact

    @settings(max_examples=150, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_what_is_not_stated_is_left_out(self, fact: Fact) -> None:
        assert None not in fact.body().values()
        assert list(fact.body()) == [n for n in field_names(type(fact)) if getattr(fact, n) is not None]

    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_a_later_field_changes_no_digest_of_an_older_fact(self, kind: type[Fact]) -> None:
        older = bare(kind)

        @dataclass(frozen=True, slots=True, kw_only=True)
        class Later(kind):  # type: ignore[misc, valid-type]
            KIND: ClassVar[str] = f"later {kind.KIND}"
            added_later: str | None = None

        newer = Later(**{name: getattr(older, name) for name in field_names(kind)})
        assert fact_digest(newer) == fact_digest(older)
        said = Later(**{name: getattr(older, name) for name in field_names(kind)}, added_later="x")
        assert fact_digest(said) != fact_digest(older)

    def test_a_field_nobody_knows_is_a_fault_and_no_silence(self) -> None:
        with pytest.raises(TypeError, match="surprise"):
            fact_from_body("part", {"part_number": "Q-1", "surprise": 1})

    def test_a_field_that_is_lacking_is_an_assertion_every_time(self) -> None:
        for _ in range(2):
            with pytest.raises(TypeError, match=r"lacks .*part_number"):
                fact_from_body("part", {"manufacturer": "Kittiwake"})

    def test_the_order_of_the_fields_does_not_matter(self) -> None:
        stated = {"part_number": "Q-1", "manufacturer": "Kittiwake", "kind": "slide"}
        one = fact_from_body("part", stated)
        assert one == fact_from_body("part", dict(reversed(stated.items())))
        assert one.body() == stated

    @pytest.mark.parametrize("kind", DIGESTS)
    def test_bare_facts_have_the_digests_they_always_had(self, kind: str) -> None:
        assert fact_digest(bare(FACTS[kind]))[:16] == DIGESTS[kind]


class TestKeys:
    @pytest.mark.parametrize("kind", FACTS.values(), ids=FACTS)
    def test_the_key_is_made_of_fields_of_the_fact(self, kind: type[Fact]) -> None:
        assert kind.KEY
        assert set(kind.KEY) <= {field.name for field in fields(kind)}
        assert bare(kind).key().startswith(f"{kind.KIND}|")

    def test_kinds_are_named_once(self) -> None:
        assert {kind.KIND for kind in FACTS.values()} == set(FACTS)
        assert len({kind.__name__ for kind in FACTS.values()}) == len(FACTS)

    def test_what_is_not_stated_is_empty_in_the_key(self) -> None:
        opening = f.Opening(unit=1, part_number="Q-1", serial_number="7", as_of="2024-01-01", place="store")
        assert opening.key() == "unit|Q-1|7|"

    def test_the_sign_between_the_fields_may_stand_in_one(self) -> None:
        given = {"as_of": "2024-01-01", "place": "store", "unit": 1}
        one = f.Opening(part_number="Q|1", serial_number="7", **given)  # type: ignore[arg-type]
        other = f.Opening(part_number="Q", serial_number="1|7", **given)  # type: ignore[arg-type]
        third = f.Opening(part_number="Q\\", serial_number="1|7", **given)  # type: ignore[arg-type]
        assert len({one.key(), other.key(), third.key()}) == 3

    def test_two_spellings_of_a_number_are_one_key(self) -> None:
        one = f.Part(part_number="QX100-1", manufacturer="Kittiwake")
        other = f.Part(part_number=" qx 100-1", manufacturer="KITTIWAKE")
        assert one.key() == other.key()
        assert f.Part(part_number="QX1001", manufacturer="Kittiwake").key() != one.key()

    def test_another_sequence_is_another_movement(self) -> None:
        first = f.Movement(airframe=1, position="L1", moved_on="2024-01-01", sequence=10, installed=1)
        assert first.key() == "movement|1|L1|2024-01-01|10"

    @settings(max_examples=100, derandomize=True, deadline=None)
    @given(ANY_FACT)
    def test_keys_of_two_kinds_never_meet(self, fact: Fact) -> None:
        assert fact.key().partition("|")[0] == fact.KIND


class TestTouched:
    def test_a_movement_touches_every_unit_it_names_and_its_airframe(self) -> None:
        moved = f.Movement(airframe=9, position="L1", moved_on="2024-01-01", removed=1, installed=2, displaced=3)
        assert (moved.unit_ids(), moved.airframe_ids()) == ((1, 2, 3), (9,))

    def test_a_transfer_and_an_opening_touch_the_parent_too(self) -> None:
        sent = f.Transfer(unit=1, moved_on="2024-01-01", target="parent", parent=2, slot="battery")
        assert (sent.unit_ids(), sent.airframe_ids()) == ((1, 2), ())
        opened = f.Opening(unit=1, part_number="Q", serial_number="1", as_of="2024-01-01", place="slot", parent=2)
        assert opened.unit_ids() == (1, 2)

    def test_an_opening_on_an_airframe_touches_it(self) -> None:
        opened = f.Opening(unit=1, part_number="Q", serial_number="1", as_of="2024-01-01", place="position", airframe=4)
        assert opened.airframe_ids() == (4,)

    def test_reference_facts_touch_no_unit(self) -> None:
        assert f.Part(part_number="Q-1").unit_ids() == ()
        assert f.Requirement(requirement="OVH", part_number="Q-1", kind="overhaul").unit_ids() == ()

    def test_an_unfiled_certificate_touches_none(self) -> None:
        assert bare(f.Certificate).unit_ids() == ()

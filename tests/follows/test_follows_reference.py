"""Looking up: registrations on the row's own date, positions, parts, the editions of a programme."""

from __future__ import annotations

from typing import Any

import pytest

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY
from fleetlife.follows.book import Book, requirement_values, stand_ins_of
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import place_key, requirement_key
from fleetlife.ledger.facts import (
    Airframe,
    AirframeModification,
    AirframeType,
    Alternate,
    Band,
    Fact,
    Part,
    Position,
    Registration,
    Requirement,
    Slot,
)
from fleetlife.terms.refusal import Refusal

from .told import d


def frame(airframe: int, registration: str, since: str | None = None, until: str | None = None) -> Airframe:
    return Airframe(
        airframe=airframe,
        registration=registration,
        constructor_serial=f"10{airframe:02d}",
        type="ISL-90",
        registered_from=since,
        registered_until=until,
    )


def later(airframe: int, registration: str, since: str, until: str | None = None) -> Registration:
    return Registration(airframe=airframe, registration=registration, registered_from=since, registered_until=until)


def reference(*facts: Fact) -> Reference:
    return Reference((number, fact) for number, fact in enumerate(facts, 1))


class TestRegistrations:
    def test_it_means_the_airframe_that_bore_it_on_the_day(self) -> None:
        known = reference(
            frame(1, "Q-AAA", "2015-01-01"), later(1, "Q-BBB", "2020-06-01"), frame(2, "Q-AAA", "2021-01-01")
        )
        assert known.airframe_on("q-aaa", d("2020-05-31")) == 1
        assert known.airframe_on("Q-BBB", d("2020-06-01")) == 1
        assert known.airframe_on("Q-AAA", d("2021-01-01")) == 2

    def test_a_registration_ends_when_the_next_begins(self) -> None:
        known = reference(frame(1, "Q-AAA", "2015-01-01"), later(1, "Q-BBB", "2020-06-01"))
        with pytest.raises(Refusal) as refused:
            known.airframe_on("Q-AAA", d("2020-06-01"))
        assert refused.value.code == "registration-not-then"
        assert "1001" in refused.value.message

    def test_or_on_the_day_stated(self) -> None:
        known = reference(frame(1, "Q-AAA", "2015-01-01", "2019-01-01"))
        assert known.airframe_on("Q-AAA", d("2018-12-31")) == 1
        with pytest.raises(Refusal):
            known.airframe_on("Q-AAA", d("2019-01-01"))

    def test_without_a_first_day_it_was_always_borne(self) -> None:
        assert reference(frame(1, "Q-AAA")).airframe_on("Q-AAA", FIRST_DAY) == 1

    def test_a_registration_borne_again(self) -> None:
        known = reference(
            frame(1, "Q-AAA", "2015-01-01"), later(1, "Q-BBB", "2018-01-01"), later(1, "Q-AAA", "2020-01-01")
        )
        assert [known.registration_on(1, d(day)) for day in ("2016-01-01", "2019-01-01", "2021-01-01")] == [
            "Q-AAA",
            "Q-BBB",
            "Q-AAA",
        ]
        assert known.airframe_on("Q-AAA", d("2016-01-01")) == known.airframe_on("Q-AAA", d("2021-01-01")) == 1

    @pytest.mark.parametrize("turned", [False, True])
    def test_the_order_in_which_they_are_stated_does_not_matter(self, turned: bool) -> None:
        facts: list[Fact] = [later(1, "Q-BBB", "2020-06-01"), later(1, "Q-CCC", "2022-06-01")]
        known = reference(frame(1, "Q-AAA", "2015-01-01"), *(reversed(facts) if turned else facts))
        assert known.airframe_on("Q-BBB", d("2021-01-01")) == 1
        with pytest.raises(Refusal):
            known.airframe_on("Q-BBB", d("2022-06-01"))

    def test_two_airframes_with_one_registration_are_both_named(self) -> None:
        known = reference(frame(1, "Q-AAA", "2015-01-01"), frame(2, "Q-AAA", "2021-01-01"))
        with pytest.raises(Refusal) as refused:
            known.airframe_on("Q-AAA", d("2021-06-01"))
        assert refused.value.code == "registration-ambiguous"
        assert "1001 and 1002" in refused.value.message

    def test_an_unknown_one_names_the_nearest(self) -> None:
        with pytest.raises(Refusal) as refused:
            reference(frame(1, "Q-AAA")).airframe_on("Q-AAB", d("2021-06-01"))
        assert refused.value.code == "registration-unknown"
        assert "Q-AAA" in refused.value.message


class TestPositions:
    def known(self) -> Reference:
        return reference(
            AirframeType(type="ISL-90"),
            frame(1, "Q-AAA"),
            *(Position(type="ISL-90", position=name, side="left") for name in ("R2", "L2", "L1", "R1")),
        )

    @pytest.mark.parametrize("text", ["L1", "1L", "l1", " L 1"])
    def test_every_spelling_is_the_same_position(self, text: str) -> None:
        assert self.known().position_of(1, text).position == "L1"

    def test_an_unknown_one_is_refused_with_those_there_are_in_order(self) -> None:
        with pytest.raises(Refusal) as refused:
            self.known().position_of(1, "L9")
        assert refused.value.code == "position-unknown"
        assert "L1, R1, L2, R2" in refused.value.message


class TestParts:
    def test_the_maker_stated_decides_between_parts_of_one_number(self) -> None:
        known = reference(
            Part(part_number="QX100-1", manufacturer="Kittiwake", rig="left"),
            Part(part_number="QX100-1", manufacturer="Gannet", rig="right"),
        )
        assert (known.part("qx100-1", "gannet") or Part(part_number="")).rig == "right"
        assert known.part("QX100-9") is None

    def test_slots_and_modifications_are_found(self) -> None:
        known = reference(
            Slot(part_number="QX100-1", slot="bottle", child_part_number="QR-7"),
            AirframeModification(airframe=1, modification="M-1", embodied_on="2020-01-01"),
        )
        assert [slot.slot for slot in known.slots["QX100-1"]] == ["bottle"]
        assert known.modifications[1] == {"M-1": d("2020-01-01")}


def needs(**fields: Any) -> Requirement:
    return Requirement(**{"requirement": "OVH", "part_number": "QX100-1", "kind": "overhaul", **fields})


class TestEditions:
    def test_an_edition_ends_the_day_before_the_next_or_with_its_own_last_day(self) -> None:
        values = requirement_values(
            [
                (1, needs(edition="2", effective_from="2024-01-01", repeat_months=24)),
                (2, needs(edition="1", effective_from="2020-01-01", repeat_months=36)),
                (3, needs(edition="3", effective_from="2025-01-01", effective_to="2025-12-31", repeat_months=12)),
            ],
            [],
        )["QX100-1"]
        assert [(v.edition, v.in_force_from, v.in_force_until, v.entry) for v in values] == [
            ("1", d("2020-01-01"), d("2024-01-01"), 2),
            ("2", d("2024-01-01"), d("2025-01-01"), 1),
            ("3", d("2025-01-01"), d("2026-01-01"), 3),
        ]

    def test_programmes_have_editions_of_their_own(self) -> None:
        values = requirement_values(
            [
                (1, needs(programme="TERN", effective_from="2020-01-01", repeat_months=24)),
                (2, needs(programme="AUK", effective_from="2024-01-01", repeat_months=36)),
            ],
            [],
        )["QX100-1"]
        assert [v.in_force_until for v in values] == [FAR_DAY, FAR_DAY]

    def test_what_is_not_stated_has_its_rule(self) -> None:
        (value,) = requirement_values([(1, needs(repeat_months=36))], [])["QX100-1"]
        assert (value.start, value.whichever, value.done_at, value.anchor, value.at_due, value.band_rule) == (
            "release",
            "first",
            "shop",
            "done",
            "remove",
            "cap",
        )
        (life,) = requirement_values([(1, needs(kind="life_limit", first_months=36))], [])["QX100-1"]
        assert life.start == "manufacture"
        (check,) = requirement_values([(1, needs(kind="inspection", repeat_months=36))], [])["QX100-1"]
        assert check.done_at == "aircraft"

    def test_bands_belong_to_their_edition_in_order_of_age(self) -> None:
        one = {"requirement": "OVH", "part_number": "qx100-1"}
        bands = [
            Band(from_age_months=240, repeat_months=6, edition="1", **one),
            Band(from_age_months=180, repeat_months=12, edition="1", band_rule="basis", **one),
            Band(from_age_months=120, repeat_months=12, edition="2", **one),
        ]
        (value,) = requirement_values([(1, needs(edition="1", repeat_months=36))], bands)["QX100-1"]
        assert [band.from_age_months for band in value.bands] == [180, 240]
        assert value.band_rule == "basis"

    def test_resets_are_a_list_of_names(self) -> None:
        (value,) = requirement_values([(1, needs(repeat_months=36, resets="CHK; FT ;"))], [])["QX100-1"]
        assert value.resets == ("CHK", "FT")

    def test_the_book_finds_a_part_in_any_spelling(self) -> None:
        book = Book(requirements=requirement_values([(1, needs(repeat_months=36))], []))
        assert len(book.on_part(" qx100-1")) == 1
        assert book.on_part("QX100-2") == ()

    def test_the_book_is_made_anew_when_a_fact_is_added(self) -> None:
        known = reference(needs(repeat_months=36))
        assert len(known.book().on_part("QX100-1")) == 1
        known.add(needs(requirement="CHK", repeat_months=6), 2)
        assert len(known.book().on_part("QX100-1")) == 2


class TestStandIns:
    def test_a_chain_of_supersession_is_followed_and_alternates_are_not(self) -> None:
        rows = [
            Alternate(part_number="A", alternate="B", direction="supersedes"),
            Alternate(part_number="B", alternate="C", direction="supersedes"),
            Alternate(part_number="C", alternate="X", direction="two-way"),
        ]
        found = {part: set(others) for part, others in stand_ins_of(rows).items()}
        assert found == {"A": {"B", "C"}, "B": {"A", "C"}, "C": {"A", "B", "X"}, "X": {"C"}}

    def test_a_circle_ends(self) -> None:
        rows = [
            Alternate(part_number="A", alternate="B", direction="supersedes"),
            Alternate(part_number="B", alternate="A", direction="supersedes"),
        ]
        assert stand_ins_of(rows) == {"A": ("B",), "B": ("A",)}


class TestKeys:
    def test_positions_and_slots_of_one_owner_and_name_are_two_places(self) -> None:
        keys = {
            place_key(1, "L1", slot=False),
            place_key(1, "L1", slot=True),
            place_key(2, "L1", slot=False),
            place_key(1, "L2", slot=False),
        }
        assert len(keys) == 4
        assert all(0 < key < 2**62 for key in keys)

    def test_they_are_the_same_on_every_machine(self) -> None:
        assert place_key(1, "L1", slot=False) == 1098277810551284459
        assert requirement_key("OVH", "qx100-1", "TERN", "3") == requirement_key("OVH", "QX100-1 ", "TERN", "3")
        assert requirement_key("OVH", "QX100-1", None, "3") != requirement_key("OVH", "QX100-1", "3", None)

"""What the records do not say of a unit's life is named; its stays tile the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.follows.gaps import Hole, holes_of
from fleetlife.follows.place import Recorded, UnitStays
from fleetlife.follows.rows import CarriageRow, PlacementRow
from fleetlife.ledger.facts import Certificate, Opening


def d(text: str) -> int:
    return date.fromisoformat(text).toordinal()


AS_OF = d("2026-01-01")


def opening(unit: int = 1, **fields: Any) -> Opening:
    given: dict[str, Any] = {
        "manufactured": "2020-01-01",
        "minutes_since_new": 60,
        "cycles_since_new": 1,
        "life_quality": "documented",
        "placed_on": "2020-01-01",
        "as_of": "2020-01-01",
        "place": "store",
        **fields,
    }
    return Opening(unit=unit, part_number="QX-1", serial_number=f"{unit}", **given)


def row(since: str, until: str | None, kind: str = "store", **fields: Any) -> PlacementRow:
    end = None if until is None else moment_of(d(until), 10)
    return PlacementRow(
        **{
            "unit_id": 1,
            "from_moment": moment_of(d(since), 10),
            "until_moment": end,
            "kind": kind,
            "entry": 7,
            "until_entry": None if until is None else 8,
            **fields,
        }
    )


def holes(*rows: PlacementRow, more: dict[int, UnitStays] | None = None, **given: Any) -> list[Hole]:
    legs, papers = given.pop("legs", ()), given.pop("papers", ())
    stays = {1: UnitStays(rows, (), Recorded(3, opening(**given))), **(more or {})}
    return list(holes_of(1, stays, legs, papers, as_of=AS_OF))


def told(found: list[Hole]) -> list[tuple[str, str, int | None, int | None]]:
    return [(hole.kind, hole.what, hole.since, hole.until) for hole in found]


class TestBirth:
    def test_a_documented_life_from_its_first_day_has_no_hole(self) -> None:
        assert holes(row("2020-01-01", None)) == []

    def test_the_time_from_its_manufacture_to_its_first_stay_is_a_gap(self) -> None:
        found = holes(row("2021-06-01", None), manufactured="2019-03")
        assert told(found) == [("gap", "where", d("2019-03-01"), d("2021-06-01"))]
        assert "(2019-03)" in found[0].text
        assert "count what it ran" in found[0].text

    def test_where_the_opening_totals_are_not_stated_the_gap_says_so_too(self) -> None:
        found = holes(row("2021-06-01", None), manufactured="2019-03", cycles_since_new=None)
        assert ("unknown", "totals", d("2020-01-01"), None) in told(found)
        assert "does not say all that it ran" in found[0].text

    def test_an_unknown_birth_is_unknown(self) -> None:
        assert told(holes(row("2021-06-01", None), manufactured=None)) == [("unknown", "birth", None, d("2021-06-01"))]

    def test_a_rebuilt_life_is_not_documented(self) -> None:
        found = holes(row("2020-01-01", None), life_quality="rebuilt")
        assert [hole.what for hole in found] == ["quality"]
        assert "rebuilt and not documented" in found[0].text

    def test_a_quality_that_is_not_stated_and_a_beginning_that_is_not_are_named(self) -> None:
        found = holes(row("2020-01-01", None), life_quality=None, placed_on=None)
        assert [hole.what for hole in found] == ["quality", "when"]


class TestStays:
    def test_time_between_two_stays_is_a_gap(self) -> None:
        found = holes(row("2020-01-01", "2022-01-01"), row("2022-03-01", None))
        assert told(found) == [("gap", "where", d("2022-01-01"), d("2022-03-01"))]

    def test_two_stays_at_once_are_an_overlap(self) -> None:
        found = holes(row("2020-01-01", "2022-04-01"), row("2022-03-01", None))
        assert told(found) == [("overlap", "where", d("2022-03-01"), d("2022-04-01"))]

    def test_a_last_stay_that_ended_leaves_a_gap_to_the_day_asked(self) -> None:
        assert told(holes(row("2020-01-01", "2022-04-01"))) == [("gap", "where", d("2022-04-01"), None)]

    def test_a_stay_that_ended_nobody_knows_when_is_unknown(self) -> None:
        found = holes(row("2020-01-01", "2022-04-01", until_known=False), row("2022-04-01", None))
        assert told(found) == [("unknown", "when", d("2020-01-01"), d("2022-04-01"))]
        assert "2022-04-01 at the latest" in found[0].text

    def test_a_loan_and_an_unknown_place_are_gaps_of_two_kinds(self) -> None:
        found = holes(
            row("2020-01-01", "2022-01-01", "loan"), row("2022-01-01", "2023-01-01", "unknown"), row("2023-01-01", None)
        )
        assert told(found) == [
            ("gap", "run", d("2020-01-01"), d("2022-01-01")),
            ("gap", "where", d("2022-01-01"), d("2023-01-01")),
        ]

    def test_a_loan_of_its_parent_is_a_gap_for_the_time_it_was_in_it(self) -> None:
        above = [row("2020-01-01", "2022-01-01", unit_id=2), row("2022-01-01", "2024-01-01", "loan", unit_id=2)]
        above.append(row("2024-01-01", None, unit_id=2))
        parent = UnitStays(tuple(above), (), Recorded(2, opening(2)))
        found = holes(
            row("2020-01-01", "2023-01-01", "slot", parent_id=2, slot="a"),
            row("2023-01-01", None),
            more={2: parent},
        )
        assert told(found) == [("gap", "run", d("2022-01-01"), d("2023-01-01"))]
        assert "What held it was on loan" in found[0].text


def leg(since: str, until: str | None, **fields: Any) -> CarriageRow:
    given: dict[str, Any] = {
        "from_minutes": 10,
        "from_cycles": 1,
        "until_minutes": None if until is None else 20,
        "until_cycles": None if until is None else 2,
        "from_basis": "stated",
        "until_basis": "open" if until is None else "stated",
        "entry": 9,
        **fields,
    }
    end = None if until is None else moment_of(d(until), 10)
    return CarriageRow(
        unit_id=1, airframe_id=4, root_id=1, from_moment=moment_of(d(since), 10), until_moment=end, **given
    )


class TestTotals:
    def test_stated_and_bounded_ends_are_no_hole(self) -> None:
        legs = [leg("2021-01-01", "2022-01-01", until_basis="bounded"), leg("2022-05-01", None)]
        assert holes(row("2020-01-01", None), legs=legs) == []

    def test_an_end_without_any_reading_is_unknown(self) -> None:
        found = holes(row("2020-01-01", None), legs=[leg("2021-01-01", "2022-01-01", until_minutes=None)])
        assert told(found) == [("unknown", "totals", d("2022-01-01"), d("2022-01-01"))]
        assert "The airframe's hours at its end (2022-01-01) are not known" in found[0].text

    def test_provisional_and_doubtful_ends_are_named(self) -> None:
        legs = [leg("2021-01-01", "2022-01-01", from_basis="doubtful", until_basis="provisional")]
        words = [hole.text for hole in holes(row("2020-01-01", None), legs=legs)]
        assert ["doubtful" in text for text in words] == [True, False]
        assert "provisional until the reading comes" in words[1]


class TestPaper:
    PAPER = Certificate(
        tracking_number="T1", organisation="Fulmar", part_number="QX-1", serial_number="1", status="x", dated_on=""
    )

    def found(self, on: str) -> list[Hole]:
        return holes(
            row("2020-01-01", None),
            legs=[leg("2021-01-01", "2022-01-01")],
            papers=[(11, replace(self.PAPER, dated_on=on))],
        )

    def test_a_release_dated_while_it_was_carried_overlaps(self) -> None:
        assert told(self.found("2021-07-01")) == [("overlap", "paper", d("2021-07-01"), d("2021-07-01"))]

    def test_a_release_of_the_day_of_the_fitting_or_the_removal_does_not(self) -> None:
        assert [self.found(on) for on in ("2021-01-01", "2022-01-01", "2020-12-31", "2022-01-02")] == [[]] * 4


def test_a_time_in_a_parent_that_the_records_did_not_know_yet_is_named() -> None:
    parent = UnitStays((row("2023-01-01", None, unit_id=2),), (), Recorded(2, opening(2, as_of="2023-01-01")))
    found = holes(row("2021-01-01", None, "slot", parent_id=2, slot="a"), more={2: parent}, manufactured="2021-01-01")
    assert [(hole.kind, hole.what, hole.since) for hole in found] == [("unknown", "run", d("2021-01-01"))]
    assert end_of_day(d("2020-01-01")) < moment_of(d("2021-01-01"))

"""`compare` on the demo: what differs is what the due list and the cards differ by when asked at both moments."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.compare import compare
from fleetlife.answers.due import due
from fleetlife.answers.unit import unit_card
from fleetlife.follows.rows import UnitStateRow
from fleetlife.store.engine import Store
from fleetlife.store.facts import number_known_at
from fleetlife.store.heads import head_of, units_touched_between
from fleetlife.store.rows import read_rows
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DifferenceRow, DueRow
from tests.cli.running import CLEAN, FINDINGS, TODAY, fleetlife

AS_OF = date.fromisoformat(TODAY)
ASKED = ("compare", "--as-of", TODAY, "--known-at")
FIRST_STEP = "2026-10-20T23:59:59.999999Z"


Moments = tuple[str, str]


@pytest.fixture(scope="module")
def moments(demo: Store) -> Moments:
    """The last entry of the first step, and one in the middle of the second."""
    with demo.reading() as connection:
        first, last = number_known_at(connection, FIRST_STEP), head_of(connection)[0]
    return str(first), str(first + (last - first) * 3 // 4)


def told(store: Store, known_at: str) -> dict[tuple[str, ...], DueRow]:
    rows = due(store, as_of=AS_OF, everything=True, known_at=known_at).rows
    return {(r.manufacturer or "", r.part_number, r.serial_number, r.requirement or "no programme"): r for r in rows}


def between(store: Store, moments: Moments) -> tuple[DifferenceRow, ...]:
    return compare(store, as_of=AS_OF, earlier=moments[0], later=moments[1]).rows


class TestTwoMoments:
    def test_a_due_point_is_listed_as_both_lists_give_it(self, demo: Store, moments: Moments) -> None:
        rows = [
            r for r in compare(demo, as_of=AS_OF, earlier=moments[0], later=moments[1]).rows if r.what == "due point"
        ]
        assert len(rows) > 5
        was, becomes = told(demo, moments[0]), told(demo, moments[1])
        for row in rows:
            key = (row.manufacturer or "", row.part_number, row.serial_number, row.requirement or "")
            old, new = was.get(key), becomes.get(key)
            assert (row.state_before, row.due_before) == ((old.state, old.due_date) if old else (None, None))
            assert (row.state_after, row.due_after) == ((new.state, new.due_date) if new else (None, None))

    def test_and_every_date_that_differs_in_a_touched_unit_is_listed(
        self, demo: Store, moments: tuple[str, str]
    ) -> None:
        answer = compare(demo, as_of=AS_OF, earlier=moments[0], later=moments[1])
        listed = {(r.part_number, r.serial_number, r.requirement) for r in answer.rows if r.what == "due point"}
        was, becomes = told(demo, moments[0]), told(demo, moments[1])
        with demo.reading() as connection:
            units = units_touched_between(connection, int(moments[0]), int(moments[1]))
            states = read_rows(connection, UnitStateRow, unit_ids=list(units))
        touched = {(row.manufacturer or "", row.part_number, row.serial_number) for row in states}
        moved = {
            key for key in {*was, *becomes} if key[:3] in touched and _state(was.get(key)) != _state(becomes.get(key))
        }
        assert moved
        assert {(part, serial, requirement) for _, part, serial, requirement in moved} <= listed

    def test_a_place_is_listed_as_both_cards_give_it(self, demo: Store, moments: Moments) -> None:
        rows = [r for r in between(demo, moments) if r.what == "place"]
        assert rows
        for row in rows:
            for known_at, place in ((moments[0], row.before), (moments[1], row.after)):
                card = unit_card(
                    demo,
                    part_number=row.part_number,
                    serial_number=row.serial_number,
                    as_of=AS_OF,
                    known_at=known_at,
                )
                assert card.place == place

    def test_every_row_names_entries_recorded_between(self, demo: Store, moments: Moments) -> None:
        answer = compare(demo, as_of=AS_OF, earlier=moments[0], later=moments[1])
        between = {line.number for line in answer.entries}
        assert between <= set(range(int(moments[0]) + 1, int(moments[1]) + 1))
        named = [row.entries for row in answer.rows if row.entries is not None]
        assert len(named) > len(answer.rows) / 2
        for entries in named:
            assert {int(number) for number in entries.split("; ")} <= between

    def test_a_moment_beside_itself_differs_in_nothing(self, demo: Store, moments: Moments) -> None:
        answer = compare(demo, as_of=AS_OF, earlier=moments[0], later=moments[0])
        assert (answer.rows, answer.entries, answer.units) == ((), (), 0)

    def test_a_unit_stated_between_is_named_as_such_with_its_paper(self, demo: Store, moments: Moments) -> None:
        rows = [
            r
            for r in compare(demo, as_of=AS_OF, earlier=moments[0], later=moments[1]).rows
            if r.serial_number == "29001"
        ]
        assert [(row.what, row.move, row.before) for row in rows[:2]] == [
            ("unit", "stated", None),
            ("certificate", "stated", None),
        ]

    def test_of_one_airframe_only_what_it_carries_or_carried(self, demo: Store, moments: Moments) -> None:
        rows = compare(demo, as_of=AS_OF, earlier=moments[0], registrations=["Q-SKA"]).rows
        everywhere = compare(demo, as_of=AS_OF, earlier=moments[0]).rows
        named = {row.serial_number for row in rows}
        assert named < {row.serial_number for row in everywhere}
        assert {row.serial_number for row in everywhere if row.registration == "Q-SKA"} <= named

    def test_the_later_moment_first_is_refused(self, demo: Store, moments: Moments) -> None:
        with pytest.raises(Refusal) as refused:
            compare(demo, as_of=AS_OF, earlier=moments[1], later=moments[0])
        assert refused.value.code == "moments-reversed"


def url(store: Store) -> str:
    return store.engine.url.render_as_string(hide_password=False)


def _state(row: DueRow | None) -> object:
    return None if row is None else (row.state, row.due_date)


class TestTheCommand:
    def test_json_tells_both_heads_and_the_entries(self, demo: Store, moments: Moments) -> None:
        answer = fleetlife(*ASKED, moments[0], "--known-at", moments[1], "--format", "json", database=url(demo))
        assert answer.status == FINDINGS
        about = answer.json["about"]
        assert (about["earlier"]["entry"], about["ledger_entry"]) == (int(moments[0]), int(moments[1]))
        assert about["earlier"]["head"] != about["ledger_head"]
        assert [line["number"] for line in about["entries"]]

    def test_nothing_differing_is_said_and_clean(self, demo: Store, moments: Moments) -> None:
        answer = fleetlife(*ASKED, moments[0], "--known-at", moments[0], database=url(demo))
        assert answer.status == CLEAN
        assert "Nothing differs in what is believed of any unit." in answer.out

"""A swap from plan to release, on each database: what is refused, what is kept, what the records say of it later."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import Mend, mend, withdraw
from fleetlife.actions.swap import SwapRequest, UnitName
from fleetlife.actions.swap_plan import PlanRequest, plan_swap
from fleetlife.actions.swap_work import Change, Gauge, Sign, Step, Wanted, Work, record_work
from fleetlife.answers.audit import audit
from fleetlife.answers.export import export
from fleetlife.answers.story import unit_story
from fleetlife.answers.swap_sheet import swap_sheet
from fleetlife.answers.swaps import swap_list, swap_show
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder

from .fleet import BOTTLE, SLIDE, Files, Intake, everything, head, kinds, only, rebuilt_differs

DAY = date(2024, 1, 31)
ON = date(2024, 1, 20)
CODES = [f"SWP10{n}" for n in range(1, 9)]


def at_doors() -> Files:
    """What must be so at the doors of the small fleet, and who may sign."""
    data = {"type": "ISL-90", "reference": "AMM 25-66", "revision": "4"}
    return {
        "release_items": [
            {**data, "category": "device", "item": "inflation pin"},
            {**data, "category": "lock", "item": "seal wire"},
            {**data, "category": "test", "item": "arming", "runs": 2},
            {**data, "category": "inspection", "item": "independent inspection", "position": "R1"},
        ],
        "pressures": [
            {
                "part_number": BOTTLE,
                "celsius": c,
                "minimum": low,
                "maximum": low + 300,
                "unit": "psi",
                "reference": "CMM",
            }
            for c, low in ((0, 2500), (20, 2900))
        ],
        "authorisations": [
            {"staff": "M1", "role": "performed", "from": "2023-01-01"},
            {"staff": "M1", "role": "inspected", "from": "2023-01-01"},
            {"staff": "M2", "role": "inspected", "from": "2023-01-01", "type": "ISL-90"},
            {"staff": "C1", "role": "released", "from": "2023-01-01", "until": "2024-12-31"},
            {"staff": "C2", "role": "released", "from": "2023-01-01", "until": "2024-01-19"},
        ],
    }


@pytest.fixture
def doors(fleet: Intake) -> Store:
    fleet.take(at_doors())
    return fleet.store


def plan(store: Store, position: str = "R1", serial: str | None = "0103", **more: Any) -> str:
    unit = None if serial is None else UnitName(part_number=SLIDE, serial_number=serial)
    given: dict[str, Any] = {
        "registration": "Q-AAA",
        "position": position,
        "on": ON,
        "planned_by": "P1",
        "install": unit,
    }
    done = plan_swap(store, PlanRequest(**(given | more)), as_of=DAY, recorded_by="clerk")
    return done.card.swap


def record(store: Store, number: str, *wanted: Wanted, **more: Any) -> Any:
    return record_work(store, number, wanted, as_of=DAY, recorded_by="clerk", **more)


def did(item: str, outcome: str, **more: Any) -> Work:
    return Work(**{"item": item, "outcome": outcome, "on": ON, "by": "M1"} | more)


def signs(role: str, by: str, **more: Any) -> Sign:
    return Sign(**{"role": role, "on": ON, "by": by} | more)


def change(harness: str = "right", **more: Any) -> Change:
    request = SwapRequest(registration="", position="", on=ON, harness=harness, removed_to="store", **more)
    return Change(request=request)


def gauge(pressure: int = 2_900, celsius: int = 10, **more: Any) -> Gauge:
    given = {"pressure": pressure * 1000, "pressure_unit": "psi", "millicelsius": celsius * 1000, "on": ON, "by": "M1"}
    return Gauge(**given | more)


WHOLE: tuple[Wanted, ...] = (
    Step(step="begun", on=ON, by="M1"),
    did("inflation pin", "placed"),
    did("seal wire", "broken"),
    gauge(),
    change(),
    did("inflation pin", "removed"),
    did("seal wire", "remade"),
    did("arming", "passed"),
    did("arming", "passed"),
    signs("performed", "M1"),
    signs("inspected", "M2"),
)


def refused(store: Store, number: str, *wanted: Wanted) -> Refusal:
    before = everything(store)
    with pytest.raises(Refusal) as said:
        record(store, number, *wanted)
    assert everything(store) == before
    return said.value


def found(store: Store, **clocks: Any) -> list[str]:
    return [each.code for each in audit(store, codes=CODES, **{"as_of": DAY} | clocks).findings]


class TestWhole:
    def test_a_left_rigged_unit_goes_onto_a_right_door_and_the_door_is_released(self, doors: Store) -> None:
        number = plan(doors)
        assert record(doors, number, Step(step="checked", on=ON, by="S1")).card.state == "checked"
        done = record(doors, number, *WHOLE)
        assert done.card.state == "done"
        assert done.card.open == ()
        released = record(doors, number, signs("released", "C1", reference="TL-1"))
        assert released.card.state == "released"
        card = unit_card(doors, part_number=SLIDE, serial_number="0103", as_of=DAY)
        assert card.harness == "right"
        assert "R1" in card.place
        told = [line.text for line in unit_story(doors, part_number=SLIDE, serial_number="0103", as_of=DAY).lines]
        assert f"planned to go on Q-AAA R1, swap {number}, planned by P1" in told
        told = [line.text for line in unit_story(doors, part_number=BOTTLE, serial_number="R3", as_of=DAY).lines]
        assert f"gauge 2900 psi at 10 °C, read by M1, swap {number}" in told
        assert found(doors) == []
        assert rebuilt_differs(doors) == {}
        assert verify(doors).findings == ()

    def test_each_step_is_an_entry_and_the_movement_names_the_swap(self, doors: Store) -> None:
        number = plan(doors)
        before = head(doors)
        record(doors, number, *WHOLE)
        assert kinds(doors)[before:] == [
            *("swap_step", "position_work", "position_work", "gauge_reading", "movement"),
            *("position_work",) * 4,
            *("swap_signature",) * 2,
        ]
        events = swap_show(doors, number, as_of=DAY).events
        assert any("done: QX100-1 0103 on, QX100-1 0102 off, rigged right" in event.what for event in events)

    def test_without_a_number_of_its_own_it_gets_one(self, doors: Store) -> None:
        assert plan(doors) == f"SW{head(doors)}"
        assert plan(doors, "L1", "0104", swap="N-17") == "N-17"
        assert [row.swap for row in swap_list(doors, as_of=DAY).rows] == ["N-17", f"SW{head(doors) - 1}"]

    def test_a_filled_sheet_is_taken_in_whole_or_not_at_all(self, doors: Store) -> None:
        number = plan(doors)
        assert refused(doors, number, *WHOLE, signs("released", "M1")).code == "not-authorised"
        assert swap_show(doors, number, as_of=DAY).state == "planned"

    def test_asked_again_with_the_same_key_nothing_is_done_twice(self, doors: Store) -> None:
        number = plan(doors)
        first = record(doors, number, *WHOLE, request_key="K1")
        after = head(doors)
        again = record(doors, number, *WHOLE, request_key="K1")
        assert (again.already, again.first_entry, again.entries) == (True, first.first_entry, first.entries)
        assert head(doors) == after
        with pytest.raises(Refusal, match="request key"):
            record(doors, number, signs("released", "C1"), request_key="K1")

    def test_a_preview_records_nothing(self, doors: Store) -> None:
        number = plan(doors)
        before = everything(doors)
        assert record(doors, number, *WHOLE, preview=True).card.state == "done"
        assert everything(doors) == before

    def test_what_was_planned_goes_out_in_files_and_in_again(
        self, doors: Store, tmp_path: Any, other_intake: Intake
    ) -> None:
        number = plan(doors)
        record(doors, number, *WHOLE, signs("released", "C1"))
        list(export(doors, tmp_path / "out"))
        from fleetlife.actions.take_in import take_in

        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        mine, theirs = (swap_show(store, number, as_of=DAY) for store in (doors, other_intake.store))
        assert theirs.state == "released"
        assert sorted((e.on, e.what, e.by) for e in theirs.events) == sorted((e.on, e.what, e.by) for e in mine.events)
        assert found(other_intake.store) == []


REFUSED: list[tuple[tuple[Wanted, ...], str]] = [
    ((did("inflation pin", "removed"),), "not-placed"),
    ((did("inflation pin", "placed"), did("inflation pin", "placed")), "placed-already"),
    ((did("inflation pin", "placed"), did("inflation pin", "not_used")), "placed-already"),
    ((did("seal wire", "remade"),), "not-placed"),
    ((did("inflaton pin", "placed"),), "item-unknown"),
    ((did("inflation pin", "passed"),), "item-unknown"),
    ((did("inflation pin", "stowed"),), "word-not-known"),
    ((did("arming", "passed"),), "not-done"),
    ((signs("performed", "M1"),), "not-done"),
    ((change(), signs("performed", "M1", on=date(2024, 1, 19))), "not-done"),
    ((change(), signs("performed", "X9")), "not-authorised"),
    ((change(), signs("performed", "M2")), "not-authorised"),
    ((change(), signs("performed", "M1"), signs("inspected", "M1")), "inspected-own-work"),
    ((change(), signs("inspected", "M1"), signs("performed", "M1")), "inspected-own-work"),
    ((change(), signs("performed", "M1"), signs("inspected", "M2", alone="nobody else")), "no-exception-needed"),
    ((change(), signs("released", "C2")), "not-authorised"),
    ((change(), signs("released", "C1")), "not-releasable"),
    ((change(), signs("approved", "C1")), "word-not-known"),
    ((Step(step="given_up", on=ON, by="P1"),), "reason-missing"),
    ((change(), Step(step="given_up", on=ON, by="P1", why="late")), "swap-done"),
    ((did("inflation pin", "placed", by=" "),), "name-missing"),
    ((did("inflation pin", "placed", on=date(2024, 2, 1)),), "in-the-future"),
    ((gauge(unit=UnitName(part_number=SLIDE, serial_number="0102")),), "gauge-of-which"),
    ((), "nothing-to-record"),
]


class TestRefused:
    @pytest.mark.parametrize(("wanted", "code"), REFUSED)
    def test_with_nothing_written(self, doors: Store, wanted: tuple[Wanted, ...], code: str) -> None:
        assert refused(doors, plan(doors), *wanted).code == code

    def test_a_release_names_every_open_point(self, doors: Store) -> None:
        number = plan(doors)
        open_points = refused(doors, number, *WHOLE[:5], signs("released", "C1")).details
        told = " ".join(open_points)
        for words in ("inflation pin: placed", "seal wire: broken", "arming: not signed", "Nobody signed"):
            assert words in told
        assert "inspection by another person" in told

    @pytest.mark.parametrize("without", [5, 6, 8, 9, 10])
    def test_no_release_while_one_thing_is_open(self, doors: Store, without: int) -> None:
        wanted = [each for place, each in enumerate(WHOLE) if place != without]
        assert refused(doors, plan(doors), *wanted, signs("released", "C1")).code == "not-releasable"

    @pytest.mark.parametrize(("pressure", "celsius"), [(2_699, 10), (3_001, 10), (2_900, 21)])
    def test_no_release_with_a_gauge_outside_its_band_or_table(self, doors: Store, pressure: int, celsius: int) -> None:
        wanted = [gauge(pressure, celsius) if isinstance(each, Gauge) else each for each in WHOLE]
        number = plan(doors)
        record(doors, number, *wanted)
        assert refused(doors, number, signs("released", "C1")).code == "not-releasable"
        assert found(doors) == ["SWP103", *(["SWP108"] if celsius == 10 else [])]

    def test_a_swap_that_is_over_takes_nothing_more(self, doors: Store) -> None:
        number = plan(doors)
        record(doors, number, Step(step="given_up", on=ON, by="P1", why="the unit was needed elsewhere"))
        assert refused(doors, number, did("inflation pin", "placed")).code == "swap-over"
        with pytest.raises(Refusal, match="given up"):
            swap_sheet(doors, number, as_of=DAY)
        assert plan(doors) != number

    def test_one_position_has_one_open_swap(self, doors: Store) -> None:
        number = plan(doors)
        with pytest.raises(Refusal) as said:
            plan(doors, serial="0104")
        assert said.value.code == "position-has-a-swap"
        with pytest.raises(Refusal) as said:
            plan(doors, "L1", swap=number.lower())
        assert said.value.code == "swap-number-taken"

    @pytest.mark.parametrize(
        ("more", "code"),
        [
            ({"on": date(2024, 2, 1)}, "in-the-future"),
            ({"target": date(2024, 1, 1)}, "target-before-the-plan"),
            ({"planned_by": " "}, "name-missing"),
            ({"serial": "0102"}, "removed-and-installed"),
            ({"serial": "0999"}, "unit-unknown"),
            ({"position": "L9"}, "position-unknown"),
        ],
    )
    def test_a_plan_that_cannot_be(self, doors: Store, more: dict[str, Any], code: str) -> None:
        with pytest.raises(Refusal) as said:
            plan(doors, **more)
        assert said.value.code == code

    def test_a_movement_carries_out_the_swap_of_its_own_position(self, doors: Store) -> None:
        from fleetlife.actions.swap import record_swap

        number = plan(doors)
        unit = UnitName(part_number=SLIDE, serial_number="0104")
        at: dict[str, Any] = {"registration": "Q-AAA", "position": "L1", "on": ON, "install": unit, "harness": "left"}
        for swap, code in ((number, "swap-elsewhere"), ("NONE", "swap-unknown")):
            with pytest.raises(Refusal) as said:
                record_swap(doors, SwapRequest(**at, swap=swap), as_of=DAY, recorded_by="clerk")
            assert said.value.code == code


class TestException:
    def test_own_work_inspected_with_a_reason_is_kept_as_the_exception(self, doors: Store) -> None:
        number = plan(doors)
        wanted = [*WHOLE[:-1], signs("inspected", "M1", alone="the second person fell ill")]
        record(doors, number, *wanted, signs("released", "C1"))
        assert found(doors) == ["SWP107"]

    def test_what_no_data_asks_for_is_recorded_as_such(self, doors: Store) -> None:
        number = plan(doors)
        record(doors, number, did("tie wrap", "placed", unlisted=True))
        assert "SWP101" in found(doors)
        record(doors, number, did("tie wrap", "removed"))
        assert found(doors) == []


class TestLater:
    def test_what_was_known_then_is_told_as_then(self, doors: Store) -> None:
        number = plan(doors)
        planned = head(doors)
        record(doors, number, *WHOLE)
        done = head(doors)
        record(doors, number, signs("released", "C1"))
        assert swap_show(doors, number, as_of=DAY, known_at=str(planned)).state == "planned"
        assert swap_show(doors, number, as_of=DAY, known_at=str(done)).state == "done"
        assert found(doors, known_at=str(done)) == ["SWP103"]
        assert found(doors) == []
        with pytest.raises(Refusal) as said:
            swap_show(doors, number, as_of=DAY, known_at=str(planned - 1))
        assert said.value.code == "swap-not-then"

    def test_a_test_withdrawn_after_the_release_is_found(self, doors: Store) -> None:
        number = plan(doors)
        done = record(doors, number, *WHOLE, signs("released", "C1"))
        tested = done.first_entry + 7
        withdraw(doors, tested, reason="signed for another door", authorised_by="Q1", recorded_by="clerk")
        assert found(doors) == ["SWP105"]
        assert verify(doors).findings == ()

    def test_an_authorisation_withdrawn_after_the_release_is_found(self, doors: Store) -> None:
        number = plan(doors)
        record(doors, number, *WHOLE, signs("released", "C1"))
        (entry,) = [n for n, kind in enumerate(kinds(doors), 1) if kind == "authorisation"]
        mend(doors, [Mend(entry=entry, item=3)], reason="never held", authorised_by="Q1", recorded_by="clerk")
        assert found(doors) == ["SWP106"]

    def test_an_item_asked_for_later_accuses_no_earlier_release(self, fleet: Intake) -> None:
        fleet.take(at_doors())
        number = plan(fleet.store)
        record(fleet.store, number, *WHOLE, signs("released", "C1"))
        fleet.take({"release_items": [{"type": "ISL-90", "category": "test", "item": "door light"}]})
        assert found(fleet.store) == []

    def test_a_door_with_a_device_in_is_found_whatever_became_of_the_swap(self, doors: Store) -> None:
        number = plan(doors)
        record(doors, number, did("inflation pin", "placed"))
        record(doors, number, Step(step="given_up", on=ON, by="P1", why="weather"))
        assert found(doors) == ["SWP101"]
        assert found(doors, as_of=date(2024, 1, 19)) == []


class TestSheet:
    def test_says_what_goes_where_and_what_is_to_be_made(self, doors: Store) -> None:
        number = plan(doors, target=DAY)
        sheet = swap_sheet(doors, number, as_of=DAY)
        assert sheet.symbol == f"fleetlife swap show {number}"
        assert (sheet.incoming and sheet.incoming.rig_in_hand, sheet.card.harness) == ("left", "right")
        assert sheet.outcome == "conditions to meet first"
        assert [table.unit for table in sheet.tables] == [f"{BOTTLE} R3"]
        assert sheet.incoming is not None
        assert "T3 of Fulmar Repair, Overhauled" in (sheet.incoming.release or "")


DEFERRED = {"registration": "Q-AAA", "position": "R1", "opened": "2024-01-20", "item": "25-66", "authorised_by": "C1"}
UNTIL: dict[str, Any] = {"staff": "M3", "role": "released", "from": "2024-02-01"}
BAND: dict[str, Any] = {"part_number": BOTTLE, "celsius": 5, "minimum": 8, "maximum": 9, "unit": "psi"}


class TestFiles:
    @pytest.mark.parametrize(
        ("file", "row", "column"),
        [
            ("release_items", {"type": "ISL-90", "position": "L9", "category": "device", "item": "pin"}, "position"),
            ("release_items", {"type": "ISL-90", "category": "device", "item": "pin", "runs": 2}, "runs"),
            (
                "release_items",
                {"type": "ISL-90", "position_kind": "hatch", "category": "device", "item": "pin"},
                "position_kind",
            ),
            ("release_items", {"type": "ISL-90", "category": "test", "item": "x", "runs": 0}, "runs"),
            ("pressures", {**BAND, "maximum": 7}, "maximum"),
            ("pressures", {**BAND, "unit": "bar"}, "unit"),
            ("pressures", {**BAND, "part_number": "QR-9"}, "part_number"),
            ("authorisations", {**UNTIL, "until": "2024-01-01"}, "until"),
            ("authorisations", {**UNTIL, "type": "XX"}, "type"),
            ("swap_steps", {"swap": "NONE", "step": "begun", "date": "2024-01-20", "signed_by": "M1"}, "swap"),
            (
                "swap_steps",
                {"swap": "S1", "step": "given_up", "date": "2024-01-20", "signed_by": "M1"},
                "why",
            ),
            (
                "swap_signatures",
                {"swap": "S1", "role": "released", "date": "2024-01-20", "signed_by": "C1", "exception": "x"},
                "exception",
            ),
            (
                "position_work",
                {"registration": "Q-AAA", "position": "R1", "category": "lock", "item": "pin", "outcome": "placed",
                 "date": "2024-01-20", "signed_by": "M1"},
                "outcome",
            ),
            (
                "position_work",
                {"registration": "Q-AAA", "position": "L1", "category": "lock", "item": "pin", "outcome": "broken",
                 "date": "2024-01-20", "signed_by": "M1", "swap": "S1"},
                "swap",
            ),
            (
                "deferrals",
                {**DEFERRED, "closed": "2024-01-21"},
                "closed_by",
            ),
            (
                "deferrals",
                {**DEFERRED, "expires": "2024-01-19"},
                "expires",
            ),
        ],
    )  # fmt: skip
    def test_a_row_that_cannot_be_is_refused_with_its_place(
        self, fleet: Intake, file: str, row: dict[str, Any], column: str
    ) -> None:
        fleet.take(at_doors())
        plan(fleet.store, swap="S1")
        assert only(fleet.refused({file: [row]})).column == column

    def test_a_deferral_is_closed_by_the_same_row_and_comes_out_as_one(self, fleet: Intake, tmp_path: Any) -> None:
        opened = {
            "registration": "Q-AAA",
            "position": "R1",
            "opened": "2024-01-20",
            "item": "25-66",
            "authorised_by": "C1",
        }
        closed = {**opened, "closed": "2024-01-22", "closed_by": "C1"}
        assert fleet.take({"deferrals": [DEFERRED]}).files == (("deferrals", 1, 1, 0),)
        assert fleet.take({"deferrals": [closed]}).files == (("deferrals", 1, 1, 1),)
        assert fleet.take({"deferrals": [closed]}).files == (("deferrals", 1, 0, 1),)
        list(export(fleet.store, tmp_path / "out"))
        text = (tmp_path / "out" / "deferrals.csv").read_text(encoding="utf-8")
        assert text.splitlines()[1].endswith("C1,2024-01-22,C1")

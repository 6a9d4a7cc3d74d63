"""Ground times and the least life to fit, taken in on each database, and what rests on them: where swaps are placed,
the note of a plan, the findings of plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from fleetlife.actions.mend import withdraw
from fleetlife.actions.swap import UnitName
from fleetlife.actions.swap_plan import PlanRequest, plan_swap
from fleetlife.actions.take_in import take_in
from fleetlife.answers.export import export
from fleetlife.answers.swap_place import swap_place
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.terms.placing import PlacedSwap
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.swaps import WorkRecorded
from fleetlife.transfer.reading import read_folder

from .fleet import SLIDE, Intake, Row, head, only

DAY = date(2024, 1, 31)
UNTIL = date(2025, 12, 31)
# The packs on Q-AAA were released on 2022-03-10: their overhaul falls due on 2025-03-10.
DUE = "2025-03-10"


def ground(first: str, last: str, registration: str = "Q-AAA", **more: Any) -> Row:
    return {"registration": registration, "from": first, "until": last, "station": "SKA", **more}


def placed(store: Store, **more: Any) -> dict[str, PlacedSwap]:
    asked = {"as_of": DAY, "until": UNTIL, "registrations": ["Q-AAA"]} | more
    return {row.position: row for row in swap_place(store, **asked).rows}


def plan(store: Store, target: date, position: str = "R1", serial: str = "0104") -> WorkRecorded:
    request = PlanRequest(
        registration="Q-AAA",
        position=position,
        on=date(2024, 1, 20),
        planned_by="P1",
        install=UnitName(part_number=SLIDE, serial_number=serial),
        target=target,
    )
    return plan_swap(store, request, as_of=DAY, recorded_by="clerk")


class TestPlaced:
    def test_the_latest_that_begins_in_time(self, fleet: Intake) -> None:
        visits = [ground("2025-02-01", "2025-02-04"), ground("2025-03-08", "2025-03-20", reference="visit 9")]
        fleet.take({"ground_times": [*visits, ground("2025-03-11", "2025-03-12", "Q-BBB")]})
        row = placed(fleet.store)["L1"]
        assert (row.due_on, row.place_on, row.ground_until, row.station) == (DUE, "2025-03-08", "2025-03-20", "SKA")
        assert (row.days_given_away, row.ground_reference, row.why) == (2, "visit 9", None)

    def test_without_one_in_time_the_next_is_told(self, fleet: Intake) -> None:
        before = placed(fleet.store)["L1"]
        assert before.why == "No ground time of Q-AAA is in the records."
        fleet.take({"ground_times": [ground("2025-03-11", "2025-03-12")]})
        row = placed(fleet.store)["L1"]
        assert (row.place_on, row.days_given_away, row.next_from) == (None, None, "2025-03-11")
        assert row.why == f"No ground time of Q-AAA begins by {DUE}. The next begins on 2025-03-11 at SKA."

    def test_what_has_fallen_due_is_in_no_ground_time(self, fleet: Intake) -> None:
        fleet.take({"ground_times": [ground("2025-03-08", "2025-03-20")]})
        row = placed(fleet.store, as_of=date(2025, 3, 12))["L1"]
        assert row.place_on is None
        assert (row.why or "").startswith(f"It fell due on {DUE}")
        # it goes on, and the work is still in time
        assert placed(fleet.store, as_of=date(2025, 3, 10))["L1"].place_on == DUE

    def test_the_open_plan_of_the_position_is_named(self, fleet: Intake) -> None:
        made = plan(fleet.store, date(2025, 2, 1), "L1", "0103")
        row = placed(fleet.store)["L1"]
        assert (row.swap, row.target) == (made.card.swap, "2025-02-01")

    def test_known_at_an_earlier_moment_and_withdrawn_it_is_not_there(self, fleet: Intake) -> None:
        before = head(fleet.store)
        fleet.take({"ground_times": [ground("2025-03-08", "2025-03-20")]})
        assert placed(fleet.store, known_at=str(before))["L1"].place_on is None
        assert placed(fleet.store)["L1"].place_on == "2025-03-08"
        withdraw(fleet.store, head(fleet.store), reason="off", authorised_by="Q1", recorded_by="clerk")
        assert placed(fleet.store)["L1"].place_on is None
        assert verify(fleet.store).findings == ()

    def test_a_horizon_in_the_past_is_refused(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            swap_place(fleet.store, as_of=DAY, until=DAY - timedelta(days=1))
        assert refused.value.code == "horizon-in-the-past"


class TestPlan:
    def test_a_target_in_no_ground_time_is_told_where_ground_times_are_known(self, fleet: Intake) -> None:
        assert plan(fleet.store, date(2024, 3, 1), "L1", "0103").told == (f"Swap SW{head(fleet.store)} is planned.",)
        fleet.take({"ground_times": [ground("2024-02-20", "2024-02-22"), ground("2024-06-01", "2024-06-02")]})
        told = plan(fleet.store, date(2024, 3, 1)).told[1]
        assert told.startswith("The target 2024-03-01 lies in no ground time of Q-AAA; before it from 2024-02-20 until")
        assert "after it from 2024-06-01" in told

    def test_a_target_on_the_last_day_of_one_is_in_it(self, fleet: Intake) -> None:
        fleet.take({"ground_times": [ground("2024-02-20", "2024-02-22")]})
        assert len(plan(fleet.store, date(2024, 2, 22)).told) == 1

    # 0104 falls due by its bottle's mark of 2023-02: good through 2026-02-28
    @pytest.mark.parametrize(("begins", "found"), [("2026-02-28", []), ("2026-03-01", ["PLN101"])])
    def test_due_before_the_next_ground_time(self, other_fleet: Intake, begins: str, found: list[str]) -> None:
        other_fleet.take({"ground_times": [ground("2024-02-20", "2024-02-22"), ground(begins, "2026-03-09")]})
        card = plan(other_fleet.store, date(2024, 2, 21)).card
        assert [each.finding for each in card.findings] == found

    @pytest.mark.parametrize(("days", "found"), [(738, []), (739, ["PLN106"])])
    def test_life_below_the_least(self, other_fleet: Intake, days: int, found: list[str]) -> None:
        assert (date(2026, 2, 28) - date(2024, 2, 21)).days == 738
        other_fleet.take(
            {"least_lives": [{"part_number": SLIDE, "from": "2024-01-01", "days": days, "reference": "note 4"}]}
        )
        card = plan(other_fleet.store, date(2024, 2, 21)).card
        assert [each.finding for each in card.findings] == found


class TestFiles:
    @pytest.mark.parametrize(
        ("file", "row", "column", "says"),
        [
            ("ground_times", ground("2025-03-08", "2025-03-07"), "until", "ends before it begins"),
            ("ground_times", ground("2025-02-03", "2025-02-09"), "from", "overlaps the ground time"),
            ("ground_times", ground("2025-01-03", "2025-02-09"), "from", "from 2025-02-01 to 2025-02-04 at SKA"),
            ("ground_times", ground("2025-05-01", "2025-05-02", "Q-ZZZ"), "registration", "Q-ZZZ"),
            ("least_lives", {"operator": "Auk", "from": "2025-01-01", "days": 9, "reference": "n"}, "operator", "Auk"),
            (
                "least_lives",
                {"part_number": "NO-1", "from": "2025-01-01", "days": 9, "reference": "n"},
                "part_number",
                "",
            ),
            ("least_lives", {"from": "2025-01-01", "days": 0, "reference": "n"}, "days", "asks for nothing"),
        ],
    )
    def test_a_row_that_cannot_be_is_refused_with_its_place(
        self, other_fleet: Intake, file: str, row: Row, column: str, says: str
    ) -> None:
        other_fleet.take({"ground_times": [ground("2025-02-01", "2025-02-04")]})
        problem = only(other_fleet.refused({file: [row]}))
        assert (problem.file, problem.line, problem.column) == (f"{file}.csv", 2, column)
        assert says in problem.sentence()

    def test_two_rows_of_one_file_that_overlap_are_refused(self, other_fleet: Intake) -> None:
        rows = [ground("2025-02-01", "2025-02-04"), ground("2025-02-04", "2025-02-09")]
        assert "overlaps" in only(other_fleet.refused({"ground_times": rows})).sentence()

    def test_they_go_out_in_files_and_in_again(self, fleet: Intake, other_intake: Intake, tmp_path: Any) -> None:
        rules = [{"from": "2024-01-01", "days": 90, "reference": "note 4"}]
        fleet.take({"ground_times": [ground("2025-02-01", "2025-02-04", reference="visit 1")], "least_lives": rules})
        again = fleet.take({"ground_times": [ground("2025-02-01", "2025-02-04", reference="visit 1")]})
        assert {name: new for name, _, new, _ in again.files}["ground_times"] == 0
        written = dict(export(fleet.store, tmp_path / "out"))
        assert (written["ground_times.csv"], written["least_lives.csv"]) == (1, 1)
        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        there, here = placed(other_intake.store), placed(fleet.store)
        assert {n: replace(row, ground_entry=None) for n, row in there.items()} == {
            n: replace(row, ground_entry=None) for n, row in here.items()
        }

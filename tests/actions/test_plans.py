"""What can go wrong with planned swaps, on each database: told while the unit has not been changed, and by whom."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import withdraw
from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.actions.swap_plan import PlanRequest, plan_swap
from fleetlife.actions.swap_work import Step, record_work
from fleetlife.answers.audit import audit
from fleetlife.answers.swaps import swap_list, swap_show
from fleetlife.store.engine import Store
from fleetlife.terms.swaps import SwapCard
from tests.store.fleet import statements_of

from .fleet import SLIDE, Intake, head, movement, small_fleet, transfer, unit

DAY = date(2024, 1, 31)
WIDE = "QX200-1"


def plan(store: Store, position: str, serial: str | None, **more: Any) -> SwapCard:
    part = more.pop("part", SLIDE)
    given: dict[str, Any] = {
        "registration": "Q-AAA",
        "position": position,
        "on": date(2024, 1, 20),
        "planned_by": "P1",
        "install": None if serial is None else UnitName(part_number=part, serial_number=serial),
    }
    return plan_swap(store, PlanRequest(**(given | more)), as_of=DAY, recorded_by="clerk").card


def codes(card: SwapCard) -> list[str]:
    return [each.finding for each in card.findings]


def found(store: Store, **clocks: Any) -> list[str]:
    answer = audit(store, **({"as_of": DAY} | clocks))
    return [f"{each.code} {each.position}" for each in answer.findings if each.code.startswith("PLN")]


class TestTold:
    def test_a_plan_with_nothing_against_it_has_no_finding(self, fleet: Intake) -> None:
        assert codes(plan(fleet.store, "R1", "0104")) == []
        assert found(fleet.store) == []

    def test_the_rig_is_told_when_the_plan_is_made(self, fleet: Intake) -> None:
        card = plan(fleet.store, "R1", "0103")
        assert [(each.finding, each.severity) for each in card.findings] == [("PLN102", "rectify")]
        assert "rigged left" in card.findings[0].message

    def test_do_not_fit_is_asked_for_the_target_day(self, fleet: Intake) -> None:
        # its bottle's mark of 2023-02 is good through 2026-02-28
        assert codes(plan(fleet.store, "R1", "0104", target=date(2026, 2, 28))) == []
        record_work(
            fleet.store,
            swap_list(fleet.store, as_of=DAY).rows[0].swap,
            [Step(step="given_up", on=date(2024, 1, 21), by="P1", why="later")],
            as_of=DAY,
            recorded_by="clerk",
        )
        late = plan(fleet.store, "R1", "0104", target=date(2026, 3, 1))
        assert codes(late) == ["PLN103"]
        assert "2026-03-01" in late.findings[0].message

    def test_one_spare_in_two_plans_is_told_at_both_and_when_one_is_given_up_at_neither(self, fleet: Intake) -> None:
        store = fleet.store
        plan(store, "R1", "0104")
        second = plan(store, "L1", "0104", registration="Q-BBB")
        assert "PLN105" in codes(second)
        assert sorted(each for each in found(store) if each.startswith("PLN105")) == ["PLN105 L1", "PLN105 R1"]
        only = audit(store, as_of=DAY, registrations=["Q-AAA"]).findings
        assert [each.position for each in only if each.code == "PLN105"] == ["R1"]
        given_up = Step(step="given_up", on=date(2024, 1, 21), by="P1", why="goes elsewhere")
        record_work(store, second.swap, [given_up], as_of=DAY, recorded_by="clerk")
        assert found(store) == []

    def test_a_pair_that_only_both_plans_together_keep(self, intake: Intake) -> None:
        files = small_fleet()
        files["parts"] = [
            *({**row, "intermix_family": "narrow"} if row["part_number"] == SLIDE else row for row in files["parts"]),
            {"part_number": WIDE, "manufacturer": "Kittiwake", "rig": "either", "intermix_family": "wide"},
        ]
        files["eligibility"] += [{"type": "ISL-90", "position": p, "part_number": WIDE} for p in ("L1", "R1")]
        files["intermix"] = [
            {"family": "narrow", "other_family": "wide", "permitted": "no", "reference": "IPC 25-66 note 1"}
        ]
        stated = {"programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "reference": "Card OC"}
        files["requirements"].append({"requirement": "OC", "part_number": WIDE, "kind": "on_condition", **stated})
        for serial, side in (("0201", "left"), ("0202", "right")):
            files["units"].append(unit(WIDE, serial, store="Main", condition="serviceable", harness=side))
            paper = {"tracking_number": f"T{serial}", "organisation": "Fulmar Repair", "status": "New"}
            files["certificates"].append({**paper, "part_number": WIDE, "serial_number": serial, "date": "2023-10-10"})
        intake.take(files)
        first = plan(intake.store, "L1", "0201", part=WIDE)
        assert codes(first) == ["PLN104"]
        assert "no open plan changes that" in first.findings[0].message
        second = plan(intake.store, "R1", "0202", part=WIDE)
        assert codes(second) == ["PLN104"]
        assert f"only with {WIDE} 0201, which {first.swap} puts there" in second.findings[0].message
        assert found(intake.store) == ["PLN104 L1", "PLN104 R1"]


class TestOvertaken:
    def test_another_unit_was_swapped_in(self, fleet: Intake) -> None:
        card = plan(fleet.store, "L1", "0103")
        assert codes(card) == []
        planned = head(fleet.store)
        off = {"removed_to": "store", "removed_condition": "unserviceable"}
        fleet.take({"movements": [movement("2024-01-25", off="0101", fit="0104", harness="left", **off)]})
        now = swap_show(fleet.store, card.swap, as_of=DAY)
        assert codes(now) == ["PLN107"]
        assert f"{SLIDE} 0104 hangs there since 2024-01-25" in now.findings[0].message
        assert found(fleet.store) == ["PLN107 L1"]
        assert found(fleet.store, known_at=str(planned)) == []
        assert found(fleet.store, as_of=date(2024, 1, 24)) == []
        # what overtook it is withdrawn, and it stands again
        wrong = {"reason": "another airframe", "authorised_by": "Q1", "recorded_by": "clerk"}
        withdraw(fleet.store, head(fleet.store), **wrong)
        assert found(fleet.store) == []

    @pytest.mark.parametrize(
        ("happened", "told"),
        [
            ({"transfers": [transfer("0103", "2024-01-26", "scrap")]}, "scrap since 2024-01-26"),
            ({"transfers": [transfer("0103", "2024-01-26", "shop", organisation="Auk")]}, "shop Auk since 2024-01-26"),
            ({"movements": [movement("2024-01-26", off="0101", removed_to="store")]}, "nothing hangs there now"),
            (
                {"movements": [movement("2024-01-26", off="0101", fit="0103", harness="left", removed_to="store")]},
                "hangs there since 2024-01-26 already",
            ),
        ],
    )
    def test_what_happened_to_its_units_is_told(self, other_fleet: Intake, happened: Any, told: str) -> None:
        card = plan(other_fleet.store, "L1", "0103")
        other_fleet.take(happened)
        now = swap_show(other_fleet.store, card.swap, as_of=DAY)
        assert codes(now) == ["PLN107"]
        assert told in now.findings[0].message

    def test_a_plan_given_up_later_was_open_before(self, fleet: Intake) -> None:
        card = plan(fleet.store, "R1", "0103")
        given_up = Step(step="given_up", on=date(2024, 1, 25), by="P1", why="no more")
        record_work(fleet.store, card.swap, [given_up], as_of=DAY, recorded_by="clerk")
        assert found(fleet.store) == []
        assert found(fleet.store, as_of=date(2024, 1, 24)) == ["PLN102 R1"]
        assert found(fleet.store, as_of=date(2024, 1, 19)) == []
        assert swap_show(fleet.store, card.swap, as_of=date(2024, 1, 24)).state == "planned"

    def test_the_swap_that_overtakes_a_plan_says_so(self, fleet: Intake) -> None:
        card = plan(fleet.store, "L1", "0103")
        request = SwapRequest(
            registration="Q-AAA",
            position="L1",
            on=date(2024, 1, 25),
            install=UnitName(part_number=SLIDE, serial_number="0104"),
            harness="left",
            removed_to="store",
            signed_by="M1",
        )
        previewed = record_swap(fleet.store, request, as_of=DAY, recorded_by="clerk", preview=True)
        done = record_swap(fleet.store, request, as_of=DAY, recorded_by="clerk")
        assert done.overtaken == previewed.overtaken
        assert [card.swap in told and "0104 hangs there since 2024-01-25" in told for told in done.overtaken] == [True]


class TestCost:
    def test_what_is_over_costs_no_statement_and_each_open_plan_the_same(self, fleet: Intake) -> None:
        store = fleet.store

        def cost() -> int:
            with statements_of(store) as seen:
                audit(store, as_of=DAY, codes=["PLN107"])
            return len(seen)

        cost()
        none = cost()
        for number in range(3):
            card = plan(store, "R1", "0104", swap=f"N{number}")
            given_up = Step(step="given_up", on=date(2024, 1, 21), by="P1", why="no more")
            record_work(store, card.swap, [given_up], as_of=DAY, recorded_by="clerk")
        assert cost() == none
        plan(store, "R1", "0104")
        one = cost()
        plan(store, "L1", "0103")
        two = cost()
        assert none < one < two
        assert two - one <= one - none <= 45

"""The figures of an expansion test: taken in with the requalification, judged, shown, and carried out and in again."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.mend import correct
from fleetlife.actions.operation import OperationRequest, record_operation
from fleetlife.actions.swap import UnitName
from fleetlife.actions.take_in import take_in
from fleetlife.answers.audit import audit
from fleetlife.answers.export import export
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unfold import unfolded
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.terms.finding import Finding
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import Reason
from fleetlife.transfer.reading import read_folder

from .fleet import BOTTLE, SLIDE, Intake, Row, d, due, everything, head, only, rebuilt_differs

TODAY = date(2024, 2, 1)
FIRST_DUE = d("2026-02-28")  # by the mark of 2023-02
HST: Row = {"part_number": BOTTLE, "serial_number": "R3", "requirement": "HST", "date_basis": "mark"}


def with_figures(
    when: str = "2024-01",
    total: str | None = "200.0",
    permanent: str | None = "20.1",
    specification: str | None = "DOT-3AA1850",
    limit: str | None = None,
    **fields: Any,
) -> Row:
    """A test of the bottle R3, by default one over ten per cent."""
    figures = {"total": total, "permanent": permanent, "limit": limit, "specification": specification}
    return {**HST, "date": when, **{f"expansion_{name}": value for name, value in figures.items()}, **fields}


def found(store: Store, on: date = TODAY, **asked: Any) -> list[Finding]:
    return list(audit(store, as_of=on, codes=["CYL101"], **asked).findings)


def due_day(store: Store) -> int | None:
    (point,) = due(store, "R3")
    return point.calendar_due


def reasons(store: Store, on: date = TODAY, **asked: Any) -> tuple[str, list[Reason]]:
    answer = swap_check(
        store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=on, **asked
    )
    return answer.outcome, [reason for reason in answer.reasons if reason.code == "CYL101"]


def work_recorded(store: Store) -> str:
    return unit_card(store, part_number=BOTTLE, serial_number="R3", as_of=TODAY).done[-1]


class TestWithinTheLimit:
    def test_it_counts_like_any_requalification(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(permanent="20.0")]})
        assert due_day(fleet.store) == d("2027-01-31")
        assert found(fleet.store) == []
        assert reasons(fleet.store)[1] == []

    def test_the_ledger_holds_whole_thousandths(self, fleet: Intake) -> None:
        fleet.take(
            {"accomplishments": [with_figures(total="110.125", permanent="5", specification="3HT", limit="105.2")]}
        )
        with fleet.store.reading() as connection:
            stated = list(all_entries(connection))[-1].body["items"][0]
        assert {name: value for name, value in stated.items() if name.startswith("expansion")} == {
            "expansion_total": 110_125,
            "expansion_permanent": 5_000,
            "expansion_limit": 105_200,
            "expansion_specification": "3HT",
        }

    def test_the_card_tells_figures_percentage_and_limit(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(permanent="20.0")]})
        told = work_recorded(fleet.store)
        for words in ("total 200,", "permanent 20, which is 10.00 % of the total", "elastic 180", "2004 edition",
                      "within 10 % of the total", "49 CFR 180.205"):  # fmt: skip
            assert words in told

    def test_the_explained_date_tells_the_test_with_its_entry(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(permanent="20.0")]})
        answer = unfolded(fleet.store, part_number=BOTTLE, serial_number="R3", requirement="HST", as_of=TODAY)
        (passage,) = [p for p in answer.due[0].passages if p.topic == "expansion test"]
        told = dict(passage.figures)
        assert (told["tested"], told["permanent_percent"], told["outcome"]) == ("2024-01", "10.00", "passed")
        assert passage.entries == (head(fleet.store),)
        assert "within the published limit" in passage.text

    def test_stated_again_it_is_unchanged_and_with_other_figures_refused(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(permanent="20.0")]})
        assert fleet.take({"accomplishments": [with_figures(permanent="20", total="200")]}).entries == 0
        assert "correct" in only(fleet.refused({"accomplishments": [with_figures(permanent="19.9")]})).remedy

    def test_a_later_requalification_without_figures_is_no_finding(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(permanent="20.0")]})
        fleet.take({"accomplishments": [{**HST, "date": "2024-02"}]})
        assert due_day(fleet.store) == d("2027-02-28")
        assert found(fleet.store, date(2024, 3, 1)) == []


class TestOverTheLimit:
    def test_it_is_a_stop_and_the_date_stays_at_the_earlier_test(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        assert due_day(fleet.store) == FIRST_DUE
        (stop,) = found(fleet.store)
        assert (stop.severity, stop.serial_number, stop.evidence[0].entry) == ("stop", "R3", head(fleet.store))
        assert "Permanent expansion 20.1 is over 10 % of the total 200" in stop.message
        assert "10.05 %" in (stop.found or "")
        assert verify(fleet.store).findings == ()
        assert rebuilt_differs(fleet.store) == {}

    def test_no_later_test_restores_it(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures(), {**HST, "date": "2024-02"}]})
        (point,) = due(fleet.store, "R3")
        assert point.calendar_due == FIRST_DUE
        assert "the expansion test of 2024-01 condemned the cylinder, which that of 2024-02 does not undo" in (
            point.basis or ""
        )
        assert [each.severity for each in found(fleet.store, date(2024, 3, 1))] == ["stop"]

    def test_an_earlier_test_taken_in_late_still_counts(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        fleet.take({"accomplishments": [{**HST, "date": "2023-12"}]})
        assert due_day(fleet.store) == d("2026-12-31")

    def test_the_pack_that_holds_it_is_not_fitted(self, fleet: Intake) -> None:
        assert reasons(fleet.store)[1] == []
        fleet.take({"accomplishments": [with_figures()]})
        outcome, (stop,) = reasons(fleet.store)
        assert (outcome, stop.verdict) == ("do not fit", "stop")
        assert "QR-7 R3 on 2024-01" in stop.text
        assert "the cylinder is condemned" in stop.text

    def test_it_is_not_filled(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        before = everything(fleet.store)
        bottle = UnitName(part_number=BOTTLE, serial_number="R3")
        request = OperationRequest(unit=bottle, operation="filling", on=date(2024, 1, 20))
        with pytest.raises(Refusal) as refused:
            record_operation(fleet.store, request, as_of=TODAY, recorded_by="clerk")
        assert refused.value.code == "stops-not-acknowledged"
        assert "CYL101" in refused.value.details[0]
        assert everything(fleet.store) == before

    def test_scrapped_it_is_no_longer_open(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        fleet.take({"transfers": [{"date": "2024-01-20", "part_number": BOTTLE, "serial_number": "R3", "to": "scrap"}]})
        assert found(fleet.store) == []

    def test_corrected_it_counts(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        number = head(fleet.store)
        correct(
            fleet.store,
            number,
            changes={"expansion_permanent": 12_100},
            reason="one digit misread",
            authorised_by="Q7",
            recorded_by="clerk",
        )
        assert due_day(fleet.store) == d("2027-01-31")
        assert found(fleet.store) == []
        (then,) = found(fleet.store, known_at=str(number))
        assert then.severity == "stop"
        assert reasons(fleet.store, known_at=str(number))[0] == "do not fit"

    def test_before_the_test_nothing_was_found(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures("2024-02")]})
        assert [each.severity for each in found(fleet.store)] == ["stop"]
        assert found(fleet.store, date(2024, 1, 20)) == []
        assert reasons(fleet.store, date(2024, 1, 20))[1] == []

    def test_the_explained_date_says_why_it_restarts_nothing(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        answer = unfolded(fleet.store, part_number=BOTTLE, serial_number="R3", requirement="HST", as_of=TODAY)
        texts = {topic: " ".join(p.text for p in answer.due[0].passages if p.topic == topic)
                 for topic in ("expansion test", "restarts nothing")}  # fmt: skip
        assert "10.05 % of the total" in texts["expansion test"]
        assert "the test of 2024-01 condemned the cylinder" in texts["restarts nothing"]


class TestNotShown:
    ROW = with_figures(total="110", permanent="5", specification="3HT")

    def test_a_missing_marked_limit_is_to_be_rectified_and_a_condition_at_the_fitting(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [self.ROW]})
        (rectify,) = found(fleet.store)
        assert rectify.severity == "rectify"
        assert due_day(fleet.store) == d("2027-01-31")
        assert [reason.verdict for reason in reasons(fleet.store)[1]] == ["condition"]

    def test_the_marked_limit_is_added_by_a_correction(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [self.ROW]})
        given: dict[str, Any] = {"reason": "mark read", "authorised_by": "Q7", "recorded_by": "clerk"}
        correct(fleet.store, head(fleet.store), changes={"expansion_limit": 105_000}, **given)
        assert found(fleet.store) == []
        correct(fleet.store, head(fleet.store), changes={"expansion_limit": 104_999}, **given)
        assert [each.severity for each in found(fleet.store)] == ["stop"]
        assert due_day(fleet.store) == FIRST_DUE


class TestRefused:
    @pytest.mark.parametrize(
        ("fields", "column", "value", "words"),
        [
            ({"permanent": "200.1"}, "expansion_permanent", "200.1", "more than the total of 200"),
            ({"permanent": "-1"}, "expansion_permanent", "-1", "cannot be negative"),
            ({"total": "0"}, "expansion_total", "0", "cannot be"),
            ({"total": "200,5"}, "expansion_total", "200,5", "three decimals after a point"),
            ({"total": "200.1234"}, "expansion_total", "200.1234", "three decimals after a point"),
            ({"limit": "0", "specification": "3HT"}, "expansion_limit", "0", "cannot be"),
            ({"specification": "SP-9999"}, "expansion_specification", "SP-9999", "No limit of the expansion"),
            ({"specification": "3E1800"}, "expansion_specification", "3E1800", "No limit of the expansion"),
            ({"specification": None}, "expansion_specification", "", "incomplete"),
            ({"total": None}, "expansion_total", "", "incomplete"),
            ({"permanent": None}, "expansion_permanent", "", "incomplete"),
            ({"total": None, "permanent": None, "specification": None, "limit": "105"}, "expansion_total", "",
             "incomplete"),
            ({"requirement": "OVH", "part_number": SLIDE, "serial_number": "0103", "date_basis": "release"},
             "requirement", "OVH", "stand with a requalification"),
        ],
    )  # fmt: skip
    def test_with_line_column_reason_and_remedy(
        self, fleet: Intake, fields: dict[str, Any], column: str, value: str, words: str
    ) -> None:
        good = with_figures("2023-11", permanent="5")
        problem = only(fleet.refused({"accomplishments": [good, with_figures(**fields)]}))
        assert (problem.file, problem.line, problem.column) == ("accomplishments.csv", 3, column)
        assert problem.value == value
        assert words in problem.reason
        assert problem.remedy

    def test_a_correction_to_what_cannot_be(self, fleet: Intake) -> None:
        fleet.take({"accomplishments": [with_figures()]})
        before = everything(fleet.store)
        for changes in ({"expansion_permanent": 200_001}, {"expansion_total": None}, {"expansion_limit": -1}):
            with pytest.raises(Refusal) as refused:
                correct(
                    fleet.store,
                    head(fleet.store),
                    changes=changes,
                    reason="slip",
                    authorised_by="Q7",
                    recorded_by="clerk",
                )
            assert refused.value.code == "expansion-impossible"
            assert everything(fleet.store) == before


class TestOutAndInAgain:
    @pytest.mark.parametrize("workbook", [False, True], ids=["csv", "xlsx"])
    def test_the_figures_come_back_with_the_same_answers(
        self, fleet: Intake, other_intake: Intake, tmp_path: Path, workbook: bool
    ) -> None:
        fleet.take({"accomplishments": [with_figures(total="199.95", permanent="20.125"),
                                        {**with_figures(permanent="3.5", total="99", specification="3HT", limit="95.5"),
                                         "serial_number": "R4"}]})  # fmt: skip
        files = dict(export(fleet.store, tmp_path / "out", workbook=workbook))
        assert files
        take_in(other_intake.store, read_folder(tmp_path / "out"), recorded_by="clerk")
        assert [each.message for each in found(other_intake.store)] == [each.message for each in found(fleet.store)]
        assert (
            work_recorded(other_intake.store).partition(" (entry")[0]
            == (work_recorded(fleet.store).partition(" (entry")[0])
        )
        assert due_day(other_intake.store) == due_day(fleet.store) == FIRST_DUE

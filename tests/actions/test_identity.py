"""What a unit is recorded as put right: found by both spellings, judged again, told as it was then."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from fleetlife.actions.identity import correct_identity
from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal

from .fleet import SLIDE, Intake, everything, head, movement, rebuilt_differs, small_fleet, unit

BY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2", "recorded_by": "clerk"}
DAY = date(2024, 1, 31)
OLD, NEW = UnitName(part_number=SLIDE, serial_number="0103"), UnitName(part_number=SLIDE, serial_number="0130")


def card(store: Store, serial: str, part: str = SLIDE, **clocks: Any) -> Any:
    return unit_card(store, part_number=part, serial_number=serial, as_of=DAY, **clocks)


@pytest.fixture
def corrected(fleet: Intake) -> Intake:
    """0103 is 0130."""
    correct_identity(fleet.store, OLD, serial_number="0130", **BY)
    return fleet


def clean(store: Store) -> bool:
    return rebuilt_differs(store) == {} and verify(store).findings == ()


class TestCorrected:
    def test_both_spellings_find_it_and_the_old_one_says_since_when(self, corrected: Intake) -> None:
        store, entry = corrected.store, head(corrected.store)
        assert card(store, "0130").serial_number == card(store, "0103").serial_number == "0130"
        assert card(store, "0130").about.notes == ()
        assert card(store, "0103").about.notes == (f"{SLIDE} 0103 is recorded as {SLIDE} 0130 since entry {entry}.",)
        assert clean(store)

    def test_then_it_was_as_it_was(self, corrected: Intake) -> None:
        store, before = corrected.store, str(head(corrected.store) - 1)
        for serial in ("0103", "0130"):
            then = card(store, serial, known_at=before)
            assert (then.serial_number, then.about.notes) == ("0103", ())

    def test_its_papers_are_judged_again(self, fleet: Intake) -> None:
        """T3 prints 0103: it agreed, and does not agree with what the plate reads."""
        assert [paper.serial_verdict for paper in card(fleet.store, "0103").papers] == ["exact"]
        shown = correct_identity(fleet.store, OLD, serial_number="0130", moves_on=DAY, preview=True, **BY)
        what = {(row.what, row.serial_number) for row in shown.mended.moved}
        assert {("serial number", "0130"), ("certificate", "0130")} <= what
        before = everything(fleet.store)
        correct_identity(fleet.store, OLD, serial_number="0130", **BY)
        assert everything(fleet.store) != before
        assert [paper.serial_verdict for paper in card(fleet.store, "0130").papers] != ["exact"]

    def test_corrected_twice_all_three_spellings_find_it(self, corrected: Intake) -> None:
        store = corrected.store
        correct_identity(store, NEW, serial_number="0310", part_number=SLIDE, **BY)
        last = head(store)
        for serial in ("0103", "0130"):
            assert card(store, serial).about.notes[0].endswith(f"is recorded as {SLIDE} 0310 since entry {last}.")
        assert card(store, "0103", known_at=str(last - 1)).serial_number == "0130"
        assert clean(store)

    def test_a_later_correction_of_something_else_moves_no_since(self, corrected: Intake) -> None:
        from fleetlife.actions.mend import correct

        since = head(corrected.store)
        correct(corrected.store, since, changes={"owner": "Lessor"}, **BY)
        assert card(corrected.store, "0103").about.notes[0].endswith(f"since entry {since}.")

    def test_corrected_back_it_is_found_without_a_note(self, corrected: Intake) -> None:
        correct_identity(corrected.store, NEW, serial_number="0103", **BY)
        assert card(corrected.store, "0103").about.notes == ()
        assert card(corrected.store, "0130").about.notes != ()
        assert clean(corrected.store)

    def test_a_unit_that_has_borne_two_part_numbers_is_found_by_either(self, fleet: Intake) -> None:
        store = fleet.store
        fleet.take(
            {
                "parts": [{"part_number": "QX100-2", "manufacturer": "Kittiwake", "kind": "slide", "rig": "either"}],
                "unit_modifications": [
                    {"part_number": SLIDE, "serial_number": "0103", "modification": "M1", "date": "2024-01-05",
                     "new_part_number": "QX100-2"}
                ],
            }
        )  # fmt: skip
        correct_identity(store, OLD, serial_number="0130", **BY)
        assert card(store, "0103", "QX100-2").serial_number == card(store, "0103").serial_number == "0130"

    def test_the_swap_is_checked_and_recorded_under_the_old_spelling_and_says_so(self, corrected: Intake) -> None:
        store = corrected.store
        said = f"{SLIDE} 0103 is recorded as {SLIDE} 0130 since entry {head(store)}."
        answer = swap_check(
            store, registration="Q-AAA", position="L1", part_number=SLIDE, serial_number="0103", as_of=DAY
        )
        assert (answer.serial_number, answer.about.notes) == ("0130", (said,))
        request = SwapRequest(
            registration="Q-AAA",
            position="L1",
            on=DAY,
            install=UnitName(part_number=SLIDE, serial_number="0103"),
            removed_to="store",
        )
        shown = record_swap(store, request, as_of=DAY, recorded_by="clerk", preview=True)
        assert shown.about is not None
        assert shown.about.notes == (said,)


class TestTakenIn:
    def test_rows_that_quote_the_old_spelling_are_taken_in_with_a_note(self, corrected: Intake) -> None:
        store, entry = corrected.store, head(corrected.store)
        report = corrected.take(
            {"movements": [movement("2024-01-10", "L1", off="0101", fit="0103", removed_to="store")]}
        )
        assert report.entries == 1
        assert report.notes == (
            f"{SLIDE} 0103 is recorded as {SLIDE} 0130 since entry {entry}. So in movements.csv line 2.",
        )
        assert card(store, "0130").place == "Q-AAA L1"
        assert clean(store)

    def test_the_files_of_before_are_unchanged_and_make_no_second_unit(self, corrected: Intake) -> None:
        before = everything(corrected.store)
        report = corrected.take(small_fleet())
        assert report.entries == 0
        assert any("what was corrected, and is left out" in note for note in report.notes)
        rows = ["units.csv line 8", "accomplishments.csv line 4", "certificates.csv line 4"]
        assert any(f"So in {', '.join(rows)}." in note for note in report.notes), report.notes
        assert everything(corrected.store) == before

    def test_another_unit_that_really_bears_the_number_is_taken_in_and_is_meant_from_then_on(
        self, corrected: Intake
    ) -> None:
        report = corrected.take({"units": [unit(SLIDE, "0103", store="Main", condition="serviceable")]})
        assert report.entries == 1
        assert "taken in as another unit" in report.notes[0]
        assert card(corrected.store, "0103").serial_number == "0103"
        assert card(corrected.store, "0130").serial_number == "0130"
        # before the correction the number was the other's
        then = str(head(corrected.store) - 2)
        assert card(corrected.store, "0103", known_at=then).place == card(corrected.store, "0130").place
        assert clean(corrected.store)


class TestRefused:
    @pytest.mark.parametrize(
        ("right", "code"),
        [
            ({"serial_number": "0104"}, "identity-taken"),
            ({"serial_number": "0103"}, "nothing-changes"),
            ({"serial_number": "N/A"}, "serial-missing"),
            ({"part_number": "QX999"}, "part-unknown"),
        ],
    )
    def test_and_nothing_is_written(self, fleet: Intake, right: dict[str, str], code: str) -> None:
        before = everything(fleet.store)
        with pytest.raises(Refusal) as refused:
            correct_identity(fleet.store, OLD, **right, **BY)
        assert refused.value.code == code
        assert refused.value.remedy
        assert everything(fleet.store) == before

    def test_a_unit_nobody_knows(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as refused:
            correct_identity(fleet.store, UnitName(part_number=SLIDE, serial_number="0999"), serial_number="1", **BY)
        assert refused.value.code == "unit-unknown"

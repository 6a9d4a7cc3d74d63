"""The questions the demo fleet is made for, with the answers that README.md of the demo fleet promises."""

from __future__ import annotations

from datetime import date

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.store.engine import Store
from fleetlife.terms.views import DueRow, SwapAnswer

TODAY = date(2026, 11, 25)


def _rows(demo: Store, part: str, *, as_of: date = TODAY, known_at: str | None = None) -> dict[tuple[str, str], DueRow]:
    """The due rows of the units of a part, by serial and requirement."""
    found = due(demo, as_of=as_of, known_at=known_at, everything=True, part_numbers=[part]).rows
    return {(row.serial_number, row.requirement or ""): row for row in found}


def _asked(demo: Store, door: str, part: str, serial: str) -> SwapAnswer:
    registration, position = door.split()
    return swap_check(
        demo, registration=registration, position=position, part_number=part, serial_number=serial, as_of=TODAY
    )


def _stops(answer: SwapAnswer) -> set[str | None]:
    return {reason.code for reason in answer.reasons if reason.verdict == "stop"}


class TestDueDates:
    def test_a_new_dash_number_has_no_programme_and_is_in_the_coverage(self, demo: Store) -> None:
        answer = due(demo, as_of=TODAY)
        row = next(row for row in answer.rows if row.serial_number == "29001")
        assert (row.requirement, row.state, row.store) == (None, "unknown", "Skarholm main store")
        assert row.state_reason.startswith("No programme")
        assert answer.coverage.without_programme == 1

    def test_the_packs_release_is_no_test_of_its_reservoir(self, demo: Store) -> None:
        """Pack released overhauled 2026-03-10, mark 11/2024, 36 months to the end of the month."""
        bottle = _rows(demo, "TH-410-2")["R42002", "HST"]
        pack = _rows(demo, "KV-2100-3")["20125", "OVH"]
        assert (bottle.last_done, bottle.due_date, bottle.state) == ("2024-11-01", "2027-11-30", "in date")
        assert (pack.last_done, pack.due_date) == ("2026-03-10", "2029-04-02")
        assert bottle.parent_serial_number == "20125"

    @pytest.mark.parametrize("as_of", [date(2025, 8, 1), date(2025, 9, 2), date(2025, 9, 4), TODAY])
    def test_off_for_access_and_back_restarts_no_overhaul(self, demo: Store, as_of: date) -> None:
        """Released 2024-06-10, fitted 2025-02-01, off 2025-09-01, refitted 2025-09-03: 36 months from 2025-02-01."""
        assert _rows(demo, "KV-2100-3", as_of=as_of)["20126", "OVH"].due_date == "2028-02-01"

    def test_in_stores_the_latest_date_is_shown_and_the_one_if_fitted_that_day(self, demo: Store) -> None:
        row = _rows(demo, "KV-2100-3", as_of=date(2024, 12, 1))["20126", "OVH"]
        assert (row.due_date, row.due_if_fitted) == ("2028-06-10", "2027-12-01")

    def test_a_paper_that_says_inspected_restarts_no_overhaul(self, demo: Store) -> None:
        row = _rows(demo, "KV-3300-1")["33114", "OVH"]
        assert (row.last_done, row.due_date) == ("2022-08-16", "2027-08-16")
        assert "does not show this work" in (row.basis or "")

    def test_a_reservoir_filled_before_its_date_may_stay_until_emptied(self, demo: Store) -> None:
        row = _rows(demo, "TH-410-2")["R42001", "HST"]
        assert (row.state, row.due_date, row.edition) == ("no refill", "2026-09-30", "4")
        assert row.reference == "Teistholm TH-410-2 sheet 2"

    def test_a_limit_in_landings_counts_landings(self, demo: Store) -> None:
        """8 921 landings at the opening, 420 since the test then, every 5 600: due at 8 921 + 5 600 - 420."""
        row = _rows(demo, "KV-3350-3L")["L511", "LDG"]
        assert (row.counter, row.driver, row.counter_due, row.state) == ("landings", "landings", 14_101, "in date")
        assert (row.airframe_cycles_due, row.cycles_left, row.readings_as_of) == (None, None, "2026-11-22")
        window = {"window_from": date(2027, 5, 1), "window_until": date(2027, 5, 31)}
        assert ("L511", "LDG") in {(r.serial_number, r.requirement) for r in due(demo, as_of=TODAY, **window).rows}

    def test_a_variation_in_force_carries_an_inspection_in_hours(self, demo: Store) -> None:
        row = _rows(demo, "KV-3350-3L")["L511", "INS"]
        assert (row.state, row.driver, row.registration, row.position) == ("in variation", "hours", "Q-SKM", "L3")
        assert "SKARHOLM variation 26-07" in (row.variation or "")

    @pytest.mark.parametrize(
        ("as_of", "state"),
        [(date(2026, 9, 25), "in date"), (date(2026, 10, 27), "in variation"), (date(2026, 10, 28), "overdue")],
    )
    def test_a_variation_ends_when_the_unit_leaves_the_aircraft(self, demo: Store, as_of: date, state: str) -> None:
        """Due 2026-09-30, varied to 2026-12-31 on Q-SKM, taken off on 2026-10-28."""
        assert _rows(demo, "KV-3300-1", as_of=as_of)["33123", "OVH"].state == state

    @pytest.mark.parametrize(("serial", "due_date"), [("20202", "2027-11-01"), ("20207", "2027-12-01")])
    def test_the_band_of_old_age_caps_an_old_pack(self, demo: Store, serial: str, due_date: str) -> None:
        """36 months until 15 years old, then 12. Made 2012-11, the shelf allowance ends 2026-09-28: not 2029-09-28 but
        2027-11-01, when it is 15, since 12 months are over by then; made 2012-12, allowance to 2026-08-16: 2027-12-01.
        """
        assert _rows(demo, "KV-2100-1")[serial, "OVH"].due_date == due_date


class TestSwapCheck:
    def test_a_spare_that_fits_meets_no_objection(self, demo: Store) -> None:
        answer = _asked(demo, "Q-SKA R2", "KV-2100-3", "20301")
        assert (answer.outcome, answer.outgoing) == ("no objection in these records", "KV-2100-3 20104")

    @pytest.mark.parametrize(
        ("door", "part", "serial", "codes"),
        [
            ("Q-SKA R2", "KV-2100-9", "29001", {"FIT101", "LIF103"}),
            ("Q-SKJ R4", "KV-3300-4", "33401", {"FIT103"}),
            ("Q-SKJ R4", "KV-3300-1", "33116", {"FIT106", "PAP104"}),
            ("Q-SKJ R4", "KV-3300-1", "33123", {"LIF101", "PAP104"}),
            ("Q-SKJ R4", "KV-3300-1", "33109", {"FIT109", "PAP104"}),
            ("Q-SKH L3", "KV-3350-3R", "R621", {"FIT101", "FIT102"}),
            ("Q-SKA R2", "KV-2100-3", "20125", {"FIT108"}),
        ],
    )
    def test_what_must_not_be_fitted_is_stopped(
        self, demo: Store, door: str, part: str, serial: str, codes: set[str]
    ) -> None:
        answer = _asked(demo, door, part, serial)
        assert (answer.outcome, _stops(answer)) == ("do not fit", codes)

    def test_a_spare_rigged_for_the_other_side_is_a_condition(self, demo: Store) -> None:
        answer = _asked(demo, "Q-SKA R2", "KV-2100-3", "20112")
        assert answer.outcome == "conditions to meet first"
        assert [reason.code for reason in answer.reasons if reason.verdict == "condition"] == ["FIT102"]

    def test_the_alternate_may_go_where_the_part_goes_and_not_the_reverse(self, demo: Store) -> None:
        answer = _asked(demo, "Q-SKJ R4", "KV-3300-2", "33290")
        eligible = next(reason for reason in answer.reasons if reason.topic == "eligibility")
        assert (eligible.verdict, answer.outcome) == ("clear", "conditions to meet first")
        assert "Kvitnes letter 3300-02" in eligible.text


class TestWhatWasKnown:
    def test_the_late_swap_was_not_known_on_the_first_of_november(self, demo: Store) -> None:
        """Done 2026-10-21, recorded 2026-11-24: until then the records held 20124 on the door."""
        now = _rows(demo, "KV-2100-3")["20124", "OVH"]
        then = _rows(demo, "KV-2100-3", as_of=date(2026, 11, 1), known_at="2026-11-01")["20124", "OVH"]
        assert now.registration is None
        assert (then.registration, then.position) == ("Q-SKF", "L1")

    def test_boundaries_say_whether_they_were_stated_bounded_provisional_or_doubtful(self, demo: Store) -> None:
        def stays(part: str, serial: str) -> str:
            return " ".join(
                stay.basis or "" for stay in unit_card(demo, part_number=part, serial_number=serial, as_of=TODAY).stays
            )

        assert "stated" in stays("KV-2100-3", "20126")
        assert "bounded" in stays("KV-2100-3", "20118")
        assert "provisional" in stays("KV-2100-3", "20127")
        assert "doubtful" in stays("KV-3300-1", "33120")

    def test_the_registration_is_the_one_of_the_day(self, demo: Store) -> None:
        before = _rows(demo, "TH-410-2", as_of=date(2025, 3, 31))["R42001", "HST"]
        after = _rows(demo, "TH-410-2", as_of=date(2025, 4, 1))["R42001", "HST"]
        assert (before.registration, after.registration) == ("Q-TRN", "Q-SKC")
        assert before.constructor_serial == after.constructor_serial == "6003"

    def test_a_unit_answers_to_the_number_it_bore_before(self, demo: Store) -> None:
        card = unit_card(demo, part_number="KV-2100-1", serial_number="20130", as_of=TODAY)
        assert card.part_number == "KV-2100-3"
        assert len(card.part_numbers_borne) == 2

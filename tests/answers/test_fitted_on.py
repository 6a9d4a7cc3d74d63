"""The date if fitted, asked for another day than the one asked about: the due list and the fitting question."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from fleetlife.actions.suppose import supposing
from fleetlife.answers.due import due
from fleetlife.answers.swap_check import swap_check
from fleetlife.store.engine import Store
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow
from fleetlife.transfer.reading import read_named
from tests.checks.fleet import Fleet, fleet
from tests.cli.running import CLEAN, WRONG_USE, fleetlife

SPARE = {"part_number": "SL-100-1", "serial_number": "9001"}
ASKED = date(2025, 2, 1)


def waiting() -> Fleet:
    """The overhaul counts from the fitting, after a shelf allowance of 12 months. The spare: overhauled 2024-03-10."""
    made = fleet()
    made.row("requirements", requirement="OVH").update(start="installation", shelf_allowance_months=12, repeat_hours="")
    made.row("accomplishments", serial_number="9001").update(hours_since_new="14000:00")
    return made


@pytest.fixture
def stocked(store: Store, tmp_path: Path) -> Store:
    waiting().take(store, tmp_path / "files")
    return store


def spare(store: Store, fitted_on: date | None, **more: object) -> DueRow:
    answer = due(store, as_of=ASKED, everything=True, fitted_on=fitted_on, **more)  # type: ignore[arg-type]
    assert answer.fitted_on == (None if fitted_on is None else fitted_on.isoformat())
    [row] = [row for row in answer.rows if (row.serial_number, row.requirement) == ("9001", "OVH")]
    return row


class TestDue:
    @pytest.mark.parametrize(
        ("fitted_on", "expected"),
        [
            (None, "2028-02-01"),
            (date(2025, 2, 1), "2028-02-01"),
            (date(2025, 3, 9), "2028-03-09"),
            (date(2025, 3, 10), "2028-03-10"),
            (date(2025, 6, 1), "2028-03-10"),  # the allowance ran out on 2025-03-10 and started the calendar
            (date(2031, 1, 1), "2028-03-10"),
        ],
    )
    def test_it_counts_from_the_day_named_and_no_later_than_the_allowance(
        self, stocked: Store, fitted_on: date | None, expected: str
    ) -> None:
        row = spare(stocked, fitted_on)
        assert row.due_if_fitted == expected
        assert row.calendar_due == "2028-03-10"
        assert f"Fitted on {fitted_on or ASKED} it would be due {expected}." in row.state_reason

    def test_nothing_else_of_the_row_changes(self, stocked: Store) -> None:
        asked = {"as_of": ASKED, "everything": True}
        plain, other = due(stocked, **asked), due(stocked, **asked, fitted_on=date(2025, 3, 1))
        names = ("state", "due_date", "due_earliest", "calendar_due", "days_left", "estimated", "unknown_measures")
        for one, two in zip(plain.rows, other.rows, strict=True):
            assert [getattr(one, name) for name in names] == [getattr(two, name) for name in names]
            assert (one.due_if_fitted is None) == (two.due_if_fitted is None)
        assert plain.coverage == other.coverage

    def test_a_day_before_the_one_asked_about_is_refused(self, stocked: Store) -> None:
        with pytest.raises(Refusal) as refused:
            due(stocked, as_of=ASKED, fitted_on=date(2025, 1, 31))
        assert refused.value.code == "fitting-in-the-past"
        assert "2025-01-31 lies before 2025-02-01" in refused.value.message

    def test_it_is_asked_with_a_programme_supposed(self, stocked: Store, tmp_path: Path) -> None:
        path = self._edition(tmp_path, "2025-01-15")
        row = spare(stocked, date(2025, 3, 1), suppose=supposing(read_named([("requirements", path)])))
        assert (row.edition, row.due_if_fitted) == ("4", "2027-03-01")

    def test_what_an_edition_that_has_ended_by_then_starts_it_does_not_say(
        self, stocked: Store, tmp_path: Path
    ) -> None:
        path = self._edition(tmp_path, "2025-02-15")
        suppose = supposing(read_named([("requirements", path)]))
        row = spare(stocked, date(2025, 3, 1), suppose=suppose)
        assert (row.edition, row.due_if_fitted) == ("3", None)
        assert "This edition ends on 2025-02-14: what a fitting on 2025-03-01 starts it does not say." in (
            row.state_reason
        )
        assert spare(stocked, date(2025, 2, 14), suppose=suppose).due_if_fitted == "2028-02-14"

    @staticmethod
    def _edition(folder: Path, since: str) -> Path:
        path = folder / "edition-4.csv"
        path.write_text(
            "requirement,part_number,kind,source,edition,effective_from,start,repeat_months,shelf_allowance_months,"
            "reference\n"
            f"OVH,SL-100-1,overhaul,manufacturer,4,{since},installation,24,12,CMM 25-60-01\n",
            encoding="utf-8",
        )
        return path


class TestFitting:
    @pytest.mark.parametrize(
        ("fitted_on", "expected"),
        [(None, "2028-02-01"), (date(2025, 3, 1), "2028-03-01"), (date(2025, 6, 1), "2028-03-10")],
    )
    def test_the_life_left_is_that_of_the_day_named(
        self, stocked: Store, fitted_on: date | None, expected: str
    ) -> None:
        answer = swap_check(stocked, registration="Q-AAA", position="L1", **SPARE, as_of=ASKED, fitted_on=fitted_on)
        [life] = [each for each in answer.life if each.requirement == "OVH"]
        assert life.due_if_fitted == expected
        assert answer.fitted_on == (None if fitted_on is None else fitted_on.isoformat())
        between = [text for text in answer.not_checked if text.startswith("anything done or moved between")]
        assert len(between) == (fitted_on is not None)

    def test_what_has_lapsed_by_then_stops_it(self, stocked: Store) -> None:
        asked = {"registration": "Q-AAA", "position": "L1", **SPARE, "as_of": ASKED}
        lapsed = swap_check(stocked, **asked, fitted_on=date(2028, 3, 11))  # type: ignore[arg-type]
        assert "LIF101" in {reason.code for reason in lapsed.reasons if reason.verdict == "stop"}
        before = swap_check(stocked, **asked, fitted_on=date(2028, 3, 10))  # type: ignore[arg-type]
        assert "LIF101" not in {reason.code for reason in before.reasons}

    def test_a_day_before_the_one_asked_about_is_refused(self, stocked: Store) -> None:
        with pytest.raises(Refusal) as refused:
            swap_check(stocked, registration="Q-AAA", position="L1", **SPARE, as_of=ASKED, fitted_on=date(2025, 1, 31))
        assert refused.value.code == "fitting-in-the-past"


class TestCommands:
    def test_the_head_says_for_which_day(self, stocked: Store) -> None:
        url = stocked.engine.url.render_as_string(hide_password=False)
        asked = ("due", "--all", "--part", "SL-100-1", "--as-of", "2025-02-01", "--fitted-on", "2025-03-01")
        table = fleetlife(*asked, database=url)
        assert "What it would be due if fitted is told for a fitting on 2025-03-01." in table.words
        said = fleetlife(*asked, "--format", "json", database=url)
        assert said.json["about"]["fitted_on"] == "2025-03-01"
        assert "2028-03-01" in {row["due_if_fitted"] for row in said.json["rows"]}
        rows = fleetlife(*asked, "--format", "csv", database=url)
        assert "If fitted on 2025-03-01." in rows.err
        plain = fleetlife(*asked[:-2], "--format", "json", database=url)
        assert plain.json["about"]["fitted_on"] == "2025-02-01"

    def test_a_day_before_is_wrong_use_with_its_reason(self, stocked: Store) -> None:
        url = stocked.engine.url.render_as_string(hide_password=False)
        said = fleetlife("due", "--as-of", "2025-02-01", "--fitted-on", "2025-01-31", database=url)
        assert said.status == WRONG_USE
        assert "was not known at the fitting" in said.words

    def test_the_fitting_question_names_both_days(self, stocked: Store) -> None:
        url = stocked.engine.url.render_as_string(hide_password=False)
        asked = ("swap", "check", "Q-AAA", "L1", "SL-100-1", "9001", "--as-of", "2025-02-01", "--on", "2025-03-01")
        said = fleetlife(*asked, database=url)
        assert said.status != CLEAN
        assert "on 2025-03-01, as things stand on 2025-02-01" in said.words
        assert "LIFE LEFT, IF FITTED ON 2025-03-01" in said.words

"""Applicability and compliance times against published texts and against what the language's own library says."""

from __future__ import annotations

from datetime import date, timedelta
from fnmatch import filter as those_that_fit

import pytest

from fleetlife.dates.moment import end_of_day
from fleetlife.dates.months import add_months
from fleetlife.dates.partial import PartialDate, day_number
from fleetlife.fit.applicability import UnitNamed, judge_affected, part_matches
from fleetlife.ledger.publications import Applicability
from fleetlife.life.compliance import Demand, demanded_point
from fleetlife.life.values import Count, Done, History, Limits
from fleetlife.terms.published import RULES

# AD 85-11-03 (porosity of door slides), stored text READ: slides made more than 6 months before are checked within 12
# months, others within 18 months of manufacture; then every 18 months from the last check. Its day is invented here.
EFFECTIVE = date(2025, 3, 15)


def _history(made: date, done: date | None = None) -> History:
    work = ()
    if done is not None:
        moment = end_of_day(done.toordinal())
        work = (
            Done(
                requirement="POROSITY",
                date=PartialDate(done, "day"),
                day=done.toordinal(),
                moment=moment,
                count=Count(minutes=0, cycles=0),
            ),
        )
    opened = end_of_day(day_number("2015-01-01"))
    return History(unit_id=1, as_of=opened, manufactured=PartialDate(made, "day"), done=work)


def _due(made: date, done: date | None = None) -> date:
    demand = Demand(
        work="POROSITY",
        part_number="SL-100-1",
        effective_on=EFFECTIVE.toordinal(),
        after=Limits(months=12),
        since_new=Limits(months=18),
        repeat=Limits(months=18),
        whichever="last",
    )
    point = demanded_point(demand, _history(made, done), at_effective=Count(), as_of=EFFECTIVE.toordinal())
    assert point.calendar_due is not None
    return date.fromordinal(point.calendar_due)


class TestAPublishedDirective:
    @pytest.mark.parametrize("days", range(-900, 700, 37))
    def test_older_slides_within_twelve_months_others_within_eighteen_of_manufacture(self, days: int) -> None:
        made = EFFECTIVE + timedelta(days=days)
        older = made < add_months(EFFECTIVE, -6)
        assert _due(made) == (add_months(EFFECTIVE, 12) if older else add_months(made, 18))

    @pytest.mark.parametrize("done", [date(2025, 8, 31), date(2026, 2, 28)])
    def test_then_every_eighteen_months_from_the_last_check(self, done: date) -> None:
        assert _due(date(2020, 1, 1), done) == add_months(done, 18)


class TestPartNumbers:
    # AD 2004-03-01 (slide/raft systems), stored text READ: dash numbers that were listed became "-series" because new
    # ones had appeared. With a wildcard a new one is meant at once; the numbers are invented.
    NUMBERS = ("QK-555-1", "QK-555-2", "QK-555-101", "QK-556-1", "QK-555", "qk-555-9a")

    @pytest.mark.parametrize("pattern", ["QK-555-*", "QK-555-?", "QK-55?-1", "*-1", "QK-555*", "?-*-10?"])
    def test_wildcards_mean_what_the_library_means_by_them(self, pattern: str) -> None:
        folded = [number.upper() for number in self.NUMBERS]
        assert [n for n in folded if part_matches(pattern, n)] == those_that_fit(folded, pattern)


class TestSerials:
    # Applicability lists of slides in stored directive texts, READ: padded with zeros, open at one end, single serials
    # beside the range: they compare as numbers.
    def test_padded_serials_open_ranges_and_single_ones_compare_as_whole_numbers(self) -> None:
        rows = [
            Applicability(publication="AD", part_number="QK-555-*", serial_to="0859"),
            Applicability(publication="AD", part_number="QK-555-*", serial_from="1132", serial_to="1132"),
        ]
        for number in range(1200):
            unit = UnitNamed(borne=((0, "QK-555-1"),), serial_number=f"{number:04d}")
            expected = "yes" if number <= 859 or number == 1132 else "no"
            assert judge_affected(unit, rows).outcome == expected


class TestAProductThatWasChanged:
    # 14 CFR 39.15, text of 2026-04-05, READ in a reproduction: it applies even where the product was changed.
    def test_a_unit_that_was_modified_into_another_part_number_is_not_taken_for_free(self) -> None:
        changed = UnitNamed(borne=((0, "QK-555-1"), (EFFECTIVE.toordinal(), "QK-555-3")), serial_number="0100")
        row = Applicability(publication="AD", part_number="QK-555-1")
        assert judge_affected(changed, [row]).outcome == "unknown"
        assert not RULES["14 CFR 39.15"].from_memory

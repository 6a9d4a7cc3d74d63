"""Gas cylinders: when they are to be requalified, what may stay charged, when their life ends."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from fleetlife.actions.take_in import take_in
from fleetlife.answers.due import due
from fleetlife.dates.marks import parse_mark
from fleetlife.life.expansion import ExpansionJudged, judge_expansion
from fleetlife.life.points import check_requirement, due_point
from fleetlife.life.state import left_if_fitted
from fleetlife.life.values import History, Requirement
from fleetlife.store.engine import Store
from fleetlife.transfer.reading import read_folder

from .trade import calendar, d, filled, fitted, iso, rows_read, rule, small_world, state_on, take, unit, work, write

TABLE_1 = "49 CFR 180.209(a) Table 1, READ (edition about 2011-2013, and 2017 where marked)"
END_OF_MONTH = "PHMSA letter 11-0131 (1 Sep 2011), READ: before or during the month and year it is due"
UNTIL_EMPTIED = "PHMSA letter 11-0131, READ: filled before the due date it may stay in service until it is emptied"
AC_43_13 = "FAA AC 43.13-1B Change 1, page 9-42, READ: 3HT every 3 years; 24 years or 4,380 fillings"
COMPOSITE = (
    "oxygen equipment vendor's table of DOT-E 8162 and 10945, READ: test every 5 years, 15-year life, 10,000 cycles"
)

# Specification, the periods in years that the table gives it.
PERIODS: tuple[tuple[str, tuple[int, ...]], ...] = (
    ("3", (5,)),
    ("3A, 3AA", (5, 10, 12)),
    ("3AL", (5, 12)),
    ("3AL, 2017", (5, 10, 12)),
    ("3AX, 3AAX", (5,)),
    ("3AX, 3AAX, 2017", (5, 10)),
    ("3B, 3BN", (5, 10)),
    ("3HT", (3,)),
    ("3T", (5,)),
    ("4AA480", (5, 10)),
    ("4B, 4BA, 4BW, 4B-240ET", (5, 10, 12)),
    ("4D, 4DA, 4DS", (5,)),
    ("4E", (5,)),
    ("4E, 2017", (5, 10)),
    ("8, 8AL", (10, 20)),
    ("foreign", (5,)),
)
# Of a cylinder marked 02/2020: the last day of the same month, years later, taken from a calendar on paper.
GOOD_THROUGH = {3: "2023-02-28", 5: "2025-02-28", 10: "2030-02-28", 12: "2032-02-29", 20: "2040-02-29"}


def requalification(years: int, **fields: object) -> Requirement:
    return rule(
        "requalification",
        repeat={"months": 12 * years},
        month_rule="last",
        source="dangerous_goods",
        at_due="no-refill",
        reference="49 CFR 180.209",
        **fields,
    )


def marked(*months: str, **fields: object) -> History:
    return unit(done=tuple(work(month, basis="mark") for month in months), **fields)


def life(years: int, fillings: int | None = None) -> Requirement:
    return rule(
        "life_limit",
        start="manufacture",
        first={"months": 12 * years, "operations": fillings},
        operation="filling",
        source="dangerous_goods",
    )


class TestPeriodsOfTheTable:
    """49 CFR 180.209(a) Table 1 (READ), with the end of the month of PHMSA 11-0131 (READ)."""

    @pytest.mark.parametrize(
        ("specification", "years"),
        [pytest.param(name, years, id=f"{name}-{years}") for name, periods in PERIODS for years in periods],
    )
    def test_a_mark_is_good_through_the_last_day_of_its_month(self, specification: str, years: int) -> None:
        assert check_requirement(requalification(years)) == []
        assert calendar(requalification(years), marked("2020-02")) == GOOD_THROUGH[years], (TABLE_1, specification)

    def test_a_3aa_of_five_years_is_overdue_on_the_first_of_the_next_month(self) -> None:
        """Table 1 and PHMSA 11-0131, both READ; the dates computed."""
        cylinder = marked("2020-02")
        assert state_on("2025-02-28", requalification(5), cylinder).state == "in date"
        assert state_on("2025-03-01", requalification(5), cylinder).state == "overdue"

    def test_a_3ht_marked_05_2021_is_good_through_may_2024(self) -> None:
        """Table 1: 3 years for 3HT (READ); PHMSA 11-0131 (READ)."""
        assert calendar(requalification(3), marked("2021-05")) == "2024-05-31"

    @pytest.mark.parametrize("specification", ["3E", "4L"])
    def test_where_the_table_requires_no_test_nothing_is_due_and_it_is_said_by_which_rule(
        self, specification: str
    ) -> None:
        """Table 1 (READ): 3E and 4L, no test required."""
        stated = rule("on_condition", reference=f"49 CFR 180.209 Table 1, {specification}")
        judged = state_on("2050-01-01", stated, marked("2020-02"))
        assert check_requirement(stated) == []
        assert judged.state == "in date"
        assert specification in judged.state_reason

    @pytest.mark.parametrize("day", ["2022-03-01", "2022-03-14", "2022-03-31"])
    def test_a_test_known_to_the_day_gives_no_other_month_than_its_mark(self, day: str) -> None:
        """PHMSA 11-0131 (READ): the month and year count, whatever the day of the test was."""
        assert (
            calendar(requalification(3), marked(day)) == calendar(requalification(3), marked("2022-03")) == "2025-03-31"
        )

    def test_a_test_done_early_counts_from_its_own_mark(self) -> None:
        """PHMSA 11-0131 (READ): it may be requalified at any time before the month it is due."""
        assert calendar(requalification(5), marked("2020-02", "2023-10")) == "2028-10-31"

    def test_the_release_of_the_assembly_is_no_mark(self) -> None:
        """49 CFR 180.213: the mark is month and year with the requalifier's number (from memory)."""
        pack_released = unit(done=(work("2026-03-10", basis="release"),))
        point = due_point(requalification(3), pack_released)
        assert point.calendar_due is None
        assert [u.cause for u in point.unknown] == ["no-mark"]

    def test_taking_it_off_and_refitting_it_asks_for_no_requalification(self) -> None:
        """PHMSA letter 13-0164 (READ): not automatic on each removal from the aircraft."""
        moved = marked(
            "2020-02", installations=tuple(fitted(day) for day in ("2020-04-01", "2021-06-01", "2023-09-01"))
        )
        assert calendar(requalification(5), moved) == calendar(requalification(5), marked("2020-02")) == "2025-02-28"

    def test_the_period_belongs_to_an_edition_with_its_day(self, store: Store, tmp_path: Path) -> None:
        """Table 1, two editions (READ): 3AL 5 or 12 years, in the later one 10 too. The day is invented."""
        name = {"requirement": "HST", "part_number": "QR-1", "kind": "requalification", "month_rule": "last"}
        files = small_world(
            parts=[{"part_number": "QR-1", "manufacturer": "Gannet"}],
            requirements=[
                {
                    **name,
                    "edition": "1",
                    "effective_from": "2010-01-01",
                    "effective_to": "2017-06-30",
                    "repeat_months": 60,
                },
                {**name, "edition": "2", "effective_from": "2017-07-01", "repeat_months": 120},
            ],
            units=[{"part_number": "QR-1", "serial_number": "B7", "as_of": "2017-01-01", "store": "Main"}],
            accomplishments=[{"part_number": "QR-1", "serial_number": "B7", "requirement": "HST", "date": "03/2013"}],
        )
        take(store, tmp_path / "files", files)
        told = {}
        for day in ("2017-06-30", "2017-07-01"):
            (row,) = due(store, as_of=date.fromisoformat(day), everything=True).rows
            told[day] = (row.edition, row.due_date)
        assert told == {"2017-06-30": ("1", "2018-03-31"), "2017-07-01": ("2", "2023-03-31")}


class TestPastItsDateAndCharged:
    """PHMSA 11-0131 and 09-0148 (READ); DOT/FAA Order 8000-40 as quoted by an airframe's service page (READ)."""

    charged = marked("2020-02", operated=(filled("2024-11-20"),))

    def test_filled_before_the_date_it_may_stay_and_may_not_be_refilled(self) -> None:
        judged = state_on("2025-03-01", requalification(5), self.charged)
        assert judged.state == "no refill", UNTIL_EMPTIED
        assert "not be refilled" in judged.state_reason

    def test_it_may_stay_for_an_indefinite_time(self) -> None:
        """PHMSA 09-0148 (READ): stored, and transported later, for an indefinite time."""
        assert state_on("2045-01-01", requalification(5), self.charged, stored=True).state == "no refill"

    def test_within_the_month_it_is_simply_in_date(self) -> None:
        assert state_on("2025-02-28", requalification(5), self.charged).state == "in date"

    def test_filled_in_the_month_it_was_due_it_was_filled_in_time(self) -> None:
        late = marked("2020-02", operated=(filled("2025-02-28"),))
        assert state_on("2025-06-01", requalification(5), late).state == "no refill"

    def test_filled_after_the_date_it_is_overdue(self) -> None:
        wrong = marked("2020-02", operated=(filled("2024-11-20"), filled("2025-03-01")))
        assert state_on("2025-03-01", requalification(5), wrong).state == "overdue"

    def test_topping_up_is_filling(self) -> None:
        """PHMSA letter 16-0147 (3 Mar 2017, to an airline, READ): topped up above 50 psi is still being refilled."""
        topped = marked("2020-02", operated=(filled("2024-11-20"), filled("2025-04-02", count=1)))
        assert state_on("2025-04-03", requalification(5), topped).state == "overdue"

    def test_emptied_since_it_has_no_leave_to_stay(self) -> None:
        """PHMSA 11-0131 (READ): until it is emptied."""
        fired = marked("2020-02", operated=(filled("2024-11-20"), filled("2025-01-15", operation="activation")))
        assert state_on("2025-03-01", requalification(5), fired).state == "overdue"

    def test_with_no_record_of_fillings_nothing_shows_that_it_was_filled_in_time(self) -> None:
        assert state_on("2025-03-01", requalification(5), marked("2020-02")).state == "overdue"

    def test_it_is_no_leave_to_fit_it_anew(self) -> None:
        """The letters speak of staying in service; offered for installation it is an aircraft part whose
        requalification date is checked (FAA Order 8900.1 Vol 3 Ch 57 Sec 1, READ)."""
        rule_of_five = requalification(5)
        point = due_point(rule_of_five, self.charged)
        assert left_if_fitted(rule_of_five, self.charged, point, on=d("2025-03-01")).state == "overdue"

    def test_a_programme_that_forbids_it_is_obeyed(self) -> None:
        """The rule permits and a maintenance programme may still forbid: a programme's own test is plainly overdue."""
        own = rule("requalification", repeat={"months": 60}, month_rule="last", source="programme")
        assert state_on("2025-03-01", own, self.charged).state == "overdue"


class TestEndOfServiceLife:
    """FAA AC 43.13-1B (READ): 3HT, 24 years or 4,380 fillings after manufacture, whichever first."""

    limit = life(24, 4_380)

    def cylinder(self, fillings: int, *, manufactured: str = "2001-03") -> History:
        return unit(
            opened="2001-04-01",
            manufactured=manufactured,
            operations_opening=0,
            operated=(filled("2010-06-01", fillings),),
        )

    def test_made_in_march_2001_it_ends_in_march_2025(self) -> None:
        """Known to the month only it counts from the first day of it: nothing extends a life."""
        point = due_point(self.limit, self.cylinder(100))
        assert iso(point.calendar_due) == "2025-03-01"
        assert state_on("2025-03-02", self.limit, self.cylinder(100)).state == "overdue"

    def test_one_filling_short_and_a_month_before_it_is_in_life(self) -> None:
        judged = state_on("2025-02-01", self.limit, self.cylinder(4_379))
        assert (judged.state, judged.operations_left) == ("in date", 1), AC_43_13

    def test_the_fillings_may_end_it_long_before_the_years(self) -> None:
        """4,380 fillings at ten years of age: nothing is left, and it may not be fitted any more."""
        spent = self.cylinder(4_380)
        judged = state_on("2011-03-01", self.limit, spent)
        assert (judged.state, judged.driver, judged.operations_left) == ("due", "operations", 0)
        if_fitted = left_if_fitted(self.limit, spent, due_point(self.limit, spent), on=d("2011-03-01"))
        assert (if_fitted.state, if_fitted.stops) == ("overdue", True)

    def test_a_filling_more_is_overdue(self) -> None:
        assert state_on("2011-03-01", self.limit, self.cylinder(4_381)).state == "overdue"

    def test_the_years_may_end_it_long_before_the_fillings(self) -> None:
        judged = state_on("2025-03-02", self.limit, self.cylinder(12))
        assert (judged.state, judged.driver) == ("overdue", "calendar")

    def test_charged_or_not_it_is_over(self) -> None:
        """PHMSA 11-0131 (READ): a cylinder with a specified service life may not be refilled after that life; the
        leave to stay until emptied belongs to the requalification alone."""
        grace = rule(
            "life_limit",
            start="manufacture",
            first={"months": 288},
            source="dangerous_goods",
            at_due="no-refill",
            reference="49 CFR 180.205",
        )
        charged = self.cylinder(12)
        assert any("no-refill is refused on a life_limit" in problem for problem in check_requirement(grace))
        assert state_on("2025-03-02", grace, charged).state == "overdue"

    def test_no_requalification_gives_life_back(self) -> None:
        """PHMSA letter 24-0033R (22 Jul 2025, READ): whoever knows that life has expired condemns it without a test."""
        tested = unit(
            manufactured="2001-03", done=(work("2025-04", basis="mark"), work("2025-04", basis="mark", name="LIFE"))
        )
        own = rule("life_limit", name="LIFE", start="manufacture", first={"months": 288})
        assert calendar(own, tested) == "2025-03-01"
        assert state_on("2025-05-01", own, tested).state == "overdue"

    def test_the_end_of_the_month_is_refused_on_a_life(self) -> None:
        """PHMSA 11-0131 gives the month to requalification alone."""
        assert any(
            "month_rule is refused" in problem
            for problem in check_requirement(
                rule("life_limit", start="manufacture", first={"months": 288}, month_rule="last")
            )
        )

    def test_no_variation_extends_it(self) -> None:
        """49 CFR 180.205(j)(1)(x) by PHMSA 24-0033R (READ): condemned."""
        assert any(
            "variation_allowed is refused" in problem
            for problem in check_requirement(
                rule("life_limit", start="manufacture", first={"months": 288}, variation_allowed=True)
            )
        )


class TestCompositeCylinders:
    """Vendor's table of DOT-E 8162 and 10945 (READ); DOT-CFFC Fifth Revision, March 2007 (READ): 15-year life."""

    made = unit(
        opened="2010-07-01",
        manufactured="2010-06",
        operations_opening=0,
        operated=(filled("2012-01-01", 400, "pressurisation"),),
        done=(work("2015-06", basis="mark", name="HST"), work("2020-06", basis="mark", name="HST")),
    )
    own_life = rule(
        "life_limit",
        name="LIFE",
        start="manufacture",
        first={"months": 180, "operations": 10_000},
        operation="pressurisation",
    )

    def test_each_test_is_good_for_five_years(self) -> None:
        first = unit(done=(work("2010-06", basis="mark"),))
        assert calendar(requalification(5), first) == "2015-06-30"
        assert calendar(requalification(5), unit(done=(work("2015-06", basis="mark"),))) == "2020-06-30", COMPOSITE

    def test_it_is_out_of_life_in_june_2025_whatever_its_last_test_allows(self) -> None:
        assert calendar(requalification(5, name="HST"), self.made) == "2025-06-30"
        assert calendar(self.own_life, self.made) == "2025-06-01"
        assert state_on("2025-06-02", self.own_life, self.made).state == "overdue"

    def test_its_pressurisations_are_counted_against_ten_thousand(self) -> None:
        assert due_point(self.own_life, self.made).operations_left == 9_600

    def test_fillings_of_another_kind_are_no_pressurisations(self) -> None:
        """A limit in a counter is never mapped to another; common practice, no source."""
        other = unit(manufactured="2010-06", operations_opening=0, operated=(filled("2012-01-01", 400),))
        assert [u.measure for u in due_point(self.own_life, other).unknown] == ["operations"]

    def test_an_aluminium_cylinder_has_tests_and_no_end(self) -> None:
        """The same table (READ): DOT 3AL 6061-T6, 5 years, unlimited life."""
        marks = tuple(f"{year}-06" for year in range(1985, 2024, 5))
        assert calendar(requalification(5), marked(*marks)) == "2025-06-30"


class TestFireExtinguishers:
    """49 CFR 180.209(j): 12 then 12 years for 3A, 3AA, 3AL; 4B by proof test 12 then 7 (both from memory)."""

    def test_a_3aa_of_january_2010_is_due_in_2022_and_2034(self) -> None:
        own = requalification(12)
        assert calendar(own, marked("2010-01")) == "2022-01-31"
        assert calendar(own, marked("2010-01", "2022-01")) == "2034-01-31"

    def test_the_first_interval_may_be_longer_than_those_after_it(self) -> None:
        proof = rule(
            "requalification", start="manufacture", first={"months": 144}, repeat={"months": 84}, month_rule="last"
        )
        new = unit(manufactured="2010-01")
        assert calendar(proof, new) == "2022-01-31"
        tested = unit(manufactured="2010-01", done=(work("2022-01", basis="mark"),))
        assert calendar(proof, tested) == "2029-01-31"


class TestMarksAsStamped:
    """Marks seen on aviation cylinders (READ): `06 * 99`, `05 * 07`; Navy text: `8-70` (READ), which it calls expired
    when the latest date stamped is more than five years before today."""

    @pytest.mark.parametrize(("mark", "month"), [("8-70", "1970-08"), ("06 * 99", "1999-06"), ("05 * 07", "2007-05")])
    @pytest.mark.parametrize("day", ["2007-05-01", "2026-11-25", "2069-12-31"])
    def test_the_printed_marks_mean_their_months(self, mark: str, month: str, day: str) -> None:
        """Trade facts, section 1.6: 1970-08, 1999-06, 2007-05 (READ); on any day until the year comes round again."""
        assert parse_mark(mark, as_of=date.fromisoformat(day)).text == month

    @pytest.mark.parametrize("mark", ["8-70+", "06 * 99 ★", "05 * 07*", "05 * 07E", "05 * 07 S"])
    def test_the_star_and_the_signs_behind_the_year_are_no_part_of_the_date(self, mark: str) -> None:
        """`+` (PHMSA 13-0042, READ), `S` (READ), star (PHMSA 16-0147, READ), E (from memory)."""
        assert parse_mark(mark, as_of=date(2026, 11, 25)).text in ("1970-08", "1999-06", "2007-05")

    def test_8_70_was_expired_after_five_years(self) -> None:
        mark = parse_mark("8-70", as_of=date(1971, 1, 1)).text
        assert calendar(requalification(5), marked(mark)) == "1975-08-31"

    def test_taken_in_as_stamped_it_is_the_mark_the_test_counts_from(self, store: Store, tmp_path: Path) -> None:
        own = {"part_number": "QR-1", "serial_number": "B7"}
        files = small_world(
            parts=[{"part_number": "QR-1", "manufacturer": "Gannet"}],
            requirements=[
                {
                    "requirement": "HST",
                    "part_number": "QR-1",
                    "kind": "requalification",
                    "month_rule": "last",
                    "repeat_months": 60,
                }
            ],
            units=[{**own, "as_of": "2008-01-01", "store": "Main"}],
            accomplishments=[{**own, "requirement": "HST", "date": mark} for mark in ("06 * 99", "05 * 07")],
        )
        folder = read_folder(write(tmp_path / "files", files), marks_as_of=date(2008, 1, 1))
        take_in(store, folder, recorded_by="clerk")
        (row,) = due(store, as_of=date(2008, 1, 1), everything=True).rows
        assert (row.last_done, row.due_date) == ("2007-05-01", "2012-05-31")

    def read(self, folder: Path, *marks: str) -> tuple[list[object], list[str]]:
        rows = [
            {"part_number": "QR-1", "serial_number": str(n), "requirement": "HST", "date": mark}
            for n, mark in enumerate(marks)
        ]
        read, problems = rows_read(write(folder / "files", {"accomplishments": rows}))
        return [row.values["date"] for row in read], problems

    def test_the_printed_shapes_are_read_when_the_year_has_its_century(self, tmp_path: Path) -> None:
        dates, problems = self.read(tmp_path, "06 * 1999", "05 * 2007", "8-1970", "1999-06")
        assert (dates, problems) == (["1999-06", "2007-05", "1970-08", "1999-06"], [])

    @pytest.mark.parametrize("mark", ["06 * 99", "05 * 07", "8-70"])
    def test_with_no_day_to_count_back_from_a_year_of_two_digits_is_given_no_century(
        self, tmp_path: Path, mark: str
    ) -> None:
        dates, problems = self.read(tmp_path, mark)
        assert dates == []
        assert len(problems) == 1
        assert "century" in problems[0]


class TestExpansionTest:
    """49 CFR 180.205 by a page reproducing it, and 180.203 (2004), both READ: trade facts, section 1.5."""

    def judged(self, specification: str, total: str, permanent: str, marked: str | None = None) -> ExpansionJudged:
        return judge_expansion(
            specification=specification,
            total=Decimal(total),
            permanent=Decimal(permanent),
            rejection_elastic=None if marked is None else Decimal(marked),
        )

    def test_ten_per_cent_permanent_expansion_passes(self) -> None:
        """Condemned if over 10 % (READ)."""
        judged = self.judged("3AA", "200.0", "20.0")
        assert (judged.outcome, judged.permanent_percent) == ("passed", Decimal("10.00"))

    def test_a_tenth_of_a_cubic_centimetre_more_is_condemned(self) -> None:
        judged = self.judged("3AA", "200.0", "20.1")
        assert (judged.outcome, judged.permanent_percent) == ("condemned", Decimal("10.05"))

    def test_elastic_is_total_less_permanent(self) -> None:
        """180.203 (READ)."""
        assert self.judged("3AA", "200", "12").elastic == 188

    def test_a_3ht_over_its_marked_rejection_elastic_expansion_is_condemned(self) -> None:
        """A 3HT also if elastic expansion exceeds the marked one (READ): 105.5 with 105.0 marked."""
        judged = self.judged("3HT", "110.0", "4.5", "105.0")
        assert (judged.elastic, judged.outcome) == (Decimal("105.5"), "condemned")
        assert self.judged("3HT", "110.0", "5.0", "105.0").outcome == "passed"

    def test_eleven_per_cent_of_a_4e_passes_and_twelve_is_its_limit(self) -> None:
        """4E: over 12 % (READ)."""
        assert self.judged("4E", "200", "22").outcome == "passed"
        assert self.judged("4E", "200", "24").outcome == "passed"
        assert self.judged("4E", "200", "24.1").outcome == "condemned"
        assert self.judged("3AA", "200", "22").outcome == "condemned"

    def test_a_special_permit_is_judged_by_its_own_figures_or_not_at_all(self) -> None:
        """As the permit says (READ); over 5 % for the composite ones is from memory, and so never supposed."""
        assert self.judged("E 8162", "200", "1").outcome == "unknown"

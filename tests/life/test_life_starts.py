"""From where the limits run before and after work was done."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from life_history import (
    band,
    carried,
    done,
    done_on_aircraft,
    fitted,
    h,
    iso,
    needs,
    ran,
    released,
    unit,
)

import fleetlife.life
from fleetlife.life.causes import CAUSES, cause_sentence, what_clears
from fleetlife.life.points import due_point


def cause(point, measure="calendar"):
    return {u.measure: u.cause for u in point.unknown}.get(measure)


class TestDatedStarts:
    @pytest.mark.parametrize(
        ("made", "due"),
        [("2010-06-15", "2025-06-15"), ("2010-06", "2025-06-01"), ("2010", "2025-01-01"), ("2010-Q2", "2025-04-01")],
    )
    def test_manufacture_counts_from_the_first_day_it_may_mean(self, made, due):
        life = needs(kind="life_limit", start="manufacture", first={"months": 180})
        assert iso(due_point(life, unit(manufactured=made)).calendar_due) == due

    @pytest.mark.parametrize(
        ("cured", "months", "due"),
        [("2025-Q1", 180, "2040-03-31"), ("2024-Q4", 60, "2029-12-31"), ("2025-02", 180, "2040-02-01")],
    )
    def test_a_cure_quarter_counts_from_its_last_day(self, cured, months, due):
        # MIL-HDBK-695E, 3.3: the last day of the quarter is taken as the date.
        shelf = needs(kind="storage", start="cure", first={"months": months})
        assert iso(due_point(shelf, unit(cured=cured)).calendar_due) == due

    def test_the_release_is_the_first_as_new(self):
        first = needs(start="release", first={"months": 12})
        history = unit(releases=(released("2023-05-01", new=False), released("2022-01-10"), released("2024-01-10")))
        assert iso(due_point(first, history).calendar_due) == "2023-01-10"

    def test_a_release_that_is_not_as_new_starts_nothing(self):
        first = needs(start="release", first={"months": 12})
        point = due_point(first, unit(releases=(released("2023-05-01", new=False),)))
        assert (point.standing, cause(point)) == ("unknown", "no-release")

    @pytest.mark.parametrize(
        ("start", "expected"),
        [("manufacture", "no-manufacture-date"), ("cure", "no-cure-date"), ("release", "no-release")],
    )
    def test_a_missing_start_is_unknown_with_its_cause(self, start, expected):
        point = due_point(needs(start=start, first={"months": 12}), unit())
        assert (point.standing, point.calendar_due, cause(point)) == ("unknown", None, expected)

    def test_a_repeat_with_nothing_to_count_from_misses_the_work(self):
        assert cause(due_point(needs(repeat={"months": 12}), unit())) == "no-accomplishment"

    def test_the_repeat_serves_from_the_start_where_no_first_is_stated(self):
        point = due_point(needs(start="manufacture", repeat={"months": 12}), unit(manufactured="2020-01-31"))
        assert iso(point.calendar_due) == "2021-01-31"

    def test_first_serves_until_done_and_repeat_after(self):
        rule = needs(start="manufacture", first={"months": 60}, repeat={"months": 36})
        assert iso(due_point(rule, unit(manufactured="2020-01-31")).calendar_due) == "2025-01-31"
        after = due_point(rule, unit(manufactured="2020-01-31", done=(done("2024-12-01"),)))
        assert (iso(after.calendar_due), iso(after.last_done)) == ("2027-12-01", "2024-12-01")

    def test_counts_since_new_need_the_opening_total(self):
        life = needs(kind="life_limit", start="manufacture", first={"minutes": h("100:00"), "cycles": 50})
        point = due_point(life, unit(opening=ran(h("40:00")), carried=carried(minutes=h("1000:00"))))
        assert (point.due_minutes, point.due_cycles) == (h("1060:00"), None)
        assert cause(point, "cycles") == "no-count-since-new"
        assert point.standing == "known"


class TestOnceOrNever:
    def test_done_once_with_no_repeat_is_complete(self):
        once = needs(kind="inspection", start="manufacture", first={"months": 12})
        point = due_point(once, unit(manufactured="2020-01-01", done=(done("2020-06-01"),)))
        assert (point.standing, point.calendar_due) == ("complete", None)

    def test_nothing_restarts_a_life_limit(self):
        life = needs(kind="life_limit", start="manufacture", first={"months": 180})
        point = due_point(life, unit(manufactured="2010-01-01", done=(done("2024-06-01"),)))
        assert (point.standing, iso(point.calendar_due)) == ("known", "2025-01-01")

    def test_on_condition_has_nothing_due_and_says_by_what(self):
        point = due_point(needs(kind="on_condition", reference="MPD 25-60"), unit())
        assert point.standing == "complete"
        assert "MPD 25-60" in point.basis

    def test_a_requirement_without_any_limit_is_unknown(self):
        point = due_point(needs(), unit())
        assert (point.standing, cause(point)) == ("unknown", "no-limit-stated")


class TestInstallationStart:
    rule = needs(start="installation", repeat={"months": 36, "minutes": h("600:00")})

    def test_in_stores_with_no_allowance_it_waits(self):
        point = due_point(self.rule, unit(done=(done("2023-01-10"),)))
        assert (point.standing, point.calendar_due, point.if_fitted_months) == ("waiting", None, 36)

    def test_done_while_installed_counts_from_its_date(self):
        history = unit(done=(done_on_aircraft("2023-01-10"),), installations=(fitted("2022-01-01"),), carried=carried())
        assert iso(due_point(self.rule, history).calendar_due) == "2026-01-10"

    def test_fitted_the_day_before_its_paper_counts_from_the_paper(self):
        history = unit(done=(done("2023-01-10"),), installations=(fitted("2023-01-09"),), carried=carried())
        assert iso(due_point(self.rule, history).calendar_due) == "2026-01-10"

    def test_fitted_on_the_day_of_its_release_counts_from_that_day(self):
        history = unit(
            done=(done("2023-01-10"),), installations=(fitted("2023-01-10"), fitted("2024-05-03")), carried=carried()
        )
        assert iso(due_point(self.rule, history).calendar_due) == "2026-01-10"

    def test_hours_run_from_the_work_not_from_the_fitting(self):
        history = unit(
            done=(done("2023-01-10", count=ran(h("50:00"))),),
            installations=(fitted("2023-06-01"),),
            carried=carried(minutes=h("2000:00"), count=ran(h("50:00"))),
        )
        assert due_point(self.rule, history).due_minutes == h("2600:00")

    def test_installed_since_a_day_not_recorded_is_unknown(self):
        history = unit(
            done=(done("2019-01-10"),), installations=(fitted("2020-01-01", day_known=False),), carried=carried()
        )
        assert cause(due_point(self.rule, history)) == "no-installation-date"
        assert cause(due_point(self.rule, unit(done=(done("2019-01-10"),), carried=carried()))) == (
            "no-installation-date"
        )

    def test_running_before_the_first_known_fitting_shows_an_earlier_one(self):
        history = unit(opened="2020-01-01", done=(done("2018-01-10", count=ran(-h("400:00"))),))
        assert cause(due_point(self.rule, history)) == "no-installation-date"
        rested = unit(opened="2020-01-01", done=(done("2018-01-10", count=ran(0)),))
        assert due_point(self.rule, rested).standing == "waiting"

    def test_the_first_limit_counts_hours_from_the_first_fitting(self):
        first = needs(start="installation", first={"minutes": h("600:00")}, repeat={"minutes": h("300:00")})
        history = unit(
            opening=ran(0, 0),
            installations=(fitted("2023-06-01", count=ran(h("2:00")), first_ever=True),),
            carried=carried(minutes=h("2000:00"), count=ran(h("2:00"))),
        )
        assert due_point(first, history).due_minutes == h("2600:00")

    def test_a_new_unit_never_fitted_has_its_whole_limit_left(self):
        first = needs(start="installation", first={"months": 60, "minutes": h("600:00")})
        point = due_point(first, unit(opening=ran(0, 0), releases=(released("2020-01-01"),)))
        assert (point.standing, point.left_minutes, point.if_fitted_months) == ("waiting", h("600:00"), 60)

    def test_an_allowance_with_no_release_recorded_is_unknown(self):
        first = needs(start="installation", first={"months": 60}, shelf_allowance_months=12)
        assert cause(due_point(first, unit(opening=ran(0, 0)))) == "no-release"

    def test_a_new_unit_fitted_a_day_before_its_paper_counts_from_the_fitting(self):
        first = needs(start="installation", first={"months": 60})
        history = unit(
            releases=(released("2023-05-02"),), installations=(fitted("2023-05-01"),), carried=carried("2023-05-01")
        )
        assert iso(due_point(first, history).calendar_due) == "2028-05-01"


class TestFirstInstallation:
    rule = needs(kind="life_limit", start="first_installation", first={"months": 120})

    def test_it_counts_from_the_stated_day(self):
        assert iso(due_point(self.rule, unit(first_installed="2015-03")).calendar_due) == "2025-03-01"

    def test_refitting_restarts_nothing(self):
        history = unit(
            opening=ran(0, 0),
            installations=(fitted("2021-01-01", first_ever=True), fitted("2023-01-01")),
            carried=carried(),
        )
        assert iso(due_point(self.rule, history).calendar_due) == "2031-01-01"

    def test_the_first_in_the_records_is_the_first_for_a_unit_opened_unused(self):
        history = unit(opening=ran(0, 0), installations=(fitted("2021-01-01"),), carried=carried())
        assert iso(due_point(self.rule, history).calendar_due) == "2031-01-01"

    def test_a_used_unit_with_no_first_installation_recorded_is_unknown(self):
        history = unit(opening=ran(h("10:00")), installations=(fitted("2021-01-01"),), carried=carried())
        assert cause(due_point(self.rule, history)) == "no-first-installation"
        assert cause(due_point(self.rule, unit(opening=ran(h("10:00"))))) == "no-first-installation"

    def test_an_unused_unit_in_stores_waits(self):
        assert due_point(self.rule, unit(opening=ran(0, 0))).standing == "waiting"

    def test_the_total_at_the_first_installation_is_zero_when_only_its_day_is_stated(self):
        life = needs(kind="life_limit", start="first_installation", first={"minutes": h("100:00")})
        history = unit(opening=ran(h("30:00")), first_installed="2015-03", carried=carried(minutes=h("500:00")))
        assert due_point(life, history).due_minutes == h("570:00")


class TestEachInstallation:
    rule = needs(kind="functional_test", start="each_installation", repeat={"months": 12, "minutes": h("100:00")})

    def history(self, *installations, work=(), **fields):
        return unit(done=work, installations=installations, **fields)

    def test_every_fitting_starts_calendar_and_hours_anew(self):
        history = self.history(
            fitted("2021-01-01", count=ran(0)),
            fitted("2023-01-01", count=ran(h("80:00"))),
            carried=carried(minutes=h("700:00"), count=ran(h("80:00"))),
        )
        point = due_point(self.rule, history)
        assert (iso(point.calendar_due), point.due_minutes) == ("2024-01-01", h("800:00"))

    def test_work_after_the_fitting_counts_from_the_work(self):
        history = self.history(
            fitted("2021-01-01", count=ran(0)),
            work=(done_on_aircraft("2021-06-01", count=ran(h("40:00"))),),
            carried=carried(minutes=h("700:00"), count=ran(0)),
        )
        point = due_point(self.rule, history)
        assert (iso(point.calendar_due), point.due_minutes) == ("2022-06-01", h("840:00"))

    def test_a_fitting_after_the_work_counts_from_the_fitting(self):
        history = self.history(
            fitted("2021-01-01", count=ran(0)),
            fitted("2021-09-01", count=ran(h("60:00"))),
            work=(done_on_aircraft("2021-06-01", count=ran(h("40:00"))),),
            carried=carried(minutes=h("100:00"), count=ran(h("60:00"))),
        )
        point = due_point(self.rule, history)
        assert (iso(point.calendar_due), point.due_minutes) == ("2022-09-01", h("200:00"))

    def test_off_the_airframe_it_waits_with_the_whole_limit_left(self):
        point = due_point(self.rule, self.history(fitted("2021-01-01", count=ran(0)), now=ran(h("90:00"))))
        assert (point.standing, point.calendar_due, point.left_minutes) == ("waiting", None, h("100:00"))


class TestPaper:
    rule = needs(start="release", repeat={"months": 36})

    def test_a_paper_that_does_not_show_the_work_restarts_nothing(self):
        history = unit(done=(done("2020-01-10"), done("2022-05-01", proven=False)))
        point = due_point(self.rule, history)
        assert (iso(point.calendar_due), iso(point.last_done)) == ("2023-01-10", "2020-01-10")
        assert "2022-05-01" in point.basis

    def test_with_no_other_work_shown_it_is_unknown_for_that_cause(self):
        point = due_point(self.rule, unit(done=(done("2022-05-01", proven=False),)))
        assert (point.standing, cause(point)) == ("unknown", "not-proven-by-paper")

    def test_a_requalification_without_its_mark_is_unknown(self):
        rule = needs(kind="requalification", repeat={"months": 60}, month_rule="last")
        point = due_point(rule, unit(done=(done("2019-02", date_basis="mark"), done("2022-05-01"))))
        assert (point.standing, cause(point)) == ("unknown", "no-mark")

    def test_other_work_is_other_work(self):
        point = due_point(self.rule, unit(done=(done("2022-05-01", requirement="R2"),)))
        assert point.standing == "unknown"

    def test_the_later_work_counts_whatever_the_order_it_is_given_in(self):
        history = unit(done=(done("2022-05-01"), done("2020-01-10")))
        assert iso(due_point(self.rule, history).calendar_due) == "2025-05-01"


class TestBandsAndAge:
    rule = needs(repeat={"months": 36}, bands=(band(180, months=12),))

    def test_without_the_age_it_is_unknown(self):
        assert cause(due_point(self.rule, unit(done=(done("2024-03-10"),)))) == "no-manufacture-date"

    def test_on_the_day_of_the_band_the_band_is_in_force(self):
        history = unit(manufactured="2010-06-15", done=(done("2025-06-15"),))
        assert iso(due_point(self.rule, history).calendar_due) == "2026-06-15"

    def test_an_age_far_off_caps_nothing(self):
        history = unit(manufactured="2020-06-15", done=(done("2024-03-10"),))
        assert iso(due_point(self.rule, history).calendar_due) == "2027-03-10"

    def test_the_band_at_the_work_alone_decides_where_the_programme_says_so(self):
        basis = needs(repeat={"months": 36}, bands=(band(180, months=12),), band_rule="basis")
        history = unit(manufactured="2010-06-15", done=(done("2024-03-10"),))
        assert iso(due_point(basis, history).calendar_due) == "2027-03-10"

    def test_a_measure_the_band_does_not_state_keeps_its_limit(self):
        rule = needs(repeat={"months": 36, "cycles": 900}, bands=(band(180, months=12),))
        history = unit(manufactured="2010-06-15", done=(done("2025-07-01", count=ran(0, 0)),), carried=carried())
        point = due_point(rule, history)
        assert (iso(point.calendar_due), point.due_cycles) == ("2026-07-01", 900)

    def test_the_band_that_begins_on_the_day_of_the_work_decides_alone_too(self):
        basis = needs(repeat={"months": 36}, bands=(band(180, months=12),), band_rule="basis")
        assert iso(due_point(basis, unit(manufactured="2010-06-15", done=(done("2025-06-15"),))).calendar_due) == (
            "2026-06-15"
        )
        assert iso(due_point(basis, unit(manufactured="2010-06-15", done=(done("2025-06-14"),))).calendar_due) == (
            "2028-06-14"
        )

    def test_three_bands_each_cap(self):
        rule = needs(repeat={"months": 60}, bands=(band(120, months=24), band(180, months=6)))
        # made 2010-01-01: 24 months from 2020-01-01, 6 months from 2025-01-01
        cases = {"2017-06-01": "2020-01-01", "2018-12-01": "2020-12-01", "2023-12-01": "2025-01-01"}
        for worked, due in cases.items():
            assert iso(due_point(rule, unit(manufactured="2010-01-01", done=(done(worked),))).calendar_due) == due

    def test_bands_that_start_at_the_fitting_use_the_age_at_the_work(self):
        rule = needs(start="installation", repeat={"months": 36}, bands=(band(180, months=12),))
        history = unit(
            manufactured="2010-06-15",
            done=(done("2025-04-01"),),
            installations=(fitted("2025-10-01"),),
            carried=carried("2025-10-01"),
        )
        assert iso(due_point(rule, history).calendar_due) == "2026-10-01"


class TestCauses:
    def test_every_cause_has_a_sentence_and_a_document_that_clears_it(self):
        for word in CAUSES:
            assert word == word.lower()
            assert " " not in word
            assert cause_sentence(word).endswith(".")
            assert what_clears(word).endswith(".")

    def test_every_cause_the_rules_give_is_in_the_closed_list(self):
        given = set()
        for module in Path(fleetlife.life.__file__).parent.glob("*.py"):
            if module.name != "causes.py":
                given |= set(re.findall(r'"((?:no|not)-[a-z]+(?:-[a-z]+)*)"', module.read_text(encoding="utf-8")))
        assert given - {"no-refill"} == set(CAUSES)

"""What the next interval counts from: windows, variations, resets, expiry."""

from __future__ import annotations

from dataclasses import replace

import pytest
from life_history import (
    band,
    carried,
    d,
    done,
    done_on_aircraft,
    fitted,
    flying,
    h,
    iso,
    needs,
    ran,
    row,
    unit,
    varied,
)

from fleetlife.dates.moment import moment_of
from fleetlife.life.points import due_point, expand_resets
from fleetlife.terms.words import UNEXTENDABLE_SOURCES


class TestWindowOfSeveralMeasures:
    """Every 12 months or 600:00, a window of 30 days and one of 30:00; due 2025-01-01 and at 600:00."""

    rule = needs(
        kind="inspection",
        repeat={"months": 12, "minutes": h("600:00")},
        done_at="aircraft",
        anchor="due",
        window_early={"days": 30, "minutes": h("30:00")},
        window_late={"days": 10, "minutes": h("30:00")},
    )

    def next_due(self, day, hours, rule=None):
        history = unit(
            done=(
                done_on_aircraft("2024-01-01", count=ran(0)),
                done_on_aircraft(day, count=ran(None if hours is None else h(hours))),
            ),
            carried=carried(),
        )
        point = due_point(rule or self.rule, history)
        return iso(point.calendar_due), point.due_minutes

    def test_inside_both_each_goes_on_from_its_own_due_point(self):
        assert self.next_due("2024-12-15", "610:00") == ("2026-01-01", h("1200:00"))

    def test_outside_one_both_count_from_what_was_done(self):
        assert self.next_due("2024-12-15", "500:00") == ("2025-12-15", h("1100:00"))
        assert self.next_due("2024-11-15", "590:00") == ("2025-11-15", h("1190:00"))

    def test_the_ends_of_the_window_are_inside(self):
        assert self.next_due("2024-12-02", "570:00") == ("2026-01-01", h("1200:00"))
        assert self.next_due("2025-01-11", "630:00") == ("2026-01-01", h("1200:00"))
        assert self.next_due("2025-01-12", "630:00") == ("2026-01-12", h("1230:00"))

    def test_a_later_fitting_begins_anew_whatever_the_window_of_earlier_work(self):
        rule = needs(
            kind="functional_test",
            start="each_installation",
            repeat={"months": 12},
            done_at="aircraft",
            anchor="due",
            window_early={"days": 30},
            window_late={"days": 30},
        )
        history = unit(
            installations=(fitted("2023-01-01"), fitted("2024-06-01")),
            installed_now=True,
            done=(done_on_aircraft("2023-12-20"),),
        )
        assert iso(due_point(rule, history).calendar_due) == "2025-06-01"

    def test_a_measure_without_a_window_counts_from_what_was_done(self):
        calendar_only = replace(self.rule, window_early=needs(repeat={"days": 30}).repeat, window_late=needs().repeat)
        assert self.next_due("2024-12-15", "500:00", calendar_only) == ("2026-01-01", h("1100:00"))

    def test_a_window_that_cannot_be_judged_never_makes_it_later(self):
        assert self.next_due("2025-01-05", None) == ("2026-01-01", None)
        assert self.next_due("2024-12-15", None) == ("2025-12-15", None)

    def test_shop_work_always_counts_from_what_was_done(self):
        history = unit(done=(done_on_aircraft("2024-01-01", count=ran(0)), done("2024-12-15", count=ran(h("590:00")))))
        assert iso(due_point(self.rule, history).calendar_due) == "2025-12-15"

    def test_the_late_window_is_no_tolerance(self):
        history = unit(done=(done_on_aircraft("2024-01-01", count=ran(0)),), carried=carried())
        point = due_point(self.rule, history)
        assert row(self.rule, point, flying("2025-01-05", "10:00"), as_of="2025-01-05").state == "overdue"

    def test_a_due_point_twice_on_time_does_not_creep(self):
        history = unit(
            done=tuple(done_on_aircraft(day, count=ran(0)) for day in ("2024-01-01", "2024-12-15", "2025-12-20")),
            carried=carried(),
        )
        rule = replace(self.rule, repeat=needs(repeat={"months": 12}).repeat)
        rule = replace(rule, window_early=needs(repeat={"days": 30}).repeat, window_late=needs().repeat)
        assert iso(due_point(rule, history).calendar_due) == "2027-01-01"


class TestPublishedNonAccumulation:
    """Published examples: a 100-hour check done at 110 is next due at 200, not 210; done early at 87, at 187."""

    rule = needs(
        kind="inspection",
        repeat={"minutes": h("100:00")},
        done_at="aircraft",
        anchor="due",
        window_late={"minutes": h("30:00")},
    )

    @pytest.mark.parametrize(
        ("done_at", "due"), [("110:00", "200:00"), ("130:00", "200:00"), ("87:00", "187:00"), ("131:00", "231:00")]
    )
    def test_late_inside_the_window_keeps_the_point_and_early_outside_it_does_not(self, done_at, due):
        history = unit(
            done=(done_on_aircraft("2024-01-01", count=ran(0)), done_on_aircraft("2024-03-01", count=ran(h(done_at)))),
            carried=carried(),
        )
        assert due_point(self.rule, history).due_minutes == h(due)


class TestVariation:
    rule = needs(kind="inspection", repeat={"months": 12}, done_at="aircraft", variation_allowed=True)

    def point(self, *variations, rule=None, carrier=None, work=("2024-01-01",)):
        history = unit(
            done=tuple(done_on_aircraft(day) for day in work), variations=variations, carried=carrier or carried()
        )
        return due_point(rule or self.rule, history)

    def test_it_extends_the_calendar_and_keeps_the_first_due_date(self):
        point = self.point(varied("2024-12-01", "2025-02-01"))
        assert (iso(point.calendar_due), iso(point.varied_calendar)) == ("2025-01-01", "2025-02-01")
        assert "PV-1" in point.variation
        assert "S. Quill" in point.variation

    def test_only_where_the_requirement_allows_one(self):
        assert self.point(varied("2024-12-01", "2025-02-01"), rule=replace(self.rule, variation_allowed=False)) == (
            replace(self.point(), variation=None)
        )

    @pytest.mark.parametrize("source", UNEXTENDABLE_SOURCES)
    def test_nothing_extends_a_limitation_or_a_directive(self, source):
        point = self.point(varied("2024-12-01", "2025-02-01"), rule=replace(self.rule, source=source))
        assert (point.varied_calendar, point.variation) == (None, None)

    def test_nothing_extends_a_life_limit_or_a_cylinders_service_life(self):
        life = needs(kind="life_limit", start="manufacture", first={"months": 12}, variation_allowed=True)
        history = unit(manufactured="2024-01-01", variations=(varied("2024-12-01", "2025-02-01"),), carried=carried())
        assert due_point(life, history).varied_calendar is None
        cylinder = replace(life, kind="replacement", source="dangerous_goods")
        assert due_point(cylinder, history).varied_calendar is None
        assert due_point(replace(cylinder, source="programme"), history).varied_calendar == d("2025-02-01")

    def test_it_must_be_approved_before_the_due_point(self):
        assert self.point(varied("2025-01-01", "2025-02-01")).varied_calendar == d("2025-02-01")
        assert self.point(varied("2025-01-02", "2025-02-01")).varied_calendar is None

    def test_approved_with_the_hours_already_passed_it_came_too_late(self):
        rule = replace(self.rule, repeat=needs(repeat={"minutes": h("100:00")}).repeat)
        history = unit(done=(done_on_aircraft("2024-01-01", count=ran(0)),), carried=carried())

        def with_total(total):
            variation = varied("2024-12-01", until_minutes=h("110:00"), approved_minutes=h(total))
            return due_point(rule, replace(history, variations=(variation,)))

        assert with_total("100:00").varied_minutes == h("110:00")
        assert with_total("100:01").varied_minutes is None

    def test_one_to_a_due_point_and_never_stacked(self):
        first, second = varied("2024-12-01", "2025-02-01"), varied("2024-12-20", "2025-04-01", reference="PV-2")
        point = self.point(first, second)
        assert iso(point.varied_calendar) == "2025-02-01"
        assert "PV-2" not in point.variation

    def test_a_used_variation_does_not_serve_the_next_due_point(self):
        point = self.point(varied("2024-12-01", "2026-06-01"), work=("2024-01-01", "2024-12-20"))
        assert (iso(point.calendar_due), point.varied_calendar) == ("2025-12-20", None)

    def test_it_lapses_when_the_unit_leaves_the_airframe(self):
        left = varied("2024-12-01", "2025-02-01", left_moment=moment_of(d("2024-12-10")))
        assert self.point(left).varied_calendar is None

    def test_it_belongs_to_one_airframe(self):
        assert self.point(varied("2024-12-01", "2025-02-01", airframe_id=2)).varied_calendar is None
        assert self.point(varied("2024-12-01", "2025-02-01", airframe_id=None)).varied_calendar is None

    def test_an_earlier_date_than_the_due_date_extends_nothing(self):
        assert self.point(varied("2024-12-01", "2024-12-30")).varied_calendar is None

    def test_done_after_its_end_the_next_counts_from_what_was_done(self):
        point = self.point(varied("2024-12-01", "2025-02-01"), work=("2024-01-01", "2025-02-02"))
        assert iso(point.calendar_due) == "2026-02-02"

    def test_done_late_with_none_the_next_counts_from_what_was_done(self):
        assert iso(self.point(work=("2024-01-01", "2025-01-20")).calendar_due) == "2026-01-20"

    def test_done_on_another_airframe_it_did_not_cover_the_work(self):
        left = varied("2024-12-01", "2025-02-01", left_moment=moment_of(d("2024-12-10")))
        assert iso(self.point(left, work=("2024-01-01", "2025-01-20")).calendar_due) == "2026-01-20"

    def test_done_before_the_due_point_counts_from_what_was_done(self):
        point = self.point(varied("2024-11-01", "2025-02-01"), work=("2024-01-01", "2024-12-20"))
        assert iso(point.calendar_due) == "2025-12-20"

    def test_of_several_measures_the_late_one_counts_from_its_due_point(self):
        rule = replace(self.rule, repeat=needs(repeat={"months": 12, "minutes": h("600:00")}).repeat)
        history = unit(
            done=(
                done_on_aircraft("2024-01-01", count=ran(0)),
                done_on_aircraft("2025-01-20", count=ran(h("500:00"))),
            ),
            variations=(varied("2024-12-01", "2025-02-01"),),
            carried=carried(),
        )
        point = due_point(rule, history)
        assert (iso(point.calendar_due), point.due_minutes) == ("2026-01-01", h("1100:00"))

    def test_in_hours_done_under_it_the_next_counts_from_the_due_point(self):
        rule = replace(self.rule, repeat=needs(repeat={"minutes": h("600:00")}).repeat)

        def next_due(at, **fields):
            history = unit(
                done=(done_on_aircraft("2024-01-01", count=ran(0)), done_on_aircraft("2025-01-20", count=ran(h(at)))),
                variations=(varied("2024-12-01", until_minutes=h("5620:00"), **fields),),
                carried=carried(minutes=h("5000:00")),
            )
            return due_point(rule, history).due_minutes

        assert next_due("615:00") == h("6200:00")
        assert next_due("621:00") == h("6221:00")
        # Off that airframe since, its total cannot be compared any more: taken as covered, which is never later.
        assert next_due("621:00", left_moment=moment_of(d("2025-03-01"))) == h("6200:00")

    def test_variation_wins_over_the_window(self):
        rule = replace(
            self.rule,
            anchor="due",
            repeat=needs(repeat={"months": 12, "minutes": h("600:00")}).repeat,
            window_late=needs(repeat={"minutes": h("30:00")}).repeat,
        )
        history = unit(
            done=(
                done_on_aircraft("2024-01-01", count=ran(0)),
                done_on_aircraft("2025-01-20", count=ran(h("600:00"))),
            ),
            variations=(varied("2024-12-01", "2025-02-01"),),
            carried=carried(),
        )
        assert iso(due_point(rule, history).calendar_due) == "2026-01-01"


class TestExpiry:
    rule = needs(repeat={"months": 36})

    @pytest.mark.parametrize(
        ("stated", "due"),
        [
            ("2024-05-10", "2024-05-10"),
            ("2024-05", "2024-05-31"),
            ("2024-Q2", "2024-06-30"),
            ("2024", "2024-01-01"),
            ("2029-01-01", "2025-01-10"),
        ],
    )
    def test_it_governs_if_earlier(self, stated, due):
        point = due_point(self.rule, unit(opened="2023-01-01", expires=stated, done=(done("2022-01-10"),)))
        assert (point.standing, iso(point.calendar_due)) == ("known", due)

    def test_it_leaves_what_is_unknown_in_the_list(self):
        point = due_point(self.rule, unit(expires="2024-05-10"))
        assert (point.standing, iso(point.calendar_due)) == ("known", "2024-05-10")
        assert [u.cause for u in point.unknown] == ["no-accomplishment"]

    def test_it_gives_a_waiting_unit_a_date(self):
        rule = needs(start="installation", repeat={"months": 36})
        point = due_point(rule, unit(opened="2022-02-01", expires="2024-05-10", done=(done("2022-01-10"),)))
        assert (point.standing, iso(point.calendar_due)) == ("known", "2024-05-10")
        assert iso(row(rule, point, as_of="2022-03-01").due_if_fitted) == "2024-05-10"

    def test_it_stands_where_nothing_else_is_due(self):
        point = due_point(needs(kind="on_condition", reference="X"), unit(expires="2024-05-10"))
        assert (point.standing, iso(point.calendar_due)) == ("known", "2024-05-10")

    def test_work_that_renews_the_unit_after_the_statement_ends_it(self):
        history = unit(opened="2023-01-01", expires="2024-05-10", done=(done("2024-03-01"),))
        assert iso(due_point(self.rule, history).calendar_due) == "2027-03-01"
        test = replace(self.rule, kind="functional_test")
        assert iso(due_point(test, history).calendar_due) == "2024-05-10"

    def test_no_variation_goes_beyond_it(self):
        rule = needs(kind="inspection", repeat={"months": 12}, done_at="aircraft", variation_allowed=True)
        history = unit(
            done=(done_on_aircraft("2024-01-01"),),
            variations=(varied("2024-12-01", "2025-03-01"),),
            carried=carried(),
            expires="2025-01-20",
        )
        point = due_point(rule, history)
        assert (iso(point.calendar_due), iso(point.varied_calendar)) == ("2025-01-01", "2025-01-20")

    def test_it_stops_no_soft_life(self):
        soft = replace(self.rule, kind="soft_life")
        history = unit(opened="2022-02-01", expires="2024-05-10", done=(done("2022-01-10"),))
        assert iso(due_point(soft, history).calendar_due) == "2025-01-10"

    @pytest.mark.parametrize("expires", ["2023-06-01", "2026-06-01"])
    def test_under_whichever_last_it_binds_by_itself(self, expires):
        rule = needs(repeat={"months": 24, "cycles": 1500}, whichever="last")
        work = (done("2022-01-10", count=ran(0, 0)),)
        history = unit(opened="2022-02-01", expires=expires, done=work, carried=carried())
        point = due_point(rule, history)
        after = row(rule, point, flying("2026-06-02", cycles=10), as_of="2026-06-02")
        assert after.state == "overdue"
        before = row(rule, point, flying("2023-05-01", cycles=10), as_of="2023-05-01")
        assert (before.state, iso(before.due_date)) == ("in date", expires)


class TestResets:
    overhaul = replace(needs(resets=("R2", "R3", "R4")), requirement="R1")
    inspection = replace(needs(kind="inspection", resets=("R5",)), requirement="R2")
    life = replace(needs(kind="life_limit"), requirement="R3")
    cylinder = replace(needs(kind="requalification"), requirement="R4")
    rules = (overhaul, inspection, life, cylinder)

    def test_it_counts_as_the_other_work_on_the_same_day(self):
        added = [w for w in expand_resets(self.rules, (done("2024-03-01"),)) if w.requirement == "R2"]
        assert [iso(w.day) for w in added] == ["2024-03-01"]

    def test_never_a_life_limit(self):
        assert "R3" not in {w.requirement for w in expand_resets(self.rules, (done("2024-03-01"),))}

    def test_a_requalification_only_by_its_mark(self):
        assert "R4" not in {w.requirement for w in expand_resets(self.rules, (done("2024-03-01"),))}
        marked = expand_resets(self.rules, (done("2024-03", date_basis="mark"),))
        assert "R4" in {w.requirement for w in marked}

    def test_only_what_the_work_itself_lists(self):
        assert "R5" not in {w.requirement for w in expand_resets(self.rules, (done("2024-03-01"),))}

    def test_what_the_paper_does_not_show_resets_nothing(self):
        added = expand_resets(self.rules, (done("2024-03-01", proven=False),))
        assert not any(w.proven for w in added)

    def test_work_recorded_that_day_is_not_doubled(self):
        both = (done("2024-03-01"), done("2024-03-01", requirement="R2"))
        assert len([w for w in expand_resets(self.rules, both) if w.requirement == "R2"]) == 1

    def test_it_moves_the_due_date_of_the_other_work(self):
        rule = replace(needs(kind="inspection", repeat={"months": 12}), requirement="R2")
        history = unit(done=(done("2023-01-01", requirement="R2"), done("2024-03-01")))
        assert iso(due_point(rule, history).calendar_due) == "2024-01-01"
        expanded = replace(history, done=expand_resets((self.overhaul, rule), history.done))
        assert iso(due_point(rule, expanded).calendar_due) == "2025-03-01"


class TestVariationOfWhatIsFittedAnewEachTime:
    """Each fitting begins a due point of its own: an approval of an earlier one stands in no one's way."""

    rule = needs(
        kind="inspection",
        start="each_installation",
        repeat={"days": 100},
        done_at="aircraft",
        variation_allowed=True,
    )
    FIRST = replace(varied("2024-02-01", "2024-06-30", entry=1), left_moment=moment_of(d("2024-03-01")))

    def history(self, *approvals):
        return unit(
            installations=(fitted("2024-01-10", count=ran(0, 0)), fitted("2024-03-05", count=ran(0, 0))),
            carried=carried("2024-03-05"),
            variations=approvals,
        )

    def test_the_new_fitting_has_an_approval_of_its_own(self):
        point = due_point(self.rule, self.history(self.FIRST, varied("2024-04-01", "2024-07-31", entry=2)))
        assert (iso(point.calendar_due), iso(point.varied_calendar)) == ("2024-06-13", "2024-07-31")

    def test_one_on_the_evening_of_the_fitting_is_the_new_ones(self):
        point = due_point(self.rule, self.history(self.FIRST, varied("2024-03-05", "2024-07-31", entry=2)))
        assert iso(point.varied_calendar) == "2024-07-31"

    def test_the_approval_before_it_extends_nothing(self):
        assert due_point(self.rule, self.history(self.FIRST)).varied_calendar is None
        still = replace(self.FIRST, left_moment=None)
        assert due_point(self.rule, self.history(still)).varied_calendar is None

    def test_a_second_one_for_the_same_fitting_changes_nothing(self):
        two = (varied("2024-04-01", "2024-07-31", entry=2), varied("2024-04-02", "2024-12-31", entry=3))
        assert iso(due_point(self.rule, self.history(*two)).varied_calendar) == "2024-07-31"

    def test_work_done_late_under_it_goes_on_from_the_due_point(self):
        work = done_on_aircraft("2024-06-20", count=ran(0, 0))
        history = replace(self.history(self.FIRST, varied("2024-04-01", "2024-07-31", entry=2)), done=(work,))
        assert iso(due_point(self.rule, history).calendar_due) == "2024-09-21"


class TestADuePointThatMayBeLater:
    """Done late on another airframe, with an approval in its totals: whether it was covered cannot be shown any more,
    and the due point is taken as the earlier of two. The next work may then have been outside its true window."""

    @pytest.mark.parametrize(
        ("at", "due_at"),
        [
            (565, 865),  # inside 560 to 600, but outside 580 to 620: from what was done
            (590, 890),  # inside both
            (610, 910),  # after the earlier due point, with no late window: from what was done
        ],
    )
    def test_it_moves_no_interval_to_a_later_start(self, at: int, due_at: int) -> None:
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"cycles": 300},
            done_at="aircraft",
            anchor="due",
            window_early={"cycles": 40},
            variation_allowed=True,
            source="programme",
        )
        approval = varied("2021-04-23", until_cycles=9_330, airframe_id=2, left_moment=moment_of(d("2021-07-01")))
        history = unit(
            manufactured="2020-01-01",
            opening=ran(0, 0),
            done=(
                done_on_aircraft("2021-06-02", count=ran(None, 320)),
                done_on_aircraft("2021-09-01", count=ran(None, at)),
            ),
            variations=(approval,),
            carried=carried("2021-07-08", cycles=5_000, count=ran(0, 400)),
            installed_now=True,
        )
        assert due_point(rule, history).due_cycles == 5_000 + due_at - 400


class TestFittedAnewAndOffAgain:
    def test_no_window_of_earlier_work_gives_a_date_to_a_unit_in_stores(self):
        """Its calendar begins at the fitting to come, whatever the work before it went on from."""
        rule = needs(
            kind="inspection",
            start="each_installation",
            repeat={"months": 2},
            done_at="aircraft",
            anchor="due",
            window_late={"days": 37},
        )
        history = unit(
            installations=(fitted("2024-01-10", count=ran(0, 0)),),
            done=(done_on_aircraft("2024-03-20", count=ran(0, 0)),),
            stored=True,
        )
        on = replace(history, carried=carried("2024-01-10"), installed_now=True, stored=False)
        assert iso(due_point(rule, on).calendar_due) == "2024-05-10"
        off = due_point(rule, history)
        assert (off.standing, off.calendar_due) == ("waiting", None)


class TestApprovalsWhereTheTotalsCannotBeCompared:
    def test_a_band_still_to_come_does_not_make_an_approval_late(self):
        """Every 600:00, from ten years on every 300:00. Approved at 400:00, two years before the band: in time."""
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"minutes": h("600:00")},
            bands=(band(120, minutes=h("300:00")),),
            done_at="aircraft",
            variation_allowed=True,
        )
        history = unit(
            manufactured="2016-01-01",
            opening=ran(0, 0),
            carried=carried("2024-01-01"),
            variations=(varied("2024-01-20", until_minutes=h("700:00"), approved_minutes=h("400:00")),),
        )
        assert due_point(rule, history).varied_minutes == h("700:00")
        after = replace(history.variations[0], approved_on=d("2026-01-20"))
        assert due_point(rule, replace(history, variations=(after,))).varied_minutes is None

    def left(self, rule, *works):
        """Fitted 2024-01-01, approved 2024-04-20 (the calendar passed since 04-10), worked, off since 2024-09-01."""
        approval = replace(
            varied("2024-04-20", "2024-08-31", until_minutes=h("900:00"), approved_minutes=h("80:00")),
            left_moment=moment_of(d("2024-09-01")),
        )
        return unit(
            manufactured="2024-01-01", opening=ran(0, 0), now=ran(h("200:00"), 0), variations=(approval,), done=works
        )

    def test_whichever_last_it_was_in_time_while_the_hours_may_not_have_been_passed(self):
        """100 days or 100:00, whichever last: done at 150:00 under it, the next goes on from the due point."""
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"days": 100, "minutes": h("100:00")},
            whichever="last",
            done_at="aircraft",
            variation_allowed=True,
        )
        point = due_point(rule, self.left(rule, done_on_aircraft("2024-05-20", count=ran(h("150:00"), 0))))
        assert iso(point.calendar_due) == "2024-07-19"

    def test_a_window_about_such_a_point_is_not_shown_and_the_earlier_is_taken(self):
        """Due 100:00, done at 120:00 perhaps under it: next 200:00, or 220:00. Done at 190:00: never from 200:00."""
        rule = needs(
            kind="inspection",
            start="manufacture",
            repeat={"minutes": h("100:00")},
            done_at="aircraft",
            anchor="due",
            window_early={"minutes": h("15:00")},
            variation_allowed=True,
        )
        works = (
            done_on_aircraft("2024-05-20", count=ran(h("120:00"), 0)),
            done_on_aircraft("2024-07-20", count=ran(h("190:00"), 0)),
        )
        assert due_point(rule, self.left(rule, *works)).left_minutes == h("90:00")

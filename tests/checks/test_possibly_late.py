"""The narrowing of late work never passes over what the check itself finds."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.checks.rows import DoneLine, WorkRow
from fleetlife.checks.work import done_late_without_approval, possibly_late
from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import PartialDate, parse_partial
from fleetlife.follows.rows import CarriageRow
from fleetlife.life.values import AgeBand, Count, Done, History, Limits, Requirement
from tests.checks.in_words import placed

MADE = "2018-01-01"
FIRST = parse_partial(MADE).first_day.toordinal()


def _carriages(draw: st.DrawFn) -> tuple[CarriageRow, ...]:
    """Stays one after another, each with the minutes it ran."""
    rows, day = [], FIRST + 10
    for _ in range(draw(st.integers(0, 4))):
        start = day + draw(st.integers(0, 200))
        day = start + draw(st.integers(1, 900))
        rows.append(_carriage(start, day, draw(st.integers(0, 400_000))))
    return tuple(rows)


def _carriage(start: int, until: int, run: int) -> CarriageRow:
    return CarriageRow(
        unit_id=1,
        from_moment=moment_of(start),
        until_moment=moment_of(until),
        airframe_id=7,
        root_id=1,
        from_minutes=0,
        from_cycles=0,
        until_minutes=run,
        until_cycles=run // 90,
        from_basis="stated",
        until_basis="stated",
    )


@st.composite
def works(draw: st.DrawFn) -> tuple[WorkRow, list[DoneLine]]:
    log = draw(st.booleans())
    rule = Requirement(
        key=1,
        requirement="OVH",
        part_number="SL-100-1",
        kind="inspection" if log else "overhaul",
        start="manufacture",
        done_at="aircraft" if log else "shop",
        repeat=Limits(
            months=draw(st.none() | st.integers(6, 48)), minutes=draw(st.none() | st.integers(10_000, 500_000))
        ),
        bands=draw(st.sampled_from([(), (AgeBand(from_age_months=36, repeat=Limits(months=6)),)])),
    )
    carriages = _carriages(draw)
    as_of = FIRST + draw(st.integers(0, 600))
    opening = draw(st.sampled_from([None, 0, 60_000]))
    days = sorted(draw(st.sets(st.integers(FIRST + 1, FIRST + 3_000), min_size=1, max_size=4)))
    done, lines = [], []
    for number, day in enumerate(days, start=1):
        moment = end_of_day(day) if log else moment_of(day)
        ended = [c for c in carriages if c.until_moment is not None and c.until_moment < moment_of(day + 1)]
        run = sum(c.until_minutes or 0 for c in ended) if day > as_of else None
        stated = draw(st.none() | st.integers(0, 2_000_000))
        relative = stated - opening if stated is not None and opening is not None else run
        done.append(
            Done(
                requirement="OVH",
                date=PartialDate(parse_partial(MADE).first_day.fromordinal(day), "day"),
                day=day,
                moment=moment,
                count=Count(minutes=relative),
                on_aircraft=log,
                installed=log,
                date_basis="log" if log else "release",
                entry=number,
            )
        )
        on = [c for c in carriages if c.from_moment < moment_of(day + 1) <= (c.until_moment or 0)]
        lines.append(
            DoneLine(
                unit=1,
                requirement="OVH",
                day=day,
                date_basis=None,
                minutes=stated,
                cycles=None,
                entry=number,
                part_fold="SL-100-1",
                as_of=as_of,
                manufactured=MADE,
                opening_minutes=opening,
                opening_cycles=None,
                off_moment=max((c.until_moment or 0 for c in ended), default=None) if day > as_of else None,
                carried=len(on) if day > as_of else None,
                run_minutes=run,
                run_cycles=None,
            )
        )
    history = History(
        unit_id=1,
        as_of=end_of_day(as_of),
        manufactured=parse_partial(MADE),
        opening=Count(minutes=opening),
        done=tuple(done),
    )
    row = WorkRow(
        unit=placed({"on": "Q-TRN L1"}),
        requirement=rule,
        history=history,
        carriages=carriages,
        own=frozenset(each.entry for each in done),
        totals_stated=frozenset(line.entry for line in lines if line.minutes is not None),
    )
    return row, lines


class TestPossiblyLate:
    @settings(max_examples=400, deadline=None)
    @given(works())
    def test_what_the_check_finds_late_the_narrowing_lets_through(self, work: tuple[WorkRow, list[DoneLine]]) -> None:
        row, lines = work
        if list(done_late_without_approval([row])):
            assert possibly_late(lines, [row.requirement])

    def test_work_in_good_time_is_not_worth_a_history(self) -> None:
        rule = Requirement(key=1, requirement="OVH", part_number="SL-100-1", kind="overhaul", repeat=Limits(months=36))
        lines = [
            DoneLine(1, "OVH", FIRST + day, None, None, None, day, "SL-100-1", FIRST + 500, MADE, 60_000, None, off, 0)
            for day, off in ((400, None), (1_400, moment_of(FIRST + 1_390)))
        ]
        assert not possibly_late(lines, [rule])

"""A paper that says what a unit had really run is never found; one that cannot be true is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from fleetlife.checks.counts import counts_on_paper_differ
from fleetlife.clocks.papers import counted_line
from fleetlife.dates.moment import end_of_day
from fleetlife.dates.partial import day_number
from fleetlife.follows.carry import Counts, not_known_since
from fleetlife.follows.place import stays_of
from fleetlife.ledger.facts import Certificate, Opening
from fleetlife.terms.measure import hours_text
from tests.follows.told import Story, clean

FIRST = date(2024, 1, 1)
DAYS, OPENED = 60, 10
SINCE_NEW = 300_000


@dataclass
class Lived:
    """An airframe flown day by day and a unit that was on it at times: what the records say, and what was so."""

    story: Story
    ran: list[int]  # since the opening, at the end of each day
    moved: list[int]  # the days on which it came on or off

    def found(self, day: int, minutes: int) -> list[str]:
        """What is found of a paper of the day that says so much since new."""
        on = (FIRST + timedelta(days=day)).isoformat()
        self.story.paper(1, on, minutes_since_new=minutes)
        facts = self.story.facts()
        derived = clean(self.story.follows())
        [opening] = [r.fact for r in facts[1] if isinstance(r.fact, Opening)]
        [paper] = [r for r in facts[1] if isinstance(r.fact, Certificate)]
        stays = {unit: stays_of(unit, told) for unit, told in facts.items()}
        relative = Counts(
            derived.carriages[1],
            as_of=end_of_day(day_number(opening.as_of)),
            totals=self.story.totals(),
            not_known_since=not_known_since(1, stays),
        )
        assert isinstance(paper.fact, Certificate)
        line = counted_line(paper.number, paper.fact, opening, relative, derived.carriages[1], facts[1], None)
        return [each.message for each in counts_on_paper_differ([[line]])]


@st.composite
def lives(draw: Any) -> Lived:
    flown = draw(st.lists(st.integers(0, 900), min_size=DAYS, max_size=DAYS))
    totals = list(accumulate(flown, initial=600_000))[1:]
    read = sorted({0, DAYS - 1, *draw(st.sets(st.integers(0, DAYS - 1), max_size=12))})
    moves = sorted(draw(st.sets(st.integers(OPENED + 1, DAYS - 2), max_size=5)))
    aboard = draw(st.booleans())
    story = Story()
    for day in read:
        story.read((FIRST + timedelta(days=day)).isoformat(), hours_text(totals[day]))
    installed = {"placed_on": (FIRST + timedelta(days=5)).isoformat()} if aboard else {}
    as_of = (FIRST + timedelta(days=OPENED)).isoformat()
    story.unit(1, "L1" if aboard else "store", as_of=as_of, minutes_since_new=SINCE_NEW, **installed)
    ran, run, start = [0] * DAYS, 0, totals[OPENED] if aboard else None
    for day in range(OPENED + 1, DAYS):
        if day in moves:
            total = draw(st.integers(totals[day - 1], totals[day]))
            stated = {"hours": hours_text(total), "cycles": 0} if draw(st.booleans()) else {}
            on = (FIRST + timedelta(days=day)).isoformat()
            if start is None:
                story.moved(on, fit=1, **stated)
                start = total
            else:
                story.moved(on, off=1, removed_to="store", removed_to_name="Main", **stated)
                run, start = run + total - start, None
        ran[day] = run + (0 if start is None else totals[day] - start)
    return Lived(story, ran, moves)


class TestPapersAgainstWhatWasSo:
    @given(lives(), st.data())
    @settings(max_examples=400, deadline=None)
    def test_a_true_paper_is_never_found(self, lived: Lived, data: st.DataObject) -> None:
        day = data.draw(st.integers(0, DAYS - 1) | st.sampled_from([*lived.moved, OPENED]))
        if day <= OPENED:
            truth = SINCE_NEW - data.draw(st.integers(0, 9_000))
        else:
            truth = SINCE_NEW + data.draw(st.integers(lived.ran[day - 1], lived.ran[day]))
        assert lived.found(day, truth) == []

    @given(lives(), st.integers(0, DAYS - 1))
    @settings(max_examples=200, deadline=None)
    def test_a_paper_that_says_more_than_was_ever_flown_is_always_found(self, lived: Lived, day: int) -> None:
        assert len(lived.found(day, SINCE_NEW + DAYS * 900 + 61)) == 1

    @given(lives(), st.integers(OPENED + 1, DAYS - 1))
    @settings(max_examples=200, deadline=None)
    def test_a_paper_after_the_opening_that_says_less_than_it_is_always_found(self, lived: Lived, day: int) -> None:
        assert len(lived.found(day, SINCE_NEW - 61)) == 1

    @given(lives(), st.data())
    @settings(max_examples=100, deadline=None)
    def test_a_true_paper_printed_in_whole_hours_is_never_found(self, lived: Lived, data: st.DataObject) -> None:
        day = data.draw(st.integers(OPENED + 1, DAYS - 1))
        truth = SINCE_NEW + data.draw(st.integers(lived.ran[day - 1], lived.ran[day]))
        up = data.draw(st.booleans())
        assert lived.found(day, (truth + 59 if up else truth) // 60 * 60) == []

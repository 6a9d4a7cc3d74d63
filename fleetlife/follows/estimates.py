"""Which figures behind a due date are no statements, how far each may be out, and the date without them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.follows.carry import ESTIMATED_BASES
from fleetlife.follows.case import MEASURES, Case, figure
from fleetlife.life.reach import Reach
from fleetlife.life.starts import Anchor
from fleetlife.life.state import judge
from fleetlife.terms.measure import hours_text
from fleetlife.terms.views import Passage


def estimates(case: Case, anchor: Anchor, found: Reach) -> Iterator[Passage]:
    """Which figures are no statements, how far they may be out, and the date without them."""
    if not (found.minutes or found.cycles):
        text = "None: neither hours nor cycles are limited, and dates are as recorded."
        yield Passage(topic="estimates", text=text, known="stated")
        return
    since = anchor.done.moment if anchor.done is not None else 0
    slack = dict.fromkeys(MEASURES, 0)
    # Where both axes are limited and one is in a counter, each has its own ends of the same stays.
    used = [m for m, steps in (("hours", found.minutes), ("cycles", found.cycles)) if steps]
    counted = [case.in_counter(measure) for measure in used]
    rows = [(row, False) for row in case.carriages if False in counted]
    rows += [(row, True) for row in case.counted if True in counted]
    for row, in_counter in rows:
        if row.until_moment is not None and row.until_moment < since:
            continue
        for end, moment, basis in (
            ("start", row.from_moment, row.from_basis),
            ("end", row.until_moment, row.until_basis),
        ):
            if moment is None or basis not in ESTIMATED_BASES:
                continue
            name = case.registration(row.airframe_id, min(day_of(moment), case.as_of))
            doubt = _doubt(case, row.airframe_id, day_of(moment), in_counter=in_counter)
            told = ""
            if doubt is not None and basis == "bounded":
                slack = {m: slack[m] + (d if case.in_counter(m) == in_counter else 0) for m, d in doubt.items()}
                told = f", at most {_doubt_told(case, doubt, in_counter)} too much"
            of = f", {case.rule.counter}" if in_counter else ""
            yield Passage(
                topic="estimates",
                text=f"{name} at the {end} on {day_text(day_of(moment))}{of}: {_BASIS_TOLD[basis]}{told}.",
                known=basis,
                entries=(row.entry,),
            )
    if case.history.rebuilt:
        yield Passage(
            topic="estimates", text="The totals of the opening statement are rebuilt or estimated.", known="rebuilt"
        )
    yield from _without(case, found, slack)


_BASIS_TOLD = {
    "bounded": "its total was not stated, so the reading that charges the unit more is taken",
    "provisional": "its total was not stated and no reading has come yet, so the projected one is taken until it comes",
    "doubtful": "how long it was there is not known, so the whole doubtful time is charged",
}


def _doubt(case: Case, airframe: int, day: int, *, in_counter: bool) -> dict[str, int] | None:
    """How far apart the readings on both sides of a day are, in hours (minutes) and cycles."""
    totals = case.counter_totals if in_counter else case.totals
    assert totals is not None, "what is counted in a counter comes with its readings"
    before, after = totals.before(airframe, day - 1), totals.after(airframe, day)
    if before is None or after is None:
        return None
    return {"hours": after.minutes - before.minutes, "cycles": after.cycles - before.cycles}


def _doubt_told(case: Case, doubt: dict[str, int], in_counter: bool) -> str:
    if in_counter:
        axis = case.rule.counter_axis or "cycles"
        return f"{figure(axis, doubt[axis])} {case.rule.counter}"
    return f"{hours_text(doubt['hours'])} hours and {doubt['cycles']} cycles"


def _without(case: Case, found: Reach, slack: dict[str, int]) -> Iterator[Passage]:
    point = case.point
    for measure, due in (("hours", point.due_minutes), ("cycles", point.due_cycles)):
        if due is not None and slack[measure]:
            yield Passage(
                topic="estimates",
                text=f"Were every bounded figure out by all it can be, it would fall due at "
                f"{figure(measure, due + slack[measure])} of the airframe's {case.rule.named(measure)}, not at "
                f"{figure(measure, due)}.",
                figures=(("airframe_due_at_most", figure(measure, due + slack[measure])),),
                known="bounded",
            )
    if point.whichever == "last" or not case.judged.estimated:
        if not case.judged.estimated and case.judged.due_date is not None:
            yield Passage(
                topic="estimates", text="The date named above rests on no estimate and no projection.", known="stated"
            )
        return
    bare = replace(point, due_minutes=None, due_cycles=None, left_minutes=None, left_cycles=None, unknown=())
    if point.calendar_due is None:
        yield Passage(
            topic="estimates",
            text="Without estimates and projections no date can be named: nothing but hours and cycles is limited.",
            figures=(("due_without_estimates", None),),
        )
        return
    alone = judge(
        case.rule,
        bare,
        None,
        as_of=case.as_of,
        window_from=None,
        window_until=None,
        stored=case.history.stored,
        manufactured=case.history.manufactured,
    )
    yield Passage(
        topic="estimates",
        text=f"Without estimates and projections, by the calendar alone: {day_text(alone.due_date)}.",
        figures=(("due_without_estimates", day_text(alone.due_date)),),
        known="stated",
    )

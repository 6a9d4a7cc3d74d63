"""From what the next interval counts once work was done: from the work, or from the point at which it was due.

Work on the aircraft inside its window counts on from the due point, and so does work done late under a permitted
variation; everything else, and always shop work, from what was done.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from fleetlife.dates.partial import day_text
from fleetlife.life.bands import measures_of
from fleetlife.life.reach import Reach, binding, reach
from fleetlife.life.starts import Anchor, done_anchor, start_anchor
from fleetlife.life.values import Done, History, Requirement, Varied
from fleetlife.life.variations import approved_since, covered_when_done, covers_now, variation_for
from fleetlife.terms.measure import hours_text


def anchor_in_force(requirement: Requirement, history: History, done: Sequence[Done]) -> Anchor:
    """The basis after all of `done` (proven, in order); the requirement's start when there is none."""
    *_, (anchor, _) = turns(requirement, history, done)
    return anchor


def turns(requirement: Requirement, history: History, done: Sequence[Done]) -> Iterator[tuple[Anchor, Done | None]]:
    """Every basis in turn with the work that ended its interval; the last, in force, with None."""
    anchor = start_anchor(requirement, history, before=done[0] if done else None)
    for place, work in enumerate(done):
        yield anchor, work
        following = done[place + 1] if place + 1 < len(done) else None
        plain = done_anchor(requirement, history, work, before=following)
        # A fitting after the work has begun a new count of its own, which no earlier due point moves.
        # Off the airframe the fitting to come will.
        later = plain.at_fitting or (plain.day is not None and plain.day > work.day)
        refitted = requirement.start == "each_installation" and later
        if requirement.done_at == "aircraft" and work.on_aircraft and plain.day_cause is None and not refitted:
            anchor = _rebased(requirement, history, anchor, work, plain)
        else:
            anchor = plain
    yield anchor, None


def _rebased(requirement: Requirement, history: History, before: Anchor, work: Done, plain: Anchor) -> Anchor:
    """The anchor after work on the aircraft: variation first, then window, else from what was done."""
    prior = reach(requirement, history, before)
    doubtful = before.doubtful
    varied = _variation_used(requirement, history, before, prior, work)
    if varied is not None:
        late = _late_and_covered(requirement, history, prior, work, varied)
        if late:
            doubtful = doubtful or (not covers_now(varied, history) and _counts_late(prior, work))
            name = varied.reference or "no reference"
            point = _on_due_point(requirement, plain, prior, work, late, f"under the variation {name}")
            return replace(point, doubtful=doubtful)
    if requirement.anchor == "due":
        doubtful = doubtful or _counter_not_shown(requirement, before, work)
        return replace(_windowed(requirement, prior, work, plain, doubtful=doubtful), doubtful=doubtful)
    return plain


def _counter_not_shown(requirement: Requirement, before: Anchor, work: Done) -> bool:
    """Whether a window in a counter is judged by a count that nobody stated.

    No movement states a counter, so such a count is a bound from readings that may be far apart; a bound is never later
    as a count, but inside or outside it can fall either way.
    """
    windows = (requirement.window_early, requirement.window_late)
    in_counter = any(requirement.counter_axis in measures_of(window) for window in windows)
    return in_counter and (work.count.estimated or before.estimated)


def _variation_used(
    requirement: Requirement, history: History, before: Anchor, prior: Reach, work: Done
) -> Varied | None:
    varied = variation_for(
        requirement,
        history.variations,
        since_day=approved_since(requirement, history, before.done, before=work),
        calendar_due=prior.calendar_due,
        counts_due=lambda day: (
            as_total(history, binding(prior.minutes, day), measure="hours"),
            as_total(history, binding(prior.cycles, day), measure="cycles"),
        ),
        measures=prior.measures,
        on_airframe=None if history.carried is None else history.carried.airframe_id,
    )
    return varied if varied is not None and covered_when_done(varied, work) else None


def _late_and_covered(
    requirement: Requirement, history: History, prior: Reach, work: Done, varied: Varied
) -> frozenset[str]:
    """The measures that were past due when it was done and that the variation covered."""
    minutes_due, cycles_due = binding(prior.minutes, work.day), binding(prior.cycles, work.day)
    late = {
        "calendar": None if prior.calendar_due is None else work.day > prior.calendar_due,
        "hours": None if minutes_due is None or work.count.minutes is None else work.count.minutes > minutes_due,
        "cycles": None if cycles_due is None or work.count.cycles is None else work.count.cycles > cycles_due,
    }
    if requirement.whichever == "last" and False in late.values():
        return frozenset()
    covered = {
        "calendar": varied.until_day is not None and work.day <= varied.until_day,
        "hours": _within(history, varied, varied.until_minutes, work.count.minutes, measure="hours"),
        "cycles": _within(history, varied, varied.until_cycles, work.count.cycles, measure="cycles"),
    }
    return frozenset(measure for measure, is_late in late.items() if is_late and covered[measure])


def _counts_late(prior: Reach, work: Done) -> bool:
    """Whether hours or cycles were past due when it was done.

    Off the airframe nobody can compare its totals any more, neither when the variation was approved nor when the work
    was done: the earlier point is taken for what may be two. With none past due there is nothing to compare.
    """
    pairs = (
        (binding(prior.minutes, work.day), work.count.minutes),
        (binding(prior.cycles, work.day), work.count.cycles),
    )
    return any(due is not None and at is not None and at > due for due, at in pairs)


def _within(history: History, varied: Varied, until: int | None, count: int | None, *, measure: str) -> bool:
    """Whether a count lies within a variation stated as an airframe total.

    Off that airframe the total cannot be turned into a count any more; then the work is taken to be within, which
    makes the next interval begin earlier, never later.
    """
    if until is None or count is None:
        return False
    if not covers_now(varied, history):
        return True
    total = as_total(history, count, measure=measure)
    return total is None or total <= until


def as_total(history: History, count: int | None, *, measure: str) -> int | None:
    """A relative count as a total of the airframe that carries the unit now; None where it cannot be turned."""
    carried = history.carried
    if carried is None or count is None:
        return None
    start = carried.minutes if measure == "hours" else carried.cycles
    run = carried.count.minutes if measure == "hours" else carried.count.cycles
    return None if start is None or run is None else start + count - run


def _windowed(requirement: Requirement, prior: Reach, work: Done, plain: Anchor, *, doubtful: bool) -> Anchor:
    """Inside the window of every measure that has one: those go on from their due points. Outside: from the work.

    Where a window cannot be judged because a figure is missing, or because the due point before is itself the earlier
    of two that may be, each measure counts from the earlier of the two.
    """
    early, late = requirement.window_early, requirement.window_late
    windows = {
        "calendar": (early.days, late.days, prior.calendar_due, work.day),
        "hours": (early.minutes, late.minutes, binding(prior.minutes, work.day), work.count.minutes),
        "cycles": (early.cycles, late.cycles, binding(prior.cycles, work.day), work.count.cycles),
    }
    verdicts: dict[str, bool | None] = {}
    for measure, (before, after, due, at) in windows.items():
        if before is None and after is None:
            continue
        if due is None or at is None:
            verdicts[measure] = None
        else:
            verdicts[measure] = due - (before or 0) <= at <= due + (after or 0)
    if not verdicts or (False in verdicts.values() and not doubtful):
        return plain
    if None not in verdicts.values() and not doubtful:
        return _on_due_point(requirement, plain, prior, work, frozenset(verdicts), "inside the window")
    later = frozenset(
        measure
        for measure, (_, _, due, at) in windows.items()
        if measure in verdicts and due is not None and at is not None and due < at
    )
    if not later:
        return plain
    return _on_due_point(requirement, plain, prior, work, later, "window not shown, the earlier taken")


def _on_due_point(
    requirement: Requirement, plain: Anchor, prior: Reach, work: Done, measures: frozenset[str], why: str
) -> Anchor:
    """`plain` with each of `measures` counting from its due point."""
    anchor, points = plain, []
    minutes_due, cycles_due = binding(prior.minutes, work.day), binding(prior.cycles, work.day)
    if "calendar" in measures and prior.calendar is not None:
        anchor = replace(anchor, day=prior.calendar)
        points.append(f"due point {day_text(prior.calendar_due)}")
    if "hours" in measures and minutes_due is not None:
        anchor = replace(anchor, minutes=minutes_due)
        moved = None if work.count.minutes is None else work.count.minutes - minutes_due
        points.append(f"{requirement.named('hours')} from the due point{_told(moved, hours_text)}")
    if "cycles" in measures and cycles_due is not None:
        anchor = replace(anchor, cycles=cycles_due)
        moved = None if work.count.cycles is None else work.count.cycles - cycles_due
        points.append(f"{requirement.named('cycles')} from the due point{_told(moved, str)}")
    return replace(anchor, text=f"{plain.text} {why}: " + ", ".join(points))


def _told(moved: int | None, figure: Callable[[int], str | None]) -> str:
    """How far from the work the due point lies: `moved` above 0 before it."""
    if moved is None or moved == 0:
        return "" if moved is None else ", at which it was done"
    return f", {figure(abs(moved))} {'before' if moved > 0 else 'after'} it was done"

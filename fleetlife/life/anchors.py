"""From what the next interval counts once work was done: from the work, or from the point at which it was due.

Work on the aircraft inside its window counts on from the due point, and so does work done late under a permitted
variation; everything else, and always shop work, from what was done.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import takewhile
from typing import NamedTuple

from fleetlife.dates.partial import day_text
from fleetlife.life.reach import Reach, Step, binding, reach
from fleetlife.life.starts import Anchor, done_anchor, start_anchor
from fleetlife.life.values import Done, History, Requirement, Varied
from fleetlife.life.variations import approved_since, covered_when_done, covers_now, in_time, variation_for
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


class Gap(NamedTuple):
    """One measure of work against its due point: where it was due, where it was done, both relative counts or days.

    `least` and `most`: how far after the due point it was done, at least and at most; None where that is not bounded.
    """

    due: int | None
    at: int | None
    least: int | None
    most: int | None

    @property
    def late(self) -> bool | None:
        """As recorded; None where a figure is missing."""
        return None if self.due is None or self.at is None else self.at > self.due

    @property
    def for_sure(self) -> bool:
        """Whether the figures cannot fall the other way, in due time or late."""
        return self.least is not None and self.most is not None and (self.least > 0) == (self.most > 0)

    def inside(self, before: int, after: int) -> bool | None:
        """Whether it was done inside a window; None where the figures do not show it."""
        if self.least is None or self.most is None:
            return None
        if self.most < -before or self.least > after:
            return False
        return True if -before <= self.least and self.most <= after else None


def _gaps(prior: Reach, before: Anchor, work: Done) -> dict[str, Gap]:
    """Calendar, hours and cycles of the work against the due point that followed from the basis before it."""
    calendar = prior.calendar_due
    days = None if calendar is None else work.day - calendar
    return {
        "calendar": Gap(calendar, work.day, days, days),
        "hours": _count_gap("hours", binding(prior.minutes, work.day), work.count.minutes, before, work),
        "cycles": _count_gap("cycles", binding(prior.cycles, work.day), work.count.cycles, before, work),
    }


def _count_gap(measure: str, due: int | None, at: int | None, before: Anchor, work: Done) -> Gap:
    if due is None or at is None:
        return Gap(due, at, None, None)
    over, under = work.count.bounds.of(measure)
    over_before, under_before = before.spread.of(measure)
    if over is None or under is None or over_before is None or under_before is None:
        return Gap(due, at, None, None)
    if over >= over_before:
        # Both counted along the stays: what was charged too much before the earlier one is in both.
        return Gap(due, at, at - due - (over - over_before) - under_before, at - due + under)
    return Gap(due, at, at - due - over - under_before, at - due + under + over_before)


def _rebased(requirement: Requirement, history: History, before: Anchor, work: Done, plain: Anchor) -> Anchor:
    """The anchor after work on the aircraft: variation first, then window, else from what was done.

    Where bounds decide which of them it is, each measure counts from the earlier of work and due point.
    """
    prior = reach(requirement, history, before)
    gaps = _gaps(prior, before, work)
    doubtful = before.doubtful
    varied, perhaps = _variations_used(requirement, history, before, prior, work)
    if varied is not None or perhaps:
        used = [*perhaps, *([] if varied is None else [varied])]
        late = frozenset().union(*(_late_and_covered(requirement, history, gaps, work, each) for each in used))
        sure = all(gap.for_sure for gap in gaps.values() if gap.late is not None)
        doubtful = doubtful or bool(perhaps) or not sure
        if late:
            compared = all(covers_now(each, history) for each in used)
            doubtful = doubtful or (not compared and _counts_late(gaps))
            moved = late | _passed(gaps) if doubtful and requirement.anchor == "due" else late
            least = {measure: point for measure, point in _least(requirement, work).items() if measure not in late}
            why = f"under the variation {used[-1].reference or 'no reference'}"
            point = _on_due_point(requirement, plain, before, prior, gaps, moved, why, least=least)
            return replace(point, doubtful=doubtful)
    if requirement.anchor == "due":
        return _windowed(requirement, before, prior, gaps, plain, doubtful=doubtful, least=_least(requirement, work))
    return plain


def _passed(gaps: Mapping[str, Gap]) -> frozenset[str]:
    """The measures whose due point comes before the work."""
    return frozenset(measure for measure, gap in gaps.items() if gap.late)


def _variations_used(
    requirement: Requirement, history: History, before: Anchor, prior: Reach, work: Done
) -> tuple[Varied | None, list[Varied]]:
    """The variation the work was done under, and those that bounds make look too late although they may not be."""
    carried = history.carried
    on_airframe = None if carried is None else carried.airframe_id
    since = approved_since(requirement, history, before.done, before=work)
    varied = variation_for(
        requirement,
        history.variations,
        since_day=since,
        calendar_due=prior.calendar_due,
        counts_due=lambda day: (
            as_total(history, binding(prior.minutes, day), measure="hours"),
            as_total(history, binding(prior.cycles, day), measure="cycles"),
        ),
        measures=prior.measures,
        on_airframe=on_airframe,
    )
    # The latest that the due point may be; where it is the earlier of two, that is not known.
    sure = not before.doubtful
    latest = (
        _latest_total(history, before, prior.minutes, "hours") if sure else None,
        _latest_total(history, before, prior.cycles, "cycles") if sure else None,
    )
    in_time_perhaps = in_time(
        requirement,
        history.variations,
        since_day=since,
        calendar_due=prior.calendar_due if sure else None,
        counts_due=lambda day: latest,
        measures=prior.measures,
        on_airframe=on_airframe,
        at_least=True,
    )
    perhaps = takewhile(lambda each: each is not varied, in_time_perhaps)
    used = varied if varied is not None and covered_when_done(varied, work) else None
    return used, [each for each in perhaps if covered_when_done(each, work)]


def _latest_total(history: History, before: Anchor, steps: Sequence[Step], measure: str) -> int | None:
    """The highest total of the airframe that carries the unit now at which it may have been due."""
    if history.carried is None or not steps:
        return None
    total = as_total(history, max(step.threshold for step in steps), measure=measure)
    over, _ = history.carried.bounds.of(measure)
    over_before, under_before = before.spread.of(measure)
    if total is None or over is None or over_before is None or under_before is None:
        return None
    return total + under_before + (over - over_before if over >= over_before else over)


def _late_and_covered(
    requirement: Requirement, history: History, gaps: Mapping[str, Gap], work: Done, varied: Varied
) -> frozenset[str]:
    """The measures that were past due when it was done and that the variation covered."""
    if requirement.whichever == "last" and any(gap.late is False and gap.for_sure for gap in gaps.values()):
        return frozenset()
    covered = {
        "calendar": varied.until_day is not None and work.day <= varied.until_day,
        "hours": _within(history, varied, varied.until_minutes, work.count.minutes, measure="hours"),
        "cycles": _within(history, varied, varied.until_cycles, work.count.cycles, measure="cycles"),
    }
    return frozenset(measure for measure in _passed(gaps) if covered[measure])


def _counts_late(gaps: Mapping[str, Gap]) -> bool:
    """Whether hours or cycles were past due when it was done.

    Off the airframe nobody can compare its totals any more, neither when the variation was approved nor when the work
    was done: the earlier point is taken for what may be two. With none past due there is nothing to compare.
    """
    return bool(gaps["hours"].late or gaps["cycles"].late)


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


def _windowed(
    requirement: Requirement,
    before: Anchor,
    prior: Reach,
    gaps: Mapping[str, Gap],
    plain: Anchor,
    *,
    doubtful: bool,
    least: Mapping[str, int | None],
) -> Anchor:
    """Inside the window of every measure that has one: those go on from their due points. Outside: from the work.

    Where a window cannot be judged because a figure is missing or only bounded, or because the due point before is
    itself the earlier of two that may be, each measure counts from the earlier of the two. With no due point known in
    any of them there is nothing to be inside of.
    """
    early, late = requirement.window_early, requirement.window_late
    windows = {
        "calendar": (early.days, late.days),
        "hours": (early.minutes, late.minutes),
        "cycles": (early.cycles, late.cycles),
    }
    verdicts = {
        measure: gaps[measure].inside(ahead or 0, after or 0)
        for measure, (ahead, after) in windows.items()
        if ahead is not None or after is not None
    }
    known = any(gaps[measure].due is not None for measure in verdicts)
    if not known or (False in verdicts.values() and not doubtful):
        return plain
    if None not in verdicts.values() and not doubtful:
        return _on_due_point(
            requirement, plain, before, prior, gaps, frozenset(verdicts), "inside the window", least={}
        )
    later = _passed(gaps) & frozenset(verdicts)
    why = "window not shown, the earlier taken"
    point = _on_due_point(requirement, plain, before, prior, gaps, later, why, least=least) if later else plain
    return replace(point, doubtful=True)


def _least(requirement: Requirement, work: Done) -> dict[str, int | None]:
    """Where the due point lies at the earliest if the work was inside its window: before it by the late window.

    A due date may have been rounded up to the end of its month.
    """
    late = requirement.window_late
    rounded = 0 if requirement.month_rule is None else 31
    return {
        "calendar": work.day - (late.days or 0) - rounded,
        "hours": None if work.count.minutes is None else work.count.minutes - (late.minutes or 0),
        "cycles": None if work.count.cycles is None else work.count.cycles - (late.cycles or 0),
    }


def _on_due_point(
    requirement: Requirement,
    plain: Anchor,
    before: Anchor,
    prior: Reach,
    gaps: Mapping[str, Gap],
    measures: frozenset[str],
    why: str,
    *,
    least: Mapping[str, int | None],
) -> Anchor:
    """`plain` with each of `measures` counting from its due point, which is as sure as the basis before.

    `least`: what it is not taken to lie before, by measure.
    """
    anchor, points = plain, []
    if "calendar" in measures and prior.calendar is not None:
        floor = least.get("calendar")
        day = prior.calendar if floor is None else max(prior.calendar, floor)
        anchor = replace(anchor, day=day)
        points.append(f"due point {day_text(prior.calendar_due)}" if day == prior.calendar else f"from {day_text(day)}")
    for measure in ("hours", "cycles"):
        gap, floor = gaps[measure], least.get(measure)
        if measure not in measures or gap.due is None:
            continue
        count = gap.due if floor is None else max(gap.due, floor)
        over, under = before.spread.of(measure)
        if measure == "hours":
            spread = replace(anchor.spread, minutes_over=over, minutes_under=under)
            anchor = replace(anchor, minutes=count, spread=spread)
        else:
            spread = replace(anchor.spread, cycles_over=over, cycles_under=under)
            anchor = replace(anchor, cycles=count, spread=spread)
        where = "the due point" if count == gap.due else "the end of the window"
        points.append(f"{requirement.named(measure)} from {where}{_told(measure, count, gap.at)}")
    return replace(anchor, text=f"{plain.text} {why}: " + ", ".join(points))


def _told(measure: str, count: int, at: int | None) -> str:
    """How far from the work the point lies."""
    if at is None:
        return ""
    moved = at - count
    if moved == 0:
        return ", at which it was done"
    amount = hours_text(abs(moved)) if measure == "hours" else str(abs(moved))
    return f", {amount} {'before' if moved > 0 else 'after'} it was done"

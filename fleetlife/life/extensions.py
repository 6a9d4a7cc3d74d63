"""Which recorded variations extend nothing, and by how much one may extend under an operator's table of limits.

A variation is approved once for a due point, before it, for the airframe that carries the unit. What comes later, a
second time, or to no later day is no variation of anything, and a program that kept it would only seem to know one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fleetlife.dates.partial import day_text
from fleetlife.life.anchors import as_total, turns
from fleetlife.life.points import proven_work
from fleetlife.life.reach import Reach, binding, lowest, reach
from fleetlife.life.reckoning import months_later
from fleetlife.life.starts import Anchor
from fleetlife.life.values import History, Requirement, Varied
from fleetlife.life.variations import approved_since, extendable, variation_for
from fleetlife.terms.measure import hours_text


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """A variation that extends nothing, or more than it may: why, as a code and a sentence, and what to do."""

    varied: Varied
    code: str
    message: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """One line of a table of limits: for intervals over `over` and up to `up_to` (None: no end), in months, minutes
    or cycles by its measure, at most `percent` of the interval and at most `at_most` (None: not stated); the lesser
    where both are stated."""

    measure: str
    over: int
    up_to: int | None
    percent: int | None
    at_most: int | None
    reference: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Turn:
    """One due point with the variations approved while it was the next to come."""

    since: int | None
    calendar: int | None
    minutes: int | None
    cycles: int | None
    found: Reach
    anchor: Anchor
    approved: tuple[Varied, ...]


def unfit(requirement: Requirement, history: History, allowances: Sequence[Allowance] = ()) -> list[Unfit]:
    """Every variation of the requirement that extends nothing, in the order of approval; with `allowances`, also
    those that extend by more than the table allows. `history` with resets expanded."""
    history = history.counted_in(requirement.counter)
    mine = [v for v in history.variations if v.requirement == requirement.requirement]
    if not mine:
        return []
    if not extendable(requirement):
        return [
            _refused(
                v,
                "variation-not-allowed",
                f"{requirement.requirement} of this part may not be extended"
                f" (kind {requirement.kind}, source {requirement.source or 'not stated'})",
                "Nothing extends a life limit, a limitation, a certification requirement or a directive; for others the"
                " programme must allow it.",
            )
            for v in mine
        ]
    found: list[Unfit] = []
    for turn in _turns(requirement, history, mine):
        found.extend(_of_turn(requirement, history, turn, allowances))
    return sorted(found, key=lambda each: (each.varied.approved_on, each.varied.entry))


def _turns(requirement: Requirement, history: History, mine: Sequence[Varied]) -> Iterator[_Turn]:
    for anchor, work in turns(requirement, history, proven_work(requirement, history)):
        since = approved_since(requirement, history, anchor.done, before=work)
        until = None if work is None else work.day
        approved = tuple(
            v for v in mine if (since is None or v.approved_on > since) and (until is None or v.approved_on <= until)
        )
        if approved:
            there = reach(requirement, history, anchor)
            yield _Turn(
                since=since,
                calendar=there.calendar_due,
                minutes=as_total(history, lowest(there.minutes), measure="hours"),
                cycles=as_total(history, lowest(there.cycles), measure="cycles"),
                found=there,
                anchor=anchor,
                approved=approved,
            )


def _of_turn(
    requirement: Requirement, history: History, turn: _Turn, allowances: Sequence[Allowance]
) -> Iterator[Unfit]:
    on_airframe = None if history.carried is None else history.carried.airframe_id

    def counts(variations: Sequence[Varied]) -> Varied | None:
        return variation_for(
            requirement,
            variations,
            since_day=turn.since,
            calendar_due=turn.calendar,
            counts_due=lambda day: (
                as_total(history, binding(turn.found.minutes, day), measure="hours"),
                as_total(history, binding(turn.found.cycles, day), measure="cycles"),
            ),
            measures=turn.found.measures,
            on_airframe=on_airframe,
        )

    used = counts(turn.approved)
    for varied in turn.approved:
        if varied.airframe_id is None:
            yield _refused(
                varied,
                "variation-off-airframe",
                f"no airframe carried the unit on {day_text(varied.approved_on)}; a variation belongs to one airframe",
                "Correct the day of approval; off an airframe nothing is extended, the unit is simply not fitted.",
            )
        elif counts([varied]) is None:
            yield _refused(
                varied,
                "variation-too-late",
                f"approved {day_text(varied.approved_on)}, after the due point had passed"
                f"{'' if turn.calendar is None else f' (due {day_text(turn.calendar)})'}",
                "A variation is approved before the due point; the work was overdue, and stays so in the history.",
            )
        elif varied is not used:
            assert used is not None
            yield _refused(
                varied,
                "variation-stacked",
                f"this due point was already extended under {used.reference or 'a variation with no reference'} of "
                f"{day_text(used.approved_on)}",
                "One variation for a due point. To put another in its place, correct that entry.",
            )
        else:
            yield from _amount(requirement, history, turn, varied, allowances)


def _amount(
    requirement: Requirement, history: History, turn: _Turn, varied: Varied, allowances: Sequence[Allowance]
) -> Iterator[Unfit]:
    """Whether it extends anything, and whether by no more than the table allows."""
    here = history.carried is not None and history.carried.airframe_id == varied.airframe_id
    pairs = {
        "calendar": (varied.until_day, turn.calendar),
        "hours": (varied.until_minutes, turn.minutes if here else None),
        "cycles": (varied.until_cycles, turn.cycles if here else None),
    }
    stated = {m: pair for m, pair in pairs.items() if pair[0] is not None}
    judged = {m: (until, due) for m, (until, due) in stated.items() if until is not None and due is not None}
    if judged and len(judged) == len(stated) and all(until <= due for until, due in judged.values()):
        told = "; ".join(
            f"{_told(requirement, m, until)} is not beyond {_told(requirement, m, due)}"
            for m, (until, due) in judged.items()
        )
        yield _refused(
            varied,
            "variation-extends-nothing",
            f"it extends nothing: {told}",
            "State a day or airframe total beyond the due point, and see whether the unit and requirement are the right"
            " ones.",
        )
        return
    for measure, (until, due) in judged.items():
        most = largest(requirement, turn.found, turn.anchor, measure, allowances)
        if most is not None and until - due > most[0]:
            yield _refused(
                varied,
                "variation-beyond-limits",
                f"{_told(requirement, measure, until)} is {_amount_told(measure, until - due)} beyond the due point; "
                f"the table of limits allows {_amount_told(measure, most[0])} for this interval"
                f"{f' ({most[1]})' if most[1] else ''}",
                "State no more than the table allows, or take it in under the table it was approved by.",
            )


def largest(
    requirement: Requirement, found: Reach, anchor: Anchor, measure: str, allowances: Sequence[Allowance]
) -> tuple[int, str | None] | None:
    """The most a measure may be extended, in days, minutes or cycles, rounded down, and the reference; None without a
    line for it. For the calendar the interval is in months (one in days counted as the fewest months it may be), and
    the months of an allowance run from the due date. A table of limits says nothing of counters."""
    if requirement.counter is not None and measure == requirement.counter_axis:
        return None
    limits = found.limits
    interval = {"calendar": limits.months, "hours": limits.minutes, "cycles": limits.cycles}[measure]
    if measure == "calendar" and interval is None and limits.days is not None:
        interval = -(-limits.days // 31)
    if interval is None:
        return None
    lines = (a for a in allowances if a.measure == measure and a.over < interval)
    line = next((a for a in lines if a.up_to is None or interval <= a.up_to), None)
    if line is None:
        return None
    ends = []
    if measure == "calendar":
        if line.percent is not None and anchor.day is not None and found.calendar is not None:
            ends.append((found.calendar - anchor.day) * line.percent // 100)
        if line.at_most is not None and found.calendar_due is not None:
            ends.append(months_later(found.calendar_due, line.at_most) - found.calendar_due)
    else:
        if line.percent is not None:
            ends.append(interval * line.percent // 100)
        if line.at_most is not None:
            ends.append(line.at_most)
    return (min(ends), line.reference) if ends else None


def _told(requirement: Requirement, measure: str, value: int) -> str:
    if measure == "calendar":
        return day_text(value) or ""
    return f"{hours_text(value) if measure == 'hours' else value} airframe {requirement.named(measure)}"


def _amount_told(measure: str, value: int) -> str:
    if measure == "calendar":
        return f"{value} days"
    return f"{hours_text(value)} hours" if measure == "hours" else f"{value} cycles"


def _refused(varied: Varied, code: str, message: str, remedy: str) -> Unfit:
    return Unfit(varied=varied, code=code, message=message, remedy=remedy)

"""Visits to a shop that are still to come: what falls due, and what falls due again after it was done.

Nothing of it is recorded, so it rests on what is assumed: work is done on the day it falls due at the earliest, the
unit is back after the turnaround and goes back at once to where it was, where it runs as it does now.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import PartialDate, day_text, parse_partial
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import Carried, Count, Done, History, Installation, Outlook, Requirement
from fleetlife.terms.filling import changed

# Kinds for which nobody goes to a shop: one stops nothing, by the other nothing is due.
NO_VISIT = ("soft_life", "on_condition")
_NOTHING_RUN = Count(minutes=0, cycles=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """A unit as it goes to a shop, and how it runs when it is back.

    `view`: the outlook of the airframe that carries it, None when none does; hours and cycles do not run then.
    `counters`: the same airframe's outlooks of counters. `stored`: it lies in a store, alone or in its parent.
    """

    view: Outlook | None = None
    counters: Mapping[str, Outlook] = field(default_factory=dict)
    stored: bool = False
    manufactured: PartialDate | None = None
    expires: PartialDate | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopWork:
    """Work in a shop that falls due on a day, at the earliest."""

    requirement: Requirement
    due: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Work of one requirement on one unit. `again`: it follows from a visit that is itself only assumed."""

    requirement: Requirement
    day: int
    again: bool = False


def is_shop_work(requirement: Requirement) -> bool:
    """Whether a unit goes to a shop for it."""
    return requirement.done_at == "shop" and requirement.kind not in NO_VISIT


def visits(
    works: Sequence[ShopWork], going: Going, *, as_of: int, until: int, turnaround: int
) -> tuple[list[Visit], list[Requirement]]:
    """The visits of one unit up to the day `until`, in order, and the requirements of which no next date can be told.

    `works`: what falls due by then, one a requirement; what has passed is done on `as_of`. A life limit ends the unit:
    nothing follows it. What a requirement resets begins anew with it, as on the record.
    """
    rules = {work.requirement.requirement: work.requirement for work in works}
    dates = {work.requirement.requirement: (work.due, False) for work in works}
    found: list[Visit] = []
    untold: list[Requirement] = []
    while dates:
        name = min(dates, key=lambda each: (dates[each], each))
        due, again = dates.pop(name)
        if due > until:
            break
        rule, day = rules[name], max(due, as_of)
        found.append(Visit(requirement=rule, day=day, again=again))
        if rule.kind == "life_limit":
            break
        for other in (name, *(each for each in rule.resets if each in dates and may_reset(rules[each]))):
            following = due_again(rules[other], going, done_on=day, back_on=day + turnaround)
            dates.pop(other, None)
            if following is not None:
                dates[other] = (following, True)
            elif not _once(rules[other]):
                untold.append(rules[other])
    return found, untold


def due_again(requirement: Requirement, going: Going, *, done_on: int, back_on: int) -> int | None:
    """The day on which it falls due at the earliest after it was done in a visit from `done_on` to `back_on`.

    Work is dated by its release, the day it is back; a requalification by its mark, the month in which it left. None:
    no date follows, or the work renews nothing that has not passed by then.
    """
    point = due_point(requirement, _as_back(requirement, going, done_on=done_on, back_on=back_on))
    judged = judge(
        requirement,
        point,
        _from_zero(going.view, back_on),
        as_of=back_on,
        window_from=None,
        window_until=None,
        stored=going.stored,
        manufactured=going.manufactured,
        counter_outlook=_from_zero(going.counters.get(requirement.counter or ""), back_on),
    )
    day = judged.earliest
    return None if day is None or day <= back_on else day


def may_reset(requirement: Requirement) -> bool:
    """Whether other work may begin it anew, as `life.resets` has it: never a life limit, and no requalification, which
    counts from a mark of its own."""
    return requirement.kind not in ("life_limit", "requalification")


def _once(requirement: Requirement) -> bool:
    """Whether nothing is due any more when it was done."""
    return not (requirement.repeat.any() or requirement.bands)


def _as_back(requirement: Requirement, going: Going, *, done_on: int, back_on: int) -> History:
    """The unit on the day it is back, with counts that begin there: a repeat needs only what was run since."""
    by_mark = requirement.kind == "requalification"
    text = day_text(done_on if by_mark else back_on) or ""
    date = parse_partial(text[:7] if by_mark else text)
    carried = going.view is not None
    done = Done(
        requirement=requirement.requirement,
        date=date,
        day=date.first_day.toordinal(),
        moment=moment_of(back_on, 1),
        count=_NOTHING_RUN,
        operations=0,
        date_basis="mark" if by_mark else "release",
    )
    back = History(
        unit_id=0,
        as_of=end_of_day(done_on - 1),
        manufactured=going.manufactured,
        expires=going.expires,
        operations_opening=0,
        done=(done,),
        now=_NOTHING_RUN,
        stored=going.stored,
        counter=requirement.counter,
    )
    if going.view is None:
        return back
    moment = moment_of(back_on, 2)
    fitted = Installation(day=back_on, moment=moment, count=_NOTHING_RUN)
    where = Carried(airframe_id=going.view.airframe_id, moment=moment, minutes=0, cycles=0, count=_NOTHING_RUN)
    return changed(back, installations=(fitted,), installed_now=carried, carried=where)


def _from_zero(view: Outlook | None, day: int) -> Outlook | None:
    """The outlook with its totals counted from the day; None where the airframe has no reading to run from."""
    if view is None or view.base_day is None:
        return None
    return changed(view, base_day=day, base_minutes=0, base_cycles=0)

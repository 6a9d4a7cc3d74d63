"""From where the limits run: the basis of the calendar and of the counts, before anything was done and after.

An `Anchor` is that basis, measure by measure, each with the cause where it is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import PartialDate, day_text
from fleetlife.life.reckoning import cure_start, months_later
from fleetlife.life.values import EXACT, NOT_BOUNDED, Count, Done, History, Installation, Requirement, Spread
from fleetlife.terms.filling import changed, filled

FITTING_STARTS = ("first_installation", "installation", "each_installation")


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """The basis in force.

    `day`: where the calendar starts; None with `day_cause`, or None and `unfitted`: not started, by rule.
    `unfitted`: not fitted since the basis; a `day` beside it is the latest start, the end of the shelf allowance.
    `minutes`, `cycles`: relative counts from which limits run; None with `count_cause`. `at_fitting`: they run from
    the fitting to come, so the whole limit is left. `band_day`: the day that decides which band is in force.
    `done`: the accomplishment behind it, None before the first. `doubtful`: the earlier of two points that may be.
    `spread`: how far the counts may be off.
    """

    text: str
    day: int | None = None
    day_cause: str | None = None
    unfitted: bool = False
    minutes: int | None = None
    cycles: int | None = None
    count_cause: str = "no-count-since-new"
    at_fitting: bool = False
    estimated: bool = False
    band_day: int | None = None
    done: Done | None = None
    doubtful: bool = False
    spread: Spread = EXACT


def start_anchor(requirement: Requirement, history: History, *, before: Done | None) -> Anchor:
    """The basis before anything was done: the requirement's start.

    `before` bounds the installations considered when the basis of an earlier due point is asked for.
    """
    zero = _from_new(history)
    start = requirement.start
    if start == "manufacture":
        return _dated(zero, history.manufactured, "manufactured", "no-manufacture-date")
    if start == "cure":
        anchor = _dated(zero, history.cured, "cured", "no-cure-date")
        return anchor if history.cured is None else _at(anchor, cure_start(history.cured))
    released = new_release_day(history)
    if start == "release":
        if released is None:
            return changed(zero, text="start not recorded", day_cause=_no_start(requirement, "no-release"))
        return _at(changed(zero, text=f"released as new {day_text(released)}"), released)
    if start == "each_installation":
        return _latest_fitting(_installations(history, before), history, zero, before=before)
    return _first_fitting(requirement, history, zero, released, before=before)


def done_anchor(requirement: Requirement, history: History, done: Done, *, before: Done | None) -> Anchor:
    """The basis after an accomplishment: its date, or the fitting that follows it where the start says so."""
    text = f"done {done.date.text} ({done.date_basis})"
    anchor = Anchor(
        text=text,
        day=done.day,
        minutes=done.count.minutes,
        cycles=done.count.cycles,
        count_cause="no-count-at-accomplishment",
        estimated=done.count.estimated,
        spread=done.count.bounds,
        band_day=done.day,
        done=done,
    )
    if requirement.kind == "requalification" and done.date_basis != "mark":
        # Counts from the mark on the cylinder, never from the release of the assembly that holds it.
        return changed(anchor, day=None, day_cause="no-mark")
    if requirement.start == "each_installation":
        later = [i for i in _installations(history, before) if i.moment > done.moment and i.day >= done.day]
        if not later and (history.installed_now or before is not None):
            return anchor
        fitted = _latest_fitting(later, history, anchor, before=before)
        return changed(fitted, text=f"{text}, {fitted.text}", band_day=done.day)
    if requirement.start != "installation" or done.installed or done.on_aircraft:
        return anchor
    fitting = next((i for i in _installations(history, before) if i.day >= done.day), None)
    if _ran_before(history, done, fitting):
        return changed(anchor, day=None, day_cause="no-installation-date")
    return _with_allowance(requirement, history, anchor, basis_day=done.day, fitting=fitting, before=before)


def _ran_before(history: History, done: Done, fitting: Installation | None) -> bool:
    """Whether work older than the opening was followed by running before the first fitting the records know of.

    Then it was fitted earlier, on a day nobody recorded.
    """
    if done.moment > history.as_of:
        return False
    count = Count(minutes=0, cycles=0) if fitting is None or fitting.moment > history.as_of else fitting.count
    pairs = ((done.count.minutes, count.minutes), (done.count.cycles, count.cycles))
    return any(at_work is not None and at_fitting is not None and at_work < at_fitting for at_work, at_fitting in pairs)


def new_release_day(history: History) -> int | None:
    """The day of the first release as new, None when none is recorded."""
    return min((release.day for release in history.releases if release.new), default=None)


def _from_new(history: History) -> Anchor:
    """Counts from zero since new: minus the opening totals, as relative counts."""
    opening = history.opening
    return Anchor(
        text="since new",
        minutes=None if opening.minutes is None else -opening.minutes,
        cycles=None if opening.cycles is None else -opening.cycles,
        estimated=opening.estimated,
        spread=NOT_BOUNDED if opening.estimated else EXACT,
    )


def _dated(anchor: Anchor, stated: PartialDate | None, verb: str, cause: str) -> Anchor:
    if stated is None:
        return changed(anchor, text=f"{verb}: not recorded", day_cause=cause)
    return _at(changed(anchor, text=f"{verb} {stated.text}"), stated.first_day.toordinal())


def _at(anchor: Anchor, day: int) -> Anchor:
    return changed(anchor, day=day, band_day=day, day_cause=None)


def _no_start(requirement: Requirement, cause: str) -> str:
    """A repeat that serves from the start is rather missing the work than the birth certificate."""
    return cause if requirement.first.any() else "no-accomplishment"


def _installations(history: History, before: Done | None) -> list[Installation]:
    return [i for i in history.installations if before is None or i.moment < before.moment]


def _never_run(history: History) -> bool:
    """Whether the opening totals show that the unit had not been flown by then."""
    return history.opening.minutes == 0 or history.opening.cycles == 0


def _first_fitting(
    requirement: Requirement, history: History, zero: Anchor, released: int | None, *, before: Done | None
) -> Anchor:
    """Start first_installation, or installation with nothing done yet: the first one after the release as new."""
    installations = _installations(history, before)
    fitting = next((i for i in installations if i.first_ever), None)
    stated = history.first_installed
    if stated is not None:
        day = stated.first_day.toordinal()
        if fitting is None or not fitting.day_known or day < fitting.day:
            first = Installation(day=day, moment=0, count=Count(minutes=zero.minutes, cycles=zero.cycles))
            return _from_first(requirement, history, zero, released, first)
    if fitting is None and installations:
        if _never_run(history):
            fitting = installations[0]
        elif released is not None and requirement.start == "installation":
            fitting = next((i for i in installations if i.day >= released), None)
            if fitting is None and history.installed_now:
                fitting = installations[0]  # fitted before its paper was dated: the earlier day counts
    if fitting is None and (not _unfitted_for_sure(history, released) or installations):
        cause = "no-first-installation" if released is not None or requirement.first.any() else "no-accomplishment"
        return changed(zero, text="first installation not recorded", day_cause=cause)
    return _from_first(requirement, history, zero, released, fitting)


def _unfitted_for_sure(history: History, released: int | None) -> bool:
    """Nothing installed in the records, and the opening totals or a later release as new say nothing was before."""
    if history.installed_now:
        return False
    return _never_run(history) or (released is not None and released >= day_of(history.as_of))


def _from_first(
    requirement: Requirement, history: History, zero: Anchor, released: int | None, fitting: Installation | None
) -> Anchor:
    """Counts from the first fitting; where its count is unknown from zero, which can only be earlier.

    With no fitting it is not installed now either, so no bound of an earlier due point has a say in it.
    """
    anchor = changed(zero, count_cause="no-count-at-installation")
    if fitting is not None:
        count = fitting.count
        # From zero where the count is unknown: too low by nobody knows how much.
        spread = NOT_BOUNDED if anchor.estimated else count.bounds
        if count.minutes is None:
            spread = changed(spread, minutes_over=None, minutes_under=None)
        if count.cycles is None:
            spread = changed(spread, cycles_over=None, cycles_under=None)
        anchor = changed(
            anchor,
            minutes=zero.minutes if count.minutes is None else count.minutes,
            cycles=zero.cycles if count.cycles is None else count.cycles,
            estimated=anchor.estimated or count.estimated,
            spread=spread,
        )
    else:
        anchor = changed(anchor, at_fitting=True)
    if released is None:
        if requirement.shelf_allowance_months is not None:
            return changed(anchor, text="release as new not recorded", day_cause=_no_start(requirement, "no-release"))
        anchor = changed(anchor, text="no release as new recorded")
    else:
        anchor = changed(anchor, text=f"released as new {day_text(released)}")
    return _with_allowance(requirement, history, anchor, basis_day=released, fitting=fitting, before=None)


def _with_allowance(
    requirement: Requirement,
    history: History,
    anchor: Anchor,
    *,
    basis_day: int | None,
    fitting: Installation | None,
    before: Done | None,
) -> Anchor:
    """The calendar starts at the fitting, or at the basis plus the shelf allowance, whichever comes first."""
    if fitting is not None and not fitting.day_known:
        return changed(anchor, day=None, day_cause="no-installation-date")
    allowance = requirement.shelf_allowance_months
    latest = None if allowance is None or basis_day is None else months_later(basis_day, allowance)
    if fitting is not None and (latest is None or fitting.day <= latest):
        started = changed(anchor, day=fitting.day, text=f"{anchor.text}, first fitted {day_text(fitting.day)}")
    elif fitting is None and before is None and history.installed_now and basis_day is not None:
        if not history.installations:
            return changed(anchor, day=None, day_cause="no-installation-date")
        # Installed now, last fitted before the basis: it was on when it was done, whatever the paper's day.
        started = anchor
    elif latest is not None:
        text = f"{anchor.text}, shelf allowance to {day_text(latest)}"
        started = changed(anchor, day=latest, text=text, unfitted=fitting is None)
    else:
        started = changed(anchor, day=None, unfitted=True, text=f"{anchor.text}, not fitted since")
    if anchor.band_day is not None:
        return started
    return changed(started, band_day=basis_day if started.day is None else started.day)


def _latest_fitting(
    installations: list[Installation], history: History, basis: Anchor, *, before: Done | None
) -> Anchor:
    """Start each_installation: every fitting starts the calendar and the counts anew; off the airframe it waits."""
    if before is None and history.installed_now and not installations:
        return changed(basis, day=None, day_cause="no-installation-date")
    if not installations or (before is None and not history.installed_now):
        return changed(basis, day=None, unfitted=True, at_fitting=True, text="not fitted now")
    latest = installations[-1]
    return changed(
        basis,
        text=f"fitted {day_text(latest.day)}",
        day=latest.day if latest.day_known else None,
        day_cause=None if latest.day_known else "no-installation-date",
        minutes=latest.count.minutes,
        cycles=latest.count.cycles,
        count_cause="no-count-at-installation",
        estimated=latest.count.estimated,
        spread=latest.count.bounds,
        band_day=latest.day,
    )

"""Work: done late with nothing approved, and one signature on the same work at several doors."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import DoneLine, SignedRow, WorkRow
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text, parse_partial
from fleetlife.follows.rows import CarriageRow
from fleetlife.life.anchors import anchor_in_force
from fleetlife.life.reach import Reach, binding, reach
from fleetlife.life.reckoning import months_later
from fleetlife.life.starts import start_anchor
from fleetlife.life.values import Done, History, Requirement
from fleetlife.life.variations import variation_for
from fleetlife.terms.finding import Finding
from fleetlife.terms.measure import hours_text
from fleetlife.terms.number import fold

MANY_DOORS = 2


@dataclass(frozen=True, slots=True)
class _Late:
    """A measure that was passed when the unit came off or the work was done."""

    measure: str
    due: str
    done: str


@check(
    "LIF108",
    "done-late-without-approval",
    "note",
    rules=("ILT permitted variations",),
)
def done_late_without_approval(rows: Iterable[WorkRow]) -> Iterator[Finding]:
    """Work was done, or a unit was removed for it, after it had fallen due, and no permitted variation covered it.

    Why it matters: it cannot be mended, and it stays in the history. What is done late once is done late again.

    A hard-time unit meets its limit by being removed in time: for work in the shop the day that counts is the one on
    which the unit last left an aircraft before it.

    Triggers: an overhaul due 2025-03-01, the unit removed 2025-04-10 for it; an inspection every 600:00 done at
    612:30 with nothing approved.

    Does not: removed 2025-03-01, its last day, overhauled in May; done late under a variation approved in time;
    the first work recorded of a unit that was not new when its records began, since earlier work may be in older
    records; a soft life.

    What to do: nothing clears it; `fleetlife unit PART SERIAL` shows what it counted from. It may be waived with a
    reason, by a waiver in the ledger, for as long as it is being followed up.

    What it cannot see: a removal before the opening statement, so work older than that is judged in hours and cycles
    only; hours and cycles of work on the aircraft whose entry does not state what the unit had run; and work in
    between that nobody recorded, without which the next looks late.
    """
    for row in rows:
        rule = row.requirement
        if rule.kind in ("soft_life", "life_limit", "on_condition"):
            continue
        done = sorted(
            (d for d in row.history.done if d.requirement == rule.requirement and d.proven),
            key=lambda d: (d.moment, d.entry),
        )
        for place, work in enumerate(done):
            if place == 0 and not _was_new(row.history):
                continue
            if work.entry not in row.own or not rule.in_force_from <= work.day < rule.in_force_until:
                continue
            prior = _reach_before(rule, row.history, done[:place], work)
            late = _late(row, prior, work)
            if not late or _covered(rule, row.history, done[:place], prior, work):
                continue
            told = "; ".join(f"due {each.due}, {each.done}" for each in late)
            yield finding(
                "LIF108",
                regards=regards(rule.requirement, work.date.text),
                message=f"{rule.requirement} of {work.date.text} was late with nothing approved: {told}.",
                hint=f"It stays in the history; {row.unit.command}",
                expected=late[0].due,
                found=late[0].done,
                evidence=(
                    Evidence(source=f"requirement {rule.requirement}", says=rule.reference or "no reference stated"),
                    Evidence(source="accomplishment", says=work.date.text, entry=work.entry),
                ),
                **row.unit.address(),
            )


def _was_new(history: History) -> bool:
    """Nothing had been run when the records of the unit began, so no work is missing before the first recorded."""
    return history.opening.minutes == 0 or history.opening.cycles == 0


def _reach_before(rule: Requirement, history: History, before: list[Done], work: Done) -> Reach:
    """Where the requirement fell due before this work, by what was known to have happened until then."""
    then = replace(
        history,
        installations=tuple(i for i in history.installations if i.moment < work.moment),
        installed_now=work.installed,
        carried=None,
        expires=None,
    )
    anchor = anchor_in_force(rule, then, before) if before else start_anchor(rule, then, before=work)
    return reach(rule, then, anchor)


def _late(row: WorkRow, prior: Reach, work: Done) -> list[_Late]:
    rule = row.requirement
    found: list[_Late | None] = []
    if prior.calendar_due is not None:
        off = _off_by(row.carriages, work, row.history)
        late = off is not None and off > prior.calendar_due
        word = "done" if work.on_aircraft else "off"
        found.append(_Late("calendar", day_text(prior.calendar_due) or "", f"{word} {day_text(off)}") if late else None)
    minutes, cycles = binding(prior.minutes, work.day), binding(prior.cycles, work.day)
    if minutes is not None:
        over = None if work.count.minutes is None or not _stated(row, work, "hours") else work.count.minutes - minutes
        passed = over is not None and over > 0
        found.append(_Late("hours", f"in {rule.named('hours')}", f"{hours_text(over)} past it") if passed else None)
    if cycles is not None:
        past = None if work.count.cycles is None or not _stated(row, work, "cycles") else work.count.cycles - cycles
        passed = past is not None and past > 0
        found.append(_Late("cycles", f"in {rule.named('cycles')}", f"{past} past it") if passed else None)
    if rule.whichever == "last" and (None in found or prior.unknown):
        return []
    return [each for each in found if each is not None]


def _stated(row: WorkRow, work: Done, measure: str) -> bool:
    """Whether what the unit had run is said by the entry of work on the aircraft; shop work is judged as counted."""
    in_counter = row.requirement.counter is not None and measure == row.requirement.counter_axis
    return not work.on_aircraft or work.entry in (row.counters_stated if in_counter else row.totals_stated)


def _off_by(carriages: tuple[CarriageRow, ...], work: Done, history: History) -> int | None:
    """The day that counts: of the work on the aircraft, or of leaving the last aircraft before the shop's work.

    None where the records do not reach back to it.
    """
    if work.on_aircraft:
        return work.day
    if work.moment <= history.as_of:
        return None
    for carriage in reversed(carriages):
        if carriage.from_moment > work.moment:
            continue
        if carriage.until_moment is None or carriage.until_moment > work.moment:
            return work.day
        return day_of(carriage.until_moment)
    return None


def _covered(rule: Requirement, history: History, before: list[Done], prior: Reach, work: Done) -> bool:
    """A variation of this due point, approved in time, that reached as far as the work."""
    varied = variation_for(
        rule,
        history.variations,
        since_day=before[-1].day if before else None,
        calendar_due=prior.calendar_due,
        counts_due=lambda day: (None, None),
        measures=int(prior.calendar_due is not None),
    )
    if varied is None or varied.approved_on > work.day:
        return False
    off = work.day if varied.left_moment is None else min(work.day, day_of(varied.left_moment))
    if prior.calendar_due is not None and off > prior.calendar_due:
        return varied.until_day is not None and off <= varied.until_day
    return varied.until_minutes is not None or varied.until_cycles is not None


def possibly_late(lines: Sequence[DoneLine], rules: Sequence[Requirement]) -> bool:
    """Whether some of the work, in order, may have been late: true too often rather than too seldom.

    By the shortest intervals of any edition and band, from the work before or else from the date of manufacture.
    """
    rules = [rule for rule in rules if rule.kind not in ("soft_life", "life_limit", "on_condition")]
    if not rules:
        return False
    if any(line.variations for line in lines) or any(rule.counter is not None for rule in rules):
        return True  # of a counter the few figures here say nothing
    limits = [each for rule in rules for each in (rule.first, rule.repeat, *(band.repeat for band in rule.bands))]
    months = min((each.months for each in limits if each.months is not None), default=None)
    days = min((each.days for each in limits if each.days is not None), default=None)
    minutes = min((each.minutes for each in limits if each.minutes is not None), default=None)
    cycles = min((each.cycles for each in limits if each.cycles is not None), default=None)
    moved = max((rule.window_late.days or 0 for rule in rules), default=0)
    on_aircraft = any(rule.done_at == "aircraft" for rule in rules)
    before: DoneLine | None = None
    for line in lines:
        if before is None and 0 not in (line.opening_minutes, line.opening_cycles):
            before = line
            continue
        log = line.date_basis == "log" or (line.date_basis is None and on_aircraft)
        off = line.day if log else _last_on(line)
        if off is not None and (months is not None or days is not None):
            basis = before.day if before else _made(line)
            if basis is None or off > _soonest(basis, months, days) - moved:
                return True
        stated = ((minutes, line.minutes, line.opening_minutes), (cycles, line.cycles, line.opening_cycles))
        if any(limit is not None and total is not None and opening is None for limit, total, opening in stated):
            return True  # a total since new that no opening total stands beside: only the check can weigh it
        for limit, at, since in (
            (minutes, _minutes(line, log), _minutes(before, False) if before else _negative(line.opening_minutes)),
            (cycles, _cycles(line, log), _cycles(before, False) if before else _negative(line.opening_cycles)),
        ):
            if limit is None or at is None:
                continue
            if since is None and before is not None and before.day > before.as_of:
                return True
            if since is not None and at - since > limit:
                return True
        before = line
    return False


def _soonest(basis: int, months: int | None, days: int | None) -> int:
    ends = [months_later(basis, months)] if months is not None else []
    return min([*ends, basis + days] if days is not None else ends)


def _made(line: DoneLine) -> int | None:
    return parse_partial(line.manufactured).first_day.toordinal() if line.manufactured else None


def _last_on(line: DoneLine) -> int | None:
    """The last day on an aircraft before the work in the shop; None where the records do not reach back to it."""
    if line.day <= line.as_of:
        return None
    if line.carried:
        return line.day
    return None if line.off_moment is None else day_of(line.off_moment)


def _minutes(line: DoneLine, log: bool) -> int | None:
    """Relative to the opening: stated, else by the stays that had ended; not for work on the aircraft."""
    if line.minutes is not None and line.opening_minutes is not None:
        return line.minutes - line.opening_minutes
    return None if log else line.run_minutes


def _cycles(line: DoneLine, log: bool) -> int | None:
    if line.cycles is not None and line.opening_cycles is not None:
        return line.cycles - line.opening_cycles
    return None if log else line.run_cycles


def _negative(total: int | None) -> int | None:
    return None if total is None else -total


@check(
    "PAT101",
    "one-person-many-doors",
    "note",
    rules=("145.A.48(c)",),
)
def one_person_many_doors(rows: Iterable[SignedRow]) -> Iterator[Finding]:
    """One person signed for the same work at more than two positions of one airframe in one visit.

    Why it matters: an error that is made once is then made at every door, and nobody else has looked.

    The same work means that units were fitted, or that units were only removed, at positions of the same kind. A
    visit is one day, or the days of one work order where the movements name it.

    Triggers: one staff id on slide packs fitted at L1, R1 and L2 in one night; L1 and R1 in one night and L2 in the
    next, all under one work order.

    Does not: two doors; three doors with two people; a door on each of three days with no work order; two packs
    fitted and one removed.

    What to do: look at the inspections; `fleetlife airframe REGISTRATION` shows the doors. Plan the next ones over
    several nights or several people.

    What it cannot see: who really did the work, movements that name nobody, and a visit of several days whose
    movements name no work order.
    """
    days: dict[Work, list[SignedRow]] = {}
    orders: dict[Work, list[SignedRow]] = {}
    for row in rows:
        movement = row.movement
        if movement.signed_by:
            rest = (fold(movement.signed_by), movement.installed is not None, row.position_kind or "")
            days.setdefault((movement.airframe, movement.moved_on, *rest), []).append(row)
            if movement.work_order:
                orders.setdefault((movement.airframe, fold(movement.work_order), *rest), []).append(row)
    for key in sorted(days):
        if len(_doors(days[key])) > MANY_DOORS:
            yield _same_work(days[key], key, when=f"on {key[1]}")
    for key in sorted(orders):
        same = orders[key]
        on = sorted({row.movement.moved_on for row in same})
        told = any(_doors(same) == _doors(days[(key[0], day, *key[2:])]) for day in on)
        if len(on) > 1 and len(_doors(same)) > MANY_DOORS and not told:
            when = f"under work order {same[0].movement.work_order}, from {on[0]} to {on[-1]}"
            yield _same_work(same, key, when=when)


Work = tuple[int, str, str, bool, str]  # airframe; day or work order; who signed; fitted or only removed; kind of door


def _doors(rows: Iterable[SignedRow]) -> list[str]:
    return sorted({row.movement.position for row in rows})


def _same_work(rows: Sequence[SignedRow], key: Work, *, when: str) -> Finding:
    same = sorted(rows, key=lambda row: (row.movement.position, row.entry))
    doors, movement = _doors(same), same[0].movement
    inspectors = sorted({row.movement.inspected_by for row in same if row.movement.inspected_by})
    seen = f"inspected by {', '.join(inspectors)}" if inspectors else "no inspector is named"
    work = "fitting" if key[3] else "removal"
    return finding(
        "PAT101",
        regards=regards(key[1], key[2], work, key[4]),
        message=f"{movement.signed_by} signed for the same {work} at {len(doors)} positions {when}: "
        f"{', '.join(doors)}; {seen}.",
        hint=f"Look at the inspections; fleetlife airframe {same[0].registration}",
        registration=same[0].registration,
        airframe=movement.airframe,
        expected=f"at most {MANY_DOORS} by one person in one visit",
        found=str(len(doors)),
        evidence=tuple(
            Evidence(
                source=f"movement at {row.movement.position}",
                says=f"signed by {movement.signed_by}",
                entry=row.entry,
            )
            for row in same
        ),
    )

"""Planned swaps that can go wrong, told before they do: judged while the unit has not been changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import MateRow, PlanRow
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_text
from fleetlife.fit.intermix import IntermixAnswer
from fleetlife.follows.rows import UnitStateRow
from fleetlife.terms.finding import Finding, Severity
from fleetlife.terms.words import HARNESS_SIDES

OF_PLANS = ("PLN101", "PLN102", "PLN103", "PLN104", "PLN105", "PLN106", "PLN107")


@check("PLN101", "due-before-next-ground-time", "rectify")
def due_before_next_ground_time(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """Fitted on the target day, the unit of a planned swap would fall due before the airframe is next on the ground.

    Why it matters: the aircraft would have to be stopped for it, or the unit be changed again at once.

    The definition: fitted on the target day (the day asked about, where that has passed or none is stated), the first
    requirement of the unit or of what it holds falls due on a day, hours and cycles at the airframe's highest rate,
    soft lives and storage apart; and the first ground time that begins after the day of the fitting begins later than
    that. Where no later ground time is known nothing is said: PLN106 holds the life against the operator's least.

    Triggers: a pack planned for 10 May that falls due on 18 September, and the next visit begins on 4 October.

    Does not: a next ground time that begins on the day on which it falls due, or before; an airframe of which no later
    ground time is known (file ground_times); a unit that may not go there at all, which PLN103 tells.

    What to do: plan a unit with more life (`fleetlife spares choose --least-days`), or have a ground time that is known
    and not stated taken in (`fleetlife import`, file ground_times).

    What it cannot see: a ground time that nobody stated, and work that is done without one.
    """
    for row in rows:
        if row.gone or row.incoming is None or row.stops or row.life is None or row.next_ground is None:
            continue
        due = row.fitted_on + row.life
        if due >= row.next_ground.first:
            continue
        begins = day_text(row.next_ground.first)
        yield _of(
            "PLN101",
            row,
            row.incoming,
            message=f"{_planned(row)} would fall due on {day_text(due)} if fitted on {day_text(row.fitted_on)}, and "
            f"the next ground time of {row.registration} begins on {begins} at {row.next_ground.station}.",
            hint=_another(row),
            expected=f"life until {begins}",
            found=f"{row.life:,} days, until {day_text(due)}",
            evidence=(
                Evidence(
                    source="ground times",
                    says=f"{begins} to {day_text(row.next_ground.last)} at {row.next_ground.station}"
                    f"{f', {row.next_ground.reference}' if row.next_ground.reference else ''}",
                    entry=row.next_ground.entry,
                ),
            ),
        )


@check("PLN102", "planned-unit-other-rig", "rectify")
def planned_unit_other_rig(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """The unit of a planned swap is not rigged, by these records, for the side of the position it is to go on.

    Why it matters: at night at the door is the wrong time to learn that the harness has to be changed over, or that
    the part can never serve that side.

    Severity: a stop where the part is a left or a right one and the position asks for the other; rectify where it is
    to be re-rigged, or looked at because its rig is not known.

    Triggers: a pack rigged left and planned for R2; one whose rig nobody has recorded.

    Does not: a pack rigged for the side that the position asks for; a position that asks for no side; one that is at a
    shop or lent and whose part can serve that side; a plan that names no unit yet, one that is done or given up.

    What to do: have it re-rigged in stores and recorded (`fleetlife stores re-rig`), or plan another unit:
    `fleetlife spares choose`.

    What it cannot see: the rig itself. What is recorded is what somebody saw last.
    """
    for row in rows:
        if row.gone or row.incoming is None or row.rig is None or row.asks not in HARNESS_SIDES:
            continue
        if row.rig.verdict not in ("condition", "stop"):
            continue
        stop = row.rig.verdict == "stop"
        what = "cannot serve that side" if stop else "is not rigged for it as recorded"
        again = f"fleetlife stores re-rig {_name(row.incoming)}"
        yield _of(
            "PLN102",
            row,
            row.incoming,
            severity="stop" if stop else "rectify",
            message=f"{_planned(row)} {what}: {row.rig.text}",
            hint=_another(row) if stop else f"{again}, before it goes to the door; or {_another(row)}",
            expected="a unit rigged for the position",
            found=f"rigged {row.incoming.harness}",
        )


@check("PLN103", "planned-unit-may-not-go-there", "stop", rules=("M.A.501(b)",))
def planned_unit_may_not_go_there(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """The fitting question answers *do not fit* for the unit and the day of a planned swap.

    Why it matters: the unit would be refused at the door, with the aircraft on the ground for it.

    The question is that of `swap check --on` with the target day (the day asked about, where that has passed or none
    is stated): whether the part is eligible at that position of that airframe, the condition, release, paper, life,
    directives and what it holds. What it says of the place, the rig and the door pair is told by PLN107, PLN102 and
    PLN104. Of a unit that is still at a shop or lent, only whether its part is eligible: what will be wrong with it
    when it is back is not known yet.

    Triggers: a plan for a dash number that the data does not name for the position; a plan for a pack whose overhaul
    falls due before the target day.

    Does not: *conditions to meet first*, which `fleetlife swap checked` tells; a plan that is done or given up.

    What to do: plan another unit: `fleetlife spares choose`; give this plan up with `fleetlife swap give-up`.

    What it cannot see: what will be recorded between today and the target day.
    """
    for row in rows:
        if row.gone or row.incoming is None or not row.stops:
            continue
        why = f", for {len(row.stops)} reasons" if len(row.stops) > 1 else ""
        yield _of(
            "PLN103",
            row,
            row.incoming,
            message=f"{_planned(row)} may not go there on {day_text(row.fitted_on)}{why}: {' '.join(row.stops)}",
            hint=f"{_asked(row)}; {_another(row)}",
            expected="a unit that may go there on that day",
            found="do not fit",
            evidence=tuple(Evidence(source="the fitting question", says=stop.rstrip(".")) for stop in row.stops),
        )


@check("PLN104", "pair-broken-by-a-plan", "stop")
def pair_broken_by_a_plan(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """Done by itself, a planned swap leaves a door pair that carries together what an intermix rule forbids.

    Why it matters: a plan for each side may be right for both together, and wrong for the night on which only one of
    them is done.

    Severity: a stop where the rule that forbids names its reference, a note where it names none, as for what hangs
    (FIT103).

    Triggers: a wide pack planned for R4 while L4 carries one that may not be carried with it, whether L4 has a plan of
    its own or not; two open plans of one pair whose units may not be carried together.

    Does not: a unit that goes with what hangs on the other side and with what is planned there; a position without a
    pair; different families without a rule, which FIT103 notes once they hang.

    What to do: do both in one ground time, or plan another unit. `fleetlife swap list --airframe REGISTRATION` names
    the plans of the airframe, `fleetlife swap show SWAP` one of them.

    What it cannot see: whether the two will be done together.
    """
    for row in rows:
        if row.gone or row.incoming is None:
            continue
        for mate in row.mates:
            told = _pair_told(row, mate)
            if told is None:
                continue
            message, answer = told
            yield _of(
                "PLN104",
                row,
                row.incoming,
                about=mate.position,
                severity="stop" if answer.outcome == "stop" else "note",
                message=message,
                hint=f"fleetlife swap list --airframe {row.registration}; {_another(row)}",
                expected=f"units at {row.position} and {mate.position} that may be carried together",
                found=" ".join(answer.reasons),
                evidence=(Evidence(source="intermix rule", says=answer.reference or "without a reference"),),
            )


def _pair_told(row: PlanRow, mate: MateRow) -> tuple[str, IntermixAnswer] | None:
    """What is wrong with the pair, with the answer that says so; None where nothing is."""
    now = mate.now if mate.now is not None and _forbidden(mate.now[1]) else None
    then = mate.planned if mate.planned is not None and _forbidden(mate.planned[1]) else None
    begins = f"{_planned(row)} "
    if now is not None and then is not None:
        rule = " ".join(then[1].reasons)
        text = f"{begins}goes neither with {now[0]} at {mate.position} nor with {then[0]}, which {mate.swap} puts there"
        return f"{text}: {rule}", then[1]
    if now is not None:
        if mate.planned is not None:
            text = f"does not go with {now[0]} at {mate.position}, only with {mate.planned[0]}, which {mate.swap} puts "
            return f"{begins}{text}there: the two are to be done together. {' '.join(now[1].reasons)}", now[1]
        text = f"does not go with {now[0]} at {mate.position}, and no open plan changes that"
        return f"{begins}{text}: {' '.join(now[1].reasons)}", now[1]
    if then is not None:
        text = f"does not go with {then[0]}, which {mate.swap} is to put at {mate.position}"
        return f"{begins}{text}: {' '.join(then[1].reasons)}", then[1]
    return None


def _forbidden(answer: IntermixAnswer) -> bool:
    return answer.row is not None and not answer.row.permitted


@check("PLN105", "unit-in-two-plans", "rectify")
def unit_in_two_plans(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """One unit is to go on in two planned swaps that are both open.

    Why it matters: one of the two aeroplanes waits for a spare that will not come. Orders named for a unit in stores
    are another thing, and told by SPR101.

    Triggers: a pack planned for L1 of one airframe, and a week later for L2 of another.

    Does not: a plan that is done or given up; a plan that names no unit yet.

    What to do: find out which one stands, give the other up (`fleetlife swap give-up`) and plan it with another unit:
    `fleetlife spares choose`.

    What it cannot see: promises made elsewhere.
    """
    for row in rows:
        if row.incoming is None or not row.also_for:
            continue
        others = " and ".join(f"{swap} at {where}" for swap, where, _ in row.also_for)
        yield _of(
            "PLN105",
            row,
            row.incoming,
            message=f"{_planned(row)} is to go on under {others} as well.",
            hint=f"Keep the plan that stands: fleetlife swap give-up {row.swap}, or that of the other",
            expected="one open plan",
            found=others,
            evidence=tuple(
                Evidence(source=f"swap {swap} planned", says=f"for {where}", entry=entry)
                for swap, where, entry in row.also_for
            ),
        )


@check("PLN106", "life-below-the-least", "rectify")
def life_below_the_least(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """The unit of a planned swap would have less life left when fitted than the operator's own rule asks for.

    Why it matters: a door is opened twice where once would do.

    Triggers: a pack with 120 days from its fitting until it falls due, and a rule that asks for 180.

    Does not: as many days as the rule asks for, or more; a unit of which nothing is limited in days; no rule that
    counts on the day (file least_lives); a unit that may not go there at all, which PLN103 tells.

    What to do: give the plan up (`fleetlife swap give-up`) and plan a unit with more life: `fleetlife spares choose
    --least-days`.

    What it cannot see: whether the rule taken in is the one in force.
    """
    for row in rows:
        if row.gone or row.incoming is None or row.stops or row.life is None or row.least is None:
            continue
        if row.life >= row.least.days:
            continue
        yield _of(
            "PLN106",
            row,
            row.incoming,
            message=f"{_planned(row)} would have {row.life:,} days of life if fitted on {day_text(row.fitted_on)}; the "
            f"rule asks for {row.least.days:,} ({row.least.reference}).",
            hint=_another(row),
            expected=f"{row.least.days:,} days of life or more",
            found=f"{row.life:,} days",
            evidence=(
                Evidence(
                    source="least life to fit",
                    says=f"{row.least.days:,} days from {day_text(row.least.effective_from)}, {row.least.reference}",
                    entry=row.least.entry,
                ),
            ),
        )


@check("PLN107", "plan-overtaken", "rectify")
def plan_overtaken(rows: Iterable[PlanRow]) -> Iterator[Finding]:
    """Something else has happened since a swap was planned: another unit hangs at the position, or the unit that was to
    go on is no longer in stores.

    Why it matters: the sheet in the mechanic's hand names units that are elsewhere. What is left of the unit that
    hangs there now, and whether the aircraft still needs the swap at all, nobody has asked.

    Triggers: a plan to take 20104 off, and 20301 was swapped in under no plan; a unit to come off that came off for a
    defect; a unit to go on that hangs elsewhere, is in an assembly, scrapped or not to be found, or that went to a
    shop or on loan after the plan was made; the unit to go on hangs there already, recorded without the swap's number.

    Does not: a plan whose units are where they were; a unit that was at a shop when it was planned and still is; a
    plan that is done, released or given up.

    What to do: look what hangs there (`fleetlife airframe REGISTRATION`), give the plan up (`fleetlife swap give-up`)
    and plan anew what is still to be done. A change that was this swap's and was recorded without its number is put
    right by its entry: `fleetlife ledger correct`.

    What it cannot see: a change that nobody recorded.
    """
    for row in rows:
        for about, text, found in _overtaken(row):
            entry = row.hanging_entry if about == "off" else None
            yield _of(
                "PLN107",
                row,
                row.incoming or row.outgoing,
                about=about,
                message=f"Swap {row.swap} is overtaken: {text}.",
                hint=f'fleetlife swap give-up {row.swap} --why "overtaken", and plan anew what is still to be done',
                expected="the units where the plan has them",
                found=found,
                evidence=(Evidence(source="the records now", says=found, entry=entry),),
            )


def _overtaken(row: PlanRow) -> Iterator[tuple[str, str, str]]:
    """(which unit of the plan, what is told, what was found)."""
    new, old, there = row.incoming, row.outgoing, row.hanging
    hangs = "nothing hangs there" if there is None else f"{_name(there)} hangs there {_since(there)}"
    if new is not None and there is not None and there.unit_id == new.unit_id:
        yield "on", f"{hangs} already, and the change was recorded without the number of this swap", hangs
        return
    if old is not None and (there is None or there.unit_id != old.unit_id):
        off = f" ({_name(old)}: {row.off_at})" if row.off_at else ""
        yield "off", f"it is to take {_name(old)} off {row.where}, and {hangs} now{off}", hangs
    elif old is None and there is not None and day_of(there.since_moment) >= row.planned_on:
        yield "off", f"{row.where} was empty when it was planned, and {hangs}", hangs
    if new is not None and (row.gone or _away(row, new)):
        yield "on", f"{_name(new)}, which is to go on {row.where}, is not in stores: {row.on_at}", row.on_at or new.kind


def _away(row: PlanRow, unit: UnitStateRow) -> bool:
    """It went to a shop or on loan when the plan was made, or later."""
    return unit.kind in ("shop", "loan") and day_of(unit.since_moment) >= row.planned_on


def _since(unit: UnitStateRow) -> str:
    return f"since {day_text(day_of(unit.since_moment))}"


def _name(unit: UnitStateRow) -> str:
    return f"{unit.part_number} {unit.serial_number}"


def _planned(row: PlanRow) -> str:
    """The unit to go on, and the swap it is planned under."""
    assert row.incoming is not None, "a plan without a unit is not judged by it"
    by = f", by {row.target}" if row.target else ""
    return f"{_name(row.incoming)}, planned for {row.where} under {row.swap}{by},"


def _asked(row: PlanRow) -> str:
    """The fitting question as it is typed."""
    assert row.incoming is not None
    return f"fleetlife swap check {row.where} {_name(row.incoming)} --on {day_text(row.fitted_on)}"


def _another(row: PlanRow) -> str:
    return f"plan another unit: fleetlife spares choose, fleetlife swap give-up {row.swap}"


def _of(
    code: str,
    row: PlanRow,
    unit: UnitStateRow | None,
    *,
    message: str,
    hint: str,
    expected: str,
    found: str,
    severity: Severity | None = None,
    about: str | None = None,
    evidence: tuple[Evidence, ...] = (),
) -> Finding:
    by = f", by {row.target}" if row.target else ""
    return finding(
        code,
        severity=severity,
        message=message,
        hint=hint,
        expected=expected,
        found=found,
        regards=regards(row.swap, about),
        evidence=(*evidence, Evidence(source=f"swap {row.swap} planned", says=f"for {row.where}{by}", entry=row.entry)),
        **row.address(unit),
    )

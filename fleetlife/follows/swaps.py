"""What follows from what was recorded at the doors of an airframe: swaps from plan to release, what is still in, what
is still to be done before a door is released, and who may sign for it. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from fleetlife.fit.pressure import judge_pressure
from fleetlife.follows.place import Recorded
from fleetlife.follows.reference import Reference
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.facts import Movement, Position
from fleetlife.ledger.swaps import (
    Authorisation,
    GaugeReading,
    PositionWork,
    ReleaseItem,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.terms.number import fold

# What settles an item of each category; a device never used and a lock never broken need nothing more.
SETTLES = {
    "device": ("removed", "not_used"),
    "lock": ("remade", "not_broken"),
    "test": ("passed",),
    "retained": ("stayed",),
}
TOLD = {
    "placed": "placed",
    "removed": "removed",
    "not_used": "not used",
    "broken": "broken",
    "remade": "remade",
    "not_broken": "not broken",
    "passed": "passed",
    "failed": "failed",
    "stayed": "stays with the aircraft",
    "left": "left with the unit that came off",
    "not_found": "not found",
}
ROLES_TOLD = {"performed": "performed", "inspected": "independently inspected", "released": "released"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapLife:
    """One swap and all that was recorded of it, each with its entry, in order. `movements`: what carried it out."""

    plan: SwapPlan
    entry: int
    steps: tuple[tuple[int, SwapStep], ...] = ()
    movements: tuple[tuple[int, Movement], ...] = ()
    works: tuple[tuple[int, PositionWork], ...] = ()
    gauges: tuple[tuple[int, GaugeReading], ...] = ()
    signatures: tuple[tuple[int, SwapSignature], ...] = ()

    @property
    def state(self) -> str:
        """One of words.SWAP_STATES."""
        if self.signed("released"):
            return "released"
        if self.movements:
            return "done"
        steps = {step.step for _, step in self.steps}
        if "given_up" in steps:
            return "given up"
        return "begun" if "begun" in steps else "checked" if "checked" in steps else "planned"

    @property
    def done_on(self) -> str | None:
        """The day of its movement; of several the last."""
        return max((movement.moved_on for _, movement in self.movements), default=None)

    @property
    def incoming(self) -> int | None:
        """The unit fitted; before that the one planned."""
        fitted = [movement.installed for _, movement in self.movements if movement.installed is not None]
        return fitted[-1] if fitted else self.plan.incoming

    @property
    def outgoing(self) -> int | None:
        """The unit that came off; before that the one planned."""
        off = [movement.removed for _, movement in self.movements if movement.removed is not None]
        return off[-1] if off else self.plan.outgoing

    @property
    def released_by_entry(self) -> int | None:
        """The entry of its first release; what the data asked for later is not asked of it."""
        return min((number for number, _ in self.signed("released")), default=None)

    @property
    def last_entry(self) -> int:
        """The last entry that speaks of it."""
        parts = (self.steps, self.movements, self.works, self.gauges, self.signatures)
        return max([self.entry, *(number for part in parts for number, _ in part)])

    def signed(self, role: str) -> tuple[tuple[int, SwapSignature], ...]:
        """The signatures in the role."""
        return tuple(each for each in self.signatures if each[1].role == role)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing to be accounted for before the door is released.

    `category` is a category of words.RELEASE_CATEGORIES, retained or gauge. `settled`: nothing is open about it;
    `told` says in words how it stands, `entry` where that is recorded. `asked` False: nobody asked for it, and it was
    recorded all the same.
    """

    category: str
    item: str
    settled: bool
    told: str
    asked: bool = True
    runs: int = 1
    passed: int = 0
    expects: str | None = None
    outcome: str | None = None
    entry: int | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPoint:
    """Why a door cannot be released: `what` addresses the point, `entry` is where it stands in the ledger."""

    what: str
    text: str
    entry: int | None = None


_PARTS: dict[type[Fact], str] = {
    SwapStep: "steps",
    Movement: "movements",
    PositionWork: "works",
    GaugeReading: "gauges",
    SwapSignature: "signatures",
}


def swap_lives(facts: Iterable[Recorded]) -> dict[str, SwapLife]:
    """The swaps among the facts of an airframe, by number, in the order of their plans' entries."""
    held = list(facts)
    plans = {each.fact.swap: (each.number, each.fact) for each in held if isinstance(each.fact, SwapPlan)}
    parts: dict[str, dict[str, list[Any]]] = {swap: {part: [] for part in _PARTS.values()} for swap in plans}
    for recorded in held:
        part, swap = _PARTS.get(type(recorded.fact)), getattr(recorded.fact, "swap", None)
        if part is not None and swap in parts:
            parts[swap][part].append((recorded.number, recorded.fact))
    return {
        swap: SwapLife(plan=plan, entry=entry, **{part: in_order(rows) for part, rows in parts[swap].items()})
        for swap, (entry, plan) in sorted(plans.items(), key=lambda one: one[1][0])
    }


def in_order(rows: Iterable[tuple[int, Any]]) -> tuple[tuple[int, Any], ...]:
    """What was recorded, by its day, its order within the day and its entry."""
    return tuple(sorted(rows, key=lambda each: (each[1].dated(), each[1].sequence, each[0])))


def works_at(facts: Iterable[Recorded], position: str) -> tuple[tuple[int, PositionWork], ...]:
    """What was done at a position, for whichever swap, in order."""
    return in_order(
        (recorded.number, recorded.fact)
        for recorded in facts
        if isinstance(recorded.fact, PositionWork) and recorded.fact.position == position
    )


def last_of(works: Iterable[tuple[int, PositionWork]], category: str) -> dict[str, tuple[int, PositionWork]]:
    """The last that was recorded of each item of a category, by its name folded."""
    return {fold(work.item): (number, work) for number, work in works if work.category == category}


def expected_at(position: Position, reference: Reference, *, stated_by: int | None = None) -> list[ReleaseItem]:
    """What the data asks for at a position: its own rows and those of every position of the type, each item once, the
    position's own row first. `stated_by`: only what was stated up to that entry."""
    stated = reference.release_items.get(fold(position.type), [])
    rows = [
        row
        for number, row in stated
        if (stated_by is None or number <= stated_by)
        and (row.position_kind is None or fold(row.position_kind) == fold(position.kind))
    ]
    found: dict[tuple[str, str], ReleaseItem] = {}
    for own in (True, False):
        for row in rows:
            if (row.position == position.position) if own else row.position is None:
                found.setdefault((row.category, fold(row.item)), row)
    return list(found.values())


def retained_items(position: Position) -> tuple[str, ...]:
    """What stays with the aircraft when the unit at the position goes."""
    return tuple(item.strip() for item in (position.retained or "").split(";") if item.strip())


def items_of(
    swap: SwapLife, position: Position, reference: Reference, works: Sequence[tuple[int, PositionWork]]
) -> list[Item]:
    """Everything to be accounted for before the door of the swap is released, asked for or not, and how each stands.

    `works`: all that was done at the position, for whichever swap: a device that is in keeps the door shut for all of
    them. An inspection by a second person is judged with the signatures.
    """
    expected = [
        row
        for row in expected_at(position, reference, stated_by=swap.released_by_entry)
        if row.category != "inspection"
    ]
    found: list[Item] = []
    for row in expected:
        found.append(_judged(row.category, row.item, swap, row))
    for item in retained_items(position):
        found.append(_judged("retained", item, swap))
    asked = {(each.category, fold(each.item)) for each in found}
    for category in SETTLES:
        of_swap = {fold(work.item): work.item for _, work in swap.works if work.category == category}
        found += [
            replace(_judged(category, item, swap), asked=False)
            for key, item in of_swap.items()
            if (category, key) not in asked
        ]
    return [*found, *_left_by_others(swap, works)]


def _judged(category: str, item: str, swap: SwapLife, row: ReleaseItem | None = None) -> Item:
    """How an item stands by what was recorded of it for the swap. `row`: the data that asks for it."""
    mine = [each for each in swap.works if each[1].category == category and fold(each[1].item) == fold(item)]
    return _test(item, mine, swap, row) if category == "test" else _item(category, item, mine, swap, row)


def _left_by_others(swap: SwapLife, works: Sequence[tuple[int, PositionWork]]) -> list[Item]:
    """Devices in and locks broken at the position that were recorded for another swap, or for none."""
    mine = {(work.category, fold(work.item)) for _, work in swap.works}
    found = []
    for category in ("device", "lock"):
        for key, (number, work) in last_of(works, category).items():
            if (category, key) not in mine and work.outcome not in SETTLES[category]:
                whose = f"for {work.swap}" if work.swap else "for no swap"
                told = f"{TOLD[work.outcome]} {work.worked_on} by {work.signed_by} {whose} (entry {number})"
                found.append(
                    Item(
                        category=category,
                        item=work.item,
                        settled=False,
                        told=told,
                        asked=False,
                        outcome=work.outcome,
                        entry=number,
                    )
                )
    return found


def _item(
    category: str, item: str, mine: Sequence[tuple[int, PositionWork]], swap: SwapLife, row: ReleaseItem | None
) -> Item:
    reference = _reference(row)
    if not mine:
        told = {
            "device": "not accounted for: neither placed nor said to be not used",
            "lock": "not accounted for: neither broken nor said to be whole",
            "retained": "not accounted for",
        }[category]
        return Item(category=category, item=item, settled=False, told=told, reference=reference)
    number, last = mine[-1]
    told = f"{TOLD[last.outcome]} {last.worked_on} by {last.signed_by} (entry {number})"
    settled = last.outcome in SETTLES[category]
    early = category in ("lock", "retained") and swap.done_on is not None and last.worked_on < swap.done_on
    if settled and early and last.outcome != "not_broken":
        settled, told = False, f"{told}, which is before the unit was changed on {swap.done_on}"
    return Item(
        category=category,
        item=item,
        settled=settled,
        told=told,
        outcome=last.outcome,
        entry=number,
        reference=reference,
    )


def _test(item: str, mine: Sequence[tuple[int, PositionWork]], swap: SwapLife, row: ReleaseItem | None) -> Item:
    """A test stands when it has passed as often as asked since it last failed, after the unit was changed."""
    runs = row.runs or 1 if row is not None else 1
    done_on = swap.done_on
    counted = [each for each in mine if done_on is None or each[1].worked_on >= done_on]
    passed = 0
    for _, work in counted:
        passed = passed + 1 if work.outcome == "passed" else 0
    last = counted[-1] if counted else None
    if last is None:
        told = "not signed" if not mine else f"not signed since the unit was changed on {done_on}"
    elif last[1].outcome == "failed":
        told = f"failed {last[1].worked_on}, signed by {last[1].signed_by} (entry {last[0]})"
    else:
        read = f", {last[1].value}" if last[1].value else ""
        times = f"passed {passed} of {runs} times" if runs > 1 else "passed"
        told = f"{times}{read}, last {last[1].worked_on} by {last[1].signed_by} (entry {last[0]})"
    return Item(
        category="test",
        item=item,
        settled=done_on is not None and passed >= runs,
        told=told if done_on is not None or not counted else f"{told}; the change of the unit is not recorded yet",
        runs=runs,
        passed=passed,
        expects=None if row is None else row.expects,
        outcome=None if last is None else last[1].outcome,
        entry=None if last is None else last[0],
        reference=_reference(row),
    )


def _reference(row: ReleaseItem | None) -> str | None:
    if row is None or row.reference is None:
        return None
    return f"{row.reference} revision {row.revision}" if row.revision else row.reference


def gauge_items(swap: SwapLife, reference: Reference, gauged: Sequence[tuple[int, str, str]]) -> list[Item]:
    """How the gauge of each unit fitted stands whose part has a table of pressures. `gauged`: (unit, part, name).

    The last reading of the swap counts; the gauge is read before fitting, and may be read again after it.
    """
    found = []
    for unit, part, name in gauged:
        mine = [each for each in swap.gauges if each[1].unit == unit]
        points = reference.pressures.get(fold(part), [])
        if not mine:
            found.append(Item(category="gauge", item=name, settled=False, told="not read for this swap"))
            continue
        number, reading = mine[-1]
        answer = judge_pressure(
            part_number=part,
            points=points,
            millicelsius=reading.millicelsius,
            pressure=reading.pressure,
            pressure_unit=reading.pressure_unit,
        )
        found.append(
            Item(
                category="gauge",
                item=name,
                settled=answer.outcome == "within",
                told=f"{answer.reason.rstrip('.')}; read {reading.read_on} by {reading.seen_by} (entry {number})",
                outcome=answer.outcome,
                entry=number,
                reference="; ".join(answer.sources) or None,
            )
        )
    return found


# --- signatures ---------------------------------------------------------------------------------------------------


def second_person_asked(
    position: Position, reference: Reference, *, stated_by: int | None = None
) -> ReleaseItem | None:
    """The row that asks for an inspection by a second person at the position; None where none does."""
    rows = expected_at(position, reference, stated_by=stated_by)
    return next((row for row in rows if row.category == "inspection"), None)


def authorised(
    staff: str, role: str, position: Position, reference: Reference, on: str
) -> tuple[tuple[int, Authorisation] | None, str]:
    """The authorisation by which a person may sign in the role at the position on the day, None without; and in words
    why, or why not."""
    rows = reference.authorisations.get(fold(staff), [])
    if not rows:
        return None, f"no authorisation of {staff} is in the records"
    in_role = [each for each in rows if each[1].role == role]
    if not in_role:
        roles = ", ".join(sorted({each.role for _, each in rows}))
        return None, f"{staff} may sign {roles}, and not {role}"
    in_scope = [
        each
        for each in in_role
        if (each[1].type is None or fold(each[1].type) == fold(position.type))
        and (each[1].position_kind is None or fold(each[1].position_kind) == fold(position.kind))
    ]
    if not in_scope:
        scopes = "; ".join(sorted({_scope(each) for _, each in in_role}))
        kind = f", {position.kind}" if position.kind else ""
        return None, f"{staff} may sign {role} on {scopes}, and this is {position.type}{kind}"
    held = [e for e in in_scope if e[1].valid_from <= on and (e[1].valid_to is None or on <= e[1].valid_to)]
    if not held:
        periods = "; ".join(f"from {each.valid_from} to {each.valid_to or 'no end'}" for _, each in in_scope)
        return None, f"{staff} may sign {role} {periods}, and not on {on}"
    number, fact = held[0]
    until = f" until {fact.valid_to}" if fact.valid_to else ""
    return held[0], f"{staff} may sign {role}{until} (entry {number})"


def _scope(fact: Authorisation) -> str:
    return " ".join(part for part in (fact.type or "every type", fact.position_kind or "") if part)


def signature_points(swap: SwapLife, position: Position, reference: Reference) -> list[OpenPoint]:
    """What is open about the signatures that must stand before a release: performed, and where the work is critical
    inspected by another person or under the recorded exception."""
    found: list[OpenPoint] = []
    performed, inspected = swap.signed("performed"), swap.signed("inspected")
    if not performed:
        found.append(OpenPoint(what="not-signed", text="Nobody signed that the work was performed."))
    asked = second_person_asked(position, reference, stated_by=swap.released_by_entry)
    if asked is not None and not inspected:
        by = f" ({_reference(asked)})" if asked.reference else ""
        found.append(
            OpenPoint(
                what="not-inspected", text=f"An inspection by another person is asked for{by}, and nobody inspected."
            )
        )
    for role, signatures in (("performed", performed), ("inspected", inspected)):
        for number, signature in signatures:
            held, why = authorised(signature.signed_by, role, position, reference, signature.signed_on)
            if held is None:
                text = f"Signed {role} by {signature.signed_by} on {signature.signed_on}: {why}."
                found.append(OpenPoint(what="outside-authorisation", text=text, entry=number))
    found.extend(own_work(swap))
    return found


def own_work(swap: SwapLife) -> list[OpenPoint]:
    """Inspections by the person who did the work, without an exception."""
    by = {fold(signature.signed_by) for _, signature in swap.signed("performed")}
    return [
        OpenPoint(
            what="inspected-own-work",
            text=f"{signature.signed_by} performed the work and inspected it.",
            entry=number,
        )
        for number, signature in swap.signed("inspected")
        if fold(signature.signed_by) in by and not signature.exception
    ]


def points_before_release(
    swap: SwapLife,
    position: Position,
    reference: Reference,
    works: Sequence[tuple[int, PositionWork]],
    *,
    gauges: Sequence[Item] = (),
) -> list[OpenPoint]:
    """Everything that keeps the door from being released, in the order in which one would settle it. None: nothing.

    `gauges`: how the gauges of what was fitted stand.
    """
    found: list[OpenPoint] = []
    if not swap.movements:
        found.append(OpenPoint(what="not-done", text="The change of the unit is not recorded."))
    for item in (*items_of(swap, position, reference, works), *gauges):
        if not item.settled:
            name = {"device": "Safety device", "lock": "Lock", "test": "Test", "retained": "Stays with the aircraft"}
            word = name.get(item.category, "Gauge")
            found.append(
                OpenPoint(what=f"{item.category}-open", text=f"{word} {item.item}: {item.told}.", entry=item.entry)
            )
    return [*found, *signature_points(swap, position, reference)]

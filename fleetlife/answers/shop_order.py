"""`shop order`: what one unit that goes to a shop is to have done, and what it holds that would not last until its own
next date."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from fleetlife.answers.shop import Turnarounds, going_of
from fleetlife.clocks.due_rows import Desk, JudgedRow, judged_rows
from fleetlife.clocks.places import place_text
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import UnitStateRow
from fleetlife.life.values import Judged, Requirement
from fleetlife.life.visits import Going, due_again, may_reset
from fleetlife.store.due_query import DueCandidate
from fleetlife.store.engine import Store
from fleetlife.terms.number import did_you_mean
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.shop import BEFORE, DUE, GROUPS, NOT_TOLD, SOFT, OrderLine, ShopOrder
from fleetlife.terms.views import DueRow


def shop_order(
    store: Store,
    *,
    part_number: str,
    serial_number: str,
    as_of: date,
    manufacturer: str | None = None,
    known_at: str | None = None,
    sent_on: date | None = None,
    turnaround: int | None = None,
    work: Collection[str] = (),
) -> ShopOrder:
    """The order of a visit that begins on `sent_on`, the day asked about when left out.

    `work`: requirements of the unit itself that are done beside what falls due on it before it is back. Refusals:
    `sent-in-the-past`, `requirement-not-of-the-unit`, `unit-unknown`, `unit-ambiguous`, `unit-not-then`, those of
    `world.open_world`.
    """
    sent = sent_on or as_of
    if sent < as_of:
        raise Refusal(
            "sent-in-the-past",
            f"{sent.isoformat()} lies before {as_of.isoformat()}, the day asked about.",
            remedy="Name that day or a later one; or ask as of the earlier day (--as-of).",
            status=2,
        )
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        unit = world.unit_named(part_number, serial_number, manufacturer)
        tree = world.tree_of(unit)
        if unit not in tree:
            raise unit_not_then()
        state = tree[unit]
        time = Turnarounds(world, turnaround).of(state.part_number, state.manufacturer)
        order = _Order(world, unit, tree, sent=sent.toordinal(), back=sent.toordinal() + time.days)
        order.take(work)
        following = order.following
        return ShopOrder(
            about=world.about("shop order"),
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            place=place_text(world, state, world.states([state.parent_id] if state.parent_id is not None else [])),
            carried=state.carried_airframe_id is not None,
            sent_on=sent.isoformat(),
            back_on=day_text(order.back) or "",
            turnaround=time.days,
            turnaround_from=time.whence,
            returns=time.returns,
            work=tuple(sorted(each.name for each in order.own if each.done)),
            assumed=order.assumed,
            next_on=None if following is None else day_text(following.next_due),
            next_requirement=None if following is None else following.name,
            lines=tuple(order.lines()),
        )


@dataclass(slots=True)
class _Item:
    """One requirement of the unit or of what it holds. `due` at the earliest, None where no date is told; `next_due`:
    after the visit. `why`: for what it is done in it."""

    unit: UnitStateRow
    row: DueRow
    judged: Judged
    rule: Requirement | None
    due: int | None
    done: bool = False
    why: str = ""
    next_due: int | None = None

    @property
    def name(self) -> str:
        return self.row.requirement or "no programme"

    @property
    def soft(self) -> bool:
        return self.row.kind == "soft_life"

    @property
    def untold(self) -> bool:
        """No date can be told, or none of a measure; what is done in the visit needs none."""
        open_measure = self.due is None and any(
            left is not None
            for left in (self.judged.minutes_left, self.judged.cycles_left, self.judged.operations_left)
        )
        return not self.done and (self.judged.state == "unknown" or bool(self.judged.unknown) or open_measure)


class _Order:
    """The unit with what it holds, from the day it goes to the day it is back."""

    def __init__(self, world: World, unit: int, tree: Mapping[int, UnitStateRow], *, sent: int, back: int) -> None:
        self.world, self.unit, self.sent, self.back = world, unit, sent, back
        self.assumed = False
        judged = judged_rows(world, tree)
        self.items = [
            _Item(unit=candidate.unit, row=row, judged=judgement, rule=rule, due=_due(world, judgement))
            for candidate, rule, judgement, row in judged
            if rule is None or (rule.done_at == "shop" and rule.kind != "on_condition")
        ]
        self.goings = _goings(world, judged)

    @property
    def own(self) -> list[_Item]:
        """Of the unit itself, what it goes to a shop for."""
        return [
            each for each in self.items if each.unit.unit_id == self.unit and each.rule is not None and not each.soft
        ]

    def take(self, work: Collection[str]) -> None:
        """Settle what is done: what falls due before it is back, what is named, and where nothing of the unit itself is
        either, the next of it to come. Then work out the dates after the visit."""
        known = sorted({each.name for each in self.own})
        for name in work:
            if name not in known:
                raise Refusal(
                    "requirement-not-of-the-unit",
                    f"{name} is no work in a shop on this unit." + did_you_mean(name, known),
                    remedy=f"Name one of {', '.join(known) or 'none'}, or leave --work out.",
                )
        for each in self.items:
            if each.rule is None or each.soft:
                continue
            if each.judged.state in ("overdue", "no refill"):
                each.done, each.why = True, "It has passed its due point."
            elif each.due is not None and each.due <= self.back:
                each.done, each.why = True, f"It falls due by {day_text(self.back)}, when the unit is back."
            elif each.unit.unit_id == self.unit and each.name in work:
                each.done, each.why = True, "It was named as the work of this visit."
        if not any(each.done for each in self.own):
            dated = [
                each for each in self.own if each.due is not None and each.row.kind not in ("life_limit", "storage")
            ]
            if dated:
                first = min(dated, key=lambda each: (each.due or 0, each.name))
                first.done, self.assumed = True, True
                first.why = "Nothing of the unit itself is due; this is the next to come, and is taken as done."
        reset = {
            (each.unit.unit_id, name)
            for each in self.items
            if each.done and each.rule is not None
            for name in each.rule.resets
        }
        for each in self.items:
            named = (each.unit.unit_id, each.name) in reset
            renewed = each.done or (named and each.rule is not None and may_reset(each.rule))
            each.next_due = self._again(each) if renewed else each.due

    def _again(self, item: _Item) -> int | None:
        if item.rule is None or item.rule.kind == "life_limit":
            return None
        return due_again(item.rule, self.goings[item.unit.unit_id], done_on=self.sent, back_on=self.back)

    @property
    def following(self) -> _Item | None:
        """What of the unit itself falls due first after the visit."""
        dated = [each for each in self.own if each.next_due is not None]
        return min(dated, key=lambda each: (each.next_due or 0, each.name), default=None)

    def lines(self) -> Iterator[OrderLine]:
        """In the order of GROUPS, then by date."""
        found = [line for each in self.items for line in self._lines(each)]
        yield from sorted(found, key=lambda line: (GROUPS.index(line.group), line.due_on or "~", line.part_number))

    def _lines(self, item: _Item) -> Iterator[OrderLine]:
        if item.done:
            yield self._line(item, DUE, item.due, item.why)
        if item.untold:
            yield self._line(item, NOT_TOLD, item.due, "A date, or one measure of it, cannot be told.")
        elif item.soft and not self._lasts(item.due):
            yield self._line(item, SOFT, item.due, "Soft life: it is listed and stops nothing.")
        elif item.unit.unit_id != self.unit and not item.soft and not self._lasts(item.next_due):
            again = "Done in this visit it falls due again" if item.done else "It falls due"
            why = f"{again} on {day_text(item.next_due)}, {self._before()}."
            yield self._line(item, BEFORE, item.next_due, why, told=not item.done)

    def _lasts(self, due: int | None) -> bool:
        """Whether it lasts until the unit itself falls due again."""
        following = self.following
        return due is None or (following is not None and due >= (following.next_due or 0))

    def _before(self) -> str:
        following = self.following
        if following is None:
            return "and the unit itself has no date after this visit that can be told"
        return f"before the unit itself falls due again on {day_text(following.next_due)} by {following.name}"

    def _line(self, item: _Item, group: str, due: int | None, why: str, *, told: bool = True) -> OrderLine:
        """`told`: the date is that of the due row, and its reason stands beside."""
        row = item.row
        return OrderLine(
            group=group,
            part_number=item.unit.part_number,
            serial_number=item.unit.serial_number,
            slot=item.unit.slot if item.unit.unit_id != self.unit else None,
            requirement=row.requirement,
            kind=row.kind,
            state=row.state,
            due_on=day_text(due),
            next_due=day_text(item.next_due) if group == DUE else None,
            reason=f"{why} {row.state_reason or ''}".strip() if told else why,
            reference=row.reference,
            edition=row.edition,
        )


def _due(world: World, judged: Judged) -> int | None:
    """At the earliest; if fitted on the day asked about for what waits for its fitting."""
    day = judged.earliest
    if day is None and judged.state == "waiting":
        return judged.due_if_fitted
    return world.as_of if day is None and judged.state == "overdue" else day


def _goings(world: World, judged: Sequence[JudgedRow]) -> dict[int, Going]:
    by_unit: dict[int, list[DueCandidate]] = {}
    for candidate, *_ in judged:
        by_unit.setdefault(candidate.unit.unit_id, []).append(candidate)
    carriers = {each.point.airframe_id for found in by_unit.values() for each in found}
    desk = Desk(world, world.outlooks({airframe for airframe in carriers if airframe is not None}))
    openings = world.openings(sorted(by_unit))
    return {unit: going_of(desk, found, openings.get(unit)) for unit, found in by_unit.items()}

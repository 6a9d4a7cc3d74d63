"""`retention`: what must be kept until when, by which published rule. It lists; nothing is ever deleted."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from datetime import date
from types import MappingProxyType

from fleetlife.clocks.world import CHUNK, World, open_world
from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.follows.derive import Derived
from fleetlife.follows.place import Recorded
from fleetlife.ledger.facts import Accomplishment, Certificate, Fact, Movement, Opening, UnitModification
from fleetlife.paper.retention import REGIMES, Held, Kept, kept_by, latest
from fleetlife.paper.status import is_new
from fleetlife.store.engine import Store
from fleetlife.store.unit_ids import unit_ids
from fleetlife.terms.number import fold
from fleetlife.terms.published import RULES
from fleetlife.terms.retained import OperatorRules, RetainedRow, RetentionList

NONE_STATED: Mapping[str, Collection[str]] = MappingProxyType({})
NOT_LISTED = (
    "records of the airframes themselves, of directives and of work that nobody has recorded here",
    "records that an inquiry, a lease, an insurer or the operator's own procedure wants kept longer",
    "technical log pages beside the movements recorded here; an entry may need its page longer",
)


def retention(
    store: Store,
    *,
    as_of: date,
    known_at: str | None = None,
    regimes: Collection[str] = (),
    by_operator: Mapping[str, Collection[str]] = NONE_STATED,
    part_numbers: Collection[str] = (),
    tell: Callable[[str, int], None] | None = None,
) -> RetentionList:
    """The records and until when each must be kept by the rules of the regimes (`eu`, `us`); by both where none is
    chosen. `by_operator`: the rules of operators that have their own. Refusals: `part-unknown`, those of
    `clocks.world`."""
    asked = tuple(regime for regime in REGIMES if regime in regimes) or REGIMES
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        world.check_parts(part_numbers)
        wanted = {fold(number) for number in part_numbers}
        found: list[RetainedRow] = []
        seen: set[str] = set()
        desks = _Operators(world, asked, by_operator)
        every = list(unit_ids(connection))
        for start in range(0, len(every), CHUNK):
            chunk = every[start : start + CHUNK]
            facts, derived = world.facts(chunk), world.derive(chunk)
            for unit in chunk:
                state = derived.unit_states.get(unit)
                if state is None or (wanted and fold(state.part_number) not in wanted):
                    continue
                found += _rows(world, unit, facts[unit], derived, desks, seen)
            if tell is not None:
                tell("units", min(start + CHUNK, len(every)))
        rules = {key for row in found for key in _keys(row)}
        return RetentionList(
            about=world.about("retention"),
            chosen=asked,
            stated=bool(regimes),
            rows=tuple(sorted(found, key=_order)),
            cited=tuple(rule.cited for key, rule in RULES.items() if key in rules),
            not_listed=NOT_LISTED,
            operators=desks.told(),
            not_in_records=desks.not_in_records(),
        )


def _order(row: RetainedRow) -> tuple[str, str, str, str, str, int]:
    last = row.kept_until or "9999-12-31"
    return (last, row.dated_on, row.part_number or "", row.serial_number or "", row.what, row.entry)


def _keys(row: RetainedRow) -> Iterator[str]:
    for key in RULES:
        if RULES[key].applied == "retention" and f"{RULES[key].named}:" in row.rules:
            yield key


class _Operators:
    """Whose records they are, and by which rules each one's are kept."""

    def __init__(self, world: World, others: tuple[str, ...], by_operator: Mapping[str, Collection[str]]) -> None:
        self.airframes = world.reference.airframes
        self.others = others
        self.stated = {
            fold(name): (name, tuple(regime for regime in REGIMES if regime in regimes))
            for name, regimes in by_operator.items()
        }
        self.met: dict[str | None, OperatorRules] = {}

    def of(self, airframes: Iterable[int]) -> tuple[str | None, ...]:
        """The operators of the airframes, None for one that names none; None alone where there is no airframe."""
        names = {self.airframes[airframe].operator for airframe in airframes if airframe in self.airframes}
        return tuple(sorted(names, key=lambda name: name or "")) or (None,)

    def rules(self, operators: Iterable[str | None]) -> tuple[str, ...]:
        """The rules of all of them together: whatever one of them must keep is kept."""
        chosen: set[str] = set()
        for operator in operators:
            _, stated = self.stated.get(fold(operator), ("", ())) if operator else ("", ())
            rules = stated or self.others
            self.met[operator] = OperatorRules(operator=operator, rules=rules, stated=bool(stated))
            chosen.update(rules)
        return tuple(regime for regime in REGIMES if regime in chosen)

    def told(self) -> tuple[OperatorRules, ...]:
        """Everybody whose records were met, nobody last; none where no rules are stated by operator."""
        if not self.stated:
            return ()
        return tuple(self.met[name] for name in sorted(self.met, key=lambda name: (name is None, name or "")))

    def not_in_records(self) -> tuple[str, ...]:
        known = {fold(airframe.operator) for airframe in self.airframes.values() if airframe.operator}
        return tuple(name for folded, (name, _) in sorted(self.stated.items()) if folded not in known)


def _rows(
    world: World, unit: int, facts: list[Recorded], derived: Derived, desks: _Operators, seen: set[str]
) -> Iterator[RetainedRow]:
    """The records about one unit; a movement of two units comes once."""
    rules = world.reference.book().by_key
    mine = [rules[row.requirement_key] for row in derived.due_points[unit] if row.requirement_key in rules]
    kinds = {rule.requirement: rule.kind for rule in mine}
    last = derived.placements[unit][-1]
    withdrawn = date.fromordinal(day_of(last.from_moment)) if last.kind == "scrap" else None
    desk = _Superseded(unit, facts, derived, kinds)
    for recorded in facts:
        fact, key = recorded.fact, recorded.fact.key()
        held = _held(fact, unit, desk, withdrawn)
        if held is None or key in seen:
            continue
        seen.add(key)
        yield _row(world, unit, derived, held, _what(fact), recorded, desks)
    if "life_limit" in kinds.values():
        opened = next(r for r in facts if isinstance(r.fact, Opening) and r.fact.unit == unit)
        opening = opened.fact
        assert isinstance(opening, Opening)
        begins = parse_partial(opening.manufactured).first_day if opening.manufactured else None
        held = Held(
            record="life-limited history",
            dated_on=begins or date.fromisoformat(opening.as_of),
            withdrawn_on=withdrawn,
        )
        names = ", ".join(sorted(name for name, kind in kinds.items() if kind == "life_limit"))
        yield _row(world, unit, derived, held, f"history of a life-limited part ({names})", opened, desks)


class _Superseded:
    """When the work and the papers of one unit were superseded; None: not yet."""

    def __init__(self, unit: int, facts: list[Recorded], derived: Derived, kinds: dict[str, str]) -> None:
        self.kinds = kinds
        self.history = derived.histories[unit]
        self.works = [r.fact for r in facts if isinstance(r.fact, Accomplishment) and r.fact.unit == unit]

    def work(self, fact: Accomplishment) -> date | None:
        """The same work was shown to be done again."""
        done = parse_partial(fact.done_on).last_day.toordinal()
        later = [
            work.day
            for work in self.history.done
            if work.proven and work.requirement == fact.requirement and work.day > done
        ]
        return date.fromordinal(min(later)) if later else None

    def is_overhaul(self, fact: Accomplishment) -> bool:
        return self.kinds.get(fact.requirement) == "overhaul"

    def resting_on(self, paper: Certificate) -> list[Accomplishment]:
        """The work that names the paper."""
        return [
            work
            for work in self.works
            if work.certificate is not None
            and fold(work.certificate) == fold(paper.tracking_number)
            and (
                work.certificate_organisation is None or fold(work.certificate_organisation) == fold(paper.organisation)
            )
        ]

    def paper(self, paper: Certificate) -> date | None:
        """A later release is filed, and all that rests on the paper was done again. Never for a release as new."""
        day = day_number(paper.dated_on)
        later = [release.day for release in self.history.releases if release.day > day]
        ends = [self.work(work) for work in self.resting_on(paper)]
        if not later or None in ends or is_new(paper.status):
            return None
        return max([date.fromordinal(min(later)), *(end for end in ends if end is not None)])


def _held(fact: Fact, unit: int, desk: _Superseded, withdrawn: date | None) -> Held | None:
    """The record that a fact about the unit stands for; None for one that is no record of its own."""
    if isinstance(fact, Certificate) and fact.unit == unit:
        return Held(
            record="certificate",
            dated_on=date.fromisoformat(fact.dated_on),
            superseded_on=desk.paper(fact),
            withdrawn_on=withdrawn,
            overhaul=any(desk.is_overhaul(work) for work in desk.resting_on(fact)),
        )
    if isinstance(fact, Accomplishment) and fact.unit == unit:
        return Held(
            record="work",
            dated_on=parse_partial(fact.done_on).last_day,
            superseded_on=desk.work(fact),
            withdrawn_on=withdrawn,
            overhaul=desk.is_overhaul(fact),
        )
    if isinstance(fact, UnitModification) and fact.unit == unit:
        return Held(record="modification", dated_on=date.fromisoformat(fact.embodied_on), withdrawn_on=withdrawn)
    if isinstance(fact, Movement) and unit in (fact.removed, fact.installed):
        return Held(record="technical log", dated_on=date.fromisoformat(fact.moved_on))
    return None


def _what(fact: Fact) -> str:
    if isinstance(fact, Certificate):
        return f"certificate {fact.tracking_number} of {fact.organisation}, {fact.status}"
    if isinstance(fact, Accomplishment):
        return f"{fact.requirement} of {fact.done_on}" + (
            f", certificate {fact.certificate}" if fact.certificate else ""
        )
    if isinstance(fact, UnitModification):
        return f"modification {fact.modification}"
    assert isinstance(fact, Movement)
    page = f"log {fact.technical_log}" if fact.technical_log else "no log page named"
    return f"movement at {fact.position}, {page}"


def _row(
    world: World,
    unit: int,
    derived: Derived,
    held: Held,
    what: str,
    recorded: Recorded,
    desks: _Operators,
) -> RetainedRow:
    state = derived.unit_states[unit]
    carried = [row.airframe_id for row in derived.carriages[unit]]
    operators = desks.of([recorded.fact.airframe] if isinstance(recorded.fact, Movement) else carried)
    kept = kept_by(held, desks.rules(operators))
    until = latest(kept)
    standing = "no end" if until is None else ("time is over" if until.toordinal() < world.as_of else "to be kept")
    fact = recorded.fact
    registration = None
    if isinstance(fact, Movement):
        registration = world.reference.registration_on(fact.airframe, day_number(fact.moved_on))
    return RetainedRow(
        record=held.record,
        what=what,
        dated_on=held.dated_on.isoformat(),
        registration=registration,
        part_number=state.part_number,
        serial_number=state.serial_number,
        manufacturer=state.manufacturer,
        superseded_on=None if held.superseded_on is None else held.superseded_on.isoformat(),
        withdrawn_on=None if held.withdrawn_on is None else held.withdrawn_on.isoformat(),
        kept_until=None if until is None else until.isoformat(),
        standing=standing,
        kept_until_eu=_of("eu", kept),
        kept_until_us=_of("us", kept),
        rules="; ".join(_rule_text(each) for each in kept),
        entry=recorded.number,
        operators="; ".join(name for name in operators if name) or None,
    )


def _of(regime: str, kept: Collection[Kept]) -> str | None:
    mine = [each for each in kept if each.regime == regime]
    if not mine:
        return None
    until = latest(mine)
    return "no end" if until is None else until.isoformat()


def _rule_text(each: Kept) -> str:
    until = "no end" if each.until is None else f"until {each.until.isoformat()}"
    return f"{RULES[each.rule].named}: {until} ({each.why})"

"""Publications in a world: which units they mean, and what is open on those.

Nothing of this is stored: rows of publications can be put right at any time, and are judged as they stand. Units are
told apart by their numbers first; only those that are meant and on which something is not closed for good are derived.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain

from fleetlife.clocks.boundaries import readings_wanted, settled_boundaries
from fleetlife.clocks.due_rows import STATE_ORDER
from fleetlife.clocks.places import place_text
from fleetlife.clocks.world import CHUNK, World
from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import day_number, day_text, parse_partial
from fleetlife.fit.applicability import Affected, UnitNamed, judge_affected, part_matches
from fleetlife.fit.eligibility import modification_names
from fleetlife.follows.carry import Counts, not_known_since
from fleetlife.follows.derive import Derived, derive
from fleetlife.follows.history import part_numbers_of
from fleetlife.follows.place import Recorded, stays_of
from fleetlife.follows.publications import Notice, asks_of, demand_of, in_force, work_name
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Accomplishment, Opening, UnitModification
from fleetlife.ledger.publications import Compliance, NotEmbodied
from fleetlife.life.compliance import Demand, demanded_point, requirement_of
from fleetlife.life.state import judge
from fleetlife.life.values import Count, DuePoint, Judged
from fleetlife.store.reference import facts_of_units, unit_numbers
from fleetlife.terms.asked import AFFECTED, CANNOT_BE_TOLD, ModificationLine, PublicationRow
from fleetlife.terms.number import fold

_KINDS = (Opening, UnitModification, Accomplishment, NotEmbodied)
NOTHING_ASKED = "The records do not say what it asks for, or by when."


@dataclass(slots=True)
class UnitFacts:
    """What is stated of one unit, as known and true then."""

    opening: Opening
    modifications: list[tuple[int, UnitModification]] = field(default_factory=list)
    work: list[tuple[int, Accomplishment]] = field(default_factory=list)
    without: list[tuple[int, NotEmbodied]] = field(default_factory=list)

    def named(self) -> UnitNamed:
        borne = part_numbers_of(self.opening.unit, [Recorded(n, fact) for n, fact in self.modifications], self.opening)
        made = self.opening.manufactured
        return UnitNamed(
            borne=tuple(borne),
            serial_number=self.opening.serial_number,
            manufacturer=self.opening.manufacturer,
            manufactured=parse_partial(made) if made else None,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What closes something for good: in words, on which day, by which entry."""

    says: str
    on: str
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """A unit that a publication means, or may mean, and one thing it asks of it; None: it asks for nothing known."""

    notice: Notice
    unit: int
    affected: Affected
    sure: bool
    ask: tuple[int, Compliance] | None = None
    closing: Closing | None = None


def publication_rows(
    world: World, notices: Sequence[Notice], *, units: Iterable[int] | None = None, on: int | None = None
) -> list[PublicationRow]:
    """What the publications ask of the units (None: of all) that they mean or may mean, the worst first.

    `on`: the day of which states are told, the world's own when left out. No statement where there are no publications.
    """
    if not notices:
        return []
    wanted = candidates(world, notices) if units is None else set(units)
    states = standing_units(world, wanted)
    facts = facts_then(world, states)
    meant = [each for unit, held in facts.items() for each in _meant(notices, unit, held)]
    return _Desk(world, states, world.as_of if on is None else on).rows(meant)


def publications_in_force(world: World) -> tuple[Notice, ...]:
    return in_force(world.reference, world.as_of) if world.reference.publications else ()


def rows_of_unit(world: World, unit: int) -> list[PublicationRow]:
    """What the publications in force ask of one unit. A letter of which nobody stated whom it names says nothing of
    it."""
    told = [n for n in publications_in_force(world) if n.names_units or n.fact.kind != "letter"]
    return publication_rows(world, told, units=[unit])


def candidates(world: World, notices: Sequence[Notice]) -> set[int]:
    """Units that bear, or ever bore, a part number that some row of the publications means. One statement."""
    patterns = {row.part_number for notice in notices for _, row in notice.rows if not row.excluded}
    fits: dict[str, bool] = {}
    found: set[int] = set()
    for unit, part_number, _, _ in unit_numbers(world.connection) if patterns else ():
        if part_number not in fits:
            fits[part_number] = any(part_matches(pattern, part_number) for pattern in patterns)
        if fits[part_number]:
            found.add(unit)
    if patterns:
        found.update(world.derived_anew)  # what they bore then may have been corrected since
    return found


def standing_units(world: World, units: Iterable[int]) -> dict[int, UnitStateRow]:
    """The units as they were then, without those on the scrap heap, alone or in their parent."""
    states = world.states(sorted(units))
    parents = world.states({row.parent_id for row in states.values() if row.parent_id is not None})

    def scrapped(row: UnitStateRow) -> bool:
        parent = parents.get(row.parent_id or 0)
        return row.kind == "scrap" or (parent is not None and parent.kind == "scrap")

    return {unit: row for unit, row in states.items() if not scrapped(row)}


def facts_then(world: World, units: Iterable[int]) -> dict[int, UnitFacts]:
    """What is stated of the units: a statement a kind for those whose stored rows answer."""
    wanted = sorted(units)
    stored = [unit for unit in wanted if unit not in world.derived_anew]
    anew = [unit for unit in wanted if unit in world.derived_anew]
    told: Iterator[tuple[int, object]] = iter(())
    if stored:
        told = chain.from_iterable(facts_of_units(world.connection, kind, stored) for kind in _KINDS)
    for start in range(0, len(anew), CHUNK):
        held = world.facts(anew[start : start + CHUNK], held_too=False)
        own = [(r.number, r.fact) for unit in anew[start : start + CHUNK] for r in held.get(unit, ())]
        told = chain(told, [(n, fact) for n, fact in own if isinstance(fact, _KINDS)])
    return _by_unit(told, frozenset(wanted))


def _by_unit(told: Iterable[tuple[int, object]], wanted: frozenset[int]) -> dict[int, UnitFacts]:
    every = [(n, fact) for n, fact in told if getattr(fact, "unit", None) in wanted]
    found = {fact.unit: UnitFacts(fact) for _, fact in every if isinstance(fact, Opening)}
    seen: set[tuple[int, str]] = set()
    for number, fact in every:
        if isinstance(fact, Opening):
            continue
        assert isinstance(fact, (UnitModification, Accomplishment, NotEmbodied))
        held = found.get(fact.unit)
        if held is None or (number, fact.key()) in seen:
            continue
        seen.add((number, fact.key()))
        if isinstance(fact, UnitModification):
            held.modifications.append((number, fact))
        elif isinstance(fact, Accomplishment):
            held.work.append((number, fact))
        else:
            held.without.append((number, fact))
    return dict(sorted(found.items()))


# --- what is meant and what is closed -------------------------------------------------------------------------------


def _meant(notices: Sequence[Notice], unit: int, held: UnitFacts) -> Iterator[Meant]:
    named = held.named()
    for notice in notices:
        affected = judge_affected(named, [row for _, row in notice.rows])
        if affected.outcome == "no":
            continue
        sure = asks_of(notice, affected.groups) if affected.groups else ()
        perhaps = [ask for ask in asks_of(notice, affected.possible) if ask not in sure] if affected.possible else []
        if not sure and not perhaps:
            yield Meant(notice=notice, unit=unit, affected=affected, sure=affected.outcome == "yes")
        for is_sure, asks in ((True, sure), (False, perhaps)):
            for ask in asks:
                closing = closing_of(ask[1], held)
                yield Meant(notice=notice, unit=unit, affected=affected, sure=is_sure, ask=ask, closing=closing)


def closing_of(ask: Compliance, held: UnitFacts) -> Closing | None:
    """What closes it for good on the unit: all its modifications, or work that is not to be done again."""
    names = modification_names(ask.closed_by_modification)
    by_name = {fold(fact.modification): (number, fact) for number, fact in held.modifications}
    embodied = [by_name[fold(name)] for name in names if fold(name) in by_name]
    if names and len(embodied) == len(names):
        number, last = max(embodied, key=lambda one: (one[1].embodied_on, one[0]))
        paper = f", certificate {last.certificate}" if last.certificate else ""
        return Closing(says=f"modification {'; '.join(names)}{paper}", on=last.embodied_on, entry=number)
    if any(each is not None for each in (ask.repeat_months, ask.repeat_days, ask.repeat_minutes, ask.repeat_cycles)):
        return None
    work = [one for one in held.work if fold(one[1].requirement) == fold(work_name(ask))]
    if not work:
        return None
    number, done = max(work, key=lambda one: (one[1].done_on, one[0]))
    paper = f", certificate {done.certificate}" if done.certificate else ""
    return Closing(says=f"work {done.requirement}{paper}", on=done.done_on, entry=number)


def closes_text(ask: Compliance) -> str:
    """What would close it, in words."""
    names = modification_names(ask.closed_by_modification)
    repeated = any(e is not None for e in (ask.repeat_months, ask.repeat_days, ask.repeat_minutes, ask.repeat_cycles))
    work = f"work recorded as {work_name(ask)}"
    if not names:
        return f"{work}; due again after it" if repeated else work
    modification = f"modification {' and '.join(names)}"
    return f"{modification}; until then {work}, due again after it" if repeated else f"{modification}, or {work}"


# --- states ---------------------------------------------------------------------------------------------------------


class _Desk:
    """Makes rows of what is meant, in one world and for one day."""

    def __init__(self, world: World, states: dict[int, UnitStateRow], on: int) -> None:
        self.world = world
        self.states = states
        self.on = on
        around = {n for row in states.values() for n in (row.parent_id, row.root_id) if n is not None}
        self.names = {**world.states(around - states.keys()), **states} if around else states
        carriers = {r.carried_airframe_id for r in states.values() if r.carried_airframe_id is not None}
        self.outlooks = world.outlooks(sorted(carriers)) if carriers else {}

    def rows(self, meant: Sequence[Meant]) -> list[PublicationRow]:
        asked = [each for each in meant if each.sure and each.ask is not None and each.closing is None]
        units = sorted({each.unit for each in asked})
        judged: dict[int, tuple[DuePoint, Judged]] = {}
        for start in range(0, len(units), CHUNK):
            chunk = frozenset(units[start : start + CHUNK])
            facts, derived = self._derived(chunk, asked)
            for each in asked:
                if each.unit in chunk and each.unit in derived.histories:
                    judged[id(each)] = self._judged(each, derived, facts)
        return sorted((self._row(each, judged.get(id(each))) for each in meant), key=_order)

    def _derived(self, chunk: frozenset[int], asked: Sequence[Meant]) -> tuple[dict[int, list[Recorded]], Derived]:
        """The units with their trees, the readings that are needed looked up together."""
        world, book = self.world, self.world.reference.book()
        facts = world.facts(sorted(chunk))
        carriages = world.carriages(facts)
        known = {} if world.past else settled_boundaries(carriages)
        days = {day_number(each.notice.fact.effective_on) for each in asked}
        around = [
            (row.airframe_id, day - 1, "before")
            for day in sorted(days)
            for row in carriages
            if row.from_moment < moment_of(day) and (row.until_moment is None or row.until_moment > moment_of(day))
        ]
        opened = [
            (r.fact.airframe, day_number(r.fact.as_of), "before")
            for own in facts.values()
            for r in own
            if isinstance(r.fact, Opening) and r.fact.airframe is not None
        ]
        world.prefetch([*readings_wanted(facts, known, carriages, bounded=book.compares), *around, *opened])
        return facts, derive(facts, book=book, totals=world.totals(), known=known, counters=world.counters())

    def _judged(self, meant: Meant, derived: Derived, facts: dict[int, list[Recorded]]) -> tuple[DuePoint, Judged]:
        assert meant.ask is not None
        state, history = self.states[meant.unit], derived.histories[meant.unit]
        demand = demand_of(meant.notice, meant.ask[1], state.part_number)
        then = self._count_then(meant.unit, demand, derived, facts) if demand.after.any() else Count()
        point = demanded_point(demand, history, at_effective=then, as_of=self.world.as_of)
        outlook = self.outlooks.get(state.carried_airframe_id) if state.carried_airframe_id is not None else None
        rule = requirement_of(demand)
        told = judge(rule, point, outlook, as_of=self.on, window_from=None, window_until=None, stored=False)
        return point, told

    def _count_then(self, unit: int, demand: Demand, derived: Derived, facts: dict[int, list[Recorded]]) -> Count:
        """The relative count at the beginning of the effective date; of a unit made since, that of its manufacture."""
        history = derived.histories[unit]
        made, opening = history.manufactured, history.opening
        if made is not None and made.first_day.toordinal() >= demand.effective_on:
            minutes = None if opening.minutes is None else -opening.minutes
            cycles = None if opening.cycles is None else -opening.cycles
            return Count(minutes=minutes, cycles=cycles, estimated=opening.estimated)
        stays = {each: held for each, own in facts.items() if (held := stays_of(each, own)).opened is not None}
        opened = stays[unit].opened
        assert opened is not None
        stated = opened.fact
        assert isinstance(stated, Opening)
        counts = Counts(
            derived.carriages[unit],
            as_of=end_of_day(day_number(stated.as_of)),
            totals=self.world.totals(),
            not_known_since=not_known_since(unit, stays),
        )
        if self.world.as_of < demand.effective_on:
            return Count()
        return counts.at(moment_of(demand.effective_on))

    def _row(self, meant: Meant, judged: tuple[DuePoint, Judged] | None) -> PublicationRow:
        state, reason = self._state(meant, judged)
        unit, fact = self.states[meant.unit], meant.notice.fact
        ask = None if meant.ask is None else meant.ask[1]
        root = self.names.get(unit.root_id or 0)
        carried = unit.carried_airframe_id
        point, told = judged or (None, None)
        closing = meant.closing
        return PublicationRow(
            publication=fact.publication,
            revision=fact.revision,
            kind=fact.kind,
            mandatory=meant.notice.mandatory,
            affected=AFFECTED if meant.sure else CANNOT_BE_TOLD,
            state=state,
            state_reason=reason,
            why_affected=" ".join(meant.affected.reasons),
            place=place_text(self.world, unit, self.names),
            part_number=unit.part_number,
            serial_number=unit.serial_number,
            manufacturer=unit.manufacturer,
            unit=meant.unit,
            action=None if ask is None else ask.action,
            group=None if ask is None else ask.unit_group,
            registration=None if carried is None else self.world.registration(carried),
            position=None if carried is None else (unit.position or (root.position if root else None)),
            due_date=None if told is None else day_text(told.due_date),
            due_earliest=None if told is None else day_text(told.due_earliest),
            airframe_hours_due=None if point is None else point.due_minutes,
            airframe_cycles_due=None if point is None else point.due_cycles,
            days_left=None if told is None else told.days_left,
            hours_left=None if told is None else told.minutes_left,
            cycles_left=None if told is None else told.cycles_left,
            estimated=told is not None and told.estimated,
            unknown_measures="; ".join(f"{u.measure}: {u.cause}" for u in told.unknown) or None if told else None,
            basis=None if point is None else point.basis,
            last_done=None if point is None else day_text(point.last_done),
            closed_by=None if closing is None else closing.says,
            closed_on=None if closing is None else closing.on,
            closed_entry=None if closing is None else closing.entry,
            closes=None if ask is None or closing is not None else closes_text(ask),
            airframe=carried,
            publication_entry=meant.notice.entry,
            ask_entry=None if meant.ask is None else meant.ask[0],
            ends_with=() if ask is None else modification_names(ask.closed_by_modification),
        )

    def _state(self, meant: Meant, judged: tuple[DuePoint, Judged] | None) -> tuple[str, str]:
        if meant.closing is not None:
            return "in date", f"Closed by {meant.closing.says} on {meant.closing.on} (entry {meant.closing.entry})."
        if meant.notice.fact.kind == "letter":
            return "in date", "It informs and asks for nothing."
        if not meant.sure:
            return "unknown", f"Whether it applies cannot be told. {' '.join(meant.affected.reasons)}"
        if judged is not None:
            return judged[1].state, judged[1].state_reason
        return "unknown", NOTHING_ASKED


def _order(row: PublicationRow) -> tuple[object, ...]:
    return (
        STATE_ORDER[row.state],
        row.affected != AFFECTED,
        row.due_earliest or row.due_date or "9999",
        row.closed_by is not None,
        row.registration or "~",
        row.position or "",
        row.part_number,
        row.serial_number,
        row.publication,
        row.action or "",
        row.group or "",
    )


# --- the modifications of a unit ------------------------------------------------------------------------------------


def modification_lines(
    unit: int, facts: Iterable[Recorded], rows: Sequence[PublicationRow]
) -> tuple[ModificationLine, ...]:
    """The modifications recorded on the unit, those it was found without, and those that publications ask for.

    `facts` touch the unit; `rows` are what publications ask of it. Where neither is recorded it is not known.
    """
    told = ((r.number, r.fact) for r in facts if isinstance(r.fact, _KINDS))
    held = _by_unit(told, frozenset((unit,))).get(unit)
    if held is None:
        return ()
    asked: dict[str, list[str]] = {}
    spelt: dict[str, str] = {}
    for row in rows:
        for name in row.ends_with:
            spelt.setdefault(fold(name), name)
            asked.setdefault(fold(name), []).append(row.publication)
    lines = []
    for number, fact in sorted(held.modifications, key=lambda one: (one[1].embodied_on, one[0])):
        paper = fact.certificate or fact.reference
        lines.append(_line(fact.modification, "embodied", fact.embodied_on, paper, number, asked))
    embodied = {fold(fact.modification) for _, fact in held.modifications}
    looked = {fold(fact.modification): (number, fact) for number, fact in sorted(held.without, key=_looked)}
    for key, (number, without) in looked.items():
        if key not in embodied:
            lines.append(_line(without.modification, "not embodied", without.read_on, without.reference, number, asked))
    for key in asked:
        if key not in embodied and key not in looked:
            lines.append(_line(spelt[key], "not known", None, None, None, asked))
    return tuple(lines)


def _looked(one: tuple[int, NotEmbodied]) -> tuple[str, int]:
    return one[1].read_on, one[0]


def _line(
    name: str, status: str, on: str | None, paper: str | None, entry: int | None, asked: dict[str, list[str]]
) -> ModificationLine:
    return ModificationLine(
        modification=name,
        status=status,
        on=on,
        paper=paper,
        entry=entry,
        asked_by=tuple(dict.fromkeys(asked.get(fold(name), ()))),
    )

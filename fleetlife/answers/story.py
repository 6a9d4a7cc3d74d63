"""`unit --story`: birth to the day asked, oldest first, with what was put right shown beside what it replaced."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from fleetlife.answers.story_told import Teller
from fleetlife.answers.unit import card_of
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.moment import day_of, end_of_day, moment_text
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.carry import Counts, not_known_since
from fleetlife.follows.derive import Derived, with_resets
from fleetlife.follows.gaps import Hole as FoundHole
from fleetlife.follows.gaps import holes_of
from fleetlife.follows.place import UnitStays, moment_of_fact, stays_of
from fleetlife.follows.rows import CarriageRow, PlacementRow, UnitStateRow
from fleetlife.ledger.facts import Accomplishment, Certificate, Movement, Opening, Transfer, UnitCounter
from fleetlife.paper.status import is_new
from fleetlife.store.engine import Store
from fleetlife.store.ever import Stated, stated_of
from fleetlife.terms.measure import counted_figure, counted_text, hours_text
from fleetlife.terms.story import TOPICS, Hole, StoryLine, UnitStory
from fleetlife.terms.views import UnitCard


def unit_story(
    store: Store,
    *,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    as_of: date,
    known_at: str | None = None,
) -> UnitStory:
    """The life story of one unit. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`, those of
    `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        unit_id = world.unit_named(part_number, serial_number, manufacturer)
        return story_of(world, unit_id, card_of(world, unit_id))


def story_of(world: World, unit_id: int, card: UnitCard) -> UnitStory:
    """The story of the unit in an open world; `card`: its card there."""
    desk = StoryDesk(world, unit_id)
    lines = sorted(
        (*desk.born(), *desk.told(), *desk.stays(), *desk.carried()),
        key=lambda line: (line.since or "", TOPICS.index(line.topic), line.entry or 0, line.until or "", line.text),
    )
    return UnitStory(
        about=replace(card.about, question="unit --story"),
        part_number=card.part_number,
        serial_number=card.serial_number,
        manufacturer=card.manufacturer,
        description=card.description,
        part_numbers_borne=card.part_numbers_borne,
        place=card.place,
        manufactured=card.manufactured,
        life_quality=card.life_quality,
        hours_since_new=card.hours_since_new,
        cycles_since_new=card.cycles_since_new,
        holes=desk.holes(),
        lines=tuple(lines),
        mended=sum(line.standing != "stands" for line in lines),
    )


class StoryDesk:
    """What is laid out to tell one unit's story."""

    def __init__(self, world: World, unit_id: int) -> None:
        self.world = world
        self.unit = unit_id
        facts = world.facts([unit_id])
        self.tree: dict[int, UnitStays] = {
            unit: each for unit, own in facts.items() if (each := stays_of(unit, own)).opened is not None
        }
        opened = self.tree[unit_id].opened
        assert opened is not None
        assert isinstance(opened.fact, Opening)
        self.opening, self.opened = opened.fact, opened.number
        last = day_text(world.as_of) or ""
        everything = stated_of(world.connection, unit_id, known=world.known)
        self.stated = [each for each in everything if (each.fact.dated() or "") <= last]
        self.recorded = {each.number: each.recorded_at for each in everything}
        self.corrects = {each.number: each.corrects for each in everything}
        self.placements = sorted(world.placements([unit_id]), key=lambda row: row.from_moment)
        self.legs = sorted(world.carriages([unit_id]), key=lambda leg: leg.from_moment)
        self.derived: Derived = world.derive([unit_id])
        self.names = self._names()
        self.teller = Teller(unit_id, self._name, world.reference.registration_on, self._counted)
        self.counts = Counts(
            self.legs,
            as_of=end_of_day(day_number(self.opening.as_of)),
            totals=world.totals(),
            not_known_since=not_known_since(unit_id, self.tree),
        )
        self.restarted = self._restarted()

    def _names(self) -> Mapping[int, UnitStateRow]:
        wanted = {unit for each in self.stated for unit in each.fact.unit_ids()}
        wanted.update(row.parent_id for row in self.placements if row.parent_id is not None)
        wanted.update(leg.root_id for leg in self.legs)
        return self.world.states(sorted(wanted))

    def _counted(self, counter: str, value: int) -> str:
        axis = "hours" if self.world.reference.counter_measures.get(counter) == "hours" else "cycles"
        return counted_text(counted_figure(axis, value))

    def _name(self, unit: int) -> str:
        state = self.names.get(unit)
        return name_of(state) if state is not None else f"unit {unit}"

    # -- birth -------------------------------------------------------------------------------------------------

    def born(self) -> Iterator[StoryLine]:
        """Made, cured, first installed: as the opening statement has them."""
        told = (("made", self.opening.manufactured, "manufactured"), ("cured", self.opening.cured, "cured"))
        for topic, when, text in told:
            if when:
                yield self._line(when, topic, f"{text} {when}", self.opened)
        if self.opening.first_installed:
            text = f"first installed {self.opening.first_installed}, as the opening statement has it"
            yield self._line(self.opening.first_installed, "statement", text, self.opened)

    def _line(self, since: str | None, topic: str, text: str, entry: int) -> StoryLine:
        return StoryLine(since=since, topic=topic, text=text, entry=entry, recorded_at=self.recorded.get(entry))

    # -- statements --------------------------------------------------------------------------------------------

    def told(self) -> Iterator[StoryLine]:
        """Everything stated that is no stay of its own; of what no longer stands every statement."""
        first = next(
            (
                each
                for each in sorted(self.stated, key=lambda one: one.fact.dated() or "")
                if each.standing == "stands" and isinstance(each.fact, Certificate) and is_new(each.fact.status)
            ),
            None,
        )
        begun = {(row.entry, row.from_moment) for row in self.placements}
        for each in self.stated:
            fact = each.fact
            if isinstance(fact, Transfer) and fact.unit != self.unit:
                continue  # what it holds has a story of its own
            if isinstance(fact, Opening) and fact.unit != self.unit:
                continue
            topic = "first release" if each is first else self.teller.topic(fact)
            shown = isinstance(fact, (Movement, Transfer)) and (each.number, moment_of_fact(fact)) in begun
            if topic == "stay" and shown and each.standing == "stands":
                continue  # the stay that it began says it
            yield self._stated(each, topic)

    def _stated(self, each: Stated, topic: str) -> StoryLine:
        fact = each.fact
        line = StoryLine(
            since=fact.dated() or (self.opening.as_of if isinstance(fact, UnitCounter) else None),
            topic=topic,
            text=self.teller.text(fact) + (self._verdict(fact) if isinstance(fact, Certificate) else ""),
            doubtful=topic == "found",
            standing=each.standing,
            by_entry=each.by,
            corrects=each.corrects,
            why=_why(each),
            entry=each.number,
            recorded_at=each.recorded_at,
        )
        if isinstance(fact, Movement):
            day = day_number(fact.moved_on)
            line = replace(
                line,
                registration=self.world.reference.registration_on(fact.airframe, day),
                position=fact.position,
                hours_from=hours_text(fact.minutes_total) or None,
                cycles_from=None if fact.cycles_total is None else str(fact.cycles_total),
            )
        if each.standing != "stands":
            return line
        if isinstance(fact, Accomplishment):
            names, why = self.restarted.get((each.number, fact.requirement, fact.done_on), ((), ""))
            told = f"restarts {', '.join(names)}" if names else f"restarts nothing: {why}"
            line = replace(line, restarts=names, text=f"{line.text}; {told}")
        if isinstance(fact, Movement):
            line = self._with_totals(line, moment_of_fact(fact))
        return line

    def _verdict(self, fact: Certificate) -> str:
        """How the paper's numbers agree with the unit's."""
        for row in self.derived.certificate_lines.get(self.unit, ()):
            key = (row.organisation, row.tracking_number, row.item, row.serial_number)
            if key == (fact.organisation, fact.tracking_number, fact.item or "", fact.serial_number):
                if row.verdict == "exact":
                    return "; numbers agree exactly"
                return f"; part number {row.part_verdict}, serial number {row.serial_verdict}"
        return "; not compared"

    def _restarted(self) -> dict[tuple[int, str, str], tuple[tuple[str, ...], str]]:
        """By entry, requirement and date of a piece of work: what it restarts, or why nothing."""
        rules = self.world.reference.book().by_key
        points = self.derived.due_points.get(self.unit, ())
        mine = [rules[row.requirement_key] for row in points if row.requirement_key in rules]
        kinds = {rule.requirement: rule.kind for rule in mine}
        history = with_resets(self.derived.histories[self.unit], mine)
        found: dict[tuple[int, str, str], tuple[tuple[str, ...], str]] = {}
        for each in self.stated:
            fact = each.fact
            if not isinstance(fact, Accomplishment) or each.standing != "stands":
                continue
            works = [work for work in history.done if work.entry == each.number and work.date.text == fact.done_on]
            own = [work for work in works if work.requirement == fact.requirement]
            names = dict.fromkeys(
                work.requirement
                for work in (*own, *works)
                if work.proven and kinds.get(work.requirement) not in (None, "life_limit", "on_condition")
            )
            why = "no requirement of that name is in force for the part"
            kind = kinds.get(fact.requirement)
            if kind == "life_limit":
                why = "no work restarts a life limit"
            elif kind == "on_condition":
                why = "on condition has no interval"
            elif any(work.condemned for work in own):
                why = "a test condemned the cylinder"
            elif kind is not None:
                why = "the paper named does not show that work"
            found[each.number, fact.requirement, fact.done_on] = (tuple(names), why)
        return found

    # -- stays -------------------------------------------------------------------------------------------------

    def stays(self) -> Iterator[StoryLine]:
        """Every stay, with the registration of its day and the airframe's totals at both ends."""
        by_entry = {
            (each.number, moment_of_fact(each.fact)): each.fact
            for each in self.stated
            if each.standing == "stands" and isinstance(each.fact, (Movement, Transfer))
        }
        for row in self.placements:
            fact = by_entry.get((row.entry, row.from_moment))
            parts = [f"at {place_text(self.world, row, self.names)}"]
            if fact is not None and self.teller.topic(fact) == "stay":
                parts = [self.teller.text(fact)]
            if not (isinstance(fact, Transfer) and fact.condition):
                parts.append(f"condition {row.condition or 'unknown'}")
            if row.hold and not (isinstance(fact, Transfer) and fact.hold):
                parts.append(f"hold {row.hold}")
            leg = self._leg(row) if row.kind == "position" else None
            line = StoryLine(
                since=moment_text(row.from_moment),
                until=moment_text(row.until_moment) or None,
                topic="stay",
                text=", ".join(parts) + self._renamed(row) + ("" if row.until_known else "; until when is not known"),
                position=row.position,
                doubtful=not row.until_known or row.kind == "unknown",
                corrects=self.corrects.get(row.entry, ()),
                entry=row.entry,
                recorded_at=self.recorded.get(row.entry),
            )
            if row.airframe_id is not None:
                named = self.world.reference.registration_on(row.airframe_id, day_of(row.from_moment))
                line = replace(line, registration=named)
            if leg is not None:
                yield _with_leg(self._with_totals(line, row.until_moment), leg)
            else:  # what it ran by the end, before whatever began then
                yield self._with_totals(line, None if row.until_moment is None else row.until_moment - 1)

    def _leg(self, row: PlacementRow) -> CarriageRow | None:
        for leg in self.legs:
            inside = leg.from_moment >= row.from_moment and (
                row.until_moment is None or leg.from_moment < row.until_moment
            )
            if inside and leg.airframe_id == row.airframe_id:
                return leg
        return None

    def carried(self) -> Iterator[StoryLine]:
        """On which airframe an assembly carried it, while it was in a slot of one."""
        shown = [self._leg(row) for row in self.placements if row.kind == "position"]
        for leg in self.legs:
            if leg in shown:
                continue  # the stay says it
            named = self.world.reference.registration_on(leg.airframe_id, day_of(leg.from_moment))
            line = StoryLine(
                since=moment_text(leg.from_moment),
                until=moment_text(leg.until_moment) or None,
                topic="carried",
                text=f"carried by {named}"
                if leg.root_id == self.unit
                else f"carried by {named} in {self._name(leg.root_id)}",
                registration=named,
                doubtful="doubtful" in (leg.from_basis, leg.until_basis),
                entry=leg.entry,
                recorded_at=self.recorded.get(leg.entry),
            )
            yield _with_leg(self._with_totals(line, leg.until_moment), leg)

    def _renamed(self, row: PlacementRow) -> str:
        """The registrations that the airframe took during the stay."""
        if row.airframe_id is None:
            return ""
        begin = day_of(row.from_moment)
        end = self.world.as_of if row.until_moment is None else day_of(row.until_moment)
        told = [
            f"; registered {name} from {day_text(since)}"
            for since, _, name in self.world.reference.registrations.get(row.airframe_id, ())
            if begin < since <= end
        ]
        return "".join(told)

    def _with_totals(self, line: StoryLine, moment: int | None) -> StoryLine:
        """With the unit's own totals since new at the moment; none before the opening statement."""
        if moment is None:
            return line
        hours, cycles = self.since_new(moment)
        return replace(line, hours_since_new=hours, cycles_since_new=cycles)

    def since_new(self, moment: int) -> tuple[str | None, str | None]:
        """Hours and cycles since new at a moment, `~` before what rests on a bound; not known before the opening."""
        count, opening = self.counts.at(moment), self.opening
        sign = "~" if count.estimated or opening.life_quality in ("rebuilt", "estimated") else ""
        minutes, cycles = opening.minutes_since_new, opening.cycles_since_new
        hours = None if minutes is None or count.minutes is None else f"{sign}{hours_text(minutes + count.minutes)}"
        return hours, None if cycles is None or count.cycles is None else f"{sign}{cycles + count.cycles}"

    def movement_of(self, number: int | None, moment: int | None) -> Movement | Transfer | None:
        """The standing movement or transfer of an entry at a moment."""
        for each in self.stated:
            if each.number == number and each.standing == "stands" and isinstance(each.fact, (Movement, Transfer)):
                if moment_of_fact(each.fact) == moment:
                    return each.fact
        return None

    def name(self, unit: int) -> str:
        """A unit's numbers."""
        return self._name(unit)

    # -- holes -------------------------------------------------------------------------------------------------

    def holes(self) -> tuple[Hole, ...]:
        """Gaps, overlaps and unknowns."""
        papers = [
            (each.number, each.fact)
            for each in self.stated
            if each.standing == "stands" and isinstance(each.fact, Certificate) and each.fact.unit == self.unit
        ]
        found: Sequence[FoundHole] = holes_of(self.unit, self.tree, self.legs, papers, as_of=self.world.as_of)
        return tuple(
            Hole(
                kind=hole.kind,
                what=hole.what,
                since=day_text(hole.since),
                until=day_text(hole.until),
                text=hole.text,
                entry=hole.entry,
            )
            for hole in found
        )


def _with_leg(line: StoryLine, leg: CarriageRow) -> StoryLine:
    ended = leg.until_moment is not None
    return replace(
        line,
        totals_from=day_text(day_of(leg.from_moment)) if leg.from_basis == "opening" else None,
        hours_from=hours_text(leg.from_minutes) or None,
        cycles_from=None if leg.from_cycles is None else str(leg.from_cycles),
        basis_from=leg.from_basis,
        hours_until=(hours_text(leg.until_minutes) or None) if ended else None,
        cycles_until=str(leg.until_cycles) if ended and leg.until_cycles is not None else None,
        basis_until=leg.until_basis if ended else "open",
    )


def _why(each: Stated) -> str | None:
    if each.by is None:
        return None
    parts = [each.reason or "reason not stated"]
    if each.authorised_by:
        parts.append(f"authorised by {each.authorised_by}")
    return ", ".join(parts)

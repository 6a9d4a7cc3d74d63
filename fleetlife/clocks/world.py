"""The records under two clocks: as of a day, and as known after an entry.

The stored rows answer now. Units touched by later entries, or by facts dated after the day asked, are derived again
in memory from what was known and true then; all others answer from the stored rows. Cost is what changed since.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from operator import itemgetter
from typing import Any

from fleetlife.clocks.ahead import Ahead, read_ahead
from fleetlife.clocks.as_stored import MOVES, AsStored
from fleetlife.clocks.boundaries import counters_wanted, readings_wanted, settled_boundaries
from fleetlife.clocks.gathered import Gathered, by_unit, gather
from fleetlife.clocks.named import find_unit
from fleetlife.clocks.reached import reached_by_counters, reached_by_readings, reached_by_reference
from fleetlife.clocks.supposed import Suppose, Supposed
from fleetlife.dates.partial import PartialDate, day_number, day_text, parse_partial
from fleetlife.follows.derive import Derived, derive, held_by, passed_on
from fleetlife.follows.history import expansion_of
from fleetlife.follows.place import Contradiction, Recorded
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import (
    DERIVED_TABLES,
    CarriageRow,
    CertificateLineRow,
    DuePointRow,
    PlacementRow,
    UnitStateRow,
)
from fleetlife.follows.states import LONG_PARKED_DAYS, state_on
from fleetlife.follows.totals import Counters, Point, Totals
from fleetlife.ledger.facts import Accomplishment, Fact, Opening, UnitModification, Utilisation
from fleetlife.ledger.publications import NotEmbodied
from fleetlife.life.expansion import ExpansionTest
from fleetlife.life.projection import outlook
from fleetlife.life.values import Outlook, Period
from fleetlife.store import readings as stored_readings
from fleetlife.store import reference as stored_reference
from fleetlife.store.counters import StoredCounters, counter_readings_of, trailing_counters
from fleetlife.store.engine import long_parked_of
from fleetlife.store.facts import LATEST, number_known_at, units_touched_after, units_touched_by_facts_after
from fleetlife.store.facts import entry as entry_of
from fleetlife.store.heads import FirstRead, airframes_touched_after, first_read_since, head_of
from fleetlife.store.installed import units_in, units_on
from fleetlife.store.reach import units_of_parts
from fleetlife.store.rows import read_rows
from fleetlife.store.totals import StoredTotals
from fleetlife.store.trees import plans_known, reference_facts_known, reference_facts_since, trees_of
from fleetlife.terms.many import made_in_bulk
from fleetlife.terms.number import did_you_mean, fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import About

CHUNK = 500
STALE_DAYS = 14
_TABLE_OF = {kind: table for table, kind in DERIVED_TABLES.items()}


@dataclass(slots=True)
class World:
    """One state of the records. `known` is the last entry that counts; `changed` what is derived again for it;
    `later` are the units of which facts of a later day than the one asked are recorded."""

    connection: Any
    as_of: int
    known: int
    known_at: str | None
    head_number: int
    head_digest: str
    reference: Reference
    past: bool
    later: frozenset[int] = frozenset()
    changed: Derived = field(default_factory=Derived)
    changed_units: frozenset[int] = frozenset()
    derived_anew: frozenset[int] = frozenset()
    gathered: Gathered | None = None
    ahead: Ahead | None = None
    supposed: Supposed | None = None
    read_since: Mapping[int, int] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    candidates: dict[tuple[Any, ...], list[Any]] = field(default_factory=dict)  # of the due list, by window
    _outlooks: dict[int, Outlook] = field(default_factory=dict)
    _all_looked_up: bool = False
    _plans: dict[int, tuple[Period, ...]] | None = None
    _totals: StoredTotals | None = None
    _counters: StoredCounters | None = None
    _counter_outlooks: dict[tuple[int, str], Outlook] = field(default_factory=dict)
    _to_come: list[Fact] = field(default_factory=list)
    _installed: dict[int, list[UnitStateRow]] | None = None

    @property
    def long_parked_days(self) -> int:
        """From how many days on parked is long, by the operator's setting."""
        return long_parked_of(self.connection) or LONG_PARKED_DAYS

    # -- rows ----------------------------------------------------------------------------------------------

    def states(self, unit_ids: Iterable[int]) -> dict[int, UnitStateRow]:
        """What the units are, by unit; a unit not yet in the records then is left out."""
        return {row.unit_id: row for row in self._rows(UnitStateRow, unit_ids)}

    def placements(self, unit_ids: Iterable[int]) -> list[PlacementRow]:
        return self._rows(PlacementRow, unit_ids)

    def carriages(self, unit_ids: Iterable[int]) -> list[CarriageRow]:
        return self._rows(CarriageRow, unit_ids)

    def due_points(self, unit_ids: Iterable[int]) -> list[DuePointRow]:
        return self._rows(DuePointRow, unit_ids)

    def certificate_lines(self, unit_ids: Iterable[int]) -> list[CertificateLineRow]:
        return self._rows(CertificateLineRow, unit_ids)

    def _rows(self, kind: type[Any], unit_ids: Iterable[int]) -> list[Any]:
        wanted = list(dict.fromkeys(unit_ids))
        table = _TABLE_OF[kind]
        held = {} if self.gathered is None else self.gathered.rows[table]
        known = frozenset() if self.gathered is None else self.gathered.facts.keys()
        rows: list[Any] = []
        stored: list[int] = []
        for unit in wanted:
            if unit in self.derived_anew:
                rows.extend(self.changed.rows_of(table, unit))
            elif unit in known:
                rows.extend(held.get(unit, ()))
            elif self.ahead is not None and unit in self.ahead.units:
                rows.extend(self.ahead.rows[table].get(unit, ()))
            else:
                stored.append(unit)
        return [*read_rows(self.connection, kind, unit_ids=stored), *rows] if stored else rows

    def gather(self, unit_ids: Iterable[int]) -> Gathered:
        """Read the assemblies of the units whole, once for all that is asked of them in this transaction."""
        self.gathered = gather(self.connection, unit_ids)
        return self.gathered

    def read_ahead(self, unit_ids: Iterable[int]) -> None:
        """Read the units and what they hold together, where the same is going to be asked of each."""
        if not self.past:
            self.ahead = read_ahead(self.connection, self.trees_of(unit_ids).keys() - self.changed_units)

    def take_up_held(self) -> None:
        """The stored rows of what the units derived anew hold, beside theirs."""
        held = self.changed_units - self.derived_anew
        rows = {name: by_unit(read_rows(self.connection, kind, unit_ids=held)) for name, kind in DERIVED_TABLES.items()}
        for unit in held:
            self.changed.put(unit, {name: found.get(unit, ()) for name, found in rows.items()})

    def keep_installed(self, hanging: Iterable[UnitStateRow], airframes: Collection[int] | None) -> None:
        """Keep what hangs at all positions, read already, for every airframe that will be asked about. Of some
        airframes alone nothing is kept: others may be asked about too."""
        if airframes is None:
            self._installed = {}
            for row in sorted(hanging, key=lambda row: row.unit_id):
                self._installed.setdefault(row.airframe_id or 0, []).append(row)

    def installed_on(self, airframe: int) -> list[UnitStateRow]:
        """The units at the positions of the airframe."""
        if self._installed is not None:
            return self._installed.get(airframe, [])
        stored = [row for row in units_on(self.connection, airframe) if row.unit_id not in self.changed_units]
        then = [row for row in self.changed.unit_states.values() if row.airframe_id == airframe]
        return sorted((*stored, *then), key=lambda row: row.unit_id)

    def tree_of(self, unit_id: int) -> dict[int, UnitStateRow]:
        """The unit and everything it holds, itself first, then level by level in the order of slots."""
        return self.trees_of([unit_id])

    def trees_of(self, unit_ids: Iterable[int]) -> dict[int, UnitStateRow]:
        """The units and everything they hold, themselves first; a statement a level, however many they are."""
        tree = self.states(unit_ids)
        level = list(tree)
        while level:
            stored = [row for row in self._held_by(level) if row.unit_id not in self.changed_units]
            then = [row for row in self.changed.unit_states.values() if row.parent_id in level]
            held = sorted((*stored, *then), key=lambda row: (row.parent_id or 0, row.slot or "", row.unit_id))
            fresh = {row.unit_id: row for row in held if row.unit_id not in tree}
            tree.update(fresh)
            level = list(fresh)
        return tree

    def _held_by(self, parents: Collection[int]) -> list[UnitStateRow]:
        """The stored rows of what the parents hold."""
        if self.ahead is not None and self.ahead.answers(parents):
            return [row for parent in parents for row in self.ahead.held.get(parent, ())]
        if self.gathered is None or any(parent not in self.gathered.facts for parent in parents):
            return units_in(self.connection, parents)
        return [row for row in self.gathered.of_table("unit_state") if row.parent_id in parents]

    def unit_named(self, part_number: str, serial_number: str, manufacturer: str | None = None) -> int:
        """The one unit the numbers mean; a spelling corrected since is told among `notes`. Refusals: `unit-unknown`,
        `unit-ambiguous`."""
        unit, note = find_unit(self.connection, part_number, serial_number, manufacturer, known=self.known)
        if note is not None and note not in self.notes:
            self.notes.append(note)
        return unit

    def check_parts(self, part_numbers: Iterable[str]) -> None:
        """Every part number asked for is in the records: a slip must not look like nothing found. Refusal:
        `part-unknown`, with the nearest."""
        for number in part_numbers:
            if fold(number) not in self.reference.parts:
                raise Refusal(
                    "part-unknown",
                    f"No part {number} is in the records." + did_you_mean(fold(number), self.reference.parts),
                    remedy="Correct the number, or state the part first (parts file).",
                )

    def made(self, unit_ids: Iterable[int]) -> tuple[dict[int, PartialDate | None], dict[int, tuple[str, ...]]]:
        """When each unit was made, and the modifications recorded on it by the world's day, in order."""
        dates: dict[int, PartialDate | None] = {}
        embodied: dict[int, list[tuple[str, str]]] = {}
        last = day_text(self.as_of) or ""
        for fact in self.stated_of(list(unit_ids), Opening, UnitModification):
            if isinstance(fact, Opening):
                dates[fact.unit] = parse_partial(fact.manufactured) if fact.manufactured else None
            elif isinstance(fact, UnitModification) and fact.embodied_on <= last:
                held = embodied.setdefault(fact.unit, [])
                if (fact.embodied_on, fact.modification) not in held:
                    held.append((fact.embodied_on, fact.modification))
        return dates, {unit: tuple(name for _, name in sorted(held)) for unit, held in embodied.items()}

    def found_without(self, unit_ids: Iterable[int]) -> dict[int, tuple[str, ...]]:
        """The modifications that each unit was looked at for by the world's day and found without."""
        last = day_text(self.as_of) or ""
        found: dict[int, list[str]] = {}
        for fact in self.stated_of(list(unit_ids), NotEmbodied):
            if isinstance(fact, NotEmbodied) and fact.read_on <= last:
                found.setdefault(fact.unit, []).append(fact.modification)
        return {unit: tuple(sorted(set(names))) for unit, names in found.items()}

    def expansion_tests(self, unit_ids: Iterable[int]) -> dict[int, tuple[tuple[str, ExpansionTest], ...]]:
        """The expansion tests with figures recorded on each unit by the world's day, in order, each with its date."""
        wanted, last = list(unit_ids), day_text(self.as_of) or ""
        found: dict[int, set[tuple[str, ExpansionTest]]] = {}
        for fact in self.stated_of(wanted, Accomplishment):
            test = expansion_of(fact) if isinstance(fact, Accomplishment) else None
            if isinstance(fact, Accomplishment) and test is not None and fact.unit in wanted and fact.done_on <= last:
                found.setdefault(fact.unit, set()).add((fact.done_on, test))
        return {unit: tuple(sorted(tests, key=lambda each: each[0])) for unit, tests in found.items()}

    def stated_of(self, wanted: Sequence[int], *kinds: type[Fact]) -> list[Fact]:
        """What is stated of the units, these kinds at least: as known then, as gathered, or by a statement a kind."""
        to_come = [fact for fact in self._to_come if any(_on(fact, unit) for unit in wanted)]
        if self.past:
            return [*(r.fact for held in self.facts(wanted).values() for r in held), *to_come]
        if self.gathered is not None and all(unit in self.gathered.facts for unit in wanted):
            return [*(r.fact for unit in wanted for r in self.gathered.facts[unit] if _on(r.fact, unit)), *to_come]
        if self.ahead is not None and self.ahead.answers(wanted, kinds):
            return [*self.ahead.stated(wanted, kinds), *to_come]
        return [
            *(f for kind in kinds for _, f in stored_reference.facts_of_units(self.connection, kind, wanted)),
            *to_come,
        ]

    def take_as_recorded(self, facts: Sequence[Fact]) -> tuple[Contradiction, ...]:
        """From here on the world answers as if these facts stood too, which are about to be recorded; what of them
        cannot be. The units they touch are derived again in memory."""
        touched = {unit for fact in facts for unit in fact.unit_ids()}
        held = self.facts(touched)
        for fact in facts:
            for unit in dict.fromkeys(fact.unit_ids()):
                held[unit].append(Recorded(self.head_number + 1, fact))
        derived = derive(held, book=self.reference.book(), totals=self.totals(), counters=self.counters())
        self.changed.take(derived)
        self.derived_anew |= held.keys()
        self.changed_units |= held.keys()
        self._to_come.extend(facts)
        self._installed = None
        self.candidates.clear()
        return derived.problems

    # -- facts and derivations ------------------------------------------------------------------------------

    def facts(self, unit_ids: Iterable[int], *, held_too: bool = True) -> dict[int, list[Recorded]]:
        """The facts of the units and of all they must be derived with, as known and true then; without `held_too` not
        of what they hold."""
        trees = trees_of(self.connection, unit_ids, known=self.known, held_too=held_too)
        if not self.later:
            return trees
        last = day_text(self.as_of) or ""
        return {
            unit: [r for r in facts if (r.fact.dated() or "") <= last] if unit in self.later else facts
            for unit, facts in trees.items()
        }

    def derive(self, unit_ids: Iterable[int]) -> Derived:
        """Everything that follows for the units and their trees, in memory."""
        facts = self.facts(unit_ids)
        return derive(facts, book=self.reference.book(), totals=self.totals(), counters=self.counters())

    def totals(self) -> Totals:
        """Readings as known then, none of a later day."""
        if self._totals is None:
            self._totals = StoredTotals(self.connection, known=self.known, read_since=self.read_since)
        return _Until(self._totals, self.as_of) if self.past else self._totals

    def prefetch(self, wanted: Iterable[tuple[int, int, str]]) -> None:
        """Look up together readings that `totals` will be asked for: airframe, day, before or after it."""
        self.totals()
        assert self._totals is not None
        self._totals.prefetch(wanted)

    def counters(self) -> Counters | None:
        """Readings of counters as known then, none of a later day; None where no requirement names a counter."""
        if not self.reference.book().counters:
            return None
        if self._counters is None:
            self._counters = StoredCounters(self.connection, known=self.known)
        return _CountersUntil(self._counters, self.as_of) if self.past else self._counters

    def counter_outlooks(self, airframe_ids: Iterable[int]) -> dict[tuple[int, str], Outlook]:
        """Base reading and rates of every counter that a requirement names, on the airframes; looked up once.

        Both figures of an outlook are the counter's. Planned utilisation says nothing of counters, so there is no plan.
        """
        counters = sorted(self.reference.book().counters)
        wanted = [(airframe, counter) for airframe in dict.fromkeys(airframe_ids) for counter in counters]
        missing = [key for key in wanted if key not in self._counter_outlooks]
        if missing:
            found = trailing_counters(self.connection, missing, as_of=self.as_of)
            if self.known != LATEST:
                touched = set(airframes_touched_after(self.connection, self.known))
                anew = [key for key in missing if key[0] in touched]
                found |= {key: self._counter_then(*key) for key in anew}
            for (airframe, counter), trailing in found.items():
                self._counter_outlooks[airframe, counter] = outlook(
                    airframe,
                    as_of=self.as_of,
                    base=trailing.base,
                    earlier=trailing.earlier,
                    oldest=trailing.oldest,
                    plan=(),
                )
        return {key: self._counter_outlooks[key] for key in wanted}

    def outlooks(self, airframe_ids: Collection[int] | None = None) -> dict[int, Outlook]:
        """Base reading, rates and plan of every airframe, or of those named; looked up once."""
        if airframe_ids is None:
            if not self._all_looked_up:
                self._look_up(None)
                self._all_looked_up = True
            return self._outlooks
        missing = [airframe for airframe in airframe_ids if airframe not in self._outlooks]
        if missing and not self._all_looked_up:
            self._look_up(missing)
        return {airframe: self._outlooks[airframe] for airframe in airframe_ids if airframe in self._outlooks}

    def _look_up(self, airframe_ids: Collection[int] | None) -> None:
        found = stored_readings.base_and_trailing(self.connection, as_of=self.as_of, airframe_ids=airframe_ids)
        plans = self._plans_of(airframe_ids)
        if self.known != LATEST:
            for airframe in airframes_touched_after(self.connection, self.known):
                if airframe in found:
                    found[airframe] = self._trailing_then(airframe)
        for airframe, trailing in found.items():
            self._outlooks[airframe] = outlook(
                airframe,
                as_of=self.as_of,
                base=trailing.base,
                earlier=trailing.earlier,
                oldest=trailing.oldest,
                plan=plans.get(airframe, ()),
            )

    def _plans_of(self, airframe_ids: Collection[int] | None) -> Mapping[int, tuple[Period, ...]]:
        """The plans of every airframe, read once, or of those named at least."""
        if self._plans is not None:
            return self._plans
        if airframe_ids is not None and self.known == LATEST:
            return self._periods(airframe_ids)
        self._plans = self._periods(None)
        return self._plans

    def _periods(self, airframe_ids: Collection[int] | None) -> dict[int, tuple[Period, ...]]:
        """The recorded plans by airframe, those supposed in the place of theirs."""
        stated: Mapping[int, Sequence[Utilisation]]
        if self.known != LATEST:
            stated = plans_known(self.connection, self.known)
        else:
            supposed = {} if self.supposed is None else self.supposed.plans
            stated = {**stored_reference.utilisation_plans(self.connection, airframe_ids), **supposed}
        return {airframe: tuple(_period(fact) for fact in facts) for airframe, facts in stated.items()}

    def _trailing_then(self, airframe: int) -> stored_readings.Trailing:
        return self._trailing_of(stored_readings.readings_of(self.connection, airframe, known=self.known))

    def _counter_then(self, airframe: int, counter: str) -> stored_readings.Trailing:
        held = counter_readings_of(self.connection, airframe, counter, known=self.known)
        return self._trailing_of({day: (total, total) for day, total in held.items()})

    def _trailing_of(self, held: dict[int, tuple[int, int]]) -> stored_readings.Trailing:
        """What an outlook is formed of, from a whole series as it was known then."""
        points = [(day, *values) for day, values in held.items() if day <= self.as_of]
        if not points:
            return stored_readings.Trailing(base=None, earlier=(), oldest=None)
        base = points[-1]
        earlier = []
        for window in stored_readings.WINDOWS:
            before = [point for point in points if point[0] <= base[0] - window]
            if before:
                earlier.append((window, *before[-1]))
        return stored_readings.Trailing(base=base, earlier=tuple(earlier), oldest=points[0])

    # -- the head of the answer -------------------------------------------------------------------------------

    def about(self, question: str, *, airframes: Collection[int] | None = None) -> About:
        """Clocks, ledger head, editions in force and the oldest base reading, for the head of the answer."""
        # an airframe that was not in the records then has no registration to name it by
        there = self.reference.airframes
        bases = [base for base in self._base_days(airframes) if base[0] in there]
        # the first of those that were read last on the oldest day
        oldest = min([base for base in bases if base[1] is not None], key=_day_of, default=None)
        missing = min((self.registration(airframe) for airframe, day in bases if day is None), default=None)
        return About(
            question=question,
            as_of=day_text(self.as_of) or "",
            known_at=self.known_at,
            ledger_head=self.head_digest,
            ledger_entry=self.head_number,
            editions=self.editions(),
            oldest_reading=None if oldest is None else day_text(oldest[1]),
            oldest_reading_airframe=None if oldest is None else self.registration(oldest[0]),
            rules=(
                *(() if missing is None else (f"{missing} has no reading at all.",)),
                *self._not_yet_in_force(),
            ),
            what_if=() if self.supposed is None else self.supposed.files,
            notes=tuple(self.notes),
        )

    def _base_days(self, airframes: Collection[int] | None) -> list[tuple[int, int | None]]:
        """Each airframe with the day of its last reading by the world's day, in order; of all, where nothing else is
        asked of them, without their rates."""
        if airframes is None and not self._all_looked_up and self.known == LATEST:
            return stored_readings.base_days(self.connection, as_of=self.as_of)
        views = self.outlooks(airframes)
        return [(key, view.base_day) for key, view in views.items() if airframes is None or key in airframes]

    def _not_yet_in_force(self) -> tuple[str, ...]:
        """The supposed editions that take effect after the day asked: nothing of them is in the answer."""
        if self.supposed is None or not self.supposed.rules:
            return ()
        keys = self.supposed.rule_keys
        later = {
            (rule.in_force_from, rule.edition_named)
            for key, rule in self.reference.book().by_key.items()
            if key in keys and rule.in_force_from > self.as_of
        }
        return tuple(
            f"{name} takes effect on {day_text(day)} and is not counted before: fleetlife programme changes."
            for day, name in sorted(later)
        )

    def editions(self) -> tuple[str, ...]:
        """The programme editions in force on the day."""
        names = set()
        for rules in self.reference.book().requirements.values():
            for rule in rules:
                if rule.in_force_from <= self.as_of < rule.in_force_until:
                    names.add(rule.edition_named)
        return tuple(sorted(names))

    def registration(self, airframe: int) -> str:
        return self.reference.registration_on(airframe, self.as_of)

    def openings(self, unit_ids: Iterable[int]) -> dict[int, Opening]:
        """The opening statements of the units, as they stand."""
        return stored_reference.unit_facts(self.connection, list(unit_ids))


def statuses_of(world: World, airframes: Iterable[int]) -> dict[int, str | None]:
    """What each airframe is doing on the world's day, one of words.AIRFRAME_STATES; None where nobody stated it."""
    periods = {airframe: state_on(world.reference, airframe, world.as_of) for airframe in airframes}
    return {airframe: None if period is None else period.state for airframe, period in periods.items()}


def unit_not_then() -> Refusal:
    """Of a unit that was not yet in the records on the day, or at the moment, asked about."""
    return Refusal(
        "unit-not-then",
        "The unit was not in the records then.",
        remedy="Ask for a later day, or leave --known-at out.",
    )


def _period(fact: Utilisation) -> Period:
    return Period(
        from_day=day_number(fact.planned_from),
        to_day=day_number(fact.planned_to),
        minutes_per_day=fact.minutes_per_day,
        millicycles_per_day=fact.millicycles_per_day,
    )


_day_of = itemgetter(1)


def _on(fact: Fact, unit: int) -> bool:
    return getattr(fact, "unit", None) == unit


class _Until:
    """Totals without the readings of later days."""

    def __init__(self, totals: Totals, day: int) -> None:
        self._totals = totals
        self._day = day

    def before(self, airframe_id: int, day: int) -> Point | None:
        return self._totals.before(airframe_id, min(day, self._day))

    def after(self, airframe_id: int, day: int) -> Point | None:
        point = self._totals.after(airframe_id, day)
        return None if point is None or point.day > self._day else point


class _CountersUntil:
    """Counters without the readings of later days."""

    def __init__(self, counters: Counters, day: int) -> None:
        self._counters = counters
        self._day = day

    def of(self, counter: str) -> Totals:
        return _Until(self._counters.of(counter), self._day)


def open_world(
    connection: Any,
    *,
    as_of: date,
    known_at: str | None = None,
    reference: Reference | None = None,
    kept: dict[str, Any] | None = None,
    head: tuple[int, str] | None = None,
    suppose: Suppose | None = None,
) -> World:
    """The state of the records as of a day and, with `known_at`, as known at a moment (UTC, ISO 8601) or entry number.

    `kept` is the store's own, to keep the reference data in; `head` number and digest of the last entry, where read in
    this transaction already. `suppose`: what is supposed beside the records as they stand now; the units of which it
    says something are derived again. Refusals: `moment-not-read`, `entry-not-known`, `nothing-known-then`,
    `what-if-of-then`, those of `suppose`.
    """
    if suppose is not None and known_at is not None:
        raise Refusal(
            "what-if-of-then",
            "A what-if supposes something beside what is known now, not beside what was known then.",
            remedy="Leave out the moment (--known-at), or the files supposed.",
            status=2,
        )
    number, digest = head or head_of(connection)
    known = LATEST
    if known_at is not None:
        known = _entry_at(connection, known_at, last=number)
        if known >= number:
            known = LATEST
        else:
            number, digest = known, entry_of(connection, known).digest if known else "0" * 64
    if known == 0:
        raise Refusal(
            "nothing-known-then",
            f"Nothing was recorded at or before {known_at}.",
            remedy="Ask for a later moment; `fleetlife ledger head` names the last entry.",
        )
    changed = reference_facts_since(connection, known) if known != LATEST else []
    if reference is None:
        if changed:
            reference = Reference(reference_facts_known(connection, known))
        else:
            reference = stored_reference.current_reference(connection, {} if kept is None else kept)
    day = as_of.toordinal()
    later = frozenset(units_touched_by_facts_after(connection, day))
    units = set(later)
    past = bool(units) or known != LATEST
    read = FirstRead({}, {}) if known == LATEST else first_read_since(connection, known)
    otherwise: set[int] | None = None
    if known != LATEST:
        units.update(reached_by_readings(connection, read.flown))
        units.update(reached_by_counters(connection, read.counted))
        units.update(reached_by_reference(connection, [fact for _, fact in changed], reference, airframes_too=True))
        touched = units_touched_after(connection, known)
        if not changed and not reference.book().counters and not stored_readings.read_later(connection, day):
            otherwise = {*units, *(unit for unit, kinds in touched.items() if not kinds <= MOVES)}
        units.update(touched)
    supposed = None if suppose is None else suppose(connection, number)
    if supposed is not None and supposed.reference is not None:
        reference = supposed.reference
        units.update(units_of_parts(connection, supposed.parts))
    world = World(
        connection=connection,
        as_of=day,
        known=known,
        known_at=known_at,
        head_number=number,
        head_digest=digest,
        reference=reference,
        past=past,
        later=later,
        supposed=supposed,
        read_since=read.flown,
    )
    if units:
        with made_in_bulk():
            _derive_changed(world, units, otherwise)
    return world


def _derive_changed(world: World, units: set[int], otherwise: Collection[int] | None) -> None:
    """Derive the units in memory, chunk by chunk, and whatever turns out to need it with them. `otherwise`: of
    `AsStored`; None: nothing that is stored answers of the units."""
    done: set[int] = set()
    left = sorted(units)
    while left:
        chunk, left = [unit for unit in left[:CHUNK] if unit not in done], left[CHUNK:]
        if chunk:
            if world.past:
                derived, below = _derive_then(world, chunk, otherwise)
            else:
                derived, below = _derive_supposed(world, chunk)
            done |= derived
            left += sorted(below - done)
    world.derived_anew = frozenset(done)
    beside = _held_as_now(world, done) if world.past else {}
    world.changed.unit_states.update(beside)
    world.changed_units = world.derived_anew | beside.keys()


def _derive_supposed(world: World, units: Collection[int]) -> tuple[set[int], set[int]]:
    """Derive the units as they are but for what is supposed, with their whole assemblies: nothing is left below."""
    book, totals, counters = world.reference.book(), world.totals(), world.counters()
    held = gather(world.connection, units)
    facts, carriages = held.facts, held.of_table("carriage")
    known = settled_boundaries(carriages)
    if isinstance(totals, StoredTotals):
        totals.prefetch(readings_wanted(facts, known, carriages, bounded=book.compares))
    if isinstance(counters, StoredCounters):
        counters.prefetch(counters_wanted(facts, carriages, book))
    world.changed.take(derive(facts, book=book, totals=totals, known=known, counters=counters))
    return set(facts), set()


def _held_as_now(world: World, derived: Collection[int]) -> dict[int, UnitStateRow]:
    """What the derived units held and was not derived: its rows are those of now, and what is told of its place is told
    of the parent as it was then."""
    found: dict[int, UnitStateRow] = {}
    level: Collection[int] = derived
    while level:
        held = {row.unit_id: row for row in units_in(world.connection, level)}
        level = held.keys() - found.keys() - set(derived)
        found.update((unit, held[unit]) for unit in level)
    return found


def _derive_then(world: World, units: Collection[int], otherwise: Collection[int] | None) -> tuple[set[int], set[int]]:
    """Derive the units as they were then, with those they are derived from; below them those that they held, where what
    these are derived from was otherwise than it is now. Due points that moves since leave alone are taken as stored."""
    book, totals, connection = world.reference.book(), world.totals(), world.connection
    facts = world.facts(units, held_too=False)
    stored = {kind: by_unit(read_rows(connection, kind, unit_ids=facts)) for kind in (PlacementRow, CarriageRow)}
    states = {row.unit_id: row for row in read_rows(connection, UnitStateRow, unit_ids=facts)}
    as_stored, known = None, {}
    if otherwise is not None:
        as_stored = AsStored(
            otherwise=otherwise,
            facts=facts,
            placements=stored[PlacementRow],
            carriages=stored[CarriageRow],
            due_points=by_unit(read_rows(connection, DuePointRow, unit_ids=facts)),
            book=book,
        ).due_points_of
        known = settled_boundaries(
            row
            for rows in stored[CarriageRow].values()
            for row in rows
            if row.unit_id not in otherwise and row.root_id not in otherwise
        )
    if world._totals is not None:
        carriages = [row for rows in stored[CarriageRow].values() for row in rows]
        world._totals.prefetch(readings_wanted(facts, known, carriages, bounded=book.compares))
    derived = derive(facts, book=book, totals=totals, known=known, counters=world.counters(), as_stored=as_stored)
    world.changed.take(derived)
    below: set[int] = set()
    for unit, own in facts.items():
        if held := held_by(own, unit):
            now = passed_on(stored[PlacementRow].get(unit, ()), stored[CarriageRow].get(unit, ()), states.get(unit))
            then = passed_on(
                derived.placements.get(unit, ()), derived.carriages.get(unit, ()), derived.unit_states.get(unit)
            )
            if then != now:
                below.update(held)
    return set(facts), below


def _entry_at(connection: Any, known_at: str, *, last: int) -> int:
    """The last entry recorded at or before the moment; a whole number is an entry's own number, `last` the highest."""
    if known_at.isascii() and known_at.isdigit():
        if int(known_at) > last:
            raise Refusal(
                "entry-not-known",
                f"There is no entry {known_at} yet; the last is {last}.",
                remedy="Give the number of an entry that is there, or a moment (2026-03-01T12:00:00Z) or a day.",
            )
        return int(known_at)
    try:
        moment = datetime.fromisoformat(known_at)
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=UTC)
        moment = moment.astimezone(UTC)
    except (ValueError, OverflowError):
        raise Refusal(
            "moment-not-read",
            f"{known_at!r} is not a moment.",
            remedy="Write it as 2026-03-01T12:00:00Z, as a day, or give the number of an entry.",
            status=2,
        ) from None
    if len(known_at) == 10:
        moment = moment.replace(hour=23, minute=59, second=59, microsecond=999_999)
    return number_known_at(connection, f"{moment.replace(tzinfo=None).isoformat(timespec='microseconds')}Z")

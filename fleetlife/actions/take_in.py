"""`import`: take files in, whole or not at all.

Rows become facts; everything wrong is listed, not the first; what is known already is left as it is and said so;
what contradicts a known fact is refused and pointed to the correction. Then, under the ledger's lock and in one
transaction, entries are appended and everything that follows from them is derived and written.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any

from fleetlife.actions.extensions import unfit_variations
from fleetlife.actions.follow import Impossible
from fleetlife.actions.intake_counters import CounterIntake
from fleetlife.actions.intake_desk import Desk
from fleetlife.actions.intake_readings import ReadingIntake
from fleetlife.actions.intake_reference import REFERENCE_CONVERTERS, check_requirements_stated
from fleetlife.actions.intake_rows import CONVERTERS
from fleetlife.actions.mend import clear_unfiled, correction, unchanged_since
from fleetlife.actions.settle import settle
from fleetlife.actions.showing import recorded_or_shown
from fleetlife.clocks.between import moved_since
from fleetlife.clocks.named import add_spellings, spellings, told
from fleetlife.clocks.naming import Known, UnitIndex
from fleetlife.dates.moment import LAST_SEQUENCE, day_of, end_of_day, moment_of, sequence_of
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.order import ELSEWHERE, Event, Place, order_events, place_of_opening
from fleetlife.follows.reference import Reference
from fleetlife.follows.rows import PlacementRow, place_key
from fleetlife.follows.totals import MemoryCounters
from fleetlife.ledger.entry import Draft, fact_digest, facts_of
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    Fact,
    HoldDecision,
    Movement,
    Opening,
    Operation,
    PlateReading,
    Receipt,
    Transfer,
    UnitModification,
    Variation,
)
from fleetlife.ledger.publications import NotEmbodied
from fleetlife.ledger.swaps import (
    Deferral,
    DeferralClosed,
    GaugeReading,
    PositionWork,
    SwapPlan,
    SwapSignature,
    SwapStep,
)
from fleetlife.life.extensions import Allowance
from fleetlife.store import facts as stored_facts
from fleetlife.store import places as stored_places
from fleetlife.store import reference as stored_reference
from fleetlife.store.engine import Store
from fleetlife.store.swaps import planned_swap
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.many import made_in_bulk
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.problem import MOST_PROBLEMS, Problem, stopped
from fleetlife.transfer.reading import ReadFiles, Row

Progress = Callable[[str, int], None]

# Each of these is an entry of its own; facts of the other kinds that come together share an entry.
ALONE = (
    *(Opening, UnitModification, NotEmbodied, Certificate, Accomplishment, Operation),
    *(PlateReading, Movement, Transfer, Variation, Receipt, HoldDecision),
    *(SwapPlan, SwapStep, PositionWork, GaugeReading, SwapSignature, Deferral, DeferralClosed),
)
# Files whose rows name no unit: for them the units need not be known.
NAME_NO_UNIT = frozenset((*REFERENCE_CONVERTERS, "readings", "counter_readings", "utilisation"))
BLOCK = 500
CHUNK = 10_000


class RowsRefused(Refusal):
    """Rows that cannot be taken; `problems` holds every one. `outcome` says what was not done because of them."""

    def __init__(
        self, problems: Sequence[Problem], *, outcome: str = "nothing was taken in", again: str = "take the files in"
    ) -> None:
        self.outcome = outcome
        self.problems = tuple(sorted(problems, key=lambda p: (p.file, p.line, p.column or "")))
        files = len({problem.file for problem in self.problems})
        super().__init__(
            "rows-refused",
            f"{len(self.problems)} problem{'s' if len(self.problems) != 1 else ''} in "
            f"{files} file{'s' if files != 1 else ''}: {outcome}.",
            remedy=f"Mend the rows listed and {again} again; --problems FILE writes them all to a file.",
        )


@dataclass(slots=True)
class Stated:
    """A fact with the line it came from; `sequenced`: the row stated its sequence; `beside`: it states another too."""

    fact: Fact
    file: str
    line: int
    sequenced: bool = False
    beside: bool = False


@dataclass(slots=True)
class _Counts:
    rows: dict[str, int] = field(default_factory=dict)
    new: dict[str, int] = field(default_factory=dict)
    unchanged: dict[str, int] = field(default_factory=dict)
    replaced: dict[str, int] = field(default_factory=dict)

    def add(self, kind: dict[str, int], file: str, by: int = 1) -> None:
        kind[file] = kind.get(file, 0) + by


@dataclass(frozen=True, slots=True, kw_only=True)
class Replacing:
    """Leave to put right what stands under the keys of the files: why, and who decided it."""

    reason: str
    authorised_by: str


def take_in(
    store: Store,
    files: ReadFiles,
    *,
    recorded_by: str,
    limits: Sequence[Allowance] = (),
    replacing: Replacing | None = None,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
    progress: Progress | None = None,
) -> IntakeReport:
    """Take files in, whole or not at all. `limits`: the operator's table of the most that may be extended.

    `replacing`: a row whose key stands with other content takes its place, all of them together, instead of being
    refused. `moves_on`: the day of which what moves is told. `preview`: nothing is recorded. `head`: the ledger head
    of the preview that was agreed to.

    Refusals: `rows-refused` (a `RowsRefused` with every problem), `recorded-meanwhile`.
    """
    digests = {file.name: file.digest() for file in files.files}

    def work(writer: Writer) -> IntakeReport:
        unchanged_since(writer, head)
        before = writer.head.number
        intake = Intake(writer.connection, files, last_entry=before, replacing=replacing, progress=progress)
        intake.read(files)
        bad = [*files.problems, *intake.desk.problems]
        if not bad:
            intake.sift()
            bad = intake.desk.problems
        if bad:
            raise RowsRefused(bad)
        try:
            entries = intake.write(writer, digests)
        except Impossible as impossible:
            raise RowsRefused(intake.told(impossible)) from impossible
        if unfit := intake.no_variations(limits):
            raise RowsRefused(unfit)
        counts = intake.counts
        return IntakeReport(
            files=tuple(
                (file, counts.rows[file], counts.new.get(file, 0), counts.unchanged.get(file, 0))
                for file in counts.rows
            ),
            replaced=tuple(counts.replaced.items()),
            entries=entries,
            ledger_head=writer.head.digest,
            notes=(*files.notes, *intake.desk.notes_told()),
            moved=moved_since(writer.connection, before, as_of=moves_on) if moves_on is not None else (),
        )

    with made_in_bulk():
        return recorded_or_shown(store, work, recorded_by=recorded_by, preview=preview)


class Intake:
    """Files against the records as they stand after entry `last_entry`. Only `write` needs the lock."""

    def __init__(
        self,
        connection: Any,
        files: ReadFiles,
        *,
        last_entry: int,
        replacing: Replacing | None = None,
        progress: Progress | None = None,
    ) -> None:
        self.connection = connection
        self.replacing = replacing
        self.again: list[Stated] = []  # what takes the place of a fact that stands
        self.last_entry = last_entry
        self.progress = progress or (lambda what, count: None)
        self.known_reference = tuple(stored_reference.reference_facts(connection))
        self.reference = Reference(self.known_reference)
        named = any(file.name not in NAME_NO_UNIT for file in files.files)
        units = [Known(*row) for row in stored_reference.unit_numbers(connection)] if named else []
        self.was_empty = not units
        next_airframe, next_unit = stored_reference.next_ids(connection)
        self.desk = Desk(self.reference, UnitIndex(units), next_airframe=next_airframe, next_unit=next_unit)
        if named:
            for identity, unit_id in stored_reference.unit_identities(connection):
                self.desk.known_units[identity] = unit_id
            self._know_former()
        self.desk.look_up_swap = lambda number: planned_swap(connection, number)
        self.desk.look_up_made = lambda: stored_reference.manufacture_dates(connection)
        self.desk.file_names = {file.name: file.path.name for file in files.files}
        self.drafted: list[Draft] = []
        self.first_number = 0
        self.readings = ReadingIntake(self.desk, connection, replacing=replacing is not None)
        self.counters = CounterIntake(self.desk, connection, replacing=replacing is not None)
        self.stated: list[Stated] = []
        self.counts = _Counts()

    def _know_former(self) -> None:
        """What units were recorded as before a correction: rows still say so."""
        spelt = spellings(self.connection)
        if not spelt:
            return
        now = stored_reference.unit_facts(self.connection, {each.unit for each in spelt})
        standing = [each for each in spelt if each.unit in now]
        add_spellings(self.desk.units, standing)
        self.desk.former = {each.folded: each for each in standing if each.folded not in self.desk.known_units}
        self.desk.former_told = lambda quoted, unit: told(quoted, now[unit], spelt)
        self.desk.stated_before = lambda fact: stored_facts.was_stated(self.connection, fact.key(), fact_digest(fact))

    # -- rows to facts -------------------------------------------------------------------------------------

    def read(self, files: ReadFiles) -> None:
        """Every file in its order; rows that rest on a refused row are told so."""
        count = 0
        for file in files.files:
            waiting: list[Row] = []
            self.counts.rows[file.name] = 0
            for row in file.rows():
                if len(self.desk.problems) >= MOST_PROBLEMS:
                    self.desk.problems.append(stopped(file.path.name, row.line))
                    break
                self.counts.rows[file.name] += 1
                count += 1
                if count % 20_000 == 0:
                    self.progress("reading rows", count)
                if file.name == "readings":
                    self.readings.add(row)
                elif file.name == "counter_readings":
                    self.counters.add(row)
                elif file.name == "units" and row.values.get("parent_part_number"):
                    waiting.append(row)
                else:
                    self._convert(file.name, row)
            # before the children: their parents' rows may be among those that could not be read
            self.desk.remember_faulty(file.name, files.faulty.get(file.name, ()))
            self._units_in_parents(waiting)
            if file.name == "bands" or (file.name == "requirements" and files.file("bands") is None):
                check_requirements_stated(self.desk)

    def _units_in_parents(self, waiting: list[Row]) -> None:
        """Children after their parents, whatever the order in the file."""
        while waiting:
            ready: list[Row] = []
            later: list[Row] = []
            names = {(_fold(r.values["part_number"]), _fold(r.values["serial_number"])) for r in waiting}
            for row in waiting:
                parent = (
                    _fold(row.values.get("parent_part_number")),
                    _fold(row.values.get("parent_serial_number")),
                )
                (later if parent in names else ready).append(row)
            for row in ready or later:
                self._convert("units", row)
            waiting = later if ready else []

    def _convert(self, name: str, row: Row) -> None:
        facts = CONVERTERS[name](self.desk, row, dict(row.values))
        if facts is None:
            return
        for place, fact in enumerate(facts if isinstance(facts, tuple) else (facts,)):
            self._state(name, row, fact, beside=place > 0)

    def _state(self, name: str, row: Row, fact: Fact, *, beside: bool) -> None:
        sequenced = row.values.get("sequence") is not None
        if name in ("movements", "transfers") and not sequenced:
            self.stated.append(Stated(fact, row.file, row.line))
            return
        if self._repeated(fact, row.file, row.line):
            return
        self.stated.append(Stated(fact, row.file, row.line, sequenced, beside))
        self.reference.add(fact, self.last_entry + 1)

    def _repeated(self, fact: Fact, file: str, line: int) -> bool:
        """True when an earlier row of this intake said the same; a row that says otherwise is a problem."""
        key = fact.key()
        earlier = self.desk.seen.get(key)
        if earlier is None:
            self.desk.seen[key] = (file, line, fact)
            return False
        if earlier[2] == fact:
            self.counts.add(self.counts.unchanged, file)
            return True
        self.desk.refuse(
            Row(file=file, line=line, values={}),
            fact.KEY[0] if fact.KEY else "",
            key.split("|", 1)[1],
            f"Line {earlier[1]} of {self.desk.file_names.get(earlier[0], earlier[0])} states the same key otherwise.",
            "Keep the row that is right; where both happened, state their sequence.",
        )
        return True

    # -- against what is known ------------------------------------------------------------------------------

    def sift(self) -> None:
        """Leave out what is known already; refuse what contradicts it; order the day."""
        self._sift_known_events()
        self._order()
        self.sift_known_facts()
        self.readings.replaced_entries = {number for number, _, _ in self._standing(self.again)}
        self.readings.sift(self.counts.unchanged)
        self.counters.sift(self.counts.unchanged)
        moved = [stated for stated in (*self.stated, *self.again) if isinstance(stated.fact, Movement)]
        self.readings.check_stated([(s.fact, s.file, s.line) for s in moved if isinstance(s.fact, Movement)])

    def _standing(self, again: Sequence[Stated]) -> list[tuple[int, int, Stated]]:
        """(entry, item, what takes its place) of what stands under the keys."""
        found = []
        for start in range(0, len(again), CHUNK):
            chunk = again[start : start + CHUNK]
            known = stored_facts.known_facts(self.connection, [stated.fact.key() for stated in chunk])
            for stated in chunk:
                standing = known[stated.fact.key()]
                found.append((standing.number, standing.item, stated))
        return found

    def sift_known_facts(self) -> None:
        """Leave out what was stated before; refuse what a standing fact states otherwise."""
        if not self.last_entry:
            return
        keep: list[Stated] = []
        for start in range(0, len(self.stated), CHUNK):
            chunk = self.stated[start : start + CHUNK]
            ever = stored_facts.facts_ever(self.connection, [stated.fact.key() for stated in chunk])
            for stated in chunk:
                held = ever.get(stated.fact.key(), [])
                said = fact_digest(stated.fact)
                standing = next((one for one in held if one.standing == "stands"), None)
                if standing is not None and standing.digest != said and self.replacing is not None:
                    self.again.append(stated)
                elif any(one.digest == said for one in held):
                    # stated before; if it has been replaced since, it is left so
                    self.counts.add(self.counts.unchanged, stated.file, by=0 if stated.beside else 1)
                elif standing is None:
                    keep.append(stated)
                else:
                    self.desk.refuse(
                        Row(file=stated.file, line=stated.line, values={}),
                        stated.fact.KEY[0] if stated.fact.KEY else "",
                        stated.fact.key().split("|", 1)[1],
                        f"Entry {standing.number} states this key with other content.",
                        f"If the entry is wrong, correct it: fleetlife ledger correct {standing.number}; or take the "
                        "file in with --replace.",
                    )
        self.stated = keep

    def _sift_known_events(self) -> None:
        """Movements and transfers without a sequence that are recorded already, whatever sequence they were given."""
        unordered = [s for s in self.stated if isinstance(s.fact, (Movement, Transfer)) and not s.sequenced]
        if not unordered or not self.last_entry:
            return
        units = {unit for stated in unordered for unit in stated.fact.unit_ids()}
        existing: dict[str, int] = {}
        at_place: dict[tuple[object, ...], list[int]] = {}
        for number, _, fact in stored_facts.facts_touching(self.connection, sorted(units)):
            if isinstance(fact, (Movement, Transfer)):
                existing[_without_order(fact)] = number
                at_place.setdefault(_of_day(fact), []).append(fact.sequence)
        left: list[Stated] = []
        for stated in self.stated:
            known = (
                isinstance(stated.fact, (Movement, Transfer))
                and not stated.sequenced
                and _without_order(stated.fact) in existing
            )
            if known:
                self.counts.add(self.counts.unchanged, stated.file)
                continue
            left.append(stated)
            if self.replacing is None or stated.sequenced or not isinstance(stated.fact, (Movement, Transfer)):
                continue
            # One movement stands at that place on that day: it is the one that the row puts right.
            if len(sequences := at_place.get(_of_day(stated.fact), [])) == 1:
                stated.fact, stated.sequenced = replace(stated.fact, sequence=sequences[0]), True
        self.stated = left

    def _order(self) -> None:
        """Put the movements of a day in the only order that is possible; ask for a sequence where there are more."""
        events: list[tuple[int, Event, bool]] = []
        for index, stated in enumerate(self.stated):
            if isinstance(stated.fact, (Movement, Transfer)):
                events.append((index, stated.fact, stated.sequenced))
        if not events:
            return
        start, taken = self._where_before(events)
        ordered = order_events(events, start=start, taken=taken)
        for group in ordered.ambiguous:
            for index in group:
                stated = self.stated[index]
                self.desk.refuse(
                    Row(file=stated.file, line=stated.line, values={}),
                    "sequence",
                    "",
                    "The order of the day is not clear: two orders are possible and give different results.",
                    "State sequence (1, 2, 3 ...) on every row of this day for the units concerned.",
                )
        for index, event in ordered.events:
            stated = self.stated[index]
            stated.fact = event
            if not stated.sequenced and self._repeated(event, stated.file, stated.line):
                stated.fact = _Dropped()
        self.stated = [stated for stated in self.stated if not isinstance(stated.fact, _Dropped)]

    def _where_before(
        self, events: Sequence[tuple[int, Event, bool]]
    ) -> tuple[dict[int, Place], dict[tuple[str, int], int]]:
        where: dict[int, Place] = {
            stated.fact.unit: place_of_opening(stated.fact)
            for stated in self.stated
            if isinstance(stated.fact, Opening)
        }
        taken: dict[tuple[str, int], int] = {}
        if self.was_empty:
            return where, taken
        first: dict[int, int] = {}
        at_place: dict[int, int] = {}
        for _, event, sequenced in events:
            day = day_number(event.moved_on)
            # without a sequence it comes after what is recorded of its day
            moment = moment_of(day, event.sequence) if sequenced else end_of_day(day)
            for unit in event.unit_ids():
                first[unit] = min(moment, first.get(unit, moment))
            if isinstance(event, Movement):
                place = place_key(event.airframe, event.position, slot=False)
                at_place[place] = min(moment, at_place.get(place, moment))
        rows = stored_places.placements_of(self.connection, sorted(first))
        rows = [*rows, *stored_places.placements_at_places(self.connection, at_place)]
        for row in rows:
            # whoever no row names: was it there when the first row speaks of its place?
            begin = first[row.unit_id] if row.unit_id in first else at_place[row.place_key or 0]
            if row.from_moment < begin and (row.until_moment is None or row.until_moment >= begin):
                where[row.unit_id] = _place_of(row)
            for changed in (row.from_moment, row.until_moment):
                for key in (row.unit_id, row.place_key):
                    if changed is not None and key is not None and sequence_of(changed) != LAST_SEQUENCE:
                        of_day = (day_text(day_of(changed)) or "", key)
                        taken[of_day] = max(taken.get(of_day, 0), sequence_of(changed))
        return where, taken

    # -- writing ---------------------------------------------------------------------------------------------

    def write(self, writer: Writer, file_digests: dict[str, str]) -> int:
        """Append the entries, derive and write what follows; the number of entries."""
        drafts = list(self._drafts(file_digests))
        mended = list(self._replacements(file_digests))
        if not drafts and not mended and not self.readings.any() and not self.counters.any():
            return 0
        before = self.last_entry
        blocks = [*self.readings.drafts(file_digests), *self.counters.drafts(file_digests)]
        early = [draft for draft in drafts if draft.kind in _BEFORE_READINGS]
        late = [draft for draft in drafts if draft.kind not in _BEFORE_READINGS]
        self.progress("recording entries", 0)
        if mended and len(mended) + len(early) + len(blocks) + len(late) > 1:
            mended = [replace(draft, group=f"mending {before + 1}") for draft in mended]
        ordered = [*mended, *early, *blocks, *late]
        self.drafted, self.first_number = ordered, before + 1
        writer.append(ordered, together=bool(mended))
        counted = {(stated.file, stated.line) for stated in self.stated if not stated.beside}
        for stated in self.stated:
            if not stated.beside or (stated.file, stated.line) not in counted:
                self.counts.add(self.counts.new, stated.file)
        self.readings.count(self.counts.new)
        self.counters.count(self.counts.new)
        self.progress("working out what follows", 0)
        # Only then is everything that counts in memory: readings may have been taken in before the first unit.
        from_empty = before == 0
        settle(
            writer,
            ordered,
            first_number=before + 1,
            from_empty=from_empty,
            # anew, because only now every fact has the number of its entry
            reference=stored_reference.load_reference(self.connection),
            readings=self.readings.points() if from_empty else None,
            counters=MemoryCounters(self.counters.points()) if from_empty else None,
            progress=self.progress,
        )
        return writer.head.number - before

    def no_variations(self, limits: Sequence[Allowance]) -> list[Problem]:
        """The variations taken in that extend nothing, or more than the table allows."""
        if self.first_number <= 1:
            return []
        found = unfit_variations(
            self.connection,
            self.drafted,
            first_number=self.first_number,
            reference=stored_reference.load_reference(self.connection),
            limits=limits,
        )
        problems = []
        for number, unfit in found:
            file, line = self._line_of(number)
            problems.append(Problem(file, line, "", "", f"This is no variation: {unfit.message}.", unfit.remedy))
        return problems

    def told(self, impossible: Impossible) -> list[Problem]:
        """Contradictions of the derivation, told by the lines that state them."""
        problems = []
        for problem in impossible.problems:
            number, in_the_way = problem.number, problem.in_the_way
            if number < self.first_number <= in_the_way:
                number, in_the_way = in_the_way, number  # what is recorded stands, and the row is what is refused
            file, line = self._line_of(number)
            way_file, way_line = self._line_of(in_the_way)
            way = f"line {way_line} of {way_file}" if way_line else f"entry {in_the_way}"
            problems.append(
                Problem(file, line, "", "", f"This cannot be: {problem.message} ({way} is in the way).", problem.remedy)
            )
        return problems

    def _replacements(self, file_digests: dict[str, str]) -> Iterator[Draft]:
        """An entry for each entry of which facts are replaced, in the order of those."""
        if self.replacing is None:
            return
        again = [
            *self.again,
            *(Stated(fact, self.readings.file, line) for fact, line in self.readings.restated()),
            *(Stated(fact, self.counters.file, line) for fact, line in self.counters.restated()),
        ]
        by_entry: dict[int, dict[int, Stated]] = {}
        for number, item, stated in self._standing(again):
            by_entry.setdefault(number, {})[item] = stated
            self.counts.add(self.counts.replaced, stated.file)
        for number in sorted(by_entry):
            facts = facts_of(stored_facts.entry(self.connection, number).body)
            new = by_entry[number]
            lines = [stated.line for stated in new.values()]
            clear_unfiled(self.connection, [facts[item] for item in new])
            draft = correction(
                number,
                {item: stated.fact for item, stated in new.items()},
                facts,
                reason=self.replacing.reason,
                authorised_by=self.replacing.authorised_by,
            )
            file = next(iter(new.values())).file
            yield replace(draft, source=_source(file, file_digests, (min(lines), max(lines))))

    def _line_of(self, number: int) -> tuple[str, int]:
        offset = number - self.first_number
        if not 0 <= offset < len(self.drafted):
            return "", 0
        source = self.drafted[offset].source or {}
        file = str(source.get("file", ""))
        return self.desk.file_names.get(file, file), int(source.get("lines", [0])[0])

    def _drafts(self, file_digests: dict[str, str]) -> Iterator[Draft]:
        block: list[Stated] = []
        for stated in self.stated:
            if isinstance(stated.fact, ALONE):
                if block:
                    yield _block(block, file_digests)
                    block = []
                yield Draft(
                    kind=stated.fact.KIND,
                    on=stated.fact.dated(),
                    sequence=getattr(stated.fact, "sequence", None),
                    items=(stated.fact,),
                    source=_source(stated.file, file_digests, (stated.line, stated.line)),
                )
                self.desk.seen.pop(stated.fact.key(), None)
                continue
            if block and (block[0].fact.KIND != stated.fact.KIND or len(block) >= BLOCK):
                yield _block(block, file_digests)
                block = []
            block.append(stated)
        if block:
            yield _block(block, file_digests)


_BEFORE_READINGS = frozenset(
    (
        "airframe_type",
        "position",
        "airframe",
        "registration",
        "airframe_modification",
        "part",
        "slot",
        "eligibility",
        "alternate",
        "intermix",
        "counter",
        "requirement",
        "band",
    )
)


class _Dropped(Fact):
    """Stands for a row that said what another row had said."""

    __slots__ = ()


def _block(block: Sequence[Stated], file_digests: dict[str, str]) -> Draft:
    lines = (block[0].line, block[-1].line)
    return Draft(
        kind=block[0].fact.KIND,
        on=None,
        items=tuple(stated.fact for stated in block),
        source=_source(block[0].file, file_digests, lines),
    )


def _source(file: str, file_digests: dict[str, str], lines: tuple[int, int]) -> dict[str, Any]:
    return {"file": file, "digest": file_digests.get(file, ""), "lines": list(lines)}


def _of_day(fact: Movement | Transfer) -> tuple[object, ...]:
    """The place, or the unit sent, and the day."""
    if isinstance(fact, Movement):
        return (fact.KIND, fact.airframe, fact.position, fact.moved_on)
    return (fact.KIND, fact.unit, fact.moved_on)


def _without_order(fact: Movement | Transfer) -> str:
    body = {k: v for k, v in fact.body().items() if k not in ("sequence", "displaced")}
    return repr((fact.KIND, sorted(body.items(), key=lambda item: item[0])))


def _place_of(row: PlacementRow) -> Place:
    if row.kind == "position" and row.airframe_id is not None and row.position is not None:
        return ("position", row.airframe_id, row.position)
    if row.kind == "slot" and row.parent_id is not None:
        return ("slot", row.parent_id, row.slot or "")
    return ELSEWHERE


def _fold(text: object) -> str:
    return fold(str(text) if text is not None else None)

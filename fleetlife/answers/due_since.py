"""`due --since`: what came into the asked window, went out of it or moved in it since an earlier state of knowledge, an
earlier day, or both; and why."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from fleetlife.answers.due import JudgedInList, airframes_narrowed, judged_in
from fleetlife.clocks.between import refuse_reversed
from fleetlife.clocks.due_rows import Desk, candidate_in, changed_candidates, is_scrapped
from fleetlife.clocks.fitting import check_fitting_day
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_text
from fleetlife.follows.rows import DuePointRow
from fleetlife.ledger.facts import Reading, Utilisation
from fleetlife.store.due_query import DueCandidate, due_candidates
from fleetlife.store.engine import Store
from fleetlife.store.heads import airframes_touched_between, entries_between, units_touched_between
from fleetlife.terms.due_since import CAME, MOVED, SINCE, STOOD, WENT, DueSince, DueSinceRow
from fleetlife.terms.views import DueRow

# A row of the due list, whatever became of it: the unit, the requirement and its programme.
Key = tuple[int, str, str]
Rows = dict[Key, tuple[DueCandidate, DueRow]]
# What of a due point does not move by itself: other figures in one of them are another point.
_OF_THE_POINT = (
    *("standing", "airframe_id", "whichever", "calendar_due", "due_minutes", "due_cycles", "left_minutes"),
    *("left_cycles", "operations_left", "charged", "varied_calendar", "varied_minutes", "varied_cycles"),
    *("variation", "if_fitted_months", "if_fitted_days", "unknown", "counter", "due_counter", "left_counter"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The days asked about; both None: no window (`everything`)."""

    first: date | None = None
    last: date | None = None


def due_since(
    store: Store,
    *,
    as_of: date,
    window: Window,
    moment: str,
    day_then: date,
    window_then: Window,
    everything: bool = False,
    known_at: str | None = None,
    registrations: Collection[str] = (),
    part_numbers: Collection[str] = (),
    requirements: Collection[str] = (),
    told: Mapping[str, Collection[str]] | None = None,
    sources: Collection[str] = (),
    sides: Collection[str] = (),
    fitted_on: date | None = None,
) -> DueSince:
    """The due list of `as_of` and `window` beside that of `day_then` and `window_then` by what was known at `moment`.

    The other arguments narrow both lists, as `due`; `told`: stations, types and operators. Airframes are those that
    answer now. Refusals: `moments-reversed`, those of `answers.due.due`.
    """
    check_fitting_day(fitted_on, as_of=as_of)
    with store.reading() as connection:
        now = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        then = open_world(connection, as_of=day_then, known_at=moment, kept=store.kept)
        refuse_reversed(then, now)
        asked: dict[str, Any] = {
            "everything": everything,
            "airframes": airframes_narrowed(
                now, registrations, told or {}, part_numbers=part_numbers, requirements=requirements
            ),
            "part_numbers": part_numbers,
            "requirements": requirements,
            "sources": sources,
            "sides": sides,
        }
        answer, listed = judged_in(
            now, window_from=window.first, window_until=window.last, fitted_on=fitted_on, **asked
        )
        _, listed_then = judged_in(then, window_from=window_then.first, window_until=window_then.last, **asked)
        # what was known then, of the day asked about now: what lies between it and now is knowledge, the rest is time
        same_day = then if then.as_of == now.as_of else None
        between = same_day or open_world(connection, as_of=as_of, known_at=moment, kept=store.kept)
        held = _Held(then, between, now, window, window_then)
        rows = held.rows(_of_list(listed), _of_list(listed_then))
        return DueSince(
            now=answer,
            moment=moment,
            entry=then.head_number,
            head=then.head_digest,
            as_of=day_then.isoformat(),
            window_from=None if window_then.first is None else window_then.first.isoformat(),
            window_until=None if window_then.last is None else window_then.last.isoformat(),
            rows=tuple(rows),
        )


def _by_key(listed: Iterable[tuple[DueCandidate, DueRow]]) -> Rows:
    return {
        (candidate.point.unit_id, candidate.requirement or "", candidate.programme or ""): (candidate, row)
        for candidate, row in listed
    }


def _of_list(listed: Iterable[JudgedInList]) -> Rows:
    return _by_key((each.candidate, each.row) for each in listed)


class _Held:
    """Two lists held against each other, with the world between them by which time is told from knowledge."""

    def __init__(self, then: World, between: World, now: World, window: Window, window_then: Window) -> None:
        self.then, self.between, self.now = then, between, now
        self.window, self.window_then = window, window_then
        reach = (now.connection, then.head_number, now.head_number)
        self.of_units = units_touched_between(*reach)
        self.of_airframes = airframes_touched_between(*reach)
        self.kinds: dict[int, str] = {}
        self.mending: set[int] = set()
        for line in entries_between(*reach):
            self.kinds[line.number] = line.kind
            body = json.loads(line.body)
            if body.get("replaces") or body.get("withdraws"):
                self.mending.add(line.number)

    def rows(self, listed: Rows, listed_then: Rows) -> list[DueSinceRow]:
        """Every row of either list; what came in first, then what went out, what moved, what stood."""
        unlike = {key for key in listed.keys() | listed_then.keys() if self._unlike(listed, listed_then, key)}
        units = sorted({unit for unit, _, _ in unlike})
        was = _of_units(self.then, units, self.window_then)
        meant = was if self.between is self.then else _of_units(self.between, units, self.window)
        becomes = _of_units(self.now, units, self.window)
        found = []
        for key in [*listed, *(key for key in listed_then if key not in listed)]:
            if key not in unlike:
                found.append(DueSinceRow(since=STOOD, row=listed[key][1], **_then(listed_then[key][1])))
                continue
            since = MOVED if key in listed and key in listed_then else CAME if key in listed else WENT
            old = listed_then.get(key) or was.get(key)
            new = listed.get(key) or becomes.get(key)
            why, entries = self._why(key, old, meant.get(key), new)
            row = (new or old or listed_then[key])[1]
            said = {} if old is None else _then(old[1])
            found.append(DueSinceRow(since=since, row=row, why=" ".join(why), entries=entries, **said))
        return sorted(found, key=lambda each: SINCE.index(each.since))

    def _unlike(self, listed: Rows, listed_then: Rows, key: Key) -> bool:
        if key not in listed or key not in listed_then:
            return True
        return _said(listed[key][1]) != _said(listed_then[key][1])

    # -- why -----------------------------------------------------------------------------------------------

    def _why(
        self,
        key: Key,
        old: tuple[DueCandidate, DueRow] | None,
        meant: tuple[DueCandidate, DueRow] | None,
        new: tuple[DueCandidate, DueRow] | None,
    ) -> tuple[list[str], tuple[int, ...]]:
        """What moved the row, in sentences, and the entries that say so: what is known otherwise, then time."""
        why: list[str] = []
        entries: list[int] = []
        if meant is None or new is None:
            if meant is not new:
                why.append("It is asked for no more." if meant is not None else self._not_asked(key[0]))
                entries = self._named(key[0], meant, new)
        elif _said(meant[1]) != _said(new[1]):
            why, entries = self._learnt(key[0], meant, new)
        mended = [number for number in entries if number in self.mending]
        if mended:
            why.append(f"What stood before was put right by entry {', '.join(map(str, mended))}.")
        passed = self._passed(old, meant, new)
        if passed:
            why.append(passed)
        return why or ["By what is recorded, the same; it is listed by another place or window."], tuple(entries)

    def _not_asked(self, unit: int) -> str:
        if unit not in self.between.states([unit]):
            return "The unit was not in these records then."
        return "It was not asked for by what was known then."

    def _learnt(
        self, unit: int, meant: tuple[DueCandidate, DueRow], new: tuple[DueCandidate, DueRow]
    ) -> tuple[list[str], list[int]]:
        """What is known otherwise of the row on the day asked about, and the entries that say so."""
        why: list[str] = []
        (was, row_was), (becomes, row) = meant, new
        elsewhere = place_of(row_was) != place_of(row)
        if elsewhere:
            why.append(f"It was at {place_of(row_was)} by what was known then, and is at {place_of(row)}.")
        if row_was.last_done != row.last_done and row.last_done is not None:
            why.append(f"Done on {row.last_done}.")
        if row_was.edition != row.edition:
            now, before = row.edition or "none", row_was.edition or "none"
            why.append(f"Its requirement is of edition {now}, then of {before}.")
        if row_was.variation != row.variation:
            why.append(f"Variation {row.variation}." if row.variation else "The variation stands no longer.")
        airframe = becomes.point.airframe_id
        if not elsewhere and _point(was.point) == _point(becomes.point):
            return [*why, *self._flown(airframe, row_was, row)], self._of_airframe(airframe)
        entries = self._named(unit, meant, new)
        return why or ["Its due point is another one."], entries or self._of_airframe(airframe)

    def _flown(self, airframe: int | None, was: DueRow, row: DueRow) -> list[str]:
        """The point is the same and its date is not: the airframe flew, or is planned to fly, otherwise."""
        before, after = was.due_earliest or was.due_date, row.due_earliest or row.due_date
        planned = any(self.kinds.get(number) == Utilisation.KIND for number in self.of_airframes.get(airframe or 0, ()))
        how = "is planned to fly otherwise" if planned else "flew otherwise"
        if before and after and before != after:
            more = "more" if after < before else "less"
            how = f"{'is planned to fly' if planned else 'flew'} {more} than was projected"
        read = f" Read until {row.readings_as_of}, then {was.readings_as_of or 'never'}." if row.readings_as_of else ""
        return [f"The airframe {how}: at the earliest {after or 'no day'}, then {before or 'no day'}.{read}"]

    def _passed(
        self,
        old: tuple[DueCandidate, DueRow] | None,
        meant: tuple[DueCandidate, DueRow] | None,
        new: tuple[DueCandidate, DueRow] | None,
    ) -> str | None:
        """That time alone has passed, and what of it; of what is known otherwise now, what it would have made of it."""
        if self.between is self.then or old is None or meant is None or _said(old[1]) == _said(meant[1]):
            return None
        if old[1].state != meant[1].state and meant[1].state == "overdue":
            if new is None or new[1].state != "overdue":
                return f"By what was known then it would be past its due point on {self.now_day}."
            return f"Time passed: {self.now_day} is past its due point."
        if self.window.last != self.window_then.last and old[1].state != meant[1].state:
            until, then = self.window.last or "no day", self.window_then.last or "no day"
            return f"Time passed: the window reaches until {until}, then until {then}."
        return f"Time passed, from {day_text(self.then.as_of)} to {self.now_day}."

    @property
    def now_day(self) -> str:
        return day_text(self.now.as_of) or ""

    def _named(self, unit: int, *sides: tuple[DueCandidate, DueRow] | None) -> list[int]:
        """The entries between that name the unit, or what it was in on either side."""
        held = [side[0].unit for side in sides if side is not None]
        around = {each for state in held for each in (state.parent_id, state.root_id) if each is not None}
        return sorted({number for each in {unit, *around} for number in self.of_units.get(each, ())})

    def _of_airframe(self, airframe: int | None) -> list[int]:
        """The entries between of what the airframe flew and is planned to fly; those of readings are in no list of
        entries, so that what has no kind is one."""
        numbers = self.of_airframes.get(airframe or 0, ())
        flown = (Reading.KIND, Utilisation.KIND)
        return sorted({n for n in numbers if self.kinds.get(n, Reading.KIND) in flown or n in self.mending})


def _of_units(world: World, units: Sequence[int], window: Window) -> Rows:
    """Every due row of the units in the world, listed or not."""
    if not units:
        return {}
    stored = [unit for unit in units if unit not in world.derived_anew]
    rules = world.reference.book().by_key
    found = due_candidates(world.connection, as_of=world.as_of, unit_ids=stored) if stored else []
    candidates = [
        candidate_in(world, c.unit, c.point, rules.get(c.point.requirement_key))
        if c.point.unit_id in world.changed_units
        else c
        for c in found
    ]
    candidates += changed_candidates(world, units=units)
    desk = Desk(world, world.outlooks())
    desk.prepare(candidates)
    begin = None if window.first is None else window.first.toordinal()
    until = None if window.last is None else window.last.toordinal()
    return _by_key((c, desk.row(c, begin, until)[1]) for c in candidates if not is_scrapped(c))


def _said(row: DueRow) -> tuple[str | None, ...]:
    """What of a row is told again when it changes: state and dates, and where it is."""
    return row.state, row.due_date, row.due_earliest, place_of(row)


def _then(row: DueRow) -> dict[str, Any]:
    return {
        "state_then": row.state,
        "due_date_then": row.due_date,
        "due_earliest_then": row.due_earliest,
        "place_then": place_of(row),
    }


def place_of(row: DueRow) -> str:
    """Where the unit of a row is, in a few words."""
    return f"{row.registration} {row.position or ''}".strip() if row.registration else row.store or "no known place"


def _point(point: DuePointRow) -> tuple[Any, ...]:
    return tuple(getattr(point, name) for name in _OF_THE_POINT)

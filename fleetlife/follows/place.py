"""Stage one, by unit: its stays, from its opening, movements, transfers and what was found.

A contradiction (a unit in two places, time running backwards) is returned as a `Contradiction` value that names
the entry in the way; it is never papered over.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from fleetlife.dates.moment import day_of, end_of_day, moment_of
from fleetlife.dates.partial import day_number
from fleetlife.follows.rows import PlacementRow, place_key
from fleetlife.ledger.facts import Fact, Movement, Opening, Transfer
from fleetlife.terms.filling import changed, filled


@filled
@dataclass(frozen=True, slots=True)
class Recorded:
    """A fact and the entry that states it. number 0: not yet recorded."""

    number: int
    fact: Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """An impossible statement: what is wrong, the entry in the way, the command that makes room."""

    code: str
    message: str
    remedy: str
    unit_id: int
    number: int
    in_the_way: int


@filled
@dataclass(frozen=True, slots=True)
class UnitStays:
    """The stays of one unit in order, and what was impossible."""

    rows: tuple[PlacementRow, ...]
    problems: tuple[Contradiction, ...]
    opened: Recorded | None


def moment_of_fact(fact: Movement | Transfer) -> int:
    return moment_of(day_number(fact.moved_on), fact.sequence)


def stays_of(unit_id: int, facts: Sequence[Recorded]) -> UnitStays:
    """The stays that the facts touching `unit_id` give it. Facts of other units (a parent named) are passed over."""
    opened: Recorded | None = None
    events: list[tuple[int, Recorded]] = []
    for recorded in facts:
        fact = recorded.fact
        if isinstance(fact, Opening):
            if fact.unit == unit_id:
                opened = recorded
        elif isinstance(fact, Movement):
            if unit_id in (fact.removed, fact.installed, fact.displaced):
                events.append((moment_of_fact(fact), recorded))
        elif isinstance(fact, Transfer):
            if fact.unit == unit_id:
                events.append((moment_of_fact(fact), recorded))
    if opened is None:
        return UnitStays((), (), None)
    events.sort(key=lambda item: item[0])
    walk = _Walk(unit_id, opened)
    for moment, recorded in events:
        walk.step(moment, recorded)
    return UnitStays(tuple(walk.rows), tuple(walk.problems), opened)


class _Walk:
    """The walk along one unit's events: the open stay and what has been closed."""

    def __init__(self, unit_id: int, opened: Recorded) -> None:
        fact = opened.fact
        assert isinstance(fact, Opening)
        self.unit_id = unit_id
        self.opening = fact
        self.opening_number = opened.number
        self.opened_at = end_of_day(day_number(fact.as_of))
        start = moment_of(day_number(fact.placed_on)) if fact.placed_on else self.opened_at
        self.rows: list[PlacementRow] = []
        self.problems: list[Contradiction] = []
        key = None
        if fact.place == "position" and fact.airframe is not None and fact.position is not None:
            key = place_key(fact.airframe, fact.position, slot=False)
        elif fact.place == "slot" and fact.parent is not None and fact.slot is not None:
            key = place_key(fact.parent, fact.slot, slot=True)
        self.rows.append(
            PlacementRow(
                unit_id=unit_id,
                from_moment=min(start, self.opened_at),
                until_moment=None,
                kind=fact.place,
                place_key=key,
                airframe_id=fact.airframe,
                position=fact.position,
                parent_id=fact.parent,
                slot=fact.slot,
                place_name=fact.place_name,
                bin=fact.bin,
                condition=fact.condition or "unknown",
                hold=fact.hold,
                harness=fact.harness or "unknown",
                entry=opened.number,
            )
        )

    def step(self, moment: int, recorded: Recorded) -> None:
        current = self.rows[-1]
        fact = recorded.fact
        if moment <= self.opened_at:
            self._refuse(
                "before-opening",
                f"{_on(moment)} is not after the unit's opening statement as of {_on(self.opened_at)}",
                "Correct the opening statement to an earlier day first, or leave this to the paper history.",
                recorded,
                self.opening_number,
            )
            return
        if moment <= current.from_moment:
            self._refuse(
                "same-moment",
                f"two changes of place at the same moment of {_on(moment)}",
                "State --sequence so that the order of the day is known.",
                recorded,
                current.entry,
            )
            return
        if isinstance(fact, Transfer):
            self._transfer(moment, recorded, fact)
        elif isinstance(fact, Movement):
            self._movement(moment, recorded, fact)

    def _transfer(self, moment: int, recorded: Recorded, fact: Transfer) -> None:
        current = self.rows[-1]
        if current.kind == "position":
            self._refuse(
                "still-installed",
                f"the records have it installed at position {current.position} since {_on(current.from_moment)}",
                "Record its removal (swap record with --remove) before this transfer.",
                recorded,
                current.entry,
            )
            return
        to_parent = fact.target == "parent"
        if to_parent and fact.parent == self.unit_id:
            self._refuse("own-parent", "a unit cannot hold itself", "Name another parent.", recorded, current.entry)
            return
        harness = fact.harness or ("unknown" if fact.target == "shop" else current.harness)
        hold = current.hold if fact.hold is None else (None if fact.hold.lower() in _LIFTED else fact.hold)
        key = None
        if to_parent and fact.parent is not None and fact.slot is not None:
            key = place_key(fact.parent, fact.slot, slot=True)
        self._open(
            moment,
            recorded,
            PlacementRow(
                unit_id=self.unit_id,
                from_moment=moment,
                until_moment=None,
                kind="slot" if to_parent else fact.target,
                place_key=key,
                parent_id=fact.parent if to_parent else None,
                slot=fact.slot if to_parent else None,
                place_name=fact.store if fact.target == "store" else fact.organisation,
                bin=fact.bin,
                condition=fact.condition or current.condition,
                hold=hold,
                harness=harness,
                expected_back=day_number(fact.expected_back) if fact.expected_back else None,
                entry=recorded.number,
            ),
        )

    def _movement(self, moment: int, recorded: Recorded, fact: Movement) -> None:
        current = self.rows[-1]
        here = current.kind == "position" and current.airframe_id == fact.airframe and current.position == fact.position
        if fact.removed is not None and fact.removed == fact.installed:
            self._refuse(
                "removed-and-installed",
                "one movement would take the same unit off and fit it",
                "Record a removal and then, as another movement, the refitting.",
                recorded,
                current.entry,
            )
            return
        if fact.removed == self.unit_id:
            if not here and not fact.found:
                self._refuse(
                    "not-at-position",
                    f"the records do not have it at position {fact.position}: {_where(current)}",
                    "If it really hung there, record it with --found; else name the unit the records hold there.",
                    recorded,
                    current.entry,
                )
                return
            if not here:
                # found there: it was at the position for a doubtful time, and left it now. The stay of no length
                # at the position is not kept; the doubtful time is charged by the carriage.
                self.rows[-1] = replace(current, until_known=False)
                current = self.rows[-1]
            to = fact.removed_to or "store"
            self._open(
                moment,
                recorded,
                PlacementRow(
                    unit_id=self.unit_id,
                    from_moment=moment,
                    until_moment=None,
                    kind=to,
                    place_name=fact.removed_to_name or (fact.station if to == "store" else None),
                    condition=fact.removed_condition or "unserviceable",
                    hold=current.hold,
                    harness="unknown" if to == "shop" else current.harness,
                    removal_kind=fact.removal_kind,
                    entry=recorded.number,
                ),
            )
        elif fact.installed == self.unit_id:
            found_here = fact.found and fact.removed is None
            if current.kind in ("position", "slot") and not found_here:
                self._refuse(
                    "installed-elsewhere",
                    f"the records have it {_where(current)}",
                    "Record its removal there first; if it was never there, record what was found with --found.",
                    recorded,
                    current.entry,
                )
                return
            if found_here:
                self.rows[-1] = replace(current, until_known=False)
            self._open(
                moment,
                recorded,
                PlacementRow(
                    unit_id=self.unit_id,
                    from_moment=moment,
                    until_moment=None,
                    kind="position",
                    place_key=place_key(fact.airframe, fact.position, slot=False),
                    airframe_id=fact.airframe,
                    position=fact.position,
                    condition=current.condition,
                    hold=current.hold,
                    harness=fact.harness or current.harness,
                    entry=recorded.number,
                ),
            )
        elif fact.displaced == self.unit_id and here:
            self.rows[-1] = replace(current, until_known=False)
            self._open(
                moment,
                recorded,
                PlacementRow(
                    unit_id=self.unit_id,
                    from_moment=moment,
                    until_moment=None,
                    kind="unknown",
                    condition="unknown",
                    hold=current.hold,
                    harness="unknown",
                    entry=recorded.number,
                ),
            )

    def _open(self, moment: int, recorded: Recorded, row: PlacementRow) -> None:
        self.rows[-1] = changed(self.rows[-1], until_moment=moment, until_entry=recorded.number)
        self.rows.append(row)

    def _refuse(self, code: str, message: str, remedy: str, recorded: Recorded, in_the_way: int) -> None:
        self.problems.append(
            Contradiction(
                code=code,
                message=message,
                remedy=remedy,
                unit_id=self.unit_id,
                number=recorded.number,
                in_the_way=in_the_way,
            )
        )


_LIFTED = ("none", "no", "lifted", "-")


def _on(moment: int) -> str:
    return date.fromordinal(day_of(moment)).isoformat()


def _where(row: PlacementRow) -> str:
    since = f"since {_on(row.from_moment)}"
    if row.kind == "position":
        return f"installed at position {row.position} {since}"
    if row.kind == "slot":
        return f"in slot {row.slot} of an assembly {since}"
    if row.place_name:
        return f"at {row.kind} {row.place_name} {since}"
    return f"at {row.kind} {since}"


def circles(stays: Mapping[int, UnitStays]) -> list[Contradiction]:
    """Units that would hold one another, told by the stay that closes the circle."""
    found: list[Contradiction] = []
    for unit_id, unit in stays.items():
        for row in unit.rows:
            above, number = row.parent_id, 0
            while above is not None and above != unit_id:
                there = _at(stays.get(above), row.from_moment)
                number = max(number, 0 if there is None else there.entry)
                above = None if there is None else there.parent_id
                if above == row.parent_id:
                    above = None  # a circle further up, told of the units that are in it
            if above == unit_id:
                found.append(
                    Contradiction(
                        code="own-parent",
                        message="units would hold one another",
                        remedy="Name another parent.",
                        unit_id=unit_id,
                        number=row.entry,
                        in_the_way=number,
                    )
                )
    return found


def _at(unit: UnitStays | None, moment: int) -> PlacementRow | None:
    if unit is None:
        return None
    for row in unit.rows:
        if row.from_moment <= moment and (row.until_moment is None or row.until_moment > moment):
            return row
    return None


def crowded(rows: Iterable[PlacementRow]) -> list[tuple[PlacementRow, PlacementRow]]:
    """Pairs of stays of two units that overlap at one position or in one slot: two in one place is impossible."""
    by_place: dict[int, list[PlacementRow]] = {}
    for row in rows:
        if row.place_key is not None:
            by_place.setdefault(row.place_key, []).append(row)
    pairs: list[tuple[PlacementRow, PlacementRow]] = []
    for stays in by_place.values():
        if len(stays) < 2:
            continue
        stays.sort(key=lambda row: row.from_moment)
        longest = stays[0]
        for later in stays[1:]:
            if longest.until_moment is None or longest.until_moment > later.from_moment:
                pairs.append((longest, later))
            if longest.until_moment is not None and (
                later.until_moment is None or later.until_moment > longest.until_moment
            ):
                longest = later
    return pairs


def crowding(rows: Sequence[PlacementRow]) -> list[Contradiction]:
    """Two units in one place at one time, told as contradictions."""
    found: list[Contradiction] = []
    for earlier, later in crowded(rows):
        place = f"position {earlier.position}" if earlier.kind == "position" else f"slot {earlier.slot}"
        found.append(
            Contradiction(
                code="place-occupied",
                message=f"two units would be at {place} at the same time",
                remedy="Record the removal of the unit that the records hold there, or what was found with --found.",
                unit_id=later.unit_id,
                number=later.entry,
                in_the_way=earlier.entry,
            )
        )
    return found


def stay_before(rows: Sequence[PlacementRow], moment: int) -> PlacementRow | None:
    """The stay that ended at `moment`, or the one that holds the moment before it."""
    best = None
    for row in rows:
        if row.from_moment < moment and (row.until_moment is None or row.until_moment >= moment):
            best = row
    return best

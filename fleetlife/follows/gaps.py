"""What the records do not say of a unit's life, and what they say twice: named, never left out. Pure.

Its stays tile its life from its manufacture to the day asked, or the time between has a name here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fleetlife.dates.moment import day_of
from fleetlife.dates.partial import day_number, day_text, parse_partial
from fleetlife.follows.carry import not_known_since
from fleetlife.follows.place import UnitStays
from fleetlife.follows.rows import CarriageRow, PlacementRow
from fleetlife.ledger.facts import Certificate, Opening
from fleetlife.terms.filling import filled

# Places of which nobody here knows what a unit runs there.
AWAY = {
    "loan": "It was on loan: what it ran there these records do not say.",
    "unknown": "Where it was is not known, nor what it ran.",
}


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """kind: gap, overlap or unknown. what: where, run, birth, totals, quality, when, paper. Days are ordinal."""

    kind: str
    what: str
    since: int | None
    until: int | None
    text: str
    entry: int | None = None


def holes_of(
    unit_id: int,
    stays: Mapping[int, UnitStays],
    legs: Sequence[CarriageRow],
    papers: Sequence[tuple[int, Certificate]] = (),
    *,
    as_of: int,
) -> tuple[Hole, ...]:
    """Gaps, overlaps and unknowns of the unit up to the day, in order of their beginning.

    `stays`: of the unit and of all that ever held it. `papers`: (entry, certificate) filed against it.
    """
    unit = stays[unit_id]
    assert unit.opened is not None
    opening = unit.opened.fact
    assert isinstance(opening, Opening)
    found = [
        *_before(opening, unit.rows[0], unit.opened.number),
        *_stated(opening, unit.opened.number),
        *_between(unit.rows, as_of),
        *_away(unit_id, stays, as_of),
        *_unheld(unit_id, stays),
        *_boundaries(legs),
        *_papers(legs, papers),
    ]
    return tuple(sorted(dict.fromkeys(found), key=_order))


def _order(hole: Hole) -> tuple[int, int, str, str]:
    return (hole.since or 0, hole.until or 0, hole.what, hole.text)


def _before(opening: Opening, first: PlacementRow, number: int) -> Iterator[Hole]:
    """From its manufacture to the first place that is recorded."""
    begins = day_of(first.from_moment)
    totals = "the totals of the opening statement count what it ran"
    if opening.minutes_since_new is None or opening.cycles_since_new is None:
        totals = "the opening statement does not say all that it ran"
    if opening.manufactured is None:
        yield Hole(
            kind="unknown",
            what="birth",
            since=None,
            until=begins,
            text=f"When it was made is not recorded, nor where it was before {day_text(begins)}; {totals}.",
            entry=number,
        )
        return
    made = parse_partial(opening.manufactured)
    if made.first_day.toordinal() < begins:
        yield Hole(
            kind="gap",
            what="where",
            since=made.first_day.toordinal(),
            until=begins,
            text=f"Where it was from its manufacture ({made.text}) until {day_text(begins)} these records do not say; "
            f"{totals}.",
            entry=number,
        )


def _stated(opening: Opening, number: int) -> Iterator[Hole]:
    """What the opening statement leaves open."""
    day = day_number(opening.as_of)

    def unknown(what: str, text: str) -> Hole:
        return Hole(kind="unknown", what=what, since=day, until=None, text=text, entry=number)

    for name, value in (("hours", opening.minutes_since_new), ("cycles", opening.cycles_since_new)):
        if value is None:
            yield unknown("totals", f"Its {name} since new are not known: the opening statement does not state them.")
    if opening.life_quality in ("rebuilt", "estimated"):
        yield unknown("quality", f"Its life up to {opening.as_of} is {opening.life_quality} and not documented.")
    elif opening.life_quality is None:
        yield unknown("quality", f"How its life up to {opening.as_of} is known (documented, rebuilt) is not stated.")
    if opening.placed_on is None:
        yield unknown("when", f"Since when it was where the opening statement of {opening.as_of} has it is not stated.")


def _between(rows: Sequence[PlacementRow], as_of: int) -> Iterator[Hole]:
    """Time between two stays, stays that overlap, stays that ended nobody knows when."""
    for row, following in zip(rows, [*rows[1:], None], strict=True):
        if row.until_moment is not None and not row.until_known:
            yield Hole(
                kind="unknown",
                what="when",
                since=day_of(row.from_moment),
                until=day_of(row.until_moment),
                text=f"When it left this place is not known: {day_text(day_of(row.until_moment))} at the latest, when "
                "something else was found. The whole doubtful time is charged.",
                entry=row.until_entry,
            )
        if following is None:
            if row.until_moment is not None and day_of(row.until_moment) <= as_of:
                yield _where(row.until_moment, None, row.until_entry)
        elif row.until_moment is None or row.until_moment > following.from_moment:
            yield Hole(
                kind="overlap",
                what="where",
                since=day_of(following.from_moment),
                until=None if row.until_moment is None else day_of(row.until_moment),
                text="The records have it in two places at once.",
                entry=following.entry,
            )
        elif row.until_moment < following.from_moment:
            yield _where(row.until_moment, following.from_moment, following.entry)


def _where(since: int, until: int | None, entry: int | None) -> Hole:
    return Hole(
        kind="gap",
        what="where",
        since=day_of(since),
        until=None if until is None else day_of(until),
        text="Where it was the records do not say.",
        entry=entry,
    )


def _away(unit_id: int, stays: Mapping[int, UnitStays], as_of: int) -> Iterator[Hole]:
    """Times at an unknown place or on loan, of the unit or of what held it."""
    for begin, end, kind, inside, entry in _places(unit_id, stays, frozenset()):
        text = AWAY[kind]
        if inside:
            held = "on loan" if kind == "loan" else "nobody knows where"
            text = f"What held it was {held}: what it ran there these records do not say."
        if day_of(begin) <= as_of:
            what = "where" if kind == "unknown" else "run"
            until = None if end is None else day_of(end)
            yield Hole(kind="gap", what=what, since=day_of(begin), until=until, text=text, entry=entry)


def _places(
    unit_id: int, stays: Mapping[int, UnitStays], above: frozenset[int]
) -> Iterator[tuple[int, int | None, str, bool, int]]:
    """(from, until, kind, in its parent, entry) of the stays at places of which nothing is known."""
    unit = stays.get(unit_id)
    for row in () if unit is None else unit.rows:
        if row.kind in AWAY:
            yield row.from_moment, row.until_moment, row.kind, bool(above), row.entry
        elif row.parent_id is not None and row.parent_id not in above:
            for begin, end, kind, _, entry in _places(row.parent_id, stays, above | {unit_id}):
                start = max(begin, row.from_moment)
                stop = min((each for each in (end, row.until_moment) if each is not None), default=None)
                if stop is None or start < stop:
                    yield start, stop, kind, True, entry


def _unheld(unit_id: int, stays: Mapping[int, UnitStays]) -> Iterator[Hole]:
    """From when nobody knows what it ran: it was in a parent before the records know of that one."""
    moment = not_known_since(unit_id, stays)
    if moment is not None:
        yield Hole(
            kind="unknown",
            what="run",
            since=day_of(moment),
            until=None,
            text="What it ran from then on is not known: it was in an assembly before these records know of that one.",
        )


_BASES = {
    "provisional": "is reckoned, not read: provisional until the reading comes",
    "doubtful": "is charged for the whole doubtful time: another unit was found in its place",
}


def _boundaries(legs: Sequence[CarriageRow]) -> Iterator[Hole]:
    """Ends of carriages whose totals are not known, not yet known, or charged in doubt."""
    for leg in legs:
        ends = (
            ("at its beginning", leg.from_moment, leg.from_minutes, leg.from_cycles, leg.from_basis),
            ("at its end", leg.until_moment, leg.until_minutes, leg.until_cycles, leg.until_basis),
        )
        for end, moment, minutes, cycles, basis in ends:
            if moment is None:
                continue
            missing = [name for name, value in (("hours", minutes), ("cycles", cycles)) if value is None]
            day = day_of(moment)
            if missing:
                text = (
                    f"The airframe's {' and '.join(missing)} {end} ({day_text(day)}) are not known: no reading bounds"
                )
                yield Hole(kind="unknown", what="totals", since=day, until=day, text=f"{text} them.", entry=leg.entry)
            elif basis in _BASES:
                text = f"The airframe's total {end} ({day_text(day)}) {_BASES[basis]}."
                yield Hole(kind="unknown", what="totals", since=day, until=day, text=text, entry=leg.entry)


def _papers(legs: Sequence[CarriageRow], papers: Sequence[tuple[int, Certificate]]) -> Iterator[Hole]:
    """A release dated while an airframe carried the unit: paper and place say two things of one day."""
    for number, paper in papers:
        day = day_number(paper.dated_on)
        for leg in legs:
            until = None if leg.until_moment is None else day_of(leg.until_moment)
            if day_of(leg.from_moment) < day and (until is None or day < until):
                yield Hole(
                    kind="overlap",
                    what="paper",
                    since=day,
                    until=day,
                    text=f"Certificate {paper.tracking_number} of {paper.organisation} is dated {paper.dated_on}, and "
                    f"the records have it on an airframe from {day_text(day_of(leg.from_moment))} until "
                    f"{day_text(until) or 'now'}.",
                    entry=number,
                )

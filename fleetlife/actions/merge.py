"""`identity merge`: two records that are of one unit are made one.

What the one says is stated again for the other, and its opening statement is withdrawn. Where both moved, the one that
goes must begin when the other had made its last move: where it then was is stated as a move of the unit that stays, and
its counts must be those to which the other had come. Nothing of the two is weighed: where they differ in what decides a
life, it is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.actions.follow import impossible
from fleetlife.actions.mend import Mend, Mended, mend
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.named import find_unit
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.carry import ESTIMATED_BASES
from fleetlife.follows.derive import derive
from fleetlife.follows.order import STEP
from fleetlife.follows.place import Recorded
from fleetlife.follows.plates import hold_without_plate
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import UNIT_FIELDS, Accomplishment, Fact, Movement, Opening, Transfer, UnitCounter
from fleetlife.store.counters import StoredCounters
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_touching
from fleetlife.store.heads import head_of
from fleetlife.store.reference import load_reference
from fleetlife.store.rows import read_rows
from fleetlife.store.totals import StoredTotals
from fleetlife.store.trees import trees_of
from fleetlife.terms.measure import hours_text
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal

COUNTS = ("minutes_since_new", "cycles_since_new", "operations_since_new")
# What the record that stays lacks is stated for it; what both state must be the same.
CARRIED = ("manufactured", "cured", "expires", "first_installed", "owner", "return_by", "batch")
MOST_ENTRIES = 10

Stated = tuple[int, int, Fact]


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """The record that is gone and the one that stays, and the mending that made them one."""

    gone: str
    stays: str
    mended: Mended


def merge_units(
    store: Store,
    gone: UnitName,
    stays: UnitName,
    *,
    reason: str,
    authorised_by: str,
    recorded_by: str,
    moves_on: date | None = None,
    preview: bool = False,
    head: str | None = None,
) -> Merged:
    """Make two records one: everything `gone` says is stated again for `stays`, together.

    Refusals: `same-unit`, `histories-overlap` (with the entries), `records-differ` (with what and where),
    `unit-unknown`, `unit-ambiguous`, those of `mend`, and the contradictions of the derivation where the unit that
    stays was not free to go where the other begins.
    """
    with store.reading() as connection:
        number, digest = head_of(connection)
        one = find_unit(connection, gone.part_number, gone.serial_number, gone.manufacturer)[0]
        other = find_unit(connection, stays.part_number, stays.serial_number, stays.manufacturer)[0]
        if one == other:
            raise Refusal("same-unit", "Both are the same unit in these records.", remedy="Name the two records of it.")
        its, others = list(facts_touching(connection, [one])), list(facts_touching(connection, [other]))
        opening, kept = _opening(its, one), _opening(others, other)
        names = _name(opening[2]), _name(kept[2])
        states = {row.unit_id: row for row in read_rows(connection, UnitStateRow, unit_ids=[one, other])}
        moved, others_moved = _moves(its, one), _moves(others, other)
        _refuse_if_counted_back(its, opening, kept)
        came: Fact | None = None
        if not moved:
            _refuse_if_worse(states[one], states[other], names)
        elif not others_moved:
            raise Refusal(
                "histories-overlap",
                f"{names[0]} moved (entries {_listed(moved)}), and {names[1]} never did.",
                remedy=f"Merge the other way round: {names[1]} into {names[0]}.",
            )
        else:
            came = _taken_up(others, other, opening[2])
            if came is None:
                raise _overlap(its, one, others, other, kept[2], names)
            _refuse_if_not_continued(connection, other, came, opening, kept, names, states[other])
        wrong = [*_again(its, others, one, other), *_of_openings(opening, kept, other, counts=came is None)]
    mended = mend(
        store,
        wrong,
        reason=reason,
        authorised_by=authorised_by,
        recorded_by=recorded_by,
        stating=() if came is None else (came,),
        moves_on=moves_on,
        preview=preview,
        # what was looked up must still be so
        head=head or (digest if number else None),
    )
    return Merged(gone=names[0], stays=names[1], mended=mended)


def _opening(stated: Sequence[Stated], unit: int) -> tuple[int, int, Opening]:
    return next((n, item, fact) for n, item, fact in stated if isinstance(fact, Opening) and fact.unit == unit)


def _name(opening: Opening) -> str:
    return f"{opening.part_number} {opening.serial_number}"


def _moves(stated: Sequence[Stated], unit: int) -> list[int]:
    """The entries that change where the unit is."""
    return [
        number
        for number, _, fact in stated
        if (isinstance(fact, Movement) and unit in (fact.removed, fact.installed, fact.displaced))
        or (isinstance(fact, Transfer) and fact.unit == unit)
    ]


def _moved_on(stated: Sequence[Stated], unit: int) -> list[tuple[int, int]]:
    """Day and sequence of each move of the unit."""
    numbers = set(_moves(stated, unit))
    return [
        (day_number(fact.moved_on), fact.sequence)
        for number, _, fact in stated
        if number in numbers and isinstance(fact, (Movement, Transfer))
    ]


def _taken_up(others: Sequence[Stated], other: int, opening: Opening) -> Fact | None:
    """Where the record that goes begins, as a move of the unit that stays; None where that one moved after it."""
    last = max(_moved_on(others, other))
    day = day_number(opening.placed_on or opening.as_of)
    if day < last[0]:
        day = day_number(opening.as_of)
    if day < last[0]:
        return None
    on, sequence = day_text(day) or "", (last[1] if day == last[0] else 0) + STEP
    if opening.place == "position" and opening.airframe is not None and opening.position is not None:
        return Movement(
            airframe=opening.airframe,
            position=opening.position,
            moved_on=on,
            sequence=sequence,
            installed=other,
            harness=opening.harness,
        )
    return Transfer(
        unit=other,
        moved_on=on,
        sequence=sequence,
        target="parent" if opening.place == "slot" else opening.place,
        organisation=opening.place_name if opening.place in ("shop", "loan") else None,
        store=opening.place_name if opening.place == "store" else None,
        bin=opening.bin,
        parent=opening.parent,
        slot=opening.slot,
        condition=opening.condition,
        hold=opening.hold,
        harness=opening.harness,
        reference=opening.source,
    )


def _overlap(
    its: Sequence[Stated], one: int, others: Sequence[Stated], other: int, kept: Opening, names: tuple[str, str]
) -> Refusal:
    """Both moved, and the one that goes does not begin after the other's last move."""
    moved, both = _listed(_moves(its, one)), _listed(_moves(others, other))
    if max(_moved_on(its, one))[0] <= day_number(kept.placed_on or kept.as_of):
        return Refusal(
            "histories-overlap",
            f"{names[1]} begins when {names[0]} had moved (entries {moved}).",
            remedy=f"Merge the other way round: {names[1]} into {names[0]}.",
        )
    return Refusal(
        "histories-overlap",
        f"Both records moved at one time: {names[0]} by entries {moved}, {names[1]} by entries {both}.",
        remedy="Put right what is wrong in one of them first (fleetlife ledger mend), until one begins when the other "
        "had made its last move.",
    )


def _refuse_if_not_continued(
    connection: Any,
    other: int,
    came: Fact,
    gone: Stated,
    kept: Stated,
    names: tuple[str, str],
    state: UnitStateRow,
) -> None:
    """The record that goes must take up where the other had come to: in condition, in hold, and in what was run.

    Refusals: `records-differ`, and what the derivation says of the move.
    """
    opening = gone[2]
    assert isinstance(opening, Opening)
    told = []
    if isinstance(came, Movement):
        # what is fitted keeps its condition and its hold
        told += [
            f"{what} ({theirs or 'none'} and {its or 'none'})"
            for what, its, theirs in (
                ("condition", opening.condition, state.condition),
                ("hold", opening.hold, hold_without_plate(state.hold, state.plate)),
            )
            if (its or theirs) and its != theirs and not (what == "condition" and its is None)
        ]
    for what, said, least, most in _come_to(connection, other, came, opening):
        if said is not None and (least is None or most is None or not least <= said <= most):
            shown = str if what == "cycles" else hours_text
            reached = "not known" if least is None or most is None else shown(least)
            if least is not None and most is not None and most != least:
                reached = f"between {shown(least)} and {shown(most)}"
            told.append(f"{what} since new ({reached} and {shown(said)})")
    if opening.operations_since_new is not None:
        told.append("operations since new (which are not carried from one record to another)")
    if told:
        raise Refusal(
            "records-differ",
            f"When {names[0]} begins, {day_text(day_number(opening.as_of))}, the two records (entries {kept[0]} and "
            f"{gone[0]}) differ in {', '.join(told)}.",
            remedy=f"Record for {names[1]} what is missing between its last move and then, or correct the one that is "
            "wrong (fleetlife ledger correct).",
        )


def _come_to(
    connection: Any, other: int, came: Fact, opening: Opening
) -> Iterator[tuple[str, int | None, int | None, int | None]]:
    """By measure what the record that goes says when it begins, and the least and the most to which the unit that stays
    had come by then; None where that is not known. Refusals: the contradictions of the derivation."""
    facts = trees_of(connection, [other])
    number = head_of(connection)[0] + 1
    day = day_number(opening.as_of)
    facts[other] = [*facts[other], Recorded(number, came)]
    if isinstance(came, Transfer) and came.parent is not None:
        for unit, held in trees_of(connection, [came.parent]).items():
            facts.setdefault(unit, held)
    totals = StoredTotals(connection)
    reference = load_reference(connection)
    derived = derive(facts, book=reference.book(), totals=totals, counters=StoredCounters(connection))
    if derived.problems:
        raise impossible(derived.problems, recorded=number - 1)
    state, carriages = derived.unit_states[other], derived.carriages[other]
    flown = carriages[-1] if carriages and carriages[-1].until_moment is None else None
    estimated = any({row.from_basis, row.until_basis} & set(ESTIMATED_BASES) for row in carriages)
    for what, said, start, place in (
        ("hours", opening.minutes_since_new, state.minutes_since_new, 1),
        ("cycles", opening.cycles_since_new, state.cycles_since_new, 2),
    ):
        # what was estimated on the way was rounded against the unit: less than that may be true, more not
        least = 0 if estimated and start is not None else start
        if flown is None or start is None or least is None:
            yield what, said, least, start
            continue
        began = flown.from_minutes if place == 1 else flown.from_cycles
        before, after = totals.before(flown.airframe_id, day), totals.after(flown.airframe_id, day)
        if began is None or before is None or after is None:
            yield what, said, None, None
        else:
            yield what, said, least + max(before[place] - began, 0), start + max(after[place] - began, 0)


def _refuse_if_counted_back(its: Sequence[Stated], gone: Stated, kept: Stated) -> None:
    """Work told by what was run since counts back from the day of its own opening statement. Refusal:
    `records-differ`."""
    opening, stays = gone[2], kept[2]
    assert isinstance(opening, Opening)
    assert isinstance(stays, Opening)
    if opening.as_of == stays.as_of:
        return
    for number, _, fact in its:
        counted = isinstance(fact, UnitCounter)
        if isinstance(fact, Accomplishment):
            since = (fact.minutes_since, fact.cycles_since, fact.operations_since, fact.counter_since)
            counted = any(each is not None for each in since)
        if counted:
            raise Refusal(
                "records-differ",
                f"What entry {number} counts is counted to {opening.as_of}, the day of the opening statement that "
                f"goes; the record that stays begins on {stays.as_of}.",
                remedy="State the counts since new instead of what was run since (fleetlife ledger correct), or "
                "withdraw them and state them again for the record that stays.",
            )


def _listed(numbers: Sequence[int]) -> str:
    return ", ".join(str(n) for n in numbers[:MOST_ENTRIES]) + (" and more" if len(numbers) > MOST_ENTRIES else "")


def _refuse_if_worse(gone: UnitStateRow, stays: UnitStateRow, names: tuple[str, str]) -> None:
    """A hold or a condition that only the record that goes has would be lost with it."""
    worse = gone.condition in ("unserviceable", "unsalvageable") and gone.condition != stays.condition
    # what a plate reads is stated again, and judged against the numbers of the one that stays
    hold, held = (hold_without_plate(row.hold, row.plate) for row in (gone, stays))
    if worse or (hold and hold != held):
        what = f"on hold ({hold})" if hold else gone.condition
        raise Refusal(
            "records-differ",
            f"{names[0]} is {what} and {names[1]} is not: that would be lost.",
            remedy=f"Record it for {names[1]} first, or lift it where that is decided.",
        )


def _again(its: Sequence[Stated], others: Sequence[Stated], one: int, other: int) -> Iterator[Mend]:
    """Each fact of the one stated for the other; what that says already is withdrawn. Refusal: `records-differ`."""
    held = {fact.key(): (number, fact) for number, place, fact in others if (number, place, fact) not in its}
    for number, item, fact in its:
        if isinstance(fact, Opening) and fact.unit == one:
            continue
        changes: dict[str, Any] = {name: other for name in UNIT_FIELDS if getattr(fact, name, None) == one}
        new = replace(fact, **changes)
        there = held.get(new.key())
        if there is None:
            yield Mend(entry=number, item=item, changes=changes)
        elif there[1] == new:
            yield Mend(entry=number, item=item)
        else:
            raise Refusal(
                "records-differ",
                f"Entries {number} and {there[0]} say something else of the same: {new.KIND.replace('_', ' ')} "
                f"{new.dated() or ''}.".replace(" .", "."),
                remedy="Correct or withdraw the one that is wrong first.",
            )


def _of_openings(
    gone: tuple[int, int, Opening], stays: tuple[int, int, Opening], other: int, *, counts: bool
) -> Iterator[Mend]:
    """The one opening withdrawn, and what only it says stated by the other; of its counts only with `counts`. Refusal:
    `records-differ`."""
    its, kept = gone[2], stays[2]
    counted = [name for name in COUNTS if counts and getattr(its, name) is not None]
    same_day = its.as_of == kept.as_of
    differ = [
        name
        for name in (*CARRIED, *counted)
        if getattr(its, name) is not None
        and (getattr(kept, name) is not None or (name in COUNTS and not same_day))
        and fold(str(getattr(its, name))) != fold(str(getattr(kept, name)))
    ]
    if differ:
        raise Refusal(
            "records-differ",
            f"The opening statements, entries {gone[0]} and {stays[0]}, differ in "
            f"{', '.join(name.replace('minutes', 'hours').replace('_', ' ') for name in differ)}.",
            remedy="Which is right is decided by whoever holds the papers: correct the one that is wrong first "
            "(fleetlife ledger correct).",
        )
    lacking = {
        name: getattr(its, name)
        for name in (*CARRIED, *counted)
        if getattr(its, name) is not None and getattr(kept, name) is None
    }
    if lacking and any(name in COUNTS for name in lacking) and its.life_quality != kept.life_quality:
        lacking["life_quality"] = its.life_quality
    if lacking:
        yield Mend(entry=stays[0], item=stays[1], changes=lacking)
    yield Mend(entry=gone[0], item=gone[1], into=other)

"""`identity merge`: two records that are of one unit are made one.

Only where one of them never moved: what it says beyond its place is stated again for the other, and its opening
statement is withdrawn. Nothing of the two is weighed: where they differ in what decides a life, it is refused.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from fleetlife.actions.mend import Mend, Mended, mend
from fleetlife.actions.swap import UnitName
from fleetlife.clocks.named import find_unit
from fleetlife.follows.plates import hold_without_plate
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import UNIT_FIELDS, Fact, Movement, Opening, Transfer
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_touching
from fleetlife.store.heads import head_of
from fleetlife.store.rows import read_rows
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
    `unit-unknown`, `unit-ambiguous`, and those of `mend`.
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
        _refuse_if_moved(its, one, others, other, names)
        states = {row.unit_id: row for row in read_rows(connection, UnitStateRow, unit_ids=[one, other])}
        _refuse_if_worse(states[one], states[other], names)
        wrong = [*_again(its, others, one, other), *_of_openings(opening, kept, other)]
    mended = mend(
        store,
        wrong,
        reason=reason,
        authorised_by=authorised_by,
        recorded_by=recorded_by,
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


def _refuse_if_moved(
    its: Sequence[Stated], one: int, others: Sequence[Stated], other: int, names: tuple[str, str]
) -> None:
    """A record that moved has a history of places, which is not laid over another's."""
    moved = _moves(its, one)
    if not moved:
        return
    both = _moves(others, other)
    if not both:
        raise Refusal(
            "histories-overlap",
            f"{names[0]} moved (entries {_listed(moved)}), and {names[1]} never did.",
            remedy=f"Merge the other way round: {names[1]} into {names[0]}.",
        )
    raise Refusal(
        "histories-overlap",
        f"Both records moved: {names[0]} by entries {_listed(moved)}, {names[1]} by entries {_listed(both)}.",
        remedy="Put right what is wrong in one of them first (fleetlife ledger mend), until it says nothing of places "
        "but its opening statement.",
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


def _of_openings(gone: tuple[int, int, Opening], stays: tuple[int, int, Opening], other: int) -> Iterator[Mend]:
    """The one opening withdrawn, and what only it says stated by the other. Refusal: `records-differ`."""
    its, kept = gone[2], stays[2]
    counts = [name for name in COUNTS if getattr(its, name) is not None]
    same_day = its.as_of == kept.as_of
    differ = [
        name
        for name in (*CARRIED, *counts)
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
        for name in (*CARRIED, *counts)
        if getattr(its, name) is not None and getattr(kept, name) is None
    }
    if lacking and any(name in COUNTS for name in lacking) and its.life_quality != kept.life_quality:
        lacking["life_quality"] = its.life_quality
    if lacking:
        yield Mend(entry=stays[0], item=stays[1], changes=lacking)
    yield Mend(entry=gone[0], item=gone[1], into=other)

"""Identity: two units that may be one, and a unit whose data plate is not what is recorded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import combinations

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import Placed, PlateRow
from fleetlife.paper.agreement import SAME_NUMBER, compare_numbers, look_alike_key
from fleetlife.terms.finding import Finding
from fleetlife.terms.number import fold

NEAR = (*SAME_NUMBER, "leading-zeros", "look-alike")


def identity_key(part_number: str, serial_number: str) -> tuple[str, str]:
    """Two units whose keys are equal may differ by look-alikes only. Leading zeros do not count either."""
    return _part_key(part_number), look_alike_key(serial_number).lstrip("0")


# A fleet has few part numbers and many serials.
_part_key = lru_cache(maxsize=4_096)(look_alike_key)


@check(
    "IDN101",
    "look-alike-identity",
    "rectify",
    rules=("14 CFR 43.10(c)",),
)
def look_alike_identity(groups: Iterable[Sequence[Placed]]) -> Iterator[Finding]:
    """Two units in the records differ in characters that look alike, in separators or in leading zeros only.

    Why it matters: it is probably one unit that was taken in twice, with half its history and half its papers under
    each.

    Triggers: SL-100-1 serial 0101 and SL-100-1 serial O101 with the letter; SL-100-1 serial 0815 and serial 815,
    which a workbook turned into a number.

    Does not: serials 0101 and 0102; the same two numbers where both makers are stated and differ, which are two units.

    What to do: look at both data plates. If it is one unit, make the two records one with `fleetlife identity merge`;
    if they are two, waive this.

    What it cannot see: two units whose numbers differ otherwise and are one, and one number that is on two plates.
    """
    for group in groups:
        for one, other in combinations(sorted(group, key=lambda unit: unit.state.unit_id), 2):
            if _may_be_one(one, other):
                yield _found(one, other)


@check("IDN102", "plate-differs", "stop", rules=("14 CFR 43.10(c)",), waivable=False)
def plate_differs(rows: Iterable[PlateRow]) -> Iterator[Finding]:
    """Somebody read a unit's data plate, and it is not what the record says.

    Why it matters: either the record, its papers and its life are of another unit, or the plate was misread; until
    that is answered nobody knows what hangs there. The unit is on hold, which stops a fitting.

    Triggers: the record says 20110, and the plate was read as 20011.

    Does not: a difference in separators or in upper and lower case alone; a plate that was read again since and
    reads what is recorded; a record that was corrected to what the plate reads.

    What to do: look at the plate again. If the record is wrong, put it right with `fleetlife identity correct`; if the
    plate was misread, say so with `fleetlife identity plate-agrees`. Not waivable: the answer is what clears it.

    What it cannot see: plates that nobody has read, and a plate that is not the unit's own.
    """
    for row in rows:
        reading, plate = row.reading, f"{row.reading.part_number} {row.reading.serial_number}"
        told = f", {reading.reference}" if reading.reference else ""
        yield finding(
            "IDN102",
            message=f"The data plate reads {plate}, seen by {reading.seen_by} on {reading.read_on}{told}; recorded is "
            f"{row.unit.name}.",
            hint=f"Look again: fleetlife identity correct, or plate-agrees, {row.unit.name}",
            expected=row.unit.name,
            found=plate,
            evidence=(
                Evidence(source=f"data plate, read on {reading.read_on}", says=plate, entry=row.entry),
                Evidence(source="recorded", says=row.unit.name, entry=row.unit.entry),
            ),
            **row.unit.address(),
        )


def _may_be_one(one: Placed, other: Placed) -> bool:
    if one.state.unit_id == other.state.unit_id:
        return False
    makers = (fold(one.state.manufacturer), fold(other.state.manufacturer))
    if all(makers) and makers[0] != makers[1]:
        return False
    part = compare_numbers(other.state.part_number, one.state.part_number, kind="part").verdict
    serial = compare_numbers(other.state.serial_number, one.state.serial_number, kind="serial").verdict
    return part in NEAR and serial in NEAR


def _where(unit: Placed) -> str:
    state = unit.state
    if unit.registration:
        return f"on {unit.registration} {unit.position or ''}".rstrip()
    if state.kind == "slot":
        return f"in slot {state.slot} of an assembly"
    return f"at {state.kind}{' ' + state.place_name if state.place_name else ''}"


def _found(one: Placed, other: Placed) -> Finding:
    return finding(
        "IDN101",
        regards=regards(one.state.unit_id),
        message=f"{other.name} ({_where(other)}) and {one.name} ({_where(one)}) differ by characters that look alike, "
        "separators or leading zeros only.",
        hint=f"Look at both data plates; {one.command} and {other.command}",
        expected="two numbers that cannot be taken for one another",
        found=f"{one.name} and {other.name}",
        evidence=(
            Evidence(source=f"unit {_where(one)}", says=one.name, entry=one.entry),
            Evidence(source=f"unit {_where(other)}", says=other.name, entry=other.entry),
        ),
        **other.address(),
    )


def look_alike_pattern(serial_number: str) -> str:
    """A LIKE pattern that a look-alike serial fits, separators and leading zeros left out on both sides.

    Only digits that nothing looks like stand for themselves: more fits than is a look-alike, and the check judges.
    """
    bare = "".join(character for character in fold(serial_number) if character not in "-/.").lstrip("0OQ")
    return "".join(character if character in "3479" else "_" for character in bare)

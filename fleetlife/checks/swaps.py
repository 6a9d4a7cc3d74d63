"""Work at doors: devices that are still in, swaps that nobody released, what left with the unit, who signed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from fleetlife.checks.register import Evidence, check, finding, regards
from fleetlife.checks.rows import LeftRow, SwapRow
from fleetlife.terms.finding import Finding

OF_DOORS = ("SWP101", "SWP102", "SWP103", "SWP104", "SWP105", "SWP106", "SWP107", "SWP108")


@check("SWP101", "safety-device-still-in", "stop", rules=("145.A.48(a)",), waivable=False)
def safety_device_still_in(rows: Iterable[LeftRow]) -> Iterator[Finding]:
    """A safety device was placed at a position, and nobody recorded that it was taken out.

    Why it matters: a pin that makes the work safe keeps the slide from working in an emergency. Every pin put in is
    taken out before the door is released.

    Triggers: an inflation pin placed at L1 for a swap, and no entry that it was removed.

    Does not: a device that was placed and removed; one said to be not used.

    What to do: look at the door. What was taken out is entered with `fleetlife swap enter`; a swap that is over is put
    right by its entry (`fleetlife ledger correct`). Not waivable: the door is not released with a device in.

    What it cannot see: a device that nobody recorded, and the door itself.
    """
    for row in rows:
        if row.work.category == "device" and row.work.outcome == "placed":
            yield _left(
                "SWP101",
                row,
                message=f"{row.work.item} was placed at {row.position} on {row.work.worked_on} by "
                f"{row.work.signed_by}{_for(row)}, and is not recorded as removed.",
                expected="removed",
                found="placed",
            )


@check("SWP102", "lock-not-remade", "stop", rules=("145.A.48(a)",), waivable=False)
def lock_not_remade(rows: Iterable[LeftRow]) -> Iterator[Finding]:
    """A lock or seal at a position was broken for the work, and nobody recorded that it was made again.

    Why it matters: what holds a cover or a linkage in place has to hold it when the door is closed on it.

    Triggers: a seal wire broken at R1 for a swap, and no entry that it was remade.

    Does not: a lock that was broken and remade; one said to be not broken.

    What to do: look at the door, and enter what was done with `fleetlife swap enter`. Not waivable.

    What it cannot see: a lock that nobody recorded, and whether it was made as the approved data asks.
    """
    for row in rows:
        if row.work.category == "lock" and row.work.outcome == "broken":
            yield _left(
                "SWP102",
                row,
                message=f"{row.work.item} at {row.position} was broken on {row.work.worked_on} by "
                f"{row.work.signed_by}{_for(row)}, and is not recorded as remade.",
                expected="remade",
                found="broken",
            )


@check("SWP104", "retained-item-gone", "stop", waivable=False)
def retained_item_gone(rows: Iterable[LeftRow]) -> Iterator[Finding]:
    """Something that belongs to the aircraft left with the unit that came off, or was not found.

    Why it matters: the girt bar is the aircraft's. If it goes to the shop inside the old pack, the new one hangs on
    nothing.

    Triggers: a swap at L2 for which the girt bar was entered as left with the old unit, or as not found.

    Does not: an item entered as staying with the aircraft. One that nobody accounted for keeps the swap from being
    released, and is told with it (SWP103).

    What to do: find it, and enter that it is with the aircraft: `fleetlife swap enter`. Not waivable.

    What it cannot see: an item that no position states (file positions, column retained).
    """
    for row in rows:
        if row.work.category == "retained" and row.work.outcome in ("left", "not_found"):
            how = "left with the unit that came off" if row.work.outcome == "left" else "was not found"
            yield _left(
                "SWP104",
                row,
                message=f"{row.work.item} of {row.position} {how}, entered {row.work.worked_on} by "
                f"{row.work.signed_by}{_for(row)}.",
                expected="stays with the aircraft",
                found=how,
            )


@check("SWP103", "swap-not-released", "stop", rules=("145.A.48(a)",), waivable=False)
def swap_not_released(rows: Iterable[SwapRow]) -> Iterator[Finding]:
    """A unit was changed under a planned swap, and nobody recorded that the door was released.

    Why it matters: between the change and the release lie the devices, tests and signatures that show that the slide
    works.

    Triggers: the movement of a swap is recorded, and no signature released it.

    Does not: a swap that is planned, checked or begun; one that is released; a movement that names no planned swap.

    What to do: `fleetlife swap show SWAP` lists what is open; `fleetlife swap release` records the release.

    What it cannot see: a release that stands in the technical log alone.
    """
    for row in rows:
        if row.state != "done":
            continue
        still = f"{len(row.open)} points are open" if len(row.open) > 1 else "one point is open"
        yield _swap(
            "SWP103",
            row,
            message=f"The unit at {row.position} was changed on {row.done_on} under swap {row.swap}, and the door is "
            f"not released: {still if row.open else 'nothing is open but the release'}.",
            hint=f"fleetlife swap show {row.swap}",
            expected="a release",
            found="none",
            says=f"done {row.done_on}",
        )


@check("SWP105", "released-with-something-open", "stop", rules=("145.A.48(a)",), waivable=False)
def released_with_something_open(rows: Iterable[SwapRow]) -> Iterator[Finding]:
    """A door was released, and by these records something of its swap was not settled.

    Why it matters: a release says that everything was done. Taken in from a file, or after something was put right,
    the records may say otherwise.

    Triggers: a release taken in from a file while a test of the swap never passed; a test withdrawn after the release;
    an inspection by the person who did the work, without an exception.

    Does not: a release with everything accounted for; something that the data began to ask for after the release.

    What to do: look at the door and at the paper; what was done and not entered is taken in (`fleetlife import`), what
    is wrong is put right by its entry (`fleetlife ledger correct`). Not waivable.

    What it cannot see: what no data asks for (file release_items).
    """
    for row in rows:
        if row.state != "released" or not row.open:
            continue
        yield _swap(
            "SWP105",
            row,
            message=f"{row.position} was released on {row.released_on} under swap {row.swap} by {row.released_by}, and "
            f"by these records {len(row.open)} of its points {'were' if len(row.open) > 1 else 'was'} open.",
            hint=f"fleetlife swap show {row.swap}",
            expected="everything settled",
            found=f"{len(row.open)} open",
            says=f"released {row.released_on} by {row.released_by}",
        )


@check("SWP106", "released-outside-authorisation", "stop", waivable=False)
def released_outside_authorisation(rows: Iterable[SwapRow]) -> Iterator[Finding]:
    """A door was released by somebody who, by these records, was not authorised to release it on that day.

    Why it matters: a release by a person without the authorisation is none.

    Triggers: a release signed by a person whose authorisation had ended, or is for another type, or is not in the
    records.

    Does not: a release within the authorisation; one whose authorisation was taken in later, for that day.

    What to do: take in the authorisation that was held (`fleetlife import`, file authorisations), or have the door
    released anew. Who performed or inspected outside an authorisation is told with SWP105. Not waivable.

    What it cannot see: whether what is stated in the authorisations is right.
    """
    for row in rows:
        if row.state == "released" and row.release_refused:
            yield _swap(
                "SWP106",
                row,
                message=f"{row.position} was released on {row.released_on} under swap {row.swap} by {row.released_by}: "
                f"{row.release_refused}.",
                hint=f"fleetlife import authorisations.csv, or release it anew; fleetlife swap show {row.swap}",
                expected="an authorisation for that day",
                found=row.release_refused,
                says=f"released {row.released_on} by {row.released_by}",
            )


@check("SWP107", "own-work-inspected", "note", rules=("145.A.48 reinspection",))
def own_work_inspected(rows: Iterable[SwapRow]) -> Iterator[Finding]:
    """The one who did the work inspected it as well, under the published exception.

    Why it matters: a second pair of eyes is asked for where an error would not show itself. The exception is for the
    unforeseen absence of a second person, and the details are recorded before the release.

    Triggers: an inspection signed by the performer with the reason why no second person could.

    Does not: an inspection by another person; one by the performer without a reason, which is refused, or told with
    SWP105.

    What to do: see whether it happens often, and where: `fleetlife audit --code SWP107`. It may be waived.

    What it cannot see: whether a second person really was absent.
    """
    for row in rows:
        for by, on, why, entry in row.exceptions:
            yield _swap(
                "SWP107",
                row,
                message=f"{by} performed the work of swap {row.swap} at {row.position} and inspected it {on}: {why}.",
                hint=f"fleetlife swap show {row.swap}",
                expected="another person",
                found=by,
                says=f"inspected {on} by {by}: {why}",
                entry=entry,
                about=on,
            )


@check("SWP108", "gauge-outside-its-band", "stop", waivable=False)
def gauge_outside_its_band(rows: Iterable[SwapRow]) -> Iterator[Finding]:
    """What a gauge showed at a swap is below or above what the part's own table allows at that temperature.

    Why it matters: a reservoir that is low does not inflate its slide.

    Triggers: 2700 psi at 21 °C, and the table allows 2900 to 3200 there.

    Does not: a reading inside the band, on the line between two temperatures of the table; one that nothing can be
    said of, because the temperature is outside the table or the part has none, which keeps the door from being
    released and is told with SWP103 or SWP105.

    What to do: the reading stands. The unit is looked at by the current approved data, and read again:
    `fleetlife swap gauge`. Not waivable.

    What it cannot see: whether gauge and thermometer are right.
    """
    for row in rows:
        for item, told, entry in row.gauges_wrong:
            yield _swap(
                "SWP108",
                row,
                message=f"{told} (swap {row.swap} at {row.position}).",
                hint=f"Read it again: fleetlife swap gauge {row.swap}",
                expected="within its table",
                found=told,
                says=told,
                entry=entry,
                about=item,
            )


def _for(row: LeftRow) -> str:
    return f" for swap {row.work.swap}" if row.work.swap else ""


def _left(code: str, row: LeftRow, **told: Any) -> Finding:
    swap = row.work.swap
    hint = f'fleetlife swap enter {swap} "{row.work.item}"' if swap else "fleetlife import position_work.csv"
    return finding(
        code,
        regards=regards(row.work.item),
        hint=f"Look at the door; what was done: {hint}",
        registration=row.registration,
        position=row.position,
        airframe=row.work.airframe,
        evidence=(
            Evidence(source=f"{row.work.item} at {row.position}", says=str(told["found"]), entry=row.entry),
            Evidence(source="signed by", says=row.work.signed_by),
        ),
        **told,
    )


def _swap(
    code: str, row: SwapRow, *, says: str, entry: int | None = None, about: str | None = None, **told: Any
) -> Finding:
    return finding(
        code,
        regards=regards(row.swap, about),
        registration=row.registration,
        position=row.position,
        airframe=row.airframe,
        evidence=(
            Evidence(source=f"swap {row.swap}", says=says, entry=entry or row.last_entry),
            Evidence(source=f"swap {row.swap} planned", says=f"for {row.registration} {row.position}", entry=row.entry),
            *(Evidence(source="open", says=point.rstrip(".")) for point in row.open if code in ("SWP103", "SWP105")),
        ),
        **told,
    )

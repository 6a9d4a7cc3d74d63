"""The derived rows: what the tables of derived state hold, one frozen value a row.

Field names equal the column names of the tables in `model/`. Days are ordinal day numbers, moments integers
(dates/moment.py), hours minutes.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache

from fleetlife.terms.filling import filled
from fleetlife.terms.number import fold


@lru_cache(maxsize=65_536)
def place_key(owner: int, place: str, *, slot: bool) -> int:
    """A natural key for a position of an airframe or a slot of a parent, as one positive 62-bit integer.

    Deterministic, so that a rebuild gives the same keys; two places share one with a probability below
    1 in 10^7 at a million places, and then a guard refuses rather than confuses.
    """
    text = f"{'slot' if slot else 'position'}/{owner}/{place}"
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") >> 2


@lru_cache(maxsize=65_536)
def requirement_key(requirement: str, part_number: str, programme: str | None, edition: str | None) -> int:
    """A natural key for one edition of a requirement as one positive 62-bit integer. The part number is folded."""
    text = "/".join(("requirement", requirement, fold(part_number), programme or "", edition or ""))
    return int.from_bytes(hashlib.sha256(text.encode()).digest()[:8], "big") >> 2


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class PlacementRow:
    """A stay of a unit at one place. `kind` is one of words.PLACE_KINDS.

    `place_key` is set for positions and slots only. `until_known` False: the stay ended at an unknown time
    before until_moment (another unit was found in its place). `entry`/`until_entry` are provenance.
    `condition`, `hold`, `harness` are as stated when the stay began.
    """

    unit_id: int
    from_moment: int
    until_moment: int | None
    kind: str
    place_key: int | None = None
    airframe_id: int | None = None
    position: str | None = None
    parent_id: int | None = None
    slot: str | None = None
    place_name: str | None = None
    bin: str | None = None
    condition: str | None = None
    hold: str | None = None
    harness: str | None = None
    removal_kind: str | None = None
    expected_back: int | None = None
    until_known: bool = True
    entry: int = 0
    until_entry: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class CarriageRow:
    """A time during which an airframe carried a unit, in itself or in its parent.

    `root_id` is the unit on the position.

    Totals are the airframe's; None = no reading to bound them by. Basis: stated, bounded, provisional,
    opening, doubtful (another unit was found: the whole doubtful time is charged) or open (still on).
    """

    unit_id: int
    from_moment: int
    until_moment: int | None
    airframe_id: int
    root_id: int
    from_minutes: int | None
    from_cycles: int | None
    until_minutes: int | None
    until_cycles: int | None
    from_basis: str
    until_basis: str
    entry: int = 0


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class DuePointRow:
    """When one edition of one requirement falls due on one unit. Independent of today.

    standing: known, waiting, unknown, complete (done once, or on_condition stated), no_programme
    (requirement_key 0: no requirement in force in [in_force_from, in_force_until)).
    calendar_due: last day allowed. due_minutes/due_cycles: airframe totals at which it falls due, while carried
    by airframe_id. left_*: what is left when not carried. varied_*: the same under a permitted variation.
    gate: any (whichever first), else for whichever last the measure with the latest date when written.
    passed: 1 when something that is neither the calendar nor an airframe total is passed (a unit not carried
    with less than nothing left, or operations below 0). charged: 1 = at_due no-refill holds (filled before the
    due date, no filling since, history known). unknown: JSON list of {"measure", "cause"}.
    if_fitted_months/days: interval that would start at fitting (waiting or shelf allowance running).
    estimated: 1 when a boundary or count in it is bounded, provisional or rebuilt.
    counter: the counter that the requirement names. due_counter, left_counter and varied_counter are of it, and then
    the axis it stands for has nothing: a total of a counter is never in a column of flight totals.
    """

    unit_id: int
    requirement_key: int
    in_force_from: int
    in_force_until: int
    standing: str
    airframe_id: int | None = None
    whichever: str = "first"
    gate: str = "any"
    calendar_due: int | None = None
    due_minutes: int | None = None
    due_cycles: int | None = None
    left_minutes: int | None = None
    left_cycles: int | None = None
    operations_left: int | None = None
    passed: int = 0
    charged: int = 0
    varied_calendar: int | None = None
    varied_minutes: int | None = None
    varied_cycles: int | None = None
    variation: str | None = None
    if_fitted_months: int | None = None
    if_fitted_days: int | None = None
    estimated: int = 0
    basis: str | None = None
    basis_day: int | None = None
    last_done: int | None = None
    unknown: str | None = None
    no_programme_in_part: int = 0
    entry: int = 0
    counter: str | None = None
    due_counter: int | None = None
    left_counter: int | None = None
    varied_counter: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class UnitStateRow:
    """What a unit is now: identity, place, condition, counts. One row a unit.

    `part_number` is the current one. carried_airframe_id/root_id: the airframe that carries it now, in itself
    or in its parent. released_on: day of the latest release certificate line that agrees with the unit;
    release_status its term. covered_by: the parent whose release covers it (received inside, never changed since).
    removed_on: day of the last removal from a position or slot. plate: what its data plate reads, where that is not
    what is recorded; receipt: what holds it since it was received; suspected: why it is a suspected unapproved part.
    With any of them it is on hold.
    """

    unit_id: int
    part_number: str
    serial_number: str
    manufacturer: str | None
    kind: str
    since_moment: int
    airframe_id: int | None = None
    position: str | None = None
    parent_id: int | None = None
    slot: str | None = None
    place_name: str | None = None
    bin: str | None = None
    carried_airframe_id: int | None = None
    root_id: int | None = None
    condition: str = "unknown"
    hold: str | None = None
    harness: str = "unknown"
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    released_on: int | None = None
    release_status: str | None = None
    release_certificate: str | None = None
    covered_by: int | None = None
    removed_on: int | None = None
    life_quality: str | None = None
    plate: str | None = None
    receipt: str | None = None
    suspected: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class CertificateLineRow:
    """A certificate line as printed, the unit it is filed against, and the kept verdict.

    verdict: exact, formatting, leading-zeros, look-alike, transposed, one-character, other-dash-number,
    alternate, different, or unfiled (no unit). part_verdict and serial_verdict are the two sides;
    `verdict` is the worse.
    """

    organisation: str
    tracking_number: str
    item: str
    serial_number: str
    part_number: str
    unit_id: int | None
    status: str
    side: str | None
    dated_on: int
    verdict: str
    part_verdict: str
    serial_verdict: str
    expected_part_number: str | None
    expected_serial_number: str | None
    entry: int = 0


# The tables of derived rows, in the order in which they are written.
DERIVED_TABLES: dict[str, type] = {
    "placement": PlacementRow,
    "carriage": CarriageRow,
    "due_point": DuePointRow,
    "unit_state": UnitStateRow,
    "certificate_line": CertificateLineRow,
}

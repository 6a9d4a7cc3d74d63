"""Life: overdue, unknown, without a programme, stale readings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from fleetlife.checks.register import Evidence, check, finding
from fleetlife.dates.partial import day_text
from fleetlife.life.values import Outlook
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import DueRow


def _address(row: DueRow) -> dict[str, Any]:
    return {
        "registration": row.registration,
        "position": row.position,
        "part_number": row.part_number,
        "serial_number": row.serial_number,
        "manufacturer": row.manufacturer,
    }


@check("LIF101", "overdue", "stop", waivable=False)
def overdue(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A unit that an airframe carries is past a due point, and nothing approved covers it.

    Why it matters: the work, the test or the removal that the programme asks for has not been done in time.
    Triggers: an overhaul due 2026-11-20, asked on 2026-11-25. Does not: the same on 2026-11-20; the same with a
    permitted variation to 2026-12-31 in force on this airframe; a cylinder filled before its date that may stay until
    emptied (shown as `no refill`); a soft life.
    What to do: look at the unit's card with `fleetlife unit PART SERIAL`; remove the unit or have the work done; if it
    was done, file its certificate and the accomplishment. Never waivable.
    What it cannot see: work that nobody has recorded, and flights since the last reading beyond the projection.
    """
    for row in rows:
        if row.state == "overdue" and row.kind != "soft_life" and row.registration:
            yield finding(
                "LIF101",
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"fleetlife unit {row.part_number} {row.serial_number}",
                expected=row.due_date,
                evidence=(
                    Evidence(source=f"requirement {row.requirement}, edition {row.edition}", says=row.reference or ""),
                    Evidence(source="basis", says=row.basis or "none"),
                ),
                **_address(row),
            )


@check(
    "LIF102", "basis-unknown", "rectify", rule="Part-145 AMC1 145.A.42(a)(ii): missing information to determine status"
)
def basis_unknown(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """A due point cannot be computed because what it counts from is not recorded.

    Why it matters: unknown is never fine; a component whose status cannot be determined is unserviceable.
    Triggers: an overhaul every 36 months with no overhaul and no new release recorded. Does not: a unit in stores whose
    calendar starts only at installation (shown as waiting).
    What to do: find the document that the due list names beside the cause, and file it.
    What it cannot see: whether the document exists.
    """
    for row in rows:
        if row.unknown_measures and row.requirement and row.state != "overdue":
            yield finding(
                "LIF102",
                message=f"{row.requirement}: {row.state_reason}",
                hint=f"fleetlife unit {row.part_number} {row.serial_number}",
                found=row.unknown_measures,
                **_address(row),
            )


@check("LIF103", "no-programme", "stop")
def no_programme(rows: Iterable[DueRow]) -> Iterator[Finding]:
    """No requirement is in force for the unit's part number.

    Why it matters: a part nobody has looked at is not a part with nothing due; that nothing applies must be stated.
    Triggers: a new dash number taken in yesterday without a programme. Does not: a part with a requirement of kind
    on_condition and a reference.
    What to do: state the requirements of the part (requirements file), or that it is on condition with its reference.
    What it cannot see: whether the requirements stated are all there are.
    """
    for row in rows:
        if row.requirement is None and row.state == "unknown":
            yield finding(
                "LIF103",
                message=row.state_reason,
                hint="State its requirements: fleetlife import requirements.csv",
                **_address(row),
            )


@check("LIF105", "stale-readings", "rectify")
def stale_readings(
    views: Iterable[tuple[str, int, Outlook]], *, as_of: int, after_days: int, statuses: Mapping[int, str | None]
) -> Iterator[Finding]:
    """The airframe's last reading is older than 14 days, or there is none.

    Why it matters: every due point in hours and cycles is judged on a projection from that reading.
    Triggers: a last reading of 2026-11-01 on 2026-11-25. Does not: a reading of 2026-11-12; an airframe that is parked
    or withdrawn.
    What to do: take in the readings: `fleetlife import readings.csv`.
    What it cannot see: whether the reading itself is right.
    """
    for registration, airframe, view in views:
        if statuses.get(airframe) in ("parked", "withdrawn"):
            continue
        if view.base_day is None:
            yield finding(
                "LIF105",
                message="There is no reading of this airframe at all: nothing in hours or cycles can be dated.",
                hint="fleetlife import readings.csv",
                registration=registration,
                airframe=airframe,
            )
        elif as_of - view.base_day > after_days:
            yield finding(
                "LIF105",
                message=f"The last reading is of {day_text(view.base_day)}, {as_of - view.base_day} days old.",
                hint="fleetlife import readings.csv",
                registration=registration,
                airframe=airframe,
                found=day_text(view.base_day),
            )

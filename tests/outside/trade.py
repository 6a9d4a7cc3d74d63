"""Requirements, histories and files in few words, for checks against published rules."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.dates.moment import end_of_day, moment_of
from fleetlife.dates.partial import parse_partial
from fleetlife.follows.rows import DuePointRow, UnitStateRow
from fleetlife.life.points import due_point
from fleetlife.life.state import judge
from fleetlife.life.values import (
    Carried,
    Count,
    Done,
    History,
    Installation,
    Judged,
    Limits,
    Operated,
    Outlook,
    Requirement,
)
from fleetlife.store.engine import Store
from fleetlife.store.rows import read_rows
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.reading import Row as ReadRow
from fleetlife.transfer.reading import read_folder

Row = dict[str, Any]


def d(text: str) -> int:
    """An ISO day as its number."""
    return date.fromisoformat(text).toordinal()


def iso(day: int | None) -> str | None:
    return None if day is None else date.fromordinal(day).isoformat()


def rule(kind: str, *, name: str = "R", **fields: Any) -> Requirement:
    """A requirement; first, repeat and windows as dicts of limits."""
    for limits in ("first", "repeat", "window_early", "window_late"):
        if isinstance(fields.get(limits), dict):
            fields[limits] = Limits(**fields[limits])
    return Requirement(key=1, requirement=name, part_number="QC-1", kind=kind, **fields)


def work(on: str, *, basis: str = "release", name: str = "R", count: Count | None = None, **fields: Any) -> Done:
    """The requirement done; the basis `log` is work on the aircraft, on a unit that is installed."""
    partial = parse_partial(on)
    day = partial.first_day.toordinal()
    if basis == "log":
        fields = {"on_aircraft": True, "installed": True, **fields}
    return Done(
        requirement=name,
        date=partial,
        day=day,
        moment=moment_of(day, 5000),
        count=count or Count(),
        date_basis=basis,
        **fields,
    )


def filled(on: str, count: int = 1, operation: str = "filling") -> Operated:
    return Operated(day=d(on), moment=moment_of(d(on), 7000), operation=operation, count=count)


def fitted(on: str, **fields: Any) -> Installation:
    return Installation(day=d(on), moment=moment_of(d(on), 6000), count=fields.pop("count", Count()), **fields)


def on_airframe(since: str = "2020-01-01", *, minutes: int = 0, cycles: int = 0, airframe: int = 1) -> Carried:
    """On an airframe since its totals were as given, the unit's own count zero then."""
    return Carried(
        airframe_id=airframe,
        moment=moment_of(d(since)),
        minutes=minutes,
        cycles=cycles,
        count=Count(minutes=0, cycles=0),
    )


def unit(*, opened: str = "2000-01-01", **fields: Any) -> History:
    """A unit's history; partial dates as text."""
    for name in ("manufactured", "cured", "expires", "first_installed"):
        if isinstance(fields.get(name), str):
            fields[name] = parse_partial(fields[name])
    if fields.get("carried") is not None:
        fields.setdefault("installed_now", True)
    return History(unit_id=1, as_of=end_of_day(d(opened)), **fields)


def read_on(day: str, *, minutes: int = 0, cycles: int = 0) -> Outlook:
    """An airframe's totals read on a day, with no rate to project them."""
    return Outlook(airframe_id=1, base_day=d(day), base_minutes=minutes, base_cycles=cycles)


def state_on(
    day: str,
    requirement: Requirement,
    history: History,
    *,
    view: Outlook | None = None,
    until: str | None = None,
    stored: bool = False,
) -> Judged:
    """The row judged on a day, its window ending `until`."""
    return judge(
        requirement,
        due_point(requirement, history),
        view,
        as_of=d(day),
        window_from=None,
        window_until=None if until is None else d(until),
        stored=stored,
        manufactured=history.manufactured,
    )


def calendar(requirement: Requirement, history: History) -> str | None:
    """The last day allowed by the calendar."""
    return iso(due_point(requirement, history).calendar_due)


# --- files --------------------------------------------------------------------------------------------------------


def write(folder: Path, files: Mapping[str, Sequence[Row]]) -> Path:
    """A folder with these files and no other."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for name, rows in files.items():
        columns = list(dict.fromkeys(column for row in rows for column in row))
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, columns)
            writer.writeheader()
            writer.writerows({name: value for name, value in row.items() if value is not None} for row in rows)
    return folder


def take(store: Store, folder: Path, files: Mapping[str, Sequence[Row]]) -> IntakeReport:
    """Files taken in; a refusal is told line by line by the test that fails."""
    try:
        return take_in(store, read_folder(write(folder, files)), recorded_by="clerk")
    except RowsRefused as refused:
        for problem in refused.problems:
            refused.add_note(problem.sentence())
        raise


def rows_read(path: Path) -> tuple[list[ReadRow], list[str]]:
    """The rows of a file as it is taken in, and the reasons why others are not."""
    found = read_folder(path)
    rows = [row for file in found.files for row in file.rows()]
    return rows, [problem.reason for problem in found.problems]


def state_of(store: Store, serial: str) -> UnitStateRow:
    with store.reading() as connection:
        (found,) = [row for row in read_rows(connection, UnitStateRow) if row.serial_number == serial]
        return found


def points_of(store: Store, serial: str) -> list[DuePointRow]:
    which = state_of(store, serial).unit_id
    with store.reading() as connection:
        return read_rows(connection, DuePointRow, unit_ids=[which])


def small_world(**more: Sequence[Row]) -> dict[str, list[Row]]:
    """One invented type with two doors, two airframes of it read every tenth day, and slide packs, none installed."""
    files: dict[str, list[Row]] = {
        "types": [{"type": "SKUA-4"}],
        "positions": [
            {"type": "SKUA-4", "position": p, "side": s, "harness": s} for p, s in (("L1", "left"), ("R1", "right"))
        ],
        "airframes": [
            {"registration": r, "constructor_serial": c, "type": "SKUA-4", "from": "2019-01-01"}
            for r, c in (("Q-ONE", "31"), ("Q-TWO", "32"))
        ],
        "parts": [{"part_number": "QC-1", "manufacturer": "Gannet", "rig": "either"}],
        "readings": [
            {
                "registration": r,
                "date": f"2024-{month:02d}-{day:02d}",
                "hours_total": f"{hours}:00",
                "cycles_total": hours,
            }
            for r, base in (("Q-ONE", 10_000), ("Q-TWO", 4_000))
            for month in (1, 2, 3)
            for day in (1, 11, 21)
            for hours in (base + 100 * (month - 1) + 3 * day,)
        ],
    }
    for name, rows in more.items():
        files[name] = [*files.get(name, []), *rows]
    return files

"""An invented fleet in files: clean as it stands, and a place to put one thing wrong."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from fleetlife.actions.take_in import take_in
from fleetlife.store.engine import Store
from fleetlife.transfer.reading import read_folder

Row = dict[str, Any]
DOORS = ("L1", "R1", "L2", "R2")
AS_OF = date(2026, 2, 1)
BEGUN = datetime(2025, 1, 10, 8, tzinfo=UTC)
OPENING = "2025-01-01"


@dataclass
class Fleet:
    """The rows of every file. `take` writes them to a folder and takes that in at a moment."""

    files: dict[str, list[Row]] = field(default_factory=dict)

    def add(self, file: str, *rows: Row) -> Fleet:
        self.files.setdefault(file, []).extend(rows)
        return self

    def row(self, file: str, **named: Any) -> Row:
        """The one row whose cells are these."""
        rows = [row for row in self.files[file] if all(row.get(key) == value for key, value in named.items())]
        assert len(rows) == 1, (file, named, len(rows))
        return rows[0]

    def drop(self, file: str, **named: Any) -> Fleet:
        self.files[file].remove(self.row(file, **named))
        return self

    def take(self, store: Store, folder: Path, *, at: datetime = BEGUN) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        for name, rows in self.files.items():
            _write(folder / f"{name}.csv", rows)
        take_in(replace(store, clock=_clock(at)), read_folder(folder), recorded_by="C1")


def _clock(at: datetime) -> Callable[[], datetime]:
    return lambda: at


def later(store: Store, folder: Path, *, at: datetime, **files: Iterable[Row]) -> None:
    """Take more rows in at a later moment."""
    Fleet({name: list(rows) for name, rows in files.items()}).take(store, folder, at=at)


def _write(path: Path, rows: list[Row]) -> None:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns)
        writer.writeheader()
        writer.writerows(rows)


def fleet(airframes: int = 2) -> Fleet:
    """Each airframe with four packs, each with its reservoir; two spares; every paper, test and reading there."""
    made = Fleet()
    made.add("types", {"type": "ISL-90", "name": "Islander Ninety"})
    for label in DOORS:
        side = "left" if label.startswith("L") else "right"
        made.add(
            "positions",
            {
                "type": "ISL-90",
                "position": label,
                "side": side,
                "harness": side,
                "pair": label[1:],
                "kind": "passenger door",
                "required": "yes",
            },
        )
        made.add("eligibility", {"type": "ISL-90", "position": label, "part_number": "SL-100-1", "reference": "IPC 25"})
    made.add(
        "parts",
        {"part_number": "SL-100-1", "manufacturer": "Kittiwake", "kind": "slide", "rig": "either"},
        {"part_number": "SL-200-1", "manufacturer": "Kittiwake", "kind": "slide", "rig": "either"},
        {"part_number": "RV-7", "manufacturer": "Kittiwake", "kind": "reservoir", "rig": "none"},
    )
    made.add("slots", {"part_number": "SL-100-1", "slot": "reservoir", "child_part_number": "RV-7", "required": "yes"})
    general = {"edition": "3", "effective_from": "2015-01-01", "reference": "CMM 25-60-01"}
    made.add(
        "requirements",
        {
            "requirement": "OVH",
            "part_number": "SL-100-1",
            "kind": "overhaul",
            "source": "manufacturer",
            "start": "release",
            "repeat_months": 36,
            "repeat_hours": "9000:00",
            **general,
        },
        {
            "requirement": "HST",
            "part_number": "RV-7",
            "kind": "requalification",
            "source": "dangerous_goods",
            "start": "manufacture",
            "repeat_months": 60,
            "month_rule": "last",
            **general,
        },
    )
    for number in range(airframes):
        _airframe(made, number)
    for spare in (9001, 9002):
        pack(made, f"{spare:04d}", {"store": "Main store", "bin": "B-4"})
    return made


def registration(number: int) -> str:
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return f"Q-{letters[number // 676 % 26]}{letters[number // 26 % 26]}{letters[number % 26]}"


def _airframe(made: Fleet, number: int) -> None:
    name = registration(number)
    made.add(
        "airframes",
        {
            "registration": name,
            "constructor_serial": str(1001 + number),
            "type": "ISL-90",
            "operator": "Tern Air",
            "station": "SKA",
            "from": "2015-01-01",
        },
    )
    day, hours = date(2024, 12, 1), 20_000
    while day <= AS_OF:
        made.add(
            "readings", {"registration": name, "date": day, "hours_total": f"{hours}:00", "cycles_total": hours // 2}
        )
        day, hours = day + timedelta(days=7), hours + 56
    for index, label in enumerate(DOORS):
        serial = f"{number * 4 + index + 1:04d}"
        harness = "left" if label.startswith("L") else "right"
        where = {"registration": name, "position": label, "installed": "2024-04-01", "harness": harness}
        pack(made, serial, where)


def pack(made: Fleet, serial: str, where: Row) -> None:
    """A pack with its reservoir, its release, its overhaul and the reservoir's test, at a place."""
    common = {"manufacturer": "Kittiwake", "as_of": OPENING}
    made.add(
        "units",
        {
            **common,
            "part_number": "SL-100-1",
            "serial_number": serial,
            "manufactured": "2016-05-01",
            "hours_since_new": "14000:00",
            "cycles_since_new": 7000,
            "condition": "serviceable",
            **where,
        },
        {
            **common,
            "part_number": "RV-7",
            "serial_number": f"R{serial}",
            "manufactured": "2016-03",
            "parent_part_number": "SL-100-1",
            "parent_serial_number": serial,
            "slot": "reservoir",
        },
    )
    made.add(
        "certificates",
        {
            "tracking_number": f"FR-{serial}",
            "organisation": "Fulmar Repair",
            "part_number": "SL-100-1",
            "serial_number": serial,
            "status": "Overhauled",
            "date": "2024-03-10",
        },
    )
    made.add(
        "accomplishments",
        {
            "part_number": "SL-100-1",
            "serial_number": serial,
            "requirement": "OVH",
            "date": "2024-03-10",
            "date_basis": "release",
            "hours_since_new": "13000:00",
            "certificate": f"FR-{serial}",
            "certificate_organisation": "Fulmar Repair",
        },
        {
            "part_number": "RV-7",
            "serial_number": f"R{serial}",
            "requirement": "HST",
            "date": "2024-02",
            "date_basis": "mark",
        },
    )

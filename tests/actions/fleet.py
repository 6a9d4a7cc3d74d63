"""A small invented fleet as files, and the questions the tests ask of what was taken in."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.follows.derive import derive
from fleetlife.follows.rows import DERIVED_TABLES, CarriageRow, DuePointRow, PlacementRow, UnitStateRow
from fleetlife.store.counters import StoredCounters
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.store.heads import head_of
from fleetlife.store.reference import load_reference
from fleetlife.store.rows import read_rows
from fleetlife.store.totals import StoredTotals
from fleetlife.store.trees import trees_of
from fleetlife.terms.views import IntakeReport
from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import read_folder

Row = dict[str, Any]
Files = dict[str, list[Row]]
SLIDE, BOTTLE, BATTERY = "QX100-1", "QR-7", "QB-2"


def d(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def h(text: str) -> int:
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def readings(registration: str, start: str, days: int, *, base: int = 10_000, daily: int = 8) -> list[Row]:
    """Eight hours a day from the first total on, a cycle for every ten hours."""
    first = date.fromisoformat(start)
    return [
        {
            "registration": registration,
            "date": (first + timedelta(days=n)).isoformat(),
            "hours_total": f"{base + daily * n}:00",
            "cycles_total": (base + daily * n) // 10,
        }
        for n in range(days)
    ]


def unit(part: str, serial: str, **fields: Any) -> Row:
    return {"part_number": part, "serial_number": serial, "as_of": "2024-01-01", **fields}


def small_fleet() -> Files:
    """Two airframes with two doors, a pack with a bottle on each door of the first, two spares; readings of 2024-01."""
    on = {"registration": "Q-AAA", "condition": "serviceable", "installed": "2022-05-01"}
    new = {"hours_since_new": "1000:00", "cycles_since_new": 500, "manufactured": "2015-03-01"}
    return {
        "types": [{"type": "ISL-90", "name": "Islander Ninety"}],
        "positions": [
            {"type": "ISL-90", "position": p, "side": s, "harness": s, "pair": "1", "required": "yes"}
            for p, s in (("L1", "left"), ("R1", "right"))
        ],
        "airframes": [
            {"registration": r, "constructor_serial": c, "type": "ISL-90", "programme": "TERN", "from": "2015-01-01"}
            for r, c in (("Q-AAA", "1001"), ("Q-BBB", "1002"))
        ],
        "parts": [
            {"part_number": SLIDE, "manufacturer": "Kittiwake", "kind": "slide", "rig": "either"},
            {"part_number": BOTTLE, "manufacturer": "Kittiwake", "kind": "reservoir", "rig": "none"},
            {"part_number": BATTERY, "manufacturer": "Auk", "kind": "battery", "rig": "none"},
        ],
        "slots": [
            {"part_number": SLIDE, "slot": "bottle", "child_part_number": BOTTLE, "required": "yes"},
            {"part_number": SLIDE, "slot": "battery", "child_part_number": BATTERY, "required": "no"},
        ],
        "eligibility": [
            {"type": "ISL-90", "position": p, "part_number": SLIDE, "reference": "IPC 25-66"} for p in ("L1", "R1")
        ],
        "requirements": [
            _rule("OVH", SLIDE, "overhaul", repeat_months=36, repeat_hours="10000:00", start="release"),
            _rule("HST", BOTTLE, "requalification", repeat_months=36, month_rule="last", source="dangerous_goods"),
            _rule("BAT", BATTERY, "replacement", first_hours="5000:00", start="installation"),
        ],
        "units": [
            unit(SLIDE, "0101", position="L1", harness="left", **on, **new),
            unit(SLIDE, "0102", position="R1", harness="right", **on, **new),
            unit(SLIDE, "0103", store="Main", bin="A1", condition="serviceable", harness="left", **new),
            unit(SLIDE, "0104", store="Main", bin="A2", condition="serviceable", harness="right", **new),
            *(
                unit(BOTTLE, f"R{n}", parent_part_number=SLIDE, parent_serial_number=f"010{n}", slot="bottle", **new)
                for n in (1, 2, 3, 4)
            ),
        ],
        "certificates": [
            _paper("T1", SLIDE, "0101", "2022-03-10"),
            _paper("T2", SLIDE, "0102", "2022-03-10"),
            _paper("T3", SLIDE, "0103", "2023-10-10"),
            _paper("T4", SLIDE, "0104", "2023-10-10"),
        ],
        "accomplishments": [
            *(
                {**_of(SLIDE, f"010{n}"), "requirement": "OVH", "date": on_day, "hours_since_new": "900:00", **_cert(n)}
                for n, on_day in ((1, "2022-03-10"), (2, "2022-03-10"), (3, "2023-10-10"), (4, "2023-10-10"))
            ),
            *({**_of(BOTTLE, f"R{n}"), "requirement": "HST", "date": "2023-02"} for n in (1, 2, 3, 4)),
        ],
        "readings": [*readings("Q-AAA", "2023-12-25", 38), *readings("Q-BBB", "2023-12-25", 38, base=5_000)],
    }


def _rule(name: str, part: str, kind: str, **limits: Any) -> Row:
    own = {"programme": "TERN", "edition": "3", "effective_from": "2015-01-01", "reference": f"Card {name}"}
    return {"requirement": name, "part_number": part, "kind": kind, **own, **limits}


def _of(part: str, serial: str) -> Row:
    return {"part_number": part, "serial_number": serial}


def _cert(n: int) -> Row:
    return {"certificate": f"T{n}", "certificate_organisation": "Fulmar Repair"}


def _paper(number: str, part: str, serial: str, on: str, status: str = "Overhauled") -> Row:
    return {
        "tracking_number": number,
        "organisation": "Fulmar Repair",
        **_of(part, serial),
        "status": status,
        "date": on,
    }


def movement(on: str, position: str = "L1", *, off: str | None = None, fit: str | None = None, **fields: Any) -> Row:
    row: Row = {"date": on, "registration": "Q-AAA", "position": position, **fields}
    for prefix, serial in (("removed", off), ("installed", fit)):
        if serial is not None:
            row |= {f"{prefix}_part_number": SLIDE, f"{prefix}_serial_number": serial}
    return row


def transfer(serial: str, on: str, to: str = "store", part: str = SLIDE, **fields: Any) -> Row:
    return {"date": on, "part_number": part, "serial_number": serial, "to": to, **fields}


def write(folder: Path, files: Mapping[str, Sequence[Row]]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for name, rows in files.items():
        columns = list(dict.fromkeys(column for row in rows for column in row))
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, columns)
            writer.writeheader()
            writer.writerows({k: v for k, v in row.items() if v is not None} for row in rows)
    return folder


class Intake:
    """Takes files in and says what came of it."""

    def __init__(self, store: Store, folder: Path) -> None:
        self.store = store
        self.folder = folder

    def take(self, files: Mapping[str, Sequence[Row]], *, hours: str | None = None) -> IntakeReport:
        """Taken in; what is refused is told by the failing test line by line."""
        try:
            return take_in(self.store, read_folder(write(self.folder, files), hours=hours), recorded_by="clerk")
        except RowsRefused as refused:
            for problem in refused.problems:
                refused.add_note(problem.sentence())
            raise

    def refused(self, files: Mapping[str, Sequence[Row]], *, hours: str | None = None) -> tuple[Problem, ...]:
        """The problems; the records are as they were before."""
        before = everything(self.store)
        with pytest.raises(RowsRefused) as refused:
            self.take(files, hours=hours)
        assert everything(self.store) == before
        return refused.value.problems


def only(problems: Sequence[Problem]) -> Problem:
    assert len(problems) == 1, [problem.sentence() for problem in problems]
    return problems[0]


def places(problems: Iterable[Problem]) -> list[tuple[str, int, str]]:
    """(file, line, column) of the problems."""
    return [(problem.file, problem.line, problem.column) for problem in problems]


# --- what is kept -------------------------------------------------------------------------------------------------


def head(store: Store) -> int:
    with store.reading() as connection:
        return head_of(connection)[0]


def everything(store: Store) -> dict[str, Any]:
    """The head and every derived row."""
    with store.reading() as connection:
        return {
            "head": head_of(connection),
            **{name: read_rows(connection, kind) for name, kind in DERIVED_TABLES.items()},
        }


def kinds(store: Store) -> list[str]:
    with store.reading() as connection:
        return [entry.kind for entry in all_entries(connection)]


def unit_id(store: Store, serial: str) -> int:
    with store.reading() as connection:
        (found,) = [r.unit_id for r in read_rows(connection, UnitStateRow) if r.serial_number == serial]
        return found


def state(store: Store, serial: str) -> UnitStateRow:
    with store.reading() as connection:
        (found,) = [row for row in read_rows(connection, UnitStateRow) if row.serial_number == serial]
        return found


def stays(store: Store, serial: str) -> list[PlacementRow]:
    which = unit_id(store, serial)
    with store.reading() as connection:
        return read_rows(connection, PlacementRow, unit_ids=[which])


def carried(store: Store, serial: str) -> list[CarriageRow]:
    which = unit_id(store, serial)
    with store.reading() as connection:
        return read_rows(connection, CarriageRow, unit_ids=[which])


def due(store: Store, serial: str) -> list[DuePointRow]:
    which = unit_id(store, serial)
    with store.reading() as connection:
        return read_rows(connection, DuePointRow, unit_ids=[which])


def rebuilt_differs(store: Store) -> dict[str, list[Any]]:
    """Rows kept that do not follow from the facts, or that follow and are not kept, by table; provenance included."""
    found: dict[str, list[Any]] = {}
    with store.reading() as connection:
        ids = [row.unit_id for row in read_rows(connection, UnitStateRow)]
        derived = derive(
            trees_of(connection, ids),
            book=load_reference(connection).book(),
            totals=StoredTotals(connection),
            counters=StoredCounters(connection),
        )
        assert derived.problems == ()
        rebuilt = derived.by_table()
        for name, kind in DERIVED_TABLES.items():
            kept = [row for row in read_rows(connection, kind) if getattr(row, "unit_id", None) is not None]
            differing = [row for row in kept if row not in rebuilt[name]] + [
                row for row in rebuilt[name] if row not in kept
            ]
            if differing:
                found[name] = differing
    return found

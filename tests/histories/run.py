"""Random histories on both databases, as many as asked for.

    python tests/histories/run.py --histories 500 --seed 1

Each is recorded late, out of order and wrong, and put right; it must end in the rows of the same papers taken in at
once and right, answer every question asked on the way today as it was answered then, and be what it was after a
correction and its reversal. Prints what was done and each difference; exit status 1 where there is one.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from conftest import PostgresServer  # noqa: E402  the folders must be on the path first

from fleetlife.store.engine import open_store  # noqa: E402
from fleetlife.store.migrate import make_or_upgrade  # noqa: E402
from tests.actions.fleet import Intake, small_fleet  # noqa: E402
from tests.histories.histories import History, Outcome  # noqa: E402


@contextmanager
def sqlite_file(folder: Path, name: str) -> Iterator[Intake]:
    template, path = folder / "template.db", folder / f"{name}.db"
    if not template.exists():
        made = open_store(f"sqlite:///{template}", any_schema=True)
        make_or_upgrade(made)
        with made.engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        made.close()
    shutil.copyfile(template, path)
    store = open_store(f"sqlite:///{path}")
    yield Intake(store, folder / f"{name} files")
    store.close()
    for left in folder.glob(f"{name}.db*"):
        left.unlink()


@contextmanager
def on_server(server: PostgresServer, folder: Path) -> Iterator[Intake]:
    name = server.make(migrated=True)
    store = open_store(server.url(name))
    yield Intake(store, folder / "server files")
    store.close()
    server.drop(name)


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--histories", type=int, default=500)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--on", choices=["sqlite", "postgresql", "both"], default="both")
    options = asked.parse_args()
    began, status = time.monotonic(), 0
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        server = None if options.on == "sqlite" else PostgresServer(folder / "server")
        try:
            for engine in ("sqlite", "postgresql"):
                if options.on not in (engine, "both"):
                    continue
                total, seed = Outcome(), options.seed
                while total.histories < options.histories:
                    with sqlite_file(folder, "truth") as truth:
                        own = sqlite_file(folder, "own") if engine == "sqlite" else on_server(server, folder)
                        with own as fleet:
                            truth.take(small_fleet())
                            fleet.take(small_fleet())
                            total.add(History(fleet, truth, seed).told())
                    seed += 1
                for difference in total.differences[:20]:
                    print(difference)
                print(
                    f"{engine}: {total.histories} histories from seed {options.seed}, {total.steps} steps, "
                    f"{total.late} papers out of order, {total.wrong} wrong at first, {total.refused} refused, "
                    f"{total.asked} questions about the past, {total.undone} corrections undone: "
                    f"{len(total.differences)} differences. {time.monotonic() - began:.0f} s."
                )
                status = status or int(bool(total.differences))
        finally:
            if server is not None:
                server.close()
    return status


if __name__ == "__main__":
    sys.exit(main())

"""Certificates that disagree: `python tests/bench/agreement.py [S|M] [SEED]`.

A fleet is generated and taken in. Then papers are filed whose numbers are wrong in a known way, as many of each class,
and lawful ones of several serial numbers. The audit must find every one under its class and accuse no other; how long
it takes stands beside hand-written SQL that scans for numbers that are not identical. Exit status 1 where one is
missed, named otherwise, or accused wrongly.
"""

from __future__ import annotations

import csv
import random
import shutil
import sqlite3
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))
from fleet import make
from run import AS_OF, SIZES, fresh, median, row

from fleetlife.actions.take_in import take_in
from fleetlife.answers.audit import audit
from fleetlife.store.engine import Store
from fleetlife.transfer.reading import read_folder

EACH = 40
HAND_SQL = """
SELECT c.organisation, c.tracking_number, c.item, c.part_number, c.serial_number, u.part_number, u.serial_number,
  s.position, s.carried_airframe_id
FROM certificate AS c JOIN unit AS u ON u.unit = c.unit JOIN unit_state AS s ON s.unit_id = c.unit
WHERE c.part_number <> u.part_number OR c.serial_number <> u.serial_number
"""
COLUMNS = (
    *("tracking_number", "organisation", "part_number", "serial_number", "status", "date", "item"),
    *("filed_part_number", "filed_serial_number"),
)
Spoil = Callable[[str, str, random.Random], tuple[str, str]]


def _zero(serial: str, rng: random.Random) -> str:
    place = rng.choice([i for i, c in enumerate(serial) if c == "0"])
    return f"{serial[:place]}O{serial[place + 1 :]}"


def _crossed(serial: str, rng: random.Random) -> str:
    place = rng.choice([i for i in range(len(serial) - 1) if serial[i] != serial[i + 1]])
    return f"{serial[:place]}{serial[place + 1]}{serial[place]}{serial[place + 2 :]}"


def _one(serial: str, rng: random.Random) -> str:
    place = rng.randrange(1, len(serial))
    return f"{serial[:place]}{(int(serial[place]) + rng.choice((3, 4, 6, 7))) % 10}{serial[place + 1 :]}"


# By class what is done to part and serial number. A serial has six digits and begins with zeros; a part is BS-101-1.
CLASSES: dict[str, Spoil] = {
    "exact": lambda part, serial, rng: (part, serial),
    "formatting": lambda part, serial, rng: (part.replace("-", rng.choice(("", " ", "."))), serial),
    "leading-zeros": lambda part, serial, rng: (part, serial.lstrip("0")),
    "look-alike": lambda part, serial, rng: (part, _zero(serial, rng)),
    "transposed": lambda part, serial, rng: (part, _crossed(serial, rng)),
    "one-character": lambda part, serial, rng: (part, _one(serial, rng)),
    "other-dash-number": lambda part, serial, rng: (f"{part[:-1]}{rng.choice('3579')}", serial),
    "alternate": lambda part, serial, rng: (f"{part[:-1]}2", serial),
    "different": lambda part, serial, rng: (part, f"QX{rng.randrange(10, 99)}-W"),
}
LAWFUL = ("exact", "formatting")


def wrong_papers(units: list[tuple[str, str]], rng: random.Random) -> Iterator[tuple[str, dict[str, Any]]]:
    """(class, row) of a certificate filed against a unit, each unit once; then papers of six lines without a fault."""
    chosen = rng.sample(units, len(CLASSES) * EACH + 6 * EACH)
    place = iter(chosen)
    for name, spoil in CLASSES.items():
        for number in range(EACH):
            part, serial = next(place)
            on_paper, printed = spoil(part, serial, rng)
            yield name, _row(f"SEED-{name}-{number}", on_paper, printed, "1", part, serial)
    for number in range(EACH):
        for item in range(1, 7):
            part, serial = next(place)
            yield "exact", _row(f"MANY-{number}", part, serial, str(item), part, serial)


def _row(number: str, part: str, serial: str, item: str, filed_part: str, filed_serial: str) -> dict[str, Any]:
    values = (number, "Hvalba Overhaul", part, serial, "Repaired", "2026-11-02", item, filed_part, filed_serial)
    return dict(zip(COLUMNS, values, strict=True))


def file_papers(store: Store, work: Path, rng: random.Random) -> dict[tuple[str, str], str]:
    """The class of each seeded line, by tracking number and item."""
    with store.reading() as connection:
        units = [
            (row[0], row[1])
            for row in connection.exec_driver_sql(
                "SELECT part_number, serial_number FROM unit_state WHERE part_number LIKE 'BS-10%' AND"
                " substr(serial_number, 1, 2) = '00' ORDER BY unit_id"
            )
        ]
    seeded = list(wrong_papers(units, rng))
    folder = work / "papers"
    folder.mkdir()
    with (folder / "certificates.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        writer.writerows(each for _, each in seeded)
    with (folder / "alternates.csv").open("w", encoding="utf-8", newline="") as file:
        alternates = csv.writer(file)
        alternates.writerow(["part_number", "alternate", "direction", "reference"])
        alternates.writerows([f"BS-10{n}-1", f"BS-10{n}-2", "two-way", "IPC 25-66"] for n in range(4))
    take_in(store, read_folder(folder), recorded_by="bench")
    return {(each["tracking_number"], each["item"]): name for name, each in seeded}


def main() -> int:
    size = sys.argv[1] if len(sys.argv) > 1 else "S"
    rng = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    work = Path(tempfile.mkdtemp(prefix="fleetlife-agreement-"))
    try:
        make(work / "files", SIZES[size])
        store = fresh(work / "fleet.db")
        take_in(store, read_folder(work / "files"), recorded_by="bench")
        hand = sqlite3.connect(work / "fleet.db")
        beside_hand(store, hand)
        seeded = file_papers(store, work, rng)
        status = compare_with_seeded(store, seeded)
        beside_hand(store, hand)
        hand.close()
        store.close()
    finally:
        shutil.rmtree(work, ignore_errors=True)
    return status


def beside_hand(store: Store, hand: sqlite3.Connection) -> None:
    """How long the audit of agreement takes, beside the scan."""
    found = len(audit(store, as_of=AS_OF, codes=["PAP101", "PAP102"]).findings)
    row(
        f"agreement audit, {found} findings",
        median(lambda: audit(store, as_of=AS_OF, codes=["PAP101", "PAP102"]), 15),
        median(lambda: hand.execute(HAND_SQL).fetchall(), 15),
        f"hand-written SQL that scans for pairs that are not identical, {len(hand.execute(HAND_SQL).fetchall())}",
    )


def compare_with_seeded(store: Store, seeded: dict[tuple[str, str], str]) -> int:
    """The table of what was seeded and what was found; 1 where the two differ."""
    with store.reading() as connection:
        lines = connection.exec_driver_sql(
            "SELECT tracking_number, item, verdict FROM certificate_line ORDER BY tracking_number, item"
        ).all()
    found = {(row[0], row[1]): row[2] for row in lines}
    table = Counter((seeded[key], found[key]) for key in seeded)
    accused = {each.certificate for each in audit(store, as_of=AS_OF, codes=["PAP101", "PAP102", "PAP105"]).findings}
    wrong = {number for (number, _), name in seeded.items() if name not in LAWFUL}
    missed, falsely = sorted(wrong - accused), sorted(each for each in accused - wrong if each)
    print(f"{len(found):,} lines, {len(seeded)} of them seeded, {len(found) - len(seeded):,} besides")
    names = list(CLASSES)
    print(f"{'seeded / found':<18}" + "".join(f"{name[:12]:>14}" for name in names))
    for name in names:
        print(f"{name:<18}" + "".join(f"{table.get((name, other), 0):>14}" for other in names))
    print(f"missed: {len(missed)} {missed[:5]}; accused wrongly: {len(falsely)} {falsely[:5]}")
    named_otherwise = sum(count for (name, other), count in table.items() if name != other)
    return int(bool(missed or falsely or named_otherwise))


if __name__ == "__main__":
    sys.exit(main())

"""What was found on a walk-round, from a csv file or a workbook: a row for each position looked at.

Columns: position; part_number, serial_number, manufacturer, or scan (the message of the plate's symbol); harness (left
or right, where the rig was looked at); note. `empty` as part_number says that nothing hung there. A position with
neither is one that nobody looked at.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from fleetlife.paper.symbol import read_symbol
from fleetlife.terms.number import did_you_mean, position_label
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.walk_round import SeenAt
from fleetlife.transfer.delimited import csv_rows
from fleetlife.transfer.problem import Problem, ProblemLog
from fleetlife.transfer.workbook import workbook_rows

COLUMNS = ("position", "part_number", "serial_number", "manufacturer", "scan", "harness", "note")
NOTHING = "empty"
SIDES = ("left", "right")


def read_walk_round(path: Path, *, as_of: date) -> tuple[SeenAt, ...]:
    """The positions looked at, each once. Refusal: `walk-round-not-read`, with every bad row."""
    problems = ProblemLog()
    workbook = path.suffix.casefold() == ".xlsx"
    rows: list[tuple[int, list[Any]]] = list((workbook_rows if workbook else csv_rows)(path, problems))
    found: dict[str, SeenAt] = {}
    if rows:
        header = [str(cell).strip().casefold() for cell in rows[0][1]]
        for wrong in (name for name in header if name not in COLUMNS):
            reason = f"There is no column {wrong!r}." + did_you_mean(wrong, COLUMNS)
            problems.append(Problem(path.name, rows[0][0], wrong, "", reason, f"Columns: {', '.join(COLUMNS)}."))
        if "position" not in header:
            problems.append(Problem(path.name, rows[0][0], "position", "", "The column is missing.", "Add it."))
        if not len(problems):
            _rows(path.name, header, rows[1:], found, problems, as_of)
    elif not len(problems):
        problems.append(Problem(path.name, 0, "", "", "The file is empty.", f"Columns: {', '.join(COLUMNS)}."))
    if len(problems):
        told = tuple(problem.sentence() for problem in problems)
        raise Refusal(
            "walk-round-not-read",
            f"The walk-round cannot be read: {told[0]}",
            remedy="Mend the file; nothing was recorded.",
            details=told[1:],
        )
    return tuple(found.values())


def _rows(
    name: str,
    header: list[str],
    rows: Iterable[tuple[int, list[Any]]],
    found: dict[str, SeenAt],
    problems: ProblemLog,
    as_of: date,
) -> None:
    for line, cells in rows:
        if len(cells) != len(header):
            reason = f"The row has {len(cells)} cells and the header names {len(header)} columns."
            problems.append(Problem(name, line, "", "", reason, "Give every row as many cells as the header."))
            continue
        values = {column: str(cell or "").strip() for column, cell in zip(header, cells, strict=True)}
        label = position_label(values["position"])
        if not label:
            problems.append(Problem(name, line, "position", "", "The position is missing.", "Fill it in."))
            continue
        if label in found:
            reason = "The position stands in the file twice."
            problems.append(Problem(name, line, "position", label, reason, "Keep the row that is right."))
            continue
        try:
            seen = seen_at(label, values, as_of=as_of)
        except Refusal as refused:
            problems.append(Problem(name, line, "", label, refused.message, refused.remedy))
            continue
        if seen is not None:
            found[label] = seen


def seen_at(position: str, values: dict[str, str], *, as_of: date) -> SeenAt | None:
    """What was seen at the position; None where nobody looked. Refusals: `numbers-not-both`, `scan-and-numbers`,
    `harness-not-read`, `plate-names-no-unit`, those of `paper.symbol.read_symbol`."""
    part, serial, scan = (values.get(name, "") for name in ("part_number", "serial_number", "scan"))
    harness = values.get("harness", "").casefold() or None
    if harness is not None and harness not in SIDES:
        raise Refusal(
            "harness-not-read",
            f"A harness is rigged left or right, not {harness}.",
            remedy="Leave it empty if not seen.",
        )
    more: dict[str, Any] = {"harness": harness, "note": values.get("note") or None}
    if scan:
        if part or serial:
            raise Refusal("scan-and-numbers", "A scan and numbers are both given.", remedy="Keep one of the two.")
        plate = read_symbol(scan, as_of=as_of)
        if plate.part is None or plate.serial is None:
            raise Refusal(
                "plate-names-no-unit",
                "The plate's symbol states no part number and serial number.",
                remedy="Type both as they are on the plate.",
            )
        return SeenAt(position=position, part_number=plate.part, serial_number=plate.serial, **more)
    if part.casefold() == NOTHING and not serial:
        return SeenAt(position=position, note=more["note"])
    if not part and not serial:
        return None
    if not part or not serial:
        raise Refusal(
            "numbers-not-both",
            "Part number and serial number are needed both.",
            remedy=f"Read both on the plate; write {NOTHING} as part_number where nothing hung.",
        )
    manufacturer = values.get("manufacturer") or None
    return SeenAt(position=position, part_number=part, serial_number=serial, manufacturer=manufacturer, **more)

"""An operator's table of the most that may be extended, read from a small csv file; nothing of it is guessed.

Columns: measure (calendar, hours, cycles); over and up_to, the interval in months, HHHH:MM or cycles (empty: no
end), percent of the interval, at_most (months, HHHH:MM, cycles), reference. Of percent and at_most the lesser holds.
"""

from __future__ import annotations

from pathlib import Path

from fleetlife.life.extensions import Allowance
from fleetlife.terms.measure import parse_hours
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.delimited import csv_rows
from fleetlife.transfer.problem import Problem, ProblemLog

COLUMNS = ("measure", "over", "up_to", "percent", "at_most", "reference")
MEASURES = ("calendar", "hours", "cycles")


def read_variation_limits(path: Path) -> tuple[Allowance, ...]:
    """The lines of the table. Refusal: `limits-not-read`, with every bad line."""
    problems = ProblemLog()
    rows = list(csv_rows(path, problems))
    found: list[Allowance] = []
    if rows:
        header = [cell.casefold() for cell in rows[0][1]]
        unknown = [name for name in header if name not in COLUMNS]
        missing = [name for name in ("measure", "over") if name not in header]
        if unknown or missing:
            wrong = ", ".join([*(f"{name} is no column" for name in unknown), *(f"{m} is missing" for m in missing)])
            problems.append(
                Problem(path.name, rows[0][0], "", "", f"The header: {wrong}.", f"Columns: {', '.join(COLUMNS)}.")
            )
        else:
            for line, cells in rows[1:]:
                _line(path.name, line, dict(zip(header, cells, strict=False)), found, problems)
    elif not len(problems):
        problems.append(Problem(path.name, 0, "", "", "The file is empty.", f"Columns: {', '.join(COLUMNS)}."))
    _overlaps(path.name, found, problems)
    if len(problems):
        told = tuple(problem.sentence() for problem in problems)
        raise Refusal(
            "limits-not-read",
            f"The table of limits cannot be read: {told[0]}",
            remedy="Mend the file; nothing was taken in.",
            details=told[1:],
        )
    return tuple(found)


def _line(name: str, line: int, row: dict[str, str], found: list[Allowance], problems: ProblemLog) -> None:
    measure = row.get("measure", "").casefold()
    if measure not in MEASURES:
        reason = "A measure is calendar, hours or cycles."
        problems.append(Problem(name, line, "measure", row.get("measure", ""), reason, "Correct the word."))
        return
    read = _hours if measure == "hours" else _whole
    values: dict[str, int | None] = {}
    for column, reader in (("over", read), ("up_to", read), ("percent", _whole), ("at_most", read)):
        text = row.get(column, "")
        try:
            values[column] = reader(text) if text else None
        except (ValueError, Refusal):
            wanted = "Hours are written HHHH:MM." if reader is _hours else "A whole number is wanted."
            problems.append(Problem(name, line, column, text, wanted, "Correct the figure."))
            return
    if values["over"] is None:
        problems.append(Problem(name, line, "over", "", "The interval it begins above is empty.", "Write 0 for any."))
        return
    if values["percent"] is None and values["at_most"] is None:
        reason = "Neither percent nor at_most is stated."
        problems.append(Problem(name, line, "percent", "", reason, "State one of them or both."))
        return
    if values["percent"] is not None and not 0 <= values["percent"] <= 100:
        problems.append(Problem(name, line, "percent", row["percent"], "It is not between 0 and 100.", "Correct it."))
        return
    found.append(
        Allowance(
            measure=measure,
            over=values["over"],
            up_to=values["up_to"],
            percent=values["percent"],
            at_most=values["at_most"],
            reference=row.get("reference") or None,
        )
    )


def _overlaps(name: str, found: list[Allowance], problems: ProblemLog) -> None:
    """Two lines for one interval: which one is meant is not guessed."""
    for place, one in enumerate(found):
        for other in found[:place]:
            apart = (one.up_to is not None and one.up_to <= other.over) or (
                other.up_to is not None and other.up_to <= one.over
            )
            if one.measure == other.measure and not apart:
                reason = f"Two lines of {one.measure} speak of the same intervals."
                problems.append(Problem(name, 0, "over", str(one.over), reason, "Let each begin where another ends."))


def _whole(text: str) -> int:
    value = int(text)
    if value < 0 or not text.isdigit():
        raise ValueError(text)
    return value


def _hours(text: str) -> int:
    return parse_hours(text)

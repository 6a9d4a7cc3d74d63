"""Files on the command line: those supposed for a what-if, and what is said when rows are refused."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from fleetlife.cli.context import REFUSED, console, say

if TYPE_CHECKING:
    from fleetlife.clocks.supposed import Suppose


def supposed_files(
    *,
    utilisation: Path | None = None,
    programme: Path | None = None,
    bands: Path | None = None,
    date_order: str | None = None,
    hours: str | None = None,
) -> Suppose | None:
    """What the files have an answer suppose; None when no file is given. Refusals: those of `reading.read_named`."""
    paths = [] if programme is None else _programme(programme)
    if bands is not None:
        paths.append(("bands", bands))
    if utilisation is not None:
        paths.append(("utilisation", utilisation))
    if not paths:
        return None  # and nothing of the intake is loaded
    from fleetlife.actions.suppose import supposing
    from fleetlife.transfer.reading import read_named

    return supposing(read_named(paths, date_order=date_order, hours=hours))


def _programme(path: Path) -> list[tuple[str, Path]]:
    """A file called bands is one, any other states requirements; of a folder, both, and the rest is said to be left."""
    from fleetlife.transfer.reading import files_in

    if not path.is_dir():
        return [("bands" if path.stem.lower() == "bands" else "requirements", path)]
    names, others = files_in(path, ("requirements", "bands"))
    if others:
        say(f"Left out of {path}: {', '.join(others)}. Of a folder only requirements and bands are supposed.")
    return [(name, path) for name in names or ("requirements",)]


@contextmanager
def rows_refused(problems: Path | None) -> Iterator[None]:
    """Refused rows of the body are listed on standard error, and all written to `problems`; then it is left."""
    try:
        yield
    except Exception as refused:
        from fleetlife.actions.take_in import RowsRefused
        from fleetlife.reports.intake import problems_table

        if not isinstance(refused, RowsRefused):
            raise
        console(stderr=True).print(problems_table(refused.problems, outcome=refused.outcome))
        if problems is not None:
            from fleetlife.transfer.writing import answer_csv, write_bytes

            names = ("file", "line", "column", "value", "reason", "remedy")
            rows = [{name: getattr(problem, name) for name in names} for problem in refused.problems]
            write_bytes(problems, answer_csv(rows, names))
            say(f"All problems are in {problems}.")
        say(f"Refused ({refused.code}): {refused.message}")
        say(f"What to do: {refused.remedy}")
        raise typer.Exit(REFUSED) from None

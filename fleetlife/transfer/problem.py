"""What is wrong in a file: by file, line and column, with what to do. Problems are collected, never raised."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import IO

# So many problems are no slips but another kind of file: reading stops, and says where.
MOST_PROBLEMS = 100_000
_KEPT_IN_MEMORY = 20_000
_LONGEST_VALUE = 60


@dataclass(frozen=True, slots=True)
class Problem:
    """`line` is the line (of a workbook: the row) where the bad row begins, 0 for the file as a whole.

    `column` is empty where the row or the file is at fault. `value` is what stands there. `reason` and `remedy` are
    complete sentences.
    """

    file: str
    line: int
    column: str
    value: str
    reason: str
    remedy: str

    def sentence(self) -> str:
        """The problem on one line: place, cause, remedy."""
        place = self.file if not self.line else f"{self.file} line {self.line}"
        if self.column:
            place += f", {self.column}"
        if self.value:
            shown = self.value if len(self.value) <= _LONGEST_VALUE else self.value[: _LONGEST_VALUE - 3] + "..."
            place += f" {shown!r}"
        return f"{place}: {self.reason} {self.remedy}".rstrip()


def stopped(file: str, line: int) -> Problem:
    """What is said where reading stops because too much is wrong already."""
    return Problem(
        file,
        line,
        "",
        "",
        f"Reading stopped at this line, because there are {MOST_PROBLEMS:,} problems already.",
        "Check that it is the right file, mend what is listed, and take it in again to see the rest.",
    )


class Unreadable(Exception):
    """One value cannot be taken in; the reader turns it into a Problem with its place."""

    def __init__(self, reason: str, remedy: str) -> None:
        super().__init__(reason)
        self.reason = reason
        self.remedy = remedy


class ProblemLog:
    """All problems, in the order met. Beyond 20,000 they wait in a temporary file, so that memory stays bounded."""

    def __init__(self) -> None:
        self._first: list[Problem] = []
        self._rest: IO[str] | None = None
        self._count = 0

    def __len__(self) -> int:
        return self._count

    @property
    def full(self) -> bool:
        return self._count >= MOST_PROBLEMS

    def append(self, problem: Problem) -> None:
        self._count += 1
        if len(self._first) < _KEPT_IN_MEMORY:
            self._first.append(problem)
            return
        if self._rest is None:
            self._rest = tempfile.TemporaryFile("w+", encoding="utf-8")  # noqa: SIM115 - lives as long as the log
        self._rest.write(json.dumps(asdict(problem)) + "\n")

    def __iter__(self) -> Iterator[Problem]:
        yield from self._first
        if self._rest is not None:
            self._rest.flush()
            self._rest.seek(0)
            for line in self._rest:
                yield Problem(**json.loads(line))
            self._rest.seek(0, 2)

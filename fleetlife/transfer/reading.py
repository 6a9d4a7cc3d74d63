"""Files and folders as rows of values, streamed, every problem collected with its place.

A file is recognised by its stem: `units.csv` and `units.xlsx` are the file `units`. Rows that cannot be taken in are
left out and are in the problems; whoever takes files in refuses the whole when there is one.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

from fleetlife.terms.number import nearest
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.words import OTHER_COUNTERS
from fleetlife.transfer.column import Column, File
from fleetlife.transfer.columns import FILE_NAMES, file_named
from fleetlife.transfer.dates import check_order
from fleetlife.transfer.delimited import csv_rows
from fleetlife.transfer.problem import Problem, ProblemLog, Unreadable, stopped
from fleetlife.transfer.values import Converter, check_hours, converter_of, remembered
from fleetlife.transfer.workbook import workbook_converter, workbook_rows

# Called with the file's name and the number of rows read so far, every so many rows and at the end of each file.
Progress = Callable[[str, int], None]

SUFFIXES = (".csv", ".xlsx")
# Tables that one might take for a file of these, by their suffix: passing them over in silence would lose records.
_OTHER_TABLES = (".xls", ".xlsm", ".xlsb", ".ods", ".txt", ".tsv", ".tab", ".numbers")
_PROGRESS_EVERY = 10_000
_FAULTY_KEYS_KEPT = 100_000


class Row(NamedTuple):
    """`values` holds the columns that are not empty, by name, as the values told in columns.KINDS and `values`."""

    file: str
    line: int
    values: dict[str, object]


@dataclass(frozen=True, slots=True)
class Reading:
    """How ambiguous values are meant, as stated: `date_order` dmy, mdy or ymd; `hours` decimal or minutes.

    `marks_as_of` is the day that settles the century of a mark with a year of two digits; without it none is read.
    """

    date_order: str | None = None
    hours: str | None = None
    marks_as_of: date | None = None


@dataclass(slots=True)
class ReadFiles:
    """The files found, in import order. Problems grow while rows are read; `notes` say what was passed over.

    `faulty` holds, by file, the natural keys of rows left out, as far as they could be read (None where empty), so
    that a row that rests on one can be reported as such.
    """

    files: tuple[ReadFile, ...] = ()
    problems: ProblemLog = field(default_factory=ProblemLog)
    notes: tuple[str, ...] = ()
    faulty: dict[str, set[tuple[object, ...]]] = field(default_factory=dict)

    def file(self, name: str) -> ReadFile | None:
        """The file of that name, None when it was not found."""
        return next((file for file in self.files if file.name == name), None)

    def rows(self, name: str) -> Iterator[Row]:
        """The rows of the file of that name; none when it was not found."""
        file = self.file(name)
        return iter(()) if file is None else file.rows()


@dataclass(frozen=True, slots=True)
class ReadFile:
    """One file. `rows()` reads it from the beginning each time it is called, and adds what is wrong to the problems."""

    spec: File
    path: Path
    reading: Reading
    gathered: ReadFiles = field(repr=False, compare=False)
    progress: Progress | None = None

    @property
    def name(self) -> str:
        return self.spec.name

    def digest(self) -> str:
        """SHA-256 of the file's bytes, 64 hexadecimal characters."""
        with self.path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()

    def rows(self) -> Iterator[Row]:
        """The rows that can be taken in, in the file's order; nothing is kept of a row once it is handed out."""
        problems = self.gathered.problems
        workbook = self.path.suffix.lower() == ".xlsx"
        raw: Iterator[tuple[int, list[Any]]] = (workbook_rows if workbook else csv_rows)(self.path, problems)
        before = len(problems)
        header = next(raw, None)
        if header is None:
            if len(problems) == before:
                problems.append(
                    Problem(self.path.name, 0, "", "", "The file is empty.", "Write the header row and the rows.")
                )
            return
        columns = _columns(self.spec, self.path.name, header, problems)
        if columns is None:
            return
        yield from self._rows(raw, columns, self._converters(columns, workbook=workbook))

    def _converters(self, columns: list[Column | None], *, workbook: bool) -> list[Converter | None]:
        converters: list[Converter | None] = []
        for column in columns:
            if column is None:
                converters.append(None)
                continue
            convert = converter_of(
                column,
                date_order=self.reading.date_order,
                hours=self.reading.hours,
                marks_as_of=self.reading.marks_as_of,
            )
            if column.kind in ("name", "word"):
                convert = remembered(convert)
            converters.append(workbook_converter(column, convert, hours=self.reading.hours) if workbook else convert)
        return converters

    def _rows(
        self, raw: Iterator[tuple[int, list[Any]]], columns: list[Column | None], converters: list[Converter | None]
    ) -> Iterator[Row]:
        file, width, done = self.name, len(columns), 0
        names = [column.name if column else "" for column in columns]
        required = set(self.spec.required_names)
        complete = required <= set(names)
        wanted = required & set(names)
        take = [(place, names[place], convert) for place, convert in enumerate(converters) if convert is not None]
        for line, cells in raw:
            done += 1
            if self.progress is not None and done % _PROGRESS_EVERY == 0:
                self.progress(file, done)
            if self._stopped(line):
                break
            if len(cells) != width:
                self._ragged(line, cells, width)
                continue
            values: dict[str, object] = {}
            faults: list[tuple[str, Any, Unreadable]] | None = None
            for place, name, convert in take:
                cell = cells[place]
                if cell:
                    try:
                        values[name] = convert(cell)
                    except Unreadable as fault:
                        faults = [*(faults or ()), (name, cell, fault)]
            if faults is None and wanted <= values.keys():
                if complete:
                    yield Row(file, line, values)
                continue
            self._faulty(line, values, faults or [], wanted)
        if self.progress is not None:
            self.progress(file, done)

    def _stopped(self, line: int) -> bool:
        """True, and said, when so much is wrong already that the rest is not read."""
        problems = self.gathered.problems
        if problems.full:
            problems.append(stopped(self.path.name, line))
            return True
        return False

    def _ragged(self, line: int, cells: list[Any], width: int) -> None:
        self.gathered.problems.append(
            Problem(
                self.path.name,
                line,
                "",
                ",".join(_shown(cell) for cell in cells),
                f"The row has {len(cells)} cells and the header names {width} columns.",
                "Give every row as many cells as the header; put a cell that holds a comma in quotation marks.",
            )
        )

    def _faulty(
        self, line: int, values: dict[str, object], faults: list[tuple[str, Any, Unreadable]], wanted: set[str]
    ) -> None:
        """Report a row that is left out, and keep its natural key as far as it could be read."""
        problems = self.gathered.problems
        for column, cell, fault in faults:
            problems.append(Problem(self.path.name, line, column, _shown(cell), fault.reason, fault.remedy))
        unread = {column for column, _, _ in faults}
        for column in self.spec.required_names:
            if column in wanted and column not in values and column not in unread:
                problems.append(
                    Problem(self.path.name, line, column, "", "The value is missing and must be there.", "Fill it in.")
                )
        keys = self.gathered.faulty.setdefault(self.name, set())
        if len(keys) < _FAULTY_KEYS_KEPT and not unread & set(self.spec.key):
            keys.add(tuple(values.get(column) for column in self.spec.key))


def read_folder(
    path: Path | str,
    *,
    date_order: str | None = None,
    hours: str | None = None,
    marks_as_of: date | None = None,
    progress: Progress | None = None,
) -> ReadFiles:
    """The files of a folder in import order; of a single file, that file. The day, the order of dates and the reading
    of hours are told in `Reading`.

    Nothing is read yet but names: rows, and the problems in them, come from `ReadFile.rows()`.

    Refusals: `path-not-found`, `nothing-to-read`, `date-order-unknown`, `hours-reading-unknown`.
    """
    check_order(date_order)
    check_hours(hours)
    place = Path(path)
    if not place.exists():
        raise Refusal("path-not-found", f"There is no file or folder {place}.", remedy="Check the path.", status=2)
    found = ReadFiles()
    reading = Reading(date_order=date_order, hours=hours, marks_as_of=marks_as_of)
    entries = sorted(place.iterdir()) if place.is_dir() else [place]
    candidates: dict[str, list[Path]] = {}
    notes: list[str] = []
    for entry in entries:
        _sort_out(entry, candidates, notes, found.problems, alone=not place.is_dir())
    files = []
    for name in FILE_NAMES:
        paths = candidates.get(name, [])
        if len(paths) > 1:
            _twice(name, paths, found.problems)
        elif paths:
            files.append(ReadFile(file_named(name), paths[0], reading, found, progress))
    if not files and not found.problems:
        raise Refusal(
            "nothing-to-read",
            f"{place} holds no file that can be taken in.",
            remedy=f"Files are called {', '.join(FILE_NAMES)}, with the ending .csv or .xlsx.",
            details=tuple(notes),
        )
    found.files, found.notes = tuple(files), tuple(notes)
    return found


def read_named(
    paths: Iterable[tuple[str, Path]], *, date_order: str | None = None, hours: str | None = None
) -> ReadFiles:
    """Each path as the file named before it, whatever it is called itself.

    Of a folder, the file of that name in it. Refusals: `path-not-found`, `nothing-to-read`, `date-order-unknown`,
    `hours-reading-unknown`.
    """
    check_order(date_order)
    check_hours(hours)
    found, reading = ReadFiles(), Reading(date_order=date_order, hours=hours)
    files: dict[str, ReadFile] = {}
    for name, path in paths:
        if not path.exists():
            raise Refusal("path-not-found", f"There is no file or folder {path}.", remedy="Check the path.", status=2)
        own = _named_in(path, name) if path.is_dir() else [path]
        if not own:
            raise Refusal(
                "nothing-to-read",
                f"{path} holds no file {name}.csv or {name}.xlsx.",
                remedy="Name the file itself, or put it into the folder under that name.",
            )
        if len(own) > 1 or name in files:
            _twice(name, [*own, *([files[name].path] if name in files else ())], found.problems)
        elif own[0].suffix.lower() not in SUFFIXES:
            found.problems.append(_not_taken(own[0]))
        else:
            files[name] = ReadFile(file_named(name), own[0], reading, found)
    found.files = tuple(files[name] for name in FILE_NAMES if name in files)
    return found


def files_in(folder: Path, names: Iterable[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Which of the names are there as files of the folder, and the other entries of the folder, for what is said."""
    held = {name: _named_in(folder, name) for name in names}
    taken = {path for paths in held.values() for path in paths}
    others = tuple(entry.name for entry in sorted(folder.iterdir()) if entry not in taken)
    return tuple(name for name, paths in held.items() if paths), others


def _named_in(folder: Path, name: str) -> list[Path]:
    return [
        entry
        for entry in sorted(folder.iterdir())
        if entry.stem.lower() == name and entry.suffix.lower() in SUFFIXES and entry.is_file()
    ]


def _sort_out(
    entry: Path, candidates: dict[str, list[Path]], notes: list[str], problems: ProblemLog, *, alone: bool
) -> None:
    """Put one entry of a folder where it belongs: a file to read, a problem, or a note that it was passed over."""
    stem, suffix = entry.stem.lower(), entry.suffix.lower()
    if entry.name.startswith((".", "~$")) or not entry.is_file():
        notes.append(f"{entry.name} was passed over: it is no file of records.")
    elif suffix in SUFFIXES:
        if stem in FILE_NAMES:
            candidates.setdefault(stem, []).append(entry)
        else:
            problems.append(_unknown_file(entry, stem))
    elif alone or (suffix in _OTHER_TABLES and (stem in FILE_NAMES or suffix != ".txt")):
        problems.append(_not_taken(entry))
    else:
        notes.append(f"{entry.name} was passed over: only .csv and .xlsx are taken in.")


def _not_taken(entry: Path) -> Problem:
    return Problem(
        entry.name,
        0,
        "",
        "",
        f"Files ending in {entry.suffix.lower() or 'nothing'} are not taken in.",
        "Save it as .csv (comma-separated text, UTF-8) or .xlsx.",
    )


def _unknown_file(entry: Path, stem: str) -> Problem:
    close = nearest(stem, FILE_NAMES)
    hint = f"Did you mean {close}{entry.suffix}?" if close else f"Files are called {', '.join(FILE_NAMES)}."
    return Problem(entry.name, 0, "", "", f"There is no file called {stem}.", hint)


def _twice(name: str, paths: list[Path], problems: ProblemLog) -> None:
    for path in paths:
        others = ", ".join(other.name for other in paths if other != path)
        problems.append(
            Problem(path.name, 0, "", "", f"The file {name} is there twice, also as {others}.", "Leave one of them.")
        )


def _columns(spec: File, name: str, header: tuple[int, list[str]], problems: ProblemLog) -> list[Column | None] | None:
    """The columns named by the header, None for an unknown one; None when the rows cannot be told apart at all."""
    line, cells = header
    before = len(problems)
    folded = [cell.lower() for cell in cells]
    known = spec.column_names
    for place, cell in enumerate(folded, start=1):
        if not cell:
            problems.append(
                Problem(name, line, "", "", f"Column {place} has no name in the header.", "Name it or remove it.")
            )
        elif folded.index(cell) < place - 1:
            problems.append(Problem(name, line, cell, "", "The column is there twice.", "Leave one of them."))
    if len(problems) > before:
        return None
    columns: list[Column | None] = []
    for cell in folded:
        if cell in known:
            columns.append(spec.column(cell))
        else:
            columns.append(None)
            problems.append(_unknown_column(spec, name, line, cell, set(folded)))
    for column in spec.required_names:
        if column not in folded:
            problems.append(
                Problem(name, line, column, "", "The column is missing and must be there.", "Add it to the header.")
            )
    return columns


def _unknown_column(spec: File, name: str, line: int, cell: str, present: set[str]) -> Problem:
    spaced = cell.replace("_", " ")
    for counter in OTHER_COUNTERS:
        if counter.replace("_", " ") in spaced:
            return Problem(
                name,
                line,
                cell,
                "",
                f"No column is in {counter.replace('_', ' ')}: that is a counter of its own, never taken for cycles.",
                "Remove the column. State the counter in the file counters and its totals in counter_readings; a "
                "requirement names it in its column counter.",
            )
    close = nearest(cell.replace(" ", "_"), [known for known in spec.column_names if known not in present])
    hint = f"Did you mean {close}?" if close else f"Columns are {', '.join(spec.column_names)}."
    return Problem(name, line, cell, "", f"The file {spec.name} has no such column.", hint)


def _shown(cell: Any) -> str:
    return cell if isinstance(cell, str) else str(cell.value)

"""The views of the database that others may build on: their names and columns stay what they are.

They are read-only, the same on both databases, and show the records as they stand: no day asked about, nothing
projected, nothing judged. Days are ISO text, hours are minutes.
"""

from __future__ import annotations

from typing import NamedTuple


class View(NamedTuple):
    """A view: what a row of it is, and its columns in order with what each holds."""

    row: str
    columns: tuple[tuple[str, str], ...]


_AIRFRAME = (
    ("registration", "of the airframe, the last it bore; empty where none carries the unit"),
    ("constructor_serial", "of the airframe"),
)
_UNIT = (
    ("part_number", "of the unit, the current one"),
    ("serial_number", "of the unit"),
    ("manufacturer", "of the unit"),
)

VIEWS: dict[str, View] = {
    "installed": View(
        "a unit at a position by itself; what it holds is not listed",
        (
            *_AIRFRAME,
            ("position", "where it hangs"),
            *_UNIT,
            ("installed_on", "the day on which this stay began"),
            ("condition", "as recorded"),
            ("harness", "the side it is rigged for"),
            ("unit_id", "the unit's number in this database"),
            ("airframe_id", "the airframe's number in this database"),
        ),
    ),
    "due": View(
        "one edition of one requirement on one unit: when it falls due, before anything is projected. Whether it is "
        "overdue on a day is the answer of `fleetlife due`",
        (
            *_AIRFRAME,
            ("position", "where the unit hangs by itself; empty for what a unit holds"),
            *_UNIT,
            ("requirement", "its name; empty where no requirement is in force for the part"),
            ("kind", "of the requirement"),
            ("source", "of the requirement"),
            ("edition", "of the programme"),
            ("standing", "known, waiting, unknown, complete, no_programme"),
            ("calendar_due", "the day by the calendar"),
            ("airframe_minutes_due", "the airframe's total in minutes at which it falls due"),
            ("airframe_cycles_due", "the airframe's total in cycles at which it falls due"),
            ("left_minutes", "what is left in minutes while no airframe carries it"),
            ("left_cycles", "what is left in cycles while no airframe carries it"),
            ("operations_left", "what is left in operations"),
            ("in_force_from", "the first day of the edition"),
            ("in_force_until", "the day after its last; 9999-12-31 where no end is in sight"),
            ("unknown", "measures and causes that are not known, as JSON; empty where all are"),
            ("unit_id", "the unit's number in this database"),
            ("airframe_id", "of the airframe that carries it"),
            ("counter", "the counter that the next two are in"),
            ("airframe_counter_due", "the airframe's total of the counter at which it falls due"),
            ("left_counter", "what is left in the counter while no airframe carries it"),
        ),
    ),
    "readings_latest": View(
        "an airframe that has a reading: its last",
        (
            ("registration", "of the airframe, the last it bore"),
            ("constructor_serial", "of the airframe"),
            ("read_on", "the day at whose end it was read"),
            ("minutes", "total flight hours in minutes"),
            ("cycles", "total flight cycles"),
            ("airframe_id", "the airframe's number in this database"),
        ),
    ),
    "agreement": View(
        "a line of a certificate beside the unit it is filed against",
        (
            ("certificate", "its tracking number"),
            ("organisation", "that issued it"),
            ("item", "of the certificate"),
            ("dated_on", "the certificate's date"),
            ("status", "of the work, as printed"),
            ("printed_part_number", "as printed"),
            ("printed_serial_number", "as printed"),
            (
                "filed_part_number",
                "of the unit it is filed against, the current one; empty where it is filed against none",
            ),
            ("filed_serial_number", "of that unit"),
            ("filed_manufacturer", "of that unit"),
            ("expected_part_number", "what the unit bore on the certificate's day, with which the paper was compared"),
            ("expected_serial_number", "the unit's serial number, with which the paper was compared"),
            ("verdict", "the worse of the two verdicts: exact, formatting, leading-zeros ... different, unfiled"),
            (
                "difference",
                "none, writing (the same numbers, written differently), part number, serial number, part and serial "
                "number, unfiled",
            ),
            ("part_verdict", "of the part number alone"),
            ("serial_verdict", "of the serial number alone"),
            ("entry", "the ledger entry that the line rests on"),
            ("unit_id", "the unit's number in this database"),
        ),
    ),
}


def views_page() -> str:
    """The page of the manual, written from the list."""
    lines = [
        "# Views of the database",
        "",
        "For those who go on from there in SQL, or link a workbook. These views are read-only, have the same names and",
        "columns on SQLite and PostgreSQL, and keep them. They show the records as they stand now: no day is asked",
        "about, nothing is projected and nothing judged; that is what the commands do, with `--format csv`, `json` or",
        "`xlsx`, and `fleetlife.open(url)` in Python. Days are ISO text, hours are minutes. Tables beside them are the",
        "program's own and change with it.",
        "",
        "Give a reader an account that may only read. On PostgreSQL: `GRANT SELECT ON due, installed, readings_latest,",
        "agreement TO ...`; on SQLite open the file read-only (`file:fleet.db?mode=ro`).",
    ]
    for name, view in VIEWS.items():
        lines += ["", f"## {name}", "", f"A row is {view.row}.", "", "| column | what it holds |", "|---|---|"]
        lines += [f"| {column} | {holds} |" for column, holds in view.columns]
    lines += [
        "",
        "What the verdicts of `agreement` mean: [agreement.md](agreement.md). Which papers disagree, with the unit:",
        "",
        "```sql",
        "SELECT certificate, organisation, printed_serial_number, expected_serial_number, verdict, difference",
        "FROM agreement WHERE difference NOT IN ('none', 'writing') ORDER BY organisation, certificate;",
        "```",
    ]
    return "\n".join(lines) + "\n"

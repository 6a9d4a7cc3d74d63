"""The programme: what a revised edition moves, before it is taken in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, open_database, refusals, show
from fleetlife.cli.options import (
    AsOf,
    Bands,
    Database,
    DateOrder,
    Format,
    HoursReading,
    Output,
    Problems,
    check_format,
    check_reading,
)
from fleetlife.cli.supposed import rows_refused, supposed_files


def changes(
    path: Annotated[
        Path,
        typer.Argument(
            metavar="FOLDER|FILE", help="A requirements file, or a folder with requirements, bands or both."
        ),
    ],
    bands: Bands = None,
    date_order: DateOrder = None,
    hours: HoursReading = None,
    problems: Problems = None,
    as_of: AsOf = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What moves when a revised programme is taken in: which due point, from when to when, why; the worst first.

    Nothing is recorded; import applies it. An edition that takes effect later is shown from its day on, on what is
    known now. Exit status 0 when nothing comes earlier, 1 when something does, becomes overdue or cannot be told.

    \b
    Examples:
      fleetlife programme changes edition-5/
      fleetlife programme changes edition-5.csv --bands bands-5.csv
      fleetlife programme changes edition-5.csv --format xlsx --output changes.xlsx
    """
    check_format(format, output=output)
    check_reading(date_order, hours)
    with refusals():
        from fleetlife.answers.programme import programme_changes as ask
        from fleetlife.reports import rows as machine
        from fleetlife.terms.views import WORSE_MOVES

        day = as_of_day(as_of)
        files = supposed_files(programme=path, bands=bands, date_order=date_order, hours=hours)
        assert files is not None
        with open_database(database) as store, rows_refused(problems):
            answer = ask(store, as_of=day, suppose=files)
        if format == "table":
            from fleetlife.reports.changes import changes_report

            show(changes_report(answer), output=output)
        else:
            about = machine.about_as_dict(answer.about)
            about["counts"] = dict(answer.counts())
            about |= {name: getattr(answer, name) for name in ("new", "known", "units", "restated")}
            rows = machine.change_rows_as_dicts(answer)
            write_rows(about, rows, machine.CHANGE_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if any(row.move in WORSE_MOVES for row in answer.rows) else CLEAN)

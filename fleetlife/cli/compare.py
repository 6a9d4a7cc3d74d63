"""Two states of knowledge beside each other."""

from __future__ import annotations

from typing import Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, open_database, refusals, show
from fleetlife.cli.options import AsOf, Database, Format, Output, check_format

MOMENTS = "As the records stood then: a moment (UTC), a day, or an entry number. Twice: the earlier and the later."


def compare(
    known_at: Annotated[list[str], typer.Option("--known-at", metavar="MOMENT", help=MOMENTS)],
    registration: Annotated[
        list[str] | None,
        typer.Option("--airframe", metavar="REGISTRATION", help="Only what it carries or carried; may be repeated."),
    ] = None,
    as_of: AsOf = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What changed between two states of knowledge of one day: what was believed, what is, and by which entries.

    With one --known-at the other state is now. Exit status 0 when nothing differs, 1 when something does.

    \b
    Examples:
      fleetlife compare --known-at 2026-11-01
      fleetlife compare --known-at 2026-11-01 --known-at 2026-11-15 --airframe Q-TRN
      fleetlife compare --known-at 4120 --known-at 4163 --as-of 2026-10-31 --format json
    """
    check_format(format, output=output)
    if len(known_at) > 2:
        raise typer.BadParameter("Two moments at most: the earlier and the later.", param_hint="--known-at")
    with refusals():
        from fleetlife.answers.compare import compare as ask
        from fleetlife.reports import rows as machine

        with open_database(database) as store:
            answer = ask(
                store,
                as_of=as_of_day(as_of),
                earlier=known_at[0],
                later=known_at[1] if len(known_at) == 2 else None,
                registrations=registration or (),
            )
        if format == "table":
            from fleetlife.reports.compare import comparison_report

            show(comparison_report(answer), output=output)
        else:
            about = machine.comparison_about_as_dict(answer)
            rows = machine.difference_rows_as_dicts(answer)
            write_rows(about, rows, machine.DIFFERENCE_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if answer.rows else CLEAN)

"""`swap place`: in which ground time each swap that falls due is done."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, day_option, open_database, refusals, show
from fleetlife.cli.due import MOST_DAYS
from fleetlife.cli.options import AsOf, Database, Format, KnownAt, Output, check_format


def place(
    to_day: Annotated[
        str | None, typer.Option("--to", metavar="DAY", help="The last day of the horizon.", show_default=False)
    ] = None,
    within: Annotated[
        int | None,
        typer.Option("--within", metavar="DAYS", help="So many days from the day asked about.", show_default=False),
    ] = None,
    registration: Annotated[
        list[str] | None,
        typer.Option("--airframe", metavar="REGISTRATION", help="Only this airframe; may be repeated."),
    ] = None,
    station: Annotated[
        list[str] | None, typer.Option("--station", metavar="NAME", help="Only airframes based there; may be repeated.")
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """In which ground time each swap that falls due is done: the latest that begins in time, its station, its day.

    Ground times are the file ground_times. Nothing is recorded. Exit status 1 where a position has none before it falls
    due.

    \b
    Examples:
      fleetlife swap place --within 180
      fleetlife swap place --to 2027-06-30 --airframe Q-TRN --format csv
    """
    check_format(format, output=output)
    if (to_day is None) == (within is None):
        raise typer.BadParameter("Say until when: --to DAY or --within DAYS, one of them.", param_hint="--to")
    if within is not None and within < 0:
        raise typer.BadParameter("A number of days from 0 on.", param_hint="--within")
    day = as_of_day(as_of)
    until = day_option(to_day, "--to") if to_day is not None else day + timedelta(days=min(within or 0, MOST_DAYS))
    with refusals():
        from fleetlife.answers.swap_place import swap_place

        with open_database(database) as store:
            answer = swap_place(
                store,
                as_of=day,
                until=until,
                known_at=known_at,
                registrations=registration or (),
                stations=station or (),
            )
        if format == "table":
            from fleetlife.reports.placing import swaps_placed

            show(swaps_placed(answer), output=output)
        else:
            from fleetlife.reports.rows import about_as_dict, listed
            from fleetlife.terms.placing import PlacedSwap

            columns = tuple(PlacedSwap.__dataclass_fields__)
            about = about_as_dict(answer.about) | {"until": answer.until, "unknown_positions": answer.unknown}
            write_rows(about, listed(answer.rows, columns), columns, format=format, output=output)
    raise typer.Exit(FINDINGS if answer.without else CLEAN)

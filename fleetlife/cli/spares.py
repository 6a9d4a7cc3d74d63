"""The planner's commands about spares: which one to which position, and how long the stock lasts."""

from __future__ import annotations

from datetime import timedelta
from typing import Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, day_option, open_database, progress_line, refusals, show
from fleetlife.cli.due import MOST_DAYS
from fleetlife.cli.options import AsOf, Database, Format, KnownAt, Output, check_format

MOST_MONTHS = 120
MOST_FILL_RATE = 0.9999


def choose(
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
    least_days: Annotated[
        int, typer.Option("--least-days", metavar="DAYS", help="The life a spare must have left when fitted.")
    ] = 0,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Which spare to which position that falls due, so that least is left, re-rigged and thrown away.

    Each pair is judged by the fitting question on the day it would be fitted. Nothing is recorded or reserved. Exit
    status 1 where a position is left without a spare.

    \b
    Examples:
      fleetlife spares choose --within 180
      fleetlife spares choose --to 2027-06-30 --station Skarholm --least-days 90
      fleetlife spares choose --within 365 --format json
    """
    check_format(format, output=output)
    if (to_day is None) == (within is None):
        raise typer.BadParameter("Say until when: --to DAY or --within DAYS, one of them.", param_hint="--to")
    for number, option in ((within, "--within"), (least_days, "--least-days")):
        if number is not None and number < 0:
            raise typer.BadParameter("A number of days from 0 on.", param_hint=option)
    day = as_of_day(as_of)
    until = day_option(to_day, "--to") if to_day is not None else day + timedelta(days=min(within or 0, MOST_DAYS))
    with refusals():
        from fleetlife.answers.spares_choose import spares_choose

        with open_database(database) as store, progress_line() as tell:
            answer = spares_choose(
                store,
                as_of=day,
                until=until,
                known_at=known_at,
                registrations=registration or (),
                stations=station or (),
                least_days=least_days,
                tell=tell,
            )
        if format == "table":
            from fleetlife.reports.spares import spares_chosen

            show(spares_chosen(answer), output=output)
        else:
            from fleetlife.reports.rows import CHOICE_COLUMNS, choices_about_as_dict, choices_as_dicts

            about = choices_about_as_dict(answer)
            write_rows(about, choices_as_dicts(answer), CHOICE_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if any(row.spare_serial_number is None for row in answer.rows) else CLEAN)


def outlook(
    months: Annotated[int, typer.Option("--months", metavar="N", help="The rest of this month and so many more.")] = 12,
    turnaround: Annotated[
        int | None,
        typer.Option(
            "--turnaround", metavar="DAYS", help="In the place of the measured turnaround.", show_default=False
        ),
    ] = None,
    fill_rate: Annotated[
        float, typer.Option("--fill-rate", metavar="SHARE", help="Of demands to be met at once; below 1.")
    ] = 0.95,
    part: Annotated[
        list[str] | None,
        typer.Option("--part", metavar="PART", help="Only the line this part number is in; may be repeated."),
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """How long the stock lasts: by family and rig, month by month, with the chance that it runs out.

    Scheduled removals come from due points, unscheduled ones are Poisson at the rate that the records show. Exit status
    1 where a shortage is expected.

    \b
    Examples:
      fleetlife spares outlook
      fleetlife spares outlook --months 24 --part KV-2100-3
      fleetlife spares outlook --turnaround 75 --fill-rate 0.9 --format csv
    """
    check_format(format, output=output)
    if not 0 <= months <= MOST_MONTHS:
        raise typer.BadParameter(f"A number of months from 0 to {MOST_MONTHS}.", param_hint="--months")
    if not 0 <= fill_rate <= MOST_FILL_RATE:
        raise typer.BadParameter(f"A share from 0 to {MOST_FILL_RATE}.", param_hint="--fill-rate")
    if turnaround is not None and not 0 <= turnaround <= MOST_DAYS:
        raise typer.BadParameter(f"A number of days from 0 to {MOST_DAYS}.", param_hint="--turnaround")
    day = as_of_day(as_of)
    with refusals():
        from fleetlife.answers.spares_outlook import spares_outlook

        with open_database(database) as store:
            answer = spares_outlook(
                store,
                as_of=day,
                months=months,
                known_at=known_at,
                turnaround=turnaround,
                fill_rate=fill_rate,
                part_numbers=part or (),
            )
        if format == "table":
            from fleetlife.reports.spares import spares_outlook as report

            show(report(answer), output=output)
        else:
            from fleetlife.reports.rows import OUTLOOK_COLUMNS, outlook_about_as_dict, outlook_rows_as_dicts

            about = outlook_about_as_dict(answer)
            write_rows(about, outlook_rows_as_dicts(answer), OUTLOOK_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if any(line.first_shortage for line in answer.lines) else CLEAN)

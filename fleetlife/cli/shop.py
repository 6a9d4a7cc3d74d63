"""The planner's commands about shops: the visits to come, and the order of one."""

from __future__ import annotations

from typing import Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, day_option, open_database, refusals, show
from fleetlife.cli.due import MOST_DAYS
from fleetlife.cli.options import (
    AsOf,
    Database,
    Format,
    KnownAt,
    Manufacturer,
    Output,
    Part,
    Serial,
    check_format,
)
from fleetlife.cli.spares import MOST_MONTHS

Turnaround = Annotated[
    int | None,
    typer.Option("--turnaround", metavar="DAYS", help="In the place of the measured turnaround.", show_default=False),
]


def _check_turnaround(days: int | None) -> None:
    if days is not None and not 0 <= days <= MOST_DAYS:
        raise typer.BadParameter(f"A number of days from 0 to {MOST_DAYS}.", param_hint="--turnaround")


def forecast(
    months: Annotated[int, typer.Option("--months", metavar="N", help="The rest of this month and so many more.")] = 24,
    turnaround: Turnaround = None,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="PART", help="Only this part number; may be repeated.")
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Visits to shops that are still to come: by kind of work and part, month by month, those that come again included.

    From due points at the earliest; what comes again is reckoned from the forecast visit and the turnaround. What
    cannot be told is counted apart, with why. Exit status 1 where something is overdue or cannot be told.

    \b
    Examples:
      fleetlife shop forecast
      fleetlife shop forecast --months 60 --part KV-2100-3 --turnaround 45
      fleetlife shop forecast --format xlsx --output visits.xlsx
    """
    check_format(format, output=output)
    if not 0 <= months <= MOST_MONTHS:
        raise typer.BadParameter(f"A number of months from 0 to {MOST_MONTHS}.", param_hint="--months")
    _check_turnaround(turnaround)
    day = as_of_day(as_of)
    with refusals():
        from fleetlife.answers.shop import shop_forecast

        with open_database(database) as store:
            answer = shop_forecast(
                store,
                as_of=day,
                months=months,
                known_at=known_at,
                turnaround=turnaround,
                part_numbers=part or (),
            )
        if format == "table":
            from fleetlife.reports.shop import shop_forecast as report

            show(report(answer), output=output)
        else:
            from fleetlife.reports.rows import SHOP_COLUMNS, shop_about_as_dict, shop_rows_as_dicts

            about = shop_about_as_dict(answer)
            write_rows(about, shop_rows_as_dicts(answer), SHOP_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if answer.apart or any(row.overdue for row in answer.rows) else CLEAN)


def order(
    part: Part,
    serial: Serial,
    manufacturer: Manufacturer = None,
    on: Annotated[
        str | None,
        typer.Option(
            "--on", metavar="DAY", help="The day it goes; the day asked about if left out.", show_default=False
        ),
    ] = None,
    work: Annotated[
        list[str] | None,
        typer.Option(
            "--work", metavar="NAME", help="A requirement of the unit itself that is done too; may be repeated."
        ),
    ] = None,
    turnaround: Turnaround = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """One unit that goes to a shop: the work that is due, and what it holds that passes before its own next date.

    What falls due before it is back is in it, overdue first, each with date and reason; what cannot be told is listed,
    never left out. Exit status 1 where something cannot be told.

    \b
    Examples:
      fleetlife shop order SP-4100-3 0417
      fleetlife shop order SP-4100-3 0417 --on 2027-01-15 --work OVH --turnaround 45
      fleetlife shop order SP-4100-3 0417 --format csv --output order.csv
    """
    check_format(format, output=output)
    _check_turnaround(turnaround)
    day = as_of_day(as_of)
    with refusals():
        from fleetlife.answers.shop_order import shop_order
        from fleetlife.cli.scanning import unit_asked
        from fleetlife.terms.shop import NOT_TOLD

        sent = None if on is None else day_option(on, "--on")
        with open_database(database) as store:
            named = unit_asked(store, part, serial, manufacturer, as_of=day)
            answer = shop_order(
                store,
                part_number=named[0],
                serial_number=named[1],
                manufacturer=named[2],
                as_of=day,
                known_at=known_at,
                sent_on=sent,
                turnaround=turnaround,
                work=work or (),
            )
        if format == "table":
            from fleetlife.reports.shop import shop_order as report

            show(report(answer), output=output)
        else:
            from fleetlife.reports.rows import ORDER_COLUMNS, order_about_as_dict, order_rows_as_dicts

            about = order_about_as_dict(answer)
            write_rows(about, order_rows_as_dicts(answer), ORDER_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if any(line.group == NOT_TOLD for line in answer.lines) else CLEAN)

"""Deferrals: opened, closed and listed as authorised people entered them."""

from __future__ import annotations

from typing import Annotated

import typer

from fleetlife.cli.asked_for import record_asked
from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, open_database, refusals, show
from fleetlife.cli.options import (
    AsOf,
    Database,
    Format,
    KnownAt,
    On,
    Output,
    check_format,
    text_option,
)
from fleetlife.cli.takes import FILED, Asked, takes

Registration = Annotated[str | None, typer.Argument(metavar="REGISTRATION")]
Position = Annotated[str | None, typer.Argument(metavar="POSITION")]


@takes(*FILED)
def open_one(
    registration: Registration = None,
    position: Position = None,
    item: Annotated[str | None, text_option("--item", "TEXT", "What is missing or does not work.")] = None,
    authorised_by: Annotated[str | None, text_option("--authorised-by", "STAFF", "Who authorised it.")] = None,
    expires: Annotated[str | None, text_option("--expires", "DAY", "Its last day, as they entered it.")] = None,
    conditions: Annotated[str | None, text_option("--conditions", "TEXT", "Under which conditions.")] = None,
    log_page: Annotated[str | None, text_option("--log-page", "PAGE", "The page of the technical log.")] = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """An inoperative or missing item at a position, as authorised people entered it.

    Neither the limit nor the expiry is computed. A passed maintenance date is not an inoperative item and cannot be
    deferred this way: what is overdue there is named, and stays overdue.

    \b
    Examples:
      fleetlife deferral open Q-TRN R2 --item "slide missing" --authorised-by S-501 --expires 2026-12-05 --preview
      fleetlife deferral open --file deferral.json --yes
    """
    from fleetlife.actions.deferral import DeferralRequest, open_deferral

    record_asked(
        DeferralRequest,
        open_deferral,
        {
            "registration": registration,
            "position": position,
            "on": on,
            "item": item,
            "authorised_by": authorised_by,
            "expires": expires,
            "log_page": log_page,
            "conditions": conditions,
        },
        asked,
    )


@takes(*FILED)
def close_one(
    registration: Registration = None,
    position: Position = None,
    closed_by: Annotated[str | None, text_option("--closed-by", "STAFF", "Who closed it.")] = None,
    opened: Annotated[
        str | None, text_option("--opened", "DAY", "Which, by the day it was opened; else the one that is open.")
    ] = None,
    on: On = None,
    *,
    asked: Asked,
) -> None:
    """A deferral is over: the item has been put right. One that is not open is refused.

    \b
    Examples:
      fleetlife deferral close Q-TRN R2 --closed-by S-304
      fleetlife deferral close Q-TRN R2 --opened 2026-11-25 --closed-by S-304 --preview
    """
    from fleetlife.actions.deferral import DeferralCloseRequest, close_deferral

    record_asked(
        DeferralCloseRequest,
        close_deferral,
        {
            "registration": registration,
            "position": position,
            "on": on,
            "closed_by": closed_by,
            "opened": opened,
        },
        asked,
    )


def list_all(
    registration: Registration = None,
    everything: Annotated[bool, typer.Option("--all", help="Closed ones too.")] = False,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What is carried under a deferral: where, since when, until when, by whom, under which conditions, as entered.

    Exit status 1 where one has passed its expiry.

    \b
    Examples:
      fleetlife deferral list
      fleetlife deferral list Q-TRN --all --format csv --output deferrals.csv
    """
    check_format(format, output=output)
    with refusals():
        from fleetlife.answers.deferrals import deferral_list

        with open_database(database) as store:
            answer = deferral_list(
                store, registration=registration, everything=everything, as_of=as_of_day(as_of), known_at=known_at
            )
        from fleetlife.reports import deferrals as pages

        if format == "table":
            show(pages.deferral_report(answer), output=output)
        else:
            from fleetlife.reports import rows as machine
            from fleetlife.terms.deferrals import DEFERRAL_COLUMNS

            about = machine.about_as_dict(answer.about) | {"told": answer.told}
            write_rows(about, pages.deferral_rows(answer), DEFERRAL_COLUMNS, format=format, output=output)
    raise typer.Exit(FINDINGS if any(row.state == "expired" for row in answer.rows) else CLEAN)

"""Publications: which units a directive or bulletin means, and what is open on them."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, open_database, refusals, show
from fleetlife.cli.options import AsOf, Database, Format, KnownAt, Output, check_format


def status(
    reference: Annotated[str, typer.Argument(metavar="REFERENCE", help="The publication's reference.")],
    revision: Annotated[
        str | None,
        typer.Option(
            "--revision", metavar="REVISION", help="Another than the one that counts on the day.", show_default=False
        ),
    ] = None,
    full: Annotated[bool, typer.Option("--full", help="Every unit with its reasons, closed ones too.")] = False,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Which units a directive or bulletin means, where they are, what is open on them and what closes it.

    A unit of which it cannot be told is shown as that, above what is in order, and never as not affected. The status is
    1 when something is open past its limit, or cannot be told.

    \b
    Examples:
      fleetlife publication status QD-2026-014
      fleetlife publication status QD-2026-014 --as-of 2027-03-31 --full
      fleetlife publication status QB-25-0031 --format xlsx --output affected.xlsx
    """
    check_format(format, output=output)
    with refusals():
        from fleetlife.answers.publication import publication_status

        with open_database(database) as store:
            answer = publication_status(
                store, reference=reference, revision=revision, as_of=as_of_day(as_of), known_at=known_at
            )
        if format == "table":
            from fleetlife.reports.publication import status_report

            show(status_report(answer, full=full), output=output)
        else:
            from fleetlife.reports import publication as pages
            from fleetlife.terms.publications import STATUS_COLUMNS

            about = pages.status_about(answer)
            write_rows(about, pages.status_rows(answer), STATUS_COLUMNS, format=format, output=output)
        bad = answer.is_open_or_unknown
    raise typer.Exit(FINDINGS if bad else CLEAN)


def list_all(
    everything: Annotated[
        bool, typer.Option("--all", help="Those superseded, cancelled or revised too, which are not judged.")
    ] = False,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """The directives and bulletins in the records, each with how many units it means and in how many it is open.

    The status is 1 when something is open past its limit, or cannot be told.

    \b
    Examples:
      fleetlife publication list
      fleetlife publication list --all --format csv --output publications.csv
    """
    check_format(format, output=output)
    with refusals():
        from fleetlife.answers.publication import publication_list

        with open_database(database) as store:
            answer = publication_list(store, as_of=as_of_day(as_of), known_at=known_at, everything=everything)
        if format == "table":
            from fleetlife.reports.publication import list_report

            show(list_report(answer), output=output)
        else:
            from fleetlife.reports import publication as pages
            from fleetlife.reports import rows as machine
            from fleetlife.terms.publications import LIST_COLUMNS

            about: dict[str, Any] = machine.about_as_dict(answer.about) | {"units_looked_at": answer.units}
            write_rows(about, pages.list_rows(answer), LIST_COLUMNS, format=format, output=output)
        bad = any(row.overdue or row.unknown or row.cannot_be_told for row in answer.rows)
    raise typer.Exit(FINDINGS if bad else CLEAN)

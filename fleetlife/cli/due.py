"""The planner's question: what expires, where, and what is to be put there; its windows, what narrows it, what if, and
held against an earlier state."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    day_option,
    open_database,
    progress_line,
    refusals,
    say,
    show,
)
from fleetlife.cli.options import (
    AsOf,
    Bands,
    Database,
    DateOrder,
    FittedOn,
    Format,
    HoursReading,
    KnownAt,
    Output,
    Problems,
    Programme,
    Since,
    SinceAsOf,
    Utilisation,
    check_format,
    check_reading,
)
from fleetlife.cli.supposed import rows_refused, supposed_files
from fleetlife.terms import words

if TYPE_CHECKING:
    from fleetlife.store.engine import Store
    from fleetlife.terms.spares import DueWithSpares
    from fleetlife.terms.views import DueList

MOST_DAYS = 36_525  # a hundred years: no window is longer
_MONTH = re.compile(r"\d{4}-(0[1-9]|1[0-2])")


def due(
    next_month: Annotated[
        bool, typer.Option("--next-month", help="The calendar month after the day asked about.")
    ] = False,
    month: Annotated[
        str | None, typer.Option("--month", metavar="YYYY-MM", help="One month.", show_default=False)
    ] = None,
    from_day: Annotated[
        str | None, typer.Option("--from", metavar="DAY", help="First day.", show_default=False)
    ] = None,
    to_day: Annotated[str | None, typer.Option("--to", metavar="DAY", help="Last day.", show_default=False)] = None,
    everything: Annotated[bool, typer.Option("--all", help="Every row, dated or not.")] = False,
    registration: Annotated[
        list[str] | None,
        typer.Option("--airframe", metavar="REGISTRATION", help="Only this airframe; may be repeated."),
    ] = None,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="PART", help="Only this part number; may be repeated.")
    ] = None,
    requirement: Annotated[
        list[str] | None, typer.Option("--requirement", metavar="NAME", help="Only this requirement; may be repeated.")
    ] = None,
    station: Annotated[
        list[str] | None, typer.Option("--station", metavar="NAME", help="Only airframes based there; may be repeated.")
    ] = None,
    type: Annotated[
        list[str] | None, typer.Option("--type", metavar="TYPE", help="Only airframes of this type; may be repeated.")
    ] = None,
    operator: Annotated[
        list[str] | None,
        typer.Option("--operator", metavar="NAME", help="Only airframes of this operator; may be repeated."),
    ] = None,
    source: Annotated[
        list[str] | None,
        typer.Option("--source", metavar="SOURCE", help="Only requirements from this source; may be repeated."),
    ] = None,
    side: Annotated[
        list[str] | None,
        typer.Option(
            "--side", metavar="SIDE", help="Only positions of this side, and spares rigged for it; may be repeated."
        ),
    ] = None,
    within: Annotated[
        int | None,
        typer.Option("--within", metavar="DAYS", help="So many days from the day asked about.", show_default=False),
    ] = None,
    by: Annotated[
        str, typer.Option("--by", metavar="GROUP", help="state, month, airframe, station, part or position.")
    ] = "state",
    full: Annotated[bool, typer.Option("--full", help="List unknown rows one by one.")] = False,
    calendar: Annotated[
        Path | None,
        typer.Option("--calendar", metavar="FILE", help="Write it as a calendar (RFC 5545) too.", show_default=False),
    ] = None,
    spares: Annotated[
        bool,
        typer.Option(
            "--spares", help="What to put there too: the spare chosen where a unit must come off, or why none."
        ),
    ] = False,
    least_days: Annotated[
        int,
        typer.Option(
            "--least-days", metavar="DAYS", help="With --spares: the life a spare must have left when fitted."
        ),
    ] = 0,
    page: Annotated[
        Path | None,
        typer.Option(
            "--page",
            metavar="FILE",
            help="Write it as one page (HTML) with spares, doors, removals by month and stock.",
            show_default=False,
        ),
    ] = None,
    since: Since = None,
    since_as_of: SinceAsOf = None,
    utilisation: Utilisation = None,
    programme: Programme = None,
    bands: Bands = None,
    date_order: DateOrder = None,
    hours: HoursReading = None,
    problems: Problems = None,
    fitted_on: FittedOn = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What expires, where, and by which measure; overdue and unknown on top, coverage at the end.

    Without a window: the 30 days from the day asked about. What waits in stores shows the date it would have if fitted
    that day, or on another one (--fitted-on). With --spares it says what to put there, chosen as by `spares choose`;
    exit status 1 also where there is none. What if (--utilisation, --programme): the list as it would
    be with these files; nothing is recorded, and the head of the answer names them with their digests. With --since:
    what came into the window, went out of it or moved in it since that moment of knowledge (and, with --since-as-of,
    since that day: its own window beside today's), why, and by which entries.

    \b
    Examples:
      fleetlife due --next-month
      fleetlife due --next-month --spares
      fleetlife due --next-month --page next-month.html
      fleetlife due --within 60 --since 2026-11-01
      fleetlife due --since 1282 --since-as-of 2026-11-18
      fleetlife due --month 2026-12 --by airframe
      fleetlife due --within 90 --station Skarholm --side left --by part
      fleetlife due --within 90 --station Skarholm --calendar skarholm.ics
      fleetlife due --from 2026-12-01 --to 2027-02-28 --format xlsx --output due.xlsx
      fleetlife due --all --airframe Q-TRN --as-of 2026-03-01 --known-at 2026-03-02
      fleetlife due --to 2027-12-31 --utilisation summer-plan.csv
      fleetlife due --to 2027-12-31 --programme edition-5.csv --bands bands-5.csv
      fleetlife due --all --part SP-4100-3 --fitted-on 2027-03-01
    """
    check_format(format, output=output)
    if by not in ("state", "month", "airframe", "station", "part", "position"):
        raise typer.BadParameter("state, month, airframe, station, part or position.", param_hint="--by")
    for option, given, allowed in (("--source", source, words.SOURCES), ("--side", side, words.SIDES)):
        for name in given or ():
            if name not in allowed:
                raise typer.BadParameter(f"{name!r} is none of {', '.join(allowed)}.", param_hint=option)
    day = as_of_day(as_of)
    if within is not None:
        if within < 0 or any((next_month, month, from_day, to_day, everything)):
            raise typer.BadParameter(
                "A number of days from 0 on, and no other window beside it.", param_hint="--within"
            )

    def window_of(on: date) -> tuple[date | None, date | None]:
        last = to_day if within is None else (on + timedelta(days=min(within, MOST_DAYS))).isoformat()
        return window(on, next_month=next_month, month=month, from_day=from_day, to_day=last, everything=everything)

    begin, end = window_of(day)
    check_reading(date_order, hours)
    if least_days < 0 or (least_days and not (spares or page)):
        raise typer.BadParameter("A number of days from 0 on, beside --spares or --page.", param_hint="--least-days")
    if (spares or page) and (end is None or fitted_on is not None):
        raise typer.BadParameter(
            "Spares are chosen for a window with a last day, each for the day it is needed: leave --all and "
            "--fitted-on out.",
            param_hint="--page" if page else "--spares",
        )
    narrowed = {
        "registrations": registration or (),
        "part_numbers": part or (),
        "requirements": requirement or (),
        "sources": source or (),
        "sides": side or (),
    }
    told = {"station": station or (), "type": type or (), "operator": operator or ()}
    fitting = None if fitted_on is None else day_option(fitted_on, "--fitted-on")
    if since_as_of is not None and since is None:
        raise typer.BadParameter("It goes with --since.", param_hint="--since-as-of")
    if since is not None:
        if any((utilisation, programme, bands, calendar, spares, page, full)) or by != "state":
            raise typer.BadParameter(
                "It goes with no file supposed, no calendar, no spares, no page, no --by and no --full.",
                param_hint="--since",
            )
        from fleetlife.cli.due_since import Asked, ask_since

        answered = ask_since(
            Asked(
                day=day,
                window_of=window_of,
                everything=everything,
                narrowed={**narrowed, "told": told},
                fitted_on=fitting,
            ),
            moment=since,
            since_as_of=since_as_of,
            known_at=known_at,
            format=format,
            output=output,
            database=database,
        )
        raise typer.Exit(answered)
    asked: dict[str, Any] = {
        "as_of": day,
        "window_from": begin,
        "window_until": end,
        "known_at": known_at,
        **narrowed,
        **{f"{name}s": names for name, names in told.items()},
    }
    with refusals():
        asked["suppose"] = supposed_files(
            utilisation=utilisation, programme=programme, bands=bands, date_order=date_order, hours=hours
        )
        with open_database(database) as store, rows_refused(problems):
            if spares or page:
                served = _with_spares(store, asked, least_days=least_days, page=page)
                answer = served.due
            else:
                from fleetlife.answers.due import due as ask

                served, answer = None, ask(store, **asked, everything=everything, fitted_on=fitting)
        if calendar is not None:
            from fleetlife.transfer.calendar import due_calendar
            from fleetlife.transfer.writing import write_bytes

            write_bytes(calendar, due_calendar(answer))
            say(f"Written to {calendar}.")
        if page is None or format != "table" or output is not None:
            _write_due(answer, served, by=by, full=full, format=format, output=output)
        short = served is not None and any(row.spare_serial_number is None for row in served.chosen.rows)
    raise typer.Exit(FINDINGS if short else due_status(answer))


def due_status(answer: DueList) -> int:
    """The exit status of a due list: something is overdue or unknown, found, or without a programme."""
    bad = any(row.state in ("overdue", "unknown") for row in answer.rows) or answer.findings
    return FINDINGS if bad or answer.coverage.without_programme or answer.coverage.unknown_rows else CLEAN


def _with_spares(store: Store, asked: dict[str, Any], *, least_days: int, page: Path | None) -> DueWithSpares:
    """The list with its spares; with `page` the page is written too, whole or not at all."""
    with progress_line() as tell:
        if page is None:
            from fleetlife.answers.due_spares import due_with_spares

            return due_with_spares(store, **asked, least_days=least_days, tell=tell)
        from fleetlife.answers.planned import planned

        plan = planned(store, **asked, least_days=least_days, tell=tell)
    from fleetlife.reports.planners_page import planners_page
    from fleetlife.transfer.writing import write_bytes

    write_bytes(page, planners_page(plan))
    say(f"Written to {page}.")
    return plan.listed


def window(
    day: date, *, next_month: bool, month: str | None, from_day: str | None, to_day: str | None, everything: bool
) -> tuple[date | None, date | None]:
    """The first and last day asked; one way of asking only."""
    asked = [next_month, month is not None, from_day is not None or to_day is not None]
    if sum(asked) > 1:
        raise typer.BadParameter("Ask for --next-month, --month or --from/--to, not for two of them.")
    if next_month or month is not None:
        if month is None:
            first = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
        elif not _MONTH.fullmatch(month):
            raise typer.BadParameter(f"{month!r} is not a month; write YYYY-MM.", param_hint="--month")
        else:
            first = day_option(f"{month}-01", "--month")
        return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    if from_day is not None or to_day is not None:
        begin = day_option(from_day, "--from") if from_day else None
        end = day_option(to_day, "--to") if to_day else None
        if begin and end and end < begin:
            raise typer.BadParameter("It is before --from.", param_hint="--to")
        if end is None:
            raise typer.BadParameter("Say until when with --to.", param_hint="--to")
        return begin, end
    if everything:
        return None, None
    return None, day + timedelta(days=30)


def _write_due(
    answer: DueList, served: DueWithSpares | None, *, by: str, full: bool, format: str, output: Path | None
) -> None:
    from fleetlife.reports import rows as machine

    if format == "table":
        if served is None:
            from fleetlife.reports.due import due_report

            show(due_report(answer, by=by, full=full), output=output)
        else:
            from fleetlife.reports.due_spares import due_spares_report

            show(due_spares_report(served, by=by, full=full), output=output)
        return
    about = about_of_due(answer)
    rows, columns = machine.due_rows_as_dicts(answer), machine.DUE_COLUMNS
    if served is not None:
        about |= machine.due_spares_about(served)
        rows, columns = machine.due_spares_as_dicts(served), machine.DUE_SPARES_COLUMNS
    write_rows(about, rows, columns, format=format, output=output)


def about_of_due(answer: DueList) -> dict[str, Any]:
    """The head of a due list for machines."""
    from fleetlife.reports import rows as machine
    from fleetlife.terms.published import rules_applied

    about = machine.about_as_dict(answer.about)
    about["coverage"] = machine.coverage_as_dict(answer.coverage)
    about["findings"] = machine.findings_as_dicts(answer.findings)
    about["published_rules"] = machine.rules_as_dicts(rules_applied())
    about["fitted_on"] = answer.fitted_on or answer.about.as_of
    return about

"""Making and filling a database: init, import, export, demo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.context import (
    as_of_day,
    database_url,
    open_database,
    progress_line,
    refusals,
    settings,
    show,
    staff,
)
from fleetlife.cli.options import (
    AcceptedWhy,
    AsOf,
    ClockBehind,
    Database,
    DateOrder,
    HoursReading,
    Preview,
    Problems,
    Yes,
    check_reading,
)
from fleetlife.cli.showing import shown_first
from fleetlife.cli.supposed import rows_refused

if TYPE_CHECKING:
    from fleetlife.life.extensions import Allowance
    from fleetlife.terms.views import IntakeReport


def init(
    database: Database = None,
    upgrade: Annotated[
        bool, typer.Option("--upgrade", help="Bring an older database to this program's schema.")
    ] = False,
) -> None:
    """Make the tables of a new database, or upgrade an older one.

    \b
    Example: fleetlife init --database sqlite:///fleet.db
    """
    with refusals():
        from fleetlife.store.engine import open_store
        from fleetlife.store.migrate import make_or_upgrade

        url = database_url(database)
        if url.removeprefix("sqlite://") in ("", "/", "/:memory:", ":memory:"):
            raise typer.BadParameter("A database in memory is gone when the command ends.", param_hint="--database")
        if url.startswith("sqlite:///"):
            Path(url.removeprefix("sqlite:///")).expanduser().parent.mkdir(parents=True, exist_ok=True)
        store = open_store(url, any_schema=True)
        try:
            before = make_or_upgrade(store)
        finally:
            store.close()
        if before is None:
            typer.echo(f"Made a new database: {store.name}")
            typer.echo("Next: fleetlife import FOLDER")
        elif upgrade:
            typer.echo(f"The database {store.name} is at this program's schema (it was at {before}).")
        else:
            typer.echo(
                f"The database {store.name} was there already; nothing was changed that an upgrade does not need."
            )


def import_files(
    path: Annotated[Path, typer.Argument(metavar="FOLDER|FILE", help="A folder of files, or one csv or xlsx file.")],
    date_order: DateOrder = None,
    hours: HoursReading = None,
    problems: Problems = None,
    variation_limits: Annotated[
        Path | None,
        typer.Option(
            "--variation-limits",
            metavar="FILE",
            help="The most that may be extended; else the settings' variation_limits, else not judged.",
            show_default=False,
        ),
    ] = None,
    replace: Annotated[
        bool,
        typer.Option("--replace", help="Rows whose key stands with other content take its place, all together."),
    ] = False,
    reason: AcceptedWhy = None,
    authorised_by: Annotated[
        str | None,
        typer.Option("--authorised-by", metavar="STAFF", help="Who decided to replace.", show_default=False),
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Take files in, whole or not at all; every bad row is listed with what to do.

    A mark stamped on a cylinder is read as found (06 * 99, 8-70, 03/2022). A year of two digits is the latest one not
    after --as-of and never before the cylinder was made.

    Ends with the coverage: units with and without a programme, what is unknown and which document would clear it.
    The same files twice change nothing. What was re-issued is put right with --replace: the old stays in the ledger,
    everything that rested on it is derived again, and what moves is shown before it is recorded. --preview shows the
    same of any file, late paper among it, and records nothing.

    \b
    Examples:
      fleetlife import records/
      fleetlife import readings.csv --hours minutes
      fleetlife import late-paper/ --preview
      fleetlife import june-again/ --replace --reason "re-issued" --authorised-by C117
    """
    check_reading(date_order, hours)
    if replace and not (reason and authorised_by):
        raise typer.BadParameter("What is replaced needs --reason and --authorised-by.", param_hint="--replace")
    if not replace and (reason or authorised_by):
        raise typer.BadParameter("A reason and a name go with --replace alone.", param_hint="--reason")
    with refusals():
        from fleetlife.actions.take_in import Replacing, take_in
        from fleetlife.answers.coverage import after_intake
        from fleetlife.answers.entry import ledger_head
        from fleetlife.reports.intake import intake_report, preview_report
        from fleetlife.transfer.reading import read_folder

        limits = _limits(variation_limits)
        day = as_of_day(as_of)
        replacing = Replacing(reason=reason, authorised_by=authorised_by) if reason and authorised_by else None
        asked: dict[str, Any] = {"recorded_by": staff(), "limits": limits, "replacing": replacing}

        def intake(**more: Any) -> IntakeReport:
            files = read_folder(path, date_order=date_order, hours=hours, marks_as_of=day)
            with rows_refused(problems), progress_line() as tell:
                return take_in(store, files, **asked, **more, progress=tell)

        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            if replace or preview:
                _, asked["head"], _ = ledger_head(store)
                report = shown_first(
                    intake,
                    lambda it: show(preview_report(it)),
                    lambda _: "Record this?",
                    preview=preview,
                    yes=yes,
                    as_of=as_of,
                )
                if report is None:
                    return
            else:
                report = intake()
            show(intake_report(after_intake(store, report, as_of=day)))


def _limits(option: Path | None) -> tuple[Allowance, ...]:
    """The table of limits asked for, else the settings' one, else none."""
    stated = option or settings().get("variation_limits")
    if stated is None:
        return ()
    from fleetlife.transfer.variation_limits import read_variation_limits

    return read_variation_limits(Path(str(stated)))


def export_files(
    folder: Annotated[Path, typer.Argument(metavar="FOLDER", help="Where the files go; made if it is not there.")],
    format: Annotated[str, typer.Option("--format", metavar="FORMAT", help="csv or xlsx.")] = "csv",
    database: Database = None,
) -> None:
    """Write the records as the files that import takes.

    Taken into an empty database they give the same answers. Corrections and recorded times travel with ledger export.

    \b
    Example: fleetlife export handover/
    """
    if format not in ("csv", "xlsx"):
        raise typer.BadParameter("csv or xlsx.", param_hint="--format")
    with refusals():
        from fleetlife.answers.export import export

        with open_database(database) as store:
            for name, rows in export(store, folder, workbook=format == "xlsx"):
                typer.echo(f"{name}: {rows:,} row{'s' if rows != 1 else ''}")


def demo(
    folder: Annotated[
        Path, typer.Argument(metavar="FOLDER", help="Where the demo database goes.", show_default=True)
    ] = Path("fleetlife-demo"),
    fresh: Annotated[bool, typer.Option("--fresh", help="Make it anew if it is there already.")] = False,
) -> None:
    """Make a database of an invented island airline and walk through the main job.

    Each command is shown above its output, so that it can be repeated by hand.

    \b
    Example: fleetlife demo
    """
    with refusals():
        from fleetlife.cli.walk import walk

        walk(folder, fresh=fresh)

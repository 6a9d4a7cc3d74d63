"""`document read`, `file` and `check`: the papers themselves, read from their text and kept by their digest."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import (
    FINDINGS,
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
    AsOf,
    ClockBehind,
    Database,
    DateOrder,
    Format,
    Output,
    Preview,
    Yes,
    check_format,
)
from fleetlife.cli.recording import storable

ENVIRONMENT = "FLEETLIFE_DOCUMENTS"
Place = Annotated[
    str | None,
    typer.Option(
        "--documents",
        metavar="PLACE",
        help="Where documents are kept: a folder or the address of an object store; else FLEETLIFE_DOCUMENTS, the "
        "settings file (documents), a folder beside an SQLite file.",
        show_default=False,
    ),
]
Organisation = Annotated[
    str | None,
    typer.Option("--organisation", metavar="NAME", help="Who issued it, where two used the number."),
]


def place_of_documents(option: str | None, database: str | None) -> str:
    """The option, else the environment, else the settings file, else a folder beside the database's file. Refusal:
    `documents-not-settled`."""
    stated = option or os.environ.get(ENVIRONMENT) or settings().get("documents")
    if stated:
        return str(stated)
    kind, _, path = database_url(database).partition(":///")
    if kind.startswith("sqlite") and path and path != ":memory:":
        return f"{path}.documents"
    from fleetlife.terms.refusal import Refusal

    raise Refusal(
        "documents-not-settled",
        "No place for documents is named, and this database is no file that has one beside it.",
        remedy='Name one: --documents, FLEETLIFE_DOCUMENTS, or documents = "..." in the settings file; the same for '
        "everybody who works with this database.",
    )


def document_file(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The scan, or the file as it was received.")],
    certificate: Annotated[str, typer.Option("--certificate", metavar="NUMBER", help="Its form tracking number.")],
    organisation: Organisation = None,
    instead: Annotated[
        str | None,
        typer.Option(
            "--instead", metavar="WHY", help="It takes the place of the document named so far: why.", show_default=False
        ),
    ] = None,
    documents: Place = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Keep the paper of a certificate under the digest of its content, and let the certificate name it.

    The file is copied whole and read back before anything is recorded; it is never changed afterwards. Another document
    named before stays kept, and stays visible in the history.

    \b
    Examples:
      fleetlife document file scan-0412.pdf --certificate HB-40117
      fleetlife document file better.pdf --certificate HB-40117 --instead "the first scan was cut at the edge"
    """
    with refusals():
        from fleetlife.actions.document import file_document
        from fleetlife.store.documents import Documents

        for what, text in (("certificate", certificate), ("organisation", organisation), ("instead", instead)):
            storable(what, text)
        place = Documents(place_of_documents(documents, database))
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            filed = file_document(
                store,
                place,
                file,
                tracking_number=certificate,
                organisation=organisation,
                instead=instead,
                recorded_by=staff(),
            )
        typer.echo(f"Kept as {filed.document} in {place.place}")
        lines = f"{filed.lines} line{'s' if filed.lines != 1 else ''}"
        said = f"certificate {filed.tracking_number} of {filed.organisation}, {lines}"
        if filed.mended is None:
            typer.echo(f"Named already by {said}: nothing was recorded.")
            return
        typer.echo(f"Entry {filed.mended.entry}: named by {said}.")
        typer.echo(f"Ledger head {filed.mended.ledger_head}")


def document_read(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A PDF with a text layer.")],
    form: Annotated[
        str | None,
        typer.Option(
            "--form", metavar="NAME", help="The form it is on, where the text does not say.", show_default=False
        ),
    ] = None,
    change: Annotated[
        list[str] | None,
        typer.Option(
            "--set",
            metavar="COLUMN=VALUE",
            help="What the paper really says; 2.COLUMN=VALUE for its second line. May be repeated.",
        ),
    ] = None,
    part: Annotated[
        str | None,
        typer.Option("--against-part", metavar="PART", help="The unit it is filed against.", show_default=False),
    ] = None,
    serial: Annotated[
        str | None, typer.Option("--against-serial", metavar="SERIAL", help="The same.", show_default=False)
    ] = None,
    date_order: DateOrder = None,
    preview: Preview = False,
    yes: Yes = False,
    documents: Place = None,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Read the text of a certificate, show its blocks beside the unit, and file it when a person says that it is so.

    What a block seems to say is a proposal: compare it with the paper, character by character. What is wrong is put
    right with --set. Nothing is filed without a yes; then the file is kept, and every line names it.

    \b
    Examples:
      fleetlife document read HB-40117.pdf --preview
      fleetlife document read HB-40117.pdf --set 2.serial_number=R30118 --set date=2026-03-10
    """
    if (part is None) != (serial is None):
        raise typer.BadParameter("Name part and serial number of the unit.", param_hint="--against-part")
    with refusals():
        from fleetlife.actions.document import file_read
        from fleetlife.answers.paper_read import paper_read
        from fleetlife.reports.documents import paper_read_report
        from fleetlife.store.documents import Documents
        from fleetlife.transfer.pdf import text_of_pdf

        for each in change or ():
            storable("set", each)
        against = (part, serial) if part is not None and serial is not None else None
        text = text_of_pdf(file)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            read = paper_read(
                store,
                text,
                file=file.name,
                form=form,
                changes=change or (),
                against=against,
                date_order=date_order,
                as_of=as_of_day(as_of),
            )
            show(paper_read_report(read))
            if preview:
                return
            if read.missing:
                from fleetlife.terms.refusal import Refusal

                raise Refusal(
                    "paper-not-complete",
                    f"Not read: {', '.join(name.replace('_', ' ') for name in read.missing)}.",
                    remedy="Say what the paper says with --set, or file it by hand (fleetlife import).",
                )
            lines = f"{len(read.rows)} line{'s' if len(read.rows) != 1 else ''}"
            if not yes and not typer.confirm(f"Compared with the paper, and so it says? File {lines}?"):
                typer.echo("Nothing was filed.")
                return
            place = Documents(place_of_documents(documents, database))
            report = file_read(store, place, file, read.rows, against=against, recorded_by=staff())
        (_, _, new, unchanged) = report.files[0]
        typer.echo(f"Filed: {new} new, {unchanged} unchanged; the paper is kept in {place.place}.")
        typer.echo(f"Ledger head {report.ledger_head}")


def document_check(
    everything: Annotated[bool, typer.Option("--all", help="Every document in a row, those in order too.")] = False,
    documents: Place = None,
    as_of: AsOf = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Read every document that certificates name, and see that it is there and is what was filed.

    A document that is missing or altered is a finding (DOC101, DOC102), and the exit status is 1. Documents that name
    another place are listed and not looked into; certificates without one are counted.

    \b
    Examples:
      fleetlife document check
      fleetlife document check --documents s3://papers/fleetlife --format csv --output documents.csv
    """
    check_format(format, output=output)
    with refusals():
        from fleetlife.answers.documents import documents_checked
        from fleetlife.store.documents import Documents

        place = Documents(place_of_documents(documents, database))
        with open_database(database) as store, progress_line() as tell:
            answer = documents_checked(store, place, as_of=as_of_day(as_of), tell=tell)
        if format == "table":
            from fleetlife.reports.documents import documents_report

            show(documents_report(answer, everything=everything), output=output)
        else:
            from fleetlife.reports import rows as machine
            from fleetlife.terms.documents import DOCUMENT_COLUMNS

            about: dict[str, Any] = machine.about_as_dict(answer.about)
            about |= {"documents": answer.place, "without_document": answer.without, "unnamed": list(answer.unnamed)}
            write_rows(
                about, machine.listed(answer.rows, DOCUMENT_COLUMNS), DOCUMENT_COLUMNS, format=format, output=output
            )
    if answer.findings:
        raise typer.Exit(FINDINGS)

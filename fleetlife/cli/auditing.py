"""The auditor's question: every finding, as lines, as a file, as a page and as a workbook."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import CLEAN, FINDINGS, as_of_day, day_option, open_database, refusals, say, show
from fleetlife.cli.options import AsOf, Database, Format, KnownAt, Output, check_format

if TYPE_CHECKING:
    from fleetlife.terms.views import AuditReport

PATTERNS = ("PAT101", "PAT102")


def audit(
    registration: Annotated[
        list[str] | None,
        typer.Option("--airframe", metavar="REGISTRATION", help="Only this airframe; may be repeated."),
    ] = None,
    part: Annotated[
        list[str] | None, typer.Option("--part", metavar="PART", help="Only this part number; may be repeated.")
    ] = None,
    code: Annotated[
        list[str] | None, typer.Option("--code", metavar="CODE", help="Only this finding; may be repeated.")
    ] = None,
    severity: Annotated[
        list[str] | None, typer.Option("--severity", metavar="SEVERITY", help="stop, rectify or note; may be repeated.")
    ] = None,
    finding: Annotated[
        list[str] | None,
        typer.Option("--finding", metavar="NUMBER", help="Only the finding with this number; may be repeated."),
    ] = None,
    waived: Annotated[
        bool, typer.Option("--waived", help="Show waived findings too; they are always counted.")
    ] = False,
    patterns: Annotated[
        bool,
        typer.Option(
            "--patterns",
            help="What no single paper shows: PAT101, PAT102, and the papers counted by organisation.",
        ),
    ] = False,
    sample: Annotated[
        int | None,
        typer.Option("--sample", metavar="N", help="Only N units, drawn by a stated rule.", show_default=False),
    ] = None,
    seed: Annotated[
        str | None,
        typer.Option("--seed", metavar="TEXT", help="With --sample: what the draw follows from.", show_default=False),
    ] = None,
    since: Annotated[
        str | None,
        typer.Option(
            "--since",
            metavar="MOMENT",
            help="What is new and what is closed since then: a moment (UTC), a day or an entry number.",
            show_default=False,
        ),
    ] = None,
    since_as_of: Annotated[
        str | None,
        typer.Option(
            "--since-as-of",
            metavar="DAY",
            help="With --since: the day asked about then; the same day if left out.",
            show_default=False,
        ),
    ] = None,
    report: Annotated[
        Path | None,
        typer.Option("--report", metavar="FILE", help="Write it as one page (HTML) to sign.", show_default=False),
    ] = None,
    workbook: Annotated[
        Path | None,
        typer.Option(
            "--workbook",
            metavar="FILE",
            help="Write it as a workbook with its evidence and what was not checked.",
            show_default=False,
        ),
    ] = None,
    as_of: AsOf = None,
    known_at: KnownAt = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Does the paper agree with the metal: every finding over the fleet or a part of it, with its evidence.

    A finding keeps its number as long as the same thing is wrong. With --since: what is new and what is closed, and by
    which entries. With --sample: a draw that can be repeated. --report and --workbook show waived findings too.

    Exit status 0 when nothing is found, 1 when something is.

    \b
    Examples:
      fleetlife audit
      fleetlife audit --airframe Q-TRN --severity stop
      fleetlife audit --code PAP102 --format csv --output serials.csv
      fleetlife audit --report audit.html --workbook audit.xlsx
      fleetlife audit --since 1282
      fleetlife audit --sample 20 --seed 2026-11-25
      fleetlife audit --patterns
    """
    check_format(format, output=output)
    for word in severity or ():
        if word not in ("stop", "rectify", "note"):
            raise typer.BadParameter("stop, rectify or note.", param_hint="--severity")
    if (sample is None) != (seed is None):
        raise typer.BadParameter("A sample needs both: how many, and its seed.", param_hint="--sample / --seed")
    if patterns and (registration or part or sample is not None):
        raise typer.BadParameter("Patterns are of the whole fleet.", param_hint="--patterns")
    if since is None and since_as_of is not None:
        raise typer.BadParameter("It goes with --since.", param_hint="--since-as-of")
    if since is not None and (sample is not None or report is not None or workbook is not None):
        raise typer.BadParameter("It goes with neither a sample nor a page nor a workbook.", param_hint="--since")
    with refusals():
        from fleetlife.answers.audit import audit as ask

        with open_database(database) as store:
            answer = ask(
                store,
                as_of=as_of_day(as_of),
                known_at=known_at,
                registrations=registration or (),
                part_numbers=part or (),
                codes=[*(word.upper() for word in code or ()), *(PATTERNS if patterns else ())],
                severities=severity or (),
                numbers=finding or (),
                waived=waived or bool(finding) or report is not None or workbook is not None,
                draw=None if sample is None or seed is None else (sample, seed),
                earlier=since,
                earlier_day=None if since_as_of is None else day_option(since_as_of, "--since-as-of"),
            )
        if report is not None or workbook is not None:
            _write_to_sign(answer, page=report, workbook=workbook)
        if (report is None and workbook is None) or format != "table" or output is not None:
            _write(answer, format=format, output=output)
    raise typer.Exit(FINDINGS if any(count for _, count in answer.counts) else CLEAN)


def _write(answer: AuditReport, *, format: str, output: Path | None) -> None:
    if format == "table":
        from fleetlife.reports.findings import findings_report

        show(findings_report(answer), output=output)
        return
    from fleetlife.answers.explain import rules_of
    from fleetlife.reports import rows as machine
    from fleetlife.terms.finding import FINDING_COLUMNS

    about = machine.audit_about_as_dict(answer, rules_of(answer.checks_run))
    if answer.since is None:
        rows, columns = machine.findings_as_dicts(answer.findings), FINDING_COLUMNS
    else:
        rows, columns = machine.since_rows_as_dicts(answer), (*FINDING_COLUMNS, "since", "entries")
    write_rows(about, rows, columns, format=format, output=output)


def _write_to_sign(answer: AuditReport, *, page: Path | None, workbook: Path | None) -> None:
    """The page and the workbook, each whole or not at all."""
    from fleetlife.answers.explain import rules_of
    from fleetlife.transfer.writing import write_bytes

    rules = rules_of(answer.checks_run)
    if page is not None:
        from fleetlife.reports.audit_page import audit_page

        write_bytes(page, audit_page(answer, rules=rules))
        say(f"Written to {page}.")
    if workbook is not None:
        from fleetlife.reports.audit_sheets import audit_sheets
        from fleetlife.transfer.writing import answer_book

        write_bytes(workbook, answer_book(audit_sheets(answer, rules=rules)))
        say(f"Written to {workbook}.")

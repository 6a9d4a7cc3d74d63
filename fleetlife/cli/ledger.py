"""The ledger's commands: verify, head, export, correct, withdraw, waive."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    confirmed,
    day_option,
    json_object,
    open_database,
    progress_line,
    refusals,
    show,
    staff,
    write_text,
)
from fleetlife.cli.options import AsOf, ClockBehind, Database, Format, Output, Yes, check_format
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.store.engine import Store

MOST_SUBJECTS = 20
Reason = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")]
Authorised = Annotated[str, typer.Option("--authorised-by", metavar="STAFF", help="Who decided it.")]


def verify(
    known: Annotated[
        list[str] | None,
        typer.Option("--head", metavar="DIGEST", help="A head printed earlier: is it on the chain? May be repeated."),
    ] = None,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Walk the chain and rebuild everything that follows from it; name the first difference of each kind.

    The chain shows that the ledger agrees with itself. Only a head kept elsewhere shows that it was not rewritten or
    cut: heads stand on every report; give them with --head.

    Examples:
      fleetlife ledger verify
      fleetlife ledger verify --head 3f9a4c17d2e0b1a6
    """
    check_format(format, ("table", "json"))
    with refusals():
        from fleetlife.answers.verify import verify as ask

        with open_database(database) as store, progress_line() as tell:
            answer = ask(store, known_heads=known or (), progress=tell)
        if format == "json":
            from fleetlife.reports.rows import card_as_dict
            from fleetlife.transfer.writing import json_text

            write_text(json_text(card_as_dict(answer)), output)
        else:
            from fleetlife.reports.ledger import verify_report

            show(verify_report(answer), output=output)
    raise typer.Exit(FINDINGS if answer.findings else CLEAN)


def head(format: Format = "table", database: Database = None) -> None:
    """The last entry's number and digest, to be kept elsewhere.

    Example: fleetlife ledger head >> heads.txt
    """
    check_format(format, ("table", "json"))
    with refusals():
        from fleetlife.answers.entry import ledger_head as ask

        with open_database(database) as store:
            number, digest, recorded_at = ask(store)
        if format == "json":
            typer.echo(json.dumps({"entry": number, "digest": digest, "recorded_at": recorded_at}))
        else:
            from fleetlife.reports.ledger import head_lines

            show(head_lines(number, digest, recorded_at))


def export(
    output: Annotated[Path, typer.Argument(metavar="FILE", help="Where the entries go, one JSON text a line.")],
    database: Database = None,
) -> None:
    """Write every entry as its canonical text, one a line; each line's SHA-256 is the next one's `previous`.

    Example: fleetlife ledger export ledger.jsonl
    """
    with refusals():
        from fleetlife.answers.entry import export_ledger

        with open_database(database) as store:
            count, digest = export_ledger(store, output)
        typer.echo(f"{count:,} entries written to {output}; head {digest}")


def correct(
    number: Annotated[int, typer.Argument(metavar="ENTRY", help="The entry that is wrong.")],
    file: Annotated[
        Path,
        typer.Option("--file", metavar="JSON", help="The fields that are right, as a JSON object; - reads it here."),
    ],
    reason: Reason,
    authorised_by: Authorised,
    item: Annotated[int, typer.Option("--item", help="Which fact of an entry that states many, from 0.")] = 0,
    yes: Yes = False,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Replace what an entry states by a new entry that names it; the old one stays in the ledger.

    The file holds only the fields that change, as `fleetlife explain ENTRY` shows them. What follows is derived
    again; a correction that cannot be is refused and leaves everything as it was.

    Example: fleetlife ledger correct 1204 --file right.json --reason "misread serial" --authorised-by C117
    """
    with refusals():
        from fleetlife.actions.mend import correct as act

        changes = json_object(file)
        confirmed(f"Replace what entry {number} states?", yes=yes)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            done = act(
                store,
                number,
                item=item,
                changes=changes,
                reason=reason,
                authorised_by=authorised_by,
                recorded_by=staff(),
            )
        typer.echo(f"Entry {done.entry} replaces what entry {number} stated ({done.units} units derived again).")
        typer.echo(f"Ledger head {done.ledger_head}")


def withdraw(
    number: Annotated[int, typer.Argument(metavar="ENTRY", help="The entry that never happened.")],
    reason: Reason,
    authorised_by: Authorised,
    yes: Yes = False,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Withdraw what an entry states by a new entry that names it; the old one stays in the ledger.

    Example: fleetlife ledger withdraw 1204 --reason "typed twice" --authorised-by C117
    """
    with refusals():
        from fleetlife.actions.mend import withdraw as act

        confirmed(f"Withdraw what entry {number} states?", yes=yes)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            done = act(store, number, reason=reason, authorised_by=authorised_by, recorded_by=staff())
        typer.echo(f"Entry {done.entry} withdraws entry {number} ({done.units} units derived again).")
        typer.echo(f"Ledger head {done.ledger_head}")


def waive(
    code: Annotated[str, typer.Argument(metavar="CODE", help="The finding's code.")],
    subject: Annotated[str, typer.Argument(metavar="SUBJECT", help="What it is about, as audit prints it.")],
    reason: Reason,
    authorised_by: Authorised,
    until: Annotated[str, typer.Option("--until", metavar="DAY", help="The waiver's last day.")],
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Accept a finding until a day, by name and reason. It stays counted; never for what is overdue.

    SUBJECT is where it is and what it is about, as audit prints them on its line: airframe, position, unit,
    certificate.

    Example: fleetlife ledger waive IDN101 "Q-TRN L1 SP-41 0O17" --until 2027-01-31 --reason seen --authorised-by Q2
    """
    with refusals():
        from fleetlife.actions.mend import waive as act

        last_day = day_option(until, "--until")
        confirmed(f"Waive {code.upper()} on {subject} until {until}?", yes=yes)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            _check_subject(store, code.upper(), subject, as_of=as_of_day(as_of))
            done = act(
                store,
                code=code.upper(),
                subject=subject,
                reason=reason,
                approved_by=authorised_by,
                expires_on=last_day,
                recorded_by=staff(),
            )
        write_text(f"Entry {done.entry}: {code.upper()} on {subject} is waived until {until}.", None)
        typer.echo(f"Ledger head {done.ledger_head}")


def _check_subject(store: Store, code: str, subject: str, *, as_of: date) -> None:
    """A waiver that would meet no finding does nothing. Refusal: `subject-unknown`, with those there are."""
    from fleetlife.answers.audit import audit, code_named
    from fleetlife.answers.explain import page_of
    from fleetlife.terms.number import fold

    if not page_of(code).waivable:
        return  # refused as such, whatever it is about
    there = [found.subject() for found in audit(store, as_of=as_of, codes=[code_named(code)], waived=True).findings]
    if fold(subject) not in {fold(each) for each in there}:
        raise Refusal(
            "subject-unknown",
            f"No finding {code} is about {subject!r} on {as_of}.",
            remedy="Write the subject as audit prints it; those there are, if any, stand above.",
            details=tuple(there[:MOST_SUBJECTS]),
        )

"""The ledger's commands: verify, head, export, correct, withdraw, mend, waive."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.context import (
    CLEAN,
    FINDINGS,
    as_of_day,
    confirmed,
    day_option,
    json_object,
    json_value,
    open_database,
    progress_line,
    refusals,
    show,
    staff,
    write_text,
)
from fleetlife.cli.options import (
    CARD_FORMATS,
    AsOf,
    CardFormat,
    ClockBehind,
    Database,
    Output,
    Preview,
    Yes,
    check_format,
)
from fleetlife.cli.showing import shown_first, tell_moves
from fleetlife.terms.number import did_you_mean
from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from fleetlife.actions.mend import Mend
    from fleetlife.store.engine import Store

MOST_SUBJECTS = 20
KEYS = ("entry", "item", "changes", "withdraw")  # of what is wrong, in the file of a mending
Reason = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why.")]
Authorised = Annotated[str, typer.Option("--authorised-by", metavar="STAFF", help="Who decided it.")]


def verify(
    known: Annotated[
        list[str] | None,
        typer.Option("--head", metavar="DIGEST", help="A head printed earlier: is it on the chain? May be repeated."),
    ] = None,
    format: CardFormat = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """Walk the chain and rebuild everything that follows from it; name the first difference of each kind.

    The chain shows that the ledger agrees with itself. Only a head kept elsewhere shows that it was not rewritten or
    cut: heads stand on every report; give them with --head.

    \b
    Examples:
      fleetlife ledger verify
      fleetlife ledger verify --head 3f9a4c17d2e0b1a6
    """
    check_format(format, CARD_FORMATS)
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


def head(format: CardFormat = "table", database: Database = None) -> None:
    """The last entry's number and digest, to be kept elsewhere.

    \b
    Example: fleetlife ledger head >> heads.txt
    """
    check_format(format, CARD_FORMATS)
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

    \b
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
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Replace what an entry states by a new entry that names it; the old one stays in the ledger.

    The file holds only the fields that change, as `fleetlife explain ENTRY` shows them. What moves is shown before it
    is recorded; a correction that cannot be is refused and leaves everything as it was.

    \b
    Examples:
      fleetlife ledger correct 1204 --file right.json --reason "misread serial" --authorised-by C117
      fleetlife ledger correct 1204 --file right.json --reason "misread serial" --authorised-by C117 --preview
    """
    with refusals():
        from fleetlife.actions.mend import Mend

        wrong = [Mend(entry=number, item=item, changes=json_object(file))]
        _mend(
            wrong,
            f"Replace what entry {number} states?",
            reason=reason,
            authorised_by=authorised_by,
            preview=preview,
            yes=yes,
            as_of=as_of,
            accept_clock_behind=accept_clock_behind,
            database=database,
        )


def withdraw(
    number: Annotated[int, typer.Argument(metavar="ENTRY", help="The entry that never happened.")],
    reason: Reason,
    authorised_by: Authorised,
    item: Annotated[
        list[int] | None, typer.Option("--item", help="Only this fact of the entry, from 0; may be repeated.")
    ] = None,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Withdraw what an entry states by a new entry that names it; the old one stays in the ledger.

    \b
    Example: fleetlife ledger withdraw 1204 --reason "typed twice" --authorised-by C117
    """
    with refusals():
        from fleetlife.actions.mend import Mend

        wrong = [Mend(entry=number, item=each) for each in item] if item else [Mend(entry=number)]
        _mend(
            wrong,
            f"Withdraw what entry {number} states?",
            reason=reason,
            authorised_by=authorised_by,
            preview=preview,
            yes=yes,
            as_of=as_of,
            accept_clock_behind=accept_clock_behind,
            database=database,
        )


def mend(
    file: Annotated[
        Path, typer.Argument(metavar="JSON", help="What is wrong, a list in a JSON file; - reads it here.")
    ],
    reason: Reason,
    authorised_by: Authorised,
    preview: Preview = False,
    yes: Yes = False,
    as_of: AsOf = None,
    accept_clock_behind: ClockBehind = False,
    database: Database = None,
) -> None:
    """Replace and withdraw together what several entries state, judged as a whole: all of it or nothing.

    The file is a list of objects: "entry" and the fields that are right under "changes", or "withdraw": true; with
    "item", where an entry states many facts. What moves is shown before it is recorded.

    \b
    [{"entry": 812, "changes": {"installed": {"part_number": "SP-4100-3", "serial_number": "0417"}}},
     {"entry": 840, "changes": {"removed": {"part_number": "SP-4100-3", "serial_number": "0417"}}},
     {"entry": 655, "item": 30, "changes": {"minutes": "41210:15"}},
     {"entry": 844, "withdraw": true}]

    \b
    Example: fleetlife ledger mend group.json --reason "wrong unit written up" --authorised-by C117
    """
    with refusals():
        wrong = _group(json_value(file))
        _mend(
            wrong,
            f"Record these {len(wrong)} changes together?",
            reason=reason,
            authorised_by=authorised_by,
            preview=preview,
            yes=yes,
            as_of=as_of,
            accept_clock_behind=accept_clock_behind,
            database=database,
        )


def _made(entries: Sequence[int], wrong: Sequence[Mend]) -> str:
    touched = ", ".join(str(number) for number in sorted({each.entry for each in wrong}))
    if len(entries) > 1:
        return f"Entries {entries[0]} to {entries[-1]} put right together what entries {touched} stated"
    if wrong[0].changes is None:
        return f"Entry {entries[0]} withdraws entry {touched}" + ("" if wrong[0].item is None else ", the items named")
    return f"Entry {entries[0]} replaces what entry {touched} stated"


def _group(stated: Any) -> list[Mend]:
    """The list of a file as it is acted on. Refusal: `mending-not-read`."""
    from fleetlife.actions.mend import Mend

    if not isinstance(stated, list):
        raise _not_read("The file is no list.")
    found = []
    for place, each in enumerate(stated, 1):
        if not isinstance(each, dict) or not isinstance(each.get("entry"), int):
            raise _not_read(f"Object {place} names no entry.")
        if extra := sorted(set(each) - set(KEYS)):
            raise _not_read(f"Object {place} has a key {extra[0]!r}." + did_you_mean(extra[0], KEYS))
        changes, gone, item = each.get("changes"), each.get("withdraw", False), each.get("item")
        if (isinstance(changes, dict) and bool(changes)) == (gone is True) or not isinstance(item, int | None):
            raise _not_read(f"Object {place} needs either changes or withdraw: true, and an item that is a number.")
        found.append(Mend(entry=each["entry"], item=item, changes=changes if not gone else None))
    return found


def _not_read(what: str) -> Refusal:
    return Refusal(
        "mending-not-read",
        what,
        remedy='Write a list of objects such as {"entry": 812, "changes": {...}} or {"entry": 844, "withdraw": true}.',
        status=2,
    )


def _mend(
    wrong: Sequence[Mend],
    question: str,
    *,
    reason: str,
    authorised_by: str,
    preview: bool,
    yes: bool,
    as_of: str | None,
    accept_clock_behind: bool,
    database: str | None,
) -> None:
    """Show what moves; then ask, and record what was shown unless something was recorded meanwhile."""
    from fleetlife.actions.mend import mend as act
    from fleetlife.answers.entry import ledger_head

    with open_database(database, accept_clock_behind=accept_clock_behind) as store:
        _, head, _ = ledger_head(store)
        mending = partial(act, store, wrong, reason=reason, authorised_by=authorised_by, recorded_by=staff(), head=head)
        done = shown_first(mending, tell_moves, lambda _: question, preview=preview, yes=yes, as_of=as_of)
    if done is not None:
        typer.echo(f"{_made(done.entries, wrong)} ({done.units} units derived again).")
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

    \b
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

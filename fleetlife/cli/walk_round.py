"""`walk-round`: what hangs at each position, typed or scanned, against the records."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import FINDINGS, day_option, open_database, refusals, say, show, staff, today
from fleetlife.cli.options import ClockBehind, Database, Format, Output, Yes, check_format
from fleetlife.cli.recording import storable

if TYPE_CHECKING:
    from fleetlife.store.engine import Store
    from fleetlife.terms.walk_round import SeenAt

STOP = "stop"


def walk_round(
    registration: Annotated[str, typer.Argument(metavar="REGISTRATION")],
    file: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="What was found, csv or xlsx; without it every position is asked for."),
    ] = None,
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="DAY", help="The day of the walk-round; today if left out.", show_default=False),
    ] = None,
    record: Annotated[bool, typer.Option("--record", help="Record it, after it was shown.")] = False,
    seen_by: Annotated[
        str | None, typer.Option("--seen-by", metavar="STAFF", help="Who looked; needed to record.", show_default=False)
    ] = None,
    yes: Yes = False,
    accept_clock_behind: ClockBehind = False,
    format: Format = "table",
    output: Output = None,
    database: Database = None,
) -> None:
    """What hangs at each position of an airframe against the records: agree, other text, other unit, empty, unknown.

    FILE has a row for each position: position, and part_number and serial_number as the plate reads, or scan; `empty`
    as part_number where nothing hangs; harness (left, right) and note as wished. Without FILE each position is asked
    for, typed or scanned. Exit status 1 where something differs.

    Nothing is recorded by looking. With --record plates that read what is recorded are kept as evidence, a plate that
    reads otherwise puts its unit on hold, and a unit that hangs where another is recorded was found there: all
    together. What stops a fitting is left open on the airframe.

    \b
    Examples:
      fleetlife walk-round Q-SKA
      fleetlife walk-round Q-SKA doors.csv --on 2026-11-24 --record --seen-by C117
    """
    check_format(format, output=output)
    day = today() if on is None else day_option(on, "--on")
    if record and not (seen_by or "").strip():
        raise typer.BadParameter("Recording needs the name of who looked.", param_hint="--seen-by")
    with refusals():
        from fleetlife.answers.entry import ledger_head
        from fleetlife.answers.walk_round import walk_round as compare

        storable("seen-by", seen_by)
        with open_database(database, accept_clock_behind=accept_clock_behind) as store:
            seen = _asked(store, registration, day) if file is None else _read(file, day)
            _, head, _ = ledger_head(store)
            answer = compare(store, registration=registration, seen=seen, on=day)
            _print(answer, format=format, output=output)
            if record and (yes or typer.confirm("Record this walk-round?")):
                from fleetlife.actions.walk_round import record_walk_round
                from fleetlife.reports.walk_round import walk_round_recorded

                done = record_walk_round(
                    store,
                    registration=registration,
                    seen=seen,
                    on=day,
                    seen_by=seen_by or "",
                    as_of=today() if on is None else max(today(), day),
                    recorded_by=staff(),
                    head=head,
                )
                show(walk_round_recorded(done))
    if not answer.clean:
        raise typer.Exit(FINDINGS)


def _read(file: Path, day: date) -> tuple[SeenAt, ...]:
    from fleetlife.transfer.walk_round import read_walk_round

    return read_walk_round(file, as_of=day)


def _asked(store: Store, registration: str, day: date) -> tuple[SeenAt, ...]:
    """Position by position at the terminal; `stop` leaves the rest unlooked at. Refusal: `walk-round-not-given`."""
    from fleetlife.answers.walk_round import walk_round as compare
    from fleetlife.terms.refusal import Refusal
    from fleetlife.transfer.walk_round import NOTHING, seen_at

    if not sys.stdin.isatty():
        raise Refusal(
            "walk-round-not-given",
            "Nobody is there to ask what was found.",
            remedy="Name a file: fleetlife walk-round REGISTRATION FILE.",
            status=2,
        )
    say(f"Scan or type PART SERIAL as the plate reads, or {NOTHING}; Enter where nobody looked; {STOP} to end.")
    found: list[SeenAt] = []
    for row in compare(store, registration=registration, seen=(), on=day).rows:
        while True:
            text = typer.prompt(row.position, default="", show_default=False).strip()
            if text.casefold() == STOP:
                return tuple(found)
            try:
                seen = seen_at(row.position, _cells(text), as_of=day)
            except Refusal as refused:
                say(f"{refused.message} {refused.remedy}")
                continue
            if seen is not None:
                found.append(seen)
            break
    return tuple(found)


def _cells(text: str) -> dict[str, str]:
    """A typed line as the cells of a row: one word is a scan or `empty`, two are the numbers."""
    from fleetlife.paper.envelope import is_message

    if is_message(text):
        return {"scan": text}
    part, _, serial = text.partition(" ")
    return {"part_number": part, "serial_number": serial.strip()}


def _print(answer: Any, *, format: str, output: Path | None) -> None:
    if format == "table":
        from fleetlife.reports.walk_round import walk_round_report

        show(walk_round_report(answer), output=output)
        return
    from fleetlife.reports import rows as machine
    from fleetlife.terms.walk_round import WALK_COLUMNS

    about: dict[str, Any] = machine.about_as_dict(answer.about)
    about |= {"registration": answer.registration, "on": answer.on, "harness_differs": list(answer.harness_differs)}
    rows = machine.listed(answer.rows, WALK_COLUMNS)
    write_rows(about, rows, WALK_COLUMNS, format=format, output=output)

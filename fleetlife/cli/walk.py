"""`demo`: a database of the invented island airline, and the main job walked through on it.

Each command is shown above its output. The two intakes are recorded on the days on which the scenario says they
were, so that the answers under `--known-at` have something to tell; on a clock that is earlier they are recorded now.
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import typer
from typer.main import get_command

from fleetlife.cli.context import ENVIRONMENT, staff
from fleetlife.terms.refusal import Refusal

TODAY = "2026-11-25"
STAGES = (("first", datetime(2026, 10, 20, 18, tzinfo=UTC)), ("since", datetime(2026, 11, 24, 20, tzinfo=UTC)))

# (what it shows, the command). Every command asks as of the scenario's own day.
STEPS: tuple[tuple[str, str], ...] = (
    ("The planner: what expires next month, where, and what cannot be told?", f"due --next-month --as-of {TODAY}"),
    (
        "The engineer: a spare for the door whose unit is past its date.",
        f"swap check Q-SKA R2 KV-2100-3 20301 --as-of {TODAY}",
    ),
    ("And a new dash number that came in yesterday.", f"swap check Q-SKA R2 KV-2100-9 29001 --as-of {TODAY}"),
    (
        "The clerk: log the swap. Before and after, the new due dates; recorded in one entry.",
        "swap record Q-SKA R2 --install KV-2100-3 20301 --on 2026-11-25 --harness right --removed-to shop "
        f"--removal-kind scheduled --technical-log SK4471 --signed-by M117 --yes --as-of {TODAY}",
    ),
    ("The aircraft after it.", f"airframe Q-SKA --as-of {TODAY}"),
    ("The auditor: every stop over the fleet.", f"audit --severity stop --as-of {TODAY}"),
    ("A paper beside its unit, with the differing characters marked.", f"certificate {{paper}} --as-of {TODAY}"),
    (
        "One unit: the reservoir counts from its own mark, not from the pack's release.",
        f"unit KV-2100-3 20125 --as-of {TODAY}",
    ),
    ("What a finding means.", "explain LIF103"),
    ("What was known on 1 November, before a late entry.", f"airframe Q-SKF --as-of {TODAY} --known-at 2026-11-01"),
    ("The head of the ledger, to be kept elsewhere; and the ledger against itself.", "ledger head"),
    ("", "ledger verify"),
)
PAPER_OF = ("KV-2100-3", "20361")


def seed_folder() -> Path:
    """The demo's files: beside the package in a checkout, else inside the installed package."""
    package = Path(__file__).resolve().parent.parent
    checkout = package.parent / "seed_demo"
    return checkout if (checkout / "first").is_dir() else package / "_seed_demo"


def walk(folder: Path, *, fresh: bool = False) -> None:
    """Make the database in `folder` and run every step. Refusal: `demo-exists`."""
    path = folder / "demo.db"
    if path.exists():
        if not fresh:
            raise Refusal(
                "demo-exists",
                f"{path} is there already.",
                remedy="Use it (--database), name another folder, or make it anew with --fresh.",
            )
        for name in (path, path.with_name("demo.db-wal"), path.with_name("demo.db-shm")):
            name.unlink(missing_ok=True)
    folder.mkdir(parents=True, exist_ok=True)
    url = f"sqlite:///{path}"
    os.environ[ENVIRONMENT] = url
    typer.echo(
        "Skarholm Airways: an invented airline, invented types, parts, papers and people. Its today is 2026-11-25."
    )
    typer.echo(f"Repeat any command below by hand after:  export {ENVIRONMENT}={url}\n")
    _run("A new database.", ["init"])
    _take_in(url)
    paper = _paper(url)
    for why, command in STEPS:
        _run(why, shlex.split(command.format(paper=paper)))
    typer.echo("\nThat was the main job. It records and computes; it is not maintenance data and not a release.")


def make_database(url: str) -> None:
    """The demo's database without a word: made, and taken in as the walk does."""
    from fleetlife.actions.take_in import take_in
    from fleetlife.store.engine import open_store
    from fleetlife.store.migrate import make_or_upgrade
    from fleetlife.transfer.reading import read_folder

    store = open_store(url, any_schema=True)
    make_or_upgrade(store)
    store.close()
    for name, clock in _stages():
        store = open_store(url, clock=clock)
        take_in(store, read_folder(seed_folder() / name), recorded_by=staff())
        store.close()


def _stages() -> Iterator[tuple[str, Callable[[], datetime]]]:
    """The folders of the two intakes, each with the clock it is recorded by."""
    from fleetlife.store.unit_of_work import utc_now

    staged = utc_now() > STAGES[-1][1]
    for name, moment in STAGES:
        yield name, partial(_at, moment) if staged else utc_now


def _run(why: str, arguments: list[str]) -> int:
    """One command as it would be typed; its exit status, shown when it is not 0."""
    from fleetlife.cli.main import app

    if why:
        typer.echo(f"\n# {why}")
    typer.echo(f"$ fleetlife {shlex.join(arguments)}")
    status = get_command(app).main(args=arguments, prog_name="fleetlife", standalone_mode=False)
    code = status if isinstance(status, int) else 0
    if code:
        typer.echo(f"(exit status {code})")
    if code > 1:
        raise typer.Exit(code)
    return code


def _take_in(url: str) -> None:
    """The two intakes, each recorded on its own day when the clock allows it."""
    from fleetlife.actions.take_in import take_in
    from fleetlife.answers.coverage import after_intake
    from fleetlife.cli.context import as_of_day, progress_line, show
    from fleetlife.reports.intake import intake_report
    from fleetlife.store.engine import open_store
    from fleetlife.transfer.reading import read_folder

    for name, clock in _stages():
        store = open_store(url, clock=clock)
        try:
            files = seed_folder() / name
            typer.echo(f"\n# The records, taken in as on {clock():%Y-%m-%d}.")
            typer.echo(f"$ fleetlife import {files} --as-of {TODAY}")
            with progress_line() as tell:
                report = take_in(store, read_folder(files), recorded_by=staff(), progress=tell)
            show(intake_report(after_intake(store, report, as_of=as_of_day(TODAY))))
        finally:
            store.close()


def _at(moment: datetime) -> datetime:
    return moment


def _paper(url: str) -> str:
    """The tracking number of the paper with two digits crossed."""
    from fleetlife.answers.unit import unit_card
    from fleetlife.cli.context import as_of_day
    from fleetlife.store.engine import open_store

    store = open_store(url)
    try:
        card = unit_card(store, part_number=PAPER_OF[0], serial_number=PAPER_OF[1], as_of=as_of_day(TODAY))
        return next(line.tracking_number for line in card.papers if line.serial_verdict != "exact")
    finally:
        store.close()

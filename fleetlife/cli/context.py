"""What every command needs: which database, whose day it is, who records, how to print.

One of the two places that read a clock: today, for `--as-of` when it is not given.
"""

from __future__ import annotations

import getpass
import os
import sys
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import typer

from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from rich.console import Console

    from fleetlife.store.engine import Store

CLEAN, FINDINGS, WRONG_USE, REFUSED, UNREACHABLE = 0, 1, 2, 3, 4
ENVIRONMENT = "FLEETLIFE_DATABASE"


def settings() -> dict[str, Any]:
    """The settings file of the user, empty when there is none. Refusal: `settings-not-read`."""
    from platformdirs import user_config_path

    path = Path(os.environ.get("FLEETLIFE_SETTINGS") or user_config_path("fleetlife") / "settings.toml")
    if not path.is_file():
        return {}
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise Refusal(
            "settings-not-read",
            f"The settings file {path} cannot be read: {error}.",
            remedy='Mend it (TOML, for instance: database = "sqlite:///fleet.db") or move it away.',
        ) from error


def database_url(option: str | None) -> str:
    """--database, else the environment, else the settings file, else a file in the user's data folder."""
    if option:
        return option
    if os.environ.get(ENVIRONMENT):
        return os.environ[ENVIRONMENT]
    stated = settings().get("database")
    if stated:
        return str(stated)
    from platformdirs import user_data_path

    return f"sqlite:///{user_data_path('fleetlife') / 'fleetlife.db'}"


def today() -> date:
    """Today, in UTC as technical logs are kept."""
    return datetime.now(UTC).date()


def as_of_day(text: str | None) -> date:
    """The day asked, today when none is. A day that does not exist is wrong use."""
    if text is None:
        return today()
    return day_option(text, "--as-of")


def day_option(text: str, option: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise typer.BadParameter(f"{text!r} is not a day; write YYYY-MM-DD.", param_hint=option) from None


def staff() -> str:
    """Who records: the settings' staff id, else the operating system's user."""
    stated = settings().get("staff")
    return str(stated) if stated else getpass.getuser()


@contextmanager
def open_database(option: str | None) -> Iterator[Store]:
    """The open database, closed at the end. Refusals of `store.engine.open_store`."""
    from fleetlife.store.engine import open_store

    store = open_store(database_url(option))
    try:
        yield store
    finally:
        store.close()


def console(*, stderr: bool = False) -> Console:
    """A console for the stream as it is: width 100 when piped, no colour with NO_COLOR or no terminal."""
    from rich.console import Console

    width = None
    stream = sys.stderr if stderr else sys.stdout
    if not stream.isatty():
        width = int(os.environ.get("COLUMNS", "100"))
    return Console(stderr=stderr, width=width, highlight=False, soft_wrap=False, markup=False, emoji=False)


def show(*renderables: Any) -> None:
    """Print renderables to standard output."""
    out = console()
    for renderable in renderables:
        out.print(renderable)


def say(text: str) -> None:
    """A plain line to standard error: progress and remarks that are no part of the answer."""
    typer.echo(text, err=True)


def write_text(text: str, output: Path | None) -> None:
    """An answer's text to a file (whole or not at all) or to standard output."""
    if output is None:
        typer.echo(text, nl=not text.endswith("\n"))
        return
    from fleetlife.transfer.writing import write_bytes

    write_bytes(output, text.encode("utf-8"))
    say(f"Written to {output}.")


def refuse(refusal: Refusal) -> NoReturn:
    """Say why not and what to do, and leave with the refusal's status."""
    say(f"Refused ({refusal.code}): {refusal.message}")
    for detail in refusal.details:
        say(f"  {detail}")
    say(f"What to do: {refusal.remedy}")
    raise typer.Exit(refusal.status)


@contextmanager
def refusals() -> Iterator[None]:
    """Refusals of the body become a message and an exit status; a pipe closed by its reader ends quietly."""
    try:
        yield
    except Refusal as refusal:
        refuse(refusal)
    except BrokenPipeError:
        sys.stderr.close()
        raise typer.Exit(CLEAN) from None


def progress_line() -> Callable[[str, int], None]:
    """Progress of long work on standard error, on one line when it is a terminal and silent when it is not."""
    if not sys.stderr.isatty():
        return lambda what, count: None

    def tell(what: str, count: int) -> None:
        text = f"{what}: {count:,}" if count else f"{what} ..."
        sys.stderr.write(f"\r\x1b[2K{text}")
        sys.stderr.flush()

    return tell

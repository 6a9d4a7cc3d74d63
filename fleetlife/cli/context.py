"""What every command needs: which database, whose day it is, who records, how to print.

One of the two places that read a clock: today, for `--as-of` when it is not given.
"""

from __future__ import annotations

import getpass
import json
import os
import re
import sys
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, date, datetime
from io import StringIO
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, NoReturn

import typer

from fleetlife.terms.refusal import Refusal

if TYPE_CHECKING:
    from rich.console import Console

    from fleetlife.store.engine import Store

CLEAN, FINDINGS, WRONG_USE, REFUSED, UNREACHABLE = 0, 1, 2, 3, 4
ENVIRONMENT = "FLEETLIFE_DATABASE"
PIPED_WIDTH, LEAST_WIDTH = 100, 20
# Days outside these are slips of the hand, and no date arithmetic runs off the calendar inside them.
FIRST_YEAR, LAST_YEAR = 1900, 2999
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


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


def long_parked_days() -> int | None:
    """From how many days on an airframe has been parked long, as the settings say. Refusal: `settings-not-read`."""
    stated = settings().get("long_parked_days")
    if stated is None or (isinstance(stated, int) and not isinstance(stated, bool) and stated > 0):
        return stated
    raise Refusal(
        "settings-not-read",
        f"long_parked_days in the settings file is {stated!r}, which is no number of days.",
        remedy="Give a whole number above zero, for instance: long_parked_days = 180",
    )


def today() -> date:
    """Today, in UTC as technical logs are kept."""
    return datetime.now(UTC).date()


def as_of_day(text: str | None) -> date:
    """The day asked, today when none is. A day that does not exist is wrong use."""
    if text is None:
        return today()
    return day_option(text, "--as-of")


def day_option(text: str, option: str) -> date:
    """A day as an option gives it; anything but YYYY-MM-DD is wrong use."""
    try:
        day = date.fromisoformat(text) if _DAY.fullmatch(text) else None
    except ValueError:
        day = None
    if day is None:
        raise typer.BadParameter(f"{text!r} is not a day; write YYYY-MM-DD.", param_hint=option)
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise typer.BadParameter(f"{text} is not between the years {FIRST_YEAR} and {LAST_YEAR}.", param_hint=option)
    return day


def staff() -> str:
    """Who records: the settings' staff id, else the operating system's user. Refusal: `staff-unknown`."""
    stated = settings().get("staff")
    if stated:
        return str(stated)
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        raise Refusal(
            "staff-unknown",
            "The operating system does not say who is recording.",
            remedy='Put your staff id into the settings file: staff = "C117".',
        ) from None


@contextmanager
def open_database(option: str | None, *, accept_clock_behind: bool = False) -> Iterator[Store]:
    """The open database, closed at the end. Refusals of `store.engine.open_store`."""
    from fleetlife.store.engine import open_store

    store = open_store(
        database_url(option), accept_clock_behind=accept_clock_behind, long_parked_days=long_parked_days()
    )
    try:
        yield store
    finally:
        store.close()


def console(*, stderr: bool = False, file: IO[str] | None = None) -> Console:
    """A console for the stream as it is: width 100 (or COLUMNS) when piped; no escape code with NO_COLOR or piped."""
    from rich.console import Console

    stream = file or (sys.stderr if stderr else sys.stdout)
    plain = bool(os.environ.get("NO_COLOR")) or file is not None
    return Console(
        stderr=stderr,
        file=file,
        width=None if stream.isatty() else piped_width(),
        color_system=None if plain else "auto",
        highlight=False,
        soft_wrap=False,
        markup=False,
        emoji=False,
    )


def piped_width() -> int:
    """Columns where no terminal tells: COLUMNS when it is a number, else 100."""
    stated = os.environ.get("COLUMNS", "")
    return max(int(stated), LEAST_WIDTH) if stated.isascii() and stated.isdigit() else PIPED_WIDTH


def show(*renderables: Any, output: Path | None = None) -> None:
    """Print renderables to standard output, or write them to a file as they would be piped."""
    if output is None:
        out = console()
        for renderable in renderables:
            out.print(renderable)
        return
    text = StringIO()
    page = console(file=text)
    for renderable in renderables:
        page.print(renderable)
    write_text(text.getvalue(), output)


def say(text: str) -> None:
    """A plain line to standard error: progress and remarks that are no part of the answer."""
    typer.echo(_shown(text), err=True)


def _shown(text: str) -> str:
    """Text that may hold data, harmless for a terminal; its lines stay lines."""
    if text.isascii() and text.isprintable():
        return text
    from fleetlife.reports.harmless import harmless

    return "\n".join(harmless(line.removesuffix("\r")) for line in text.split("\n"))


def write_text(text: str, output: Path | None) -> None:
    """An answer's text to a file (whole or not at all) or to standard output.

    Standard output that is no terminal gets the text as it is, in UTF-8; a terminal gets it made harmless.
    """
    if output is not None:
        from fleetlife.transfer.writing import write_bytes

        write_bytes(output, text.encode("utf-8"))
        say(f"Written to {output}.")
        return
    whole = text if text.endswith("\n") else text + "\n"
    if sys.stdout.isatty():
        sys.stdout.write(_shown(whole))
        sys.stdout.flush()
        return
    sys.stdout.flush()
    sys.stdout.buffer.write(whole.encode("utf-8"))
    sys.stdout.buffer.flush()


def json_object(path: Path) -> dict[str, Any]:
    """The JSON object a file holds, `-` for standard input. Refusal: `file-not-read`."""
    body = json_value(path)
    if not isinstance(body, dict):
        raise Refusal("file-not-read", f"{path} holds no JSON object.", remedy="Give a file with one JSON object.")
    return body


def json_value(path: Path) -> Any:
    """Whatever a JSON file holds, `-` for standard input. Refusal: `file-not-read`."""
    try:
        text = sys.stdin.read() if str(path) == "-" else path.read_text(encoding="utf-8")
        return json.loads(text)
    except (OSError, ValueError, RecursionError) as error:
        raise Refusal(
            "file-not-read", f"{path} cannot be read as JSON: {error}.", remedy="Give a JSON file."
        ) from error


def refuse(refusal: Refusal) -> NoReturn:
    """Say why not and what to do, and leave with the refusal's status."""
    say(f"Refused ({refusal.code}): {refusal.message}")
    for detail in refusal.details:
        say(f"  {detail}")
    say(f"What to do: {refusal.remedy}")
    raise typer.Exit(refusal.status)


@contextmanager
def refusals() -> Iterator[None]:
    """Refusals of the body become a message and an exit status, files that cannot be used too.

    A pipe closed by its reader ends without a word, and not with the status of a clean answer: nobody read it all.
    """
    try:
        yield
    except Refusal as refusal:
        refuse(refusal)
    except BrokenPipeError:
        with suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise typer.Exit(FINDINGS) from None
    except OSError as error:
        refuse(
            Refusal(
                "file-not-usable",
                f"{error.filename or 'A file'} cannot be used: {error.strerror or error}.",
                remedy="Check the path, and that you may read and write there.",
            )
        )


def will_ask(yes: bool) -> bool:
    """Whether somebody is there to look at it before it is recorded."""
    return not yes and sys.stdin.isatty() and sys.stdout.isatty()


def confirmed(question: str, *, yes: bool) -> None:
    """Ask at a terminal unless told not to; a no leaves with nothing recorded."""
    if not will_ask(yes):
        return
    if not typer.confirm(question, default=False):
        say("Nothing was recorded.")
        raise typer.Exit(FINDINGS)


@contextmanager
def progress_line() -> Iterator[Callable[[str, int], None]]:
    """Progress of long work on standard error: one line of a terminal, wiped at the end; silent when it is none."""
    if not sys.stderr.isatty():
        yield lambda what, count: None
        return
    longest = 0

    def tell(what: str, count: int) -> None:
        nonlocal longest
        text = f"{what}: {count:,}" if count else f"{what} ..."
        longest = max(longest, len(text))
        sys.stderr.write(f"\r{text:<{longest}}")
        sys.stderr.flush()

    try:
        yield tell
    finally:
        sys.stderr.write(f"\r{'':<{longest}}\r")
        sys.stderr.flush()

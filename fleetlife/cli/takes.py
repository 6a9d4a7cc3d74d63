"""The options that every command takes which records something: held once, given to a command as one `asked`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from inspect import signature
from pathlib import Path
from typing import Annotated, Any

import typer

from fleetlife.cli.options import (
    AcceptedBy,
    AcceptedWhy,
    Acknowledge,
    AsOf,
    CardFormat,
    ClockBehind,
    Database,
    Preview,
    Yes,
)

FromFile = Annotated[
    Path | None,
    typer.Option("--file", metavar="JSON", help="Take it all from a JSON file; - reads it here.", show_default=False),
]
RequestKey = Annotated[
    str | None,
    typer.Option(
        "--request-key",
        metavar="TEXT",
        help="Asked again with the same key: same answer, nothing twice.",
        show_default=False,
    ),
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """How a record is asked for: what such a command takes beside its request, each field an option."""

    file: FromFile = None
    hours: str | None = None
    acknowledge: Acknowledge = None
    reason: AcceptedWhy = None
    name: AcceptedBy = None
    request_key: RequestKey = None
    preview: Preview = False
    yes: Yes = False
    as_of: AsOf = None
    accept_clock_behind: ClockBehind = False
    format: CardFormat = "table"
    database: Database = None


SHOWN_FIRST = ("preview", "yes", "as_of", "accept_clock_behind", "format", "database")
RECORDED = ("request_key", *SHOWN_FIRST)
FILED = ("file", *RECORDED)
ACCEPTING = ("acknowledge", "reason", "name", *FILED)


def takes(*names: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """A command that takes these options of `Asked` after its own, in this order, and gets them as `asked`."""

    def with_options(command: Callable[..., None]) -> Callable[..., None]:
        @wraps(command)
        def run(**values: Any) -> None:
            command(asked=Asked(**{name: values.pop(name) for name in names}), **values)

        own, options = signature(command, eval_str=True), signature(Asked, eval_str=True).parameters
        kept = [each for name, each in own.parameters.items() if name != "asked"]
        run.__signature__ = own.replace(  # type: ignore[attr-defined]
            parameters=[*kept, *(options[name] for name in names)]
        )
        return run

    return with_options

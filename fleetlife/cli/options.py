"""The options that several commands share, each written once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Database = Annotated[
    str | None,
    typer.Option(
        "--database",
        metavar="URL",
        help="sqlite:///FILE or postgresql://...; else FLEETLIFE_DATABASE, the settings file, your data folder.",
        show_default=False,
    ),
]
AsOf = Annotated[
    str | None,
    typer.Option(
        "--as-of", metavar="DAY", help="The day asked about, YYYY-MM-DD; today if left out.", show_default=False
    ),
]
KnownAt = Annotated[
    str | None,
    typer.Option(
        "--known-at",
        metavar="MOMENT",
        help="As the records stood then: a moment (UTC), a day, or an entry number.",
        show_default=False,
    ),
]
Format = Annotated[str, typer.Option("--format", metavar="FORMAT", help="table, json, csv or xlsx.", show_default=True)]
Output = Annotated[
    Path | None,
    typer.Option("--output", "-o", metavar="FILE", help="Write to a file instead of the screen.", show_default=False),
]
Manufacturer = Annotated[
    str | None,
    typer.Option("--manufacturer", metavar="NAME", help="Where two units bear the numbers.", show_default=False),
]
ClockBehind = Annotated[
    bool,
    typer.Option(
        "--accept-clock-behind", help="Record although the clock is more than five minutes behind the last entry."
    ),
]
Yes = Annotated[bool, typer.Option("--yes", "-y", help="Do not ask, record.")]
FORMATS = ("table", "json", "csv", "xlsx")


def check_format(text: str, allowed: tuple[str, ...] = FORMATS, output: Path | None = None) -> str:
    """The format, refused as wrong use when it is none of these."""
    if text not in allowed:
        raise typer.BadParameter(f"{text!r} is none of {', '.join(allowed)}.", param_hint="--format")
    if text == "xlsx" and output is None:
        raise typer.BadParameter("A workbook needs a file to go to.", param_hint="--output")
    return text

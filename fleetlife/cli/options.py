"""The options that several commands share, each written once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

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
Since = Annotated[
    str | None,
    typer.Option(
        "--since",
        metavar="MOMENT",
        help="What came in, went out or moved since then: a moment (UTC), a day or an entry number.",
        show_default=False,
    ),
]
SinceAsOf = Annotated[
    str | None,
    typer.Option(
        "--since-as-of",
        metavar="DAY",
        help="With --since: the day asked about then; the same day if left out.",
        show_default=False,
    ),
]
Format = Annotated[str, typer.Option("--format", metavar="FORMAT", help="table, json, csv or xlsx.", show_default=True)]
CardFormat = Annotated[str, typer.Option("--format", metavar="FORMAT", help="table or json.", show_default=True)]
Output = Annotated[
    Path | None,
    typer.Option("--output", "-o", metavar="FILE", help="Write to a file instead of the screen.", show_default=False),
]
Part = Annotated[
    str,
    typer.Argument(
        metavar="PART", help="Or one scan for both: the plate's message, - for a line from the scanner, photo:FILE."
    ),
]
Serial = Annotated[str, typer.Argument(metavar="SERIAL", help="Left out after a scan.")]
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
Acknowledge = Annotated[
    list[str] | None,
    typer.Option("--acknowledge", metavar="CODE", help="A stop accepted by name and reason; may be repeated."),
]
AcceptedWhy = Annotated[str | None, typer.Option("--reason", metavar="TEXT", help="Why.", show_default=False)]
AcceptedBy = Annotated[str | None, typer.Option("--name", metavar="STAFF", help="Who accepts it.", show_default=False)]
Preview = Annotated[bool, typer.Option("--preview", help="Show what it would change; record nothing.")]
Yes = Annotated[bool, typer.Option("--yes", "-y", help="Do not ask, record.")]
DateOrder = Annotated[
    str | None,
    typer.Option("--date-order", metavar="ORDER", help="dmy, mdy or ymd, where dates are not ISO.", show_default=False),
]
HoursReading = Annotated[
    str | None,
    typer.Option(
        "--hours",
        metavar="READING",
        help="decimal or minutes: how 1234.30 is meant. Nothing is guessed.",
        show_default=False,
    ),
]
Problems = Annotated[
    Path | None,
    typer.Option("--problems", metavar="FILE", help="Write every problem to this csv file.", show_default=False),
]
Utilisation = Annotated[
    Path | None,
    typer.Option(
        "--utilisation",
        metavar="FILE",
        help="What if: plans as in this utilisation file, for the airframes it names. Nothing is recorded.",
        show_default=False,
    ),
]
Programme = Annotated[
    Path | None,
    typer.Option(
        "--programme",
        metavar="FILE|FOLDER",
        help="What if: this requirements file (or a folder with requirements, bands) were taken in. Nothing is "
        "recorded.",
        show_default=False,
    ),
]
Bands = Annotated[
    Path | None,
    typer.Option("--bands", metavar="FILE", help="The bands file that belongs to the programme.", show_default=False),
]
FittedOn = Annotated[
    str | None,
    typer.Option(
        "--fitted-on",
        metavar="DAY",
        help="The day for which the date if fitted is told; the day asked about if left out.",
        show_default=False,
    ),
]
FittingDay = Annotated[
    str | None,
    typer.Option(
        "--on",
        metavar="DAY",
        help="The day of the fitting, as things stand on the day asked about; that day if left out.",
        show_default=False,
    ),
]
On = Annotated[str | None, typer.Option("--on", metavar="DAY", help="When; today if left out.", show_default=False)]
SaysSo = Annotated[
    str | None,
    typer.Option("--reference", metavar="TEXT", help="The document that says so.", show_default=False),
]
UnitPair = tuple[str, str] | None
FORMATS = ("table", "json", "csv", "xlsx")
CARD_FORMATS = ("table", "json")


def text_option(name: str, metavar: str, help: str) -> Any:
    """An option that takes a text and may be left out."""
    return typer.Option(name, metavar=metavar, help=help, show_default=False)


def check_format(text: str, allowed: tuple[str, ...] = FORMATS, output: Path | None = None) -> str:
    """The format, refused as wrong use when it is none of these."""
    if text not in allowed:
        raise typer.BadParameter(f"{text!r} is none of {', '.join(allowed)}.", param_hint="--format")
    if text == "xlsx" and output is None:
        raise typer.BadParameter("A workbook needs a file to go to.", param_hint="--output")
    return text


def check_reading(date_order: str | None, hours: str | None) -> None:
    """How dates and hours of files are meant, refused as wrong use when it is none of the ways."""
    if date_order not in (None, "dmy", "mdy", "ymd"):
        raise typer.BadParameter("Say dmy, mdy or ymd.", param_hint="--date-order")
    if hours not in (None, "decimal", "minutes"):
        raise typer.BadParameter("Say decimal or minutes.", param_hint="--hours")

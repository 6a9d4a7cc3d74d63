"""The files of directives and bulletins: the publications, whom they name, what they ask for, and units found without
a modification."""

from __future__ import annotations

from fleetlife.terms import words
from fleetlife.transfer.column import File
from fleetlife.transfer.column import col as _col
from fleetlife.transfer.column import must as _must

_PUBLICATION = (
    _must("publication", "identifier", "The publication's reference, as in publications."),
    _col("revision", "identifier", "The revision this row is of; empty: the first issue."),
)

PUBLICATIONS = File(
    name="publications",
    meaning="Directives, alerts and bulletins, a row for each revision. The latest in effect counts, with its own rows "
    "of the two files below; nothing is carried over from a revision before it.",
    key=("publication", "revision"),
    columns=(
        _must("publication", "identifier", "Its reference."),
        _col("revision", "identifier", "Its revision; empty: the first issue."),
        _must(
            "kind",
            "word",
            "What it is. Directives are mandatory and nothing waives them; a letter informs and asks for nothing.",
            allowed=words.PUBLICATION_KINDS,
        ),
        _col("issuer", "name", "Who issued it."),
        _col("title", "name", "Its title."),
        _must("effective_on", "day", "The day it takes effect: the days and counts after it run from this day."),
        _col("supersedes", "name", "References that it takes the place of from that day, divided by semicolons."),
        _col("cancelled_on", "day", "From this day it asks for nothing more."),
    ),
)

APPLICABILITY = File(
    name="applicability",
    meaning="The units that a publication names. A row means units for which everything it states is so; several rows "
    "mean units of any of them; what an excluded row means is left out of all of them.",
    key=(
        *("publication", "revision", "part_number", "manufacturer", "serial_from", "serial_to"),
        *("made_from", "made_to", "group", "excluded"),
    ),
    columns=(
        *_PUBLICATION,
        _must("part_number", "part_number", "The part number; * stands for any characters, ? for any one."),
        _col("manufacturer", "name", "Its manufacturer; empty is any."),
        _col("serial_from", "serial_number", "First serial, included; digits compare as numbers; empty is open."),
        _col("serial_to", "serial_number", "Last serial, included; empty is open."),
        _col("except", "name", "Serials the row does not mean, and ranges as `120 to 130`, divided by semicolons."),
        _col("made_from", "partial_date", "First date of manufacture, included; empty is open."),
        _col("made_to", "partial_date", "Last date of manufacture, included; empty is open."),
        _col("group", "name", "The publication's own name for these units, where it asks other things of others."),
        _col("excluded", "yes_no", "yes: the row names units that are left out."),
    ),
)

COMPLIANCE = File(
    name="compliance",
    meaning="What a publication asks of the units it names, and by when. A row states a day, or limits after the "
    "effective date or since new, or several of these.",
    key=("publication", "revision", "action", "group"),
    columns=(
        *_PUBLICATION,
        _must("action", "name", "What has to be done, in a word or two."),
        _col("group", "name", "The group of units it is asked of; empty: all that the publication names."),
        _col("comply_by", "day", "The last day."),
        _col("months_after", "count", "Months after the effective date."),
        _col("days_after", "count", "Days after the effective date."),
        _col("hours_after", "hours", "Flight hours of the unit after the effective date."),
        _col("cycles_after", "count", "Flight cycles of the unit after the effective date."),
        _col("months_since_new", "count", "Age since manufacture, in months."),
        _col("hours_since_new", "hours", "Flight hours since new."),
        _col("cycles_since_new", "count", "Flight cycles since new."),
        _col(
            "whichever",
            "word",
            "Which of all the limits of the row counts; first where left out.",
            allowed=("first", "last"),
        ),
        _col("repeat_months", "count", "Again so many months after it was done."),
        _col("repeat_days", "count", "Again so many days after it was done."),
        _col("repeat_hours", "hours", "Again so many flight hours after it was done."),
        _col("repeat_cycles", "count", "Again so many flight cycles after it was done."),
        _col(
            "closed_by_modification",
            "name",
            "The modification that ends it; several, divided by semicolons, are all needed.",
        ),
        _col(
            "closed_by_work",
            "name",
            "The name under which the work is recorded in accomplishments; empty: the publication's reference.",
        ),
    ),
)

NOT_EMBODIED = File(
    name="not_embodied",
    meaning="Units looked at and found without a modification. Where neither this nor the modification is stated, "
    "nobody knows.",
    key=("part_number", "serial_number", "manufacturer", "modification", "date"),
    columns=(
        _must("part_number", "part_number", "The unit's part number, now or earlier."),
        _must("serial_number", "serial_number", "The unit's serial number."),
        _col("manufacturer", "name", "Its manufacturer, where two units bear the numbers."),
        _must("modification", "name", "The modification's number."),
        _must("date", "day", "The day on which it was looked at."),
        _col("reference", "name", "The paper that says so."),
    ),
)

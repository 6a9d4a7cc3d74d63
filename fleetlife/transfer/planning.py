"""The files of planning: when airframes are on the ground, and the least life to fit."""

from __future__ import annotations

from fleetlife.transfer.column import File, col, must

GROUND_TIMES = File(
    name="ground_times",
    meaning="Periods for which an airframe is on the ground, long enough for work, both days included. Planned swaps "
    "are placed in them. Periods of one airframe do not overlap.",
    key=("registration", "from"),
    columns=(
        must("registration", "name", "The airframe's registration on the first day."),
        must("from", "day", "The first day."),
        must("until", "day", "The last day."),
        must("station", "name", "Where."),
        col("reference", "name", "The plan or visit that says so."),
    ),
)

LEAST_LIVES = File(
    name="least_lives",
    meaning="The days of life that a unit must have left when it is fitted, by the operator's own rule. Of several "
    "rows one that names the part counts before one that does not, then one that names the operator, then the latest. "
    "A unit with less is found where it is planned (PLN106); nothing is refused.",
    key=("operator", "part_number", "from"),
    columns=(
        col("operator", "name", "On airframes of this operator; empty: of every operator."),
        col("part_number", "part_number", "Units of this part; empty: of every part."),
        must("from", "day", "The first day on which it holds."),
        must("days", "count", "How many days must be left."),
        must("reference", "name", "The rule that says so."),
    ),
)

"""The files of the work at doors: what must be so before a door is released, swaps and what was done for them, and
deferrals."""

from __future__ import annotations

from fleetlife.terms import words
from fleetlife.transfer.column import Column, File, col, must
from fleetlife.transfer.of_unit import UNIT, UNIT_KEY

_REGISTRATION = must("registration", "name", "The airframe's registration on the day of the row.")
_SWAP = must("swap", "identifier", "The swap's number, as in swap_plans.")
_OF_SWAP = col("swap", "identifier", "The swap it was done for, as in swap_plans.")
_SEQUENCE = col("sequence", "sequence", "Order within the day.")


def _named(prefix: str, what: str) -> tuple[Column, ...]:
    return (
        col(f"{prefix}part_number", "part_number", f"Part number of the unit that {what}."),
        col(f"{prefix}serial_number", "serial_number", f"Serial number of the unit that {what}."),
        col(f"{prefix}manufacturer", "name", f"Manufacturer of the unit that {what}."),
    )


AIRFRAME_STATES = File(
    name="airframe_states",
    meaning="What an airframe is doing from a day on. Units taken from one that was in an accident, or was parked or "
    "withdrawn, need a release before they are fitted elsewhere.",
    key=("registration", "from"),
    columns=(
        _REGISTRATION,
        must("from", "day", "The first day."),
        must("state", "word", "What it is doing.", allowed=words.AIRFRAME_STATES),
        col("reference", "name", "The document that says so."),
    ),
)

RELEASE_ITEMS = File(
    name="release_items",
    meaning="What must be accounted for at positions of a type before a door is released: safety devices, locks, tests "
    "and indications, and whether a second person inspects. As the current approved data of the type states it.",
    key=("type", "position", "position_kind", "category", "item"),
    columns=(
        must("type", "name", "The type of airframe."),
        col("position", "position", "The position; empty: every position of the type."),
        col("position_kind", "name", "The kind of position (positions, column kind); empty: every kind."),
        must("category", "word", "What it is.", allowed=words.RELEASE_CATEGORIES),
        must("item", "name", "Its name, as it is signed for."),
        col("runs", "count", "Of a test: how many times it must pass; left out once."),
        col("expects", "name", "Of a test: what must be seen or read."),
        col("reference", "name", "The approved data that asks for it."),
        col("revision", "identifier", "Its revision."),
    ),
)

PRESSURES = File(
    name="pressures",
    meaning="The least and the most that a gauge may show at a temperature, as the part's own data states it. Between "
    "two temperatures the bounds are taken on a straight line; outside them nothing is known.",
    key=("part_number", "celsius"),
    columns=(
        must("part_number", "part_number", "The part that the gauge belongs to."),
        must("celsius", "celsius", "The temperature."),
        must("minimum", "decimal_count", "The least, included."),
        must("maximum", "decimal_count", "The most, included."),
        must("unit", "word", "The unit of pressure of both.", allowed=words.PRESSURE_UNITS),
        col("reference", "name", "The data it is from."),
        col("revision", "identifier", "Its revision."),
    ),
)

AUTHORISATIONS = File(
    name="authorisations",
    meaning="What persons may sign, both days included.",
    key=("staff", "role", "type", "position_kind", "from"),
    columns=(
        must("staff", "identifier", "The person's staff number."),
        must("role", "word", "What the signature says.", allowed=words.SIGNATURE_ROLES),
        col("type", "name", "On this type of airframe; empty: on every type."),
        col("position_kind", "name", "At positions of this kind (positions, column kind); empty: of every kind."),
        must("from", "day", "The first day."),
        col("until", "day", "The last day; empty: without end."),
        col("reference", "name", "The document that says so."),
    ),
)

SWAP_PLANS = File(
    name="swap_plans",
    meaning="Planned swaps by number: which unit is to go to which position.",
    key=("swap",),
    columns=(
        _SWAP,
        _REGISTRATION,
        must("position", "position", "The position."),
        must("date", "day", "The day it was planned."),
        col("target", "day", "The day by which it is to be done."),
        *_named("incoming_", "is to go on"),
        *_named("outgoing_", "is to come off"),
        must("planned_by", "identifier", "Who planned it, by staff number."),
        col("work_order", "identifier", "The work order."),
        col("data_reference", "name", "The approved data it is to be done to."),
        col("data_revision", "identifier", "Its revision."),
        col("remarks", "text", "Anything else."),
    ),
)

SWAP_STEPS = File(
    name="swap_steps",
    meaning="Steps of planned swaps: checked, begun, given up. That one is done is a row of movements, that it is "
    "released one of swap_signatures.",
    key=("swap", "step", "date", "sequence"),
    columns=(
        _SWAP,
        must("step", "word", "The step.", allowed=words.SWAP_STEPS),
        must("date", "day", "The day."),
        must("signed_by", "identifier", "Who, by staff number."),
        *_named("incoming_", "was asked about"),
        col("answer", "name", "Of a check: its answer."),
        col("stops", "count", "Of a check: how many stops it named."),
        col("conditions", "count", "Of a check: how many conditions it named."),
        col("ledger_head", "identifier", "Of a check: the ledger head it was given against."),
        col("why", "text", "Of one given up: why."),
        _SEQUENCE,
    ),
)

POSITION_WORK = File(
    name="position_work",
    meaning="What was done or seen at a position beside the units: safety devices placed and removed, locks broken and "
    "remade, tests, retained items.",
    key=("registration", "position", "item", "date", "sequence"),
    columns=(
        _REGISTRATION,
        must("position", "position", "The position."),
        must("category", "word", "What it is.", allowed=words.WORK_CATEGORIES),
        must("item", "name", "Its name, as in release_items or in positions (column retained)."),
        must(
            "outcome",
            "word",
            "Of a device: placed, removed, not_used; of a lock: broken, remade, not_broken; of a test: passed, failed; "
            "of a retained item: stayed, left, not_found.",
            allowed=tuple(dict.fromkeys(outcome for outcomes in words.OUTCOMES.values() for outcome in outcomes)),
        ),
        must("date", "day", "The day."),
        must("signed_by", "identifier", "Who, by staff number."),
        _OF_SWAP,
        col("run", "count", "Of a test: which run."),
        col("value", "name", "What was read."),
        col("reference", "name", "The document that says so."),
        _SEQUENCE,
    ),
)

GAUGE_READINGS = File(
    name="gauge_readings",
    meaning="What units' gauges showed at which temperature.",
    key=(*UNIT_KEY, "date", "sequence"),
    columns=(
        *UNIT,
        must("date", "day", "The day."),
        must("pressure", "decimal_count", "What the gauge showed."),
        must("unit", "word", "The unit of pressure.", allowed=words.PRESSURE_UNITS),
        must("celsius", "celsius", "The temperature of the unit then."),
        must("seen_by", "identifier", "Who read it, by staff number."),
        _OF_SWAP,
        col("reference", "name", "The document that says so."),
        _SEQUENCE,
    ),
)

SWAP_SIGNATURES = File(
    name="swap_signatures",
    meaning="Signatures for swaps: performed, independently inspected, released.",
    key=("swap", "role", "date", "sequence"),
    columns=(
        _SWAP,
        must("role", "word", "What the signature says.", allowed=words.SIGNATURE_ROLES),
        must("date", "day", "The day."),
        must("signed_by", "identifier", "Who signed, by staff number."),
        col("exception", "text", "Of one who inspected their own work: why no second person could."),
        col("reference", "identifier", "The log page or release."),
        _SEQUENCE,
    ),
)

DEFERRALS = File(
    name="deferrals",
    meaning="Inoperative or missing items carried under the operator's provisions, as authorised people entered them. "
    "Neither the limit nor the expiry is worked out here.",
    key=("registration", "position", "opened"),
    columns=(
        _REGISTRATION,
        must("position", "position", "The position."),
        must("opened", "day", "The day it was opened."),
        must("item", "name", "The item of the provisions it is carried under."),
        col("expires", "day", "The last day, as entered."),
        col("log_page", "identifier", "The log page."),
        col("conditions", "text", "Under which conditions."),
        must("authorised_by", "identifier", "Who authorised it, by staff number."),
        col("closed", "day", "The day it was closed."),
        col("closed_by", "identifier", "Who closed it, by staff number."),
    ),
)

"""The files of the stores inspector: what was seen at receipts, and what was decided of holds."""

from __future__ import annotations

from fleetlife.terms import words
from fleetlife.transfer.column import File, col, must
from fleetlife.transfer.of_unit import UNIT, UNIT_KEY

RECEIPTS = File(
    name="receipts",
    meaning="What an inspector saw when a unit came in. Where it went is a row of transfers, what its plate reads one "
    "of plate_readings; whatever disagrees puts the unit on hold.",
    key=(*UNIT_KEY, "date", "sequence"),
    columns=(
        *UNIT,
        must("date", "day", "The day it was received."),
        must("inspector", "identifier", "Who looked, by staff id."),
        must("result", "word", "What the inspector decided.", allowed=words.RECEIPT_RESULTS),
        col("certificate", "identifier", "Tracking number of the release certificate that came with it."),
        col("certificate_organisation", "name", "The organisation that issued that certificate."),
        col("order", "name", "The order it came on."),
        col("delivery_note", "name", "The delivery note."),
        col("mark", "month_mark", "The last test mark on the cylinder, as the month or as stamped."),
        col("cured", "partial_date", "The date of cure on the unit."),
        col("expires", "partial_date", "The expiry on the unit."),
        col("looked", "yes_no", "Whether somebody looked for damage; left out, nobody did."),
        col("damage", "text", "The damage seen; with looked yes and nothing here none was seen."),
        col("reference", "name", "The document of the inspection."),
        col("sequence", "sequence", "Order within the day."),
    ),
)

HOLD_DECISIONS = File(
    name="hold_decisions",
    meaning="What somebody decided of a hold, by name and with evidence: suspected unapproved part, cleared of it, or "
    "lifted after a receipt.",
    key=(*UNIT_KEY, "date", "sequence"),
    columns=(
        *UNIT,
        must("date", "day", "The day it was decided."),
        must("decision", "word", "What was decided.", allowed=words.HOLD_DECISIONS),
        must("why", "text", "Why: what is suspected, or what shows that the hold may go."),
        must("decided_by", "identifier", "Who decided, by staff id."),
        col("reference", "name", "The document that shows it, by its number."),
        col("document", "name", "The document itself, by the digest under which it is kept."),
        col("sequence", "sequence", "Order within the day."),
    ),
)

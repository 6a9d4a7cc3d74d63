"""The columns by which a row names the unit it is about."""

from __future__ import annotations

from fleetlife.transfer.column import col, must

UNIT_KEY = ("part_number", "serial_number", "manufacturer")
UNIT = (
    must("part_number", "part_number", "Any part number the unit has borne."),
    must("serial_number", "serial_number", "The unit's serial number, or OWN: and the operator's tracking number."),
    col("manufacturer", "name", "The unit's manufacturer, needed where two units would answer to the numbers."),
)

"""Files that cannot be taken in, each with the place and the words of what is wrong in it."""

from __future__ import annotations

from dataclasses import dataclass

from .running import TODAY

UNITS = "part_number,serial_number,manufacturer,as_of,store,condition\n"
UNIT = "KV-2100-3,{},Kvitnes Survival,2026-11-20,Skarholm main store,serviceable\n"
READINGS = "registration,date,hours_total,cycles_total\n"
MOVEMENTS = (
    "date,registration,position,removed_part_number,removed_serial_number,installed_part_number,"
    "installed_serial_number\n"
)
TRANSFERS = "date,part_number,serial_number,to,store\n"
DONE = "part_number,serial_number,requirement,date\n"
PAPERS = "tracking_number,organisation,part_number,serial_number,status,date,filed_part_number,filed_serial_number\n"


@dataclass(frozen=True, slots=True)
class Bad:
    """A file, and where in it what is wrong; `words` are in the reason or the remedy."""

    file: str
    content: str | bytes
    line: int
    column: str
    value: str
    words: str


BAD = {
    "utf-16": Bad("units.csv", (UNITS + UNIT.format("Z1")).encode("utf-16"), 0, "", "", "UTF-16"),
    "utf-16 without its mark": Bad("units.csv", (UNITS + UNIT.format("Z1")).encode("utf-16-le"), 0, "", "", "UTF-8"),
    "latin-1": Bad("units.csv", (UNITS + UNIT.format("Z\xe9")).encode("latin-1"), 2, "", "KV-2100-3,Z", "not UTF-8"),
    "a workbook called csv": Bad("units.csv", b"PK\x03\x04" + bytes(200), 0, "", "", "workbook"),
    "no workbook called xlsx": Bad("units.xlsx", UNITS.encode(), 0, "", "", "no workbook"),
    "empty": Bad("units.csv", "", 0, "", "", "The file is empty."),
    "blank": Bad("units.csv", "\n \n\n", 0, "", "", "The file is empty."),
    "a row too long": Bad(
        "units.csv", UNITS + UNIT.format("Z1") + UNIT.format("Z2,x"), 3, "", "KV-2100-3,Z2,x", "7 cells"
    ),
    "a row too short": Bad("units.csv", UNITS + "KV-2100-3,Z1\n", 2, "", "KV-2100-3,Z1", "2 cells"),
    "semicolons": Bad("units.csv", UNITS.replace(",", ";"), 1, "", "part_number;", "semicolons"),
    "a quotation mark left open": Bad("units.csv", UNITS + 'KV-2100-3,"Z1,K,2026-11-20,s,\n', 2, "", "", "closes it"),
    "an unknown column": Bad("units.csv", "part_no" + UNITS[11:] + UNIT.format("Z1"), 1, "part_no", "", "part_number"),
    "a column twice": Bad("units.csv", "store," + UNITS + "s," + UNIT.format("Z1"), 1, "store", "", "there twice"),
    "a column missing": Bad("units.csv", "part_number\nKV-2100-3\n", 1, "serial_number", "", "missing"),
    "a column without a name": Bad("units.csv", "," + UNITS + "," + UNIT.format("Z1"), 1, "", "", "no name"),
    "a counter not supported": Bad(
        "units.csv", "landings," + UNITS + "1," + UNIT.format("Z1"), 1, "landings", "", "landings"
    ),
    "an unknown file": Bad("unit.csv", UNITS, 0, "", "", "Did you mean units.csv?"),
    "a text file": Bad("units.txt", UNITS, 0, "", "", ".csv"),
    "an old workbook": Bad("units.xls", UNITS, 0, "", "", ".xlsx"),
    "a missing value": Bad("units.csv", UNITS + UNIT.format(""), 2, "serial_number", "", "must be there"),
    "a key twice": Bad(
        "units.csv",
        UNITS + UNIT.format("Z1") + UNIT.format("Z1").replace("service", "unservice"),
        3,
        "part_number",
        "Z1",
        "Line 2 of units.csv",
    ),
    "a key known otherwise": Bad(
        "parts.csv",
        "part_number,manufacturer,description\nKV-2100-3,Kvitnes Survival,Raft\n",
        2,
        "part_number",
        "KV-2100-3",
        "fleetlife ledger correct",
    ),
    "an unknown part": Bad(
        "units.csv", UNITS + UNIT.format("Z1").replace("2100-3", "2100-8"), 2, "part_number", "KV-2100-8", "parts file"
    ),
    "an unknown airframe": Bad(
        "readings.csv", READINGS + "Q-ZZZ,2026-11-25,99999:00,99999\n", 2, "registration", "Q-ZZZ", "airframes file"
    ),
    "a registration not borne then": Bad(
        "readings.csv", READINGS + "Q-TRN,2026-11-25,99999:00,99999\n", 2, "registration", "Q-TRN", "2026-11-25"
    ),
    "an unknown position": Bad(
        "movements.csv", MOVEMENTS + f"{TODAY},Q-SKA,L9,,,KV-2100-3,20301\n", 2, "position", "L9", "R2"
    ),
    "an unknown unit": Bad(
        "movements.csv",
        MOVEMENTS + f"{TODAY},Q-SKA,R2,,,KV-2100-3,99999\n",
        2,
        "installed_serial_number",
        "KV-2100-3 99999",
        "units file",
    ),
    "an unknown requirement": Bad(
        "accomplishments.csv", DONE + f"KV-2100-3,20301,OVHL,{TODAY}\n", 2, "requirement", "OVHL", "OVH"
    ),
    "an unknown filing": Bad(
        "certificates.csv",
        PAPERS + f"T-1,Outer Reef Overhaul,KV-2100-3,20301,New,{TODAY},KV-2100-3,9\n",
        2,
        "filed_serial_number",
        "KV-2100-3 9",
        "in the records",
    ),
    "an unknown word": Bad(
        "transfers.csv", TRANSFERS + f"{TODAY},KV-2100-3,20301,shoppe,\n", 2, "to", "shoppe", "shop"
    ),
    "a negative total": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},-5:00,99999\n", 2, "hours_total", "-5:00", "negative"
    ),
    "negative cycles": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},99999:00,-1\n", 2, "cycles_total", "-1", "negative"
    ),
    "a total that falls in the file": Bad(
        "readings.csv",
        READINGS + f"Q-SKA,{TODAY},99999:00,99999\nQ-SKA,2026-11-26,99998:59,99999\n",
        3,
        "hours_total",
        "99998:59",
        "never fall",
    ),
    "a total below the records": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},1:00,99999\n", 2, "hours_total", "1:00", "never fall"
    ),
    "another total for a known day": Bad(
        "readings.csv",
        READINGS + "Q-SKA,2026-11-24,99999:00,99999\n",
        2,
        "date",
        "2026-11-24",
        "fleetlife ledger correct",
    ),
    "an impossible day": Bad(
        "readings.csv", READINGS + "Q-SKA,2026-02-30,1:00,1\n", 2, "date", "2026-02-30", "no such date"
    ),
    "a day that could be two": Bad(
        "readings.csv", READINGS + "Q-SKA,03/04/2026,1:00,1\n", 2, "date", "03/04/2026", "--date-order"
    ),
    "hours that could be two": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},1234.30,99999\n", 2, "hours_total", "1234.30", "--hours decimal"
    ),
    "hours that are none": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},many,99999\n", 2, "hours_total", "many", "HHHH:MM"
    ),
    "cycles with a point": Bad(
        "readings.csv", READINGS + f"Q-SKA,{TODAY},99999:00,9.5\n", 2, "cycles_total", "9.5", "whole number"
    ),
    "installed later than its own day": Bad(
        "units.csv", "installed," + UNITS + "2026-11-21," + UNIT.format("Z1"), 2, "installed", "2026-11-21", "later"
    ),
    "removed before it was there": Bad(
        "movements.csv", MOVEMENTS + "2010-01-01,Q-SKA,R2,KV-2100-3,20104,,\n", 2, "registration", "Q-SKA", "bore Q-SKA"
    ),
    "taken off where it is not": Bad(
        "movements.csv", MOVEMENTS + f"{TODAY},Q-SKA,R2,KV-2100-3,20301,,\n", 2, "", "", "in the way"
    ),
    "fitted where one hangs": Bad(
        "movements.csv", MOVEMENTS + f"{TODAY},Q-SKA,R2,,,KV-2100-3,20301\n", 2, "", "", "in the way"
    ),
    "an escape code": Bad("units.csv", UNITS + UNIT.format("Z\x1b[31m1"), 2, "serial_number", "Z\x1b[31m1", "U+001B"),
    "a NUL": Bad("units.csv", UNITS + UNIT.format("Z\0"), 2, "serial_number", "Z\0", "U+0000"),
    "a mark that turns the writing": Bad(
        "units.csv", UNITS + UNIT.format("Z\u202e1"), 2, "serial_number", "Z\u202e1", "U+202E"
    ),
    "a space that is not seen": Bad(
        "units.csv", UNITS + UNIT.format("Z\u200b1"), 2, "serial_number", "Z\u200b1", "U+200B"
    ),
}

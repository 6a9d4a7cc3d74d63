"""The identifiers of the three formats: what each says, and how a field is divided into identifier and value.

GS1 application identifiers (format 05), ASC MH10.8.2 data identifiers (06; ISO/IEC 15418 names both), air-transport
text elements (12, earlier DD). What each means beside the unique item identifier is from MIL-STD-130N with Change 1
where that names it, from ASC MH10.8.2 (2016, dates read), else from memory and marked so. An identifier that is not
listed is kept with its value and used for nothing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Format = Literal["application", "data", "text"]
APPLICATION: Format = "application"
DATA: Format = "data"
TEXT: Format = "text"
FORMATS: dict[str, Format] = {"05": APPLICATION, "06": DATA, "12": TEXT, "DD": TEXT}
FORMAT_NAMES: dict[Format, str] = {
    APPLICATION: "GS1 application identifiers",
    DATA: "ASC MH10 data identifiers",
    TEXT: "air-transport text elements",
}


@dataclass(frozen=True, slots=True)
class Meaning:
    """What an identifier says. role: what it is used for, "" for nothing; from_memory: no text of it was seen.

    agency: for an enterprise, the issuing agency's code, which the item does not bear; how: for a date, its layout.
    """

    says: str
    role: str = ""
    agency: str | None = None
    how: str = ""
    from_memory: bool = False


# Roles. A serial number is one of the enterprise or one of the part or lot, and never taken for the other.
ENTERPRISE, ENTERPRISE_SERIAL, ITEM_SERIAL = "enterprise", "serial in the enterprise", "serial in the part or lot"
ORIGINAL_PART, CURRENT_PART, TRADE_ITEM = "original part", "current part", "trade item"
LOT, BATCH = "lot", "batch"  # a batch of format 05 has no part in an identifier
ENTERPRISE_AND_SERIAL, COMPLETE, EQUIVALENT = "enterprise and serial", "complete", "equivalent"
MADE, EXPIRES = "made", "expires"
CAGE, DUNS, GS1, DODAAC = "CAGE", "DUNS", "GS1 company prefix", "DoDAAC"
# Issuing agency codes, MIL-STD-130N Change 1 table V; the GS1 company prefix holds its own (0 to 9).
AGENCY_CODES = {CAGE: "D", DUNS: "UN", GS1: "", DODAAC: "LD"}
CODE_LENGTHS = {CAGE: 5, DUNS: 9, DODAAC: 6}

_LONG, _LONG_DAY_FIRST, _SHORT = "YYYYMMDD", "DDMMYYYY", "YYMMDD"

TEXT_ELEMENTS: dict[str, Meaning] = {
    "CAG": Meaning("enterprise, CAGE code", ENTERPRISE, CAGE),
    "MFR": Meaning("manufacturer, CAGE code", ENTERPRISE, CAGE),
    "SPL": Meaning("supplier, CAGE code", ENTERPRISE, CAGE),
    "DUN": Meaning("enterprise, DUNS number", ENTERPRISE, DUNS),
    "EUC": Meaning("enterprise, GS1 company prefix", ENTERPRISE, GS1),
    "SER": Meaning("serial number, unique in the enterprise", ENTERPRISE_SERIAL),
    "UCN": Meaning("unique component number, unique in the enterprise", ENTERPRISE_SERIAL),
    "SEQ": Meaning("serial number, unique in the part or lot alone", ITEM_SERIAL),
    "PNO": Meaning("original part number", ORIGINAL_PART),
    "LOT": Meaning("lot", LOT),
    "UID": Meaning("unique item identifier, complete", COMPLETE),
    "PNR": Meaning("current part number", CURRENT_PART, from_memory=True),
    "DMF": Meaning("date of manufacture", MADE, how=_LONG, from_memory=True),
    "EXP": Meaning("expiry date", EXPIRES, how=_LONG, from_memory=True),
    "LTN": Meaning("lot, unique in the enterprise"),
    "BII": Meaning("part of a lot"),
    "UIC": Meaning("unique identification code", from_memory=True),
    "USN": Meaning("universal serial number", from_memory=True),
    "UST": Meaning("universal serial tracking number", from_memory=True),
}
DATA_IDENTIFIERS: dict[str, Meaning] = {
    "18S": Meaning("CAGE code and serial number unique in it", ENTERPRISE_AND_SERIAL, CAGE),
    "25S": Meaning("unique item identifier, complete", COMPLETE),
    "17V": Meaning("enterprise, CAGE code", ENTERPRISE, CAGE),
    "12V": Meaning("enterprise, DUNS number", ENTERPRISE, DUNS),
    "3V": Meaning("enterprise, GS1 company prefix", ENTERPRISE, GS1),
    "7L": Meaning("enterprise, DoDAAC", ENTERPRISE, DODAAC),
    "18V": Meaning("enterprise, with its agency's code", ENTERPRISE),
    "1P": Meaning("original part number", ORIGINAL_PART),
    "1T": Meaning("lot", LOT),
    "S": Meaning("serial number, unique in the part or lot alone", ITEM_SERIAL),
    "I": Meaning("vehicle identification number", EQUIVALENT),
    "22S": Meaning("electronic serial number of a mobile telephone", EQUIVALENT),
    "30P": Meaning("current part number", CURRENT_PART),
    "16D": Meaning("date of manufacture", MADE, how=_LONG),
    "17D": Meaning("date of manufacture, day first", MADE, how=_LONG_DAY_FIRST),
    "14D": Meaning("expiry date", EXPIRES, how=_LONG),
    "15D": Meaning("expiry date, day first", EXPIRES, how=_LONG_DAY_FIRST),
    "P": Meaning("the customer's item number", from_memory=True),
    "30T": Meaning("trace number, no part of the identifier"),
}
APPLICATION_IDENTIFIERS: dict[str, Meaning] = {
    "01": Meaning("trade item number (GTIN)", TRADE_ITEM),
    "21": Meaning("serial number, unique in the trade item", ITEM_SERIAL),
    "10": Meaning("batch or lot", BATCH),
    "11": Meaning("date of manufacture", MADE, how=_SHORT),
    "17": Meaning("expiry date", EXPIRES, how=_SHORT),
    "240": Meaning("current part number", CURRENT_PART, from_memory=True),
    "241": Meaning("the customer's part number", from_memory=True),
    "8002": Meaning("electronic serial number of a mobile telephone", EQUIVALENT),
    "8003": Meaning("returnable asset with its serial number (GRAI)", EQUIVALENT),
    "8004": Meaning("individual asset (GIAI)", EQUIVALENT),
}
MEANINGS: dict[Format, dict[str, Meaning]] = {
    APPLICATION: APPLICATION_IDENTIFIERS,
    DATA: DATA_IDENTIFIERS,
    TEXT: TEXT_ELEMENTS,
}

# How many characters the value of an application identifier has where GS1 lays it down, so that no separator need
# follow (GS1 General Specifications, identifiers of predefined length; read in a printer's manual, the list from
# memory).
_LENGTHS = {
    **dict.fromkeys(("01", "02"), 14),
    **dict.fromkeys(("00",), 18),
    **dict.fromkeys(("20",), 2),
    **dict.fromkeys(("11", "12", "13", "15", "16", "17"), 6),
    **{f"41{digit}": 13 for digit in range(8)},
}
# How many digits an application identifier has, by its first two (from memory).
_DIGITS = {
    **dict.fromkeys(("00", "01", "02", "10", "11", "12", "13", "15", "16", "17", "20", "21", "22", "30", "37"), 2),
    **{f"9{digit}": 2 for digit in range(10)},
    **dict.fromkeys(("23", "24", "25", "40", "41", "42", "71"), 3),
    **dict.fromkeys(("31", "32", "33", "34", "35", "36", "39", "43", "70", "72", "80", "81", "82"), 4),
}
_DATA_FIELD = re.compile(r"([0-9]{0,3}[A-Z])(.*)", re.DOTALL)
_TEXT_FIELD = re.compile(r"([A-Z]{3})[ ]*(.*)", re.DOTALL)


def divided(format: Format, field: str) -> list[tuple[str, str]]:
    """A field as identifier and value; the identifier is empty where the field begins with none.

    One field of format 05 may hold several elements, each but the last of a length of its own.
    """
    if format is APPLICATION:
        return [_application(part) for part in application_fields(field, whole=False) or (field,)]
    match = (_DATA_FIELD if format is DATA else _TEXT_FIELD).fullmatch(field)
    return [("", field) if match is None else (match[1], match[2].rstrip())]


def application_fields(text: str, *, whole: bool) -> tuple[str, ...] | None:
    """A stretch of format 05 divided by the lengths that identifiers lay down, None where it cannot be.

    whole: every element must have a length of its own; else what follows the last such is one element, whatever it is.
    """
    parts: list[str] = []
    while text:
        identifier = _identifier(text)
        length = _LENGTHS.get(identifier)
        end = len(identifier) + (length or 0)
        value = text[len(identifier) : end]
        if length is None or len(value) < length or not (value.isascii() and value.isdigit()):
            if whole:
                return None
            return (*parts, text)
        parts.append(text[:end])
        text = text[end:]
    return tuple(parts) or None


def _identifier(text: str) -> str:
    digits = _DIGITS.get(text[:2], 0)
    return text[:digits] if digits and text[:digits].isascii() and text[:digits].isdigit() else ""


def _application(text: str) -> tuple[str, str]:
    identifier = _identifier(text)
    return identifier, text[len(identifier) :]


def could_be_fields(format: Format, fields: Sequence[str]) -> bool:
    """Whether every field begins with something that may be an identifier of the format."""
    return bool(fields) and all(identifier for field in fields for identifier, _ in divided(format, field)[:1])

"""A finding is a value with an address: what is wrong or cannot be shown to be right."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from typing import Literal

from fleetlife.terms.filling import filled
from fleetlife.terms.number import fold

Severity = Literal["stop", "rectify", "note"]
SEVERITY_ORDER: dict[str, int] = {"stop": 0, "rectify": 1, "note": 2}
# What a finding is called by in rows for machines, in the order written.
FINDING_COLUMNS: tuple[str, ...] = (
    "finding",
    "rule",
    "severity",
    "status",
    "registration",
    "position",
    "part_number",
    "serial_number",
    "manufacturer",
    "certificate",
    "expected",
    "found",
    "message",
    "action",
    "published_rule",
    "number",
)

# A finding's number: its code and eight signs of a digest, written without the letters that are taken for figures.
_SIGNS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_LENGTH = 8
_NUMBER = re.compile(f"([A-Z]{{3}}[0-9]{{3}})-([{_SIGNS}]{{{_LENGTH}}})")
_MISREAD = str.maketrans("OIL", "011")


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One side of a finding: where it stands (`source`), what it says (`says`), its ledger entry."""

    source: str
    says: str
    entry: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """`code` addresses the page in the register; the message carries the facts, the hint names the command.

    `regards`: what tells it from others of its code about the same unit or paper (`checks.register.regards`).
    """

    code: str
    name: str
    severity: Severity
    message: str
    hint: str
    registration: str | None = None
    position: str | None = None
    part_number: str | None = None
    serial_number: str | None = None
    manufacturer: str | None = None
    certificate: str | None = None
    organisation: str | None = None
    expected: str | None = None
    found: str | None = None
    published_rule: str | None = None
    status: str = "open"
    unit: int | None = None
    airframe: int | None = None
    evidence: tuple[Evidence, ...] = ()
    regards: str = ""

    @property
    def number(self) -> str:
        """The number that it keeps as long as the same thing is wrong: `LIF101-7K3QF0ZD`.

        From the code, the unit (or the airframe, or the numbers as printed), the paper and what it regards; not from
        where the unit is, from any date that moves by itself, or from the message. The same ledger gives the same
        number on every database.
        """
        if self.unit is not None:
            about = f"unit {self.unit}"
        elif self.part_number or self.serial_number:
            about = f"printed {fold(self.part_number)}|{fold(self.serial_number)}|{fold(self.manufacturer)}"
        else:
            where = fold(self.registration) if self.airframe is None else self.airframe
            about = f"airframe {where}|{fold(self.position)}"
        text = "\n".join((self.code, about, fold(self.certificate), self.regards))
        value = int.from_bytes(hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()[:5], "big")
        return f"{self.code}-{''.join(_SIGNS[value >> 5 * place & 31] for place in range(_LENGTH))}"

    def subject(self) -> str:
        """The address in words, for acknowledgement by name and for sorting."""
        parts = (
            self.registration,
            self.position,
            self.part_number,
            self.serial_number,
            self.certificate,
            self.organisation,
        )
        return " ".join([part for part in parts if part])

    def sort_key(self) -> tuple[int, str, str, str]:
        return (SEVERITY_ORDER[self.severity], self.code, self.subject(), self.message)


def number_read(text: str) -> str | None:
    """A finding's number as somebody typed it: case, and O for 0, I and L for 1 after the code; None: it is none."""
    code, dash, rest = text.strip().upper().partition("-")
    number = f"{code}{dash}{rest.translate(_MISREAD)}"
    return number if _NUMBER.fullmatch(number) else None

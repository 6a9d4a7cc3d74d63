"""A finding is a value with an address: what is wrong or cannot be shown to be right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """One side of a finding: where it stands (`source`), what it says (`says`), its ledger entry."""

    source: str
    says: str
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """`code` addresses the page in the register; the message carries the facts, the hint names the command."""

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
    expected: str | None = None
    found: str | None = None
    published_rule: str | None = None
    status: str = "open"
    unit: int | None = None
    airframe: int | None = None
    evidence: tuple[Evidence, ...] = ()

    def subject(self) -> str:
        """The address in words, for acknowledgement by name and for sorting."""
        unit = " ".join(part for part in (self.part_number, self.serial_number) if part)
        return " ".join(part for part in (self.registration, self.position, unit, self.certificate) if part)

    def sort_key(self) -> tuple[int, str, str, str]:
        return (SEVERITY_ORDER[self.severity], self.code, self.subject(), self.message)

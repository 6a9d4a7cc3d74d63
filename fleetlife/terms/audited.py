"""What an audit answers beside its findings: the sample it drew, and what is new and what is closed since."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from fleetlife.terms.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class OrganisationPapers:
    """How many lines of an organisation's papers are filed against units, and how many of those disagree."""

    organisation: str
    lines: int
    differing: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SampledUnit:
    """One unit of a sample: its identity, where it is, and how many findings stand against it."""

    part_number: str
    serial_number: str
    manufacturer: str | None
    place: str
    findings: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """Units drawn by a stated rule: the same seed and the same records draw the same units, on any database."""

    seed: str
    asked: int
    population: int
    units: tuple[SampledUnit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Closed:
    """A finding that stood and stands no longer, and the entries between that name what it was about."""

    finding: Finding
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What an earlier state of knowledge is held against: how it was asked for, its last entry and head, its day.

    `new`: the numbers of the findings that did not stand then. `stood`: how many of those that stand did.
    """

    moment: str
    entry: int
    head: str
    as_of: str
    new: frozenset[str]
    stood: int
    closed: tuple[Closed, ...]


SAMPLE_RULE = (
    "the first of all units but scrapped ones, in the order of the SHA-256 of the seed, a line end, and manufacturer, "
    "part number and serial number with a vertical line between, in capitals without spaces"
)


def sample_rank(seed: str, identity: tuple[str, str, str]) -> bytes:
    """Where a unit stands in the order of a seed; `identity`: manufacturer, part and serial number, folded."""
    return hashlib.sha256(f"{seed}\n{'|'.join(identity)}".encode()).digest()

"""Facts of publications: directives and bulletins, the units they apply to, and how they must be complied with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fleetlife.ledger.fact import Fact


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication(Fact):
    """One revision of a directive, an alert or a bulletin. `supersedes`: references, divided by semicolons.

    `revision` None is the first issue. `cancelled_on`: from that day on it asks for nothing more.
    """

    KIND: ClassVar[str] = "publication"
    KEY: ClassVar[tuple[str, ...]] = ("publication", "revision")
    publication: str
    revision: str | None = None
    kind: str
    issuer: str | None = None
    title: str | None = None
    effective_on: str
    supersedes: str | None = None
    cancelled_on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Applicability(Fact):
    """Units that a publication names, or with `excluded` those that it leaves out. Every condition stated must hold.

    `part_number` may hold `*` and `?`. Serial ranges are inclusive; `excepted`: serials and ranges (`120 to 130`) that
    the row does not mean, divided by semicolons. `made_*` are partial dates, both included. `unit_group` is the name
    by which the publication calls these units, where it asks different things of different ones.
    """

    KIND: ClassVar[str] = "applicability"
    KEY: ClassVar[tuple[str, ...]] = (
        *("publication", "revision", "part_number", "manufacturer", "serial_from", "serial_to"),
        *("made_from", "made_to", "unit_group", "excluded"),
    )
    publication: str
    revision: str | None = None
    part_number: str
    manufacturer: str | None = None
    serial_from: str | None = None
    serial_to: str | None = None
    excepted: str | None = None
    made_from: str | None = None
    made_to: str | None = None
    unit_group: str | None = None
    excluded: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Compliance(Fact):
    """What a publication asks of the units of a group (None: of all), and by when. Hours are minutes.

    `*_after` run from the effective date, `*_since_new` from the unit's manufacture; `whichever` of all of them.
    Closed by all the modifications of `closed_by_modification`, or by work of the name `closed_by_work` (None: the
    publication's own reference); work with a `repeat_*` is due again and closes nothing for good.
    """

    KIND: ClassVar[str] = "compliance"
    KEY: ClassVar[tuple[str, ...]] = ("publication", "revision", "action", "unit_group")
    publication: str
    revision: str | None = None
    action: str
    unit_group: str | None = None
    comply_by: str | None = None
    months_after: int | None = None
    days_after: int | None = None
    minutes_after: int | None = None
    cycles_after: int | None = None
    months_since_new: int | None = None
    minutes_since_new: int | None = None
    cycles_since_new: int | None = None
    whichever: str | None = None
    repeat_months: int | None = None
    repeat_days: int | None = None
    repeat_minutes: int | None = None
    repeat_cycles: int | None = None
    closed_by_modification: str | None = None
    closed_by_work: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NotEmbodied(Fact):
    """Somebody looked at the unit, or at its papers, on `read_on`, and the modification was not embodied."""

    KIND: ClassVar[str] = "not_embodied"
    KEY: ClassVar[tuple[str, ...]] = ("unit", "modification", "read_on")
    unit: int
    modification: str
    read_on: str
    reference: str | None = None

"""What `identity plate` and `identity read` return: plate, paper and record of one unit, and the plate's elements."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.views import About

PART, SERIAL = "part number", "serial number"
NUMBERS = (PART, SERIAL)
Marks = tuple[tuple[str, str, bool], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateElement:
    """One element of the symbol as marked. used: whether anything rests on it."""

    format: str
    identifier: str
    value: str
    says: str
    used: bool
    from_memory: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateSays:
    """What the symbol of a plate says. enterprises: (code with its agency's name, identifier, manufacturers tied to
    it). construct: 1, 2, complete or equivalent; formed: of what the identifier is made."""

    elements: tuple[PlateElement, ...] = ()
    enterprises: tuple[tuple[str, str, str | None], ...] = ()
    original_part_number: str | None = None
    current_part_number: str | None = None
    serial_number: str | None = None
    serial_unique_in: str | None = None
    lot: str | None = None
    manufactured: str | None = None
    expires: str | None = None
    unique_item_identifier: str | None = None
    construct: str | None = None
    formed: str | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateRow:
    """One thing of the three. None: it does not state it.

    plate_verdict and paper_verdict are how each differs from the record, by the classes of `paper.agreement`; `not
    compared` where one of the two states nothing. `differs`: anything in it is not as recorded. The marks are (its own,
    the record's, same).
    """

    what: str
    plate: str | None
    paper: str | None
    record: str | None
    plate_verdict: str
    paper_verdict: str
    differs: bool
    plate_marks: Marks = ()
    paper_marks: Marks = ()
    note: str | None = None

    @property
    def plate_agrees(self) -> bool:
        """Whether plate and record state it alike."""
        return self.plate_verdict in ("exact", "formatting")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlatePaper:
    """A certificate line filed against the unit: how its numbers agree with the record of its own day."""

    tracking_number: str
    organisation: str
    item: str | None
    dated_on: str
    status: str
    part_number: str
    serial_number: str
    part_verdict: str
    serial_verdict: str
    agrees: bool
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateCard:
    """Plate, paper and record of one unit. paper: the latest line filed against it, which the rows compare, then the
    rest. others: further units that the records have under what the plate says."""

    about: About
    part_number: str
    serial_number: str
    manufacturer: str | None
    plate: PlateSays
    rows: tuple[PlateRow, ...]
    paper: PlatePaper | None = None
    other_papers: tuple[PlatePaper, ...] = ()
    others: tuple[str, ...] = ()
    outcome: str = ""
    actions: tuple[str, ...] = ()

    @property
    def numbers_agree(self) -> bool:
        """Whether the plate's part and serial number are what is recorded of the unit, and both stated."""
        return all(row.plate_agrees for row in self.rows if row.what in NUMBERS)

    @property
    def differs(self) -> bool:
        """Whether any of the three says something else than another."""
        return any(row.differs for row in self.rows) or any(not paper.agrees for paper in self.other_papers)

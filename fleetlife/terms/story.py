"""The life story of a unit, its log card and the pack of an airframe: frozen values of text and whole numbers.

Totals are text, `HHHH:MM` for hours; days are ISO 8601, partial dates as they were stated. None is not known.
"""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.filling import filled
from fleetlife.terms.finding import Finding
from fleetlife.terms.views import About, DueRow, PaperLine

TOPICS = (
    *("made", "cured", "first release", "opening", "removal", "found", "stay", "carried", "release"),
    *("work", "operation", "modification", "variation", "statement"),
)
STANDINGS = ("stands", "replaced", "withdrawn")
HOLES = ("gap", "overlap", "unknown")


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class StoryLine:
    """One thing of a unit's life. topic: one of `TOPICS`.

    hours_* and cycles_*: totals of the airframe at the ends of a stay, with their basis; `*_since_new`: the unit's own
    at its end (of what has no end: at that day). Of a stay that lasts the ends `*_until` are None. totals_from: the day
    of the totals `*_from` where that is not the first day: the opening statement counts from its own. standing: one of
    `STANDINGS`; by_entry: the entry that replaced or withdrew it, `why` that entry's reason; corrects: the entries that
    its own entry replaces. restarts: the requirements of which the work restarts the clock, None for what is no work.
    doubtful: nobody knows when it ended or began.
    """

    since: str | None
    topic: str
    text: str
    until: str | None = None
    registration: str | None = None
    position: str | None = None
    totals_from: str | None = None
    hours_from: str | None = None
    hours_until: str | None = None
    cycles_from: str | None = None
    cycles_until: str | None = None
    basis_from: str | None = None
    basis_until: str | None = None
    hours_since_new: str | None = None
    cycles_since_new: str | None = None
    restarts: tuple[str, ...] | None = None
    doubtful: bool = False
    standing: str = "stands"
    by_entry: int | None = None
    corrects: tuple[int, ...] = ()
    why: str | None = None
    entry: int | None = None
    recorded_at: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """What the records do not say, or say twice. kind: one of `HOLES`. until None: it lasts, or has no end."""

    kind: str
    what: str
    since: str | None
    until: str | None
    text: str
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitStory:
    """Birth to the day asked, oldest first. mended: how many statements were replaced or withdrawn."""

    about: About
    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    part_numbers_borne: tuple[str, ...]
    place: str
    manufactured: str | None
    life_quality: str | None
    hours_since_new: str | None
    cycles_since_new: str | None
    holes: tuple[Hole, ...]
    lines: tuple[StoryLine, ...]
    mended: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class CardLine:
    """A line of a log card: what the rule asks for (`asked`), what these records hold of it, or that they hold none."""

    asked: str
    held: tuple[str, ...]
    not_held: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One installation or removal. event: fitted, fitted before (where the opening statement has it), found or removed.

    into_*: what it was fitted in: an airframe with its type, constructor's serial and registration of that day, or an
    assembly with its numbers (registration: of the airframe that carried that). *_since_new: its own total life then,
    `~` before one that rests on a bound. reason: of a removal, or of what is doubtful.
    """

    on: str
    event: str
    into_type: str | None = None
    into_part_number: str | None = None
    into_serial_number: str | None = None
    into_registration: str | None = None
    position: str | None = None
    hours_since_new: str | None = None
    cycles_since_new: str | None = None
    basis: str | None = None
    reason: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class LogCard:
    """The card that goes with a unit.

    Its canonical text (RFC 8785) is digested beside it, so that nothing in it is ever a float. rule: as cited from the
    register of published rules. fitted: each installation and removal, oldest first. parts: what else it asks for.
    """

    about: About
    rule: str
    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    part_numbers_borne: tuple[str, ...]
    place: str
    condition: str
    hold: str | None
    harness: str
    life_quality: str | None
    manufactured: str | None
    hours_since_new: str | None
    cycles_since_new: str | None
    operations: tuple[str, ...]
    fitted: tuple[Fitting, ...]
    parts: tuple[CardLine, ...]
    due: tuple[DueRow, ...]
    papers: tuple[PaperLine, ...]
    holes: tuple[Hole, ...]
    holds: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    counters: tuple[tuple[str, str | None], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """What goes with an airframe: a card for every unit it carries, the papers, the holes and the open findings.

    places: of the units, in their order. empty: positions with no unit. papers: the certificates filed against them;
    not_filed: those that work, a fitting, a receipt or a modification names and that nobody has filed.
    """

    about: About
    registration: str
    constructor_serial: str
    type: str
    operator: str | None
    registrations: tuple[str, ...]
    hours_total: str | None
    cycles_total: str | None
    read_on: str | None
    units: tuple[LogCard, ...]
    places: tuple[str, ...]
    empty: tuple[str, ...]
    papers: tuple[PackPaper, ...]
    not_filed: tuple[PackPaper, ...]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PackPaper:
    """A paper of a pack. filed: it is in these records as a certificate; document: the scan or page it names."""

    part_number: str
    serial_number: str
    certificate: str
    organisation: str | None
    dated_on: str | None
    status: str | None
    filed: bool
    part_verdict: str | None
    serial_verdict: str | None
    document: str | None
    named_by: str | None
    entry: int | None

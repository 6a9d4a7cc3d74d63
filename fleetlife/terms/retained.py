"""The list of what must be kept until when: frozen values of text."""

from __future__ import annotations

from dataclasses import dataclass

from fleetlife.terms.filling import filled
from fleetlife.terms.views import About

RETENTION_COLUMNS: tuple[str, ...] = (
    *("record", "what", "dated_on", "registration", "part_number", "serial_number", "manufacturer"),
    *("superseded_on", "withdrawn_on", "kept_until", "standing", "kept_until_eu", "kept_until_us", "rules", "entry"),
    "operators",
)
# What becomes of the duty: it runs, it has no end yet, its time is over (and the entry stays all the same).
DUTIES = ("to be kept", "no end", "time is over")
NOTHING_DELETED = (
    "Nothing is deleted by this program, now or later: entries in the ledger stay for ever. This list is of the papers "
    "and files that belong to them, wherever they are kept."
)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class RetainedRow:
    """One record. kept_until: the latest day by the rules asked; None with `standing` no end. rules: each rule with its
    day and from what it follows. kept_until_eu and _us: by each set of rules, `no end`, or None where not asked.
    operators: whose rules they are: of a movement the airframe's; of all else everybody's whose airframes carried the
    unit, separated by semicolons; None for nobody."""

    record: str
    what: str
    dated_on: str
    registration: str | None
    part_number: str | None
    serial_number: str | None
    manufacturer: str | None
    superseded_on: str | None
    withdrawn_on: str | None
    kept_until: str | None
    standing: str
    kept_until_eu: str | None
    kept_until_us: str | None
    rules: str
    entry: int
    operators: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatorRules:
    """By which rules the records of an operator were judged. operator: None for units that no operator's airframe
    carried. stated: the settings name the rules; else those are taken that apply where nothing is stated."""

    operator: str | None
    rules: tuple[str, ...]
    stated: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RetentionList:
    """What must be kept, what ends first on top. chosen: the rules asked for; both where none were chosen.

    cited: the rules as the register has them. not_listed: records of which nothing is here. operators: where rules are
    stated by operator, by which each one's records were judged, and `chosen` is what goes for all others.
    not_in_records: operators with rules of whom no airframe is in the records, a slip perhaps.
    """

    about: About
    chosen: tuple[str, ...]
    stated: bool
    rows: tuple[RetainedRow, ...]
    cited: tuple[str, ...]
    not_listed: tuple[str, ...]
    operators: tuple[OperatorRules, ...] = ()
    not_in_records: tuple[str, ...] = ()

    def counts(self) -> tuple[tuple[str, int], ...]:
        """(standing, how many), in the order of `DUTIES`."""
        return tuple((duty, sum(row.standing == duty for row in self.rows)) for duty in DUTIES)

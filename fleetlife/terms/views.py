"""What the answers return and the reports show: frozen values of text, whole numbers and dates as ISO text.

Field names of `DueRow` and of finding rows are the column names of every machine format. Hours are minutes here;
the machine formats print them as `HHHH:MM`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetlife.terms.asked import ModificationLine, PublicationRow
from fleetlife.terms.audited import OrganisationPapers, Sample, Since
from fleetlife.terms.filling import filled
from fleetlife.terms.finding import Finding


@dataclass(frozen=True, slots=True)
class SupposedFile:
    """A file that an answer supposes beside the records: what it states, its name, its whole SHA-256."""

    states: str
    file: str
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """The head of every answer: under which clocks, on which ledger, under which editions.

    `what_if` names the files supposed beside the records; empty for an answer that rests on the records alone.
    `notes`: what of the question itself is recorded otherwise, such as a serial number corrected since.
    """

    question: str
    as_of: str
    known_at: str | None
    ledger_head: str
    ledger_entry: int
    editions: tuple[str, ...]
    oldest_reading: str | None
    oldest_reading_airframe: str | None = None
    rules: tuple[str, ...] = ()
    what_if: tuple[SupposedFile, ...] = ()
    notes: tuple[str, ...] = ()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """`counter`: the counter in which the requirement limits one axis; `airframe_*_due` and `*_left` of that axis are
    then empty. Its figures are `measure.Minutes` of a counter in hours, else plain whole numbers. `readings_as_of` is
    of the counter where that drives the row."""

    registration: str | None = None
    constructor_serial: str | None = None
    operator: str | None = None
    station: str | None = None
    position: str | None = None
    store: str | None = None
    part_number: str = ""
    serial_number: str = ""
    manufacturer: str | None = None
    parent_part_number: str | None = None
    parent_serial_number: str | None = None
    description: str | None = None
    requirement: str | None = None
    kind: str | None = None
    source: str | None = None
    reference: str | None = None
    edition: str | None = None
    state: str = "unknown"
    state_reason: str = ""
    driver: str | None = None
    due_date: str | None = None
    due_earliest: str | None = None
    due_if_fitted: str | None = None
    calendar_due: str | None = None
    airframe_hours_due: int | None = None
    airframe_cycles_due: int | None = None
    hours_left: int | None = None
    cycles_left: int | None = None
    operations_left: int | None = None
    days_left: int | None = None
    unknown_measures: str | None = None
    estimated: bool = False
    variation: str | None = None
    original_due: str | None = None
    last_done: str | None = None
    basis: str | None = None
    life_quality: str | None = None
    readings_as_of: str | None = None
    counter: str | None = None
    counter_due: int | None = None
    counter_left: int | None = None


HOURS_FIELDS = ("airframe_hours_due", "hours_left")


@dataclass(frozen=True, slots=True, kw_only=True)
class UnknownCause:
    """Rows that cannot be dated, by cause, with how many units the named document would clear."""

    cause: str
    rows: int
    units: int
    sentence: str
    cleared_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    units: int
    with_programme: int
    without_programme: int
    unknown_rows: int
    unknown_units: int
    causes: tuple[UnknownCause, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DueList:
    """window_* None: no window was asked (--all). before_window: rows that fall due before the window begins.

    fitted_on: the day for which `due_if_fitted` is told; None: the day asked about.
    """

    about: About
    window_from: str | None
    window_until: str | None
    rows: tuple[DueRow, ...]
    coverage: Coverage
    findings: tuple[Finding, ...] = ()
    before_window: int = 0
    fitted_on: str | None = None


# What may become of a due point under a revised programme, the worst first.
MOVES = (
    "becomes overdue",
    "becomes unknown",
    "earlier",
    "new",
    "differs",
    "becomes known",
    "later",
    "no longer required",
)
# Those after which something is to be done sooner than the records say now, or cannot be told.
WORSE_MOVES = MOVES[:5]


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeRow:
    """One due point that moves when a revised programme is applied.

    `move` is one of `MOVES`; `applies_from` the day asked, or the later one on which the edition takes effect. States
    are those of the day asked or, where the edition applies later, of that day if nothing is done before. `days`:
    negative is earlier; None where the move is not one from date to date.
    """

    move: str
    applies_from: str
    registration: str | None = None
    position: str | None = None
    store: str | None = None
    part_number: str = ""
    serial_number: str = ""
    manufacturer: str | None = None
    parent_part_number: str | None = None
    parent_serial_number: str | None = None
    requirement: str | None = None
    kind: str | None = None
    state_before: str | None = None
    state_after: str | None = None
    due_before: str | None = None
    due_after: str | None = None
    days: int | None = None
    driver_before: str | None = None
    driver_after: str | None = None
    estimated_before: bool = False
    estimated_after: bool = False
    due_earliest_before: str | None = None
    due_earliest_after: str | None = None
    due_if_fitted_before: str | None = None
    due_if_fitted_after: str | None = None
    calendar_due_before: str | None = None
    calendar_due_after: str | None = None
    airframe_hours_due_before: int | None = None
    airframe_hours_due_after: int | None = None
    airframe_cycles_due_before: int | None = None
    airframe_cycles_due_after: int | None = None
    hours_left_before: int | None = None
    hours_left_after: int | None = None
    cycles_left_before: int | None = None
    cycles_left_after: int | None = None
    operations_left_before: int | None = None
    operations_left_after: int | None = None
    unknown_before: str | None = None
    unknown_after: str | None = None
    programme_before: str | None = None
    programme_after: str | None = None
    edition_before: str | None = None
    edition_after: str | None = None
    reference_before: str | None = None
    reference_after: str | None = None
    why: str = ""
    counter_before: str | None = None
    counter_after: str | None = None
    counter_due_before: int | None = None
    counter_due_after: int | None = None
    counter_left_before: int | None = None
    counter_left_after: int | None = None


CHANGE_HOURS_FIELDS = tuple(f"{name}_{side}" for name in HOURS_FIELDS for side in ("before", "after"))


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeList:
    """What a revised programme moves, the worst first.

    new: requirements and bands that are not in the records yet; known: rows of the files that are. units: those whose
    parts are concerned; restated: due points under another edition that stay where they are.
    """

    about: About
    rows: tuple[ChangeRow, ...]
    new: int
    known: int
    units: int
    restated: int

    def counts(self) -> tuple[tuple[str, int], ...]:
        """(move, how many) for every move there is, the worst first."""
        found = ((move, sum(row.move == move for row in self.rows)) for move in MOVES)
        return tuple((move, count) for move, count in found if count)


# What of a unit may differ between two states of knowledge, in the order in which it is listed.
DIFFERENCES = (
    "unit",
    "part number",
    "serial number",
    "manufacturer",
    "place",
    "condition",
    "hold",
    "harness",
    "certificate",
    "due point",
)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class DifferenceRow:
    """What was believed of a unit at one moment, and what at a later one.

    place: where it is at the later moment, in words. what: one of `DIFFERENCES`. move: of a due point one of `MOVES`;
    else `stated`, `withdrawn` or `differs`. before, after: in words. For a due point states, dates and `days`
    (negative is earlier) too. entries: the numbers of the entries recorded between the two moments that touch the
    unit, separated by semicolons.
    """

    what: str
    move: str
    place: str | None = None
    registration: str | None = None
    position: str | None = None
    store: str | None = None
    part_number: str = ""
    serial_number: str = ""
    manufacturer: str | None = None
    parent_part_number: str | None = None
    parent_serial_number: str | None = None
    requirement: str | None = None
    kind: str | None = None
    before: str | None = None
    after: str | None = None
    state_before: str | None = None
    state_after: str | None = None
    due_before: str | None = None
    due_after: str | None = None
    days: int | None = None
    entries: str | None = None
    why: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine:
    """An entry in a list: what it is of, when it happened and was recorded, by whom; for a correction what and why."""

    number: int
    kind: str
    on: str | None
    recorded_at: str
    recorded_by: str
    mends: str | None = None
    reason: str | None = None
    authorised_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """What changed between two states of knowledge of one day.

    about: of the later one. earlier: the last entry of the earlier one, its head and the moment asked. entries: those
    recorded between that touch a unit or the reference data; readings: how many entries of readings, and of how many
    airframes.
    """

    about: About
    earlier_entry: int
    earlier_head: str
    earlier_moment: str
    rows: tuple[DifferenceRow, ...]
    entries: tuple[EntryLine, ...]
    reading_entries: int = 0
    reading_airframes: int = 0
    units: int = 0

    def counts(self) -> tuple[tuple[str, int], ...]:
        """(what, how many) for every kind of difference there is."""
        found = ((what, sum(row.what == what for row in self.rows)) for what in DIFFERENCES)
        return tuple((what, count) for what, count in found if count)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One line of a go/no-go answer. verdict: clear, note, condition or stop. `code` names the finding's page."""

    topic: str
    verdict: str
    text: str
    code: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class LifeLeft:
    """One requirement of the unit (or of a child) if fitted on the day asked."""

    part_number: str
    serial_number: str
    requirement: str
    kind: str
    state: str
    due_if_fitted: str | None
    hours_left: int | None
    cycles_left: int | None
    operations_left: int | None
    text: str
    counter: str | None = None
    counter_left: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class BridgedLine:
    """One requirement of a unit under the programme it was kept under (before) and under its airframe's (after).

    kept_until: the day it left the last airframe of the former programme; None while it is still there. A side without
    edition, state and date has no such requirement. edition_*: `PUFFIN edition 7`, or `general edition 3` where the
    programme leaves a requirement to the general ones. airframe_*: totals of the airframe that carries it now.
    earlier: the programme whose due point comes first, or that alone has one, `neither`, or None where that cannot be
    told. text: the whole in a sentence.
    """

    part_number: str
    serial_number: str
    requirement: str
    kept_under: str
    kept_until: str | None
    now_under: str
    edition_before: str | None = None
    edition_after: str | None = None
    reference_before: str | None = None
    reference_after: str | None = None
    state_before: str | None = None
    state_after: str | None = None
    due_before: str | None = None
    due_after: str | None = None
    airframe_hours_due_before: int | None = None
    airframe_hours_due_after: int | None = None
    airframe_cycles_due_before: int | None = None
    airframe_cycles_due_after: int | None = None
    unknown_before: str | None = None
    unknown_after: str | None = None
    earlier: str | None = None
    differs: str = ""
    text: str = ""


OUTCOMES = ("no objection in these records", "conditions to meet first", "do not fit")


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class SwapAnswer:
    """May the unit go on the position. fitted_on: the day of the fitting; None: the day asked about."""

    about: About
    outcome: str
    registration: str
    constructor_serial: str
    type: str
    position: str
    side: str
    part_number: str
    serial_number: str
    manufacturer: str | None
    outgoing: str | None
    reasons: tuple[Reason, ...]
    life: tuple[LifeLeft, ...]
    not_checked: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    fitted_on: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A line of a unit's history of places."""

    since: str
    until: str | None
    place: str
    harness: str | None = None
    condition: str | None = None
    hours: str | None = None
    cycles: str | None = None
    basis: str | None = None
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """A certificate line with its verdict; the marks are (text, same) segments of the paper's and the unit's number."""

    tracking_number: str
    organisation: str
    item: str | None
    dated_on: str
    status: str
    form: str | None
    part_number: str
    serial_number: str
    expected_part_number: str | None
    expected_serial_number: str | None
    part_verdict: str
    serial_verdict: str
    part_marks: tuple[tuple[str, str, bool], ...] = ()
    serial_marks: tuple[tuple[str, str, bool], ...] = ()
    remarks: str | None = None
    entry: int | None = None
    unit: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitCard:
    about: About
    part_number: str
    serial_number: str
    manufacturer: str | None
    description: str | None
    own_tracking: bool
    batch: str | None
    manufactured: str | None
    part_numbers_borne: tuple[str, ...]
    place: str
    condition: str
    hold: str | None
    harness: str
    rig: str | None
    hours_since_new: str | None
    cycles_since_new: str | None
    life_quality: str | None
    owner: str | None
    children: tuple[str, ...]
    due: tuple[DueRow, ...]
    stays: tuple[Stay, ...]
    papers: tuple[PaperLine, ...]
    done: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    bridged: tuple[BridgedLine, ...] = ()
    counters: tuple[tuple[str, str | None], ...] = ()
    received: tuple[str, ...] = ()
    publications: tuple[PublicationRow, ...] = ()
    modifications: tuple[ModificationLine, ...] = ()


PASSAGES = (
    *("rule", "basis", "expansion test", "restarts nothing", "run since", "due point"),
    *("variation", "today", "other programme", "estimates", "false if"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """One step on the way to a due date: a sentence, its figures by name, how they are known, and the entries behind.

    topic: one of `PASSAGES`. known: stated, counted, bounded, provisional, rebuilt, projected, doubtful, opening; None
    where the sentence rests on no figure of its own. Hours among the figures are `HHHH:MM`, days ISO 8601.
    """

    topic: str
    text: str
    figures: tuple[tuple[str, str | int | None], ...] = ()
    known: str | None = None
    entries: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfolded:
    """One due row with everything it rests on, in the order in which it was reckoned."""

    row: DueRow
    passages: tuple[Passage, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnfoldedUnit:
    """The due rows of one unit unfolded, the worst first; `bridged`: what the programme it was kept under says."""

    about: About
    part_number: str
    serial_number: str
    manufacturer: str | None
    place: str
    due: tuple[Unfolded, ...]
    bridged: tuple[BridgedLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """A position of an airframe and what hangs there, for the plan view."""

    position: str
    side: str
    pair: str | None
    required: bool
    harness_side: str | None
    part_number: str | None = None
    serial_number: str | None = None
    harness: str | None = None
    since: str | None = None
    next_due: str | None = None
    next_requirement: str | None = None
    state: str | None = None
    signs: tuple[str, ...] = ()
    retained: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirframeCard:
    about: About
    registration: str
    constructor_serial: str
    type: str
    operator: str | None
    station: str | None
    programme: str | None
    status: str | None
    registrations: tuple[str, ...]
    hours_total: str | None
    cycles_total: str | None
    read_on: str | None
    daily: str | None
    doors: tuple[Door, ...]
    findings: tuple[Finding, ...] = ()
    counters: tuple[tuple[str, str | None], ...] = ()
    deferrals: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperBlock:
    """What a certificate says in one of its numbered blocks. line: of which of the card's lines, from 1; None: of the
    certificate as a whole. block: None where the form, or its edition, is not known, or no block of its own holds it.
    from_memory: the number was not read in the published form."""

    line: int | None
    block: str | None
    holds: str
    says: str
    from_memory: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CertificateCard:
    """form: as stated. editions: what that may be of the forms known, none where it is not known or not stated."""

    about: About
    lines: tuple[PaperLine, ...]
    findings: tuple[Finding, ...] = ()
    form: str | None = None
    editions: tuple[str, ...] = ()
    blocks: tuple[PaperBlock, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class AuditReport:
    about: About
    scope: str
    findings: tuple[Finding, ...]
    counts: tuple[tuple[str, int], ...]
    waived: int
    checks_run: tuple[str, ...]
    units_examined: int
    not_checked: tuple[str, ...] = ()
    sample: Sample | None = None
    since: Since | None = None
    organisations: tuple[OrganisationPapers, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SwapRecorded:
    """What a recorded swap changed: the entry, before and after, the new due dates, the findings it leaves open, and
    which planned swaps it overtakes, in sentences."""

    entry: int
    ledger_head: str
    before: tuple[tuple[str, str], ...]
    after: tuple[tuple[str, str], ...]
    due: tuple[DueRow, ...]
    findings: tuple[Finding, ...]
    already: bool = False
    about: About | None = None
    overtaken: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OperationRecorded:
    """What a recorded operation changed: the entry, the due rows of the unit and what it holds, the findings it leaves
    open, and what is to be known beside it."""

    entry: int
    ledger_head: str
    part_number: str
    serial_number: str
    operation: str
    count: int
    on: str
    due: tuple[DueRow, ...]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = ()
    already: bool = False
    about: About | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class IntakeReport:
    """What an intake did, by file: rows read, new, unchanged; entries made; and the coverage after it.

    replaced: (file, rows that took the place of what stood). moved: what is believed otherwise, where it was asked.
    """

    files: tuple[tuple[str, int, int, int], ...]
    entries: int
    ledger_head: str
    coverage: Coverage | None = None
    former_due_differ: int = 0
    notes: tuple[str, ...] = field(default_factory=tuple)
    replaced: tuple[tuple[str, int], ...] = ()
    moved: tuple[DifferenceRow, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VerifyReport:
    """What `ledger verify` walked and compared.

    tables: (table, rows compared, rows that differ). known_heads: (digest as given, what became of it: the entry it
    is the digest of, or that it is not on the chain).
    """

    entries: int
    ledger_head: str
    recorded_from: str | None
    recorded_to: str | None
    tables: tuple[tuple[str, int, int], ...]
    known_heads: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]

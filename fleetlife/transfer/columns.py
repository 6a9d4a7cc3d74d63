"""The one list of files and columns: what is read, what is written, and what the page about them says.

Files stand in the order in which a folder is taken in. Kinds of value are told in KINDS; how text becomes a value
is in `values`, how a value becomes text in `writing`.
"""

from __future__ import annotations

from fleetlife.terms import words
from fleetlife.transfer.column import KINDS, File
from fleetlife.transfer.column import col as _col
from fleetlife.transfer.column import must as _must
from fleetlife.transfer.of_unit import UNIT as _UNIT
from fleetlife.transfer.of_unit import UNIT_KEY
from fleetlife.transfer.organisations import APPROVALS, ORGANISATIONS
from fleetlife.transfer.planning import GROUND_TIMES, LEAST_LIVES
from fleetlife.transfer.publications import APPLICABILITY, COMPLIANCE, NOT_EMBODIED, PUBLICATIONS
from fleetlife.transfer.receiving import HOLD_DECISIONS, RECEIPTS
from fleetlife.transfer.swaps import (
    AIRFRAME_STATES,
    AUTHORISATIONS,
    DEFERRALS,
    GAUGE_READINGS,
    POSITION_WORK,
    PRESSURES,
    RELEASE_ITEMS,
    SWAP_PLANS,
    SWAP_SIGNATURES,
    SWAP_STEPS,
)

_REGISTRATION = _must("registration", "name", "The airframe's registration on the day of the row.")
_PAPER = (
    _col("certificate", "identifier", "Tracking number of the release certificate it rests on."),
    _col("certificate_organisation", "name", "The organisation that issued that certificate."),
)

TYPES = File(
    name="types",
    meaning="Types of airframe: which positions exist.",
    key=("type",),
    columns=(
        _must("type", "name", "The word by which the type is called in all other files."),
        _col("name", "name", "The type's name in reports."),
    ),
)

POSITIONS = File(
    name="positions",
    meaning="The places of a type that hold one unit each.",
    key=("type", "position"),
    columns=(
        _must("type", "name", "The type."),
        _must("position", "position", "The position's label."),
        _must("side", "word", "The side of the airframe, facing forward.", allowed=words.SIDES),
        _col("harness", "word", "The side a unit here must be rigged for.", allowed=words.HARNESS_SIDES),
        _col("pair", "name", "The door pair the position belongs to."),
        _col("kind", "name", "What sort of unit the position holds."),
        _col("required", "yes_no", "Whether an empty position is a finding."),
        _col("retained", "text", "What belongs to the airframe and stays when the unit goes."),
    ),
)

AIRFRAMES = File(
    name="airframes",
    meaning="The aircraft; the constructor's serial never changes.",
    key=("constructor_serial",),
    columns=(
        _must("registration", "name", "Its registration, in the time from `from` until `until`."),
        _must("constructor_serial", "identifier", "The constructor's serial number."),
        _must("type", "name", "Its type."),
        _col("manufactured", "partial_date", "When it was made."),
        _col("operator", "name", "Who operates it."),
        _col("station", "name", "Where it is based."),
        _col("programme", "name", "The maintenance programme it is under."),
        _col("from", "day", "First day of the registration given here."),
        _col("until", "day", "Day on which another registration took its place."),
        _col("status", "word", "What the airframe is doing.", allowed=words.AIRFRAME_STATUSES),
    ),
)

REGISTRATIONS = File(
    name="registrations",
    meaning="Further registrations of an airframe; old paper carries the old one.",
    key=("constructor_serial", "from"),
    columns=(
        _must("constructor_serial", "identifier", "The constructor's serial number."),
        _must("registration", "name", "The registration."),
        _must("from", "day", "First day on which it was borne."),
        _col("until", "day", "Day on which another took its place."),
    ),
)

MODIFICATIONS = File(
    name="modifications",
    meaning="Modifications embodied on an airframe; one not listed is unknown, never absent.",
    key=("registration", "modification"),
    columns=(
        _REGISTRATION,
        _must("modification", "name", "The modification's number."),
        _must("date", "day", "The day it was embodied."),
    ),
)

PARTS = File(
    name="parts",
    meaning="Part numbers and what is true of all units of one.",
    key=("part_number", "manufacturer"),
    columns=(
        _must("part_number", "part_number", "The part number."),
        _must("manufacturer", "name", "Who makes it."),
        _col("description", "text", "What it is."),
        _col("kind", "name", "The sort of unit: slide pack, reservoir, battery."),
        _col("rig", "word", "Whether a harness makes it a left or a right one.", allowed=words.RIGS),
        _col("mass_kg", "mass", "Its mass."),
        _col("intermix_family", "name", "The family by which a door pair is compared."),
        _col("cage", "identifier", "The manufacturer's code as its data plates bear it; a scan finds the maker by it."),
    ),
)

SLOTS = File(
    name="slots",
    meaning="Which parts a unit holds in which slots.",
    key=("part_number", "slot", "child_part_number"),
    columns=(
        _must("part_number", "part_number", "The part that holds."),
        _must("slot", "name", "The slot's name."),
        _must("child_part_number", "part_number", "A part that may be held there."),
        _col("required", "yes_no", "Whether an empty slot is a finding."),
    ),
)

ELIGIBILITY = File(
    name="eligibility",
    meaning="Which part may be installed at which position; without a row a part is not eligible.",
    key=("type", "position", "part_number", "serial_from"),
    columns=(
        _must("type", "name", "The type."),
        _must("position", "position", "The position."),
        _must("part_number", "part_number", "The part that may be installed there."),
        _col("serial_from", "identifier", "First constructor's serial, included; empty is open."),
        _col("serial_to", "identifier", "Last constructor's serial, included; empty is open."),
        _col("requires_modification", "name", "Modifications the airframe must have, divided by semicolons."),
        _col("excludes_modification", "name", "Modifications the airframe must not have."),
        _col("requires_unit_modification", "name", "Modifications the unit must have."),
        _col("excludes_unit_modification", "name", "Modifications the unit must not have."),
        _col("effective_from", "day", "First day on which the row holds."),
        _col("reference", "name", "The document that says so."),
    ),
)

ALTERNATES = File(
    name="alternates",
    meaning="Which part may stand in for which, one direction at a time.",
    key=("part_number", "alternate"),
    columns=(
        _must("part_number", "part_number", "The part that is replaced."),
        _must("alternate", "part_number", "The part that may stand in for it, or that supersedes it."),
        _must("direction", "word", "In which direction.", allowed=words.DIRECTIONS),
        _col("conditions", "text", "What has to be met first."),
        _col("reference", "name", "The document that says so."),
    ),
)

INTERMIX = File(
    name="intermix",
    meaning="What a door pair may carry together; a stop only where a reference says so.",
    key=("family", "other_family"),
    columns=(
        _must("family", "name", "One family."),
        _must("other_family", "name", "The other family."),
        _must("permitted", "yes_no", "Whether the two may be carried on one pair."),
        _col("reference", "name", "The document that says so."),
    ),
)

COUNTERS = File(
    name="counters",
    meaning="Counters beyond flight hours and flight cycles, such as landings or APU hours.",
    key=("counter",),
    columns=(
        _must("counter", "name", "The counter's name, as it is shown in every answer."),
        _must("unit", "word", "Whether it counts, or runs in hours.", allowed=words.COUNTER_MEASURES),
        _col("description", "text", "What it counts, and where it is read."),
    ),
)
_COUNTER = _must("counter", "name", "The counter, as in counters.")

_EDITION = (
    _must("requirement", "name", "The requirement's name."),
    _must("part_number", "part_number", "The part whose units it is about."),
)

REQUIREMENTS = File(
    name="requirements",
    meaning="What must be done to units of a part, and when, by programme edition.",
    key=("requirement", "part_number", "programme", "edition"),
    columns=(
        *_EDITION,
        _must("kind", "word", "The sort of requirement.", allowed=words.REQUIREMENT_KINDS),
        _col("source", "word", "Who demands it.", allowed=words.SOURCES),
        _col("programme", "name", "The programme it belongs to; empty holds for all."),
        _col("edition", "name", "The programme's edition."),
        _col("effective_from", "day", "First day on which the edition is in force."),
        _col("effective_to", "day", "Last day on which it is in force."),
        _col("start", "word", "What the first interval counts from.", allowed=words.STARTS),
        _col("first_months", "count", "First limit in months."),
        _col("first_days", "count", "First limit in days."),
        _col("first_hours", "hours", "First limit in flight hours."),
        _col("first_cycles", "count", "First limit in flight cycles."),
        _col("first_operations", "count", "First limit in operations."),
        _col("repeat_months", "count", "Repeat limit in months."),
        _col("repeat_days", "count", "Repeat limit in days."),
        _col("repeat_hours", "hours", "Repeat limit in flight hours."),
        _col("repeat_cycles", "count", "Repeat limit in flight cycles."),
        _col("repeat_operations", "count", "Repeat limit in operations."),
        _col("operation", "name", "The operation that is counted, such as filling."),
        _col("whichever", "word", "Which of several limits decides.", allowed=("first", "last")),
        _col("month_rule", "word", "last: the due date runs to the end of its month.", allowed=("last",)),
        _col("shelf_allowance_months", "count", "Months in store that do not count, from release to installation."),
        _col("done_at", "word", "Where the work is done.", allowed=("shop", "aircraft")),
        _col("anchor", "word", "What the next interval counts from.", allowed=("done", "due")),
        _col("window_early_days", "count", "How early work still counts from the due point, in days."),
        _col("window_early_hours", "hours", "The same in flight hours."),
        _col("window_early_cycles", "count", "The same in flight cycles."),
        _col("window_late_days", "count", "How late it still does, in days; no tolerance to run on."),
        _col("window_late_hours", "hours", "The same in flight hours."),
        _col("window_late_cycles", "count", "The same in flight cycles."),
        _col("variation_allowed", "yes_no", "Whether a permitted variation may extend it."),
        _col("at_due", "word", "What must happen at the due point.", allowed=("remove", "no-refill")),
        _col("resets", "text", "Requirements on the same unit that it renews, divided by semicolons."),
        _col("requires_unit_modification", "name", "Holds only for units with this modification."),
        _col("reference", "name", "The document that says so."),
        _col(
            "counter",
            "name",
            "The counter its limits are in: of one that counts the columns in cycles, of one in hours those in hours, "
            "bands and variations too. Empty: flight hours and flight cycles.",
        ),
    ),
)

BANDS = File(
    name="bands",
    meaning="Repeat limits that change with the unit's age.",
    key=("requirement", "part_number", "programme", "edition", "from_age_months"),
    columns=(
        *_EDITION,
        _col("programme", "name", "The programme, as in requirements."),
        _col("edition", "name", "The edition, as in requirements."),
        _must("from_age_months", "count", "Age in months from which the row's limits hold."),
        _col("repeat_months", "count", "Repeat limit in months."),
        _col("repeat_hours", "hours", "Repeat limit in flight hours."),
        _col("repeat_cycles", "count", "Repeat limit in flight cycles."),
        _col("band_rule", "word", "cap: a later band brings the due point forward.", allowed=("cap", "basis")),
    ),
)

UNITS = File(
    name="units",
    meaning="Opening statements: each unit, its counts at the end of `as_of`, and where it was then.",
    key=UNIT_KEY,
    columns=(
        _must("part_number", "part_number", "The part number it bore at the opening."),
        _must("serial_number", "serial_number", "Its serial number, or OWN: and the operator's tracking number."),
        _col("manufacturer", "name", "Its manufacturer; a serial alone is not unique."),
        _col("manufactured", "partial_date", "When it was made."),
        _col("cured", "partial_date", "When its material was cured."),
        _col("expires", "partial_date", "A stated expiry, which governs if earlier."),
        _col("first_installed", "partial_date", "When it was first installed."),
        _col("hours_since_new", "hours", "Flight hours since new at `as_of`.", up=True),
        _col("cycles_since_new", "count", "Flight cycles since new at `as_of`."),
        _col("operations_since_new", "count", "Operations since new at `as_of`."),
        _col("as_of", "day", "The day at whose end the row holds."),
        _col("registration", "name", "The airframe it was on."),
        _col("position", "position", "Its position there."),
        _col("parent_part_number", "part_number", "Part number of the unit it was inside."),
        _col("parent_serial_number", "serial_number", "Serial number of the unit it was inside."),
        _col(
            "parent_manufacturer",
            "name",
            "The parent's manufacturer, needed where two units would answer to the numbers.",
        ),
        _col("slot", "name", "Its slot there."),
        _col("store", "name", "The store it was in."),
        _col("bin", "identifier", "Its bin there."),
        _col("condition", "word", "Its condition; empty is unknown.", allowed=words.CONDITIONS),
        _col("hold", "text", "Why it is in quarantine; empty is not."),
        _col("harness", "word", "The side it was rigged for.", allowed=words.HARNESSES),
        _col("installed", "day", "Since when it was where it was."),
        _col("life_quality", "word", "How well its life is known.", allowed=words.LIFE_QUALITIES),
        _col("owner", "name", "Whom it belongs to."),
        _col("return_by", "day", "When a loan has to go back."),
        _col("batch", "identifier", "Its batch, for an item without a serial."),
        _col("source", "text", "Where the statement was taken from."),
    ),
)

UNIT_COUNTERS = File(
    name="unit_counters",
    meaning="What units had run in a counter at their opening; not stated is unknown since new.",
    key=(*UNIT_KEY, "counter"),
    columns=(
        *_UNIT,
        _COUNTER,
        _col("since_new", "counter_total", "Since new at the unit's `as_of`.", required=True, up=True),
    ),
)

UNIT_MODIFICATIONS = File(
    name="unit_modifications",
    meaning="Modifications embodied on a unit, and its part number from then on.",
    key=(*UNIT_KEY, "modification"),
    columns=(
        *_UNIT,
        _must("modification", "name", "The modification's number."),
        _must("date", "day", "The day it was embodied."),
        _col("new_part_number", "part_number", "The part number it bears from then on."),
        *_PAPER,
        _col("reference", "name", "The document that says so."),
    ),
)

ACCOMPLISHMENTS = File(
    name="accomplishments",
    meaning="Requirements done.",
    key=(*UNIT_KEY, "requirement", "date", "sequence"),
    columns=(
        *_UNIT,
        _must("requirement", "name", "The requirement done."),
        _must(
            "date", "month_mark", "The certificate's day, the month stamped on the cylinder, or the day of the work."
        ),
        _col("date_basis", "word", "Which of these the date is.", allowed=words.DATE_BASES),
        _col("hours_since_new", "hours", "Flight hours since new when it was done.", up=True),
        _col("cycles_since_new", "count", "Flight cycles since new when it was done."),
        _col("operations_since_new", "count", "Operations since new when it was done."),
        _col("hours_since", "hours", "Flight hours run since, at the unit's `as_of`.", up=True),
        _col("cycles_since", "count", "Flight cycles run since, at the unit's `as_of`."),
        _col("operations_since", "count", "Operations since, at the unit's `as_of`."),
        _col("stated_due", "day", "The next due date in the old records; compared, never used."),
        *_PAPER,
        _col("sequence", "sequence", "Order within the day."),
        _col(
            "expansion_total",
            "decimal_count",
            "Total expansion read in a cylinder's volumetric expansion test, in cubic centimetres.",
        ),
        _col("expansion_permanent", "decimal_count", "Permanent expansion read in that test, in cubic centimetres."),
        _col(
            "expansion_limit",
            "decimal_count",
            "The rejection elastic expansion marked on the cylinder, in cubic centimetres; judged where its "
            "specification is 3HT.",
        ),
        _col(
            "expansion_specification",
            "identifier",
            "The cylinder's specification as marked, for instance DOT-3HT1850; stated together with the figures.",
        ),
        _col("counter", "name", "The counter of the two columns after it; empty: the one the requirement names."),
        _col("counter_since_new", "counter_total", "The counter since new when it was done.", up=True),
        _col("counter_since", "counter_total", "Run since in the counter, at the unit's `as_of`.", up=True),
    ),
)

OPERATIONS = File(
    name="operations",
    meaning="Operations recorded on a unit: fillings, pressurisations, activations, deployments.",
    key=(*UNIT_KEY, "date", "operation", "sequence"),
    columns=(
        *_UNIT,
        _must("date", "day", "The day."),
        _must("operation", "name", "The operation."),
        _must("count", "count", "How many times."),
        _col("reference", "name", "The document that says so."),
        _col("intent", "word", "Of a deployment: whether it was meant.", allowed=words.INTENTS),
        _col("sequence", "sequence", "Order within the day."),
    ),
)

CERTIFICATES = File(
    name="certificates",
    meaning="Lines of release certificates; the numbers are what the paper says.",
    key=("organisation", "tracking_number", "item", "serial_number"),
    columns=(
        _must("tracking_number", "identifier", "The certificate's own number."),
        _must("organisation", "name", "Who issued it."),
        _must("part_number", "part_number", "The part number as printed."),
        _must("serial_number", "serial_number", "The serial number as printed, N/A where the paper says so."),
        _must("status", "name", "The status term as printed."),
        _must("date", "day", "The date as printed."),
        _col(
            "form",
            "name",
            "The form it is printed on, with its edition as printed: the forms known are listed in certificates.md.",
        ),
        _col("side", "word", "Which half of the form is signed.", allowed=words.FORM_SIDES),
        _col("item", "name", "The line's item number."),
        _col("authority", "name", "The authority named."),
        _col("approval", "identifier", "The issuer's approval number."),
        _col("work_order", "identifier", "The order, contract or invoice named."),
        _col("description", "text", "The item as described."),
        _col("quantity", "count", "How many."),
        _col("batch", "identifier", "The batch named."),
        _col("remarks", "text", "The remarks as printed."),
        _col("signatory", "name", "Who signed."),
        _col("hours_since_new", "hours", "Flight hours since new as printed.", up=True),
        _col("cycles_since_new", "count", "Flight cycles since new as printed."),
        _col("corrects", "identifier", "Tracking number of the certificate that this one corrects."),
        _col(
            "filed_part_number",
            "part_number",
            "Part number of the unit it is filed against; empty: the one that agrees.",
        ),
        _col("filed_serial_number", "serial_number", "Serial number of that unit."),
        _col("filed_manufacturer", "name", "Manufacturer of that unit."),
        _col("document", "text", "Where the paper or its copy is kept."),
        _col("second_authority", "name", "The other authority, of a release under two."),
        _col("second_approval", "identifier", "The issuer's approval number under that authority."),
    ),
)

READINGS = File(
    name="readings",
    meaning="Totals of an airframe at the end of a day.",
    key=("registration", "date"),
    columns=(
        _REGISTRATION,
        _must("date", "day", "The day."),
        _must("hours_total", "hours", "Total flight hours at its end."),
        _must("cycles_total", "count", "Total flight cycles at its end."),
    ),
)

COUNTER_READINGS = File(
    name="counter_readings",
    meaning="An airframe's own total of a counter at the end of a day.",
    key=("registration", "counter", "date"),
    columns=(
        _REGISTRATION,
        _COUNTER,
        _must("date", "day", "The day."),
        _must("total", "counter_total", "The counter at its end."),
    ),
)

MOVEMENTS = File(
    name="movements",
    meaning="Removals, installations and swaps at a position.",
    key=("registration", "position", "date", "sequence"),
    columns=(
        _must("date", "day", "The technical log's day."),
        _REGISTRATION,
        _must("position", "position", "The position."),
        _col("sequence", "sequence", "Order within the day."),
        _col("time_utc", "clock", "The time."),
        _col("station", "name", "Where."),
        _col("removed_part_number", "part_number", "Part number of the unit that came off."),
        _col("removed_serial_number", "serial_number", "Serial number of the unit that came off."),
        _col("removed_manufacturer", "name", "Manufacturer of the unit that came off."),
        _col("removed_to", "word", "Where it went.", allowed=words.REMOVED_TO),
        _col("removed_to_name", "name", "The store's or organisation's name."),
        _col("removed_condition", "word", "Its condition; empty is unserviceable.", allowed=words.CONDITIONS),
        _col("removal_kind", "word", "Why it came off.", allowed=words.REMOVAL_KINDS),
        _col("defect", "text", "The defect as written."),
        _col("installed_part_number", "part_number", "Part number of the unit that went on."),
        _col("installed_serial_number", "serial_number", "Serial number of the unit that went on."),
        _col("installed_manufacturer", "name", "Manufacturer of the unit that went on."),
        _col("found", "yes_no", "Whether the unit was found there although the records held otherwise."),
        _col("hours_total", "hours", "The airframe's total flight hours then."),
        _col("cycles_total", "count", "The airframe's total flight cycles then."),
        *_PAPER,
        _col("harness", "word", "The side the installed unit is rigged for.", allowed=words.HARNESSES),
        _col("technical_log", "identifier", "The log page."),
        _col("work_order", "identifier", "The work order."),
        _col("data_reference", "name", "The approved data it was done to."),
        _col("data_revision", "identifier", "Its revision."),
        _col("signed_by", "name", "Who did it, as a staff number."),
        _col("inspected_by", "name", "Who inspected it."),
        _col("released_by", "name", "Who released it."),
        _col("swap", "identifier", "The planned swap that it carries out, as in swap_plans."),
    ),
)

TRANSFERS = File(
    name="transfers",
    meaning="Every other change of place.",
    key=(*UNIT_KEY, "date", "sequence"),
    columns=(
        _must("date", "day", "The day."),
        *_UNIT,
        _must("to", "word", "Where the unit went.", allowed=words.TRANSFER_TARGETS),
        _col("organisation", "name", "The shop or the borrower."),
        _col("store", "name", "The store."),
        _col("bin", "identifier", "The bin there."),
        _col("parent_part_number", "part_number", "Part number of the unit it was fitted into."),
        _col("parent_serial_number", "serial_number", "Serial number of the unit it was fitted into."),
        _col(
            "parent_manufacturer",
            "name",
            "The parent's manufacturer, needed where two units would answer to the numbers.",
        ),
        _col("slot", "name", "The slot there."),
        _col("condition", "word", "Its condition then.", allowed=words.CONDITIONS),
        _col("hold", "text", "Why it is in quarantine; empty is not."),
        _col("harness", "word", "The side it is rigged for.", allowed=words.HARNESSES),
        _col("order", "identifier", "The repair or loan order."),
        _col("expected_back", "day", "When it is expected back."),
        *_PAPER,
        _col("reference", "name", "The document that says so."),
        _col("signed_by", "name", "Who did it, as a staff number."),
        _col(
            "disposition",
            "word",
            "Of a part that is scrapped: how it is kept from coming back.",
            allowed=words.DISPOSITIONS,
        ),
        _col("sequence", "sequence", "Order within the day."),
    ),
)

UTILISATION = File(
    name="utilisation",
    meaning="Planned utilisation of a period; it wins over the measured rate.",
    key=("registration", "from"),
    columns=(
        _REGISTRATION,
        _must("from", "day", "First day of the period."),
        _must("to", "day", "Last day of the period."),
        _must("hours_per_day", "hours", "Planned flight hours a day."),
        _must("cycles_per_day", "decimal_count", "Planned flight cycles a day."),
    ),
)

VARIATIONS = File(
    name="variations",
    meaning="Permitted variations: approved one-time extensions.",
    key=(*UNIT_KEY, "requirement", "approved_on"),
    columns=(
        *_UNIT,
        _must("requirement", "name", "The requirement extended."),
        _col("until", "day", "The day until which."),
        _col(
            "until_hours",
            "hours",
            "The airframe's total flight hours (or of the requirement's counter) until which.",
        ),
        _col(
            "until_cycles",
            "count",
            "The airframe's total flight cycles (or of the requirement's counter) until which.",
        ),
        _col("approved_on", "day", "The day of the approval."),
        _col("approved_by", "name", "Who approved it."),
        _col("reference", "name", "The approval's reference."),
    ),
)

PLATE_READINGS = File(
    name="plate_readings",
    meaning="What somebody read on the data plates of units; one that reads otherwise than recorded puts it on hold.",
    key=(*UNIT_KEY, "date", "sequence"),
    columns=(
        *_UNIT,
        _must("date", "day", "The day it was read."),
        _must("plate_part_number", "identifier", "The part number on the plate."),
        _must("plate_serial_number", "identifier", "The serial number on the plate."),
        _must("seen_by", "identifier", "Who read it, by staff id."),
        _col("reference", "name", "The document that says so."),
        _col("sequence", "sequence", "Order within the day."),
    ),
)

FILES: tuple[File, ...] = (
    TYPES,
    POSITIONS,
    AIRFRAMES,
    REGISTRATIONS,
    MODIFICATIONS,
    AIRFRAME_STATES,
    PARTS,
    SLOTS,
    ELIGIBILITY,
    ALTERNATES,
    INTERMIX,
    COUNTERS,
    REQUIREMENTS,
    BANDS,
    RELEASE_ITEMS,
    PRESSURES,
    AUTHORISATIONS,
    GROUND_TIMES,
    LEAST_LIVES,
    PUBLICATIONS,
    APPLICABILITY,
    COMPLIANCE,
    UNITS,
    UNIT_COUNTERS,
    UNIT_MODIFICATIONS,
    NOT_EMBODIED,
    ACCOMPLISHMENTS,
    OPERATIONS,
    CERTIFICATES,
    READINGS,
    COUNTER_READINGS,
    SWAP_PLANS,
    MOVEMENTS,
    TRANSFERS,
    UTILISATION,
    VARIATIONS,
    PLATE_READINGS,
    RECEIPTS,
    HOLD_DECISIONS,
    SWAP_STEPS,
    POSITION_WORK,
    GAUGE_READINGS,
    SWAP_SIGNATURES,
    DEFERRALS,
    ORGANISATIONS,
    APPROVALS,
)
FILE_NAMES: tuple[str, ...] = tuple(file.name for file in FILES)

_BY_NAME = {file.name: file for file in FILES}


def file_named(name: str) -> File:
    """The file of that name; KeyError when there is none."""
    return _BY_NAME[name]


def columns_page() -> str:
    """The page about the files, in Markdown: one section a file, in import order, its columns as a table."""
    lines = ["# Files and columns", ""]
    lines += ["| kind of value | what it is |", "|---|---|"]
    lines += [f"| {kind} | {meaning} |" for kind, meaning in KINDS.items()]
    for file in FILES:
        lines += ["", f"## {file.name}", "", file.meaning, "", f"Key: {', '.join(file.key)}.", ""]
        lines += ["| column | required | value | meaning |", "|---|---|---|---|"]
        for column in file.columns:
            value = f"word: {', '.join(column.words)}" if column.words else column.kind
            lines.append(f"| {column.name} | {'yes' if column.required else ''} | {value} | {column.meaning} |")
    return "\n".join(lines) + "\n"

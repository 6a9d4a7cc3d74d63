"""The values the life room works on. Days are ordinal day numbers, hours minutes, moments dates/moment.py integers.

**Relative counts.** What a unit has run is kept relative to its opening statement: 0 at the opening, positive
after it, negative before. A total since new is opening + relative; a repeat limit needs only differences, so it
can be known where the total since new is not. None = not known.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY
from fleetlife.dates.partial import PartialDate
from fleetlife.life.expansion import ExpansionTest
from fleetlife.terms.filling import filled


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """One set of limits; None = not limited in that measure."""

    months: int | None = None
    days: int | None = None
    minutes: int | None = None
    cycles: int | None = None
    operations: int | None = None

    def any(self) -> bool:
        flown = self.minutes is not None or self.cycles is not None or self.operations is not None
        return flown or self.months is not None or self.days is not None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class AgeBand:
    """From this age on (months since manufacture) the repeat is this."""

    from_age_months: int
    repeat: Limits


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """One edition of one requirement on one part number, in force in [in_force_from, in_force_until).

    counter: the counter in which the limits of one axis are, None where both are flown; counter_axis: which axis. Every
    count and total of that axis is then one of the counter.
    """

    key: int
    requirement: str
    part_number: str
    kind: str
    source: str | None = None
    programme: str | None = None
    edition: str | None = None
    reference: str | None = None
    in_force_from: int = FIRST_DAY
    in_force_until: int = FAR_DAY
    start: str = "release"
    first: Limits = field(default_factory=Limits)
    repeat: Limits = field(default_factory=Limits)
    operation: str | None = None
    whichever: str = "first"
    month_rule: str | None = None
    shelf_allowance_months: int | None = None
    done_at: str = "shop"  # shop | aircraft
    anchor: str = "done"  # done | due
    window_early: Limits = field(default_factory=Limits)
    window_late: Limits = field(default_factory=Limits)
    variation_allowed: bool = False
    at_due: str = "remove"  # remove | no-refill
    resets: tuple[str, ...] = ()
    bands: tuple[AgeBand, ...] = ()
    band_rule: str = "cap"  # cap | basis
    requires_unit_modification: str | None = None
    entry: int = 0
    counter: str | None = None
    counter_axis: str | None = None  # hours | cycles

    def named(self, measure: str) -> str:
        """What the measure is called: the counter's own name where the limits in it are in that counter."""
        return self.counter if self.counter is not None and measure == self.counter_axis else measure

    @property
    def edition_named(self) -> str:
        """`PUFFIN edition 7`, `general edition not stated`."""
        return f"{self.programme or 'general'} edition {self.edition or 'not stated'}"


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """How far a count may be off: too high by `over` at most, too low by `under` at most; None: not bounded.

    `over` grows along the stays: of two counts of one unit the later one's is the earlier one's and what came between.
    """

    minutes_over: int | None = None
    minutes_under: int | None = None
    cycles_over: int | None = None
    cycles_under: int | None = None

    def of(self, measure: str) -> tuple[int | None, int | None]:
        """Over and under of "hours" or "cycles"."""
        if measure == "hours":
            return self.minutes_over, self.minutes_under
        return self.cycles_over, self.cycles_under


EXACT = Spread(minutes_over=0, minutes_under=0, cycles_over=0, cycles_under=0)
NOT_BOUNDED = Spread()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """What was run, relative to the opening; None where not known. `estimated`: rests on a bound or projection.

    `spread`: how far an estimated one may be off, worked out only for what a due point is compared with.
    """

    minutes: int | None = None
    cycles: int | None = None
    estimated: bool = False
    spread: Spread | None = None

    @property
    def bounds(self) -> Spread:
        """How far it may be off: where nobody worked that out, not at all unless estimated."""
        return self.spread or (NOT_BOUNDED if self.estimated else EXACT)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """A release of the unit (or of the assembly it came in): day, term, whether it is a new-production release."""

    day: int
    new: bool = False
    entry: int = 0


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Installation:
    """The beginning of a stay at a position or in a slot. `count` rounded down at that moment.

    `day_known` False: the opening statement says that it was installed, not since when; `day` is then no start.
    """

    day: int
    moment: int
    count: Count
    first_ever: bool = False
    entry: int = 0
    day_known: bool = True


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A requirement done.

    `date`: partial for marks; `day` = its first day, from which a month-only basis counts. `count`: relative
    count when done (None inside = unknown). `operations`: operations relative to the opening, None unknown.
    `on_aircraft`: done while installed (work on the aircraft); `installed`: the unit was installed then.
    `proven` False: the paper does not show this work (an inspected/tested paper under an overhaul); it restarts
    nothing and is listed as such. `expansion`: the figures of the cylinder's test, where they are recorded.
    `condemned`: the date of the test that condemned the cylinder, this one or an earlier; it is not proven then.
    """

    requirement: str
    date: PartialDate
    day: int
    moment: int
    count: Count
    operations: int | None = None
    on_aircraft: bool = False
    installed: bool = False
    proven: bool = True
    date_basis: str = "release"
    stated_due: int | None = None
    entry: int = 0
    expansion: ExpansionTest | None = None
    condemned: str | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Operated:
    """Operations (fillings, activations ...) recorded on the unit."""

    day: int
    moment: int
    operation: str
    count: int
    entry: int = 0


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Varied:
    """A permitted variation as recorded, with the airframe that carried the unit when it was approved (None: none).

    approved_minutes and approved_cycles: that airframe's totals on approved_on, rounded up (None = not known). A
    variation approved with the total already above the threshold came too late; without them only the calendar tells.
    approved_*_least: the same rounded down: only above the threshold by these too did it come too late for sure.
    """

    requirement: str
    approved_on: int
    until_day: int | None = None
    until_minutes: int | None = None  # airframe totals
    until_cycles: int | None = None
    airframe_id: int | None = None
    left_moment: int | None = None  # when the unit left that airframe: it lapsed then
    reference: str | None = None
    approved_by: str | None = None
    entry: int = 0
    approved_minutes: int | None = None
    approved_cycles: int | None = None
    approved_minutes_least: int | None = None
    approved_cycles_least: int | None = None


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """The airframe that carries the unit now: its totals and the unit's relative count at the start of the carriage.

    `spread`: how far count and totals together may be off, worked out only where work is compared with a due point.
    """

    airframe_id: int
    moment: int
    minutes: int | None
    cycles: int | None
    count: Count
    estimated: bool = False
    spread: Spread | None = None

    @property
    def bounds(self) -> Spread:
        """How far they may be off: where nobody worked that out, not at all unless estimated."""
        return self.spread or (NOT_BOUNDED if self.estimated else EXACT)


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """Everything the life rules need to know of one unit.

    opening: totals since new at the opening statement (None inside = not known); as_of its moment.
    operations_opening: operations since new at the opening, None = no record, so a limit in operations is unknown.
    installations in order; `installed_now` is the last one when the unit is on an airframe or in a parent now.
    carried: set while an airframe carries it (perhaps inside its parent). now: relative count at the last known
    moment when not carried. stored: True when in a store.
    counter: None where hours and cycles are those flown; else the counter that stands in place of one of them.
    counted: the same unit with each counter that a requirement on it names in place of its axis.
    """

    unit_id: int
    as_of: int
    manufactured: PartialDate | None = None
    cured: PartialDate | None = None
    expires: PartialDate | None = None
    first_installed: PartialDate | None = None
    opening: Count = field(default_factory=Count)
    operations_opening: int | None = None
    releases: tuple[Release, ...] = ()
    installations: tuple[Installation, ...] = ()
    installed_now: bool = False
    done: tuple[Done, ...] = ()
    operated: tuple[Operated, ...] = ()
    variations: tuple[Varied, ...] = ()
    modifications: tuple[str, ...] = ()
    carried: Carried | None = None
    now: Count = field(default_factory=Count)
    stored: bool = False
    rebuilt: bool = False
    entry: int = 0
    counter: str | None = None
    counted: tuple[History, ...] = ()

    def counted_in(self, counter: str | None) -> History:
        """The history in which a requirement with that counter (None: with none) is judged."""
        if counter == self.counter:
            return self
        found = next((each for each in self.counted if each.counter == counter), None)
        assert found is not None, f"the history was not counted in {counter}"
        return found


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Unknown:
    """One measure whose due point cannot be computed, and the cause as a kebab-case word."""

    measure: str  # calendar, hours, cycles, operations, or a counter's name
    cause: str


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class DuePoint:
    """When one requirement falls due on one unit: independent of today. The columns are told in follows/rows.py."""

    standing: str  # known, waiting, unknown, complete
    whichever: str = "first"
    calendar_due: int | None = None
    due_minutes: int | None = None
    due_cycles: int | None = None
    left_minutes: int | None = None
    left_cycles: int | None = None
    operations_left: int | None = None
    charged: bool = False
    varied_calendar: int | None = None
    varied_minutes: int | None = None
    varied_cycles: int | None = None
    variation: str | None = None
    if_fitted_months: int | None = None
    if_fitted_days: int | None = None
    estimated: bool = False
    basis: str | None = None
    basis_day: int | None = None
    last_done: int | None = None
    unknown: tuple[Unknown, ...] = ()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """Planned utilisation in [from_day, to_day]: minutes and thousandths of cycles a day."""

    from_day: int
    to_day: int
    minutes_per_day: int
    millicycles_per_day: int


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Growth over a span of days, as integers: minutes and cycles in `span` days."""

    minutes: int
    cycles: int
    span: int


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """An airframe's base reading at or before as_of and its rates. rate: trailing 365 days (or what there is, at
    least 28); rates: the trailing 30, 90 and 365-day rates that exist. None rate: no rate can be formed."""

    airframe_id: int
    base_day: int | None
    base_minutes: int | None
    base_cycles: int | None
    rate: Rate | None = None
    rates: tuple[Rate, ...] = ()
    plan: tuple[Period, ...] = ()


@filled
@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """The state of a due row on `as_of`: what the due list prints.

    state: one of words.ROW_STATES. driver: the measure that decides (calendar, hours, cycles, operations).
    due_date: last day on which it is not past, None when no date can be given; due_earliest: the same with the
    highest rate. due_if_fitted: the date it would have if fitted on as_of. *_left: against `as_of` (projected
    total), negative when passed. estimated: a projection, bound or provisional total decides.
    original_due: the due date before the variation, when one applies.
    """

    state: str
    state_reason: str
    driver: str | None = None
    due_date: int | None = None
    due_earliest: int | None = None
    due_if_fitted: int | None = None
    days_left: int | None = None
    minutes_left: int | None = None
    cycles_left: int | None = None
    operations_left: int | None = None
    estimated: bool = False
    original_due: int | None = None
    unknown: tuple[Unknown, ...] = ()

    @property
    def earliest(self) -> int | None:
        """The day on which it falls due at the earliest; None when no date can be given."""
        return self.due_date if self.due_earliest is None else self.due_earliest

"""What came off, and whether it may go back on with no release since: a temporary removal, a robbery, a donor that was
not flying. Pure; the figures are gathered elsewhere."""

from __future__ import annotations

from dataclasses import dataclass, field

from fleetlife.dates.partial import day_text
from fleetlife.follows.states import LONG_PARKED_DAYS
from fleetlife.terms.measure import hours_text
from fleetlife.terms.published import RULES

BRIEF_REMOVALS = ("access", "convenience")
ROBBERY = "robbery"
HOLDS, FAILS, NOT_SHOWN = "holds", "fails", "not shown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Flown:
    """Time in service of an airframe between two moments, in minutes: at least and at most. None: not known."""

    least: int | None = None
    most: int | None = None

    @property
    def outcome(self) -> str:
        """Whether the airframe gained none: holds, fails, or not shown."""
        if self.least is not None and self.least > 0:
            return FAILS
        return HOLDS if self.most == 0 else NOT_SHOWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """That somebody inspected the unit after it came off and found it serviceable, and under which reference."""

    on: int
    by: str
    reference: str
    entry: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Donor:
    """An airframe that carried the unit since its last release, and what it was doing: one of words.AIRFRAME_STATES.

    since None: nobody stated from which day on. `days`: how long by the day the unit came off.
    """

    registration: str
    state: str
    since: int | None = None
    days: int | None = None
    off_on: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Removal:
    """The last removal of a unit and where it went, or is to go, after it.

    `changed`: what happened to the unit meanwhile that its life status may have changed by, as sentences.
    """

    removed_on: int
    kind: str | None = None
    released_on: int | None = None
    from_airframe: int | None = None
    from_place: str | None = None
    to_airframe: int | None = None
    to_place: str | None = None
    flown: Flown = field(default_factory=Flown)
    changed: tuple[str, ...] = ()
    inspected: Inspected | None = None
    donors: tuple[Donor, ...] = ()
    long_parked_days: int = LONG_PARKED_DAYS
    entry: int | None = None

    @property
    def released_since(self) -> bool:
        return self.released_on is not None and self.released_on >= self.removed_on


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`verdict`: stop, condition or note. `text`: complete sentences."""

    verdict: str
    text: str


def temporary_removal(removal: Removal) -> tuple[str, tuple[str, ...]]:
    """Whether the published exception for a temporary removal (14 CFR 43.10(b)) holds, with its three reasons.

    All three must hold: the same airframe, no time in service meanwhile, an unchanged life status.
    """
    same = removal.from_airframe is not None and removal.from_airframe == removal.to_airframe
    outcomes = [HOLDS if same else FAILS]
    reasons = [
        f"it goes back to the airframe it came off ({removal.from_place})"
        if same
        else f"it came off {removal.from_place or 'an airframe not recorded'} and goes to {removal.to_place}, "
        "which is another airframe"
    ]
    if same:
        outcomes.append(removal.flown.outcome)
        reasons.append(_flown_told(removal.flown))
    outcomes.append(FAILS if removal.changed else HOLDS)
    reasons.append(
        "its life status changed or cannot be shown unchanged: " + "; ".join(removal.changed)
        if removal.changed
        else "nothing is recorded meanwhile that changes its life status"
    )
    outcome = FAILS if FAILS in outcomes else NOT_SHOWN if NOT_SHOWN in outcomes else HOLDS
    return outcome, tuple(reasons)


def _flown_told(flown: Flown) -> str:
    if flown.outcome == HOLDS:
        return "the airframe gained no time in service meanwhile"
    if flown.outcome == FAILS:
        return f"the airframe flew at least {hours_text(flown.least)} hours meanwhile"
    if flown.most is not None:
        return f"whether the airframe flew meanwhile is not shown (between none and {hours_text(flown.most)} hours)"
    return "whether the airframe flew meanwhile is not shown: no reading says so"


def refitted_without_release(removal: Removal) -> Verdict | None:
    """What is to be said of a unit that goes on, or went on, with no release since it came off; None where there is
    one."""
    if removal.released_since:
        return None
    off = day_text(removal.removed_on)
    if removal.kind in BRIEF_REMOVALS:
        outcome, reasons = temporary_removal(removal)
        verdict = {HOLDS: "note", NOT_SHOWN: "condition", FAILS: "stop"}[outcome]
        told = {
            HOLDS: "The published exception for a temporary removal holds",
            NOT_SHOWN: "The published exception for a temporary removal is not shown to hold",
            FAILS: "The published exception for a temporary removal fails",
        }[outcome]
        rule = RULES["14 CFR 43.10(b)"].named
        return Verdict(verdict=verdict, text=f"{told} ({rule}): {'; '.join(reasons)}.")
    if removal.kind == ROBBERY:
        if removal.inspected is None:
            return Verdict(
                verdict="stop",
                text=f"Robbed from {removal.from_place or 'a donor'} on {off}: it needs its tag, an inspection or a "
                "release, and none is recorded since.",
            )
        seen = removal.inspected
        return Verdict(
            verdict="note",
            text=f"Robbed from {removal.from_place or 'a donor'} on {off} and inspected on {day_text(seen.on)} by "
            f"{seen.by}, {seen.reference}.",
        )
    return Verdict(verdict="stop", text="")


def off_a_donor_not_flying(removal: Removal) -> Verdict | None:
    """What is to be said of a unit whose donor was in an accident, withdrawn or long parked, with no release since."""
    if removal.released_since:
        return None
    stops = [told for each in removal.donors if (told := _donor_told(each, removal.long_parked_days, stop=True))]
    if stops:
        return Verdict(verdict="stop", text=f"{' '.join(stops)} Do not fit until released.")
    doubts = [told for each in removal.donors if (told := _donor_told(each, removal.long_parked_days, stop=False))]
    if doubts:
        return Verdict(verdict="condition", text=" ".join(doubts))
    return None


def _donor_told(donor: Donor, long_parked_days: int, *, stop: bool) -> str | None:
    off = f"It came off {donor.registration}" + (f" on {day_text(donor.off_on)}" if donor.off_on else "")
    if donor.since is None:
        if stop or donor.state not in ("parked", "withdrawn"):
            return None
        return (
            f"{off}, which is {donor.state}; since when is not stated: show that it was in service then "
            "(airframe_states file)."
        )
    since = day_text(donor.since)
    if not stop:
        return None
    if donor.state == "accident":
        return f"{off}, which was in an accident or incident ({since}): unserviceable until released."
    if donor.state == "withdrawn":
        return f"{off}, which was withdrawn on {since}."
    if donor.state == "parked" and donor.days is not None and donor.days >= long_parked_days:
        return (
            f"{off}, which was parked since {since}, {donor.days} days: {long_parked_days} or more is long here "
            "(the operator's setting; common practice, no published source)."
        )
    return None

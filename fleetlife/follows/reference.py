"""Reference facts gathered for looking up: types, positions, airframes and registrations, parts, programmes."""

from __future__ import annotations

from collections.abc import Iterable

from fleetlife.dates.moment import FAR_DAY, FIRST_DAY
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.book import Book, requirement_values, stand_ins_of
from fleetlife.ledger.facts import (
    Airframe,
    AirframeModification,
    AirframeType,
    Alternate,
    Approval,
    Band,
    Counter,
    Eligibility,
    Fact,
    Intermix,
    Organisation,
    Part,
    Position,
    Registration,
    Requirement,
    Slot,
)
from fleetlife.ledger.planning import GroundTime, LeastLife
from fleetlife.ledger.publications import Applicability, Compliance, Publication
from fleetlife.ledger.swaps import AirframeState, Authorisation, PressureBand, ReleaseItem
from fleetlife.terms.number import did_you_mean, fold, position_label
from fleetlife.terms.refusal import Refusal


class Reference:
    """What is stated of types, airframes and parts, by the keys that rows name them by."""

    def __init__(self, facts: Iterable[tuple[int, Fact]] = ()) -> None:
        self.types: dict[str, AirframeType] = {}
        self.positions: dict[tuple[str, str], Position] = {}
        self.airframes: dict[int, Airframe] = {}
        self.by_serial: dict[str, int] = {}
        self.by_registration: dict[str, list[tuple[int, int, int]]] = {}
        self.registrations: dict[int, list[tuple[int, int, str]]] = {}
        self.modifications: dict[int, dict[str, int]] = {}
        self.parts: dict[str, list[Part]] = {}
        self.slots: dict[str, list[Slot]] = {}
        self.eligibility: dict[tuple[str, str], list[Eligibility]] = {}
        self.alternates: list[Alternate] = []
        self.intermix: list[Intermix] = []
        self.requirements: list[tuple[int, Requirement]] = []
        self.bands: list[Band] = []
        self.counters: dict[str, Counter] = {}
        self.organisations: dict[str, Organisation] = {}
        self.approvals: list[tuple[int, Approval]] = []
        self.publications: list[tuple[int, Publication]] = []
        self.applicability: list[tuple[int, Applicability]] = []
        self.compliance: list[tuple[int, Compliance]] = []
        self.release_items: dict[str, list[tuple[int, ReleaseItem]]] = {}
        self.pressures: dict[str, list[PressureBand]] = {}
        self.authorisations: dict[str, list[tuple[int, Authorisation]]] = {}
        self.states: dict[int, list[tuple[int, AirframeState]]] = {}
        self.ground_times: dict[int, dict[str, tuple[int, GroundTime]]] = {}
        self.least_lives: dict[str, tuple[int, LeastLife]] = {}
        self._book: Book | None = None
        self._held: dict[str, Fact] = {}
        for number, fact in facts:
            self.add(fact, number)

    def add(self, fact: Fact, number: int = 0) -> None:
        """Take one more reference fact in; others are passed over, and so is one that is held already."""
        key = fact.key()
        if self._held.get(key) == fact:
            return
        self._held[key] = fact
        self._book = None
        if isinstance(fact, AirframeType):
            self.types[fold(fact.type)] = fact
        elif isinstance(fact, Position):
            self.positions[fold(fact.type), position_label(fact.position)] = fact
        elif isinstance(fact, Airframe):
            self.airframes[fact.airframe] = fact
            self.by_serial[fold(fact.constructor_serial)] = fact.airframe
            self._register(fact.airframe, fact.registration, fact.registered_from, fact.registered_until)
        elif isinstance(fact, Registration):
            self._register(fact.airframe, fact.registration, fact.registered_from, fact.registered_until)
        elif isinstance(fact, AirframeModification):
            self.modifications.setdefault(fact.airframe, {})[fact.modification] = day_number(fact.embodied_on)
        elif isinstance(fact, Part):
            self.parts.setdefault(fold(fact.part_number), []).append(fact)
        elif isinstance(fact, Slot):
            self.slots.setdefault(fold(fact.part_number), []).append(fact)
        elif isinstance(fact, Eligibility):
            self.eligibility.setdefault((fold(fact.type), position_label(fact.position)), []).append(fact)
        elif isinstance(fact, Alternate):
            self.alternates.append(fact)
        elif isinstance(fact, Intermix):
            self.intermix.append(fact)
        elif isinstance(fact, Requirement):
            self.requirements.append((number, fact))
        elif isinstance(fact, Band):
            self.bands.append(fact)
        elif isinstance(fact, Counter):
            self.counters[fold(fact.counter)] = fact
        elif isinstance(fact, Organisation):
            self.organisations[fold(fact.organisation)] = fact
        elif isinstance(fact, Approval):
            self.approvals.append((number, fact))
        elif isinstance(fact, Publication):
            self.publications.append((number, fact))
        elif isinstance(fact, Applicability):
            self.applicability.append((number, fact))
        elif isinstance(fact, Compliance):
            self.compliance.append((number, fact))
        elif isinstance(fact, ReleaseItem):
            self.release_items.setdefault(fold(fact.type), []).append((number, fact))
        elif isinstance(fact, PressureBand):
            self.pressures.setdefault(fold(fact.part_number), []).append(fact)
        elif isinstance(fact, Authorisation):
            self.authorisations.setdefault(fold(fact.staff), []).append((number, fact))
        elif isinstance(fact, AirframeState):
            self.states.setdefault(fact.airframe, []).append((number, fact))
        elif isinstance(fact, GroundTime):
            self.ground_times.setdefault(fact.airframe, {})[fact.ground_from] = (number, fact)
        elif isinstance(fact, LeastLife):
            self.least_lives[key] = (number, fact)

    def _register(self, airframe: int, registration: str, start: str | None, until: str | None) -> None:
        first = day_number(start) if start else FIRST_DAY
        end = day_number(until) if until else FAR_DAY
        periods = self.registrations.setdefault(airframe, [])
        periods.append((first, end, registration))
        periods.sort()
        for name in {name for _, _, name in periods}:
            held = self.by_registration.get(fold(name), [])
            held[:] = [period for period in held if period[2] != airframe]
        for index, (begin, stop, name) in enumerate(periods):
            if index + 1 < len(periods):
                stop = min(stop, periods[index + 1][0])
            self.by_registration.setdefault(fold(name), []).append((begin, stop, airframe))

    def airframe_on(self, registration: str, day: int) -> int:
        """The airframe that bore the registration on the day.

        Refusals: `registration-unknown`, `registration-not-then`, `registration-ambiguous`.
        """
        periods = self.by_registration.get(fold(registration), [])
        found = {airframe for begin, stop, airframe in periods if begin <= day < stop}
        if len(found) == 1:
            return found.pop()
        if len(found) > 1:
            serials = " and ".join(sorted(self.airframes[airframe].constructor_serial for airframe in found))
            raise Refusal(
                "registration-ambiguous",
                f"{registration} was borne on {day_text(day)} by constructor's serials {serials}.",
                remedy="State until when the earlier airframe bore it (registrations file, column until).",
            )
        if periods:
            told = "; ".join(
                f"constructor's serial {self.airframes[airframe].constructor_serial} from "
                f"{'the start' if begin == FIRST_DAY else day_text(begin)}"
                for begin, _, airframe in periods
            )
            raise Refusal(
                "registration-not-then",
                f"No airframe bore {registration} on {day_text(day)}; it was borne by {told}.",
                remedy="Correct the date, or state the registration's period (registrations file).",
            )
        hint = did_you_mean(fold(registration), self.by_registration)
        raise Refusal(
            "registration-unknown",
            f"No airframe with registration {registration} is in the records.{hint}",
            remedy="Correct the registration, or take the airframe in first (airframes file).",
        )

    def registration_on(self, airframe: int, day: int) -> str:
        """The registration the airframe bore on the day, or its latest one before."""
        name = self.airframes[airframe].registration
        for begin, _, registration in self.registrations.get(airframe, ()):
            if begin <= day:
                name = registration
        return name

    def position_of(self, airframe: int, position: str) -> Position:
        """The position of the airframe's type. Refusal: `position-unknown`."""
        of_type = self.airframes[airframe].type
        label = position_label(position)
        found = self.positions.get((fold(of_type), label))
        if found is None:
            names = self.positions_of_type(of_type)
            known = ", ".join(row.position for row in names) or "none"
            raise Refusal(
                "position-unknown",
                f"Type {of_type} has no position {position}; it has {known}.",
                remedy="Correct the position, or state it in the positions file first.",
            )
        return found

    def positions_of_type(self, of_type: str) -> list[Position]:
        """The positions of a type, in order of their numbers and sides."""
        rows = [row for (name, _), row in self.positions.items() if name == fold(of_type)]
        return sorted(rows, key=lambda row: (row.pair or row.position[1:], row.position))

    def part(self, part_number: str, manufacturer: str | None = None) -> Part | None:
        """The part row of the number (and maker, where stated); None when it is not in the records."""
        rows = self.parts.get(fold(part_number), [])
        for row in rows:
            if manufacturer and row.manufacturer and fold(row.manufacturer) == fold(manufacturer):
                return row
        return rows[0] if rows else None

    @property
    def counter_measures(self) -> dict[str, str]:
        """What each counter counts, by its name as the register spells it: count, or hours."""
        return {fact.counter: fact.measure for fact in self.counters.values()}

    def book(self) -> Book:
        """What the derivation needs, made once until a fact is added."""
        if self._book is None:
            self._book = Book(
                requirements=requirement_values(self.requirements, self.bands, self.counter_measures),
                programmes={airframe: fact.programme for airframe, fact in self.airframes.items()},
                stand_ins=stand_ins_of(self.alternates),
            )
        return self._book

"""What the checks judge, gathered in a world: stored rows of units that have not changed since, derived ones of others.

One statement a family, whatever the size of the fleet. Rows of a unit that later entries touch are left out where
they are stored and told again from what was known and true then.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from fleetlife.checks.rows import (
    AssemblyRow,
    BridgedRow,
    ClaimRow,
    DeferralRow,
    DeployedRow,
    DoneLine,
    DoorRow,
    ExpansionRow,
    FittingRow,
    FormerDueRow,
    LateEntryRow,
    LoanRow,
    PaperRow,
    Placed,
    PlateRow,
    PromisedRow,
    ReceiptRow,
    RefitRow,
    ScrapRow,
    SignedRow,
    SuspectedRow,
    WorkRow,
)
from fleetlife.checks.work import possibly_late
from fleetlife.clocks.bridging import bridged_units
from fleetlife.clocks.deferrals import deferrals_in
from fleetlife.clocks.removals import removals_of
from fleetlife.clocks.world import CHUNK, World, statuses_of
from fleetlife.dates.moment import day_of, end_of_day
from fleetlife.dates.partial import day_number, parse_partial
from fleetlife.follows.deferrals import Carried
from fleetlife.follows.derive import applicable, derive, programme_of, with_resets
from fleetlife.follows.place import Recorded, moment_of_fact
from fleetlife.follows.receipts import order_of, suspicion_of
from fleetlife.follows.rows import CertificateLineRow, UnitStateRow
from fleetlife.follows.states import not_flying
from fleetlife.ledger.facts import (
    Accomplishment,
    Certificate,
    HoldDecision,
    Movement,
    Opening,
    Operation,
    PlateReading,
    Position,
    Receipt,
    Transfer,
)
from fleetlife.life.values import Requirement
from fleetlife.paper.status import TERMS, proves
from fleetlife.store import audit_query as query
from fleetlife.store.audit_query import LINE_WIDTH, Addressed, Scope, ask
from fleetlife.terms.number import fold
from fleetlife.terms.words import REQUIREMENT_KINDS

DEPLOYMENT = fold("deployment")
PROVEN = frozenset(f"{kind}|{term}" for kind in REQUIREMENT_KINDS for term in TERMS if proves(kind, term))


@dataclass(slots=True)
class Then:
    """The units that were derived again: as they were then, and the facts of theirs that the checks look at."""

    units: dict[int, Placed] = field(default_factory=dict)
    openings: dict[int, Opening] = field(default_factory=dict)
    movements: dict[tuple[int, Movement], None] = field(default_factory=dict)  # by entry: one may state two
    transfers: list[tuple[int, Transfer]] = field(default_factory=list)
    accomplishments: list[tuple[int, Accomplishment]] = field(default_factory=list)
    deployments: dict[int, list[tuple[int, Operation]]] = field(default_factory=dict)
    plates: list[tuple[int, PlateReading]] = field(default_factory=list)
    receipts: list[tuple[int, Receipt]] = field(default_factory=list)
    suspicions: dict[int, tuple[int, HoldDecision]] = field(default_factory=dict)
    certificates: list[tuple[int, Certificate]] = field(default_factory=list)


class Bench:
    """The rows of an audit in one world and scope. `of_units`: it is asked about the units of the scope alone, and not
    about the airframes that carry them."""

    def __init__(self, world: World, scope: Scope, *, of_units: bool = False) -> None:
        self.of_units = of_units
        self.world = world
        self.scope = scope
        self.kept: dict[str, object] = {}
        self._registrations: dict[int, str] = {}
        self._roots: dict[int, int | None] = {}  # of the units that were placed, by unit

    # -- units -------------------------------------------------------------------------------------------------

    def registration(self, airframe: int | None) -> str | None:
        if airframe is None:
            return None
        name = self._registrations.get(airframe)
        if name is None:
            name = self._registrations[airframe] = self.world.registration(airframe)
        return name

    def placed(self, row: Addressed) -> Placed:
        state = row.state
        opened_at = end_of_day(row.as_of)
        self._roots[state.unit_id] = state.root_id
        return Placed(
            state=state,
            registration=self.registration(state.carried_airframe_id),
            position=row.position if state.carried_airframe_id is not None else None,
            opened_at=opened_at,
            since_known=row.placed_on is not None or state.since_moment > opened_at,
            entry=row.entry,
            since_entry=row.since_entry,
        )

    def stands(self, unit: int | None) -> bool:
        """The stored rows of the unit answer."""
        return unit not in self.world.changed_units

    @cached_property
    def then(self) -> Then:
        found = Then()
        world = self.world
        world.take_up_held()
        wanted = sorted(world.changed_units)
        for start in range(0, len(wanted), CHUNK):
            chunk = wanted[start : start + CHUNK]
            facts = world.facts(chunk)
            for unit in chunk:
                self._take(found, unit, facts.get(unit, []))
        return found

    def _take(self, found: Then, unit: int, facts: Sequence[Recorded]) -> None:
        number = 0
        for recorded in facts:
            fact = recorded.fact
            if isinstance(fact, Opening) and fact.unit == unit:
                found.openings[unit], number = fact, recorded.number
            elif isinstance(fact, Movement):
                found.movements[recorded.number, fact] = None
            elif isinstance(fact, Transfer) and fact.unit == unit:
                found.transfers.append((recorded.number, fact))
            elif isinstance(fact, Operation) and fact.unit == unit:
                if fold(fact.operation) == DEPLOYMENT and fact.count:
                    found.deployments.setdefault(unit, []).append((recorded.number, fact))
            elif isinstance(fact, PlateReading) and fact.unit == unit:
                found.plates.append((recorded.number, fact))
            elif isinstance(fact, Receipt) and fact.unit == unit:
                found.receipts.append((recorded.number, fact))
            elif isinstance(fact, Certificate) and fact.unit == unit:
                found.certificates.append((recorded.number, fact))
            elif isinstance(fact, Accomplishment) and fact.unit == unit:
                found.accomplishments.append((recorded.number, fact))
        suspicion = suspicion_of(unit, facts)
        if suspicion is not None:
            found.suspicions[unit] = suspicion
        state, opening = self.world.changed.unit_states.get(unit), found.openings.get(unit)
        if state is None or opening is None:
            return
        root = self.world.changed.unit_states.get(state.root_id or 0)
        found.units[unit] = self.placed(
            Addressed(
                state=state,
                position=root.position if root else state.position,
                as_of=day_number(opening.as_of),
                placed_on=day_number(opening.placed_on) if opening.placed_on else None,
                entry=number,
                since_entry=self.world.changed.placements[unit][-1].entry,
                manufactured=opening.manufactured,
            )
        )

    def changed(self) -> Iterator[Placed]:
        """The units derived again that the scope names."""
        units = self.scope.units
        for unit, placed in self.then.units.items():
            if units is None or unit in units:
                yield placed

    def changed_facts(self, kind: type[Any]) -> Iterator[tuple[int, Any, Placed]]:
        """(entry, fact, unit) of the transfers, plate readings or accomplishments of those units."""
        facts: Iterable[tuple[int, Any]] = self.then.accomplishments
        if kind is not Accomplishment:
            facts = self.then.transfers if kind is Transfer else self.then.plates
        chosen = {placed.state.unit_id: placed for placed in self.changed()}
        for number, fact in facts:
            if fact.unit in chosen:
                yield number, fact, chosen[fact.unit]

    def changed_lines(self, unit: int) -> tuple[CertificateLineRow, ...]:
        return self.world.changed.certificate_lines.get(unit, ())

    def units_named(self, unit_ids: Iterable[int]) -> dict[int, Placed]:
        """The units with their addresses, one statement; those not in the records then are left out."""
        wanted = frozenset(unit_ids)
        found = {unit: self.then.units[unit] for unit in wanted if unit in self.then.units}
        stored = frozenset(unit for unit in wanted if self.stands(unit))
        if stored:
            for row in ask(self.world.connection, "units", ids=stored):
                placed = self.placed(query.addressed(row))
                found[placed.state.unit_id] = placed
        return found

    def roots(self, unit_ids: frozenset[int]) -> frozenset[int]:
        """The units on positions that the units hang in, or are. One statement, none where all were placed before."""
        self.then  # noqa: B018  places the units that were derived again
        unseen = frozenset(unit for unit in unit_ids if unit not in self._roots and self.stands(unit))
        seen = {self._roots[unit] for unit in unit_ids if unit in self._roots}
        if unseen:
            seen.update(root for (root,) in ask(self.world.connection, "roots", ids=unseen))
        return frozenset(root for root in seen if root is not None)

    def count(self) -> int:
        """How many units the scope holds, without those on the scrap heap."""
        counted = "count all" if self.scope.units is None else "count"
        stored: int = next(ask(self.world.connection, counted, self.scope))[0] if self._any_units() else 0
        changed = self.world.changed_units if self.scope.units is None else self.world.changed_units & self.scope.units
        if changed:
            inside = next(ask(self.world.connection, "count", Scope(units=frozenset(changed))))[0]
            now = [self.then.units[u].state for u in changed if u in self.then.units]
            stored += sum(state.kind != "scrap" for state in now) - inside
        return stored

    def _any_units(self) -> bool:
        return self.scope.units is None or bool(self.scope.units)

    # -- what airframes carry -----------------------------------------------------------------------------------

    def aboard(self) -> Iterator[tuple[int, dict[int, Placed]]]:
        """Airframe by airframe the units it carries, by unit; airframes that carry none come with none."""
        asked = self.scope.airframes
        airframes = sorted(a for a in self.world.reference.airframes if asked is None or a in asked)
        returned: dict[int, dict[int, Placed]] = {}
        for placed in self.then.units.values():
            if placed.state.carried_airframe_id is not None:
                returned.setdefault(placed.state.carried_airframe_id, {})[placed.state.unit_id] = placed
        rows = ask(self.world.connection, "carried", Scope(airframes=asked))
        row = next(rows, None)
        carried = query.STATE_NAMES.index("carried_airframe_id")
        for airframe in airframes:
            units: dict[int, Placed] = dict(returned.get(airframe, {}))
            while row is not None and row[carried] <= airframe:
                if row[carried] == airframe and self.stands(row[0]):
                    units[row[0]] = self.placed(query.addressed(row))
                row = next(rows, None)
            yield airframe, {unit: _in_parent(placed, units) for unit, placed in sorted(units.items())}

    def doors(self, airframe: int, units: dict[int, Placed]) -> list[DoorRow]:
        """The positions of the airframe and what hangs there."""
        reference = self.world.reference
        frame = reference.airframes[airframe]
        state = statuses_of(self.world, [airframe])[airframe]
        hanging = {
            placed.state.position: placed
            for placed in units.values()
            if placed.state.kind == "position" and placed.state.airframe_id == airframe
        }
        rows = []
        for position in self._positions(frame.type):
            unit = hanging.get(position.position)
            part = reference.part(unit.state.part_number, unit.state.manufacturer) if unit else None
            registration = self.registration(airframe) or frame.registration
            rows.append(
                DoorRow(
                    frame=frame,
                    registration=registration,
                    position=position,
                    occupant=unit,
                    part=part,
                    state=state,
                    carried=tuple(self.carried.get((airframe, position.position), ())),
                )
            )
        return rows

    @cached_property
    def carried(self) -> dict[tuple[int, str], list[Carried]]:
        """The deferrals that stand, by airframe and position."""
        return deferrals_in(self.world, self.scope.airframes)

    def deferred(self) -> Iterator[DeferralRow]:
        """The deferrals that stand, airframe by airframe."""
        for (airframe, _), rows in self.carried.items():
            for each in rows:
                yield DeferralRow(carried=each, registration=self.registration(airframe) or "")

    def _positions(self, of_type: str) -> list[Position]:
        found = self._positions_of.get(of_type)
        if found is None:
            found = self._positions_of[of_type] = self.world.reference.positions_of_type(of_type)
        return found

    @cached_property
    def _positions_of(self) -> dict[str, list[Position]]:
        return {}

    def loose(self) -> Iterator[AssemblyRow]:
        """Units whose place is unknown, and units in stores whose part has slots, each with what it holds."""
        parts = frozenset(self.world.reference.slots)
        connection, scope = self.world.connection, self.scope
        children: dict[int, list[UnitStateRow]] = {}
        for row in ask(connection, "loose children", scope, parts=parts):
            child = query.state_of(row)
            if self.stands(child.unit_id) and child.parent_id is not None:
                children.setdefault(child.parent_id, []).append(child)
        for placed in self.then.units.values():
            if placed.state.parent_id is not None:
                children.setdefault(placed.state.parent_id, []).append(placed.state)
        for row in ask(connection, "loose", scope, parts=parts):
            if self.stands(row[0]):
                yield AssemblyRow(unit=self.placed(query.addressed(row)), children=tuple(children.get(row[0], ())))
        for placed in self.changed():
            if placed.state.kind in ("unknown", "store"):
                yield AssemblyRow(unit=placed, children=tuple(children.get(placed.state.unit_id, ())))

    def modifications(self, units: Iterable[int]) -> dict[int, tuple[str, ...]]:
        """The modifications recorded on the units, by unit."""
        wanted = frozenset(units)
        found: dict[int, tuple[str, ...]] = {}
        for unit in wanted:
            if unit in self.world.changed.histories:
                found[unit] = self.world.changed.histories[unit].modifications
        # of a unit that was derived without its history no modification was recorded since
        stored = wanted - found.keys()
        if stored:
            for unit, modification in ask(self.world.connection, "modifications", ids=stored):
                found[unit] = (*found.get(unit, ()), modification)
        return found

    # -- paper --------------------------------------------------------------------------------------------------

    def _papers(self, name: str, scope: Scope | None, **values: Any) -> Iterator[PaperRow]:
        for row in ask(self.world.connection, name, scope, **values):
            line = query.line_of(row[:LINE_WIDTH])
            if self.stands(line.unit_id):
                unit = query.addressed(row[LINE_WIDTH:])
                yield PaperRow(line=line, unit=self.placed(unit), manufactured=unit.manufactured)

    def changed_papers(self) -> Iterator[PaperRow]:
        for placed in self.changed():
            made = self.then.openings[placed.state.unit_id].manufactured
            for line in self.changed_lines(placed.state.unit_id):
                yield PaperRow(line=line, unit=placed, manufactured=made)

    def differing(self) -> Iterator[PaperRow]:
        """Papers whose numbers are not the unit's."""
        yield from self._papers("differing", self.scope)
        yield from self.changed_papers()

    def before_manufacture(self) -> Iterator[PaperRow]:
        yield from self._papers("before manufacture", self.scope)
        yield from self.changed_papers()

    def unfiled(self) -> Iterator[PaperRow]:
        """Papers that no unit answers to."""
        world = self.world
        for row in ask(world.connection, "unfiled", as_of=world.as_of, known=world.known):
            yield PaperRow(line=query.line_of(row))

    def same_papers(self) -> Iterator[PaperRow]:
        """Lines of papers that are filed against several units."""
        units = self.scope.units
        if units is None:
            yield from self._papers("same paper", None)
        elif units:
            yield from self._papers("same paper of units", None, ids=units)
        numbers = set()
        for paper in self.changed_papers():
            numbers.add(paper.line.unit_id)
            yield paper
        if numbers and units is None:
            yield from self._papers("same paper of units", None, ids=frozenset(numbers))

    def refitted(self) -> Iterator[RefitRow]:
        """Carried units that were off before, and whose latest release is older than that."""
        yield from self._refits("refitted")

    def off_donors(self) -> Iterator[RefitRow]:
        """Carried units that came, since their latest release, off an airframe that was ever not in service."""
        donors = not_flying(self.world.reference)
        if donors:
            yield from self._refits("off donors", ids=donors)

    def _refits(self, name: str, **values: Any) -> Iterator[RefitRow]:
        rows = ask(self.world.connection, name, self.scope, **values)
        units = self.units_named(row[0] for row in rows if self.stands(row[0]))
        units |= {placed.state.unit_id: placed for placed in self.changed() if placed.carried}
        wanted = sorted(units)
        for start in range(0, len(wanted), CHUNK):
            chunk = {unit: units[unit].state for unit in wanted[start : start + CHUNK]}
            for unit, removal in removals_of(self.world, chunk).items():
                yield RefitRow(unit=units[unit], removal=removal)

    def deployed(self) -> Iterator[DeployedRow]:
        """Carried units with a deployment after their latest release, the last one of each."""
        found: dict[int, DeployedRow] = {}
        for row in ask(self.world.connection, "deployed", self.scope, as_of=self.world.as_of):
            if self.stands(row[3]):
                placed = self.placed(query.addressed(row[3:]))
                found[placed.state.unit_id] = DeployedRow(unit=placed, on=row[0], intent=row[1], entry=row[2])
        for placed in self.changed():
            then = self.then.deployments.get(placed.state.unit_id, ())
            if then:
                number, fact = max(then, key=lambda each: (day_number(each[1].operated_on), each[0]))
                on = day_number(fact.operated_on)
                found[placed.state.unit_id] = DeployedRow(unit=placed, on=on, intent=fact.intent, entry=number)
        yield from found.values()

    # -- loans and scrap ----------------------------------------------------------------------------------------

    def loans(self) -> Iterator[LoanRow]:
        """Units lent out, and borrowed ones still here, whose day has passed."""
        for row in ask(self.world.connection, "lent out", self.scope, as_of=self.world.as_of):
            if self.stands(row[2]):
                placed = self.placed(query.addressed(row[2:]))
                yield LoanRow(unit=placed, out=True, back_by=row[0], other=row[1], entry=placed.since_entry)
        for row in ask(self.world.connection, "borrowed", self.scope, as_of=self.world.as_of):
            if self.stands(row[2]):
                placed = self.placed(query.addressed(row[2:]))
                yield LoanRow(unit=placed, out=False, back_by=row[0], other=row[1], entry=placed.entry)
        for placed in self.changed():
            stay = self.world.changed.placements[placed.state.unit_id][-1]
            opening = self.then.openings[placed.state.unit_id]
            if stay.kind == "loan" and stay.expected_back is not None:
                back, other = stay.expected_back, stay.place_name
                yield LoanRow(unit=placed, out=True, back_by=back, other=other, entry=placed.since_entry)
            elif opening.return_by and stay.kind not in ("loan", "scrap"):
                back, other = day_number(opening.return_by), opening.owner
                yield LoanRow(unit=placed, out=False, back_by=back, other=other, entry=placed.entry)

    def scrapped(self) -> Iterator[ScrapRow]:
        """Scrapped units of parts with a life limit, of which no disposition is recorded."""
        limits: dict[str, set[str]] = {}
        for _, rule in self.world.reference.requirements:
            if rule.kind == "life_limit":
                limits.setdefault(fold(rule.part_number), set()).add(rule.requirement)
        if not limits:
            return
        for row in ask(self.world.connection, "scrapped", self.scope, parts=frozenset(limits)):
            if self.stands(row[0]):
                placed = self.placed(query.addressed(row))
                yield ScrapRow(unit=placed, limits=tuple(sorted(limits[fold(placed.state.part_number)])))
        disposed = {(t.unit, moment_of_fact(t)): t.disposition for _, t in self.then.transfers}
        for placed in self.changed():
            of_part = limits.get(fold(placed.state.part_number))
            if placed.state.kind == "scrap" and of_part:
                how = disposed.get((placed.state.unit_id, placed.state.since_moment))
                yield ScrapRow(unit=placed, limits=tuple(sorted(of_part)), disposition=how)

    def fittings(self) -> Iterator[FittingRow]:
        """Fittings with the paper they name, and fittings that still stand of units with a later release."""
        for name in ("named paper", "child's paper"):
            for row in ask(self.world.connection, name, self.scope):
                line = query.line_of(row[2 : 2 + LINE_WIDTH])
                if self.stands(line.unit_id):
                    unit = self.placed(query.addressed(row[2 + LINE_WIDTH :]))
                    yield FittingRow(unit=unit, fitted_on=row[0], entry=row[1], named=line)
        lines: dict[int, list[CertificateLineRow]] = {}
        units: dict[int, Placed] = {}
        for row in ask(self.world.connection, "later release", self.scope):
            line = query.line_of(row[1 : 1 + LINE_WIDTH])
            if line.unit_id is not None and self.stands(line.unit_id):
                units[line.unit_id] = self.placed(query.addressed(row[1 + LINE_WIDTH :]))
                lines.setdefault(line.unit_id, []).append(line)
        for unit_id, unit in units.items():
            if unit.since_known:
                yield _standing_fitting(unit, lines[unit_id])
        yield from self._fittings_then()

    def _fittings_then(self) -> Iterator[FittingRow]:
        chosen = {placed.state.unit_id: placed for placed in self.changed()}
        for number, movement in self.then.movements:
            unit = chosen.get(movement.installed or 0)
            if unit is not None:
                yield from self._named_then(
                    unit, number, day_number(movement.moved_on), movement.certificate, movement.certificate_organisation
                )
        for number, fact, unit in self.changed_facts(Transfer):
            if fact.parent is not None:
                day = day_number(fact.moved_on)
                yield from self._named_then(unit, number, day, fact.certificate, fact.certificate_organisation)
        for unit in chosen.values():
            if unit.state.kind == "position" and unit.since_known:
                yield _standing_fitting(unit, self.changed_lines(unit.state.unit_id))

    def _named_then(
        self, unit: Placed, number: int, day: int, tracking: str | None, organisation: str | None
    ) -> Iterator[FittingRow]:
        for line in self.changed_lines(unit.state.unit_id):
            if tracking and line.tracking_number == tracking and organisation in (None, line.organisation):
                yield FittingRow(unit=unit, fitted_on=day, entry=number, named=line)

    # -- work ---------------------------------------------------------------------------------------------------

    def rules_of(self, part_number: str, requirement: str) -> list[Requirement]:
        """Every edition of the requirement on the part."""
        rules = self.world.reference.book().on_part(part_number)
        return [rule for rule in rules if rule.requirement == requirement]

    def claims(self) -> Iterator[ClaimRow]:
        """Work recorded on a paper whose status may not show it."""
        width = query.width_of(Accomplishment)
        for row in ask(self.world.connection, "claimed", self.scope, proven=PROVEN):
            line = query.line_of(row[width + 1 : width + 1 + LINE_WIDTH])
            if self.stands(line.unit_id):
                unit = self.placed(query.addressed(row[width + 1 + LINE_WIDTH :]))
                fact = query.fact_of(Accomplishment, row[:width])
                yield from self._claim(unit, fact, row[width], line)
        for number, fact, unit in self.changed_facts(Accomplishment):
            for line in self.changed_lines(unit.state.unit_id):
                named = fact.certificate_organisation in (None, line.organisation)
                if fact.certificate and fact.certificate == line.tracking_number and named:
                    yield from self._claim(unit, fact, number, line)

    def _claim(self, unit: Placed, fact: Accomplishment, number: int, line: CertificateLineRow) -> Iterator[ClaimRow]:
        rules = self.rules_of(unit.state.part_number, fact.requirement)
        if rules and not (fact.date_basis is None and rules[-1].done_at == "aircraft"):
            yield ClaimRow(unit=unit, accomplishment=fact, entry=number, requirement_kind=rules[-1].kind, line=line)

    def former_due(self) -> Iterator[FormerDueRow]:
        """Work in force with a former due date, and the date computed from it."""
        width = query.width_of(Accomplishment)
        for row in ask(self.world.connection, "former due", self.scope, as_of=self.world.as_of):
            fact = query.fact_of(Accomplishment, row[:width])
            number, computed, basis, last_done, edition = row[width : width + 5]
            if self.stands(fact.unit) and parse_partial(fact.done_on).first_day.toordinal() == last_done:
                unit = self.placed(query.addressed(row[width + 5 :]))
                yield _former(unit, fact, number, computed, basis, edition)
        for number, fact, unit in self.changed_facts(Accomplishment):
            if fact.stated_due is None:
                continue
            rules = {rule.key: rule for rule in self.rules_of(unit.state.part_number, fact.requirement)}
            day = parse_partial(fact.done_on).first_day.toordinal()
            for point in self.world.changed.due_points.get(fact.unit, ()):
                rule = rules.get(point.requirement_key)
                in_force = point.in_force_from <= self.world.as_of < point.in_force_until
                if rule and in_force and point.calendar_due is not None and point.last_done == day:
                    yield _former(unit, fact, number, point.calendar_due, point.basis, rule.edition)

    def tested(self) -> Iterator[ExpansionRow]:
        """Expansion tests whose figures may be over the limit, or may lack the one to hold them against."""
        width = query.width_of(Accomplishment)
        for row in ask(self.world.connection, "tested", self.scope):
            fact = query.fact_of(Accomplishment, row[:width])
            if self.stands(fact.unit):
                unit = self.placed(query.addressed(row[width + 1 :]))
                yield ExpansionRow(unit=unit, accomplishment=fact, entry=row[width])
        for number, fact, unit in self.changed_facts(Accomplishment):
            if fact.expansion_total is not None:
                yield ExpansionRow(unit=unit, accomplishment=fact, entry=number)

    def plates(self) -> Iterator[PlateRow]:
        """The last reading of each data plate that is not what is recorded."""
        width = query.width_of(PlateReading)
        for row in ask(self.world.connection, "plates", self.scope):
            fact = query.fact_of(PlateReading, row[:width])
            if self.stands(fact.unit):
                yield PlateRow(unit=self.placed(query.addressed(row[width + 1 :])), reading=fact, entry=row[width])
        last: dict[int, PlateRow] = {}
        for number, fact, unit in self.changed_facts(PlateReading):
            held = last.get(fact.unit)
            if held is None or (held.reading.read_on, held.reading.sequence) < (fact.read_on, fact.sequence):
                last[fact.unit] = PlateRow(unit=unit, reading=fact, entry=number)
        yield from (row for row in last.values() if row.unit.state.plate is not None)

    def received(self) -> Iterator[ReceiptRow]:
        """The last receipt of each unit that is on hold since it was received."""
        width = query.width_of(Receipt)
        for row in ask(self.world.connection, "received", self.scope):
            fact = query.fact_of(Receipt, row[:width])
            if self.stands(fact.unit):
                yield ReceiptRow(unit=self.placed(query.addressed(row[width + 1 :])), receipt=fact, entry=row[width])
        last: dict[int, tuple[int, Receipt]] = {}
        for number, receipt in self.then.receipts:
            if receipt.unit not in last or order_of(last[receipt.unit][1]) < order_of(receipt):
                last[receipt.unit] = number, receipt
        for placed in self.changed():
            if placed.state.receipt is not None:
                number, receipt = last[placed.state.unit_id]
                yield ReceiptRow(unit=placed, receipt=receipt, entry=number)

    def suspected(self) -> Iterator[SuspectedRow]:
        """The last suspicion of each suspected unapproved part."""
        width = query.width_of(HoldDecision)
        for row in ask(self.world.connection, "suspected", self.scope):
            fact = query.fact_of(HoldDecision, row[:width])
            if self.stands(fact.unit):
                yield SuspectedRow(unit=self.placed(query.addressed(row[width + 1 :])), decision=fact, entry=row[width])
        for placed in self.changed():
            if placed.state.suspected is not None:
                number, decision = self.then.suspicions[placed.state.unit_id]
                yield SuspectedRow(unit=placed, decision=decision, entry=number)

    def bridged(self) -> Iterator[BridgedRow]:
        """Units that came under their airframe's programme from another that asks other things of them."""
        found = bridged_units(self.world, self.scope.units)
        units = self.units_named(found) if found else {}
        for unit, lines in found.items():
            yield BridgedRow(unit=units[unit], lines=lines)

    def done(self) -> Iterator[list[DoneLine]]:
        """What was done on one unit under one requirement, in order, as far as the stored rows answer."""
        group: list[DoneLine] = []
        for row in ask(self.world.connection, "done", self.scope):
            if not self.stands(row[0]):
                continue
            line = DoneLine(*row)
            if group and (group[-1].unit, group[-1].requirement) != (line.unit, line.requirement):
                yield group
                group = []
            group.append(line)
        if group:
            yield group

    def works(self) -> Iterator[WorkRow]:
        """The work on units on which some may have been done late, with their whole history."""
        wanted = {placed.state.unit_id for placed in self.changed()}
        for group in self.done():
            if group[0].unit not in wanted:
                rules = [
                    rule
                    for rule in self.world.reference.book().on_part(group[0].part_fold)
                    if rule.requirement == group[0].requirement
                ]
                if possibly_late(group, rules):
                    wanted.add(group[0].unit)
        units = self.units_named(wanted) if wanted else {}
        ordered = sorted(units)
        for start in range(0, len(ordered), CHUNK):
            yield from self._works(ordered[start : start + CHUNK], units)

    def _works(self, chunk: Sequence[int], units: dict[int, Placed]) -> Iterator[WorkRow]:
        book, facts = self.world.reference.book(), self.world.facts(chunk)
        derived = derive(facts, book=book, totals=self.world.totals(), counters=self.world.counters())
        for unit in chunk:
            if unit not in derived.histories:
                continue
            state, history = derived.unit_states[unit], derived.histories[unit]
            carrier = state.carried_airframe_id
            rules = applicable(
                book.on_part(state.part_number), programme_of(book, carrier), carrier is not None, history.modifications
            )
            history = with_resets(history, rules)
            mine = [
                (recorded.number, recorded.fact)
                for recorded in facts[unit]
                if isinstance(recorded.fact, Accomplishment) and recorded.fact.unit == unit
            ]
            stated = frozenset(n for n, f in mine if f.minutes_since_new is not None or f.cycles_since_new is not None)
            counted = {
                (n, f.counter) for n, f in mine if f.counter_since_new is not None or f.counter_since is not None
            }
            for rule in rules:
                own = frozenset(n for n, f in mine if f.requirement == rule.requirement)
                if own:
                    yield WorkRow(
                        unit=units[unit],
                        requirement=rule,
                        history=history.counted_in(rule.counter),
                        carriages=derived.carriages[unit],
                        own=own,
                        totals_stated=stated,
                        counters_stated=frozenset(n for n, counter in counted if counter == rule.counter),
                    )

    # -- movements ----------------------------------------------------------------------------------------------

    def _movements_then(self) -> list[tuple[int, Movement]]:
        airframes = self.scope.airframes
        return [(n, m) for n, m in self.then.movements if airframes is None or m.airframe in airframes]

    def late_entries(self, *, within: int) -> Iterator[LateEntryRow]:
        """Movements recorded later than `within` days after they were done, on airframes recorded by then."""
        world, width = self.world, query.width_of(Movement)
        seen = set()
        rows = ask(world.connection, "late", self.scope, within=within, as_of=world.as_of, known=world.known)
        for row in rows:
            fact = query.fact_of(Movement, row[:width])
            seen.add((row[width], fact))
            yield self._late(fact, *row[width:])
        more = [each for each in self._movements_then() if each not in seen]
        if more:
            recorded = dict(ask(world.connection, "recorded", ids=frozenset(number for number, _ in more)))
            since = dict(ask(world.connection, "kept since"))
            for number, fact in more:
                yield self._late(fact, number, recorded[number], since[fact.airframe])

    def _late(self, fact: Movement, number: int, recorded_on: int, kept_since: int) -> LateEntryRow:
        registration = self.registration(fact.airframe) or ""
        return LateEntryRow(
            movement=fact, registration=registration, recorded_on=recorded_on, kept_since=kept_since, entry=number
        )

    def signed(self, *, doors: int) -> Iterator[SignedRow]:
        """Movements of which one person signed for more than `doors` positions of one airframe, on one day or under one
        work order."""
        world, width = self.world, query.width_of(Movement)
        found: dict[tuple[int, Movement], None] = {}
        rows = ask(world.connection, "many doors", self.scope, doors=doors, as_of=world.as_of, known=world.known)
        for row in rows:
            found[row[width], query.fact_of(Movement, row[:width])] = None
        found.update(dict.fromkeys(self._movements_then()))
        for number, fact in found:
            frame = self.world.reference.airframes[fact.airframe]
            position = self.world.reference.positions.get((fold(frame.type), fact.position))
            registration = self.registration(fact.airframe) or frame.registration
            kind = position.kind if position else None
            yield SignedRow(movement=fact, registration=registration, entry=number, position_kind=kind)

    def promised(self) -> Iterator[PromisedRow]:
        """Units in stores with the orders named since they came there."""
        width = query.width_of(Transfer)
        units: dict[int, Placed] = {}
        orders: dict[int, list[tuple[str, int, int]]] = {}
        for row in ask(self.world.connection, "promised", self.scope):
            fact = query.fact_of(Transfer, row[:width])
            if self.stands(fact.unit):
                units.setdefault(fact.unit, self.placed(query.addressed(row[width + 1 :])))
                orders.setdefault(fact.unit, []).append((fact.order or "", day_number(fact.moved_on), row[width]))
        for number, fact, unit in self.changed_facts(Transfer):
            stays = self.world.changed.placements[fact.unit]
            came = max((s.until_moment or 0 for s in stays if s.kind != "store"), default=0)
            if unit.state.kind == "store" and fact.order and moment_of_fact(fact) >= came:
                units[fact.unit] = unit
                orders.setdefault(fact.unit, []).append((fact.order, day_number(fact.moved_on), number))
        for unit_id, placed in units.items():
            yield PromisedRow(unit=placed, orders=tuple(sorted(orders[unit_id], key=lambda o: (o[1], o[2]))))


def _in_parent(placed: Placed, units: dict[int, Placed]) -> Placed:
    parent = placed.state.parent_id
    if parent is None or parent not in units:
        return placed
    return replace(placed, parent=units[parent].state)


def _standing_fitting(unit: Placed, lines: Sequence[CertificateLineRow]) -> FittingRow:
    fitted_on = day_of(unit.state.since_moment)
    return FittingRow(unit=unit, fitted_on=fitted_on, entry=unit.since_entry, lines=tuple(lines))


def _former(
    unit: Placed, fact: Accomplishment, number: int, computed: int, basis: str | None, edition: str | None
) -> FormerDueRow:
    assert fact.stated_due is not None
    return FormerDueRow(
        unit=unit,
        requirement=fact.requirement,
        done_on=fact.done_on,
        stated_due=day_number(fact.stated_due),
        computed_due=computed,
        basis=basis,
        edition=edition,
        entry=number,
    )

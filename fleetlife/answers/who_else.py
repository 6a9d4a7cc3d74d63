"""`certificate --who-else`: what is doubted of one paper, and what else came from the same hands."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleetlife.clocks.findings import findings_in, is_waived, with_waivers
from fleetlife.clocks.named import one_issuer
from fleetlife.clocks.places import place_text
from fleetlife.clocks.world import World, open_world
from fleetlife.dates.partial import day_number
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.facts import Certificate
from fleetlife.store.audit_query import Scope
from fleetlife.store.engine import Store
from fleetlife.store.papers import certificate_lines_stated, papers_sharing, units_of_batch
from fleetlife.terms.finding import SEVERITY_ORDER, Finding
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.shared import PLACES, SHARED, ElseUnit, WhoElse

NOT_CHECKED = (
    "names written otherwise: an organisation, a signatory, a batch or a work order counts as the same where it is "
    "written the same",
    "papers filed against no unit: fleetlife audit --code PAP111",
    "the physical condition of any unit, and whether a unit shares what is wrong with this paper",
)
_STANDING = {"position": "installed", "store": "stores"}


def who_else(
    store: Store,
    *,
    tracking_number: str,
    organisation: str | None = None,
    by: Sequence[str] = SHARED,
    as_of: date,
    known_at: str | None = None,
) -> WhoElse:
    """The other units with a paper of the same batch, visit, signatory or organisation (`by`, of SHARED): installed
    ones first, then those with the worst findings, then those that share the most telling.

    A batch is the same on the same part number; a visit is the work order of one organisation. Waived findings are
    left out. Refusals: `certificate-unknown`, `certificate-ambiguous`, `shared-unknown`, those of `open_world`.
    """
    for word in by:
        if word not in SHARED:
            raise Refusal(
                "shared-unknown", f"Papers do not share {word!r}.", remedy=f"Ask for {', '.join(SHARED)}.", status=2
            )
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        own = _own(world, tracking_number, organisation)
        common = {pair: None for line in own for pair in _stated(line) if pair[0] in by}
        shared = _sharing(world, own, set(common))
        units = _units(world, shared)
        return WhoElse(
            about=world.about("certificate --who-else"),
            tracking_number=tracking_number,
            organisation=own[0].organisation,
            common=tuple(sorted(common, key=lambda pair: (SHARED.index(pair[0]), pair[1]))),
            missing=tuple(word for word in SHARED if word in by and word not in {what for what, _ in common}),
            units=units,
            not_checked=NOT_CHECKED,
        )


def _own(world: World, tracking_number: str, organisation: str | None) -> list[Certificate]:
    stated = certificate_lines_stated(world.connection, tracking_number)
    own = [
        fact
        for entry, _, fact in stated
        if entry <= world.known and (organisation is None or fold(fact.organisation) == fold(organisation))
    ]
    one_issuer(tracking_number, organisation, {fact.organisation for fact in own})
    return own


def _stated(line: Certificate) -> list[tuple[str, str]]:
    """(what, value) that a line states of itself, so that two lines that share it state the same."""
    stated = [("organisation", line.organisation)]
    if line.signatory:
        stated.append(("signatory", line.signatory))
    if line.work_order:
        stated.append(("visit", f"{line.work_order} of {line.organisation}"))
    if line.batch:
        stated.append(("batch", f"{line.batch} of {line.part_number}"))
    return stated


def _sharing(
    world: World, own: Sequence[Certificate], common: set[tuple[str, str]]
) -> dict[int, tuple[set[str], set[str]]]:
    """By unit, other than those of the paper itself: what its papers share, and the papers."""
    kinds = {what for what, _ in common}
    batches = {line.batch for line in own if line.batch and "batch" in kinds}
    lines = papers_sharing(
        world.connection,
        organisation=own[0].organisation if kinds & {"organisation", "visit"} else None,
        signatories={line.signatory for line in own if line.signatory and "signatory" in kinds},
        batches=batches,
        as_of=world.as_of,
        known=world.known,
    )
    mine = {line.unit for line in own}
    wanted = {(what, fold(value)) for what, value in common}
    found: dict[int, tuple[set[str], set[str]]] = {}
    for line in lines:
        same = {what for what, value in _stated(line) if (what, fold(value)) in wanted}
        if line.unit is not None and line.unit not in mine and same and day_number(line.dated_on) <= world.as_of:
            shares, papers = found.setdefault(line.unit, (set(), set()))
            shares |= same
            papers.add(f"{line.tracking_number} of {line.organisation}")
    for unit, batch, part in units_of_batch(world.connection, batches, known=world.known):
        if unit not in mine and ("batch", fold(f"{batch} of {part}")) in wanted:
            found.setdefault(unit, (set(), set()))[0].add("batch")
    return found


def _units(world: World, shared: dict[int, tuple[set[str], set[str]]]) -> tuple[ElseUnit, ...]:
    states = world.states(shared)
    parents = world.states({s.parent_id for s in states.values() if s.parent_id is not None})
    against: dict[int, list[Finding]] = {}
    if states:
        carriers = frozenset(s.carried_airframe_id for s in states.values() if s.carried_airframe_id is not None)
        found = findings_in(world, scope=Scope(units=frozenset(states), airframes=carriers), level="units")
        for each in with_waivers(world, found):
            if each.unit is not None and not is_waived(each):
                against.setdefault(each.unit, []).append(each)
    listed = [
        ElseUnit(
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            standing=_standing(state),
            place=_place(world, state, parents),
            shares=tuple(word for word in SHARED if word in shared[unit][0]),
            certificates=tuple(sorted(shared[unit][1])),
            findings=tuple(against.get(unit, ())),
        )
        for unit, state in states.items()
    ]
    return tuple(sorted(listed, key=_order))


def _standing(state: UnitStateRow) -> str:
    if state.carried_airframe_id is not None:
        return "installed"
    if state.kind in ("slot", "position"):
        return "stores"  # in a parent that no airframe carries
    return _STANDING.get(state.kind, state.kind)


def _place(world: World, state: UnitStateRow, parents: dict[int, UnitStateRow]) -> str:
    told = place_text(world, state, parents)
    if state.carried_airframe_id is None or state.kind == "position":
        return told
    return f"{told} on {world.registration(state.carried_airframe_id)}"


def _order(unit: ElseUnit) -> tuple[object, ...]:
    worst = min((SEVERITY_ORDER[each.severity] for each in unit.findings), default=len(SEVERITY_ORDER))
    telling = tuple(word not in unit.shares for word in SHARED)
    place = PLACES.index(unit.standing) if unit.standing in PLACES else len(PLACES)
    return (place, worst, telling, unit.place, unit.part_number, unit.serial_number)

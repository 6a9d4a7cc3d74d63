"""`deferral open` and `deferral close`: an inoperative or missing item as authorised people entered it.

Neither its limit nor its expiry is computed. A maintenance date that has passed is no inoperative item: it stays
overdue beside the deferral, and is named there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.moving import Key, answered_once, refuse_blank
from fleetlife.actions.settle import entered, world_at_head
from fleetlife.actions.showing import refuse_to_come
from fleetlife.clocks.deferrals import deferrals_in
from fleetlife.clocks.due_rows import due_rows_of
from fleetlife.clocks.places import name_of
from fleetlife.clocks.world import World
from fleetlife.follows.deferrals import CLOSED, NOT_AN_ITEM, Carried
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.fact import Fact
from fleetlife.ledger.swaps import Deferral, DeferralClosed
from fleetlife.store.engine import Store
from fleetlife.store.facts import facts_ever
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.number import fold
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow

OPEN, CLOSE = "deferral open", "deferral close"
AS_ENTERED = "Say it as it was entered."


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralRequest:
    """The item, where, and what was entered of it. `expires`: its last day, as entered by who authorised it."""

    registration: str
    position: str
    on: date
    item: str
    authorised_by: str
    expires: date | None = None
    log_page: str | None = None
    conditions: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DeferralCloseRequest:
    """Which deferral is over. `opened` None: the one that is open at the position."""

    registration: str
    position: str
    on: date
    closed_by: str
    opened: date | None = None


def open_deferral(
    store: Store,
    request: DeferralRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> MoveRecorded:
    """Record that it was opened, or with `preview` show it. Nothing stops it, so nothing is acknowledged.

    Refusals: `in-the-future`, `said-with-nothing`, `expires-first`, `deferral-open-already`, `not-an-inoperative-item`,
    `registration-*`, `position-unknown`, `request-key-reused`.
    """
    refuse_to_come(request.on, as_of=as_of, said="a deferral is recorded when it has been opened")
    refuse_blank(("item", request.item), ("authorised by", request.authorised_by), remedy=AS_ENTERED)
    if request.expires is not None and request.expires < request.on:
        raise Refusal(
            "expires-first",
            f"It would expire on {request.expires.isoformat()}, before it is opened on {request.on.isoformat()}.",
            remedy="Correct one of the two days, as entered by who authorised it.",
            status=2,
        )

    def work(writer: Writer, key: Key) -> MoveRecorded:
        world = world_at_head(writer, store, as_of=request.on)
        airframe, position = _place(world, request.registration, request.position)
        fact = Deferral(
            airframe=airframe,
            position=position,
            opened_on=request.on.isoformat(),
            item=request.item.strip(),
            expires_on=None if request.expires is None else request.expires.isoformat(),
            log_page=request.log_page,
            conditions=request.conditions,
            authorised_by=request.authorised_by.strip(),
        )
        _refuse_twice(writer, fact)
        there, rows = _at(world, airframe, position)
        _refuse_a_date(fact, {row.requirement for row in rows if row.requirement})
        place = f"{world.registration(airframe)} {position}"
        overdue = [row for row in rows if row.state == "overdue"]
        notes = [NOT_AN_ITEM] + [
            f"{row.part_number} {row.serial_number} {row.requirement} is overdue ({row.state_reason}): that stays "
            "as it is beside this deferral."
            for row in overdue
        ]
        before = ((place, there or "empty"), *_standing(world, airframe, position, place))
        return _entered(writer, world, fact, key, as_of, OPEN, before=before, notes=notes)

    return answered_once(
        store, request, work, what=OPEN, recorded_by=recorded_by, request_key=request_key, preview=preview
    )


def close_deferral(
    store: Store,
    request: DeferralCloseRequest,
    *,
    as_of: date,
    recorded_by: str,
    acknowledged: Sequence[Acknowledgement] = (),
    request_key: str | None = None,
    preview: bool = False,
) -> MoveRecorded:
    """Record that it is over, or with `preview` show it.

    Refusals: `in-the-future`, `said-with-nothing`, `deferral-not-open`, `deferrals-several`, `registration-*`,
    `position-unknown`, `request-key-reused`.
    """
    refuse_to_come(request.on, as_of=as_of, said="a deferral is closed when the item has been put right")
    refuse_blank(("closed by", request.closed_by), remedy=AS_ENTERED)

    def work(writer: Writer, key: Key) -> MoveRecorded:
        world = world_at_head(writer, store, as_of=request.on)
        airframe, position = _place(world, request.registration, request.position)
        place = f"{world.registration(airframe)} {position}"
        carried = _meant(world, airframe, position, place, request.opened)
        fact = DeferralClosed(
            airframe=airframe,
            position=position,
            opened_on=carried.fact.opened_on,
            closed_on=request.on.isoformat(),
            closed_by=request.closed_by.strip(),
        )
        before = _standing(world, airframe, position, place)
        return _entered(writer, world, fact, key, as_of, CLOSE, before=before, notes=[])

    return answered_once(
        store, request, work, what=CLOSE, recorded_by=recorded_by, request_key=request_key, preview=preview
    )


def _place(world: World, registration: str, position: str) -> tuple[int, str]:
    airframe = world.reference.airframe_on(registration, world.as_of)
    return airframe, world.reference.position_of(airframe, position).position


def _at(world: World, airframe: int, position: str) -> tuple[str | None, tuple[DueRow, ...]]:
    """What hangs there, and its due rows with those of what it holds."""
    unit = next((row for row in world.installed_on(airframe) if row.position == position), None)
    if unit is None:
        return None, ()
    return name_of(unit), due_rows_of(world, world.tree_of(unit.unit_id))


def _standing(world: World, airframe: int, position: str, place: str) -> tuple[tuple[str, str], ...]:
    rows = deferrals_in(world, [airframe]).get((airframe, position), [])
    return tuple((place, each.told(world.as_of)) for each in rows)


def _refuse_twice(writer: Writer, fact: Deferral) -> None:
    for ever in facts_ever(writer.connection, [fact.key()]).get(fact.key(), []):
        if ever.standing == "stands":
            raise Refusal(
                "deferral-open-already",
                f"Entry {ever.number} opened a deferral at {fact.position} on {fact.opened_on}.",
                remedy=f"If that one is wrong, correct it: fleetlife ledger correct {ever.number}; a second item of "
                "the same day goes into its text.",
            )


def _refuse_a_date(fact: Deferral, requirements: set[str]) -> None:
    """An item that is the name of a requirement is a date, and no item that is inoperative."""
    if fold(fact.item) in {fold(name) for name in requirements}:
        raise Refusal(
            "not-an-inoperative-item",
            f"{fact.item} is a requirement: a maintenance date, passed or not, is not an inoperative item and cannot "
            "be deferred this way.",
            remedy="A date moves by an approved permitted variation alone (variations file). Name the item that does "
            "not work, or that is missing.",
        )


def _meant(world: World, airframe: int, position: str, place: str, opened: date | None) -> Carried:
    """The deferral that is closed. Refusals: `deferral-not-open`, `deferrals-several`."""
    every = deferrals_in(world, [airframe], over_too=True).get((airframe, position), [])
    rows = [each for each in every if each.standing(world.as_of) != CLOSED]
    if opened is not None:
        rows = [each for each in rows if each.fact.opened_on == opened.isoformat()]
    if len(rows) == 1:
        return rows[0]
    if rows:
        raise Refusal(
            "deferrals-several",
            f"{len(rows)} deferrals are open at {place}: {'; '.join(each.told(world.as_of) for each in rows)}.",
            remedy="Say which by the day it was opened: --opened.",
            status=2,
        )
    over = "; ".join(each.told(world.as_of) for each in every) or "none was ever opened there"
    raise Refusal(
        "deferral-not-open",
        f"No such deferral is open at {place}: {over}.",
        remedy="fleetlife deferral list shows what is open; correct the position or the day.",
    )


def _entered(
    writer: Writer,
    world: World,
    fact: Deferral | DeferralClosed,
    key: Key,
    as_of: date,
    what: str,
    *,
    before: tuple[tuple[str, str], ...],
    notes: list[str],
) -> MoveRecorded:
    facts: tuple[Fact, ...] = (fact,)
    first = writer.head.number + 1
    draft = Draft(kind=fact.KIND, on=fact.dated(), items=facts)
    now = entered(writer, draft, reference=world.reference, as_of=as_of, request_key=key[0], request_digest=key[1])
    place = f"{now.registration(fact.airframe)} {fact.position}"
    rows = deferrals_in(now, [fact.airframe], over_too=True).get((fact.airframe, fact.position), [])
    after = tuple(
        (place, each.told(now.as_of))
        for each in rows
        if each.standing(now.as_of) != CLOSED or each.fact.opened_on == fact.opened_on
    )
    return MoveRecorded(
        what=what,
        entry=first,
        ledger_head=writer.head.digest,
        before=before,
        after=after,
        due=(),
        findings=(),
        notes=tuple(notes),
        about=now.about(what, airframes={fact.airframe}),
    )

"""What every action that moves something shares: a request's digest, an answer given before, what is told after."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import Any

from fleetlife.actions.follow import Followed
from fleetlife.actions.settle import world_after
from fleetlife.actions.showing import recorded_or_shown
from fleetlife.actions.swap import stated_in
from fleetlife.checks.every import REGISTER
from fleetlife.checks.fitting import CAUTIONS
from fleetlife.clocks.due_rows import due_rows_of
from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World
from fleetlife.follows.rows import UnitStateRow
from fleetlife.ledger.canonical import canonical, digest
from fleetlife.store.append import request_answered
from fleetlife.store.engine import Store
from fleetlife.store.unit_of_work import Writer
from fleetlife.terms.finding import Finding
from fleetlife.terms.moves import MoveRecorded
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DifferenceRow, Reason

Key = tuple[str | None, str]
Pairs = tuple[tuple[str, str], ...]


def request_digest(request: Any) -> str:
    """The digest of a request: its class and every field that says something."""
    return digest(canonical({"request": type(request).__name__, **stated_in(request)}))


def refuse_blank(*said: tuple[str, str], remedy: str = "Say it.") -> None:
    """Refusal: `said-with-nothing`, for the first of (what, text) that is blank."""
    for what, text in said:
        if not text.strip():
            raise Refusal("said-with-nothing", f"{what} is blank.", remedy=remedy, status=2)


def answered_once(
    store: Store,
    request: Any,
    work: Callable[[Writer, Key], MoveRecorded],
    *,
    what: str,
    recorded_by: str,
    request_key: str | None,
    preview: bool,
) -> MoveRecorded:
    """What the work gives, or the answer given before under the key. Refusals: `request-key-reused`, the work's own."""

    def once(writer: Writer) -> MoveRecorded:
        wanted = request_digest(request)
        if request_key is not None:
            answered = request_answered(writer.connection, request_key, wanted)
            if answered is not None:
                head = writer.head.digest
                nothing: dict[str, Any] = {"before": (), "after": (), "due": (), "findings": ()}
                return MoveRecorded(what=what, entry=answered[0], ledger_head=head, already=True, **nothing)
        return work(writer, (request_key, wanted))

    return recorded_or_shown(store, once, recorded_by=recorded_by, preview=preview)


def whereabouts(world: World, units: Iterable[UnitStateRow]) -> Pairs:
    """Each unit with its place, condition and, where it has one, its rig."""
    rows = list(units)
    parents = world.states([row.parent_id for row in rows if row.parent_id is not None])
    return tuple((name_of(row), _whereabouts(world, row, parents)) for row in rows)


def _whereabouts(world: World, row: UnitStateRow, parents: dict[int, UnitStateRow]) -> str:
    rig = f", rigged {row.harness}" if row.harness in ("left", "right") else ""
    hold = f", on hold: {row.hold}" if row.hold else ""
    return f"{place_text(world, row, parents)}, {row.condition}{rig}{hold}"


def told_after(
    writer: Writer,
    world: World,
    followed: Followed,
    *,
    what: str,
    as_of: date,
    entry: int,
    before: Pairs,
    units: Sequence[int],
    empty: Sequence[tuple[str, str]] = (),
    airframes: set[int] | None = None,
    findings: Sequence[Finding] = (),
    notes: Sequence[str] = (),
    cautions: Sequence[str] = CAUTIONS,
    moved: Sequence[DifferenceRow] = (),
) -> MoveRecorded:
    """The answer after the entry: where the units are now, and what falls due on them and on what they hold."""
    now = world_after(writer, world, followed, as_of=as_of)
    states = now.states(units)
    after = whereabouts(now, (states[unit] for unit in units if unit in states))
    concerned = set(airframes or ())
    concerned |= {row.carried_airframe_id for row in states.values() if row.carried_airframe_id is not None}
    return MoveRecorded(
        what=what,
        entry=entry,
        ledger_head=writer.head.digest,
        before=before,
        after=(*after, *empty),
        due=due_rows_of(now, now.trees_of(units)),
        findings=tuple(findings),
        notes=tuple(notes),
        cautions=tuple(cautions),
        moved=tuple(moved),
        about=now.about(what, airframes=concerned),
    )


def finding_of(reason: Reason, *, hint: str, **address: Any) -> Finding:
    """A stop, or a condition not met, as the finding it leaves open."""
    known = REGISTER.get(reason.code or "")
    return Finding(
        code=reason.code or "",
        name=known.name if known else reason.topic,
        severity="stop" if reason.verdict == "stop" else "rectify",
        message=reason.text,
        hint=hint,
        **address,
    )

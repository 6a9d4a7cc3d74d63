"""What is new and what is closed since an earlier state of knowledge: the same audit asked twice, held by numbers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import date

from fleetlife.clocks.between import refuse_reversed
from fleetlife.clocks.findings import airframe_scope
from fleetlife.clocks.patterns import found_in
from fleetlife.clocks.world import World, open_world
from fleetlife.store.audit_query import Scope
from fleetlife.store.engine import Store
from fleetlife.store.heads import airframes_touched_between, retired_between, units_touched_between
from fleetlife.terms.audited import Closed, Since
from fleetlife.terms.finding import Finding

Asked = Callable[[Iterable[Finding]], list[Finding]]


def since(
    store: Store,
    world: World,
    found: Sequence[Finding],
    *,
    moment: str,
    as_of: date,
    airframes: Collection[int] | None,
    codes: Collection[str],
    asked: Asked,
) -> Since:
    """`found`, the findings of `world`, beside those of the day `as_of` by what was known at `moment`.

    `asked` leaves of any findings those that were asked for (parts, severities, numbers), as it did of `found`. Of
    airframes what was aboard then is looked at in both states: a finding is not closed by its unit going elsewhere.
    Refusals: those of `open_world`, `moments-reversed`.
    """
    before = open_world(world.connection, as_of=as_of, known_at=moment, kept=store.kept)
    refuse_reversed(before, world)
    level = "fleet" if airframes is None else "airframes"
    scope, wide = Scope(), Scope()
    standing = {each.number for each in found}
    if airframes is not None:
        scope, now = airframe_scope(before, airframes), airframe_scope(world, airframes)
        wide = Scope(units=(scope.units or frozenset()) | (now.units or frozenset()), airframes=scope.airframes)
        standing |= {each.number for each in asked(found_in(world, scope=wide, codes=codes, level=level)[0])}
    stood = asked(found_in(before, scope=wide, codes=codes, level=level)[0])
    numbers = {each.number for each in stood}
    narrow = stood if airframes is None else asked(found_in(before, scope=scope, codes=codes, level=level)[0])
    gone = [each for each in narrow if each.number not in standing]
    return Since(
        moment=moment,
        entry=before.head_number,
        head=before.head_digest,
        as_of=as_of.isoformat(),
        new=frozenset(each.number for each in found if each.number not in numbers),
        stood=sum(each.number in numbers for each in found),
        closed=_closed(world, gone, after=before.head_number),
    )


def _closed(world: World, gone: Sequence[Finding], *, after: int) -> tuple[Closed, ...]:
    """Each with the entries between that name its unit (or airframe), or that replaced what it rested on."""
    if not gone:
        return ()
    between = (world.connection, after, world.head_number)
    units, airframes = units_touched_between(*between), airframes_touched_between(*between)
    retired = retired_between(*between)
    closed = []
    for each in gone:
        entries = set(units.get(each.unit, ()) if each.unit is not None else airframes.get(each.airframe or 0, ()))
        for evidence in each.evidence:
            entries.update(retired.get(evidence.entry or 0, ()))
        closed.append(Closed(finding=each, entries=tuple(sorted(entries))))
    return tuple(closed)

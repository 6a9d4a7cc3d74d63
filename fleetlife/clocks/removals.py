"""The last removal of units, with what it takes to say whether they may go, or might have gone, back on without a
release: what flew meanwhile, what happened to the unit, who inspected it, and what its donor was doing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fleetlife.checks.removal import BRIEF_REMOVALS, Donor, Flown, Inspected, Removal
from fleetlife.clocks.gathered import by_unit
from fleetlife.clocks.world import World
from fleetlife.dates.moment import day_of, end_of_day
from fleetlife.dates.partial import day_number, day_text
from fleetlife.follows.place import moment_of_fact
from fleetlife.follows.rows import CarriageRow, PlacementRow, UnitStateRow
from fleetlife.follows.states import periods_of
from fleetlife.ledger.facts import Fact, Operation, Transfer, UnitModification

# Places at which what happened to a unit is not in these records.
_AWAY = ("shop", "loan", "scrap", "unknown")


def removals_of(
    world: World,
    units: Mapping[int, UnitStateRow],
    *,
    released: Mapping[int, int | None] | None = None,
    fitting: tuple[int, str] | None = None,
) -> dict[int, Removal]:
    """By unit its last removal, of units that were ever removed.

    `fitting`: airframe and position to which they are to go on the world's day; None: where they are now.
    `released`: the day of the last release that counts for the unit, where it is not its own. Reads a fixed number of
    statements for up to some hundreds of units.
    """
    stays = by_unit(world.placements(units))
    gone = {unit: rows for unit, rows in stays.items() if _last_off(rows) is not None}
    if not gone:
        return {}
    carriages = by_unit(world.carriages(gone))
    stated: dict[int, list[Fact]] = {}
    for fact in world.stated_of(list(gone), Operation, Transfer, UnitModification):
        unit = getattr(fact, "unit", None)
        if unit is not None:
            stated.setdefault(unit, []).append(fact)
    found = {}
    for unit, rows in gone.items():
        own = units[unit].released_on if released is None else released.get(unit)
        one = _Looked(world, units[unit], rows, carriages.get(unit, []), stated.get(unit, []), fitting)
        found[unit] = one.removal(own)
    return found


def _last_off(rows: Sequence[PlacementRow]) -> int | None:
    """The place of the last stay at a position or in a slot that ended."""
    for index in range(len(rows) - 1, -1, -1):
        if rows[index].kind in ("position", "slot") and rows[index].until_moment is not None:
            return index
    return None


class _Looked:
    """One unit's last removal, looked at."""

    def __init__(
        self,
        world: World,
        state: UnitStateRow,
        rows: Sequence[PlacementRow],
        carriages: Sequence[CarriageRow],
        stated: Sequence[Fact],
        fitting: tuple[int, str] | None,
    ) -> None:
        self.world, self.state, self.rows, self.carriages, self.stated = world, state, rows, carriages, stated
        index = _last_off(rows)
        assert index is not None
        self.off = rows[index]
        assert self.off.until_moment is not None
        self.removed = self.off.until_moment
        self.next = rows[index + 1] if index + 1 < len(rows) else None
        self.between = [row for row in rows[index + 1 :] if row.kind not in ("position", "slot")]
        here = state.kind in ("position", "slot") and state.since_moment >= self.removed
        self.to_airframe, self.to_position = state.carried_airframe_id, state.position
        self.fitted = state.since_moment if here else end_of_day(world.as_of)
        self.to_come = fitting is not None
        if fitting is not None:
            self.to_airframe, self.to_position = fitting
            self.fitted = end_of_day(world.as_of)

    def removal(self, released_on: int | None) -> Removal:
        kind = self.next.removal_kind if self.next is not None else None
        airframe = self.off.airframe_id
        flown = Flown()
        if kind in BRIEF_REMOVALS and airframe is not None and airframe == self.to_airframe:
            flown = self._flown(airframe)
        return Removal(
            removed_on=day_of(self.removed),
            kind=kind,
            released_on=released_on,
            from_airframe=airframe,
            from_place=self._place(airframe, self.off.position, day_of(self.removed)),
            to_airframe=self.to_airframe,
            to_place=self._place(self.to_airframe, self.to_position, day_of(self.fitted)),
            flown=flown,
            changed=tuple(self._changed()),
            inspected=self._inspected(),
            donors=tuple(self._donors(released_on)),
            long_parked_days=self.world.long_parked_days,
            entry=self.off.until_entry,
        )

    def _place(self, airframe: int | None, position: str | None, day: int) -> str | None:
        if airframe is None:
            return None
        named = self.world.reference.registration_on(airframe, min(day, self.world.as_of))
        return f"{named} {position}" if position else named

    def _flown(self, airframe: int) -> Flown:
        """From stated totals, else from the readings around each end: at least and at most."""
        off = next((leg for leg in reversed(self.carriages) if leg.until_moment == self.removed), None)
        on = next((leg for leg in self.carriages if leg.from_moment >= self.removed), None)
        off_least, off_most = self._total(
            airframe, day_of(self.removed), off.until_minutes if off and off.until_basis == "stated" else None
        )
        on_least, on_most = self._total(
            airframe,
            day_of(self.fitted),
            on.from_minutes if on and not self.to_come and on.from_basis == "stated" else None,
        )
        least = None if on_least is None or off_most is None else max(0, on_least - off_most)
        most = None if on_most is None or off_least is None else max(0, on_most - off_least)
        return Flown(least=least, most=most)

    def _total(self, airframe: int, day: int, stated: int | None) -> tuple[int | None, int | None]:
        if stated is not None:
            return stated, stated
        totals = self.world.totals()
        before, after = totals.before(airframe, day - 1), totals.after(airframe, day)
        return (None if before is None else before.minutes), (None if after is None else after.minutes)

    def _changed(self) -> list[str]:
        told = [
            f"it was at {row.kind}{' ' + row.place_name if row.place_name else ''} from "
            f"{day_text(day_of(row.from_moment))}"
            if row.kind != "unknown"
            else f"where it was from {day_text(day_of(row.from_moment))} on is not known"
            for row in self.between
            if row.kind in _AWAY
        ]
        first, last = day_of(self.removed), day_of(self.fitted)
        for fact in self.stated:
            if isinstance(fact, Operation) and fact.count and first <= day_number(fact.operated_on) <= last:
                told.append(f"{fact.operation} on {fact.operated_on}")
            elif isinstance(fact, UnitModification) and first <= day_number(fact.embodied_on) <= last:
                told.append(f"modification {fact.modification} on {fact.embodied_on}")
        return told

    def _inspected(self) -> Inspected | None:
        """The last transfer since that says serviceable, by whom and under which reference."""
        found = None
        for fact in self.stated:
            if (
                isinstance(fact, Transfer)
                and self.removed < moment_of_fact(fact) <= self.fitted
                and fact.condition == "serviceable"
                and fact.signed_by
                and fact.reference
            ):
                found = Inspected(on=day_number(fact.moved_on), by=fact.signed_by, reference=fact.reference)
        return found

    def _on_since(self, leg: CarriageRow) -> int:
        """The day from which the airframe carried it: before its opening statement too, as far as that says so."""
        if leg.from_basis != "opening":
            return day_of(leg.from_moment)
        first = self.rows[0]
        return day_of(first.from_moment) if first.kind == "position" else 0

    def _registration(self, leg: CarriageRow) -> str:
        """What the airframe bore when the unit came off it."""
        assert leg.until_moment is not None
        return self.world.reference.registration_on(leg.airframe_id, day_of(leg.until_moment))

    def _donors(self, released_on: int | None) -> Iterable[Donor]:
        """Of each time on an airframe that ended since the last release, what that airframe was doing."""
        for leg in self.carriages:
            if leg.until_moment is None:
                continue
            until = day_of(leg.until_moment)
            if released_on is not None and released_on >= until:
                continue
            since = max(self._on_since(leg), released_on or 0)
            for period in periods_of(self.world.reference, leg.airframe_id):
                if period.state == "in_service":
                    continue
                if period.since is None:
                    yield Donor(registration=self._registration(leg), state=period.state, off_on=until)
                elif period.since <= until and period.until > since:
                    last = min(until, period.until)
                    yield Donor(
                        registration=self._registration(leg),
                        state=period.state,
                        since=period.since,
                        days=last - period.since,
                        off_on=until,
                    )

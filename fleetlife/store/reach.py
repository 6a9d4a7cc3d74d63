"""Which units an entry reaches: by the readings they rest on, by part, by airframe."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import bindparam, or_, select
from sqlalchemy.engine import Connection

from fleetlife.model import metadata
from fleetlife.store.sets import DIALECTS, among, set_value

_carriage = metadata.tables["carriage"]
_state = metadata.tables["unit_state"]
_accomplishment = metadata.tables["accomplishment"]

_UNSETTLED = select(_carriage.c.unit_id).where(
    _carriage.c.airframe_id == bindparam("airframe"),
    or_(
        (_carriage.c.from_basis.in_(("bounded", "provisional"))) & (_carriage.c.from_moment >= bindparam("moment")),
        (_carriage.c.until_basis.in_(("bounded", "provisional", "doubtful")))
        & (_carriage.c.until_moment >= bindparam("moment")),
        _carriage.c.from_basis == "doubtful",
    ),
)
_DONE_SINCE = (
    select(_carriage.c.unit_id)
    .join(_accomplishment, _accomplishment.c.unit == _carriage.c.unit_id)
    .where(
        _carriage.c.airframe_id == bindparam("airframe"),
        or_(_carriage.c.until_moment.is_(None), _carriage.c.until_moment >= bindparam("moment")),
        _accomplishment.c.done_on >= bindparam("day"),
    )
)


def units_resting_on_readings(connection: Connection, airframe: int, *, moment: int, day: str) -> set[int]:
    """Units with a boundary on the airframe that is not stated and not before `moment`, or work done since `day`."""
    values = {"airframe": airframe, "moment": moment}
    found = set(connection.execute(_UNSETTLED, values).scalars())
    found.update(connection.execute(_DONE_SINCE, {**values, "day": day}).scalars())
    return found


_OF_PARTS = {
    dialect: select(_state.c.unit_id).where(among(_state.c.part_fold, "parts", dialect)) for dialect in DIALECTS
}
_OF_AIRFRAMES = {
    dialect: select(_state.c.unit_id).where(among(_state.c.carried_airframe_id, "airframes", dialect))
    for dialect in DIALECTS
}


def units_of_parts(connection: Connection, part_folds: Iterable[str]) -> list[int]:
    """The units whose current part number, folded, is one of these."""
    parts = sorted(set(part_folds))
    statement = _OF_PARTS[connection.dialect.name]
    return list(connection.execute(statement, {"parts": set_value(connection, parts)}).scalars()) if parts else []


def units_carried_by(connection: Connection, airframes: Iterable[int]) -> list[int]:
    """The units that the airframes carry now."""
    wanted = sorted(set(airframes))
    statement = _OF_AIRFRAMES[connection.dialect.name]
    return list(connection.execute(statement, {"airframes": set_value(connection, wanted)}).scalars()) if wanted else []

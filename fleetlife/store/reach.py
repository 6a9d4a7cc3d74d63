"""Which units an entry reaches: by the readings they rest on, by part, by airframe."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import bindparam, or_, select, union
from sqlalchemy.engine import Connection

from fleetlife.dates.moment import moment_of
from fleetlife.dates.partial import day_text
from fleetlife.model import metadata
from fleetlife.store.sets import DIALECTS, among, set_value

_placement = metadata.tables["placement"]
_carriage = metadata.tables["carriage"]
_state = metadata.tables["unit_state"]
_accomplishment = metadata.tables["accomplishment"]
_variation = metadata.tables["variation"]
_unit = metadata.tables["unit"]
_modification = metadata.tables["unit_modification"]

_UNSETTLED = select(_carriage.c.unit_id).where(
    _carriage.c.airframe_id == bindparam("airframe"),
    or_(
        (_carriage.c.from_basis.in_(("bounded", "provisional", "opening")))
        & (_carriage.c.from_moment >= bindparam("moment")),
        (_carriage.c.until_basis.in_(("bounded", "provisional", "doubtful")))
        & (_carriage.c.until_moment >= bindparam("moment")),
        (_carriage.c.from_basis == "doubtful") & (_carriage.c.until_moment >= bindparam("moment")),
    ),
)
# Believed here, found on another airframe, and charged with the dearer of the two.
_BELIEVED_HERE = select(_placement.c.unit_id).where(
    _placement.c.airframe_id == bindparam("airframe"),
    _placement.c.until_known == 0,
    _placement.c.until_moment >= bindparam("moment"),
)
_DONE_SINCE = (
    select(_carriage.c.unit_id)
    .join(_accomplishment, _accomplishment.c.unit == _carriage.c.unit_id)
    .where(
        _carriage.c.airframe_id == bindparam("airframe"),
        or_(_carriage.c.until_moment.is_(None), _carriage.c.until_moment >= bindparam("moment")),
        _accomplishment.c.done_on >= bindparam("day_text"),
    )
)
_VARIED_SINCE = (
    select(_carriage.c.unit_id)
    .join(_variation, _variation.c.unit == _carriage.c.unit_id)
    .where(
        _carriage.c.airframe_id == bindparam("airframe"),
        or_(_carriage.c.until_moment.is_(None), _carriage.c.until_moment >= bindparam("moment")),
        _variation.c.approved_on >= bindparam("day"),
    )
)
_RESTING = (_UNSETTLED, _BELIEVED_HERE, _DONE_SINCE, _VARIED_SINCE)


def units_resting_on_readings(connection: Connection, airframe: int, *, since: int) -> set[int]:
    """Units for which a reading of the airframe after the ordinal day `since` may say something else.

    They have a boundary on it that is not stated and later, were believed there while they were elsewhere, or had work
    done or a variation approved later than that.
    """
    values = {
        "airframe": airframe,
        "moment": moment_of(since + 1),
        "day": since + 1,
        "day_text": day_text(since + 1),
    }
    found: set[int] = set()
    for statement in _RESTING:
        found.update(connection.execute(statement, values).scalars())
    return found


_due_point = metadata.tables["due_point"]
# No end of a stay is ever stated in a counter, so every one that comes later may rest on the reading.
_ENDS_SINCE = select(_carriage.c.unit_id).where(
    _carriage.c.airframe_id == bindparam("airframe"),
    or_(_carriage.c.from_moment >= bindparam("moment"), _carriage.c.until_moment >= bindparam("moment")),
)
_COUNTED = {
    dialect: select(_due_point.c.unit_id)
    .distinct()
    .where(among(_due_point.c.unit_id, "units", dialect), _due_point.c.counter == bindparam("counter"))
    for dialect in DIALECTS
}


def units_resting_on_counter(connection: Connection, airframe: int, counter: str, *, since: int) -> set[int]:
    """Units with a requirement in the counter for which a reading of it on the airframe after the ordinal day `since`
    may say something else."""
    values = {
        "airframe": airframe,
        "moment": moment_of(since + 1),
        "day": since + 1,
        "day_text": day_text(since + 1),
    }
    found: set[int] = set()
    for statement in (_ENDS_SINCE, _BELIEVED_HERE, _DONE_SINCE, _VARIED_SINCE):
        found.update(connection.execute(statement, values).scalars())
    if not found:
        return found
    given = {"units": set_value(connection, sorted(found)), "counter": counter}
    return set(connection.execute(_COUNTED[connection.dialect.name], given).scalars())


_OF_PARTS = {
    dialect: select(_state.c.unit_id).where(among(_state.c.part_fold, "parts", dialect)) for dialect in DIALECTS
}
_OF_AIRFRAMES = {
    dialect: select(_state.c.unit_id).where(among(_state.c.carried_airframe_id, "airframes", dialect))
    for dialect in DIALECTS
}


_EVER_OF_PARTS = {
    dialect: union(
        select(_unit.c.unit).where(among(_unit.c.part_fold, "parts", dialect)),
        select(_modification.c.unit).where(among(_modification.c.new_part_fold, "parts", dialect)),
    )
    for dialect in DIALECTS
}


def units_ever_of_parts(connection: Connection, part_folds: Iterable[str]) -> list[int]:
    """The units that bear one of these part numbers, folded, or bore it once."""
    parts = sorted(set(part_folds))
    statement = _EVER_OF_PARTS[connection.dialect.name]
    return list(connection.execute(statement, {"parts": set_value(connection, parts)}).scalars()) if parts else []


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

"""A few invented facts to record, and short ways to record them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Any

from sqlalchemy import event
from sqlalchemy.engine import Connection

from fleetlife.follows.rows import DuePointRow, PlacementRow, UnitStateRow
from fleetlife.ledger.entry import Draft
from fleetlife.ledger.facts import Airframe, AirframeType, Fact, Movement, Opening, Reading
from fleetlife.store.engine import Store

FAR = 3_652_059
CLERK = "clerk"


def ordinal(text: str) -> int:
    return date.fromisoformat(text).toordinal()


def draft(*items: Fact, **more: Any) -> Draft:
    """A draft of facts of one kind."""
    return Draft(kind=items[0].KIND, on=more.pop("on", None), items=items, **more)


def correction(replaces: int, *items: Fact, **more: Any) -> Draft:
    return Draft(kind="correction", on=None, items=items, replaces=(replaces,), reason="misread", **more)


def withdrawal(number: int, **more: Any) -> Draft:
    return Draft(kind="withdrawal", on=None, items=(), withdraws=(number,), reason="entered twice", **more)


def airframe(number: int = 1) -> Airframe:
    return Airframe(airframe=number, registration=f"Q-A{number:02d}", constructor_serial=f"{number:03d}", type="TERN")


def opening(unit: int = 1, **more: Any) -> Opening:
    values = {"as_of": "2024-01-01", "place": "store", "place_name": "main", **more}
    return Opening(unit=unit, part_number="PK-100", serial_number=f"S{unit:04d}", manufacturer="Kestrel", **values)


def reading(day: str, minutes: int, cycles: int, airframe: int = 1) -> Reading:
    return Reading(airframe=airframe, read_on=day, minutes=minutes, cycles=cycles)


def movement(day: str, *, sequence: int = 0, **more: Any) -> Movement:
    values = {"airframe": 1, "position": "L1", "installed": 1, **more}
    return Movement(moved_on=day, sequence=sequence, **values)


def record(store: Store, *drafts: Draft, **more: Any) -> list[int]:
    """Append in one transaction; the entry numbers."""
    with store.writing(recorded_by=CLERK) as writer:
        return writer.append(drafts, **more)


def begin(store: Store) -> None:
    """Entries 1 to 4: a type, an airframe, two units in a store."""
    record(store, draft(AirframeType(type="TERN")), draft(airframe()), draft(opening(1)), draft(opening(2)))


def stay(unit: int, start: int, end: int | None, **more: Any) -> PlacementRow:
    values: dict[str, Any] = {"kind": "store", "place_name": "main", **more}
    return PlacementRow(unit_id=unit, from_moment=start, until_moment=end, **values)


def at_position(unit: int, start: int, end: int | None, *, key: int = 77) -> PlacementRow:
    return stay(unit, start, end, kind="position", place_name=None, place_key=key, airframe_id=1, position="L1")


def point(unit: int, key: int = 1, **more: Any) -> DuePointRow:
    values: dict[str, Any] = {"in_force_from": 1, "in_force_until": FAR, "standing": "known", **more}
    return DuePointRow(unit_id=unit, requirement_key=key, **values)


def state(unit: int, **more: Any) -> UnitStateRow:
    values: dict[str, Any] = {"kind": "store", "since_moment": 10, **more}
    return UnitStateRow(
        unit_id=unit, part_number="PK-100", serial_number=f"S{unit:04d}", manufacturer="Kestrel", **values
    )


def count(connection: Connection, table: str) -> int:
    return int(connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar_one())


@contextmanager
def statements_of(store: Store) -> Iterator[list[str]]:
    """The statements sent to the database meanwhile, BEGIN and its like left out."""
    seen: list[str] = []

    def note(_c: Any, _u: Any, statement: str, *_more: Any) -> None:
        if not statement.startswith(("BEGIN", "COMMIT", "ROLLBACK")):
            seen.append(statement)

    event.listen(store.engine, "before_cursor_execute", note)
    try:
        yield seen
    finally:
        event.remove(store.engine, "before_cursor_execute", note)


def insert_readings(connection: Connection, rows: Iterable[tuple[int, int, int, int]]) -> None:
    """(airframe, ordinal day, minutes, cycles) without entries, for reading tests."""
    from fleetlife.model.airframes import reading as table
    from fleetlife.store.bulk import insert_tuples

    names = ("airframe", "read_on", "minutes", "cycles", "entry_number", "entry_item")
    insert_tuples(connection, table, names, [(*row, 1, 0) for row in rows])

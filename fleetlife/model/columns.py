"""The one MetaData, the naming of constraints, and the kinds of columns.

A column's `info` tells the store how a fact's field becomes a value: `day` (ISO text to ordinal day number), `flag`
(truth to 0 or 1), `fold` (a second column that holds the folded text of another one, for looking up).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import BigInteger, CheckConstraint, Column, ForeignKey, Integer, MetaData, Table, Text
from sqlalchemy.schema import SchemaItem

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

# STRICT tables on SQLite know INTEGER and TEXT only; 64 bits on both.
Whole = BigInteger().with_variant(Integer(), "sqlite")
# Byte order on both databases, whatever the locale of the server.
Words = Text(collation="C").with_variant(Text(), "sqlite")


def table(name: str, *items: SchemaItem, comment: str, with_rowid: bool = True) -> Table:
    """A table on the one MetaData, STRICT on SQLite."""
    return Table(
        name, metadata, *items, comment=comment, sqlite_strict=True, sqlite_with_rowid=with_rowid, info={"kept": True}
    )


def whole(name: str, *, null: bool = False, comment: str | None = None, **more: Any) -> Column[int]:
    return Column(name, Whole, nullable=null, comment=comment, autoincrement=False, **more)


def words(name: str, *, null: bool = False, comment: str | None = None, **more: Any) -> Column[str]:
    return Column(name, Words, nullable=null, comment=comment, **more)


def day(name: str, *, null: bool = False, comment: str | None = None) -> Column[int]:
    """A day as its ordinal number; day 1 is 0001-01-01."""
    return Column(name, Whole, nullable=null, comment=comment or "ordinal day", autoincrement=False, info={"day": True})


def flag(name: str) -> Column[int]:
    """A claim that is true (1) or not (0)."""
    return Column(
        name,
        Whole,
        CheckConstraint(f"{name} in (0, 1)", name=name),
        nullable=False,
        autoincrement=False,
        info={"flag": True},
    )


def folded(name: str, of: str) -> Column[str]:
    """The text of another column in upper case without white space, empty when there is none; for looking up."""
    return Column(name, Words, nullable=False, comment=f"{of}, folded", info={"fold": of})


def one_of(name: str, values: Sequence[str], *, null: bool = False, comment: str | None = None) -> Column[str]:
    """A word of a closed vocabulary."""
    allowed = ", ".join(f"'{value}'" for value in values)
    return Column(name, Words, CheckConstraint(f"{name} in ({allowed})", name=name), nullable=null, comment=comment)


def names_unit(name: str, *, null: bool = False) -> Column[int]:
    """A unit by its id. Deferred, because a corrected opening takes its row away and puts it back."""
    return Column(
        name,
        Whole,
        ForeignKey("unit.unit", deferrable=True, initially="DEFERRED"),
        nullable=null,
        autoincrement=False,
    )


def names_airframe(name: str = "airframe", *, null: bool = False) -> Column[int]:
    """An airframe by its id. Deferred, because a corrected airframe takes its row away and puts it back."""
    return Column(
        name,
        Whole,
        ForeignKey("airframe.airframe", deferrable=True, initially="DEFERRED"),
        nullable=null,
        autoincrement=False,
    )


def provenance() -> tuple[Column[int], Column[int]]:
    """Where the row comes from: entry number and item in it. Not part of what the row says."""
    return (
        Column("entry_number", Whole, nullable=False, autoincrement=False, info={"provenance": True}),
        Column("entry_item", Whole, nullable=False, autoincrement=False, info={"provenance": True}),
    )

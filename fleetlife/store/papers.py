"""Certificates by their tracking number."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import ColumnElement, bindparam, or_, select
from sqlalchemy.engine import Connection

from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.ledger.facts import Certificate
from fleetlife.model.derived import certificate_line
from fleetlife.model.units import certificate, unit
from fleetlife.store.rows import KEPT, maker_of
from fleetlife.store.typed import TYPED

_LINES = (
    select(*(certificate_line.c[name] for name in KEPT["certificate_line"].names))
    .where(certificate_line.c.tracking_number == bindparam("number"))
    .order_by(*certificate_line.primary_key)
)
_TYPED = TYPED[Certificate.KIND]
_FACTS = select(*(certificate.c[name] for name in _TYPED.fields), certificate.c.entry_number).where(
    certificate.c.tracking_number == bindparam("number")
)


def lines_of(connection: Connection, tracking_number: str) -> list[CertificateLineRow]:
    """The lines of every certificate of that number, whoever issued it."""
    make = maker_of(CertificateLineRow)
    return [make(row) for row in connection.execute(_LINES, {"number": tracking_number})]


_UNFILED = (
    select(*(certificate_line.c[name] for name in KEPT["certificate_line"].names))
    .where(certificate_line.c.unit_id.is_(None))
    .order_by(*certificate_line.primary_key)
)


def unfiled_lines(connection: Connection) -> list[CertificateLineRow]:
    """The lines filed against no unit."""
    make = maker_of(CertificateLineRow)
    return [make(row) for row in connection.execute(_UNFILED)]


def certificate_facts_of(connection: Connection, tracking_number: str) -> list[Recorded]:
    """The standing certificate facts of that number."""
    return [
        Recorded(row.entry_number, _TYPED.fact_of(row[:-1]))
        for row in connection.execute(_FACTS, {"number": tracking_number})
    ]


_STATED = select(*(certificate.c[name] for name in _TYPED.fields), certificate.c.entry_number, certificate.c.entry_item)


def certificate_lines_stated(connection: Connection, tracking_number: str) -> list[tuple[int, int, Certificate]]:
    """Entry, item and fact of each standing certificate line of that number, in the order stated."""
    found: list[tuple[int, int, Certificate]] = []
    asked = _STATED.where(certificate.c.tracking_number == tracking_number)
    for row in connection.execute(asked.order_by(certificate.c.entry_number, certificate.c.entry_item)):
        fact = _TYPED.fact_of(row[:-2])
        assert isinstance(fact, Certificate)
        found.append((row[-2], row[-1], fact))
    return found


_NAMED = (
    select(
        certificate.c.tracking_number,
        certificate.c.organisation,
        certificate.c.part_number,
        certificate.c.serial_number,
        certificate.c.document,
        certificate.c.entry_number,
    )
    .where(certificate.c.document.is_not(None))
    .order_by(certificate.c.tracking_number, certificate.c.organisation, certificate.c.entry_number)
)
_WITHOUT = select(certificate.c.tracking_number, certificate.c.organisation).where(certificate.c.document.is_(None))


def documents_named(connection: Connection) -> list[tuple[str, str, str, str, str, int]]:
    """Tracking number, organisation, part and serial number, document and entry of each standing certificate line that
    names a document."""
    return [(row[0], row[1], row[2], row[3], row[4], row[5]) for row in connection.execute(_NAMED)]


def papers_without_document(connection: Connection) -> int:
    """How many standing certificates have a line that names no document."""
    return len({tuple(row) for row in connection.execute(_WITHOUT)})


_ELSE = select(*(certificate.c[name] for name in _TYPED.fields)).where(
    certificate.c.unit.is_not(None),
    certificate.c.dated_on <= bindparam("as_of"),
    certificate.c.entry_number <= bindparam("known"),
)
_OF_BATCH = select(unit.c.unit, unit.c.batch, unit.c.part_number).where(
    unit.c.batch.in_(bindparam("batches", expanding=True)), unit.c.entry_number <= bindparam("known")
)


def papers_sharing(
    connection: Connection,
    *,
    organisation: str | None,
    signatories: Collection[str],
    batches: Collection[str],
    as_of: int,
    known: int,
) -> list[Certificate]:
    """The standing certificate lines filed against a unit that are of the organisation, or name one of the signatories
    or batches, dated by `as_of` and recorded by entry `known`. One statement."""
    either: list[ColumnElement[bool]] = [
        certificate.c.signatory.in_(sorted(signatories)),
        certificate.c.batch.in_(sorted(batches)),
    ]
    if organisation is not None:
        either.append(certificate.c.organisation == organisation)
    asked = _ELSE.where(or_(*either)).order_by(certificate.c.entry_number, certificate.c.entry_item)
    found = [_TYPED.fact_of(row) for row in connection.execute(asked, {"as_of": as_of, "known": known})]
    return [fact for fact in found if isinstance(fact, Certificate)]


def units_of_batch(connection: Connection, batches: Collection[str], *, known: int) -> list[tuple[int, str, str]]:
    """(unit, batch, part number at manufacture) of the units whose opening statement names one of the batches."""
    if not batches:
        return []
    rows = connection.execute(_OF_BATCH, {"batches": sorted(batches), "known": known})
    return [(row[0], row[1], row[2]) for row in rows]

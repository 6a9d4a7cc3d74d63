"""Certificates by their tracking number."""

from __future__ import annotations

from sqlalchemy import bindparam, select
from sqlalchemy.engine import Connection

from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.ledger.facts import Certificate
from fleetlife.model.derived import certificate_line
from fleetlife.model.units import certificate
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

"""What the cards share: the words for a place, a paper's line beside its unit, stays with their totals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from fleetlife.clocks.places import name_of, place_text
from fleetlife.clocks.world import World
from fleetlife.dates.moment import moment_text
from fleetlife.dates.partial import day_text
from fleetlife.follows.place import Recorded
from fleetlife.follows.rows import CarriageRow, CertificateLineRow, PlacementRow, UnitStateRow
from fleetlife.ledger.facts import Certificate
from fleetlife.paper.agreement import compare_numbers
from fleetlife.terms.measure import count_text, hours_text
from fleetlife.terms.views import PaperLine, Stay


def stays_of(
    world: World,
    rows: Sequence[PlacementRow],
    carriages: Sequence[CarriageRow],
    names: dict[int, UnitStateRow],
) -> tuple[Stay, ...]:
    """The stays of a unit with the airframe's totals at both ends, oldest first."""
    found = []
    for row in rows:
        legs = [
            leg
            for leg in carriages
            if leg.from_moment >= row.from_moment and (row.until_moment is None or leg.from_moment < row.until_moment)
        ]
        found.append(
            Stay(
                since=moment_text(row.from_moment),
                until=(moment_text(row.until_moment) + ("" if row.until_known else " at the latest"))
                if row.until_moment is not None
                else None,
                place=place_text(world, row, names),
                harness=row.harness,
                condition=row.condition,
                hours="; ".join(f"{hours_text(leg.from_minutes) or '?'} to {_end(leg, True)}" for leg in legs) or None,
                cycles="; ".join(f"{count_text(leg.from_cycles) or '?'} to {_end(leg, False)}" for leg in legs) or None,
                basis="; ".join(_basis(leg) for leg in legs) or None,
                entry=row.entry,
            )
        )
    return tuple(found)


def _end(leg: CarriageRow, hours: bool) -> str:
    if leg.until_moment is None:
        return "now"
    if hours:
        return hours_text(leg.until_minutes) or "?"
    return count_text(leg.until_cycles) or "?"


def _basis(leg: CarriageRow) -> str:
    return leg.from_basis if leg.until_basis == "open" else f"{leg.from_basis}, {leg.until_basis}"


def paper_line(line: CertificateLineRow, fact: Certificate | None, unit: UnitStateRow | None) -> PaperLine:
    """A certificate line beside the unit it is filed against, with the differing characters."""
    part_marks: tuple[tuple[str, str, bool], ...] = ()
    serial_marks: tuple[tuple[str, str, bool], ...] = ()
    if line.expected_part_number is not None and line.part_verdict != "exact":
        agreement = compare_numbers(line.part_number, line.expected_part_number, kind="part")
        part_marks = tuple((m.paper, m.record, m.equal) for m in agreement.marks)
    if line.expected_serial_number is not None and line.serial_verdict != "exact":
        agreement = compare_numbers(line.serial_number, line.expected_serial_number, kind="serial")
        serial_marks = tuple((m.paper, m.record, m.equal) for m in agreement.marks)
    return PaperLine(
        tracking_number=line.tracking_number,
        organisation=line.organisation,
        item=line.item or None,
        dated_on=day_text(line.dated_on) or "",
        status=line.status,
        form=fact.form if fact else None,
        part_number=line.part_number,
        serial_number=line.serial_number,
        expected_part_number=line.expected_part_number,
        expected_serial_number=line.expected_serial_number,
        part_verdict=line.part_verdict,
        serial_verdict=line.serial_verdict,
        part_marks=part_marks,
        serial_marks=serial_marks,
        remarks=fact.remarks if fact else None,
        entry=line.entry,
        unit=name_of(unit) if unit else None,
    )


def certificate_facts(facts: Iterable[Recorded]) -> dict[tuple[str, str, str, str], Certificate]:
    """Certificate facts by the key of their lines."""
    return {
        (f.organisation, f.tracking_number, f.item or "", f.serial_number): f
        for recorded in facts
        if isinstance(f := recorded.fact, Certificate)
    }

"""`identity plate` and `identity read`: a data plate's symbol, beside the paper and the record of the unit.

Looking records nothing. What differs is recorded with `identity plate-differs`, by whoever has seen the plate.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from fleetlife.clocks.plate import tied
from fleetlife.clocks.world import World, open_world, unit_not_then
from fleetlife.dates.partial import PartialDate, day_text, parse_partial
from fleetlife.follows.history import part_numbers_of
from fleetlife.follows.rows import CertificateLineRow, UnitStateRow
from fleetlife.ledger.facts import Opening, Part
from fleetlife.paper.agreement import SAME_NUMBER, Agreement, compare_numbers
from fleetlife.paper.symbol import Plate
from fleetlife.store.engine import Store
from fleetlife.store.reference import facts_of_kind, units_by_number
from fleetlife.terms.number import fold
from fleetlife.terms.plate import PART, SERIAL, PlateCard, PlateElement, PlatePaper, PlateRow, PlateSays

NOT_COMPARED = "not compared"
ORIGINAL = "part number at manufacture"
MAKER, MADE, EXPIRES, LOT = "manufacturer", "manufactured", "expires", "lot"


def plate_says(plate: Plate, parts: Sequence[Part] = ()) -> PlateSays:
    """What the symbol says, as text; each code with the manufacturers to which the parts tie it."""
    makers = {code: " and ".join(names) or None for code, names in tied(parts, plate.enterprises)}
    return PlateSays(
        elements=tuple(
            PlateElement(
                format=each.format,
                identifier=each.identifier,
                value=each.value,
                says=each.says,
                used=each.used,
                from_memory=each.from_memory,
            )
            for each in plate.elements
        ),
        enterprises=tuple((each.named, each.identifier, makers.get(each)) for each in plate.enterprises),
        original_part_number=plate.original_part,
        current_part_number=plate.current_part,
        serial_number=plate.serial,
        serial_unique_in=plate.serial_unique_in,
        lot=plate.lot,
        manufactured=_text(plate.manufactured),
        expires=_text(plate.expires),
        unique_item_identifier=plate.identifier.text if plate.identifier else None,
        construct=plate.identifier.construct if plate.identifier else None,
        formed=plate.identifier.formed if plate.identifier else None,
        remarks=plate.remarks,
    )


def _text(day: PartialDate | None) -> str | None:
    return None if day is None else day.text


def plate_card(
    store: Store,
    plate: Plate,
    *,
    part_number: str,
    serial_number: str,
    manufacturer: str | None = None,
    as_of: date,
    known_at: str | None = None,
) -> PlateCard:
    """Plate, paper and record of the unit named. Refusals: `unit-unknown`, `unit-ambiguous`, `unit-not-then`, those of
    `clocks.world`."""
    with store.reading() as connection:
        world = open_world(connection, as_of=as_of, known_at=known_at, kept=store.kept)
        unit_id = world.unit_named(part_number, serial_number, manufacturer)
        state = world.states([unit_id]).get(unit_id)
        if state is None:
            raise unit_not_then()
        own = world.facts([unit_id])[unit_id]
        number, opening = next(
            (r.number, r.fact) for r in own if isinstance(r.fact, Opening) and r.fact.unit == unit_id
        )
        borne = tuple(dict.fromkeys(part for _, part in part_numbers_of(unit_id, own, opening)))
        lines = sorted(world.certificate_lines([unit_id]), key=lambda line: (line.dated_on, line.entry), reverse=True)
        parts = [fact for _, fact in facts_of_kind(connection, Part) if isinstance(fact, Part)]
        rows = tuple(_rows(plate, lines[0] if lines else None, state, opening, borne, parts))
        papers = [_paper(line) for line in lines]
        others = _others(world, plate, unit_id)
        return PlateCard(
            about=world.about("identity plate"),
            part_number=state.part_number,
            serial_number=state.serial_number,
            manufacturer=state.manufacturer,
            plate=plate_says(plate, parts),
            rows=rows,
            paper=papers[0] if papers else None,
            other_papers=tuple(papers[1:]),
            others=others,
            outcome=_outcome(rows, papers),
            actions=tuple(_actions(rows, papers, state, number)),
        )


# -- rows ------------------------------------------------------------------------------------------------------------


def _rows(
    plate: Plate,
    paper: CertificateLineRow | None,
    state: UnitStateRow,
    opening: Opening,
    borne: tuple[str, ...],
    parts: Sequence[Part],
) -> list[PlateRow]:
    """What the three say, thing by thing: both numbers always, the rest where the plate states it."""
    rows = [_part_row(plate, paper, state, borne), _serial_row(plate, paper, state)]
    if plate.original_part is not None and plate.current_part is not None:
        rows.insert(1, _numbers(ORIGINAL, plate.original_part, opening.part_number, borne=borne))
    if plate.enterprises:
        rows.append(_maker_row(plate, state, parts))
    for what, day, stated in (
        (MADE, plate.manufactured, opening.manufactured),
        (EXPIRES, plate.expires, opening.expires),
    ):
        if day is not None:
            rows.append(_day_row(what, day, stated))
    if plate.lot is not None:
        rows.append(_numbers(LOT, plate.lot, opening.batch, kind="serial"))
    return rows


def _part_row(plate: Plate, paper: CertificateLineRow | None, state: UnitStateRow, borne: tuple[str, ...]) -> PlateRow:
    """The current part number. A plate that states only the one at manufacture is right where that is the unit's: it is
    never changed, and the current one may stand elsewhere (MIL-STD-130N table IV)."""
    on_paper, verdict = (None, NOT_COMPARED) if paper is None else (paper.part_number, paper.part_verdict)
    if plate.current_part is None and plate.original_part is not None and fold(borne[0]) != fold(state.part_number):
        made = compare_numbers(plate.original_part, borne[0], kind="part")
        if made.same:
            return PlateRow(
                what=PART,
                plate=plate.original_part,
                paper=on_paper,
                record=state.part_number,
                plate_verdict=made.verdict,
                paper_verdict=verdict,
                differs=verdict not in (*SAME_NUMBER, NOT_COMPARED),
                note=f"The plate states the part number at manufacture alone, {borne[0]}, which is what is recorded of "
                f"then. It bears {state.part_number} since.",
            )
    row = _numbers(PART, plate.part, state.part_number, borne=borne)
    return _with_paper(row, paper, on_paper, verdict, paper.expected_part_number if paper else None, kind="part")


def _serial_row(plate: Plate, paper: CertificateLineRow | None, state: UnitStateRow) -> PlateRow:
    row = _numbers(SERIAL, plate.serial, state.serial_number, kind="serial")
    on_paper, verdict = (None, NOT_COMPARED) if paper is None else (paper.serial_number, paper.serial_verdict)
    return _with_paper(row, paper, on_paper, verdict, paper.expected_serial_number if paper else None, kind="serial")


def _with_paper(
    row: PlateRow,
    paper: CertificateLineRow | None,
    says: str | None,
    verdict: str,
    expected: str | None,
    *,
    kind: str,
) -> PlateRow:
    """The row with what the paper says, judged against what the unit bore on the paper's day."""
    if paper is None or says is None:
        return row
    same = verdict in SAME_NUMBER
    note = row.note
    marks: tuple[tuple[str, str, bool], ...] = ()
    if not same and row.record is not None:
        marks = _marks(compare_numbers(says, row.record, kind="part" if kind == "part" else "serial"))
    elif same and expected is not None and row.record is not None and fold(expected) != fold(row.record):
        note = f"The paper is of {day_text(paper.dated_on)}; the unit bore {expected} then."
    return PlateRow(
        what=row.what,
        plate=row.plate,
        paper=says,
        record=row.record,
        plate_verdict=row.plate_verdict,
        paper_verdict=verdict,
        differs=row.differs or not same,
        plate_marks=row.plate_marks,
        paper_marks=marks,
        note=note,
    )


def _numbers(
    what: str, plate: str | None, record: str | None, *, kind: str = "part", borne: tuple[str, ...] = ()
) -> PlateRow:
    """Plate and record by the classes of difference. One that states nothing is not compared, and is no agreement."""
    if plate is None or record is None:
        return PlateRow(
            what=what,
            plate=plate,
            paper=None,
            record=record,
            plate_verdict=NOT_COMPARED,
            paper_verdict=NOT_COMPARED,
            differs=False,
        )
    found = compare_numbers(plate, record, kind="part" if kind == "part" else "serial", borne=borne)
    return PlateRow(
        what=what,
        plate=plate,
        paper=None,
        record=record,
        plate_verdict=found.verdict,
        paper_verdict=NOT_COMPARED,
        differs=not found.same,
        plate_marks=() if found.verdict == "exact" else _marks(found),
    )


def _marks(agreement: Agreement) -> tuple[tuple[str, str, bool], ...]:
    return tuple((mark.paper, mark.record, mark.equal) for mark in agreement.marks)


def _maker_row(plate: Plate, state: UnitStateRow, parts: Sequence[Part]) -> PlateRow:
    """The maker by the plate's code. A code that no part states says nothing of the maker recorded."""
    codes = tied(parts, plate.enterprises)
    makers = tuple(dict.fromkeys(maker for _, names in codes for maker in names))
    shown = ", ".join(each.named for each in plate.enterprises)
    compared = bool(makers) and state.manufacturer is not None
    same = any(fold(maker) == fold(state.manufacturer) for maker in makers)
    note = None
    if not makers:
        note = "No part in these records states that code (parts file, column cage)."
    elif state.manufacturer is None:
        note = "The record names no manufacturer."
    return PlateRow(
        what=MAKER,
        plate=f"{shown} ({' and '.join(makers)})" if makers else shown,
        paper=None,
        record=state.manufacturer,
        plate_verdict=("exact" if same else "different") if compared else NOT_COMPARED,
        paper_verdict=NOT_COMPARED,
        differs=compared and not same,
        note=note,
    )


def _day_row(what: str, day: PartialDate, stated: str | None) -> PlateRow:
    """Two dates agree where both may mean one day, each as far as it is known."""
    recorded = parse_partial(stated) if stated else None
    same = recorded is not None and day.first_day <= recorded.last_day and recorded.first_day <= day.last_day
    verdict = NOT_COMPARED
    if recorded is not None:
        verdict = "exact" if same else "different"
    return PlateRow(
        what=what,
        plate=day.text,
        paper=None,
        record=stated,
        plate_verdict=verdict,
        paper_verdict=NOT_COMPARED,
        differs=recorded is not None and not same,
        note="One is known more closely than the other." if same and day != recorded else None,
    )


def _paper(line: CertificateLineRow) -> PlatePaper:
    return PlatePaper(
        tracking_number=line.tracking_number,
        organisation=line.organisation,
        item=line.item or None,
        dated_on=day_text(line.dated_on) or "",
        status=line.status,
        part_number=line.part_number,
        serial_number=line.serial_number,
        part_verdict=line.part_verdict,
        serial_verdict=line.serial_verdict,
        agrees=line.part_verdict in SAME_NUMBER and line.serial_verdict in SAME_NUMBER,
        entry=line.entry,
    )


def _others(world: World, plate: Plate, unit_id: int) -> tuple[str, ...]:
    """The other units that the records have under the plate's numbers."""
    if plate.serial is None:
        return ()
    found = {
        row[0]
        for part in filter(None, (plate.current_part, plate.original_part))
        for row in units_by_number(world.connection, serial_number=plate.serial, part_number=part)
    }
    return tuple(f"{state.part_number} {state.serial_number}" for state in world.states(found - {unit_id}).values())


# -- what follows ----------------------------------------------------------------------------------------------------


def _outcome(rows: Sequence[PlateRow], papers: Sequence[PlatePaper]) -> str:
    """One sentence over the three."""
    wrong = [row.what for row in rows if row.differs]
    if wrong:
        return f"They differ in {', '.join(wrong[:-1])}{' and ' if wrong[:-1] else ''}{wrong[-1]}."
    lacking = [row.what for row in rows if row.what in (PART, SERIAL) and row.plate is None]
    if lacking:
        return f"The plate states no {' and no '.join(lacking)}; what it states agrees with the record."
    if any(not paper.agrees for paper in papers):
        return "Plate, latest paper and record agree; an earlier paper does not."
    agree = (
        "Plate, paper and record agree." if papers else "Plate and record agree; no certificate is filed against it."
    )
    silent = [row.what for row in rows if row.plate is not None and row.record is None]
    return f"{agree} Not in the record: {', '.join(silent)}." if silent else agree


def _actions(rows: Sequence[PlateRow], papers: Sequence[PlatePaper], state: UnitStateRow, opening: int) -> list[str]:
    """What to do about each difference, with the command."""
    name = f"{state.part_number} {state.serial_number}"
    numbers = [row for row in rows if row.what in (PART, ORIGINAL, SERIAL)]
    off = [row for row in numbers if row.plate_verdict not in (*SAME_NUMBER, NOT_COMPARED)]
    told = []
    like_paper = False
    if off:
        told.append(
            f"Look at the plate again. If it reads so, record it, and the unit is on hold until that is answered: "
            f"fleetlife identity plate-differs {name} --scan SCAN --seen-by STAFF"
        )
        compared = [row for row in off if row.paper is not None]
        like_paper = bool(compared) and all(fold(row.paper) == fold(row.plate) for row in compared)
        if like_paper:
            told.append(
                "Plate and paper say the same, and the record something else: the record was probably taken in wrong "
                f"(fleetlife identity correct {name})."
            )
        elif compared and all(row.paper_verdict in SAME_NUMBER for row in compared):
            told.append(
                "Paper and record say the same, and the plate something else: it was misread, or it is not this unit's."
            )
        elif compared:
            told.append("No two of the three say the same.")
    told += [
        f"Certificate {paper.tracking_number} does not bear the unit's numbers: fleetlife certificate "
        f"{paper.tracking_number}. A paper is put right by who issued it."
        for paper in papers[like_paper:]
        if not paper.agrees
    ]
    for row in rows:
        if row.what == MAKER and row.differs:
            told.append(
                f"If the plate is right, the maker recorded is not: fleetlife identity correct {name} --manufacturer "
                "NAME. If the code is another's, correct the parts file, column cage."
            )
        if row.what in (MADE, EXPIRES, LOT) and row.record is None:
            told.append(
                f"The plate says {row.what} {row.plate}, and the record nothing: add it to what entry {opening} states "
                "of the unit, fleetlife ledger correct"
            )
        elif row.what in (MADE, EXPIRES, LOT) and row.differs:
            told.append(
                f"If the plate is right, what entry {opening} states of the unit is not: fleetlife ledger correct"
            )
    return list(dict.fromkeys(told))

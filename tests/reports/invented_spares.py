"""Hand-written due lists with spares for the golden files and the planner's page. Everything is invented."""

from __future__ import annotations

from dataclasses import replace

from fleetlife.terms import spares as words
from fleetlife.terms.spares import ChoiceTotals, DueWithSpares, PutThere, SpareChoice, SparesChosen
from fleetlife.terms.views import DueRow

from . import invented as given

CONDITION = "The unit is recorded as rigged left; it must be rigged right before it is fitted at this position."
STOPS = (
    "KW-4100-3 00811: falls due before it could be fitted.",
    "12 spares in stores are of parts that are not eligible there.",
)
SERVED = SpareChoice(
    registration="Q-TRN",
    constructor_serial="7001",
    station="Gannet Bay",
    position="L2",
    part_number="KW-4100-3",
    serial_number="00804",
    state="due",
    due_on="2026-12-31",
    requirement="HST",
    of_part_number="RV-77",
    of_serial_number="R-1180",
    spare_part_number="KW-4100-3",
    spare_serial_number="00830",
    spare_manufacturer="Kittiwake Safety",
    store="North store",
    bin="B-04",
    fit_on="2026-12-31",
    outcome="conditions to meet first",
    rerig=True,
    days_thrown_away=0,
    days_of_life=612,
    conditions=(CONDITION,),
)
LEFT = SpareChoice(
    registration="Q-PUF",
    constructor_serial="7000",
    station=None,
    position="L1",
    part_number="KW-4100-3",
    serial_number="00815",
    state="overdue",
    due_on="2026-11-20",
    requirement="OVH",
    of_part_number="KW-4100-3",
    of_serial_number="00815",
    stops=STOPS,
)
EMPTY = replace(
    LEFT, registration="Q-GUL", position="R4", part_number=None, serial_number=None, state="empty", requirement=None
)
CHOSEN = SparesChosen(
    about=given.about("spares choose"),
    until="2026-12-31",
    least_days=30,
    rows=(LEFT, EMPTY, SERVED),
    totals=(ChoiceTotals(way="chosen", without=2, late=78, rigs=1, days=0),),
    spares=13,
    asked=4,
    unknown=2,
)
SPARE = PutThere(
    put=words.SPARE,
    spare_part_number=SERVED.spare_part_number,
    spare_serial_number=SERVED.spare_serial_number,
    spare_manufacturer=SERVED.spare_manufacturer,
    spare_store=SERVED.store,
    spare_bin=SERVED.bin,
    fit_on=SERVED.fit_on,
    outcome=SERVED.outcome,
    rerig=True,
    days_of_life=SERVED.days_of_life,
    conditions=SERVED.conditions,
)


_PUT = {
    "00815": PutThere(put=words.NO_SPARE, stops=STOPS),
    "R-1180": SPARE,
    "R-1177": PutThere(put=words.STAYS),
    "00801": PutThere(put=words.LATER),
    "00811": PutThere(put=words.NOT_FITTED),
    "00790": PutThere(put=words.SOFT),
    "B-31": replace(SPARE, rerig=False, conditions=(), outcome="no objection in these records"),
}


def _put(row: DueRow) -> PutThere:
    if row.state == "unknown":
        return PutThere(put=words.CANNOT_TELL)
    return _PUT.get(row.serial_number, PutThere(put=words.ON_THE_AIRCRAFT))


LISTED = DueWithSpares(
    due=given.WINDOW, put=tuple(_put(row) for row in given.WINDOW.rows), chosen=CHOSEN, also=(EMPTY,)
)

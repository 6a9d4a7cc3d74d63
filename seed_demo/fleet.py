"""The invented fleet as it lived: aircraft that fly, units that move, and the rows that tell of it.

`Fleet` keeps where everything is and writes rows; what happens when is in `make.py` (the ordinary life) and in
`story.py` (what was picked by hand).
"""

from __future__ import annotations

import calendar
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random
from typing import Any

import reference as ref

OPENED = date(2023, 11, 30)
LAST = date(2026, 11, 24)
NOT_READ_SINCE = {"Q-SKE": date(2026, 11, 3), ref.PARKED: date(2026, 10, 3)}
# On the ground while a slide is off for access.
GROUNDED = {"Q-SKB": (date(2025, 9, 1), date(2025, 9, 2))}
FITTERS = ("S-101", "S-104", "S-107", "S-112", "S-119", "S-123")
INSPECTORS = ("S-201", "S-206", "S-210")
RELEASERS = ("S-301", "S-304")
DATA = {ref.SMALL: ("SKR-60 AMM 25-66", "R22"), ref.LARGE: ("LMV-120 AMM 25-66", "R17")}
DATA[ref.TINY] = ("HVN-20 AMM 25-66", "R9")
DATA[ref.FOUR_TYPE] = ("HVN-24 AMM 25-66", "R2")
SHOP_MARKS = {ref.SHOP: "SHC", ref.OTHER_SHOP: "ORO", ref.PACKS: "KVS", ref.CYLINDERS: "THC", ref.CELLS: "LCL"}
APPROVALS = {
    ref.SHOP: "Q.145.0021",
    ref.OTHER_SHOP: "Q.145.0034",
    ref.PACKS: "Q.21G.0008",
    ref.CYLINDERS: "Q.21G.0011",
    ref.CELLS: "Q.21G.0015",
}


def months_later(day: date, months: int) -> date:
    """The same day of a later month, or the last day of a shorter one."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def month_end(day: date) -> date:
    return day.replace(day=calendar.monthrange(day.year, day.month)[1])


@dataclass
class Unit:
    """A unit. `ordinary`: the ordinary life may send it to the shop and fit it; `ran`: minutes and cycles since new."""

    part: str
    serial: str
    maker: str
    made: date
    children: dict[str, Unit] = field(default_factory=dict)
    ordinary: bool = True
    aircraft: Aircraft | None = None
    position: str | None = None
    store: str | None = None
    bin: str | None = None
    fitted: date | None = None
    overhauled: date | None = None
    overhauled_at: int = 0
    marked: date | None = None
    first_fitted: date | None = None
    tested: date | None = None
    minutes: int = 0
    cycles: int = 0
    paper: tuple[str, str] | None = None

    @property
    def name(self) -> dict[str, str]:
        return {"part_number": self.part, "serial_number": self.serial}


@dataclass
class Aircraft:
    registration: str
    serial: str
    type: str
    totals: dict[date, tuple[int, int]] = field(default_factory=dict)
    doors: dict[str, Unit | None] = field(default_factory=dict)

    def on(self, day: date) -> str:
        """Its registration on the day."""
        if self.serial == ref.RENAMED and day.isoformat() < ref.RENAMED_ON:
            return ref.OLD_REGISTRATION
        return self.registration

    def total(self, day: date) -> tuple[int, int]:
        """Minutes and cycles at the end of the day; the last known ones where the aircraft stood."""
        while day not in self.totals:
            day -= timedelta(days=1)
        return self.totals[day]


class Fleet:
    """Where everything is, and the rows of every file."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.rows: dict[str, list[dict[str, Any]]] = {
            name: [] for name in ("units", "unit_modifications", "accomplishments", "operations", "certificates")
        }
        self.rows |= {name: [] for name in ("readings", "movements", "transfers", "variations", "plate_readings")}
        self.rows |= {"receipts": [], "hold_decisions": []}
        self.aircraft = {
            registration: Aircraft(registration, serial, type_name)
            for registration, serial, type_name, _, _ in ref.AIRFRAMES
        }
        self.units: list[Unit] = []
        self.later: list[tuple[date, int, Callable[[date], None]]] = []
        self.numbers: dict[str, int] = {}
        self.moved: set[tuple[str, date]] = set()
        self._fly()

    # -- flying ----------------------------------------------------------------------------------------------

    def _fly(self) -> None:
        for index, craft in enumerate(self.aircraft.values()):
            small = craft.type == ref.SMALL
            years = 2023.9 - int(ref.AIRFRAMES[index][3][:4]) - int(ref.AIRFRAMES[index][3][5:]) / 12
            minutes = int(years * 365 * (430 if small else 590))
            cycles = int(years * 365 * (7.6 if small else 4.1))
            day = OPENED
            last = NOT_READ_SINCE.get(craft.registration, LAST)
            owed = (0, 0)
            while day <= last:
                craft.totals[day] = (minutes, cycles)
                self.rows["readings"].append(
                    {
                        "registration": craft.on(day),
                        "date": day.isoformat(),
                        "hours_total": minutes,
                        "cycles_total": cycles,
                    }
                )
                flown, legs = self._day_of_flying(day, small)
                if day + timedelta(days=1) in GROUNDED.get(craft.registration, ()):
                    owed, flown, legs = (owed[0] + flown, owed[1] + legs), 0, 0
                elif owed != (0, 0):  # flown afterwards, a leg more a day
                    more = (min(owed[0], 60), min(owed[1], 1))
                    owed, flown, legs = (owed[0] - more[0], owed[1] - more[1]), flown + more[0], legs + more[1]
                minutes, cycles = minutes + flown, cycles + legs
                day += timedelta(days=1)

    def _day_of_flying(self, day: date, small: bool) -> tuple[int, int]:
        if self.random.random() < 0.04:
            return 0, 0
        summer = 1.12 if 5 <= day.month <= 9 else 0.92
        legs = self.random.randint(6, 9) if small else self.random.randint(3, 5)
        each = self.random.randint(48, 66) if small else self.random.randint(128, 162)
        legs = max(1, round(legs * summer))
        return legs * each, legs

    # -- numbers and dates -----------------------------------------------------------------------------------

    def number(self, series: str, *, width: int = 4) -> str:
        self.numbers[series] = self.numbers.get(series, 0) + 1
        return f"{series}-{self.numbers[series]:0{width}d}"

    def at(self, day: date, action: Callable[[date], None]) -> None:
        """Do it on the day, when the day comes; after the last day it does not come."""
        self.later.append((day, len(self.later), action))

    def days_between(self, low: int, high: int) -> timedelta:
        return timedelta(days=self.random.randint(low, high))

    def count(self, unit: Unit, day: date) -> tuple[int, int]:
        """What the unit has run since new at the end of the day, by the readings."""
        if unit.aircraft is None or unit.fitted is None:
            return unit.minutes, unit.cycles
        start = unit.aircraft.total(max(unit.fitted, OPENED))
        end = unit.aircraft.total(day)
        return unit.minutes + end[0] - start[0], unit.cycles + end[1] - start[1]

    # -- papers and work -------------------------------------------------------------------------------------

    def certificate(self, unit: Unit, organisation: str, day: date, status: str, **more: Any) -> str:
        """A release certificate of one line; its tracking number. `more` replaces columns."""
        production = organisation in (ref.PACKS, ref.CYLINDERS, ref.CELLS)
        tracking = more.pop("tracking_number", None) or self.number(f"{SHOP_MARKS[organisation]}-{day.year % 100}")
        other = organisation == ref.OTHER_SHOP
        row = {
            "tracking_number": tracking,
            "organisation": organisation,
            **unit.name,
            "status": status,
            "date": day.isoformat(),
            "form": ref.PRODUCTION_FORM if production else ref.OTHER_FORM if other else ref.form_of(day),
            "side": "production" if production else "maintenance",
            "item": "1",
            "authority": ref.OTHER_AUTHORITY if other else ref.AUTHORITY,
            "approval": APPROVALS[organisation],
            "quantity": 1,
            "signatory": f"{SHOP_MARKS[organisation]} {10 + day.day % 7}",
            "document": f"scan/{tracking}.pdf",
            **more,
        }
        self.rows["certificates"].append(row)
        unit.paper = (tracking, organisation)
        return tracking

    def done(self, unit: Unit, requirement: str, day: date | str, basis: str, **more: Any) -> None:
        text = day if isinstance(day, str) else day.isoformat()
        row = {**unit.name, "requirement": requirement, "date": text, "date_basis": basis, **more}
        self.rows["accomplishments"].append(row)

    def mark(self, unit: Unit, month: date, **read: Any) -> None:
        """The cylinder's test, by the month stamped on it; `read`: the figures of the test report."""
        unit.marked = month.replace(day=1)
        self.done(unit, "HST", f"{month.year}-{month.month:02d}", "mark", **read)

    def filled(self, unit: Unit, day: date, count: int = 1, why: str = "filled at the shop") -> None:
        row = {**unit.name, "date": day.isoformat(), "operation": "filling", "count": count, "reference": why}
        self.rows["operations"].append(row)

    # -- where things are ------------------------------------------------------------------------------------

    def opening(self, unit: Unit, as_of: date = OPENED, **more: Any) -> Unit:
        """The opening statement of a unit, at its door, in its store or in its parent (`parent`, `slot`)."""
        parent: Unit | None = more.pop("parent", None)
        row: dict[str, Any] = {
            **unit.name,
            "manufacturer": unit.maker,
            "manufactured": f"{unit.made.year}-{unit.made.month:02d}",
            "as_of": as_of.isoformat(),
            "life_quality": "documented",
            "source": "old records system" if as_of == OPENED else "goods received",
        }
        if parent is not None:
            row |= {"parent_part_number": parent.part, "parent_serial_number": parent.serial}
        elif unit.aircraft is not None:
            row |= {"registration": unit.aircraft.on(as_of), "position": unit.position, "condition": "serviceable"}
            unit.aircraft.doors[unit.position or ""] = unit
        else:
            row |= {"store": unit.store, "bin": unit.bin, "condition": "serviceable"}
        if unit.fitted is not None:
            row["installed"] = unit.fitted.isoformat()
        if unit.first_fitted is not None:
            row["first_installed"] = unit.first_fitted.isoformat()
        self.rows["units"].append({**row, **more})
        self.units.append(unit)
        return unit

    def swap(
        self,
        day: date,
        craft: Aircraft,
        position: str,
        new: Unit | None,
        *,
        to: str = ref.MAIN_STORE,
        stated: bool | None = None,
        **more: Any,
    ) -> Unit | None:
        """The unit at the door off to a store, the new one on; the unit that came off. `more` replaces columns."""
        old = craft.doors.get(position)
        data, revision = DATA[craft.type]
        row: dict[str, Any] = {
            "date": day.isoformat(),
            "registration": craft.on(day),
            "position": position,
            "time_utc": f"{self.random.randint(1, 5):02d}:{self.random.choice((5, 20, 35, 50)):02d}",
            "station": "Skarholm",
            "technical_log": self.number(f"TL{craft.serial}"),
            "work_order": self.number(f"WO-{day.year % 100}"),
            "data_reference": data,
            "data_revision": revision,
            "signed_by": self.random.choice(FITTERS),
            "inspected_by": self.random.choice(INSPECTORS),
            "released_by": self.random.choice(RELEASERS),
        }
        if old is not None:
            old.minutes, old.cycles = self.count(old, day)
            row |= {
                "removed_part_number": old.part,
                "removed_serial_number": old.serial,
                "removed_to": "store",
                "removed_to_name": to,
                "removed_condition": "unserviceable",
                "removal_kind": "scheduled",
            }
            old.aircraft, old.position, old.fitted, old.store, old.bin = None, None, None, to, None
        if new is not None:
            row |= {
                "installed_part_number": new.part,
                "installed_serial_number": new.serial,
                "harness": ref.side_of(position),
            }
            if new.paper is not None:
                row |= {"certificate": new.paper[0], "certificate_organisation": new.paper[1]}
            new.aircraft, new.position, new.fitted, new.store, new.bin = craft, position, day, None, None
            new.tested = None
        craft.doors[position] = new
        if stated if stated is not None else self.random.random() < 0.6:
            row |= self._totals(craft, day)
        self.rows["movements"].append({**row, **more})
        self.moved.add((craft.registration, day))
        return old

    def _totals(self, craft: Aircraft, day: date) -> dict[str, int]:
        """The totals of the technical log then: at night, before the day's flying."""
        minutes, cycles = craft.total(day - timedelta(days=1))
        return {"hours_total": minutes, "cycles_total": cycles}

    def transfer(self, day: date, unit: Unit, to: str, **more: Any) -> None:
        row = {"date": day.isoformat(), **unit.name, "to": to, "signed_by": "S-402", **more}
        self.rows["transfers"].append(row)
        unit.store = more.get("store")
        unit.bin = more.get("bin")

    def free_bin(self, store: str) -> str:
        shelf = "A" if store == ref.MAIN_STORE else "Y"
        used = {unit.bin for unit in self.units if unit.store == store}
        return next(name for name in (f"{shelf}-{n:02d}" for n in range(1, 200)) if name not in used)

"""The ordinary life of the fleet: opening statements, tests on the aircraft, swaps in time, shop visits."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import reference as ref
from fleet import LAST, NOT_READ_SINCE, OPENED, Aircraft, Fleet, Unit, month_end, months_later

# Minutes and cycles an aircraft of the type flies in a day, about.
A_DAY = {ref.SMALL: (430, 7.6), ref.LARGE: (590, 4.1)}
INSPECTED_EVERY = 4_000 * 60
OVERHAULED_EVERY = 17_500 * 60


class Life:
    def __init__(self, fleet: Fleet) -> None:
        self.fleet = fleet
        self.random = fleet.random
        self.test_due: dict[str, date] = {}
        self.inspection_due: dict[str, int] = {}
        self.look_due: dict[str, date] = {}
        self.margin: dict[str, int] = {}
        self.orders: dict[str, str] = {}
        self.batteries: list[Unit] = []

    # -- making units ----------------------------------------------------------------------------------------

    def reservoir(self, part: str, made: date, marked: date, *, series: str | None = None) -> Unit:
        """A reservoir; its opening and its mark are written by whoever knows where it is."""
        names = {"TH-410-1": "R41", "TH-410-2": "R42", "TH-880-1": "R88"}
        serial = series or self.fleet.number(names[part], width=3).replace("-", "")
        return Unit(part=part, serial=serial, maker=ref.CYLINDERS, made=made, marked=marked)

    def battery(self, part: str, made: date) -> Unit:
        names = {"LC-12-1": "B12", "LC-20-1": "B20"}
        return Unit(part, self.fleet.number(names[part], width=3).replace("-", ""), ref.CELLS, made)

    def pack(
        self,
        part: str,
        serial: str,
        made: date,
        overhauled: date | None,
        *,
        craft: Aircraft | None = None,
        position: str | None = None,
        fitted: date | None = None,
        store: str | None = None,
        as_of: date = OPENED,
        paper: bool = True,
        reservoir: Unit | None = None,
        **more: Any,
    ) -> Unit:
        """A pack with what is in it: opening, papers, last work. `overhauled` None: new, released when it was made."""
        fleet = self.fleet
        unit = Unit(part, serial, ref.PACKS, made)
        unit.aircraft, unit.position, unit.fitted, unit.store = craft, position, fitted, store
        if store is not None:
            unit.bin = fleet.free_bin(store)
        self._ran(unit, overhauled, as_of)
        hours = {"hours_since_new": unit.minutes, "cycles_since_new": unit.cycles}
        stated: dict[str, Any] = more.pop("opening", {})
        if craft is None and as_of == OPENED:
            rigged = self.random.choice(("left", "right"))
            if part in ref.WING_PACKS:
                rigged = "left" if part.endswith("L") else "right"
            stated = {"harness": rigged, **stated}
        elif craft is not None:
            stated = {"harness": ref.side_of(position or ""), **stated}
        fleet.opening(unit, as_of, **hours, **stated)
        released = overhauled or made + timedelta(days=24)
        status, shop = ("Overhauled", more.pop("shop", ref.SHOP)) if overhauled else ("New", ref.PACKS)
        if paper:
            printed: dict[str, Any] = {"status": status, **more.pop("certificate", {})}
            if part in ref.WING_PACKS and serial != "L620" and overhauled is not None:  # a life in cycles
                printed = {"cycles_since_new": self._cycles_then(unit, as_of), **printed}
            fleet.certificate(unit, shop, released, **printed)
        if overhauled is not None and more.pop("claimed", True):
            cited = {"certificate": unit.paper[0], "certificate_organisation": unit.paper[1]} if unit.paper else {}
            at = {"hours_since_new": unit.overhauled_at, "cycles_since_new": self._cycles_then(unit, as_of)}
            fleet.done(unit, "OVH", overhauled, "release", **at, **cited, **more.pop("overhaul", {}))
            unit.overhauled = overhauled
        self._fill_slots(unit, released, as_of, reservoir, own_paper=not paper)
        self._tests_before(unit, as_of)
        return unit

    def _ran(self, unit: Unit, overhauled: date | None, as_of: date) -> None:
        small = unit.part in ref.SMALL_PACKS
        minutes, cycles = A_DAY[ref.SMALL if small else ref.LARGE]
        start = unit.made + timedelta(days=150)
        flown = max(0, (min(overhauled or start, as_of) - start).days)
        since = (as_of - unit.fitted).days if unit.fitted else 0
        days = int(flown * 0.86) + since
        unit.minutes, unit.cycles = days * minutes, int(days * cycles)
        unit.overhauled_at = unit.minutes - since * minutes

    def _cycles_then(self, unit: Unit, as_of: date) -> int:
        cycles = A_DAY[ref.SMALL if unit.part in ref.SMALL_PACKS else ref.LARGE][1]
        since = (as_of - unit.fitted).days if unit.fitted else 0
        return max(0, unit.cycles - int(since * cycles))

    def _fill_slots(self, pack: Unit, since: date, as_of: date, reservoir: Unit | None, *, own_paper: bool) -> None:
        fleet = self.fleet
        month = (since - timedelta(days=6)).replace(day=1)
        if reservoir is None:
            part = "TH-410-1" if pack.part in ref.SMALL_PACKS else "TH-880-1"
            reservoir = self.reservoir(part, max(date(2014, 1, 1), pack.made), month)
        reservoir.fitted = since
        pack.children["reservoir"] = reservoir
        fleet.opening(reservoir, as_of, parent=pack, slot="reservoir")
        if reservoir.marked is not None:
            fleet.mark(reservoir, reservoir.marked)
        if own_paper:
            fleet.certificate(reservoir, ref.SHOP, since - timedelta(days=4), "Inspected/Tested")
        if pack.part in ("KV-2100-1", *ref.WING_PACKS):
            return
        small = pack.part in ref.SMALL_PACKS
        made = (since - timedelta(days=100)).replace(day=1)
        cell = self.battery("LC-12-1" if small else "LC-20-1", made)
        cell.fitted = cell.first_fitted = since
        pack.children["battery"] = cell
        fleet.opening(cell, as_of, parent=pack, slot="battery")
        fleet.certificate(cell, ref.CELLS, made + timedelta(days=30), "New")

    def _tests_before(self, unit: Unit, as_of: date) -> None:
        """What was done on the aircraft before the opening statement."""
        fleet = self.fleet
        if unit.fitted is None:
            return
        self.margin[unit.serial] = self.random.randint(6, 20)
        if unit.part in ref.WING_PACKS:
            ran = unit.minutes - unit.overhauled_at
            if ran >= INSPECTED_EVERY - 20 * 60:
                back = ran - INSPECTED_EVERY + 20 * 60
                day = as_of - timedelta(days=back // 590)
                cycles = unit.cycles - int(back / 590 * 4.1)
                fleet.done(unit, "INS", day, "log", hours_since_new=unit.minutes - back, cycles_since_new=cycles)
                ran -= INSPECTED_EVERY
            self.inspection_due[unit.serial] = unit.minutes - ran + INSPECTED_EVERY
            look = as_of - timedelta(days=self.random.randint(20, 600))
            cycles = unit.cycles - int((as_of - look).days * 4.1)
            fleet.done(unit, "VIS", look, "log", cycles_since_new=cycles)
            self.look_due[unit.serial] = months_later(look, 24)
            return
        due = months_later(unit.fitted, 24)
        while due - timedelta(days=10) <= as_of:
            fleet.done(unit, "FNT", due - timedelta(days=10), "log")
            due = months_later(due - timedelta(days=10), 24)
        self.test_due[unit.serial] = due

    # -- the days ----------------------------------------------------------------------------------------------

    def live(self) -> None:
        """From the day after the opening to the last day, in order."""
        day = OPENED
        while day < LAST:
            day += timedelta(days=1)
            self._story(day)
            for craft in self.fleet.aircraft.values():
                if day <= NOT_READ_SINCE.get(craft.registration, LAST):
                    self._on_aircraft(craft, day)
                    self._in_time(craft, day)

    def _story(self, day: date) -> None:
        fleet = self.fleet
        while True:
            today = sorted((item for item in fleet.later if item[0] <= day), key=lambda item: item[:2])
            if not today:
                return
            for item in today:
                fleet.later.remove(item)
                item[2](day)

    def _on_aircraft(self, craft: Aircraft, day: date) -> None:
        """Tests and inspections on the aircraft, a little before they are due."""
        fleet = self.fleet
        for unit in craft.doors.values():
            if unit is None or unit.fitted == day:
                continue
            serial = unit.serial
            if unit.part in ref.WING_PACKS:
                ran, legs = fleet.count(unit, day)
                if serial in self.inspection_due and ran >= self.inspection_due[serial] - 25 * 60:
                    fleet.done(unit, "INS", day, "log", hours_since_new=ran, cycles_since_new=legs)
                    self.inspection_due[serial] += INSPECTED_EVERY
                if day >= self.look_due[serial] - timedelta(days=12):
                    fleet.done(unit, "VIS", day, "log", cycles_since_new=legs)
                    self.look_due[serial] = months_later(day, 24)
            elif serial in self.test_due and day >= self.test_due[serial] - timedelta(days=9):
                fleet.done(unit, "FNT", day, "log")
                self.test_due[serial] = months_later(day, 24)

    def fitted(self, unit: Unit, day: date) -> None:
        """Dates that run from a fitting."""
        self.margin[unit.serial] = self.random.randint(6, 20)
        if unit.part not in ref.WING_PACKS:
            self.test_due[unit.serial] = months_later(day, 24)

    def _in_time(self, craft: Aircraft, day: date) -> None:
        """One door a night: what falls due soon comes off, a spare goes on."""
        if (craft.registration, day) in self.fleet.moved or day.weekday() in (4, 5):
            return
        for position, unit in craft.doors.items():
            if unit is None or not unit.ordinary or unit.part in ref.WING_PACKS:
                continue
            if day < self._next_due(unit, day) - timedelta(days=self.margin[unit.serial]):
                continue
            spare = self._spare(unit, day)
            if spare is None:
                continue
            self.swap_and_send(day, craft, position, spare)
            return

    def swap_and_send(self, day: date, craft: Aircraft, position: str, new: Unit, **more: Any) -> Unit:
        """The spare on, the other one off and to the shop."""
        old = self.fleet.swap(day, craft, position, new, **more)
        assert old is not None
        self.fitted(new, day)
        self.send(old, day)
        return old

    def _next_due(self, unit: Unit, day: date) -> date:
        dates = []
        bottle, cell = unit.children.get("reservoir"), unit.children.get("battery")
        if bottle is not None and bottle.marked is not None:
            dates.append(month_end(months_later(bottle.marked, 36 if bottle.part == "TH-410-2" else 60)))
        if cell is not None and cell.part == "LC-12-1" and cell.first_fitted is not None:
            dates.append(months_later(cell.first_fitted, 60))
        done = unit.overhauled or unit.made + timedelta(days=24)
        if unit.part in ref.LARGE_PACKS:
            dates.append(months_later(done, 60))
            left = unit.overhauled_at + OVERHAULED_EVERY - self.fleet.count(unit, day)[0]
            dates.append(day + timedelta(days=left // 640))
        elif unit.fitted is not None:
            basis = min(unit.fitted, months_later(done, 12))
            dates.append(months_later(basis, 48 if unit.part == "KV-2100-5" else 36))
            if unit.part == "KV-2100-1":
                old = months_later(unit.made.replace(day=1), 180)
                dates.append(months_later(basis, 12) if done >= old else max(old, months_later(basis, 12)))
        return min(dates)

    def _spare(self, unit: Unit, day: date) -> Unit | None:
        family = ref.SMALL_PACKS[:2] if unit.part in ref.SMALL_PACKS[:2] else ref.LARGE_PACKS[:2]
        if unit.part == "KV-2100-5":
            return None
        fit = [u for u in self.fleet.units if u.part in family and u.store is not None and u.ordinary and u.children]
        fit = [u for u in fit if self.orders.get(u.serial) is None]
        return min(fit, key=lambda u: (u.overhauled or u.made, u.serial), default=None)

    # -- the shop ----------------------------------------------------------------------------------------------

    def send(self, unit: Unit, day: date, **more: Any) -> None:
        """To the shop a few days after it came off, and back overhauled. `more` as for `back`."""
        fleet = self.fleet
        order = fleet.number("RO", width=4)
        self.orders[unit.serial] = order
        leaves = day + fleet.days_between(2, 6)
        shop = more.pop("shop", ref.SHOP if self.random.random() < 0.7 else ref.OTHER_SHOP)
        back = leaves + timedelta(days=more.pop("days", self.random.randint(42, 70)))

        def go(today: date) -> None:
            fleet.transfer(
                today,
                unit,
                "shop",
                organisation=shop,
                order=order,
                condition="unserviceable",
                expected_back=(today + timedelta(days=60)).isoformat(),
                reference="scheduled overhaul" if "status" not in more else "repair",
            )

        fleet.at(leaves, go)
        fleet.at(back, lambda today: self.released(unit, today, shop, order, **more))

    def released(
        self,
        unit: Unit,
        day: date,
        shop: str,
        order: str,
        *,
        status: str = "Overhauled",
        basis: str = "mark",
        to: str = ref.MAIN_STORE,
        certificate: dict[str, Any] | None = None,
        back: dict[str, Any] | None = None,
        **work: Any,
    ) -> None:
        """The shop's paper and the work it shows; then back to a store."""
        fleet = self.fleet
        if status == "Overhauled":
            self._children_at_shop(unit, day, basis)
        tracking = fleet.certificate(unit, shop, day, status, work_order=order, **(certificate or {}))
        if status == "Overhauled":
            fleet.done(unit, "OVH", day, "release", certificate=tracking, certificate_organisation=shop, **work)
            unit.overhauled, unit.overhauled_at = day, unit.minutes

        def arrive(today: date) -> None:
            self.orders.pop(unit.serial, None)
            row: dict[str, Any] = {
                "store": to,
                "bin": fleet.free_bin(to),
                "condition": "serviceable",
                "order": order,
                "certificate": tracking,
                "certificate_organisation": shop,
                "reference": f"goods received {today.isoformat()}",
            }
            if self.random.random() < 0.7:
                row["harness"] = self.random.choice(("left", "right"))
            fleet.transfer(today, unit, "store", **(row | (back or {})))

        fleet.at(day + fleet.days_between(2, 5), arrive)

    def _children_at_shop(self, pack: Unit, day: date, basis: str) -> None:
        fleet = self.fleet
        bottle, cell = pack.children.get("reservoir"), pack.children.get("battery")
        if bottle is not None:
            if basis == "mark":
                fleet.mark(bottle, day - timedelta(days=6))
            elif basis == "release":
                fleet.done(bottle, "HST", day, "release")
            if bottle.part == "TH-410-2":
                fleet.filled(bottle, day - timedelta(days=2))
        if cell is None or cell.part != "LC-12-1" or cell.first_fitted is None:
            return
        if months_later(cell.first_fitted, 60) < months_later(day, 50):
            self.new_battery(pack, day - timedelta(days=1))

    def new_battery(self, pack: Unit, day: date) -> None:
        """The old battery out and scrapped, a new one in: batteries come in lots of six on one paper."""
        fleet = self.fleet
        old = pack.children.get("battery")
        new = self.take_battery(day)
        if old is not None:
            fleet.transfer(day, old, "scrap", reference="life ended")
        fleet.transfer(
            day,
            new,
            "parent",
            parent_part_number=pack.part,
            parent_serial_number=pack.serial,
            slot="battery",
            condition="serviceable",
            certificate=(new.paper or ("", ""))[0],
            certificate_organisation=ref.CELLS,
        )
        new.store, new.bin, new.first_fitted = None, None, day
        pack.children["battery"] = new

    def take_battery(self, day: date) -> Unit:
        stocked = [cell for cell in self.batteries if cell.store is not None and cell.made < day - timedelta(days=300)]
        for cell in stocked:  # too long on the shelf for a whole life: kept as a reserve, not taken
            self.batteries.remove(cell)
        if not self.batteries:
            self._lot(day - timedelta(days=25))
        return self.batteries.pop(0)

    def _lot(self, day: date) -> None:
        fleet = self.fleet
        bin_name = fleet.free_bin(ref.MAIN_STORE)
        released = day - timedelta(days=9)
        tracking = None
        for item in range(1, 7):
            cell = self.battery("LC-12-1", released.replace(day=1))
            cell.store, cell.bin = ref.MAIN_STORE, bin_name
            fleet.opening(cell, day, hours_since_new=0, cycles_since_new=0)
            tracking = fleet.certificate(
                cell, ref.CELLS, released, "New", tracking_number=tracking, item=str(item), description="Battery"
            )
            self.batteries.append(cell)

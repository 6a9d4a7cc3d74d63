"""Recording in any order, by every way of recording, and what must hold after each step.

A state machine: Hypothesis chooses the actions and shrinks what goes wrong. Beside the records it keeps a model of its
own, the entries that stand by what the entries say, and where every unit is by walking them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any
from uuid import uuid4

from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.identity import correct_identity
from fleetlife.actions.mend import Mend, mend, withdraw
from fleetlife.actions.merge import merge_units
from fleetlife.actions.plate import PlateSeen, record_plate
from fleetlife.actions.swap import SwapRequest, UnitName, record_swap
from fleetlife.actions.take_in import Replacing, take_in
from fleetlife.answers.export import export
from fleetlife.answers.verify import verify
from fleetlife.follows.rows import UnitStateRow
from fleetlife.model import metadata
from fleetlife.store.engine import Store
from fleetlife.store.facts import all_entries
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder
from tests.actions.fleet import BOTTLE, SLIDE, Files, Row, everything, write

from .histories import derived, differences, known_then, listed

FIRST, AS_OF = date(2024, 1, 5), date(2024, 4, 15)
AIRFRAMES = {"Q-AAA": (1, 600_000, 1_000), "Q-BBB": (2, 300_000, 500)}  # id, minutes and cycles on 2023-12-25
READ_FROM = date(2023, 12, 25)
MOST_ASKED = 4
WHY: dict[str, Any] = {"reason": "misread", "authorised_by": "Q2"}
BY: dict[str, Any] = WHY | {"recorded_by": "clerk"}

# few days, so that what is recorded meets what is recorded of the same day and of the days around it
days = st.integers(0, 15).map(lambda n: FIRST + timedelta(days=5 * n))
slides, bottles = st.integers(1, 4), st.integers(5, 8)
units = st.integers(1, 8)
registrations, positions = st.sampled_from(sorted(AIRFRAMES)), st.sampled_from(["L1", "R1"])
picks = st.integers(0, 10_000)


Opened = tuple[Store, Callable[[], None]]


@dataclass(frozen=True, slots=True)
class Asked:
    """What was answered after an entry."""

    entry: int
    moment: str
    rows: Mapping[str, list[Any]]
    due: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Ground:
    """Databases to record in, each with what closes it: with the small fleet, and empty. folder: for files."""

    fleet: Callable[[], Opened]
    empty: Callable[[], Opened]
    folder: Path


class Recording(RuleBasedStateMachine):
    """One database with the small fleet taken in."""

    accepted: Counter[str]
    refused: Counter[str]
    ground: Ground

    def __init__(self) -> None:
        super().__init__()
        self.store, self.close = self.ground.fleet()
        self.asked: list[Asked] = []
        self.before: Asked | None = None
        self._look()

    def teardown(self) -> None:
        """What stands in the end, written as files and taken in at once, gives the same rows."""
        try:
            self._taken_in_anew()
        finally:
            self.close()

    def _taken_in_anew(self) -> None:
        other, close = self.ground.empty()
        try:
            folder = self.ground.folder / f"out {uuid4().hex}"
            for _ in export(self.store, folder):
                pass
            take_in(other, read_folder(folder), recorded_by="clerk")
            assert differences(other, self.store) == []
        finally:
            close()

    # -- recording -----------------------------------------------------------------------------------------

    def attempt(self, what: str, act: Callable[..., Any], *, preview: bool = False) -> Any:
        """Recorded, or refused with every row as it was; previewed first it comes out as was shown."""
        was = dump(self.store)
        if preview:
            shown, expected = outcome(lambda: act(preview=True))
            assert dump(self.store) == was, f"{what}: the preview changed something"
        made, refusal = outcome(act)
        if preview:
            # what is only shown need not be acknowledged
            asks_first = expected is not None and refusal == "stops-not-acknowledged"
            assert expected == refusal or asks_first, f"{what}: shown otherwise ({expected}, recorded {refusal})"
        if refusal is not None:
            assert dump(self.store) == was, f"{what}: refused ({refusal}), and something changed"
            type(self).refused[what] += 1
            return None
        if preview:
            assert getattr(shown, "moved", ()) == getattr(made, "moved", ()), f"{what}: other rows moved than shown"
        type(self).accepted[what] += 1
        assert self.before is not None
        self.asked.append(self.before)
        if len(self.asked) > MOST_ASKED:
            self.asked.pop(1)  # the first is kept, and the latest
        self._look()
        return made

    def _look(self) -> None:
        with self.store.reading() as connection:
            *_, last = all_entries(connection)
        rows = derived(self.store)
        # a paper filed against no unit is no unit's
        rows["certificate_line"] = [row for row in rows["certificate_line"] if row.unit_id is not None]
        self.before = Asked(last.number, last.recorded_at, rows, listed(self.store))

    def take(self, what: str, files: Files, *, replacing: bool = False, preview: bool = False) -> Any:
        folder = read_folder(write(self.ground.folder / "in", files))
        how: dict[str, Any] = {"recorded_by": "clerk", "moves_on": AS_OF}
        if replacing:
            how["replacing"] = Replacing(**WHY)
        return self.attempt(what, lambda **more: take_in(self.store, folder, **how, **more), preview=preview)

    def name(self, unit: int) -> UnitName:
        """As it is recorded now; a unit that was withdrawn is called what nobody is."""
        state = self.states().get(unit)
        if state is None:
            return UnitName(part_number=SLIDE, serial_number="nobody")
        return UnitName(part_number=state.part_number, serial_number=state.serial_number)

    def states(self) -> dict[int, UnitStateRow]:
        return {row.unit_id: row for row in everything(self.store)["unit_state"]}

    def row(self, unit: int, prefix: str = "") -> Row:
        name = self.name(unit)
        return {f"{prefix}part_number": name.part_number, f"{prefix}serial_number": name.serial_number}

    # -- the ways of recording -----------------------------------------------------------------------------

    @rule(
        registration=registrations,
        position=positions,
        on=days,
        fit=st.none() | slides,
        to=st.sampled_from(["store", "shop", "loan"]),
        stated=st.booleans(),
        preview=st.booleans(),
    )
    def swap(
        self,
        registration: str,
        position: str,
        on: date,
        fit: int | None,
        to: str,
        stated: bool,
        preview: bool,
    ) -> None:
        self._swap("swap", registration, position, on, fit=fit, to=to, stated=stated, preview=preview)

    @rule(
        registration=registrations,
        position=positions,
        on=days,
        fit=st.none() | st.none() | slides,
        found=slides,
        preview=st.booleans(),
    )
    def find(self, registration: str, position: str, on: date, fit: int | None, found: int, preview: bool) -> None:
        self._swap("find", registration, position, on, fit=fit, found=found, preview=preview)

    def _swap(
        self,
        what: str,
        registration: str,
        position: str,
        on: date,
        *,
        fit: int | None,
        found: int | None = None,
        to: str = "store",
        stated: bool = False,
        preview: bool,
    ) -> None:
        minutes, cycles = flown(registration, on - timedelta(days=1))
        request = SwapRequest(
            registration=registration,
            position=position,
            on=on,
            install=None if fit is None else self.name(fit),
            found=None if found is None else self.name(found),
            remove_only=fit is None,
            removed_to=to,
            removed_condition="serviceable",
            harness="left" if position == "L1" else "right",
            minutes_total=minutes if stated else None,
            cycles_total=cycles if stated else None,
        )
        codes = self._stops(request)

        def act(*, preview: bool = False) -> Any:
            accepted = [Acknowledgement(finding=code, name="K12", reason="line") for code in codes]
            return record_swap(
                self.store, request, as_of=AS_OF, recorded_by="clerk", acknowledged=accepted, preview=preview
            )

        made = self.attempt(what, act, preview=preview)
        if made is not None:
            assert made.entry in {number for number, _ in self.standing()}

    def _stops(self, request: SwapRequest) -> list[str]:
        """The codes to be acknowledged, as the preview names them; none where it is refused anyway."""
        try:
            shown = record_swap(self.store, request, as_of=AS_OF, recorded_by="clerk", preview=True)
        except Refusal:
            return []
        return sorted({finding.code for finding in shown.findings})

    @rule(
        unit=units,
        on=days,
        to=st.sampled_from(["store", "shop", "parent", "parent"]),
        parent=slides,
        again=st.booleans(),
    )
    def transfer(self, unit: int, on: date, to: str, parent: int, again: bool) -> None:
        row = {"date": on.isoformat(), **self.row(unit), "to": to}
        if to == "parent":
            row |= {**self.row(parent, "parent_"), "slot": "bottle"}
        elif to == "store":
            row |= {"store": "Main", "condition": "serviceable"}
        made = self.take("transfer", {"transfers": [row]})
        if again and made is not None:
            assert self.take("transfer", {"transfers": [row]}).entries == 0

    @rule(registration=registrations, start=days, count=st.integers(1, 12), short=st.integers(0, 40))
    def readings(self, registration: str, start: date, count: int, short: int) -> None:
        self.take("readings", {"readings": read(registration, start, count, short)})

    @rule(
        registration=registrations,
        start=days,
        count=st.integers(1, 40),
        short=st.integers(0, 40),
        preview=st.booleans(),
    )
    def readings_again(self, registration: str, start: date, count: int, short: int, preview: bool) -> None:
        self.take("replace", {"readings": read(registration, start, count, short)}, replacing=True, preview=preview)

    @rule(pick=picks, to=st.sampled_from(["store", "shop"]), preview=st.booleans())
    def movement_again(self, pick: int, to: str, preview: bool) -> None:
        """A standing movement stated otherwise by a file."""
        stand = [value for _, (kind, value) in self.standing().items() if kind == "movement"]
        if not stand:
            return
        value = stand[pick % len(stand)]
        registration = next(name for name, (airframe, *_) in AIRFRAMES.items() if airframe == value["airframe"])
        row: Row = {"date": value["moved_on"], "registration": registration, "position": value["position"]}
        row |= {"sequence": value["sequence"], "removed_to": to, "found": "yes" if value.get("found") else None}
        for prefix in ("removed", "installed"):
            if value.get(prefix):
                row |= self.row(value[prefix], f"{prefix}_")
        self.take("replace", {"movements": [row]}, replacing=True, preview=preview)

    @rule(unit=units, on=days, since_new=st.none() | st.integers(900, 1400))
    def accomplishment(self, unit: int, on: date, since_new: int | None) -> None:
        work = {**self.row(unit), "requirement": "OVH" if unit <= 4 else "HST"}
        work |= {"date": on.isoformat()} if unit <= 4 else {"date": on.isoformat()[:7], "date_basis": "mark"}
        if since_new is not None and unit <= 4:
            work["hours_since_new"] = f"{since_new}:00"
        self.take("accomplishment", {"accomplishments": [work]})

    @rule(unit=units, on=days, status=st.sampled_from(["Overhauled", "Inspected/Tested", "New"]), number=picks)
    def certificate(self, unit: int, on: date, status: str, number: int) -> None:
        paper = {"tracking_number": f"C{number % 5}", "organisation": "Fulmar Repair", **self.row(unit)}
        self.take("certificate", {"certificates": [paper | {"status": status, "date": on.isoformat()}]})

    @rule(unit=bottles, on=days, count=st.integers(0, 2))
    def operation(self, unit: int, on: date, count: int) -> None:
        row = {**self.row(unit), "date": on.isoformat(), "operation": "filling", "count": count}
        self.take("operation", {"operations": [row]})

    @rule(unit=units, on=days, plate=st.none() | st.sampled_from(["X1", "0102", "R9"]), preview=st.booleans())
    def plate(self, unit: int, on: date, plate: str | None, preview: bool) -> None:
        part = SLIDE if unit <= 4 else BOTTLE
        seen = PlateSeen(unit=self.name(unit), plate=None if plate is None else (part, plate), on=on, seen_by="S1")
        self.attempt(
            "plate",
            lambda **more: record_plate(self.store, seen, as_of=AS_OF, recorded_by="clerk", moves_on=AS_OF, **more),
            preview=preview,
        )

    @rule(unit=units, serial=st.sampled_from(["0101", "0201", "0202", "R1", "R21"]), preview=st.booleans())
    def identity(self, unit: int, serial: str, preview: bool) -> None:
        was = self.name(unit)
        made = self.attempt(
            "identity",
            lambda **more: correct_identity(self.store, was, serial_number=serial, moves_on=AS_OF, **BY, **more),
            preview=preview,
        )
        if made is not None:
            assert self.states()[unit].serial_number == serial

    @rule(gone=units, stays=units, preview=st.booleans())
    def merge(self, gone: int, stays: int, preview: bool) -> None:
        """Two records made one: seldom possible, and then nothing speaks of the one that is gone."""
        one, other = self.name(gone), self.name(stays)
        made = self.attempt(
            "merge", lambda **more: merge_units(self.store, one, other, moves_on=AS_OF, **BY, **more), preview=preview
        )
        if made is not None:
            assert gone not in self.states()

    @rule(pick=picks, which=picks, day=days, preview=st.booleans())
    def correct(self, pick: int, which: int, day: date, preview: bool) -> None:
        wrong = self.mending(pick, which, day)
        self.attempt("correct", self._mend([wrong]), preview=preview)

    @rule(picked=st.lists(st.tuples(picks, picks, days, st.booleans()), min_size=2, max_size=3), preview=st.booleans())
    def mend(self, picked: Sequence[tuple[int, int, date, bool]], preview: bool) -> None:
        """Several together, some of them withdrawn."""
        wrong = [self.mending(pick, which, day) for pick, which, day, _ in picked]
        gone = [each[3] for each in picked]
        together = [
            Mend(entry=w.entry, item=w.item) if withdrawn else w for w, withdrawn in zip(wrong, gone, strict=True)
        ]
        self.attempt("mend", self._mend(together), preview=preview)

    @rule(pick=picks)
    def withdraw(self, pick: int) -> None:
        number, item = self.picked(pick)
        if self.attempt("withdraw", lambda: withdraw(self.store, number, **BY)) is not None:
            assert (number, item) not in self.standing()

    def _mend(self, wrong: Sequence[Mend]) -> Callable[..., Any]:
        return lambda **more: mend(self.store, wrong, moves_on=AS_OF, **BY, **more)

    def picked(self, pick: int) -> tuple[int, int]:
        """A standing fact, of the small fleet or recorded since: three of four since."""
        stand = [key for key, (kind, _) in self.standing().items() if kind in CHANGES]
        own = [key for key in stand if key[0] > TAKEN_IN]
        chosen = own if own and pick % 4 else stand
        return chosen[pick // 4 % len(chosen)]

    def mending(self, pick: int, which: int, day: date) -> Mend:
        number, item = self.picked(pick)
        kind, value = self.standing()[number, item]
        changes = CHANGES[kind](value, which, day)
        return Mend(entry=number, item=item, changes=changes)

    # -- what must hold ------------------------------------------------------------------------------------

    @invariant()
    def the_ledger_and_every_row_agree(self) -> None:
        findings = verify(self.store).findings
        assert findings == (), [finding.message for finding in findings]

    @invariant()
    def what_stands_is_what_the_entries_say(self) -> None:
        with self.store.reading() as connection:
            stated = connection.exec_driver_sql("SELECT number, item FROM fact WHERE standing = 'stands'").all()
        mine = {key for key, (kind, _) in self.standing().items() if kind != "reading"}
        assert {tuple(row) for row in stated} == mine, "other facts stand than the entries say"

    @invariant()
    def every_unit_is_in_one_place_and_there(self) -> None:
        rows = sorted(everything(self.store)["placement"], key=lambda row: (row.unit_id, row.from_moment))
        for one, other in pairwise(rows):
            if one.unit_id == other.unit_id:
                assert one.until_moment == other.from_moment, "a unit in two places, or in none"
        by_place: dict[int, list[Any]] = {}
        for row in rows:
            if row.place_key is not None:
                by_place.setdefault(row.place_key, []).append(row)
        for held in by_place.values():
            held.sort(key=lambda row: row.from_moment)
            for one, other in pairwise(held):
                assert one.until_moment is not None, "two units in one place"
                assert one.until_moment <= other.from_moment, "two units in one place"
        where = {unit: place_of(state) for unit, state in self.states().items()}
        assert where == walked(self.standing().values()), "a unit is elsewhere than the entries say"

    @invariant()
    def what_was_answered_then_is_answered_now(self) -> None:
        for asked in self.asked:
            assert listed(self.store, known_at=asked.moment) == asked.due, f"known at {asked.entry}, due list"
            units = [row.unit_id for row in asked.rows["unit_state"]]  # a record may be gone since
            assert known_then(self.store, asked.entry, units) == asked.rows, f"known at {asked.entry}"

    # -- the model -----------------------------------------------------------------------------------------

    def standing(self) -> dict[tuple[int, int], tuple[str, dict[str, Any]]]:
        """(entry, item): kind and fact, of all that was neither replaced nor withdrawn, read from the entries."""
        found: dict[tuple[int, int], tuple[str, dict[str, Any]]] = {}
        with self.store.reading() as connection:
            for entry in all_entries(connection):
                for target in (*entry.body.get("replaces", ()), *entry.body.get("withdraws", ())):
                    for key in [key for key in found if key[0] == target["number"]]:
                        if target.get("items") is None or key[1] in target["items"]:
                            del found[key]
                for item, stated in enumerate(entry.body["items"]):
                    of_its_own = entry.kind == "correction"
                    fact = (stated["fact"], stated["value"]) if of_its_own else (entry.kind, stated)
                    found[entry.number, item] = fact
        return found


TAKEN_IN = 29  # the entries of the small fleet
Place = tuple[Any, ...]


def walked(facts: Any) -> dict[int, Place]:
    """Where each unit is, by walking what is stated from the beginning."""
    facts = list(facts)
    where: dict[int, Place] = {}
    for kind, value in facts:
        if kind == "unit":
            where[value["unit"]] = _opened(value)
    events = [each for each in facts if each[0] in ("movement", "transfer")]
    for kind, value in sorted(events, key=lambda each: (each[1]["moved_on"], each[1]["sequence"])):
        if kind == "transfer":
            to = value["target"]
            where[value["unit"]] = ("slot", value["parent"], value["slot"]) if to == "parent" else (to,)
            continue
        here: Place = ("position", value["airframe"], value["position"])
        removed, installed = value.get("removed"), value.get("installed")
        if value.get("found"):
            for unit in [unit for unit, place in where.items() if place == here and unit not in (removed, installed)]:
                where[unit] = ("unknown",)
        if removed is not None:
            where[removed] = (value.get("removed_to") or "store",)
        if installed is not None:
            where[installed] = here
    return where


def _opened(value: Mapping[str, Any]) -> Place:
    if value["place"] == "position":
        return ("position", value["airframe"], value["position"])
    return ("slot", value["parent"], value["slot"]) if value["place"] == "slot" else (value["place"],)


def place_of(state: UnitStateRow) -> Place:
    if state.kind == "position":
        return ("position", state.airframe_id, state.position)
    return ("slot", state.parent_id, state.slot) if state.kind == "slot" else (state.kind,)


def _of_movement(value: Mapping[str, Any], which: int, day: date) -> dict[str, Any]:
    other = 1 + which % 4
    return (
        {"minutes_total": None, "cycles_total": None},
        {"moved_on": day.isoformat()},
        {"installed": other},
        {"removed": other},
        {"removed_to": "shop"},
        {"position": "R1" if value["position"] == "L1" else "L1"},
        {"found": not value.get("found", False)},
        {"sequence": 5 + which % 30},
    )[which // 4 % 8]


# By kind: what a correction may change.
CHANGES: dict[str, Callable[[Mapping[str, Any], int, date], dict[str, Any]]] = {
    "movement": _of_movement,
    "transfer": lambda value, which, day: ({"moved_on": day.isoformat()}, {"unit": 1 + which % 8})[which % 2],
    "accomplishment": lambda value, which, day: (
        {"done_on": day.isoformat()},
        {"unit": 1 + which % 8},
        {"minutes_since_new": 50_000 + which},
    )[which % 3],
    "certificate": lambda value, which, day: (
        {"dated_on": day.isoformat()},
        {"unit": 1 + which % 8},
        {"serial_number": "0102"},
        {"status": "Repaired"},
    )[which % 4],
    "operation": lambda value, which, day: {"count": which % 4},
    "plate_reading": lambda value, which, day: {"serial_number": ("0101", "R1")[which % 2]},
    "reading": lambda value, which, day: {"minutes": value["minutes"] + which % 60 - 30},
    "unit": lambda value, which, day: (
        {"minutes_since_new": 50_000 + which},
        {"as_of": ("2023-12-30", "2024-01-01")[which % 2]},
        {"manufactured": "2016-01-01"},
        {"harness": "right"},
    )[which % 4],
}


def flown(registration: str, on: date) -> tuple[int, int]:
    """Minutes and cycles at the end of a day, as the small fleet flies."""
    _, minutes, cycles = AIRFRAMES[registration]
    count = (on - READ_FROM).days
    return minutes + 480 * count, (minutes // 60 + 8 * count) // 10 if count else cycles


def read(registration: str, start: date, count: int, short: int) -> list[Row]:
    """Readings of some days, some minutes short of what was flown."""
    found = []
    for on in (start + timedelta(days=n) for n in range(count)):
        minutes, cycles = flown(registration, on)
        hours = f"{(minutes - short) // 60}:{(minutes - short) % 60:02d}"
        found.append({"registration": registration, "date": on.isoformat(), "hours_total": hours})
        found[-1]["cycles_total"] = cycles
    return found


def outcome(act: Callable[[], Any]) -> tuple[Any, str | None]:
    """What the act gave, or the code with which it was refused."""
    try:
        return act(), None
    except Refusal as refused:
        return None, refused.code


def dump(store: Store) -> dict[str, list[str]]:
    """Every row of every table."""
    with store.reading() as connection:
        return {
            table.name: sorted(map(repr, connection.execute(table.select()).all())) for table in metadata.sorted_tables
        }

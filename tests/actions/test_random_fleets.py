"""The same invented months taken in whole, in pieces, late and by single swaps: all ends alike on both databases.

What is compared is everything that follows, with the entries that say it where the same entries said it; and after
every step, what is kept against what follows from the ledger.
"""

from __future__ import annotations

import contextlib
import random
import shutil
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.actions.take_in import RowsRefused
from fleetlife.answers.due import due
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store, open_store
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import DueRow

from .fleet import BOTTLE, SLIDE, Files, Intake, Row, everything, head, movement, rebuilt_differs, small_fleet, transfer

FIRST = date(2024, 2, 1)
REGISTRATIONS = {"Q-AAA": 10_400, "Q-BBB": 5_400}
PROVENANCE = ("entry", "until_entry")


def months(seed: int) -> tuple[list[Row], list[Row], list[Row]]:
    """Movements, transfers and readings of sixty days on the small fleet, in order of time, all of them possible."""
    rng = random.Random(seed)
    hangs: dict[tuple[str, str], str] = {("Q-AAA", "L1"): "0101", ("Q-AAA", "R1"): "0102"}
    inside = {f"R{n}": f"010{n}" for n in (1, 2, 3, 4)}
    totals = {registration: [60 * base, base // 10] for registration, base in REGISTRATIONS.items()}
    moves: list[Row] = []
    sent: list[Row] = []
    read: list[Row] = []
    for n in range(60):
        on = (FIRST + timedelta(days=n)).isoformat()
        for total in totals.values():
            total[0] += rng.randrange(0, 600)
            total[1] += rng.randrange(0, 5)
        if rng.random() < 0.4:
            place = rng.choice([(r, p) for r in REGISTRATIONS for p in ("L1", "R1")])
            there = hangs.pop(place, None)
            spares = [f"010{k}" for k in (1, 2, 3, 4) if f"010{k}" not in hangs.values() and f"010{k}" != there]
            fit = rng.choice(spares) if spares and rng.random() < 0.8 else None
            if fit is not None:
                hangs[place] = fit
            if there or fit:
                stated = rng.random() < 0.5
                hours = f"{totals[place[0]][0] // 60}:{totals[place[0]][0] % 60:02d}"
                moves.append(
                    movement(on, place[1], off=there, fit=fit)
                    | {"registration": place[0], "hours_total": hours if stated else None}
                    | {"cycles_total": totals[place[0]][1] if stated else None}
                    | {"removed_condition": "serviceable", "harness": "left" if place[1] == "L1" else "right"}
                )
        elif rng.random() < 0.2:
            bottle = rng.choice(["R1", "R2", "R3", "R4"])
            if bottle in inside:
                del inside[bottle]
                sent.append(transfer(bottle, on, "store", BOTTLE, store="Main"))
            else:
                parent = rng.choice([s for s in ("0101", "0102", "0103", "0104") if s not in inside.values()])
                inside[bottle] = parent
                into = {"parent_part_number": SLIDE, "parent_serial_number": parent, "slot": "bottle"}
                sent.append(transfer(bottle, on, "parent", BOTTLE, **into))
        for registration, total in totals.items():
            total[0] += rng.randrange(0, 300)
            if rng.random() < 0.5:
                hours = f"{total[0] // 60}:{total[0] % 60:02d}"
                read.append({"registration": registration, "date": on, "hours_total": hours, "cycles_total": total[1]})
    return moves, sent, read


def shorn(store: Store, names: dict[int, str] | None = None) -> dict[str, list[Any]]:
    """Every derived row as a dict without provenance, in order."""
    found: dict[str, list[Any]] = {}
    for table, rows in everything(store).items():
        if table != "head":
            found[table] = [{n: getattr(r, n) for n in r.__slots__ if n not in PROVENANCE} for r in rows]
    return found


@pytest.fixture
def reference(tmp_path: Path, sqlite_template: Path) -> Iterator[Intake]:
    """A file of its own, for the records that everything is compared with."""
    path = tmp_path / "reference.db"
    shutil.copyfile(sqlite_template, path)
    store = open_store(f"sqlite:///{path}")
    intake = Intake(store, tmp_path / "reference files")
    intake.take(small_fleet())
    yield intake
    store.close()


def take_all(intake: Intake, seed: int) -> None:
    moves, sent, read = months(seed)
    intake.take({name: rows for name, rows in (("movements", moves), ("transfers", sent), ("readings", read)) if rows})


class TestInPieces:
    @pytest.mark.parametrize("seed", range(8))
    def test_week_by_week_with_readings_late(self, fleet: Intake, reference: Intake, seed: int) -> None:
        take_all(reference, seed)
        moves, sent, read = months(seed)
        rng = random.Random(seed)
        waiting: list[Row] = []
        for week in range(9):
            start, end = (FIRST + timedelta(days=7 * k) for k in (week, week + 1))

            def of_week(rows: list[Row], start: date = start, end: date = end) -> list[Row]:
                return [row for row in rows if start.isoformat() <= row["date"] < end.isoformat()]

            waiting += of_week(read)
            rng.shuffle(waiting)
            cut = len(waiting) if week == 8 else rng.randrange(len(waiting) + 1)
            files: Files = {"movements": of_week(moves), "transfers": of_week(sent), "readings": waiting[:cut]}
            waiting = waiting[cut:]
            fleet.take({name: rows for name, rows in files.items() if rows})
            assert rebuilt_differs(fleet.store) == {}, week
        assert shorn(fleet.store) == shorn(reference.store)
        assert verify(fleet.store).findings == ()

    @pytest.mark.parametrize("seed", range(8, 12))
    def test_the_whole_story_again_changes_nothing(self, fleet: Intake, seed: int) -> None:
        take_all(fleet, seed)
        before = everything(fleet.store)
        take_all(fleet, seed)
        assert everything(fleet.store) == before


class TestBySwaps:
    @pytest.mark.parametrize("seed", range(12, 18))
    def test_swap_by_swap_with_readings_in_between(self, fleet: Intake, reference: Intake, seed: int) -> None:
        """The movements are recorded one by one, as they happen; what is left ends as if taken in from files."""
        take_all(reference, seed)
        moves, sent, read = months(seed)
        events = sorted(
            [(row["date"], 1, row) for row in moves]
            + [(row["date"], 1, row) for row in sent]
            + [(row["date"], 2, row) for row in read],
            key=lambda item: item[:2],
        )
        for _, kind, row in events:
            if kind == 2:
                fleet.take({"readings": [row]})
            elif "to" in row:
                fleet.take({"transfers": [row]})
            else:
                swapped(fleet.store, row)
        assert rebuilt_differs(fleet.store) == {}
        assert shorn(fleet.store) == shorn(reference.store)


def swapped(store: Store, row: Row) -> None:
    """The row recorded as a swap, every stop of it acknowledged."""

    def unit(prefix: str) -> UnitName | None:
        serial = row.get(f"{prefix}_serial_number")
        return None if serial is None else UnitName(part_number=SLIDE, serial_number=serial)

    minutes = None
    if row["hours_total"]:
        hours, rest = row["hours_total"].split(":")
        minutes = int(hours) * 60 + int(rest)
    request = SwapRequest(
        registration=row["registration"],
        position=row["position"],
        on=date.fromisoformat(row["date"]),
        install=unit("installed"),
        remove=unit("removed"),
        minutes_total=minutes,
        cycles_total=row["cycles_total"],
        removed_condition="serviceable",
        harness=row["harness"],
    )
    accepted: list[Acknowledgement] = []
    while (codes := stops(store, request, accepted)) is not None:
        assert codes - {one.finding for one in accepted}, "acknowledged, and stopped all the same"
        accepted = [Acknowledgement(finding=code, name="K12", reason="line") for code in sorted(codes)]


def stops(
    store: Store, request: SwapRequest, accepted: list[Acknowledgement], *, as_of: date = date(2024, 6, 1)
) -> set[str] | None:
    """The codes that stop the swap beside those accepted; None when it was recorded."""
    try:
        record_swap(store, request, as_of=as_of, recorded_by="clerk", acknowledged=accepted)
    except Refusal as refused:
        if refused.code != "stops-not-acknowledged":
            raise
        return {detail.split()[0] for detail in refused.details} | {one.finding for one in accepted}
    return None


class TestMended:
    @pytest.mark.parametrize("seed", range(18, 24))
    def test_a_mend_is_refused_whole_or_leaves_what_follows_from_the_ledger(self, fleet: Intake, seed: int) -> None:
        take_all(fleet, seed)
        rng = random.Random(seed)
        done = sum(mended(fleet.store, rng) for _ in range(14))
        assert done > 3
        assert verify(fleet.store).findings == ()

    @pytest.mark.parametrize("seed", range(24, 30))
    def test_so_does_a_unit_found_anywhere(self, fleet: Intake, seed: int) -> None:
        take_all(fleet, seed)
        rng = random.Random(seed)
        done = sum(found(fleet.store, rng) for _ in range(20))
        assert done > 3
        assert verify(fleet.store).findings == ()


class TestTwoClocks:
    @pytest.mark.parametrize("seed", range(30, 34))
    def test_what_was_answered_then_is_answered_now_as_known_then(self, fleet: Intake, seed: int) -> None:
        """The due list after every step, and the same question at the end with the clock of then."""
        moves, sent, read = months(seed)
        rng = random.Random(seed)
        as_of = FIRST + timedelta(days=30)
        answers: list[tuple[int, list[DueRow]]] = []
        steps = [{"readings": read[:40]}, {"movements": moves[:4]}, {"transfers": sent[:2]}, {"readings": read[40:]}]
        for step in (*steps, None, None, {"movements": moves[4:], "transfers": sent[2:]}, None, None):
            if step is None:
                mended(fleet.store, rng)
            else:
                with contextlib.suppress(RowsRefused):
                    fleet.take({name: rows for name, rows in step.items() if rows})
            answers.append((head(fleet.store), list(due(fleet.store, as_of=as_of, everything=True).rows)))
        assert len({number for number, _ in answers}) > 4
        assert len({repr(rows) for _, rows in answers}) > 3
        for number, rows in answers:
            then = due(fleet.store, as_of=as_of, everything=True, known_at=str(number))
            assert list(then.rows) == rows, number

    @pytest.mark.parametrize("seed", range(34, 38))
    def test_a_past_day_is_answered_from_what_had_happened_by_then(
        self, fleet: Intake, reference: Intake, seed: int
    ) -> None:
        """Facts dated later than the day asked say nothing about it."""
        moves, sent, read = months(seed)
        cut = FIRST + timedelta(days=25)
        files = {"movements": moves, "transfers": sent, "readings": read}
        until = {name: [row for row in rows if row["date"] <= cut.isoformat()] for name, rows in files.items()}
        reference.take({name: rows for name, rows in until.items() if rows})
        take_all(fleet, seed)
        then, now = due(reference.store, as_of=cut, everything=True), due(fleet.store, as_of=cut, everything=True)
        assert now.rows == then.rows
        assert due(fleet.store, as_of=FIRST + timedelta(days=70), everything=True).rows != now.rows


def mended(store: Store, rng: random.Random) -> bool:
    """One correction or withdrawal of something that stands; whether it was taken."""
    kind = rng.choice(["reading", "movement", "movement", "transfer", "accomplishment", "unit"])
    with store.reading() as connection:
        rows = connection.exec_driver_sql(f"SELECT * FROM {kind} ORDER BY entry_number, entry_item").mappings().all()
    if not rows:
        return False
    row = rng.choice(rows)
    said = {"reason": "misread", "authorised_by": "K1", "recorded_by": "clerk"}
    changes: dict[str, Any] = {}
    if kind == "reading":
        changes = {"minutes": row["minutes"] + rng.randrange(-200, 200)}
    elif kind == "movement" and rng.random() < 0.5:
        changes = {"minutes_total": None, "cycles_total": None}
    elif kind == "accomplishment":
        changes = {"minutes_since_new": rng.randrange(0, 60_000)}
    elif kind == "unit":
        changes = {"minutes_since_new": rng.randrange(0, 60_000), "as_of": rng.choice(["2023-12-30", "2024-01-01"])}

    def act() -> None:
        if changes:
            correct(store, row["entry_number"], item=row["entry_item"], changes=changes, **said)
        else:
            withdraw(store, row["entry_number"], **said)

    return taken(store, act)


def found(store: Store, rng: random.Random) -> bool:
    """Some unit found at some position on some day; whether it was taken."""
    request = SwapRequest(
        registration=rng.choice(list(REGISTRATIONS)),
        position=rng.choice(["L1", "R1"]),
        on=FIRST + timedelta(days=rng.randrange(30, 70)),
        found=UnitName(part_number=SLIDE, serial_number=rng.choice(["0101", "0102", "0103", "0104"])),
        removed_condition="serviceable",
    )
    return taken(store, lambda: record_swap(store, request, as_of=date(2024, 6, 1), recorded_by="clerk"))


def taken(store: Store, act: Callable[[], object]) -> bool:
    """Whether the act was taken; refused it leaves the records as they were, taken they follow from the ledger."""
    before = everything(store)
    try:
        act()
    except Refusal:
        assert everything(store) == before
        return False
    assert rebuilt_differs(store) == {}
    return True


class TestTheMonthsThemselves:
    def test_they_are_worth_taking_in(self) -> None:
        told = [months(seed) for seed in range(18)]
        assert all(len(moves) > 5 and len(read) > 30 for moves, _, read in told)
        assert sum(len(sent) for _, sent, _ in told) > 30
        assert {bool(row["hours_total"]) for moves, _, _ in told for row in moves} == {True, False}

"""A month of paper for the demo fleet, once in order and right, once shuffled, late, wrong and put right.

Both end in the same derived rows, but for the entries that say them, on both databases; what was answered on the way is
answered still as known then; and the month taken in again changes nothing.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fleetlife.actions import settle
from fleetlife.actions.acknowledge import Acknowledgement
from fleetlife.actions.identity import correct_identity
from fleetlife.actions.mend import Mend, correct, mend, withdraw
from fleetlife.actions.swap import SwapRequest, UnitName
from fleetlife.actions.take_in import Replacing, RowsRefused, take_in
from fleetlife.answers.due import due
from fleetlife.answers.verify import verify
from fleetlife.follows.rows import CertificateLineRow
from fleetlife.store.engine import Store, open_store
from fleetlife.store.rows import read_rows
from fleetlife.terms.refusal import Refusal
from fleetlife.transfer.reading import read_folder
from tests.actions.fleet import Files, Intake, Row, everything, head, write
from tests.actions.test_random_fleets import stops

from . import demo_month
from .demo_month import LAST, Paper, month, named
from .histories import differences

WHY: dict[str, Any] = {"reason": "as the paper says", "authorised_by": "S-900", "recorded_by": "S-402"}
Opened = Callable[[str], Intake]


@pytest.fixture
def opened(demo_copy: Callable[[str], str], tmp_path: Path) -> Iterator[Opened]:
    """Opens a copy of the demo on an engine."""
    stores: list[Store] = []

    def one(engine: str) -> Intake:
        stores.append(open_store(demo_copy(engine)))
        return Intake(stores[-1], tmp_path / f"files {len(stores)}")

    yield one
    for store in stores:
        store.close()


@pytest.fixture(scope="module")
def truth(demo_copy: Callable[[str], str], tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """The month in order and right, taken in at once. For reading only."""
    store = open_store(demo_copy("sqlite"))
    Intake(store, tmp_path_factory.mktemp("truth") / "files").take(files_of(month()))
    yield store
    store.close()


def files_of(papers: list[Paper]) -> Files:
    """The right rows, file by file."""
    files: Files = {}
    for paper in papers:
        if paper.row:
            files.setdefault(paper.file, []).append(paper.row)
    return files


@dataclass
class Late:
    """The month as it reaches the records: shuffled, some of it wrong; in the end all of it put right."""

    intake: Intake
    seed: int
    never_mended: bool = False
    recorded_wrong: set[str] = field(default_factory=set)
    refused: int = 0
    asked: list[tuple[int, Any]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.store = self.intake.store
        self.rng = random.Random(self.seed)
        self.to_mend: list[tuple[Paper, int]] = []
        self.reissued: list[Paper] = []

    def lived(self) -> Late:
        waiting = self._deliveries()
        while waiting:
            left = [papers for papers in waiting if not self._taken(papers)]
            if len(left) == len(waiting):
                self._make_room(left)
            waiting = left
        if not self.never_mended:
            self._all_put_right()
        return self

    def _deliveries(self) -> list[list[Paper]]:
        """The paper in no order: hours some days at a time, all else singly."""
        rng, singly, days = self.rng, [], {}
        for paper in month():
            if paper.file == "readings":
                days.setdefault(paper.row["registration"], []).append(paper)
            else:
                singly.append([paper])
        for papers in days.values():
            rng.shuffle(papers)
            while papers:
                size = rng.randint(3, 12)
                singly.append(papers[:size])
                del papers[:size]
        rng.shuffle(singly)
        return singly

    def _taken(self, papers: list[Paper]) -> bool:
        """One delivery, as it was wrong at first. Refused it leaves the records as they were."""
        before, (first, *_) = head(self.store), papers
        try:
            if first.by_swap:
                swapped(self.store, first.row)
            else:
                self.intake.take({first.file: [p.wrong.row if p.wrong else p.row for p in papers]})
        except Refusal:
            self.refused += 1
            assert head(self.store) == before
            return False
        if first.wrong is not None:
            self.recorded_wrong.add(f"{first.file}, {first.wrong.how}")
            if first.wrong.how == demo_month.REPLACED:
                self.reissued += papers
            else:
                self.to_mend.append((first, head(self.store)))
        if self.rng.random() < 0.04:
            self.asked.append((head(self.store), listed(self.store)))
        return True

    def _make_room(self, left: list[list[Paper]]) -> None:
        """Something wrong stands in the way: it is put right; or the papers go only together."""
        if self.to_mend:
            self._put_right(*self.to_mend.pop(self.rng.randrange(len(self.to_mend))))
            return
        self.intake.take(files_of([paper for papers in left for paper in papers]))
        left.clear()

    def _all_put_right(self) -> None:
        """What is left: some of it together, the hours re-issued with the totals that rest on them."""
        together = [(paper, number) for paper, number in self.to_mend if paper.wrong.how == demo_month.TOGETHER]
        if together:
            mend(self.store, [Mend(entry=number, changes=paper.wrong.changes) for paper, number in together], **WHY)
        for paper, number in self.to_mend:
            if (paper, number) not in together:
                self._put_right(paper, number)
        # the month of hours as it was issued anew, whole, with the movement that rests on it
        self._replace(self.reissued)
        # filed when nobody knew the unit: it is filed against it now
        for entry, row in unfiled(self.store):
            correct(self.store, entry, changes={"unit": named(row["serial_number"], row["part_number"])}, **WHY)

    def _put_right(self, paper: Paper, number: int) -> None:
        wrong = paper.wrong
        assert wrong is not None
        if wrong.how == demo_month.BY_WITHDRAWAL:
            withdraw(self.store, number, **WHY)
            if not wrong.never:
                self.intake.take({paper.file: [paper.row]})
        elif wrong.how == demo_month.BY_IDENTITY:
            known_as = UnitName(part_number=wrong.row["part_number"], serial_number=wrong.row["serial_number"])
            correct_identity(self.store, known_as, **wrong.changes, **WHY)
        else:
            correct(self.store, number, changes=wrong.changes, **WHY)

    def _replace(self, papers: list[Paper]) -> None:
        again = Replacing(reason=WHY["reason"], authorised_by=WHY["authorised_by"])
        folder = read_folder(write(self.intake.folder, files_of(papers)))
        take_in(self.store, folder, recorded_by=WHY["recorded_by"], replacing=again)


def swapped(store: Store, row: Row) -> None:
    """The row recorded by `swap record`, every stop of it acknowledged."""
    same = ("registration", "position", "removed_to", "removed_to_name", "removal_kind", "harness", "cycles_total")
    same += ("technical_log", "signed_by", "released_by")
    units = {
        name: UnitName(part_number=row[f"{prefix}_part_number"], serial_number=row[f"{prefix}_serial_number"])
        for name, prefix in (("remove", "removed"), ("install", "installed"))
        if f"{prefix}_part_number" in row
    }
    minutes = None
    if "hours_total" in row:
        full, rest = row["hours_total"].split(":")
        minutes = int(full) * 60 + int(rest)
    stated = {name: row[name] for name in same if name in row}
    request = SwapRequest(on=date.fromisoformat(row["date"]), minutes_total=minutes, **units, **stated)
    accepted: list[Acknowledgement] = []
    while (codes := stops(store, request, accepted, as_of=LAST)) is not None:
        accepted = [Acknowledgement(finding=code, name="S-301", reason="line") for code in sorted(codes)]


def unfiled(store: Store) -> list[tuple[int, Row]]:
    """Certificates of the month that stand and are filed against no unit, with their rows."""
    mine = {p.row["tracking_number"]: p.row for p in month() if p.file == "certificates"}
    with store.reading() as connection:
        lines = [row for row in read_rows(connection, CertificateLineRow) if row.unit_id is None]
        stated = connection.exec_driver_sql("SELECT entry_number, tracking_number FROM certificate").all()
    open_lines = {line.tracking_number for line in lines}
    return [(number, mine[name]) for number, name in stated if name in open_lines and name in mine]


def listed(store: Store, known_at: str | None = None) -> tuple[Any, ...]:
    return due(store, as_of=LAST, everything=True, known_at=known_at).rows


class TestTheMonth:
    @pytest.mark.parametrize(("engine", "seed"), [("sqlite", 1), ("sqlite", 2), ("postgresql", 3)])
    def test_late_wrong_and_put_right_it_ends_as_if_in_order_and_right(
        self, opened: Opened, truth: Store, engine: str, seed: int
    ) -> None:
        late = Late(opened(engine), seed).lived()
        assert differences(late.store, truth) == []
        assert listed(late.store) == listed(truth)
        assert verify(late.store).findings == ()
        for entry, rows in late.asked:
            assert listed(late.store, known_at=str(entry)) == rows, entry
        assert late.asked
        assert late.refused
        assert late.recorded_wrong == {f"{paper.file}, {paper.wrong.how}" for paper in month() if paper.wrong}
        before = everything(late.store)
        report = late.intake.take(files_of(month()))
        assert report.entries == 0
        assert everything(late.store) == before

    def test_in_order_and_right_both_databases_hold_the_same(self, opened: Opened, truth: Store) -> None:
        other = opened("postgresql")
        other.take(files_of(month()))
        assert differences(other.store, truth) == []


class TestTheComparisonCanFail:
    """Each time one thing is taken away, and the comparison must see it."""

    def test_what_was_wrong_left_wrong(self, opened: Opened, truth: Store) -> None:
        late = Late(opened("sqlite"), 1, never_mended=True).lived()
        tables = {difference.split(",")[0].split(":")[0] for difference in differences(late.store, truth)}
        assert tables >= {"placement", "carriage", "due_point", "unit_state", "certificate_line"}

    def test_a_find_left_with_whom_it_stated(
        self, opened: Opened, truth: Store, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(settle, "finds_restated", lambda *given, **how: [])
        find = [paper for paper in month() if paper.row.get("found")]
        late = opened("sqlite")
        late.take(files_of(find))
        with pytest.raises(RowsRefused):
            late.take(files_of([paper for paper in month() if paper not in find]))

    def test_hours_that_moved_no_boundary(self, opened: Opened, truth: Store, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(settle, "reached_by_readings", lambda connection, first_day: set())
        late = Late(opened("sqlite"), 1).lived()
        assert any(difference.startswith("carriage") for difference in differences(late.store, truth))

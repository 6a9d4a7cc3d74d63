"""What the rules ask of the records: when work counts as done, when it is entered, what a life status is."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import ClassVar

import pytest

from fleetlife.answers.due import due
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.unit import unit_card
from fleetlife.checks.paper import entered_late
from fleetlife.checks.register import REGISTER
from fleetlife.checks.rows import LateEntryRow, SignedRow
from fleetlife.checks.work import one_person_many_doors
from fleetlife.ledger.facts import Movement
from fleetlife.life.values import Count
from fleetlife.store.engine import Store
from fleetlife.terms.views import DueRow

from .trade import Row, d, iso, on_airframe, points_of, read_on, rule, small_world, state_of, state_on, take, unit

ENTRY = "M.A.305(a), READ: entered as soon as practicable, no later than 30 days after completion"
TEMPORARY = (
    "14 CFR 43.10(b), READ: temporary removal needs no disposition only if the life status is unchanged, it goes back "
    "into the same serial-numbered product, and that product gains no time in service while it is off"
)
STATUS = (
    "GM M.A.305(c)-(e), CAA ORS9 Decision 38, READ: limitation, total life accumulated and remaining life in each "
    "applicable parameter; removed when any one is reached"
)
H = 60


class TestEnteredWithinThirtyDays:
    """M.A.305(a) (READ)."""

    def late(self, days: int, *, kept_since: str = "2020-01-01") -> list[str]:
        done = d("2026-03-01")
        row = LateEntryRow(
            movement=Movement(airframe=1, position="L1", moved_on="2026-03-01", installed=7),
            registration="Q-ONE",
            recorded_on=done + days,
            kept_since=d(kept_since),
            entry=12,
        )
        return [found.code for found in entered_late([row])]

    def test_the_rule_is_cited_by_the_finding(self) -> None:
        cited = REGISTER["PAP109"].published_rule or ""
        assert "M.A.305(a)" in cited
        assert "30 days" in cited

    @pytest.mark.parametrize(("days", "codes"), [(0, []), (29, []), (30, []), (31, ["PAP109"]), (400, ["PAP109"])])
    def test_the_thirtieth_day_is_in_time_and_the_next_is_late(self, days: int, codes: list[str]) -> None:
        assert self.late(days) == codes, ENTRY

    def test_history_from_before_the_records_were_kept_is_not_late(self) -> None:
        assert self.late(400, kept_since="2026-03-02") == []


class TestOffAndOnAgain:
    """14 CFR 43.10(b) (READ): what a removal does to a part's life status."""

    unit: ClassVar[Row] = {
        "part_number": "QC-1",
        "serial_number": "0815",
        "as_of": "2024-01-01",
        "registration": "Q-ONE",
        "position": "L1",
        "installed": "2023-04-01",
        "hours_since_new": "1000:00",
        "cycles_since_new": 900,
        "manufactured": "2015-01",
    }
    off: ClassVar[Row] = {
        "date": "2024-02-01",
        "registration": "Q-ONE",
        "position": "L1",
        "removed_part_number": "QC-1",
        "removed_serial_number": "0815",
        "removed_to": "store",
        "removal_kind": "access",
        "hours_total": "10103:00",
        "cycles_total": 10_103,
    }

    def taken(self, store: Store, folder: Path, *movements: Row) -> int:
        life = {"requirement": "LIFE", "part_number": "QC-1", "kind": "life_limit", "start": "manufacture"}
        files = small_world(
            requirements=[{**life, "first_hours": "20000:00"}], units=[self.unit], movements=list(movements)
        )
        take(store, folder / "files", files)
        (point,) = points_of(store, "0815")
        assert point.due_minutes is not None
        return point.due_minutes // H

    def on(self, day: str, registration: str, hours: int) -> Row:
        return {
            "date": day,
            "registration": registration,
            "position": "L1",
            "installed_part_number": "QC-1",
            "installed_serial_number": "0815",
            "hours_total": f"{hours}:00",
            "cycles_total": hours,
        }

    def test_off_and_back_on_a_product_that_did_not_fly_its_life_status_is_unchanged(
        self, store: Store, tmp_path: Path
    ) -> None:
        assert self.taken(store, tmp_path, self.off, self.on("2024-02-03", "Q-ONE", 10_103)) == 10_003 + 19_000, (
            TEMPORARY
        )

    def test_what_the_product_gains_while_it_is_off_is_not_the_parts(self, store: Store, tmp_path: Path) -> None:
        """The third condition fails, so the life status is a matter of record: 37 hours more on that airframe."""
        assert self.taken(store, tmp_path, self.off, self.on("2024-02-12", "Q-ONE", 10_140)) == 10_003 + 19_000 + 37

    def test_on_another_serial_numbered_product_the_status_goes_with_it(self, store: Store, tmp_path: Path) -> None:
        """The second condition fails: the limit is now a total of the other airframe."""
        due_at = self.taken(store, tmp_path, self.off, self.on("2024-02-12", "Q-TWO", 4_140))
        assert due_at == 4_140 + 20_000 - 1_000 - 100

    def test_the_removal_says_from_what_to_what_it_ran(self, store: Store, tmp_path: Path) -> None:
        """14 CFR 43.10(c) (READ): a record system substantiates part number, serial number and current life status,
        updated at each removal."""
        self.taken(store, tmp_path, self.off, self.on("2024-02-12", "Q-TWO", 4_140))
        state = state_of(store, "0815")
        assert (state.part_number, state.serial_number) == ("QC-1", "0815")
        assert (state.minutes_since_new, state.cycles_since_new) == (1_100 * H, 1_000)

    def test_the_log_card_names_every_product_it_was_fitted_in(self, store: Store, tmp_path: Path) -> None:
        """AMC M.A.305(e) (READ): type, part number, serial number and registration of what it was fitted in, with each
        installation and removal, and the total life."""
        self.taken(store, tmp_path, self.off, self.on("2024-02-12", "Q-TWO", 4_140))
        card = unit_card(store, part_number="QC-1", serial_number="0815", as_of=date(2024, 3, 21))
        fitted = [(stay.since[:10], (stay.until or "")[:10]) for stay in card.stays if "Q-" in stay.place]
        places = [stay.place for stay in card.stays if "Q-" in stay.place]
        assert fitted == [("2023-04-01", "2024-02-01"), ("2024-02-12", "")]
        assert ["Q-ONE" in places[0], "Q-TWO" in places[1]] == [True, True]


class TestLifeStatus:
    """GM M.A.305(b) and (c)-(e) (READ)."""

    @pytest.mark.parametrize(
        ("hours", "cycles", "day", "driver"),
        [
            (20_001, 100, "2024-01-01", "hours"),
            (100, 15_001, "2024-01-01", "cycles"),
            (100, 100, "2035-01-02", "calendar"),
        ],
    )
    def test_any_one_parameter_reached_ends_it(self, hours: int, cycles: int, day: str, driver: str) -> None:
        limit = rule("life_limit", start="manufacture", first={"months": 180, "minutes": 20_000 * H, "cycles": 15_000})
        part = unit(manufactured="2020-01-01", opening=Count(minutes=0, cycles=0), carried=on_airframe("2020-01-01"))
        judged = state_on(day, limit, part, view=read_on(day, minutes=hours * H, cycles=cycles))
        assert (judged.state, judged.driver) == ("overdue", driver), STATUS

    def world(self, **fields: object) -> dict[str, list[Row]]:
        own = {**TestOffAndOnAgain.unit, **fields}
        life = {"requirement": "LIFE", "part_number": "QC-1", "kind": "life_limit", "start": "manufacture"}
        return small_world(
            requirements=[{**life, "first_hours": "20000:00", "first_cycles": 15_000}],
            units=[{name: value for name, value in own.items() if value is not None}],
        )

    def row(self, store: Store) -> DueRow:
        (row,) = due(store, as_of=date(2024, 3, 21), everything=True).rows
        return row

    def test_limitation_is_what_is_accumulated_and_what_remains(self, store: Store, tmp_path: Path) -> None:
        """260 hours and cycles were flown from the opening to the reading of 2024-03-21."""
        take(store, tmp_path / "files", self.world())
        row = self.row(store)
        assert (row.hours_left, row.cycles_left) == ((20_000 - 1_260) * H, 15_000 - 1_160)
        card = unit_card(store, part_number="QC-1", serial_number="0815", as_of=date(2024, 3, 21))
        assert (card.hours_since_new or "").startswith("1260:00")
        assert (card.cycles_since_new or "").startswith("1160")

    def test_a_rebuilt_life_says_so(self, store: Store, tmp_path: Path) -> None:
        """AMC M.A.305(e) on lost records (READ): rebuilt from other records, the best estimate stated as such."""
        take(store, tmp_path / "files", self.world(life_quality="rebuilt"))
        assert self.row(store).life_quality == "rebuilt"
        (point,) = points_of(store, "0815")
        assert point.estimated == 1

    @pytest.mark.parametrize(
        ("hours", "cycles", "outcome", "verdicts"),
        [
            ("1000:00", 900, "no objection in these records", set()),
            (None, None, "do not fit", {"stop"}),
            (None, 900, "do not fit", {"stop"}),
        ],
    )
    def test_with_its_records_missing_a_life_limited_part_is_not_free_to_go_on(
        self,
        store: Store,
        tmp_path: Path,
        hours: str | None,
        cycles: int | None,
        outcome: str,
        verdicts: set[str],
    ) -> None:
        """AMC1 145.A.42(a)(ii) and (iii) (READ): missing information to determine status or eligibility makes a part
        unserviceable, missing records of a mandatory life unsalvageable."""
        files = self.world(
            hours_since_new=hours,
            cycles_since_new=cycles,
            registration=None,
            position=None,
            installed=None,
            store="Main",
            condition="serviceable",
            harness="left",
        )
        name = {"part_number": "QC-1", "serial_number": "0815"}
        files["eligibility"] = [{"type": "SKUA-4", "position": "L1", "part_number": "QC-1", "reference": "IPC 1"}]
        files["certificates"] = [
            {
                **name,
                "tracking_number": "P-1",
                "organisation": "Petrel Works",
                "status": "Overhauled",
                "date": "2023-11-02",
                # the latest release shows the life, else that is asked for first
                "hours_since_new": hours,
                "cycles_since_new": cycles,
            }
        ]
        take(store, tmp_path / "files", files)
        answer = swap_check(store, registration="Q-TWO", position="L1", **name, as_of=date(2024, 3, 21))
        told = {reason.verdict for reason in answer.reasons if reason.code == "LIF110"}
        assert (answer.outcome, told) == (outcome, verdicts), [r for r in answer.reasons if r.verdict != "clear"]


class TestDateOfTheWork:
    def test_shop_work_is_done_on_the_day_of_its_release(self, store: Store, tmp_path: Path) -> None:
        """AMC M.A.305(c)3 (READ): date accomplished is the date the certificate of release to service was issued."""
        name = {"part_number": "QC-1", "serial_number": "0815"}
        paper = {"tracking_number": "P-1", "organisation": "Petrel Works", "status": "Overhauled", "date": "2024-02-15"}
        files = small_world(
            requirements=[{"requirement": "OVH", "part_number": "QC-1", "kind": "overhaul", "repeat_months": 36}],
            units=[{**name, "as_of": "2024-01-01", "store": "Main"}],
            transfers=[
                {**name, "date": "2024-01-20", "to": "shop", "organisation": "Petrel Works"},
                {**name, "date": "2024-03-05", "to": "store", "store": "Main"},
            ],
            certificates=[{**name, **paper}],
            accomplishments=[
                {
                    **name,
                    "requirement": "OVH",
                    "date": "2024-02-15",
                    "certificate": "P-1",
                    "certificate_organisation": "Petrel Works",
                }
            ],
        )
        take(store, tmp_path / "files", files)
        (point,) = points_of(store, "0815")
        assert iso(point.calendar_due) == "2027-02-15"


class TestTheSameErrorAtEveryDoor:
    """145.A.48(c), text of Regulation (EU) 2015/1536 (READ): errors repeated in identical tasks are minimised. ATSB
    200101606 (READ): after maintenance girt bars at L1, R1, L2 and R2 were all left stowed, for seven sectors."""

    def signed(self, **by: str) -> list[str]:
        rows = [
            SignedRow(
                movement=Movement(airframe=1, position=door, moved_on="2001-04-02", installed=n, signed_by=name),
                registration="Q-ONE",
                entry=n,
                position_kind="slide",
            )
            for n, (door, name) in enumerate(by.items(), start=1)
        ]
        return [found.code for found in one_person_many_doors(rows)]

    def test_one_person_at_four_doors_is_found(self) -> None:
        assert self.signed(L1="S-114", R1="S-114", L2="S-114", R2="S-114") == ["PAT101"]

    def test_two_people_at_two_doors_each_are_not(self) -> None:
        assert self.signed(L1="S-114", R1="S-207", L2="S-114", R2="S-207") == []

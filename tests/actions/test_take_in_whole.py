"""Files taken in: whole or not at all, once, and what follows from them is what would follow from the ledger."""

from __future__ import annotations

import random

import pytest

from fleetlife.answers.verify import verify
from fleetlife.dates.moment import end_of_day
from fleetlife.store.engine import Store

from .fleet import (
    BATTERY,
    BOTTLE,
    SLIDE,
    Files,
    Intake,
    carried,
    d,
    due,
    everything,
    h,
    head,
    kinds,
    movement,
    only,
    readings,
    rebuilt_differs,
    small_fleet,
    state,
    stays,
    transfer,
    unit,
    unit_id,
)


class TestFirstIntake:
    def test_everything_is_told_by_file(self, intake: Intake) -> None:
        report = intake.take(small_fleet())
        told = {file: (rows, new, unchanged) for file, rows, new, unchanged in report.files}
        assert told["units"] == (8, 8, 0)
        assert told["readings"] == (76, 76, 0)
        assert sum(new for _, new, _ in told.values()) == sum(len(rows) for rows in small_fleet().values())
        assert report.entries == head(intake.store)

    def test_what_was_stated_follows(self, fleet: Intake) -> None:
        store = fleet.store
        pack = state(store, "0101")
        assert (pack.kind, pack.position, pack.condition, pack.harness) == ("position", "L1", "serviceable", "left")
        assert (pack.released_on, pack.release_status) == (d("2022-03-10"), "Overhauled")
        bottle = state(store, "R1")
        assert (bottle.kind, bottle.parent_id, bottle.slot) == ("slot", unit_id(store, "0101"), "bottle")
        assert bottle.carried_airframe_id == pack.carried_airframe_id
        assert bottle.covered_by == unit_id(store, "0101")
        (hst,) = due(store, "R1")
        assert hst.calendar_due == d("2026-02-28")
        (ovh,) = due(store, "0101")
        # 100:00 run since the overhaul at the opening; the airframe had 10 056:00 then
        assert (ovh.calendar_due, ovh.due_minutes) == (d("2025-03-10"), h("19956:00"))

    def test_it_follows_from_the_ledger_alone(self, fleet: Intake) -> None:
        assert rebuilt_differs(fleet.store) == {}
        assert verify(fleet.store).findings == ()

    def test_readings_come_in_blocks_and_what_happens_to_units_one_by_one(self, fleet: Intake) -> None:
        made = kinds(fleet.store)
        assert made.count("reading") == 2
        assert made.count("part") == 1
        assert made.count("unit") == 8

    def test_the_order_of_rows_and_columns_does_not_matter(self, intake: Intake, other_fleet: Intake) -> None:
        files = small_fleet()
        files["units"].reverse()
        rng = random.Random(7)
        for name, rows in files.items():
            if name != "units":
                rng.shuffle(rows)
            files[name] = [dict(reversed(list(row.items()))) for row in rows]
        intake.take(files)
        for serial in ("0101", "R1", "R4"):
            first, second = state(intake.store, serial), state(other_fleet.store, serial)
            assert (first.kind, first.position, first.slot) == (second.kind, second.position, second.slot)
        assert rebuilt_differs(intake.store) == {}

    def test_children_may_stand_before_their_parents_and_their_parents_parents(self, intake: Intake) -> None:
        files = small_fleet()
        files["slots"].append({"part_number": BOTTLE, "slot": "squib", "child_part_number": BATTERY})
        inside = {"parent_part_number": BOTTLE, "parent_serial_number": "R1", "slot": "squib"}
        files["units"].insert(0, unit(BATTERY, "B1", **inside))
        files["units"].reverse()
        files["units"].insert(0, files["units"].pop())
        intake.take(files)
        assert state(intake.store, "B1").parent_id == unit_id(intake.store, "R1")
        assert state(intake.store, "B1").root_id == unit_id(intake.store, "0101")


class TestSameFilesAgain:
    def test_nothing_changes_and_that_is_said(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        report = fleet.take(small_fleet())
        assert report.entries == 0
        assert all((new, unchanged) == (0, rows) for _, rows, new, unchanged in report.files)
        assert everything(fleet.store) == before

    def test_movements_without_a_stated_sequence_are_known_again(self, fleet: Intake) -> None:
        moves: Files = {
            "movements": [movement("2024-01-10", off="0101", fit="0103"), movement("2024-01-12", "R1", off="0102")],
            "transfers": [transfer("0101", "2024-01-11", "shop", organisation="Fulmar")],
        }
        assert fleet.take(moves).entries == 3
        before = everything(fleet.store)
        assert fleet.take(moves).entries == 0
        assert everything(fleet.store) == before

    def test_found_units_are_known_again(self, fleet: Intake) -> None:
        moves: Files = {"movements": [movement("2024-01-10", off="0103", found="yes")]}
        assert fleet.take(moves).entries == 1
        assert fleet.take(moves).entries == 0

    def test_a_row_said_twice_in_one_file_is_taken_once(self, intake: Intake) -> None:
        files = small_fleet()
        files["parts"].append(dict(files["parts"][0]))
        files["units"].append(dict(files["units"][0]))
        files["readings"].append(dict(files["readings"][0]))
        report = intake.take(files)
        told = {file: (rows, new, unchanged) for file, rows, new, unchanged in report.files}
        assert told["parts"] == (4, 3, 1)
        assert told["units"] == (9, 8, 1)
        assert told["readings"][1] == 76


class TestInSteps:
    """What comes file by file ends as what comes at once."""

    def ends_alike(self, intake: Intake, steps: list[list[str]], other: Store) -> None:
        files = small_fleet()
        for step in steps:
            intake.take({name: files[name] for name in step})
        assert rebuilt_differs(intake.store) == {}
        for serial in ("0101", "0103", "R1"):
            (mine,), (theirs,) = due(intake.store, serial), due(other, serial)
            for name in ("calendar_due", "due_minutes", "due_cycles", "left_minutes", "standing", "unknown"):
                assert getattr(mine, name) == getattr(theirs, name), (serial, name)
            assert [(c.from_minutes, c.from_basis) for c in carried(intake.store, serial)] == [
                (c.from_minutes, c.from_basis) for c in carried(other, serial)
            ]

    def test_readings_before_units(self, intake: Intake, other_fleet: Intake) -> None:
        steps = [
            ["types", "positions", "airframes"],
            ["readings"],
            ["parts", "slots", "requirements", "units"],
            ["certificates", "accomplishments"],
        ]
        self.ends_alike(intake, steps, other_fleet.store)

    def test_readings_again_with_the_units(self, intake: Intake, other_fleet: Intake) -> None:
        steps = [["types", "positions", "airframes", "readings"], list(small_fleet())]
        self.ends_alike(intake, steps, other_fleet.store)

    def test_readings_last(self, intake: Intake, other_fleet: Intake) -> None:
        steps = [
            ["types", "positions", "airframes", "parts", "slots", "units"],
            ["accomplishments", "certificates", "requirements"][2:],
            ["certificates", "accomplishments"],
            ["readings"],
        ]
        self.ends_alike(intake, steps, other_fleet.store)

    def test_a_programme_after_the_units(self, intake: Intake, other_fleet: Intake) -> None:
        files = small_fleet()
        first = ["types", "positions", "airframes", "parts", "slots", "units", "certificates", "readings"]
        intake.take({name: files[name] for name in first})
        assert [row.standing for row in due(intake.store, "0101")] == ["no_programme"]
        self.ends_alike(intake, [["requirements"], ["accomplishments"]], other_fleet.store)

    def test_another_edition_re_derives_the_units_of_its_part(self, fleet: Intake) -> None:
        edition = {**small_fleet()["requirements"][0], "edition": "4", "effective_from": "2024-06-01"}
        fleet.take({"requirements": [{**edition, "repeat_months": 24}]})
        assert sorted(row.calendar_due or 0 for row in due(fleet.store, "0101")) == [d("2024-03-10"), d("2025-03-10")]
        assert rebuilt_differs(fleet.store) == {}

    def test_known_requirements_beside_new_units_keep_their_entry(self, fleet: Intake) -> None:
        files = small_fleet()
        more = unit(SLIDE, "0105", store="Main", hours_since_new="10:00")
        fleet.take({**{name: files[name] for name in ("parts", "requirements")}, "units": [more]})
        assert rebuilt_differs(fleet.store) == {}

    def test_known_requirements_beside_new_ones_keep_their_entry(self, fleet: Intake) -> None:
        known = small_fleet()["requirements"]
        more = {**known[0], "requirement": "CHK", "kind": "inspection", "repeat_hours": None}
        part = {"part_number": "QX900-1", "manufacturer": "Auk"}
        fleet.take({"parts": [part], "requirements": [*known, more]})
        assert len(due(fleet.store, "0101")) == 2
        assert rebuilt_differs(fleet.store) == {}

    def test_a_later_supersession_reaches_papers_along_the_chain(self, fleet: Intake) -> None:
        part = {"manufacturer": "Kittiwake", "kind": "slide", "rig": "either"}
        fleet.take(
            {
                "parts": [{"part_number": p, **part} for p in ("QX100-3", "QX200-9")],
                "alternates": [{"part_number": SLIDE, "alternate": "QX100-3", "direction": "supersedes"}],
                "certificates": [
                    {
                        **small_fleet()["certificates"][0],
                        "tracking_number": "T9",
                        "part_number": "QX200-9",
                        "filed_part_number": SLIDE,
                        "filed_serial_number": "0101",
                    }
                ],
            }
        )
        fleet.take({"alternates": [{"part_number": "QX100-3", "alternate": "QX200-9", "direction": "supersedes"}]})
        assert rebuilt_differs(fleet.store) == {}


class TestLaterMovements:
    def test_a_month_of_movements(self, fleet: Intake) -> None:
        fleet.take(
            {
                "movements": [
                    movement("2024-01-10", off="0101", fit="0103", removed_to="shop", hours_total="10125:00",
                             cycles_total=1012),
                    movement("2024-01-20", "R1", off="0102", fit="0104", removed_to="store"),
                ],
                "transfers": [
                    transfer("R1", "2024-01-12", "store", BOTTLE, store="Main"),
                    transfer("R3", "2024-01-15", "store", BOTTLE, store="Main"),
                    transfer("R1", "2024-01-16", "parent", BOTTLE, parent_part_number=SLIDE,
                             parent_serial_number="0103", slot="bottle"),
                ],
            }
        )  # fmt: skip
        store = fleet.store
        assert state(store, "0103").position == "L1"
        assert state(store, "0101").kind == "shop"
        assert state(store, "R1").root_id == unit_id(store, "0103")
        assert [row.until_basis for row in carried(store, "0101")] == ["stated"]
        assert [row.until_minutes for row in carried(store, "R1")] == [h("10125:00"), None]
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_an_earlier_movement_taken_in_late(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-20", off="0101")]})
        fleet.take({"movements": [movement("2024-01-10", "R1", off="0102"), movement("2024-01-15", "R1", fit="0102")]})
        assert [row.kind for row in stays(fleet.store, "0102")] == ["position", "store", "position"]
        assert rebuilt_differs(fleet.store) == {}

    def test_more_of_a_day_comes_after_what_is_recorded_of_it(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-10", off="0101")]})
        fleet.take({"transfers": [transfer("0101", "2024-01-10", "shop", organisation="Fulmar")]})
        kinds_ = [row.kind for row in stays(fleet.store, "0101")]
        assert kinds_ == ["position", "store", "shop"]

    def test_another_unit_goes_on_later_that_day_by_another_file(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-10", off="0101")]})
        fleet.take({"movements": [movement("2024-01-10", fit="0103")]})
        assert state(fleet.store, "0103").position == "L1"
        assert rebuilt_differs(fleet.store) == {}

    def test_found_is_judged_by_who_hung_there_on_the_day(self, fleet: Intake) -> None:
        """A late row of another door must not hide that somebody was fitted here in between."""
        fleet.take({"movements": [movement("2024-01-10", off="0101", fit="0103")]})
        fleet.take(
            {
                "movements": [
                    movement("2024-01-05", "R1", off="0102"),
                    movement("2024-01-20", "L1", off="0104", found="yes"),
                ]
            }
        )
        assert [row.kind for row in stays(fleet.store, "0103")] == ["store", "position", "unknown"]
        assert rebuilt_differs(fleet.store) == {}

    def test_found_later_on_a_day_is_judged_after_what_is_recorded_of_it(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-10", off="0101", fit="0103")]})
        fleet.take({"movements": [movement("2024-01-10", off="0104", found="yes")]})
        assert [row.kind for row in stays(fleet.store, "0103")] == ["store", "position", "unknown"]
        assert rebuilt_differs(fleet.store) == {}

    def test_found_with_an_earlier_sequence_is_judged_before_it(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-01-10", off="0101", fit="0103", sequence=50)]})
        problems = fleet.refused({"movements": [movement("2024-01-10", off="0104", found="yes", sequence=20)]})
        assert "0101" not in only(problems).value
        assert "not have it at position" in only(problems).reason

    def test_many_units_at_once_are_judged_together(self, fleet: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        """Who comes off and who goes on may be derived at different times; the place is free all the same."""
        monkeypatch.setattr("fleetlife.actions.follow.CHUNK", 1)
        fleet.take(
            {
                "movements": [
                    movement("2024-01-10", "L1", off="0101", fit="0104"),
                    movement("2024-01-12", "R1", off="0102", fit="0101"),
                    movement("2024-01-14", "L1", off="0104", fit="0102"),
                ]
            }
        )
        assert (state(fleet.store, "0101").position, state(fleet.store, "0102").position) == ("R1", "L1")
        assert rebuilt_differs(fleet.store) == {}


class TestLaterReadings:
    def test_daily_readings_touch_no_derived_row(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        fleet.take({"readings": readings("Q-AAA", "2024-02-01", 5, base=10_304)})
        after = everything(fleet.store)
        assert after.pop("head") != before.pop("head")
        assert after == before

    def test_and_are_not_even_looked_at(self, fleet: Intake, monkeypatch: pytest.MonkeyPatch) -> None:
        def never(*args: object, **more: object) -> None:
            raise AssertionError("a daily reading derives nothing")

        monkeypatch.setattr("fleetlife.actions.settle.follow", never)
        fleet.take({"readings": readings("Q-AAA", "2024-02-01", 5, base=10_304)})

    def test_the_reading_settles_a_provisional_end(self, fleet: Intake) -> None:
        fleet.take({"movements": [movement("2024-02-03", off="0101")]})
        (row,) = carried(fleet.store, "0101")
        assert (row.until_basis, row.until_minutes) == ("provisional", h("10320:00"))
        fleet.take({"readings": readings("Q-AAA", "2024-02-05", 1, base=10_330)})
        (row,) = carried(fleet.store, "0101")
        assert (row.until_basis, row.until_minutes) == ("bounded", h("10330:00"))
        assert rebuilt_differs(fleet.store) == {}

    def test_a_reading_in_between_narrows_a_bound(self, fleet: Intake) -> None:
        fleet.take({"readings": readings("Q-AAA", "2024-03-01", 1, base=10_400)})
        fleet.take({"movements": [movement("2024-02-10", off="0101", fit="0103")]})
        assert carried(fleet.store, "0101")[0].until_minutes == h("10400:00")
        assert carried(fleet.store, "0103")[0].from_minutes == h("10296:00")
        fleet.take({"readings": readings("Q-AAA", "2024-02-09", 2, base=10_350)})
        assert carried(fleet.store, "0101")[0].until_minutes == h("10358:00")
        assert carried(fleet.store, "0103")[0].from_minutes == h("10350:00")
        assert rebuilt_differs(fleet.store) == {}

    def test_work_done_on_the_aircraft_is_counted_anew(self, fleet: Intake) -> None:
        rule = {"requirement": "CHK", "part_number": SLIDE, "kind": "inspection", "programme": "TERN", "edition": "3"}
        fleet.take(
            {
                "requirements": [{**rule, "effective_from": "2015-01-01", "repeat_hours": "600:00", "reference": "C"}],
                "accomplishments": [
                    {"part_number": SLIDE, "serial_number": "0101", "requirement": "CHK", "date": "2024-02-10"}
                ],
            }
        )
        fleet.take({"readings": readings("Q-AAA", "2024-02-08", 2, base=10_350)})
        assert rebuilt_differs(fleet.store) == {}
        assert any(row.due_minutes == h("10958:00") for row in due(fleet.store, "0101"))

    def test_the_totals_at_the_approval_of_a_variation_are_looked_up_anew(self, fleet: Intake) -> None:
        rule = {"requirement": "CHK", "part_number": SLIDE, "kind": "inspection", "programme": "TERN", "edition": "3"}
        fleet.take(
            {
                "requirements": [
                    {
                        **rule,
                        "effective_from": "2015-01-01",
                        "repeat_hours": "600:00",
                        "reference": "C",
                        "variation_allowed": "yes",
                    }
                ],
                "accomplishments": [
                    {
                        "part_number": SLIDE,
                        "serial_number": "0101",
                        "requirement": "CHK",
                        "date": "2023-12-01",
                        "hours_since": "200:00",
                    }
                ],
            }
        )
        fleet.take(
            {
                "variations": [
                    {
                        "part_number": SLIDE,
                        "serial_number": "0101",
                        "requirement": "CHK",
                        "until_hours": "10600:00",
                        "approved_on": "2024-02-20",
                        "approved_by": "K1",
                    }
                ]
            }
        )
        fleet.take({"readings": readings("Q-AAA", "2024-02-20", 1, base=10_500)})
        assert rebuilt_differs(fleet.store) == {}

    def test_a_late_reading_of_the_day_of_the_opening(self, intake: Intake) -> None:
        files = small_fleet()
        files["readings"] = [row for row in files["readings"] if row["date"] != "2024-01-01"]
        intake.take(files)
        assert carried(intake.store, "0101")[0].from_basis == "bounded"
        intake.take({"readings": readings("Q-AAA", "2024-01-01", 1, base=10_056)})
        (row,) = carried(intake.store, "0101")
        assert (row.from_basis, row.from_minutes) == ("opening", h("10056:00"))
        assert row.from_moment == end_of_day(d("2024-01-01"))
        assert rebuilt_differs(intake.store) == {}

    def test_readings_of_the_airframe_where_a_found_unit_was_believed(self, fleet: Intake) -> None:
        fleet.take({"movements": [{**movement("2024-01-15", "L1", fit="0103"), "registration": "Q-BBB"}]})
        fleet.take({"movements": [movement("2024-02-10", "L1", off="0103", found="yes")]})
        fleet.take({"readings": readings("Q-BBB", "2024-02-12", 1, base=5_999)})
        assert rebuilt_differs(fleet.store) == {}

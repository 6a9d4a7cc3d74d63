"""A swap recorded: what happened can always be recorded, what cannot be is refused, and nothing is half done."""

from __future__ import annotations

import threading
from datetime import date
from typing import Any

import pytest

from fleetlife.actions.mend import correct, withdraw
from fleetlife.actions.swap import Acknowledgement, SwapRequest, UnitName, record_swap
from fleetlife.answers.swap_check import swap_check
from fleetlife.answers.verify import verify
from fleetlife.store.engine import Store
from fleetlife.store.facts import entry as entry_of
from fleetlife.terms.refusal import Refusal
from fleetlife.terms.views import SwapRecorded

from .fleet import (
    BATTERY,
    BOTTLE,
    SLIDE,
    Intake,
    carried,
    d,
    due,
    everything,
    h,
    head,
    movement,
    readings,
    rebuilt_differs,
    state,
    stays,
    transfer,
    unit,
    unit_id,
)

TODAY = date(2024, 2, 1)


def named(serial: str | None, part: str = SLIDE) -> UnitName | None:
    return None if serial is None else UnitName(part_number=part, serial_number=serial)


def swap(
    store: Store,
    *,
    fit: str | None = None,
    off: str | None = None,
    found: str | None = None,
    position: str = "L1",
    on: str = "2024-01-10",
    accept: tuple[str, ...] = (),
    as_of: date = TODAY,
    request_key: str | None = None,
    preview: bool = False,
    **fields: Any,
) -> SwapRecorded:
    given = {"registration": "Q-AAA", "position": position, "on": date.fromisoformat(on)}
    return record_swap(
        store,
        SwapRequest(install=named(fit), remove=named(off), found=named(found), **{**given, **fields}),
        as_of=as_of,
        recorded_by="clerk",
        acknowledged=[Acknowledgement(finding=code, name="K12", reason="as found on the ramp") for code in accept],
        request_key=request_key,
        preview=preview,
    )


def refusal(store: Store, **request: Any) -> Refusal:
    """The refusal; the records are as they were before."""
    before = everything(store)
    with pytest.raises(Refusal) as refused:
        swap(store, **request)
    assert everything(store) == before
    assert refused.value.remedy
    return refused.value


class TestSwap:
    def test_one_comes_off_and_the_other_goes_on(self, fleet: Intake) -> None:
        store = fleet.store
        before = head(store)
        told = swap(store, fit="0103", removed_to="shop", removed_to_name="Fulmar", removal_kind="scheduled")
        assert told.entry == head(store) == before + 1
        assert not told.already
        off, on = state(store, "0101"), state(store, "0103")
        assert (off.kind, off.place_name, off.condition, off.harness) == ("shop", "Fulmar", "unserviceable", "unknown")
        assert (on.kind, on.position, on.harness) == ("position", "L1", "left")
        assert state(store, "R3").carried_airframe_id == on.carried_airframe_id
        assert state(store, "R1").carried_airframe_id is None
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_it_tells_what_was_before_and_after_and_what_falls_due(self, fleet: Intake) -> None:
        told = swap(fleet.store, fit="0103")
        assert told.before[0] == ("Q-AAA L1", f"{SLIDE} 0101")
        assert ("Q-AAA L1", f"{SLIDE} 0103, rigged left") in told.after
        assert {(row.serial_number, row.requirement) for row in told.due} == {
            ("0103", "OVH"),
            ("R3", "HST"),
            ("0101", "OVH"),
            ("R1", "HST"),
        }
        assert told.findings == ()

    def test_stated_totals_make_both_ends_exact(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", minutes_total=h("10125:30"), cycles_total=1012)
        assert [(r.until_minutes, r.until_basis) for r in carried(fleet.store, "0101")] == [(h("10125:30"), "stated")]
        assert [(r.from_minutes, r.from_basis) for r in carried(fleet.store, "0103")] == [(h("10125:30"), "stated")]

    def test_the_due_points_follow_the_unit_to_its_new_airframe(self, fleet: Intake) -> None:
        (before,) = due(fleet.store, "0103")
        assert (before.due_minutes, before.left_minutes) == (None, h("9900:00"))
        swap(fleet.store, fit="0103", minutes_total=h("10125:00"), cycles_total=1012)
        (after,) = due(fleet.store, "0103")
        assert (after.due_minutes, after.left_minutes) == (h("20025:00"), None)

    def test_everything_said_with_it_is_in_the_entry(self, fleet: Intake) -> None:
        said = {"technical_log": "TL-5", "signed_by": "K12", "defect": "pressure low", "data_revision": "7"}
        told = swap(fleet.store, fit="0103", **said)
        with fleet.store.reading() as connection:
            body = entry_of(connection, told.entry).body
        assert body["kind"] == "movement"
        assert said.items() <= body["items"][0].items()
        assert body["subject"]["units"] == [unit_id(fleet.store, "0101"), unit_id(fleet.store, "0103")]

    def test_a_removal_alone(self, fleet: Intake) -> None:
        told = swap(fleet.store, remove_only=True, station="QKA")
        assert state(fleet.store, "0101").place_name == "QKA"
        assert ("Q-AAA L1", "empty") in told.after

    def test_a_fitting_to_an_empty_position(self, fleet: Intake) -> None:
        swap(fleet.store, off="0101", on="2024-01-10")
        told = swap(fleet.store, fit="0103", on="2024-01-12")
        assert ("Q-AAA L1", "empty") in told.before
        assert state(fleet.store, "0103").position == "L1"

    def test_off_and_on_again_on_one_day_are_put_in_order(self, fleet: Intake) -> None:
        swap(fleet.store, off="0101", removal_kind="access", removed_condition="serviceable")
        swap(fleet.store, fit="0101")
        assert [(r.kind, r.from_moment % 10_000) for r in stays(fleet.store, "0101")][1:] == [
            ("store", 10),
            ("position", 20),
        ]

    def test_an_earlier_swap_recorded_late(self, fleet: Intake) -> None:
        swap(fleet.store, position="R1", fit="0104", on="2024-01-20")
        swap(fleet.store, position="L1", fit="0103", on="2024-01-05")
        assert rebuilt_differs(fleet.store) == {}

    def test_a_stay_between_two_that_are_recorded_needs_both_its_ends_at_once(self, fleet: Intake) -> None:
        store = fleet.store
        swap(store, off="0101", on="2024-01-05", removal_kind="access", removed_condition="serviceable")
        swap(store, fit="0101", on="2024-01-20", accept=("PAP104",))
        assert refusal(store, fit="0103", on="2024-01-10").code == "place-occupied"
        fleet.take({"movements": [movement("2024-01-10", fit="0103"), movement("2024-01-15", off="0103")]})
        assert [row.kind for row in stays(store, "0103")] == ["store", "position", "store"]
        assert rebuilt_differs(store) == {}

    def test_on_the_rows_own_date_the_registration_counts(self, fleet: Intake) -> None:
        fleet.take({"registrations": [{"constructor_serial": "1001", "registration": "Q-NEW", "from": "2024-01-20"}]})
        assert refusal(fleet.store, fit="0103", on="2024-01-25").code == "registration-not-then"
        swap(fleet.store, fit="0103", on="2024-01-25", registration="Q-NEW")


class TestFound:
    def test_the_unit_found_comes_off_and_the_believed_one_is_nowhere_known(self, fleet: Intake) -> None:
        store = fleet.store
        told = swap(store, found="0104", fit="0103", minutes_total=h("10125:00"), cycles_total=1012)
        assert (state(store, "0101").kind, state(store, "0101").condition) == ("unknown", "unknown")
        assert state(store, "0104").kind == "store"
        assert state(store, "0103").position == "L1"
        assert [row.from_basis for row in carried(store, "0104")] == ["doubtful"]
        assert (f"{SLIDE} 0101", "place unknown since then") in told.after
        assert rebuilt_differs(store) == {}

    def test_a_unit_of_unknown_place_is_not_fitted_without_a_word(self, fleet: Intake) -> None:
        swap(fleet.store, found="0104", fit="0103", on="2024-01-10")
        refused = refusal(fleet.store, position="R1", fit="0101", on="2024-01-15")
        assert refused.code == "stops-not-acknowledged"
        assert any(detail.startswith("FIT106") for detail in refused.details)

    def test_found_where_it_was_recorded_is_a_plain_removal(self, fleet: Intake) -> None:
        swap(fleet.store, found="0101", fit="0103")
        assert [row.until_known for row in stays(fleet.store, "0101")] == [True, True]

    def test_found_and_removed_are_not_both_said(self, fleet: Intake) -> None:
        assert refusal(fleet.store, found="0104", off="0101", fit="0103").code == "found-and-removed"

    def test_found_on_the_door_of_another(self, fleet: Intake) -> None:
        """The unit recorded on the right door hung on the left one."""
        swap(fleet.store, found="0102", fit="0103")
        assert state(fleet.store, "0102").kind == "store"
        assert state(fleet.store, "0101").kind == "unknown"
        assert [row.until_known for row in stays(fleet.store, "0102")] == [False, True]
        assert rebuilt_differs(fleet.store) == {}


class TestStops:
    """A stop is acknowledged by name and reason, or the entry is not made; it stays open on the airframe."""

    def on_hold(self, fleet: Intake) -> Store:
        fleet.take({"transfers": [transfer("0103", "2024-01-05", "store", store="Main", hold="suspect seal")]})
        return fleet.store

    def test_every_stop_is_told_and_nothing_recorded(self, fleet: Intake) -> None:
        fleet.take(
            {
                "transfers": [
                    transfer("0103", "2024-01-05", "store", store="Main", hold="suspect seal",
                             condition="unserviceable"),
                    transfer("R3", "2024-01-06", "store", BOTTLE, store="Main"),
                ]
            }
        )  # fmt: skip
        refused = refusal(fleet.store, fit="0103")
        assert refused.code == "stops-not-acknowledged"
        assert {detail.split()[0] for detail in refused.details} == {"FIT107", "FIT109", "FIT105"}
        assert "--acknowledge" in refused.remedy

    def test_acknowledged_it_is_recorded_and_stays_open(self, fleet: Intake) -> None:
        store = self.on_hold(fleet)
        told = swap(store, fit="0103", accept=("fit107",))
        assert [(f.code, f.registration, f.position) for f in told.findings] == [("FIT107", "Q-AAA", "L1")]
        with store.reading() as connection:
            body = entry_of(connection, told.entry).body
        assert body["acknowledged"] == [
            {"finding": "FIT107", "subject": f"{SLIDE} 0103", "reason": "as found on the ramp", "name": "K12"}
        ]
        assert state(store, "0103").hold == "suspect seal"

    def test_another_codes_acknowledgement_is_none(self, fleet: Intake) -> None:
        store = self.on_hold(fleet)
        assert refusal(store, fit="0103", accept=("FIT109",)).code == "stops-not-acknowledged"

    def test_what_is_acknowledged_in_vain_is_not_kept(self, fleet: Intake) -> None:
        told = swap(fleet.store, fit="0103", accept=("FIT107",))
        with fleet.store.reading() as connection:
            assert "acknowledged" not in entry_of(connection, told.entry).body

    def test_a_rig_for_the_other_side_is_answered_by_the_rig_stated(self, fleet: Intake) -> None:
        assert refusal(fleet.store, fit="0104").code == "stops-not-acknowledged"
        swap(fleet.store, fit="0104", harness="left")
        assert state(fleet.store, "0104").harness == "left"

    def test_a_part_not_eligible_there_is_a_stop(self, fleet: Intake) -> None:
        fleet.take({"parts": [{"part_number": "QX900-1", "manufacturer": "Auk"}], "units": [unit("QX900-1", "7")]})
        given = SwapRequest(registration="Q-AAA", position="L1", on=TODAY, install=named("7", "QX900-1"))
        with pytest.raises(Refusal) as told:
            record_swap(fleet.store, given, as_of=TODAY, recorded_by="clerk")
        assert {"FIT101", "LIF103", "PAP103"} <= {detail.split()[0] for detail in told.value.details}

    def test_what_cannot_be_is_refused_even_if_acknowledged(self, fleet: Intake) -> None:
        refused = refusal(fleet.store, fit="0102", accept=("FIT108", "FIT102", "PAP104"))
        assert refused.code == "installed-elsewhere"
        assert "entry" in refused.message

    def test_the_unit_that_hangs_there_is_not_fitted_over_itself(self, fleet: Intake) -> None:
        refused = refusal(fleet.store, fit="0101", accept=("FIT108", "FIT102", "PAP104"))
        assert refused.code == "removed-and-installed"

    def test_nor_asked_to_be_acknowledged_over_itself(self, fleet: Intake) -> None:
        assert refusal(fleet.store, fit="0101").code == "removed-and-installed"


class TestRefused:
    @pytest.mark.parametrize(
        ("request_", "code"),
        [
            ({"fit": "0103", "on": "2024-02-02"}, "in-the-future"),
            ({"position": "R1", "off": "0101", "fit": "0104"}, "not-at-position"),
            ({"off": "0104", "fit": "0103"}, "not-at-position"),
            ({"off": "0999"}, "unit-unknown"),
            ({"fit": "0103", "position": "L7"}, "position-unknown"),
            ({"fit": "0103", "registration": "Q-ZZZ"}, "registration-unknown"),
            ({"fit": "0103", "minutes_total": h("10119:59")}, "totals-fall"),
            ({"fit": "0103", "minutes_total": h("10128:01")}, "totals-fall"),
            ({"fit": "0103", "cycles_total": 1013}, "totals-fall"),
            ({"off": "0101", "on": "2023-12-31"}, "before-opening"),
        ],
    )
    def test_nothing_is_recorded(self, fleet: Intake, request_: dict[str, Any], code: str) -> None:
        assert refusal(fleet.store, **request_).code == code

    def test_today_is_not_the_future(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", on="2024-02-01")

    def test_an_empty_position_gives_nothing_off(self, fleet: Intake) -> None:
        swap(fleet.store, off="0101")
        assert refusal(fleet.store, off="0101", on="2024-01-12").code == "position-empty"
        assert refusal(fleet.store, remove_only=True, on="2024-01-12").code == "position-empty"
        assert refusal(fleet.store, on="2024-01-12").code == "nothing-to-record"

    def test_totals_below_those_of_another_door(self, fleet: Intake) -> None:
        swap(fleet.store, off="0101", on="2024-01-31", minutes_total=h("10295:00"), cycles_total=1029)
        refused = refusal(
            fleet.store, position="R1", off="0102", on="2024-01-31", sequence=20, minutes_total=h("10294:00")
        )
        assert refused.code == "totals-fall"

    def test_the_entry_in_the_way_is_named(self, fleet: Intake) -> None:
        told = swap(fleet.store, off="0101", on="2024-01-20")
        refused = refusal(fleet.store, off="0101", fit="0103", on="2024-01-10", sequence=5)
        assert f"entry {told.entry}" in refused.message + " ".join(refused.details)


class TestPreview:
    def test_it_shows_everything_and_writes_nothing(self, fleet: Intake) -> None:
        before = everything(fleet.store)
        shown = swap(fleet.store, fit="0103", preview=True)
        assert everything(fleet.store) == before
        recorded = swap(fleet.store, fit="0103")
        assert (shown.before, shown.after, shown.entry) == (recorded.before, recorded.after, recorded.entry)
        assert [row.due_date for row in shown.due] == [row.due_date for row in recorded.due]

    def test_stops_are_shown_and_not_refused(self, fleet: Intake) -> None:
        fleet.take({"transfers": [transfer("0103", "2024-01-05", "store", store="Main", hold="suspect seal")]})
        before = everything(fleet.store)
        assert [f.code for f in swap(fleet.store, fit="0103", preview=True).findings] == ["FIT107"]
        assert everything(fleet.store) == before

    def test_the_impossible_is_refused_in_a_preview_too(self, fleet: Intake) -> None:
        assert refusal(fleet.store, off="0104", preview=True).code == "not-at-position"

    def test_a_preview_leaves_no_request_key(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", preview=True, request_key="k")
        assert not swap(fleet.store, fit="0103", request_key="k").already


class TestRequestKey:
    def test_asked_again_gives_the_same_entry(self, fleet: Intake) -> None:
        first = swap(fleet.store, fit="0103", request_key="k")
        before = everything(fleet.store)
        again = swap(fleet.store, fit="0103", request_key="k")
        assert (again.entry, again.already) == (first.entry, True)
        assert everything(fleet.store) == before

    def test_with_other_content_it_is_refused(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", request_key="k")
        assert refusal(fleet.store, off="0102", position="R1", request_key="k").code == "request-key-reused"

    def test_a_refusal_leaves_no_key(self, fleet: Intake) -> None:
        assert refusal(fleet.store, off="0104", request_key="k").code == "not-at-position"
        assert not swap(fleet.store, fit="0103", request_key="k").already

    def test_two_at_once_make_one_entry(self, fleet: Intake) -> None:
        before = head(fleet.store)
        told: list[SwapRecorded] = []
        threads = [
            threading.Thread(target=lambda: told.append(swap(fleet.store, fit="0103", request_key="k")))
            for _ in range(4)
        ]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert head(fleet.store) == before + 1
        assert sorted(one.already for one in told) == [False, True, True, True]
        assert {one.entry for one in told} == {before + 1}


class TestTwoClerks:
    def test_of_two_who_fit_one_unit_one_is_refused(self, fleet: Intake) -> None:
        outcome: list[str] = []

        def record(position: str, harness: str) -> None:
            try:
                swap(fleet.store, fit="0103", position=position, harness=harness)
                outcome.append("recorded")
            except Refusal as refused:
                outcome.append(refused.code)

        threads = [threading.Thread(target=record, args=args) for args in (("L1", "left"), ("R1", "right"))]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(outcome) == ["recorded", "stops-not-acknowledged"]
        assert rebuilt_differs(fleet.store) == {}


class TestMended:
    """Corrections and withdrawals derive again what they touch."""

    def mend(self, store: Store, number: int, **changes: Any) -> None:
        correct(store, number, changes=changes, reason="misread", authorised_by="K1", recorded_by="clerk")

    def test_a_corrected_swap_moves_the_other_unit(self, fleet: Intake) -> None:
        store = fleet.store
        told = swap(store, fit="0103")
        self.mend(store, told.entry, installed=unit_id(store, "0104"))
        assert (state(store, "0103").kind, state(store, "0104").position) == ("store", "L1")
        assert [row.kind for row in stays(store, "0103")] == ["store"]
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_a_withdrawn_swap_leaves_no_trace_but_the_entries(self, fleet: Intake) -> None:
        store = fleet.store
        before = everything(store)
        told = swap(store, fit="0103")
        withdraw(store, told.entry, reason="entered twice", authorised_by="K1", recorded_by="clerk")
        after = everything(store)
        assert after.pop("head")[0] == before.pop("head")[0] + 2
        assert after == before
        assert verify(store).findings == ()

    def test_a_correction_that_cannot_be_is_refused_whole(self, fleet: Intake) -> None:
        store = fleet.store
        told = swap(store, fit="0103")
        before = everything(store)
        with pytest.raises(Refusal) as refused:
            self.mend(store, told.entry, installed=unit_id(store, "0102"))
        assert refused.value.code == "installed-elsewhere"
        assert everything(store) == before

    def read_anew(self, store: Store, on: str, hours: str) -> int:
        """Correct the first airframe's reading of a day; how many units were derived again."""
        with store.reading() as connection:
            number, item = connection.exec_driver_sql(
                f"SELECT entry_number, entry_item FROM reading WHERE airframe = 1 AND read_on = {d(on)}"
            ).one()
        changes = {"minutes": h(hours)}
        return correct(
            store, number, item=item, changes=changes, reason="misread", authorised_by="K1", recorded_by="clerk"
        ).units

    def test_a_corrected_reading_of_the_day_of_the_opening(self, fleet: Intake) -> None:
        assert self.read_anew(fleet.store, "2024-01-01", "10055:00") > 0
        assert [row.from_minutes for row in carried(fleet.store, "0101")] == [h("10055:00")]
        assert rebuilt_differs(fleet.store) == {}

    def test_a_corrected_reading_on_which_nothing_rests_touches_nothing(self, fleet: Intake) -> None:
        assert self.read_anew(fleet.store, "2024-01-20", "10207:00") == 0
        assert rebuilt_differs(fleet.store) == {}

    def test_a_corrected_reading_moves_the_bounds_beside_it(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", on="2024-01-20")
        assert self.read_anew(fleet.store, "2024-01-20", "10207:00") > 0
        assert carried(fleet.store, "0101")[0].until_minutes == h("10207:00")
        assert self.read_anew(fleet.store, "2024-01-19", "10199:00") > 0
        assert carried(fleet.store, "0103")[0].from_minutes == h("10199:00")
        assert rebuilt_differs(fleet.store) == {}

    def test_a_corrected_opening_moves_what_it_holds(self, fleet: Intake) -> None:
        store = fleet.store
        with store.reading() as connection:
            number = connection.exec_driver_sql(
                "SELECT entry_number FROM unit WHERE serial_number = '0101'"
            ).scalar_one()
        self.mend(store, number, as_of="2023-12-28")
        assert rebuilt_differs(store) == {}
        assert verify(store).findings == ()

    def test_a_corrected_accomplishment_moves_the_due_date(self, fleet: Intake) -> None:
        store = fleet.store
        with store.reading() as connection:
            number = connection.exec_driver_sql(
                f"SELECT entry_number FROM accomplishment WHERE unit = {unit_id(store, 'R1')}"
            ).scalar_one()
        self.mend(store, number, done_on="2023-05")
        assert [row.calendar_due for row in due(store, "R1")] == [d("2026-05-31")]
        assert rebuilt_differs(store) == {}

    def test_a_withdrawn_accomplishment_leaves_it_unknown(self, fleet: Intake) -> None:
        store = fleet.store
        with store.reading() as connection:
            number = connection.exec_driver_sql(
                f"SELECT entry_number FROM accomplishment WHERE unit = {unit_id(store, 'R1')}"
            ).scalar_one()
        withdraw(store, number, reason="another unit's", authorised_by="K1", recorded_by="clerk")
        assert [row.standing for row in due(store, "R1")] == ["unknown"]
        assert rebuilt_differs(store) == {}

    def test_a_corrected_programme_of_the_airframe_reaches_what_it_carries(self, fleet: Intake) -> None:
        store = fleet.store
        with store.reading() as connection:
            number = connection.exec_driver_sql("SELECT entry_number FROM airframe WHERE airframe = 1").scalar_one()
        correct(
            store, number, item=0, changes={"programme": "AUK"}, reason="sold", authorised_by="K1", recorded_by="clerk"
        )
        assert [row.standing for row in due(store, "0101")] == ["no_programme"]
        assert [row.standing for row in due(store, "R1")] == ["no_programme"]
        assert rebuilt_differs(store) == {}

    def test_a_withdrawn_supersession_reaches_papers_along_the_chain(self, fleet: Intake) -> None:
        fleet.take({"parts": [{"part_number": "QX100-3", "manufacturer": "Kittiwake"}]})
        fleet.take({"alternates": [{"part_number": SLIDE, "alternate": "QX100-3", "direction": "supersedes"}]})
        number = head(fleet.store)
        withdraw(fleet.store, number, reason="wrong list", authorised_by="K1", recorded_by="clerk")
        assert rebuilt_differs(fleet.store) == {}


class TestAfterASwap:
    def test_a_battery_with_a_clock_from_its_fitting(self, fleet: Intake) -> None:
        """Its count begins when it goes into the pack, wherever that is."""
        fleet.take(
            {
                "units": [unit(BATTERY, "B1", store="Main", hours_since_new="0:00", cycles_since_new=0)],
                "transfers": [
                    transfer("B1", "2024-01-05", "parent", BATTERY, parent_part_number=SLIDE,
                             parent_serial_number="0103", slot="battery")
                ],
            }
        )  # fmt: skip
        swap(fleet.store, fit="0103", minutes_total=h("10125:00"), cycles_total=1012)
        (row,) = due(fleet.store, "B1")
        assert row.due_minutes == h("15125:00")

    def test_later_readings_settle_what_the_swap_left_open(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103", on="2024-02-01")
        assert carried(fleet.store, "0101")[0].until_basis == "provisional"
        fleet.take({"readings": readings("Q-AAA", "2024-02-01", 2, base=10_301)})
        assert carried(fleet.store, "0101")[0].until_minutes == h("10301:00")
        assert rebuilt_differs(fleet.store) == {}

    def test_the_same_swap_from_a_file_is_known(self, fleet: Intake) -> None:
        swap(fleet.store, fit="0103")
        report = fleet.take({"movements": [movement("2024-01-10", off="0101", fit="0103")]})
        assert report.entries == 0


class TestAUnitNotYetInTheRecords:
    """The records of the fleet begin on 2024-01-01."""

    def test_is_refused_when_the_day_is_before_its_opening(self, fleet: Intake) -> None:
        told = refusal(fleet.store, fit="0103", on="2023-12-28")
        assert told.code == "unit-not-then"

    def test_is_refused_as_known_before_it_came_in(self, fleet: Intake) -> None:
        with pytest.raises(Refusal) as told:
            swap_check(
                fleet.store,
                registration="Q-AAA",
                position="L1",
                part_number=SLIDE,
                serial_number="0103",
                as_of=TODAY,
                known_at="3",
            )
        assert told.value.code == "unit-not-then"


class TestCost:
    def statements(self, store: Store, **request: Any) -> int:
        """How many statements the database itself was given."""
        seen: list[str] = []
        with store.engine.connect() as connection:
            driver = connection.connection.driver_connection
            assert driver is not None
            driver.set_trace_callback(seen.append)
        swap(store, **request)
        driver.set_trace_callback(None)
        return len([text for text in seen if not text.startswith("--")])

    def test_a_swap_costs_the_same_whatever_the_fleet(self, other_fleet: Intake) -> None:
        """Two swaps of like units, before and after two hundred others and their papers were taken in."""
        store = other_fleet.store
        swap(store, off="0102", position="R1", on="2024-01-05")
        small = self.statements(store, fit="0103", on="2024-01-10")
        serials = [f"5{n:03d}" for n in range(200)]
        new = {"hours_since_new": "100:00", "cycles_since_new": 50}
        paper = {"organisation": "Fulmar Repair", "part_number": SLIDE, "status": "Overhauled", "date": "2023-05-05"}
        other_fleet.take(
            {
                "units": [unit(SLIDE, serial, store="Main", condition="serviceable", **new) for serial in serials],
                "certificates": [{"tracking_number": f"C{s}", "serial_number": s, **paper} for s in serials],
            }
        )
        large = self.statements(store, fit="0104", position="R1", on="2024-01-10")
        assert 10 < small < 150
        assert large <= small

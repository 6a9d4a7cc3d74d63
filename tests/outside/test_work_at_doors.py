"""Before a unit goes on a door: which class of component it is, temporary removals, dispositions, who stands in for
whom, and two investigations."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import ClassVar

import pytest

from fleetlife.actions.take_in import RowsRefused, take_in
from fleetlife.answers.audit import audit
from fleetlife.answers.swap_check import swap_check
from fleetlife.store.engine import Store
from fleetlife.terms.published import RULES
from fleetlife.terms.views import Reason, SwapAnswer
from fleetlife.terms.words import DISPOSITIONS
from fleetlife.transfer.reading import read_folder

from .trade import Row, small_world, state_of, take, write

CLASSES = (
    "145.A.42(a) and M.A.501(a), Regulation (EU) 2021/700, READ: satisfactory components are released on a Form 1 or "
    "equivalent; unserviceable and unsalvageable ones are kept from them; standard parts and material are two more"
)
UNSERVICEABLE = (
    "AMC1 145.A.42(a)(ii), UK regulatory library, READ: service life expired, an airworthiness directive not met, "
    "missing information to determine status or eligibility, a defect, an aircraft in an accident or incident"
)
UNSALVAGEABLE = (
    "AMC1 145.A.42(a)(iii), READ: parts with a mandatory life that reached or exceeded it, or have missing or "
    "incomplete records"
)
TEMPORARY = (
    "14 CFR 43.10(b), 2007 and 2024 editions, READ: no disposition is needed only if the life status is unchanged, the "
    "part goes back to the same serial-numbered product, and that gains no time in service while it is off"
)
DISPOSED = (
    "14 CFR 43.10(c), READ: a record system, a tag, a mark that is not permanent, a permanent mark, segregation, "
    "mutilation, another method that the FAA approved or accepted"
)
ALTERNATE = (
    "AMC M.A.305(c)2(d), UK regulatory library, READ: replacing a component by a fully interchangeable alternate is no "
    "modification if the holder of the design approval has published that condition"
)
BOTTLE = "TSB A95P0073, READ: an off-wing slide was lost; its inflation bottle had been disconnected with no record"
PRACTICE = "common practice of the trade, no source"

UNIT = {"part_number": "QC-1", "serial_number": "0815"}
NOTHING_DUE = {"requirement": "CHECK", "kind": "on_condition", "reference": "CMM 25-60"}
ON = date(2024, 3, 21)


def stocked(*, part_number: str = "QC-1", **more: list[Row]) -> dict[str, list[Row]]:
    """The small world with one pack in stores, rigged left, released, named for L1, with nothing due on it."""
    files = small_world(
        requirements=[{**NOTHING_DUE, "part_number": "QC-1"}],
        units=[
            {
                **UNIT,
                "as_of": "2024-01-01",
                "store": "Main",
                "condition": "serviceable",
                "harness": "left",
                "manufactured": "2015-01",
            }
        ],
        certificates=[
            {
                **UNIT,
                "tracking_number": "P-1",
                "organisation": "Petrel Works",
                "status": "Overhauled",
                "date": "2023-11-02",
            }
        ],
        eligibility=[{"type": "SKUA-4", "position": "L1", "part_number": part_number, "reference": "IPC 1"}],
    )
    for name, rows in more.items():
        files[name] = [*files.get(name, []), *rows]
    return files


def asked(store: Store, *, registration: str = "Q-TWO", position: str = "L1", on: date = ON) -> SwapAnswer:
    return swap_check(store, registration=registration, position=position, **UNIT, as_of=on)


def told(answer: SwapAnswer, *topics: str) -> list[tuple[str, str | None]]:
    """Verdict and code of what is said, clear reasons left out."""
    reasons: list[Reason] = [each for each in answer.reasons if each.verdict != "clear"]
    return [(each.verdict, each.code) for each in reasons if not topics or each.topic in topics]


class TestClassesOfComponents:
    def test_one_that_is_satisfactory_and_named_by_the_data_meets_no_objection(
        self, store: Store, tmp_path: Path
    ) -> None:
        take(store, tmp_path / "files", stocked())
        assert asked(store).outcome == "no objection in these records", CLASSES

    def test_without_a_release_certificate_it_is_not_fitted(self, store: Store, tmp_path: Path) -> None:
        files = stocked()
        del files["certificates"]
        take(store, tmp_path / "files", files)
        assert told(asked(store)) == [("stop", "PAP103")], CLASSES

    @pytest.mark.parametrize("condition", ["unserviceable", "unsalvageable"])
    def test_the_two_other_classes_are_not_fitted_whatever_their_paper_says(
        self, store: Store, tmp_path: Path, condition: str
    ) -> None:
        files = stocked()
        files["units"][0]["condition"] = condition
        take(store, tmp_path / "files", files)
        assert told(asked(store)) == [("stop", "FIT109")], CLASSES

    @pytest.mark.parametrize(
        ("hours", "expected"),
        [("19999:59", []), ("20000:00", [("stop", "LIF101")]), ("20000:01", [("stop", "LIF101")])],
    )
    def test_a_life_that_is_reached_is_over_and_not_only_one_that_is_exceeded(
        self, store: Store, tmp_path: Path, hours: str, expected: list[tuple[str, str]]
    ) -> None:
        files = stocked()
        files["units"][0].update(hours_since_new=hours, cycles_since_new=1)
        files["certificates"][0].update(hours_since_new=hours, cycles_since_new=1)
        life = {"requirement": "LIFE", "part_number": "QC-1", "kind": "life_limit", "start": "manufacture"}
        files["requirements"] = [{**life, "first_hours": "20000:00"}]
        take(store, tmp_path / "files", files)
        assert told(asked(store), "life") == expected, UNSALVAGEABLE

    def test_with_a_directive_not_met_it_is_unserviceable(self, store: Store, tmp_path: Path) -> None:
        """The first time limit has passed and nothing recorded closes it."""
        files = stocked(
            publications=[{"publication": "QD-2024-01", "kind": "directive", "effective_on": "2024-01-10"}],
            applicability=[{"publication": "QD-2024-01", "part_number": "QC-1"}],
            compliance=[{"publication": "QD-2024-01", "action": "replace", "comply_by": "2024-03-01"}],
        )
        take(store, tmp_path / "files", files)
        assert told(asked(store, on=date(2024, 3, 1)), "directives") == [], UNSERVICEABLE
        assert told(asked(store), "directives") == [("stop", "PUB101")], UNSERVICEABLE

    def test_removed_with_a_defect_it_is_unserviceable_unless_somebody_states_otherwise(
        self, store: Store, tmp_path: Path
    ) -> None:
        take(store, tmp_path / "files", on_the_door(removal_kind="unscheduled", defect="tear at the girt"))
        assert state_of(store, "0815").condition == "unserviceable", UNSERVICEABLE
        assert ("stop", "FIT109") in told(asked(store, registration="Q-ONE"))

    def test_with_nothing_to_tell_its_status_by_it_is_not_fitted(self, store: Store, tmp_path: Path) -> None:
        """Missing information to determine the status: no requirement is in force for the part number."""
        files = stocked()
        del files["requirements"]
        take(store, tmp_path / "files", files)
        assert told(asked(store)) == [("stop", "LIF103")], UNSERVICEABLE

    @pytest.mark.parametrize("key", ["M.A.501(a)", "AMC1 145.A.42(a)(ii)", "AMC1 145.A.42(a)(iii)", "M.A.501(b)"])
    def test_the_rules_are_cited_as_read(self, key: str) -> None:
        assert not RULES[key].from_memory


def on_the_door(**off: str) -> dict[str, list[Row]]:
    """The same pack on L1 of Q-ONE until it is taken off on 2024-02-01 and put into stores."""
    files = stocked()
    files["units"][0].update(store="", registration="Q-ONE", position="L1", installed="2023-12-01", condition="")
    files["movements"] = [
        {
            "date": "2024-02-01",
            "registration": "Q-ONE",
            "position": "L1",
            "removed_part_number": "QC-1",
            "removed_serial_number": "0815",
            "removed_to": "store",
            "hours_total": "10103:00",
            "cycles_total": 10_103,
            **off,
        }
    ]
    return files


class TestTemporaryRemoval:
    """Asked four days after the removal. Time in service meanwhile is told by readings, or by none."""

    FOUR_DAYS_ON = date(2024, 2, 5)

    def release(self, store: Store, registration: str) -> list[tuple[str, str | None]]:
        return told(asked(store, registration=registration, on=self.FOUR_DAYS_ON), "release")

    @pytest.mark.parametrize("kind", ["access", "convenience"])
    @pytest.mark.parametrize(
        ("day", "hours", "expected"),
        [
            ("2024-02-05", "10103:00", ("note", "PAP104")),
            ("2024-02-04", "10104:00", ("stop", "PAP104")),
            ("2024-02-05", "10104:00", ("condition", "PAP104")),
            (None, "", ("condition", "PAP104")),
        ],
        ids=["none gained", "gained the day before", "gained that day, before it or after", "no reading says so"],
    )
    def test_back_to_the_same_serial_numbered_product(
        self, store: Store, tmp_path: Path, kind: str, day: str | None, hours: str, expected: tuple[str, str]
    ) -> None:
        files = on_the_door(removal_kind=kind)
        if day is not None:
            then = {"registration": "Q-ONE", "date": day, "hours_total": hours, "cycles_total": 10_103}
            files["readings"] = [*files.get("readings", []), then]
        take(store, tmp_path / "files", files)
        assert self.release(store, "Q-ONE") == [expected], TEMPORARY

    @pytest.mark.parametrize("kind", ["access", "convenience"])
    def test_to_another_serial_numbered_product_the_exception_fails(
        self, store: Store, tmp_path: Path, kind: str
    ) -> None:
        take(store, tmp_path / "files", on_the_door(removal_kind=kind))
        assert self.release(store, "Q-TWO") == [("stop", "PAP104")], TEMPORARY

    @pytest.mark.parametrize("kind", ["unscheduled", "scheduled"])
    def test_a_removal_for_what_ails_it_is_no_temporary_one(self, store: Store, tmp_path: Path, kind: str) -> None:
        take(store, tmp_path / "files", on_the_door(removal_kind=kind))
        assert self.release(store, "Q-ONE") == [("stop", "PAP104")], TEMPORARY

    def test_fitted_to_another_one_all_the_same_it_is_found(self, store: Store, tmp_path: Path) -> None:
        files = on_the_door(removal_kind="access")
        files["movements"].append(
            {
                "date": "2024-02-05",
                "registration": "Q-TWO",
                "position": "L1",
                "installed_part_number": "QC-1",
                "installed_serial_number": "0815",
            }
        )
        take(store, tmp_path / "files", files)
        found = {each.code for each in audit(store, as_of=self.FOUR_DAYS_ON).findings}
        assert "PAP104" in found, TEMPORARY


class TestDispositions:
    published: ClassVar[dict[str, str]] = {
        "record system": "record",
        "tag": "tag",
        "mark that is not permanent": "mark",
        "permanent mark": "permanent_mark",
        "segregation": "segregated",
        "mutilation": "mutilated",
        "other method approved or accepted": "other",
    }

    def scrapped(self, how: str) -> dict[str, list[Row]]:
        return stocked(transfers=[{**UNIT, "date": "2024-02-10", "to": "scrap", "disposition": how}])

    def test_there_are_seven_and_a_word_for_each(self) -> None:
        assert len(self.published) == 7, DISPOSED
        assert set(self.published.values()) == set(DISPOSITIONS), DISPOSED

    @pytest.mark.parametrize("how", sorted(published.values()))
    def test_each_is_taken_in_and_the_part_stays_out_of_supply(
        self, sqlite_store: Store, tmp_path: Path, how: str
    ) -> None:
        take(sqlite_store, tmp_path / "files", self.scrapped(how))
        assert state_of(sqlite_store, "0815").kind == "scrap"
        assert ("stop", "FIT108") in told(asked(sqlite_store), "place"), DISPOSED

    def test_an_eighth_is_refused(self, sqlite_store: Store, tmp_path: Path) -> None:
        with pytest.raises(RowsRefused) as refused:
            take_in(sqlite_store, read_folder(write(tmp_path / "files", self.scrapped("shelved"))), recorded_by="clerk")
        assert [problem.column for problem in refused.value.problems] == ["disposition"]


class TestWhoStandsInForWhom:
    """The row names QC-9; the pack in stores is a QC-1."""

    def world(self, **row: str) -> dict[str, list[Row]]:
        files = stocked(part_number="QC-9", alternates=[{"part_number": "QC-9", "alternate": "QC-1", **row}])
        files["parts"].append({"part_number": "QC-9", "manufacturer": "Gannet", "rig": "either"})
        return files

    def eligibility(self, store: Store) -> list[tuple[str, str | None]]:
        return told(asked(store), "eligibility")

    def test_a_published_alternate_is_no_modification(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(direction="one-way", reference="SL-7"))
        assert self.eligibility(store) == [], ALTERNATE

    def test_one_that_nobody_can_show_to_be_published_has_to_be_shown_first(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.world(direction="one-way"))
        assert self.eligibility(store) == [("condition", "FIT110")], ALTERNATE

    @pytest.mark.parametrize("direction", ["two-way", "supersedes"])
    def test_what_it_depends_on_is_told_and_met_first(self, store: Store, tmp_path: Path, direction: str) -> None:
        """S1000D, element `replacedBy` (READ): may depend on technical conditions. A substitute item of MIL-STD-480
        is interchangeable only under stated conditions (from memory)."""
        take(store, tmp_path / "files", self.world(direction=direction, reference="SL-7", conditions="bracket kit K-2"))
        assert self.eligibility(store) == [("condition", "FIT101")]
        assert "bracket kit K-2" in " ".join(each.text for each in asked(store).reasons)

    @pytest.mark.parametrize(
        ("direction", "verdicts"), [("two-way", []), ("one-way", ["stop"]), ("supersedes", ["stop"])]
    )
    def test_an_interchangeable_item_goes_both_ways_and_forward_only_does_not(
        self, store: Store, tmp_path: Path, direction: str, verdicts: list[str]
    ) -> None:
        """MIL-STD-480: exchangeable both ways; forward only: the new one replaces the old one alone (both from memory).
        Here QC-9 is stated to replace QC-1, and QC-1 is asked about."""
        files = self.world()
        files["alternates"] = [
            {"part_number": "QC-1", "alternate": "QC-9", "direction": direction, "reference": "SL-7"}
        ]
        take(store, tmp_path / "files", files)
        assert [verdict for verdict, _ in self.eligibility(store)] == verdicts

    def test_as_a_set_is_no_direction(self, sqlite_store: Store, tmp_path: Path) -> None:
        """ATA Spec 2000, change code 4, interchangeable as a set: practitioners cannot tell whether that is one-way or
        two-way (READ in their question). A row that does not say is refused, never read as both."""
        with pytest.raises(RowsRefused) as refused:
            take_in(
                sqlite_store, read_folder(write(tmp_path / "files", self.world(reference="4"))), recorded_by="clerk"
            )
        assert [problem.column for problem in refused.value.problems] == ["direction"]


class TestBottleTakenOut:
    def with_bottle(self, **more: list[Row]) -> dict[str, list[Row]]:
        files = stocked(**more)
        files["parts"].append({"part_number": "QB-1", "manufacturer": "Gannet", "rig": "none"})
        files["slots"] = [
            {"part_number": "QC-1", "slot": "bottle", "child_part_number": "QB-1", "required": "yes"},
        ]
        files["requirements"].append({**NOTHING_DUE, "part_number": "QB-1"})
        files["units"].append(
            {
                "part_number": "QB-1",
                "serial_number": "77",
                "as_of": "2024-01-01",
                "parent_part_number": "QC-1",
                "parent_serial_number": "0815",
                "slot": "bottle",
                "condition": "serviceable",
            }
        )
        return files

    out: ClassVar[Row] = {
        "part_number": "QB-1",
        "serial_number": "77",
        "date": "2024-02-10",
        "to": "store",
        "store": "Main",
    }

    def test_a_slide_whose_bottle_was_taken_out_is_not_fitted(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", self.with_bottle(transfers=[self.out]))
        assert told(asked(store, on=date(2024, 2, 9)), "assembly") == []
        assert told(asked(store), "assembly") == [("stop", "FIT105")], BOTTLE

    def test_taken_out_on_the_aircraft_it_is_found(self, store: Store, tmp_path: Path) -> None:
        """What is recorded is found; what is done with no record, as in that case, no records show."""
        files = self.with_bottle(transfers=[self.out])
        files["units"][0].update(store="", registration="Q-ONE", position="L1", installed="2023-12-01", condition="")
        take(store, tmp_path / "files", files)
        found = [each for each in audit(store, as_of=ON).findings if each.code == "FIT105"]
        assert [(each.severity, each.position) for each in found] == [("stop", "L1")], BOTTLE


class TestBeforeItIsFitted:
    """What the trade does without a written source."""

    @pytest.mark.parametrize(
        ("column", "printed", "code"), [("serial_number", "0851", "PAP102"), ("part_number", "QC-7", "PAP101")]
    )
    def test_the_numbers_on_the_unit_are_held_against_the_certificate(
        self, store: Store, tmp_path: Path, column: str, printed: str, code: str
    ) -> None:
        files = stocked()
        filed = {f"filed_{name}": value for name, value in UNIT.items()}
        files["certificates"][0].update({column: printed, **filed})
        take(store, tmp_path / "files", files)
        assert code in {code for _, code in told(asked(store), "paper")}, PRACTICE
        assert asked(store).outcome == "do not fit", PRACTICE

    def test_a_pack_for_a_left_door_is_rigged_anew_for_a_right_one(self, store: Store, tmp_path: Path) -> None:
        files = stocked(eligibility=[{"type": "SKUA-4", "position": "R1", "part_number": "QC-1", "reference": "IPC 1"}])
        take(store, tmp_path / "files", files)
        assert told(asked(store, position="R1")) == [("condition", "FIT102")], PRACTICE

    def test_the_girt_bar_stays_with_the_airframe(self, store: Store, tmp_path: Path) -> None:
        files = stocked()
        files["positions"][0]["retained"] = "girt bar"
        take(store, tmp_path / "files", files)
        (reason,) = [each for each in asked(store).reasons if each.topic == "retained"]
        assert (reason.verdict, "girt bar" in reason.text) == ("note", True), PRACTICE

    def test_the_gauge_is_named_among_what_was_not_checked(self, store: Store, tmp_path: Path) -> None:
        take(store, tmp_path / "files", stocked())
        assert any("gauge" in each for each in asked(store).not_checked), PRACTICE

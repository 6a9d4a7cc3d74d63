"""The unit that a plate names, and plate, paper and record of it, on both databases."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from fleetlife.answers.plate import plate_card
from fleetlife.clocks.plate import OnPlate, unit_on_plate
from fleetlife.paper.symbol import Plate, read_symbol
from fleetlife.store.engine import Store
from fleetlife.terms.plate import PlateCard, PlateRow
from fleetlife.terms.refusal import Refusal
from tests.checks.fleet import AS_OF, Fleet, fleet

CODE, OTHER_CODE = "Q0KW1", "Q0PT2"


def marked() -> Fleet:
    """Codes on the parts; 0002 was made as SL-100-1 and is SL-100-3 since 2025-06-01."""
    made = fleet()
    for row in made.files["parts"]:
        row["cage"] = CODE
    made.add(
        "parts",
        {"part_number": "SL-100-3", "manufacturer": "Kittiwake", "kind": "slide", "rig": "either", "cage": CODE},
        {"part_number": "SL-100-1", "manufacturer": "Petrel", "kind": "slide", "rig": "either", "cage": OTHER_CODE},
        {"part_number": "PT-9", "manufacturer": "Petrel", "kind": "slide", "rig": "either", "cage": OTHER_CODE},
        {"part_number": "PT-10", "manufacturer": "Skua", "kind": "slide", "rig": "either", "cage": "Q0SH9"},
        {"part_number": "PT-11", "manufacturer": "Auk", "kind": "slide", "rig": "either", "cage": "Q0SH9"},
    )
    made.add(
        "unit_modifications",
        {
            "part_number": "SL-100-1",
            "serial_number": "0002",
            "modification": "SB-25-4",
            "date": "2025-06-01",
            "new_part_number": "SL-100-3",
        },
    )
    return made


PETRELS = [
    {"part_number": part, "serial_number": serial, "manufacturer": "Petrel", "as_of": "2025-01-01", "store": "Main"}
    for part, serial in (("SL-100-1", "0003"), ("PT-9", "9001"))
]


@pytest.fixture
def fleet_of_two(store: Store, tmp_path: Path) -> Store:
    marked().take(store, tmp_path / "files")
    # when Kittiwake's papers and movements, which name no maker, are filed
    Fleet({"units": PETRELS}).take(store, tmp_path / "late")
    return store


def plate(*fields: str, format: str = "12") -> Plate:
    text = f"[)>\x1e{format}\x1d" + "\x1d".join(fields) + "\x1e\x04"
    return read_symbol(text, as_of=AS_OF)


def found(store: Store, said: Plate, **more: Any) -> OnPlate:
    with store.reading() as connection:
        return unit_on_plate(connection, said, **more)


def refused(store: Store, said: Plate, **more: Any) -> Refusal:
    with pytest.raises(Refusal) as caught:
        found(store, said, **more)
    return caught.value


def card(store: Store, said: Plate, serial: str, *, part: str = "SL-100-1", as_of: date = AS_OF) -> PlateCard:
    return plate_card(
        store, said, part_number=part, serial_number=serial, manufacturer="Kittiwake", as_of=as_of
    )  # fmt: skip


def row(answer: PlateCard, what: str) -> PlateRow:
    [one] = [each for each in answer.rows if each.what == what]
    return one


class TestTheUnitNamed:
    def test_the_code_tells_two_units_of_one_number_apart(self, fleet_of_two: Store) -> None:
        numbers = ("PNR SL-100-1", "SER 0003")
        for code, maker in ((CODE, "Kittiwake"), (OTHER_CODE, "Petrel")):
            assert found(fleet_of_two, plate(f"MFR {code}", *numbers)).manufacturer == maker
        assert refused(fleet_of_two, plate(*numbers)).code == "unit-ambiguous"
        assert refused(fleet_of_two, plate("MFR Q0ZZ9", *numbers)).code == "unit-ambiguous"

    def test_a_code_of_two_makers_is_taken_for_neither(self, fleet_of_two: Store) -> None:
        said = found(fleet_of_two, plate("MFR Q0SH9", "PNR SL-100-1", "SER 0001"))
        assert said.manufacturer is None
        assert any("Auk and of Skua" in note for note in said.notes)

    def test_by_maker_and_serial_alone_where_the_serial_is_unique_in_the_enterprise(self, fleet_of_two: Store) -> None:
        for code, part in ((CODE, "SL-100-1"), (OTHER_CODE, "PT-9")):
            said = found(fleet_of_two, plate(f"MFR {code}", "SER 9001"))
            assert (said.part_number, said.serial_number) == (part, "9001")
        assert refused(fleet_of_two, plate(f"MFR {CODE}", "SEQ 9001")).code == "plate-names-no-part"
        assert refused(fleet_of_two, plate(f"SPL {CODE}", "UCN 9001")).code == "plate-names-no-part"

    def test_a_reidentified_unit_by_either_number(self, fleet_of_two: Store) -> None:
        for fields in (("PNR SL-100-3",), ("PNO SL-100-1",), ("PNO SL-100-1", "PNR SL-100-3")):
            assert found(fleet_of_two, plate(f"MFR {CODE}", *fields, "SER 0002")).notes == ()

    def test_a_plate_with_its_former_number_is_found_and_said(self, fleet_of_two: Store) -> None:
        said = found(fleet_of_two, plate(f"MFR {CODE}", "PNR SL-100-1", "SER 0002"))
        assert said.notes == ("The plate says SL-100-1; recorded it is SL-100-3 now.",)

    def test_a_modification_that_nobody_recorded_names_no_unit(self, fleet_of_two: Store) -> None:
        rolled = plate(f"MFR {CODE}", "PNO SL-100-1", "PNR SL-100-7", "SER 0001")
        refusal = refused(fleet_of_two, rolled)
        assert refusal.code == "plate-part-not-recorded"
        assert "recorded it is SL-100-1" in refusal.message
        compared = found(fleet_of_two, rolled, to_compare=True)
        assert compared.part_number == "SL-100-1"
        assert compared.notes == ("The plate's current part number SL-100-7 is not recorded for it.",)

    def test_two_part_numbers_that_are_two_units(self, fleet_of_two: Store) -> None:
        said = plate("PNO SL-100-1", "PNR PT-9", "SER 9001")
        assert refused(fleet_of_two, said).code == "plate-names-two-units"

    def test_another_makers_unit_of_these_numbers(self, fleet_of_two: Store) -> None:
        said = plate(f"MFR {OTHER_CODE}", "PNR SL-100-1", "SER 0001")
        refusal = refused(fleet_of_two, said)
        assert refusal.code == "plate-of-another-maker"
        assert f"CAGE {OTHER_CODE}, which is Petrel; the records hold SL-100-1 0001 by Kittiwake" in refusal.message
        assert found(fleet_of_two, said, manufacturer="Kittiwake").manufacturer == "Kittiwake"

    def test_an_expiry_that_is_recorded_is_judged_by_the_record(self, store: Store, tmp_path: Path) -> None:
        made = marked()
        made.row("units", serial_number="9001").update(expires="2026-01")
        made.take(store, tmp_path / "files")
        fields = (f"MFR {CODE}", "PNR SL-100-1", "SER 9001")
        for day in ("20260131", "20260201"):
            assert found(store, plate(*fields, f"EXP {day}"), fitted_on=AS_OF).notes == ()
        earlier = plate(*fields, "EXP 20260130")
        assert refused(store, earlier, fitted_on=AS_OF).code == "plate-expired"
        assert found(store, earlier).notes == (
            "The plate says that it expires 2026-01-30; the record says 2026-01.",
        )  # fmt: skip


class TestTheThree:
    def test_a_rolled_part_number_agrees_with_a_paper_of_before(self, fleet_of_two: Store) -> None:
        answer = card(fleet_of_two, plate(f"MFR {CODE}", "PNO SL-100-1", "PNR SL-100-3", "SER 0002"), "0002")
        assert not answer.differs
        assert answer.numbers_agree
        assert row(answer, "part number").note == "The paper is of 2024-03-10; the unit bore SL-100-1 then."
        assert row(answer, "part number at manufacture").plate_verdict == "exact"

    def test_a_plate_that_bears_the_number_at_manufacture_alone_agrees(self, fleet_of_two: Store) -> None:
        answer = card(fleet_of_two, plate(f"MFR {CODE}", "PNO SL-100-1", "SEQ 0002"), "0002")
        assert not answer.differs
        assert "It bears SL-100-3 since." in (row(answer, "part number").note or "")

    def test_a_plate_that_bears_the_former_number_as_its_current_one_does_not(self, fleet_of_two: Store) -> None:
        answer = card(fleet_of_two, plate(f"MFR {CODE}", "PNR SL-100-1", "SER 0002"), "0002")
        assert row(answer, "part number").plate_verdict == "alternate"
        assert answer.differs
        before = card(
            fleet_of_two, plate(f"MFR {CODE}", "PNR SL-100-1", "SER 0002"), "0002", as_of=date(2025, 5, 31)
        )  # fmt: skip
        assert not before.differs

    def test_dates_agree_as_far_as_either_is_known(self, fleet_of_two: Store) -> None:
        for day, differs in (("20160501", False), ("20160502", True)):
            answer = card(fleet_of_two, plate("PNR SL-100-1", "SER 0001", f"DMF {day}"), "0001")
            assert answer.differs is differs
        child = plate_card(
            fleet_of_two,
            plate("PNR RV-7", "SER R0001", "DMF 20160331"),
            part_number="RV-7",
            serial_number="R0001",
            as_of=AS_OF,
        )
        assert row(child, "manufactured").record == "2016-03"
        assert not row(child, "manufactured").differs
        assert child.paper is None
        assert child.outcome == "Plate and record agree; no certificate is filed against it."

    def test_what_the_record_lacks_is_no_agreement(self, fleet_of_two: Store) -> None:
        answer = card(fleet_of_two, plate("PNR SL-100-1", "SER 0001", "EXP 20310501"), "0001")
        assert not answer.differs
        assert row(answer, "expires").plate_verdict == "not compared"
        assert answer.outcome == "Plate, paper and record agree. Not in the record: expires."
        assert any("The plate says expires 2031-05-01" in action for action in answer.actions)

    def test_a_plate_without_a_number_agrees_with_nothing(self, fleet_of_two: Store) -> None:
        answer = card(fleet_of_two, plate(f"MFR {CODE}", "SER 0001"), "0001")
        assert not answer.numbers_agree
        assert answer.outcome == "The plate states no part number; what it states agrees with the record."

"""The order of a sample, and a finding's number."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import pytest

from fleetlife.terms.audited import sample_rank
from fleetlife.terms.finding import Finding, number_read

FOUND = Finding(
    code="LIF101",
    name="overdue",
    severity="stop",
    message="OVH: due 2026-01-01",
    hint="fleetlife unit A 1",
    registration="Q-AAA",
    position="L1",
    part_number="A",
    serial_number="1",
    unit=7,
    airframe=2,
    regards="OVH",
)


class TestNumber:
    def test_it_stays_while_the_same_thing_is_wrong(self) -> None:
        later = replace(
            FOUND, message="OVH: due 2026-02-02", status="acknowledged by X, entry 9", expected="2026-02-02"
        )
        elsewhere = replace(FOUND, registration="Q-BBB", position="R1", airframe=3)
        renamed = replace(FOUND, serial_number="0001", part_number="B", severity="note")
        assert {FOUND.number} == {each.number for each in (later, elsewhere, renamed)}

    @pytest.mark.parametrize(
        "other",
        [{"code": "LIF102"}, {"unit": 8}, {"regards": "HST"}, {"certificate": "T-1"}, {"unit": None}],
        ids=str,
    )
    def test_another_thing_has_another(self, other: dict[str, object]) -> None:
        assert replace(FOUND, **other).number != FOUND.number  # type: ignore[arg-type]

    def test_of_no_unit_it_follows_the_airframe_whatever_its_registration(self) -> None:
        bare = replace(FOUND, unit=None, part_number=None, serial_number=None)
        assert bare.number == replace(bare, registration="Q-NEW").number
        assert bare.number != replace(bare, airframe=3).number
        assert bare.number != replace(bare, position="R1").number

    def test_of_numbers_as_printed_case_and_spaces_do_not_count(self) -> None:
        printed = replace(FOUND, unit=None, part_number="SL-1 a", serial_number="o 1")
        assert printed.number == replace(printed, part_number="sl-1A", serial_number="O1").number

    def test_it_is_the_digest_that_the_page_describes(self) -> None:
        """Worked out by hand: forty bits of the SHA-256, five at a time from the lowest."""
        digest = hashlib.sha256(b"LIF101\nunit 7\n\nOVH").digest()
        bits = "".join(f"{byte:08b}" for byte in digest[:5])
        signs = [int(bits[start : start + 5], 2) for start in range(35, -5, -5)]
        assert FOUND.number == "LIF101-" + "".join("0123456789ABCDEFGHJKMNPQRSTVWXYZ"[each] for each in signs)

    @pytest.mark.parametrize(
        ("typed", "kept"),
        [
            ("lif101-7k3qf0zd", "LIF101-7K3QF0ZD"),
            (" LIF101-7K3QFOZD ", "LIF101-7K3QF0ZD"),
            ("LIF101-iLOoqfzd", "LIF101-1100QFZD"),
            ("LIF101", None),
            ("LIF101-7K3QF0Z", None),
            ("LIF101-7K3QF0ZU", None),
            ("7K3QF0ZD", None),
        ],
    )
    def test_it_is_read_as_people_type_it(self, typed: str, kept: str | None) -> None:
        assert number_read(typed) == kept


def test_the_order_of_a_sample_can_be_worked_out_with_any_tool() -> None:
    expected = hashlib.sha256(b"2026-11-25\nKVITNES|KV-2100-3|20130").digest()
    assert sample_rank("2026-11-25", ("KVITNES", "KV-2100-3", "20130")) == expected

"""Findings have an address and an order; refusals tell what to do."""

from __future__ import annotations

from typing import Any

from fleetlife.terms.finding import Finding
from fleetlife.terms.refusal import Refusal


def finding(**fields: Any) -> Finding:
    given = {"code": "LIF101", "name": "overdue", "severity": "stop", "message": "m", "hint": "h"}
    return Finding(**{**given, **fields})


class TestFinding:
    def test_the_subject_is_read_from_the_aircraft_inwards(self) -> None:
        found = finding(
            registration="Q-AAA", position="L1", part_number="QX100-1", serial_number="0001", certificate="T-1"
        )
        assert found.subject() == "Q-AAA L1 QX100-1 0001 T-1"
        assert finding(part_number="QX100-1").subject() == "QX100-1"
        assert finding().subject() == ""

    def test_the_worst_come_first_then_by_code_and_subject(self) -> None:
        rows = [
            finding(severity="note", code="AAA101"),
            finding(severity="rectify", code="AAA101"),
            finding(severity="stop", code="PAP101"),
            finding(severity="stop", code="LIF101", registration="Q-BBB"),
            finding(severity="stop", code="LIF101", registration="Q-AAA"),
        ]
        assert sorted(rows, key=Finding.sort_key) == [rows[4], rows[3], rows[2], rows[1], rows[0]]


class TestRefusal:
    def test_it_says_what_why_and_what_to_do(self) -> None:
        refused = Refusal("totals-fall", "The totals fall.", remedy="Check them.", details=("one",))
        assert str(refused) == "The totals fall. (totals-fall) Check them."
        assert (refused.code, refused.details, refused.status) == ("totals-fall", ("one",), 3)

"""`operation record` as it is typed: what is recorded, what is shown, what is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head

RECORD = ("operation", "record")
GOOD = ("TH-410-2", "R42002", "--operation", "filling")  # tested 11/2024, three years
PAST = ("TH-880-1", "R88031", "--operation", "filling")  # due 2026-10-31
ON = ("--on", "2026-11-20", "--as-of", TODAY)
ACCEPT = ("--acknowledge", "lif101", "--reason", "filled before anybody looked", "--name", "C004")


def entry_of(database: str, number: int) -> Any:
    return json.loads(fleetlife("explain", str(number), database=database).out.partition("\n")[2])


class TestOperationRecord:
    def test_a_filling_is_recorded_and_told(self, own_demo: str) -> None:
        number, _ = head(own_demo)
        said = fleetlife(*RECORD, *GOOD, "--reference", "W-4471", "--sequence", "2", *ON, database=own_demo)
        assert said.status == CLEAN, said.err
        digest = head(own_demo)[1]
        assert head(own_demo)[0] == number + 1
        for words in (f"OPERATION RECORDED, ENTRY {number + 1}", "TH-410-2 R42002", "filling, 1", "2026-11-20",
                      "WHAT FALLS DUE AFTER IT", "2027-11-30", "FINDINGS LEFT OPEN", "None.", digest[:16]):  # fmt: skip
            assert words in said.out
        body = entry_of(own_demo, number + 1)
        assert (body["kind"], body["on"]) == ("operation", "2026-11-20")
        assert {"count": 1, "operation": "filling", "reference": "W-4471", "sequence": 2}.items() <= body["items"][
            0
        ].items()
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_the_card_of_the_unit_tells_it(self, own_demo: str) -> None:
        assert fleetlife(*RECORD, *GOOD, "--count", "2", *ON, database=own_demo).status == CLEAN
        card = fleetlife("unit", "TH-410-2", "R42002", "--as-of", TODAY, database=own_demo)
        assert "2026-11-20 filling, 4 recorded since 2025-01-16" in card.words

    def test_past_its_date_it_is_refused_and_nothing_is_written(self, own_demo: str) -> None:
        before = head(own_demo)
        said = fleetlife(*RECORD, *PAST, *ON, database=own_demo)
        assert (said.status, said.out) == (REFUSED, "")
        for words in ("stops-not-acknowledged", "LIF101 filling", "R88031 HST", "2026-10-31", "--acknowledge"):
            assert words in said.words
        assert head(own_demo) == before

    def test_accepted_by_name_and_reason_it_is_recorded_with_its_finding(self, own_demo: str) -> None:
        said = fleetlife(*RECORD, *PAST, *ON, *ACCEPT, "--format", "json", database=own_demo)
        assert said.status == FINDINGS, said.err
        assert [found["finding"] for found in said.json["findings"]] == ["LIF101"]
        assert said.json["about"]["ledger_entry"] == said.json["entry"] == head(own_demo)[0]
        (kept,) = entry_of(own_demo, said.json["entry"])["acknowledged"]
        assert (kept["finding"], kept["name"]) == ("LIF101", "C004")

    @pytest.mark.parametrize(("unit", "status"), [(GOOD, CLEAN), (PAST, FINDINGS)])
    def test_a_preview_writes_nothing(self, demo: str, unit: tuple[str, ...], status: int) -> None:
        before = head(demo)
        said = fleetlife(*RECORD, *unit, *ON, "--preview", database=demo)
        assert (said.status, head(demo)) == (status, before)
        assert "Nothing was recorded." in said.err
        assert before[1][:16] not in said.out
        object_ = fleetlife(*RECORD, *unit, *ON, "--preview", "--format", "json", database=demo).json
        assert (object_["preview"], object_["entry"], object_["ledger_head"]) == (True, None, None)

    def test_asked_again_with_its_key(self, own_demo: str) -> None:
        first = fleetlife(*RECORD, *GOOD, *ON, "--request-key", "k-1", "--format", "json", database=own_demo).json
        again = fleetlife(*RECORD, *GOOD, *ON, "--request-key", "k-1", database=own_demo)
        assert again.status == CLEAN
        assert f"as entry {first['entry']}" in again.out
        assert head(own_demo)[0] == first["entry"]

    @pytest.mark.parametrize(
        ("arguments", "code"),
        [
            (("TH-410-2", "R42002", "--operation", "fillling", *ON), "word-not-known"),
            (("TH-410-2", "R42002", "--operation", "refill", *ON), "word-not-known"),
            (("TH-410-2", "NONE-1", "--operation", "filling", *ON), "unit-unknown"),
            (("KV-2100-3", "20125", "--operation", "filling", *ON), "not-the-cylinder"),
            ((*GOOD, "--on", "2026-11-26", "--as-of", TODAY), "in-the-future"),
            ((*GOOD, "--on", "2026-03-08", "--as-of", TODAY), "operation-recorded-already"),
            ((*GOOD, "--count", "-1", *ON), "total-negative"),
        ],
    )
    def test_refused_by_its_code(self, demo: str, arguments: tuple[str, ...], code: str) -> None:
        said = fleetlife(*RECORD, *arguments, database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert f"Refused ({code})" in said.err
        assert "What to do:" in said.err

    @pytest.mark.parametrize(
        "arguments",
        [
            ("TH-410-2", "R42002", *ON),
            (*GOOD, "--on", "20.11.2026"),
            (*GOOD, *ON, "--count", "two"),
            (*GOOD, *ON, "--format", "csv"),
            (*PAST, *ON, "--acknowledge", "LIF101"),
            (*PAST, *ON, "--acknowledge", "LIF101", "--reason", " ", "--name", "C004"),
        ],
    )
    def test_wrong_use(self, demo: str, arguments: tuple[str, ...]) -> None:
        assert fleetlife(*RECORD, *arguments, database=demo).status == WRONG_USE


class TestImportOfMarks:
    ROW = "part_number,serial_number,requirement,date,date_basis\nTH-880-1,R88031,HST,{},\n"

    @pytest.mark.parametrize(("stamped", "due"), [("11 * 26", "2031-11-30"), ("11 A123 26+", "2031-11-30")])
    def test_a_mark_is_taken_in_as_stamped(self, own_demo: str, tmp_path: Any, stamped: str, due: str) -> None:
        file = tmp_path / "accomplishments.csv"
        file.write_text(self.ROW.format(stamped), encoding="utf-8")
        assert fleetlife("import", file, "--as-of", TODAY, database=own_demo).status == CLEAN
        rows = fleetlife("due", "--all", "--as-of", TODAY, "--format", "json", database=own_demo).json["rows"]
        assert [r["due_date"] for r in rows if (r["serial_number"], r["requirement"]) == ("R88031", "HST")] == [due]
        assert fleetlife(*RECORD, *PAST, *ON, database=own_demo).status == CLEAN

    @pytest.mark.parametrize("stamped", ["12 * 26", "11/12", "8-70"])
    def test_one_that_cannot_be_is_refused(self, demo: str, tmp_path: Any, stamped: str) -> None:
        file = tmp_path / "accomplishments.csv"
        file.write_text(self.ROW.format(stamped), encoding="utf-8")
        before = head(demo)
        said = fleetlife("import", file, "--as-of", TODAY, database=demo)
        assert said.status == REFUSED
        assert "YYYY-MM" in said.words
        assert head(demo) == before

"""`swap record` from options and from a JSON file: what is recorded, what is shown, what is refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head, in_a_shell

ON = ("--on", TODAY, "--as-of", TODAY)
DOOR = ("swap", "record", "Q-SKA", "R2")
FIT = ("--install", "KV-2100-3", "20301", "--harness", "right")
AWAY = ("--removed-to", "shop", "--removed-to-name", "Outer Reef Overhaul", "--removal-kind", "scheduled")
GOOD = {
    "registration": "Q-SKA",
    "position": "R2",
    "on": TODAY,
    "install": {"part_number": "KV-2100-3", "serial_number": "20301"},
    "harness": "right",
    "removed_to": "shop",
    "removed_to_name": "Outer Reef Overhaul",
    "removal_kind": "scheduled",
}


def hangs_at(database: str, registration: str, position: str) -> str | None:
    card = fleetlife("airframe", registration, "--as-of", TODAY, "--format", "json", database=database).json
    (door,) = [door for door in card["doors"] if door["position"] == position]
    return door["serial_number"]


def hours_of(database: str) -> int:
    """The whole hours of Q-SKA, by its last reading."""
    card = fleetlife("airframe", "Q-SKA", "--as-of", "2026-11-24", "--format", "json", database=database).json
    return int(card["hours_total"].split(":")[0])


def entry_of(database: str, number: int) -> Any:
    """A ledger entry as `explain` prints it."""
    return json.loads(fleetlife("explain", str(number), database=database).out.partition("\n")[2])


class TestFromOptions:
    def test_one_entry_says_what_came_off_and_what_went_on(self, own_demo: str) -> None:
        number, digest = head(own_demo)
        stated = ("--hours-total", f"{hours_of(own_demo) + 4}:30", "--signed-by", "M117")
        said = fleetlife(*DOOR, *FIT, *AWAY, *stated, *ON, database=own_demo)
        assert said.status == CLEAN, said.err
        assert head(own_demo)[0] == number + 1
        assert head(own_demo)[1][:16] in said.out
        assert digest[:16] not in said.out
        for words in (f"SWAP RECORDED, ENTRY {number + 1}", "BEFORE", "KV-2100-3 20104", "AFTER", "KV-2100-3 20301",
                      "WHAT FALLS DUE AFTER IT", "2029-11-25", "FINDINGS LEFT OPEN", "None."):  # fmt: skip
            assert words in said.out
        assert hangs_at(own_demo, "Q-SKA", "R2") == "20301"
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_everything_stated_is_in_the_entry(self, own_demo: str) -> None:
        stated = {
            "--technical-log": "SK4471", "--work-order": "W-9", "--data-reference": "Kvitnes 25-66-21",
            "--data-revision": "12", "--station": "SKH", "--signed-by": "M117", "--inspected-by": "M120",
            "--released-by": "C004", "--certificate": "ORO-26-0006", "--organisation": "Outer Reef Overhaul",
            "--removed-condition": "unserviceable", "--defect": "low gauge", "--sequence": "30",
        }  # fmt: skip
        options = [word for pair in stated.items() for word in pair]
        said = fleetlife(*DOOR, *FIT, *AWAY, *options, *ON, "--format", "json", database=own_demo)
        assert said.status == CLEAN, said.err
        body = entry_of(own_demo, said.json["entry"])
        told = json.dumps(body)
        assert all(value in told for value in stated.values())
        assert body["on"] == TODAY

    def test_a_removal_alone_leaves_the_door_empty(self, own_demo: str) -> None:
        said = fleetlife(*DOOR, "--remove-only", *AWAY, *ON, database=own_demo)
        assert said.status == CLEAN, said.err
        assert hangs_at(own_demo, "Q-SKA", "R2") is None
        assert "FIT104" in fleetlife("audit", "--airframe", "Q-SKA", "--as-of", TODAY, database=own_demo).out

    def test_another_unit_found_on_the_door_is_recorded_as_found(self, own_demo: str) -> None:
        found = ("--found", "KV-2100-3", "20112", *FIT, *AWAY, *ON)
        said = fleetlife(*DOOR, *found, database=own_demo)
        assert said.status == CLEAN, said.err
        assert "KV-2100-3 20104 (believed)" in said.out
        assert "place unknown since then" in said.out
        audit = fleetlife("audit", "--code", "FIT106", "--as-of", TODAY, database=own_demo)
        assert "20104" in audit.out

    def test_a_preview_shows_the_same_and_records_nothing(self, own_demo: str) -> None:
        before = head(own_demo)
        said = fleetlife(*DOOR, *FIT, *AWAY, *ON, "--preview", database=own_demo)
        assert said.status == CLEAN
        for words in ("NOTHING IS RECORDED", "KV-2100-3 20104", "KV-2100-3 20301", "WHAT WOULD FALL DUE", "2029-11-25"):
            assert words in said.out
        assert head(own_demo) == before
        assert hangs_at(own_demo, "Q-SKA", "R2") == "20104"

    def test_json_gives_the_same(self, own_demo: str) -> None:
        shown = fleetlife(*DOOR, *FIT, *AWAY, *ON, "--preview", "--format", "json", database=own_demo).json
        done = fleetlife(*DOOR, *FIT, *AWAY, *ON, "--format", "json", database=own_demo).json
        assert (shown["preview"], shown["entry"], done["preview"]) == (True, None, False)
        for name in ("before", "after", "due", "findings"):
            assert shown[name] == done[name]
        assert [done["entry"], done["ledger_head"]] == list(head(own_demo))


class TestStops:
    BAD = ("--install", "KV-2100-9", "29001", "--harness", "right", *AWAY)

    def test_are_refused_with_every_one_of_them_until_acknowledged(self, own_demo: str) -> None:
        before = head(own_demo)
        said = fleetlife(*DOOR, *self.BAD, *ON, database=own_demo)
        assert (said.status, said.out) == (REFUSED, "")
        for words in ("stops-not-acknowledged", "FIT101 eligibility", "LIF103 life", "--acknowledge"):
            assert words in said.err
        half = fleetlife(
            *DOOR, *self.BAD, *ON, "--acknowledge", "FIT101", "--reason", "r", "--name", "C4", database=own_demo
        )
        assert half.status == REFUSED
        assert "LIF103" in half.err
        assert "FIT101 eligibility" not in half.err
        assert head(own_demo) == before

    def test_acknowledged_they_are_recorded_and_stay_open(self, own_demo: str) -> None:
        accepted = ("--acknowledge", "fit101", "--acknowledge", "LIF103", "--reason", "it hung there", "--name", "C117")
        said = fleetlife(*DOOR, *self.BAD, *ON, *accepted, database=own_demo)
        assert said.status == FINDINGS, said.err
        assert "FINDINGS LEFT OPEN (2)" in said.out
        entry = fleetlife("explain", str(head(own_demo)[0]), database=own_demo).out
        assert entry.count('"reason": "it hung there"') == 2
        assert entry.count('"name": "C117"') == 2
        audit = fleetlife("audit", "--airframe", "Q-SKA", "--as-of", TODAY, "--format", "json", database=own_demo)
        open_now = {(row["finding"], row["serial_number"]) for row in audit.json["rows"]}
        assert {("FIT101", "29001"), ("LIF103", "29001")} <= open_now

    def test_an_acknowledgement_needs_a_name_and_a_reason(self, demo: str) -> None:
        for given in ((), ("--reason", "r"), ("--name", "C4")):
            said = fleetlife(*DOOR, *self.BAD, *ON, "--acknowledge", "FIT101", *given, database=demo)
            assert said.status == WRONG_USE


class TestRefused:
    @pytest.mark.parametrize(
        ("options", "code"),
        [
            (("--remove", "KV-2100-3", "20301", "--remove-only"), "not-at-position"),
            (("--install", "KV-2100-3", "99999"), "unit-unknown"),
            (
                (
                    "--install",
                    "KV-2100-3",
                    "20125",
                    "--harness",
                    "right",
                    "--acknowledge",
                    "FIT108",
                    "--reason",
                    "r",
                    "--name",
                    "n",
                ),
                "installed-elsewhere",
            ),
            ((*FIT, "--found", "KV-2100-3", "20112", "--remove", "KV-2100-3", "20104"), "found-and-removed"),
            ((*FIT, "--hours-total", "1:00"), "totals-fall"),
            ((*FIT, "--hours-total", "1234.30"), "hours-ambiguous"),
            ((*FIT, "--hours-total", "many"), "hours-not-read"),
            ((*FIT, "--hours-total", "-5:00"), "total-negative"),
            ((*FIT, "--cycles-total", "-5"), "total-negative"),
            ((*FIT, "--removed-to", "shoppe"), "word-not-known"),
            ((*FIT, "--removal-kind", "schedule"), "word-not-known"),
            (("--install", "KV-2100-3", "20301", "--harness", "both"), "word-not-known"),
            ((*FIT, "--on", "2026-11-26"), "in-the-future"),
        ],
    )
    def test_with_nothing_recorded(self, own_demo: str, options: tuple[str, ...], code: str) -> None:
        before = head(own_demo)
        day = () if "--on" in options else ("--on", TODAY)
        said = fleetlife(*DOOR, *options, *day, "--as-of", TODAY, database=own_demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert f"Refused ({code})" in said.err
        assert "What to do: " in said.err
        assert head(own_demo) == before

    def test_an_empty_door_has_nothing_to_take_off(self, own_demo: str) -> None:
        said = fleetlife("swap", "record", "Q-SKJ", "R4", "--remove-only", *ON, database=own_demo)
        assert said.status == REFUSED
        assert "--found" in said.err

    @pytest.mark.parametrize(("reading", "minutes"), [("minutes", 30), ("decimal", 18)])
    def test_hours_with_a_point_are_taken_when_it_is_said_how(self, own_demo: str, reading: str, minutes: int) -> None:
        hours = hours_of(own_demo) + 4
        stated = ("--hours-total", f"{hours}.30", "--hours", reading)
        said = fleetlife(*DOOR, *FIT, *stated, *ON, "--format", "json", database=own_demo)
        assert said.status == CLEAN, said.err
        assert entry_of(own_demo, said.json["entry"])["items"][0]["minutes_total"] == hours * 60 + minutes

    def test_text_that_is_none_is_refused(self, sqlite_demo: str) -> None:
        before = head(sqlite_demo)
        said = in_a_shell(*DOOR, *FIT, *ON, "--yes", b"--station", b"\xff\xfe", database=sqlite_demo)
        assert said.status == REFUSED
        assert "text-not-storable" in said.err
        assert head(sqlite_demo) == before


class TestRequestKey:
    ASKED = (*DOOR, *FIT, *AWAY, *ON, "--request-key", "swap-1")

    def test_asked_again_nothing_is_added_and_the_entry_is_the_same(self, own_demo: str) -> None:
        first = fleetlife(*self.ASKED, "--format", "json", database=own_demo)
        after = head(own_demo)
        again = fleetlife(*self.ASKED, "--format", "json", database=own_demo)
        assert (first.status, again.status) == (CLEAN, CLEAN)
        assert (again.json["already"], again.json["entry"]) == (True, first.json["entry"])
        assert "Nothing was added" in fleetlife(*self.ASKED, database=own_demo).out
        assert head(own_demo) == after

    def test_the_same_key_with_another_content_is_refused(self, own_demo: str) -> None:
        assert fleetlife(*self.ASKED, database=own_demo).status == CLEAN
        after = head(own_demo)
        said = fleetlife(*self.ASKED, "--signed-by", "M999", database=own_demo)
        assert said.status == REFUSED
        assert "request-key-reused" in said.err
        assert head(own_demo) == after

    def test_a_refusal_leaves_no_key(self, own_demo: str) -> None:
        bad = (*DOOR, "--install", "KV-2100-9", "29001", *AWAY, *ON, "--request-key", "swap-1")
        assert fleetlife(*bad, database=own_demo).status == REFUSED
        assert fleetlife(*self.ASKED, database=own_demo).status == CLEAN


class TestFromAFile:
    def test_a_good_one_is_recorded_as_from_options(self, own_demo: str, tmp_path: Path) -> None:
        said = record_from(own_demo, tmp_path, json.dumps(GOOD))
        assert said.status == CLEAN, said.err
        assert "KV-2100-3 20104" in said.out
        assert hangs_at(own_demo, "Q-SKA", "R2") == "20301"

    def test_it_is_read_from_standard_input_too(self, sqlite_demo: str) -> None:
        said = in_a_shell(
            "swap", "record", "--file", "-", "--as-of", TODAY, database=sqlite_demo, stdin=json.dumps(GOOD)
        )
        assert said.status == CLEAN, said.err
        assert hangs_at(sqlite_demo, "Q-SKA", "R2") == "20301"

    def test_it_may_hold_acknowledgements(self, own_demo: str, tmp_path: Path) -> None:
        accepted = [{"finding": code, "name": "C117", "reason": "seen"} for code in ("FIT101", "lif103")]
        body = {**GOOD, "install": {"part_number": "KV-2100-9", "serial_number": "29001"}, "acknowledged": accepted}
        assert record_from(own_demo, tmp_path, json.dumps(body)).status == FINDINGS
        assert hangs_at(own_demo, "Q-SKA", "R2") == "29001"

    def test_hours_with_a_point_need_the_option(self, sqlite_demo: str, tmp_path: Path) -> None:
        text = json.dumps({**GOOD, "hours_total": "99999.30"})
        assert "hours-ambiguous" in record_from(sqlite_demo, tmp_path, text).err
        assert record_from(sqlite_demo, tmp_path, text, "--hours", "minutes", "--preview").status == CLEAN

    @pytest.mark.parametrize(
        ("change", "code", "words"),
        [
            ({"positon": "R2"}, "field-not-known", "Did you mean position?"),
            ({"minutes_total": 5}, "field-not-known", "minutes_total"),
            ({"registration": None}, "field-not-read", "registration"),
            ({"position": 2}, "field-not-read", "position"),
            ({"on": "2026-11-31"}, "field-not-read", "YYYY-MM-DD"),
            ({"on": 20261125}, "field-not-read", "on"),
            ({"cycles_total": "12"}, "field-not-read", "whole number"),
            ({"cycles_total": 1.5}, "field-not-read", "whole number"),
            ({"cycles_total": True}, "field-not-read", "whole number"),
            ({"sequence": "1"}, "field-not-read", "whole number"),
            ({"hours_total": 1234.5}, "field-not-read", "quotation marks"),
            ({"hours_total": 1234}, "field-not-read", "quotation marks"),
            ({"remove_only": "yes"}, "field-not-read", "true or false"),
            ({"signed_by": 117}, "field-not-read", "quotation marks"),
            ({"install": "KV-2100-3 20301"}, "field-missing", "both numbers"),
            ({"install": {"part_number": "KV-2100-3"}}, "field-missing", "both numbers"),
            ({"install": {"part_number": "KV-2100-3", "serial_number": 20301}}, "field-not-read", "quotation marks"),
            ({"install": {"part_number": "K", "serial_number": "1", "maker": "x"}}, "field-missing", "both numbers"),
            ({"removed_to": "shoppe"}, "word-not-known", "shop"),
            ({"acknowledged": "FIT101"}, "field-missing", "all three"),
            ({"acknowledged": None}, "field-missing", "all three"),
            ({"acknowledged": [{"finding": "FIT101", "name": "", "reason": "r"}]}, "field-missing", "all three"),
            ({"signed_by": "M\0"}, "text-not-storable", "signed by"),
            ({"signed_by": "\ud800"}, "text-not-storable", "signed by"),
            ({"install": {"part_number": "KV-2100-3", "serial_number": "\0"}}, "text-not-storable", "install"),
        ],
    )
    def test_a_wrong_one_is_refused_by_the_field(
        self, demo: str, tmp_path: Path, change: dict[str, Any], code: str, words: str
    ) -> None:
        before = head(demo)
        said = record_from(demo, tmp_path, json.dumps({**GOOD, **change}))
        assert (said.status, said.out) == (REFUSED, "")
        assert f"Refused ({code})" in said.err
        assert words in said.err
        assert head(demo) == before

    @pytest.mark.parametrize("field", ["registration", "position", "on"])
    def test_a_field_that_must_be_there_is_named(self, sqlite_demo: str, tmp_path: Path, field: str) -> None:
        body = {name: value for name, value in GOOD.items() if name != field}
        said = record_from(sqlite_demo, tmp_path, json.dumps(body))
        assert said.status == REFUSED
        assert f"has no {field}" in said.err

    @pytest.mark.parametrize("text", ["", "{", "[]", "null", '"swap"', '{"on": 1} x', "\ufeff", "[" * 100_000])
    def test_what_is_no_json_object_is_refused(self, sqlite_demo: str, tmp_path: Path, text: str) -> None:
        said = record_from(sqlite_demo, tmp_path, text)
        assert (said.status, said.out) == (REFUSED, "")
        assert "file-not-read" in said.err
        assert "swap.json" in said.err

    def test_a_file_that_is_not_there_or_not_text_is_refused(self, sqlite_demo: str, tmp_path: Path) -> None:
        (tmp_path / "latin.json").write_bytes(b'{"registration": "\xe9"}')
        for path in (tmp_path / "none.json", tmp_path, tmp_path / "latin.json"):
            said = fleetlife("swap", "record", "--file", path, "--as-of", TODAY, database=sqlite_demo)
            assert said.status == REFUSED
            assert "file-not-read" in said.err


def record_from(database: str, folder: Path, text: str, *options: str) -> Said:
    path = folder / "swap.json"
    path.write_text(text, encoding="utf-8")
    return fleetlife("swap", "record", "--file", path, "--yes", "--as-of", TODAY, *options, database=database)

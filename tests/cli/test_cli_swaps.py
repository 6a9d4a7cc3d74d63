"""A swap from its number to the release of the door, as it is typed: by steps, by a filled sheet, by the guide."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head, in_a_shell
from .test_cli_prompts import Terminal
from .test_cli_scan import message

# Planned in the demo: a pack rigged left is to go on a right door.
SWAP = "SK-26-026"
DAY = ("--as-of", TODAY)
PIN, HOLD, SEAL, BAR = "inflation pin", "door hold-open pin", "cover seal wire", "girt bar"
TESTS = ("door indication", "cabin indication", "emergency lights", "gauge readable with the cover on",
         "markings visible")  # fmt: skip


def sheet(**changed: Any) -> dict[str, Any]:
    """What the engineer wrote on the sheet, as the clerk types it in."""
    done: list[dict[str, Any]] = [
        {"step": "begun"},
        {"item": PIN, "outcome": "placed"},
        {"item": HOLD, "outcome": "placed"},
        {"item": SEAL, "outcome": "broken"},
        {"gauge": "2810", "unit": "psi", "celsius": "8.5"},
        {"record": {"harness": "right", "removed_to": "shop", "removal_kind": "scheduled", "technical_log": "TL-77"}},
        {"item": PIN, "outcome": "removed"},
        {"item": HOLD, "outcome": "removed"},
        {"item": SEAL, "outcome": "remade"},
        {"item": BAR, "outcome": "stayed"},
        {"item": "arming and disarming", "outcome": "passed", "value": "armed and disarmed shown"},
        {"item": "arming and disarming", "outcome": "passed", "value": "armed and disarmed shown"},
        *({"item": item, "outcome": "passed"} for item in TESTS),
        {"sign": "performed"},
        {"sign": "inspected", "by": "S-206"},
        {"sign": "released", "by": "S-301", "reference": "TL-77"},
    ]
    return {"by": "S-107", "on": TODAY, "done": done} | changed


def fill(database: str, tmp_path: Path, body: dict[str, Any], *more: str) -> Said:
    file = tmp_path / "sheet.json"
    file.write_text(json.dumps(body), encoding="utf-8")
    return fleetlife("swap", "fill", SWAP, file, *DAY, *more, database=database)


class TestOfANewUser:
    def test_the_engineer_has_the_sheet_and_the_clerk_the_filled_one(self, own_demo: str, tmp_path: Path) -> None:
        page = tmp_path / "sheet.html"
        assert fleetlife("swap", "sheet", SWAP, *DAY, "-o", page, database=own_demo).status == CLEAN
        assert "TO BE MADE RIGHT before it is fitted" in page.read_text(encoding="utf-8")
        filled = fill(own_demo, tmp_path, sheet())
        assert filled.status == CLEAN, filled.words
        assert f"SWAP {SWAP}: RELEASED" in filled.out
        unit = fleetlife("unit", "KV-2100-3", "20211", *DAY, "--format", "json", database=own_demo).json
        assert unit["harness"] == "right"
        assert "Q-SKA R2" in unit["place"]
        audit = fleetlife("audit", "--airframe", "Q-SKA", *DAY, "--format", "json", database=own_demo).json
        assert [row for row in audit["rows"] if row["finding"].startswith("SWP")] == []
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    @pytest.mark.parametrize(
        ("without", "says"),
        [
            (6, "Safety device inflation pin: placed"),
            (9, "Stays with the aircraft girt bar: not accounted for"),
            (12, "Test door indication: not signed"),
            (11, "passed 1 of 2 times"),
            (18, "inspection by another person"),
        ],
    )
    def test_the_door_is_not_released_with_one_thing_open(
        self, sqlite_demo: str, tmp_path: Path, without: int, says: str
    ) -> None:
        before = head(sqlite_demo)
        body = sheet()
        del body["done"][without]
        said = fill(sqlite_demo, tmp_path, body)
        assert said.status == REFUSED
        assert "not-releasable" in said.err
        assert says in said.words
        assert head(sqlite_demo) == before

    def test_nor_by_the_performer_as_inspector(self, sqlite_demo: str, tmp_path: Path) -> None:
        body = sheet()
        body["done"][-2]["by"] = "S-107"
        said = fill(sqlite_demo, tmp_path, body)
        assert (said.status, "inspected-own-work" in said.err) == (REFUSED, True)


class TestSteps:
    def test_one_by_one_with_what_is_still_open(self, sqlite_demo: str) -> None:
        def run(*arguments: str) -> Said:
            return fleetlife("swap", *arguments, *DAY, database=sqlite_demo)

        assert "conditions to meet first" in run("checked", SWAP, "--by", "S-107").words
        assert run("begin", SWAP, "--by", "S-107").status == CLEAN
        assert "inflation pin: placed" in run("enter", SWAP, "Inflation Pin", "placed", "--by", "S-107").out
        assert run("gauge", SWAP, "2810", "PSI", "--celsius", "8.5", "--by", "S-107").status == CLEAN
        recorded = run("record", "--swap", SWAP, "--harness", "right", "--signed-by", "S-107")
        assert recorded.status == CLEAN, recorded.words
        assert run("sign", SWAP, "performed", "--by", "S-107").status == FINDINGS
        shown = run("show", SWAP)
        assert shown.status == FINDINGS
        assert "Test arming and disarming: not signed" in shown.words
        assert run("release", SWAP, "--by", "S-301").status == REFUSED
        listed = run("list", "--format", "json").json["rows"]
        assert [row["swap"] for row in listed if row["state"] == "done"] == [SWAP, "SK-26-024"]
        assert {row["findings"] for row in listed if row["state"] == "done"} == {None}

    def test_a_new_one_is_planned_previewed_and_given_up(self, sqlite_demo: str) -> None:
        asked = ("swap", "plan", "Q-SKC", "L1", "--install", "KV-2100-3", "20210", "--by", "S-402", *DAY)
        before = head(sqlite_demo)
        assert "NOTHING IS RECORDED" in fleetlife(*asked, "--preview", database=sqlite_demo).out
        assert head(sqlite_demo) == before
        planned = fleetlife(*asked, "--number", "N-1", "--format", "json", database=sqlite_demo).json
        assert (planned["card"]["swap"], planned["card"]["incoming"]["serial_number"]) == ("N-1", "20210")
        assert planned["card"]["findings"] == []
        other = ("swap", "plan", "Q-SKC", "L2", "--install", "KV-2100-3", "20210", "--by", "S-402", "--number", "N-2")
        again = fleetlife(*other, *DAY, "--format", "json", database=sqlite_demo)
        assert again.status == FINDINGS
        assert [each["finding"] for each in again.json["card"]["findings"]] == ["PLN105"]
        why = ("--why", "the pack went elsewhere")
        gone = fleetlife("swap", "give-up", "n-1", "--by", "S-402", *why, *DAY, database=sqlite_demo)
        assert (gone.status, "GIVEN UP" in gone.out) == (CLEAN, True)

    def test_that_another_unit_was_swapped_in_is_told_wherever_the_plan_is_shown(
        self, own_demo: str, tmp_path: Path
    ) -> None:
        planned, _ = head(own_demo)
        other = ("--install", "KV-2100-3", "20301", "--harness", "right", "--removed-to", "shop", "--yes")
        recorded = ("--on", TODAY, "--technical-log", "SK4471", "--signed-by", "M117")
        done = fleetlife("swap", "record", "Q-SKA", "R2", *other, *recorded, *DAY, database=own_demo)
        assert done.status == CLEAN, done.words
        told = "it is to take KV-2100-3 20104 off Q-SKA R2, and KV-2100-3 20301 hangs there since 2026-11-25 now"
        assert f"PLANS THAT THIS OVERTAKES (1) - Swap {SWAP} is overtaken: {told}" in done.words
        for asked in (("show", SWAP), ("list",), ("checked", SWAP, "--by", "S-107")):
            assert told in fleetlife("swap", *asked, *DAY, database=own_demo).words
        page = tmp_path / "sheet.html"
        fleetlife("swap", "sheet", SWAP, *DAY, "-o", page, database=own_demo)
        assert told in page.read_text(encoding="utf-8")
        card = fleetlife("airframe", "Q-SKA", *DAY, "--format", "json", database=own_demo).json
        assert "PLN107" in {each["finding"] for each in card["findings"]}
        narrow = ("--airframe", "Q-SKA", "--known-at", planned, "--format", "json")
        before = fleetlife("swap", "list", *narrow, *DAY, database=own_demo)
        assert [row["findings"] for row in before.json["rows"]] == ["PLN102"]

    def test_each_swap_that_falls_due_is_placed(self, demo: str) -> None:
        asked = ("swap", "place", "--within", "180", *DAY)
        told = fleetlife(*asked, database=demo)
        assert told.status == FINDINGS
        assert "No ground time of Q-SKB begins by 2027-03-14. The next begins on 2027-03-20 at Skarholm." in told.words
        assert "Planned as SK-26-026, by 2026-12-05, after it falls due." in told.words
        rows = fleetlife(*asked, "--airframe", "Q-SKC", "--format", "json", database=demo)
        assert rows.status == CLEAN
        first = rows.json["rows"][0]
        assert (first["position"], first["due_on"], first["place_on"], first["station"], first["days_given_away"]) == (
            "L1",
            "2027-01-16",
            "2027-01-11",
            "Ytrevik",
            5,
        )
        csv = fleetlife(*asked, "--format", "csv", database=demo).out.splitlines()
        assert len(csv) == 14
        narrow = fleetlife(*asked, database=demo, columns=80).out
        assert max(len(line) for line in narrow.splitlines()) <= 80
        assert fleetlife("swap", "place", *DAY, database=demo).status == WRONG_USE

    def test_the_symbol_is_read_where_a_number_is_asked_for(self, demo: str) -> None:
        line = f"fleetlife swap show {SWAP}\r\n"
        scanned = fleetlife("swap", "show", "-", *DAY, database=demo, stdin=line)
        assert scanned.out == fleetlife("swap", "show", SWAP, *DAY, database=demo).out
        assert fleetlife("swap", "show", f"fleetlife swap show {SWAP}", *DAY, database=demo).out == scanned.out

    @pytest.mark.parametrize("columns", [80, 100])
    def test_the_card_fits_its_width(self, demo: str, columns: int) -> None:
        out = fleetlife("swap", "show", "SK-26-022", *DAY, database=demo, columns=columns).out
        assert max(len(line) for line in out.splitlines()) <= columns

    def test_known_earlier_it_was_planned_only(self, demo: str) -> None:
        card = fleetlife("swap", "show", "SK-26-014", "--as-of", "2026-08-01", database=demo)
        assert "swap-not-then" in card.err
        rows = fleetlife("swap", "list", "--all", "--as-of", "2026-08-02", "--format", "json", database=demo).json[
            "rows"
        ]
        assert [row["swap"] for row in rows] == ["SK-26-014"]


WRONG: list[tuple[tuple[str, ...], int, str]] = [
    (("show", "NONE"), REFUSED, "swap-unknown"),
    (("sheet", SWAP, "--paper", "A3"), WRONG_USE, "neither A4 nor letter"),
    (("sheet", "SK-26-022"), REFUSED, "swap-over"),
    (("sign", SWAP, "released", "--by", "S-301"), WRONG_USE, "fleetlife swap release"),
    (("gauge", SWAP, "2810", "atm", "--celsius", "8", "--by", "S-107"), WRONG_USE, "none of psi"),
    (("gauge", SWAP, "2,810", "psi", "--celsius", "8", "--by", "S-107"), WRONG_USE, "number-not-read"),
    (("gauge", "--celsius", "8", "--by", "S-107", *DAY, "--", SWAP, "-5", "psi"), WRONG_USE, "below zero"),
    (("enter", SWAP, "inflation pim", "placed", "--by", "S-107"), REFUSED, "Did you mean inflation pin?"),
    (("guide", SWAP, "--by", "S-107"), WRONG_USE, "nobody-to-ask"),
    (("record", "--swap", "NONE", "--harness", "left"), REFUSED, "swap-unknown"),
]
GAUGE = {"gauge": "2810", "unit": "psi", "celsius": "8"}
BAD: list[tuple[dict[str, Any], str]] = [
    ({}, "field-missing"),
    ({"done": []}, "field-missing"),
    ({"done": [{"by": "S-107"}]}, "field-missing"),
    ({"done": [{"item": PIN, "outcome": "placed"}]}, "has no by"),
    ({"done": [{"item": PIN, "sign": "performed"}]}, "is not one thing"),
    ({"by": "S-107", "done": [{"item": PIN}]}, "has no outcome"),
    ({"by": "S-107", "done": [{"item": PIN, "outcom": "placed"}]}, "field-not-known"),
    ({"by": "S-107", "done": [{"step": "started"}]}, "word-not-known"),
    ({"by": "S-107", "done": [{"gauge": 2810, "unit": "psi", "celsius": "8"}]}, "field-not-read"),
    ({"by": "S-107", "done": [{"gauge": "2810", "unit": "psi"}]}, "has no celsius"),
    ({"by": "S-107", "done": [{"gauge": "2810", "unit": "atm", "celsius": "8"}]}, "word-not-known"),
    ({"by": "S-107", "done": [{"record": "yes"}]}, "field-not-read"),
    ({"by": "S-107", "done": [{"record": {"harnes": "right"}}]}, "field-not-known"),
    ({"by": "S-107", "done": [{"item": PIN, "outcome": "placed", "unlisted": "yes"}]}, "neither true nor false"),
    ({"by": "S-107", "done": [GAUGE | {"of": {"part_number": "TH-880-1"}}]}, "of in"),
    ({"by": "S-107", "done": [GAUGE | {"of": {"part_number": "TH-880-1", "serial_number": 12}}]}, "field-not-read"),
    (
        {"by": "S-107", "done": [GAUGE | {"of": {"part_number": "TH-880-1", "serial_number": "\0"}}]},
        "text-not-storable",
    ),
    ({"sheet": 1, "done": [{"step": "begun"}]}, "field-not-known"),
]


class TestRefused:
    @pytest.mark.parametrize(("arguments", "status", "says"), WRONG)
    def test_with_what_to_do(self, demo: str, arguments: tuple[str, ...], status: int, says: str) -> None:
        asked = arguments if "--as-of" in arguments else (*arguments, *DAY)
        said = fleetlife("swap", *asked, database=demo)
        assert said.status == status
        assert says in said.words

    @pytest.mark.parametrize(("body", "says"), BAD)
    def test_a_sheet_that_cannot_be_read(
        self, sqlite_demo: str, tmp_path: Path, body: dict[str, Any], says: str
    ) -> None:
        before = head(sqlite_demo)
        said = fill(sqlite_demo, tmp_path, body)
        assert said.status in (REFUSED, WRONG_USE)
        assert says in said.words
        assert head(sqlite_demo) == before


RESERVOIR = message("MFR Q0TH7", "SER R41027", "PNR TH-410-1")


class TestScanned:
    """The plate's message in the place of both numbers."""

    def test_the_unit_whose_gauge_was_read(self, sqlite_demo: str) -> None:
        read = ("swap", "gauge", SWAP, "2810", "psi", "--celsius", "8.5", "--by", "S-107", "--unit")
        said = fleetlife(*read, RESERVOIR, *DAY, "--preview", database=sqlite_demo)
        assert said.status == CLEAN, said.words
        assert "TH-410-1 R41027" in said.words

    def test_in_a_filled_sheet(self, sqlite_demo: str, tmp_path: Path) -> None:
        spare = {"scan": message("MFR Q0KV1", "SER 20211", "PNR KV-2100-3")}
        done = [
            {"step": "begun"},
            {"gauge": "2810", "unit": "psi", "celsius": "8.5", "of": {"scan": RESERVOIR}},
            {"record": {"install": spare, "harness": "right", "removed_to": "shop", "removal_kind": "scheduled"}},
        ]
        said = fill(sqlite_demo, tmp_path, sheet(done=done), "--preview")
        assert said.status == FINDINGS, said.words
        assert "KV-2100-3 20211" in said.words


def test_a_plan_with_text_that_is_none_is_refused(sqlite_demo: str) -> None:
    before = head(sqlite_demo)
    plan = ("swap", "plan", "Q-SKB", "L1", "--by", "S-107", *DAY, "--yes", b"--data-reference", b"\xff\xfe")
    said = in_a_shell(*plan, database=sqlite_demo)
    assert said.status == REFUSED, said.words
    assert "text-not-storable" in said.err
    assert head(sqlite_demo) == before


class TestGuide:
    def test_can_be_left_and_begun_again(self, sqlite_demo: str) -> None:
        first = Terminal(sqlite_demo, "swap", "guide", SWAP, "--by", "S-107", *DAY)
        first.answer_all(("begun? (yes, no, stop)", "yes"), (f"{PIN} (placed", "placed"), (f"{HOLD} (placed", "stop"))
        assert first.end() == FINDINGS
        again = Terminal(sqlite_demo, "swap", "guide", SWAP, "--by", "S-107", *DAY)
        again.answer_all(
            (f"{PIN} (placed", ""),
            (f"{HOLD} (placed", "not_used"),
            (f"{SEAL} (broken", "broken"),
            ("It shows", "2810"),
            ("In (psi", "psi"),
            ("Celsius", "8.5"),
            ("changed as planned", "yes"),
            ("Rigged for which side", "right"),
            ("Removed to", "shop"),
            ("Removal kind", "scheduled"),
            (f"{PIN} (placed", "removed"),
            (f"{SEAL} (broken", "remade"),
        )
        for test in ("arming and disarming", "arming and disarming", *TESTS):
            again.answer_all((f"{test} (passed", "passed"), ("Read or seen", ""))
        again.answer_all(
            (f"{BAR} (stayed", "stayed"),
            ("Performed by", "S-107"),
            ("Inspected by", "S-107"),
        )
        assert again.end() == FINDINGS
        assert "inspected-own-work" not in again.text
        assert "Another person inspects" in again.text
        last = Terminal(sqlite_demo, "swap", "guide", SWAP, "--by", "S-107", *DAY)
        last.answer_all(("Inspected by", "S-206"), ("Released by", "S-301"))
        assert last.end() == CLEAN

"""`stores` as it is typed: received and held, lifted and cleared by name, listed by store, packed with its evidence."""

from __future__ import annotations

import csv
import hashlib
import json
from pathlib import Path

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, fleetlife, head

UNIT = ("KV-2100-3", "20121")
RECEIVE = ("stores", "receive", *UNIT, "--inspector", "S-204", "--as-of", TODAY)
GOOD = ("--result", "accepted", "--store", "Skarholm main store", "--bin", "Q-1", "--damage", "none seen")
BY = ("--by", "Q-11", "--as-of", TODAY)
AUDIT = ("audit", "--code", "RCP101", "--code", "RCP102", "--as-of", TODAY, "--format", "json")


def open_findings(database: str) -> list[tuple[str, str]]:
    rows = fleetlife(*AUDIT, database=database).json["rows"]
    return sorted((row["finding"], row["serial_number"]) for row in rows)


STANDING = [("RCP101", "B12068"), ("RCP102", "B12067")]  # the demo's own


class TestReceive:
    def test_what_agrees_is_not_held(self, own_demo: str) -> None:
        number, _ = head(own_demo)
        plate = ("--plate-part", "KV-2100-3", "--plate-serial", "20121")
        said = fleetlife(*RECEIVE, *GOOD, *plate, "--certificate", "SHC-23-0011", "--yes", database=own_demo)
        assert said.status == CLEAN, said.err
        for words in (f"RECEIPT RECORDED, ENTRY {number + 1}", "bin Q-1", "hold none"):
            assert words in said.words
        assert "CAUTION" not in said.words
        assert open_findings(own_demo) == STANDING
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_shown_only_nothing_is_recorded(self, own_demo: str) -> None:
        before = head(own_demo)
        said = fleetlife(*RECEIVE, *GOOD, "--certificate", "HB-9", "--preview", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "NOTHING IS RECORDED" in said.words
        assert "certificate HB-9 is not filed against it" in said.words
        assert head(own_demo) == before

    def test_damage_holds_it_with_the_caution_until_it_is_lifted(self, own_demo: str) -> None:
        damaged = (*GOOD[:-1], "torn cover", "--certificate", "SHC-23-0011")
        said = fleetlife(*RECEIVE, *damaged, "--yes", database=own_demo)
        assert said.status == FINDINGS, said.err
        for words in ("CAUTION", "Stored gas", "damage seen (torn cover)", "lifted by name: stores lift"):
            assert words in said.words
        assert open_findings(own_demo) == sorted([*STANDING, ("RCP101", "20121")])
        card = fleetlife("unit", *UNIT, "--as-of", TODAY, database=own_demo).words
        assert "RECEIPTS AND HOLDS (1)" in card
        assert "damage: torn cover" in card
        story = fleetlife("unit", *UNIT, "--story", "--as-of", TODAY, database=own_demo).words
        assert "received, accepted by S-204, certificate SHC-23-0011, damage: torn cover" in story
        asked = fleetlife("swap", "check", "Q-SKA", "R1", *UNIT, "--as-of", TODAY, database=own_demo)
        assert "On hold: receipt of 2026-11-25: damage seen (torn cover)." in asked.words
        lifted = fleetlife("stores", "lift", *UNIT, *BY, "--why", "sewn", "--reference", "W-1", database=own_demo)
        assert lifted.status == CLEAN, lifted.err
        assert open_findings(own_demo) == STANDING

    def test_one_the_records_do_not_know(self, own_demo: str) -> None:
        new = ("stores", "receive", "TH-410-1", "R41999", "--inspector", "S-204", "--as-of", TODAY, *GOOD, "--yes")
        refused = fleetlife(*new, database=own_demo)
        assert (refused.status, "unit-unknown" in refused.words) == (REFUSED, True)
        paper = ("--new", "--mark", "11 24", "--manufactured", "2024-10", "--hours-since-new", "0:00")
        said = fleetlife(*new, *paper, database=own_demo)
        assert said.status == FINDINGS, said.err
        assert "R41999, new to these records" in said.words
        assert "no release certificate is named or filed" in said.words
        card = fleetlife("unit", "TH-410-1", "R41999", "--as-of", TODAY, "--format", "json", database=own_demo).json
        assert card["cycles_since_new"] is None
        assert card["hours_since_new"].startswith("0:00")
        assert {row["requirement"]: row["due_date"] for row in card["due"]}["HST"] == "2029-11-30"

    def test_a_scan_in_the_place_of_the_numbers_is_the_plate(self, own_demo: str) -> None:
        message = "[)>{RS}12{GS}MFR 1KV45{GS}SER 20121{GS}PNR KV-2100-3{RS}{EOT}"
        arguments = ("stores", "receive", message, *RECEIVE[4:], *GOOD, "--preview", "--format", "json")
        said = fleetlife(*arguments, database=own_demo)
        assert said.status == CLEAN, said.err
        assert said.json["name"] == "KV-2100-3 20121"
        assert "Its data plate was not read." not in said.json["told"]

    def test_as_an_object(self, own_demo: str) -> None:
        said = fleetlife(*RECEIVE, *GOOD, "--result", "quarantined", "--format", "json", "--yes", database=own_demo)
        assert said.status == FINDINGS, said.err
        causes = [cause["text"] for cause in said.json["causes"] if cause["decided"]]
        assert causes == ["quarantined by the inspector"]
        assert said.json["preview"] is False

    @pytest.mark.parametrize(
        ("more", "status", "words"),
        [
            (("--result", "good"), WRONG_USE, "accepted, quarantined"),
            ((*GOOD, "--damage", " "), WRONG_USE, "none seen"),
            ((*GOOD, "--mark", "05/07"), REFUSED, "mark-not-read"),
            ((*GOOD, "--cured", "soon"), WRONG_USE, "not a date"),
            ((*GOOD, "--hours-since-new", "0:00"), WRONG_USE, "--new"),
            ((*GOOD, "--new"), REFUSED, "unit-known"),
            ((*GOOD, "--on", "2026-11-30"), REFUSED, "in-the-future"),
            (("--result", "accepted"), WRONG_USE, "store-missing"),
        ],
    )
    def test_refused(self, demo: str, more: tuple[str, ...], status: int, words: str) -> None:
        before = head(demo)
        said = fleetlife(*RECEIVE, *more, "--yes", database=demo)
        assert said.status == status, said.words
        assert words in f"{said.words} {said.err}"
        assert head(demo) == before


class TestSuspect:
    def test_flagged_and_cleared_and_nothing_is_reported(self, own_demo: str, tmp_path: Path) -> None:
        said = fleetlife("stores", "suspect", *UNIT, *BY, "--why", "re-stamped", database=own_demo)
        assert said.status == CLEAN, said.err
        assert "This program reports nothing to anybody" in said.words
        assert "Form 8120-11" in said.words
        assert ("RCP102", "20121") in open_findings(own_demo)
        asked = fleetlife("swap", "check", "Q-SKA", "R1", *UNIT, "--as-of", TODAY, database=own_demo)
        assert "Suspected unapproved part: re-stamped." in asked.words
        waived = fleetlife(
            *("ledger", "waive", "RCP102", "KV-2100-3 20121", "--reason", "x", "--approved-by", "Q", "--until"),
            *("2027-01-01", "--as-of", TODAY),
            database=own_demo,
        )
        assert waived.status in (REFUSED, WRONG_USE)
        letter = tmp_path / "letter.txt"
        letter.write_text("it is ours")
        clear = ("stores", "clear", *UNIT, *BY, "--why", "maker confirms", "--document", str(letter))
        cleared = fleetlife(*clear, "--documents", str(tmp_path / "kept"), database=own_demo)
        assert cleared.status == CLEAN, cleared.err
        assert "It is no longer suspected." in cleared.words
        assert open_findings(own_demo) == STANDING
        (paper,) = (tmp_path / "kept").rglob("*.txt")
        check = ("document", "check", "--as-of", TODAY, "--documents", str(tmp_path / "kept"), "--format", "json")
        rows = [row for row in fleetlife(*check, database=own_demo).json["rows"] if row["kind"] == "decision"]
        assert [(row["tracking_number"], row["state"]) for row in rows] == [("cleared on 2026-11-25", "there")]
        paper.write_text("it is not ours")
        found = fleetlife(*check[:-2], database=own_demo)
        assert "DOC102" in found.words
        assert "The document of decision cleared on 2026-11-25 of Q-11 is not what was filed" in found.words


class TestList:
    def test_by_store_the_worst_first(self, demo: str) -> None:
        said = fleetlife("stores", "list", "--as-of", TODAY, database=demo)
        assert said.status == FINDINGS, said.err
        for words in ("Skarholm main store", "Ytrevik line store", "overdue", "On hold: the data plate reads"):
            assert words in said.words
        rows = fleetlife("stores", "list", "--as-of", TODAY, "--format", "json", database=demo).json["rows"]
        main = [row for row in rows if row["store"] == "Skarholm main store"]
        assert main[0]["serial_number"] == "29001", "no programme: nothing is known of it"
        dates = [row["due_date"] or row["due_if_fitted"] for row in main[1:]]
        assert dates == sorted(dates)
        assert {row["serial_number"] for row in rows if row["hold"]} == {"L620", "B12067", "B12068"}
        held = next(row for row in rows if row["serial_number"] == "R621")
        assert (held["requirement"], held["of_serial_number"]) == ("HST", "R88050")

    def test_narrowed(self, demo: str) -> None:
        asked = ("stores", "list", "--as-of", TODAY, "--format", "csv", "--side", "left", "--part", "KV-2100-3")
        rows = list(csv.DictReader(fleetlife(*asked, database=demo).out.splitlines()))
        assert rows
        assert {(row["side"], row["part_number"]) for row in rows} == {("left", "KV-2100-3")}

    def test_as_a_workbook(self, demo: str, tmp_path: Path) -> None:
        path = tmp_path / "stores.xlsx"
        said = fleetlife(
            *("stores", "list", "--as-of", TODAY, "--format", "xlsx", "--output", str(path)), database=demo
        )
        assert said.status == FINDINGS, said.err
        assert path.read_bytes()[:2] == b"PK"

    @pytest.mark.parametrize(
        ("more", "status", "words"),
        [
            (("--store", "Skarholm main stores"), REFUSED, "Skarholm main store"),
            (("--part", "KV-9"), REFUSED, "part-unknown"),
            (("--side", "up"), WRONG_USE, "left, right"),
        ],
    )
    def test_a_slip_is_refused(self, demo: str, more: tuple[str, ...], status: int, words: str) -> None:
        said = fleetlife("stores", "list", "--as-of", TODAY, *more, database=demo)
        assert said.status == status
        assert words in f"{said.words} {said.err}"


class TestEvidencePack:
    def test_whole_with_its_digests_and_who_else(self, own_demo: str, tmp_path: Path) -> None:
        scan = tmp_path / "scan.pdf"
        scan.write_bytes(b"%PDF-1.4 the paper")
        kept = ("--documents", str(tmp_path / "kept"))
        filed = fleetlife(
            *("document", "file", str(scan), "--certificate", "LCL-26-0002", "--instead", "the scan itself"),
            *kept,
            database=own_demo,
        )
        assert filed.status == CLEAN, filed.err
        folder = tmp_path / "pack"
        asked = ("stores", "evidence-pack", str(folder), "LC-12-1", "B12067", "--as-of", TODAY, *kept)
        said = fleetlife(*asked, database=own_demo)
        assert said.status == CLEAN, said.words
        index = " ".join((folder / "index.txt").read_text().split())
        assert "the label is not printed as the maker prints it" in index
        assert "This program reports nothing to anybody" in index
        for line in (folder / "sha256sums.txt").read_text().splitlines():
            digest, name = line.split("  ")
            assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
        (document,) = (folder / "documents").iterdir()
        assert document.read_bytes() == scan.read_bytes()
        with (folder / "concerned.csv").open(newline="") as file:
            concerned = list(csv.DictReader(file))
        same = {row["serial_number"] for row in concerned if row["why"] == "same certificate"}
        assert {"B12066", "B12068"} <= same
        assert "B12067" not in {row["serial_number"] for row in concerned}
        assert json.loads((folder / "card.json").read_text())["serial_number"] == "B12067"
        again = fleetlife(*asked, database=own_demo)
        assert (again.status, "folder-not-empty" in again.words) == (REFUSED, True)

    def test_a_document_that_is_not_there_is_named(self, demo: str, tmp_path: Path) -> None:
        folder = tmp_path / "pack"
        said = fleetlife(
            *("stores", "evidence-pack", str(folder), "LC-12-1", "B12067", "--as-of", TODAY), database=demo
        )
        assert said.status == FINDINGS, said.err
        assert "scan/LCL-26-0002.pdf: elsewhere" in (folder / "index.txt").read_text()

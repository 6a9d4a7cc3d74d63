"""The ledger's commands, and `explain`."""

from __future__ import annotations

import hashlib
import json
import re
from pathlib import Path
from typing import Any

import pytest

from .running import CLEAN, FINDINGS, REFUSED, TODAY, WRONG_USE, Said, fleetlife, head, in_a_shell

WHO = ("--reason", "misread", "--authorised-by", "C117")


def entries(database: str, path: Path) -> list[dict[str, Any]]:
    """Every entry as `ledger export` writes it."""
    path.unlink(missing_ok=True)
    said = fleetlife("ledger", "export", path, database=database)
    assert said.status == CLEAN, said.err
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def numbered(found: list[dict[str, Any]], kind: str, **facts: Any) -> int:
    """The number of the one entry of a kind whose fact says this."""
    (number,) = [
        entry["number"]
        for entry in found
        if entry["kind"] == kind and all(entry["items"][0].get(name) == value for name, value in facts.items())
    ]
    return int(number)


class TestHead:
    def test_is_the_last_entry_with_its_whole_digest(self, demo: str, tmp_path: Path) -> None:
        number, digest = head(demo)
        said = fleetlife("ledger", "head", database=demo)
        assert re.search(rf"entry +{number}\n", said.out)
        assert digest in said.out
        assert re.fullmatch(r"[0-9a-f]{64}", digest)
        assert number == len(entries(demo, tmp_path / "ledger.jsonl"))


class TestExport:
    def test_each_line_hashes_to_the_previous_of_the_next(self, demo: str, tmp_path: Path) -> None:
        path = tmp_path / "ledger.jsonl"
        said = fleetlife("ledger", "export", path, database=demo)
        lines = path.read_text(encoding="utf-8").splitlines()
        digest = "0" * 64
        for number, line in enumerate(lines, start=1):
            body = json.loads(line)
            assert (body["number"], body["previous"]) == (number, digest)
            digest = hashlib.sha256(line.encode("utf-8")).hexdigest()
        assert head(demo) == (len(lines), digest)
        assert digest in said.out
        assert f"{len(lines):,} entries" in said.out


class TestVerify:
    def test_a_clean_ledger_says_so(self, demo: str) -> None:
        said = fleetlife("ledger", "verify", database=demo)
        assert said.status == CLEAN
        assert "LEDGER VERIFIED" in said.out

    @pytest.mark.parametrize("length", [8, 16, 64])
    def test_a_head_of_before_is_found_with_its_entry(self, demo: str, tmp_path: Path, length: int) -> None:
        lines = entries(demo, tmp_path / "ledger.jsonl")
        kept = lines[1000]["previous"][:length]
        said = fleetlife("ledger", "verify", "--head", kept, "--head", head(demo)[1], database=demo)
        assert said.status == CLEAN, said.out
        assert "the digest of entry 1000" in said.words
        assert f"the digest of entry {len(lines)}" in said.words
        assert fleetlife("ledger", "verify", "--head", kept.upper(), database=demo).status == CLEAN

    @pytest.mark.parametrize(
        ("kept", "words"),
        [("0123456789abcdef", "not on this chain"), ("abc", "too short"), ("", "too short"), ("not a head", "not on")],
    )
    def test_one_that_is_not_there_or_too_short_is_a_finding(self, demo: str, kept: str, words: str) -> None:
        said = fleetlife("ledger", "verify", "--head", kept, database=demo)
        assert said.status == FINDINGS
        assert words in said.words
        assert "LED101" in said.out
        answer = fleetlife("ledger", "verify", "--head", kept, "--format", "json", database=demo)
        assert answer.status == FINDINGS
        assert answer.json["known_heads"][0]["head"] == kept
        assert [row["finding"] for row in answer.json["findings"]] == ["LED101"]


class TestCorrect:
    def test_the_right_fact_takes_the_place_and_the_wrong_one_stays_readable(
        self, own_demo: str, tmp_path: Path
    ) -> None:
        before = entries(own_demo, tmp_path / "before.jsonl")
        number = numbered(
            before,
            "accomplishment",
            requirement="HST",
            done_on="2024-11",
            date_basis="mark",
            unit=unit_of(before, "R42002"),
        )
        said = correct(own_demo, tmp_path, number, {"done_on": "2025-03"})
        assert said.status == CLEAN, said.err
        assert f"Entry {len(before) + 1} replaces what entry {number} stated" in said.out
        assert head(own_demo)[1] in said.out
        assert due_date(own_demo, "TH-410-2", "R42002", "HST") == "2028-03-31"
        old = fleetlife("explain", str(number), database=own_demo).out
        assert f"replaced by entry {len(before) + 1}" in old
        assert '"done_on": "2024-11"' in old
        after = entries(own_demo, tmp_path / "after.jsonl")
        assert after[: len(before)] == before
        assert after[-1]["replaces"] == [{"number": number}]
        assert (after[-1]["reason"], after[-1]["authorised_by"]) == ("misread", "C117")
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    def test_one_reading_of_a_block_is_corrected_by_its_place(self, own_demo: str, tmp_path: Path) -> None:
        before = entries(own_demo, tmp_path / "before.jsonl")
        block = next(entry for entry in before if entry["kind"] == "reading")
        minutes = block["items"][5]["minutes"]
        changed = {"minutes": f"{minutes // 60}:{minutes % 60:02d}"}
        assert correct(own_demo, tmp_path, block["number"], changed, "--item", "5").status == REFUSED
        assert correct(own_demo, tmp_path, block["number"], {"minutes": minutes + 1}, "--item", "5").status == CLEAN
        assert "item 5: replaced by entry" in fleetlife("explain", str(block["number"]), database=own_demo).out
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    @pytest.mark.parametrize(
        ("changes", "code"),
        [
            ({"done_onn": "2025-03"}, "field-not-known"),
            ({"done_on": 2025}, "field-not-read"),
            ({"done_on": "March"}, None),
            ({"done_on": None}, "field-not-read"),
            ({"minutes_since_new": "1234.30"}, "hours-ambiguous"),
            ({"minutes_since_new": True}, "field-not-read"),
            ({"unit": {"part_number": "KV-2100-3"}}, "field-not-read"),
            ({"unit": {"part_number": "KV-2100-3", "serial_number": "nobody"}}, "unit-unknown"),
            ({"done_on": "2024-11"}, "nothing-changes"),
            ({}, "nothing-changes"),
        ],
    )
    def test_what_cannot_be_is_refused_with_nothing_written(
        self, own_demo: str, tmp_path: Path, changes: dict[str, Any], code: str | None
    ) -> None:
        before = head(own_demo)
        found = entries(own_demo, tmp_path / "before.jsonl")
        number = numbered(
            found,
            "accomplishment",
            requirement="HST",
            done_on="2024-11",
            date_basis="mark",
            unit=unit_of(found, "R42002"),
        )
        said = correct(own_demo, tmp_path, number, changes)
        assert (said.status, said.out) == (REFUSED, "")
        assert said.err.startswith(f"Refused ({code}" if code else "Refused (")
        assert head(own_demo) == before

    @pytest.mark.parametrize(("number", "code"), [("0", "entry-not-known"), ("99999", "entry-not-known")])
    def test_an_entry_that_is_not_there(self, demo: str, tmp_path: Path, number: str, code: str) -> None:
        said = correct(demo, tmp_path, number, {"done_on": "2025-03"})
        assert said.status == REFUSED
        assert code in said.err

    def test_an_entry_replaced_already_names_what_replaced_it(self, own_demo: str, tmp_path: Path) -> None:
        found = entries(own_demo, tmp_path / "before.jsonl")
        number = numbered(
            found,
            "accomplishment",
            requirement="HST",
            done_on="2024-11",
            date_basis="mark",
            unit=unit_of(found, "R42002"),
        )
        assert correct(own_demo, tmp_path, number, {"done_on": "2025-03"}).status == CLEAN
        after = head(own_demo)
        said = correct(own_demo, tmp_path, number, {"done_on": "2025-04"})
        assert said.status == REFUSED
        assert f"fleetlife explain {number}" in said.err
        assert f"replaced by entry {after[0]}" in fleetlife("explain", str(number), database=own_demo).out
        assert correct(own_demo, tmp_path, after[0], {"done_on": "2025-04"}).status == CLEAN

    @pytest.mark.parametrize("text", ["", "[]", "{", "null"])
    def test_a_file_that_is_no_object(self, sqlite_demo: str, tmp_path: Path, text: str) -> None:
        path = tmp_path / "right.json"
        path.write_text(text, encoding="utf-8")
        said = fleetlife("ledger", "correct", "4", "--file", path, *WHO, database=sqlite_demo)
        assert said.status == REFUSED
        assert "file-not-read" in said.err

    def test_it_is_read_from_standard_input_too(self, sqlite_demo: str, tmp_path: Path) -> None:
        found = entries(sqlite_demo, tmp_path / "before.jsonl")
        number = numbered(
            found,
            "accomplishment",
            requirement="HST",
            done_on="2024-11",
            date_basis="mark",
            unit=unit_of(found, "R42002"),
        )
        said = in_a_shell(
            "ledger", "correct", str(number), "--file", "-", *WHO, database=sqlite_demo, stdin='{"done_on": "2025-03"}'
        )
        assert said.status == CLEAN, said.err

    @pytest.mark.parametrize("missing", ["--reason", "--authorised-by", "--file"])
    def test_who_and_why_must_be_said(self, sqlite_demo: str, missing: str) -> None:
        options = {"--reason": "r", "--authorised-by": "a", "--file": "right.json"}
        del options[missing]
        given = [word for pair in options.items() for word in pair]
        assert fleetlife("ledger", "correct", "4", *given, database=sqlite_demo).status == WRONG_USE


class TestWithdraw:
    def test_what_it_stated_is_gone_and_the_entry_stays(self, own_demo: str, tmp_path: Path) -> None:
        before = entries(own_demo, tmp_path / "before.jsonl")
        number = numbered(
            before,
            "accomplishment",
            requirement="HST",
            done_on="2024-11",
            date_basis="mark",
            unit=unit_of(before, "R42002"),
        )
        said = fleetlife("ledger", "withdraw", str(number), *WHO, database=own_demo)
        assert said.status == CLEAN, said.err
        assert f"Entry {len(before) + 1} withdraws entry {number}" in said.out
        assert due_date(own_demo, "TH-410-2", "R42002", "HST") != "2027-11-30"
        assert f"withdrawn by entry {len(before) + 1}" in fleetlife("explain", str(number), database=own_demo).out
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN
        again = fleetlife("ledger", "withdraw", str(number), *WHO, database=own_demo)
        assert again.status == REFUSED
        assert head(own_demo)[0] == len(before) + 1

    def test_what_others_speak_of_is_refused_and_they_are_named(self, own_demo: str, tmp_path: Path) -> None:
        found = entries(own_demo, tmp_path / "before.jsonl")
        before = head(own_demo)
        number = numbered(found, "unit", serial_number="20126")
        said = fleetlife("ledger", "withdraw", str(number), *WHO, database=own_demo)
        assert said.status == REFUSED
        assert "still-referred-to" in said.err
        assert re.search(r"20126: \d+, \d+", said.err)
        assert head(own_demo) == before


class TestWaive:
    SUBJECT = "Q-SKJ L2   TH-880-1 R88950"  # as audit prints it

    def test_what_no_finding_is_about_is_refused_with_what_they_are_about(self, own_demo: str) -> None:
        before = head(own_demo)
        waive = ("ledger", "waive", "IDN101", "TH-880-1 R8895O", *WHO, "--until", "2026-12-31", "--as-of", TODAY)
        said = fleetlife(*waive, database=own_demo)
        assert said.status == REFUSED
        assert "subject-unknown" in said.err
        assert "Q-SKJ L2 TH-880-1 R88950" in said.err
        assert head(own_demo) == before

    def test_a_finding_is_left_out_and_counted_until_its_day(self, own_demo: str) -> None:
        asked = ("audit", "--code", "IDN101", "--as-of", TODAY)
        shown = fleetlife(*asked, "--format", "json", database=own_demo).json["rows"]
        until = ("--until", "2026-12-31", "--as-of", TODAY)
        said = fleetlife("ledger", "waive", "idn101", self.SUBJECT, *WHO, *until, database=own_demo)
        assert said.status == CLEAN, said.err
        assert "is waived until 2026-12-31" in said.out
        now = fleetlife(*asked, "--format", "json", database=own_demo)
        assert len(shown) == 1
        assert (now.json["rows"], now.json["about"]["waived"], now.status) == ([], 1, CLEAN)
        kept = fleetlife(*asked, "--waived", "--format", "json", database=own_demo).json["rows"]
        assert [row["finding"] for row in kept] == ["IDN101"]
        later = fleetlife("audit", "--code", "IDN101", "--as-of", "2027-01-01", database=own_demo)
        assert later.status == FINDINGS

    @pytest.mark.parametrize(
        ("code", "status", "words"),
        [("LIF101", REFUSED, "never waived"), ("XYZ999", WRONG_USE, "no finding 'XYZ999'")],
    )
    def test_not_what_is_overdue_nor_what_is_no_finding(self, demo: str, code: str, status: int, words: str) -> None:
        before = head(demo)
        said = fleetlife("ledger", "waive", code, "KV-2100-3 20104", *WHO, "--until", "2026-12-31", database=demo)
        assert said.status == status
        assert words in said.err
        assert head(demo) == before


class TestExplain:
    def test_a_code_and_its_name_print_the_same_page(self, demo: str) -> None:
        by_code, by_name = (fleetlife("explain", name, database=demo) for name in ("pap102", "serial-number-differs"))
        assert by_code == by_name
        for words in (
            "PAP102  serial-number-differs",
            "Why it matters",
            "What to do",
            "What it cannot see",
            "Published",
        ):
            assert words in by_code.out

    def test_without_a_code_all_are_listed(self, demo: str) -> None:
        said = fleetlife("explain", database=demo)
        assert len(re.findall(r"^[A-Z]{3}\d{3}\b", said.out, re.MULTILINE)) >= 30

    def test_it_needs_no_database_for_a_page(self) -> None:
        assert fleetlife("explain", "LIF103", database="sqlite:////nowhere.db").status == CLEAN

    def test_an_entry_is_shown_with_its_digest(self, demo: str) -> None:
        number, digest = head(demo)
        said = fleetlife("explain", str(number), database=demo)
        assert said.out.startswith(f"entry {number}, digest {digest}\n")
        assert json.loads(said.out.partition("\n")[2])["number"] == number

    def test_an_unknown_one_names_the_nearest(self, demo: str) -> None:
        said = fleetlife("explain", "serial-number-differ", database=demo)
        assert said.status == WRONG_USE
        assert "Did you mean serial-number-differs?" in said.err


class TestAClockThatIsBehind:
    """The demo's last entry, put a day ahead of the clock."""

    @pytest.fixture
    def ahead(self, sqlite_demo: str) -> str:
        from datetime import UTC, datetime, timedelta

        from fleetlife.actions.mend import waive
        from fleetlife.store.engine import open_store

        store = open_store(sqlite_demo, clock=lambda: datetime.now(UTC) + timedelta(days=1))
        waive(
            store,
            code="IDN101",
            subject="x",
            reason="r",
            approved_by="a",
            expires_on=datetime.now(UTC).date(),
            recorded_by="C117",
        )
        store.close()
        return sqlite_demo

    def test_nothing_is_recorded_unless_it_is_accepted(self, ahead: str, tmp_path: Path) -> None:
        (tmp_path / "types.csv").write_text("type\nSKR-99\n", encoding="utf-8")
        (tmp_path / "right.json").write_text('{"name": "other"}', encoding="utf-8")
        for arguments in (
            ("import", tmp_path),
            ("swap", "record", "Q-SKA", "R2", "--remove-only", "--on", TODAY, "--as-of", TODAY),
            ("ledger", "waive", "IDN101", TestWaive.SUBJECT, *WHO, "--until", "2026-12-31", "--as-of", TODAY),
            ("ledger", "withdraw", str(head(ahead)[0]), *WHO),
        ):
            number, _ = head(ahead)
            said = fleetlife(*arguments, database=ahead)
            assert said.status == REFUSED
            assert "--accept-clock-behind" in said.err
            assert head(ahead)[0] == number
            assert fleetlife(*arguments, "--accept-clock-behind", database=ahead).status == CLEAN
            assert head(ahead)[0] == number + 1


def correct(database: str, folder: Path, number: int | str, changes: dict[str, Any], *options: str) -> Said:
    path = folder / "right.json"
    path.write_text(json.dumps(changes), encoding="utf-8")
    return fleetlife("ledger", "correct", str(number), "--file", path, *WHO, *options, database=database)


def unit_of(found: list[dict[str, Any]], serial: str) -> int:
    """The ledger's number of a unit."""
    (unit,) = [e["items"][0]["unit"] for e in found if e["kind"] == "unit" and e["items"][0]["serial_number"] == serial]
    return int(unit)


def due_date(database: str, part: str, serial: str, requirement: str) -> str | None:
    rows = fleetlife("due", "--all", "--part", part, "--as-of", TODAY, "--format", "json", database=database).json[
        "rows"
    ]
    (date,) = [r["due_date"] for r in rows if (r["serial_number"], r["requirement"]) == (serial, requirement)]
    return date


class TestMend:
    REASON = ("--reason", "wrong day", "--authorised-by", "C117", "--as-of", TODAY)

    def group(self, tmp_path: Path, *objects: object) -> Path:
        path = tmp_path / "group.json"
        path.write_text(json.dumps(list(objects)), encoding="utf-8")
        return path

    def test_several_entries_are_put_right_together_and_what_moves_is_shown_first(
        self, own_demo: str, tmp_path: Path
    ) -> None:
        last, before = head(own_demo)
        found = entries(own_demo, tmp_path / "ledger.jsonl")
        swap, done = ([e["number"] for e in found if e["kind"] == kind][-1] for kind in ("movement", "accomplishment"))
        wrong = {"entry": swap, "changes": {"moved_on": "2026-11-21"}}, {"entry": done, "withdraw": True}
        path = self.group(tmp_path, *wrong)
        shown = fleetlife("ledger", "mend", path, *self.REASON, "--preview", database=own_demo)
        assert shown.status == CLEAN
        assert "WHAT MOVES" in shown.out
        assert "Nothing was recorded." in shown.words
        assert head(own_demo) == (last, before)
        said = fleetlife("ledger", "mend", path, *self.REASON, "--yes", database=own_demo)
        assert said.status == CLEAN
        assert f"Entries {last + 1} to {last + 2} put right together what entries" in said.words
        assert "0 differ" not in said.out
        assert fleetlife("ledger", "verify", database=own_demo).status == CLEAN

    @pytest.mark.parametrize(
        ("objects", "words"),
        [
            ([{"item": 1}], "Object 1 names no entry"),
            ([{"entry": 5, "chnages": {}}], "Did you mean changes?"),
            ([{"entry": 5}], "needs either changes or withdraw"),
            ([{"entry": 5, "changes": {"x": 1}, "withdraw": True}], "needs either changes or withdraw"),
        ],
    )
    def test_a_file_that_does_not_say_it_is_refused(
        self, own_demo: str, tmp_path: Path, objects: list[object], words: str
    ) -> None:
        before = head(own_demo)
        said = fleetlife("ledger", "mend", self.group(tmp_path, *objects), *self.REASON, database=own_demo)
        assert said.status == WRONG_USE
        assert words in said.words
        assert head(own_demo) == before

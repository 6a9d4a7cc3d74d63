"""The ten questions of a hostile expert, asked at the command line and answered in the program's own words."""

from __future__ import annotations

import json
import re
import shutil
import sqlite3
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from fleetlife.ledger.canonical import canonical, digest
from fleetlife.ledger.entry import GENESIS
from fleetlife.store.engine import Store, open_store
from tests.cli.running import CLEAN, FINDINGS, REFUSED, TODAY, Said, fleetlife, head

ON = ("--as-of", TODAY)
WHATEVER_THE_CLOCK = "--accept-clock-behind"  # the demo was recorded in 2026


@pytest.fixture
def asked(demo: Store) -> str:
    """The address of the demo, for reading."""
    return demo.engine.url.render_as_string(hide_password=False)


@pytest.fixture
def own(request: pytest.FixtureRequest, demo: Store, tmp_path: Path) -> Iterator[str]:
    """The address of a copy of the demo, to write to."""
    if demo.dialect == "sqlite":
        path = tmp_path / "own.db"
        source = sqlite3.connect(str(demo.engine.url.database))
        source.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        source.close()
        shutil.copyfile(str(demo.engine.url.database), path)
        yield f"sqlite:///{path}"
        return
    server = request.getfixturevalue("postgres_server")
    name = f"own_{uuid.uuid4().hex}"
    demo.engine.dispose()  # a database that somebody is connected to cannot be copied
    server.execute(f"CREATE DATABASE {name} TEMPLATE {demo.engine.url.database}")
    yield server.url(name)
    server.drop(name)


def answer(database: str, *arguments: str) -> Any:
    said = fleetlife(*arguments, "--format", "json", database=database)
    assert said.status in (CLEAN, FINDINGS), said.err
    return said.json


def told(database: str, *arguments: str) -> Said:
    said = fleetlife(*arguments, database=database)
    assert said.status in (CLEAN, FINDINGS), said.err
    return said


def rows_of(database: str, part: str, serial: str, *options: str) -> dict[str | None, dict[str, Any]]:
    """The due rows of one unit, by requirement."""
    rows = answer(database, "due", "--all", "--part", part, *(options or ON))["rows"]
    return {row["requirement"]: row for row in rows if row["serial_number"] == serial}


class TestANewDashNumberCameInYesterdayAndNothingIsDue:
    def test_no_programme_is_a_stop_and_stands_in_the_coverage_line(self, asked: str) -> None:
        due = told(asked, "due", *ON)
        assert due.status == FINDINGS
        assert "NO PROGRAMME: not the same as nothing due (1)" in due.words
        assert "KV-2100-9: 1 unit" in due.words
        assert "280 units counted: 279 with a programme, 1 without" in due.words
        assert rows_of(asked, "KV-2100-9", "29001")[None]["state"] == "unknown"
        check = told(asked, "swap", "check", "Q-SKA", "R2", "KV-2100-9", "29001", *ON)
        assert check.status == FINDINGS
        assert "DO NOT FIT" in check.words
        assert "LIF103" in check.words
        (found,) = answer(asked, "audit", "--code", "LIF103", *ON)["rows"]
        assert (found["severity"], found["part_number"], found["serial_number"]) == ("stop", "KV-2100-9", "29001")


class TestThePackWasOverhauledInMarchSoTheBottleIsGoodForThreeYears:
    def test_no_its_own_mark_counts(self, asked: str) -> None:
        pack = told(asked, "unit", "KV-2100-3", "20125", *ON).words
        assert "KV-2100-3 20125 OVH overhaul 2029-04-02" in pack
        assert "TH-410-2 R42002 HST requalification 2027-11-30" in pack
        assert "in KV-2100-3 20125 counted from done 2024-11 (mark)" in pack
        bottle = rows_of(asked, "TH-410-2", "R42002")["HST"]
        assert (bottle["last_done"], bottle["due_date"]) == ("2024-11-01", "2027-11-30")


class TestOffForAccessAndBackOnANewThirtySixMonths:
    """Released 2024-06-10, fitted 2025-02-01, off for access 2025-09-01, refitted 2025-09-03."""

    def test_no_unchanged_since_the_release_with_the_stays(self, asked: str) -> None:
        days = ["2025-08-31", "2025-09-04", TODAY]
        found = [rows_of(asked, "KV-2100-3", "20126", "--as-of", day)["OVH"] for day in days]
        assert {row["due_date"] for row in found} == {"2028-02-01"}
        assert {row["last_done"] for row in found} == {"2024-06-10"}
        card = told(asked, "unit", "KV-2100-3", "20126", *ON)
        assert "counted from done 2024-06-10 (release), first fitted 2025-02-01" in card.words
        for stay in ("2025-02-01 2025-09-01 Q-SKB R2", "2025-09-03 still there Q-SKB R2"):
            assert stay in card.words
        assert "PAP104" in card.out  # back without a release since: said, and no restart


class TestItSaysOverhauledTheCertificateSaysInspected:
    def test_it_counts_from_the_last_overhaul_shown(self, asked: str) -> None:
        card = told(asked, "unit", "KV-3300-1", "33114", *ON)
        assert "counted from done 2022-08-16 (release); the paper of 2026-02-07 does not show this work" in card.words
        assert rows_of(asked, "KV-3300-1", "33114")["OVH"]["due_date"] == "2027-08-16"
        (found,) = answer(asked, "audit", "--code", "PAP110", *ON)["rows"]
        assert found["serial_number"] == "33114"
        assert "2026-02-07" in json.dumps(found)

    def test_none_shown_it_is_unknown_and_never_fine(self, asked: str) -> None:
        row = rows_of(asked, "KV-2100-3", "20105")["OVH"]
        assert (row["state"], row["due_date"], row["days_left"]) == ("unknown", None, None)
        assert told(asked, "due", *ON).words.count("KV-2100-3 20105") == 0  # grouped by cause ...
        assert "KV-2100-3 20105" in told(asked, "due", "--full", *ON).words  # ... and in full on request


class TestIOwnTheDatabaseAndRebuiltTheChainLastNight:
    def test_the_chain_alone_does_not_show_it_and_a_head_kept_elsewhere_does(self, own: str) -> None:
        """The late entry of a swap made timely: its recording moved a month back, and all that follows chained anew."""
        number, kept = head(own)
        assert answer(own, "audit", "--code", "PAP109", *ON)["rows"] != []
        assert told(own, "ledger", "verify", "--head", kept[:16]).status == CLEAN

        self._rebuild(own)
        assert answer(own, "audit", "--code", "PAP109", *ON)["rows"] == []
        alone = told(own, "ledger", "verify")
        assert (alone.status, head(own)[0]) == (CLEAN, number)
        assert "LEDGER VERIFIED" in alone.out
        held = told(own, "ledger", "verify", "--head", kept[:16])
        assert held.status == FINDINGS
        assert "LED101" in held.out
        assert kept[:16] in held.out
        assert "not on this chain: the ledger was rewritten or cut since that head was printed" in held.words

    @staticmethod
    def _rebuild(database: str) -> None:
        store = open_store(database)
        with store.engine.connect() as plain:
            connection = plain.execution_options(fleetlife_writes=True)
            with connection.begin():
                if store.dialect == "sqlite":
                    triggers = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger'"))
                    for name in list(triggers.scalars()):
                        connection.execute(text(f"DROP TRIGGER {name}"))
                else:
                    for table in ("entry", "ledger_head"):
                        connection.execute(text(f"ALTER TABLE {table} DISABLE TRIGGER ALL"))
                previous = GENESIS
                rows = connection.execute(text("SELECT number, body FROM entry ORDER BY number")).all()
                for number, body in rows:
                    values = json.loads(body)
                    values["previous"] = previous
                    if values["recorded_at"] > "2026-11":
                        values["recorded_at"] = "2026-10-22T08:00:00.000000Z"
                    told_anew = canonical(values)
                    connection.execute(
                        text(
                            "UPDATE entry SET previous = :previous, body = :body, digest = :digest, recorded_at = :at"
                            " WHERE number = :number"
                        ),
                        {
                            "previous": previous,
                            "body": told_anew,
                            "digest": digest(told_anew),
                            "at": values["recorded_at"],
                            "number": number,
                        },
                    )
                    previous = digest(told_anew)
                connection.execute(
                    text("UPDATE ledger_head SET digest = :digest, recorded_at = :at"),
                    {"digest": previous, "at": values["recorded_at"]},
                )
        store.close()


class TestTheBottleIsPastItsDateAndTheAeroplaneFlew:
    def test_charged_before_and_not_since_it_may_stay_until_emptied(self, asked: str) -> None:
        row = rows_of(asked, "TH-410-2", "R42001")["HST"]
        assert (row["state"], row["due_date"], row["registration"]) == ("no refill", "2026-09-30", "Q-SKC")
        assert (row["reference"], row["edition"]) == ("Teistholm TH-410-2 sheet 2", "4")
        card = told(asked, "unit", "TH-410-2", "R42001", *ON).words
        assert "It was filled before that date and not since: it may stay until emptied, not be refilled." in card
        assert "Not to be refilled or fitted anew" in card
        assert "edition 4 Teistholm TH-410-2 sheet 2" in card
        assert "NO REFILL: may stay until emptied (1)" in told(asked, "due", *ON).words

    def test_that_never_covers_a_new_fitting(self, asked: str) -> None:
        check = told(asked, "swap", "check", "Q-SKC", "R1", "KV-2100-3", "20110", *ON)
        assert check.status == FINDINGS
        assert "TH-410-2 R42001 HST: Due 2026-09-30" in check.words
        assert "that never covers a new fitting" in check.words

    def test_with_its_fillings_unknown_it_is_overdue(self, own: str, tmp_path: Path) -> None:
        fleetlife("ledger", "export", tmp_path / "ledger.jsonl", database=own)
        for line in (tmp_path / "ledger.jsonl").read_text(encoding="utf-8").splitlines():
            entry = json.loads(line)
            if entry["kind"] == "operation" and entry["items"][0]["unit"] == self._unit(tmp_path):
                withdraw = ("ledger", "withdraw", str(entry["number"]), "--reason", "r", "--authorised-by", "C117")
                assert fleetlife(*withdraw, WHATEVER_THE_CLOCK, database=own).status == CLEAN
        row = rows_of(own, "TH-410-2", "R42001")["HST"]
        assert (row["state"], row["due_date"]) == ("overdue", "2026-09-30")

    @staticmethod
    def _unit(folder: Path) -> int:
        entries = map(json.loads, (folder / "ledger.jsonl").read_text(encoding="utf-8").splitlines())
        return next(
            int(e["items"][0]["unit"])
            for e in entries
            if e["kind"] == "unit" and e["items"][0]["serial_number"] == "R42001"
        )


class TestHoursYouKnowOrHoursYouGuessed:
    @pytest.mark.parametrize(
        ("part", "serial", "words"),
        [
            ("KV-2100-3", "20126", "27271:06 to 28806:48 cycles 28910 to 30527 totals are stated, stated"),
            ("KV-2100-3", "20118", "26476:33 to now 28083 to now totals are bounded"),
            ("KV-2100-3", "20127", "19575:09 to 27004:48 cycles 20758 to 28602 totals are opening, provisional"),
            ("KV-3300-1", "33120", "13568 to 17253 totals are doubtful, bounded"),
        ],
    )
    def test_each_boundary_says_which(self, asked: str, part: str, serial: str, words: str) -> None:
        card = told(asked, "unit", part, serial, *ON).words
        assert words in card
        assert "stated on paper, reading of that day, bounded by the readings around it, provisional until" in card

    def test_a_date_out_of_a_projection_says_so_and_beside_it_stands_what_it_rests_on(self, asked: str) -> None:
        row = rows_of(asked, "KV-3350-3L", "L511")["INS"]
        assert row["estimated"] is True
        assert (row["airframe_hours_due"], row["readings_as_of"]) == ("31270:57", "2026-11-24")
        card = told(asked, "unit", "KV-3350-3L", "L511", *ON).words
        assert f"~{row['due_date']}" in card
        assert "projected for 2026-11-25 from the reading of 2026-11-24" in card
        assert "~ estimated: projected from readings or bounded by them, rounded against the unit" in card
        by_calendar = rows_of(asked, "KV-3350-3L", "L511")["OVH"]
        assert (by_calendar["estimated"], by_calendar["due_date"]) == (False, by_calendar["calendar_due"])


class TestYouApprovedThirtyHoursTolerance:
    def test_the_window_is_none_it_only_says_where_the_next_interval_starts(self, asked: str) -> None:
        """The inspection of L511: past its due point inside the late window, covered by nothing but the variation."""
        before = rows_of(asked, "KV-3350-3L", "L511", *ON, "--known-at", "2026-11-01")["INS"]
        now = rows_of(asked, "KV-3350-3L", "L511")["INS"]
        assert before["variation"] is None
        assert before["state"] == "overdue"
        assert now["state"] == "in variation"
        assert "inside the window: hours from the due point" in told(asked, "unit", "KV-3350-3L", "L511", *ON).words

    def test_here_is_the_variation_with_its_approver_and_its_reference(self, asked: str) -> None:
        row = rows_of(asked, "KV-3350-3L", "L511")["INS"]
        for words in ("SKARHOLM variation 26-07", "2026-11-06", "S-501"):
            assert words in row["state_reason"]
        # the first due point stays beside it, in hours here and as a day there
        assert row["airframe_hours_due"] == "31270:57"
        assert "Due at 31520:57 airframe hours" in row["state_reason"]
        other = rows_of(asked, "KV-3300-1", "33123", "--as-of", "2026-10-27")["OVH"]
        assert (other["original_due"], other["due_date"]) == ("2026-09-30", "2026-12-31")
        assert other["variation"] == "SKARHOLM variation 26-05, approved 2026-09-18 by S-501"

    def test_it_ended_when_the_unit_left_the_airframe(self, asked: str) -> None:
        """Due 2026-09-30, varied to 2026-12-31 on Q-SKM, taken off on 2026-10-28."""
        states = {
            day: rows_of(asked, "KV-3300-1", "33123", "--as-of", day)["OVH"]["state"]
            for day in ("2026-09-30", "2026-10-01", "2026-10-27", "2026-10-28", TODAY)
        }
        assert list(states.values()) == ["in date", "in variation", "in variation", "overdue", "overdue"]
        check = told(asked, "swap", "check", "Q-SKJ", "R4", "KV-3300-1", "33123", *ON)
        assert "DO NOT FIT" in check.words
        assert "LIF101" in check.out


class TestTheDoorHasNoSlideCanItFlyWithFewerPassengers:
    def test_the_tool_does_not_say(self, asked: str) -> None:
        card = told(asked, "airframe", "Q-SKJ", *ON)
        audit = told(asked, "audit", "--airframe", "Q-SKJ", *ON)
        (door,) = [d for d in answer(asked, "airframe", "Q-SKJ", *ON)["doors"] if d["position"] == "R4"]
        assert (door["serial_number"], door["required"]) == (None, True)
        for said in (card, audit):
            assert said.status == FINDINGS
            assert "R4 must hold a unit, and these records hold none there" in said.words
            assert "FIT104" in said.out
        for said in (card, audit):
            assert not re.search(r"passengers?\b|may fly|can fly|airworth", said.words, re.IGNORECASE)
        page = told(asked, "explain", "FIT104").words
        assert "Whether it may fly so is not for this program to say" in page
        assert "a passed maintenance date cannot be deferred by taking the unit off" in page

    def test_with_a_deferral_it_shows_what_was_entered_by_whom_until_when(self, asked: str) -> None:
        """Q-SKT L1: without one a stop; with one a note, told with it wherever the airframe is."""
        entered = ("slide missing at L1", "S-501", "2026-12-04 as entered", "door L1 not used for")
        for question in (("airframe", "Q-SKT"), ("audit", "--airframe", "Q-SKT"), ("due",), ("deferral", "list")):
            said = told(asked, *question, *ON)
            for words in entered if question[0] != "deferral" else ("slide missing at L1", "S-501", "2026-12-04"):
                assert words in said.words, question
        severities = {row["severity"] for row in answer(asked, "audit", "--airframe", "Q-SKT", *ON)["rows"]}
        assert severities == {"note"}
        day_after = ("--as-of", "2026-12-05")
        late = answer(asked, "audit", "--airframe", "Q-SKT", *day_after)["rows"]
        assert {row["finding"] for row in late if row["severity"] == "stop"} == {"DEF101", "FIT104"}

    def test_a_passed_maintenance_date_cannot_be_deferred_this_way(self, asked: str) -> None:
        opening = ("deferral", "open", "Q-SKA", "R2", "--authorised-by", "S-501", "--preview", *ON)
        refused = fleetlife(*opening, "--item", "OVH", database=asked)
        assert refused.status == REFUSED
        assert "not an inoperative item and cannot be deferred this way" in refused.err
        beside = told(asked, *opening, "--item", "handle stiff")
        assert "OVH is overdue" in beside.words
        assert "computed here" in beside.words


class TestYourScreenSaidItWasFineAndItWasTheWrongUnit:
    CHECK = ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON)

    def test_it_said_for_which_numbers_against_which_head_and_what_it_had_not_checked(self, own: str) -> None:
        number, kept = head(own)
        before = told(own, *self.CHECK)
        assert before.status == CLEAN
        for words in ("NO OBJECTION IN THESE RECORDS", "KV-2100-3 20301", "Q-SKA R2", "This is not a release"):
            assert words in before.words
        assert f"ledger head {kept[:16]}, entry {number}" in before.words
        assert "the physical condition of the unit" in before.words.partition("NOT CHECKED")[2]
        before_json = answer(own, *self.CHECK)

        swap = ("swap", "record", "Q-SKA", "R2", "--install", "KV-2100-3", "20301", "--harness", "right", "--on", TODAY)
        assert fleetlife(*swap, *ON, WHATEVER_THE_CLOCK, database=own).status == CLEAN
        assert told(own, *self.CHECK).out != before.out

        again = told(own, *self.CHECK, "--known-at", str(number))
        assert again.status == before.status
        differing = [
            (one, other)
            for one, other in zip(before.out.splitlines(), again.out.splitlines(), strict=True)
            if one != other
        ]
        assert [one.split()[:3] for pair in differing for one in pair] == [["question", "swap", "check"]] * 2
        again_json = answer(own, *self.CHECK, "--known-at", str(number))
        assert again_json["about"].pop("known_at") == str(number)
        assert before_json["about"].pop("known_at") is None
        assert again_json == before_json

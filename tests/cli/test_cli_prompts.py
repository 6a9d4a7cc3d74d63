"""At a terminal: guided prompts that check while one types, questions before anything is recorded, no escape codes
where none are wanted."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pexpect
import pytest

from .running import CLEAN, FINDINGS, NOWHERE, REFUSED, ROOT, TODAY, fleetlife, head

SECONDS = 30
ESCAPE = "\x1b"
RECORD = ("swap", "record", "--as-of", TODAY)
BY_OPTIONS = ("swap", "record", "Q-SKA", "R2", "--install", "KV-2100-3", "20301", "--harness", "right",
              "--on", TODAY, "--as-of", TODAY)  # fmt: skip
LAST = ("Technical log page", "Work order", "Approved data worked to", "Its revision", "Performed by", "Inspected by",
        "Released by")  # fmt: skip


class Terminal:
    """A command at a pseudo-terminal: what it asks, what is answered, what it printed."""

    def __init__(self, database: str, *arguments: str, columns: int = 100, **env: str) -> None:
        inherited = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "fleetlife.cli.main", *arguments],
            cwd=str(ROOT),
            env={**inherited, **NOWHERE, "FLEETLIFE_DATABASE": database, "TERM": "xterm-256color", **env},
            encoding="utf-8",
            timeout=SECONDS,
            dimensions=(60, columns),
        )
        self.text = ""

    def answer(self, question: str, text: str | None) -> None:
        """Wait for the question and answer it; None: it was only to be said."""
        self.child.expect_exact(question)
        self.text += self.child.before + self.child.after
        if text is not None:
            self.child.sendline(text)

    def answer_all(self, *answers: tuple[str, str | None]) -> None:
        for question, text in answers:
            self.answer(question, text)

    def end(self) -> int:
        """Its exit status, when it has come to its end."""
        self.child.expect(pexpect.EOF)
        self.text += self.child.before
        self.child.close()
        assert self.child.exitstatus is not None, f"ended by signal {self.child.signalstatus}"
        return int(self.child.exitstatus)

    @property
    def words(self) -> str:
        return " ".join(re.sub(r"\x1b\[[0-9;]*m", "", self.text).split())

    @property
    def screen(self) -> list[str]:
        """The lines as they stand in the end, a carriage return writing over what was there."""
        lines = []
        for line in self.text.replace("\r\n", "\n").split("\n"):
            shown = ""
            for written in line.split("\r"):
                shown = written + shown[len(written) :]
            lines.append(shown.rstrip())
        return lines


@pytest.fixture
def at_terminal() -> Iterator[Callable[..., Terminal]]:
    """Commands at terminals; what still runs at the end is closed."""
    opened: list[Terminal] = []

    def start(database: str, *arguments: str, **how: str) -> Terminal:
        opened.append(Terminal(database, *arguments, **how))  # type: ignore[arg-type]
        return opened[-1]

    yield start
    for terminal in opened:
        terminal.child.close(force=True)


Start = Callable[..., Terminal]


class TestGuided:
    def test_wrong_answers_are_corrected_on_the_way_and_a_stop_is_acknowledged(
        self, own_demo: str, at_terminal: Start
    ) -> None:
        number, _ = head(own_demo)
        terminal = at_terminal(own_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", "tomorrow"),
            ("write YYYY-MM-DD", None),
            ("Date of the technical log", "2026-11-26"),
            ("a swap is recorded when it has happened", None),
            ("Date of the technical log", ""),
            ("Registration", "Q-SKX"),
            ("No airframe with registration Q-SKX", None),
            ("Registration", "q-ska"),
            ("Position", "Z1"),
            ("no position Z1", None),
            ("Position", "2R"),
            ("The records hold KV-2100-3 20104 there", None),
            ("Is that the unit that came off?", "y"),
            ("Unit fitted: part number", "KV-2100-9"),
            ("Unit fitted: serial number", "29002"),
            ("No unit KV-2100-9 29002", None),
            ("Unit fitted: part number", "KV-2100-9"),
            ("Unit fitted: serial number", "29001"),
            ("Swap check: do not fit", None),
            ("Airframe hours total", "1:00"),
            ("is below the reading", None),
            ("Airframe hours total", "1234.30"),
            ("could be decimal hours or hours and minutes", None),
            ("Airframe hours total", "-5:00"),
            ("is below zero", None),
            ("Airframe hours total", ""),
            ("Airframe cycles total", "many"),
            ("is not a whole number", None),
            ("Airframe cycles total", ""),
            ("Rigged for which side", "both"),
            ("'both' is none of them", None),
            ("Rigged for which side", "right"),
            ("Release certificate of the unit fitted", "ORO-26-9001"),
            ("Who issued it", "Outer Reef Overhaul"),
            ("Removed to", "shop"),
            ("Removal kind", "scheduled"),
            *((question, "M117" if "by" in question else "") for question in LAST),
            ("FIT101, LIF103", None),
        )
        terminal.answer_all(("do you accept them?", "y"))
        terminal.answer_all(
            ("Your staff id", "  "), ("It must be said", None), ("Your staff id", "C117"), ("Reason", "it hung there")
        )
        terminal.answer("Record this?", "y")
        assert terminal.end() == FINDINGS
        assert f"SWAP RECORDED, ENTRY {number + 1}" in terminal.words
        entry = fleetlife("explain", str(number + 1), database=own_demo).out
        for told in ('"name": "C117"', '"reason": "it hung there"', '"certificate": "ORO-26-9001"',
                     '"signed_by": "M117"', '"harness": "right"', '"removed_to": "shop"'):  # fmt: skip
            assert told in entry

    def test_the_plate_of_the_unit_fitted_is_scanned(self, own_demo: str, at_terminal: Start) -> None:
        """The separators as a scanner at a keyboard types them; the terminal keeps the end of transmission."""
        other = "[)>\x1e12\x1dMFR Q0TH7\x1dSER 20301\x1dPNR KV-2100-3\x1e\x04"
        terminal = at_terminal(own_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "y"),
            ("Unit fitted: part number, or scan the plate", other),
            ("which is Teistholm Cylinders", None),
            ("Unit fitted: part number, or scan the plate", other.replace("Q0TH7", "Q0KV1")),
            ("Scanned: KV-2100-3 20301 by Kvitnes Survival.", None),
            ("Swap check:", None),
            ("Airframe hours total", ""),
            ("Airframe cycles total", ""),
            ("Rigged for which side", "right"),
            ("Release certificate of the unit fitted", ""),
            ("Removed to", "shop"),
            ("Removal kind", "scheduled"),
            *((question, "") for question in LAST),
            ("Record this?", "n"),
        )
        assert terminal.end() == FINDINGS
        assert "KV-2100-3 20301" in terminal.words

    def test_a_command_waits_for_the_scanner(self, own_demo: str, at_terminal: Start) -> None:
        terminal = at_terminal(own_demo, "identity", "plate", "-", "--as-of", TODAY)
        terminal.answer("Scan the plate.", "[)>\x1e12\x1dMFR Q0KV1\x1dSER 20110\x1dPNR KV-2100-3\x1e\x04")
        assert terminal.end() == CLEAN
        assert "Plate, paper and record agree." in terminal.words

    def test_no_at_the_end_records_nothing(self, own_demo: str, at_terminal: Start) -> None:
        before = head(own_demo)
        terminal = at_terminal(own_demo, *RECORD)
        self._plain(terminal)
        terminal.answer("Record this?", "n")
        assert terminal.end() == FINDINGS
        assert "PREVIEW OF A SWAP" in terminal.words
        assert "Nothing was recorded." in terminal.words
        assert head(own_demo) == before

    def test_yes_at_the_end_records_one_entry(self, own_demo: str, at_terminal: Start) -> None:
        number, _ = head(own_demo)
        terminal = at_terminal(own_demo, *RECORD)
        self._plain(terminal)
        terminal.answer("Record this?", "y")
        assert terminal.end() == CLEAN
        assert head(own_demo)[0] == number + 1

    def test_a_stop_that_is_not_accepted_records_nothing(self, sqlite_demo: str, at_terminal: Start) -> None:
        before = head(sqlite_demo)
        terminal = at_terminal(sqlite_demo, *RECORD)
        self._plain(terminal, part="KV-2100-9", serial="29001")
        terminal.answer("do you accept them?", "n")
        assert terminal.end() == FINDINGS
        assert head(sqlite_demo) == before

    def test_another_unit_found_there_must_be_named(self, sqlite_demo: str, at_terminal: Start) -> None:
        number, _ = head(sqlite_demo)
        terminal = at_terminal(sqlite_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "n"),
            ("Unit that really hung there: part number", ""),
            ("It must be named", None),
            ("Unit that really hung there: part number", "KV-2100-3"),
            ("Unit that really hung there: serial number", "20112"),
            ("Unit fitted: part number", ""),
            ("Airframe hours total", ""),
            ("Airframe cycles total", ""),
            ("Removed to", "store"),
            ("Removal kind", "unscheduled"),
            *((question, "") for question in LAST),
            ("Record this?", "y"),
        )
        assert terminal.end() == CLEAN
        entry = fleetlife("explain", str(number + 1), database=sqlite_demo).out
        assert '"found": true' in entry
        assert "20104 (believed)" in terminal.words

    def test_of_two_like_named_units_the_maker_is_asked(
        self, sqlite_demo: str, at_terminal: Start, tmp_path: Path
    ) -> None:
        (tmp_path / "parts.csv").write_text(
            "part_number,manufacturer,kind,rig\nKV-2100-3,Somebody Else,slide,either\n", encoding="utf-8"
        )
        (tmp_path / "units.csv").write_text(
            "part_number,serial_number,manufacturer,as_of,store,condition\n"
            "KV-2100-3,20301,Somebody Else,2026-11-20,Skarholm main store,serviceable\n",
            encoding="utf-8",
        )
        said = fleetlife("import", tmp_path, "--as-of", TODAY, database=sqlite_demo)
        assert said.status == CLEAN, said.err
        terminal = at_terminal(sqlite_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "y"),
            ("Unit fitted: part number", "KV-2100-3"),
            ("Unit fitted: serial number", "20301"),
            ("manufacturer", "Nobody"),
            ("Unit fitted: part number", "KV-2100-3"),
            ("Unit fitted: serial number", "20301"),
            ("Unit fitted: manufacturer", "Kvitnes Survival"),
        )
        terminal.child.expect_exact("Swap check: no objection in these records.")

    def test_a_spelling_corrected_since_is_told_each_time_it_is_typed(
        self, sqlite_demo: str, at_terminal: Start
    ) -> None:
        correct = ("identity", "correct", "KV-2100-3", "20301", "--serial", "20310", "--reason", "misread")
        assert (
            fleetlife(*correct, "--authorised-by", "Q2", "--yes", "--as-of", TODAY, database=sqlite_demo).status
            == CLEAN
        )
        number, _ = head(sqlite_demo)
        note = f"NOTE: KV-2100-3 20301 is recorded as KV-2100-3 20310 since entry {number}."
        terminal = at_terminal(sqlite_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "n"),
            ("Unit that really hung there: part number", "KV-2100-3"),
            ("Unit that really hung there: serial number", "20301"),
            (note, None),
            ("Unit fitted: part number", "kv-2100-3"),
            ("Unit fitted: serial number", "20301"),
            ("NOTE: kv-2100-3 20301 is recorded as KV-2100-3 20310", None),
        )
        terminal.child.expect_exact("Swap check: ")

    def test_a_part_number_no_longer_its_own_is_told(self, own_demo: str, at_terminal: Start) -> None:
        terminal = at_terminal(own_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "y"),
            ("Unit fitted: part number", "KV-2100-1"),
            ("Unit fitted: serial number", "20130"),
            ("NOTE: KV-2100-1 20130 bears part number KV-2100-3 on 2026-11-25.", None),
        )
        terminal.child.expect_exact("Swap check: ")
        assert "NOTE" not in terminal.child.before

    def test_of_the_day_before_its_modification_it_is_told_the_other_way_round(
        self, sqlite_demo: str, at_terminal: Start
    ) -> None:
        terminal = at_terminal(sqlite_demo, *RECORD)
        terminal.answer_all(
            ("Date of the technical log", "2024-08-14"),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", "y"),
            ("Unit fitted: part number", "KV-2100-3"),
            ("Unit fitted: serial number", "20130"),
            ("NOTE: KV-2100-3 20130 bears part number KV-2100-1 on 2024-08-14.", None),
        )

    def test_its_own_numbers_are_told_nothing_beside(self, sqlite_demo: str, at_terminal: Start) -> None:
        terminal = at_terminal(sqlite_demo, *RECORD)
        self._plain(terminal)
        terminal.answer("Record this?", "n")
        assert terminal.end() == FINDINGS
        assert "NOTE:" not in terminal.text

    @pytest.mark.parametrize("how", ["sendintr", "sendeof"])
    def test_stopped_half_way_nothing_is_recorded(self, sqlite_demo: str, at_terminal: Start, how: str) -> None:
        before = head(sqlite_demo)
        terminal = at_terminal(sqlite_demo, *RECORD)
        terminal.answer("Date of the technical log", "")
        terminal.child.expect_exact("Registration")
        getattr(terminal.child, how)()
        assert terminal.end() != CLEAN
        assert "Traceback" not in terminal.text
        assert head(sqlite_demo) == before

    @staticmethod
    def _plain(terminal: Terminal, part: str = "KV-2100-3", serial: str = "20301") -> None:
        """The answers of an ordinary swap, up to the last but one question."""
        terminal.answer_all(
            ("Date of the technical log", ""),
            ("Registration", "Q-SKA"),
            ("Position", "R2"),
            ("Is that the unit that came off?", ""),
            ("Unit fitted: part number", part),
            ("Unit fitted: serial number", serial),
            ("Airframe hours total", ""),
            ("Airframe cycles total", ""),
            ("Rigged for which side", "right"),
            ("Release certificate of the unit fitted", ""),
            ("Removed to", "shop"),
            ("Removal kind", "scheduled"),
            *((question, "") for question in LAST),
        )


class TestAskingBeforeRecording:
    def test_options_are_shown_first_too(self, own_demo: str, at_terminal: Start) -> None:
        before = head(own_demo)
        terminal = at_terminal(own_demo, *BY_OPTIONS)
        terminal.answer("Record this?", "n")
        assert terminal.end() == FINDINGS
        assert head(own_demo) == before
        terminal = at_terminal(own_demo, *BY_OPTIONS)
        terminal.answer("Record this?", "y")
        assert terminal.end() == CLEAN
        assert head(own_demo)[0] == before[0] + 1

    def test_yes_is_not_asked(self, sqlite_demo: str, at_terminal: Start) -> None:
        terminal = at_terminal(sqlite_demo, *BY_OPTIONS, "--yes")
        assert terminal.end() == CLEAN
        assert "Record this?" not in terminal.text

    def test_a_request_recorded_before_is_told_and_not_asked(self, sqlite_demo: str, at_terminal: Start) -> None:
        assert fleetlife(*BY_OPTIONS, "--request-key", "k", database=sqlite_demo).status == CLEAN
        terminal = at_terminal(sqlite_demo, *BY_OPTIONS, "--request-key", "k")
        assert terminal.end() == CLEAN
        assert "Recorded before under this request key" in terminal.words
        assert "Record this?" not in terminal.text

    def test_mending_the_ledger_is_asked(self, sqlite_demo: str, at_terminal: Start) -> None:
        number, _ = head(sqlite_demo)
        withdraw = ("ledger", "withdraw", str(number), "--reason", "typed twice", "--authorised-by", "C117")
        terminal = at_terminal(sqlite_demo, *withdraw)
        terminal.answer(f"Withdraw what entry {number} states?", "n")
        assert terminal.end() == FINDINGS
        assert head(sqlite_demo)[0] == number
        terminal = at_terminal(sqlite_demo, *withdraw, "--yes")
        assert terminal.end() == CLEAN
        assert head(sqlite_demo)[0] == number + 1


class TestColour:
    ASKED = ("due", "--as-of", TODAY)

    def test_a_terminal_gets_it(self, sqlite_demo: str, at_terminal: Start) -> None:
        terminal = at_terminal(sqlite_demo, *self.ASKED)
        assert terminal.end() == FINDINGS
        assert ESCAPE in terminal.text

    @pytest.mark.parametrize("columns", ["80", "100"])
    def test_with_no_color_there_is_no_escape_code_at_all(
        self, sqlite_demo: str, at_terminal: Start, columns: str
    ) -> None:
        for arguments in (self.ASKED, ("audit", "--as-of", TODAY), ("ledger", "verify"), (*BY_OPTIONS, "--yes"),
                          ("import", str(ROOT / "seed_demo" / "first"), "--as-of", TODAY)):  # fmt: skip
            terminal = at_terminal(sqlite_demo, *arguments, columns=int(columns), NO_COLOR="1")
            assert terminal.end() in (CLEAN, FINDINGS)
            assert ESCAPE not in terminal.text
            assert max(len(line) for line in terminal.screen) <= int(columns)

    def test_the_words_are_the_same_without(self, sqlite_demo: str, at_terminal: Start) -> None:
        shown = []
        for env in ({}, {"NO_COLOR": "1"}):
            terminal = at_terminal(sqlite_demo, *self.ASKED, **env)
            terminal.end()
            shown.append(terminal.words)
        assert shown[0] == shown[1] == fleetlife(*self.ASKED, database=sqlite_demo).words


def test_progress_is_shown_at_a_terminal_and_wiped_at_the_end(sqlite_url: str, at_terminal: Start) -> None:
    terminal = at_terminal(sqlite_url, "import", str(ROOT / "seed_demo" / "first"), "--as-of", TODAY)
    assert terminal.end() == CLEAN
    assert "working out what follows" in terminal.text
    assert not any("working out what follows" in line or "recording entries" in line for line in terminal.screen)


class TestHostileText:
    """Data that would steer the terminal it is shown on."""

    TITLE = "\x1b]0;evil\x07"

    def test_typed_it_is_shown_as_its_escape(self, sqlite_demo: str, at_terminal: Start) -> None:
        for arguments in (
            ("unit", f"KV{self.TITLE}", "1"),
            ("airframe", f"Q{self.TITLE}"),
            ("certificate", self.TITLE),
        ):
            terminal = at_terminal(sqlite_demo, *arguments, NO_COLOR="1")
            assert terminal.end() == REFUSED
            assert "\\x1b]0;evil\\x07" in terminal.text
            assert ESCAPE not in terminal.text

    @pytest.mark.parametrize("format", ["table", "csv", "json"])
    def test_recorded_it_is_too_in_every_format(
        self, sqlite_demo: str, at_terminal: Start, tmp_path: Path, format: str
    ) -> None:
        (tmp_path / "units.csv").write_text(
            "part_number,serial_number,manufacturer,as_of,store,condition\n"
            "KV-2100-3,H1,Kvitnes Survival,2026-11-20,\u202egnipeels,serviceable\n",
            encoding="utf-8",
        )
        assert fleetlife("import", tmp_path, "--as-of", TODAY, database=sqlite_demo).status == CLEAN
        asked = ("due", "--all", "--part", "KV-2100-3", "--as-of", TODAY, "--format", format)
        terminal = at_terminal(sqlite_demo, *asked, NO_COLOR="1")
        assert terminal.end() in (CLEAN, FINDINGS)
        assert "\\u202egnipeels" in terminal.text
        assert "\u202e" not in terminal.text

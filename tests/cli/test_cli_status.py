"""The exit status: 0 clean, 1 findings or conditions, 2 wrong use, 3 refused, 4 database not reachable.

Never 0 when a check could not run.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.engine import make_url

from fleetlife.answers.due import judged_in

from .running import CLEAN, FINDINGS, NOWHERE, REFUSED, ROOT, TODAY, UNREACHABLE, WRONG_USE, fleetlife, head

ON = ("--as-of", TODAY)


class TestCleanOrFindings:
    @pytest.mark.parametrize(
        ("status", "arguments"),
        [
            (CLEAN, ("due", "--airframe", "Q-SKD", *ON)),
            (FINDINGS, ("due", "--airframe", "Q-SKA", *ON)),  # overdue
            (FINDINGS, ("due", "--airframe", "Q-SKE", *ON)),  # stale readings alone
            (FINDINGS, ("due", "--part", "KV-2100-9", *ON)),  # no programme alone
            (FINDINGS, ("due", "--part", "TH-410-1", *ON)),  # an unknown alone
            (CLEAN, ("audit", "--airframe", "Q-SKD", "--severity", "stop", *ON)),
            (FINDINGS, ("audit", "--airframe", "Q-SKD", *ON)),  # a note is one
            (CLEAN, ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", *ON)),
            (FINDINGS, ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20112", *ON)),  # conditions
            (FINDINGS, ("swap", "check", "Q-SKA", "R2", "KV-2100-9", "29001", *ON)),  # do not fit
            (CLEAN, ("unit", "KV-2100-3", "20301", *ON)),
            (FINDINGS, ("unit", "KV-2100-3", "20126", *ON)),
            (CLEAN, ("airframe", "Q-SKD", "--as-of", "2024-02-01")),
            (FINDINGS, ("airframe", "Q-SKA", *ON)),
            (CLEAN, ("certificate", "ORO-24-0002", *ON)),
            (FINDINGS, ("certificate", "ORO-24-0004", *ON)),
            (CLEAN, ("explain",)),
            (CLEAN, ("explain", "LIF103")),
            (CLEAN, ("explain", "no-programme")),
            (CLEAN, ("explain", "4")),
            (CLEAN, ("ledger", "head")),
            (CLEAN, ("ledger", "verify")),
            (FINDINGS, ("ledger", "verify", "--head", "0123456789abcdef")),
        ],
        ids=lambda value: " ".join(value) if isinstance(value, tuple) else str(value),
    )
    def test_of_questions(self, demo: str, status: int, arguments: tuple[str, ...]) -> None:
        assert fleetlife(*arguments, database=demo).status == status

    @pytest.mark.parametrize("format", ["json", "csv", "xlsx"])
    @pytest.mark.parametrize(("status", "airframe"), [(CLEAN, "Q-SKD"), (FINDINGS, "Q-SKA")])
    def test_is_the_same_in_every_format(
        self, sqlite_demo: str, tmp_path: Path, format: str, status: int, airframe: str
    ) -> None:
        asked = ("due", "--airframe", airframe, "--format", format, "--output", tmp_path / "out", *ON)
        assert fleetlife(*asked, database=sqlite_demo).status == status

    def test_a_slip_in_what_is_asked_for_is_no_clean_answer(self, demo: str) -> None:
        for asked in (
            ("due", "--part", "KV-2100-33"),
            ("audit", "--part", "KV-2100-33"),
            ("due", "--requirement", "OHV"),
            ("due", "--airframe", "Q-SKX"),
            ("audit", "--airframe", "Q-SKX"),
        ):
            said = fleetlife(*asked, *ON, database=demo)
            assert (said.status, said.out) == (REFUSED, ""), asked
            assert "in the records" in said.err
            assert "What to do:" in said.err

    def test_the_nearest_is_named(self, sqlite_demo: str) -> None:
        assert "Did you mean OVH?" in fleetlife("due", "--requirement", "OVHH", database=sqlite_demo).err
        assert "Did you mean KV-2100-3?" in fleetlife("audit", "--part", "KV-2100-33", database=sqlite_demo).err


class TestWrongUse:
    @pytest.mark.parametrize(
        "arguments",
        [
            ("due", "--as-of", "25.11.2026"),
            ("due", "--as-of", "2026-11-31"),
            ("due", "--as-of", "20261125"),
            ("due", "--as-of", "0001-01-01"),
            ("due", "--as-of", "9999-12-25"),
            ("due", "--month", "2026-13"),
            ("due", "--month", "9999-12"),
            ("due", "--month", "Dec"),
            ("due", "--month", "2026-12", "--next-month"),
            ("due", "--from", "2026-12-01"),
            ("due", "--from", "2026-12-02", "--to", "2026-12-01"),
            ("due", "--by", "colour"),
            ("due", "--format", "pdf"),
            ("due", "--format", "xlsx"),
            ("due", "--known-at", "last week"),
            ("unit", "KV-2100-3", "20126", "--format", "csv"),
            ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "20301", "--format", "xlsx"),
            ("audit", "--severity", "urgent"),
            ("audit", "--code", "XYZ999"),
            ("explain", "XYZ999"),
            ("import", "/nowhere/at/all"),
            ("import", ".", "--date-order", "myd"),
            ("import", ".", "--hours", "both"),
            ("export", "somewhere", "--format", "json"),
            ("ledger", "head", "--format", "csv"),
            ("ledger", "waive", "LIF102", "x", "--reason", "r", "--authorised-by", "a", "--until", "soon"),
            ("swap", "record"),
            ("swap", "record", "Q-SKA"),
            ("swap", "record", "--remove-only"),
            ("swap", "record", "--file", "swap.json", "--signed-by", "M117"),
            ("swap", "record", "Q-SKA", "R2", "--hours", "both", "--remove-only"),
            ("swap", "record", "Q-SKA", "R2", "--remove-only", "--acknowledge", "LIF101"),
            ("swap", "record", "Q-SKA", "R2", "--remove-only", "--on", "2026-02-30"),
        ],
        ids=" ".join,
    )
    def test_is_told_with_what_is_wanted_and_answers_nothing(
        self, demos: dict[str, str], arguments: tuple[str, ...]
    ) -> None:
        before = head(demos["sqlite"])
        said = fleetlife(*arguments, database=demos["sqlite"])
        assert (said.status, said.out) == (WRONG_USE, ""), said.err
        assert "Error: " in said.err or "What to do: " in said.err
        assert head(demos["sqlite"]) == before


class TestRefused:
    @pytest.mark.parametrize(
        "arguments",
        [
            ("swap", "check", "Q-SKA", "Z9", "KV-2100-3", "20301"),
            ("swap", "check", "Q-SKX", "R2", "KV-2100-3", "20301"),
            ("swap", "check", "Q-SKA", "R2", "KV-2100-3", "99999"),
            ("unit", "KV-2100-3", "99999"),
            ("unit", "KV-2100-3", "20301", "--manufacturer", "Nobody"),
            ("airframe", "Q-SKX"),
            ("certificate", "ORO-99-0001"),
            ("explain", "0"),
            ("explain", "99999"),
            ("due", "--known-at", "2020-01-01"),
            ("import", "EMPTY"),
            ("demo", "MADE"),
        ],
        ids=" ".join,
    )
    def test_says_why_and_what_to_do(self, demo: str, arguments: tuple[str, ...], tmp_path: Path) -> None:
        (tmp_path / "made").mkdir()
        (tmp_path / "made" / "demo.db").touch()
        places = {"EMPTY": tmp_path, "MADE": tmp_path / "made"}
        said = fleetlife(*(places.get(word, word) for word in arguments), database=demo)
        assert (said.status, said.out) == (REFUSED, "")
        assert said.err.startswith("Refused (")
        assert "\nWhat to do: " in said.err

    @pytest.mark.parametrize(
        "arguments",
        [
            ("due", "--format", "csv", "--output", "/nowhere/due.csv"),
            ("due", "--format", "xlsx", "--output", "/nowhere/due.xlsx"),
            ("due", "--output", "/nowhere/due.txt"),
            ("unit", "KV-2100-3", "20126", "--format", "json", "--output", "/nowhere/unit.json"),
            ("ledger", "export", "/nowhere/ledger.jsonl"),
            ("export", "/dev/null"),
            ("init", "--database", "sqlite:////dev/null/fleet.db"),
            ("demo", "/dev/null"),
        ],
        ids=" ".join,
    )
    def test_a_file_that_cannot_be_written_too(self, sqlite_demo: str, arguments: tuple[str, ...]) -> None:
        said = fleetlife(*arguments, database=sqlite_demo)
        assert said.status == REFUSED
        assert "Refused (file-not-usable)" in said.err


class TestACheckThatCannotRun:
    def test_the_server_goes_away_in_the_middle_of_a_question(
        self, demo_copy: Any, postgres_server: Any, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        database = demo_copy("postgresql")

        def cut_off(*args: Any, **kwargs: Any) -> Any:
            postgres_server.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                f"WHERE datname = '{make_url(database).database}'"
            )
            return judged_in(*args, **kwargs)

        monkeypatch.setattr("fleetlife.answers.due.judged_in", cut_off)
        said = fleetlife("due", *ON, database=database)
        assert (said.status, said.out) == (UNREACHABLE, "")
        assert "Refused (database-lost)" in said.err

    def test_the_file_is_damaged_in_the_middle(self, sqlite_demo: str) -> None:
        path = Path(sqlite_demo.removeprefix("sqlite:///"))
        content = path.read_bytes()
        # the first page stays, so that it still opens as a database
        path.write_bytes(content[:8192] + b"\xa5" * (len(content) - 8192))
        said = fleetlife("audit", *ON, database=sqlite_demo)
        assert (said.status, said.out) == (UNREACHABLE, "")
        assert "Traceback" not in said.err

    def test_what_crashes_is_not_clean(self, sqlite_demo: str) -> None:
        code = (
            "import fleetlife.answers.audit as a\n"
            "def broken(*args, **kwargs): raise AssertionError('ours')\n"
            "a.audit_in = broken\n"
            "from fleetlife.cli.main import run\n"
            "run()\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, "audit", "--database", sqlite_demo],
            cwd=ROOT,
            env={**NOWHERE, "HOME": "/nowhere"},
            capture_output=True,
            check=False,
        )
        assert done.returncode != CLEAN
        assert done.stdout == b""

    def test_a_reader_that_leaves_early_gets_no_clean_status_and_no_traceback(self, sqlite_demo: str) -> None:
        """More than a pipe holds, so that the writer surely meets the closed end."""
        process = subprocess.Popen(
            [sys.executable, "-m", "fleetlife.cli.main", "due", "--all", "--format", "json", *ON],
            cwd=ROOT,
            env={**NOWHERE, "FLEETLIFE_DATABASE": sqlite_demo, "HOME": "/nowhere"},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.read(10)
        process.stdout.close()
        err = process.stderr.read().decode()
        process.stderr.close()
        assert process.wait() == FINDINGS
        assert err == ""

    def test_an_interrupted_question_is_not_clean(self, sqlite_demo: str) -> None:
        code = (
            "import fleetlife.answers.audit as a\n"
            "def stopped(*args, **kwargs): raise KeyboardInterrupt\n"
            "a.audit_in = stopped\n"
            "from fleetlife.cli.main import run\n"
            "run()\n"
        )
        done = subprocess.run(
            [sys.executable, "-c", code, "audit", "--database", sqlite_demo],
            cwd=ROOT, env={**NOWHERE, "HOME": "/nowhere"}, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode not in (CLEAN, REFUSED, UNREACHABLE)
        assert "Traceback" not in done.stderr

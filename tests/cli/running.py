"""Commands run as they are typed, and what they said."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from typer.testing import CliRunner

from fleetlife.cli.main import app

ROOT = Path(__file__).resolve().parents[2]
TODAY = "2026-11-25"  # the demo's
FIRST_INTAKE = "1282"  # its last entry: a moment to ask about that does not hang on the clock of the machine
NOWHERE = {"FLEETLIFE_SETTINGS": "/nowhere/settings.toml"}
CLEAN, FINDINGS, WRONG_USE, REFUSED, UNREACHABLE = 0, 1, 2, 3, 4


@dataclass(frozen=True, slots=True)
class Said:
    """The exit status, and what came out on either stream."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        return json.loads(self.out)

    @property
    def words(self) -> str:
        """Everything said, in one line with single spaces: how it is folded does not matter."""
        return " ".join(f"{self.out} {self.err}".split())


def fleetlife(
    *arguments: str | Path,
    database: str | None = None,
    stdin: str | None = None,
    columns: int = 100,
    env: Mapping[str, str | None] | None = None,
) -> Said:
    """A command in this process; anything that escapes it fails the test."""
    environment: dict[str, str | None] = {
        **NOWHERE,
        "FLEETLIFE_DATABASE": database,
        "COLUMNS": str(columns),
        "NO_COLOR": None,
        "FORCE_COLOR": None,
        **(env or {}),
    }
    result = CliRunner().invoke(app, [str(each) for each in arguments], input=stdin, env=environment)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return Said(result.exit_code, result.stdout, result.stderr)


def in_a_shell(
    *arguments: str | bytes | Path,
    database: str | None = None,
    stdin: str | None = None,
    env: Mapping[str, str] | None = None,
    cwd: Path = ROOT,
) -> Said:
    """A command in a process of its own, its streams piped."""
    environment = {k: v for k, v in os.environ.items() if not k.startswith("FLEETLIFE_") and k != "COLUMNS"}
    environment |= {**NOWHERE, "PYTHONPATH": str(ROOT), **(env or {})}
    if database is not None:
        environment["FLEETLIFE_DATABASE"] = database
    typed = [each if isinstance(each, bytes) else str(each) for each in arguments]
    done = subprocess.run(
        [sys.executable, "-m", "fleetlife.cli.main", *typed],
        cwd=cwd,
        env=environment,
        input=stdin,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    return Said(done.returncode, done.stdout, done.stderr)


def head(database: str) -> tuple[int, str]:
    """Number and digest of the ledger's last entry."""
    said = fleetlife("ledger", "head", "--format", "json", database=database)
    assert said.status == CLEAN, said.err
    return said.json["entry"], said.json["digest"]

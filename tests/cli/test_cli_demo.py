"""`fleetlife demo`: the main job on an embedded database, each command shown above its output."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from fleetlife.cli.walk import STEPS, TODAY

from .running import CLEAN, FINDINGS, REFUSED, Said, fleetlife, in_a_shell


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Said]:
    """A folder, and what the demo said that made its database there."""
    folder = tmp_path_factory.mktemp("walk") / "new"
    return folder, in_a_shell("demo", folder)


def shown(said: Said) -> list[str]:
    """The commands that stand above the outputs."""
    return [line.removeprefix("$ fleetlife ") for line in said.out.splitlines() if line.startswith("$ fleetlife ")]


def test_it_comes_to_its_end_and_shows_every_command(walked: tuple[Path, Said]) -> None:
    _, said = walked
    assert (said.status, "Traceback" in said.err) == (CLEAN, False), said.err
    commands = shown(said)
    assert commands[0] == "init"
    assert [command.split()[0] for command in commands[1:3]] == ["import", "import"]
    assert len(commands) == 3 + len(STEPS)
    for words in ("DUE LIST", "NO OBJECTION IN THESE RECORDS", "DO NOT FIT", "SWAP RECORDED", "AUDIT", "CERTIFICATE",
                  "LIF103", "LEDGER VERIFIED"):  # fmt: skip
        assert words in said.out
    assert "\x1b" not in said.out


def test_each_command_repeated_by_hand_says_the_same(walked: tuple[Path, Said]) -> None:
    folder, said = walked
    database = re.search(r"export FLEETLIFE_DATABASE=(\S+)", said.out)
    assert database is not None
    blocks = said.out.split("\n$ fleetlife ")
    after = blocks[next(n for n, block in enumerate(blocks) if block.startswith("swap record")) + 1 :]
    questions = [block for block in after if block.split()[0] not in ("swap", "init", "import")]
    assert len(questions) >= 6
    for block in questions:
        command, _, output = block.partition("\n")
        again = fleetlife(*shlex.split(command), database=database[1])
        assert again.status in (CLEAN, FINDINGS)
        assert output.startswith(again.out.rstrip("\n")), command
        assert f"(exit status {again.status})" in output or again.status == CLEAN
    assert str(folder) in database[1]


def test_every_step_asks_as_of_the_days_of_the_scenario() -> None:
    dated = [command for _, command in STEPS if command.split()[0] not in ("explain", "ledger")]
    assert all(f"--as-of {TODAY}" in command for command in dated)


def test_a_second_time_it_is_refused_and_made_anew_when_told_so(walked: tuple[Path, Said], tmp_path: Path) -> None:
    folder, _ = walked
    before = (folder / "demo.db").read_bytes()
    again = in_a_shell("demo", folder)
    assert again.status == REFUSED
    assert "--fresh" in again.err
    assert (folder / "demo.db").read_bytes() == before
    (tmp_path / "demo.db").write_bytes(b"not a database")
    assert in_a_shell("demo", tmp_path, "--fresh").status == CLEAN

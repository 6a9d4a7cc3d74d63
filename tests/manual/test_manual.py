"""The manual cannot go stale: lists are written from the code, examples are run on the demo.

FLEETLIFE_REWRITE=1 writes the pages anew instead.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from fleetlife.cli.walk import STEPS, make_database

from .pages import GENERATED, REWRITE, ROOT, RUN, RUN_PYTHON, masked, run_command, run_examples, run_python


@pytest.fixture(scope="module")
def readers_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file that `fleetlife demo` leaves a reader with. To be copied."""
    path = tmp_path_factory.mktemp("demo") / "demo.db"
    url = f"sqlite:///{path}"
    make_database(url)
    # what `fleetlife demo` records on its walk, so that a reader's database and this one hold the same
    command = next(command for _, command in STEPS if command.startswith("swap record"))
    run_command(command, database=url)
    return path


@pytest.fixture
def demo_database(readers_demo: Path, tmp_path: Path) -> str:
    """For one page of commands: what another one records is nothing to it, in whatever order they run."""
    return _copied(readers_demo, tmp_path / "commands.db")


def _copied(path: Path, to: Path) -> str:
    with sqlite3.connect(path) as held, sqlite3.connect(to) as copy:
        held.backup(copy)
    return f"sqlite:///{to}"


def _held(name: str, text: str) -> None:
    path = ROOT / name
    if os.environ.get(REWRITE):
        path.write_text(text, encoding="utf-8")
    held = path.read_text(encoding="utf-8") if path.exists() else ""
    assert masked(held) == masked(text), f"{name} is stale: {REWRITE}=1 pytest tests/manual"


@pytest.mark.parametrize("name", sorted(GENERATED))
def test_a_page_of_a_list_says_what_the_code_says(name: str) -> None:
    _held(name, GENERATED[name]())


@pytest.mark.parametrize("name", RUN)
def test_every_example_prints_what_the_page_shows(name: str, demo_database: str) -> None:
    page = (ROOT / name).read_text(encoding="utf-8")
    _held(name, run_examples(page, database=demo_database))


@pytest.mark.parametrize("name", RUN_PYTHON)
def test_every_python_example_gives_what_the_page_shows(name: str, readers_demo: Path, tmp_path: Path) -> None:
    page = (ROOT / name).read_text(encoding="utf-8")
    _held(name, run_python(page, database=_copied(readers_demo, tmp_path / "python.db")))


def test_the_readme_holds_its_two_commands_first() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = text.split("```sh\n", 1)[1].split("```", 1)[0].splitlines()
    assert len(commands) == 2
    assert "fleetlife demo" in commands[0]
    assert "pytest" in commands[1]


def test_every_page_named_in_the_readme_is_there() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for target in [part.split(")")[0] for part in text.split("](")[1:]]:
        assert (ROOT / Path(target)).exists(), target

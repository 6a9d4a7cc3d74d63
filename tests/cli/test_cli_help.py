"""Every command explains itself, with examples that it can read."""

from __future__ import annotations

import shlex
import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from typer.core import TyperGroup
from typer.main import get_command

from fleetlife.cli.main import COMMANDS as LISTED
from fleetlife.cli.main import app

from .running import CLEAN, ROOT, WRONG_USE, fleetlife, in_a_shell


def _commands(group: Any, path: tuple[str, ...] = ()) -> dict[tuple[str, ...], Any]:
    found: dict[tuple[str, ...], Any] = {}
    for name, command in group.commands.items():
        found |= _commands(command, (*path, name)) if hasattr(command, "commands") else {(*path, name): command}
    return found


COMMANDS = _commands(get_command(app))
NAMED = [
    "init", "import", "export", "due", "swap check", "swap record", "audit", "unit", "airframe", "certificate",
    "ledger verify", "ledger head", "ledger export", "explain", "demo",
]  # fmt: skip


def examples(command: Any) -> list[list[str]]:
    """The lines of its help that run it, as arguments after `fleetlife`."""
    text = str(command.help)
    found = []
    for line in text.splitlines():
        _, sign, rest = line.partition("fleetlife ")
        if sign and line.strip().startswith(("fleetlife", "Example: fleetlife")):
            found.append(shlex.split(rest.partition(" >> ")[0]))
    return found


def test_every_command_that_is_promised_is_there() -> None:
    assert set(NAMED) <= {" ".join(path) for path in COMMANDS}


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
class TestHelp:
    def test_it_holds_an_example_of_this_very_command(self, path: tuple[str, ...]) -> None:
        found = examples(COMMANDS[path])
        assert found
        assert all(tuple(words[: len(path)]) == path for words in found)

    def test_every_example_is_read_without_complaint(self, path: tuple[str, ...]) -> None:
        for words in examples(COMMANDS[path]):
            COMMANDS[path].make_context(" ".join(path), words[len(path) :])

    def test_it_is_printed_whole_at_80_columns(self, path: tuple[str, ...]) -> None:
        said = fleetlife(*path, "--help", columns=80)
        assert said.status == CLEAN
        assert " ".join(path) in said.out.splitlines()[0 if said.out.startswith("Usage") else 1]
        for option in COMMANDS[path].params:
            for name in option.opts if option.param_type_name == "option" else ():
                assert name in said.out

    def test_each_example_stands_on_a_line_of_its_own(self, path: tuple[str, ...]) -> None:
        lines = fleetlife(*path, "--help", columns=80).out.splitlines()
        printed = [line.strip().removeprefix("Example: ") for line in lines]
        assert [shlex.split(line.partition(" >> ")[0])[1:] for line in printed if line.startswith("fleetlife ")] == (
            examples(COMMANDS[path])
        )

    def test_every_option_and_argument_says_what_it_is(self, path: tuple[str, ...]) -> None:
        silent = [
            option.name
            for option in COMMANDS[path].params
            if option.param_type_name == "option" and not option.help and not option.metavar
        ]
        assert silent == []


def test_the_groups_list_their_commands() -> None:
    for arguments, names in (((), NAMED), (("swap",), ["check", "record"]), (("ledger",), ["verify", "waive"])):
        said = fleetlife(*arguments, "--help")
        assert said.status == CLEAN
        assert all(name.split()[0] in said.out for name in names)


def _groups(group: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Any]]:
    yield path, group
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from _groups(command, (*path, name))


GROUPS = dict(_groups(get_command(app)))


@pytest.mark.parametrize("path", COMMANDS, ids=" ".join)
def test_what_is_held_of_a_command_is_the_first_paragraph_of_its_help(path: tuple[str, ...]) -> None:
    listed: Any = LISTED[path[0]]
    for name in path[1:]:
        listed = listed.commands[name]
    assert listed.says == " ".join(str(COMMANDS[path].help).split("\n\n")[0].split())


@pytest.mark.parametrize("path", GROUPS, ids=lambda path: " ".join(path) or "fleetlife")
@pytest.mark.parametrize("columns", [40, 80, 100, 200])
def test_a_group_lists_what_it_would_list_with_its_commands_loaded(path: tuple[str, ...], columns: int) -> None:
    group = GROUPS[path]
    with group.make_context("fleetlife", [], resilient_parsing=True, terminal_width=columns) as context:
        ours, theirs = context.make_formatter(), context.make_formatter()
        group.format_commands(context, ours)
        TyperGroup.format_commands(group, context, theirs)
    assert ours.getvalue() == theirs.getvalue() != ""


@pytest.mark.parametrize("arguments", [["--help"], [], ["--version"], ["swap", "--help"], ["duee"]])
def test_a_list_loads_neither_a_command_nor_what_only_commands_need(arguments: list[str]) -> None:
    code = (
        "import sys\nfrom fleetlife.cli.main import app\n"
        f"try:\n    app({arguments!r})\nexcept SystemExit:\n    pass\n"
        "ours = {name for name in sys.modules if name.startswith('fleetlife.')}\n"
        "print(sorted(ours | {'pydantic', 'rich', 'sqlalchemy', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == str(
        ["fleetlife.cli", "fleetlife.cli.loading", "fleetlife.cli.main", "fleetlife.terms", "fleetlife.terms.version"]
    )


@pytest.mark.parametrize("path", [("due",), ("swap", "record")])
def test_the_help_of_a_command_loads_no_library_of_validation(path: tuple[str, ...]) -> None:
    code = (
        "import sys\nfrom fleetlife.cli.main import app\n"
        f"try:\n    app([*{path!r}, '--help'])\nexcept SystemExit:\n    pass\n"
        "print(sorted({'pydantic', 'rich', 'sqlalchemy', 'pandas'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_version_is_printed() -> None:
    assert fleetlife("--version").out.startswith("fleetlife ")


@pytest.mark.parametrize("arguments", [("nope",), ("due", "--nope"), ("unit", "KV-2100-3"), ("swap", "check", "Q-SKA")])
def test_what_is_no_command_is_wrong_use(arguments: tuple[str, ...]) -> None:
    said = in_a_shell(*arguments)
    assert (said.status, said.out) == (WRONG_USE, "")
    assert "Error" in said.err
    assert "Traceback" not in said.err

"""Commands that are loaded when they are asked for: a group that lists them loads none.

The modules and signatures of all commands cost a start more than the parser does, and a command needs one of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib import import_module
from typing import Any, NamedTuple

import typer
from typer.core import TyperCommand, TyperGroup
from typer.main import get_command


class Command(NamedTuple):
    """A command that is not loaded yet: module and function within `fleetlife.cli`, and what a list says of it.

    `says` is the first paragraph of the function's docstring, held a second time so that a list need not load the
    function; a test holds the two together.
    """

    module: str
    function: str
    says: str
    takes_unit: bool = False

    def load(self, name: str) -> Any:
        """The command as the parser has it."""
        function = getattr(import_module(f"fleetlife.cli.{self.module}"), self.function)
        cls = None
        if self.takes_unit:
            from fleetlife.cli.scanning import TakesUnit

            cls = TakesUnit
        alone = typer.Typer(add_completion=False, rich_markup_mode=None)
        alone.command(name, cls=cls)(function)
        return get_command(alone)


class Group(NamedTuple):
    """A group of commands that are not loaded yet."""

    says: str
    commands: Mapping[str, Command]

    def load(self, name: str) -> Any:
        """The group as the parser has it; its commands stay unloaded."""
        return ListsUnloaded(
            name=name, help=self.says, no_args_is_help=True, rich_markup_mode=None, commands=Loaded(self.commands)
        )


class Loaded(Mapping[str, Any]):
    """Commands by name, each loaded when it is first taken out; the names alone load nothing."""

    def __init__(self, listed: Mapping[str, Command | Group]) -> None:
        self.listed = listed
        self._loaded: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._loaded:
            self._loaded[name] = self.listed[name].load(name)
        return self._loaded[name]

    def __contains__(self, name: object) -> bool:
        return name in self.listed  # the inherited one would load it

    def __iter__(self) -> Iterator[str]:
        return iter(self.listed)

    def __len__(self) -> int:
        return len(self.listed)


class ListsUnloaded(TyperGroup):
    """A group over `Loaded` commands, whose help is written from what is held of them."""

    commands: Any

    def __init__(self, *, commands: Any = None, **settings: Any) -> None:
        super().__init__(**settings)
        self.commands = commands

    def get_params(self, ctx: Any) -> Any:
        """Its options. Flags of the parser's own, help and completion, have None for a default, and to let a None pass
        the parser loads a library of validation, which costs twice the parser itself; a False it lets pass without."""
        params = super().get_params(ctx)
        for param in params:
            if param.default is None and getattr(param, "is_flag", False):
                param.default = False
        return params

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """The list of commands, written by the parser's own code from commands that have a help and nothing else."""
        stand_ins: dict[str, Any] = {
            name: TyperCommand(name, help=each.says) for name, each in self.commands.listed.items()
        }
        TyperGroup(commands=stand_ins).format_commands(ctx, formatter)

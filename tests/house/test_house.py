"""What imports cannot show, read from the syntax trees; and the layers, held by import-linter here too."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "fleetlife"
CLOCKS = {"fleetlife/cli/context.py", "fleetlife/store/unit_of_work.py"}
NO_NAMES = ("utils", "helpers", "common", "misc")


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        if "_migrations" not in path.parts and "_seed_demo" not in path.parts:
            yield path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def calls(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield ast.unparse(node.func)


def test_two_places_read_a_clock() -> None:
    endings = (".now", ".today", ".utcnow", "time.time", "perf_counter", "monotonic")
    found = {name for name, tree in modules() if any(call.endswith(endings) for call in calls(tree))}
    assert found == CLOCKS


def test_nothing_prints_but_through_the_command_line() -> None:
    assert [name for name, tree in modules() if "print" in set(calls(tree))] == []


def test_today_is_an_argument_and_never_has_a_default() -> None:
    wrong = []
    for name, tree in modules():
        if name.startswith("fleetlife/cli/"):
            continue
        for node in ast.walk(tree):
            if not isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef)):
                continue
            if any(a.arg == "as_of" for a in node.args.args) and not node.name.startswith("_"):
                wrong.append(f"{name}:{node.name}: not keyword-only")
            for argument, default in zip(node.args.kwonlyargs, node.args.kw_defaults, strict=True):
                if argument.arg == "as_of" and default is not None:
                    wrong.append(f"{name}:{node.name}: has a default")
    assert wrong == []


def test_no_module_is_called_after_nothing() -> None:
    assert [name for name, _ in modules() if Path(name).stem in NO_NAMES] == []


LOADED = (  # every command, for a start loads the module of the one it needs
    "from typer.main import get_command; from fleetlife.cli.main import app; "
    "commands = get_command(app).commands; [dict(getattr(each, 'commands', {})) for each in commands.values()]"
)


@pytest.mark.parametrize("what", ["import fleetlife", LOADED])
def test_a_start_loads_neither_sqlalchemy_nor_pandas(what: str) -> None:
    heavy = {"sqlalchemy", "pandas", "scipy", "alembic", "openpyxl", "pypdf", "fsspec", "rich.table"}
    heavy |= {"fleetlife.terms.views"}
    code = f"{what}\nimport sys; print(sorted({heavy!r} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_rooms_know_only_the_rooms_below_them() -> None:
    command = Path(sys.executable).with_name("lint-imports")
    done = subprocess.run([str(command)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-2000:]

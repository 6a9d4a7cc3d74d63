"""The pages of the manual: those written from lists in the code, and those whose examples are run."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from contextlib import redirect_stdout
from doctest import DocTestParser
from io import StringIO
from pathlib import Path
from typing import Any

from typer.main import get_command

from fleetlife.answers.explain import all_codes, all_rules, page_of
from fleetlife.cli.main import app
from fleetlife.store.views import views_page
from fleetlife.terms.forms import FORMS
from fleetlife.transfer.columns import columns_page

from .interchangeability import interchangeability_page

ROOT = Path(__file__).resolve().parents[2]
REWRITE = "FLEETLIFE_REWRITE"
_BLOCK = re.compile(r"```console\n(.*?)```", re.DOTALL)
_PYTHON = re.compile(r"```pycon\n(.*?)```", re.DOTALL)
READERS_DEMO = "sqlite:///fleetlife-demo/demo.db"
_HEAD = re.compile(r"\b[0-9a-f]{16}(?:[0-9a-f]{48})?\b")
_TIME = re.compile(r"\b\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d+)?Z")


def findings_page() -> str:
    """Every finding: the list, then each page."""
    lines = [
        "# Findings",
        "",
        "Printed by `fleetlife explain CODE`. Stop: not to be released with it; rectify: to be put right; "
        "note: to be known.",
        "",
        "| code | name | severity | what it means |",
        "|---|---|---|---|",
    ]
    lines += [f"| {code} | {name} | {severity} | {first} |" for code, name, severity, first in all_codes()]
    for code, *_ in all_codes():
        page = page_of(code)
        lines += ["", f"## {page.code} {page.name}", "", f"Severity: {page.severity}.", ""]
        lines += ["\n\n".join((page.meaning, *page.paragraphs))]
        if page.published_rule:
            lines += ["", f"Published rule: {page.published_rule}."]
        lines += ["", "May be waived by name and reason until a day." if page.waivable else "Never waived."]
    return "\n".join(lines) + "\n"


def published_rules_page() -> str:
    """Every published rule that the program applies: edition, what it says, what is done by it, who cites it."""
    lines = [
        "# Published rules applied",
        "",
        "The rules that the program itself applies, each with the edition or date of the text that was read, in our "
        "own words. Intervals, life limits and tolerances of a programme are data with an edition of their own and "
        "stand nowhere here. What is cited from memory was not seen: check it against the live document. Printed by "
        "`fleetlife explain RULE`; `due` and `audit` name those an answer rests on under `about` in JSON.",
        "",
        "| rule | edition | what it says | what is done by it | cited by |",
        "|---|---|---|---|---|",
    ]
    for page in all_rules():
        rule = page.rule
        edition = f"{rule.edition}, **from memory**" if rule.from_memory else rule.edition
        cited = ", ".join(code for code, _ in page.cited_by) or "-"
        lines.append(f"| {rule.name} | {edition} | {rule.says} | {rule.does} | {cited} |")
    return "\n".join(lines) + "\n"


def commands_page() -> str:
    """Every command with its text, arguments and options."""
    lines = ["# Commands", "", "Each command prints the same with `--help`."]
    for path, command in _commands(get_command(app), ("fleetlife",)):
        lines += ["", f"## {' '.join(path)}", "", *_text(command.help or "")]
        rows = [_option(parameter) for parameter in command.params if parameter.name != "help"]
        if rows:
            lines += ["", "| option | meaning |", "|---|---|", *rows]
    return "\n".join(lines) + "\n"


def _commands(group: Any, path: tuple[str, ...]) -> list[tuple[tuple[str, ...], Any]]:
    found: list[tuple[tuple[str, ...], Any]] = []
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            found.extend(_commands(command, (*path, name)))
        else:
            found.append(((*path, name), command))
    return found


def _text(text: str) -> list[str]:
    """Paragraphs; example lines as a fenced block; without the mark that keeps lines apart on the screen."""
    lines: list[str] = []
    inside = False
    for line in text.replace("\b\n", "").splitlines():
        example = line.startswith("  fleetlife ")
        if example != inside:
            lines.append("```text" if example else "```")
            inside = example
        lines.append(line.strip())
    return [*lines, "```"] if inside else lines


def _option(parameter: Any) -> str:
    metavar = parameter.metavar if isinstance(parameter.metavar, str) else None
    if parameter.param_type_name == "argument":
        names = metavar or parameter.name
    else:
        names = ", ".join(parameter.opts) + (f" {metavar}" if metavar else "")
    text = (getattr(parameter, "help", None) or "").replace("|", "\\|")
    return f"| `{names}` | {text} |"


def certificates_page() -> str:
    """The forms by their blocks, and what is checked of certificates."""
    lines = [
        "# Release certificates",
        "",
        "A certificate is taken in line by line (file `certificates`): several items, and several serial numbers of",
        "one item, are several lines of one tracking number. The column `form` names the form with its edition as it",
        "is printed; `fleetlife certificate NUMBER` then shows the paper by the block numbers of that edition, and an",
        "audit holds it against that form's rules. A form named without its edition is numbered where all its editions",
        "agree; one that is not in this table has no numbers here and is found once (FRM108). Case and punctuation do",
        "not matter.",
        "",
        "An asterisk marks what was **not read** in the published form but is cited from memory: check it against the",
        "form itself before relying on it.",
        "",
        "| form | authority | since | terms of the status block | a correction bears |",
        "|---|---|---|---|---|",
    ]
    for form in FORMS:
        since = f"{form.valid_from}{'' if form.valid_from_read else '*'}" if form.valid_from else "not known"
        terms = ", ".join(f"{term.term}{'' if term.read else '*'}" for term in form.terms)
        correction = f"{form.correction}{'' if form.correction_read else '*'}"
        lines.append(f"| {form.name} | {form.authority} | {since} | {terms} | {correction} |")
    columns: dict[str, list[str]] = {}
    for form in FORMS:
        for block in form.blocks:
            columns.setdefault(block.column or f"({block.holds})", [])
    lines += ["", "## Which block each column of the file stands in", ""]
    lines += [f"| column | {' | '.join(form.name for form in FORMS)} |", f"|---|{'---|' * len(FORMS)}"]
    for column in columns:
        cells = [
            ", ".join(
                f"{b.number}{'' if b.read else '*'}" for b in form.blocks if (b.column or f"({b.holds})") == column
            )
            for form in FORMS
        ]
        lines.append(f"| {column} | {' | '.join(cell or '-' for cell in cells)} |")
    lines += [
        "",
        "In brackets: blocks that no column holds. The batch, hours and cycles since new, what a certificate corrects",
        "and the second authority have no block of their own; they stand in the remarks.",
        "",
        "## What is found",
        "",
        "| code | name | severity | what it means |",
        "|---|---|---|---|",
    ]
    wanted = ("FRM", "APP", "PAP")
    rows = [row for row in all_codes() if row[0][:3] in wanted or row[0] == "FIT110"]
    lines += [f"| [{code}](findings.md) | {name} | {severity} | {first} |" for code, name, severity, first in rows]
    lines += [
        "",
        "Approvals are judged where any are taken in (files `organisations` and `approvals`); where there are none, an",
        "audit says that this was not checked, and finds nothing. A correction to a paper, a count or an approval is",
        "judged with at once, and a question about an earlier day or moment is answered with what was known then.",
        "",
        "Not judged: the wording of remarks and statements, which boxes are ticked, the scope of an approval, and",
        "whether a signature is that person's.",
    ]
    return "\n".join(lines) + "\n"


GENERATED = {
    "docs/certificates.md": certificates_page,
    "docs/findings.md": findings_page,
    "docs/commands.md": commands_page,
    "docs/files.md": columns_page,
    "docs/interchangeability.md": interchangeability_page,
    "docs/published-rules.md": published_rules_page,
    "docs/views.md": views_page,
}
RUN = ("README.md", "docs/audit.md")
RUN_PYTHON = ("docs/frames.md",)


def run_command(command: str, *, database: str) -> str:
    """What `fleetlife COMMAND` prints, as piped, in a shell of its own; anything on standard error fails."""
    environment = {
        **os.environ,
        "FLEETLIFE_DATABASE": database,
        "COLUMNS": "100",
        "NO_COLOR": "1",
        "FLEETLIFE_SETTINGS": "none",
    }
    whole = f"{shlex.quote(sys.executable)} -m fleetlife.cli.main {command}"
    done = subprocess.run(["bash", "-c", whole], cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert not done.stderr, f"{command}: {done.stderr}"
    return done.stdout


def run_examples(text: str, *, database: str) -> str:
    """The page with every console block run again: its commands as they stand, their output as it comes."""

    def again(match: re.Match[str]) -> str:
        lines: list[str] = []
        for line in match[1].splitlines():
            if line.startswith("$ fleetlife "):
                output = run_command(line.removeprefix("$ fleetlife "), database=database)
                lines += [line, *(one.rstrip() for one in output.splitlines())]
            elif line.startswith("$ export "):
                lines.append(line)
        return "```console\n" + "\n".join(lines) + "\n```"

    return _BLOCK.sub(again, text)


def run_python(text: str, *, database: str) -> str:
    """The page with every Python block run again, one after the other in one session, on the database given."""
    session: dict[str, Any] = {}

    def again(match: re.Match[str]) -> str:
        lines: list[str] = []
        for example in DocTestParser().get_examples(match[1]):
            source = example.source.rstrip("\n").splitlines()
            lines += [f"{'...' if number else '>>>'} {line}".rstrip() for number, line in enumerate(source)]
            said = StringIO()
            with redirect_stdout(said):
                exec(compile(example.source.replace(READERS_DEMO, database), "<page>", "single"), session)
            lines += [line.rstrip() for line in said.getvalue().splitlines()]
        return "```pycon\n" + "\n".join(lines) + "\n```"

    return _PYTHON.sub(again, text)


def masked(text: str) -> str:
    """Without what differs from run to run: digests (they hold who recorded and when) and recording times."""
    return _TIME.sub("TIME", _HEAD.sub("DIGEST", text))

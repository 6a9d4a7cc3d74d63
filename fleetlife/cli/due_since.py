"""`due --since`: the due list held against an earlier state."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from fleetlife.cli.asking import write_rows
from fleetlife.cli.context import day_option, open_database, refusals, show
from fleetlife.cli.due import about_of_due, due_status


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What of the due list is asked about. `window_of`: the window as asked, of a day; `narrowed`: what narrows it, by
    the arguments of `answers.due_since`."""

    day: date
    window_of: Callable[[date], tuple[date | None, date | None]]
    everything: bool
    narrowed: dict[str, Any]
    fitted_on: date | None


def ask_since(
    asked: Asked,
    *,
    moment: str,
    since_as_of: str | None,
    known_at: str | None,
    format: str,
    output: Path | None,
    database: str | None,
) -> int:
    """Ask and write; the exit status, as that of the due list."""
    with refusals():
        from fleetlife.answers.due_since import Window, due_since

        then = asked.day if since_as_of is None else day_option(since_as_of, "--since-as-of")
        now_window, then_window = asked.window_of(asked.day), asked.window_of(then)
        with open_database(database) as store:
            answer = due_since(
                store,
                as_of=asked.day,
                window=Window(first=now_window[0], last=now_window[1]),
                moment=moment,
                day_then=then,
                window_then=Window(first=then_window[0], last=then_window[1]),
                everything=asked.everything,
                known_at=known_at,
                fitted_on=asked.fitted_on,
                **asked.narrowed,
            )
        if format == "table":
            from fleetlife.reports.due_since import due_since_report

            show(due_since_report(answer), output=output)
        else:
            from fleetlife.reports import rows as machine

            about = about_of_due(answer.now) | {"since": machine.due_since_as_dict(answer)}
            rows = machine.due_since_rows_as_dicts(answer)
            write_rows(about, rows, machine.DUE_SINCE_COLUMNS, format=format, output=output)
    return due_status(answer.now)

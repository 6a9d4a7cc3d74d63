"""A report as a plain file would show it: no colour, no terminal, a stated width."""

from __future__ import annotations

import io
from typing import Any

from rich.console import Console

WIDTHS = (100, 80)


def rendered(report: Any, width: int, *, encoding: str = "utf-8") -> str:
    raw = io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\n", write_through=True)
    console = Console(file=raw, width=width, no_color=True, force_terminal=False, highlight=False)
    console.print(report)
    raw.flush()
    return raw.buffer.getvalue().decode(encoding)  # type: ignore[attr-defined]

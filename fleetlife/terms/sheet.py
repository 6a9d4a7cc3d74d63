"""A sheet of an answer's workbook, as values: what reports lay out and transfer writes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Rows by column, and how wide columns are where not as wide as their names."""

    title: str
    columns: tuple[str, ...]
    rows: Sequence[Mapping[str, object]]
    widths: Mapping[str, int] = field(default_factory=dict)

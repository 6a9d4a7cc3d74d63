"""Small files on disk, and what reading them gives."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from fleetlife.transfer.problem import Problem
from fleetlife.transfer.reading import Row, read_folder

Read = Callable[..., tuple[list[Row], list[Problem]]]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    """Write `content` under `name`, read it, and give its rows and problems."""

    def go(name: str, content: str | bytes, **how: str) -> tuple[list[Row], list[Problem]]:
        path = tmp_path / name
        path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
        found = read_folder(path, **how)  # type: ignore[arg-type]
        rows = [row for file in found.files for row in file.rows()]
        return rows, list(found.problems)

    return go

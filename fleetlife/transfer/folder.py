"""A folder written whole or not at all."""

from __future__ import annotations

import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from fleetlife.terms.refusal import Refusal


@contextmanager
def whole_folder(target: Path) -> Iterator[Path]:
    """A folder beside `target` that takes its place when the block ends well, and is removed when it does not.

    Refusal: `folder-not-empty`, where `target` is there and holds something or is no folder.
    """
    check_empty(target)
    beside = target.with_name(f".{target.name}.{secrets.token_hex(6)}.part")
    try:
        beside.mkdir(parents=True)
        yield beside
        for path in beside.rglob("*"):
            if path.is_file():
                with path.open("rb") as written:
                    os.fsync(written.fileno())
        check_empty(target)  # somebody may have filled it meanwhile
        if target.is_dir():
            target.rmdir()
        os.replace(beside, target)
    finally:
        shutil.rmtree(beside, ignore_errors=True)


def check_empty(target: Path) -> None:
    """Refusal: `folder-not-empty`."""
    if target.is_dir() and not any(target.iterdir()):
        return
    if target.exists() or target.is_symlink():
        raise Refusal(
            "folder-not-empty",
            f"{target} is there already and holds something.",
            remedy="Name a new or an empty folder: nothing is written over and nothing is mixed.",
        )

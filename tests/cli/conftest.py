"""The demo's database on both engines: one for reading, and copies to write to."""

from __future__ import annotations

from collections.abc import Callable

import pytest

ENGINES = ["sqlite", "postgresql"]


@pytest.fixture(scope="session")
def demos(demo_copy: Callable[[str], str]) -> dict[str, str]:
    """The demo on both engines. For reading only."""
    return {engine: demo_copy(engine) for engine in ENGINES}


@pytest.fixture(params=ENGINES)
def demo(request: pytest.FixtureRequest, demos: dict[str, str]) -> str:
    """The demo on each engine in turn. For reading only."""
    return demos[request.param]


@pytest.fixture(params=ENGINES)
def own_demo(request: pytest.FixtureRequest, demo_copy: Callable[[str], str]) -> str:
    """A demo of the test's own on each engine in turn."""
    return demo_copy(request.param)


@pytest.fixture
def sqlite_demo(demo_copy: Callable[[str], str]) -> str:
    """A demo of the test's own as a SQLite file."""
    return demo_copy("sqlite")

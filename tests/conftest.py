"""How every test runs: generated cases are the same on every run and machine, and none is timed."""

from __future__ import annotations

import gc
import os
from collections import Counter

import pytest
from hypothesis import settings

settings.register_profile("project", deadline=None, derandomize=True, database=None)
settings.load_profile("project")

# Files that take minutes, the longest first: begun last, one would keep a single process busy after all others ended.
LONGEST = (
    "tests/contract/test_schemathesis.py",
    "tests/integration/test_cli_commands.py",
    "tests/integration/test_rule_impacts.py",
    "tests/integration/test_streams_clients.py",
    "tests/integration/test_streams_faults.py",
    "tests/properties/test_any_outline.py",
    "tests/choice/test_best_frame_proof.py",
    "tests/rules/test_rows_taken_out.py",
    "tests/choice/test_any_yard.py",
)


def pytest_configure(config: pytest.Config) -> None:
    """Let files begin in the order of collection, not those with most tests first."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False
    # Servers and commands started by tests keep their compiled code: each takes a second to compile.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # noqa: TID251 - for child processes


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first; within a file the order stays. Of equal ids pytest-xdist would run one test."""
    twice = [name for name, count in Counter(item.nodeid for item in items).items() if count > 1]
    if twice:
        raise pytest.UsageError(f"more than one test is called {', '.join(twice)}")
    rank = {name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: rank.get(item.nodeid.partition("::")[0], len(rank)))


def pytest_collection_finish() -> None:
    """Set modules and tests aside: the collector would look through them again for every few designs."""
    gc.collect()
    gc.freeze()

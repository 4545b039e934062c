"""How every test runs: generated cases are the same on every run and machine, and none is timed."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("project", deadline=None, derandomize=True, database=None)
settings.load_profile("project")

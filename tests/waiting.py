"""How a test waits for what comes about in its own time."""

from __future__ import annotations

import time
from collections.abc import Callable

# Far longer than anything takes on a quiet machine: it is not a time that is tested.
PATIENCE_S = 60.0


def until(so: Callable[[], object], patience_s: float = PATIENCE_S) -> None:
    """Wait until something is so; fail when it does not come about."""
    end = time.monotonic() + patience_s
    while not so():
        assert time.monotonic() < end, "it did not come about"
        time.sleep(0.02)

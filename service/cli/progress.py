"""Tells on the error stream what is being done, so that the output stays clean."""

from __future__ import annotations

import time
from collections.abc import Callable

from rich.console import Console

Tell = Callable[[str], None]


def teller() -> Tell:
    """Return a function that prints a step with the seconds since the start."""
    console = Console(stderr=True, highlight=False)
    start = time.monotonic()

    def tell(step: str) -> None:
        console.print(f"[dim]{time.monotonic() - start:5.1f} s[/dim]  {step}", soft_wrap=True)

    return tell

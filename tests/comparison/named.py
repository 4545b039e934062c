"""A footing method that is a name and nothing else, for results whose cost and days alone matter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Named:
    """What stands where a method would; whatever but its name is asked of it fails."""

    name: str


# A result without footings asks nothing of its place.
NO_SITE: Any = None


def named(method: str) -> Any:
    """Return a method of this name."""
    return Named(method)

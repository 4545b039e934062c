"""The longest boards that can be bought, by what they become."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Boards:
    """Longest boards, in: of most sizes, and of sizes that come in others, as joists and as beams or ledgers.

    >>> Boards(240.0, {"2x6": 192.0}).joist("2x6"), Boards(240.0).beam("2x10")
    (192.0, 240.0)
    """

    longest_in: float
    joists_in: Mapping[str, float] = field(default_factory=dict)
    beams_in: Mapping[str, float] = field(default_factory=dict)

    def joist(self, size: str) -> float:
        """Return the longest board of a joist's size, in."""
        return self.joists_in.get(size, self.longest_in)

    def beam(self, size: str) -> float:
        """Return the longest board of a size as it is ordered for beams and ledgers, in."""
        return self.beams_in.get(size, self.longest_in)

    @property
    def longest_joist_in(self) -> float:
        """The longest joist of any size, in."""
        return max(self.joists_in.values(), default=self.longest_in)

"""What the requests under way hold of a process, and how much they may."""

from __future__ import annotations

from dataclasses import dataclass

from service.contract.problem import Rejected
from service.web.visit import Visit


@dataclass
class Held:
    """Bodies that come in, and bytes of bodies until their requests are over.

    Callers without a secret key hold half of either at most: anyone can be many of them.

    Attributes:
        most_bodies: bodies that may come in at a time
        most_bytes: bytes of bodies that may be held
        bodies: bodies that come in now
        stranger_bodies: those of callers without a secret key
        size_bytes: bytes held now
        stranger_bytes: those of callers without a secret key

    >>> held = Held(most_bytes=1000)
    >>> held.take(500, Visit(stranger=True)), held.take(500, Visit())
    (None, None)
    >>> held.take(1, Visit())
    Traceback (most recent call last):
    service.contract.problem.Rejected: overloaded: the bodies under way are larger than may be held
    """

    most_bodies: int = 512
    most_bytes: int = 64 << 20
    bodies: int = 0
    stranger_bodies: int = 0
    size_bytes: int = 0
    stranger_bytes: int = 0

    def let_in(self, visit: Visit) -> None:
        """Count a body that begins to come.

        Raises:
            Rejected: overloaded
        """
        full = self.bodies >= self.most_bodies
        if full or (visit.stranger and self.stranger_bodies >= self.most_bodies // 2):
            raise Rejected("overloaded", f"{self.bodies} bodies of requests are being read already")
        self.bodies += 1
        self.stranger_bodies += visit.stranger

    def let_out(self, visit: Visit) -> None:
        """Count no longer a body that has come, or will not."""
        self.bodies -= 1
        self.stranger_bodies -= visit.stranger

    def take(self, size_bytes: int, visit: Visit) -> None:
        """Count bytes that came.

        Raises:
            Rejected: overloaded
        """
        full = self.size_bytes + size_bytes > self.most_bytes
        if full or (visit.stranger and self.stranger_bytes + size_bytes > self.most_bytes // 2):
            raise Rejected("overloaded", "the bodies under way are larger than may be held")
        self.size_bytes += size_bytes
        self.stranger_bytes += visit.stranger * size_bytes

    def free(self, size_bytes: int, visit: Visit) -> None:
        """Count bytes no longer: their request is over."""
        self.size_bytes -= size_bytes
        self.stranger_bytes -= visit.stranger * size_bytes

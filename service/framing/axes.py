"""The axes a region is framed in: ``u`` across its joists, ``v`` along them, inches from the region's corner."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.contract.report_frame import Point

Direction = Literal["away_from_house", "along_house"]


@dataclass(frozen=True)
class Axes:
    """Where a region lies in the deck frame. Joists run along y (away from the house) or along x."""

    direction: Direction
    origin_ft: Point

    @property
    def away(self) -> bool:
        """Whether joists run away from the house."""
        return self.direction == "away_from_house"

    def local_in(self, point_ft: Point) -> Point:
        """Return a point of the deck frame in these axes, in.

        >>> Axes("along_house", (2.0, 1.0)).local_in((4.0, 2.0))
        (12.0, 24.0)
        """
        x, y = 12 * (point_ft[0] - self.origin_ft[0]), 12 * (point_ft[1] - self.origin_ft[1])
        return (x, y) if self.away else (y, x)

    def deck_ft(self, u_in: float, v_in: float) -> Point:
        """Return a point of these axes in the deck frame, ft.

        >>> Axes("along_house", (2.0, 1.0)).deck_ft(12.0, 24.0)
        (4.0, 2.0)
        """
        x, y = (u_in, v_in) if self.away else (v_in, u_in)
        return (self.origin_ft[0] + x / 12, self.origin_ft[1] + y / 12)

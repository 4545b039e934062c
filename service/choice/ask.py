"""What a search is asked for: one rectangle, its heights, its loads and its stock."""

from __future__ import annotations

from dataclasses import dataclass

from service.choice.space import Space
from service.framing.ground import Grade
from service.framing.members import EdgeLoad
from service.framing.outline import Rectangle
from service.sizing.criteria import Criteria


@dataclass(frozen=True)
class Ask:
    """One level to be framed.

    ``stock_in`` is the longest board that can be bought. ``stair_span_ft`` is the joist span that would load
    the yard-side beam as the stair on that edge does, ``stair_loads`` are the loads themselves.
    """

    level: str
    rectangle: Rectangle
    surface_in: float
    decking_in: float
    ground: Grade
    criteria: Criteria
    space: Space
    stock_in: float
    gap_in: float
    stair_on_yard: bool
    stair_span_ft: float
    stair_loads: tuple[EdgeLoad, ...]

    @property
    def stair_load_lb(self) -> float:
        """The whole load of stairs on the yard edge, lb."""
        return sum(load.load_lb for load in self.stair_loads)

    @property
    def width_in(self) -> float:
        """Along the house, in."""
        return self.rectangle.width_ft * 12

    @property
    def projection_in(self) -> float:
        """Out from the house wall line, in."""
        return self.rectangle.projection_ft * 12

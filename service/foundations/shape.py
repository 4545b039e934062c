"""Concrete in the ground: its parts, sizes and volume."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from service.contract.report_frame import Concrete, Reinforcement
from service.foundations.volumes import cylinder_cuft, frustum_cuft, square_cuft


@dataclass(frozen=True)
class Shape:
    """A shaft, a base under it, or both; in inches.

    ``depth_in`` is below the ground at its middle, which at its lower side lies lower by ``downhill_in``;
    ``stand_in`` is how far its top stands out of the ground, under 0 where it lies below. A base is a round or a
    square slab; a bell has a cone of ``bell_height_in`` on it.
    """

    depth_in: float
    stand_in: float
    shaft_in: float | None = None
    base_in: float | None = None
    base_shape: Literal["round", "square"] = "round"
    base_thickness_in: float = 0.0
    bell_height_in: float = 0.0
    downhill_in: float = 0.0
    bars: Reinforcement | None = None

    @property
    def bearing_in(self) -> float:
        """Diameter or side of what stands on the soil."""
        return self.base_in or self.shaft_in or 0.0

    @property
    def square(self) -> bool:
        """Whether a square stands on the soil."""
        return self.base_in is not None and self.base_shape == "square"

    @property
    def bearing_sqft(self) -> float:
        """Area that stands on the soil, sq ft."""
        area = self.bearing_in**2 / 144.0
        return area if self.square else math.pi / 4.0 * area

    @property
    def length_in(self) -> float:
        """Length of all the concrete."""
        return self.depth_in + self.stand_in

    @property
    def foot_in(self) -> float:
        """Thickness of the base with its cone; of all the concrete where a shaft alone stands on the soil."""
        return self.base_thickness_in + self.bell_height_in if self.base_in else self.length_in

    @property
    def shaft_length_in(self) -> float:
        """Length of the shaft above its base."""
        return self.length_in - self.foot_in if self.base_in else self.length_in

    @property
    def volume_cuft(self) -> float:
        """Concrete in it."""
        shaft = cylinder_cuft(self.shaft_in, self.shaft_length_in) if self.shaft_in else 0.0
        if self.base_in is None:
            return shaft
        slab = square_cuft if self.square else cylinder_cuft
        cone = frustum_cuft(self.shaft_in or 0.0, self.base_in, self.bell_height_in)
        return shaft + cone + slab(self.base_in, self.base_thickness_in)

    def lowered(self, downhill_in: float) -> Shape:
        """Return it so much deeper that its lower side is as deep as its middle was."""
        if not downhill_in:
            return self
        # Where no shaft comes up, the top goes down with the bottom.
        stand_in = self.stand_in if self.shaft_in else self.stand_in - downhill_in
        deep_in = self.depth_in + downhill_in
        return replace(self, depth_in=deep_in, stand_in=stand_in, downhill_in=downhill_in)

    def on_the_wire(self) -> Concrete:
        """Return it as the report carries it."""
        return Concrete(
            shape="square" if self.square and self.shaft_in is None else "round",
            shaft_diameter_in=self.shaft_in,
            base_shape=self.base_shape if self.base_in else None,
            base_size_in=self.base_in,
            thickness_in=self.base_thickness_in if self.base_in else None,
            depth_below_grade_in=self.depth_in,
            volume_cuft=self.volume_cuft,
            bell_height_in=self.bell_height_in or None,
            reinforcement=self.bars,
        )

"""What stands in the ground, and the ground itself, as they go over the wire.

Coordinates are in the deck frame in feet, lengths and heights in inches. Tuples are JSON arrays.
"""

from __future__ import annotations

import msgspec

Point = tuple[float, float]


class Ground(msgspec.Struct, frozen=True, kw_only=True):
    """The ground beside the house: frost, and what was dug out when the house was built and put back.

    ``frost_depth_in`` is below the ground at each place, ``house_footing_depth_in`` (the bottom of the house's
    footing) below the datum; null where it is not known, or no house is there. ``grade_at_house_in`` is the ground
    at the deck frame's origin: the datum, 0.

    ``backfill_zones_ft`` are polygons in plan, one for each straight wall of the house that has such ground beside
    it, from the wall's face to where the hole ended at the frost line: the judgement of ``in_backfill_zone``, which is
    true of a footing whose bearing width reaches into one. A wall that goes on past the deck is followed
    to 2 ft and the zone's width past the deck and its footings. Zones of two walls may overlap. None where the
    foundation's depth is not known, nor where frost goes below the house's footing.

    ``backfill_top_width_in`` and ``backfill_floor_width_in`` are how wide the hole was at the datum and on its
    floor, from the face of the wall; null where there is none.
    """

    frost_depth_in: float
    grade_at_house_in: float = 0.0
    house_footing_depth_in: float | None = None
    backfill_zones_ft: tuple[tuple[Point, ...], ...] = ()
    backfill_top_width_in: float | None = None
    backfill_floor_width_in: float | None = None


class Reinforcement(msgspec.Struct, frozen=True, kw_only=True):
    """Bars that stand in a pier, all alike; ``size`` as bars are numbered, in eighths of an inch."""

    size: str
    bars: int
    length_in: float


class Concrete(msgspec.Struct, frozen=True, kw_only=True):
    """A concrete footing; both base fields null means the shaft bears.

    A pad on the ground has neither shaft nor base, but two sides: ``width_in`` and ``length_in``. ``thickness_in`` of
    a bell is that of the cylinder under its cone, ``bell_height_in`` the cone's. ``stone_cuft`` is crushed stone
    under the concrete, ``reinforcement`` what stands in it, null where it is plain.
    """

    shape: str
    shaft_diameter_in: float | None
    base_shape: str | None
    base_size_in: float | None
    thickness_in: float | None
    depth_below_grade_in: float
    volume_cuft: float
    width_in: float | None = None
    length_in: float | None = None
    bell_height_in: float | None = None
    stone_cuft: float = 0.0
    reinforcement: Reinforcement | None = None


class Pile(msgspec.Struct, frozen=True, kw_only=True):
    """A helical pile."""

    shaft: str
    helices: tuple[float, ...]
    length_ft: float
    kt_per_ft: float
    torque_ft_lb: float


class Footing(msgspec.Struct, frozen=True, kw_only=True):
    """A footing under a post (or, with ``post`` null, straight under what it ``serves``).

    ``exposed_in`` is how far its top stands out of the ground at its middle.
    """

    id: str
    mark: str
    post: str | None
    serves: str
    method: str
    x_ft: float
    y_ft: float
    load_lb: float
    tributary_sqft: float
    grade_height_in: float
    top_height_in: float
    bottom_height_in: float
    exposed_in: float
    in_backfill_zone: bool | None
    concrete: Concrete | None
    pile: Pile | None

    @property
    def length_in(self) -> float:
        """From its bottom to its top, in."""
        return self.top_height_in - self.bottom_height_in

    @property
    def width_in(self) -> float:
        """What bears on the ground, at its widest, in."""
        if self.concrete is not None:
            return self.concrete.base_size_in or self.concrete.shaft_diameter_in or 0.0
        return max(self.pile.helices) if self.pile else 0.0

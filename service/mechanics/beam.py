"""The beam and its loads."""

from __future__ import annotations

from itertools import pairwise

import msgspec

NEAR_FT = 1e-9


class Uniform(msgspec.Struct, frozen=True):
    """A uniform load over part of a beam: from and to, ft; downward load, plf.

    Source: statics.

    >>> Uniform(0.0, 4.0, 50.0).load_plf
    50.0
    """

    start_ft: float
    end_ft: float
    load_plf: float


class Point(msgspec.Struct, frozen=True):
    """A point load: where, ft; downward load, lb.

    Source: statics.

    >>> Point(10.0, 220.0).load_lb
    220.0
    """

    at_ft: float
    load_lb: float


Load = Uniform | Point


class Beam(msgspec.Struct, frozen=True):
    """A prismatic beam on knife-edge supports that hold both ways.

    Source: statics. ``length_ft`` is the whole length; ``supports_ft`` are at least two positions in rising
    order, ft. What lies before the first and after the last support is an overhang. Limits: no settlement, no
    hinges, bending deformation only.

    Raises:
        ValueError: the supports are fewer than two, out of order, or off the beam.

    >>> Beam(12.0, (0.0, 10.0)).bays_ft
    ((0.0, 10.0), (10.0, 12.0))
    """

    length_ft: float
    supports_ft: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse a beam that cannot stand."""
        if len(self.supports_ft) < 2:
            raise ValueError("a beam needs at least two supports")
        if any(b - a <= NEAR_FT for a, b in pairwise(self.supports_ft)):
            raise ValueError("supports must stand in rising order, apart from each other")
        if self.supports_ft[0] < -NEAR_FT or self.supports_ft[-1] > self.length_ft + NEAR_FT:
            raise ValueError(f"supports must lie between 0 and {self.length_ft} ft")

    @property
    def spans_ft(self) -> tuple[float, ...]:
        """The lengths between supports, ft."""
        return tuple(b - a for a, b in pairwise(self.supports_ft))

    @property
    def bays_ft(self) -> tuple[tuple[float, float], ...]:
        """Start and end of every span and of the overhangs there are, ft, from the start."""
        edges = (0.0, *self.supports_ft, self.length_ft)
        return tuple((a, b) for a, b in pairwise(edges) if b - a > NEAR_FT)


def clipped(load: Load, start_ft: float, end_ft: float) -> Load | None:
    """Return the part of a load between two positions, or None when nothing of it lies there.

    Source: statics. A point on the start counts, one on the end does not.

    Args:
        load: the load, plf or lb.
        start_ft: start of the stretch, ft.
        end_ft: end of the stretch, ft.

    Returns:
        The load with positions in ft from the beam's start.

    >>> clipped(Uniform(0.0, 8.0, 50.0), 6.0, 12.0)
    Uniform(start_ft=6.0, end_ft=8.0, load_plf=50.0)
    """
    if isinstance(load, Point):
        return load if start_ft <= load.at_ft < end_ft else None
    a, b = max(load.start_ft, start_ft), min(load.end_ft, end_ft)
    return Uniform(a, b, load.load_plf) if b > a else None

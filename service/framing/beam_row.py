"""A straight row of beam on its posts, in the axes of its region."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from service.contract.report_frame import Point
from service.framing.beam_lines import spans

# "free": an edge of the deck; "joint": the frame goes on beyond it; "wall": a wall of the house stands there
RowEnd = Literal["free", "joint", "wall"]


@dataclass(frozen=True)
class BeamRow:
    """A row's centre line from lower to higher ``u``, in, and the sections of the region it carries.

    ``low`` or ``high``: joists end over it on that side of the region; neither: it stands between other supports.
    ``girder``: it stands where joists of another direction begin. ``posts_in`` are from its start.
    """

    start_in: Point
    end_in: Point
    sections: tuple[int, ...]
    ends: tuple[RowEnd, RowEnd] = ("free", "free")
    low: bool = False
    high: bool = False
    girder: bool = False
    posts_in: tuple[float, ...] = ()

    @cached_property
    def length_in(self) -> float:
        """Its length."""
        return math.dist(self.start_in, self.end_in)

    @cached_property
    def slope(self) -> float:
        """Rise of ``v`` for each in of ``u``."""
        return (self.end_in[1] - self.start_in[1]) / (self.end_in[0] - self.start_in[0])

    @cached_property
    def stretch(self) -> float:
        """Its length for each in across the joists: 1 where it is square to them."""
        return math.hypot(1.0, self.slope)

    def at(self, u_in: float) -> float:
        """Return ``v`` of its centre line at a ``u``."""
        return self.start_in[1] + self.slope * (u_in - self.start_in[0])

    def along(self, u_in: float) -> float:
        """Return how far from its start a ``u`` lies, within its length."""
        return min(self.length_in, max(0.0, (u_in - self.start_in[0]) * self.stretch))

    def carries(self, section: int, u_in: float) -> bool:
        """Return whether it lies under the joists of a section at a ``u``."""
        near = 0.01
        return section in self.sections and self.start_in[0] - near <= u_in <= self.end_in[0] + near

    def point(self, along_in: float) -> Point:
        """Return a place so far from its start."""
        share = along_in / self.length_in
        return (
            self.start_in[0] + share * (self.end_in[0] - self.start_in[0]),
            self.start_in[1] + share * (self.end_in[1] - self.start_in[1]),
        )

    @cached_property
    def spans_in(self) -> tuple[float, ...]:
        """Its spans, post centre to post centre."""
        return spans(self.posts_in)

    @property
    def overhangs_in(self) -> tuple[float, float]:
        """Its overhang past the first and the last post."""
        return self.posts_in[0], self.length_in - self.posts_in[-1]


def alike(rows: Sequence[BeamRow]) -> list[tuple[int, ...]]:
    """Return the rows, by number, in groups whose posts line up: square ones that begin and end alike."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, row in enumerate(rows):
        square = abs(row.slope) < 1e-6
        place = (round(row.start_in[0], 4), round(row.end_in[0], 4)) if square else (number,)
        groups.setdefault((*place, row.ends), []).append(number)
    return [tuple(group) for group in groups.values()]

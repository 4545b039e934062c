"""Rows of deck boards over any field: how long each runs, how its ends are cut, which joists it crosses.

Worked in the boards' own frame, inches: boards lie along ``u``, rows follow one another along ``v``, to the left.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from service.takeoff.floors import GRID_IN, THIN_IN, polygons, turned
from service.takeoff.lines import Segment
from service.takeoff.parts import Cuts

STRAIGHT_SQIN = 0.05  # an end that leaves out less than this is cut in one go (convention of this service)
STEEPEST_CUT_DEG = 60.0  # what leans more is ripped along the board (convention of this service)
PAST_JOIST_IN = 4.0  # boards past the end of a joist still lie on its rim (convention of this service)
A_GRID = 1 / GRID_IN  # grid lines an inch
ALONG_IN = 1e-3  # a joist that crosses less of the rows than this runs along them


class Row(NamedTuple):
    """One straight run of boards: its ends along ``u``, the middle of its width along ``v``, in, and its end cuts.

    ``number`` counts the rows of a field; where a notch parts a row, its runs share the number. ``crossings_in``
    are where it crosses joists, from its start.
    """

    start_in: float
    end_in: float
    at_in: float
    number: int = 0
    cuts_deg: Cuts = (0.0, 0.0)
    crossings_in: tuple[float, ...] = ()

    @property
    def length_in(self) -> float:
        """Length of the run to its longer points, in."""
        return self.end_in - self.start_in


@dataclass(frozen=True)
class Lay:
    """Which way boards lie: the cosine and sine of the turn from the deck frame to theirs."""

    cosine: float
    sine: float

    def frame(self, floor: BaseGeometry) -> MultiPolygon:
        """Return a floor of the deck frame in the boards' frame."""
        return turned(floor, self.turn)

    def turn(self, points: np.ndarray) -> np.ndarray:
        """Return points of the deck frame, n x 2, in the boards' frame."""
        x, y = points[:, 0], points[:, 1]
        return np.column_stack([x * self.cosine + y * self.sine, y * self.cosine - x * self.sine])


def lay_of(direction: Literal["away_from_house", "along_house"], angle_deg: float) -> Lay:
    """Return how boards lie on joists of a direction: square to them, turned by the decking's angle.

    >>> lay_of("away_from_house", 0), lay_of("along_house", 0)
    (Lay(cosine=1.0, sine=0.0), Lay(cosine=0.0, sine=-1.0))
    """
    cosine, sine = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return Lay(cosine, sine) if direction == "away_from_house" else Lay(sine, 0.0 - cosine)


def lay_along(direction: Segment) -> Lay:
    """Return how a board lies along a segment."""
    (ax, ay), (bx, by) = direction
    length = math.dist(*direction)
    return Lay((bx - ax) / length, (by - ay) / length)


def rows(field: BaseGeometry, pitch_in: float) -> list[Row]:
    """Return the runs of boards that cover a field, ``pitch_in`` apart, from its least ``v`` on.

    >>> [(r.length_in, r.at_in) for r in rows(shapely.box(0, 0, 192, 11), 5.5)]
    [(192.0, 2.75), (192.0, 8.25)]
    """
    if field.is_empty:
        return []
    low, high = field.bounds[1::2]
    count = math.ceil(round((high - low) / pitch_in, 6))
    starts = [low + n * pitch_in for n in range(count)]
    return _of_rectangle(field, starts, pitch_in) if _is_rectangle(field) else _cut(field, starts, pitch_in)


def _cut(field: BaseGeometry, starts: Sequence[float], pitch_in: float) -> list[Row]:
    """The runs that begin at each ``v``, cut out of a field of any form."""
    left, _, right, _ = field.bounds
    strips = [shapely.box(left - 1, start, right + 1, start + pitch_in) for start in starts]
    pieces = shapely.intersection(field, strips, grid_size=GRID_IN)
    return [run_of(part, number) for number, piece in enumerate(pieces) for part in polygons(piece)]


def _is_rectangle(field: BaseGeometry) -> bool:
    """Whether a field is one rectangle that lies along the boards: most are, and need no cutting of polygons."""
    corners = shapely.get_coordinates(field)
    left, low, right, high = field.bounds
    return len(corners) == 5 and all(x in (left, right) and y in (low, high) for x, y in corners.tolist())


def _of_rectangle(field: BaseGeometry, starts: Sequence[float], pitch_in: float) -> list[Row]:
    """As ``_cut`` by arithmetic, corners on the same grid."""
    left, low, right, high = field.bounds
    found = []
    for number, start in enumerate(starts):
        near, far = max(low, _on_grid(start)), min(high, _on_grid(start + pitch_in))
        wide = min(right - left, far - near)
        if wide >= THIN_IN and (right - left) * (far - near) >= THIN_IN:
            found.append(Row(left, right, (near + far) / 2, number))
    return found


def _on_grid(at_in: float) -> float:
    return math.floor(at_in * A_GRID + 0.5) / A_GRID


def run_of(piece: BaseGeometry, number: int = 0) -> Row:
    """Return the run a piece of floor in the boards' frame is cut out of, and how its ends are cut.

    An end that is not one straight cut across is counted square at its long point; it is fitted on the deck.

    >>> run_of(shapely.Polygon([(0, 0), (12, 0), (6, 6), (0, 6)])).cuts_deg
    (0.0, 45.0)
    """
    corners = shapely.get_coordinates(piece)
    left, low, right, high = piece.bounds
    at_low, at_high = (corners[abs(corners[:, 1] - v) < THIN_IN, 0] for v in (low, high))
    quad = (high - low) * (np.ptp(at_low) + np.ptp(at_high)) / 2
    straight = abs(quad - piece.area) < STRAIGHT_SQIN
    start = _cut_deg(at_high.min() - at_low.min(), high - low) if straight else 0.0
    end = _cut_deg(at_low.max() - at_high.max(), high - low) if straight else 0.0
    return Row(left, right, (low + high) / 2, number, (start, end))


def _cut_deg(leans_in: float, across_in: float) -> float:
    angle = math.degrees(math.atan2(leans_in, across_in))
    return angle if abs(angle) <= STEEPEST_CUT_DEG else 0.0


def over_joists(rows: Sequence[Row], joists: np.ndarray) -> tuple[Row, ...]:
    """Return rows with where they cross joists; none where they run along them.

    ``joists`` are (n, 2, 2): each joist's two ends along ``u`` and ``v``, in.

    >>> joists = np.array([((16, 1.5), (16, 90)), ((32, 30), (32, 90))])
    >>> over_joists([Row(0, 96, 3)], joists)[0].crossings_in
    (16.0,)
    """
    (u1, v1), (u2, v2) = joists[:, 0].T, joists[:, 1].T
    across = abs(v2 - v1) >= ALONG_IN
    u1, v1, u2, v2 = u1[across], v1[across], u2[across], v2[across]
    low, high = np.minimum(v1, v2) - PAST_JOIST_IN, np.maximum(v1, v2) + PAST_JOIST_IN
    at = np.array([row.at_in for row in rows]).reshape(-1, 1)
    places = u1 + (at - v1) * (u2 - u1) / (v2 - v1)
    met = (low <= at) & (at <= high)
    return tuple(_over(row, u[there].tolist()) for row, u, there in zip(rows, places, met, strict=True))


def _over(row: Row, places_in: Iterable[float]) -> Row:
    from_start = {round(at - row.start_in, 6) for at in places_in}
    return row._replace(crossings_in=tuple(sorted(at for at in from_start if 0 <= at <= row.length_in)))


def ends_without_joist(row: Row, within_in: float) -> int:
    """Return how many ends of a run lie on a rim or blocking: those with no joist within reach.

    >>> ends_without_joist(Row(0, 96, 3, crossings_in=(0.75, 48.0)), 3.0)
    1
    """
    ends = (0.0, row.length_in)
    return sum(all(abs(end - at) > within_in for at in row.crossings_in) for end in ends)

"""Floor shapes of real decks, drawn from a seeded generator: corners, edges on the wall line, edges on other walls.

Feet, counter-clockwise with y up from the left end of the wall line. Nothing here asks whether a deck can stand.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from random import Random  # noqa: TID251 - seeded by the caller: the same shapes on every run

Point = tuple[float, float]


@dataclass(frozen=True)
class Shape:
    """Corners, and the numbers of the edges that may stand at a house wall other than the one on y = 0."""

    corners: tuple[Point, ...]
    other_walls: tuple[int, ...] = ()
    at_house: bool = True


def _between(rng: Random, low: float, high: float) -> float:
    return rng.uniform(low, high)


def _sides(rng: Random) -> tuple[float, float]:
    """Width along the house and projection, ft: usual sizes mostly, large ones now and then."""
    if rng.random() < 0.2:
        return _between(rng, 20, 40), _between(rng, 14, 30)
    return _between(rng, 8, 26), _between(rng, 6, 18)


def rectangle(rng: Random) -> Shape:
    """A plain rectangle."""
    w, p = _between(rng, 6, 40), _between(rng, 6, 24)
    return Shape(((0, 0), (w, 0), (w, p), (0, p)))


def l_shape(rng: Random) -> Shape:
    """A front corner left out."""
    w, p = _sides(rng)
    x, y = w * _between(rng, 0.3, 0.7), p * _between(rng, 0.3, 0.75)
    return Shape(((0, 0), (w, 0), (w, y), (x, y), (x, p), (0, p)))


def t_shape(rng: Random) -> Shape:
    """A stem out into the yard."""
    w, p = _sides(rng)
    x1, x2, y = w * _between(rng, 0.15, 0.4), w * _between(rng, 0.6, 0.85), p * _between(rng, 0.35, 0.7)
    return Shape(((0, 0), (w, 0), (w, y), (x2, y), (x2, p), (x1, p), (x1, y), (0, y)))


def u_shape(rng: Random) -> Shape:
    """Two wings, the yard between them."""
    w, p = _sides(rng)
    x1, x2, y = w * _between(rng, 0.25, 0.4), w * _between(rng, 0.6, 0.75), p * _between(rng, 0.35, 0.7)
    return Shape(((0, 0), (w, 0), (w, p), (x2, p), (x2, y), (x1, y), (x1, p), (0, p)))


def steps(rng: Random) -> Shape:
    """A front that steps back two or three times."""
    w, p = _sides(rng)
    count = rng.choice((3, 3, 4))
    xs = [w * (count - k) / count for k in range(count)]
    ys = [p * (0.4 + 0.6 * (k + 1) / count) for k in range(count)]
    corners: list[Point] = [(0, 0), (w, 0)]
    for k, (x, y) in enumerate(zip(xs, ys, strict=True)):
        corners += [(x, y), (xs[k + 1] if k + 1 < count else 0.0, y)]
    return Shape(tuple(corners))


def z_shape(rng: Random) -> Shape:
    """Two rectangles set off sideways, only the near one on the house."""
    w, p = _sides(rng)
    x1, x2 = w * _between(rng, 0.2, 0.4), w * _between(rng, 0.6, 0.8)
    y1, y2 = p * _between(rng, 0.3, 0.45), p * _between(rng, 0.55, 0.75)
    return Shape(((0, 0), (x2, 0), (x2, y1), (w, y1), (w, p), (x1, p), (x1, y2), (0, y2)))


def notch_at_house(rng: Random) -> Shape:
    """Part of the house, or a chimney, stands out into the deck."""
    w, p = _sides(rng)
    x1, x2 = w * _between(rng, 0.25, 0.45), w * _between(rng, 0.55, 0.75)
    d = min(_between(rng, 1, 4), p / 2)
    return Shape(((0, 0), (x1, 0), (x1, d), (x2, d), (x2, 0), (w, 0), (w, p), (0, p)), (1, 2, 3))


def bay_in_house(rng: Random) -> Shape:
    """A bay window with splayed sides stands out into the deck."""
    w, p = _between(rng, 14, 30), _between(rng, 8, 18)
    x1, x2, d = w * _between(rng, 0.25, 0.35), w * _between(rng, 0.65, 0.75), _between(rng, 1.5, 2.5)
    return Shape(((0, 0), (x1, 0), (x1 + d, d), (x2 - d, d), (x2, 0), (w, 0), (w, p), (0, p)), (1, 2, 3))


def wrap(rng: Random) -> Shape:
    """Round an outer corner of the house: the second wall runs back from the first."""
    w, p = _between(rng, 8, 20), _between(rng, 6, 14)
    back, side = _between(rng, 6, 18), _between(rng, 6, 14)
    return Shape(((0, 0), (w, 0), (w, -back), (w + side, -back), (w + side, p), (0, p)), (1,))


def inner_corner(rng: Random) -> Shape:
    """In an inner corner of the house, plain or with its free corner clipped."""
    w, p = _sides(rng)
    if rng.random() < 0.5:
        return Shape(((0, 0), (w, 0), (w, p), (0, p)), (3,))
    c = min(w, p) * _between(rng, 0.2, 0.5)
    return Shape(((0, 0), (w, 0), (w, p - c), (w - c, p), (0, p)), (4,))


def clipped_45(rng: Random) -> Shape:
    """One or both front corners cut off at 45 degrees."""
    w, p = _sides(rng)
    c = min(w / 2.5, p) * _between(rng, 0.15, 0.7)
    right: list[Point] = [(w, p - c), (w - c, p)]
    left: list[Point] = [(c, p), (0, p - c)] if rng.random() < 0.5 else [(0, p)]
    return Shape(((0, 0), (w, 0), *right, *left))


def clipped(rng: Random) -> Shape:
    """A front corner cut off at another angle, of a rectangle or of an L."""
    w, p = _sides(rng)
    a, b = w * _between(rng, 0.1, 0.5), p * _between(rng, 0.1, 0.6)
    if rng.random() < 0.6:
        return Shape(((0, 0), (w, 0), (w, p - b), (w - a, p), (0, p)))
    x, y = w * 0.5, p * 0.5
    return Shape(((0, 0), (w, 0), (w, y), (x, y), (x, p - b / 2), (x - a / 2, p), (0, p)))


def slanted(rng: Random) -> Shape:
    """One edge at a slant: the front, or a side."""
    w, p = _sides(rng)
    if rng.random() < 0.6:
        return Shape(((0, 0), (w, 0), (w, p * _between(rng, 0.45, 0.95)), (0, p)))
    return Shape(((0, 0), (w, 0), (w * _between(rng, 0.6, 1.3), p), (0, p)))


def octagon_part(rng: Random) -> Shape:
    """Half an octagon on the wall, or a hexagon that widens into the yard."""
    w, p = _between(rng, 9, 24), _between(rng, 7, 16)
    c = min(w * 0.3, p * 0.6)
    if rng.random() < 0.5:
        return Shape(((0, 0), (w, 0), (w, p - c), (w - c, p), (c, p), (0, p - c)))
    return Shape(((0, 0), (w, 0), (w + c, p / 2), (w, p), (0, p), (-c, p / 2)))


def star(rng: Random) -> Shape:
    """Five to nine corners round a centre, one edge on the wall line or none."""
    count, reach = rng.randint(5, 9), _between(rng, 7, 18)
    if rng.random() < 0.5:
        base = reach * _between(rng, 0.5, 0.9)
        turns = sorted(_between(rng, 0.06, 0.94) for _ in range(count - 2))
        front = [
            (r * math.cos(math.pi * t), r * math.sin(math.pi * t))
            for t, r in ((t, reach * _between(rng, 0.42, 1.0)) for t in turns)
        ]
        return Shape(((-base, 0), (base, 0), *front))
    turns = [(k + _between(rng, -0.3, 0.3)) / count for k in range(count)]
    round_it = [
        (r * math.cos(2 * math.pi * t), reach + 1 + r * math.sin(2 * math.pi * t))
        for t, r in ((t, reach * _between(rng, 0.42, 1.0)) for t in turns)
    ]
    return Shape(tuple(round_it), at_house=False)


def turned(rng: Random) -> Shape:
    """A rectangle or an L on its own in the yard, turned to any angle."""
    shape, turn = rng.choice((rectangle, l_shape))(rng), math.radians(_between(rng, 3, 87))
    away = 45.0
    corners = tuple(
        (x * math.cos(turn) - y * math.sin(turn), away + x * math.sin(turn) + y * math.cos(turn))
        for x, y in shape.corners
    )
    return Shape(corners, at_house=False)


KINDS: dict[str, Callable[[Random], Shape]] = {
    made.__name__: made
    for made in (
        rectangle, l_shape, t_shape, u_shape, steps, z_shape, notch_at_house, bay_in_house, wrap, inner_corner,
        clipped_45, clipped, slanted, octagon_part, star, turned,
    )
}  # fmt: skip

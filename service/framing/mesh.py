"""Measured ground: Delaunay triangles between the points, whatever their order, and the edge of them all."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from shapely import MultiLineString, MultiPoint, delaunay_triangles, get_coordinates, get_parts

from service.contract.plan import Point

Measured = tuple[float, float, float]  # x ft, y ft, height in
SLIVER_FT = 1e-6  # a thinner triangle is a rounding of points in one line
NEAR_FT = 1e-9  # rounding: this far outside a triangle is still on it
TIE = 1e-6  # sine of what two opposite angles are off 180 degrees where four points lie on one circle
LOWER_IN = 1e-6
FAR_FT = 2000.0  # beyond every coordinate a spec may hold


@dataclass(frozen=True)
class Facet:
    """One triangle, counter-clockwise: its plane's rise along x and y, in per ft, and height at the origin, in."""

    corners: tuple[Measured, Measured, Measured]
    rise_x: float
    rise_y: float
    base_in: float

    @property
    def fall_in_per_ft(self) -> float:
        """How steep it is."""
        return math.hypot(self.rise_x, self.rise_y)


@dataclass(frozen=True)
class Mesh:
    """Triangles between measured points. ``rim`` is the edge of them all, the ground on its left."""

    points: tuple[Measured, ...]
    facets: tuple[Facet, ...]
    rim: tuple[tuple[Measured, Measured], ...]


Apexes = Mapping[tuple[Measured, Measured], Measured]


def mesh_of(points: Iterable[Measured]) -> Mesh:
    """Return the triangles between points, at one height each.

    Four points on one circle can be joined in two ways; the lower ground is taken (convention of this service:
    posts come out longer and guards sooner), so that neither the order of the points, nor a moved or mirrored
    frame changes the ground.

    Raises:
        ValueError: the points lie in one line; a sound spec has none such.

    >>> len(mesh_of([(0, 0, 0), (8, 0, 0), (8, 8, -4), (0, 8, 0)]).facets)
    2
    """
    given = tuple(sorted(set(points)))
    apexes = _settled(_delaunay(given))
    facets = tuple(_facet(a, b, c) for (a, b), c in sorted(apexes.items()) if a == min(a, b, c))
    if not facets:
        raise ValueError("the measured points lie in one line")
    rim = tuple(sorted(edge for edge in apexes if (edge[1], edge[0]) not in apexes))
    return Mesh(given, facets, rim)


def _delaunay(points: tuple[Measured, ...]) -> dict[tuple[Measured, Measured], Measured]:
    """The corner to the left of every edge, in each triangle's own sense."""
    measured = {(x, y): (x, y, height) for x, y, height in points}
    apexes: dict[tuple[Measured, Measured], Measured] = {}
    for triangle in get_parts(delaunay_triangles(MultiPoint(list(measured)))):
        a, b, c = (measured[(float(x), float(y))] for x, y in get_coordinates(triangle)[:3])
        if _cross(a, b, c) < 0:
            b, c = c, b
        longest = max(math.dist(p[:2], q[:2]) for p, q in ((a, b), (b, c), (c, a)))
        if _cross(a, b, c) > SLIVER_FT * longest:
            apexes |= {(a, b): c, (b, c): a, (c, a): b}
    return apexes


def _settled(apexes: dict[tuple[Measured, Measured], Measured]) -> Apexes:
    """The triangles with every tie decided for the lower ground. Each turn lowers it, so that the turns end."""
    waiting = sorted(apexes)
    while waiting:
        a, b = waiting.pop()
        c, d = apexes.get((a, b)), apexes.get((b, a))
        if c is None or d is None or not (_tied(a, b, c, d) and _lower(a, b, c, d)):
            continue
        del apexes[a, b], apexes[b, a]
        apexes |= {(a, d): c, (d, c): a, (c, a): d, (d, b): c, (b, c): d, (c, d): b}
        waiting += [(a, d), (d, b), (b, c), (c, a)]
    return apexes


def _cross(a: Measured, b: Measured, c: Measured) -> float:
    """Twice the area of a triangle, above 0 where it runs counter-clockwise."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _angle(at: Measured, a: Measured, b: Measured) -> float:
    dot = (a[0] - at[0]) * (b[0] - at[0]) + (a[1] - at[1]) * (b[1] - at[1])
    return math.atan2(abs(_cross(at, a, b)), dot)


def _tied(a: Measured, b: Measured, c: Measured, d: Measured) -> bool:
    """Whether the corners across the edge a to b lie with it on one circle."""
    return abs(_angle(c, a, b) + _angle(d, a, b) - math.pi) <= TIE


def _lower(a: Measured, b: Measured, c: Measured, d: Measured) -> bool:
    """Whether the ground is lower with c joined to d than with a joined to b, which it can be where they cross."""
    over = (b[0] - a[0]) * (d[1] - c[1]) - (b[1] - a[1]) * (d[0] - c[0])
    along, across = _cross(a, c, d) / over, _cross(a, c, b) / over
    joined = a[2] + along * (b[2] - a[2])
    return TIE < along < 1 - TIE and c[2] + across * (d[2] - c[2]) < joined - LOWER_IN


def _facet(a: Measured, b: Measured, c: Measured) -> Facet:
    twice = _cross(a, b, c)
    up_b, up_c = b[2] - a[2], c[2] - a[2]
    rise_x = (up_b * (c[1] - a[1]) - up_c * (b[1] - a[1])) / twice
    rise_y = (up_c * (b[0] - a[0]) - up_b * (c[0] - a[0])) / twice
    return Facet((a, b, c), rise_x, rise_y, a[2] - rise_x * a[0] - rise_y * a[1])


def height_in(mesh: Mesh) -> Callable[[float, float], float]:
    """Return the ground height in inches over x and y in feet; outside, that of the nearest place of the rim.

    The triangles are sorted once into strips between the points' x, so that a call looks at few of them.

    >>> height = height_in(mesh_of([(0, 0, 0), (8, 0, 0), (0, 8, -4)]))
    >>> height(2, 2), height(-3, 4)
    (-1.0, -2.0)
    """
    xs = sorted({x for x, _, _ in mesh.points})
    plates = [(_plate(facet), *_reach(facet)) for facet in mesh.facets]
    strips = [
        tuple(plate for plate, least, most in plates if least < right and most > left)
        for left, right in pairwise(xs)
    ]
    outside, last = _outside(mesh), len(strips) - 1

    def height(x: float, y: float) -> float:
        strip = strips[min(max(bisect_right(xs, x) - 1, 0), last)]
        for ax, ay, a, bx, by, b, cx, cy, c, rise_x, rise_y, base in strip:
            if (
                ax * x + ay * y + a >= -NEAR_FT
                and bx * x + by * y + b >= -NEAR_FT
                and cx * x + cy * y + c >= -NEAR_FT
            ):
                return rise_x * x + rise_y * y + base
        return outside(x, y)

    return height


def _reach(facet: Facet) -> tuple[float, float]:
    xs = [x for x, _, _ in facet.corners]
    return min(xs), max(xs)


def _plate(facet: Facet) -> tuple[float, ...]:
    """For each side what gives the feet a place lies inside it, then what gives the height."""
    a, b, c = facet.corners
    insides = (part for side in ((a, b), (b, c), (c, a)) for part in _inside(*side))
    return (*insides, facet.rise_x, facet.rise_y, facet.base_in)


def _inside(a: Measured, b: Measured) -> tuple[float, float, float]:
    out_x, out_y = _outward(a, b)
    return -out_x, -out_y, out_x * a[0] + out_y * a[1]


def _outward(a: Measured, b: Measured) -> Point:
    """The unit vector to the right of an edge."""
    length = math.dist(a[:2], b[:2])
    return (b[1] - a[1]) / length, (a[0] - b[0]) / length


def _outside(mesh: Mesh) -> Callable[[float, float], float]:
    """The height at the nearest place of the rim; only edges that a place lies outside of can hold it."""
    sides = [(*_inside(*edge), *_rail(*edge)) for edge in mesh.rim]

    def height(x: float, y: float) -> float:
        nearest, found = math.inf, 0.0
        for inside_x, inside_y, inside, ax, ay, dx, dy, square, low, rise in sides:
            if inside_x * x + inside_y * y + inside >= 0.0:
                continue
            part = ((x - ax) * dx + (y - ay) * dy) / square
            part = 0.0 if part < 0.0 else 1.0 if part > 1.0 else part
            away = (x - ax - part * dx) ** 2 + (y - ay - part * dy) ** 2
            if away < nearest:
                nearest, found = away, low + part * rise
        return found

    return height


def _rail(a: Measured, b: Measured) -> tuple[float, ...]:
    dx, dy = b[0] - a[0], b[1] - a[1]
    return a[0], a[1], dx, dy, dx * dx + dy * dy, a[2], b[2] - a[2]


def net_of(mesh: Mesh) -> MultiLineString:
    """Return the lines the slope of the ground changes at, ft: edges of triangles, and rays out from the rim.

    Between the two rays that leave an end of the rim at right angles to its two edges the ground is level.

    >>> len(net_of(mesh_of([(0, 0, 0), (8, 0, 0), (0, 8, -4)])).geoms)
    9
    """
    edges = {
        tuple(sorted((p[:2], q[:2]))) for f in mesh.facets for p, q in pairwise((*f.corners, f.corners[0]))
    }
    rays = (ray for edge in mesh.rim for ray in _rays(*edge))
    return MultiLineString([*sorted(edges), *rays])


def _rays(a: Measured, b: Measured) -> Iterator[tuple[Point, Point]]:
    out_x, out_y = _outward(a, b)
    for x, y, _ in (a, b):
        yield (x, y), (x + FAR_FT * out_x, y + FAR_FT * out_y)

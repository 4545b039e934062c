"""Which plane a section cuts, and what of the deck it meets or sees beyond. Everything is where the report says."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeVar

from service.contract.plan import Point, Segment, edges
from service.contract.report import DesignReport
from service.contract.report_frame import (
    Beam,
    Footing,
    Guard,
    GuardPost,
    JoistLine,
    Joists,
    Ledger,
    Level,
    Post,
    Rim,
    Stair,
)
from service.contract.spec_level import LevelSpec
from service.drawings.plans.plan import Shown

_SAME_FT = 0.02
# beside a corner of an outline, not through it
_ASIDE_FT = 0.001
_BESIDE_FT = 0.5
Place = TypeVar("Place", Post, Footing, GuardPost)


class Met(NamedTuple):
    """A place along the plane where a member crosses it, ft, and how much longer it is cut than it is wide."""

    y_ft: float
    slant: float


class CutBeam(NamedTuple):
    """A beam that is cut."""

    beam: Beam
    met: Met


class CutLevel(NamedTuple):
    """What of one level is met: floor from place to place, the joist line beside the plane, members across it.

    Of a guard that is cut the post nearest to the plane is given. ``crossing`` are the joists that run across the
    plane and are cut by it; ``along`` the beams that run with it, seen beyond, and ``beyond`` such guards.
    """

    spec: LevelSpec
    level: Level
    floor_ft: tuple[tuple[float, float], ...]
    joist: tuple[Joists, JoistLine] | None
    crossing: tuple[tuple[Joists, tuple[float, ...]], ...]
    ledgers: tuple[tuple[Ledger, float], ...]
    rims: tuple[tuple[Rim, Met], ...]
    beams: tuple[CutBeam, ...]
    along: tuple[Beam, ...]
    guards: tuple[tuple[Guard, float, GuardPost | None], ...]
    beyond: tuple[Guard, ...]


class Cut(NamedTuple):
    """A section: the plane x = ``x_ft``, looking along x with the house on the left."""

    x_ft: float
    at_joist: bool
    levels: tuple[CutLevel, ...]
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    stairs: tuple[Stair, ...]


def cut_of(part: Shown) -> Cut:
    """Return the section through the middle of the main level: the one with most floor of those at the house."""
    main = _main(part.levels)
    joist = _middle_line(main)
    xs = [x for x, _ in main.outline_ft]
    x = joist.x_ft if joist is not None and joist.x_ft is not None else (min(xs) + max(xs)) / 2
    specs = {spec.id: spec for spec in part.specs}
    levels = tuple(
        sorted(
            (found for level in part.levels if (found := _cut_level(specs[level.id], level, x)).floor_ft),
            key=lambda one: one.floor_ft[0],
        )
    )
    posts, footings = _stands(part, levels, x)
    ids = {one.level.id for one in levels}
    stairs = tuple(one for one in part.stairs if one.level in ids and _seen(one, x))
    return Cut(x, joist is not None, levels, posts, footings, stairs)


def _main(levels: Sequence[Level]) -> Level:
    return max(levels, key=lambda one: (bool(one.house_lines_ft), one.area_sqft))


def _middle_line(level: Level) -> JoistLine | None:
    """The joist away from the house nearest the middle of its group; of several groups the one with most joists."""
    away = [one for one in level.joists if one.direction == "away_from_house" and one.lines]
    if not away:
        return None
    lines = max(away, key=lambda one: one.count).lines
    places = [line.x_ft or 0.0 for line in lines]
    middle = (min(places) + max(places)) / 2
    return min(lines, key=lambda line: abs((line.x_ft or 0.0) - middle))


def crossing(side: Segment, x_ft: float) -> Met | None:
    """Return where a line crosses the plane; null where it does not, or runs along it.

    >>> crossing(((0, 2), (4, 2)), 1.0), crossing(((0, 0), (4, 4)), 5.0)
    (Met(y_ft=2.0, slant=1.0), None)
    """
    (ax, ay), (bx, by) = side
    if abs(bx - ax) < _SAME_FT or not min(ax, bx) - _ASIDE_FT <= x_ft <= max(ax, bx) + _ASIDE_FT:
        return None
    return Met(ay + (x_ft - ax) / (bx - ax) * (by - ay), math.dist(*side) / abs(bx - ax))


def _cut_level(spec: LevelSpec, level: Level, x_ft: float) -> CutLevel:
    floors = floor_of(level.outline_ft, x_ft)

    def met(start: Point, end: Point) -> Met | None:
        return crossing((start, end), x_ft)

    return CutLevel(
        spec,
        level,
        floors,
        _beside(level, x_ft),
        tuple((one, ys) for one in level.joists if (ys := tuple(_crossed(one, x_ft)))),
        tuple((one, at.y_ft) for one in level.ledgers if (at := met(one.start_ft, one.end_ft))),
        tuple((one, at) for one in level.rims if (at := met(one.start_ft, one.end_ft))),
        tuple(CutBeam(one, at) for one in level.beams if (at := met(one.start_ft, one.end_ft))),
        tuple(_along(level, x_ft)),
        tuple(
            (one, at.y_ft, next(iter(_nearest(one.posts, x_ft)), None))
            for one in level.guards
            if (at := met(one.start_ft, one.end_ft))
        ),
        tuple(_guards_beyond(level, floors, x_ft)),
    )


def floor_of(outline_ft: Sequence[Point], x_ft: float) -> tuple[tuple[float, float], ...]:
    """Return from where to where a floor lies on the plane, ft.

    >>> floor_of(((0, 0), (4, 0), (4, 3), (0, 3)), 2)
    ((0.0, 3.0),)
    """
    ys = sorted(
        at.y_ft
        for side in edges(tuple(outline_ft))
        if (at := crossing(side, x_ft + _ASIDE_FT / 2)) is not None
    )
    return tuple((a, b) for a, b in zip(ys[::2], ys[1::2], strict=False) if b - a > _SAME_FT)


def _beside(level: Level, x_ft: float) -> tuple[Joists, JoistLine] | None:
    """The joist away from the house nearest to the plane, where one stands within its spacing."""
    near = [
        (abs(line.x_ft - x_ft), number, joists, line)
        for number, joists in enumerate(level.joists)
        for line in joists.lines
        if line.x_ft is not None and abs(line.x_ft - x_ft) <= joists.spacing_in / 12
    ]
    if not near:
        return None
    _, _, joists, line = min(near, key=lambda one: one[:2])
    return joists, line


def _crossed(joists: Joists, x_ft: float) -> Iterator[float]:
    for line in joists.lines:
        if line.y_ft is not None and line.x_start_ft is not None and line.x_end_ft is not None:
            low, high = sorted((line.x_start_ft, line.x_end_ft))
            if low <= x_ft <= high:
                yield line.y_ft


def _runs_along(start: Point, end: Point) -> bool:
    return abs(start[0] - end[0]) < _SAME_FT


def _along(level: Level, x_ft: float) -> Iterator[Beam]:
    """The nearest beam beyond the plane of those that run with it, under joists that are cut."""
    beyond = [one for one in level.beams if _runs_along(one.start_ft, one.end_ft) and one.start_ft[0] > x_ft]
    if beyond and any(True for joists in level.joists for _ in _crossed(joists, x_ft)):
        yield min(beyond, key=lambda one: one.start_ft[0])


def _guards_beyond(level: Level, floors: Sequence[tuple[float, float]], x_ft: float) -> Iterator[Guard]:
    """Guards beyond the plane that run with it, beside floor that is cut; not those of another wing."""
    for one in level.guards:
        if floors and _runs_along(one.start_ft, one.end_ft) and one.start_ft[0] > x_ft:
            low, high = sorted((one.start_ft[1], one.end_ft[1]))
            if low > floors[0][0] - _BESIDE_FT and high < floors[-1][1] + _BESIDE_FT:
                yield one


def _stands(
    part: Shown, levels: Iterable[CutLevel], x_ft: float
) -> tuple[tuple[Post, ...], tuple[Footing, ...]]:
    """The posts and footings under what is cut, of each beam those nearest to the plane."""
    posts: list[Post] = []
    footings: list[Footing] = []
    for level in levels:
        for one in level.beams:
            posts += _nearest([post for post in part.posts if post.beam == one.beam.id], x_ft)
            footings += _nearest(
                [foot for foot in part.footings if foot.serves == one.beam.id and not foot.post], x_ft
            )
        for beam in level.along:
            posts += [post for post in part.posts if post.beam == beam.id]
    standing = {post.id for post in posts}
    under = [foot for foot in part.footings if foot.post in standing]
    return tuple(posts), tuple({foot.id: foot for foot in (*under, *footings)}.values())


def _nearest(places: Sequence[Place], x_ft: float) -> list[Place]:
    """The one nearest to the plane, beyond it rather than before it."""
    return [min(places, key=lambda one: (abs(one.x_ft - x_ft), one.x_ft < x_ft))] if places else []


def _seen(stair: Stair, x_ft: float) -> bool:
    """Whether a stair goes down away from the house or towards it, and not all of it lies before the plane."""
    flights = [one.corners_ft for one in stair.flights if len(one.corners_ft) == 4]
    downhill = [
        abs(corners[3][1] - corners[0][1]) > abs(corners[3][0] - corners[0][0]) for corners in flights
    ]
    return bool(downhill) and all(downhill) and max(x for x, _ in stair.footprint_ft) > x_ft


def ground_line(report: DesignReport, cut: Cut, ends_ft: tuple[float, float]) -> tuple[Point, ...]:
    """Return the ground along the plane, places in ft with heights in inches, from one end to the other.

    Where the caller gave falls it is theirs; where heights were measured it is straight between what the report says
    of the footings shown, of the stairs' feet, and of the frame's origin.
    """
    site = report.resolved_spec.site
    if site.grade_points is None:
        fall_x, fall_y = site.grade_fall_x_in_per_ft, site.grade_fall_y_in_per_ft
        return tuple((y, -fall_x * cut.x_ft - fall_y * y) for y in ends_ft)
    known = {0.0: report.ground.grade_at_house_in}
    known |= {one.y_ft: one.grade_height_in for one in cut.footings}
    known |= {one.foot_ft[1]: one.foot_height_in for one in cut.stairs if one.landings}
    told = tuple(sorted(known.items()))
    inner = [place for place in told if ends_ft[0] < place[0] < ends_ft[1]]
    first, last = ((y, height_at(told, y)) for y in ends_ft)
    return (first, *inner, last)


def height_at(ground: Sequence[Point], y_ft: float) -> float:
    """Return the height of the ground at a place, in; beyond its ends that of the end.

    >>> height_at(((0, 0), (4, -8)), 1), height_at(((0, 0), (4, -8)), 9)
    (-2.0, -8)
    """
    for (ay, az), (by, bz) in pairwise(ground):
        if ay <= y_ft <= by and by > ay:
            return az + (y_ft - ay) / (by - ay) * (bz - az)
    return ground[0][1] if y_ft < ground[0][0] else ground[-1][1]

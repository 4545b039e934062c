"""Every frame of a rectangular deck, by plain nested loops over what a search may choose.

It is written from the statement of the space and calls nothing of the search. In inches: ``u`` runs across the joists
from 0 to ``across_in``, ``v`` along them from 0 to ``along_in``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property
from itertools import islice, pairwise, product
from typing import Any, Literal

from service.choice.level.case import Case
from service.choice.level.limits import Limits
from service.choice.level.score import beam_limits
from service.framing.beam_lines import ply_splices
from service.framing.beam_row import BeamRow, RowEnd
from service.framing.layout import Arrangement, Layout
from service.framing.region import Border, Region, region_of
from service.sizing.beams import overhang_limit_in

CANTILEVERS_IN = (12.0, 18.0, 24.0, 30.0, 36.0, 42.0, 48.0)
HOUSE_OFFSETS_IN = (12.0, 18.0, 24.0, 30.0, 36.0)
OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
DEPTHS_IN = {6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}
MOST_BETWEEN = 4
NEAREST_IN = 18.0  # two supports of a joist stand at least so far apart
GAP_IN, RIM_IN, LEDGER_IN, CLEAR_IN = 1.0, 1.5, 1.5, 18.0
MOST_POSTS = 25
NEAR = 1e-6
Posts = tuple[float, ...]


def depth_in(size: str) -> float:
    """The dressed depth of a nominal size."""
    return DEPTHS_IN[int(size.split("x")[1])]


@dataclass(frozen=True)
class Place:
    """A rectangle as its joists see it: what it meets where joists begin, and on their left."""

    across_in: float
    along_in: float
    low: Literal["ledger", "wall", "open"]
    left: Literal["wall", "open"]

    @property
    def starts_in(self) -> float:
        """Where the frame begins across the joists: clear of a wall."""
        return GAP_IN if self.left == "wall" else 0.0

    @property
    def face_in(self) -> float:
        """Where it begins along them."""
        return GAP_IN if self.low == "wall" else 0.0


@dataclass(frozen=True)
class Rows:
    """Where beams stand along the joists, from the house out; what joists do there."""

    at_in: tuple[float, ...]
    placement: Literal["dropped", "flush"]
    width_in: float


@dataclass(frozen=True)
class Frame:
    """One frame of the space; every row stands on ``posts``, of which the first is the row at the house."""

    place: Place
    rows: Rows
    joist: str
    spacing_in: float
    beam: str
    plies: int
    posts: tuple[Posts, ...]
    layout: Layout

    @property
    def interior(self) -> int:
        """How many rows joists lie on both sides of."""
        ends = 1 if self.place.low == "ledger" else 2
        return len(self.rows.at_in) - ends

    @property
    def footings(self) -> int:
        """How many posts or saddles there are."""
        return sum(map(len, self.posts))

    @cached_property
    def name(self) -> tuple[Any, ...]:
        """What tells it from any other frame."""
        rows, sizes = self.rows, (self.joist, self.spacing_in, self.beam, self.plies)
        return (*sizes, rows.placement, rows.at_in, self.posts)


def place_of(case: Case, kind: str, direction: str) -> Place:
    """Return the rectangle of a case."""
    level = case.level
    assert level.width_ft is not None
    assert level.projection_ft is not None
    wide, deep = 12.0 * level.width_ft, 12.0 * level.projection_ft
    house = case.spec.house.wall != "none"
    if direction == "away_from_house":
        return Place(wide, deep, "ledger" if kind == "ledger" else "wall" if house else "open", "open")
    return Place(deep, wide, "open", "wall" if house else "open")


def region(case: Case, place: Place, direction: Literal["away_from_house", "along_house"]) -> Region:
    """Return the same rectangle as the checks need it."""
    level = case.level
    wide, deep = float(level.width_ft or 0), float(level.projection_ft or 0)
    corners = [(0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep)]
    house = place.low if direction == "away_from_house" else place.left
    ways = (house, "open", "open", "open")
    return region_of([Border(n, corners[n], corners[(n + 1) % 4], ways[n]) for n in range(4)], direction)


def _row_places(place: Place, placement: str, width_in: float) -> Iterator[Rows]:
    """Yield where rows may stand: end rows by cantilever and by offset from the house, the others evenly between."""
    flush = placement == "flush"
    on_beam = width_in / 2 if flush or width_in >= 3.0 else width_in / 2 + RIM_IN
    ends = (on_beam,) if flush else (on_beam, *CANTILEVERS_IN)
    if flush and place.low == "wall":
        return
    lows: tuple[float | None, ...] = {"ledger": (None,), "wall": HOUSE_OFFSETS_IN, "open": ends}[place.low]
    seen = set[tuple[float, ...]]()
    for low, high in product(lows, ends):
        first = LEDGER_IN if low is None else place.face_in + low
        last = place.along_in - high
        if last - first < NEAREST_IN:
            continue
        for between in range(MOST_BETWEEN + 1 if not flush else 1):
            inner = [_sixteenth(first + (last - first) * i / (between + 1)) for i in range(1, between + 1)]
            at = (*(() if low is None else (first,)), *inner, last)
            apart = [b - a for a, b in zip((first, *inner), (*inner, last), strict=True)]
            if at not in seen and min(apart) >= (NEAREST_IN if between else 0):
                seen.add(at)
                yield Rows(at, "flush" if flush else "dropped", width_in)


def _sixteenth(at_in: float) -> float:
    return math.floor(16 * at_in + 0.5 + NEAR) / 16


def _ends(place: Place, at_in: float, region_: Region) -> tuple[RowEnd, RowEnd]:
    """A row's end within 18 in of the house keeps its post farther in."""
    near_wall = [
        region_.from_house_in(u, at_in) < CLEAR_IN if region_.house_walls else False
        for u in (place.starts_in, place.across_in)
    ]
    return ("wall" if near_wall[0] else "free", "wall" if near_wall[1] else "free")


def post_places(length_in: float, count: int, near_in: float, far_in: float) -> Posts:
    """Return posts at even spans, those between the first and the last at whole inches from the beam's start."""
    span = (length_in - near_in - far_in) / (count - 1)
    between = [float(math.floor(near_in + span * i + 0.5 + NEAR)) for i in range(1, count - 1)]
    return (near_in, *between, length_in - far_in)


def _stands(case: Case, length_in: float, xs: Posts, reach_in: float, plies: int, board_in: float) -> bool:
    spans = [b - a for a, b in pairwise(xs)]
    if min(spans) <= 0 or max(spans) > reach_in + NEAR:
        return False
    for over, beside in ((xs[0], spans[0]), (length_in - xs[-1], spans[-1])):
        if over > overhang_limit_in(case.criteria, beside) + NEAR:
            return False
    return length_in <= board_in or _joined(length_in, xs, plies, board_in) is not None


# Only looked up once for each set of posts: it is slow where there are many.
_joined = cache(ply_splices)


def _posts(case: Case, row: BeamRow, over_in: float, reach_in: float, beam: tuple[str, int]) -> list[Posts]:
    """Return the fewest posts that stand, and up to two more; where the end is at the house farther from it first."""
    length, (size, plies) = row.length_in, beam
    board_in = case.boards.beam(size)
    for least_in in (CLEAR_IN, 0.0) if "wall" in row.ends else (0.0,):
        near, far = (max(over_in, least_in) if end == "wall" else over_in for end in row.ends)
        if length - near - far > 0:
            counted = (post_places(length, count, near, far) for count in range(2, MOST_POSTS + 1))
            standing = (xs for xs in counted if _stands(case, length, xs, reach_in, plies, board_in))
            found = list(islice(standing, 3))
            if found:
                return found
    return []


def _ways(case: Case, draft: Layout, limits: Limits, post: str) -> Iterator[tuple[Posts, ...]]:
    """Yield the posts of all rows; rows whose ends are alike stand on posts that line up."""
    allowed = [one.value_in for one in beam_limits(draft, case.ask(draft.region), limits)]
    if any(one is None for one in allowed):
        return
    reach = {
        row.ends: min(
            a or 0.0 for other, a in zip(draft.rows, allowed, strict=True) if other.ends == row.ends
        )
        for row in draft.rows
    }
    flush_end = float(math.ceil((int(post[0]) - 0.5) / 2))
    seen = set[tuple[Posts, ...]]()
    for over in (flush_end, *OVERHANGS_IN):
        beam = (draft.beam_size, draft.beam_plies)
        found = [_posts(case, row, over, reach[row.ends], beam) for row in draft.rows]
        if not all(found):
            continue
        for more in range(3):
            if any(len(one) > more for one in found):
                posts = tuple(one[min(more, len(one) - 1)] for one in found)
                if posts not in seen:
                    seen.add(posts)
                    yield posts


def frames(case: Case, kind: str, direction: Literal["away_from_house", "along_house"]) -> Iterator[Frame]:
    """Yield every frame of the stated space of one way of support and one direction of joists."""
    space, limits = case.space, Limits(case.criteria)
    place = place_of(case, kind, direction)
    ground = region(case, place, direction)
    for placement, plies in product(space.placements, space.plies):
        for beam in dict.fromkeys(b for j in space.joist_sizes for b in space.beams_for(j)):
            if beam[0] != "2" and plies > 1:
                continue
            width = 1.5 * plies if beam[0] == "2" else float(beam[0]) - 0.5
            for rows in _row_places(place, placement, width):
                for board_in in sorted({case.boards.joist(joist) for joist in space.joist_sizes}):
                    laid = _arrangement(place, ground, rows, board_in)
                    if laid is not None:
                        yield from _of_rows(case, place, laid, rows, (beam, plies), limits)


def _arrangement(place: Place, ground: Region, rows: Rows, board_in: float) -> Arrangement | None:
    made = []
    for number, at in enumerate(rows.at_in):
        start, end = (place.starts_in, at), (place.across_in, at)
        low = number == 0 and place.low != "ledger"
        high = number == len(rows.at_in) - 1
        made.append(BeamRow(start, end, (0,), _ends(place, at, ground), low=low, high=high))
    laid = Arrangement(ground, tuple(made), rows.width_in, rows.placement, board_in)
    lapped = 3.0 if laid.lapped else 0.0
    return laid if laid.stands and laid.longest_piece_in + lapped <= board_in else None


def _of_rows(
    case: Case, place: Place, laid: Arrangement, rows: Rows, beams: tuple[str, int], limits: Limits
) -> Iterator[Frame]:
    beam, plies = beams
    space = case.space
    post = space.post_sizes[0]
    draft = Layout(laid, space.joist_sizes[0], space.spacings_in[0], laid.rows, beam, plies, post)
    ways = list(_ways(case, draft, limits, post))
    for joist, spacing, posts in product(space.joist_sizes, space.spacings_in, ways):
        if beam not in space.beams_for(joist) or case.boards.joist(joist) != laid.stock_in:
            continue
        if rows.placement == "flush" and depth_in(beam) < depth_in(joist):
            continue
        on = tuple(replace(row, posts_in=xs) for row, xs in zip(laid.rows, posts, strict=True))
        layout = Layout(laid, joist, spacing, on, beam, plies, post)
        yield Frame(place, rows, joist, spacing, beam, plies, posts, layout)


def on_post(frame: Frame, size: str) -> Frame:
    """Return the frame on posts of another size."""
    return replace(frame, layout=replace(frame.layout, post_size=size))

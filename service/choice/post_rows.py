"""Rows of beam put on posts: as few as their spans allow, clear of corners and walls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.choice.ask import Ask
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.beam_row import BeamRow, alike
from service.framing.layout import Layout
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import post_side_in

OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
# Overhangs where a row meets another, so that two footings have room, and where it ends at a wall of the house
# (conventions of this service); the later ones only where spans are too short for the first, and then the answer
# says what stands too near.
END_OVERHANGS_IN = ((18.0, 18.0), (15.0, 18.0), (12.0, 18.0), (0.0, 18.0), (12.0, 0.0), (0.0, 0.0))
MOST_POSTS = 25
SAME_IN = 1e-6
Posts = tuple[float, ...]


def with_posts(plans: PostPlans, draft: Layout, allowed: Sequence[float]) -> list[Layout]:
    """The draft on the fewest posts it can stand on, once for each overhang that needs no more."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    overhangs = (flush_end, *OVERHANGS_IN)
    groups = alike(draft.rows)
    found = [_ways_of(plans, draft, group, allowed, overhangs) for group in groups]
    if not all(found):
        return []
    rows = [placed for over in overhangs if (placed := _placed(plans, draft.rows, groups, found, over))]
    fewest = min((post_count(placed) for placed in rows), default=0)
    return [replace(draft, rows=placed) for placed in rows if post_count(placed) == fewest]


def _ways_of(
    plans: PostPlans,
    draft: Layout,
    group: tuple[int, ...],
    allowed: Sequence[float],
    overhangs: Sequence[float],
) -> dict[float, Posts]:
    """Posts of rows that line up, by overhang."""
    row, reach = draft.rows[group[0]], min(allowed[n] for n in group)
    found = {over: plans.at(draft.beam_plies, row, reach, over) for over in overhangs}
    return {over: posts for over, posts in found.items() if posts is not None}


def post_count(rows: Sequence[BeamRow]) -> int:
    """Return how many posts rows stand on."""
    return sum(len(row.posts_in) for row in rows)


def _placed(
    plans: PostPlans,
    rows: Sequence[BeamRow],
    groups: Sequence[tuple[int, ...]],
    found: Sequence[dict[float, Posts]],
    overhang_in: float,
) -> tuple[BeamRow, ...] | None:
    """Rows on posts with one overhang; one of several that can't have it takes the one that needs fewest posts."""
    placed: dict[int, BeamRow] = {}
    for group, ways in zip(groups, found, strict=True):
        posts = ways.get(overhang_in)
        if posts is None:
            if len(groups) == 1:
                return None
            posts = min(ways.values(), key=len)
        placed |= {n: plans.on_posts(rows[n], posts) for n in group}
    return tuple(placed[n] for n in range(len(rows)))


class PostPlans:
    """The ways a row of a length may stand on posts, by rising count, each list worked out once."""

    def __init__(self, ask: Ask) -> None:
        self.ask = ask
        self._known: dict[tuple[float, float, float], list[tuple[float, Posts]]] = {}
        self._splices: dict[tuple[int, float, Posts], bool] = {}
        self._rows: dict[tuple[BeamRow, Posts], BeamRow] = {}

    def on_posts(self, row: BeamRow, posts: Posts) -> BeamRow:
        """Return a row on its posts: one value for all frames that have it, so that its spans are had once."""
        key = (row, posts)
        if key not in self._rows:
            self._rows[key] = replace(row, posts_in=posts)
        return self._rows[key]

    def at(self, plies: int, row: BeamRow, allowed_in: float, overhang_in: float) -> Posts | None:
        """Return posts at one overhang; where a row meets another or a wall, with as much more as its spans allow."""
        for joint, wall in END_OVERHANGS_IN if set(row.ends) != {"free"} else END_OVERHANGS_IN[:1]:
            least = {"free": 0.0, "joint": joint, "wall": wall}
            near, far = (max(overhang_in, least[end]) for end in row.ends)
            ways = self._ways(row.length_in, near, far)
            reaching = (xs for longest, xs in ways if longest <= allowed_in + SAME_IN)
            found = next((xs for xs in reaching if self._joined(plies, row.length_in, xs)), None)
            if found is not None:
                return found
        return None

    def _ways(self, length_in: float, near: float, far: float) -> list[tuple[float, Posts]]:
        key = (length_in, near, far)
        if key not in self._known:
            self._known[key] = list(self._worked(length_in, near, far))
        return self._known[key]

    def _worked(self, length_in: float, near: float, far: float) -> Iterator[tuple[float, Posts]]:
        if length_in - near - far <= 0:
            return
        for count in range(2, MOST_POSTS + 1):
            xs = post_positions(length_in, count, near, far)
            between = spans(xs)
            if min(between) <= 0 or any(
                over > overhang_limit_in(self.ask.criteria, span) + SAME_IN
                for over, span in ((near, between[0]), (far, between[-1]))
            ):
                return
            yield max(between), xs

    def _joined(self, plies: int, length_in: float, xs: Posts) -> bool:
        """Whether boards can be joined over these posts."""
        if length_in <= self.ask.stock_in:
            return True
        key = (plies, length_in, xs)
        if key not in self._splices:
            self._splices[key] = ply_splices(length_in, xs, plies, self.ask.stock_in) is not None
        return self._splices[key]

"""Rows of beam put on posts: as few as their spans allow, clear of corners and walls."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, pairwise

from service.choice.level.ask import Ask
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.beam_row import BeamRow
from service.framing.layout import Layout
from service.framing.statics import broken_reactions_lb
from service.sizing.beams import overhang_limit_in
from service.sizing.lumber import post_side_in

OVERHANGS_IN = (12.0, 18.0, 24.0, 30.0)
# Overhangs where a row meets another, so that two footings have room, and where it ends at a wall of the house
# (conventions of this service); the later ones only where spans are too short for the first, and then the answer
# says what stands too near.
END_OVERHANGS_IN = ((18.0, 18.0), (15.0, 18.0), (12.0, 18.0), (0.0, 18.0), (12.0, 0.0), (0.0, 0.0))
MOST_POSTS = 25
MORE = 2  # posts beyond the fewest that are tried: lighter footings may save what they cost
SAME_IN = 1e-6
Posts = tuple[float, ...]
Boards = tuple[int, float]  # plies, the longest board of their size, in
Run = tuple[float, float, float]  # the length of a row and its overhangs, in


@dataclass(frozen=True, eq=False)
class Way:
    """One way to put the rows of an arrangement on posts.

    ``posts`` are those of each row, ``count`` all of them, ``longest_in`` each row's longest span. No post of a row
    carries less than ``least_in`` of it: half the span beside it and all of an overhang.
    """

    posts: tuple[Posts, ...]
    count: int
    longest_in: tuple[float, ...]
    least_in: tuple[float, ...]
    lengths_in: tuple[float, ...]

    def least_loads_lb(self, shares_ft: Sequence[float], load_psf: float) -> list[float]:
        """Return what its posts carry at least where rows carry so much floor for each foot: rows broken over them."""
        found: list[float] = []
        for posts, length, share in zip(self.posts, self.lengths_in, shares_ft, strict=True):
            ends = (posts[0], length - posts[-1])
            found += broken_reactions_lb(spans(posts), *ends, share * load_psf)
        return found


def post_ways(plans: PostPlans, draft: Layout, allowed: Sequence[float]) -> list[Way]:
    """Return the ways the rows may stand: for each overhang the fewest posts, and up to two more."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    overhangs = (flush_end, *OVERHANGS_IN)
    groups = draft.arrangement.lined_up
    found = [_ways_of(plans, draft, group, allowed, overhangs) for group in groups]
    if not all(found):
        return []
    ways = dict.fromkeys(_placed(groups, found, over, more) for over in overhangs for more in range(MORE + 1))
    return [plans.way(draft.rows, way) for way in ways if way]


def on_posts(draft: Layout, way: Way) -> Layout:
    """Return a draft on its posts."""
    rows = tuple(replace(row, posts_in=posts) for row, posts in zip(draft.rows, way.posts, strict=True))
    return replace(draft, rows=rows)


def _ways_of(
    plans: PostPlans,
    draft: Layout,
    group: tuple[int, ...],
    allowed: Sequence[float],
    overhangs: Sequence[float],
) -> dict[float, tuple[Posts, ...]]:
    """Posts of rows that line up, by overhang: the fewest first."""
    row, reach = draft.rows[group[0]], min(allowed[n] for n in group)
    board_in = plans.ask.boards.beam(draft.beam_size)
    found = {over: plans.some((draft.beam_plies, board_in), row, reach, over) for over in overhangs}
    return {over: posts for over, posts in found.items() if posts}


def _least_in(length_in: float, posts: Posts) -> float:
    """The least length of a row that one of its posts carries, the beam broken over the others."""
    between = spans(posts)
    ends = (posts[0] + between[0] / 2, length_in - posts[-1] + between[-1] / 2)
    return min(*ends, *((a + b) / 2 for a, b in pairwise(between)))


Grouped = tuple[tuple[tuple[int, ...], Posts], ...]


def _placed(
    groups: Sequence[tuple[int, ...]],
    found: Sequence[dict[float, tuple[Posts, ...]]],
    overhang_in: float,
    more: int,
) -> Grouped | None:
    """Posts with one overhang and so many more than the fewest; None where no row can have that.

    One of several rows that can't have the overhang takes the one that needs fewest posts; one that can't have as
    many more has as many as it can.
    """
    if not any(len(ways.get(overhang_in, ())) > more for ways in found):
        return None
    some = (ways.get(overhang_in) or min(ways.values(), key=lambda one: len(one[0])) for ways in found)
    return tuple((group, one[min(more, len(one) - 1)]) for group, one in zip(groups, some, strict=True))


class PostPlans:
    """The ways a row of a length may stand on posts, by rising count, each list worked out once."""

    def __init__(self, ask: Ask) -> None:
        self.ask = ask
        self._known: dict[Run, list[tuple[float, Posts]]] = {}
        self._longest: dict[Run, list[float]] = {}
        self._reaching: dict[tuple[Boards, Run, int], tuple[Posts, ...]] = {}
        self._splices: dict[tuple[Boards, float, Posts], bool] = {}
        self._ways_known: dict[tuple[Posts, Grouped], Way] = {}

    def way(self, rows: Sequence[BeamRow], grouped: Grouped) -> Way:
        """Return the way rows stand on posts that are given group by group."""
        lengths = tuple(row.length_in for row in rows)
        key = (lengths, grouped)
        if key not in self._ways_known:
            of_row = {number: posts for group, posts in grouped for number in group}
            posts = tuple(of_row[number] for number in range(len(rows)))
            longest = tuple(max(spans(one)) for one in posts)
            least = tuple(map(_least_in, lengths, posts))
            self._ways_known[key] = Way(posts, sum(map(len, posts)), longest, least, lengths)
        return self._ways_known[key]

    def at(self, boards: Boards, row: BeamRow, allowed_in: float, overhang_in: float) -> Posts | None:
        """Return the fewest posts at one overhang that stand."""
        return next(iter(self.some(boards, row, allowed_in, overhang_in)), None)

    def some(self, boards: Boards, row: BeamRow, allowed_in: float, overhang_in: float) -> tuple[Posts, ...]:
        """Return posts at one overhang, the fewest that stand and up to two more.

        Where the row meets another or a wall the overhang is as much more as its spans allow.
        """
        for joint, wall in END_OVERHANGS_IN if set(row.ends) != {"free"} else END_OVERHANGS_IN[:1]:
            least = {"free": 0.0, "joint": joint, "wall": wall}
            near, far = (max(overhang_in, least[end]) for end in row.ends)
            found = self._fewest(boards, (row.length_in, near, far), allowed_in)
            if found:
                return found
        return ()

    def _fewest(self, boards: Boards, run: Run, allowed_in: float) -> tuple[Posts, ...]:
        """The ways with the fewest posts: which of them reach is told by how many do, whatever the allowed span."""
        if run not in self._known:
            self._known[run] = list(self._worked(*run))
            self._longest[run] = sorted(longest for longest, _ in self._known[run])
        key = (boards, run, bisect_right(self._longest[run], allowed_in + SAME_IN))
        if key not in self._reaching:
            reaching = (posts for longest, posts in self._known[run] if longest <= allowed_in + SAME_IN)
            joined = (posts for posts in reaching if self._joined(boards, run[0], posts))
            self._reaching[key] = tuple(islice(joined, MORE + 1))
        return self._reaching[key]

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

    def _joined(self, boards: Boards, length_in: float, xs: Posts) -> bool:
        """Whether boards can be joined over these posts."""
        plies, board_in = boards
        if length_in <= board_in:
            return True
        key = (boards, length_in, xs)
        if key not in self._splices:
            self._splices[key] = ply_splices(length_in, xs, plies, board_in) is not None
        return self._splices[key]

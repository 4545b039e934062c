"""Rows of beam put on posts: as few as their spans allow, clear of corners and walls."""

from __future__ import annotations

import math
from collections.abc import Sequence
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


def with_posts(ask: Ask, draft: Layout, allowed: Sequence[float]) -> list[Layout]:
    """The draft on the fewest posts it can stand on, once for each overhang that needs no more."""
    flush_end = float(math.ceil(post_side_in(draft.post_size) / 2))
    overhangs = (flush_end, *OVERHANGS_IN)
    groups = alike(draft.rows)
    found = [
        {over: posts for over in overhangs
         if (posts := posts_at(ask, draft.beam_plies, draft.rows[group[0]], min(allowed[n] for n in group), over))}
        for group in groups
    ]  # fmt: skip
    if not all(found):
        return []
    rows = [placed for over in overhangs if (placed := _placed(draft.rows, groups, found, over))]
    fewest = min((post_count(placed) for placed in rows), default=0)
    return [replace(draft, rows=placed) for placed in rows if post_count(placed) == fewest]


def post_count(rows: Sequence[BeamRow]) -> int:
    """Return how many posts rows stand on."""
    return sum(len(row.posts_in) for row in rows)


def _placed(
    rows: Sequence[BeamRow],
    groups: Sequence[tuple[int, ...]],
    found: Sequence[dict[float, tuple[float, ...]]],
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
        placed |= {n: replace(rows[n], posts_in=posts) for n in group}
    return tuple(placed[n] for n in range(len(rows)))


def posts_at(
    ask: Ask, plies: int, row: BeamRow, allowed_in: float, overhang_in: float
) -> tuple[float, ...] | None:
    """Posts at one overhang; where a row meets another or a wall, with as much more as its spans allow."""
    for joint, wall in END_OVERHANGS_IN if set(row.ends) != {"free"} else END_OVERHANGS_IN[:1]:
        least = {"free": 0.0, "joint": joint, "wall": wall}
        near, far = (max(overhang_in, least[end]) for end in row.ends)
        found = _posts_between(ask, plies, row.length_in, allowed_in, near, far)
        if found is not None:
            return found
    return None


def _posts_between(
    ask: Ask, plies: int, length_in: float, allowed_in: float, near: float, far: float
) -> tuple[float, ...] | None:
    between_ends = length_in - near - far
    if between_ends <= 0:
        return None
    fewest = max(2, math.ceil(between_ends / (allowed_in + 1)) + 1)
    for count in range(fewest, MOST_POSTS + 1):
        xs = post_positions(length_in, count, near, far)
        between = spans(xs)
        if min(between) <= 0 or any(
            over > overhang_limit_in(ask.criteria, span) + SAME_IN
            for over, span in ((near, between[0]), (far, between[-1]))
        ):
            return None
        if max(between) <= allowed_in + SAME_IN and _joined(length_in, xs, plies, ask.stock_in):
            return xs
    return None


def _joined(length_in: float, xs: tuple[float, ...], plies: int, stock_in: float) -> bool:
    return length_in <= stock_in or ply_splices(length_in, xs, plies, stock_in) is not None

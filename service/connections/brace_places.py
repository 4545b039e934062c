"""Where braces go: which way from their post, and the two ends of each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.report_frame import Beam, Point, Post
from service.sizing.lumber import depth_in
from service.units.finding import SLACK


@dataclass(frozen=True)
class BracePlace:
    """The two ends of a brace's centre line: places in plan, ft, and heights above the datum, in."""

    start_ft: Point
    end_ft: Point
    low_height_in: float
    high_height_in: float


def runs_along_x(beam: Beam) -> bool:
    """Return whether a beam runs rather along x than along y (places in ft).

    Source: geometry.

    Args:
        beam: the beam.
    """
    dx, dy = beam.end_ft[0] - beam.start_ft[0], beam.end_ft[1] - beam.start_ft[1]
    return abs(dx) >= abs(dy)


def across_ft(beam: Beam) -> float:
    """Return where the middle of a beam stands across the way it runs, ft.

    Source: geometry.

    Args:
        beam: the beam.
    """
    axis = 1 if runs_along_x(beam) else 0
    return (beam.start_ft[axis] + beam.end_ft[axis]) / 2


def _reach(beam: Beam) -> tuple[float, float]:
    axis = 0 if runs_along_x(beam) else 1
    low, high = sorted((beam.start_ft[axis], beam.end_ft[axis]))
    return low, high


def beside(beam: Beam, other: Beam) -> bool:
    """Return whether two beams run one beside the other (places in ft).

    Source: geometry.

    Args:
        beam: a beam.
        other: another one.
    """
    if runs_along_x(beam) != runs_along_x(other):
        return False
    (a, b), (c, d) = _reach(beam), _reach(other)
    return min(b, d) - max(a, c) > SLACK


def _toward(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def _along(post: Post, beam: Beam) -> Point:
    """The way along a beam to the end of it farther from the post."""
    at = (post.x_ft, post.y_ft)
    far = max((beam.start_ft, beam.end_ft), key=lambda end: math.dist(at, end))
    near = beam.start_ft if far == beam.end_ft else beam.end_ft
    return _toward(near, far)


def _inward(beam: Beam, beams: Sequence[Beam]) -> Point:
    """The way square to a beam to where the beams beside it are; with none, towards the house."""
    x, y = _toward(beam.start_ft, beam.end_ft)
    others = [across_ft(other) for other in beams if other is not beam and beside(beam, other)]
    grows = sum(others) > len(others) * across_ft(beam)
    square = (-y, x)
    return square if (square[1 if runs_along_x(beam) else 0] > 0) == grows else (y, -x)


def brace_place(
    post: Post,
    beam: Beam,
    beams: Sequence[Beam],
    direction: str,
    leg_in: float,
    joist_bottom_in: float | None = None,
) -> BracePlace:
    """Return the ends of a 45-degree brace: on the centre line of its post, and a leg inward from there, ft and in.

    Along the beam it meets the beam's bottom a leg above where it meets the post; across the beam that is the bottom
    of the joists, where it is bolted to one, and the end on the post lies so much higher.

    Source: geometry; braces of corner posts go towards the middle of the deck (common practice, no source).

    Args:
        post: the post.
        beam: its beam, which ends there.
        beams: all beams of the level.
        direction: ``along_beam`` or ``across_beam``.
        leg_in: how far from the corner it meets post and beam, in.
        joist_bottom_in: bottom of the joists above the datum, in; without it they sit on the beam.
    """
    along = direction == "along_beam"
    on_beam = (
        beam.bottom_height_in + depth_in(beam.size) if beam.placement == "dropped" else beam.bottom_height_in
    )
    high = beam.bottom_height_in if along else on_beam if joist_bottom_in is None else joist_bottom_in
    x, y = _along(post, beam) if along else _inward(beam, beams)
    end = post.x_ft + x * leg_in / 12, post.y_ft + y * leg_in / 12
    return BracePlace((post.x_ft, post.y_ft), end, high - leg_in, high)

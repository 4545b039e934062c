"""The stack of heights from the ground to the boards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from service.sizing.lumber import depth_in

PIER_TOP_ABOVE_GRADE_IN = 3.0
STAND_OFF_IN = 1.0
CAP_SEAT_IN = 0.0
SHORTEST_POST_IN = 4.0

Standing = Literal["post", "saddle", "no_room"]


@dataclass(frozen=True, slots=True)
class Stack:
    """Heights above the datum, in."""

    surface_in: float
    joist_top_in: float
    joist_bottom_in: float
    beam_bottom_in: float


@dataclass(frozen=True, slots=True)
class Foot:
    """How a beam stands at one place: on a post, in a saddle on the pier, or with ``missing_in`` of room."""

    standing: Standing
    height_in: float
    cut_length_in: float
    pier_top_in: float
    missing_in: float


def stack(surface_in: float, decking_in: float, joist_size: str, beam_size: str, placement: str) -> Stack:
    """Return the heights of a frame whose beam is dropped under, or flush with, its joists.

    >>> stack(36, 1.0, "2x8", "2x10", "dropped").beam_bottom_in
    18.5
    """
    top = surface_in - decking_in
    bottom = top - depth_in(joist_size)
    hung_from = bottom if placement == "dropped" else top
    return Stack(surface_in, top, bottom, hung_from - depth_in(beam_size))


def foot(beam_bottom_in: float, grade_in: float) -> Foot:
    """Return how a beam stands over ground at ``grade_in``.

    >>> foot(18.5, 0.0).cut_length_in, foot(5.0, 0.0).standing, foot(1.0, 0.0).missing_in
    (14.5, 'saddle', 2.0)
    """
    pier_top = grade_in + PIER_TOP_ABOVE_GRADE_IN
    height = beam_bottom_in - pier_top
    if height < 0:
        return Foot("no_room", 0.0, 0.0, pier_top, -height)
    if height < SHORTEST_POST_IN:
        return Foot("saddle", 0.0, 0.0, beam_bottom_in, 0.0)
    return Foot("post", height, height - STAND_OFF_IN - CAP_SEAT_IN, pier_top, 0.0)

"""Where members lie in plan: the ends of joist lines, places along them, and what crosses a rim."""

from __future__ import annotations

import math
from collections.abc import Iterator

from service.contract.report_frame import JoistLine, Level, Point, Rim
from service.takeoff.parts import INCHES_PER_FT, Cuts, distance_in

Segment = tuple[Point, Point]
# A joist's centre line ends half a rim short of the rim's; how far along it that is grows with the angle.
REACH_IN = 3.0  # convention of this service
CROSSES_FROM_DEG = (
    10.0  # what is nearer parallel lies beside a rim, not across it (convention of this service)
)


def ends_ft(line: JoistLine) -> Segment:
    """Return the start and the end of a joist's centre line in the deck frame, ft."""
    start = _first(line.x_ft, line.x_start_ft), _first(line.y_ft, line.y_start_ft)
    return start, (_first(line.x_ft, line.x_end_ft), _first(line.y_ft, line.y_end_ft))


def _first(fixed_ft: float | None, varies_ft: float | None) -> float:
    """The coordinate a line keeps, or where it begins or ends; a landing's joists at an angle keep neither."""
    return fixed_ft if fixed_ft is not None else varies_ft or 0.0


def along(segment: Segment) -> Point:
    """Return the unit vector from the start of a segment to its end.

    >>> along(((0.0, 0.0), (0.0, 4.0)))
    (0.0, 1.0)
    """
    (ax, ay), (bx, by) = segment
    length = math.dist(*segment)
    return (bx - ax) / length, (by - ay) / length


def place_ft(segment: Segment, at_in: float) -> Point:
    """Return the point so far along a segment, in the deck frame, ft.

    >>> place_ft(((2.0, 0.0), (2.0, 10.0)), 6.0)
    (2.0, 0.5)
    """
    (x, y), (dx, dy) = segment[0], along(segment)
    return x + dx * at_in / INCHES_PER_FT, y + dy * at_in / INCHES_PER_FT


def lead_in(length_in: float, between_in: float, cuts_deg: Cuts) -> float:
    """Return how far the long point at a member's start lies before the start of its centre line, in.

    ``length_in`` is to the long points, ``between_in`` between the ends of the centre line: what is more is
    shared out by how far each cut leans.

    >>> lead_in(120.75, 120.0, (45.0, 0.0)), lead_in(120.75, 120.0, (0.0, 45.0)), lead_in(120, 120, (0.0, 0.0))
    (0.75, 0.0, 0.0)
    """
    start, end = (math.tan(math.radians(abs(deg))) for deg in cuts_deg)
    return (length_in - between_in) * start / (start + end) if start + end else 0.0


def rim_breaks_in(rim: Rim, level: Level) -> tuple[float, ...]:
    """Return where a rim may be joined: on the ends of joists and over beams, in from its long point at the start."""
    run = rim.start_ft, rim.end_ft
    before = lead_in(rim.length_in, distance_in(*run), (rim.start_cut_deg, rim.end_cut_deg))
    met = {round(before + at, 6) for other in _members(level) for at in crossed_in(run, other)}
    return tuple(sorted(met))


def _members(level: Level) -> Iterator[Segment]:
    yield from (ends_ft(line) for group in level.joists for line in group.lines)
    yield from ((beam.start_ft, beam.end_ft) for beam in level.beams)


def crossed_in(run: Segment, other: Segment) -> tuple[float, ...]:
    """Return where a straight member meets or crosses a run, in from the run's start; none where it does not.

    >>> crossed_in(((0.0, 0.0), (16.0, 0.0)), ((4.0, 0.1), (4.0, 9.0)))
    (48.0,)
    >>> crossed_in(((0.0, 0.0), (16.0, 0.0)), ((4.0, 2.0), (4.0, 9.0)))
    ()
    """
    (ux, uy), (vx, vy) = along(run), along(other)
    sine = ux * vy - uy * vx
    if abs(sine) < math.sin(math.radians(CROSSES_FROM_DEG)):
        return ()
    dx, dy = other[0][0] - run[0][0], other[0][1] - run[0][1]
    on_run, on_other = (dx * vy - dy * vx) / sine, (dx * uy - dy * ux) / sine
    reach = REACH_IN / INCHES_PER_FT
    met = 0 < on_run < math.dist(*run) and -reach <= on_other <= math.dist(*other) + reach
    return (INCHES_PER_FT * on_run,) if met else ()

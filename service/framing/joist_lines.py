"""Where joists stand across a region."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from service.framing.layout import Arrangement
from service.framing.region import SAME_IN, Flank, Region, Section

JOIST_IN = 1.5
TOO_CLOSE_IN = 3.0
SAME_PLACE_IN = 0.01


def joist_centres(width_in: float, spacing_in: float) -> tuple[float, ...]:
    """Return joist centre lines of a rectangle from its left edge, in: 0.75, s, 2s, ..., width - 0.75.

    A last line within 3 in of the end joist moves midway between its neighbours.

    >>> len(joist_centres(192, 16)), len(joist_centres(192, 12))
    (13, 17)
    >>> joist_centres(193, 16)[-2]
    184.125
    """
    grid = _grid(0.0, width_in - SAME_IN, spacing_in)
    return (JOIST_IN / 2, *_spread(grid, JOIST_IN / 2, width_in - JOIST_IN / 2), width_in - JOIST_IN / 2)


def joist_places(region: Region, spacing_in: float) -> tuple[tuple[int, float], ...]:
    """Return where joists stand, as section and ``u``, in: along every border beside them, and s apart between.

    Lines are counted from the region's left corner, so that they go on from section to section.
    """
    found: list[tuple[int, float]] = []
    for n, section in enumerate(region.sections):
        for u in _places(region, section, spacing_in):
            # A line on a seam is found from both its sides where the grid falls on it.
            twice = any(
                abs(u - other) < SAME_PLACE_IN and region.sections[m].overlap_in(section, u) > JOIST_IN
                for m, other in found
            )
            if not twice:
                found.append((n, u))
    return tuple(found)


def _places(region: Region, section: Section, spacing_in: float) -> Iterator[float]:
    left = _beside(region, section, section.from_in, 1)
    right = _beside(region, section, section.to_in, -1)
    past_left, past_right = (
        _across(region, section, at, way) for at, way in ((section.from_in, -1), (section.to_in, 1))
    )
    near_left = left if left is not None else _nearest(past_left, section.from_in, -1, spacing_in)
    near_right = right if right is not None else _nearest(past_right, section.to_in, 1, spacing_in)
    if left is not None:
        yield left
    # Beside a neighbour's end joist a line on the very boundary is this section's: the neighbour has none there.
    reach_in = 2 * SAME_IN if left is None and near_left not in (None, section.from_in) else 0.0
    lines = _spread(_grid(section.from_in - reach_in, section.to_in, spacing_in), near_left, near_right)
    lines = _close(section, lines, (near_left, near_right), spacing_in)
    seams = (
        left is None and _is_seam(region, section, section.from_in, past_left),
        right is None and _is_seam(region, section, section.to_in, past_right),
    )
    yield from _off_seams(section, lines, seams, spacing_in)
    if right is not None and right != left:
        yield right


def _grid(from_in: float, to_in: float, spacing_in: float) -> list[float]:
    first, last = math.floor(from_in / spacing_in + SAME_IN) + 1, math.floor(to_in / spacing_in + SAME_IN)
    return [spacing_in * k for k in range(first, last + 1)]


def _spread(grid: Sequence[float], left_in: float | None, right_in: float | None) -> list[float]:
    """The lines between two joists; one within 3 in of either moves midway between its neighbours."""
    half = JOIST_IN / 2
    lines = [
        u
        for u in grid
        if (left_in is None or u > left_in - half) and (right_in is None or u < right_in + half)
    ]
    if lines and right_in is not None and right_in - lines[-1] < TOO_CLOSE_IN:
        before = lines[-2] if len(lines) > 1 else left_in
        lines[-1:] = [] if before is None else [(before + right_in) / 2]
    if lines and left_in is not None and lines[0] - left_in < TOO_CLOSE_IN:
        after = lines[1] if len(lines) > 1 else right_in
        lines[:1] = [] if after is None else [(after + left_in) / 2]
    return lines


def _close(
    section: Section, lines: Sequence[float], beside: tuple[float | None, float | None], spacing_in: float
) -> list[float]:
    """The lines with one more in every bay that moving a joist, or keeping it clear of a wall, has made too wide."""
    ends = [u for u in (beside[0], *lines, beside[1]) if u is not None]
    low, high = section.from_in + JOIST_IN / 2, section.to_in - JOIST_IN / 2
    wide = [(a, b) for a, b in itertools.pairwise(ends) if b - a > spacing_in + 2 * SAME_IN]
    more = [min(max((a + b) / 2, low), high) for a, b in wide if low < high]
    return sorted((*lines, *more))


def _is_seam(region: Region, section: Section, at_in: float, past: Across) -> bool:
    """Whether floor goes on at a place into a section, or several, with no end joist there."""
    if past is not None:
        return past[0] is None
    opens = (section.opens_at(other) for other in region.sections if other is not section)
    return any(place is not None and abs(place - at_in) < SAME_IN for place in opens)


def _off_seams(
    section: Section, lines: Sequence[float], seams: tuple[bool, bool], spacing_in: float
) -> list[float]:
    """The lines with none half off what ends at a seam between sections: there each side gets a joist of its own."""
    half, found = JOIST_IN / 2, list(lines)
    for is_seam, seam, place in (
        (seams[0], section.from_in, section.from_in + half),
        (seams[1], section.to_in, section.to_in - half),
    ):
        if is_seam and abs(seam - round(seam / spacing_in) * spacing_in) < half - SAME_IN:
            found = [u for u in found if abs(u - seam) >= half - SAME_IN]
            found += [place] if all(abs(u - place) > JOIST_IN - SAME_IN for u in found) else []
    return sorted(found)


def _faces(region: Region, section: Section, at_in: float, inward: int) -> list[Flank]:
    """Borders along the joists at a place, with the floor on one side, that overlap a section there."""
    low, high = section.low.at(at_in), section.high.at(at_in)
    return [
        flank
        for flank in region.flanks
        if flank.inward == inward
        and abs(flank.at_in - at_in) < SAME_IN
        and min(flank.high_in, high) - max(flank.low_in, low) > SAME_IN
    ]


def _beside(region: Region, section: Section, at_in: float, inward: int) -> float | None:
    """The joist along a border at one side of a section, clear of a wall that stands there."""
    faces = [flank.face_in for flank in _faces(region, section, at_in, inward)]
    if not faces:
        return None
    return (max(faces) if inward > 0 else min(faces)) + inward * JOIST_IN / 2


Across = tuple[float | None] | None  # the neighbour's end joist, if it has one; null where no neighbour is


def _across(region: Region, section: Section, at_in: float, inward: int) -> Across:
    """The neighbour beyond a place, where it runs all along this section."""
    for other in region.sections:
        meets = other.to_in if inward < 0 else other.from_in
        if other is section or abs(meets - at_in) > SAME_IN:
            continue
        covers = (
            other.low.at(at_in) <= section.low.at(at_in) + SAME_IN
            and other.high.at(at_in) >= section.high.at(at_in) - SAME_IN
        )
        if covers:
            return (_beside(region, other, at_in, inward),)
    return None


def _nearest(past: Across, at_in: float, inward: int, spacing_in: float) -> float | None:
    """The neighbour's nearest joist; without an end joist there, the lines simply go on."""
    if past is None or past[0] is not None:
        return past and past[0]
    before = math.floor(at_in / spacing_in + SAME_IN) * spacing_in
    return before if inward < 0 else before + spacing_in


def unframed_in(laid: Arrangement, spacing_in: float) -> float:
    """Return the widest stretch at the end of a region, or between joists, where only solid blocking stands, in."""
    framed = [(n, u) for n, u in joist_places(laid.region, spacing_in) if laid.line_at(n, u).stands]
    widest = 0.0
    for number, section in enumerate(laid.region.sections):
        near = sorted(
            u for n, u in framed if n == number or section.opens_at(laid.region.sections[n]) is not None
        )
        ends = (section.from_in, section.to_in)
        inside = [u for u in near if ends[0] <= u <= ends[1]]
        before = max((u for u in near if u < ends[0]), default=ends[0])
        after = min((u for u in near if u > ends[1]), default=ends[1])
        places = [before, *inside, after]
        widest = max(widest, *(b - a for a, b in itertools.pairwise(places)))
    return widest

"""The outer corners of rims are the corners of the outline, whichever way joists run and corners turn."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from service.framing.axes import Direction
from service.framing.region import Border, region_of
from service.framing.rims import RimMade, rims_of

HALF_FT = 0.75 / 12
CLIPPED = ((0.0, 0.0), (16.0, 0.0), (16.0, 8.0), (12.0, 12.0), (0.0, 12.0))
# An arrow: a corner that points inwards between two angled edges.
ARROW = ((0.0, 0.0), (16.0, 0.0), (16.0, 12.0), (8.0, 8.0), (0.0, 14.0))


def rims(corners, direction: Direction = "away_from_house") -> tuple[RimMade, ...]:
    ends = zip(corners, (*corners[1:], corners[0]), strict=True)
    borders = [Border(n, start, end, "open") for n, (start, end) in enumerate(ends)]
    return rims_of(SimpleNamespace(placement="dropped", region=region_of(borders, direction)))


def points(rim: RimMade) -> list[tuple[float, float]]:
    """The four corners of a rim in plan, right ones first."""
    (ax, ay), (bx, by) = rim.start_ft, rim.end_ft
    length = math.dist(rim.start_ft, rim.end_ft)
    dx, dy = (bx - ax) / length, (by - ay) / length
    found = []
    for side in (1, -1):
        for (x, y), back, cut in (
            (rim.start_ft, -1, rim.start_cut_deg),
            (rim.end_ft, 1, rim.end_cut_deg),
        ):
            far = back * side * HALF_FT * math.tan(math.radians(cut))
            found.append((x + far * dx + side * HALF_FT * dy, y + far * dy - side * HALF_FT * dx))
    return found


@pytest.mark.parametrize("direction", ["away_from_house", "along_house"])
@pytest.mark.parametrize("corners", [CLIPPED, ARROW], ids=["clipped", "arrow"])
def test_outer_corners_are_those_of_the_outline(corners, direction):
    turned = corners if direction == "away_from_house" else tuple((y, -x) for x, y in corners)
    for rim in rims(turned, direction):
        near = [min(math.dist(at, corner) for corner in turned) for at in points(rim)]
        assert sum(gap < 1e-6 for gap in near) == 2, rim


@pytest.mark.parametrize("direction", ["away_from_house", "along_house"])
def test_a_rim_is_ordered_to_its_longer_points(direction):
    turned = ARROW if direction == "away_from_house" else tuple((y, -x) for x, y in ARROW)
    for rim in rims(turned, direction):
        (ax, ay), (bx, by) = rim.start_ft, rim.end_ft
        run = math.dist(rim.start_ft, rim.end_ft)
        reach = [(x * (bx - ax) + y * (by - ay)) / run for x, y in points(rim)]
        assert rim.length_in == pytest.approx(12 * (max(reach) - min(reach)))


def test_a_clipped_corner_is_mitred_and_cut_along_the_end_joist():
    _, clip, yard = rims(CLIPPED)
    assert (yard.start_cut_deg, yard.end_cut_deg, yard.length_in) == pytest.approx((0.0, -22.5, 144.0))
    # The outer face is 67.88 in long; the inner one, cut along the end joist, reaches 1.5 in farther.
    assert (clip.start_cut_deg, clip.end_cut_deg) == pytest.approx((-22.5, 45.0))
    assert clip.length_in == pytest.approx(math.hypot(48, 48) + 1.5)

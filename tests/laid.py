"""Plain frames for tests of one part: a rectangle on rows of beams, with nothing searched for."""

from __future__ import annotations

from service.framing.beam_row import BeamRow
from service.framing.boards import Boards
from service.framing.layout import Arrangement, Layout
from service.framing.members import Members, Setting, build, numbered
from service.framing.region import Border, Meets, Region, region_of

POSTS_IN = (12.0, 96.0, 180.0)


def rectangle_region(width_in: float, depth_in: float, at_house: Meets) -> Region:
    """A rectangle whose joists run away from a house along its edge 0."""
    w, d = width_in / 12, depth_in / 12
    corners = ((0.0, 0.0), (w, 0.0), (w, d), (0.0, d))
    ways: tuple[Meets, ...] = (at_house, "open", "open", "open")
    sides = [Border(i, corners[i], corners[(i + 1) % 4], ways[i]) for i in range(4)]
    return region_of(sides, "away_from_house")


def arranged(
    region: Region, beams_in: tuple[float, ...], beam_width_in: float = 3.0, stock_in: float = 240.0
) -> Arrangement:
    """Dropped beams from side to side at these distances from the house."""
    rows = tuple(BeamRow((0.0, y), (region.width_in, y), (0,), posts_in=POSTS_IN) for y in beams_in)
    return Arrangement(region, rows, beam_width_in, "dropped", stock_in)


def members(arrangement: Arrangement, joist: str, spacing_in: float, beam: tuple[str, int]) -> Members:
    """The members of an arrangement with these sizes, 3 ft up, on 6x6 posts."""
    layout = Layout(arrangement, joist, spacing_in, arrangement.rows, *beam, "6x6")
    setting = Setting("main", "southern_pine", "no_2", 36.0, 1.0, lambda _x, _y: 0.0, 50.0, Boards(240.0))
    return build(setting, layout, numbered([layout])[0])

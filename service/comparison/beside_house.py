"""The footings over the hole a house was built in: what dug ones would stand on there."""

from __future__ import annotations

from collections.abc import Sequence

from service.comparison.result import USUAL_METHOD, Comparison, MethodResult
from service.contract.report_comparison import BesideHouseFooting, ZoneWidth
from service.foundations.backfill import Excavation
from service.foundations.method import Sized
from service.units.finding import SLACK

PARTS = 4  # the zone is told at every quarter of its depth, and at the frost line


def is_dug(result: MethodResult) -> bool:
    """Return whether a method's footings are poured in holes, which may be dug deeper; blocks and piles are not."""
    made = [one.footing.concrete for one in result.sized]
    return bool(made) and all(one is not None and one.volume_cuft > 0 for one in made)


def dug_footings(comparison: Comparison, answered: MethodResult | None) -> tuple[Sized, ...]:
    """Return the footings as they would be dug: those answered, else those of the usual method, else the best."""
    dug = [one for one in comparison.results if is_dug(one)]
    usual = [one for one in dug if one.method == USUAL_METHOD]
    first = [answered] if answered in dug else usual or dug
    return first[0].sized if first and first[0] else ()


def edge_in(one: Sized) -> float:
    """Return how far a footing's near edge is from the nearest wall of the house, in."""
    return one.demand.from_wall_ft * 12.0 - one.footing.width_in / 2.0


def stands_clear(dug: Excavation, one: Sized) -> bool:
    """Return whether a footing bears on original ground and outside the load line of the house footing."""
    return dug.stands_clear(edge_in(one), -one.footing.bottom_height_in)


def near_house(dug: Excavation, one: Sized, near_in: float) -> bool:
    """Return whether the house matters to a footing: over the hole, in its load line, or within DCA 6's distance."""
    depth_in = -one.footing.bottom_height_in
    return edge_in(one) < max(dug.dug_in(0.0), dug.load_line_in(depth_in), near_in)


def footing_beside(dug: Excavation, one: Sized) -> BesideHouseFooting:
    """Return what the place of a footing means for it; depths are below the ground at the footing."""
    edge, grade_in = edge_in(one), one.demand.grade_height_in
    depth_in = -one.footing.bottom_height_in
    return BesideHouseFooting(
        footing=one.demand.footing_id,
        distance_ft=edge / 12.0,
        bottom_depth_in=depth_in + grade_in,
        zone_width_ft=dug.width_in(depth_in) / 12.0,
        in_fill=edge < dug.width_in(depth_in) - SLACK,
        original_ground_depth_in=max(0.0, dug.original_ground_in(edge) + grade_in),
        load_line_depth_in=max(0.0, dug.clear_of_load_line_in(edge) + grade_in),
    )


def zone_widths(dug: Excavation, frost_in: float) -> tuple[ZoneWidth, ...]:
    """Return how wide the hole was from the ground to its floor."""
    quarters = {dug.depth_in * part / PARTS for part in range(PARTS + 1)}
    depths = sorted(quarters | {depth for depth in (frost_in,) if depth < dug.depth_in})
    return tuple(ZoneWidth(depth_in=depth, width_ft=dug.dug_in(depth) / 12.0) for depth in depths)


def needed_edge_in(dug: Excavation, footings: Sequence[Sized]) -> float:
    """Return how far from the house near edges have to be to stand clear at the depths they have, in."""
    depths = [-one.footing.bottom_height_in for one in footings]
    return max(dug.clear_edge_in(depth) for depth in depths)

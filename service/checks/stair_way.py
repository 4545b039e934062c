"""Posts of a deck that would stand in the way of a stair, or on the landing at its foot."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from shapely import Point as PlanPoint

from service.checks.judged import Judged
from service.contract.report_frame import Footing, Point
from service.framing.layout import Layout
from service.framing.members import Members
from service.framing.stairs import StairPlan, StairResult
from service.framing.stands import Stand
from service.sizing.lumber import post_side_in
from service.sizing.stair_checks import or_else
from service.units.citation import own_convention
from service.units.finding import Finding, yes_no

# As much of a post may show past the edge of its floor as a fascia board covers (convention of this service).
SHOWS_IN = 1.5
CITED = own_convention("no post in a stair's way or on the landing at its foot")


def stands_in_way(plan: StairPlan, level: str, at_ft: Point, side_in: float) -> bool:
    """Return whether a post of a level, or the pier under it, stands under the flights of a stair, or on its landing.

    Under its flights it is the centre that counts: beside the edge they leave, posts stand behind their head. What
    carries the floor a stair comes down to stands under that floor, in nobody's way.

    Args:
        plan: the stair as it lies.
        level: the level the post carries.
        at_ft: its centre in the deck frame, ft.
        side_in: its side, or the width of the pier where that stands out of the ground, in.
    """
    if level == plan.down_to:
        return False
    at = PlanPoint(at_ft)
    reach_ft = (side_in / 2 - SHOWS_IN) / 12
    under = plan.flights.area > 0 and plan.flights_within.covers(at)
    return bool(under or plan.landing_within.distance(at) < reach_ft)


def posts_in_way(level: str, layout: Layout, stairs: Iterable[StairResult]) -> bool:
    """Return whether any post of a layout stands in the way of a stair: a frame that no search should take.

    Piers are not known yet: how wide they are is judged once the frame is built.
    """
    plans = [one.plan for one in stairs if one.plan is not None]
    side_in = post_side_in(layout.post_size)
    places = (layout.region.axes.deck_ft(*row.point(at)) for row in layout.rows for at in row.posts_in)
    return bool(plans) and any(stands_in_way(plan, level, at, side_in) for at in places for plan in plans)


def judge_stair_way(
    built: Sequence[tuple[str, Members]], stairs: Iterable[StairResult], footings: Iterable[Footing]
) -> Judged:
    """Judge, stair by stair, whether the posts and piers of every level leave it clear.

    The check is ``post_under_stair_landing``; ``built`` are members with the level they are of.
    """
    piers = {one.id: _above_ground_in(one) for one in footings}
    laid = ((one.stair.id, one.plan) for one in stairs if one.stair is not None and one.plan is not None)
    return Judged(tuple(_clear(built, stair, plan, piers) for stair, plan in laid))


def _above_ground_in(footing: Footing) -> float:
    """How wide a footing is where it stands out of the ground, in; 0 where it does not."""
    if footing.exposed_in <= 0 or footing.concrete is None:
        return 0.0
    # a block on the ground has no shaft: all of it stands there
    return (
        footing.concrete.shaft_diameter_in
        or footing.concrete.base_size_in
        or footing.concrete.width_in
        or 0.0
    )


def _clear(
    built: Sequence[tuple[str, Members]], stair: str, plan: StairPlan, piers: Mapping[str, float]
) -> Finding:
    places = [
        f"{level}.post-{stand.place}"
        for level, members in built
        for stand in members.stands
        if stands_in_way(plan, level, (stand.x_ft, stand.y_ft), _wide_in(members, level, stand, piers))
    ]
    return or_else(
        yes_no(stair, "post_under_stair_landing", "rule", not places, CITED),
        f"{', '.join(places)} elsewhere, or the stair moved along its edge",
    )


def _wide_in(members: Members, level: str, stand: Stand, piers: Mapping[str, float]) -> float:
    """What stands there at its widest: a post, on a pier that may be wider; in a saddle the pier alone."""
    post = post_side_in(members.layout.post_size) if stand.on_post else 0.0
    return max(post, piers.get(f"{level}.footing-{stand.place}", 0.0))

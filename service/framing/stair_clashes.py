"""Stairs that can't be built where they lie: into a wall, across a floor they don't go to, or into one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from service.contract.plan import SAME_FT
from service.contract.report import Reason
from service.framing.stair_place import Floor, StairPlace
from service.framing.stairs import StairPlan, StairResult
from service.units.citation import own_convention

CODE = "stair_blocked"
CITED = own_convention("what stairs may not run into, in plan")


def clashes(results: Sequence[StairResult], places: Mapping[str, StairPlace]) -> tuple[Reason, ...]:
    """Return why stairs can't be built where they are, in order.

    Two stairs may share the ground before their feet; nothing else of them may meet.
    """
    walls = [
        (name, LineString((side.edge.start_ft, side.edge.end_ft)))
        for name, place in places.items()
        for side in place.outline.house_sides
    ]
    found: list[Reason] = []
    for one in results:
        if one.stair is not None and one.plan is not None:
            found += _into_walls(one.stair.id, one.plan, walls)
            found += _over_floors(one.stair.id, one.stair.level, one.plan)
    return (*found, *_into_stairs(results))


def _core(plan: Polygon) -> BaseGeometry:
    """A plan without the strip in which things that only touch lie."""
    return plan.buffer(-SAME_FT)


def _reason(member: str, text: str) -> Reason:
    return Reason(code=CODE, text=f"{member} {text}", member=member, citation=CITED)


def _into_walls(member: str, plan: StairPlan, walls: Sequence[tuple[str, LineString]]) -> Iterator[Reason]:
    core = _core(plan.footprint)
    for level in dict.fromkeys(name for name, wall in walls if core.intersects(wall)):
        yield _reason(
            member, f"runs into the house wall that level {level} stands at: move it along its edge"
        )


def _over_floors(member: str, level: str, plan: StairPlan) -> Iterator[Reason]:
    core, place = _core(plan.footprint), plan.place
    own = Floor(place.outline, place.surface_height_in)
    floors = {level: own, **{name: floor for name, floor in place.floors.items() if name != plan.down_to}}
    for name, floor in floors.items():
        if core.intersects(floor.polygon):
            which = "its own level" if name == level else f"level {name}, which it does not go down to"
            yield _reason(member, f"lies over the floor of {which}: move it, or let it go down to that floor")


def _into_stairs(results: Sequence[StairResult]) -> Iterator[Reason]:
    laid = [(one.stair.id, one.plan) for one in results if one.stair is not None and one.plan is not None]
    for (first, a), (second, b) in combinations(laid, 2):
        if _core(a.flights).intersects(b.footprint) or _core(b.flights).intersects(a.footprint):
            yield _reason(second, f"meets {first}: only the ground before their feet may be one and the same")

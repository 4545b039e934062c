"""Faults of where a deck meets the house: edges said to stand at a wall that can't."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.plan import (
    Polygon,
    Segment,
    before_wall,
    edges,
    edges_at_walls,
    on_wall,
    outline_in_frame,
)
from service.contract.polygons import lies_behind
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec, LevelSpec


def wall_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    """Yield the faults of a spec's house edges and other walls, given the sound outlines.

    >>> from service.contract.spec import EdgeWallSpec, HouseSpec
    >>> walls = (EdgeWallSpec(edge=4), EdgeWallSpec(edge=1), EdgeWallSpec(edge=1))
    >>> level = LevelSpec(width_ft=16, projection_ft=12, surface_height_in=36)
    >>> spec = DeckSpec(levels=(level,), house=HouseSpec(edge_walls=walls))
    >>> [(fault.code, fault.pointer) for fault in wall_faults(spec, (outline_in_frame(level),))]
    ... # doctest: +NORMALIZE_WHITESPACE
    [('edge_out_of_range', '/house/edge_walls/0/edge'),
     ('edge_wall_repeated', '/house/edge_walls/2/edge')]
    """
    for number, level in enumerate(spec.levels):
        yield from _house_edge_faults(spec, level, plans[number], pointer("levels", number))
    yield from _edge_wall_faults(spec, plans)
    yield from _behind_faults(spec, plans)


def edge_fault(at: str, count: int) -> Fault:
    """Return the fault of an edge number an outline does not have."""
    allowed = Allowed(min=0.0, max=float(count - 1))
    return Fault(at, "edge_out_of_range", f"the outline has edges 0 to {count - 1}", allowed)


def _house_edge_faults(spec: DeckSpec, level: LevelSpec, plan: Polygon, at: str) -> Iterator[Fault]:
    sides = edges(outline_in_frame(level))
    other_walls = {wall.edge for wall in spec.house.edge_walls if wall.level == level.id}
    for place, number in enumerate(level.house_edges or ()):
        if not sides:
            return
        if number >= len(sides):
            yield edge_fault(f"{at}/house_edges/{place}", len(sides))
        elif number not in other_walls and (why := _not_before_wall(sides[number], plan, number)):
            detail = f"{why}; name other walls in house.edge_walls"
            yield Fault(f"{at}/house_edges/{place}", "house_edge_not_on_wall", detail)


def _not_before_wall(side: Segment, plan: Polygon, number: int) -> str:
    if not on_wall(side):
        return "this edge is not on the wall line y = 0"
    if plan and not before_wall(plan, number):
        return "at this edge the floor lies behind the wall line, where y is under 0 and the house would be"
    return ""


def _edge_wall_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    counts = {level.id: len(plan) for level, plan in zip(spec.levels, plans, strict=True) if plan}
    seen = set()
    for number, wall in enumerate(spec.house.edge_walls):
        at = pointer("house", "edge_walls", number, "edge")
        if wall.edge >= counts.get(wall.level, wall.edge + 1):
            yield edge_fault(at, counts[wall.level])
        elif (wall.level, wall.edge) in seen:
            yield Fault(at, "edge_wall_repeated", "an earlier entry names the wall at this edge")
        seen.add((wall.level, wall.edge))


def _behind_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    """One for each edge at a wall that has floor, its own level's or another's, where the house would be."""
    for at_level, level in enumerate(spec.levels):
        for edge in sorted(edges_at_walls(level, spec.house)):
            if edge >= len(plans[at_level]):
                continue
            behind = [
                other.id
                for other, plan in zip(spec.levels, plans, strict=True)
                if plan and lies_behind(plan, plans[at_level], edge)
            ]
            if behind:
                yield _behind_fault(spec, at_level, edge, behind[0])


def _behind_fault(spec: DeckSpec, number: int, edge: int, behind: str) -> Fault:
    detail = (
        f"edge {edge} is taken to be at the house, but level {behind!r} lies right behind it; name the edges at "
        "the house in house_edges, and give the outline a corner where the wall ends"
    )
    return Fault(_claim(spec, number, edge), "floor_behind_wall", detail)


def _claim(spec: DeckSpec, number: int, edge: int) -> str:
    """Where a spec says that an edge is at the house: by name, or by leaving it open."""
    level = spec.levels[number]
    for place, wall in enumerate(spec.house.edge_walls):
        if (wall.level, wall.edge) == (level.id, edge):
            return pointer("house", "edge_walls", place, "edge")
    at = pointer("levels", number, "house_edges")
    return at if level.house_edges is None else f"{at}/{level.house_edges.index(edge)}"

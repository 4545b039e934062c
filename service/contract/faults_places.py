"""Faults of what stands on or leaves a level: stairs and heavy objects."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.faults_outline import near
from service.contract.faults_walls import edge_fault
from service.contract.plan import Polygon, Segment, edges, edges_at_walls, footprint, length_ft
from service.contract.polygons import covers, overlap
from service.contract.problem import Allowed, Fault, pointer
from service.contract.spec import DeckSpec, HeavyObjectSpec, LevelSpec, StairSpec

Named = dict[str, tuple[LevelSpec, Polygon]]

_SIXTEENTH_FT = 0.0052


def place_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    """Yield the faults of a spec's stairs and heavy objects, given the sound outlines."""
    named = {level.id: (level, plan) for level, plan in zip(spec.levels, plans, strict=True)}
    yield from _unknown_levels(spec)
    for number, stair in enumerate(spec.stairs):
        at = pointer("stairs", number)
        if stair.down_to == stair.level:
            detail = "a stair goes down to another level, grade or a pad"
            yield Fault(f"{at}/down_to", "stair_to_itself", detail)
        yield from _upward(stair, named, at)
        level, plan = named.get(stair.level, (None, ()))
        if level is not None and plan:
            yield from _stair_faults(stair, edges(plan), edges_at_walls(level, spec.house), at)
    yield from _stair_overlaps(spec)
    yield from _object_faults(spec, named)


def _upward(stair: StairSpec, named: Named, at: str) -> Iterator[Fault]:
    (upper, _), (lower, _) = (named.get(name, (None, ())) for name in (stair.level, stair.down_to))
    if upper is None or lower is None or upper is lower:
        return
    if lower.surface_height_in >= upper.surface_height_in:
        detail = (
            f"level {lower.id!r} at {lower.surface_height_in:g} in is not below level {upper.id!r} at "
            f"{upper.surface_height_in:g} in: let the stair start from the higher one"
        )
        yield Fault(f"{at}/down_to", "stair_goes_up", detail)


def _unknown_levels(spec: DeckSpec) -> Iterator[Fault]:
    ids = {level.id for level in spec.levels}
    for at, name, known in _named_levels(spec, ids, ids | {"grade", "pad"}):
        if name not in known:
            yield Fault(at, "unknown_level", "there is no such level", Allowed(one_of=tuple(sorted(known))))


def _named_levels(spec: DeckSpec, ids: set[str], ends: set[str]) -> Iterator[tuple[str, str, set[str]]]:
    for number, stair in enumerate(spec.stairs):
        yield pointer("stairs", number, "level"), stair.level, ids
        yield pointer("stairs", number, "down_to"), stair.down_to, ends
    for number, thing in enumerate(spec.heavy_objects):
        yield pointer("heavy_objects", number, "level"), thing.level, ids
    for number, wall in enumerate(spec.house.edge_walls):
        yield pointer("house", "edge_walls", number, "level"), wall.level, ids


def _stair_faults(
    stair: StairSpec, sides: tuple[Segment, ...], walls: frozenset[int], at: str
) -> Iterator[Fault]:
    if stair.edge >= len(sides):
        yield edge_fault(f"{at}/edge", len(sides))
        return
    if stair.edge in walls:
        yield Fault(f"{at}/edge", "stair_on_house_edge", "this edge is against the house")
    room_ft = length_ft(sides[stair.edge]) - stair.width_in / 12
    if stair.offset_ft > room_ft + _SIXTEENTH_FT:
        yield _off_edge(stair, room_ft, at)


def _off_edge(stair: StairSpec, room_ft: float, at: str) -> Fault:
    if room_ft < 0:
        detail = f"the stair is {-room_ft:.4g} ft wider than edge {stair.edge}"
        return Fault(f"{at}/width_in", "stair_off_edge", detail, Allowed(max=(room_ft * 12 + stair.width_in)))
    detail = f"the stair leaves room for an offset of {room_ft:.4g} ft on edge {stair.edge}"
    return Fault(f"{at}/offset_ft", "stair_off_edge", detail, Allowed(min=0.0, max=round(room_ft, 4)))


def _stair_overlaps(spec: DeckSpec) -> Iterator[Fault]:
    for number, stair in enumerate(spec.stairs):
        if any(_overlap(earlier, stair) for earlier in spec.stairs[:number]):
            detail = "this stair stands where an earlier one does"
            yield Fault(pointer("stairs", number, "offset_ft"), "stairs_overlap", detail)


def _overlap(one: StairSpec, other: StairSpec) -> bool:
    if (one.level, one.edge) != (other.level, other.edge):
        return False
    first, second = sorted((one, other), key=lambda stair: stair.offset_ft)
    return second.offset_ft < first.offset_ft + first.width_in / 12 - _SIXTEENTH_FT


def _object_faults(spec: DeckSpec, named: Named) -> Iterator[Fault]:
    for number, thing in enumerate(spec.heavy_objects):
        at = pointer("heavy_objects", number)
        level, plan = named.get(thing.level, (None, ()))
        if level is not None and plan and not _stands_on(thing, level, plan):
            (x0, y0), _, (x1, y1), _ = footprint(thing)
            detail = f"from x {x0:g} to {x1:g}, y {y0:g} to {y1:g} ft it is not wholly on level {level.id!r}"
            yield Fault(at, "object_off_level", detail)
        if any(_in_one_place(earlier, thing) for earlier in spec.heavy_objects[:number]):
            yield Fault(at, "objects_overlap", "this object stands where an earlier one does")


def _stands_on(thing: HeavyObjectSpec, level: LevelSpec, plan: Polygon) -> bool:
    x, y = level.origin_ft
    return covers(plan, tuple((px + x, py + y) for px, py in footprint(thing)))


def _in_one_place(one: HeavyObjectSpec, other: HeavyObjectSpec) -> bool:
    places = footprint(one), footprint(other)
    return one.level == other.level and all(map(near, places)) and overlap(*places)

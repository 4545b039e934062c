"""Faults of the levels of a spec: their ids, their outlines, and how they lie to each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from service.contract.faults_outline import outline_faults
from service.contract.ids import RESERVED_LEVELS
from service.contract.plan import Polygon, edges_at_walls
from service.contract.polygons import gap_ft, overlap
from service.contract.problem import Fault, pointer
from service.contract.spec import DeckSpec

APART_FT = 1.0  # levels further apart are not one deck (our convention)


def level_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    """Yield the faults of a spec's levels, given their sound outlines."""
    yield from _id_faults(spec)
    for number, level in enumerate(spec.levels):
        yield from outline_faults(level, pointer("levels", number))
    yield from _overlap_faults(spec, plans)
    yield from _float_faults(spec, plans)


def _id_faults(spec: DeckSpec) -> Iterator[Fault]:
    ids = [level.id for level in spec.levels]
    for number, name in enumerate(ids):
        at = pointer("levels", number, "id")
        if name in ids[:number]:
            yield Fault(at, "duplicate_id", "an earlier level has this id")
        if name in RESERVED_LEVELS:
            detail = "this word has a meaning of its own: " + ", ".join(RESERVED_LEVELS) + " are kept"
            yield Fault(at, "reserved_id", detail)


def _overlap_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    for (first, one), (second, other) in combinations(enumerate(plans), 2):
        if one and other and overlap(one, other):
            detail = f"this level covers floor of level {spec.levels[first].id!r} in plan"
            yield Fault(pointer("levels", second), "levels_overlap", detail)


def _float_faults(spec: DeckSpec, plans: tuple[Polygon, ...]) -> Iterator[Fault]:
    if len(plans) < 2 or not all(plans):
        return
    joined = _held(spec) or {0}
    while more := {number for number in range(len(plans)) if _reached(spec, plans, number, joined)} - joined:
        joined |= more
    for number in sorted(set(range(len(plans))) - joined):
        detail = "no house wall, other level or stair joins this level: send it as a deck of its own"
        yield Fault(pointer("levels", number), "level_floats", detail)


def _held(spec: DeckSpec) -> set[int]:
    """The levels at a wall of the house, or with a stair to the ground."""
    ids = {level.id for level in spec.levels}
    grounded = {stair.level for stair in spec.stairs if stair.down_to not in ids}
    return {
        number
        for number, level in enumerate(spec.levels)
        if level.id in grounded or edges_at_walls(level, spec.house)
    }


def _reached(spec: DeckSpec, plans: tuple[Polygon, ...], number: int, joined: set[int]) -> bool:
    """Whether a level lies beside one of those joined already, or a stair leads from one to the other."""
    stairs = {frozenset((stair.level, stair.down_to)) for stair in spec.stairs}
    name = spec.levels[number].id
    return any(
        frozenset((name, spec.levels[other].id)) in stairs or gap_ft(plans[number], plans[other]) <= APART_FT
        for other in joined
    )

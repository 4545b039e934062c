"""A deck beside the hole its house was built in, worked out another way: deeper, on another method, or farther out."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import msgspec

from service.choice.level.case import Case
from service.choice.level.deck_facts import deck_facts
from service.choice.level.joined import with_cheapest_joints
from service.choice.level.level_work import LevelWork
from service.choice.level.worked import Worked, work_deck
from service.choice.search.decide import Decision, best_frame
from service.choice.search.post_rows import OVERHANGS_IN
from service.comparison.beside_house import dug_footings, edge_in, is_dug, needed_edge_in, stands_clear
from service.comparison.compare import compare
from service.comparison.result import MethodResult
from service.foundations.backfill import Excavation
from service.foundations.method import Sized
from service.framing.region import WALL_GAP_IN
from service.sizing.allowed import allowed_cantilever
from service.sizing.lumber import BY_DEPTH
from service.units.finding import SLACK

# A deeper footing may come out wider, and so nearer to the house; one farther out carries more.
ROUNDS = 3
BACK_SPANS_IN = tuple(24.0 * n for n in range(2, 11))  # the rows of the cantilever tables, and past them
CLOSE_SPACING_IN = 12.0
QUARTERS = 5  # a cantilever is a quarter of the span behind it at most: a fifth of both together
Target = Callable[[Excavation, float], float]


@dataclass(frozen=True)
class Beside:
    """The frame answered, the hole beside it, and its footings as they would be dug."""

    decisions: tuple[Decision, ...]
    chosen: Worked
    hole: Excavation
    footings: tuple[Sized, ...]

    @property
    def troubled(self) -> tuple[Sized, ...]:
        """The footings that would stand on fill or within the load line of the house footing."""
        return tuple(one for one in self.footings if not stands_clear(self.hole, one))


@dataclass(frozen=True)
class Deepened:
    """The deck on dug footings with some taken deeper; ``worked`` is null where they do not stand clear even so."""

    result: MethodResult | None
    worked: Worked | None
    deeper: tuple[Sized, ...]

    @property
    def bottom_in(self) -> float:
        """Depth of the deepest one's bottom below the ground at it."""
        return max((_below_grade_in(one) for one in self.deeper), default=0.0)


def _below_grade_in(one: Sized) -> float:
    return one.demand.grade_height_in - one.footing.bottom_height_in


def to_original_ground(hole: Excavation, edge: float) -> float:
    """Return the least depth at which a footing stands in original ground and clear of the load line, in."""
    return max(hole.bearing_depth_in(edge), hole.clear_of_load_line_in(edge))


def to_house_footing(hole: Excavation, _edge: float) -> float:
    """Return the level of the house footing, in below the datum."""
    return hole.depth_in


def deepened(beside: Beside, target: Target) -> Deepened:
    """Return the deck on the best dug method, each troubled footing deeper: the same rules, asked for more depth."""
    least: dict[str, float] = {}
    works, sized = beside.chosen.levels, beside.footings
    best: MethodResult | None = None
    for _ in range(ROUNDS):
        low = [one for one in sized if not stands_clear(beside.hole, one)]
        asked = {one.demand.footing_id: _asked_in(beside.hole, one, target) for one in low}
        if all(asked[name] <= least.get(name, 0.0) for name in asked):
            break
        least |= {name: max(depth, least.get(name, 0.0)) for name, depth in asked.items()}
        works = tuple(_with_depths(work, least) for work in beside.chosen.levels)
        best = _best_dug(works)
        sized = best.sized if best else ()
    stands = best is not None and best.feasible and all(stands_clear(beside.hole, one) for one in sized)
    return Deepened(
        result=best,
        worked=on_method(works, best.method) if best is not None and stands else None,
        deeper=tuple(one for one in sized if one.demand.footing_id in least),
    )


def _asked_in(hole: Excavation, one: Sized, target: Target) -> float:
    """The depth to ask for below the ground at a footing; on a slope the method adds what its lower side needs."""
    down_in = one.demand.downhill_in(one.footing.width_in)
    return target(hole, edge_in(one)) + one.demand.grade_height_in - down_in


def _with_depths(work: LevelWork, least: Mapping[str, float]) -> LevelWork:
    demands = tuple(
        replace(demand, least_bottom_depth_in=least.get(demand.footing_id, 0.0)) for demand in work.demands
    )
    return replace(work, demands=demands)


def _best_dug(works: Sequence[LevelWork]) -> MethodResult | None:
    case = works[0].case
    demands = [demand for work in works for demand in work.demands]
    context, deck = case.context, deck_facts([work.case for work in works])
    found = compare(demands, case.criteria, case.spec, context.prices, context.facts, deck)
    return next((one for one in found.results if is_dug(one)), None)


def on_method(works: Sequence[LevelWork], method: str) -> Worked:
    """Return a deck on one footing method, whatever the spec asks for."""
    return work_deck([replace(work, case=_pinned(work.case, method)) for work in works])


def _pinned(case: Case, method: str) -> Case:
    foundation = msgspec.structs.replace(case.spec.foundation, method=method)
    return replace(case, spec=msgspec.structs.replace(case.spec, foundation=foundation))


def centre_in(hole: Excavation, troubled: Sequence[Sized]) -> float:
    """Return how far from the house a row has to run for these footings to stand clear at their depths, in."""
    return needed_edge_in(hole, troubled) + max(one.footing.width_in for one in troubled) / 2.0


def reach_in(case: Case, attached: bool) -> float:
    """Return how far from the house the row nearest to it could run, in; never less than any frame can do.

    Standing free, joists cantilever a quarter of the span behind at most and what the tables have for the best size;
    beams that end at the house overhang a quarter of theirs. Joists on a ledger may have their row anywhere.
    """
    whole_in = _depth_in(case) - WALL_GAP_IN
    if attached:
        return whole_in
    allowed = (
        allowed_cantilever(case.criteria, size, CLOSE_SPACING_IN, back).value_in
        for size in BY_DEPTH
        for back in BACK_SPANS_IN
    )
    most_in = max((one for one in allowed if one is not None), default=0.0)
    return min(whole_in / QUARTERS, max(most_in, OVERHANGS_IN[-1]))


def _depth_in(case: Case) -> float:
    """How far the level reaches out from its walls; of walls that meet, the longer way."""
    left, near, right, far = case.outline.polygon.bounds
    edges = [side.edge for side in case.outline.house_sides]
    across = [far - near] if all(abs(edge.along[1]) < SLACK for edge in edges) else [far - near, right - left]
    return 12.0 * max(across)


def moved(beside: Beside) -> Worked | None:
    """Return the best frame with its rows so far out that every footing stands clear, dug; None where there is none."""
    troubled: Sequence[Sized] = beside.troubled
    off_in = 0.0
    for _ in range(ROUNDS):
        off_in = max(off_in + 1.0, float(math.ceil(centre_in(beside.hole, troubled) - SLACK)))
        worked = _kept_off(beside, off_in)
        dug = dug_footings(worked.comparison, worked.method) if worked else ()
        if worked is None or not dug:
            return None
        troubled = [one for one in dug if not stands_clear(beside.hole, one)]
        if not troubled:
            forbidden = worked.verdict.status == "not_permitted" != beside.chosen.verdict.status
            return None if forbidden else worked
    return None


def _kept_off(beside: Beside, off_in: float) -> Worked | None:
    """The deck with every level that has a troubled footing framed anew, its posts so far from the house.

    It stands on dug footings, so that the search itself sees what standing on fill means.
    """
    method = beside.footings[0].footing.method
    names = {one.demand.footing_id for one in beside.troubled}
    levels: list[LevelWork] = []
    for work, decision in zip(beside.chosen.levels, beside.decisions, strict=True):
        if names.isdisjoint(demand.footing_id for demand in work.demands):
            levels.append(work)
            continue
        case = replace(_pinned(work.case, method), joints={}, clear_of_house_in=off_in)
        found = best_frame(case, "ledger" if work.attached else "freestanding")
        if found is None:
            return None
        levels += with_cheapest_joints(found, decision.objective).levels
    return on_method(levels, method)

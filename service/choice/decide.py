"""From a level and its wishes to the frame answered, and the ones it was weighed against."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from service.choice.ask import Ask
from service.choice.house_side import landing_sizes
from service.choice.limits import Limits
from service.choice.search import Scored, candidates, on_posts, shortlist
from service.choice.space import space_of, without_pins
from service.choice.worked import Case, Worked, best_of, work_out
from service.contract.spec import DeckSpec
from service.framing.layout import Layout
from service.sizing.allowed import without_rule
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import PriceLadder

Attachment = Literal["ledger", "freestanding"]
PER_FOOTING_COUNT = 1
MOST_WORKED_OUT = 3


@dataclass(frozen=True)
class Option:
    """One way to support the house side; ``worked`` is null where no frame was found."""

    kind: Attachment
    worked: Worked | None


@dataclass(frozen=True)
class Decision:
    """The frame answered, both options, and where pins can't stand the nearest frame that does."""

    chosen: Worked | None
    options: tuple[Option, ...]
    nearest: Worked | None
    objective: str


def kinds(spec: DeckSpec) -> tuple[Attachment, ...]:
    """Return the ways to support the house side that are worked out."""
    if spec.house.wall == "none" or spec.levels[0].house_edges == ():
        return ("freestanding",)
    return ("ledger", "freestanding")


def _lumber_price(case: Case) -> Callable[[Layout], float | None]:
    prices = case.context.prices
    if prices is None:
        return lambda _: None
    ladder = PriceLadder(prices)
    species, grade = case.ask.criteria.species, case.ask.criteria.grade

    @cache
    def piece(size: str, length_in: float) -> float | None:
        longest = min(length_in, case.ask.stock_in)
        item = lumber(size, species, grade, treatment(species, ground_contact=False))
        found = ladder.price_per_piece(item, longest)
        return None if found is None else float(found) * length_in / longest

    def price(layout: Layout) -> float | None:
        joists = piece(layout.joist_size, layout.joist_end_in - layout.joist_start_in)
        beam = piece(layout.beam_size, layout.width_in)
        if joists is None or beam is None:
            return None
        count = layout.width_in / layout.spacing_in + 1
        return joists * count + beam * layout.beam_plies * len(layout.beam_ys_in)

    return price


def _narrowed(case: Case, kind: Attachment) -> Ask:
    """A ledger is tried with the joist sizes that land it best on the wall."""
    if kind == "freestanding" or len(case.ask.space.joist_sizes) == 1:
        return case.ask
    sizes = landing_sizes(case.ask, case.spec, case.ask.space.joist_sizes)
    return replace(case.ask, space=replace(case.ask.space, joist_sizes=sizes))


def _objective(case: Case) -> str:
    if case.context.prices is None:
        return "fewest_footings"
    return "cost" if case.spec.framing.objective == "cost" else "fewest_footings"


def _found(case: Case, kind: Attachment, keep_failing: bool) -> list[Scored]:
    ask, limits = _narrowed(case, kind), Limits(case.ask.criteria)
    found = candidates(ask, limits, kind, _lumber_price(case), keep_failing)
    return shortlist(found, _objective(case), PER_FOOTING_COUNT, lambda one: on_posts(ask, limits, one))


def _footing_cost(worked: Sequence[Worked]) -> float:
    """What one more footing costs, by the frame worked out last; 0 before the first or without prices."""
    if not worked or worked[-1].method is None or worked[-1].method.compared.cost is None:
        return 0.0
    return float(worked[-1].method.compared.cost.likely) / max(1, worked[-1].footings)


def _worked_out(case: Case, short: list[Scored]) -> list[Worked]:
    """Work out the most promising frames: lumber by its ladder, footings at what the last one showed."""
    left, worked = list(short), list[Worked]()
    while left and len(worked) < MOST_WORKED_OUT:
        each = _footing_cost(worked)
        promising = min(left, key=lambda one: (one.cost or 0.0) + each * one.footings)
        left.remove(promising)
        worked.append(work_out(case, promising.layout))
    return worked


def best_frame(case: Case, kind: Attachment) -> Worked | None:
    """Return the best frame of one kind; where nothing stands, the one that fails least."""
    if without_rule(case.ask.criteria):
        return None
    short = _found(case, kind, keep_failing=False)
    if not short:
        least = _found(case, kind, keep_failing=True)[:1]
        return best_of([work_out(case, one.layout) for one in least], _objective(case))
    return best_of(_worked_out(case, short), _objective(case))


def _wanted(spec: DeckSpec, options: Sequence[Option], objective: str) -> Worked | None:
    pinned = [o for o in options if o.kind == spec.framing.attachment]
    pool = [o.worked for o in pinned or options if o.worked is not None]
    proven = [one for one in pool if pinned or not _unproven(one)]
    return best_of(proven or pool, objective)


def _unproven(worked: Worked) -> bool:
    """A ledger on a wall nobody has described is shown, not chosen: the deck stands free (R507.8)."""
    found = worked.ledger.reasons if worked.ledger else ()
    return any(one.code in ("ledger_on_unknown_wall", "sill_height_missing") for one in found)


def unpinned(case: Case) -> Case:
    """Return the case with no size pinned, either way of support open."""
    free = without_pins(case.spec)
    space = space_of(free, case.level, case.ask.criteria, case.guarded)
    return replace(case, spec=free, ask=replace(case.ask, space=space))


def _nearest(case: Case, chosen: Worked | None, objective: str) -> Worked | None:
    if chosen is not None and chosen.verdict.status == "prescriptive":
        return None
    free = unpinned(case)
    if free.spec == case.spec:
        return None
    options = [best_frame(free, kind) for kind in kinds(free.spec)]
    best = best_of([one for one in options if one is not None], objective)
    rank = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
    if best is None or (chosen and rank[best.verdict.status] >= rank[chosen.verdict.status]):
        return None
    return best


def decide(case: Case) -> Decision:
    """Work out both ways to support the house side and choose: verdict first, then the objective."""
    objective = _objective(case)
    options = tuple(Option(kind, best_frame(case, kind)) for kind in kinds(case.spec))
    chosen = _wanted(case.spec, options, objective)
    return Decision(chosen, options, _nearest(case, chosen, objective), objective)

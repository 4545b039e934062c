"""From a level and its wishes to the frame answered, and the ones it was weighed against."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from service.choice.ask import Ask
from service.choice.case import Case
from service.choice.house_side import landing_sizes
from service.choice.joined import with_cheapest_joints
from service.choice.limits import Limits
from service.choice.plans import Attachment, Plan, plans
from service.choice.search import Scored, candidates, has_rows, on_posts, shortlist
from service.choice.space import space_of, without_pins
from service.choice.worked import Worked, best_of, work_out
from service.contract.spec import DeckSpec
from service.framing.layout import Layout
from service.framing.region import Region
from service.sizing.allowed import without_rule
from service.takeoff.items import lumber, treatment
from service.takeoff.ladders import PriceLadder

PER_FOOTING_COUNT = 1
MOST_WORKED_OUT = 3
# Asked whichever way joists run; failing checks are looked at one by one.
NO_PLAN_HELPS = (
    "heavy_object", "guard_connector_unproven", "guard_omitted", "pile_policy_needs_engineer", "snow_above_tables",
    "live_load_above_tables", "dead_load_above_tables", "soil_needs_engineer", "slope_needs_engineer", "check_failed",
)  # fmt: skip


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


def kinds(case: Case) -> tuple[Attachment, ...]:
    """Return the ways to support the house side that are worked out: a ledger only where joists can end at a wall."""
    hangs = case.touches_house and any(plan.attached for plan in plans(case, "ledger"))
    asked = case.touches_house and case.spec.framing.attachment == "ledger"
    return ("ledger", "freestanding") if hangs or asked else ("freestanding",)


def _lumber_price(case: Case, ask: Ask) -> Callable[[Layout], float | None]:
    prices = case.context.prices
    if prices is None:
        return lambda _: None
    ladder = PriceLadder(prices)
    species, grade = case.criteria.species, case.criteria.grade

    @cache
    def piece(size: str, length_in: float, beam: bool = False) -> float | None:
        longest = min(length_in, case.stock_in)
        item = lumber(size, species, grade, treatment(species, ground_contact=False, hard_to_replace=beam))
        found = ladder.price_per_piece(item, longest)
        return None if found is None else float(found) * length_in / longest

    def price(layout: Layout) -> float | None:
        lengths = [
            (count, piece(layout.joist_size, length))
            for count, length in ask.joist_lengths[layout.spacing_in]
            if length
        ]
        beams = [(layout.beam_plies, piece(layout.beam_size, row.length_in, True)) for row in layout.rows]
        total = 0.0
        for count, each in (*lengths, *beams):
            if each is None:
                return None
            total += count * each
        return total

    return price


def _narrowed(case: Case, ask: Ask) -> Ask:
    """A ledger is tried with the joist sizes that land it best on the wall."""
    if not ask.region.attached or len(ask.space.joist_sizes) == 1:
        return ask
    sizes = landing_sizes(ask, case.spec, ask.space.joist_sizes)
    return replace(ask, space=replace(ask.space, joist_sizes=sizes))


def _objective(case: Case) -> str:
    if case.context.prices is None:
        return "fewest_footings"
    return "cost" if case.spec.framing.objective == "cost" else "fewest_footings"


def _found(case: Case, region: Region, keep_failing: bool) -> list[Scored]:
    ask, limits = _narrowed(case, case.ask(region)), Limits(case.criteria)
    found = candidates(ask, limits, _lumber_price(case, ask), keep_failing)
    return shortlist(found, _objective(case), PER_FOOTING_COUNT, lambda one: on_posts(ask, limits, one))


def _footing_cost(worked: Sequence[Worked]) -> float:
    """What one more footing costs, by the frame worked out last; 0 before the first or without prices."""
    if not worked or worked[-1].method is None or worked[-1].method.cost is None:
        return 0.0
    return float(worked[-1].method.cost.likely) / max(1, worked[-1].footings)


def _worked_out(case: Case, short: list[Scored]) -> list[Worked]:
    """Work out the most promising frames: lumber by its ladder, footings at what the last one showed."""
    left, worked = list(short), list[Worked]()
    while left and len(worked) < MOST_WORKED_OUT:
        each = _footing_cost(worked)
        promising = min(left, key=lambda one: (one.cost or 0.0) + each * one.footings)
        left.remove(promising)
        worked.append(work_out(case, (promising.layout,)))
    return worked


def _of_plan(case: Case, plan: Plan, keep_failing: bool) -> Worked | None:
    """The best frame of a plan; of several regions, each with its own best."""
    shorts = [_found(case, region, keep_failing) for region in plan.regions]
    if not all(shorts):
        return None
    if keep_failing:
        return work_out(case, [short[0].layout for short in shorts])
    if len(shorts) == 1:
        return best_of(_worked_out(case, shorts[0]), _objective(case))
    first = work_out(case, [short[0].layout for short in shorts])
    each = _footing_cost([first])
    again = [min(short, key=lambda one: (one.cost or 0.0) + each * one.footings).layout for short in shorts]
    return best_of([first, work_out(case, again)], _objective(case))


def best_frame(case: Case, kind: Attachment) -> Worked | None:
    """Return the best frame of one kind; where nothing stands, the one that fails least."""
    if without_rule(case.criteria):
        return None
    every = list(plans(case, kind))
    # Where no joist can end at a wall, a ledger that is asked for still gets an answer: why there is none.
    ways = [plan for plan in every if kind == "freestanding" or plan.attached] or every[:1]
    found = list[Worked]()
    for plan in ways:
        if found and _enough(case, best_of(found, _objective(case)), plan):
            break
        one = _of_plan(case, plan, keep_failing=False)
        found += [one] if one is not None else []
    if not found and ways:
        least = _of_plan(case, ways[0], keep_failing=True)
        found = [least] if least is not None else []
    return best_of(found, _objective(case))


def _enough(case: Case, best: Worked | None, following: Plan) -> bool:
    """Whether what is found is not worth another plan.

    Joists run away from the house (common practice); along it they are tried where that does not stand by the
    tables, or where the deck reaches out farther than it is wide; in two directions only where one does not do.
    """
    if best is None:
        return False
    settled = {*NO_PLAN_HELPS, *(reason.code for reason in case.site.reasons)}
    if any(reason.code not in settled for reason in best.verdict.reasons) or _own_failure(case, best):
        return False
    if len(following.regions) > 1:
        return True
    left, near, right, far = case.outline.polygon.bounds
    return bool(far - near <= right - left)


def _wanted(spec: DeckSpec, options: Sequence[Option], objective: str) -> Worked | None:
    pinned = [o for o in options if o.kind == spec.framing.attachment]
    pool = [o.worked for o in pinned or options if o.worked is not None]
    proven = [one for one in pool if pinned or not _unproven(one)]
    return best_of(proven or pool, objective)


def _unproven(worked: Worked) -> bool:
    """A ledger on a wall nobody has described is shown, not chosen: the deck stands free (R507.8)."""
    found = (one for ledger in worked.ledgers for one in ledger.reasons)
    return any(one.code in ("ledger_on_unknown_wall", "sill_height_missing") for one in found)


def unpinned(case: Case) -> Case:
    """Return the case with no size pinned, either way of support open."""
    free = without_pins(case.spec)
    return case.with_space(free, space_of(free, case.level, case.criteria, case.guarded))


def _own_failure(case: Case, best: Worked) -> bool:
    """Whether a check of the frame fails that does not fail with any frame."""
    site = {(found.member, found.check) for found in case.site.findings}
    return any(
        not found.passes and found.basis != "calculated" and (found.member, found.check) not in site
        for found in best.judged.findings
    )


def unframed(case: Case) -> bool:
    """Return whether the outline alone keeps every frame away: no rows of beams can be laid under its edges."""
    ways = (plan for kind in kinds(case) for plan in plans(case, kind))
    return not any(all(has_rows(case.ask(region)) for region in plan.regions) for plan in ways)


def _nearest(case: Case, chosen: Worked | None, objective: str) -> Worked | None:
    if chosen is not None and chosen.verdict.status == "prescriptive":
        return None
    free = unpinned(case)
    if free.spec == case.spec:
        return None
    options = [_joined(best_frame(free, kind), objective) for kind in kinds(free)]
    best = best_of([one for one in options if one is not None], objective)
    rank = {"prescriptive": 0, "engineer_required": 1, "not_permitted": 2}
    if best is None or (chosen and rank[best.verdict.status] >= rank[chosen.verdict.status]):
        return None
    return best


def _joined(found: Worked | None, objective: str) -> Worked | None:
    return None if found is None else with_cheapest_joints(found, objective)


def decide(case: Case) -> Decision:
    """Work out both ways to support the house side and choose: verdict first, then the objective."""
    objective = _objective(case)
    options = tuple(Option(kind, _joined(best_frame(case, kind), objective)) for kind in kinds(case))
    chosen = _wanted(case.spec, options, objective)
    return Decision(chosen, options, _nearest(case, chosen, objective), objective)

"""From a level and its wishes to the frame answered, and the ones it was weighed against."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from service.choice.level.ask import Ask
from service.choice.level.case import Case
from service.choice.level.frame_price import FramePrices
from service.choice.level.house_side import landings
from service.choice.level.joined import with_cheapest_joints
from service.choice.level.limits import Limits
from service.choice.level.space import space_of, without_pins
from service.choice.level.worked import Worked, best_of
from service.choice.search.arranging import Arranging
from service.choice.search.best_first import ObjectiveWord, Order
from service.choice.search.field import Desk
from service.choice.search.footing_price import FootingPrices
from service.choice.search.found import (
    Found,
    as_good_as_any,
    best_of_found,
    least_failing,
    most_of,
    over_ceiling,
    parts_best,
    proven_best,
    stiffest,
)
from service.choice.search.plans import Attachment, Plan, plans
from service.choice.search.search import Search, has_rows
from service.comparison.result import STATUS_RANK
from service.contract.spec import DeckSpec
from service.framing.region import Region
from service.sizing.allowed import without_rule

OTHER_WAY = "the other way of support may be cheaper: the footings of some of its frames were not worked out"
TO_ANSWER = Order("cost", thorough=True)
TO_SHOW = Order("cost", sets=25)  # fewer sets of footings for a way of support that is only shown


@dataclass(frozen=True)
class Option:
    """One way to support the house side; ``found`` is null where no frame was found."""

    kind: Attachment
    found: Found | None

    @property
    def worked(self) -> Worked | None:
        """The frame worked out."""
        return self.found.worked if self.found else None


@dataclass(frozen=True)
class Decision:
    """The frame answered, and both options."""

    case: Case
    chosen: Worked | None
    options: tuple[Option, ...]
    objective: ObjectiveWord

    @cached_property
    def nearest(self) -> Worked | None:
        """Where pins can't stand the nearest frame that does, searched for when it is asked for."""
        return _nearest(self.case, self.chosen, self.objective)

    @property
    def found(self) -> Found | None:
        """The frame answered with the searches it comes from."""
        return next((one.found for one in self.options if one.found and one.worked is self.chosen), None)


def kinds(case: Case) -> tuple[Attachment, ...]:
    """Return the ways to support the house side that are worked out: a ledger only where joists can end at a wall."""
    hangs = case.touches_house and any(plan.attached for plan in plans(case, "ledger"))
    asked = case.touches_house and case.spec.framing.attachment == "ledger"
    return ("ledger", "freestanding") if hangs or asked else ("freestanding",)


def _landed(case: Case, ask: Ask) -> Ask:
    """A ledger is tried with the joist sizes that may land it on the wall; how they do counts as their limit."""
    if not ask.region.attached:
        return ask
    found = landings(ask, case.spec, ask.space.joist_sizes)
    return replace(ask, space=replace(ask.space, joist_sizes=tuple(found)), landings=found)


def objective_of(case: Case) -> ObjectiveWord:
    """Return what the best frame has least of."""
    return "no_prices" if case.context.prices is None else case.spec.framing.objective


def search_of(case: Case, region: Region) -> Search:
    """Return the search over the frames of one region."""
    ask = _landed(case, case.ask(region))
    arranging = Arranging(ask, Limits(case.criteria))
    return Search(Desk(arranging, FramePrices(case), FootingPrices(case), case.stairs))


def _of_plan(case: Case, plan: Plan, order: Order) -> Found | None:
    """The best frame of a plan; of several regions, each with its own best."""
    searches = tuple(search_of(case, region) for region in plan.regions)
    if len(searches) == 1:
        return proven_best(case, searches[0], order)
    return parts_best(case, searches, order)


def best_found(case: Case, kind: Attachment, order: Order) -> Found | None:
    """Return the best frame of one kind; where nothing stands, the one that fails least."""
    if without_rule(case.criteria):
        return None
    every = list(plans(case, kind))
    # Where no joist can end at a wall, a ledger that is asked for still gets an answer: why there is none.
    ways = [plan for plan in every if kind == "freestanding" or plan.attached] or every[:1]
    found = list[Found]()
    for plan in ways:
        if found and _enough(case, best_of_found(found, order).worked, plan):
            break
        one = _of_plan(case, plan, order)
        found += [one] if one is not None else []
    if found:
        return best_of_found(found, order)
    return (
        least_failing(case, [search_of(case, region) for region in ways[0].regions], order) if ways else None
    )


def best_frame(case: Case, kind: Attachment) -> Worked | None:
    """Return the best frame of one kind by the objective of its spec."""
    found = _by_objective(case, kind, TO_ANSWER)
    return found.worked if found else None


def _by_objective(case: Case, kind: Attachment, order: Order) -> Found | None:
    """The best of one kind by any objective; the stiffest as if there were no other kind."""
    objective = objective_of(case)
    if objective != "stiffness":
        return best_found(case, kind, order._replace(objective=objective))
    cheapest = best_found(case, kind, order)
    return stiffest(case, cheapest, order, most_of(cheapest.worked)) if cheapest else None


def _enough(case: Case, best: Worked, following: Plan) -> bool:
    """Whether what is found is not worth another plan.

    Joists run away from the house (common practice); along it they are tried where that does not stand by the
    tables, or where the deck reaches out farther than it is wide; in two directions only where one does not do.
    """
    if len(following.regions) > 1:
        return as_good_as_any(case, best)
    return away_suffices(case, best)


def away_suffices(case: Case, best: Worked) -> bool:
    """Return whether joists along the house are not looked at beside a frame with joists away from it."""
    left, near, right, far = case.outline.polygon.bounds
    return bool(far - near <= right - left) and as_good_as_any(case, best)


def _pool(spec: DeckSpec, options: Sequence[Option]) -> list[Worked]:
    """The frames that one is chosen from."""
    pinned = [o for o in options if o.kind == spec.framing.attachment]
    pool = [o.worked for o in pinned or options if o.worked is not None]
    proven = [one for one in pool if pinned or not unproven(one)]
    return proven or pool


def _wanted(spec: DeckSpec, options: Sequence[Option], objective: str) -> Worked | None:
    return best_of(_pool(spec, options), objective)


def unproven(worked: Worked) -> bool:
    """Return whether a ledger is on a wall nobody has described: that is shown, not chosen, by R507.8."""
    found = (one for ledger in worked.ledgers for one in ledger.reasons)
    return any(one.code in ("ledger_on_unknown_wall", "sill_height_missing") for one in found)


def unpinned(case: Case) -> Case:
    """Return the case with no size pinned, either way of support open."""
    free = without_pins(case.spec)
    return case.with_space(free, space_of(free, case.level, case.criteria, case.guarded))


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
    best = _free_best(free, objective)
    if best is None or (chosen and STATUS_RANK[best.verdict.status] >= STATUS_RANK[chosen.verdict.status]):
        return None
    return best


def _free_best(free: Case, objective: str) -> Worked | None:
    """The best frame with no size pinned, either way of support; the stiffest under the one ceiling of the deck."""
    if objective == "stiffness":
        return _stiffest_of(free, Order("cost")).chosen
    options = [_joined(_by_objective(free, kind, Order("cost")), objective) for kind in kinds(free)]
    return best_of([one.worked for one in options if one is not None], objective)


def _joined(found: Found | None, objective: str) -> Found | None:
    return None if found is None else replace(found, worked=with_cheapest_joints(found.worked, objective))


def _options(case: Case, objective: ObjectiveWord) -> Iterator[Option]:
    """Both ways of support; beside one that stands by the tables the other one is not worth a long proof."""
    before = list[Option]()
    for kind in kinds(case):
        shown = _stands(before) and case.spec.framing.attachment != kind
        found = _by_objective(case, kind, TO_SHOW if shown else TO_ANSWER)
        before.append(Option(kind, _joined(found, objective)))
        yield before[-1]


def _stands(options: Sequence[Option]) -> bool:
    """Whether the first of some ways of support stands by the tables."""
    first = options[0].worked if options else None
    return first is not None and first.verdict.status == "prescriptive"


def _may_be_cheaper(shown: Option, chosen: Worked, objective: str) -> bool:
    """Whether a way of support was cut before it was sure to be the dearer one."""
    if shown.found is None or shown.found.proven or chosen.price is None or objective != "cost":
        return False
    fields = (field for search in shown.found.searches for field in search.fields)
    return any(bool((field.least < chosen.price.total).any()) for field in fields)


def _stiffest_of(case: Case, order: Order) -> Decision:
    """The stiffest frame of both ways of support within one ceiling for the deck; where none is, the cheapest."""
    cheapest = tuple(Option(kind, best_found(case, kind, order)) for kind in kinds(case))
    base = best_of(_pool(case.spec, cheapest), "cost")
    most = most_of(base) if base is not None else None
    found = tuple(
        Option(one.kind, _joined(stiffest(case, one.found, order, most), "stiffness") if one.found else None)
        for one in cheapest
    )
    pool = _pool(case.spec, found)
    within = [one for one in pool if not over_ceiling(case, one, most)]
    best = best_of(within, "stiffness")
    known = best_of(pool, "cost")
    if best is None or (known and STATUS_RANK[known.verdict.status] < STATUS_RANK[best.verdict.status]):
        best = known
    return Decision(case, best, found, "stiffness")


def decide(case: Case) -> Decision:
    """Work out both ways to support the house side and choose: verdict first, then the objective."""
    objective = objective_of(case)
    if objective == "stiffness":
        return _stiffest_of(case, TO_ANSWER)
    options = tuple(_options(case, objective))
    chosen = _wanted(case.spec, options, objective)
    shown = options[-1]
    again = len(options) > 1 and _stands(options) and shown.kind != case.spec.framing.attachment
    if again and chosen is not None and (shown.worked is chosen or _may_be_cheaper(shown, chosen, objective)):
        options = (
            *options[:-1],
            Option(shown.kind, _joined(_by_objective(case, shown.kind, TO_ANSWER), objective)),
        )
        chosen = _wanted(case.spec, options, objective)
    if case.spec.framing.attachment == "auto" and chosen is not None:
        options = tuple(_as_sure(one, options, chosen, objective) for one in options)
    return Decision(case, chosen, options, objective)


def _as_sure(one: Option, options: Sequence[Option], chosen: Worked, objective: str) -> Option:
    """An option; the one chosen is proven only where the other way of support can't be cheaper either."""
    if one.found is None or one.worked is not chosen or not one.found.proven:
        return one
    if any(_may_be_cheaper(other, chosen, objective) for other in options if other is not one):
        return Option(one.kind, replace(one.found, why_not_proven=OTHER_WAY))
    return one

"""What can be done where footings stand in the hole the house was built in: five ways, each worked out and priced."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from service.choice.level.worked import Worked, work_deck
from service.choice.search.decide import Decision
from service.choice.wishes.beside import figures_of
from service.choice.wishes.beside_house import (
    Beside,
    Deepened,
    centre_in,
    deepened,
    moved,
    on_method,
    reach_in,
    to_house_footing,
    to_original_ground,
)
from service.choice.wishes.described import ledger_words, whole_cost
from service.choice.wishes.figures import change
from service.comparison.beside_house import (
    dug_footings,
    footing_beside,
    near_house,
    needed_edge_in,
    zone_widths,
)
from service.comparison.network import DIG
from service.contract.money import Money, money
from service.contract.report_comparison import GroundBesideHouse, GroundOption, Status
from service.foundations.backfill import Excavation, excavation
from service.framing.region import WALL_GAP_IN
from service.units.finding import SLACK
from service.units.text import feet_inches, sentence
from service.units.working import Step, step

PILE = "helical_pile"
ENTERED_IN = 60.0
OSHA = (
    " A hole deeper than 5 ft that people enter needs its sides shored or sloped (29 CFR 1926.652(a)(1), from memory): "
    "that is not priced here."
)


def ground_beside_house(decisions: Sequence[Decision], chosen: Worked) -> GroundBesideHouse | None:
    """Return the hole beside the house, the footings at it, and what can be done; None where none is near enough.

    The options are worked out only where a dug footing would stand on fill or in the load line.
    """
    case = chosen.levels[0].case
    hole = excavation(case.criteria, case.context.facts)
    if hole is None:
        return None
    footings = dug_footings(chosen.comparison, chosen.method)
    near_in = case.context.facts.value("near_house")
    near = [one for one in footings if near_house(hole, one, near_in)]
    if not near:
        return None
    beside = Beside(tuple(decisions), chosen, hole, footings)
    frost_in = case.criteria.ground.frost_depth_in
    return GroundBesideHouse(
        foundation_depth_in=hole.depth_in,
        excavation_slope=hole.slope_word,
        working_room_in=hole.working_room_in,
        zone=zone_widths(hole, frost_in),
        footings=tuple(footing_beside(hole, one) for one in near),
        options=tuple(_options(beside)) if beside.troubled else (),
        working=_working(hole, frost_in),
    )


def _working(hole: Excavation, frost_in: float) -> tuple[Step, ...]:
    said = "|H - d| / tan(45 deg), the load line of the house footing"
    at_in = min(frost_in, hole.depth_in)
    return (*hole.steps(at_in), step("x", hole.load_line_in(at_in), "in", said))


def _options(beside: Beside) -> Iterator[GroundOption]:
    dug = deepened(beside, to_original_ground)
    yield _dig(beside, dug)
    yield _deepen(beside, dug)
    yield _piles(beside)
    yield _move(beside)
    yield _ledger(beside)


def _option(
    option: str, beside: Beside, worked: Worked | None, because: str, status: Status | None = None
) -> GroundOption:
    """An option with its figures, or, with no frame for it, why there are none."""
    cost = _cost(beside, worked) if worked else None
    return GroundOption(
        option=option,
        possible=worked is not None,
        verdict=worked.verdict.status if worked else status,
        footings=worked.footings if worked else None,
        cost=cost,
        cost_difference=_difference(cost, _cost(beside, beside.chosen)),
        days=worked.days if worked else None,
        because=sentence(because),
    )


def _cost(beside: Beside, worked: Worked) -> Money | None:
    """What a deck costs with its footings; null where a price of theirs is missing, as the rest would look cheap.

    Another frame of the decision costs what it is told for among the ways of support; on other footings, or moved, by
    its own order.
    """
    ours, base = beside.chosen, whole_cost(beside.chosen)
    if worked.method is None or worked.method.cost is None:
        return None
    if worked is ours or worked.price is None or ours.price is None or base is None:
        return whole_cost(worked)
    more = change(figures_of(ours, [ours]), figures_of(worked, [worked])).cost
    return None if more is None else money(base.currency, Decimal(base.amount) + more)


def _difference(cost: Money | None, answered: Money | None) -> Money | None:
    if cost is None or answered is None:
        return None
    return money(cost.currency, Decimal(cost.amount) - Decimal(answered.amount))


def _dig(beside: Beside, dug: Deepened) -> GroundOption:
    because = (
        f"{_taken(beside, dug)} {beside.hole.cover_in:g} in into ground that was never dug, or to the house footing, "
        f"and outside the load line of the house footing, down to {_depth(dug.bottom_in)}"
    )
    return _deeper("dig_to_original_ground", beside, dug, because)


def _deepen(beside: Beside, dug: Deepened) -> GroundOption:
    at_in = beside.hole.depth_in
    already = all(abs(one.footing.bottom_height_in + at_in) < SLACK for one in dug.deeper)
    level = dug if dug.worked and already else deepened(beside, to_house_footing)
    if any(-one.footing.bottom_height_in > at_in + SLACK for one in level.deeper):
        return _option("deepen_to_house_footing", beside, None, _none(beside, level))
    because = (
        f"{_taken(beside, level)} to the level of the house footing, {_depth(at_in)} below grade, as DCA 6 asks within "
        "5 ft of the house, and never below it (29 CFR 1926.651(i)(2))"
    )
    return _deeper("deepen_to_house_footing", beside, level, because)


def _deeper(option: str, beside: Beside, dug: Deepened, because: str) -> GroundOption:
    """The option of deeper holes; their digging is in the schedule, which goes by the size of the holes."""
    if dug.worked is None or dug.result is None:
        return _option(option, beside, None, _none(beside, dug))
    hours = dug.result.table.task_hours(DIG) if dug.result.table else 0.0
    return _option(
        option, beside, dug.worked, f"{because}; all holes take {hours:.3g} hours to dig.{_protected(dug)}"
    )


def _taken(beside: Beside, dug: Deepened) -> str:
    name = _plain(dug.result.method) if dug.result else "footings"
    return f"{name}, {len(dug.deeper)} of {len(beside.footings)} taken"


def _protected(dug: Deepened) -> str:
    return OSHA if dug.bottom_in > ENTERED_IN else ""


def _none(beside: Beside, dug: Deepened) -> str:
    """Why no depth serves: no method for it, or the rules ask for a bottom that would undermine the house."""
    if dug.result is None:
        return "no footing of concrete can be worked out this deep here"
    if dug.result.why_not:
        return f"{_plain(dug.result.method)}: {dug.result.why_not[0].text}"
    return (
        f"the rules ask for a bottom at {_depth(dug.bottom_in)}, the house footing stands at "
        f"{_depth(beside.hole.depth_in)}: a hole this near would undermine it (29 CFR 1926.651(i)(2))"
    )


def _depth(depth_in: float) -> str:
    return f"{depth_in:.4g} in"


def _plain(method: str) -> str:
    return method.replace("_", " ")


def _piles(beside: Beside) -> GroundOption:
    result = beside.chosen.comparison.result(PILE)
    if result is None or not result.feasible or not result.sized:
        said = result.why_not[0].text if result and result.why_not else "none is worked out here"
        return _option("pile_through", beside, None, f"helical piles can't serve: {said}")
    worked = beside.chosen if beside.chosen.method is result else on_method(beside.chosen.levels, PILE)
    longest_ft = max(one.footing.pile.length_ft for one in result.sized if one.footing.pile)
    because = (
        f"piles at {len(beside.troubled)} of {len(result.sized)} places go through the fill and bear in original "
        f"ground, below the house footing at {_depth(beside.hole.depth_in)} where they stand over it; the longest "
        f"is {longest_ft:g} ft, and no hole is opened beside the house"
    )
    return _option("pile_through", beside, worked, because)


def _move(beside: Beside) -> GroundOption:
    """No frame is looked for where arithmetic says there is none."""
    centre = centre_in(beside.hole, beside.troubled)
    reach = max(reach_in(work.case, work.attached) for work in beside.chosen.levels)
    can = "the deck reaches out" if beside.chosen.attached else "the joists may cantilever to the house"
    limit = f"{can} {feet_inches(reach)} at most, {_zone(beside)}"
    if centre - WALL_GAP_IN > reach:
        return _option("move_the_beam", beside, None, limit)
    found = moved(beside)
    if found is None:
        return _option("move_the_beam", beside, None, f"{limit}; no frame found does")
    return _option("move_the_beam", beside, found, f"{limit}; this frame does")


def _zone(beside: Beside) -> str:
    depth_in = max(-one.footing.bottom_height_in for one in beside.troubled)
    edge, centre = needed_edge_in(beside.hole, beside.troubled), centre_in(beside.hole, beside.troubled)
    wide_in = 2 * (centre - edge)
    return (
        f"at {depth_in:.3g} in deep a near edge has to be {feet_inches(edge)} from the wall, {beside.hole.cover_in:g} "
        f"in into original ground and out of the load line: a row of footings {wide_in:.3g} in wide has to stand "
        f"{feet_inches(centre)} from the wall"
    )


def _ledger(beside: Beside) -> GroundOption:
    """The frames on ledgers that the decision has worked out already."""
    if beside.chosen.attached:
        said = "the deck hangs on the house already; these footings are its outer ones"
        return _option("ledger_instead", beside, None, said)
    found = [next((o.worked for o in d.options if o.kind == "ledger"), None) for d in beside.decisions]
    if not any(found):
        said = "no side of the deck lies along a wall that a frame could hang on"
        return _option("ledger_instead", beside, None, said)
    hung = _hung(beside, found)
    words = dict.fromkeys(ledger_words(hung))
    if hung.verdict.status == "not_permitted":
        against = [word.text for word in words if word.code != "wall_allows_ledger"]
        said = " ".join(map(sentence, against)) or hung.verdict.reasons[0].text
        return _option("ledger_instead", beside, None, said, "not_permitted")
    saved = beside.chosen.footings - hung.footings
    return _option(
        "ledger_instead",
        beside,
        hung,
        " ".join([*(sentence(word.text) for word in words), f"It needs {saved} footings less."]),
    )


def _hung(beside: Beside, found: Sequence[Worked | None]) -> Worked:
    """The deck with every level that can on a ledger."""
    only = found[0]
    if len(found) == 1 and only is not None:
        return only
    pairs = zip(beside.chosen.levels, found, strict=True)
    return work_deck([level for work, other in pairs for level in (other.levels if other else (work,))])

"""Advice where a stair needs a handrail and the deck no guard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.contract.report import Caution
from service.contract.report_frame import Stair
from service.sizing.stair_limits import StairRules, figure
from service.units.text import feet_inches


def rail_free_rise_in(rules: StairRules) -> float:
    """Return the greatest rise climbed without a handrail, in: one riser fewer than needs one, at the tallest.

    Source: IRC riser height and handrail rules: three at 7-3/4 in.

    Args:
        rules: code and guide.
    """
    risers = figure(rules.code, "handrail_required_risers").value - 1
    return risers * figure(rules.code, "riser_height").value


def advice(
    place: str, drop_in: float, stairs: Sequence[Stair], guarded: bool, rules: StairRules
) -> Iterator[Caution]:
    """Yield what to think about where no guard stands; heights in in.

    Source: common practice, no source: a rail on the stair alone looks odd.

    Args:
        place: id of the level, or a word for the stair.
        drop_in: surface over the lowest ground beside it, in.
        stairs: the level's stairs.
        guarded: whether the level has any guard.
        rules: code and guide.
    """
    free = rail_free_rise_in(rules)
    limit = figure(rules.code, "guard_required_above").value
    if guarded or drop_in > limit:
        return
    for stair in stairs:
        if stair.handrail is not None:
            yield from _rail_alone(stair, free, limit)
    if drop_in > free:
        yield Caution(
            code="guard_not_required_but_advised",
            text=f"{place}: {feet_inches(drop_in)} over the ground needs no guard, yet a fall from there hurts",
            action="Consider a guard on every edge.",
        )


def _rail_alone(stair: Stair, free_in: float, limit_in: float) -> Iterator[Caution]:
    risers, over = sum(flight.risers for flight in stair.flights), stair.rise_in - free_in
    if over > 0:
        yield Caution(
            code="three_riser_advice",
            text=f"{stair.id}: {risers} risers for {feet_inches(stair.rise_in)} need a handrail; "
            f"{feet_inches(free_in)} can be climbed without one",
            action=f"Lower the surface by {feet_inches(over)} or raise the landing as much, or keep the handrail.",
        )
    yield Caution(
        code="handrail_without_guard",
        text=f"{stair.id}: the stair has a handrail, and the deck, not over {feet_inches(limit_in)}, no guard",
        action="Either a lower surface with fewer risers, or a guard all round to meet the handrail.",
    )

"""Layouts worked out to the end: footings, order, checks and verdict of a whole deck."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

import msgspec

from service.checks.footings_apart import judge_apart
from service.checks.ground import judge_measured, judge_slope
from service.checks.judged import Judged, caution, reason, together
from service.checks.stair_way import judge_stair_way
from service.checks.verdict import slightly_over, verdict
from service.choice.level.buried import sunk
from service.choice.level.case import Case
from service.choice.level.deck_facts import deck_facts
from service.choice.level.frame_price import FramePrice
from service.choice.level.heavy import without_refused
from service.choice.level.heavy_words import judge_heavy
from service.choice.level.level_work import LevelWork, work_level
from service.choice.level.list_prices import MONEY
from service.choice.level.stair_frames import without_supports
from service.comparison.compare import Job, compared
from service.comparison.recommend import choose_method, unserved
from service.comparison.result import STATUS_RANK, Comparison, MethodResult
from service.connections.ledger import LedgerResult
from service.contract.ids import item
from service.contract.report import Verdict
from service.contract.report_frame import Footing, Post
from service.contract.report_order import Takeoff
from service.foundations.stair_pad import METHOD as PAD
from service.framing.frame import Frame
from service.framing.layout import Layout
from service.takeoff.connectors import WITHOUT_HARDWARE
from service.takeoff.groundwork import Groundwork
from service.takeoff.order import take_off

RENTAL = "rental."
POST_HEIGHT = "post_height"


@dataclass(frozen=True)
class Worked:
    """A deck worked out. ``method`` is null where no footing method could be sized.

    ``levels`` are as they were before footings were chosen, posts on piers; ``built`` are they as built, and ``frame``
    is all of them. ``apart`` is what was judged of the deck whatever its footings are made of. ``price`` is what the
    search compares frames by, null where it was not asked, and ``deflection_in`` is by the search too.
    """

    levels: tuple[LevelWork, ...]
    built: tuple[LevelWork, ...]
    frame: Frame
    judged: Judged
    verdict: Verdict
    comparison: Comparison
    method: MethodResult | None
    apart: Judged
    price: FramePrice | None = None
    deflection_in: float | None = None

    @cached_property
    def takeoff(self) -> Takeoff:
        """The order, worked out when it is asked for: many frames are judged and not ordered."""
        case = self.levels[0].case
        order = take_off(
            self.frame, case.spec, case.criteria, case.context.prices, groundwork_of(self.method)
        )
        for work in self.built:
            order = without_supports(without_refused(order, work.heavy), work.stairs)
        return order

    @property
    def verdict_apart(self) -> Verdict:
        """The verdict of the deck without that of its footing method: no other method betters it."""
        limit = self.levels[0].case.criteria.rulebook.in_force_settings.calculated_engineer_ratio
        return verdict(self.apart, limit)

    @property
    def layout(self) -> Layout:
        """The layout of the largest part of its first level."""
        return self.levels[0].main

    @property
    def attached(self) -> bool:
        """Whether the deck hangs on the house."""
        return any(level.attached for level in self.levels)

    @property
    def ledgers(self) -> tuple[LedgerResult, ...]:
        """Every ledger judged."""
        return tuple(one for level in self.levels for one in level.ledgers)

    @property
    def footings(self) -> int:
        """How many footings carry the frame, pads at the feet of stairs left out."""
        return sum(1 for f in self.frame.footings if f.method != PAD)

    @property
    def cost(self) -> Decimal | None:
        """What the frame costs: the order, and what its footings cost beyond what is in the order already."""
        if self.takeoff.subtotal is None:
            return None
        order = Decimal(self.takeoff.subtotal.amount)
        if self.method is None or self.method.cost is None:
            return order
        ordered = {line.item for line in self.takeoff.hardware}
        ordered |= {line.item for line in self.takeoff.concrete}
        ordered |= {line.item for line in self.takeoff.stock}
        ordered |= {line.item for line in self.takeoff.groundwork}
        counted = (q.extended for q in self.method.lines if q.extended is not None and q.item in ordered)
        return order + self.method.cost.likely - sum(counted, Decimal(0))

    @property
    def days(self) -> float | None:
        """Likely working days until framing starts."""
        table = self.method.table if self.method else None
        return table.first_framing_day[1] if table else None


def _of_method(comparison: Comparison, method: MethodResult | None, wanted: str) -> Judged:
    refused = unserved(comparison, wanted)
    if method is None:
        none = reason("method_not_worked_out", "No footing method could be worked out here.")
        return Judged(reasons=(*refused, none))
    # A buried post is checked as a post, by its own name; the method's check of it is for its status alone.
    findings = tuple(f for sized in method.sized for f in sized.findings if f.check != POST_HEIGHT)
    return Judged(findings, (*refused, *method.reasons), method.cautions)


def based(posts: tuple[Post, ...], footings: tuple[Footing, ...], coating: str) -> tuple[Post, ...]:
    """Return the posts with the base their footing gives them: a pile's cap, a block's socket or a pad without any.

    Elsewhere they keep the base they have.
    """
    under = {f.post: f for f in footings if f.pile is not None or f.method in WITHOUT_HARDWARE}
    return tuple(
        msgspec.structs.replace(post, base=_base(under[post.id], post.size, coating))
        if post.id in under
        else post
        for post in posts
    )


def _base(footing: Footing, size: str, coating: str) -> str | None:
    return item("pile_cap", footing.pile.shaft, size, coating) if footing.pile else None


def groundwork_of(method: MethodResult | None) -> Groundwork:
    """Return how the chosen method is carried out: its concrete, and the machines it hires."""
    if method is None:
        return Groundwork()
    hired = tuple((line.item, line.quantity) for line in method.lines if line.item.startswith(RENTAL))
    return Groundwork(method.supply, hired)


def _apart(works: Sequence[LevelWork]) -> Judged:
    """Of several levels, what keeps each within the tables and what would take it out of them."""
    if len(works) < 2:
        return Judged()
    names = ", ".join(work.level.id for work in works)
    text = (
        f"Levels {names} stand side by side, each on a ledger or posts of its own, read in the same tables as one "
        "level would be. Carrying one on another's joists, beams or posts leaves every table."
    )
    action = "Keep their frames apart; what joins them is boards and stairs."
    return Judged((), (), (caution("levels_stand_apart", text, action),))


def _job(levels: Sequence[LevelWork]) -> Job:
    """What footing methods are worked out against: the same for every frame of a deck."""
    return levels[0].case.footing_job_of(deck_facts([work.case for work in levels]))


def work_deck(levels: Sequence[LevelWork]) -> Worked:
    """Return a whole deck by its levels: the footings are of one method, and the order is one order."""
    case = levels[0].case
    criteria, spec = case.criteria, case.spec
    comparison = compared([demand for work in levels for demand in work.demands], _job(levels))
    method = choose_method(comparison, spec.foundation.method)
    sized = method.sized if method else ()
    footings = tuple(one.footing for one in sized)
    works = sunk(levels, sized)
    pads = tuple(pad.footing for work in works for pad in work.stairs.pads)
    posts = based(tuple(post for work in works for post in work.posts), footings, criteria.coating)
    stairs = sorted((one for work in works for one in work.stairs.stairs), key=lambda one: int(one.mark[1:]))
    frame = Frame(tuple(work.level for work in works), posts, (*footings, *pads), tuple(stairs))
    of_all = [
        *(judge_heavy(work.heavy, work.case.outline, criteria, sized) for work in works),
        judge_apart(footings),
        _apart(works),
        judge_stair_way(
            [(work.level.id, members) for work in works for members in work.built],
            [stair for work in works for stair in work.case.stairs],
            footings,
        ),
        judge_slope((*footings, *pads), case.ground),
        judge_measured((*footings, *pads), case.ground),
    ]
    # Posts that go down to pads are judged so in what is built; other methods have them on piers.
    apart = together([case.site, *(work.judged for work in levels), *of_all])
    judged = together(
        [
            case.site,
            *(work.judged for work in works),
            *of_all,
            _of_method(comparison, method, spec.foundation.method),
        ]
    )
    limit = criteria.rulebook.in_force_settings.calculated_engineer_ratio
    judged = judged + Judged((), (), slightly_over(judged, limit))
    return Worked(
        levels=tuple(levels),
        built=tuple(works),
        frame=frame,
        judged=judged,
        verdict=verdict(judged, limit),
        comparison=comparison,
        method=method,
        apart=apart,
    )


def work_out(case: Case, layouts: Sequence[Layout]) -> Worked:
    """Return one level's layouts worked out as a deck: the same rules for a candidate as for what is answered."""
    return work_deck((work_level(case, layouts),))


def _money(one: Worked) -> Decimal:
    """What a frame costs by the search, or by its order where it was not searched for."""
    if one.price is not None:
        return Decimal(one.price.total) / MONEY
    return one.cost if one.cost is not None else Decimal(0)


def _by_order(one: Worked) -> Decimal:
    return one.cost if one.cost is not None else Decimal(0)


def best_of(worked: Sequence[Worked], objective: str, ordered: bool = False) -> Worked | None:
    """Return the frame with the best verdict, then the best by the objective, ties by order given.

    With ``ordered`` money is that of their orders: for frames that differ only in how they are bought.
    """
    money_of = _by_order if ordered else _money

    def key(one: Worked) -> tuple[object, ...]:
        failing = len(one.verdict.reasons) if one.verdict.status == "not_permitted" else 0
        # What asks for an engineer twice over is worse than what asks once.
        asked = len({r.code for r in one.verdict.reasons})
        # A heavy object is an engineer's with any frame: the deck round it is still best by the tables.
        beside = any(r.code != "heavy_object" for r in one.verdict.reasons)
        missing = not one.price.complete if one.price is not None else False
        return (
            STATUS_RANK[one.verdict.status],
            failing,
            beside,
            asked,
            missing,
            *_by(one, objective, money_of(one)),
        )

    return min(worked, key=key, default=None)


def _by(one: Worked, objective: str, amount: Decimal) -> tuple[float | Decimal, ...]:
    if objective == "stiffness" and one.deflection_in is not None:
        return (round(one.deflection_in, 6), amount)
    if objective == "cost":
        return (amount, one.footings)
    return (one.footings, amount)

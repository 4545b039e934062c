"""The best frame judged to the last check, and whether it is proven to be the best."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import islice, product

from service.choice.best_first import FOOTINGS, Candidate, Order
from service.choice.case import Case
from service.choice.footing_price import PLAIN
from service.choice.frame_price import FramePrice
from service.choice.list_prices import whole
from service.choice.score import FAILS
from service.choice.search import Search
from service.choice.worked import UNIT, Worked, best_of, work_out
from service.comparison.result import STATUS_RANK

MOST_JUDGED = 8
OF_A_PART = 2  # frames of each part that are tried with those of the others
SETS_OF_A_PART = 15  # parts are not weighed together: their footings are not worth more
MOST_OVER = 40  # frames whose order is worked out and comes to more than the ceiling
SLACK = 50 * UNIT  # boards are cut together in the order: it differs from the sum of pieces by less than this
ON_OTHER_FOOTINGS = "footings ask for an engineer: frames whose members do were not weighed against that"
TOO_MANY = "so many frames cost nearly the same that the footings of some were not worked out"
OVER_CEILING = "the stiffest frames that were judged to the last check come to more than the ceiling"
STIFFEST_WITHIN = Decimal("1.10")  # of the cheapest, where no ceiling is given (convention of this service)
# Asked whichever way joists run; failing checks are looked at one by one.
NO_PLAN_HELPS = (
    "heavy_object", "guard_connector_unproven", "guard_omitted", "pile_policy_needs_engineer", "snow_above_tables",
    "live_load_above_tables", "dead_load_above_tables", "soil_needs_engineer", "slope_needs_engineer", "check_failed",
    "ledger_without_wall",
)  # fmt: skip


@dataclass(frozen=True)
class Found:
    """A frame judged to the last check, by which searches, and how many were judged.

    ``why_not_proven`` is empty where no frame of the space is better by the order: verdict, rows with joists on both
    sides, then the objective.
    """

    worked: Worked
    searches: tuple[Search, ...]
    candidates: tuple[Candidate, ...]
    judged: int
    why_not_proven: str = ""

    @property
    def proven(self) -> bool:
        """Whether it is proven to be the best of its space."""
        return not self.why_not_proven

    @property
    def frames(self) -> int:
        """How many frames the fields looked at hold."""
        return sum(search.tried for search in self.searches)

    @property
    def standing(self) -> int:
        """How many of them pass the limits of their members."""
        return sum(search.standing for search in self.searches)

    @property
    def head_room_in(self) -> float:
        """From the ground to the lowest beam, in."""
        return min(one.head_room_in for one in self.candidates)


def as_good_as_any(case: Case, worked: Worked) -> bool:
    """Return whether no other frame could have a better verdict: what is against it holds for all of them."""
    settled = {*NO_PLAN_HELPS, *(reason.code for reason in case.site.reasons)}
    return all(reason.code in settled for reason in worked.verdict.reasons) and not _own_failure(case, worked)


def _own_failure(case: Case, worked: Worked, *, footings: bool = True) -> bool:
    """Whether a check of the frame fails that does not fail with any frame; maybe its footings left aside."""
    aside = {(found.member, found.check) for found in case.site.findings}
    if not footings and worked.method is not None:
        aside |= {(found.member, found.check) for one in worked.method.sized for found in one.findings}
    return any(
        not found.passes and found.basis != "calculated" and (found.member, found.check) not in aside
        for found in worked.judged.findings
    )


def _accepted(case: Case, worked: Worked, candidate: Candidate) -> bool:
    """Whether a frame's verdict is no worse than the limits of its members, and its footings, said.

    Then it is the first that stands: frames on better footings came before it.
    """
    if as_good_as_any(case, worked):
        return True
    if worked.verdict.status != "engineer_required":
        return False
    if candidate.level > 0:
        return not _own_failure(case, worked)
    if candidate.key[FOOTINGS] <= PLAIN or worked.method is None:
        return False
    settled = {*NO_PLAN_HELPS, *(one.code for one in (*case.site.reasons, *worked.method.reasons))}
    plain = all(one.code in settled for one in worked.verdict.reasons)
    return plain and not _own_failure(case, worked, footings=False)


def work(case: Case, candidates: Sequence[Candidate]) -> Worked:
    """Return frames of one level's regions worked out, with what the search knows of them."""
    worked = work_out(case, [one.layout for one in candidates])
    deflection = max(one.deflection_in for one in candidates)
    price = together([one.price for one in candidates])
    if len(candidates) > 1 and worked.method is not None and worked.method.cost is not None:
        # The footings of all parts are one job: what is paid once is paid once.
        price = price._replace(footings=whole(worked.method.cost.likely))
    return replace(worked, price=price, deflection_in=deflection)


def together(prices: Sequence[FramePrice]) -> FramePrice:
    """Return what several parts cost together."""
    return FramePrice(
        lumber=sum(one.lumber for one in prices),
        hardware=sum(one.hardware for one in prices),
        footings=sum(one.footings for one in prices),
        labour=sum(one.labour for one in prices),
        minutes=sum(one.minutes for one in prices),
        complete=all(one.complete for one in prices),
    )


def proven_best(case: Case, search: Search, order: Order) -> Found | None:
    """Return the best frame of one region; None where none stands."""
    return first_accepted(case, search, search.best_first(order), order)


def first_accepted(
    case: Case, search: Search, stream: Iterable[Candidate], order: Order, most_order: Decimal | None = None
) -> Found | None:
    """Judge frames as they come until one stands as well as the limits of its members said."""
    judged: list[tuple[Worked, Candidate]] = []
    over, cut = 0, False
    for candidate in stream:
        cut = len(judged) == MOST_JUDGED or over == MOST_OVER
        if cut:
            break
        worked = work(case, (candidate,))
        if most_order is not None and _order_total(worked) > most_order:
            over += 1
            continue
        judged.append((worked, candidate))
        if _accepted(case, worked, candidate):
            worked, candidate = _best_standing(case, judged)
            left = "" if candidate.proven else TOO_MANY
            by_footings = candidate.level == 0 and worked.verdict.status != "prescriptive"
            if by_footings and candidate.key[FOOTINGS] > PLAIN and search.has_worse_members:
                left = left or ON_OTHER_FOOTINGS
            return Found(worked, (search,), (candidate,), len(judged), left)
    if not judged:
        return None
    best = best_of([worked for worked, _ in judged], order.objective)
    worked, candidate = next(pair for pair in judged if pair[0] is best)
    left = f"{len(judged)} frames were judged to the last check and each asks for more than its members' limits say"
    return Found(worked, (search,), (candidate,), len(judged), left if cut else "")


def _best_standing(case: Case, judged: Sequence[tuple[Worked, Candidate]]) -> tuple[Worked, Candidate]:
    """The best of those that stand as well as the last one, which is accepted: limits said better of some before it."""
    last = STATUS_RANK[judged[-1][0].verdict.status]
    alike = [
        pair
        for pair in judged
        if STATUS_RANK[pair[0].verdict.status] <= last
        and (pair is judged[-1] or not _own_failure(case, pair[0]))
    ]
    return min(alike, key=lambda pair: (STATUS_RANK[pair[0].verdict.status], pair[1].key[1:], pair[1].tie))


def _order_total(worked: Worked) -> Decimal:
    total = worked.takeoff.total
    return Decimal(total.amount) if total else Decimal(0)


def parts_best(case: Case, searches: Sequence[Search], order: Order) -> Found | None:
    """Return the frame of several regions, of the best few of each: their footings are weighed apart."""
    order = order._replace(sets=SETS_OF_A_PART)
    firsts = [tuple(islice(search.best_first(order), OF_A_PART)) for search in searches]
    if not all(firsts):
        return None
    tried = [(work(case, found), found) for found in product(*firsts)]
    best = best_of([worked for worked, _ in tried], order.objective)
    worked, found = next(pair for pair in tried if pair[0] is best)
    left = "the deck is framed in two directions: each part is the best by itself, not proven together"
    return Found(worked, tuple(searches), found, len(tried), left)


def least_failing(case: Case, searches: Sequence[Search], order: Order) -> Found | None:
    """Return the frame that fails least where none stands."""
    firsts = [search.least_failing(order) for search in searches]
    found = tuple(one for one in firsts if one is not None)
    if len(found) < len(searches):
        return None
    return Found(work(case, found), tuple(searches), found, 1, "no frame with what is asked for stands")


def best_of_found(found: Sequence[Found], order: Order) -> Found:
    """Return the best of several."""
    best = best_of([one.worked for one in found], order.objective)
    return next(one for one in found if one.worked is best)


def stiffest(case: Case, cheapest: Found) -> Found:
    """Return the stiffest frame within the ceiling, or within a tenth over the cheapest where none is given."""
    price = cheapest.worked.price
    if len(cheapest.searches) > 1 or price is None or cheapest.candidates[0].level >= FAILS:
        return cheapest
    ceiling, total = case.spec.framing.cost_ceiling, cheapest.worked.takeoff.total
    most_order: Decimal | None = None
    most = int(price.total * STIFFEST_WITHIN)
    if ceiling is not None and total is not None:
        most_order = Decimal(ceiling.amount)
        # What no frame changes, boards, guards and stairs, is the difference between order and price.
        most = price.total + int((most_order - Decimal(total.amount)) * UNIT) + SLACK
    order = Order("stiffness", most=most)
    (search,) = cheapest.searches
    found = first_accepted(case, search, search.best_first(order), order, most_order)
    return found or replace(cheapest, why_not_proven=cheapest.why_not_proven or OVER_CEILING)

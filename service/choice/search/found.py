"""The best frame judged to the last check, and whether it is proven to be the best."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import islice, product
from typing import NamedTuple

from service.choice.level.case import Case
from service.choice.level.frame_price import FramePrice
from service.choice.level.joined import with_cheapest_joints
from service.choice.level.list_prices import MONEY, whole
from service.choice.level.score import FAILS
from service.choice.level.worked import Worked, best_of, work_out
from service.choice.search.best_first import FOOTINGS, Candidate, Order
from service.choice.search.search import Search
from service.comparison.result import STATUS_RANK

MOST_JUDGED = 8
# Of a small space, which is otherwise judged to its end: so many frames, and footings of frames, which is what judging
# takes time by; then as many again on posts that stand elsewhere.
MOST_THOROUGH, MOST_THOROUGH_FOOTINGS = 300, 600
OF_SPACING = "joist_spacing_for_decking"  # boards fail at a spacing whatever the joists are
OF_A_PART = 2  # frames of each part that are tried with those of the others
SETS_OF_A_PART = 15  # parts are not weighed together: their footings are not worth more
MOST_OVER = 40  # frames whose order is worked out and comes to more than the ceiling
SAVED_BY_JOINTS = 60  # of the currency: more than plies joined elsewhere save
# Boards are cut together in the order: it differs from the sum of pieces by less than this.
SLACK = 100 * MONEY
TOO_MANY = "so many frames cost nearly the same that the footings of some were not worked out"
PASSED_OVER = (
    "frames were passed over that stand on posts where others asked for more than their members' limits say"
)
IN_PARTS = "framed in two directions: that is the cheapest frame, a stiffer one was not looked for"
OVER_CEILING = "the stiffest frames that were judged to the last check come to more than the ceiling"
LABOUR_TOO = "frames that cost more with their labour were not weighed against a ceiling of goods"
STIFFEST_WITHIN = Decimal("1.10")  # of the cheapest, where no ceiling is given (convention of this service)
# Asked whichever way joists run; failing checks are looked at one by one.
NO_PLAN_HELPS = (
    "heavy_object", "guard_connector_unproven", "guard_omitted", "pile_policy_needs_engineer", "snow_above_tables",
    "live_load_above_tables", "dead_load_above_tables", "soil_needs_engineer", "slope_needs_engineer", "check_failed",
    "ledger_without_wall",
)  # fmt: skip
# Said of a wall, whichever frame hangs on it; another plan may hang on another wall.
OF_THE_WALL = (
    "ledger_on_veneer", "ledger_on_hollow_block", "ledger_on_overhang", "ledger_on_unknown_wall", "sill_height_missing",
    "wall_needs_designed_anchors", "sheathing_off_tables",
)  # fmt: skip


@dataclass(frozen=True)
class Found:
    """A frame judged to the last check, by which searches, and how many were judged.

    ``why_not_proven`` is empty where no frame of the space is better by the order: verdict, members by tables before
    others, rows with joists on both sides, the standing of the footings, then the objective.
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
    return _settled(case, worked, NO_PLAN_HELPS) and not _own_failure(case, worked)


def _settled(case: Case, worked: Worked, codes: Sequence[str]) -> bool:
    """Whether nothing is against a frame but what is said of any: of the site, or by these codes."""
    settled = {*codes, *(reason.code for reason in case.site.reasons)}
    if case.ground.mesh is not None:  # measured ground is steep in places: other footings may stand clear
        settled.discard("slope_needs_engineer")
    return all(reason.code in settled for reason in worked.verdict.reasons)


def _own_failure(case: Case, worked: Worked) -> bool:
    """Whether a check of the frame fails that does not fail with any frame."""
    aside = {(found.member, found.check) for found in case.site.findings}
    every = {OF_SPACING} if len(case.space.spacings_in) == 1 else set[str]()
    return any(
        not found.passes
        and found.basis != "calculated"
        and found.check not in every
        and (found.member, found.check) not in aside
        for found in worked.judged.findings
    )


def _asks(case: Case, worked: Worked, candidate: Candidate) -> bool:
    """Whether anything but its footings asks for an engineer that would not with every frame of its region."""
    of_footings = {one.code for one in worked.method.reasons} if worked.method else set[str]()
    return candidate.level > 0 or not _settled(case, worked, (*NO_PLAN_HELPS, *OF_THE_WALL, *of_footings))


def _accepted(case: Case, worked: Worked, candidate: Candidate) -> bool:
    """Whether a frame's verdict is no worse than the limits of its members, and its footings, said.

    Then it is the first that stands: frames on better footings came before it.
    """
    if as_good_as_any(case, worked):
        return True
    if worked.verdict.status == "not_permitted":
        return _settled(case, worked, OF_THE_WALL)
    return candidate.level > 0 or not _asks(case, worked, candidate)


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


class Ceiling(NamedTuple):
    """The most an order may come to, and the most that goods by their own prices may: they are quicker to compare."""

    order: Decimal
    goods: int

    def holds(self, case: Case, candidate: Candidate) -> Worked | None:
        """Return a frame worked out; null where its order comes to more."""
        if candidate.goods > self.goods:
            return None
        worked = work(case, (candidate,))
        if not _priced(worked):
            return None
        # The frame answered has its plies joined where that is cheapest: its order is the one that counts.
        over = _order_total(worked) - self.order
        held = over <= 0 or (over <= SAVED_BY_JOINTS and _order_total(_joined(worked)) <= self.order)
        return worked if held else None


def first_accepted(
    case: Case, search: Search, stream: Iterable[Candidate], order: Order, ceiling: Ceiling | None = None
) -> Found | None:
    """Judge frames as they come until one stands as well as the limits of its members said.

    Where the order is to be thorough, a small space is judged to its end where none does; else so many frames.
    """
    judged: list[tuple[Worked, Candidate]] = []
    over, cut, passed_over = 0, False, False
    for candidate in stream:
        small = order.thorough and search.small
        cut = len(judged) >= _most_judged(judged, small) or (over == MOST_OVER and not small)
        if cut:
            break
        if _stands_as_one_judged(judged, candidate):
            passed_over = True
            continue
        worked = ceiling.holds(case, candidate) if ceiling else work(case, (candidate,))
        if worked is None:
            over += 1
            continue
        judged.append((worked, candidate))
        if _accepted(case, worked, candidate):
            break
    if not judged:
        return None
    worked, candidate = _best_standing(case, judged, order)
    left = f"{len(judged)} frames were judged to the last check and each asks for more than its members' limits say"
    proven = all(one.proven for _, one in judged)
    why_not = left if cut else PASSED_OVER if passed_over else "" if proven else TOO_MANY
    return Found(worked, (search,), (candidate,), len(judged), why_not)


def _weight(judged: Sequence[tuple[Worked, Candidate]]) -> int:
    """The footings of all frames judged, which is what judging takes time by."""
    return sum(one.footings for _, one in judged)


def _most_judged(judged: Sequence[tuple[Worked, Candidate]], small: bool) -> int:
    """How many frames are judged at most, in view of those judged so far."""
    if not small or _weight(judged) > 2 * MOST_THOROUGH_FOOTINGS:
        return MOST_JUDGED
    return MOST_THOROUGH


def _stands_as_one_judged(judged: Sequence[tuple[Worked, Candidate]], candidate: Candidate) -> bool:
    """Whether, after many frames, one more stands on posts where one of them stood that asked for more.

    What lumber does not change, footings in each other's way or in a stair's, is then asked of it too.
    """
    if _weight(judged) <= MOST_THOROUGH_FOOTINGS:
        return False
    return _posts(candidate) in {_posts(one) for _, one in judged}


def _posts(candidate: Candidate) -> tuple[tuple[object, ...], ...]:
    return tuple((row.start_in, row.posts_in) for row in candidate.layout.rows)


def _best_standing(
    case: Case, judged: Sequence[tuple[Worked, Candidate]], order: Order
) -> tuple[Worked, Candidate]:
    """The best of those judged: limits said better of some than they stand."""

    def key(pair: tuple[Worked, Candidate]) -> tuple[object, ...]:
        worked, candidate = pair
        rank = STATUS_RANK[worked.verdict.status]
        return (rank, _asks(case, worked, candidate), candidate.key[1:], candidate.tie)

    best = min(judged, key=key)
    if best[0].verdict.status != "not_permitted":
        return best
    least = best_of([worked for worked, _ in judged], order.objective)
    return next(pair for pair in judged if pair[0] is least)


def _joined(worked: Worked) -> Worked:
    return with_cheapest_joints(worked, "stiffness")


def _priced(worked: Worked) -> bool:
    """Whether everything in an order has a price: one that lacks some is under no ceiling."""
    return worked.takeoff.total is not None and worked.takeoff.total.complete


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


def most_of(cheapest: Worked) -> int | None:
    """Return what a stiffer frame may cost where no ceiling is given: a tenth over the cheapest of all."""
    return None if cheapest.price is None else int(cheapest.price.total * STIFFEST_WITHIN)


def over_ceiling(case: Case, worked: Worked, most: int | None) -> bool:
    """Return whether a frame costs more than the ceiling for its order, or than ``most`` where there is none."""
    ceiling = case.spec.framing.cost_ceiling
    if ceiling is not None and worked.takeoff.total is not None:
        return not _priced(worked) or _order_total(worked) > Decimal(ceiling.amount)
    return most is not None and worked.price is not None and worked.price.total > most


def stiffest(case: Case, cheapest: Found, order: Order, most: int | None) -> Found:
    """Return the stiffest frame within the ceiling, or that costs no more than ``most`` where none is given.

    Where no frame of this way of support is within it, the cheapest. The ceiling is for the order, which has no
    labour in it: of a large space only frames are looked at that cost no more with their labour either, and then
    the answer says so.
    """
    price, total = cheapest.worked.price, cheapest.worked.takeoff.total
    if len(cheapest.searches) > 1:
        return replace(cheapest, why_not_proven=IN_PARTS)
    if price is None or cheapest.candidates[0].level >= FAILS:
        return cheapest
    (search,), ceiling = cheapest.searches, case.spec.framing.cost_ceiling
    order = _as_stiff(cheapest, order)
    if ceiling is None or total is None:
        order = order._replace(most=most)
        return _as_sure(first_accepted(case, search, search.best_first(order), order), cheapest)
    # What no frame changes, boards, guards and stairs, is in the order and not in the price.
    more = int((Decimal(ceiling.amount) - Decimal(total.amount)) * MONEY) + SLACK
    held = Ceiling(Decimal(ceiling.amount), cheapest.candidates[0].goods + more)
    return _under(case, cheapest, order, held, price.total + more)


def _as_sure(found: Found | None, cheapest: Found) -> Found:
    """The stiffest frame, else the cheapest: no surer than that was the cheapest, which says what it may cost."""
    if found is None:
        return cheapest
    return replace(found, why_not_proven=found.why_not_proven or cheapest.why_not_proven)


def _as_stiff(cheapest: Found, order: Order) -> Order:
    """The order of stiffness: footings stand no better than those of the cheapest that stands as well."""
    stand = int(cheapest.candidates[0].key[FOOTINGS])
    return order._replace(objective="stiffness", footings_stand=stand, by_place=stand > 0)


def _under(case: Case, cheapest: Found, order: Order, ceiling: Ceiling, most: int) -> Found:
    """The stiffest frame under a ceiling, else the cheapest; ``most`` is for a large space, with labour."""
    (search,) = cheapest.searches
    order = order._replace(where=lambda field: field.least_goods <= ceiling.goods)
    if order.thorough and search.small:
        return _as_sure(first_accepted(case, search, search.best_first(order), order, ceiling), cheapest)
    order = order._replace(most=most)
    found = first_accepted(case, search, search.best_first(order), order, ceiling)
    left = OVER_CEILING if found is None else LABOUR_TOO if case.spec.crew else ""
    sure = _as_sure(found, cheapest)
    return replace(sure, why_not_proven=sure.why_not_proven or left)

"""Every footing method worked out for the same posts and loads."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from service.comparison.bought import Bought, bought, bought_with
from service.comparison.cost import Cost, CrewTime, cost_of, crew_time
from service.comparison.digging import dig_share
from service.comparison.longer_posts import longer_posts
from service.comparison.mix import mixes
from service.comparison.network import COLD
from service.comparison.recommend import by_preference
from service.comparison.result import Comparison, MethodResult, Supplied, volume_cuft
from service.comparison.schedule import Timetable, cold_pour, timetable
from service.contract.report import Reason
from service.contract.report_comparison import CodedText, Risk, Status
from service.contract.spec import DeckSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import risk
from service.foundations.holes import cold_risks
from service.foundations.method import CannotServe, FootingMethod, Need, Sized
from service.foundations.methods.belled_pier import BelledPier
from service.foundations.methods.helical_pile import HelicalPile, strictest_policy
from service.foundations.methods.pad_and_pier import PadAndPier
from service.foundations.methods.pier_block_on_grade import PierBlockOnGrade
from service.foundations.methods.post_on_buried_pad import PostOnBuriedPad
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.foundations.site import DeckFacts, Site
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria
from service.takeoff.concrete import SHORT_LOAD, supply_without_price
from service.takeoff.framing_parts import BURIED_METHODS

AUTO = "auto"
METHODS = (
    "tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile", "pier_block_on_grade",
)  # fmt: skip
SUPPLIES = ("bagged", "ready_mix")
REASON_OF = {"not_allowed_here": "method_not_allowed_here"}
FILL = "footing_in_undisturbed_ground"


@dataclass(frozen=True)
class Job:
    """What every method is worked out against: one place, one crew, one price book.

    It keeps the footings it was asked for: they hang on nothing but the method and the likeness of the demand. It
    keeps what it bought for them too, which hangs on nothing but the need and its price book.
    """

    criteria: Criteria
    spec: DeckSpec
    prices: PriceBook | None
    facts: FoundationFacts
    crew: CrewTime
    site: Site
    deck: DeckFacts | None
    _sized: dict[tuple[object, ...], Sized | CannotServe] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _bought: dict[Need, Bought] = field(default_factory=dict, init=False, repr=False, compare=False)

    @cached_property
    def methods(self) -> tuple[FootingMethod, ...]:
        """Every way to make footings there is."""
        pinned = self.spec.foundation.pier_diameter_in
        return (
            TubeFormPier(pinned),
            PadAndPier(pinned),
            BelledPier(pinned),
            PostOnBuriedPad(),
            HelicalPile(self.pile_policy),
            PierBlockOnGrade(self.deck),
        )

    @cached_property
    def pile_policy(self) -> str:
        """The strictest way of the place to approve piles."""
        return strictest_policy(self.criteria)

    def size(self, method: FootingMethod, demand: Demand) -> Sized | CannotServe:
        """Return the footing of a method for a demand, or for one like it."""
        buried = method.name in BURIED_METHODS
        key = (method.name, demand.likeness if buried else demand.likeness_on_top)
        if key not in self._sized:
            self._sized[key] = method.size(demand, self.site)
        return self._sized[key]

    def ways(self, method: FootingMethod, sized: Sequence[Sized]) -> tuple[Supplied, ...]:
        """Return the method with every supply of concrete it may have, the one taken first."""
        return tuple(_ways(method, sized, self)) if sized else ()

    def bought(self, needs: Sequence[Need]) -> list[Bought]:
        """Return what is bought whatever the supply of concrete and the days."""
        return bought(needs, self.prices, self._bought)

    def usual_days(self, method: FootingMethod, sized: Sequence[Sized]) -> float | None:
        """Return the likely days of as many footings of the usual size, their concrete from bags where it may be."""
        if not sized:
            return None
        supply = filter(None, _supplies(sized, self.spec)[:1])
        words = (*supply, self.pile_policy)
        table = timetable(method.name, words, len(sized), self.crew.size, self.facts)
        return table.elapsed_days[1] if table else None

    def order_risks(self, way: Supplied) -> tuple[Risk, ...]:
        """Return what can go wrong with the order and its dates."""
        pours = way.supply and way.table is not None
        may_freeze = way.table.cold if way.table and self.spec.schedule.start_date else None
        cold = cold_risks(self.site, may_freeze) if pours else ()
        return (*cold, *_line_risks(way.lines, self.prices))


@dataclass(frozen=True)
class Posts:
    """What stands on the footings: every demand, the first of each kind, and the kind of each."""

    demands: tuple[Demand, ...]
    firsts: tuple[Demand, ...]
    kinds: tuple[int, ...]


def compare(
    demands: Sequence[Demand],
    criteria: Criteria,
    spec: DeckSpec,
    prices: PriceBook | None,
    facts: FoundationFacts,
    deck: DeckFacts | None = None,
) -> Comparison:
    """Return every method worked out for the same posts: verdict, quantities, cost, days, risks; best first.

    Without ``deck`` a method that hangs on the whole deck's size does not serve.
    """
    return compared(demands, job_of(criteria, spec, prices, facts, deck))


def job_of(
    criteria: Criteria,
    spec: DeckSpec,
    prices: PriceBook | None,
    facts: FoundationFacts,
    deck: DeckFacts | None = None,
) -> Job:
    """Return what methods are worked out against, to compare them for one set of posts after the other."""
    return Job(criteria, spec, prices, facts, crew_time(spec.crew), Site(criteria, facts), deck)


def compared(demands: Sequence[Demand], job: Job) -> Comparison:
    """Return every method worked out for these posts, best first."""
    return Comparison(tuple(by_preference(worked_out(demands, job, METHODS))))


def worked_out(demands: Sequence[Demand], job: Job, names: Container[str]) -> list[MethodResult]:
    """Return the methods of these names worked out for the same posts, in the order of all methods."""
    posts = _posts(demands)
    return [_work_out(method, posts, job) for method in job.methods if method.name in names]


def _posts(demands: Sequence[Demand]) -> Posts:
    firsts: dict[tuple[object, ...], Demand] = {}
    kinds = []
    for demand in demands:
        likeness = demand.likeness
        firsts.setdefault(likeness, demand)
        kinds.append(likeness)
    places = {likeness: place for place, likeness in enumerate(firsts)}
    return Posts(tuple(demands), tuple(firsts.values()), tuple(places[likeness] for likeness in kinds))


def _work_out(method: FootingMethod, posts: Posts, job: Job) -> MethodResult:
    answers = [job.size(method, demand) for demand in posts.firsts]
    refused = [answer for answer in answers if isinstance(answer, CannotServe)]
    kinds = [answer for answer in answers if isinstance(answer, Sized)] if not refused else []
    # Footings that are alike stand for each other here; they get their own names when they are asked for.
    sized = tuple(kinds[kind] for kind in posts.kinds) if kinds else ()
    why_not = _why_not(method, job.criteria, refused, kinds)
    return MethodResult(
        method=method.name,
        maker=method,
        site=job.site,
        kinds=tuple(kinds),
        alike=sized,
        demands=posts.demands,
        why_not=why_not,
        status=_status(why_not, kinds, job.criteria),
        refusals=_refusals(why_not, job.criteria),
        stands_on_fill=any(not f.passes and f.check == FILL for one in kinds for f in one.findings),
        pricing=job,
    )


def _ways(method: FootingMethod, sized: Sequence[Sized], job: Job) -> list[Supplied]:
    """The method with every supply of concrete it may have, the one taken first."""
    needs = method.needs(sized, job.site)
    always = [*job.bought(needs), *longer_posts(sized, job.criteria, job.prices)]
    found = [_supplied(method, sized, needs, always, job, supply) for supply in _supplies(sized, job.spec)]
    if len(found) > 1 and all(one.cost is None for one in found):
        usual = supply_without_price([one.footing for one in sized], job.prices)
        return sorted(found, key=lambda one: one.supply != usual)
    # Bags where both come to the same: nothing has to be booked for them.
    return sorted(found, key=lambda one: (one.cost is None, one.cost.likely if one.cost else 0))


def _supplies(sized: Sequence[Sized], spec: DeckSpec) -> tuple[str, ...]:
    if not any(one.footing.concrete and one.footing.concrete.volume_cuft for one in sized):
        return ("",)
    return supplies_of(spec)


def supplies_of(spec: DeckSpec) -> tuple[str, ...]:
    """Return the supplies of concrete a spec lets a job have."""
    wanted = spec.foundation.concrete_supply
    return SUPPLIES if wanted == AUTO else (wanted,)


def _supplied(
    method: FootingMethod,
    sized: Sequence[Sized],
    needs: Sequence[Need],
    always: Sequence[Bought],
    job: Job,
    supply: str,
) -> Supplied:
    """The method with one supply of its concrete; what is bought ``always`` is priced already."""
    table = _table(method, supply, sized, job)
    concrete = mixes(volume_cuft(sized), supply, job.prices)[0] if supply else ()
    lines = (*concrete, *always, *bought_with(needs, table, supply, job.prices))
    return Supplied(supply, lines, table, _cost(lines, job, table, len(sized)))


def _table(method: FootingMethod, supply: str, sized: Sequence[Sized], job: Job) -> Timetable | None:
    """The schedule of a method, with the rule for cold weather where its pour may freeze."""
    words, count = (supply, job.pile_policy), len(sized)
    share = dig_share([one.footing for one in sized], method.name, job.facts)
    found = timetable(method.name, words, count, job.crew.size, job.facts, share)
    when, frost_in = job.spec.schedule, job.criteria.ground.frost_depth_in
    if found and cold_pour(found, when.start_date, when.closed_days, frost_in):
        return timetable(method.name, (*words, COLD), count, job.crew.size, job.facts, share)
    return found


def _cost(lines: Sequence[Bought], job: Job, table: Timetable | None, count: int) -> Cost | None:
    if job.prices is None or table is None:
        return None
    return cost_of(lines, job.prices.currency, job.crew, table, count)


def allowed(method: FootingMethod, criteria: Criteria) -> bool:
    """Return whether a place lets decks stand on footings of a method."""
    return criteria.jurisdiction is None or method.name not in criteria.jurisdiction.methods_not_allowed


def _why_not(
    method: FootingMethod, criteria: Criteria, refused: Sequence[CannotServe], sized: Sequence[Sized]
) -> tuple[CodedText, ...]:
    found = [CodedText(answer.code, answer.text) for answer in refused]
    found += [blocked for one in sized for blocked in one.blocked]
    if not allowed(method, criteria):
        found.insert(
            0, CodedText("not_allowed_here", f"{method.name.replace('_', ' ')} is not allowed in this place")
        )
    first: dict[str, CodedText] = {}
    for one in found:
        first.setdefault(one.code, one)
    return tuple(first.values())


def _status(why_not: Sequence[CodedText], kinds: Sequence[Sized], criteria: Criteria) -> Status:
    if any(one.code in REASON_OF for one in why_not) or any(one.unsafe for one in kinds):
        return "not_permitted"
    # A method that cannot serve is no prohibition: an engineer may still find a way.
    limit = criteria.rulebook.in_force_settings.calculated_engineer_ratio
    by_footing = any(one.engineer or one.beyond_table(limit) for one in kinds)
    return "engineer_required" if why_not or by_footing else "prescriptive"


def _refusals(why_not: Sequence[CodedText], criteria: Criteria) -> tuple[Reason, ...]:
    """Why a design drawn with this method has no better verdict, footings left aside."""
    law = criteria.law_of("methods_not_allowed")
    return tuple(
        Reason(code="method_not_allowed_here", text=one.text, citation=law)
        if one.code in REASON_OF
        else Reason(code="method_cannot_serve", text=one.text)
        for one in why_not
    )


def _line_risks(lines: Sequence[Bought], prices: PriceBook | None) -> Iterator[Risk]:
    if any(line.item == SHORT_LOAD for line in lines):
        yield risk("short_load", "moderate", "so little ready-mix is charged extra")
    items = [line.item for line in lines if line.extended is None]
    if prices is not None and items:
        yield risk("price_missing", "low", f"the price book has no price for {', '.join(items)}")

"""Footing methods side by side for the same posts and loads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.comparison.break_even import break_even
from service.comparison.cost import (
    Bought,
    Cost,
    CrewTime,
    bought,
    concrete_bought,
    cost_of,
    crew_time,
    ordered_supply,
    rented,
)
from service.comparison.recommend import by_preference, recommended
from service.comparison.result import Comparison, MethodResult
from service.comparison.schedule import Timetable, on_the_wire, timetable
from service.contract.report import (
    BreakEven,
    Caution,
    CodedText,
    FootingComparison,
    MethodComparison,
    Reason,
    Risk,
    Status,
)
from service.contract.spec import DeckSpec
from service.foundations.demand import Demand
from service.foundations.facts import FoundationFacts
from service.foundations.ground_words import risk
from service.foundations.method import CannotServe, FootingMethod, Sized
from service.foundations.methods.helical_pile import HelicalPile, strictest_policy
from service.foundations.methods.tube_form_pier import TubeFormPier
from service.rules.price_book import PriceBook
from service.sizing.criteria import Criteria
from service.takeoff.concrete import SHORT_LOAD

AUTO = "auto"
OFFERED = ("tube_form_pier", "helical_pile")
REASON_OF = {"not_allowed_here": "method_not_allowed_here"}
FILL = "footing_in_undisturbed_ground"


def compare(
    demands: Sequence[Demand],
    criteria: Criteria,
    spec: DeckSpec,
    prices: PriceBook | None,
    facts: FoundationFacts,
) -> Comparison:
    """Return every method worked out for the same posts: verdict, quantities, cost, days, risks, ranking."""
    crew = crew_time(spec.crew)
    work = [
        _work_out(method, demands, criteria, spec, prices, facts, crew) for method in _methods(spec, criteria)
    ]
    results = by_preference([*work, *_not_offered(spec.foundation.method)])
    best, because = recommended(results, prices is not None)
    cheapest = sorted(
        (r for r in results if r.feasible and r.cost), key=lambda r: r.cost.likely if r.cost else 0
    )
    wire = FootingComparison(
        methods=tuple(one.compared for one in _ranked(results, prices)),
        break_even=_break_even(cheapest, crew),
        probability_cheapest=(),
        recommended=best,
        because=because,
    )
    return Comparison(wire, tuple(results))


def _break_even(cheapest: Sequence[MethodResult], crew: CrewTime) -> BreakEven | None:
    if len(cheapest) < 2:
        return None
    quick, slow = sorted(cheapest[:2], key=lambda one: one.likely_days)
    return break_even(quick, slow, crew.day_value, crew.includes_wages)


def _ranked(results: Sequence[MethodResult], prices: PriceBook | None) -> Sequence[MethodResult]:
    """The order shown: preference where there is money, else feasibility and days."""
    if prices is not None:
        return results
    return sorted(results, key=lambda one: (not one.feasible, one.likely_days, one.method))


def _methods(spec: DeckSpec, criteria: Criteria) -> tuple[FootingMethod, ...]:
    pier = TubeFormPier(spec.foundation.pier_diameter_in)
    return (pier, HelicalPile(strictest_policy(criteria)))


def _not_offered(wanted: str) -> Iterable[MethodResult]:
    """A pinned method that is not worked out here is said to be so, never silently replaced."""
    if wanted not in (AUTO, *OFFERED):
        text = f"{wanted.replace('_', ' ')} is not worked out by this service"
        compared = MethodComparison(
            method=wanted,
            feasible=False,
            why_not=(CodedText("method_not_worked_out", text),),
            footings=(),
            quantities=(),
            cost=None,
            schedule=None,
            risks=(),
        )
        reason = Reason(code="method_not_worked_out", text=text)
        yield MethodResult(wanted, compared, (), "engineer_required", (reason,), (), False, None, None)


def _work_out(
    method: FootingMethod,
    demands: Sequence[Demand],
    criteria: Criteria,
    spec: DeckSpec,
    prices: PriceBook | None,
    facts: FoundationFacts,
    crew: CrewTime,
) -> MethodResult:
    answers = [method.size(demand, criteria, facts) for demand in demands]
    refused = [answer for answer in answers if isinstance(answer, CannotServe)]
    sized = tuple(answer for answer in answers if isinstance(answer, Sized)) if not refused else ()
    why_not = _why_not(method, criteria, refused, sized)
    supply = ordered_supply([one.footing for one in sized], prices, spec.foundation.concrete_supply)
    table = (
        timetable(method.name, (supply, strictest_policy(criteria)), len(sized), crew.size, facts)
        if sized
        else None
    )
    lines = _lines(method, sized, criteria, prices, table, supply) if sized else []
    cost = _cost(lines, prices, crew, table, len(sized))
    risks = method.risks(sized, criteria, facts) if sized else ()
    compared = MethodComparison(
        method=method.name,
        feasible=not why_not,
        why_not=why_not,
        footings=tuple(one.footing for one in sized),
        quantities=tuple(line.on_the_wire(prices.currency if prices else None) for line in lines),
        cost=cost.on_the_wire() if cost else None,
        schedule=on_the_wire(table, spec.schedule.start_date, spec.schedule.closed_days) if table else None,
        risks=(*risks, *_line_risks(lines, prices)),
    )
    return MethodResult(
        method=method.name,
        compared=compared,
        sized=sized,
        status=_status(criteria, method, refused, sized),
        reasons=_reasons(why_not, sized),
        cautions=_once(caution for one in sized for caution in one.cautions),
        stands_on_fill=any(not f.passes and f.check == FILL for one in sized for f in one.findings),
        cost=cost,
        table=table,
    )


def _lines(
    method: FootingMethod,
    sized: Sequence[Sized],
    criteria: Criteria,
    prices: PriceBook | None,
    table: Timetable | None,
    supply: str,
) -> list[Bought]:
    needs = rented(method.needs(sized, criteria), table, supply)
    footings = [one.footing for one in sized]
    return [*concrete_bought(footings, prices, supply), *bought(needs, prices)]


def _cost(
    lines: Sequence[Bought], prices: PriceBook | None, crew: CrewTime, table: Timetable | None, count: int
) -> Cost | None:
    if prices is None or table is None:
        return None
    return cost_of(lines, prices.currency, crew, table, count)


def _allowed(method: FootingMethod, criteria: Criteria) -> bool:
    return criteria.jurisdiction is None or method.name not in criteria.jurisdiction.methods_not_allowed


def _why_not(
    method: FootingMethod, criteria: Criteria, refused: Sequence[CannotServe], sized: Sequence[Sized]
) -> tuple[CodedText, ...]:
    found = [CodedText(answer.code, answer.text) for answer in refused]
    found += [blocked for one in sized for blocked in one.blocked]
    if not _allowed(method, criteria):
        found.insert(
            0, CodedText("not_allowed_here", f"{method.name.replace('_', ' ')} is not allowed in this place")
        )
    first: dict[str, CodedText] = {}
    for one in found:
        first.setdefault(one.code, one)
    return tuple(first.values())


def _status(
    criteria: Criteria, method: FootingMethod, refused: Sequence[CannotServe], sized: Sequence[Sized]
) -> Status:
    if not _allowed(method, criteria) or any(one.unsafe for one in sized):
        return "not_permitted"
    # A method that cannot serve is no prohibition: an engineer may still find a way.
    doubtful = refused or any(one.engineer or one.blocked for one in sized)
    return "engineer_required" if doubtful else "prescriptive"


def _reasons(why_not: Sequence[CodedText], sized: Sequence[Sized]) -> tuple[Reason, ...]:
    """Every reason the verdict of a design drawn with this method is not better."""
    here = (Reason(code=REASON_OF.get(one.code, "method_cannot_serve"), text=one.text) for one in why_not)
    return (*here, *(reason for one in sized for reason in one.engineer))


def _once(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(cautions))


def _line_risks(lines: Sequence[Bought], prices: PriceBook | None) -> Iterable[Risk]:
    if any(line.item == SHORT_LOAD for line in lines):
        yield risk("short_load", "moderate", "so little ready-mix is charged extra")
    items = [line.item for line in lines if line.extended is None]
    if prices is not None and items:
        yield risk("price_missing", "low", f"the price book has no price for {', '.join(items)}")


def nothing_to_compare(why: tuple[str, ...]) -> FootingComparison:
    """Return the comparison of a deck no frame was found for."""
    return FootingComparison(
        methods=(), break_even=None, probability_cheapest=(), recommended=None, because=why
    )

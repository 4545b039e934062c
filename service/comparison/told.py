"""The comparison as the report carries it: worked out once, for the frame that is answered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.comparison.break_even import break_even, duels
from service.comparison.by_count import Column, columns_of, count_rows
from service.comparison.chances import TEXT, Chances, chances
from service.comparison.cost import CrewTime, crew_time
from service.comparison.crew_words import crew_time_counted
from service.comparison.flip_words import told_flips
from service.comparison.flips import turns
from service.comparison.lead_times import lead_time_risks
from service.comparison.parts import cost_parts
from service.comparison.recommend import Choice, because, choice, of_deck, too_slow
from service.comparison.result import STATUS_RANK, Comparison, MethodResult
from service.comparison.schedule import Timetable, on_the_wire
from service.contract.report import Verdict
from service.contract.report_comparison import (
    BreakEven,
    DayRange,
    Flip,
    FootingComparison,
    MethodComparison,
    MethodProbability,
    Schedule,
    Status,
    Supply,
)
from service.contract.spec import DeckSpec
from service.foundations.facts import FoundationFacts
from service.rules.price_book import PriceBook
from service.units.finding import Finding

BY_TABLES = Verdict(status="prescriptive", reasons=())


def told(
    comparison: Comparison,
    spec: DeckSpec,
    prices: PriceBook | None,
    facts: FoundationFacts,
    deck: Verdict = BY_TABLES,
) -> FootingComparison:
    """Return every method, where the ranking turns over, and which one is recommended and why.

    ``deck`` is the verdict of the deck without its footing method: none of them can better it.
    """
    results, crew = comparison.results, crew_time(spec.crew)
    chosen = choice(results, prices is not None)
    luck = chances(results, crew, facts, [one.method for one in chosen.equals])
    columns = columns_of(results, prices, crew) if prices else []
    flips = _flips(chosen, columns, prices, crew)
    cheapest = tuple(
        MethodProbability(method, chance, luck.of_equals.get(method)) for method, chance in luck.cheapest
    )
    return FootingComparison(
        methods=tuple(_method(one, spec, prices, luck, deck.status) for one in _ranked(results, prices)),
        break_even=_break_even(results, crew),
        probability_cheapest=cheapest,
        probability_error_points=luck.error_points,
        probability_text=TEXT,
        recommended=chosen.best.method if chosen.best else None,
        because=(*of_deck(deck), *because(chosen, results, flips, cheapest)),
        by_count=count_rows(columns, prices.currency) if prices else (),
        flips=flips,
        crew_time=crew_time_counted(chosen.best or next(iter(results), None), crew),
    )


def nothing_to_compare(why: tuple[str, ...]) -> FootingComparison:
    """Return the comparison of a deck no frame was found for."""
    return FootingComparison(
        methods=(), break_even=None, probability_cheapest=(), recommended=None, because=why
    )


def _ranked(results: Sequence[MethodResult], prices: PriceBook | None) -> Sequence[MethodResult]:
    """The order shown: preference where there is money, else feasibility and days."""
    if prices is not None:
        return results
    return sorted(results, key=lambda one: (not one.feasible, one.likely_days, one.method))


def _break_even(results: Sequence[MethodResult], crew: CrewTime) -> BreakEven | None:
    fights = duels(results, crew)
    currency = next((one.cost.currency for one in results if one.cost), "")
    return break_even(fights, currency) if fights else None


def _flips(
    chosen: Choice, columns: Sequence[Column], prices: PriceBook | None, crew: CrewTime
) -> tuple[Flip, ...]:
    """What would turn the recommendation among the methods of the same verdict."""
    if chosen.best is None or prices is None or not chosen.rivals:
        return ()
    late = too_slow((chosen.best, *chosen.rivals))
    rivals = [one for one in chosen.rivals if one not in late]
    level = {one.method for one in (chosen.best, *rivals)}
    found = turns(chosen.best, rivals, prices, crew)
    same = [one for one in columns if one.method in level]
    return told_flips(found, chosen.best.method, same, len(chosen.best.alike))


def _method(
    one: MethodResult, spec: DeckSpec, prices: PriceBook | None, luck: Chances, deck: Status
) -> MethodComparison:
    currency = prices.currency if prices else None
    return MethodComparison(
        method=one.method,
        feasible=one.feasible,
        why_not=one.why_not,
        footings=tuple(sized.footing for sized in one.sized),
        quantities=tuple(line.on_the_wire(currency) for line in one.lines),
        cost=one.cost.on_the_wire() if one.cost else None,
        schedule=_schedule(one, one.table, spec, luck) if one.table else None,
        risks=(*one.risks, *lead_time_risks(one.table, spec.schedule, spec.as_of)),
        verdict=max(one.status, deck, key=STATUS_RANK.__getitem__),
        checks=_worst(one),
        supply=one.supply or None,
        supplies=tuple(_supplies(one)),
        cost_parts=cost_parts(one),
    )


def _schedule(one: MethodResult, table: Timetable, spec: DeckSpec, luck: Chances) -> Schedule:
    when = spec.schedule
    return on_the_wire(table, when.start_date, when.closed_days, luck.framing_by.get(one.method, ()))


def _worst(one: MethodResult) -> tuple[Finding, ...]:
    """The finding of each check that is nearest its limit, or over it."""
    worst: dict[tuple[str, str], Finding] = {}
    for found in (found for sized in one.sized for found in sized.findings):
        kept = worst.setdefault((found.check, found.basis), found)
        if (not found.passes, found.ratio or 0.0) > (not kept.passes, kept.ratio or 0.0):
            worst[found.check, found.basis] = found
    return tuple(worst.values())


def _supplies(one: MethodResult) -> Iterable[Supply]:
    if not one.supply:
        return
    for place, way in enumerate(one.ways):
        days = way.table.first_framing_day if way.table else None
        yield Supply(
            supply=way.supply,
            cost=way.cost.on_the_wire() if way.cost else None,
            first_framing_working_day=DayRange(*days) if days else None,
            chosen=place == 0,
        )

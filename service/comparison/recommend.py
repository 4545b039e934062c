"""Which method to take, and why, in a builder's words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import zip_longest

from service.comparison.cost import Cost
from service.comparison.flip_words import within_reach
from service.comparison.method_words import jobs, name, plain
from service.comparison.result import (
    LESSER_SERVICE,
    STATUS_RANK,
    USUAL_METHOD,
    Comparison,
    MethodResult,
    VerdictKey,
)
from service.contract.money import amount
from service.contract.report import Reason, Verdict
from service.contract.report_comparison import Flip, MethodProbability

# Risks of the money or the calendar have sentences of their own.
NOT_OF_THE_GROUND = ("short_load", "price_missing", "inspection_delay")
GRAVE = ("high", "moderate")
REASONS_SAID = 3
CLOSE_PERCENT = 5  # convention of this service: prices and days are not known better
# By how much can go wrong with what is ordered and how it is made.
PLAINEST_FIRST = (
    USUAL_METHOD, "pad_and_pier", "belled_pier", "helical_pile", "post_on_buried_pad", "pier_block_on_grade",
)  # fmt: skip


def by_preference(results: Sequence[MethodResult]) -> list[MethodResult]:
    """Return the results best first: feasible, verdict, off the fill, lasting, no grave risk, likely cost, days.

    Where nothing is known of what the crew's time is worth, goods alone must not decide for more work: a method
    that takes longer than the usual one comes behind it.
    """
    ordered = sorted(results, key=_key)
    late = held_back(ordered)
    if not late:
        return ordered
    kept = [one for one in ordered if one not in late]
    after = next(place for place, one in enumerate(kept) if one.method == USUAL_METHOD) + 1
    return [*kept[:after], *late, *kept[after:]]


def held_back(results: Sequence[MethodResult]) -> list[MethodResult]:
    """Return the methods that cost less than the usual one in goods alone, and take longer."""
    return [
        one
        for one, usual in _late(results)
        if one.cost and usual.cost and one.cost.likely <= usual.cost.likely
    ]


def too_slow(results: Sequence[MethodResult]) -> list[MethodResult]:
    """Return the methods that take longer than the usual one where the crew's time has no price.

    No price of theirs, however low, would put them first.
    """
    return [one for one, _ in _late(results)]


def _late(results: Sequence[MethodResult]) -> Iterator[tuple[MethodResult, MethodResult]]:
    usual = next((one for one in results if one.method == USUAL_METHOD), None)
    if usual is None or usual.cost is None or usual.cost.counts_time:
        return
    for one in results:
        if one.verdict_key == usual.verdict_key and _usual_days(one) > _usual_days(usual):
            yield one, usual


def _usual_days(one: MethodResult) -> float:
    """Days that do not turn with a hole a little wider: else a heavier frame would have cheaper footings."""
    return one.usual_days if one.usual_days is not None else one.likely_days


def _key(one: MethodResult) -> tuple[VerdictKey, bool, Decimal, float, str]:
    likely = one.cost.likely if one.cost else Decimal(0)
    return (one.verdict_key, one.cost is None, likely, one.likely_days, one.method)


def choose_method(comparison: Comparison, wanted: str) -> MethodResult | None:
    """Return the method a design is drawn with.

    A pinned method is taken as it is, feasible or not, if its footings could be worked out; ``unserved`` says
    why they could not. ``auto`` takes the best verdict, then one that does not stand on fill, then one
    of lasting service, then one whose holes have no grave risk, then the least likely cost of those that have one;
    where none of these has a cost, poured piers as the usual way.
    """
    workable = [one for one in comparison.results if one.alike]
    pinned = next((one for one in workable if one.method == wanted), None)
    if pinned is not None or not workable:
        return pinned
    best = workable[0]
    if best.cost is not None:
        return best
    # A pile costs several times a pier, so an unpriced choice must not fall on it by its days alone.
    level = [one for one in workable if one.verdict_key == best.verdict_key]
    return next((one for one in level if one.method == USUAL_METHOD), best)


def unserved(comparison: Comparison, wanted: str) -> tuple[Reason, ...]:
    """Return why a pinned method was not drawn; empty where it was, and for ``auto``."""
    pinned = comparison.result(wanted)
    return pinned.reasons if pinned and not pinned.alike else ()


@dataclass(frozen=True)
class Choice:
    """The method recommended, and the others by their standing to it; ``why_none`` where there is none.

    ``rivals`` are as good by the rules and have a cost, the cheapest first; ``unpriced`` are as good and have none;
    ``held_back`` cost less in goods and take longer, where the crew's time has no price; ``lesser`` have a worse
    verdict, would stand on fill, serve less well or have a grave risk in their holes.
    """

    best: MethodResult | None
    rivals: tuple[MethodResult, ...] = ()
    unpriced: tuple[MethodResult, ...] = ()
    lesser: tuple[MethodResult, ...] = ()
    held_back: tuple[MethodResult, ...] = ()
    why_none: str = ""

    @property
    def equals(self) -> tuple[MethodResult, ...]:
        """The method recommended and those of its standing that have a cost."""
        return (self.best, *self.rivals) if self.best else ()


def choice(results: Sequence[MethodResult], priced: bool) -> Choice:
    """Return the cheapest of the methods with the best verdict; none where money does not decide between them.

    A method without a price is not weighed; a method with a worse verdict is never taken for its price.
    """
    usable = [one for one in by_preference(results) if one.usable]
    if not priced:
        return Choice(None, why_none="No price book is given, so no method is recommended.")
    if not usable:
        return Choice(None, why_none="No method serves every post here.")
    level = [one for one in usable if one.verdict_key == usable[0].verdict_key]
    weighed = [one for one in level if one.cost is not None]
    unpriced = tuple(one for one in level if one.cost is None)
    lesser = tuple(one for one in usable if one.verdict_key != usable[0].verdict_key)
    if not weighed:
        why = "A price is missing for every method that would do, so they can't be set side by side."
        return Choice(None, unpriced=unpriced, lesser=lesser, why_none=why)
    late = held_back(usable)
    rivals = tuple(one for one in weighed[1:] if one not in late)
    return Choice(weighed[0], rivals, unpriced, lesser, tuple(late))


def of_deck(verdict: Verdict) -> tuple[str, ...]:
    """Return what has to be said of the deck before its footings; nothing where the tables have all of it.

    >>> of_deck(Verdict(status="prescriptive", reasons=()))
    ()
    """
    if verdict.status == "prescriptive":
        return ()
    what = "needs an engineer" if verdict.status == "engineer_required" else "may not be built like this"
    # One reason may hold for many members.
    said = list(dict.fromkeys(one.text.rstrip(".") for one in verdict.reasons))
    more = len(said) - REASONS_SAID
    rest = f"; and {more} more reason{'s' if more > 1 else ''}" if more > 0 else ""
    return (f"The deck itself {what}: {'; '.join(said[:REASONS_SAID])}{rest}.",)


def because(
    chosen: Choice,
    results: Sequence[MethodResult],
    flips: Sequence[Flip] = (),
    chances: Sequence[MethodProbability] = (),
) -> tuple[str, ...]:
    """Return the reasons for a recommendation, or for its lack, in short sentences with their numbers."""
    ruled_out = list(_ruled_out(results))
    if chosen.best is None:
        usable = [one for one in results if one.feasible]
        missing = [_no_price(one) for one in chosen.unpriced]
        return (chosen.why_none, *missing, *(_days(one) for one in usable if one.table), *ruled_out)
    return (
        *_verdict(chosen.best),
        *_money(chosen.best, chosen.rivals),
        *_held_back(chosen.best, chosen.held_back),
        *_left_out(results),
        *_when(chosen.best, chosen.rivals),
        *_too_close(chosen.best, chosen.rivals),
        *_likelihood(chosen.best, chosen.rivals, chances),
        *_ground(chosen.best),
        *(f"What would turn it: {flip.text}" for flip in [one for one in flips if within_reach(one)][:2]),
        *(_no_price(one) for one in chosen.unpriced),
        *_lesser(chosen.best, chosen.lesser),
        *ruled_out,
    )


def _ruled_out(results: Sequence[MethodResult]) -> Iterator[str]:
    """Why methods are out, those with one reason together."""
    out = [one for one in results if one.why_not or one.status == "not_permitted"]
    for why, alike in _by_reason((_why_out(one), one) for one in out):
        yield f"{_joined([one.method for one in alike])} are out: {why}."


def _why_out(one: MethodResult) -> str:
    return one.why_not[0].text if one.why_not else _failing(one)


def _verdict(best: MethodResult) -> Iterator[str]:
    """No method within the tables is left, so the best there is still needs an engineer: that is said first."""
    if best.status != "prescriptive":
        why = f": {best.reasons[0].text}" if best.reasons else ""
        yield f"No method stays within the tables here. {name(best.method)} need an engineer's word first{why}."


def _money(best: MethodResult, rivals: Sequence[MethodResult]) -> Iterator[str]:
    if best.cost is None:
        return
    unit, likely = best.cost.currency, best.cost.likely
    yield (
        f"{name(best.method)} cost {amount(likely)} {unit}, {amount(best.cost.total[0])} to "
        f"{amount(best.cost.total[2])}, {_counting(best.cost)}."
    )
    for place, one in enumerate(rivals):
        if one.cost:
            more = one.cost.likely - likely
            told = f"{amount(more)} {unit} more" if more else "the same, but are no sooner done"
            yield f"{name(one.method)}{'' if place else ', the next of equal standing,'} cost {told}."


def _held_back(best: MethodResult, others: Sequence[MethodResult]) -> Iterator[str]:
    for one in others:
        if one.cost and best.cost and one.cost.likely < best.cost.likely:
            less = f"{amount(best.cost.likely - one.cost.likely)} {one.cost.currency} less in goods"
            more = one.likely_days - best.likely_days
            later = f"take {more:.1f} days more" if more > 0 else "usually take longer"
            yield f"{name(one.method)} cost {less}, but {later}, and the crew's time has no price here."


def _left_out(results: Sequence[MethodResult]) -> Iterator[str]:
    items = sorted({line.item for one in results if one.cost for line in one.lines if line.left_out})
    if items:
        yield f"Not in any cost here, for the price book has no price: {', '.join(items)}."


def _counting(cost: Cost) -> str:
    """What of the crew's time is in a cost."""
    if cost.day_value:
        return "the crew's days counted" if cost.includes_wages else "wages and idle days counted"
    if cost.hourly:
        return "wages counted; what a day is worth is not given, so saved days weigh nothing"
    return "goods and services alone; what the crew's time is worth is not given, so saved days weigh nothing"


def _when(best: MethodResult, rivals: Sequence[MethodResult]) -> Iterator[str]:
    for one in (best, *rivals[:1]):
        if one.table:
            yield _days(one)


def _days(one: MethodResult) -> str:
    low, likely, high = one.table.first_framing_day if one.table else (0.0, 0.0, 0.0)
    span = f", day {low:g} if all goes well, day {high:g} if not" if low < high else ""
    return f"{name(one.method)}: framing starts on day {likely:g}{span}."


def _too_close(best: MethodResult, rivals: Sequence[MethodResult]) -> Iterator[str]:
    """Costs that are nearly the same say nothing: the plainer way has fewer surprises."""
    near = [one for one in rivals if _near(best, one)]
    if near:
        plainest = min((best, *near), key=_plainness)
        with_them = " and ".join(plain(one.method) for one in near)
        yield (
            f"{name(best.method)} and {with_them} are too close to call on money, within {CLOSE_PERCENT} %. If in "
            f"doubt take {plain(plainest.method)}, the plainer way."
        )


def _near(best: MethodResult, other: MethodResult) -> bool:
    if best.cost is None or other.cost is None:
        return False
    return other.cost.likely <= best.cost.likely * (100 + CLOSE_PERCENT) / 100


def _plainness(one: MethodResult) -> int:
    return PLAINEST_FIRST.index(one.method) if one.method in PLAINEST_FIRST else len(PLAINEST_FIRST)


def _likelihood(
    best: MethodResult, rivals: Sequence[MethodResult], chances: Sequence[MethodProbability]
) -> Iterator[str]:
    """How often each of the equals comes out cheapest: a likely cost says nothing of how far a job may run over."""
    of_equals = {one.method: one.of_equals for one in chances if one.of_equals is not None}
    if len(of_equals) < 2:
        return
    ours, top = of_equals[best.method], max(of_equals, key=lambda one: of_equals[one])
    if ours >= of_equals[top]:
        yield f"Of these equals {plain(best.method)} come out cheapest in {jobs(ours)} like this one."
        return
    other = next(one for one in rivals if one.method == top)
    yield (
        f"Counting bad luck too, {plain(top)} come out cheapest in {jobs(of_equals[top])}, "
        f"{plain(best.method)} in {jobs(ours)}{_why_later(best, other)}."
    )


def _why_later(best: MethodResult, other: MethodResult) -> str:
    """Why the one with the least likely cost is cheapest less often, and whom that should move."""
    if best.table is None or other.table is None or not (best.cost and best.cost.counts_time):
        return ""
    low, likely, high = best.table.elapsed_days
    if high - likely <= likely - low:
        return ""
    said = f": the days of {plain(best.method)} run over more often than they run short"
    later = other.table.elapsed_days[2] < high
    return f"{said}. If a late start hurts, take {plain(other.method)}" if later else said


def _ground(best: MethodResult) -> Iterator[str]:
    """What the ground still has in store for the method taken."""
    for risk in best.risks:
        if risk.severity in GRAVE and risk.code not in NOT_OF_THE_GROUND:
            yield f"Mind this: {risk.text}. {risk.action[:1].upper()}{risk.action[1:]}."


def _no_price(one: MethodResult) -> str:
    items = ", ".join(line.item for line in one.lines if line.extended is None and not line.left_out)
    return f"{name(one.method)} are not weighed: no price for {items}." if items else (
        f"{name(one.method)} are not weighed: their days are not known."
    )  # fmt: skip


def _lesser(best: MethodResult, others: Sequence[MethodResult]) -> Iterator[str]:
    """Why methods that could be had are not set beside the one taken, with what each would save."""
    for why, alike in _by_reason((_behind(best, one), one) for one in others):
        if len(alike) == 1:
            (one,), saving = alike, _saving(best, alike[0])
            but = f" would cost {saving} less, but they" if saving else ""
            yield f"{name(one.method)}{but} {why}."
        else:
            savings = (_saving(best, one) for one in alike)
            told = [f" ({saving} less)" if saving else "" for saving in savings]
            yield f"{_joined([one.method for one in alike], told)} {why}."


def _behind(best: MethodResult, other: MethodResult) -> str:
    if STATUS_RANK[best.status] < STATUS_RANK[other.status]:
        return f"need an engineer: {other.reasons[0].text}" if other.reasons else "need an engineer"
    if other.stands_on_fill and not best.stands_on_fill:
        return f"would stand on dug-up ground; {plain(best.method)} do not"
    if other.method in LESSER_SERVICE and best.method not in LESSER_SERVICE:
        return f"are no equal to {plain(best.method)}: {LESSER_SERVICE[other.method]}"
    return f"stand behind {plain(best.method)}: {other.grave[0].text}"


def _by_reason(given: Iterable[tuple[str, MethodResult]]) -> Iterable[tuple[str, list[MethodResult]]]:
    """Methods that share a reason, in the order they come."""
    found: dict[str, list[MethodResult]] = {}
    for why, one in given:
        found.setdefault(why, []).append(one)
    return found.items()


def _joined(methods: Sequence[str], told: Sequence[str] = ()) -> str:
    """Names at the start of a sentence, each with what is told of it."""
    names = [name(methods[0]), *map(plain, methods[1:])]
    *most, last = [a + b for a, b in zip_longest(names, told, fillvalue="")]
    return f"{', '.join(most)} and {last}" if most else last


def _saving(best: MethodResult, other: MethodResult) -> str:
    if best.cost and other.cost and other.cost.likely < best.cost.likely:
        return f"{amount(best.cost.likely - other.cost.likely)} {best.cost.currency}"
    return ""


def _failing(one: MethodResult) -> str:
    found = next((found for sized in one.alike for found in sized.unsafe), None)
    if found is None:
        return "a rule forbids them"
    wants = f", {found.would_pass} would pass" if found.would_pass else ""
    if found.demand is None or found.capacity is None:
        return f"{found.check.replace('_', ' ')} fails{wants}"
    return (
        f"{found.check.replace('_', ' ')} is {found.demand:g} {found.unit} against {found.capacity:g}{wants}"
    )

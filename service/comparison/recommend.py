"""Which method to take, and why, in a builder's words."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from service.comparison.result import STATUS_RANK, USUAL_METHOD, Comparison, MethodResult
from service.contract.money import amount
from service.contract.report import Reason

NAMES = {"tube_form_pier": "poured tube piers", "helical_pile": "helical piles"}


def by_preference(results: Sequence[MethodResult]) -> list[MethodResult]:
    """Return the results best first: feasible, verdict, off the fill, then likely cost, then days."""
    return sorted(results, key=_key)


def _key(one: MethodResult) -> tuple[tuple[bool, int, bool], bool, Decimal, float, str]:
    likely = one.cost.likely if one.cost else Decimal(0)
    return (one.verdict_key, one.cost is None, likely, one.likely_days, one.method)


def choose_method(comparison: Comparison, wanted: str) -> MethodResult | None:
    """Return the method a design is drawn with.

    A pinned method is taken as it is, feasible or not, if its footings could be worked out; ``unserved`` says
    why they could not. ``auto`` takes
    the best verdict, then one that does not stand on fill, then the least likely cost; where costs are not
    known, poured piers as the usual way.
    """
    workable = [one for one in comparison.results if one.sized]
    pinned = next((one for one in workable if one.method == wanted), None)
    if pinned is not None or not workable:
        return pinned
    best = workable[0]
    rivals = [one for one in workable if one.verdict_key == best.verdict_key]
    # A pile costs several times a pier, so an unpriced choice must not fall on it by its days alone.
    if any(one.cost is None for one in rivals):
        return next((one for one in rivals if one.method == USUAL_METHOD), best)
    return best


def unserved(comparison: Comparison, wanted: str) -> tuple[Reason, ...]:
    """Return why a pinned method was not drawn; empty where it was, and for ``auto``."""
    pinned = comparison.result(wanted)
    return pinned.reasons if pinned and not pinned.sized else ()


def recommended(results: Sequence[MethodResult], priced: bool) -> tuple[str | None, tuple[str, ...]]:
    """Return the recommended method with the reasons; None where money is not known."""
    usable = [one for one in by_preference(results) if one.feasible]
    ruled_out = tuple(f"{_name(one)}: {one.why_not[0].text}." for one in results if one.why_not)
    if not priced:
        return None, ("No price book is given, so no method is recommended.", *_days(usable), *ruled_out)
    if not usable:
        return None, ("No method serves every post here.", *ruled_out)
    best, *others = usable
    level = [one for one in others if one.verdict_key == best.verdict_key]
    if level and any(one.cost is None for one in (best, *level)):
        return None, (
            "A price is missing, so the methods can't be set side by side.",
            *_days(usable),
            *ruled_out,
        )
    return best.method, (*_why(best, others), *_days(usable), *ruled_out)


def _name(one: MethodResult) -> str:
    return NAMES.get(one.method, one.method.replace("_", " ")).capitalize()


def _days(usable: Sequence[MethodResult]) -> tuple[str, ...]:
    return tuple(
        f"{_name(one)}: framing starts on day {one.table.first_framing_day[1]:g}, "
        f"between day {one.table.first_framing_day[0]:g} and day {one.table.first_framing_day[2]:g}."
        for one in usable
        if one.table
    )


def _why(best: MethodResult, others: Sequence[MethodResult]) -> tuple[str, ...]:
    found = []
    for other in others:
        if STATUS_RANK[best.status] < STATUS_RANK[other.status]:
            found.append(f"{_name(best)} keep the deck within the tables; {_name(other).lower()} do not.")
        elif other.stands_on_fill and not best.stands_on_fill:
            found.append(f"{_name(best)} go through the backfill; {_name(other).lower()} would stand on it.")
        elif best.cost and other.cost:
            less = amount(other.cost.likely - best.cost.likely)
            unit = best.cost.currency
            found.append(
                f"{_name(best)} come to {amount(best.cost.likely)} {unit} with the crew's days counted, "
                f"{less} {unit} less than {_name(other).lower()}."
            )
    return tuple(found) or (f"{_name(best)} serve every post here.",)

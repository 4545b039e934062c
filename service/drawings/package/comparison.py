"""The footing methods side by side: which serve, what they cost and take, and what could go wrong."""

from __future__ import annotations

from collections.abc import Iterator

from service.contract.report_comparison import FootingComparison, MethodComparison, MethodProbability, Risk
from service.drawings.package.blocks import AnyBlock, Column, Section, listing, table
from service.drawings.package.words import NOTHING, cost, figure, number, three, words
from service.units.text import sentence
from service.units.working import Step

Row = tuple[str, ...]
METHODS = (
    Column("method", 1.5), Column("serves", 0.7), Column("footings", 0.7, "right"),
    Column("cost low / likely / high", 2, "right"), Column("days to framing low / likely / high", 1.5, "right"),
    Column("verdict of the deck with it", 1.3), Column("chance to be cheapest of all, of equals", 1.2, "right"),
)  # fmt: skip
RISKS = (Column("severity", 0.7), Column("methods", 1.4), Column("risk", 2.6), Column("what to do", 2.4))
WORKING = (Column("symbol", 0.6), Column("value", 0.8, "right"), Column("what", 4))
_GRAVEST = ("high", "moderate", "low")


def footing_comparison(comparison: FootingComparison) -> Section:
    """Return the section that tells why the footings are what they are."""
    blocks: list[AnyBlock] = [*listing("Recommended", _recommended(comparison))]
    chances = {one.method: one for one in comparison.probability_cheapest}
    blocks += table(
        f"Methods{_currency(comparison)}", METHODS, (_method(one, chances) for one in comparison.methods)
    )
    blocks += listing("Why not", _why_not(comparison))
    blocks += table("Risks", RISKS, _risks(comparison))
    blocks += listing("Where the ranking turns over", _turns(comparison))
    if comparison.break_even is not None:
        blocks += table("Break-even worked out", WORKING, map(_step, comparison.break_even.working))
    return Section(title="Footing methods compared", blocks=tuple(blocks), new_page=True)


def _recommended(comparison: FootingComparison) -> Iterator[str]:
    if comparison.recommended is not None:
        yield f"{words(comparison.recommended).capitalize()}."
    yield from map(sentence, comparison.because)


def _currency(comparison: FootingComparison) -> str:
    return "".join(f", {one}" for one in sorted({m.cost.currency for m in comparison.methods if m.cost}))


def _method(one: MethodComparison, chances: dict[str, MethodProbability]) -> Row:
    first = one.schedule.first_framing_working_day if one.schedule else None
    chance = chances.get(one.method)
    return (
        words(one.method),
        "yes" if one.feasible else "no",
        str(len(one.footings) or NOTHING),
        three(one.cost),
        " / ".join(number(day) for day in (first.low, first.likely, first.high)) if first else NOTHING,
        words(one.verdict) if one.feasible else NOTHING,
        ", ".join(_percent(share) for share in (chance.probability, chance.of_equals)) if chance else NOTHING,
    )


def _percent(share: float | None) -> str:
    return NOTHING if share is None else f"{100 * share:.1f} %"


def _why_not(comparison: FootingComparison) -> Iterator[str]:
    for method in comparison.methods:
        for one in method.why_not:
            yield f"{words(method.method).capitalize()}: {sentence(one.text)}"


def _risks(comparison: FootingComparison) -> list[Row]:
    """Each risk once, with every method that has it, the gravest first."""
    found: dict[Risk, list[str]] = {}
    for method in comparison.methods:
        for risk in method.risks:
            found.setdefault(risk, []).append(words(method.method))
    ordered = sorted(found, key=lambda risk: _GRAVEST.index(risk.severity))
    return [
        (one.severity, ", ".join(found[one]), sentence(one.text), sentence(one.action)) for one in ordered
    ]


def _turns(comparison: FootingComparison) -> Iterator[str]:
    even = comparison.break_even
    if even is not None:
        quick, other = map(words, even.methods)
        worth = (
            f"{even.crew_day_value.currency} {cost(even.crew_day_value)}" if even.crew_day_value else NOTHING
        )
        count = NOTHING if even.footing_count is None else number(even.footing_count)
        yield f"{quick.capitalize()} against {other}: crew-day worth {worth}, number of footings {count}."
    yield from (sentence(flip.text) for flip in comparison.flips)
    if comparison.probability_text:
        yield sentence(comparison.probability_text)


def _step(step: Step) -> Row:
    return (step.symbol, step.value_text or figure(step.value, step.unit), step.source)

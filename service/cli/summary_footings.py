"""The footing methods side by side, as a builder reads them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rich.console import Console

from service.cli.item_names import ItemNames
from service.cli.printing import NOTHING, Column, days, item, percent, table, three, title, words
from service.cli.summary_break_even import print_break_even
from service.cli.summary_ground import print_ground
from service.cli.summary_schedule import print_dates, print_schedule
from service.contract.report_comparison import FootingComparison, MethodComparison, Risk
from service.units.text import sentence

METHODS: tuple[Column, ...] = (
    ("method", "left"), ("use", "left"), ("no.", "right"), ("cost low / likely / high", "right"),
    ("days to framing", "right"), ("date", "left"),
)  # fmt: skip
MIXES = {"bagged": "bags", "ready_mix": "truck"}
MOST_SEVERE_FIRST = ("high", "moderate", "low")
STAYS_HERE = (
    "Work bought in, inspection fees and the crew's time are in these costs and not in the order; "
    "goods and hired machines of the method taken are in both."
)
MORE = "Tasks, risks, break-even, chances, the ground beside the house and all else: --all."


def print_comparison(
    comparison: FootingComparison, names: ItemNames, console: Console, *, everything: bool = False
) -> None:
    """Print the comparison, each part where there is something in it, items by their names.

    That is a page of what decides; ``everything`` adds the rest, and the schedule in place of its dates alone.
    """
    title(console, f"Footing methods{_currency(comparison)}")
    _recommended(comparison, names, console)
    whose, chances = _chances(comparison)
    ordered = sorted(comparison.methods, key=lambda method: not method.feasible)
    columns: tuple[Column, ...] = (*METHODS, (whose, "right"), ("mix", "left"))
    table(console, columns, (_method(method, chances) for method in ordered))
    if everything:
        print_schedule(comparison, console)
    else:
        print_dates(comparison, console)
    _cost_parts(comparison, names, console)
    if everything:
        _rest(comparison, names, console)
    elif comparison.methods:
        item(console, MORE)


def _rest(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    _crew_time(comparison, console)
    _why_not(comparison, console)
    _risks(comparison, names, console)
    _supplies(comparison, console)
    print_break_even(comparison, names, console)
    print_ground(comparison.ground_beside_house, console)


def _chances(comparison: FootingComparison) -> tuple[str, Mapping[str, float]]:
    """The chance of being the cheapest of those that may be taken for it; of all where none is recommended."""
    luck = comparison.probability_cheapest
    if comparison.recommended is None:
        return "cheapest", {one.method: one.probability for one in luck}
    equal = {one.method: one.of_equals for one in luck if one.of_equals is not None}
    # One that has no equal is the cheapest of nothing.
    return "cheapest\nof its\nequals", equal if len(equal) > 1 else {}


def _currency(comparison: FootingComparison) -> str:
    found = {method.cost.currency for method in comparison.methods if method.cost}
    return "".join(f", {currency}" for currency in sorted(found))


def _method(method: MethodComparison, chances: Mapping[str, float]) -> tuple[str, ...]:
    schedule = method.schedule
    first = schedule.first_framing_working_day if schedule else None
    chance = chances.get(method.method)
    return (
        words(method.method),
        _use(method),
        str(len(method.footings) or NOTHING),
        three(method.cost),
        NOTHING if first is None else " / ".join(days(one) for one in (first.low, first.likely, first.high)),
        (schedule.first_framing_date if schedule else None) or NOTHING,
        NOTHING if chance is None else percent(chance),
        MIXES.get(method.supply or "", NOTHING),
    )


def _use(method: MethodComparison) -> str:
    if not method.feasible:
        return "no"
    return {"prescriptive": "yes", "engineer_required": "engineer", "not_permitted": "fails"}[method.verdict]


def _recommended(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    if comparison.recommended is not None:
        item(console, f"Recommended: {words(comparison.recommended)}")
    for because in comparison.because:
        item(console, f"- {sentence(names.in_text(because))}")
    if any(method.cost for method in comparison.methods):
        item(console, STAYS_HERE)


def _crew_time(comparison: FootingComparison, console: Console) -> None:
    counted = comparison.crew_time
    if counted is not None:
        title(console, "How the crew's time is counted")
        for text in (counted.text, counted.other_way):
            item(console, sentence(text))


def _why_not(comparison: FootingComparison, console: Console) -> None:
    """Print what the reasons of the recommendation leave out, methods that share a reason in one line."""
    said, found = " ".join(comparison.because), dict[str, list[str]]()
    for method in comparison.methods:
        for one in method.why_not:
            if one.text not in said:
                found.setdefault(one.text, []).append(words(method.method))
    lines = [f"- {', '.join(methods)}: {sentence(text)}" for text, methods in found.items()]
    _listed(console, "Why not", lines)


def _listed(console: Console, name: str, lines: list[str]) -> None:
    if lines:
        title(console, name)
    for line in lines:
        item(console, line)


def _risks(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    """Print each risk once, with every method that has it, the gravest first."""
    found: dict[Risk, list[str]] = {}
    for method in comparison.methods:
        for risk in method.risks if method.feasible else ():
            found.setdefault(risk, []).append(words(method.method))
    ordered = sorted(found, key=lambda risk: MOST_SEVERE_FIRST.index(risk.severity))
    lines = [
        f"- {risk.severity}, {', '.join(found[risk])}: {sentence(names.in_text(risk.text))} {sentence(risk.action)}"
        for risk in ordered
    ]
    _listed(console, "Risks", lines)


def _supplies(comparison: FootingComparison, console: Console) -> None:
    lines = [line for method in comparison.methods if len(method.supplies) > 1 for line in _ways(method)]
    _listed(console, "How the concrete comes", lines)


def _ways(method: MethodComparison) -> Iterator[str]:
    for way in method.supplies:
        first = way.first_framing_working_day
        taken = ", taken" if way.chosen else ""
        yield (
            f"- {words(method.method)}, {words(way.supply)}: {three(way.cost)}, "
            f"framing starts on day {days(first.likely if first else None)}{taken}"
        )


def _cost_parts(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    chosen = next((m for m in comparison.methods if m.method == comparison.recommended), None)
    if chosen is None or not chosen.cost_parts:
        return
    title(console, f"What {words(chosen.method)} costs")
    rows = (
        (words(one.part), three(one.cost), sentence(names.in_text(one.text))) for one in chosen.cost_parts
    )
    table(console, (("part", "left"), ("low / likely / high", "right"), ("what", "left")), rows)

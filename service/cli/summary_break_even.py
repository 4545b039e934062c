"""Where the ranking of the footing methods turns over, how sure it is, and what would turn it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from service.cli.item_names import ItemNames
from service.cli.printing import NOTHING, Column, amount, days, item, percent, table, title, words
from service.comparison.flip_words import within_reach
from service.comparison.method_words import jobs
from service.contract.report_comparison import (
    BreakEven,
    CountRow,
    DayChance,
    FootingComparison,
    MethodProbability,
)
from service.units.text import sentence
from service.units.working import Step

# A day by which framing has surely started, or surely not, says nothing more.
SURE_NOT, SURE = 0.005, 0.995
MOST_DAYS = 9


def print_break_even(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    """Print break-even, the table by number of footings, probabilities and what would turn the recommendation."""
    _break_even(comparison.break_even, console)
    _by_count(comparison.by_count, console)
    _chances(comparison, console)
    _flips(comparison, names, console)


def _break_even(found: BreakEven | None, console: Console) -> None:
    if found is None:
        return
    quick, slow = (words(method) for method in found.methods)
    title(console, f"Break-even: {quick} against {slow}")
    if found.crew_day_value is not None:
        worth = f"{found.crew_day_value.amount} {found.crew_day_value.currency}"
        item(console, f"{sentence(quick)[:-1]} costs less in all from a crew-day worth {worth} on.")
    if found.footing_count is not None:
        item(
            console,
            f"{sentence(quick)[:-1]} costs less in all for fewer than {found.footing_count:.1f} footings.",
        )
    for step in found.working:
        item(console, _step(step), indent=4)


def _step(step: Step) -> str:
    value = step.value_text if step.value is None else f"{step.value:,.6g}"
    return f"{step.symbol} = {value} {step.unit or ''}".rstrip() + f": {step.source}"


def _by_count(rows: tuple[CountRow, ...], console: Console) -> None:
    """Print likely cost and days of each method for each number of footings, the cheapest starred."""
    methods = tuple(dict.fromkeys(one.method for row in rows for one in row.methods))
    if not methods:
        return
    title(console, "By the number of footings: likely cost and days, * the cheapest")
    columns: list[Column] = [("footings", "right"), *((words(method), "right") for method in methods)]
    table(console, columns, (_count(row, methods) for row in rows))


def _count(row: CountRow, methods: tuple[str, ...]) -> tuple[str, ...]:
    found = {
        one.method: f"{'* ' if one.method == row.cheapest else ''}{amount(one.cost)}, {days(one.days)} d"
        for one in row.methods
    }
    return (str(row.footings), *(found.get(method, NOTHING) for method in methods))


def _chances(comparison: FootingComparison, console: Console) -> None:
    starts = [
        (words(method.method), method.schedule.framing_by)
        for method in comparison.methods
        if method.feasible and method.schedule and method.schedule.framing_by
    ]
    if not comparison.probability_cheapest and not starts:
        return
    title(console, "How sure that is")
    for one in comparison.probability_cheapest:
        item(console, f"- {words(one.method)}: cheapest in {jobs(one.probability)}{_of_equals(one)}.")
    _starts(starts, console)
    if comparison.probability_text:
        item(console, sentence(comparison.probability_text))
    if comparison.probability_error_points is not None:
        error = comparison.probability_error_points
        item(
            console,
            f"Error of these figures by the way they are counted: at most {error:.2g} percentage points.",
        )


def _of_equals(one: MethodProbability) -> str:
    return "" if one.of_equals is None else f", of its equals in {jobs(one.of_equals)}"


def _starts(starts: Sequence[tuple[str, tuple[DayChance, ...]]], console: Console) -> None:
    """Print how likely framing has started by each day that is in doubt for any method."""
    doubtful = {
        one.working_day: one for _, chances in starts for one in chances if SURE_NOT < one.probability < SURE
    }
    shown = [doubtful[day] for day in sorted(doubtful)][:MOST_DAYS]
    if not shown:
        return
    item(console, "Framing has started by the end of working day:")
    columns: list[Column] = [("method", "left"), *((_day(one), "right") for one in shown)]
    table(console, columns, (_started(name, chances, shown) for name, chances in starts))


def _day(one: DayChance) -> str:
    """A day as the head of a column, its month and day under its number.

    >>> _day(DayChance(working_day=4, date="2027-04-09", probability=0.5))
    '4\\n04-09'
    """
    return f"{one.working_day:g}" + (f"\n{one.date[5:]}" if one.date else "")


def _started(name: str, chances: tuple[DayChance, ...], shown: Sequence[DayChance]) -> tuple[str, ...]:
    known = {one.working_day: percent(one.probability) for one in chances}
    return (name, *(known.get(day.working_day, NOTHING) for day in shown))


def _flips(comparison: FootingComparison, names: ItemNames, console: Console) -> None:
    shown = [flip for flip in comparison.flips if within_reach(flip)]
    if shown:
        title(console, "What alone would turn the recommendation")
    for flip in shown:
        item(console, f"- {sentence(names.in_text(flip.text))}")

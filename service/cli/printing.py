"""How a page for people is printed: titles, lines that wrap under themselves, tables without borders."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Literal, TypeAlias

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from service.contract.money import Money, MoneyRange

PAGE_COLUMNS = 100
NOTHING = "-"
Side: TypeAlias = Literal["left", "right"]
Column: TypeAlias = tuple[str, Side]
# Columns that are never broken: what stands in them is looked up elsewhere.
_WHOLE = (
    "member", "table", "verdict", "date", "from", "to", "cost low / likely / high", "days to framing",
    "days low / likely / high", "low / likely / high",
)  # fmt: skip
# Columns of words that may break between two words, and how wide they are at least.
_LEAST_WIDE = {"method": 12, "use": 8, "cheapest": 8}


def page() -> Console:
    """Return a console as wide as pages are, without colours for figures."""
    return Console(width=PAGE_COLUMNS, highlight=False)


def words(code: str) -> str:
    """Return a word of the wire as it is read.

    >>> words("engineer_required")
    'engineer required'
    """
    return code.replace("_", " ")


def title(console: Console, text: str) -> None:
    """Print the title of a part after an empty line."""
    console.print()
    console.print(Text(text.upper(), style="bold"))


def item(console: Console, text: str, indent: int = 2) -> None:
    """Print a line that wraps under itself."""
    grid = Table.grid(padding=0)
    grid.add_column(width=indent)
    grid.add_column(overflow="fold")
    grid.add_row("", Text(text))
    console.print(grid)


def table(console: Console, columns: Sequence[Column], rows: Iterable[Sequence[str]]) -> None:
    """Print a table; nothing where it has no row."""
    made = Table(box=box.SIMPLE_HEAD, pad_edge=True, show_edge=False, padding=(0, 1, 0, 0))
    for name, side in columns:
        least = _LEAST_WIDE.get(name)
        made.add_column(name, justify=side, overflow="fold", no_wrap=name in _WHOLE, min_width=least)
    for row in rows:
        made.add_row(*row)
    if made.row_count:
        console.print(made)


def whole(amount: str) -> str:
    """Return an amount of money in whole units, as a comparison is read.

    >>> whole("1234.50"), whole("-0.40")
    ('1,235', '0')
    """
    return f"{Decimal(amount).to_integral_value('ROUND_HALF_UP') + 0:,f}"


def amount(money: Money | None) -> str:
    """Return money in whole units; a dash where none is known."""
    return NOTHING if money is None else whole(money.amount)


def three(cost: MoneyRange | None) -> str:
    """Return low, likely and high money in whole units; a dash where none is known."""
    return NOTHING if cost is None else " / ".join(whole(one) for one in (cost.low, cost.likely, cost.high))


def days(count: float | None) -> str:
    """Return a number of days; a dash where none is known.

    >>> days(3.04), days(None)
    ('3.0', '-')
    """
    return NOTHING if count is None else f"{count:.1f}"


def percent(probability: float) -> str:
    """Return a probability as a builder says it.

    >>> percent(0.6234), percent(0.999), percent(0.0004)
    ('62 %', '> 99 %', '< 1 %')
    """
    if 0 < probability < 0.01:
        return "< 1 %"
    if 0.99 < probability < 1:
        return "> 99 %"
    return f"{100 * probability:.0f} %"

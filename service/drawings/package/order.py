"""The order: what to buy, what has no price, and what it comes to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Protocol

from service.contract.money import Money
from service.contract.report import DesignReport
from service.contract.report_order import Takeoff
from service.drawings.package.blocks import AnyBlock, Column, Section, breakable, fact_table, table
from service.drawings.package.words import NOTHING, cost, grouped, number, unit_words, words
from service.units.text import item_words

Row = tuple[str, ...]
ITEM, NUMBER = Column("item", 3.4), Column("supplier's number", 1.3)
MONEY = (Column("each", 0.9, "right"), Column("together", 1, "right"), Column("to be had", 0.8))
BOARDS = (ITEM, Column("length, ft", 0.6, "right"), Column("pieces", 0.6, "right"), NUMBER, *MONEY)
GOODS = (ITEM, Column("quantity", 0.7, "right"), Column("unit", 0.6), NUMBER, *MONEY)
UNPRICED = (ITEM, Column("quantity", 0.7, "right"), Column("unit", 0.6), Column("why", 3))
INSTEAD = (
    Column("item", 2.4),
    Column("ordered instead", 2.4),
    Column("quantity", 0.7, "right"),
    Column("why", 2.4),
)


class _Line(Protocol):
    @property
    def item(self) -> str: ...
    @property
    def quantity(self) -> float: ...
    @property
    def sku(self) -> str | None: ...
    @property
    def unit_price(self) -> str | None: ...
    @property
    def extended(self) -> Money | None: ...
    @property
    def availability(self) -> str | None: ...


class _Board(_Line, Protocol):
    @property
    def length_ft(self) -> float | None: ...


class _Goods(_Line, Protocol):
    @property
    def unit(self) -> str: ...


def order(report: DesignReport) -> Section:
    """Return the section with every line of the order."""
    takeoff = report.takeoff
    blocks: list[AnyBlock] = [*fact_table("What it comes to", _total(report))]
    blocks += table("Lumber and posts", BOARDS, map(_board, takeoff.stock))
    blocks += table("Decking", BOARDS, map(_board, takeoff.decking))
    blocks += table("Hardware and fasteners", GOODS, map(_goods, takeoff.hardware))
    blocks += table("Concrete", GOODS, map(_goods, takeoff.concrete))
    blocks += table("Groundwork", GOODS, map(_goods, takeoff.groundwork))
    blocks += table("Without a price", UNPRICED, _unpriced(takeoff))
    blocks += table("Substitutions", INSTEAD, _substitutions(takeoff))
    return Section(title="Order", blocks=tuple(blocks), new_page=True)


def _total(report: DesignReport) -> Iterator[tuple[str, str]]:
    takeoff, book = report.takeoff, report.price_book
    if book is None or takeoff.total is None:
        yield "total", "no price book was named, so nothing is priced"
    else:
        total = takeoff.total
        complete = (
            "complete: every line has a price" if total.complete else "not complete: some lines have no price"
        )
        tax = "tax included" if total.tax_included else "without tax"
        yield "total", f"{total.currency} {grouped(total.amount)}, {complete}, {tax}"
        yield "prices", f"{book.id}@{book.version}, {report.as_of}"
    yield "lumber waste", f"{number(takeoff.lumber_waste_percent)} percent"
    yield "saw cut", f"{number(takeoff.kerf_in)} in"


def _money(line: _Line) -> Row:
    each = NOTHING if line.unit_price is None else grouped(line.unit_price)
    return (breakable(line.sku or NOTHING), each, cost(line.extended), words(line.availability or NOTHING))


def _board(line: _Board) -> Row:
    length_ft = NOTHING if line.length_ft is None else number(line.length_ft)
    return (item_words(line.item), length_ft, number(line.quantity), *_money(line))


def _goods(line: _Goods) -> Row:
    return (item_words(line.item), number(line.quantity), unit_words(line.unit), *_money(line))


def _unpriced(takeoff: Takeoff) -> Iterable[Row]:
    for one in takeoff.unpriced:
        yield (item_words(one.item), number(one.quantity), unit_words(one.unit), one.because)


def _substitutions(takeoff: Takeoff) -> Iterable[Row]:
    for one in takeoff.substitutions:
        size = "" if one.length_ft is None else f", {number(one.length_ft)} ft"
        quantity = f"{number(one.quantity)} {unit_words(one.unit)}"
        yield (item_words(one.item) + size, item_words(one.instead), quantity, one.because)

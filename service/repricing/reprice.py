"""An open quote in, what it comes to at other prices out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from decimal import Decimal

import msgspec

from service.choice.level.context import Context
from service.contract.money import Money, TooMuchMoney, money
from service.contract.problem import Allowed, Fault, Rejected
from service.contract.report import DesignReport, PriceBookRef
from service.contract.report_order import OrderTotal
from service.contract.repricing import AmountGiven, RepricingSpec
from service.contract.repricing_answer import FrameChange, MovedLine, RepricedDesign, Repricing
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.repricing.frames import frame_change, freed, has_pins, pinned, sizes_of
from service.repricing.lines import (
    RepricedLine,
    compared,
    lines_of,
    moved_most,
    repriced_lines,
    unpriced_lines,
)
from service.repricing.quantities import assumed_packs
from service.repricing.recut import pieces_of, recut
from service.rules.price_book import PriceBook
from service.takeoff.pricing import order_total, total_of
from service.units.rounding import number, rounded


def reprice_lines(quote: RepricingSpec, prices: PriceBook, previous: PriceBook | None = None) -> Repricing:
    """Return an order at the prices of a book.

    Args:
        quote: an open quote with ``lines``
        prices: the book to price by
        previous: the book ``previous_price_book`` names, for what each line came to before

    Raises:
        Rejected: currency_mixed, or an order that comes to more than money can be written
    """
    _refuse(_mixed(quote, prices, previous))
    try:
        return _repriced_lines(quote, prices, previous)
    except TooMuchMoney as refused:
        raise TooMuchMoney(refused.value, "/lines") from None


def _repriced_lines(quote: RepricingSpec, prices: PriceBook, previous: PriceBook | None) -> Repricing:
    lines = repriced_lines(quote.lines or (), prices, previous)
    unpriced = tuple(unpriced_lines(lines))
    total = total_of(line.now.extended for line in lines if line.now)
    known = _compared(lines, prices, previous)
    return rounded(
        msgspec.structs.replace(
            _answer(quote, order_total(prices, total, complete=not unpriced), prices, previous),
            compared_lines=len(known),
            moved=moved_most(known),
            unpriced=unpriced,
            packs_assumed=assumed_packs(quote.lines or (), prices, previous),
            recut=recut(lines, quote.pieces, prices),
        )
    )


def reprice_spec(quote: RepricingSpec, context: Context, previous: PriceBook | None = None) -> Repricing:
    """Return the order for a deck at the prices of ``context``.

    The frame of the answer is the one that was quoted: that of the spec designed at the prices of ``previous``,
    its sizes pinned; without ``previous``, that of the spec as it stands. It is compared with another, for which
    the sizes are free and cost decides, where the quoted one is known: by ``previous`` or by sizes the spec pins.
    Beams may lie elsewhere in a kept frame, as the sizes alone are kept. Re-cutting compares the boards of the
    quoted order with new ones for the same pieces, so it needs ``previous`` too.

    Args:
        quote: an open quote with a ``spec``, well formed and with known names
        context: what it is designed against; has prices
        previous: the book ``previous_price_book`` names

    Raises:
        Rejected: currency_mixed, or an order that comes to more than money can be written
    """
    if context.prices is None or quote.spec is None:
        raise ValueError("a spec and a price book are needed")
    _refuse(_mixed(quote, context.prices, previous))
    try:
        return _repriced_spec(quote, quote.spec, context, context.prices, previous)
    except TooMuchMoney as refused:
        raise TooMuchMoney(refused.value, "/spec") from None


def _repriced_spec(
    quote: RepricingSpec, spec: DeckSpec, context: Context, prices: PriceBook, previous: PriceBook | None
) -> Repricing:
    quoted = design(spec, replace(context, prices=previous), with_wishes=False) if previous else None
    kept, change = _frames(spec, context, quoted)
    takeoff = kept.takeoff
    # what a takeoff lists is in the packs of the book it was made with
    kept_lines = repriced_lines(lines_of(takeoff), prices, previous, counted_by=prices)
    known = _compared(kept_lines, prices, previous)
    order = quoted.takeoff if quoted else None
    boards = repriced_lines(lines_of(order), prices, previous) if order else ()
    return rounded(
        msgspec.structs.replace(
            _answer(quote, takeoff.total, prices, previous),
            compared_lines=len(known),
            moved=moved_most(known),
            unpriced=takeoff.unpriced,
            recut=recut(boards, pieces_of(order), prices) if order else None,
            frame=change,
            design=_design(kept),
        )
    )


def _frames(
    spec: DeckSpec, context: Context, quoted: DesignReport | None
) -> tuple[DesignReport, FrameChange | None]:
    """The frame that is kept, and whether another is cheaper; null where the quoted one is not known."""
    if quoted is None and not has_pins(spec):
        return design(spec, context, with_wishes=False), None
    free = design(freed(spec), context, with_wishes=False)
    if quoted is None:
        kept = design(spec, context, with_wishes=False)
        return kept, frame_change(kept, free, "pins")
    same = sizes_of(free) == sizes_of(quoted)
    kept = free if same else design(pinned(spec, quoted), context, with_wishes=False)
    # sizes that differ from level to level cannot all be pinned: another frame then, and nothing to compare
    known = sizes_of(kept) == sizes_of(quoted)
    return kept, frame_change(kept, free, "previous_price_book") if known else None


def _mixed(quote: RepricingSpec, prices: PriceBook, previous: PriceBook | None) -> Iterator[Fault]:
    allowed = Allowed(one_of=(prices.currency,))
    detail = f"one currency an answer: price book {prices.id} is in {prices.currency}"
    if quote.previous_total.currency != prices.currency:
        yield Fault("/previous_total/currency", "currency_mixed", detail, allowed)
    if previous is not None and previous.currency != prices.currency:
        yield Fault("/previous_price_book", "currency_mixed", detail, allowed)
    for at, currency in _spec_currencies(quote.spec):
        if currency != prices.currency:
            yield Fault(f"/spec{at}", "currency_mixed", detail, allowed)


def _spec_currencies(spec: DeckSpec | None) -> Iterator[tuple[str, str]]:
    if spec is not None and spec.crew is not None:
        yield "/crew/currency", spec.crew.currency
    if spec is not None and spec.framing.cost_ceiling is not None:
        yield "/framing/cost_ceiling/currency", spec.framing.cost_ceiling.currency


def _refuse(faults: Iterator[Fault] | list[Fault]) -> None:
    found = tuple(faults)
    if found:
        raise Rejected("invalid_spec", "1 fault" if len(found) == 1 else f"{len(found)} faults", found)


def _compared(
    lines: Iterable[RepricedLine], prices: PriceBook, previous: PriceBook | None
) -> tuple[MovedLine, ...]:
    return () if _tax_differs(prices, previous) else compared(lines, prices.currency)


def _tax_differs(prices: PriceBook, previous: PriceBook | None) -> bool:
    return previous is not None and previous.tax_included != prices.tax_included


def _not_compared(total: OrderTotal | None, prices: PriceBook, previous: PriceBook | None) -> str:
    """Why a total is not compared with the one before; empty where it is."""
    if previous is not None and _tax_differs(prices, previous):
        taxed, untaxed = (prices, previous) if prices.tax_included else (previous, prices)
        return (
            f"prices of {taxed.id}@{taxed.version} include tax, "
            f"those of {untaxed.id}@{untaxed.version} do not"
        )
    if total is None:
        return "no frame was found, so there is no order"
    return "" if total.complete else "not every line of the order has a price"


def _answer(
    quote: RepricingSpec, total: OrderTotal | None, prices: PriceBook, previous: PriceBook | None
) -> Repricing:
    """The answer with its totals, and nothing else in it yet."""
    before, because = quote.previous_total, _not_compared(total, prices, previous)
    change = Decimal(total.amount) - Decimal(before.amount) if total and not because else None
    return Repricing(
        reference=quote.reference,
        price_book=PriceBookRef(
            id=prices.id, version=prices.version, digest=prices.digest, currency=prices.currency
        ),
        previous_total=Money(before.currency, before.amount),
        total=total,
        change=None if change is None else money(prices.currency, change),
        change_percent=_percent(change, before),
        because=because,
        compared_lines=0,
        moved=(),
        unpriced=(),
        packs_assumed=(),
        recut=None,
        frame=None,
        design=None,
    )


def _percent(change: Decimal | None, before: AmountGiven) -> float | None:
    whole = Decimal(before.amount)
    return None if change is None or not whole else number(float(100 * change / whole), "percent")


def _design(report: DesignReport) -> RepricedDesign:
    return RepricedDesign(
        design_id=report.design_id,
        as_of=report.as_of,
        engine_version=report.engine_version,
        jurisdiction=report.jurisdiction,
        rulebook=report.rulebook,
        verdict=report.verdict,
        cautions=report.cautions,
    )

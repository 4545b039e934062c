"""An open quote in, what it comes to at other prices out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

import msgspec

from service.choice.context import Context
from service.contract.money import Money, money
from service.contract.problem import Allowed, Fault, Rejected
from service.contract.report import DesignReport, PriceBookRef
from service.contract.report_order import OrderTotal
from service.contract.repricing import AmountGiven, RepricingSpec
from service.contract.repricing_answer import FrameChange, RepricedDesign, Repricing
from service.contract.spec import DeckSpec
from service.pipeline import design
from service.repricing.frames import frame_change, freed, has_pins, pinned, sizes_of
from service.repricing.lines import compared, lines_of, moved_most, repriced_lines, unpriced_lines
from service.repricing.recut import pieces_of, recut
from service.rules.price_book import PriceBook
from service.takeoff.pricing import order_total, total_of
from service.units.rounding import number, rounded

MOST_MONEY = Decimal("999999999.99")


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
    lines = repriced_lines(quote.lines or (), prices, previous)
    unpriced = tuple(unpriced_lines(lines, prices))
    total = total_of(line.now.extended for line in lines if line.now)
    if total > MOST_MONEY:
        _refuse([Fault("/lines", "out_of_range", f"the lines come to {total}", Allowed(max=str(MOST_MONEY)))])
    answer = _answer(quote, prices, order_total(prices, total, complete=not unpriced))
    known = compared(lines, prices.currency)
    return rounded(
        msgspec.structs.replace(
            answer,
            compared_lines=len(known),
            moved=moved_most(known),
            unpriced=unpriced,
            recut=recut(quote.lines or (), quote.pieces, prices),
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
        Rejected: currency_mixed
    """
    prices, spec = context.prices, quote.spec
    if prices is None or spec is None:
        raise ValueError("a spec and a price book are needed")
    _refuse(_mixed(quote, prices, previous))
    quoted = design(spec, replace(context, prices=previous)) if previous else None
    kept, change = _frames(spec, context, quoted)
    takeoff = kept.takeoff
    known = compared(repriced_lines(lines_of(takeoff), prices, previous), prices.currency) if previous else ()
    order = quoted.takeoff if quoted else None
    return rounded(
        msgspec.structs.replace(
            _answer(quote, prices, takeoff.total),
            compared_lines=len(known),
            moved=moved_most(known),
            unpriced=takeoff.unpriced,
            recut=recut(lines_of(order), pieces_of(order), prices) if order else None,
            frame=change,
            design=_design(kept),
        )
    )


def _frames(
    spec: DeckSpec, context: Context, quoted: DesignReport | None
) -> tuple[DesignReport, FrameChange | None]:
    """The frame that is kept, and whether another is cheaper; null where the quoted one is not known."""
    if quoted is None and not has_pins(spec):
        return design(spec, context), None
    free = design(freed(spec), context)
    if quoted is None:
        kept = design(spec, context)
        return kept, frame_change(kept, free, "pins")
    same = sizes_of(free) == sizes_of(quoted)
    kept = free if same else design(pinned(spec, quoted), context)
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


def _answer(quote: RepricingSpec, prices: PriceBook, total: OrderTotal | None) -> Repricing:
    """The answer with its totals, and nothing else in it yet."""
    before = quote.previous_total
    change = Decimal(total.amount) - Decimal(before.amount) if total and total.complete else None
    return Repricing(
        reference=quote.reference,
        price_book=PriceBookRef(
            id=prices.id, version=prices.version, digest=prices.digest, currency=prices.currency
        ),
        previous_total=Money(before.currency, before.amount),
        total=total,
        change=None if change is None else money(prices.currency, change),
        change_percent=_percent(change, before),
        compared_lines=0,
        moved=(),
        unpriced=(),
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

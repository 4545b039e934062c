"""Two versions of an invented price book, and the desk of what comes with the service."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import msgspec
import pytest

from service.app import bundled_snapshot, make_desk
from service.contract.repricing import RepricingSpec
from service.rules.price_book import PriceBook, PriceBreak, parse_price_book
from service.web.desk import Desk

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
BOARD = "lumber.2x10.southern_pine.no_2.uc3b"
BAG, HANGER = "concrete.bag.60lb", "joist_hanger.2x10.1ply.hot_dip_galvanized"
NAIL, SCREW = "nail.10d.hot_dip_galvanized", "structural_screw.1-4in.4in.hot_dip_galvanized"
MIX, BASE = "concrete.ready_mix.3000psi", "post_base.6x6.hot_dip_galvanized"

PREAMBLE = """\
#id: test-yard
#version: {version}
#organisation: test-yard
#currency: {currency}
#effective_from: 2026-11-01
#effective_to:
#tax_included: {tax}
item,sku,description,unit,length_ft,unit_price,breaks,pack_quantity,availability,note
"""
OLD = f"""\
{BOARD},B-8,Board 8 ft,piece,8,10.00,,,in_stock,
{BOARD},B-12,Board 12 ft,piece,12,15.00,,,in_stock,
{BOARD},B-16,Board 16 ft,piece,16,22.00,,,in_stock,
{BAG},C-60,Bag,bag,,5.00,,,in_stock,
{HANGER},H-1,Hanger,each,,2.0000,,,in_stock,
{NAIL},N-1,Nails,box,,9.50,,250,in_stock,
{MIX},M-1,Ready-mix,cuyd,,160.00,,,in_stock,
{BASE},P-6,Post base,each,,24.00,,,in_stock,
"""
NEW = f"""\
{BOARD},B-8,Board 8 ft,piece,8,11.20,,,in_stock,
{BOARD},B-12,Board 12 ft,piece,12,16.80,10:15.90,,in_stock,
{BOARD},B-14,Board 14 ft,piece,14,19.00,,,out,
{BOARD},B-16,Board 16 ft,piece,16,18.00,,,in_stock,
{BAG},C-60,Bag,bag,,5.62,42:5.20,,in_stock,
{HANGER},H-1,Hanger,each,,2.3450,25:2.1150,,in_stock,
{NAIL},N-1,Nails,box,,4.10,,100,in_stock,
{SCREW},S-1,Screws,box,,18.25,,50,in_stock,
{MIX},M-1,Ready-mix,cuyd,,171.50,,,in_stock,
"""


def book(lines: str, version: int = 2, currency: str = "USD", tax: str = "false") -> PriceBook:
    head = PREAMBLE.format(version=version, currency=currency, tax=tax)
    return parse_price_book(head + lines, "test-yard.csv")


def quote(*lines: dict[str, Any], before: str = "100.00", **fields: Any) -> RepricingSpec:
    total = {"currency": "USD", "amount": before}
    given = {"reference": "Q-1", "lines": lines, "previous_total": total, **fields}
    return msgspec.convert({name: one for name, one in given.items() if one is not None}, RepricingSpec)


def line(
    item: str,
    quantity: float,
    length_ft: float | None = None,
    before: str | None = None,
    unit: str | None = None,
) -> dict[str, Any]:
    found: dict[str, Any] = {"item": item, "quantity": quantity, "length_ft": length_ft}
    if unit is not None:
        found["unit"] = unit
    return found if before is None else {**found, "previous_extended": {"currency": "USD", "amount": before}}


def with_prices(prices: PriceBook, scale: dict[str, str], version: int = 9) -> PriceBook:
    """A later version of a book in which items that begin so cost so many times as much."""

    def dearer(item: str) -> Decimal:
        return next((Decimal(by) for begin, by in scale.items() if item.startswith(begin)), Decimal(1))

    lines = tuple(
        replace(
            one,
            unit_price=one.unit_price * dearer(one.item),
            breaks=tuple(PriceBreak(b.at_least, b.unit_price * dearer(one.item)) for b in one.breaks),
        )
        for one in prices.lines
    )
    return replace(prices, version=version, lines=lines, digest=f"{version:064x}")


@pytest.fixture(scope="session")
def old() -> PriceBook:
    return book(OLD, version=1)


@pytest.fixture(scope="session")
def new() -> PriceBook:
    return book(NEW)


@pytest.fixture(scope="session")
def desk() -> Desk:
    return make_desk(bundled_snapshot(), clock=lambda: dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC))


@pytest.fixture(scope="session")
def yard(desk: Desk) -> PriceBook:
    return desk.price_book("brindlemoor-yard@2", dt.date(2026, 11, 25))

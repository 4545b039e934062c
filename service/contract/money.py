"""Money on the wire: decimal strings, never binary fractions."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated

import msgspec

from service.contract.problem import Allowed, Fault, Rejected
from service.units.rounding import money as half_up

MOST_MONEY = Decimal("999999999.99")
Amount = Annotated[
    str, msgspec.Meta(pattern=r"^-?\d{1,9}\.\d{2}$", description="Decimal amount", examples=["1234.50"])
]
UnitPrice = Annotated[
    str, msgspec.Meta(pattern=r"^\d{1,9}\.\d{2,4}$", description="Price of one unit", examples=["12.3400"])
]
Currency = Annotated[str, msgspec.Meta(pattern=r"^[A-Z]{3}$", description="ISO 4217 code", examples=["USD"])]


class Money(msgspec.Struct, frozen=True):
    """An amount in one currency."""

    currency: Currency
    amount: Amount


class MoneyRange(msgspec.Struct, frozen=True):
    """A low, likely and high amount in one currency."""

    currency: Currency
    low: Amount
    likely: Amount
    high: Amount


class TooMuchMoney(Rejected):
    """An amount with more digits than money is written with; ``place`` is where in the body it comes from."""

    def __init__(self, value: Decimal, place: str = "") -> None:
        fault = Fault(place, "out_of_range", f"an amount comes to {value}", Allowed(max=str(MOST_MONEY)))
        super().__init__("invalid_spec", "1 fault", (fault,))
        self.value = value


def amount(value: Decimal) -> str:
    """Return the wire form of an amount, rounded half up.

    Raises:
        TooMuchMoney: it is beyond 999,999,999.99, either way

    >>> amount(Decimal("12.345"))
    '12.35'
    """
    rounded = half_up(value)
    if abs(rounded) > MOST_MONEY:
        raise TooMuchMoney(rounded)
    return f"{rounded:.2f}"


def unit_price(value: Decimal) -> str:
    """Return the wire form of a unit price, up to four decimals.

    >>> unit_price(Decimal("1.5"))
    '1.50'
    """
    text = f"{half_up(value, 4):.4f}"
    return text[:-2] if text.endswith("00") else text.rstrip("0") if text.endswith("0") else text


def money(currency: str, value: Decimal) -> Money:
    """Return an amount as a wire object.

    >>> money("USD", Decimal("2.5")).amount
    '2.50'
    """
    return Money(currency, amount(value))


def money_range(currency: str, low: Decimal, likely: Decimal, high: Decimal) -> MoneyRange:
    """Return a range as a wire object.

    >>> money_range("USD", Decimal(1), Decimal(2), Decimal(3)).high
    '3.00'
    """
    return MoneyRange(currency, amount(low), amount(likely), amount(high))

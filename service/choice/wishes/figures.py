"""The figures frames are compared by, one frame beside another, and what a builder says of the difference."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from service.choice.level.list_prices import MONEY
from service.comparison.result import STATUS_RANK
from service.contract.money import Money, money
from service.contract.report_comparison import Status
from service.units.rounding import money as half_up
from service.units.text import inches

BY_PIECE = "at list prices by the piece"
BY_ORDER = "in the order"
MOST_NAMED = 2  # items without a price; of more only their number is told
_WORSE: dict[Status, str] = {
    "prescriptive": "within the tables",
    "engineer_required": "an engineer has to look at it",
    "not_permitted": "may not be built",
}


@dataclass(frozen=True)
class Figures:
    """What a frame is compared by; ``cost`` in ten-thousandths of the currency, null where prices are missing.

    ``days`` are working days until framing starts, ``deflection_in`` is that of the live load, and ``head_room_in``
    is from the ground to the lowest beam. ``unpriced`` are items whose price is missing, ``method`` is
    that of the footings.
    """

    verdict: Status
    cost: int | None
    footings: int
    days: float | None = None
    deflection_in: float | None = None
    head_room_in: float | None = None
    unpriced: tuple[str, ...] = ()
    method: str | None = None

    @property
    def amount(self) -> Decimal | None:
        """The cost as it is told, to the cent.

        >>> Figures("prescriptive", 31_240_049, 6).amount
        Decimal('3124.00')
        """
        return None if self.cost is None else half_up(Decimal(self.cost) / MONEY)

    @property
    def _fewer_is_better(self) -> tuple[float | Decimal | None, ...]:
        """Each figure as it is told, so that what reads alike is alike."""
        bends = None if self.deflection_in is None else round(self.deflection_in, 4)
        room = None if self.head_room_in is None else -round(self.head_room_in, 4)
        return (STATUS_RANK[self.verdict], self.amount, self.footings, bends, room)

    def as_good_as(self, other: Figures) -> bool:
        """Return whether no figure but the days is worse than the other's.

        One that is not known is as good as another that is not known either, and as no other.

        >>> cheap, stiff = Figures("prescriptive", 10_000, 6, None, 0.3), Figures("prescriptive", 20_000, 6, None, 0.2)
        >>> cheap.as_good_as(stiff), cheap.as_good_as(cheap)
        (False, True)
        """
        pairs = zip(self._fewer_is_better, other._fewer_is_better, strict=True)
        return all(_no_more(ours, theirs) for ours, theirs in pairs)


def _no_more(ours: float | Decimal | None, theirs: float | Decimal | None) -> bool:
    return ours is theirs if ours is None or theirs is None else ours <= theirs


class Change(NamedTuple):
    """What is different about another frame; each figure is the other's less ours, null where either is not known.

    ``unpriced`` are the items whose missing prices leave the cost open, ``basis`` is how money is counted;
    ``other_method`` says that the footings are made another way.
    """

    cost: Decimal | None
    footings: int
    days: float | None
    deflection_in: float | None
    head_room_in: float | None
    verdict: Status
    before: Status
    unpriced: tuple[str, ...] = ()
    basis: str = BY_PIECE
    other_method: bool = False

    def money(self, currency: str | None) -> Money | None:
        """Return the change of cost as it is sent."""
        return None if self.cost is None or currency is None else money(currency, self.cost)


class Said(NamedTuple):
    """One difference in words; ``gain`` is above 0 for what is better, below it for what is worse."""

    gain: int
    text: str


def change(ours: Figures, other: Figures) -> Change:
    """Return what is different about another frame.

    >>> change(Figures("prescriptive", 10_000, 6), Figures("prescriptive", 30_000, 4)).cost
    Decimal('2.00')
    """
    priced = ours.amount is not None and other.amount is not None
    return Change(
        (other.amount or Decimal()) - (ours.amount or Decimal()) if priced else None,
        other.footings - ours.footings,
        _apart(other.days, ours.days),
        _apart(other.deflection_in, ours.deflection_in),
        _apart(other.head_room_in, ours.head_room_in),
        other.verdict,
        ours.verdict,
        () if priced else _unpriced(ours, other),
        other_method=ours.method != other.method,
    )


def _unpriced(ours: Figures, other: Figures) -> tuple[str, ...]:
    """The items without a price of either; those that only the frame answered has are said to be its."""
    own = (f"{one} of the frame answered" for one in ours.unpriced if one not in other.unpriced)
    return tuple(dict.fromkeys((*other.unpriced, *own)))


def _apart(one: float | None, other: float | None) -> float | None:
    """The difference of two figures as they are told."""
    return None if one is None or other is None else round(round(one, 4) - round(other, 4), 4) + 0.0


def said(found: Change, currency: str | None) -> Iterator[Said]:
    """Yield every difference in words, what is the same of money and footings too.

    >>> [one.text for one in said(change(Figures("prescriptive", 0, 6), Figures("prescriptive", 5000, 4)), "USD")]
    ['+0.50 USD at list prices by the piece', '2 footings fewer']
    """
    yield from _verdict(found)
    if found.cost is not None:
        yield Said(_better(-found.cost), _money(found.cost, currency, found.basis))
    elif found.unpriced:
        yield Said(-1, _not_known(found.unpriced))
    yield Said(_better(-found.footings), _count(found.footings, other_method=found.other_method))
    if found.days:
        yield Said(_better(-found.days), _days(found.days))
    if found.deflection_in and abs(found.deflection_in) >= 0.005:
        less = "less" if found.deflection_in < 0 else "more"
        yield Said(_better(-found.deflection_in), f"deflects {abs(found.deflection_in):.2f} in {less}")
    if found.head_room_in and inches(abs(found.head_room_in)) != "0":
        less = "less" if found.head_room_in < 0 else "more"
        room = inches(abs(found.head_room_in))
        yield Said(_better(found.head_room_in), f"{room} in {less} room under the beams")


def _better(value: float | Decimal) -> int:
    return (value > 0) - (value < 0)


def _verdict(found: Change) -> Iterator[Said]:
    gain = STATUS_RANK[found.before] - STATUS_RANK[found.verdict]
    if gain:
        yield Said(gain, _WORSE[found.verdict])


def _money(cost: Decimal, currency: str | None, basis: str) -> str:
    return f"{cost:+.2f} {currency} {basis}" if cost else "same cost"


def _not_known(items: Sequence[str]) -> str:
    """Which prices are missing, a few of them by name.

    >>> _not_known(["post.6x6", "form.12in", "form.14in"])
    'price not known: post.6x6, form.12in and 1 more'
    """
    more = f" and {len(items) - MOST_NAMED} more" if len(items) > MOST_NAMED else ""
    return f"price not known: {', '.join(items[:MOST_NAMED])}{more}"


def _count(footings: int, *, other_method: bool) -> str:
    if footings == 0:
        return "as many footings" if other_method else "same footings"
    plural = "" if abs(footings) == 1 else "s"
    return f"{abs(footings)} footing{plural} {'fewer' if footings < 0 else 'more'}"


def _days(days: float) -> str:
    plural = "" if abs(days) == 1 else "s"
    return f"framing starts {abs(days):.3g} day{plural} {'sooner' if days < 0 else 'later'}"

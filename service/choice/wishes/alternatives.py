"""Other frames worth a word beside the one answered: what each gains, and what it gives up for that."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, NamedTuple, Protocol, TypeVar

import numpy as np
import numpy.typing as npt

from service.choice.wishes.figures import Figures, change, said
from service.comparison.result import STATUS_RANK
from service.contract.money import Money, money
from service.contract.report_choice import Alternative
from service.units.text import inches

MOST_TOLD = 8
MOST_STEPS = 3  # of fewer and fewer footings, or more and more room (convention of this service)
ROOM_STEP_IN = 1.0  # less is not felt under a deck (convention of this service)
STIFFER = (0.8, 0.6)  # of the answered frame's deflection (convention of this service)
Thing = TypeVar("Thing")


class Columns(Protocol):
    """What a wish looks at of many frames: one row a frame."""

    @property
    def footings(self) -> npt.NDArray[np.int64]: ...

    @property
    def deflection_in(self) -> npt.NDArray[np.float64]: ...

    @property
    def head_room_in(self) -> npt.NDArray[np.float64]: ...


class Bound(NamedTuple):
    """What another frame must have at least to be told; null where it does not matter."""

    most_footings: int | None = None
    most_deflection_in: float | None = None
    least_room_in: float | None = None

    def mask(self, field: Columns) -> npt.NDArray[np.bool_]:
        """Return which frames of a field have it."""
        allowed = np.ones(len(field.footings), dtype=bool)
        if self.most_footings is not None:
            allowed &= field.footings <= self.most_footings
        if self.most_deflection_in is not None:
            allowed &= field.deflection_in <= self.most_deflection_in
        if self.least_room_in is not None:
            allowed &= field.head_room_in >= self.least_room_in
        return allowed


@dataclass(frozen=True)
class Offer(Generic[Thing]):
    """Another frame, judged to the last check, with its figures, why it is told, and what it gives up beside them."""

    figures: Figures
    frame: Thing
    because: str = ""
    gives_up: tuple[str, ...] = ()


Seek = Callable[[Bound], "Offer[Thing] | None"]


def bounded(ours: Figures, seek: Seek[Thing]) -> Iterator[Offer[Thing]]:
    """Yield the cheapest frame with fewer and fewer footings, the cheapest stiffer ones, and those with more room.

    ``seek`` returns the best frame within a bound; none that stands worse than ours is yielded.
    """
    ways = (_fewer_footings(ours, seek), _stiffer(ours, seek), _more_room(ours, seek))
    for one in (offer for way in ways for offer in way):
        if STATUS_RANK[one.figures.verdict] <= STATUS_RANK[ours.verdict]:
            yield one


def _because(one: Offer[Thing], what: str) -> Offer[Thing]:
    best = "plainest" if one.figures.cost is None else "cheapest"
    return Offer(one.figures, one.frame, f"The {best} frame {what}.")


def _fewer_footings(ours: Figures, seek: Seek[Thing]) -> Iterator[Offer[Thing]]:
    most = ours.footings
    for _ in range(MOST_STEPS):
        found = seek(Bound(most_footings=most - 1))
        if found is None:
            return
        most = min(most - 1, found.figures.footings)
        plural = "" if found.figures.footings == 1 else "s"
        yield _because(found, f"on {found.figures.footings} footing{plural}")


def _stiffer(ours: Figures, seek: Seek[Thing]) -> Iterator[Offer[Thing]]:
    for part in STIFFER if ours.deflection_in else ():
        found = seek(Bound(most_deflection_in=part * (ours.deflection_in or 0.0)))
        if found is not None:
            yield _because(found, f"that deflects {100 - 100 * part:.0f} % less at least")


def _more_room(ours: Figures, seek: Seek[Thing]) -> Iterator[Offer[Thing]]:
    room_in = ours.head_room_in
    for _ in range(MOST_STEPS if room_in is not None else 0):
        found = seek(Bound(least_room_in=(room_in or 0.0) + ROOM_STEP_IN))
        if found is None or found.figures.head_room_in is None:
            return
        room_in = max((room_in or 0.0) + ROOM_STEP_IN, found.figures.head_room_in)
        yield _because(found, f"with {inches(found.figures.head_room_in)} in of room under its beams")


def worth_telling(ours: Figures, offers: Iterable[Offer[Thing]]) -> tuple[Offer[Thing], ...]:
    """Return at most eight of the frames, the first of those alike, none that another or ours is as good as.

    >>> ours = Figures("prescriptive", 100_000, 6)
    >>> fewer, dearer = Figures("prescriptive", 200_000, 4), Figures("prescriptive", 300_000, 4)
    >>> [one.frame for one in worth_telling(ours, [Offer(dearer, "dearer"), Offer(fewer, "on 4"), Offer(fewer, "too")])]
    ['on 4']
    """
    given = [one for one in offers if not ours.as_good_as(one.figures)]
    kept = [one for place, one in enumerate(given) if not _beaten(one, place, given)]
    return tuple(kept[:MOST_TOLD])


def _beaten(one: Offer[Thing], place: int, given: Sequence[Offer[Thing]]) -> bool:
    """Whether another is better, or as good and told before."""
    for other_place, other in enumerate(given):
        as_good = other.figures.as_good_as(one.figures)
        if as_good and (other_place < place or not one.figures.as_good_as(other.figures)):
            return True
    return False


class Told(NamedTuple):
    """A frame in words, beside the one answered."""

    summary: str
    differences: tuple[str, ...]


def alternative(
    ours: Figures, whole: Money | None, currency: str | None, offer: Offer[Thing], told: Told
) -> Alternative:
    """Return another frame as it is sent.

    Args:
        ours: the figures of the frame answered
        whole: what the deck answered costs, its order and its footings
        currency: of every cost
        offer: the other frame
        told: its words
    """
    found = change(ours, offer.figures)
    spoken = list(said(found, currency))
    moved = found.money(currency)
    return Alternative(
        summary=told.summary,
        differences=told.differences,
        verdict=offer.figures.verdict,
        footing_count=offer.figures.footings,
        cost=_together(whole, found.cost),
        days=offer.figures.days,
        deflection_in=offer.figures.deflection_in,
        head_room_in=offer.figures.head_room_in,
        cost_change=moved,
        gains=tuple(one.text for one in spoken if one.gain > 0),
        gives_up=(*(one.text for one in spoken if one.gain < 0), *offer.gives_up),
        because=offer.because,
    )


def _together(whole: Money | None, moved: Decimal | None) -> Money | None:
    if whole is None or moved is None:
        return None
    return money(whole.currency, Decimal(whole.amount) + moved)

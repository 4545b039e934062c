"""A flight of stairs as it is seen from the side: risers, treads and the stringer under them, in inches."""

from __future__ import annotations

import math
from typing import NamedTuple

from service.contract.report_frame import Flight

Corner = tuple[float, float]


class Profile(NamedTuple):
    """A flight seen from the side.

    ``out_in`` is from the deck's edge to its highest riser, ``stock_in`` the depth of its stringers' board. Heights
    are above the datum, places along are from the deck's edge, all in.
    """

    flight: Flight
    out_in: float
    tread_thickness_in: float
    stock_in: float

    @property
    def slope(self) -> float:
        """Length along the slope of one riser and tread, in."""
        return math.hypot(self.flight.riser_in, self.flight.tread_in)

    @property
    def end_in(self) -> float:
        """Where the lowest riser stands, in."""
        return self.out_in + self.flight.run_in

    def nosing_in(self, number: int) -> Corner:
        """Return the outer corner of a tread's top, counted from the top; 0 is the surface it leaves."""
        flight = self.flight
        return (
            self.out_in + number * flight.tread_in,
            flight.head_height_in - number * flight.riser_in,
        )

    def treads(self) -> list[tuple[Corner, Corner]]:
        """Return every tread by its upper corner at the riser behind it and its lower outer corner."""
        found = []
        for number in range(1, self.flight.risers):
            along, height = self.nosing_in(number)
            found.append(((along - self.flight.tread_in, height), (along, height - self.tread_thickness_in)))
        return found

    def risers(self) -> list[tuple[Corner, Corner]]:
        """Return every riser by its upper and lower end, from the top down."""
        found = []
        for number in range(self.flight.risers):
            along, height = self.nosing_in(number)
            found.append(((along, height), (along, height - self.flight.riser_in)))
        return found

    def upper_edge_in(self, along_in: float) -> float:
        """Return the height of the board's upper edge, through the outer corners of its notches."""
        flight = self.flight
        down = flight.riser_in * (along_in - self.out_in) / flight.tread_in
        return flight.head_height_in - self.tread_thickness_in - down

    def lower_edge_in(self, along_in: float) -> float:
        """Return the height of the board's lower edge."""
        return self.upper_edge_in(along_in) - self.stock_in * self.slope / self.flight.tread_in

    def seat_in(self) -> float:
        """Return where the board's lower edge meets what the flight comes down to, not before its head."""
        flight = self.flight
        left = self.lower_edge_in(self.out_in) - flight.foot_height_in
        return max(self.out_in, self.out_in + left * flight.tread_in / flight.riser_in)

    def stringer(self) -> list[Corner]:
        """Return the corners of a stringer; none where the flight is a single riser."""
        flight = self.flight
        if flight.treads == 0:
            return []
        foot, head = flight.foot_height_in, self.lower_edge_in(self.out_in)
        upper = self._notches() if flight.stringer_kind == "cut" else self._whole()
        lower = [(self.end_in, foot), (self.seat_in(), foot)]
        return [*upper, *lower, *([(self.out_in, head)] if head > foot else [])]

    def _notches(self) -> list[Corner]:
        found: list[Corner] = []
        for (back, top), (front, under) in self.treads():
            del top
            found += [(back, under), (front, under)]
        return found

    def _whole(self) -> list[Corner]:
        return [(along, self.upper_edge_in(along)) for along in (self.out_in, self.end_in)]

    def throat(self) -> tuple[Corner, Corner] | None:
        """Return the ends of the wood left under a notch in the middle; null where none has wood on both sides."""
        flight = self.flight
        if flight.throat_in is None or flight.treads < 2:
            return None
        number = max(1, flight.treads // 2)
        along, height = self.nosing_in(number)
        inner = (along, height - flight.riser_in - self.tread_thickness_in)
        share = flight.throat_in / self.slope
        return inner, (inner[0] - flight.riser_in * share, inner[1] - flight.tread_in * share)

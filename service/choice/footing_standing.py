"""How footings stand at best, by where they are: known before any of them is priced."""

from __future__ import annotations

from typing import NamedTuple

from service.choice.footing_price import LIGHT_LB, FootingPrices
from service.foundations.demand import Demand
from service.framing.ground import downhill_in_per_ft
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN, SHORTEST_POST_IN, foot
from service.framing.layout import Layout
from service.framing.walls import wall_distance_ft
from service.takeoff.items import plies

SAME_DIGITS = 6  # of feet and inches: places nearer to each other than that are the same


class _Spot(NamedTuple):
    """A place on the ground: how high it lies, how steeply it falls, how far the nearest wall is."""

    grade_in: float
    fall_in_per_ft: float
    from_wall_ft: float


class LeastStandings:
    """How the footings of one case stand at best under hardly any load: more lets none stand better.

    It is what ``FootingPrice.standing`` is not less than.
    """

    def __init__(self, footings: FootingPrices) -> None:
        self._footings, (self._ground, self._walls) = footings, footings.site
        self._spots: dict[tuple[float, float], _Spot] = {}
        self._known: dict[frozenset[Demand], int] = {}

    def of(self, layout: Layout, bottom_in: float) -> int:
        """Return how the footings of a layout stand at best; ``bottom_in`` is that of its beams above the datum."""
        axes = layout.region.axes
        places = {axes.deck_ft(*row.point(x)) for row in layout.rows for x in row.posts_in}
        demands = frozenset(self._demand(layout, self._spot(*place), bottom_in) for place in places)
        if demands not in self._known:
            self._known[demands] = self._footings.standing_under(tuple(demands))
        return self._known[demands]

    def _spot(self, x_ft: float, y_ft: float) -> _Spot:
        key = (round(x_ft, SAME_DIGITS), round(y_ft, SAME_DIGITS))
        if key not in self._spots:
            found = (
                self._ground(x_ft, y_ft),
                downhill_in_per_ft(self._ground, x_ft, y_ft),
                wall_distance_ft(self._walls, x_ft, y_ft),
            )
            self._spots[key] = _Spot(*(round(one, SAME_DIGITS) for one in found))
        return self._spots[key]

    def _demand(self, layout: Layout, spot: _Spot, bottom_in: float) -> Demand:
        """A footing there that has least to do: under the shortest post, or under a beam that sits on it."""
        stands = foot(bottom_in, spot.grade_in)
        post = "least" if stands.standing == "post" else None
        top_in = PIER_TOP_ABOVE_GRADE_IN if post else stands.pier_top_in - spot.grade_in
        return Demand(
            "least", "F", post, "least", 0.0, spot.from_wall_ft, LIGHT_LB, LIGHT_LB, layout.post_size, spot.grade_in,
            layout.attached, top_in, None if post else plies(layout.beam_plies), spot.from_wall_ft, spot.fall_in_per_ft,
            SHORTEST_POST_IN if post else 0.0, layout.beam_plies,
        )  # fmt: skip

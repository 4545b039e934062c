"""How footings stand at best, by where they are: known before any of them is priced."""

from __future__ import annotations

from typing import NamedTuple

from service.choice.search.footing_price import LIGHT_LB, FootingPrices
from service.foundations.demand import Demand
from service.framing.ground import downhill_in_per_ft
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN, SHORTEST_POST_IN, foot
from service.framing.layout import Layout
from service.framing.walls import wall_distance_ft
from service.takeoff.items import plies

SAME_DIGITS = 6  # of feet and inches: places nearer to each other than that are the same


class _Spot(NamedTuple):
    """A place on the ground: how far the nearest wall is, how high it lies, and where."""

    from_wall_ft: float
    grade_in: float
    at_ft: tuple[float, float]


class LeastStandings:
    """How the footings of one case stand at best under hardly any load: more lets none stand better.

    It is what ``FootingPrice.standing`` is not less than. Of all footings of a frame the one nearest to the house is
    looked at, the highest of several: others may only let the method stand worse.
    """

    def __init__(self, footings: FootingPrices) -> None:
        self._footings, (self._ground, self._walls) = footings, footings.site
        self._spots: dict[tuple[float, float], _Spot] = {}
        self._known: dict[tuple[object, ...], int] = {}

    def of(self, layout: Layout, bottom_in: float) -> int:
        """Return how the footings of a layout stand at best; ``bottom_in`` is that of its beams above the datum."""
        axes = layout.region.axes
        places = [axes.deck_ft(*row.point(x)) for row in layout.rows for x in row.posts_in]
        spot = min(map(self._spot, places), key=lambda one: (one.from_wall_ft, -one.grade_in))
        stands = foot(bottom_in, spot.grade_in)
        on_post = stands.standing == "post"
        top_in = (
            PIER_TOP_ABOVE_GRADE_IN if on_post else round(stands.pier_top_in - spot.grade_in, SAME_DIGITS)
        )
        key = (spot, on_post, top_in, layout.post_size, layout.beam_plies)
        if key not in self._known:
            self._known[key] = self._footings.standing_under(
                [_demand(layout, spot, on_post, top_in, self._fall(spot))]
            )
        return self._known[key]

    def _spot(self, at_ft: tuple[float, float]) -> _Spot:
        if at_ft not in self._spots:
            from_wall_ft, grade_in = wall_distance_ft(self._walls, *at_ft), self._ground(*at_ft)
            self._spots[at_ft] = _Spot(round(from_wall_ft, SAME_DIGITS), round(grade_in, SAME_DIGITS), at_ft)
        return self._spots[at_ft]

    def _fall(self, spot: _Spot) -> float:
        return downhill_in_per_ft(self._ground, *spot.at_ft)


def _demand(layout: Layout, spot: _Spot, on_post: bool, top_in: float, fall_in_per_ft: float) -> Demand:
    """A footing there that has least to do: under the shortest post, or under a beam that sits on it."""
    return Demand(
        footing_id="least",
        mark="F",
        post="least" if on_post else None,
        serves="least",
        x_ft=0.0,
        y_ft=spot.from_wall_ft,
        load_lb=LIGHT_LB,
        sizing_load_lb=LIGHT_LB,
        post_size=layout.post_size,
        grade_height_in=spot.grade_in,
        attached=layout.attached,
        top_above_grade_in=top_in,
        seat=None if on_post else plies(layout.beam_plies),
        wall_distance_ft=spot.from_wall_ft,
        fall_in_per_ft=fall_in_per_ft,
        post_height_in=SHORTEST_POST_IN if on_post else 0.0,
        beam_plies=layout.beam_plies,
    )

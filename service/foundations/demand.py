"""What a footing has to carry."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Demand:
    """The load of one post (or saddle) on its footing.

    ``load_lb`` is the reaction by statics, so that loads in equal reactions out. ``sizing_load_lb`` is what the
    footing is sized for: the larger of that and the reaction with the beam broken at its posts.
    ``top_above_grade_in`` is the pier top: 3 in, or the beam bottom where a saddle stands in for a post.
    ``seat`` is the item word of a beam that sits straight on the footing, as ``2ply``. ``attached`` says
    whether the deck hangs on the house (frost rules differ). ``wall_distance_ft`` is to the nearest wall of the
    house, null where that is the wall line y = 0. ``fall_in_per_ft`` is how steeply the ground falls at the
    footing, and ``grade_height_in`` its height at the footing's middle. ``least_bottom_depth_in`` asks for a bottom at
    least this deep below the ground there, whatever frost and cover ask for.
    """

    footing_id: str
    mark: str
    post: str | None
    serves: str
    x_ft: float
    y_ft: float
    load_lb: float
    sizing_load_lb: float
    post_size: str
    grade_height_in: float
    attached: bool
    top_above_grade_in: float = 3.0
    seat: str | None = None
    wall_distance_ft: float | None = None
    fall_in_per_ft: float = 0.0
    least_bottom_depth_in: float = 0.0

    @property
    def from_wall_ft(self) -> float:
        """Distance of the footing's middle from the nearest wall of the house."""
        return self.y_ft if self.wall_distance_ft is None else self.wall_distance_ft

    def downhill_in(self, width_in: float) -> float:
        """Return how much lower than at its middle the ground lies at the lower side of a footing this wide, in."""
        return self.fall_in_per_ft * width_in / 24.0

    @property
    def seat_word(self) -> str:
        """What stands on the footing, as item codes write it: ``6x6``, or ``2ply`` for a beam without post."""
        return self.seat or self.post_size


def tributary_sqft(load_lb: float, design_psf: float) -> float:
    """Return the deck area a load stands for, sq ft.

    Source: load divided by design load, the entry of IRC Tables R507.4 and R507.3.1.

    Args:
        load_lb: reaction on the post, lb.
        design_psf: dead plus the greater of live and snow, psf.

    >>> tributary_sqft(2000, 50)
    40.0
    """
    return load_lb / design_psf

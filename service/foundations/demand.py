"""What a footing has to carry."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property


@dataclass(frozen=True)
class Demand:
    """The load of one post (or saddle) on its footing.

    ``load_lb`` is the reaction by statics, so that loads in equal reactions out. ``sizing_load_lb`` is what the
    footing is sized for: the larger of that and the reaction with the beam broken at its posts.
    ``top_above_grade_in`` is the pier top: 3 in, or the beam bottom where a saddle stands in for a post.
    ``seat`` is the item word of a beam that sits straight on the footing, as ``2ply``. ``attached`` says
    whether the deck hangs on the house (frost rules differ). ``wall_distance_ft`` is to the nearest wall of the
    house, null where that is the wall line y = 0. ``fall_in_per_ft`` is how steeply the ground falls at the
    footing, and ``grade_height_in`` its height at the footing's middle. ``post_height_in`` is from that top to
    the bottom of the beam, 0 where there is no post, and ``beam_plies`` are the beam's. ``least_bottom_depth_in`` asks
    for a bottom at least this deep below the ground there, whatever frost and cover ask for.
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
    post_height_in: float = 0.0
    beam_plies: int = 2
    least_bottom_depth_in: float = 0.0

    @cached_property
    def likeness(self) -> tuple[object, ...]:
        """What the size of its footing hangs on: demands with the same get the same footing."""
        return (*self.likeness_on_top, self.post_height_in, self.beam_plies)

    @cached_property
    def likeness_on_top(self) -> tuple[object, ...]:
        """What the size of a footing hangs on that the post stands on: how high it is does not matter to it."""
        # Loads of mirrored posts differ in the last bits of their sums.
        loads = (round(self.load_lb, 6), round(self.sizing_load_lb, 6))
        post = (self.post is None, self.post_size, self.seat)
        ground = (self.grade_height_in, self.from_wall_ft, self.fall_in_per_ft, self.top_above_grade_in)
        return (*loads, *post, *ground, self.least_bottom_depth_in, self.attached)

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

"""What footings have to carry, from where beams stand."""

from __future__ import annotations

from service.foundations.demand import Demand
from service.framing.ground import Grade, downhill_in_per_ft
from service.framing.heights import PIER_TOP_ABOVE_GRADE_IN
from service.framing.stands import Owner, Stand
from service.framing.walls import Walls, wall_distance_ft
from service.takeoff.items import plies


def demand_of(
    owner: Owner,
    stand: Stand,
    sizes: tuple[str, int],
    attached: bool,
    site: tuple[Grade, Walls],
    serves: str = "",
) -> Demand:
    """Return what the footing of one stand has to carry; ``sizes`` are those of the post and the beam's plies.

    It serves its post, or else the beam itself, where nothing else is named.
    """
    post_size, beam_plies = sizes
    ground, walls = site
    post = f"{owner.name}.post-{stand.place}" if stand.on_post else None
    return Demand(
        footing_id=f"{owner.name}.footing-{stand.place}",
        mark=f"{owner.mark}F{stand.place}",
        post=post,
        serves=serves or post or stand.beam,
        x_ft=stand.x_ft,
        y_ft=stand.y_ft,
        load_lb=stand.load_lb,
        sizing_load_lb=stand.sizing_load_lb,
        post_size=post_size,
        grade_height_in=stand.grade_in,
        attached=attached,
        top_above_grade_in=PIER_TOP_ABOVE_GRADE_IN if post else stand.foot.pier_top_in - stand.grade_in,
        seat=None if post else plies(beam_plies),
        wall_distance_ft=wall_distance_ft(walls, stand.x_ft, stand.y_ft),
        fall_in_per_ft=downhill_in_per_ft(ground, stand.x_ft, stand.y_ft),
        post_height_in=stand.foot.height_in,
        beam_plies=beam_plies,
    )

"""What stairs and their supports mean, in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from service.checks.judged import caution, reason
from service.contract.report import Caution, Reason
from service.contract.report_frame import Stair
from service.framing.heavy import CLEAR_OF_HOUSE_IN
from service.framing.stair_beams import StairBeam
from service.framing.stair_lines import CLEAR_OF_EDGE_IN
from service.framing.stairs import StairPlan
from service.framing.walls import wall_distance_ft
from service.sizing.criteria import Criteria
from service.units.citation import own_convention

# Which reason speaks where an edge of a kind takes no stair and the stair finds no beam of its own.
NOT_TAKEN: Mapping[str, str] = {
    "side": "stair_on_end_joist",
    "cantilever": "stair_on_cantilever",
    "flush": "stair_on_flush_beam",
}
EDGES: Mapping[str, str] = {
    "side": "the end joist along an edge",
    "cantilever": "joists that hang past their last beam",
    "flush": "a flush beam whose joists hang on its other face",
}


def untaken_text(load_lb: float, member: str, kind: str, why: str) -> str:
    """Return why nothing holds a stair's upper end."""
    return (
        f"The stair puts {load_lb:.0f} lb on {member}: no table sizes {EDGES[kind]} for a stair. For a beam of its "
        f"own, {why}. An engineer must show what takes it, or the stair moves to another edge."
    )


def box_caution(stair: Stair, kind: str) -> Caution:
    """Return how a box step stands."""
    return caution(
        "stair_clear_of_edge",
        f"{stair.id}: no table sizes {EDGES[kind]} for a stair, so its few risers stand as a box step on the ground or "
        "floor along their whole length and only touch the deck (common practice).",
        "Let the pad reach under all of it, fix it to the deck against sliding, and hang nothing on the edge.",
    )


def own_beam_caution(stair: Stair, beam: str) -> Caution:
    """Return how a stair stands on a beam of its own."""
    return caution(
        "stair_clear_of_edge",
        f"{stair.id}: its stringers stand on {beam}, on posts of its own, {CLEAR_OF_EDGE_IN:g} in clear of the edge, "
        "which takes no load of the stair.",
        "Bear every stringer on a level block or seat on that beam, tie it down there, and do not hang it on the edge.",
    )


def tall_reasons(beams: Sequence[StairBeam], criteria: Criteria) -> Iterator[Reason]:
    """Yield why tall posts in one row under stringers need an engineer; a landing is judged as a free-standing deck."""
    limit = criteria.rulebook.setting("freestanding_post_limit_in")
    limit_in = criteria.rulebook.in_force_settings.freestanding_post_limit_in
    for beam in beams:
        tallest = max((post.height_in for post in beam.posts), default=0.0)
        if beam.line.landing is None and tallest > limit_in:
            text = (
                f"Posts under {beam.beam.id} are {tallest:.4g} in high, over {limit_in:g} in: only stringers and "
                "braces keep that row upright."
            )
            yield reason("tall_freestanding", text, beam.beam.id, limit.citation)


def house_reasons(plan: StairPlan, beams: Sequence[StairBeam]) -> Iterator[Reason]:
    """Yield which footings of a stair stand where the house footing is likely to be."""
    for beam in beams:
        nearest = min(
            12 * wall_distance_ft(plan.place.walls, stand.x_ft, stand.y_ft) for stand in beam.stands
        )
        if nearest < CLEAR_OF_HOUSE_IN:
            text = (
                f"A footing under {beam.beam.id} stands {nearest:.3g} in from the house wall, where the house footing "
                "and its drain are likely to be."
            )
            yield reason("footing_row_at_house", text, beam.beam.id, own_convention("18 in clear"))

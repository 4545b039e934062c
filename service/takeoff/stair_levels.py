"""What stands under a stair as levels of their own, so that the rules of a level's framing count it too."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.contract.report_frame import Beam, Clearance, Landing, Level, Stair
from service.framing.frame import Frame
from service.sizing.lumber import depth_in


def framed_levels(frame: Frame) -> tuple[Level, ...]:
    """Return the levels of a frame, then what stands under its stairs."""
    return (*frame.levels, *(level for stair in frame.stairs for level in _of_stair(stair)))


def _of_stair(stair: Stair) -> Iterator[Level]:
    """A level for each framed landing with its two beams, and one for beams that hold stringers, with all braces."""
    taken: set[str] = set()
    for landing in stair.landings:
        if landing.joists:
            on = {support.member for support in landing.joists[0].lines[0].supports}
            taken |= on
            yield _of_landing(landing, [beam for beam in stair.beams if beam.id in on])
    left = tuple(beam for beam in stair.beams if beam.id not in taken)
    if left or stair.braces:
        yield Level(
            id=stair.id,
            area_sqft=0.0,
            clearance=_clearance(stair.rise_in, None, left),
            beams=left,
            braces=stair.braces,
        )


def _of_landing(landing: Landing, beams: Sequence[Beam]) -> Level:
    joists_bottom = min(beam.bottom_height_in + depth_in(beam.size) for beam in beams)
    return Level(
        id=landing.id,
        area_sqft=landing.width_in * landing.depth_in / 144,
        clearance=_clearance(landing.height_in, joists_bottom, beams),
        joists=landing.joists,
        rims=landing.rims,
        beams=tuple(beams),
    )


def _clearance(surface_in: float, joist_bottom_in: float | None, beams: Sequence[Beam]) -> Clearance:
    return Clearance(
        surface_height_in=surface_in,
        joist_bottom_height_in=joist_bottom_in,
        lowest_beam_bottom_height_in=min((beam.bottom_height_in for beam in beams), default=None),
        lowest_beam_above_grade_in=None,
        missing_in=None,
    )

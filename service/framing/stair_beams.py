"""Beams, posts and joists under a stair: geometry and loads of sizes that somebody has chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.ids import part
from service.contract.report_frame import Beam, JoistLine, Joists, Post, Rim, Splice, Support
from service.framing.beam_lines import ply_splices, spans
from service.framing.ground import lowest_ground_gap_in
from service.framing.heights import Foot, foot
from service.framing.joist_lines import joist_centres
from service.framing.line import RIM_IN
from service.framing.stair_lines import BearingLine, Platform
from service.framing.stairs import StairPlan
from service.framing.stands import Owner, Stand, post_of
from service.framing.statics import broken_reactions_lb, post_reactions_lb
from service.sizing.lumber import PLY_IN, depth_in


@dataclass(frozen=True)
class StairWood:
    """The lumber of a stair's frame, and the longest board that can be had, in."""

    species: str
    grade: str
    stock_in: float


@dataclass(frozen=True)
class BeamSizes:
    """What a beam under a stair is made of; ``post_at_in`` are its posts from the stair's near side."""

    size: str
    plies: int
    post_size: str
    post_at_in: tuple[float, ...]

    @property
    def width_in(self) -> float:
        """The width of the beam."""
        return PLY_IN * self.plies


@dataclass(frozen=True)
class StairBeam:
    """A beam under a stair on its stands. ``posts`` are those that are not saddles, in the order of the stands.

    ``sized`` is the beam under the load it is sized for; ``gap_in`` the least height of its bottom over the ground.
    """

    line: BearingLine
    sizes: BeamSizes
    number: int
    beam: Beam
    sized: Beam
    owner: Owner
    stands: tuple[Stand, ...]
    posts: tuple[Post, ...]
    gap_in: float


def bottom_in(line: BearingLine, sizes: BeamSizes, under_in: float) -> float:
    """Return the bottom of a beam; ``under_in`` is what lies between it and a landing's surface, in."""
    return line.top_over_in(sizes.width_in) - under_in - depth_in(sizes.size)


def feet(plan: StairPlan, line: BearingLine, sizes: BeamSizes, under_in: float) -> tuple[Foot, ...]:
    """Return how such a beam stands at each of its posts."""
    bottom, out = bottom_in(line, sizes, under_in), line.centre_in(sizes.width_in)
    grade, at = plan.place.grade, plan.line.at
    return tuple(foot(bottom, grade(*at(x / 12, out))) for x in sizes.post_at_in)


def build_beam(
    plan: StairPlan, level: str, line: BearingLine, number: int, sizes: BeamSizes, under_in: float, wood: StairWood
) -> StairBeam:  # fmt: skip
    """Return a beam of these sizes under a line of a stair of this level, across the stair's whole width."""
    standing = feet(plan, line, sizes, under_in)
    beam = _beam(plan, line, number, sizes, bottom_in(line, sizes, under_in), wood, standing, line.load_lb)
    sized = _beam(plan, line, number, sizes, beam.bottom_height_in, wood, standing, line.sizing_lb)
    stands = _stands(plan, line, sizes, number, standing, beam, sized)
    owner = Owner(line.stair, level, wood.species, wood.grade, f"{_mark(line.stair)}-")
    posts = tuple(post_of(owner, sizes.post_size, stand) for stand in stands if stand.on_post)
    gap = lowest_ground_gap_in(beam.start_ft, beam.end_ft, beam.bottom_height_in, plan.place.grade)
    return StairBeam(line, sizes, number, beam, sized, owner, stands, posts, gap)


def _place(stair: str, number: int, at: int, standing: str) -> str:
    kind = "post" if standing == "post" else "footing"
    return f"{part(stair, kind, number)}-{at}"


def _beam(
    plan: StairPlan, line: BearingLine, number: int, sizes: BeamSizes, bottom: float, wood: StairWood,
    standing: Sequence[Foot], load_lb: float,
) -> Beam:  # fmt: skip
    width_ft, out = plan.line.width_ft, line.centre_in(sizes.width_in)
    xs = sizes.post_at_in
    joints = ply_splices(width_ft * 12, xs, sizes.plies, wood.stock_in) or []
    return Beam(
        id=part(line.stair, "beam", number),
        mark=f"{_mark(line.stair)}-B{number}",
        size=sizes.size,
        plies=sizes.plies,
        placement="dropped",
        species=wood.species,
        grade=wood.grade,
        start_ft=plan.line.at(0.0, out),
        end_ft=plan.line.at(width_ft, out),
        bottom_height_in=bottom,
        supports_ft=tuple(x / 12 for x in xs),
        spans_in=spans(xs),
        overhang_start_in=xs[0],
        overhang_end_in=width_ft * 12 - xs[-1],
        splices=tuple(
            Splice(ply + 1, _place(line.stair, number, i + 1, standing[i].standing))
            for ply, cuts in enumerate(joints)
            for i in cuts
        ),
        line_load_plf=load_lb / width_ft,
    )


def _mark(stair: str) -> str:
    return f"S{stair.rpartition('-')[2]}"


def _stands(
    plan: StairPlan, line: BearingLine, sizes: BeamSizes, number: int, standing: Sequence[Foot], beam: Beam,
    sized: Beam,
) -> tuple[Stand, ...]:  # fmt: skip
    ends = beam.overhang_start_in, beam.overhang_end_in
    loads = post_reactions_lb(beam.spans_in, *ends, beam.line_load_plf)
    whole = post_reactions_lb(beam.spans_in, *ends, sized.line_load_plf)
    broken = broken_reactions_lb(beam.spans_in, *ends, sized.line_load_plf)
    out = line.centre_in(sizes.width_in)
    places = [plan.line.at(x / 12, out) for x in sizes.post_at_in]
    return tuple(
        Stand(
            number,
            i + 1,
            beam.id,
            *places[i],
            plan.place.grade(*places[i]),
            loads[i],
            max(whole[i], broken[i]),
            one,
        )
        for i, one in enumerate(standing)
    )


@dataclass(frozen=True)
class LandingFrame:
    """The joists and rims of a landing between its two beams."""

    joists: Joists
    rims: tuple[Rim, ...]


def build_landing(
    plan: StairPlan, landing: str, platform: Platform, size: str, spacing_in: float, near: StairBeam, far: StairBeam
) -> LandingFrame:  # fmt: skip
    """Return the frame of a landing: joists with the stair, ending over both beams behind rims."""
    mark = _mark(near.line.stair)
    lines = tuple(
        _joist_line(plan, platform, centre, near, far)
        for centre in joist_centres(plan.line.width_ft * 12, spacing_in)
    )
    along_x = plan.line.along_x
    joists = Joists(
        id=part(landing, "joists", 1),
        mark=f"{mark}-J{_number(near)}",
        size=size,
        plies=1,
        species=near.beam.species,
        grade=near.beam.grade,
        spacing_in=spacing_in,
        direction="along_house" if along_x else "away_from_house",
        count=len(lines),
        lines=lines,
    )
    outs = platform.start_in + RIM_IN / 2, platform.end_in - RIM_IN / 2
    rims = tuple(_rim(plan, landing, i + 1, out, size, near) for i, out in enumerate(outs))
    return LandingFrame(joists, rims)


def _joist_line(
    plan: StairPlan, platform: Platform, centre_in: float, near: StairBeam, far: StairBeam
) -> JoistLine:
    start, end = platform.start_in + RIM_IN, platform.end_in - RIM_IN
    (x0, y0), (x1, y1) = plan.line.at(centre_in / 12, start), plan.line.at(centre_in / 12, end)
    along_x = plan.line.along_x
    at = [one.line.centre_in(one.sizes.width_in) for one in (near, far)]
    return JoistLine(
        x_ft=x0 if along_x is False else None,
        y_ft=y0 if along_x else None,
        x_start_ft=None if along_x is False else x0,
        x_end_ft=None if along_x is False else x1,
        y_start_ft=None if along_x else y0,
        y_end_ft=None if along_x else y1,
        length_in=end - start,
        supports=(Support(near.beam.id, at[0] - start), Support(far.beam.id, at[1] - start)),
        spans_in=(at[1] - at[0],),
        cantilever_house_in=0.0,
        cantilever_yard_in=0.0,
        laps=(),
    )


def _number(near: StairBeam) -> int:
    """Number of the landing in its stair, from 1."""
    return (near.line.landing or 0) + 1


def _rim(plan: StairPlan, landing: str, number: int, out_in: float, size: str, near: StairBeam) -> Rim:
    width_ft, like = plan.line.width_ft, near.beam
    return Rim(
        id=part(landing, "rim", number),
        mark=f"{_mark(near.line.stair)}-R{_number(near)}-{number}",
        edge=None,
        size=size,
        species=like.species,
        grade=like.grade,
        start_ft=plan.line.at(0.0, out_in),
        end_ft=plan.line.at(width_ft, out_in),
        length_in=width_ft * 12,
    )

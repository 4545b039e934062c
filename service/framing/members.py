"""From a layout to the members of a level: joists, rims, beams, posts and what stands under them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.contract.report_frame import Beam, JoistLine, Joists, Lap, Post, Rim, Splice, Support
from service.framing.beam_lines import ply_splices
from service.framing.ground import Grade
from service.framing.heights import Foot, Stack, foot
from service.framing.joist_lines import joist_centres
from service.framing.layout import Layout
from service.framing.outline import Rectangle
from service.framing.statics import broken_reactions_lb, joist_reactions_plf, post_reactions_lb
from service.mechanics.beam import Beam as SolvedBeam
from service.mechanics.beam import Uniform
from service.mechanics.three_moment import reactions_lb, support_moments_lb_ft

LAP_IN = 3.0  # from memory; each joist still bears 1.5 in


@dataclass(frozen=True)
class EdgeLoad:
    """A load spread along the yard edge, from the level's left side, in and lb: a stair's upper end."""

    start_in: float
    end_in: float
    load_lb: float


@dataclass(frozen=True)
class Setting:
    """Where a layout is built: the level, its corner of the deck frame, its lumber and its heights."""

    level: str
    rectangle: Rectangle
    species: str
    grade: str
    stack: Stack
    ground: Grade
    design_psf: float
    stock_in: float
    stair_loads: tuple[EdgeLoad, ...] = ()


@dataclass(frozen=True)
class Stand:
    """One place where a beam stands: its numbers, its load by statics, and the load its footing is sized for."""

    beam_number: int
    number: int
    beam: str
    x_ft: float
    y_ft: float
    grade_in: float
    load_lb: float
    sizing_load_lb: float
    foot: Foot


@dataclass(frozen=True)
class Members:
    """The members of one level that a layout settles."""

    joists: Joists
    rims: tuple[Rim, ...]
    beams: tuple[Beam, ...]
    stands: tuple[Stand, ...]
    posts: tuple[Post, ...]


def beam_id(level: str, number: int) -> str:
    """Return the id of a beam.

    >>> beam_id("main", 1)
    'main.beam-1'
    """
    return f"{level}.beam-{number}"


def _supports(setting: Setting, layout: Layout) -> tuple[Support, ...]:
    beams = [beam_id(setting.level, i + 1) for i in range(len(layout.beam_ys_in))]
    names = [f"{setting.level}.ledger-1", *beams] if layout.attached else beams
    start = layout.joist_start_in
    return tuple(Support(name, y - start) for name, y in zip(names, layout.support_ys_in, strict=True))


def _joist_line(setting: Setting, layout: Layout, centre_in: float) -> JoistLine:
    rect = setting.rectangle
    start, end = layout.joist_start_in, layout.joist_end_in
    laps = tuple(
        Lap(beam_id(setting.level, i + 1), layout.beam_ys_in[i] - start, LAP_IN) for i in layout.lap_at
    )
    return JoistLine(
        x_ft=rect.x_ft + centre_in / 12,
        y_ft=None,
        x_start_ft=None,
        x_end_ft=None,
        y_start_ft=rect.y_ft + start / 12,
        y_end_ft=rect.y_ft + end / 12,
        length_in=end - start,
        supports=_supports(setting, layout),
        spans_in=layout.joist_spans_in,
        cantilever_house_in=layout.house_cantilever_in,
        cantilever_yard_in=layout.yard_cantilever_in,
        laps=laps,
    )


def _joists(setting: Setting, layout: Layout) -> Joists:
    lines = tuple(_joist_line(setting, layout, x) for x in joist_centres(layout.width_in, layout.spacing_in))
    return Joists(
        id=f"{setting.level}.joists-1",
        mark="J1",
        size=layout.joist_size,
        plies=1,
        species=setting.species,
        grade=setting.grade,
        spacing_in=layout.spacing_in,
        direction="away_from_house",
        count=len(lines),
        lines=lines,
    )


def _rim(setting: Setting, layout: Layout, number: int, edge: int, y_in: float) -> Rim:
    rect = setting.rectangle
    y_ft = rect.y_ft + y_in / 12
    return Rim(
        id=f"{setting.level}.rim-{number}",
        mark=f"R{number}",
        edge=edge,
        size=layout.joist_size,
        species=setting.species,
        grade=setting.grade,
        start_ft=(rect.x_ft, y_ft),
        end_ft=(rect.x_ft + rect.width_ft, y_ft),
        length_in=layout.width_in,
    )


def _rims(setting: Setting, layout: Layout) -> tuple[Rim, ...]:
    if layout.placement == "flush":
        return ()
    rect = setting.rectangle
    edges = [(rect.yard_edge, layout.projection_in - 0.75)]
    if not layout.attached:
        edges.insert(0, (rect.house_edge, layout.house_face_in + 0.75))
    return tuple(_rim(setting, layout, n, edge, y) for n, (edge, y) in enumerate(edges, start=1))


def _place_id(setting: Setting, number: int, n: int, x_ft: float, y_ft: float) -> str:
    """The id of a post, or of the footing where the beam sits on its pier."""
    standing = foot(setting.stack.beam_bottom_in, setting.ground(x_ft, y_ft)).standing
    kind = "post" if standing == "post" else "footing"
    return f"{setting.level}.{kind}-{number}-{n}"


def _splices(setting: Setting, layout: Layout, number: int, y_ft: float) -> tuple[Splice, ...]:
    plan = ply_splices(layout.width_in, layout.post_xs_in, layout.beam_plies, setting.stock_in)
    if plan is None:
        return ()
    xs_ft = [setting.rectangle.x_ft + x_in / 12 for x_in in layout.post_xs_in]
    return tuple(
        Splice(ply + 1, _place_id(setting, number, i + 1, xs_ft[i], y_ft))
        for ply, cuts in enumerate(plan)
        for i in cuts
    )


def _beam(setting: Setting, layout: Layout, number: int, y_in: float, load_plf: float) -> Beam:
    rect = setting.rectangle
    y_ft = rect.y_ft + y_in / 12
    return Beam(
        id=beam_id(setting.level, number),
        mark=f"B{number}",
        size=layout.beam_size,
        plies=layout.beam_plies,
        placement=layout.placement,
        species=setting.species,
        grade=setting.grade,
        start_ft=(rect.x_ft, y_ft),
        end_ft=(rect.x_ft + rect.width_ft, y_ft),
        bottom_height_in=setting.stack.beam_bottom_in,
        supports_ft=tuple(x / 12 for x in layout.post_xs_in),
        spans_in=layout.beam_spans_in,
        overhang_start_in=layout.post_xs_in[0],
        overhang_end_in=layout.width_in - layout.post_xs_in[-1],
        splices=_splices(setting, layout, number, y_ft),
        line_load_plf=load_plf,
    )


def _stands(setting: Setting, layout: Layout, beam: Beam, number: int) -> list[Stand]:
    ends = beam.overhang_start_in, beam.overhang_end_in
    whole = post_reactions_lb(beam.spans_in, *ends, beam.line_load_plf)
    broken = broken_reactions_lb(beam.spans_in, *ends, beam.line_load_plf)
    loads = setting.stair_loads if number == len(layout.beam_ys_in) else ()
    stairs = edge_reactions_lb(layout, loads)
    extra = sum(load.load_lb for load in loads)
    out = []
    for n, x_in in enumerate(layout.post_xs_in, start=1):
        x_ft, y_ft = setting.rectangle.x_ft + x_in / 12, beam.start_ft[1]
        grade = setting.ground(x_ft, y_ft)
        place = foot(beam.bottom_height_in, grade)
        load = whole[n - 1] + stairs[n - 1]
        sizing = max(load, broken[n - 1] + extra)
        out.append(Stand(number, n, beam.id, x_ft, y_ft, grade, load, sizing, place))
    return out


def edge_reactions_lb(layout: Layout, loads: Sequence[EdgeLoad]) -> tuple[float, ...]:
    """Return what loads along the yard edge put on the posts of the beam under it, by statics, lb."""
    if not loads:
        return (0.0,) * len(layout.post_xs_in)
    beam = SolvedBeam(layout.width_in / 12, tuple(x / 12 for x in layout.post_xs_in))
    spread = [
        Uniform(one.start_in / 12, one.end_in / 12, 12 * one.load_lb / (one.end_in - one.start_in))
        for one in loads
    ]
    return reactions_lb(beam, spread, support_moments_lb_ft(beam, spread))


def post(setting: Setting, size: str, stand: Stand) -> Post:
    """Return the post of one stand of a beam, of the size given; its base and cap come with the connections."""
    return Post(
        id=f"{setting.level}.post-{stand.beam_number}-{stand.number}",
        mark=f"P{stand.beam_number}-{stand.number}",
        level=setting.level,
        beam=stand.beam,
        size=size,
        species=setting.species,
        grade=setting.grade,
        x_ft=stand.x_ft,
        y_ft=stand.y_ft,
        height_in=stand.foot.height_in,
        cut_length_in=stand.foot.cut_length_in,
        load_lb=stand.load_lb,
        base=None,
        cap=None,
    )


def build(setting: Setting, layout: Layout) -> Members:
    """Return the members of a layout in its setting.

    Loads are by statics. The load a footing is sized for is the larger of the beam whole and the beam broken
    over its posts, and where a stair hangs on the yard edge each post of that beam is given its whole load:
    both are on the safe side and both are ours.
    """
    reactions = joist_reactions_plf(layout, setting.design_psf)
    on_beams: Sequence[float] = reactions[1:] if layout.attached else reactions
    beams = tuple(
        _beam(setting, layout, n, y, load)
        for n, (y, load) in enumerate(zip(layout.beam_ys_in, on_beams, strict=True), start=1)
    )
    stands = [s for n, beam in enumerate(beams, start=1) for s in _stands(setting, layout, beam, n)]
    posts = tuple(post(setting, layout.post_size, s) for s in stands if s.foot.standing == "post")
    return Members(_joists(setting, layout), _rims(setting, layout), beams, tuple(stands), posts)

"""Frames put together by hand on outlines that are no rectangles: what the referee must let pass.

They stand in no table's favour: sizes are ample, and loads are those of the referee's own statics.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import msgspec
from context import context, spec_of
from properties.referee_answer import Answer
from properties.referee_loads import _carried_down, _tidy, reactions
from shapely import LineString
from shapely import Polygon as Area

from service.choice.level.context import Context
from service.contract.report_frame import (
    Beam,
    Clearance,
    Footing,
    JoistLine,
    Joists,
    Ledger,
    Level,
    Point,
    Post,
    Rim,
    Support,
)
from service.sizing.resolve import criteria_of, resolve_spec

RIM_IN = 1.5
SURFACE_IN, THICK_IN, JOIST_IN, BEAM_IN = 60.0, 1.0, 9.25, 11.25
LUMBER = {"species": "southern_pine", "grade": "no_2"}


def where() -> Context:
    """What the hand-made decks are judged by."""
    return context(None, "irc-2021")


def beam(
    number: int, start: Point, end: Point, places_ft: Sequence[float], placement: str = "dropped"
) -> Beam:
    """A three-ply beam from point to point, ft, on the places given, ft."""
    length = 12 * math.dist(start, end)
    inches = [12 * at for at in places_ft]
    top = SURFACE_IN - THICK_IN - (0.0 if placement == "flush" else JOIST_IN)
    return Beam(
        id=f"main.beam-{number}", mark=f"B{number}", size="2x12", plies=3, placement=placement, **LUMBER,  # type: ignore[arg-type]
        start_ft=start, end_ft=end, bottom_height_in=top - BEAM_IN, supports_ft=tuple(places_ft),
        spans_in=tuple(b - a for a, b in pairwise(inches)), overhang_start_in=inches[0],
        overhang_end_in=length - inches[-1], splices=(), line_load_plf=0.0,
    )  # fmt: skip


def rim(number: int, edge: int, start: Point, end: Point) -> Rim:
    """A rim by its centre line, ft."""
    return Rim(
        id=f"main.rim-{number}", mark=f"R{number}", edge=edge, size="2x10", **LUMBER, start_ft=start,
        end_ft=end, length_in=12 * math.dist(start, end),
    )  # fmt: skip


def ledger(start: Point, end: Point) -> Ledger:
    """A ledger on edge 0, by the wall."""
    return Ledger(
        id="main.ledger-1", mark="L1", edge=0, size="2x10", **LUMBER, start_ft=start, end_ft=end,
        lands_on="wood_band", sheathing_thickness_in=0.5, fastener="lag_screw.1-2in.4in.hot_dip_galvanized",
        spacing_in=15.0, row_heights_in=(), fastener_count=0, lateral_devices=(), tributary_sqft=1.0,
    )  # fmt: skip


def line(
    across: float, low: float, high: float, supports: Sequence[tuple[str, float]], over: tuple[float, float],
    turned: bool = False, cut_deg: float = 0.0,
) -> JoistLine:  # fmt: skip
    """A joist line, inches: where it lies, from where to where, on what (at places along), and its cantilevers."""
    at = tuple(place for _, place in supports)
    crosswise = {"x_ft": None, "y_ft": across / 12, "x_start_ft": low / 12, "x_end_ft": high / 12,
                 "y_start_ft": None, "y_end_ft": None}  # fmt: skip
    away = {"x_ft": across / 12, "y_ft": None, "x_start_ft": None, "x_end_ft": None,
            "y_start_ft": low / 12, "y_end_ft": high / 12}  # fmt: skip
    return JoistLine(
        **(crosswise if turned else away), end_cut_deg=cut_deg,
        length_in=high - low + 0.75 * abs(math.tan(math.radians(cut_deg))),
        supports=tuple(Support(name, place - low) for name, place in supports),
        spans_in=tuple(b - a for a, b in pairwise(at)),
        cantilever_house_in=over[0], cantilever_yard_in=over[1], laps=(),
    )  # fmt: skip


def joists(number: int, lines: Sequence[JoistLine], turned: bool = False, plies: int = 1) -> Joists:
    """A group of 2x10 at 16 in."""
    return Joists(
        id=f"main.joists-{number}", mark=f"J{number}", size="2x10", plies=plies, **LUMBER, spacing_in=16.0,
        direction="along_house" if turned else "away_from_house", count=len(lines), lines=tuple(lines),
    )  # fmt: skip


def answer(
    corners: Sequence[Point],
    groups: Sequence[Joists],
    beams: Sequence[Beam],
    rims: Sequence[Rim],
    ledgers: Sequence[Ledger] = (),
    wall: str = "none",
) -> Answer:
    """The members as an answer, with posts, footings and loads of the referee's statics."""
    spec = spec_of(
        site={"frost_depth_in": 24, "ground_snow_load_psf": 30, "soil_class": "clay"},
        house={"wall": wall},
        levels=[{"outline_ft": [list(c) for c in corners], "surface_height_in": SURFACE_IN}],
    )
    at = where()
    resolved = resolve_spec(spec, at.rulebook, None, None, at.as_of)
    bottom = SURFACE_IN - THICK_IN - JOIST_IN
    level = Level(
        id="main", area_sqft=Area(corners).area, joists=tuple(groups), ledgers=tuple(ledgers),
        rims=tuple(rims), beams=tuple(beams),
        clearance=Clearance(surface_height_in=SURFACE_IN, joist_bottom_height_in=bottom,
                            lowest_beam_bottom_height_in=None, lowest_beam_above_grade_in=None, missing_in=None),
    )  # fmt: skip
    criteria = criteria_of(resolved, at.rulebook, at.guide, None, at.timber)
    bare = Answer(resolved, criteria, (level,), (), (), (), None, (), ())
    return _loaded(bare)


def _loaded(bare: Answer) -> Answer:
    (level,), (asked,) = bare.levels, bare.spec.levels
    carrying = _carried_down(bare, level, asked)
    posts, footings = list[Post](), list[Footing]()
    for own in level.beams:
        run = LineString((own.start_ft, own.end_ft))
        places = tuple(12 * at for at in own.supports_ft)
        loads = reactions(places, 12 * run.length, _tidy(carrying.beams[own.id]))
        for n, (at, load) in enumerate(zip(own.supports_ft, loads, strict=True), start=1):
            place = run.interpolate(at)
            posts.append(_post(own, n, (place.x, place.y), load))
            footings.append(_footing(posts[-1], bare.criteria.design_psf))
    told = tuple(
        msgspec.structs.replace(one, tributary_sqft=carrying.ledgers[one.id] / bare.criteria.design_psf)
        for one in level.ledgers
    )
    whole = msgspec.structs.replace(level, ledgers=told)
    return Answer(bare.spec, bare.criteria, (whole,), tuple(posts), tuple(footings), (), None, (), ())


def _post(own: Beam, number: int, place: Point, load_lb: float) -> Post:
    height = own.bottom_height_in - 3.0
    place_id = f"{own.id.rsplit('-', 1)[1]}-{number}"
    return Post(
        id=f"main.post-{place_id}", mark=f"P{place_id}", level="main", beam=own.id, size="6x6", **LUMBER,
        x_ft=place[0], y_ft=place[1], height_in=height, cut_length_in=height - 1.0, load_lb=load_lb,
        base=None, cap=None,
    )  # fmt: skip


def _footing(post: Post, psf: float) -> Footing:
    return Footing(
        id=post.id.replace("post", "footing"), mark="F", post=post.id, serves=post.id, method="tube_form_pier",
        x_ft=post.x_ft, y_ft=post.y_ft, load_lb=post.load_lb, tributary_sqft=post.load_lb / psf,
        grade_height_in=0.0, top_height_in=3.0, exposed_in=3.0, bottom_height_in=-24.0, in_backfill_zone=None,
        concrete=None, pile=None,
    )  # fmt: skip


def centres(width_in: float) -> list[float]:
    """Joist centres over a width."""
    return [0.75, *(16.0 * k for k in range(1, math.ceil(width_in / 16))), width_in - 0.75]


def slanted_front() -> Answer:
    """A ledger on the wall, the front at a slant (12 ft out at the left, 8 ft at the right), beam and rim along it."""
    wide, left, right = 192.0, 144.0, 96.0
    tan = (left - right) / wide
    square = math.hypot(1, tan)

    def out(across: float, inside: float) -> float:
        return left - across * tan - inside * square

    back = 12.0
    lines = [
        line(
            x,
            1.5,
            out(x, RIM_IN),
            [("main.ledger-1", 1.5), ("main.beam-1", out(x, back))],
            (0.0, back * square),
            cut_deg=-math.degrees(math.atan(tan)),
        )
        for x in centres(wide)
    ]
    ends = ((0.0, out(0.0, back) / 12), (wide / 12, out(wide, back) / 12))
    length = math.dist(*ends)
    face = ((0.0, out(0.0, 0.75) / 12), (wide / 12, out(wide, 0.75) / 12))
    return answer(
        ((0, 0), (16, 0), (16, 8), (0, 12)),
        [joists(1, lines)],
        [beam(1, *ends, (1.0, length / 2, length - 1.0))],
        [rim(1, 2, *face)],
        [ledger((0.0, 0.0), (16.0, 0.0))],
        wall="wood_band",
    )


def two_ways() -> Answer:
    """An L: joists away from the house, in its wing along it, hung on a flush beam where the two meet."""
    wide, deep, wing, reach = 144.0, 120.0, 96.0, 72.0
    girder_x = wide - 2.25
    near, far = 15.0, deep - 15.0
    main = [
        line(x, 1.5, deep - RIM_IN, [("main.beam-1", near), ("main.beam-2", far)], (near, deep - far))
        for x in [x for x in centres(wide) if x < wide - 6] + [wide - 5.25]
    ]
    lines = [
        line(y, wide, wide + wing - RIM_IN, [("main.beam-3", girder_x), ("main.beam-4", wide + wing - 15.0)],
             (0.0, 15.0), turned=True)
        for y in centres(reach)
    ]  # fmt: skip
    beams = [
        beam(1, (0.0, near / 12), ((wide - 4.5) / 12, near / 12), (1.5, 10.0)),
        beam(2, (0.0, far / 12), ((wide - 4.5) / 12, far / 12), (1.5, 10.0)),
        beam(3, (girder_x / 12, 0.0), (girder_x / 12, deep / 12), (1.0, 9.0), "flush"),
        beam(4, ((wide + wing - 15) / 12, 0.0), ((wide + wing - 15) / 12, reach / 12), (1.0, 5.0)),
    ]
    half = 0.75 / 12
    rims = [
        rim(1, 0, (0.0, half), (12.0, half)),
        rim(2, 4, (0.0, 10.0 - half), (12.0, 10.0 - half)),
        rim(3, 1, (20.0 - half, 0.0), (20.0 - half, 6.0)),
    ]
    corners = ((0, 0), (20, 0), (20, 6), (12, 6), (12, 10), (0, 10))
    return answer(corners, [joists(1, main), joists(2, lines, turned=True)], beams, rims)

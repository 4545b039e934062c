"""One kind of brace seen square to it: post, beam and brace, true to scale and at its true angle."""

from __future__ import annotations

import math
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.contract.plan import Point
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Brace, Footing, Post
from service.drawings.details.section_parts import parts_told, pier, rect, torn, torn_across
from service.drawings.kit.dimensions import FIRST_PT, Baseline, between, string
from service.drawings.kit.ink import CENTRE, CUT, OBJECT, PAPER, group, line, polygon
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.schedules import lumber
from service.drawings.kit.symbols import depth_of, width_of
from service.drawings.kit.views import Placed, Reach, kept
from service.drawings.kit.words import piece_words
from service.units.text import feet_inches

BESIDE_PT = Box(52.0, 34.0, 20.0, 44.0)
_BEYOND_IN, _UNDER_IN = 9.0, 12.0


class Braced(NamedTuple):
    """A brace with its post, beam and what lies on the beam; ``posts`` are the ids of all posts braced like it."""

    brace: Brace
    post: Post
    beam: Beam
    footing: Footing | None
    joist_size: str | None
    posts: frozenset[str]

    @property
    def leg_in(self) -> float:
        """How far from the post's centre line the brace meets what is above."""
        return 12 * math.dist(self.brace.start_ft, self.brace.end_ft)

    @property
    def angle_deg(self) -> float:
        """How steep the brace is."""
        return math.degrees(math.atan2(self.brace.high_height_in - self.brace.low_height_in, self.leg_in))

    def along_in(self, place: Point) -> float:
        """Return how far from the post a place in plan lies, the way the brace goes, in."""
        (ax, ay), (bx, by) = self.brace.start_ft, self.brace.end_ft
        long = math.dist(self.brace.start_ft, self.brace.end_ft)
        return 12 * ((place[0] - ax) * (bx - ax) + (place[1] - ay) * (by - ay)) / long

    @property
    def is_along(self) -> bool:
        """Whether it goes along its beam."""
        return self.brace.direction == "along_beam"

    @property
    def joist_depth_in(self) -> float:
        """How deep the joists over the beam are; 0 where the report tells of none."""
        return depth_of(self.joist_size) if self.joist_size else 0.0

    @property
    def beam_depth_in(self) -> float:
        """How deep the beam is."""
        return depth_of(self.beam.size)

    @property
    def top_in(self) -> float:
        """The highest that is drawn."""
        beam_top = self.beam.bottom_height_in + self.beam_depth_in
        return max(beam_top, self.brace.high_height_in + (0.0 if self.is_along else self.joist_depth_in))

    @property
    def low_in(self) -> float:
        """The lowest that is drawn: the ground, or a break in the post where it is far below."""
        ground = self.footing.grade_height_in if self.footing else self.post.bottom_height_in
        return max(ground, self.brace.low_height_in - 2.2 * _UNDER_IN)

    @property
    def is_whole(self) -> bool:
        """Whether the post is drawn down to its foot."""
        return self.low_in <= self.post.bottom_height_in


def different_braces(report: DesignReport, level: str | None) -> list[Braced]:
    """Return one brace of each kind, with all posts that have one like it."""
    posts = {post.id: post for post in report.posts}
    beams = {beam.id: beam for one in report.levels for beam in one.beams}
    beams |= {beam.id: beam for stair in report.stairs for beam in stair.beams}
    found: dict[tuple[object, ...], list[Brace]] = {}
    for brace in braces_of(report, level):
        if brace.post in posts and brace.beam in beams and brace.start_ft != brace.end_ft:
            found.setdefault(_kind(brace, posts[brace.post], beams[brace.beam]), []).append(brace)
    return [
        Braced(
            kind[0],
            posts[kind[0].post],
            beams[kind[0].beam],
            next((foot for foot in report.footings if foot.post == kind[0].post), None),
            _joist_size(report, kind[0]),
            frozenset(one.post for one in kind),
        )
        for kind in found.values()
    ]


def braces_of(report: DesignReport, level: str | None) -> list[Brace]:
    """Return every brace, under levels and under stairs."""
    found = [brace for one in report.levels if level in (None, one.id) for brace in one.braces]
    return found + [
        brace for stair in report.stairs if level in (None, stair.level) for brace in stair.braces
    ]


def _kind(brace: Brace, post: Post, beam: Beam) -> tuple[object, ...]:
    return (
        brace.direction, brace.size, round(brace.length_in, 1), brace.hardware, post.size, beam.size, beam.plies,
        beam.placement,
    )  # fmt: skip


def _joist_size(report: DesignReport, brace: Brace) -> str | None:
    owner = brace.id.rpartition(".")[0]
    levels = (joists for one in report.levels if one.id == owner for joists in one.joists)
    landings = (
        joists
        for stair in report.stairs
        for landing in stair.landings
        if landing.id == owner
        for joists in landing.joists
    )
    return next((joists.size for joists in (*levels, *landings)), None)


def reach_of(one: Braced) -> Reach:
    """Return what the view of a brace shows."""
    half = width_of(one.post.size, 1) / 2
    low = one.low_in - (10.0 if one.is_whole else 0.0)
    return Reach(-half - _BEYOND_IN, low, one.leg_in + _BEYOND_IN, one.top_in, BESIDE_PT)


def drawing(one: Braced, at: Placed) -> Element:
    """Return post, beam and brace; the brace in front of both."""
    parts = [
        group(_joists(one, at), part="joists"),
        group(_post(one, at), part="post"),
        group(_along(one, at) if one.is_along else _across(one, at), part="beam"),
        group([_board(one, at), _middle_line(one, at)], id=one.brace.id),
    ]
    return group(parts, id=f"{one.brace.id}.view", **at.view.data)


def _post(one: Braced, at: Placed) -> list[Element]:
    half = width_of(one.post.size, 1) / 2
    low = max(one.low_in, one.post.bottom_height_in)
    found = [] if one.footing is None or not one.is_whole else pier(at, 0.0, one.footing)
    found.append(rect(at, -half, one.post.top_height_in, half, low, OBJECT, PAPER))
    return found if one.is_whole else [*found, torn_across(at, low, -half - 3, half + 3)]


def _along(one: Braced, at: Placed) -> list[Element]:
    """The beam from its side, broken off where it goes on."""
    low, top = one.beam.bottom_height_in, one.beam.bottom_height_in + one.beam_depth_in
    ends = sorted(one.along_in(place) for place in (one.beam.start_ft, one.beam.end_ft))
    left, right = reach_of(one).left_in, reach_of(one).right_in
    shown = max(ends[0], left), min(ends[1], right)
    breaks = [torn(at, x, top + 2, low - 2) for x, end in zip(shown, ends, strict=True) if x != end]
    return [rect(at, shown[0], top, shown[1], low, OBJECT, PAPER), *breaks]


def _across(one: Braced, at: Placed) -> list[Element]:
    """The beam from its end."""
    half, low = width_of(one.beam.size, one.beam.plies) / 2, one.beam.bottom_height_in
    return [rect(at, -half, low + one.beam_depth_in, half, low, CUT, PAPER)]


def _joists(one: Braced, at: Placed) -> list[Element]:
    """A joist from its side, where the brace goes across the beam and meets one."""
    if one.is_along or not one.joist_depth_in:
        return []
    reach, low = reach_of(one), one.brace.high_height_in
    top = low + one.joist_depth_in
    found = [rect(at, reach.left_in, top, reach.right_in, low, OBJECT, PAPER)]
    return found + [torn(at, x, top + 2, low - 2) for x in (reach.left_in, reach.right_in)]


def _board(one: Braced, at: Placed) -> Element:
    low, high = at.at(0.0, one.brace.low_height_in), at.at(one.leg_in, one.brace.high_height_in)
    base, half, long = between(low, high, low), at.view.pt(depth_of(one.brace.size)) / 2, math.dist(low, high)
    return polygon(
        [base.at(0, half), base.at(long, half), base.at(long, -half), base.at(0, -half)], OBJECT, PAPER
    )


def _middle_line(one: Braced, at: Placed) -> Element:
    return line(at.at(0.0, one.brace.low_height_in), at.at(one.leg_in, one.brace.high_height_in), CENTRE)


def dimensions(one: Braced, at: Placed, placing: Placing) -> Element:
    """Return both legs and the length of the brace, and of a post drawn whole its height."""
    brace = one.brace
    reach = reach_of(one)
    heights = [brace.low_height_in, brace.high_height_in]
    if one.is_whole:
        heights.append(one.post.bottom_height_in)
    left = Baseline(at.at(reach.left_in, min(heights)), (0.0, -1.0), (-1.0, 0.0))
    parts = parts_told(left, heights, at, placing)
    if one.is_whole:
        ends = (one.post.bottom_height_in, one.post.top_height_in)
        parts += parts_told(left, ends, at, placing, FIRST_PT + 18)
    below = Baseline(at.at(0.0, reach.bottom_in), (1.0, 0.0), (0.0, 1.0))
    parts += parts_told(below, (0.0, one.leg_in), at, placing)
    a, b = at.at(0.0, brace.low_height_in), at.at(one.leg_in, brace.high_height_in)
    slope = between(a, b, (a[0], b[1]))
    half = at.view.pt(depth_of(brace.size)) / 2
    parts += string(
        slope, [0.0, math.dist(a, b)], [f"{brace.size}, {feet_inches(brace.length_in)}"], half + 12, placing
    ).parts
    return group(parts, id=f"{brace.id}.dimensions")


def bolts_of(brace: Brace) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the bolts of a brace's lower end and those of its upper end: as they are listed, half and half."""
    bolts = tuple(code for code in brace.hardware if not code.startswith("washer"))
    return bolts[: len(bolts) // 2], bolts[len(bolts) // 2 :]


def write_labels(one: Braced, at: Placed, placing: Placing) -> None:
    """Write what each piece is, and the bolts of both ends."""
    brace = one.brace
    lower, upper = bolts_of(brace)
    half, middle = width_of(one.post.size, 1) / 2, one.beam.bottom_height_in + one.beam_depth_in / 2
    _keep_clear(one, at, placing)
    told = [
        (_bolts(lower), at.at(0.0, brace.low_height_in)),
        (_bolts(upper), at.at(one.leg_in, brace.high_height_in)),
        (f"post {one.post.size}", at.at(-half, (one.low_in + brace.low_height_in) / 2)),
        (f"{one.beam.mark}  beam {lumber(one.beam.size, one.beam.plies)}", at.at(half / 2, middle)),
    ]
    if not one.is_along and one.joist_size:
        told.append(
            (f"joist {one.joist_size}", at.at(one.leg_in, brace.high_height_in + one.joist_depth_in / 2))
        )
    for text, of in told:
        if text:
            placing.place(Label(text, around(of, 16.0, 220.0), of=of))


def _keep_clear(one: Braced, at: Placed, placing: Placing) -> None:
    """Let no label lie over post, beam or brace."""
    brace, reach, half = one.brace, reach_of(one), width_of(one.post.size, 1) / 2
    kept(at, -half, one.post.top_height_in, half, one.low_in, placing)
    kept(at, reach.left_in, one.top_in, reach.right_in, one.beam.bottom_height_in, placing)
    rise, wide, steps = brace.high_height_in - brace.low_height_in, 2.0, 5
    for step in range(steps + 1):
        along, height = one.leg_in * step / steps, brace.low_height_in + rise * step / steps
        kept(at, along - wide, height + wide, along + wide, height - wide, placing)


def _bolts(codes: tuple[str, ...]) -> str:
    return "; ".join(
        f"({codes.count(code)}) {piece_words(code).partition(',')[0]}"
        + ("s" if codes.count(code) > 1 else "")
        for code in dict.fromkeys(codes)
    )

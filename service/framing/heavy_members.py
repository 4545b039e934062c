"""The members under a heavy object: beams, posts, what they stand on, and the joist lines that run over them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import msgspec

from service.contract.report_frame import Beam, Blocking, JoistLine, Joists, Level, Post, Splice, Support
from service.framing.beam_lines import ply_splices, spans
from service.framing.blocking import Piece, across, like_pieces
from service.framing.heavy import Bed, Footprint, Strip
from service.framing.heavy_load import Pressure
from service.framing.heights import Foot, foot
from service.framing.joist_lines import JOIST_IN
from service.framing.line import RIM_IN, LineLayout
from service.framing.members import Members, Setting, beam_id
from service.framing.stands import Stand, post_of
from service.framing.statics import broken_reactions_lb, post_reactions_lb
from service.sizing.lumber import depth_in, width_in

OVER_OWN = "joists held upright over the beams of a heavy object"


@dataclass(frozen=True)
class OwnRows:
    """Where an object's own beams stand and what they carry. Rows along the joists, loads in plf.

    ``least_plies`` is what the joists need to bear on.
    """

    bed: Bed
    footprint: Footprint
    load: Pressure
    strip: Strip
    rows_in: tuple[float, ...]
    loads_plf: tuple[float, ...]
    least_plies: int


@dataclass(frozen=True)
class OwnSizes:
    """The sizes of an object's own beams and posts. ``post_xs_in`` are from the beams' start."""

    beam_size: str
    plies: int
    post_size: str
    post_xs_in: tuple[float, ...]


@dataclass(frozen=True)
class OwnFrame:
    """The frame under one object. ``first_number`` is that of its first beam."""

    rows: OwnRows
    sizes: OwnSizes
    first_number: int
    beams: tuple[Beam, ...]
    stands: tuple[Stand, ...]
    posts: tuple[Post, ...]

    @property
    def footprint(self) -> Footprint:
        """What the object covers."""
        return self.rows.footprint


def own_bottom_in(rows: OwnRows, beam_size: str) -> float:
    """Return the bottom of a beam of this size under the joists, above the datum, in."""
    return rows.bed.joist_bottom_in - depth_in(beam_size)


def own_feet(
    setting: Setting, rows: OwnRows, beam_size: str, post_xs_in: Sequence[float]
) -> tuple[Foot, ...]:
    """Return how beams of this size stand at each place, row by row."""
    bottom, axes = own_bottom_in(rows, beam_size), rows.bed.axes
    us = [rows.strip.start_in + x for x in post_xs_in]
    return tuple(foot(bottom, setting.ground(*axes.deck_ft(u, row))) for row in rows.rows_in for u in us)


def build_own(setting: Setting, rows: OwnRows, sizes: OwnSizes, first_number: int) -> OwnFrame:
    """Return the frame under an object; its beams are numbered on from the deck's own."""
    beams = tuple(
        _beam(setting, rows, sizes, first_number + i, row, load)
        for i, (row, load) in enumerate(zip(rows.rows_in, rows.loads_plf, strict=True))
    )
    stands = tuple(
        stand
        for i, (beam, row) in enumerate(zip(beams, rows.rows_in, strict=True))
        for stand in _stands(setting, rows, beam, row, first_number + i)
    )
    posts = tuple(post_of(setting.owner, sizes.post_size, stand) for stand in stands if stand.on_post)
    return OwnFrame(rows, sizes, first_number, beams, stands, posts)


def _splices(
    setting: Setting, rows: OwnRows, sizes: OwnSizes, number: int, row_in: float
) -> tuple[Splice, ...]:
    board_in = setting.boards.beam(sizes.beam_size)
    plan = ply_splices(rows.strip.length_in, sizes.post_xs_in, sizes.plies, board_in) or []
    bottom = own_bottom_in(rows, sizes.beam_size)

    def place(i: int) -> str:
        at_ft = rows.bed.axes.deck_ft(rows.strip.start_in + sizes.post_xs_in[i], row_in)
        kind = "post" if foot(bottom, setting.ground(*at_ft)).standing == "post" else "footing"
        return f"{setting.level}.{kind}-{number}-{i + 1}"

    return tuple(Splice(ply + 1, place(i)) for ply, cuts in enumerate(plan) for i in cuts)


def _beam(
    setting: Setting, rows: OwnRows, sizes: OwnSizes, number: int, row_in: float, load_plf: float
) -> Beam:
    axes, strip, xs = rows.bed.axes, rows.strip, sizes.post_xs_in
    return Beam(
        id=beam_id(setting.level, number),
        mark=f"B{number}",
        size=sizes.beam_size,
        plies=sizes.plies,
        placement="dropped",
        species=setting.species,
        grade=setting.grade,
        start_ft=axes.deck_ft(strip.start_in, row_in),
        end_ft=axes.deck_ft(strip.end_in, row_in),
        bottom_height_in=own_bottom_in(rows, sizes.beam_size),
        supports_ft=tuple(x / 12 for x in xs),
        spans_in=spans(xs),
        overhang_start_in=xs[0],
        overhang_end_in=strip.length_in - xs[-1],
        splices=_splices(setting, rows, sizes, number, row_in),
        line_load_plf=load_plf,
    )


def _stands(setting: Setting, rows: OwnRows, beam: Beam, row_in: float, number: int) -> list[Stand]:
    ends = beam.overhang_start_in, beam.overhang_end_in
    whole = post_reactions_lb(beam.spans_in, *ends, beam.line_load_plf)
    broken = broken_reactions_lb(beam.spans_in, *ends, beam.line_load_plf)
    out = []
    for n, at_ft in enumerate(beam.supports_ft, start=1):
        x_ft, y_ft = rows.bed.axes.deck_ft(rows.strip.start_in + 12 * at_ft, row_in)
        grade = setting.ground(x_ft, y_ft)
        load = whole[n - 1]
        sizing = max(load, broken[n - 1])
        place = foot(beam.bottom_height_in, grade)
        out.append(Stand(number, n, beam.id, x_ft, y_ft, grade, load, sizing, place))
    return out


def _past(reach_in: float, support_in: float, width: float) -> float:
    """How far joists cantilever past a beam of their own; 0 where they end over it."""
    past = abs(reach_in - support_in)
    return 0.0 if past - width / 2 <= RIM_IN + 1e-9 else past


def _line_over(wire: JoistLine, line: LineLayout, frames: Sequence[OwnFrame]) -> JoistLine:
    own = {
        row: (beam.id, width_in(beam.size) * beam.plies)
        for one in frames
        for row, beam in zip(one.rows.rows_in, one.beams, strict=True)
    }
    start = line.low.joist_in
    at = {round(start + one.at_in, 6): one.member for one in wire.supports}
    at |= {round(row, 6): name for row, (name, _) in own.items()}
    places = sorted(at)
    house, yard = wire.cantilever_house_in, wire.cantilever_yard_in
    if not line.high.ledger and max(own) > line.supports_in[-1]:
        yard = _past(line.high.face_in, max(own), own[max(own)][1])
    if not line.low.ledger and min(own) < line.supports_in[0]:
        house = _past(line.low.face_in, min(own), own[min(own)][1])
    return msgspec.structs.replace(
        wire,
        supports=tuple(Support(at[y], y - start) for y in places),
        spans_in=spans(places),
        cantilever_house_in=house,
        cantilever_yard_in=yard,
    )


def _over(members: Members, frames: Sequence[OwnFrame]) -> Joists:
    """The joists with the lines over beams of an object given those supports too."""
    axes, lines = members.layout.region.axes, []
    for wire, line in zip(members.joists.lines, members.placed, strict=True):
        at_in = axes.local_in((wire.x_ft or 0.0, wire.y_ft or 0.0))[0]
        under = [
            one
            for one in frames
            if one.rows.bed.group == members.joists.id
            and one.rows.bed.line == line
            and one.rows.strip.start_in < at_in < one.rows.strip.end_in
        ]
        lines.append(_line_over(wire, line, under) if under else wire)
    return msgspec.structs.replace(members.joists, lines=tuple(lines))


def _own_pieces(one: OwnFrame) -> Iterator[Piece]:
    """A piece in every bay of the joists under an object, over each of its beams."""
    half, bed = JOIST_IN / 2, one.rows.bed
    for left, right in pairwise(one.rows.strip.centres_in):
        for row in one.rows.rows_in:
            ends = across(bed.axes, left + half, right - half, row)
            yield Piece(OVER_OWN, bed.joist_size, round(right - left - JOIST_IN, 4), ends)


def own_blocking(frames: Sequence[OwnFrame], level: str, first: int) -> tuple[Blocking, ...]:
    """Return the blocking that holds joists upright over the beams of objects, like pieces together."""
    pieces = [piece for one in frames for piece in _own_pieces(one)]
    pieces.sort(key=lambda piece: (piece.length_in, piece.size), reverse=True)
    return like_pieces(level, first, pieces)


def with_own(level: Level, frames: Sequence[OwnFrame], built: Sequence[Members]) -> Level:
    """Return a level with the frames under its heavy objects: beams, joists over them, clearance."""
    if not frames:
        return level
    beams = tuple(beam for one in frames for beam in one.beams)
    bottom = {beam.id: beam.bottom_height_in for beam in beams}
    above = min(bottom[s.beam] - s.grade_in for one in frames for s in one.stands)
    held = level.clearance
    clearance = msgspec.structs.replace(
        held,
        lowest_beam_bottom_height_in=_least(held.lowest_beam_bottom_height_in, min(bottom.values())),
        lowest_beam_above_grade_in=_least(held.lowest_beam_above_grade_in, above),
    )
    joists = tuple(_over(members, frames) for members in built)
    return msgspec.structs.replace(level, joists=joists, beams=(*level.beams, *beams), clearance=clearance)


def _least(held: float | None, other: float) -> float:
    return other if held is None else min(held, other)

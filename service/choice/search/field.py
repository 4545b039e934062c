"""Every frame of a region that passes the members' limits, one row a frame, in columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from service.choice.level.ask import Ask
from service.choice.level.frame_price import FramePrices, Part
from service.choice.search.arranging import Arranging
from service.choice.search.blocks import BeamChoice, Block, JoistChoice, Trying, blocks_of
from service.choice.search.deflection import IN_PER_FT, Deflections, row_shares_ft
from service.choice.search.footing_price import PLAIN, UNSERVED, WORST, FootingPrices
from service.choice.search.footing_standing import LeastStandings
from service.choice.search.post_rows import Way, on_posts
from service.framing.ground import heights_over
from service.framing.heights import foot, stack
from service.framing.layout import Arrangement, Layout, Placement
from service.framing.stairs import StairResult
from service.sizing.lumber import depth_in, nominal

BANDS = (PLAIN + 1, UNSERVED, WORST)  # from each on footings are chosen among other methods
COUNTS_BOUNDED = 4  # numbers of posts whose footings have a bound of their own
Ints = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Words = npt.NDArray[np.object_]


@dataclass(frozen=True)
class Desk:
    """What frames of one region are priced with, and the stairs that no post of theirs may stand in the way of."""

    arranging: Arranging
    frames: FramePrices
    footings: FootingPrices
    stairs: tuple[StairResult, ...] = ()

    @cached_property
    def standings(self) -> LeastStandings:
        """How footings stand at best, by where they are."""
        return LeastStandings(self.footings)


@dataclass(frozen=True, eq=False)
class Field:
    """The frames with so many rows between the ends.

    ``joist``, ``beam`` and ``way`` are places in the lists of choices. ``level`` is how a frame stands by the limits
    of its members: 0 by tables, 1 an engineer has to look. ``interior`` counts what is worse whatever it costs: rows
    that joists lie on both sides of, and footings of stairs that have to stand by themselves. ``frame`` is a lower
    bound of what it costs without its footings, in ten-thousandths of the currency: exact but for posts on uneven
    ground. ``lightest_lb`` is what the footing that carries least carries at least. ``tried`` counts the frames of
    the space. With ``keep_failing`` there are frames whose joists do not stand, level 2.
    """

    desk: Desk
    keep_failing: bool
    tried: int
    joists: tuple[JoistChoice, ...]
    beams: tuple[BeamChoice, ...]
    joist: Ints
    beam: Ints
    way: Ints
    level: Ints
    interior: Ints
    unpriced: Ints
    frame: Ints
    footings: Ints
    posts: Ints
    lightest_lb: Floats
    head_room_in: Floats

    @cached_property
    def least(self) -> Ints:
        """A lower bound of what each frame costs with footings that stand well, 1/10000 of the currency."""
        return self.least_on(0)

    def least_on(self, standing: int) -> Ints:
        """Return a lower bound of what each frame costs with footings that stand so."""
        band = sum(standing >= first for first in BANDS)
        if band not in self._least:
            self._least[band] = self.frame + _least_footings(
                self.desk, self.posts, self.lightest_lb, standing
            )
        return self._least[band]

    @cached_property
    def _least(self) -> dict[int, Ints]:
        return {}

    def __len__(self) -> int:
        return len(self.joist)

    @cached_property
    def joist_size(self) -> Words:
        """Joist sizes."""
        return _column([one.size for one in self.joists], self.joist, object)

    @cached_property
    def spacing_in(self) -> Floats:
        """Joist spacings, in."""
        return _column([one.spacing_in for one in self.joists], self.joist, float)

    @cached_property
    def ratio(self) -> Floats:
        """Utilisation of the joists."""
        return _column([one.ratio for one in self.joists], self.joist, float)

    @cached_property
    def beam_size(self) -> Words:
        """Sizes of one ply."""
        return _column([one.draft.beam_size for one in self.beams], self.beam, object)

    @cached_property
    def plies(self) -> Ints:
        """Plies of the beams."""
        return _column([one.draft.beam_plies for one in self.beams], self.beam, int)

    @cached_property
    def placement(self) -> Words:
        """Dropped or flush."""
        return _column([one.draft.placement for one in self.beams], self.beam, object)

    @cached_property
    def deflection_in(self) -> Floats:
        """Live-load deflection of each frame, in."""
        found = Deflections(self.desk.arranging.ask.criteria)
        of_joists = [found.joists(one.laid, one.size, one.spacing_in) for one in self.joists]
        joists: Floats = _column(of_joists, self.joist, float)
        of_ways = [_sinking(found, one) for one in self.beams]
        first = np.cumsum([0, *(len(one.ways) for one in self.beams)])
        beams: Floats = np.concatenate(of_ways)[first[self.beam] + self.way] if len(self) else joists
        return joists + beams

    @cached_property
    def board_feet(self) -> Floats:
        """Nominal lumber in joists, rims or ledger, and beams."""
        joists: Floats = _column([one.board_feet for one in self.joists], self.joist, float)
        beams: Floats = _column([one.board_feet for one in self.beams], self.beam, float)
        return joists + beams

    @cached_property
    def least_goods(self) -> Ints:
        """What joists and beams of each frame cost at least without any work, 1/10000 of the currency."""
        joists: Ints = _column([one.part.goods for one in self.joists], self.joist, int)
        of_ways = [part.goods for one in self.beams for part in one.parts]
        first = np.cumsum([0, *(len(one.parts) for one in self.beams)])
        return (
            joists + np.array(of_ways, dtype=np.int64)[first[self.beam] + self.way] if len(self) else joists
        )

    @cached_property
    def depth_in(self) -> Ints:
        """Nominal depth of joist and beam together, in."""
        joists: Ints = _column([nominal(one.size)[1] for one in self.joists], self.joist, int)
        beams: Ints = _column([nominal(one.draft.beam_size)[1] for one in self.beams], self.beam, int)
        return joists + beams

    @cached_property
    def _least_shares_ft(self) -> dict[Way, tuple[float, ...]]:
        """The least floor that rows carry which stand on posts in a way, for each foot of each row, ft."""
        found: dict[Way, tuple[float, ...]] = {}
        for beam in self.beams:
            shares = row_shares_ft(beam.draft.arrangement, min)
            for way in beam.ways:
                found[way] = tuple(map(min, found[way], shares)) if way in found else shares
        return found

    def least_of_way(self, row: int, standing: int = 0) -> int:
        """Return what a frame costs at least, by where its posts stand: more than ``least``, and more to work out."""
        way = self.beams[self.beam[row]].ways[self.way[row]]
        if (way, standing) not in self._least_on:
            ask = self.desk.arranging.ask
            loads = way.least_loads_lb(self._least_shares_ft[way], ask.criteria.design_psf)
            self._least_on[way, standing] = self.desk.footings.least(loads, ask.region.attached, standing)
        return int(self.frame[row]) + self._least_on[way, standing]

    def least_laid(self, row: int, layout: Layout, standing: int = 0) -> int:
        """Return what a frame costs at least by what its own posts carry: no less than ``least_of_way``."""
        arranging, least = self.desk.arranging, self.least_of_way(row, standing)
        sized = arranging.post_loads.sized_for(layout)
        if sized is None:
            return least
        footings = self.desk.footings.least(sized[0], arranging.ask.region.attached, standing, sized[1])
        return max(least, int(self.frame[row]) + footings)

    @cached_property
    def _least_on(self) -> dict[tuple[Way, int], int]:
        return {}

    def least_standing(self, row: int) -> int:
        """Return how the footings of a frame stand at best, by where they are."""
        ask, layout = self.desk.arranging.ask, self.layout(row)
        sizes = (layout.joist_size, layout.beam_size, layout.placement)
        bottom_in = stack(ask.surface_in, ask.decking_in, *sizes).beam_bottom_in
        return self.desk.standings.of(layout, bottom_in)

    def layout(self, row: int) -> Layout:
        """Return a frame, on the first of the post sizes."""
        joist, beam = self.joists[self.joist[row]], self.beams[self.beam[row]]
        draft = replace(beam.draft, joist_size=joist.size, spacing_in=joist.spacing_in)
        return on_posts(draft, beam.ways[self.way[row]])


def _sinking(found: Deflections, beam: BeamChoice) -> Floats:
    draft = beam.draft
    longest = [way.longest_in for way in beam.ways]
    return found.beams(draft.arrangement, draft.beam_size, draft.beam_plies, longest)


def _column(values: Sequence[object], place: Ints, kind: type) -> npt.NDArray[Any]:
    return np.array(values, dtype=kind)[place] if len(place) else np.empty(0, dtype=kind)


def field_of(desk: Desk, inner: int, keep_failing: bool = False) -> Field:
    """Return the frames with so many rows between the ends."""
    every = blocks_of(Trying(desk.arranging, desk.frames, inner, keep_failing))
    blocks = [one for one in every if one.joists and one.beams]
    joists = tuple(choice for one in blocks for choice in one.joists)
    beams = tuple(choice for one in blocks for choice in one.beams)
    pairs = _pairs(blocks)
    columns = _columns(desk, blocks, joists, beams, pairs)
    return Field(desk, keep_failing, sum(block.tried for block in every), joists, beams, *columns)


@dataclass(frozen=True)
class _Pairs:
    """Every choice of joists with every way of every choice of beams of the same block, by place in the lists."""

    block: Ints
    joist: Ints
    beam: Ints
    way: Ints


def _pairs(blocks: Sequence[Block]) -> _Pairs:
    columns: list[list[Ints]] = [[_NONE] * 4]
    first_joist = first_beam = 0
    for number, block in enumerate(blocks):
        counts = [len(one.ways) for one in block.beams]
        beam = np.repeat(np.arange(len(counts)), counts)
        way = np.concatenate([np.arange(count) for count in counts])
        joist = np.repeat(np.arange(len(block.joists)), len(beam))
        times = len(block.joists)
        columns.append([
            np.full(len(joist), number), joist + first_joist, np.tile(beam, times) + first_beam, np.tile(way, times),
        ])  # fmt: skip
        first_joist, first_beam = first_joist + times, first_beam + len(counts)
    return _Pairs(*map(np.concatenate, zip(*columns, strict=True)))


_NONE: Ints = np.empty(0, dtype=np.int64)


def _columns(
    desk: Desk,
    blocks: Sequence[Block],
    joists: Sequence[JoistChoice],
    beams: Sequence[BeamChoice],
    at: _Pairs,
) -> list[npt.NDArray[Any]]:
    """The columns of the frames that have room."""
    beds = [_Bed(one.laid.placement, highest_in(one.laid, desk.arranging.ask)) for one in blocks]
    lies, lie = _numbered(
        [(bed, one.size) for bed, block in zip(beds, blocks, strict=True) for one in block.joists]
    )
    bears, bear = _numbered([(one.draft.beam_size, one.draft.beam_plies) for one in beams])
    under = np.array([[_under(desk, *one, *other) for other in bear] for one in lie], dtype=np.float64)
    under = under.reshape(len(lie), len(bear), 5)[lies[at.joist], bears[at.beam]]
    first = np.cumsum([0, *(len(one.ways) for one in beams)])[at.beam] + at.way
    ways = np.array([(*_summed(part), way.count, level, one.beside) for one in beams
                     for way, level, part in zip(one.ways, one.levels, one.parts, strict=True)],
                    dtype=np.int64).reshape(-1, 6)[first]  # fmt: skip
    hung = np.array([(*_summed(one.part), one.level) for one in joists], dtype=np.int64).reshape(-1, 4)[
        at.joist
    ]
    room, count = under[:, 0] > 0, ways[:, 3]
    footings = count + ways[:, 5]
    sums = hung[:, :3] + ways[:, :3] + under[:, 2:].astype(np.int64) * count[:, None]
    lightest = np.concatenate([np.empty(0), *(_lightest_lb(desk, one) for one in beams)])[first]
    frame = sums[:, 0] + desk.frames.labour(sums[:, 1])
    inside = np.array([sum(use.interior for use in one.laid.uses) for one in blocks], dtype=np.int64)
    level, interior = np.maximum(hung[:, 3], ways[:, 4]), inside[at.block] + ways[:, 5]
    columns = (
        at.joist,
        at.beam,
        at.way,
        level,
        interior,
        sums[:, 2],
        frame,
        footings,
        count,
        lightest,
        under[:, 1],
    )
    return [column[room] for column in columns]


def _summed(part: Part) -> tuple[int, int, int]:
    """What has to be bought, minutes, and how much has no price."""
    return part.goods, part.minutes, part.unpriced


def _lightest_lb(desk: Desk, beam: BeamChoice) -> Floats:
    """What the footing that carries least carries at least, for each way the beams stand."""
    laid, psf = beam.draft.arrangement, desk.arranging.ask.criteria.design_psf
    shares = np.array(row_shares_ft(laid, min)) / IN_PER_FT * psf
    found: Floats = (np.array([way.least_in for way in beam.ways]) * shares).min(axis=1)
    return found


def _least_footings(desk: Desk, posts: Ints, lightest_lb: Floats, standing: int) -> Ints:
    """The least that footings under so many posts cost, the lightest load of all frames with so many on every one.

    For all but the few smallest numbers it is that of the last of these under the lightest load of any more.
    """
    counts, place = np.unique(posts, return_inverse=True)
    attached = desk.arranging.ask.region.attached
    found = []
    for number, count in enumerate(counts[:COUNTS_BOUNDED].tolist()):
        alike = posts >= count if number == COUNTS_BOUNDED - 1 else posts == count
        loads = [float(lightest_lb[alike].min())] * int(count)
        found.append(desk.footings.least(loads, attached, standing))
    return np.array(found, dtype=np.int64)[np.minimum(place, len(found) - 1)]


class _Bed(NamedTuple):
    """What heights of a block hang on: dropped or flush, and the highest ground under its beams, in."""

    placement: Placement
    highest_in: float


def _numbered(values: Sequence[Any]) -> tuple[Ints, list[Any]]:
    """The values by number, and each once."""
    found = {one: place for place, one in enumerate(dict.fromkeys(values))}
    return np.array([found[one] for one in values], dtype=np.int64), list(found)


def _under(desk: Desk, bed: _Bed, joist: str, beam: str, plies: int) -> tuple[float, ...]:
    """Whether beams have room under joists, how much is left over the ground, and the least that one post costs."""
    ask = desk.arranging.ask
    bottom = stack(ask.surface_in, ask.decking_in, joist, beam, bed.placement).beam_bottom_in
    standing = foot(bottom, bed.highest_in)
    if standing.standing == "no_room" or not _go_together(ask, bed.placement, joist, beam):
        return (0.0, 0.0, 0.0, 0.0, 0.0)
    part = desk.frames.least_post(ask.space.post_sizes[0], beam, plies, standing)
    return (1.0, bottom - bed.highest_in, *_summed(part))


def _go_together(ask: Ask, placement: Placement, joist: str, beam: str) -> bool:
    """Whether joists lie on such beams: of one depth where that is wished, and on flush ones that are no shallower."""
    if beam not in ask.space.beams_for(joist):
        return False
    return placement == "dropped" or depth_in(beam) >= depth_in(joist)


def highest_in(laid: Arrangement, ask: Ask) -> float:
    """Return the highest ground under any beam, in above the datum."""
    axes = laid.region.axes
    runs = ((axes.deck_ft(*row.start_in), axes.deck_ft(*row.end_in)) for row in laid.rows)
    return max((max(heights_over(ask.ground, run)) for run in runs), default=0.0)

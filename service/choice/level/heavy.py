"""Beams, posts and footings of their own for heavy objects: chosen by calculation, the rest of the deck as it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import msgspec

from service.checks.calculated import calculated_grade
from service.checks.heavy import LOAD_KIND, heavy_beam_lines, heavy_joist_lines, utilisation
from service.choice.level.ask import Ask
from service.choice.level.case import Case
from service.choice.level.demands import demand_of
from service.connections.posts import base_item, cap_item
from service.contract.report_frame import Post
from service.contract.report_order import Takeoff, Unpriced
from service.contract.spec import DeckSpec, HeavyObjectSpec, LevelSpec
from service.foundations.demand import Demand
from service.framing.axes import Axes
from service.framing.beam_lines import ply_splices, post_positions, spans
from service.framing.heavy import Bed, Footprint, bed_under, covered, row_sets, strip_under
from service.framing.heavy_load import pressure_of
from service.framing.heavy_members import OwnFrame, OwnRows, OwnSizes, build_own, own_feet
from service.framing.heavy_statics import reactions
from service.framing.members import Members, Setting
from service.sizing.calculated_posts import post_capacity
from service.sizing.criteria import Criteria
from service.sizing.line_load_beam import line_load_beam_span
from service.sizing.lumber import BY_DEPTH, nominal
from service.timber.refusal import NoRule
from service.timber.values import TimberData

POSTS = (("6x6", 3.0), ("8x8", 4.0))  # 6x6 is usual (common practice); centres stand half a post in
MOST_POSTS = 9
FULL = 1 + 1e-9
PLIES = (2, 3)
BEAMS = sorted(((size, plies) for size in BY_DEPTH for plies in PLIES), key=lambda b: nominal(b[0])[1] * b[1])


@dataclass(frozen=True)
class Refused:
    """An object that gets no frame of its own, and why. ``light``: it needs none."""

    thing: HeavyObjectSpec
    footprint: Footprint
    text: str
    light: bool


@dataclass(frozen=True)
class Own:
    """What stands under one object. ``over`` and ``joists`` are the worst ratios of the deck's supports and joists."""

    thing: HeavyObjectSpec
    frame: OwnFrame
    over: float
    joists: float


@dataclass(frozen=True)
class Heavy:
    """Every object of a level, in the caller's order."""

    owns: tuple[Own, ...] = ()
    refused: tuple[Refused, ...] = ()

    @property
    def frames(self) -> tuple[OwnFrame, ...]:
        """The frames under them."""
        return tuple(own.frame for own in self.owns)

    @property
    def things(self) -> tuple[tuple[HeavyObjectSpec, Footprint], ...]:
        """The objects with what they cover."""
        framed = ((own.thing, own.frame.footprint) for own in self.owns)
        return (*framed, *((one.thing, one.footprint) for one in self.refused))

    @property
    def posts(self) -> tuple[Post, ...]:
        """Their posts."""
        return tuple(post for frame in self.frames for post in frame.posts)


@dataclass(frozen=True)
class _Tried:
    rows: OwnRows
    over: float
    joists: float

    @property
    def passes(self) -> bool:
        return max(self.over, self.joists) <= FULL


def heavy_frames(spec: DeckSpec, ask: Ask, built: Sequence[Members], setting: Setting) -> Heavy:
    """Return the frames under a level's heavy objects, their beams numbered on from the deck's own."""
    owns: list[Own] = []
    refused: list[Refused] = []
    level = next(one for one in spec.levels if one.id == ask.level)
    for number, thing in enumerate(spec.heavy_objects, start=1):
        if thing.level != level.id:
            continue
        covers, bed = _bed_of(thing, number, level, built, setting)
        first = 1 + sum(len(m.beams) for m in built) + sum(len(own.frame.beams) for own in owns)
        found = _own(thing, covers, bed, ask.criteria, setting, first)
        if isinstance(found, Own):
            owns.append(found)
        else:
            refused.append(found)
    return Heavy(tuple(owns), tuple(refused))


def _bed_of(
    thing: HeavyObjectSpec, number: int, level: LevelSpec, built: Sequence[Members], setting: Setting
) -> tuple[Footprint, Bed | None]:
    """What an object covers, with the joists under it where they are all alike."""
    for members in built:
        covers = covered(thing, number, level, members.layout.region.axes)
        bed = bed_under(members, covers, setting.stack(members.layout).joist_bottom_in)
        if bed is not None:
            return covers, bed
    return covered(thing, number, level, Axes("away_from_house", level.origin_ft)), None


def _own(
    thing: HeavyObjectSpec,
    covers: Footprint,
    bed: Bed | None,
    criteria: Criteria,
    setting: Setting,
    first: int,
) -> Own | Refused:
    load = pressure_of(thing, criteria.dead_psf, criteria.variable_psf)
    if load.light and thing.kind != "hot_tub":
        text = "it lies within the deck's live load and gets no frame of its own"
        return Refused(thing, covers, text, light=True)
    if bed is None:
        text = (
            "the joists under it are not all alike, since an edge or a beam ends beside or under it; move it to where "
            "they are, or have its frame designed"
        )
        return Refused(thing, covers, text, light=False)
    data = criteria.timber
    if data is None:
        return Refused(thing, covers, "no design values were given to calculate with", light=False)
    best: _Tried | None = None
    for tried in _tried(thing, covers, criteria, data, bed):
        if best is None or max(tried.over, tried.joists) < max(best.over, best.joists):
            best = tried
        if best.passes:
            break
    if best is None:
        text = "no two beams under it, clear of the house and of the deck's own beams, have joists press down on both"
        return Refused(thing, covers, text, light=False)
    frame = _framed(setting, best.rows, criteria, data, first)
    if frame is None:
        text = (
            "no built-up beam on posts both fits under the joists and carries it by calculation; on a deck this low "
            "it can stand on a slab of its own, through the deck"
        )
        return Refused(thing, covers, text, light=False)
    return Own(thing, frame, best.over, best.joists)


def _tried(
    thing: HeavyObjectSpec, covers: Footprint, criteria: Criteria, data: TimberData, bed: Bed
) -> Iterator[_Tried]:
    """The rows of beams an object can have, with what the deck's own supports and its joists then carry."""
    load = pressure_of(thing, criteria.dead_psf, criteria.variable_psf)
    strip = strip_under(bed, covers)
    without = dict(zip(bed.line.supports_in, bed.line.reactions_plf(criteria.design_psf), strict=True))
    for rows_in in row_sets(bed, covers):
        found = reactions(bed, rows_in, covers, load)
        over = max(found[y].full_plf / plf for y, plf in without.items() if plf > 0)
        loads = tuple(found[row].most_plf for row in rows_in)
        if min(found[row].full_plf for row in rows_in) <= 0:
            continue  # the neighbouring bays would lift the joists off this beam
        for plies in PLIES:
            rows = OwnRows(bed, covers, load, strip, rows_in, loads, plies)
            yield _Tried(rows, over, utilisation(heavy_joist_lines(rows, criteria, data)))


def _framed(
    setting: Setting, rows: OwnRows, criteria: Criteria, data: TimberData, first: int
) -> OwnFrame | None:
    """The frame on the fewest posts, then with the least lumber, that carries every row."""
    for count in range(2, MOST_POSTS + 1):
        for post_size, end_in in POSTS:
            xs = post_positions(rows.strip.length_in, count, end_in)
            for size, plies in BEAMS:
                sizes = OwnSizes(size, plies, post_size, xs)
                if plies >= rows.least_plies and _beam_carries(setting, rows, sizes, criteria, data):
                    frame = build_own(setting, rows, sizes, first)
                    if _posts_carry(frame, criteria, data):
                        return _seated(frame, criteria.coating)
    return None


def _beam_carries(
    setting: Setting, rows: OwnRows, sizes: OwnSizes, criteria: Criteria, data: TimberData
) -> bool:
    xs, load = sizes.post_xs_in, max(rows.loads_plf)
    if any(foot.standing == "no_room" for foot in own_feet(setting, rows, sizes.beam_size, xs)):
        return False
    if ply_splices(rows.strip.length_in, xs, sizes.plies, setting.boards.beam(sizes.beam_size)) is None:
        return False
    grade, species = calculated_grade(criteria, sizes.beam_size), criteria.species
    reach = line_load_beam_span(data, species, sizes.beam_size, sizes.plies, 0.0, load, LOAD_KIND, grade)
    if isinstance(reach, NoRule) or max(spans(xs)) > reach.value:
        return False
    beam = (sizes.beam_size, sizes.plies)
    lines = heavy_beam_lines(rows.strip.length_in, xs, load, beam, sizes.post_size, criteria, data)
    return utilisation(lines) <= FULL


def _posts_carry(frame: OwnFrame, criteria: Criteria, data: TimberData) -> bool:
    standing = [stand for stand in frame.stands if stand.foot.standing == "post"]
    for post, stand in zip(frame.posts, standing, strict=True):
        grade = calculated_grade(criteria, post.size)
        found = post_capacity(data, criteria.species, post.size, post.height_in, LOAD_KIND, grade)
        if isinstance(found, NoRule) or stand.sizing_load_lb > found.value:
            return False
    return True


def _seated(frame: OwnFrame, coating: str) -> OwnFrame:
    """The frame with the base and cap each post stands between."""
    sizes = frame.sizes
    base = base_item(sizes.post_size, coating)
    cap = cap_item(sizes.post_size, sizes.beam_size, sizes.plies, coating)
    posts = tuple(msgspec.structs.replace(post, base=base, cap=cap) for post in frame.posts)
    return OwnFrame(frame.rows, frame.sizes, frame.first_number, frame.beams, frame.stands, posts)


def heavy_demands(heavy: Heavy, case: Case, attached: bool) -> list[Demand]:
    """Return what the footings under heavy objects have to carry."""
    owner, site = case.setting().owner, (case.ground, case.walls)
    return [
        demand_of(
            owner, stand, (frame.sizes.post_size, frame.sizes.plies), attached, site, frame.footprint.member
        )
        for frame in heavy.frames
        for stand in frame.stands
    ]


def without_refused(order: Takeoff, heavy: Heavy) -> Takeoff:
    """Return the order marked incomplete where an object needs a frame that could not be worked out."""
    missing = [one for one in heavy.refused if not one.light]
    if not missing:
        return order
    because = "its own beams, posts and footings are an engineer's: not in this order"
    lines = tuple(
        Unpriced(item=f"service.heavy_object_frame.{one.thing.kind}", quantity=1, unit="lot", because=because)
        for one in missing
    )
    total = order.total and msgspec.structs.replace(order.total, complete=False)
    return msgspec.structs.replace(order, unpriced=(*order.unpriced, *lines), total=total)

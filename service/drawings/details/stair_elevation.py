"""One stair from its side: deck, flights, landings, what they stand on, rails; true to scale."""

from __future__ import annotations

import math
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.contract.ids import deck_member
from service.contract.plan import Point
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Flight, Footing, Landing, Level, Post, Stair
from service.drawings.details.section_parts import ground, pier, rect, torn
from service.drawings.details.stair_profile import Profile
from service.drawings.kit.ink import (
    CUT,
    DIMENSION,
    HIDDEN,
    LIGHT,
    OBJECT,
    PAPER,
    group,
    hatched,
    line,
    polygon,
)
from service.drawings.kit.lettering import Box
from service.drawings.kit.symbols import LUMBER_IN, RAIL, depth_of, width_of
from service.drawings.kit.views import Placed, Reach

DECK_IN, BEYOND_IN, UNDER_IN = 22.0, 10.0, 10.0
BESIDE_PT = Box(26.0, 16.0, 62.0, 64.0)
STRINGER = "2x12"


class Shown(NamedTuple):
    """A stair with what the report says it hangs on and stands on."""

    stair: Stair
    level: Level
    profiles: tuple[Profile, ...]
    decking_in: float
    joist_depth_in: float
    posts: tuple[Post, ...]
    footings: tuple[Footing, ...]
    carrier: Beam | None
    down_to: str

    def along_in(self, place: Point) -> float:
        """Return how far out from the deck's edge a place in plan is, in."""
        head, way = self._line()
        return 12 * ((place[0] - head[0]) * way[0] + (place[1] - head[1]) * way[1])

    def _line(self) -> tuple[Point, Point]:
        corners = self.stair.flights[0].corners_ft
        left, right = corners[0], corners[1]
        head = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
        long = math.dist(left, right)
        # left and right are those of someone going down; with y growing out, left has the greater x
        return head, ((right[1] - left[1]) / long, (left[0] - right[0]) / long)

    @property
    def foot_landing(self) -> Landing | None:
        """The landing at its foot."""
        return self.stair.landings[-1] if self.stair.landings else None

    @property
    def end_in(self) -> float:
        """Where the landing at its foot ends, or the lowest riser where it has none."""
        landing = self.foot_landing
        return self.profiles[-1].end_in + (landing.depth_in if landing else 0.0)

    @property
    def top_height_in(self) -> float:
        """The surface it leaves."""
        return self.stair.flights[0].head_height_in


def shown(report: DesignReport, stair: Stair) -> Shown:
    """Return a stair with what belongs to it."""
    level = next(one for one in report.levels if one.id == stair.level)
    wishes = enumerate(report.resolved_spec.stairs, start=1)
    spec = next(wish for number, wish in wishes if deck_member("stair", number) == stair.id)
    decking = next(one.decking for one in report.resolved_spec.levels if one.id == stair.level)
    mine = {beam.id for beam in stair.beams}
    posts = tuple(post for post in report.posts if post.beam in mine)
    stands = {post.id for post in posts} | mine | {stair.id}
    every = [*stair.beams, *(beam for one in report.levels for beam in one.beams)]
    bare = Shown(
        stair,
        level,
        (),
        decking.thickness_in,
        max((depth_of(one.size) for one in level.joists), default=0.0),
        posts,
        tuple(one for one in report.footings if one.post in stands or one.serves in stands),
        next((beam for beam in every if beam.id == stair.carried_by), None),
        spec.down_to,
    )
    stock_in = depth_of(stringer_size(report, stair))
    return bare._replace(
        profiles=tuple(
            Profile(flight, _out_in(bare, flight), spec.tread_thickness_in, stock_in)
            for flight in stair.flights
        )
    )


def _out_in(bare: Shown, flight: Flight) -> float:
    left, right = flight.corners_ft[:2]
    return bare.along_in(((left[0] + right[0]) / 2, (left[1] + right[1]) / 2))


def stringer_size(report: DesignReport, stair: Stair) -> str:
    """Return what its stringers are cut from, as the order has it."""
    codes = [
        piece.item.split(".")[1]
        for piece in report.takeoff.pieces
        if piece.item.startswith("lumber.")
        and any(one.startswith(f"{stair.id}.stringer") for one in piece.members)
    ]
    return codes[0] if codes else STRINGER


def reach_of(one: Shown) -> Reach:
    """Return what a view of a stair shows."""
    stair = one.stair
    rails = max(rail.height_in for rail in (stair.handrail, stair.guard) if rail) if _railed(stair) else 0.0
    under = one.top_height_in - one.decking_in - one.joist_depth_in
    low = min(stair.foot_height_in, under, *(foot.grade_height_in for foot in one.footings), under)
    return Reach(-DECK_IN, low - UNDER_IN, one.end_in + BEYOND_IN, one.top_height_in + rails + 4.0, BESIDE_PT)


def _railed(stair: Stair) -> bool:
    return stair.handrail is not None or stair.guard is not None


def drawing(one: Shown, at: Placed) -> Element:
    """Return a stair from its side, each part in a group of its own."""
    parts = [
        *_foot(one, at),
        *_supports(one, at),
        *(group(_landing(one, landing, at), id=landing.id) for landing in one.stair.landings[:-1]),
        *(_flight(one, number, at) for number in range(len(one.profiles))),
        group(_deck(one, at), id=f"{one.stair.id}.deck"),
        *_rails(one, at),
    ]
    return group(parts, id=one.stair.id, **at.view.data)


def _flight(one: Shown, number: int, at: Placed) -> Element:
    profile = one.profiles[number]
    stringer = profile.stringer()
    body = [polygon([at.at(*corner) for corner in stringer], OBJECT, PAPER)] if stringer else []
    hidden = HIDDEN if profile.flight.stringer_kind != "cut" else OBJECT
    treads = [
        rect(at, *back, *front, hidden, PAPER if hidden is OBJECT else "none")
        for back, front in profile.treads()
    ]
    risers = [line(at.at(*top), at.at(*bottom), LIGHT) for top, bottom in profile.risers()]
    return group(
        [group(body, part="stringer"), group(treads, part="treads"), group(risers, part="risers")],
        id=f"{one.stair.id}.flight-{number + 1}",
    )


def _deck(one: Shown, at: Placed) -> list[Element]:
    top = one.top_height_in
    under = top - one.decking_in
    low = under - one.joist_depth_in
    parts = [
        rect(at, -DECK_IN, top, 0.0, under, OBJECT, PAPER),
        rect(at, -DECK_IN, under, -LUMBER_IN, low, LIGHT, PAPER),
        rect(at, -LUMBER_IN, under, 0.0, low, CUT, PAPER),
    ]
    if one.carrier is not None and one.stair.head == "hung":
        parts += _beam_end(one, one.carrier, at)
    return [*parts, torn(at, -DECK_IN, top + 3, low - 3)]


def _beam_end(one: Shown, beam: Beam, at: Placed) -> list[Element]:
    """A beam that runs across the stair, cut; nothing of one that runs with it or lies beyond what is shown."""
    ends = sorted((one.along_in(beam.start_ft), one.along_in(beam.end_ft)))
    half = width_of(beam.size, beam.plies) / 2
    if ends[1] - ends[0] > 2 * half or ends[0] - half < -DECK_IN:
        return []
    low = beam.bottom_height_in
    return [rect(at, ends[0] - half, low + depth_of(beam.size), ends[0] + half, low, CUT, PAPER)]


def _landing(one: Shown, landing: Landing, at: Placed) -> list[Element]:
    """A landing between flights: its boards, rims and joists."""
    above = next(p for p in one.profiles if abs(p.flight.foot_height_in - landing.height_in) < LUMBER_IN)
    start, end = above.end_in, above.end_in + landing.depth_in
    under = landing.height_in - one.decking_in
    parts: list[Element] = []
    for rim in landing.rims:
        middle = one.along_in(((rim.start_ft[0] + rim.end_ft[0]) / 2, (rim.start_ft[1] + rim.end_ft[1]) / 2))
        half = LUMBER_IN / 2
        start = min(start, middle - half)
        parts.append(rect(at, middle - half, under, middle + half, under - depth_of(rim.size), CUT, PAPER))
    for joists in landing.joists:
        parts.insert(0, rect(at, start, under, end, under - depth_of(joists.size), LIGHT, PAPER))
    return [*parts, rect(at, start, landing.height_in, end, under, OBJECT, PAPER)]


def _supports(one: Shown, at: Placed) -> list[Element]:
    """Its own beams with the posts and piers under them, the nearer ones of two that stand in one line."""
    found: list[Element] = []
    for beam in one.stair.beams:
        post = next((post for post in one.posts if post.beam == beam.id), None)
        feet = [foot for foot in one.footings if foot.post == (post.id if post else None) and foot.post]
        for foot in feet[:1]:
            found.append(group(pier(at, one.along_in((foot.x_ft, foot.y_ft)), foot), id=foot.id))
        if post is not None:
            middle, half = one.along_in((post.x_ft, post.y_ft)), width_of(post.size, 1) / 2
            body = rect(
                at, middle - half, post.top_height_in, middle + half, post.bottom_height_in, OBJECT, PAPER
            )
            found.append(group([body], id=post.id))
        found.append(group(_beam_end(one, beam, at), id=beam.id))
    return found


def _foot(one: Shown, at: Placed) -> list[Element]:
    """The ground or floor at its foot, the pad and the landing there."""
    height, end = one.stair.foot_height_in, one.end_in
    start = one.profiles[-1].seat_in()
    if one.down_to not in ("grade", "pad"):
        floor = rect(at, start - 12, height, end + BEYOND_IN, height - one.decking_in, OBJECT, PAPER)
        return [group([floor, torn(at, end + BEYOND_IN, height + 3, height - 5)], id=f"{one.stair.id}.floor")]
    found = [group(ground(at, start - 12, end + BEYOND_IN, height), id=f"{one.stair.id}.ground")]
    for pad in one.footings:
        if pad.serves == one.stair.id and pad.post is None and pad.concrete is not None:
            half = (pad.concrete.length_in or pad.width_in) / 2
            middle = one.along_in((pad.x_ft, pad.y_ft))
            corners = [(middle - half, pad.top_height_in), (middle + half, pad.bottom_height_in)]
            body = rect(at, *corners[0], *corners[1], OBJECT, PAPER)
            box = [at.at(middle - half, pad.top_height_in), at.at(middle + half, pad.top_height_in),
                   at.at(middle + half, pad.bottom_height_in), at.at(middle - half, pad.bottom_height_in)]  # fmt: skip
            found.append(group([body, *hatched(box, 4.0)], id=pad.id))
    return found


def _rails(one: Shown, at: Placed) -> list[Element]:
    """Handrail and guard: their upper edges, over the line of the nosings."""
    found = []
    stair = one.stair
    for name, rail in (("handrail", stair.handrail), ("guard", stair.guard)):
        if rail is None:
            continue
        stroke = OBJECT if name == "handrail" else RAIL
        parts = []
        for profile in one.profiles:
            last = profile.nosing_in(profile.flight.treads)
            ends = (profile.nosing_in(0), last)
            head, foot = (at.at(x, y + rail.height_in) for x, y in ends)
            parts.append(line(head, foot, stroke))
            parts += [line(at.at(x, y), at.at(x, y + rail.height_in), DIMENSION) for x, y in ends]
        found.append(group(parts, id=f"{stair.id}.{name}"))
    return found

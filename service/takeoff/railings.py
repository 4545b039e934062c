"""Guards and handrails: posts, rails, balusters, handrails and what fixes them, of levels, flights and landings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.connections.guard_anchorage import post_hardware
from service.contract.ids import item
from service.contract.report_frame import Flight, Guard, Landing, Level, Point, Stair
from service.contract.spec import DeckSpec, LevelSpec
from service.framing.frame import Frame
from service.sizing.criteria import Criteria
from service.sizing.lumber import PLY_IN, depth_in
from service.takeoff.framing_parts import Site
from service.takeoff.items import lumber_item, post, treatment
from service.takeoff.lines import along
from service.takeoff.needs import Need
from service.takeoff.parts import INCHES_PER_FT, SQUARE, Longest, Part, in_equal_parts
from service.takeoff.stair_parts import stair_wish

POST_SIZE, POST_SIDE_IN = "4x4", 3.5  # common practice
RAIL_SIZE, RAIL_DEPTH_IN, RAILS_A_BAY = "2x4", 3.5, 2  # common practice
BALUSTER, BALUSTER_SIDE_IN = item("guard", "2x2", "baluster", "wood"), 1.5
HANDRAIL = item("guard", "2x2", "handrail", "wood")
RETURN_IN = 3.0  # common practice: each end of a handrail is returned to its post (IRC R311.7.8.4)
BOTTOM_GAP_IN = 2.0  # common practice
OPENING, STAIR_OPENING = (
    "guard_opening_sphere",
    "stair_guard_opening_sphere",
)  # figures of the rulebook in force
STAIR_POST_FIXING_IN = 12.0  # convention of this service: what of a stair's post is on the stringer
STRINGER_BLOCK = "2x6"  # it fits under the notches of a cut stringer, whose throat is 5 in at least
SAME_POST_FT = (
    0.5  # a guard post of the level this near a stair's corner is the stair's first too (convention)
)
SCREWS_A_RAIL_PART = 4  # two an end, common practice
ANGLES_A_BLOCK = 2  # one an end: nails into end grain do not count (IRC R507.10.1)


def balusters(clear_in: float, sphere_in: float) -> int:
    """Return how many balusters keep every opening of a bay under a sphere.

    >>> balusters(68.5, 4.0), balusters(3.0, 4.0)
    (12, 0)
    """
    if clear_in < sphere_in:
        return 0
    return math.floor((clear_in - sphere_in) / (BALUSTER_SIDE_IN + sphere_in)) + 1


@dataclass(frozen=True)
class Rail:
    """What stands on the sides of a flight or a landing, alike on every side.

    ``length_in`` is along the slope, between the outer posts; ``posts`` are those ordered with it, of which
    ``low_posts`` end near the soil, the others being the level's or a landing's. ``guards`` and ``handrails`` say on
    how many sides there is infill and a handrail. ``block`` is what each post is fixed back to, by size and length.
    """

    member: str
    length_in: float
    slope_deg: float
    bays: int
    posts: int
    low_posts: int
    post_in: float
    height_in: float
    guards: int
    handrails: int
    block: tuple[str, float]
    sphere_in: float

    @property
    def lean_in(self) -> float:
        """How much longer a plumb cut makes a rail."""
        return RAIL_DEPTH_IN * math.tan(math.radians(self.slope_deg))

    @property
    def clear_in(self) -> float:
        """What is clear between two posts, along the slope."""
        return self.length_in / self.bays - POST_SIDE_IN / math.cos(math.radians(self.slope_deg))

    @property
    def level_clear_in(self) -> float:
        """What is clear between two posts, level."""
        return self.clear_in * math.cos(math.radians(self.slope_deg))


def bays_of(length_in: float, spacing_in: float) -> int:
    """Return how many bays posts no farther apart than a spacing make.

    >>> bays_of(50.9, 72), bays_of(72, 72), bays_of(129.8, 72)
    (1, 1, 2)
    """
    return max(1, math.ceil(round(length_in / spacing_in, 6)))


def sphere_in(criteria: Criteria, key: str) -> float:
    """Return the sphere that passes no opening of a guard, in, as the rulebook in force has it.

    Source: IRC R312.1.3 (2024: R321.1.3), and its exception for stairs; an edition without it has that of all guards.
    """
    found = (criteria.rulebook.limit(one).value for one in (key, OPENING))
    return next(value for value in found if value is not None)


def stair_rails(frame: Frame, spec: DeckSpec, criteria: Criteria) -> tuple[Rail, ...]:
    """Return the rails of every stair, flight by flight, then those of its landings."""
    flight_in, landing_in = sphere_in(criteria, STAIR_OPENING), sphere_in(criteria, OPENING)
    wishes = {level.id: level for level in spec.levels}
    posts = {level.id: [(p.x_ft, p.y_ft) for g in level.guards for p in g.posts] for level in frame.levels}
    found: list[Rail] = []
    for stair in frame.stairs:
        wish = wishes[stair.level]
        grounded = stair_wish(stair, spec).down_to not in wishes
        shared = _shared(stair, posts.get(stair.level, ()))
        found += _flight_rails(stair, wish, shared, grounded, flight_in)
        found += [_landing_rail(stair, one, wish, landing_in) for one in stair.landings if one.guard]
    return tuple(found)


def _shared(stair: Stair, posts_ft: Sequence[Point]) -> int:
    """How many upper corners of a stair have a guard post of its level beside them."""
    corners = stair.footprint_ft[:2]
    return sum(any(math.dist(corner, at) <= SAME_POST_FT for at in posts_ft) for corner in corners)


def _sides(stair: Stair) -> tuple[int, int]:
    """On how many sides a stair has a guard, and a handrail."""
    guard, handrail = stair.guard, stair.handrail
    guards = guard.sides if guard and guard.required else 0
    return guards, handrail.sides if handrail and handrail.required else 0


def _flight_rails(
    stair: Stair, wish: LevelSpec, shared: int, grounded: bool, sphere_in: float
) -> Iterator[Rail]:
    guards, handrails = _sides(stair)
    sides = max(guards, handrails)
    if not sides:
        return
    last = len(stair.flights) - 1
    for place, flight in enumerate(stair.flights):
        if not flight.treads:
            continue
        bays = bays_of(_nosing_line_in(flight), wish.guard.post_spacing_ft * INCHES_PER_FT)
        above = min(shared, sides) if place == 0 else _at_landing(stair, place - 1, sides)
        below = 0 if place == last else _at_landing(stair, place, sides)
        height = stair.guard.height_in if guards and stair.guard else _handrail_height_in(stair)
        yield Rail(
            member=stair.id,
            length_in=_nosing_line_in(flight),
            slope_deg=math.degrees(math.atan2(flight.riser_in, flight.tread_in)),
            bays=bays,
            posts=sides * (bays + 1) - above - below,
            low_posts=sides if place == last and grounded else 0,
            post_in=height + STAIR_POST_FIXING_IN,
            height_in=height,
            guards=guards,
            handrails=handrails,
            block=(STRINGER_BLOCK, flight.stringer_spacing_in - PLY_IN),
            sphere_in=sphere_in,
        )


def _handrail_height_in(stair: Stair) -> float:
    return stair.handrail.height_in if stair.handrail else 0.0


def _at_landing(stair: Stair, place: int, sides: int) -> int:
    """How many posts of a flight's end are those of the landing there."""
    return sides if place < len(stair.landings) and stair.landings[place].guard else 0


def _nosing_line_in(flight: Flight) -> float:
    """From above the highest riser to above the lowest (IRC R311.7.8.2)."""
    return (flight.risers - 1) * math.hypot(flight.tread_in, flight.riser_in)


def _landing_rail(stair: Stair, landing: Landing, wish: LevelSpec, sphere_in: float) -> Rail:
    guard = landing.guard
    sides, height = (guard.sides, guard.height_in) if guard else (0, 0.0)
    joists = landing.joists[0] if landing.joists else None
    size, spacing = (joists.size, joists.spacing_in) if joists else ("2x8", 16.0)
    length = landing.depth_in - POST_SIDE_IN
    bays = bays_of(length, wish.guard.post_spacing_ft * INCHES_PER_FT)
    _, handrails = _sides(stair)
    return Rail(
        member=landing.id,
        length_in=length,
        slope_deg=0.0,
        bays=bays,
        posts=sides * (bays + 1),
        low_posts=0,
        post_in=height + wish.decking.thickness_in + depth_in(size),
        height_in=height,
        guards=sides,
        handrails=handrails if landing.joists else 0,
        block=(size, spacing - PLY_IN),
        sphere_in=sphere_in,
    )


def rail_parts(rail: Rail, criteria: Criteria, longest_in: Longest) -> Iterator[Part]:
    """Yield the posts, blocks, rails, balusters and handrails of a flight or a landing."""
    yield Part(_post(criteria, near=False), rail.post_in, rail.member, rail.posts - rail.low_posts)
    yield Part(_post(criteria, near=True), rail.post_in, rail.member, rail.low_posts)
    block_size, block_in = rail.block
    yield Part(lumber_item(block_size, criteria.species, criteria.grade), block_in, rail.member, rail.posts)
    cuts = (rail.slope_deg, 0.0 - rail.slope_deg) if rail.slope_deg else SQUARE
    if rail.guards and rail.clear_in > 0:
        in_all = RAILS_A_BAY * rail.bays * rail.guards
        yield Part(_rail(criteria), rail.clear_in + rail.lean_in, rail.member, in_all, cuts, across=True)
        yield from _balusters(
            rail.level_clear_in, rail.sphere_in, rail.height_in, rail.member, rail.bays * rail.guards
        )
    lengths = in_equal_parts(rail.length_in + 2 * RETURN_IN, longest_in(HANDRAIL))
    for length in lengths:
        yield Part(HANDRAIL, length, rail.member, rail.handrails)


def rail_needs(rail: Rail, coating: str) -> Iterator[Need]:
    """Yield what fixes the posts of a flight or a landing, and the brackets of its handrails, one a post."""
    for code in post_hardware("side", coating):
        yield Need(code, rail.posts, rail.member)
    yield Need(item("framing_angle", "5in", coating), ANGLES_A_BLOCK * rail.posts, rail.member)
    yield Need(item("handrail_bracket", "post", coating), rail.handrails * (rail.bays + 1), rail.member)


def guard_parts(level: Level, wish: LevelSpec, criteria: Criteria, site: Site) -> Iterator[Part]:
    """Yield the posts, rails and balusters of a level's guards."""
    joist_in = max((depth_in(group.size) for group in level.joists), default=0.0)
    for guard in level.guards:
        near = site.near_soil(level.clearance.joist_bottom_height_in, [(guard.start_ft, guard.end_ft)])
        for one in guard.posts:
            below = wish.decking.thickness_in + joist_in if one.mount == "side" else 0.0
            code = _post(criteria, near=near and one.mount == "side")
            yield Part(code, guard.height_in + below, one.id)
        yield from _rail_and_baluster_parts(guard, _rail(criteria), sphere_in(criteria, OPENING))


def guard_block_needs(level: Level, coating: str) -> Iterator[Need]:
    """Yield the angles of blocks and stubs that take a guard post's load."""
    carriers = {member for guard in level.guards for one in guard.posts for member in one.carried_by}
    for block in level.blocking:
        if block.id in carriers:
            yield Need(item("framing_angle", "5in", coating), ANGLES_A_BLOCK * block.count, block.id)


def railing_screws(frame: Frame, rails: Sequence[Rail], criteria: Criteria) -> Iterator[Need]:
    """Yield the screws of rails and balusters."""
    code = item("decking_screw", "no_8", "2-1-2in", criteria.coating)
    opening_in = sphere_in(criteria, OPENING)
    for level in frame.levels:
        for guard in level.guards:
            held = sum(part.quantity for part in _rail_and_baluster_parts(guard, "", opening_in))
            yield Need(code, SCREWS_A_RAIL_PART * held, guard.id)
    for rail in rails:
        bay = RAILS_A_BAY + balusters(rail.level_clear_in, rail.sphere_in)
        yield Need(code, SCREWS_A_RAIL_PART * bay * rail.bays * rail.guards, rail.member)


def _post(criteria: Criteria, *, near: bool) -> str:
    use = treatment(criteria.species, ground_contact=near, structural_post=near)
    return post(POST_SIZE, criteria.species, criteria.grade, use)


def _rail(criteria: Criteria) -> str:
    return lumber_item(RAIL_SIZE, criteria.species, criteria.grade)


def _along_in(guard: Guard, at_ft: Point) -> float:
    """How far along its guard a post stands, however far off the edge."""
    (x, y), (dx, dy) = guard.start_ft, along((guard.start_ft, guard.end_ft))
    return INCHES_PER_FT * ((at_ft[0] - x) * dx + (at_ft[1] - y) * dy)


def _rail_and_baluster_parts(guard: Guard, rail: str, opening_in: float) -> Iterator[Part]:
    places = sorted(_along_in(guard, (one.x_ft, one.y_ft)) for one in guard.posts)
    for start, end in pairwise(places):
        clear = end - start - POST_SIDE_IN
        if clear > 0:
            yield Part(rail, clear, guard.id, RAILS_A_BAY)
            yield from _balusters(clear, opening_in, guard.height_in, guard.id, 1)


def _balusters(clear_in: float, sphere_in: float, height_in: float, member: str, bays: int) -> Iterator[Part]:
    yield Part(
        BALUSTER, height_in - min(BOTTOM_GAP_IN, sphere_in), member, bays * balusters(clear_in, sphere_in)
    )

"""How guard posts are held: the members that carry each, the blocking behind it and its hardware."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from service.connections.brace_bolts import bolt_length_in
from service.connections.guard_carriers import (
    END_JOIST_IN,
    INSIDE_FT,
    NEXT_IN,
    SQUARE_DEG,
    Bay,
    Carriers,
    Strand,
    deck_ft,
    edge_angle_deg,
    local_in,
    thickness_in,
)
from service.contract.ids import item, member
from service.contract.report_frame import Beam, Blocking, GuardPost, Point, Rim
from service.framing.blocking import Piece, like_pieces
from service.framing.guard_edges import Edge
from service.framing.guards import GuardRun, PostSpot
from service.sizing.lumber import PLY_IN, depth_in
from service.units.rounding import cut_length

# A post this near a joist has its connector on the joist itself (convention of this service).
BESIDE_JOIST_IN: Final = 2.25
# A stub runs from the rim to a block one usual joist bay behind it (convention of this service).
STUB_IN: Final = 14.5
# A bolt stands at least two diameters from the end of the joist behind it (NDS 12.5.1, across the grain).
BOLT_END_IN: Final = 1.0
POST_IN: Final = 3.5  # a 4x4 guard post, common practice
SIDE_BOLTS: Final = 2
SURFACE_BOLT_IN: Final = 8  # through base, boards and what is under them; the maker of the base says how long
SURFACE_BOLTS: Final = 4
BETWEEN: Final = "guard post: block between two joists, fastened to both"
STUB: Final = "guard post: stub from the rim to the block behind it, for the connector"
ASKEW: Final = "guard post: stub square to the rim, from it to the joist behind, for the connector"


@dataclass
class BlockingOrder:
    """Blocking asked for so far."""

    level: str
    first: int
    asked: list[Piece] = field(default_factory=list)

    def ask(self, because: str, length_in: float, size: str, ends_ft: tuple[Point, Point]) -> str:
        """Return the id of the group one more piece belongs to."""
        piece = Piece(because, size, cut_length(length_in), ends_ft)
        self.asked.append(piece)
        kinds = list(dict.fromkeys(one.kind for one in self.asked))
        return member(self.level, "blocking", self.first + kinds.index(piece.kind))

    def pieces(self) -> tuple[Blocking, ...]:
        """Return the groups in the order first asked for."""
        return like_pieces(self.level, self.first, self.asked)


@dataclass(frozen=True)
class Held:
    """What carries a post: the members, the shallowest of their sizes, and why it is not proven, if it is not.

    ``through_in`` is how thick the wood is that a side mount's bolts go through behind the post.
    """

    members: tuple[str, ...]
    size: str
    unproven: str | None = None
    through_in: float = PLY_IN


def connector_item(mount: str, coating: str) -> str:
    """Return the item code of the tested connector a post of this mount needs (capacity in lb in the code).

    Source: AWC DCA 6 for 1,800 lb at a side mount; a surface mount goes by its maker's tests.

    Args:
        mount: side or surface.
        coating: fastener coating the place asks for.

    >>> connector_item("side", "stainless_steel")
    'guard_post_connector.tension_1800lb.stainless_steel'
    """
    return item("guard_post_connector", "tension_1800lb" if mount == "side" else "surface_base", coating)


def post_hardware(mount: str, coating: str, through_in: float = PLY_IN) -> tuple[str, ...]:
    """Return the hardware of one post, one code a piece: bolts (lengths in in), two washers each, connector.

    Source: two 1/2 in through-bolts and a connector at a side mount, AWC DCA 6; four through-bolts in a base:
    common practice, no source.

    Args:
        mount: side or surface.
        coating: fastener coating the place asks for.
        through_in: wood behind the post that the bolts of a side mount go through, in.

    >>> post_hardware("side", "hot_dip_galvanized")[0], len(post_hardware("side", "hot_dip_galvanized"))
    ('bolt.1-2in.6in.hot_dip_galvanized', 7)
    >>> post_hardware("side", "hot_dip_galvanized", through_in=4.5)[0]
    'bolt.1-2in.10in.hot_dip_galvanized'
    """
    side = mount == "side"
    bolts = SIDE_BOLTS if side else SURFACE_BOLTS
    long_in = bolt_length_in(POST_IN + through_in) if side else SURFACE_BOLT_IN
    bolt, washer = item("bolt", "1-2in", f"{long_in}in", coating), item("washer", "1-2in", coating)
    return (bolt,) * bolts + (washer,) * (2 * bolts) + (connector_item(mount, coating),)


def held_by(edge: Edge, spot: PostSpot, mount: str, carriers: Carriers, order: BlockingOrder) -> Held:
    """Return what carries a post, by how its edge lies to the joists there; lengths in in.

    Along the joists it is the end joist and a block to the next one; where joists run square into the edge, the
    rim and the joist beside the post, or a stub and a block between the two joists next to it. Nothing tested
    covers an edge that meets the joists at another angle.

    Source: load path of IRC R507.10.1 (2021 on) and AWC DCA 6; what is near, along and square is a convention of
    this service.

    Args:
        edge: the edge.
        spot: where the post stands.
        mount: side or surface.
        carriers: members a post may be fixed to.
        order: blocking asked for so far; added to.
    """
    direction = carriers.direction_at(edge, spot.along_ft)
    angle = edge_angle_deg(direction, edge)
    if SQUARE_DEG < angle < 90 - SQUARE_DEG:
        return _askew(edge, spot, mount, direction, carriers, order)
    if mount == "surface":
        return _on_block(edge, spot, direction, carriers, order)
    if angle <= SQUARE_DEG:
        return _at_end_joist(edge, spot, direction, carriers, order)
    return _at_rim(edge, spot, direction, carriers, order)


def _block(bay: Bay, direction: str, along_in: float, order: BlockingOrder) -> tuple[str, str] | None:
    """A block between the joists of a bay at a place along them, and its size; none where they are no neighbours."""
    if bay.left is None or bay.right is None or bay.right.across_in - bay.left.across_in > NEXT_IN:
        return None
    low, high = bay.left.across_in + bay.left.half_in, bay.right.across_in - bay.right.half_in
    size = min(bay.left.size, bay.right.size, key=depth_in)
    ends = deck_ft(direction, (low, along_in)), deck_ft(direction, (high, along_in))
    return (order.ask(BETWEEN, high - low, size, ends), size)


def _stub_ends(edge: Edge, spot: PostSpot, from_in: float, to_in: float) -> tuple[Point, Point]:
    """The ends of a stub square to an edge behind a post, by how far inside it they are."""
    return edge.point(spot.along_ft, -from_in / 12), edge.point(spot.along_ft, -to_in / 12)


def _loose(edge: Edge, spot: PostSpot, carriers: Carriers) -> Held:
    text = f"a guard post of edge {edge.number} has no two joists beside it to hand its load to"
    outer = carriers.outer_at(edge, spot.along_ft)
    return Held((carriers.along(edge, spot.along_ft),), carriers.size, text, _through_in(outer))


def _through_in(outer: Rim | Beam | None) -> float:
    return thickness_in(outer) if outer is not None else PLY_IN


def _on_block(edge: Edge, spot: PostSpot, direction: str, carriers: Carriers, order: BlockingOrder) -> Held:
    across, along = local_in(direction, spot.at_ft)
    past = PLY_IN / 2
    # Where joists run into the edge they stop behind its rim, and the block stands behind it too.
    if edge_angle_deg(direction, edge) > SQUARE_DEG:
        along, past = local_in(direction, edge.point(spot.along_ft, -INSIDE_FT))[1], 0.0
    bay = carriers.bay(direction, (across, along), past)
    block = _block(bay, direction, along, order)
    if block is None or bay.left is None:
        return _loose(edge, spot, carriers)
    return Held((block[0], bay.left.id), block[1])


def _at_end_joist(
    edge: Edge, spot: PostSpot, direction: str, carriers: Carriers, order: BlockingOrder
) -> Held:
    across, along = local_in(direction, edge.point(spot.along_ft))
    inward = local_in(direction, edge.point(spot.along_ft, -INSIDE_FT))[0] - across
    way = 1.0 if inward > 0 else -1.0
    outer = carriers.outer_at(edge, spot.along_ft)
    inner = [one for one in carriers.strands[direction] if 0 <= way * (one.across_in - across) <= NEXT_IN]
    inner.sort(key=lambda one: way * one.across_in)
    ends = [one for one in inner if way * (one.across_in - across) <= END_JOIST_IN]
    end = next((one for one in ends if one.reaches(along, BOLT_END_IN)), None)
    if end is None and outer is not None:
        half = thickness_in(outer) / 2
        end = Strand(outer.id, outer.size, across + way * half, along, along, half)
    behind = [one for one in inner if end and way * (one.across_in - end.across_in) > end.half_in]
    other = next((one for one in behind if one.reaches(along, PLY_IN / 2)), None)
    block = _block(Bay(*((end, other) if way > 0 else (other, end))), direction, along, order)
    if end is None or block is None:
        return _loose(edge, spot, carriers)
    return Held((end.id, block[0]), min(end.size, block[1], key=depth_in), None, 2 * end.half_in)


def _at_rim(edge: Edge, spot: PostSpot, direction: str, carriers: Carriers, order: BlockingOrder) -> Held:
    rim = carriers.outer_at(edge, spot.along_ft)
    if rim is None:
        return _loose(edge, spot, carriers)
    at = local_in(direction, edge.point(spot.along_ft, -INSIDE_FT))
    beside = _beside(carriers.bay(direction, at, 0.0), at[0])
    if beside is not None:
        return Held((rim.id, beside.id), min(rim.size, beside.size, key=depth_in), None, _through_in(rim))
    behind_in = thickness_in(rim) + STUB_IN
    deep = local_in(direction, edge.point(spot.along_ft, -(behind_in + PLY_IN / 2) / 12))
    block = _block(carriers.bay(direction, deep, PLY_IN / 2), direction, deep[1], order)
    if block is None:
        return _loose(edge, spot, carriers)
    stub = order.ask(STUB, STUB_IN, block[1], _stub_ends(edge, spot, behind_in - STUB_IN, behind_in))
    return Held((rim.id, stub, block[0]), min(rim.size, block[1], key=depth_in), None, _through_in(rim))


def _beside(bay: Bay, across_in: float) -> Strand | None:
    near = [one for one in (bay.left, bay.right) if one is not None]
    near = [one for one in near if abs(one.across_in - across_in) <= BESIDE_JOIST_IN + 1e-6]
    return min(near, key=lambda one: abs(one.across_in - across_in), default=None)


def _askew(
    edge: Edge, spot: PostSpot, mount: str, direction: str, carriers: Carriers, order: BlockingOrder
) -> Held:
    """The usual way, a stub square to the rim up to the joist behind it; nobody has tested it."""
    angle = edge_angle_deg(direction, edge)
    text = (
        f"edge {edge.number} meets the joists at {angle:.3g} degrees: no tested connector or base covers that"
    )
    rim = carriers.outer_at(edge, spot.along_ft)
    behind = _behind(edge, spot, direction, carriers)
    along = carriers.along(edge, spot.along_ft)
    if behind is None:
        return Held((along,), carriers.size, text, _through_in(rim))
    joist, clear = behind
    stub_in = clear - (thickness_in(rim) if rim else 0.0)
    stubs: tuple[str, ...] = ()
    if mount == "side" and stub_in >= PLY_IN:
        stubs = (order.ask(ASKEW, stub_in, joist.size, _stub_ends(edge, spot, clear - stub_in, clear)),)
    members = tuple(dict.fromkeys((along, *stubs, joist.id)))
    size = min(joist.size, rim.size if rim else joist.size, key=depth_in)
    return Held(members, size, text, _through_in(rim))


def _behind(edge: Edge, spot: PostSpot, direction: str, carriers: Carriers) -> tuple[Strand, float] | None:
    """The first joist square behind a place on an edge, and how far off its face is, in."""
    u, v = local_in(direction, edge.point(spot.along_ft))
    du, dv = (
        b - a for a, b in zip((u, v), local_in(direction, edge.point(spot.along_ft, -1 / 12)), strict=True)
    )
    found = []
    for one in carriers.strands[direction]:
        far = (one.across_in - u) / du
        if far > 0 and abs(one.across_in - u) <= NEXT_IN and one.reaches(v + dv * far, 0.0):
            found.append((far - one.half_in / abs(du), one))
    nearest = min(found, key=lambda pair: pair[0], default=None)
    return (nearest[1], nearest[0]) if nearest else None


def anchor_posts(
    number: int, run: GuardRun, held: tuple[Held, ...], mount: str, coating: str, level: str
) -> tuple[GuardPost, ...]:
    """Return the posts of guard ``number`` with the members that carry them; positions in ft.

    Source: IRC R507.10.1 (2021 on): the load goes on into the joists, and end-grain fasteners do not count.

    Args:
        number: number of the guard on its level.
        run: the run of guard.
        held: what carries each of its posts.
        mount: side or surface.
        coating: fastener coating the place asks for.
        level: id of the level.
    """
    return tuple(
        GuardPost(
            id=member(level, "guard-post", number, place),
            x_ft=spot.at_ft[0],
            y_ft=spot.at_ft[1],
            mount="side" if mount == "side" else "surface",
            carried_by=one.members,
            hardware=post_hardware(mount, coating, one.through_in),
        )
        for place, (spot, one) in enumerate(zip(run.spots, held, strict=True), start=1)
    )

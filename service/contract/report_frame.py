"""The members of a deck as they go over the wire; the same structs carry them through the pipeline.

Coordinates are in the deck frame in feet, lengths and heights in inches. Tuples are JSON arrays.
"""

from __future__ import annotations

from typing import Literal

import msgspec

from service.contract.report_ground import Concrete as Concrete
from service.contract.report_ground import Footing as Footing
from service.contract.report_ground import Pile as Pile
from service.contract.report_ground import Point as Point
from service.contract.report_ground import Reinforcement as Reinforcement


class Support(msgspec.Struct, frozen=True):
    """A member that carries another, and where along the carried member."""

    member: str
    at_in: float


class Lap(msgspec.Struct, frozen=True):
    """Where two joists of one line lap over a beam."""

    member: str
    at_in: float
    lap_in: float


class JoistLine(msgspec.Struct, frozen=True, kw_only=True):
    """One line of joists. Away from the house it has an ``x_ft``, along the house a ``y_ft``.

    A cut is the angle off square, 0 where the end is square, positive where the joist is longer on its right,
    looking from its start to its end; ``length_in`` is to the longer points. Starts, ends, and places of supports
    and laps along the joist are those of its centre line.
    """

    x_ft: float | None
    y_ft: float | None
    x_start_ft: float | None
    x_end_ft: float | None
    y_start_ft: float | None
    y_end_ft: float | None
    length_in: float
    supports: tuple[Support, ...]
    spans_in: tuple[float, ...]
    cantilever_house_in: float
    cantilever_yard_in: float
    laps: tuple[Lap, ...]
    start_cut_deg: float = 0.0
    end_cut_deg: float = 0.0


class Joists(msgspec.Struct, frozen=True, kw_only=True):
    """A group of like joists; ``region_ft`` are the corners of the floor it carries."""

    id: str
    mark: str
    size: str
    plies: int
    species: str
    grade: str
    spacing_in: float
    direction: Literal["away_from_house", "along_house"]
    count: int
    lines: tuple[JoistLine, ...]
    region_ft: tuple[Point, ...] = ()


class LateralDevice(msgspec.Struct, frozen=True):
    """A lateral tie between deck and house."""

    x_ft: float
    y_ft: float
    capacity_lb: float


class Ledger(msgspec.Struct, frozen=True, kw_only=True):
    """A ledger on the house.

    ``top_height_in`` and ``bottom_height_in`` are its edges', ``band_top_height_in`` and ``band_bottom_height_in``
    those of the house's band behind it, all above the datum; the band's are null where the wall has none, or door
    sill or band were not measured.
    """

    id: str
    mark: str
    edge: int
    size: str
    species: str
    grade: str
    start_ft: Point
    end_ft: Point
    lands_on: str
    sheathing_thickness_in: float
    fastener: str
    spacing_in: float | None
    row_heights_in: tuple[float, ...]
    fastener_count: int
    lateral_devices: tuple[LateralDevice, ...]
    tributary_sqft: float = 0.0
    top_height_in: float = 0.0
    bottom_height_in: float = 0.0
    band_top_height_in: float | None = None
    band_bottom_height_in: float | None = None


class Rim(msgspec.Struct, frozen=True, kw_only=True):
    """A rim joist along one edge; null where joists of two directions meet.

    ``start_ft`` and ``end_ft`` are those of its centre line; ``length_in`` is to the longer points. A cut is the
    angle off square, positive where the rim is longer on its right, looking from its start to its end.
    """

    id: str
    mark: str
    edge: int | None
    size: str
    species: str
    grade: str
    start_ft: Point
    end_ft: Point
    length_in: float
    start_cut_deg: float = 0.0
    end_cut_deg: float = 0.0


class Splice(msgspec.Struct, frozen=True):
    """One ply of a beam is joined over one post."""

    ply: int
    at_post: str


class Beam(msgspec.Struct, frozen=True, kw_only=True):
    """A built-up or solid beam on posts. ``supports_ft`` and ``spans_in`` run from its start."""

    id: str
    mark: str
    size: str
    plies: int
    placement: Literal["dropped", "flush"]
    species: str
    grade: str
    start_ft: Point
    end_ft: Point
    bottom_height_in: float
    supports_ft: tuple[float, ...]
    spans_in: tuple[float, ...]
    overhang_start_in: float
    overhang_end_in: float
    splices: tuple[Splice, ...]
    line_load_plf: float


class Blocking(msgspec.Struct, frozen=True, kw_only=True):
    """Like pieces of blocking between joists.

    ``places_ft`` has as many places as ``count``: of each piece the two ends of its centre line in plan.
    """

    id: str
    size: str
    length_in: float
    count: int
    because: str
    places_ft: tuple[tuple[Point, Point], ...] = ()


class Brace(msgspec.Struct, frozen=True, kw_only=True):
    """A diagonal from a post to its beam, or to a joist; ``hardware`` is the item code of every piece that holds it.

    Its centre line rises at 45 degrees from ``start_ft``, on that of its post, at ``low_height_in`` to ``end_ft`` at
    ``high_height_in``, where it meets the bottom of the beam or, across the beam, of the joists. The two points are in
    plan, heights above the datum.
    """

    id: str
    post: str
    beam: str
    direction: Literal["along_beam", "across_beam"]
    size: str
    species: str
    grade: str
    length_in: float
    hardware: tuple[str, ...] = ()
    start_ft: Point = (0.0, 0.0)
    end_ft: Point = (0.0, 0.0)
    low_height_in: float = 0.0
    high_height_in: float = 0.0


class GuardPost(msgspec.Struct, frozen=True, kw_only=True):
    """A guard post; ``carried_by`` names the members that take its 200 lb."""

    id: str
    x_ft: float
    y_ft: float
    mount: Literal["side", "surface"]
    carried_by: tuple[str, ...]
    hardware: tuple[str, ...]


class Guard(msgspec.Struct, frozen=True, kw_only=True):
    """A run of guard along part of an edge."""

    id: str
    mark: str
    edge: int
    start_ft: Point
    end_ft: Point
    height_in: float
    posts: tuple[GuardPost, ...]


class Clearance(msgspec.Struct, frozen=True, kw_only=True):
    """What is left between ground and frame. Null where no frame was found."""

    surface_height_in: float
    joist_bottom_height_in: float | None
    lowest_beam_bottom_height_in: float | None
    lowest_beam_above_grade_in: float | None
    missing_in: float | None


class Level(msgspec.Struct, frozen=True, kw_only=True):
    """One level with its members.

    ``outline_ft`` are its corners in the deck frame, in the caller's order: edge n goes from corner n to the next.
    ``house_lines_ft`` are the two ends of every straight side of it at a wall of the house; the floor lies left of
    it with x to the right and y up.
    """

    id: str
    area_sqft: float
    clearance: Clearance
    joists: tuple[Joists, ...] = ()
    ledgers: tuple[Ledger, ...] = ()
    rims: tuple[Rim, ...] = ()
    beams: tuple[Beam, ...] = ()
    blocking: tuple[Blocking, ...] = ()
    braces: tuple[Brace, ...] = ()
    guards: tuple[Guard, ...] = ()
    outline_ft: tuple[Point, ...] = ()
    house_lines_ft: tuple[tuple[Point, Point], ...] = ()


class Post(msgspec.Struct, frozen=True, kw_only=True):
    """A post: ``height_in`` is beam bottom to pier top, what the post tables measure.

    A post on a pad in the ground goes down to it: its height is beam bottom to pad top, ``base`` null, and the part
    of it below grade is what a drawing shows hatched. ``base`` is null too where it stands in a block's socket.
    ``top_height_in`` and ``bottom_height_in`` are the two ends of its wood above the datum: the bottom of its beam,
    and what its base holds off the pier, or the pad's top.
    """

    id: str
    mark: str
    level: str
    beam: str
    size: str
    species: str
    grade: str
    x_ft: float
    y_ft: float
    height_in: float
    cut_length_in: float
    load_lb: float
    base: str | None
    cap: str | None
    top_height_in: float = 0.0
    bottom_height_in: float = 0.0


class Flight(msgspec.Struct, frozen=True, kw_only=True):
    """One flight of stairs; ``drop_in`` is cut off the bottom of each stringer.

    ``bays`` are the stretches its stringers span between header, supports under them, and foot. ``corners_ft`` are
    its four corners in plan, the first two at its head, left then right for someone going down, and on round it: from
    the face of its highest riser to that of its lowest, so that one of a single riser has no area. ``head_height_in``
    is the surface it leaves, ``foot_height_in`` the one it comes down to, above the datum.
    """

    risers: int
    riser_in: float
    treads: int
    tread_in: float
    run_in: float
    stringers: int
    stringer_kind: str
    stringer_spacing_in: float
    stringer_length_in: float
    drop_in: float
    throat_in: float | None
    bays: int = 1
    corners_ft: tuple[Point, ...] = ()
    head_height_in: float = 0.0
    foot_height_in: float = 0.0


class Handrail(msgspec.Struct, frozen=True, kw_only=True):
    """Graspable handrail of a stair."""

    required: bool
    height_in: float
    sides: int


class StairGuard(msgspec.Struct, frozen=True, kw_only=True):
    """Guard on the open sides of a stair, or of one of its landings."""

    required: bool
    height_in: float
    sides: int


class Landing(msgspec.Struct, frozen=True, kw_only=True):
    """A stair landing, by its corner nearest the level's origin.

    ``width_in`` is across the stair, ``depth_in`` the way one goes down, what one walks on. A corner and two sides do
    not say how a landing lies: ``corners_ft`` are all four, the first two at its upper end, left then right for
    someone going down, and on round it. A landing between flights has joists, which run with the stair from one beam
    to another, and rims; its frame reaches back under the foot of the flight above. The landing at a stair's foot
    lies on the ground, a pad or a floor and has none of them.
    """

    id: str
    x_ft: float
    y_ft: float
    width_in: float
    depth_in: float
    height_in: float
    guard: StairGuard | None = None
    joists: tuple[Joists, ...] = ()
    rims: tuple[Rim, ...] = ()
    corners_ft: tuple[Point, ...] = ()


class Stair(msgspec.Struct, frozen=True, kw_only=True):
    """A stair with its flights and landings, the landing at its foot last.

    ``edge`` and ``offset_ft`` are the caller's. ``footprint_ft`` are the corners of all of it in plan, the landing
    at its foot included. ``head`` says how its upper end is held, ``carried_by`` which member holds it. ``beams``
    are its own, from the top down, and ``braces`` those at their posts.
    """

    id: str
    mark: str
    level: str
    edge: int
    offset_ft: float
    width_in: float
    rise_in: float
    foot_ft: Point
    foot_height_in: float
    flights: tuple[Flight, ...]
    landings: tuple[Landing, ...]
    handrail: Handrail | None
    guard: StairGuard | None
    footprint_ft: tuple[Point, ...] = ()
    head: str = "hung"
    carried_by: str | None = None
    beams: tuple[Beam, ...] = ()
    braces: tuple[Brace, ...] = ()

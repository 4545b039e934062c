"""The members of a deck as they go over the wire; the same structs carry them through the pipeline.

Coordinates are in the deck frame in feet, lengths and heights in inches. Tuples are JSON arrays.
"""

from __future__ import annotations

from typing import Literal

import msgspec

Point = tuple[float, float]


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
    """A ledger on the house."""

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
    """Like pieces of blocking between joists."""

    id: str
    size: str
    length_in: float
    count: int
    because: str


class Brace(msgspec.Struct, frozen=True, kw_only=True):
    """A diagonal from a post to its beam; ``hardware`` is the item code of every piece that holds it."""

    id: str
    post: str
    beam: str
    direction: Literal["along_beam", "across_beam"]
    size: str
    species: str
    grade: str
    length_in: float
    hardware: tuple[str, ...] = ()


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
    """One level with its members."""

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


class Post(msgspec.Struct, frozen=True, kw_only=True):
    """A post: ``height_in`` is beam bottom to pier top, what the post tables measure.

    A post on a pad in the ground goes down to it: its height is beam bottom to pad top, ``base`` null, and the part
    of it below grade is what a drawing shows hatched. ``base`` is null too where it stands in a block's socket.
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


class Reinforcement(msgspec.Struct, frozen=True, kw_only=True):
    """Bars that stand in a pier, all alike; ``size`` as bars are numbered, in eighths of an inch."""

    size: str
    bars: int
    length_in: float


class Concrete(msgspec.Struct, frozen=True, kw_only=True):
    """A concrete footing; both base fields null means the shaft bears.

    A pad on the ground has neither shaft nor base, but two sides: ``width_in`` and ``length_in``. ``thickness_in`` of
    a bell is that of the cylinder under its cone, ``bell_height_in`` the cone's. ``stone_cuft`` is crushed stone
    under the concrete, ``reinforcement`` what stands in it, null where it is plain.
    """

    shape: str
    shaft_diameter_in: float | None
    base_shape: str | None
    base_size_in: float | None
    thickness_in: float | None
    depth_below_grade_in: float
    volume_cuft: float
    width_in: float | None = None
    length_in: float | None = None
    bell_height_in: float | None = None
    stone_cuft: float = 0.0
    reinforcement: Reinforcement | None = None


class Pile(msgspec.Struct, frozen=True, kw_only=True):
    """A helical pile."""

    shaft: str
    helices: tuple[float, ...]
    length_ft: float
    kt_per_ft: float
    torque_ft_lb: float


class Footing(msgspec.Struct, frozen=True, kw_only=True):
    """A footing under a post (or, with ``post`` null, straight under what it ``serves``).

    ``exposed_in`` is how far its top stands out of the ground at its middle.
    """

    id: str
    mark: str
    post: str | None
    serves: str
    method: str
    x_ft: float
    y_ft: float
    load_lb: float
    tributary_sqft: float
    grade_height_in: float
    top_height_in: float
    bottom_height_in: float
    exposed_in: float
    in_backfill_zone: bool | None
    concrete: Concrete | None
    pile: Pile | None

    @property
    def length_in(self) -> float:
        """From its bottom to its top, in."""
        return self.top_height_in - self.bottom_height_in

    @property
    def width_in(self) -> float:
        """What bears on the ground, at its widest, in."""
        if self.concrete is not None:
            return self.concrete.base_size_in or self.concrete.shaft_diameter_in or 0.0
        return max(self.pile.helices) if self.pile else 0.0


class Flight(msgspec.Struct, frozen=True, kw_only=True):
    """One flight of stairs; ``drop_in`` is cut off the bottom of each stringer.

    ``bays`` are the stretches its stringers span between header, supports under them, and foot.
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

    ``depth_in`` is what one walks on. A landing between flights has joists, which run with the stair from one beam
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

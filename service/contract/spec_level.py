"""Levels of a deck, their boards and guards, stairs and heavy objects."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta, field

from service.contract.choices import DeckingMaterial, GuardExtent, HeavyKind, PostMount, Stringer
from service.contract.spec_site import Coordinate, EdgeNumber, LevelId

PlanFeet = Annotated[float, Meta(ge=2, le=100)]
PlanPoint = tuple[Coordinate, Coordinate]
Outline = Annotated[tuple[PlanPoint, ...], Meta(min_length=3, max_length=60)]
Edges = Annotated[tuple[EdgeNumber, ...], Meta(max_length=60)]


class DeckingSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The boards walked on."""

    material: Annotated[DeckingMaterial, Meta(description="What boards are made of", examples=["wood"])] = (
        "wood"
    )
    thickness_in: Annotated[
        float, Meta(ge=0.5, le=3, description="Actual thickness, inches", examples=[1.0])
    ] = 1.0
    board_width_in: Annotated[
        float, Meta(ge=2, le=12, description="Actual board width, inches", examples=[5.5])
    ] = 5.5
    angle_deg: Annotated[
        float, Meta(ge=0, le=90, description="Degrees from square to the joists", examples=[0.0])
    ] = 0.0
    border_boards: Annotated[
        int, Meta(ge=0, le=6, description="Border boards around the edge", examples=[1])
    ] = 0
    max_span_in: Annotated[
        Annotated[float, Meta(ge=6, le=48)] | None,
        Meta(
            description="Widest joist spacing on centre that the board's label allows, inches; null: the table's "
            "for wood, 16 (12 at an angle) for other boards until the label is read",
            examples=[16.0],
        ),
    ] = None


class GuardSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where guards go and how their posts are fixed."""

    extent: Annotated[GuardExtent, Meta(description="Which edges have a guard", examples=["as_required"])] = (
        "as_required"
    )
    post_mount: Annotated[PostMount, Meta(description="How posts are fixed", examples=["side"])] = "side"
    post_spacing_ft: Annotated[
        float, Meta(ge=2, le=8, description="Feet between guard posts at most", examples=[6.0])
    ] = 6.0


class LevelSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One flat area: a width and a projection, or an outline.

    Edges are counted from 0. Of a width and a projection edge 0 lies along the house, edge 1 is the right side
    seen from the yard facing the house, 2 the side towards the yard, 3 the left side. Of an outline edge i runs
    from corner i of the list as sent to corner i + 1, the last one back to the first corner.
    """

    id: Annotated[LevelId, Meta(description="Name of the level", examples=["main"])] = "main"
    origin_ft: Annotated[
        PlanPoint,
        Meta(description="The level's own origin in the deck frame, x and y in feet", examples=[[0, 0]]),
    ] = (0.0, 0.0)
    width_ft: Annotated[
        PlanFeet | None, Meta(description="Feet along the house, along x", examples=[16.0])
    ] = None
    projection_ft: Annotated[
        PlanFeet | None, Meta(description="Feet out into the yard, along y", examples=[12.0])
    ] = None
    outline_ft: Annotated[
        Outline | None,
        Meta(
            description="Corners, x and y in feet from the level's own origin, in order round it, either way; "
            "edge i runs from corner i to corner i + 1, the last one to corner 0. Edges may not meet elsewhere; "
            "corners are 5 degrees or more, edges and gaps 1 in or more, floor 6 in wide or more",
            examples=[[[0, 0], [24, 0], [24, 8], [20, 12], [0, 12]]],
        ),
    ] = None
    house_edges: Annotated[
        Edges | None,
        Meta(
            description="Numbers of the edges on the house's own wall, from 0; null: every edge on the wall line "
            "y = 0 with its floor in front of it. Where the wall ends within an edge, give the outline a corner "
            "there. Edges at other walls are named in house.edge_walls and need not be repeated here",
            examples=[[0]],
        ),
    ] = None
    surface_height_in: Annotated[
        float,
        Meta(
            ge=1,
            le=240,
            description="Top of the boards above the datum (the ground at the frame's origin), inches",
            examples=[36.0],
        ),
    ]
    decking: Annotated[DeckingSpec, Meta(description="The boards")] = field(default_factory=DeckingSpec)
    guard: Annotated[GuardSpec, Meta(description="The guards")] = field(default_factory=GuardSpec)


class StairSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A stair off one edge of a level."""

    level: Annotated[LevelId, Meta(description="Level it starts from", examples=["main"])] = "main"
    edge: Annotated[
        EdgeNumber,
        Meta(
            description="Edge of that level it leaves; of a width and a projection 0 is along the house, 1 right, "
            "2 towards the yard, 3 left, seen from the yard",
            examples=[2],
        ),
    ]
    offset_ft: Annotated[
        float,
        Meta(
            ge=0,
            le=300,
            description="Feet along the edge from its first corner to the stair's near side; edge 2 of a width and "
            "a projection starts at the right",
            examples=[6.0],
        ),
    ] = 0.0
    width_in: Annotated[float, Meta(ge=24, le=240, description="Clear width, inches", examples=[48.0])] = 36.0
    down_to: Annotated[
        LevelId,
        Meta(
            description="grade: the ground at its foot; pad: a poured pad there, level with the ground and not in "
            "the order; or the id of a lower level",
            examples=["grade"],
        ),
    ] = "grade"
    tread_in: Annotated[float, Meta(ge=8, le=24, description="Tread depth, inches", examples=[10.5])] = 10.5
    tread_thickness_in: Annotated[
        float, Meta(ge=0.5, le=3, description="Tread thickness, inches", examples=[1.0])
    ] = 1.0
    stringer: Annotated[Stringer, Meta(description="Kind of stringer", examples=["auto"])] = "auto"


class HeavyObjectSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something heavy that will stand on the deck."""

    kind: Annotated[HeavyKind, Meta(description="What it is", examples=["hot_tub"])]
    level: Annotated[LevelId, Meta(description="Level it stands on", examples=["main"])] = "main"
    x_ft: Annotated[
        Coordinate, Meta(description="Feet along x to its corner nearest the level's origin", examples=[8.0])
    ]
    y_ft: Annotated[
        Coordinate, Meta(description="Feet along y to its corner nearest the level's origin", examples=[2.0])
    ]
    width_ft: Annotated[float, Meta(ge=0.5, le=100, description="Feet along x", examples=[7.0])]
    length_ft: Annotated[float, Meta(ge=0.5, le=100, description="Feet along y", examples=[7.0])]
    filled_weight_lb: Annotated[
        float, Meta(ge=1, le=30000, description="Weight filled, pounds", examples=[4600.0])
    ]
    people: Annotated[int, Meta(ge=0, le=30, description="People in or around it", examples=[6])] = 0

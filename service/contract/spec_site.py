"""The ground, the climate and the house a deck meets."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import (
    ExcavationSlope,
    FloorJoistDirection,
    FoundationWall,
    PropertySide,
    SeismicDesignCategory,
    SoilClass,
    Wall,
)

Coordinate = Annotated[float, Meta(ge=-300, le=300)]
EdgeNumber = Annotated[int, Meta(ge=0, le=59)]
LevelId = Annotated[str, Meta(pattern=r"^[a-z][a-z0-9-]{0,23}$")]
SoilBearing = Annotated[float, Meta(ge=500, le=12000)]
Fall = Annotated[float, Meta(ge=-6, le=6)]
SillHeight = Annotated[float, Meta(ge=-12, le=400)]
RimDepth = Annotated[float, Meta(ge=5.5, le=24)]


class PropertyLineSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A lot line and how far from it a deck has to stay."""

    side: Annotated[PropertySide, Meta(description="Seen from the yard, facing the house", examples=["rear"])]
    distance_from_house_ft: Annotated[
        float,
        Meta(
            ge=0,
            le=10000,
            description="Feet to the line: rear from the house wall, left and right from x = 0",
            examples=[45.0],
        ),
    ]
    setback_ft: Annotated[
        float, Meta(ge=0, le=1000, description="Feet to keep clear of the line", examples=[20.0])
    ]


class GradePointSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The ground height measured at one place of the deck frame."""

    x_ft: Annotated[
        Coordinate, Meta(description="Feet along the house, left to right seen from the yard", examples=[0.0])
    ]
    y_ft: Annotated[Coordinate, Meta(description="Feet out into the yard", examples=[12.0])]
    grade_in: Annotated[
        float,
        Meta(
            ge=-1200,
            le=1200,
            description="Ground above the datum (the ground at the frame's origin, 0), inches",
            examples=[-4.0],
        ),
    ]


GradePoints = Annotated[tuple[GradePointSpec, ...], Meta(min_length=3, max_length=60)]


class SiteSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Loads and ground. A null load, frost depth or soil value is taken from the jurisdiction."""

    ground_snow_load_psf: Annotated[
        Annotated[float, Meta(ge=0, le=300)] | None,
        Meta(description="Ground snow load, psf; null: the jurisdiction's", examples=[30.0]),
    ] = None
    live_load_psf: Annotated[
        Annotated[float, Meta(ge=40, le=200)] | None,
        Meta(description="Live load, psf; null: the rulebook's", examples=[40.0]),
    ] = None
    frost_depth_in: Annotated[
        Annotated[float, Meta(ge=0, le=120)] | None,
        Meta(description="Frost depth, inches; null: the jurisdiction's", examples=[32.0]),
    ] = None
    soil_class: Annotated[
        SoilClass, Meta(description="Row of IRC Table R401.4.1 the soil belongs to", examples=["clay"])
    ] = "unknown"
    soil_bearing_psf: Annotated[
        SoilBearing | None,
        Meta(description="Soil bearing, psf; null: presumptive for the class", examples=[1500.0]),
    ] = None
    expansive_soil: Annotated[
        bool | None,
        Meta(
            description="The soil swells and shrinks with water, so that an engineer designs the footings; null: not "
            "known",
            examples=[False],
        ),
    ] = None
    water_table_depth_in: Annotated[
        Annotated[float, Meta(ge=0, le=600)] | None,
        Meta(description="Depth to ground water, inches; null: not known", examples=[120.0]),
    ] = None
    rock_depth_in: Annotated[
        Annotated[float, Meta(ge=0, le=600)] | None,
        Meta(description="Depth to rock, inches; null: not known", examples=[60.0]),
    ] = None
    rig_access_width_in: Annotated[
        Annotated[float, Meta(ge=0, le=1200)] | None,
        Meta(description="Narrowest way in for a machine, inches; null: not known", examples=[60.0]),
    ] = None
    wind_speed_mph: Annotated[
        Annotated[float, Meta(ge=0, le=250)] | None,
        Meta(description="Ultimate design wind speed, mph; null: the jurisdiction's", examples=[115.0]),
    ] = None
    seismic_design_category: Annotated[
        SeismicDesignCategory | None,
        Meta(description="Seismic design category; null: the jurisdiction's", examples=["B"]),
    ] = None
    salt_water_distance_ft: Annotated[
        Annotated[float, Meta(ge=0, le=10_000_000)] | None,
        Meta(description="Feet to salt water; null: the jurisdiction's", examples=[5000.0]),
    ] = None
    roof_above_eave: Annotated[
        bool, Meta(description="A roof above can drop or drift snow on the deck", examples=[False])
    ] = False
    grade_fall_x_in_per_ft: Annotated[
        Fall, Meta(description="Inches the ground drops per foot as x grows, to the right", examples=[0.0])
    ] = 0.0
    grade_fall_y_in_per_ft: Annotated[
        Fall, Meta(description="Inches the ground drops per foot as y grows, out", examples=[0.0])
    ] = 0.0
    grade_points: Annotated[
        GradePoints | None,
        Meta(
            description="Measured ground heights, instead of the two falls: triangles are laid between them, outside "
            "the height at their nearest edge counts; measure past every edge of the deck",
        ),
    ] = None
    property_lines: Annotated[
        tuple[PropertyLineSpec, ...], Meta(max_length=6, description="Lot lines that matter")
    ] = ()


class EdgeWallSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The wall at one edge of a level, where it is not the house's own as described in `house`.

    An edge named here stands at that wall, wherever it lies; with `wall` "none" it stands at no wall, though it lie
    on the wall line or be named in `house_edges`.
    """

    level: Annotated[LevelId, Meta(description="Id of the level", examples=["main"])] = "main"
    edge: Annotated[
        EdgeNumber,
        Meta(
            description="Edge of the level, from 0; of a width and a projection 0 is along the house, 1 right, 2 "
            "towards the yard, 3 left, seen from the yard",
            examples=[3],
        ),
    ]
    wall: Annotated[
        Wall,
        Meta(
            description="What a ledger there would bear on; none: this edge is not at the house",
            examples=["brick_veneer", "none"],
        ),
    ] = "unknown"
    foundation_wall: Annotated[
        FoundationWall, Meta(description="What is below the rim", examples=["poured_concrete"])
    ] = "unknown"
    door_sill_height_in: Annotated[
        SillHeight | None,
        Meta(
            description="Door sill at this wall above the datum, inches; null: no ledger can be proven here",
            examples=[37.5],
        ),
    ] = None
    rim_depth_in: Annotated[
        RimDepth | None, Meta(description="Depth of the band, inches; null: not measured", examples=[11.25])
    ] = None


class HouseSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The house wall at y = 0. An unknown wall means the deck stands free."""

    wall: Annotated[
        Wall, Meta(description="What a ledger at floor level would bear on", examples=["wood_band"])
    ] = "unknown"
    foundation_wall: Annotated[
        FoundationWall, Meta(description="What is below the rim", examples=["poured_concrete"])
    ] = "unknown"
    door_sill_height_in: Annotated[
        SillHeight | None,
        Meta(
            description="Door sill above the datum (the ground at the frame's origin), inches; null: no ledger can "
            "be proven",
            examples=[37.5],
        ),
    ] = None
    floor_build_up_in: Annotated[
        float,
        Meta(
            ge=0,
            le=8,
            description="Subfloor and finish between the top of the band and the door sill, inches: the band's top "
            "is the door sill less this",
            examples=[1.5],
        ),
    ] = 1.5
    rim_depth_in: Annotated[
        RimDepth | None,
        Meta(
            description="Depth of the band, inches; null: not measured, no ledger can be proven",
            examples=[11.25],
        ),
    ] = None
    sill_plate_in: Annotated[
        float, Meta(ge=0, le=6, description="Thickness of the sill plate under the band, inches")
    ] = 1.5
    sheathing_thickness_in: Annotated[
        float, Meta(ge=0, le=6, description="Between band and ledger, inches", examples=[0.5])
    ] = 0.5
    floor_joist_direction: Annotated[
        FloorJoistDirection,
        Meta(description="How the floor joists inside run", examples=["toward_deck"]),
    ] = "unknown"
    required_exit_door: Annotated[
        bool, Meta(description="The door is the required way out of the house", examples=[True])
    ] = True
    door_swings_out: Annotated[bool, Meta(description="The door swings over the deck", examples=[True])] = (
        True
    )
    foundation_depth_in: Annotated[
        Annotated[float, Meta(ge=0, le=180)] | None,
        Meta(description="Bottom of the house footing below grade, inches", examples=[96.0]),
    ] = None
    excavation_slope: Annotated[
        ExcavationSlope,
        Meta(description="Soil type of 29 CFR 1926 Subpart P the house was dug in", examples=["type_b"]),
    ] = "type_c"
    backfill_age_years: Annotated[
        Annotated[float, Meta(ge=0, le=300)] | None,
        Meta(description="Years since the foundation was backfilled", examples=[1.0]),
    ] = None
    edge_walls: Annotated[
        tuple[EdgeWallSpec, ...],
        Meta(
            max_length=16,
            description="Edges at other walls than this one, each named once; an edge named here needs no "
            "house_edges, and with wall none it is not at the house",
            examples=[[{"level": "main", "edge": 1, "wall": "brick_veneer"}]],
        ),
    ] = ()

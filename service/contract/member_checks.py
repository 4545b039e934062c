"""The request of a member check: one type a kind, told apart by ``kind``. Null is the same as absent."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta

from service.contract.choices import (
    BeamSize,
    Grade,
    JoistSize,
    JoistsOverBeam,
    LedgerFastener,
    OwnWeight,
    PostMount,
    PostSize,
    Species,
)
from service.contract.spec import VersionedId
from service.contract.spec_site import SoilBearing

MemberLength = Annotated[float, Meta(ge=12, le=1200)]
Overhang = Annotated[float, Meta(ge=0, le=360)]
JoistFeet = Annotated[float, Meta(ge=1, le=100)]
Load = Annotated[float, Meta(ge=1, le=200_000)]
Area = Annotated[float, Meta(ge=1, le=5000)]
GIVEN_SPECIES = Meta(description="Species group", examples=["southern_pine"])


class MemberCheckSpec(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="kind"
):
    """What every member check says: the rules, the loads and the lumber."""

    rulebook: Annotated[
        VersionedId, Meta(description="Rulebook; @n pins a version", examples=["irc-2021", "irc-2021@1"])
    ]
    jurisdiction: Annotated[
        VersionedId | None,
        Meta(description="Whose amendments and site values apply; null: none", examples=["alder-county"]),
    ] = None
    as_of: Annotated[
        dt.date | None,
        Meta(description="Day whose rules apply, 2015 to 2099; null: today there", examples=["2026-11-25"]),
    ] = None
    live_load_psf: Annotated[
        Annotated[float, Meta(ge=40, le=200)] | None,
        Meta(description="Live load, psf; null: the rulebook's", examples=[40.0]),
    ] = None
    ground_snow_load_psf: Annotated[
        Annotated[float, Meta(ge=0, le=300)] | None,
        Meta(
            description="Ground snow load, psf; null: the jurisdiction's; a guard post needs none",
            examples=[30.0],
        ),
    ] = None
    species: Annotated[
        Species | None,
        Meta(description="Species group; null for a guard post: the weakest", examples=["southern_pine"]),
    ] = None
    grade: Annotated[Grade, Meta(description="Visual grade, NDS Supplement", examples=["no_2"])] = "no_2"


class JoistCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="joist"):
    """A joist: what it may span and overhang, and whether the lengths given hold."""

    species: Annotated[Species, GIVEN_SPECIES]
    size: Annotated[JoistSize, Meta(description="Nominal size", examples=["2x10"])]
    spacing_in: Annotated[float, Meta(ge=6, le=24, description="On centre, inches", examples=[16.0])]
    span_in: Annotated[
        MemberLength | None,
        Meta(description="Longest span to judge, inches; null: none", examples=[141.0]),
    ] = None
    cantilever_in: Annotated[
        Overhang | None,
        Meta(description="Cantilever to judge, inches; null: none", examples=[24.0]),
    ] = None
    back_span_in: Annotated[
        MemberLength | None,
        Meta(description="Span of the bay beside the cantilever, inches; null: span_in", examples=[141.0]),
    ] = None


class BeamCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="beam"):
    """A beam under joists: what it may span and overhang, and whether the lengths given hold."""

    species: Annotated[Species, GIVEN_SPECIES]
    size: Annotated[BeamSize, Meta(description="Nominal size of one ply", examples=["2x10"])]
    plies: Annotated[int, Meta(ge=1, le=3, description="Plies side by side", examples=[2])]
    joist_span_ft: Annotated[JoistFeet, Meta(description="Joist span carried, feet", examples=[10.0])]
    joist_cantilever_ft: Annotated[
        float, Meta(ge=0, le=30, description="Joist cantilever past the beam, feet", examples=[2.0])
    ] = 0.0
    joists_on_both_sides: Annotated[
        bool, Meta(description="Joists bear on the beam from both sides", examples=[False])
    ] = False
    far_joist_span_ft: Annotated[
        JoistFeet | None,
        Meta(
            description="Joist span on the other side, feet; needed with joists on both sides", examples=[8.0]
        ),
    ] = None
    joists_over_beam: Annotated[
        JoistsOverBeam | None,
        Meta(
            description="Whether joists run through over the beam; needed with joists on both sides",
            examples=["continuous"],
        ),
    ] = None
    span_in: Annotated[
        MemberLength | None,
        Meta(description="Longest span to judge, post centre to post centre, inches", examples=[96.0]),
    ] = None
    overhang_in: Annotated[
        Overhang | None,
        Meta(description="Overhang past an end post to judge, inches; needs span_in", examples=[18.0]),
    ] = None
    post_size: Annotated[
        PostSize | None,
        Meta(description="Post under it, for its bearing; null: bearing is not checked", examples=["6x6"]),
    ] = None


class PostCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="post"):
    """A post under a beam: how tall it may be, and what it carries at the height given."""

    species: Annotated[Species, GIVEN_SPECIES]
    size: Annotated[PostSize, Meta(description="Nominal size", examples=["6x6"])]
    height_in: Annotated[
        Annotated[float, Meta(ge=1, le=480)] | None,
        Meta(description="Beam bottom to pier top, inches, to judge; null: none", examples=[96.0]),
    ] = None
    load_lb: Annotated[
        Load | None,
        Meta(description="Dead load and the greater of live and snow, pounds", examples=[3000.0]),
    ] = None
    tributary_sqft: Annotated[
        Area | None,
        Meta(description="Deck area it carries, square feet, in place of load_lb", examples=[60.0]),
    ] = None
    beam_plies: Annotated[
        int, Meta(ge=1, le=3, description="Plies of the beam on it; 3 is the least favourable", examples=[2])
    ] = 3


class FootingCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="footing"):
    """A concrete footing: how wide it has to be, and whether the diameter given is enough."""

    load_lb: Annotated[
        Load | None,
        Meta(description="Dead load and the greater of live and snow, pounds", examples=[3000.0]),
    ] = None
    tributary_sqft: Annotated[
        Area | None,
        Meta(description="Deck area it carries, square feet, in place of load_lb", examples=[60.0]),
    ] = None
    soil_bearing_psf: Annotated[
        SoilBearing | None,
        Meta(description="Soil bearing, psf; null: the jurisdiction's", examples=[1500.0]),
    ] = None
    diameter_in: Annotated[
        Annotated[float, Meta(ge=6, le=96)] | None,
        Meta(description="Diameter of its bearing to judge, inches; null: none", examples=[18.0]),
    ] = None
    own_weight_rule: Annotated[
        OwnWeight | None,
        Meta(
            description="How its own concrete counts; null: the rulebook's rule, which holds besides",
            examples=["gross"],
        ),
    ] = None
    concrete_length_in: Annotated[
        Annotated[float, Meta(ge=6, le=180)] | None,
        Meta(description="Length of concrete over the bearing, inches, for its weight", examples=[35.0]),
    ] = None


class LedgerCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="ledger"):
    """Fasteners of a ledger on a wood band: how far apart, and what each of them carries."""

    fastener: Annotated[
        LedgerFastener, Meta(description="Fastener of 1/2 inch diameter", examples=["lag_screw"])
    ]
    sheathing_thickness_in: Annotated[
        float, Meta(ge=0, le=6, description="Between band and ledger, inches", examples=[0.5])
    ]
    joist_span_ft: Annotated[
        JoistFeet, Meta(description="Joist span, ledger to first beam, feet", examples=[12.0])
    ]
    spacing_in: Annotated[
        Annotated[float, Meta(ge=1, le=72)] | None,
        Meta(description="Fastener spacing to judge, inches; null: none", examples=[15.0]),
    ] = None


class GuardPostCheckSpec(MemberCheckSpec, frozen=True, kw_only=True, tag="guard_post"):
    """A guard post on a rim or joist: what the load at its top does to its connector."""

    guard_height_in: Annotated[
        float, Meta(ge=24, le=72, description="Top of the guard above the boards, inches", examples=[36.0])
    ]
    mount: Annotated[
        PostMount, Meta(description="On the side of the member or on the deck", examples=["side"])
    ]
    carrier_size: Annotated[
        JoistSize, Meta(description="Nominal size of the rim or joist that carries it", examples=["2x10"])
    ]
    decking_thickness_in: Annotated[
        float, Meta(ge=0.5, le=3, description="Board thickness, inches", examples=[1.0])
    ] = 1.0


MemberCheckRequest = (
    JoistCheckSpec | BeamCheckSpec | PostCheckSpec | FootingCheckSpec | LedgerCheckSpec | GuardPostCheckSpec
)

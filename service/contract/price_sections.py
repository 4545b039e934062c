"""Section tables of a supplier: laminated veneer lumber and light-gauge steel, with the values he stands for."""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

MOST_SECTIONS = 500
SectionMaterial = Literal["laminated_veneer_lumber", "light_gauge_steel"]
SectionUse = Literal["joist", "beam", "both"]
SectionService = Literal["wet", "dry"]
Protection = Literal["none", "uc3b", "uc4a", "uc4b", "g60", "g90", "g140", "g185"]

# Ranges taken, by column: wide enough for what is made, narrow enough to catch a slipped decimal point.
RANGES: dict[str, tuple[float, float]] = {
    "depth_in": (3.0, 24.0),
    "width_in": (0.5, 8.0),
    "weight_plf": (0.3, 60.0),
    "most_plies": (1.0, 3.0),
    "fb_psi": (500.0, 5_000.0),
    "fv_psi": (50.0, 600.0),
    "fc_perp_psi": (100.0, 2_000.0),
    "e_psi": (500_000.0, 31_000_000.0),
    "inertia_in4": (0.1, 500.0),
    "allowable_moment_lb_ft": (100.0, 100_000.0),
    "allowable_shear_lb": (100.0, 50_000.0),
    "allowable_reaction_lb": (50.0, 50_000.0),
    "reaction_bearing_in": (1.0, 8.0),
}
WOOD_E_PSI = (500_000.0, 3_500_000.0)
STEEL_E_PSI = (28_000_000.0, 31_000_000.0)
OF_WOOD = ("fb_psi", "fv_psi", "fc_perp_psi")
OF_STEEL = (
    "inertia_in4", "allowable_moment_lb_ft", "allowable_shear_lb", "allowable_reaction_lb",
    "reaction_bearing_in",
)  # fmt: skip
WOOD_PROTECTIONS = ("none", "uc3b", "uc4a", "uc4b")
STEEL_PROTECTIONS = ("g60", "g90", "g140", "g185")


def _within(column: str) -> Meta:
    least, most = RANGES[column]
    return Meta(ge=least, le=most)


SectionId = Annotated[str, Meta(pattern=r"^[a-z0-9][a-z0-9-]*$", min_length=3, max_length=40)]
SourceText = Annotated[str, Meta(pattern=r"^[^\W_]", max_length=120)]
Depth = Annotated[float, _within("depth_in")]
Width = Annotated[float, _within("width_in")]
Weight = Annotated[float, _within("weight_plf")]
Plies = Annotated[int, Meta(ge=1, le=3)]
Bending = Annotated[float, _within("fb_psi")]
Shear = Annotated[float, _within("fv_psi")]
AcrossGrain = Annotated[float, _within("fc_perp_psi")]
Elasticity = Annotated[float, _within("e_psi")]
Inertia = Annotated[float, _within("inertia_in4")]
MomentAllowed = Annotated[float, _within("allowable_moment_lb_ft")]
ShearAllowed = Annotated[float, _within("allowable_shear_lb")]
ReactionAllowed = Annotated[float, _within("allowable_reaction_lb")]
BearingLength = Annotated[float, _within("reaction_bearing_in")]


class PriceBookSectionSpec(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One section with its allowable values, as they hold in the service named and at this depth.

    Laminated veneer lumber gives `fb_psi`, `fv_psi`, `fc_perp_psi`; light-gauge steel gives `inertia_in4` and the
    four allowable forces with the bearing they hold for. The values of the other material are left out.
    """

    section: Annotated[
        SectionId, Meta(description="Supplier's own name of it", examples=["lvl-1-3-4x9-1-4-2-0e"])
    ]
    material: Annotated[
        SectionMaterial, Meta(description="What it is of", examples=["laminated_veneer_lumber"])
    ]
    use: Annotated[SectionUse, Meta(description="What it may be used as", examples=["both"])]
    depth_in: Annotated[Depth, Meta(description="Actual depth, in", examples=[9.25])]
    width_in: Annotated[Width, Meta(description="Actual width of one ply or flange, in", examples=[1.75])]
    weight_plf: Annotated[Weight, Meta(description="Weight of one ply, plf", examples=[5.1])]
    service: Annotated[
        SectionService,
        Meta(description="Moisture the values hold for: only `wet` ones stand outdoors", examples=["wet"]),
    ]
    protection: Annotated[
        Protection,
        Meta(
            description="Use category of the treatment, or weight of the zinc coating by ASTM A653",
            examples=["uc3b"],
        ),
    ]
    most_plies: Annotated[
        Plies, Meta(description="How many may stand side by side; steel: 1", examples=[3])
    ] = 1
    fb_psi: Annotated[Bending | None, Meta(description="Bending, psi, at this depth", examples=[2300.0])] = (
        None
    )
    fv_psi: Annotated[Shear | None, Meta(description="Shear along the grain, psi", examples=[230.0])] = None
    fc_perp_psi: Annotated[
        AcrossGrain | None, Meta(description="Compression across the grain, psi", examples=[520.0])
    ] = None
    e_psi: Annotated[Elasticity, Meta(description="Modulus of elasticity, psi", examples=[1_700_000.0])]
    inertia_in4: Annotated[Inertia | None, Meta(description="Moment of inertia for deflection, in4")] = None
    allowable_moment_lb_ft: Annotated[
        MomentAllowed | None,
        Meta(description="Allowable moment, lb-ft, compression flange held as the source says"),
    ] = None
    allowable_shear_lb: Annotated[ShearAllowed | None, Meta(description="Allowable shear, lb")] = None
    allowable_reaction_lb: Annotated[
        ReactionAllowed | None,
        Meta(description="Allowable reaction without stiffener, lb: the lesser of end and interior"),
    ] = None
    reaction_bearing_in: Annotated[
        BearingLength | None, Meta(description="Bearing length that reaction holds for, in")
    ] = None
    item: Annotated[
        str,
        Meta(
            pattern=r"^[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_-]*){1,6}$",
            description="Item code of its price lines",
            examples=["laminated_veneer_lumber.1-3-4x9-1-4.2_0e.uc3b"],
        ),
    ]
    source: Annotated[
        SourceText, Meta(description="Where the values stand", examples=["Section table of the yard, 2027"])
    ]


class PriceBookSection(msgspec.Struct, frozen=True, kw_only=True):
    """One section of a supplier's table; what its material does not have is null."""

    section: str
    material: SectionMaterial
    use: SectionUse
    depth_in: float
    width_in: float
    weight_plf: float
    service: SectionService
    protection: Protection
    most_plies: int
    fb_psi: float | None
    fv_psi: float | None
    fc_perp_psi: float | None
    e_psi: float
    inertia_in4: float | None
    allowable_moment_lb_ft: float | None
    allowable_shear_lb: float | None
    allowable_reaction_lb: float | None
    reaction_bearing_in: float | None
    item: str
    source: str

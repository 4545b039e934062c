"""The fixed words of a request, one ``Literal`` a field."""

from __future__ import annotations

from typing import Literal

Wall = Literal[
    "wood_band",
    "engineered_rim",
    "poured_concrete",
    "grouted_block",
    "hollow_block",
    "brick_veneer",
    "stone_veneer",
    "floor_overhang",
    "manufactured_home",
    "unknown",
    "none",
]
FoundationWall = Literal["poured_concrete", "grouted_block", "hollow_block", "rubble_stone", "unknown"]
FloorJoistDirection = Literal["toward_deck", "along_wall", "unknown"]
ExcavationSlope = Literal["stable_rock", "type_a", "type_b", "type_c"]
SoilClass = Literal[
    "crystalline_bedrock",
    "sedimentary_rock",
    "sandy_gravel",
    "sand",
    "clay",
    "organic_or_fill",
    "unknown",
]
SeismicDesignCategory = Literal["A", "B", "C", "D0", "D1", "D2", "E"]
PropertySide = Literal["rear", "left", "right"]
DeckingMaterial = Literal["wood", "composite", "pvc", "aluminum"]
GuardExtent = Literal["as_required", "all_edges", "none"]
PostMount = Literal["side", "surface"]
Stringer = Literal["auto", "cut", "solid"]
HeavyKind = Literal["hot_tub", "planter", "outdoor_kitchen", "fireplace", "other"]
Attachment = Literal["auto", "ledger", "freestanding"]
FramingMaterial = Literal["sawn_lumber", "laminated_veneer_lumber", "light_gauge_steel"]
Species = Literal[
    "southern_pine",
    "douglas_fir_larch",
    "hem_fir",
    "spruce_pine_fir",
    "redwood",
    "western_cedar",
    "ponderosa_pine",
    "red_pine",
    "northern_species",
]
Grade = Literal["select_structural", "no_1_and_better", "no_1", "no_2"]
JoistSize = Literal["2x6", "2x8", "2x10", "2x12"]
BeamSize = Literal["2x6", "2x8", "2x10", "2x12", "3x6", "3x8", "3x10", "3x12", "4x6", "4x8", "4x10", "4x12"]
PostSize = Literal["4x4", "4x6", "6x6", "8x8"]
JoistDirection = Literal["auto", "away_from_house", "along_house"]
BeamPlacement = Literal["auto", "dropped", "flush"]
Objective = Literal["cost", "fewest_footings", "stiffness"]
FootingMethod = Literal[
    "auto",
    "tube_form_pier",
    "pad_and_pier",
    "belled_pier",
    "post_on_buried_pad",
    "helical_pile",
    "pier_block_on_grade",
]
ConcreteSupply = Literal["auto", "bagged", "ready_mix"]
TimeCounted = Literal["day_value_includes_wages", "wages_plus_idle_days"]
MemberKind = Literal["joist", "beam", "post", "footing", "ledger", "guard_post"]
JoistsOverBeam = Literal["continuous", "broken"]
OwnWeight = Literal["gross", "base", "full", "net_of_soil"]
LedgerFastener = Literal["lag_screw", "bolt", "bolt_with_washers"]
Paper = Literal["letter", "tabloid"]
Sheet = Literal[
    "framing_plan",
    "footing_plan",
    "section",
    "stair_detail",
    "ledger_detail",
    "bracing_detail",
    "all",
]

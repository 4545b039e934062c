"""Fixed words of a request about the house, the ground and the levels."""

from __future__ import annotations

from service.contract.words.word import fixed

WALLS = {
    "wood_band": "A wood rim of 2 in nominal or more, bearing fully on the wall below.",
    "engineered_rim": "A manufactured rim board; its maker's limits govern.",
    "poured_concrete": "A solid concrete wall at floor level.",
    "grouted_block": "Concrete block with every cell filled.",
    "hollow_block": "Concrete block with empty cells, which holds no ledger.",
    "brick_veneer": "A brick skin over the framing, which holds no ledger.",
    "stone_veneer": "A stone skin over the framing, which holds no ledger.",
    "floor_overhang": "A floor or bay that cantilevers past the wall below.",
    "manufactured_home": "A factory-built home, whose floor edge is not meant to carry a deck.",
    "unknown": "Nobody has looked; the deck is judged as standing free.",
    "none": "There is no house wall beside the deck.",
}
FOUNDATION_WALLS = {
    "poured_concrete": "A solid concrete foundation wall.",
    "grouted_block": "A block foundation wall with every cell filled.",
    "hollow_block": "A block foundation wall with empty cells.",
    "rubble_stone": "A wall of laid field stone.",
    "unknown": "Nobody has looked.",
}

HOUSE_LISTS = (
    fixed("house.wall", WALLS),
    fixed("house.foundation_wall", FOUNDATION_WALLS),
    fixed(
        "house.floor_joist_direction",
        {
            "toward_deck": "Floor joists inside run out toward the deck.",
            "along_wall": "Floor joists inside run along the wall.",
            "unknown": "Nobody has looked.",
        },
    ),
    fixed(
        "house.excavation_slope",
        {
            "stable_rock": "The house was dug in rock that stands upright.",
            "type_a": "Type A soil of 29 CFR 1926 Subpart P: the stiffest clays.",
            "type_b": "Type B soil of 29 CFR 1926 Subpart P: medium clays, silts, angular gravel.",
            "type_c": "Type C soil of 29 CFR 1926 Subpart P: sand, gravel, soft or wet soil.",
        },
    ),
    fixed(
        "site.soil_class",
        {
            "crystalline_bedrock": "The bedrock row of the presumptive bearing table.",
            "sedimentary_rock": "The sedimentary and foliated rock row.",
            "sandy_gravel": "The sandy gravel and gravel row.",
            "sand": "The sand row, silty and clayey sands and gravels included.",
            "clay": "The clay row, sandy clays and silts included.",
            "organic_or_fill": "Peat, mud, topsoil or fill, for which no bearing value is given.",
            "unknown": "Not known; the presumptive value of the rulebook or the place is used.",
        },
    ),
    fixed(
        "site.seismic_design_category",
        {letter: f"Seismic design category {letter}." for letter in ("A", "B", "C", "D0", "D1", "D2", "E")},
    ),
    fixed(
        "site.property_lines.side",
        {
            "rear": "The line beyond the deck, opposite the house wall.",
            "left": "The line on the side of small x.",
            "right": "The line on the side of large x.",
        },
    ),
    fixed(
        "levels.decking.material",
        {
            "wood": "Sawn wood boards.",
            "composite": "Boards of wood fibre and plastic; their label governs.",
            "pvc": "Boards of solid plastic; their label governs.",
            "aluminum": "Extruded aluminum boards; their label governs.",
        },
    ),
    fixed(
        "levels.guard.extent",
        {
            "as_required": "Guards only where the code asks for them.",
            "all_edges": "Guards along every open edge.",
            "none": "No guards; a deck that needs them is not permitted then.",
        },
    ),
    fixed(
        "levels.guard.post_mount",
        {
            "side": "Guard posts bolted to the outside of the frame.",
            "surface": "Guard posts on bases through-bolted to blocking.",
        },
    ),
    fixed(
        "stairs.down_to",
        {
            "grade": "The stair ends on a landing on the ground.",
            "pad": "The stair ends on a poured pad.",
        },
    ),
    fixed(
        "stairs.stringer",
        {
            "auto": "The service chooses.",
            "cut": "Notched stringers under the treads.",
            "solid": "Unnotched stringers with the treads between them.",
        },
    ),
    fixed(
        "heavy_objects.kind",
        {
            "hot_tub": "A tub filled with water and people.",
            "planter": "A planter with wet soil.",
            "outdoor_kitchen": "Counters, grill and what stands on them.",
            "fireplace": "A fireplace or oven.",
            "other": "Anything else heavy.",
        },
    ),
)

"""Cautions, and the reasons and risks of footing methods."""

from __future__ import annotations

from service.contract.words.word import open_list

CAUTIONS = open_list(
    "caution",
    {
        "call_before_you_dig": "Have buried lines marked before any hole is dug.",
        "local_codes_decide": "What the place has adopted decides, not this report.",
        "licensed_practice_decides": "Where a licensed engineer or architect is required, that one decides.",
        "not_an_approval": "Nothing here is an approval.",
        "ledger_flashing": "The ledger lasts only as long as its flashing keeps water out.",
        "ledger_below_band": "The ledger sits below the band, so there is a step at the door.",
        "backfill_settles": "Ground put back beside a house goes on settling for years.",
        "frost_heave_grip": "Frozen ground can grip a pier's side and lift it.",
        "groundwater_over_base": "Ground water stands above the footing base.",
        "guard_not_required_but_advised": "The code asks for no guard here, but one is wise.",
        "three_riser_advice": "A little less height would leave three risers and no handrail.",
        "handrail_without_guard": "The stair needs a handrail although the deck needs no guard.",
        "no_jurisdiction": "No jurisdiction was named; local values come from the caller.",
        "no_footing_table": "The edition has no footing table; footings are calculated.",
        "table_row_suspect": "A printed table row looks wrong; the safer reading is used.",
        "table_permits_calculation_does_not": "The table permits what the calculation puts slightly over.",
        "value_from_memory": "A remembered, unseen value was used.",
        "soil_value_from_caller": "The soil value is the caller's and above the presumptive one.",
        "near_house_footing": "A footing is close beside the house foundation.",
        "table_reading_by_guide_only": "Only a guide, not the code, says how the table is read here.",
        "unpriced_lines": "Some lines of the order have no price.",
        "price_book_expiring": "The price book ends before the work begins.",
        "corrosion_near_salt": "Salt water is near; fasteners and connectors have to be stainless.",
        "bracing_needed": "Posts this tall need diagonal braces.",
        "hot_tub_electrical": "A tub brings electrical work with its own permit.",
        "maker_listing_governs": "The maker's listing governs this part.",
        "deeper_than_wide": "The deck reaches out farther than it is wide, which the guide does not cover.",
        "local_note": "Something the jurisdiction itself wants known.",
        "over_cost_ceiling": "The order comes to more than the ceiling the spec names.",
        "rock_in_the_hole": "Rock stands above the depth the footing is drawn to.",
        "stale_snapshot": "The rules or prices in memory may be older than the stored ones.",
    },
)
RISKS = open_list(
    "risk",
    {
        "bearing_too_low": "The soil carries too little for this method.",
        "pier_too_wide_for_tube": "No tube is as wide as the pier would have to be.",
        "frost_not_reached": "The method does not reach frost depth.",
        "rig_too_wide": "The machine does not fit through the way in.",
        "refusal_on_rock": "Rock stops the hole or pile short of its depth.",
        "torque_above_rating": "The torque needed is more than the shaft is rated for.",
        "shaft_too_slender": "The shaft buckles where it stands free.",
        "size_limit_of_edition": "The edition limits the size of such a footing.",
        "not_allowed_here": "The place does not accept this method.",
        "hole_caves": "The hole's sides fall in.",
        "hole_floods": "Water rises in the hole.",
        "inspection_delay": "Open holes wait for the inspector.",
        "cold_weather": "Concrete has to be kept from freezing.",
        "short_load": "The truck brings so little that a charge comes on top.",
        "utilities": "Buried lines may be in the way.",
        "backfill_zone": "The footing falls in ground put back beside the house.",
        "house_load_line": "The footing comes under the slope the house footing bears on.",
        "buried_obstruction": "Stones, roots or rubble may be in the way.",
        "price_missing": "Something the method needs has no price.",
    },
)
CAUTION_LISTS = (CAUTIONS, RISKS)

"""Reasons of a verdict and of an attachment."""

from __future__ import annotations

from service.contract.words.word import open_list

ENGINEER = open_list(
    "reason.engineer_required",
    {
        "snow_above_tables": "The ground snow load is above every table of the edition.",
        "live_load_above_tables": "The live load is above what the tables assume.",
        "size_or_spacing_off_tables": "No table has this size at this spacing or span.",
        "grade_off_tables": "No table has this grade.",
        "post_above_table": "The post is taller or more heavily loaded than the post table goes.",
        "heavy_object": "A heavy object puts more on the deck than the tables assume.",
        "wall_needs_designed_anchors": "A ledger on concrete or filled block needs anchors that are designed.",
        "ledger_on_unknown_wall": "A ledger was asked for on a wall nobody has looked at.",
        "engineered_rim_maker_governs": "The manufactured rim is thinner than the table covers.",
        "upper_level_on_lower_level": "One level bears on another.",
        "soil_needs_engineer": "The soil has no presumptive bearing value.",
        "expansive_soil": "The soil swells and shrinks with water.",
        "slope_needs_engineer": "The ground is too steep for the prescriptive footing rules.",
        "material_not_in_rulebook": "The rulebook has no tables for this material.",
        "rulebook_not_in_force": "The rulebook asked for is not the one in force in this place.",
        "site_value_below_jurisdiction": "A site value is less safe than the jurisdiction's.",
        "calculation_exceeds_table": "The calculation exceeds what the table permits by more than the set limit.",
        "pile_policy_needs_engineer": "The place wants an engineer or special inspector for piles.",
        "tall_freestanding": "A free-standing deck this tall needs a designed way to stay upright.",
        "memory_value_decides": "Only a remembered, unseen value decides this.",
        "joists_on_both_sides": "The beam carries joists from both sides, which the beam tables leave out.",
        "stair_on_cantilever": "A stair bears on the cantilevered end of the joists.",
        "guard_connector_unproven": "No tested connector is proven to hold a guard post there.",
        "dead_load_above_tables": "The deck weighs more than the tables assume.",
        "roof_or_drift_load": "A roof on or above the deck adds load the tables leave out.",
        "wind_or_seismic_beyond_range": "Wind or seismic is beyond the prescriptive range.",
        "sheathing_off_tables": "What lies between band and ledger is thicker than the fastener table covers.",
        "footing_above_table": "The footing carries more than the footing table covers.",
        "ground_not_undisturbed": "The footing stands on ground that was dug out and put back.",
        "house_load_line": "The footing comes under the slope the house footing bears on.",
        "method_cannot_serve": "The footing method asked for cannot serve this deck on this ground.",
        "stair_on_end_joist": "A stair's load goes to an end joist, which no table covers.",
        "outside_scope": "This version does not frame decks of this kind: an engineer or another way must.",
        "corner_too_sharp": "A corner of the floor is too sharp for joists at their spacing.",
        "rim_as_end_joist": "A rim nearly along the joists works as an end joist, askew: no table covers it.",
        "post_lifts": "A post is lifted by its beam under the design load.",
        "footings_overlap": "The bearing areas of two footings overlap.",
        "footing_row_at_house": "The first row of footings stands where the house footing is likely to be.",
        "ledger_without_wall": "A ledger is asked for where there is no house wall.",
        "stair_on_flush_beam": "A stair hangs on the outer face of a beam whose joists hang on the inner one.",
        "guard_corner_open": "At a sharp or short corner guard posts leave an opening that must be closed.",
        "opening_under_level": "Under a higher level beside a high floor stays an opening that must be closed.",
        "stair_foot_on_level": "A stair bears on a lower level with more than that level is designed for.",
        "stair_support_not_framed": "A support under a stair finds no beam, post or room of the sizes tried.",
        "method_not_worked_out": "The footing method asked for is not worked out by the service.",
    },
)
NOT_PERMITTED = open_list(
    "reason.not_permitted",
    {
        "setback": "The deck comes closer to a lot line than is allowed.",
        "ledger_on_veneer": "A ledger may not bear on a veneer.",
        "ledger_on_hollow_block": "A ledger may not be fixed to hollow block.",
        "ledger_on_overhang": "A ledger may not hang on a cantilevered floor or bay.",
        "ledger_outside_band": "The ledger does not land on the band with its fastener rows.",
        "check_failed": "A check that a table or rule covers does not pass.",
        "no_frame_found": "No frame of the sizes allowed fits this deck.",
        "guard_omitted": "A guard is required where the spec wants none.",
        "method_not_allowed_here": "The footing method is not accepted in this place.",
        "stair_blocked": "A stair runs into a wall, a floor or another stair.",
        "footing_above_frost": "The footing stops short of frost where that is not allowed.",
    },
)
ATTACHMENT = open_list(
    "reason.attachment",
    {
        "sill_height_missing": "Without the door sill height or band depth no ledger can be proven.",
        "wall_allows_ledger": "The wall can carry a ledger.",
        "freestanding_costs_less": "Standing free comes out cheaper.",
        "footing_row_saved": "The ledger saves a row of footings.",
        "asked_for": "The spec asks for it.",
        "better_verdict": "The other way has a worse verdict.",
    },
)
REASON_LISTS = (ENGINEER, NOT_PERMITTED, ATTACHMENT)

"""Words of an answer other than reasons, cautions, risks, checks and problems."""

from __future__ import annotations

from service.contract.words.frame_words import METHODS
from service.contract.words.house_words import FOUNDATION_WALLS, WALLS
from service.contract.words.word import fixed, open_list

_LANDINGS = {
    "sill_plate": "On the sill plate under the band, where no fastener may go.",
    "above_band": "Above the band, on the studs, for which there is no table.",
    "straddles": "Partly on the band and partly off it.",
}

ANSWER_LISTS = (
    fixed(
        "verdict.status",
        {
            "prescriptive": "Within the tables that were read; not an approval.",
            "engineer_required": "No table covers it, or something is in doubt.",
            "not_permitted": "A rule covers it and says no.",
        },
    ),
    fixed(
        "attachment.kind",
        {"ledger": "The house carries one side.", "freestanding": "The deck carries itself."},
    ),
    open_list("attachment.ledger_lands_on", FOUNDATION_WALLS | WALLS | _LANDINGS),
    fixed(
        "loads.governing",
        {"live": "The live load is the greater.", "snow": "The snow load is the greater."},
    ),
    fixed(
        "checks.basis",
        {
            "table": "Read from a printed table.",
            "calculated": "Worked out from design values.",
            "rule": "A plain rule of the code.",
        },
    ),
    fixed(
        "checks.sense",
        {
            "at_most": "The demand may not exceed the capacity.",
            "at_least": "What is provided may not fall short of the limit.",
            "yes_no": "It is so or it is not; there is no ratio.",
        },
    ),
    fixed(
        "inputs.source",
        {
            "caller": "Given in the spec.",
            "key": "Bound to the key.",
            "amendment": "A local change to the code.",
            "jurisdiction": "A value of the jurisdiction.",
            "rulebook": "A setting of the rulebook.",
            "default": "The service's own default.",
        },
    ),
    fixed(
        "citation.status",
        {
            "two_sources": "Two independent sources agree.",
            "one_source": "Read in one source.",
            "second_hand": "Read in a source that reports another.",
            "memory": "Remembered, not seen; never decides a verdict alone.",
            "common_practice": "Habit of the trade, no published source.",
            "own_convention": "Chosen for this service.",
        },
    ),
    open_list(
        "footings.method",
        METHODS | {"pad_on_grade": "A slab on the ground at the foot of a stair."},
    ),
    open_list(
        "member.kind",
        {
            "joists": "A group of like joists.",
            "ledger": "The board on the house that joists hang on.",
            "rim": "The board across the joist ends.",
            "beam": "A beam that carries joists.",
            "girder": "A beam that carries beams.",
            "post": "A post under a beam.",
            "footing": "What carries a post on the ground.",
            "blocking": "Short pieces between joists.",
            "brace": "A diagonal from post to beam.",
            "guard": "A guard along one edge.",
            "guard-post": "A post of a guard.",
            "stair": "A stair.",
            "stringer": "A sloping member of a stair.",
            "landing": "A landing of a stair.",
            "pad": "A slab on the ground at the foot of a stair.",
            "heavy": "A heavy object on the deck.",
        },
    ),
    open_list(
        "stairs.head",
        {
            "hung": "The stringers hang on the edge of their level.",
            "own_beam": "The stringers stand on a beam of their own, clear of the edge.",
            "box": "A box step: the stringers stand on the ground or the floor along their whole length.",
            "step": "One riser: no stringers.",
        },
    ),
    fixed(
        "beams.placement",
        {"dropped": "Under the joists.", "flush": "At the height of the joists, which hang on it."},
    ),
    open_list(
        "preference",
        {
            "one_size": "One nominal depth for joists and beams.",
            "joist_spacing_in": "Joists at this spacing, inches.",
            "beam_plies": "Beams of so many plies.",
            "attachment": "Hung on the house, or on posts of its own.",
            "post_size": "Posts of this nominal size.",
            "species": "Framed in this species, in the grade of the spec where the price book has it.",
            "grade": "Framed in this grade of the spec's species.",
            "footing_method": "Footings made this way.",
            "material": "Joists and beams of this material.",
            "objective": "The best frame by this objective.",
        },
    ),
    open_list(
        "treatment",
        {
            "none": "Untreated.",
            "uc3b": "AWPA U1 use category 3B: exposed, above ground.",
            "uc4a": "AWPA U1 use category 4A: ground contact.",
            "uc4b": "AWPA U1 use category 4B: ground contact, hard service.",
        },
    ),
    open_list(
        "coating",
        {
            "zinc_plated": "Thin electroplated zinc.",
            "hot_dip_galvanized": "Zinc by hot dip.",
            "stainless_steel": "Stainless steel.",
        },
    ),
    open_list(
        "quantity.unit",
        {
            "each": "Single things.",
            "piece": "Lengths or boards.",
            "lineal_ft": "Feet of length.",
            "sqft": "Square feet.",
            "cuft": "Cubic feet.",
            "cuyd": "Cubic yards.",
            "bag": "Bags.",
            "box": "Boxes.",
            "roll": "Rolls.",
            "lb": "Pounds.",
            "day": "Days.",
            "hour": "Hours.",
            "lot": "All of it together.",
        },
    ),
    fixed(
        "stream.kind",
        {
            "result": "An answer to one line.",
            "problem": "A line that was refused.",
            "end": "The last line; without it the stream was cut off.",
        },
    ),
    fixed(
        "rulebook.state",
        {
            "draft": "Still being written.",
            "announced": "Published, in force later.",
            "in_force": "Published and in force.",
            "superseded": "A later version is in force.",
            "withdrawn": "Taken back.",
        },
    ),
    fixed(
        "compare.change",
        {
            "added": "A row only the later version has.",
            "removed": "A row only the earlier version has.",
            "changed": "A row whose values differ.",
        },
    ),
    fixed(
        "risk.severity",
        {
            "low": "A nuisance.",
            "moderate": "Costs time or money.",
            "high": "Can stop the method or the job.",
        },
    ),
    open_list(
        "permit",
        {
            "zoning": "Setbacks and coverage of the lot.",
            "construction": "Structure, footings and connections.",
            "electrical": "Wiring on or for the deck.",
            "right_of_way": "Work in or over public ground.",
        },
    ),
    open_list(
        "inspection",
        {
            "footing_holes": "Holes, before concrete goes in.",
            "pile_torque": "Piles and their torque.",
            "ledger_and_flashing": "Ledger and flashing, before they are covered.",
            "framing": "The frame, before boards hide it.",
            "final": "The finished deck.",
        },
    ),
    open_list(
        "schedule.task",
        {
            "locate_utilities": "Buried lines are marked.",
            "layout": "Footings are staked out.",
            "dig": "Holes are dug.",
            "inspection_wait": "Waiting for the inspector.",
            "truck_wait": "Waiting for the truck's delivery slot.",
            "form": "Forms and steel are set.",
            "pour": "Concrete is placed.",
            "cure": "Concrete gains enough strength to be built on.",
            "cure_to_full_load": "Concrete gains the strength to carry the finished deck.",
            "protect_from_freezing": "Fresh concrete is kept from freezing.",
            "pour_pad": "Pads are placed.",
            "pad_cure": "Pads gain enough strength for what stands on them.",
            "set_posts": "Posts are set.",
            "strip_and_level": "Sod is stripped, blocks are set and levelled.",
            "book": "The pile installer is booked.",
            "mobilise": "The pile machine is brought.",
            "install_piles": "Piles are turned in.",
            "fit_caps": "Brackets are set on the piles, at their height.",
            "torque_log": "Torque readings are written up.",
            "engineer_letter": "An engineer certifies the piles.",
        },
    ),
    fixed(
        "changelog.kind",
        {
            "added": "Something new.",
            "changed": "Something works differently.",
            "fixed": "A fault is gone.",
            "removed": "Something is gone.",
            "breaking": "Clients have to change.",
            "result": "The same request gives other numbers.",
        },
    ),
    open_list(
        "order.availability",
        {
            "in_stock": "The yard has it.",
            "to_order": "The yard orders it; ask how long that takes.",
        },
    ),
    open_list(
        "item.kind",
        {
            "lumber": "Framing lumber.",
            "post": "Post lumber.",
            "decking": "Deck boards.",
            "fascia": "Boards that cover the rim.",
            "guard": "Guard sections and posts.",
            "stair_tread": "Treads.",
            "ledger_fastener": "Screws, lags and bolts of the ledger.",
            "structural_screw": "Screws rated for load.",
            "nail": "Nails.",
            "joist_hanger": "Hangers.",
            "uplift_tie": "Ties against uplift.",
            "post_base": "Bases under posts.",
            "post_cap": "Caps on posts.",
            "saddle": "Beam seats on piers.",
            "lateral_device": "Ties from deck to house against pulling away.",
            "guard_post_connector": "Tension connectors of guard posts.",
            "framing_angle": "Angles that hold blocks where nails in end grain would not count.",
            "handrail_bracket": "Brackets of handrails.",
            "preservative": "Preservative for cut ends of treated wood.",
            "anchor": "Anchors in concrete.",
            "ledger_flashing": "Metal or vinyl flashing over the ledger.",
            "flashing_tape": "Self-adhesive flashing.",
            "concrete": "Concrete in bags or by truck.",
            "form": "Tubes, bell forms and form boards.",
            "reinforcement": "Reinforcing bar.",
            "aggregate": "Crushed stone.",
            "pier_block": "Precast blocks that posts stand in.",
            "pile": "Lead sections of helical piles.",
            "pile_extension": "Extensions of helical piles.",
            "pile_cap": "Brackets on helical piles.",
            "rental": "Hired machines.",
            "service": "Work bought in.",
            "fee": "Fees.",
            "labour": "The crew's own work.",
        },
    ),
)

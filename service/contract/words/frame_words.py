"""Fixed words of a request about the frame, the footings, the crew, drawings, rulebooks and keys."""

from __future__ import annotations

from service.contract.words.word import fixed

METHODS = {
    "tube_form_pier": "A straight concrete pier cast in a cardboard tube.",
    "pad_and_pier": "A pier on a wider footing pad.",
    "belled_pier": "A pier whose foot widens as one casting.",
    "post_on_buried_pad": "A post that runs down to a pad below frost.",
    "helical_pile": "A steel shaft with helices, turned into the ground to a torque.",
    "pier_block_on_grade": "A block set on the ground.",
}
_AUTO = {"auto": "The service chooses."}
_JOISTS = ("2x6", "2x8", "2x10", "2x12")
_SOLID = ("3x6", "3x8", "3x10", "3x12", "4x6", "4x8", "4x10", "4x12")

FRAME_LISTS = (
    fixed(
        "framing.attachment",
        _AUTO
        | {
            "ledger": "Hang the house side on a ledger.",
            "freestanding": "Carry the house side on posts of its own.",
        },
    ),
    fixed(
        "framing.material",
        {
            "sawn_lumber": "Visually graded sawn lumber.",
            "laminated_veneer_lumber": "Laminated veneer lumber.",
            "light_gauge_steel": "Cold-formed steel sections.",
        },
    ),
    fixed(
        "framing.species",
        {
            "southern_pine": "The southern pine group.",
            "douglas_fir_larch": "The Douglas fir-larch group.",
            "hem_fir": "The hem-fir group.",
            "spruce_pine_fir": "The spruce-pine-fir group.",
            "redwood": "Redwood.",
            "western_cedar": "Western cedars.",
            "ponderosa_pine": "Ponderosa pine.",
            "red_pine": "Red pine.",
            "northern_species": "The northern species group.",
        },
    ),
    fixed(
        "framing.grade",
        {
            "select_structural": "Select structural.",
            "no_1_and_better": "Number 1 and better.",
            "no_1": "Number 1.",
            "no_2": "Number 2.",
        },
    ),
    fixed("framing.joist_size", {size: f"Nominal {size} joists." for size in _JOISTS}),
    fixed(
        "framing.beam_size",
        {size: f"One to three plies of nominal {size}." for size in _JOISTS}
        | {size: f"One solid nominal {size}." for size in _SOLID},
    ),
    fixed("framing.post_size", {size: f"Nominal {size} posts." for size in ("4x4", "4x6", "6x6", "8x8")}),
    fixed(
        "framing.joist_direction",
        _AUTO
        | {
            "away_from_house": "Joists run out from the house wall.",
            "along_house": "Joists run along the house wall.",
        },
    ),
    fixed(
        "framing.beam_placement",
        _AUTO | {"dropped": "Joists sit on the beam.", "flush": "Joists hang on the face of the beam."},
    ),
    fixed(
        "framing.objective",
        {
            "cost": "The frame that costs least.",
            "fewest_footings": "The frame on the fewest footings.",
            "stiffness": "The frame that bends least.",
        },
    ),
    fixed("foundation.method", _AUTO | METHODS),
    fixed(
        "foundation.concrete_supply",
        _AUTO | {"bagged": "Concrete mixed from bags on the site.", "ready_mix": "Concrete by truck."},
    ),
    fixed(
        "crew.time_counted",
        {
            "day_value_includes_wages": "The worth of a crew day already holds the wages.",
            "wages_plus_idle_days": "Wages are paid by the hour, and idle days cost their worth on top.",
        },
    ),
    fixed(
        "drawings.sheet",
        {
            "framing_plan": "Joists, beams and posts from above.",
            "footing_plan": "Footings from above with their distances.",
            "section": "A cut from the house out into the yard.",
            "stair_detail": "A stair from the side.",
            "ledger_detail": "The ledger and its fasteners.",
            "bracing_detail": "Braces at the posts.",
            "all": "Every sheet, as one PDF.",
        },
    ),
    fixed("drawings.paper", {"letter": "8.5 by 11 inches.", "tabloid": "11 by 17 inches."}),
    fixed("view", {"summary": "The verdict and main figures.", "full": "The whole report."}),
    fixed(
        "member_checks.kind",
        {
            "joist": "A joist on its own.",
            "beam": "A beam on its own.",
            "post": "A post on its own.",
            "footing": "A footing on its own.",
            "ledger": "A ledger on its own.",
            "guard_post": "A guard post on its own.",
        },
    ),
    fixed(
        "jurisdiction.pile_inspection",
        {
            "none": "Nothing is asked for.",
            "torque_log": "The installer hands in the torque readings.",
            "engineer_letter": "An engineer certifies the piles.",
            "special_inspector": "A special inspector watches the work.",
        },
    ),
    fixed(
        "jurisdiction.change",
        {
            "changed": "Values of the rows that match are others.",
            "added": "A row the published table does not have.",
            "removed": "The rows that match are off the table.",
        },
    ),
    fixed(
        "rulebook.own_weight_rule",
        {
            "gross": "Footing tables are used as printed, own weight left out.",
            "base": "The weight of the footing base is added to the load.",
            "full": "The weight of base and shaft is added to the load.",
            "net_of_soil": "The weight of base and shaft less the soil they replace is added.",
        },
    ),
    fixed("key.kind", {"secret": "A key for servers.", "publishable": "A key for pages in a browser."}),
    fixed(
        "key.scope",
        {
            "designs": "May ask for designs and what follows from them.",
            "prices:read": "May read price books.",
            "prices:write": "May add price book versions.",
            "rules:write": "May draft rulebook versions.",
            "rules:publish": "May publish and withdraw rulebook versions.",
            "admin": "May manage organisations and keys.",
        },
    ),
)

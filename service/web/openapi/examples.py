"""Example requests shown in the document; a test posts each of them."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any

Example = tuple[str, str, dict[str, Any]]

_SMALLEST: Example = (
    "smallest",
    "The least a spec can say",
    {
        "jurisdiction": "alder-county",
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
    },
)
_RISE: Example = (
    "rise",
    "A stair for a rise",
    {"total_rise_in": 34, "width_in": 48, "rulebook": "irc-2021"},
)
_BUILT: Example = ("built", "The risers of a built stair", {"risers_in": [7.25, 7.25, 7.75]})

_JOIST: Example = (
    "joist",
    "A joist with a span and a cantilever to judge",
    {
        "kind": "joist",
        "rulebook": "irc-2021",
        "ground_snow_load_psf": 30,
        "species": "southern_pine",
        "size": "2x10",
        "spacing_in": 16,
        "span_in": 141,
        "cantilever_in": 24,
    },
)
_BEAM: Example = (
    "beam",
    "A beam with joists on both sides",
    {
        "kind": "beam",
        "rulebook": "irc-2021",
        "ground_snow_load_psf": 30,
        "species": "southern_pine",
        "size": "2x10",
        "plies": 3,
        "joist_span_ft": 8,
        "joists_on_both_sides": True,
        "far_joist_span_ft": 6,
        "joists_over_beam": "broken",
        "span_in": 96,
    },
)
_POST: Example = (
    "post",
    "A post over the height of the table, in a place",
    {
        "kind": "post",
        "rulebook": "irc-2021",
        "jurisdiction": "alder-county",
        "species": "hem_fir",
        "size": "6x6",
        "tributary_sqft": 60,
        "height_in": 180,
    },
)
_FOOTING: Example = (
    "footing",
    "A footing with its concrete weighed",
    {
        "kind": "footing",
        "rulebook": "irc-2018",
        "ground_snow_load_psf": 30,
        "load_lb": 3000,
        "soil_bearing_psf": 1500,
        "diameter_in": 20,
        "own_weight_rule": "full",
        "concrete_length_in": 35,
    },
)
_LEDGER: Example = (
    "ledger",
    "Lag screws of a ledger",
    {
        "kind": "ledger",
        "rulebook": "irc-2024",
        "ground_snow_load_psf": 30,
        "fastener": "lag_screw",
        "sheathing_thickness_in": 0.5,
        "joist_span_ft": 12,
        "spacing_in": 15,
    },
)
_GUARD_POST: Example = (
    "guard_post",
    "A guard post on the side of a rim",
    {
        "kind": "guard_post",
        "rulebook": "irc-2021",
        "guard_height_in": 36,
        "mount": "side",
        "carrier_size": "2x10",
        "decking_thickness_in": 1,
    },
)


@cache
def bundled_deck() -> dict[str, Any]:
    """Return the example deck that comes with the service."""
    found: dict[str, Any] = json.loads((files("service") / "cli" / "example_deck.json").read_text("utf-8"))
    return found


_DECKS = (_SMALLEST, ("ledger", "A deck on a ledger with composite boards", bundled_deck()))
_PLAN: Example = (
    "plan",
    "The framing plan",
    {"spec": _SMALLEST[2], "sheet": "framing_plan", "paper": "letter"},
)
_PACKAGE: Example = ("package", "The least that can be asked", {"spec": _SMALLEST[2], "paper": "letter"})
_PACKAGE_OF_A_JOB: Example = (
    "job",
    "With words about the job and drawings on tabloid paper",
    {
        "spec": bundled_deck(),
        "paper": "tabloid",
        "job": {
            "owner": "R. Example",
            "site_address": "12 Invented Lane, Alder",
            "parcel": "Lot 7, block 3",
            "builder": "Example Decks",
            "builder_licence": "ED-0042",
            "prepared_for": "Alder County, building department",
        },
    },
)
REQUEST_EXAMPLES: dict[str, tuple[Example, ...]] = {
    "createDesign": _DECKS,
    "createTakeoff": _DECKS,
    "compareFootings": _DECKS,
    "drawSheet": (_PLAN,),
    "createPermitPackage": (_PACKAGE, _PACKAGE_OF_A_JOB),
    "layoutStair": (_RISE, _BUILT),
    "checkMember": (_JOIST, _BEAM, _POST, _FOOTING, _LEDGER, _GUARD_POST),
}

"""Decks people build, for tests that need many of them: a strategy written by hand.

Sizes come in inches and half feet, stairs and objects stand where they fit, names exist.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

JURISDICTIONS = ("alder-county", "ketterwick-township", "sallowmere-bay", "sundrel-flats")
RULEBOOKS = ("irc-2015", "irc-2018", "irc-2021", "irc-2024")
WALLS = (
    "wood_band",
    "wood_band",
    "wood_band",
    "engineered_rim",
    "poured_concrete",
    "brick_veneer",
    "unknown",
    "none",
)
SPECIES = ("southern_pine", "douglas_fir_larch", "hem_fir", "redwood", "western_cedar")

widths_ft = st.integers(12, 48).map(lambda halves: halves / 2)
projections_ft = st.integers(10, 32).map(lambda halves: halves / 2)
YARD_EDGE = 2
STAIR_IN = 42


@st.composite
def levels(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "width_ft": draw(widths_ft),
        "projection_ft": draw(projections_ft),
        "surface_height_in": float(draw(st.integers(8, 120))),
        "decking": {"material": draw(st.sampled_from(("wood", "composite")))},
    }


@st.composite
def sites(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "ground_snow_load_psf": draw(st.sampled_from((None, None, None, 30, 50, 70, 90))),
        "frost_depth_in": draw(st.sampled_from((None, None, None, 36, 60))),
        "soil_class": draw(st.sampled_from(("unknown", "unknown", "unknown", "sand", "clay"))),
        "rig_access_width_in": draw(st.sampled_from((None, 30, 72))),
        "water_table_depth_in": draw(st.sampled_from((None, None, 120))),
    }


@st.composite
def houses(draw: st.DrawFn, surface_in: float) -> dict[str, Any]:
    return {
        "wall": draw(st.sampled_from(WALLS)),
        "foundation_wall": draw(st.sampled_from(("unknown", "poured_concrete", "hollow_block"))),
        "door_sill_height_in": draw(st.sampled_from((None, surface_in + 1, surface_in + 1.5))),
        "rim_depth_in": draw(st.sampled_from((None, 9.25, 11.25))),
        "foundation_depth_in": draw(st.sampled_from((None, None, 96))),
    }


@st.composite
def framings(draw: st.DrawFn) -> dict[str, Any]:
    return {
        "species": draw(st.sampled_from(SPECIES)),
        "attachment": draw(st.sampled_from(("auto", "auto", "ledger", "freestanding"))),
        "joist_size": draw(st.sampled_from((None, None, None, "2x8", "2x10"))),
        "joist_spacing_in": draw(st.sampled_from((None, None, None, 12, 16, 19.2))),
        "beam_placement": draw(st.sampled_from(("auto", "auto", "dropped", "flush"))),
        "objective": draw(st.sampled_from(("cost", "fewest_footings", "stiffness"))),
    }


@st.composite
def deck_specs(draw: st.DrawFn) -> dict[str, Any]:
    """A deck of one rectangular level."""
    level = draw(levels())
    spec: dict[str, Any] = {
        "jurisdiction": draw(st.sampled_from(JURISDICTIONS)),
        "rulebook": draw(st.sampled_from((None, None, None, None, *RULEBOOKS))),
        "price_book": draw(st.sampled_from((None, "brindlemoor-yard"))),
        "as_of": "2026-11-25",
        "levels": [level],
        "site": draw(sites()),
        "house": draw(houses(level["surface_height_in"])),
        "framing": draw(framings()),
        "foundation": {"method": draw(st.sampled_from(("auto", "auto", "tube_form_pier", "helical_pile")))},
    }
    room_ft = level["width_ft"] - STAIR_IN / 12
    if room_ft >= 0 and draw(st.booleans()):
        offset_ft = draw(st.integers(0, int(room_ft * 2))) / 2
        spec["stairs"] = [{"edge": YARD_EDGE, "offset_ft": offset_ft, "width_in": STAIR_IN}]
    if draw(st.integers(0, 4)) == 0:
        spec["crew"] = {"currency": "USD", "hourly_rate": "48.00", "crew_day_value": "1450.00"}
    return spec

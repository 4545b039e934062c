"""Decks drawn by hypothesis: plain JSON specs over what this version frames, and over what it must refuse well."""

from __future__ import annotations

from typing import Any

from context import EDITIONS, NOWHERE
from hypothesis import strategies as st

SIZES = ("2x6", "2x8", "2x10", "2x12")
SPECIES = ("southern_pine", "douglas_fir_larch", "hem_fir", "redwood", "ponderosa_pine")
WALLS = ("wood_band", "unknown", "none", "brick_veneer", "hollow_block")


def feet(low: float, high: float) -> st.SearchStrategy[float]:
    """A length to the inch."""
    return st.integers(int(low * 12), int(high * 12)).map(lambda inches: inches / 12)


def pins() -> st.SearchStrategy[dict[str, Any]]:
    """Any of the pins of a frame, mostly none."""
    return st.fixed_dictionaries(
        {"species": st.sampled_from(SPECIES)},
        optional={
            "joist_size": st.sampled_from(SIZES),
            "joist_spacing_in": st.sampled_from((12, 16, 19.2, 24)),
            "beam_size": st.sampled_from((*SIZES, "4x10")),
            "beam_plies": st.sampled_from((1, 2, 3)),
            "beam_placement": st.sampled_from(("dropped", "flush")),
            "post_size": st.sampled_from(("4x4", "6x6", "8x8")),
            "attachment": st.sampled_from(("ledger", "freestanding")),
        },
    )


@st.composite
def decks(draw: st.DrawFn) -> dict[str, Any]:
    """One level, any size and height, any wall, pinned here and there, under any edition."""
    surface = draw(st.sampled_from((5.0, 9.0, 14.0, 20.0, 30.0, 36.0, 48.0, 96.0, 150.0)))
    foundation: dict[str, Any] = draw(
        st.sampled_from(
            ({}, {}, {"method": "tube_form_pier", "pier_diameter_in": 14}, {"method": "helical_pile"})
        )
    )
    return {
        "rulebook": f"irc-{draw(st.sampled_from(EDITIONS))}",
        "site": {**NOWHERE, "ground_snow_load_psf": draw(st.sampled_from((0, 30, 45, 70, 90)))},
        "house": {
            "wall": draw(st.sampled_from(WALLS)),
            "door_sill_height_in": surface + 1.5,
            "rim_depth_in": 11.25,
        },
        "levels": [
            {"width_ft": draw(feet(3, 36)), "projection_ft": draw(feet(3, 28)), "surface_height_in": surface}
        ],
        "stairs": draw(st.sampled_from(([], [], [{"edge": 2, "offset_ft": 0, "width_in": 36}]))),
        # these laws are told along x and y; other directions and outlines have a referee of their own
        "framing": {**draw(pins()), "joist_direction": "away_from_house"},
        "foundation": foundation,
    }


@st.composite
def framed_decks(draw: st.DrawFn) -> dict[str, Any]:
    """Decks with the frame pinned, so that two of them can be compared member by member."""
    beam = draw(st.sampled_from(("2x10", "2x12")))
    return {
        "rulebook": f"irc-{draw(st.sampled_from(EDITIONS))}",
        "site": dict(NOWHERE),
        "house": {"wall": "none"},
        "levels": [
            {"width_ft": draw(feet(6, 16)), "projection_ft": draw(feet(6, 10)), "surface_height_in": 48}
        ],
        "framing": {
            "attachment": "freestanding", "species": draw(st.sampled_from(SPECIES[:3])), "joist_size": "2x10",
            "joist_spacing_in": draw(st.sampled_from((12, 16))), "beam_size": beam, "beam_plies": 3,
            "post_size": "6x6", "joist_direction": "away_from_house",
        },
    }  # fmt: skip

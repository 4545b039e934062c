"""Decks whose answers are compared byte by byte between processes."""

from __future__ import annotations

from typing import Any

DECKS: tuple[dict[str, Any], ...] = (
    {
        "jurisdiction": "alder-county",
        "house": {
            "wall": "wood_band",
            "door_sill_height_in": 37.5,
            "rim_depth_in": 11.25,
            "foundation_depth_in": 96,
        },
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
        "stairs": [{"edge": 2, "offset_ft": 6, "width_in": 48}],
    },
    {
        "jurisdiction": "alder-county",
        "levels": [{"width_ft": 30, "projection_ft": 19, "surface_height_in": 60}],
        "heavy_objects": [
            {"kind": "hot_tub", "x_ft": 8, "y_ft": 2, "width_ft": 7, "length_ft": 7, "filled_weight_lb": 4600}
        ],
        "framing": {"one_size": True},
    },
)

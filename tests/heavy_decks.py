"""Decks that take long, within what a spec may ask for."""

from __future__ import annotations

from typing import Any

_SIDES = ((0, 1), (0, 3), (1, 1), (1, 3), (2, 1), (2, 3), (3, 1), (3, 2))
_WALL = {
    "wall": "wood_band",
    "foundation_wall": "poured_concrete",
    "door_sill_height_in": 61.5,
    "rim_depth_in": 11.25,
    "floor_joist_direction": "toward_deck",
}


def _level(number: int, width_ft: float, depth_ft: float) -> dict[str, Any]:
    return {
        "id": f"level-{number}",
        "origin_ft": [0, (depth_ft + 1) * number],
        "width_ft": width_ft,
        "projection_ft": depth_ft,
        "surface_height_in": 60 - 8 * number,
        "house_edges": [0] if number == 0 else [],
    }


# As many levels, stairs and square feet as are taken: four levels of 5,000 sq ft, eight stairs.
LARGEST: dict[str, Any] = {
    "jurisdiction": "alder-county",
    "price_book": "brindlemoor-yard",
    "house": _WALL,
    "levels": [_level(number, 100, 50) for number in range(4)],
    "stairs": [
        {"level": f"level-{level}", "edge": edge, "offset_ft": 4, "width_in": 48} for level, edge in _SIDES
    ],
}


def _saw(teeth: int) -> list[list[float]]:
    """An outline whose far side goes in and out, tooth by tooth: 4 corners each."""
    far: list[list[float]] = []
    for tooth in range(teeth):
        left, depth_ft = 6 * tooth, 14.0 if tooth % 2 else 18.0
        far += [[left, depth_ft], [left + 6, depth_ft]]
    return [[0, 0], [6 * teeth, 0], *reversed(far)]


# Many corners: each region of the outline is framed on its own.
CORNERED: dict[str, Any] = {
    "jurisdiction": "alder-county",
    "price_book": "brindlemoor-yard",
    "levels": [
        {"outline_ft": _saw(12), "surface_height_in": 48, "house_edges": [0]},
    ],
}

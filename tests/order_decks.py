"""Decks whose orders are looked at whole: every example request, and shapes the examples leave out."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from context import context, designed, spec_of
from recorded import KNOWN_WALL

from service.contract.report import DesignReport

EXAMPLES = Path(__file__).parents[1] / "openapi" / "examples"
HELD = (
    "levels",
    "framing",
    "house",
    "site",
    "stairs",
    "foundation",
    "heavy_objects",
    "jurisdiction",
    "rulebook",
)
PLACE = {"jurisdiction": "alder-county"}


def _walled(surface_in: float) -> dict[str, Any]:
    return {**PLACE, "house": {**KNOWN_WALL, "door_sill_height_in": surface_in + 1.5}}


MORE: dict[str, dict[str, Any]] = {
    "hand-counted": {
        **_walled(36),
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 36}],
        "stairs": [{"edge": 2, "offset_ft": 6, "width_in": 48}],
        "foundation": {"method": "tube_form_pier"},
        # the frame the count was made for; the search is free to find a cheaper one
        "framing": {"joist_size": "2x8", "joist_spacing_in": 16, "beam_size": "2x8", "beam_plies": 2},
    },
    "landing-stair": {
        **_walled(168),
        "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 168,
                    "decking": {"material": "wood", "angle_deg": 45}}],
        "stairs": [{"edge": 2, "offset_ft": 6, "width_in": 48}],
    },
    "helical-freestanding-near-salt": {
        **PLACE,
        "site": {"salt_water_distance_ft": 100},
        "levels": [{"width_ft": 20, "projection_ft": 14, "surface_height_in": 60,
                    "decking": {"material": "wood", "border_boards": 2}}],
        "foundation": {"method": "helical_pile"},
        "stairs": [{"edge": 3, "offset_ft": 4, "width_in": 48}],
    },
    "surface-posts-flush-beam": {
        **_walled(40),
        "levels": [{"width_ft": 14, "projection_ft": 10, "surface_height_in": 40,
                    "guard": {"post_mount": "surface"}}],
        "framing": {"beam_placement": "flush", "species": "douglas_fir_larch"},
        "stairs": [{"edge": 1, "offset_ft": 3, "width_in": 36}],
    },
    "one-step": {
        "jurisdiction": "sundrel-flats",
        "house": {"wall": "none"},
        "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 20}],
        "stairs": [{"edge": 2, "offset_ft": 3, "width_in": 48}],
    },
    "steel-without-section-tables": {
        **PLACE,
        "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 30}],
        "framing": {"material": "light_gauge_steel"},
    },
}  # fmt: skip


def _requests() -> dict[str, dict[str, Any]]:
    files = [one for one in sorted(EXAMPLES.glob("*.json")) if "answer" not in one.name]
    return {one.stem: json.loads(one.read_text(encoding="utf-8")) for one in files} | MORE


REQUESTS = _requests()


@cache
def ordered(name: str) -> DesignReport:
    """The report of a deck by its name, with the demo prices."""
    request = {key: value for key, value in REQUESTS[name].items() if key in HELD}
    return designed(spec_of(**request), context(request.get("jurisdiction"), request.get("rulebook")))


def short_of(name: str, *out: tuple[str, float | None], **instead: Any) -> DesignReport:
    """The report of a deck while a yard is out of items: each by what its code begins with, and a length or all.

    Fields named take the place of the deck's own.
    """
    request = REQUESTS[name] | instead
    where = context(request["jurisdiction"])
    book = where.prices
    assert book is not None
    lines = tuple(
        replace(line, availability="out")
        if any(line.item.startswith(code) and length in (None, line.length_ft) for code, length in out)
        else line
        for line in book.lines
    )
    return designed(spec_of(**request), replace(where, prices=replace(book, lines=lines)))

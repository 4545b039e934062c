"""One small member check of each kind, for tests that vary it."""

from __future__ import annotations

from typing import Any

HERE: dict[str, Any] = {"rulebook": "irc-2021", "ground_snow_load_psf": 30}
JOIST = {**HERE, "kind": "joist", "species": "southern_pine", "size": "2x10", "spacing_in": 16}
BEAM = {**HERE, "kind": "beam", "species": "southern_pine", "size": "2x10", "plies": 3, "joist_span_ft": 8}
BOTH = {**BEAM, "joists_on_both_sides": True, "far_joist_span_ft": 6, "joists_over_beam": "broken"}
POST = {**HERE, "kind": "post", "species": "hem_fir", "size": "6x6", "tributary_sqft": 60, "beam_plies": 2}
FOOTING = {**HERE, "kind": "footing", "load_lb": 3000, "soil_bearing_psf": 1500}
LEDGER = {
    **HERE,
    "kind": "ledger",
    "fastener": "lag_screw",
    "sheathing_thickness_in": 0.5,
    "joist_span_ft": 12,
}
GUARD_POST = {
    "rulebook": "irc-2021",
    "kind": "guard_post",
    "guard_height_in": 36,
    "mount": "side",
    "carrier_size": "2x10",
}

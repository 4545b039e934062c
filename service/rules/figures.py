"""Which single figures of a code a local amendment may change, add or take away, and still be kept to."""

from __future__ import annotations

from collections.abc import Mapping

# Every design reads these as numbers. Of other rows it keeps the words alone, or nothing: a change there would be told
# and not kept to.
READ_FIGURES = frozenset(
    {
        "stair_width", "flight_rise", "riser_height", "riser_variation", "tread_depth", "nosing_projection_min",
        "nosing_projection_max", "nosing_not_required_tread_depth", "landing_depth", "door_drop_other",
        "door_drop_required_exit", "handrail_required_risers", "handrail_height_min", "handrail_height_max",
        "guard_required_above", "guard_grade_check_distance", "guard_height", "stair_guard_height",
        "guard_opening_sphere", "stair_guard_opening_sphere", "stair_triangle_sphere", "open_riser_sphere",
        "deck_live_load", "stair_live_load", "guard_top_load", "bearing_crystalline_bedrock",
        "bearing_sedimentary_rock", "bearing_sandy_gravel", "bearing_sand", "bearing_clay", "footing_depth",
        "deck_footing_depth", "footing_exemption_area", "footing_exemption_height",
        "beam_bearing_on_concrete", "stainless_within_salt_water",
    }
)  # fmt: skip
# Rows no published code has, which a place may add: the table they belong to, and their unit.
LOCAL_FIGURES: Mapping[str, tuple[str, str]] = {"deck_footing_width": ("loads_and_soil", "in")}
# What allows something: without it nothing is allowed. Any other figure has to be there.
REMOVABLE_FIGURES = frozenset({"footing_exemption_area", "footing_exemption_height"})

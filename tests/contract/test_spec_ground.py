"""What is said of the ground has a range: outside it, the field's place, the reason and what is allowed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.contract.fault_bodies import faults, spec

# published ranges of the request: field, least, most
RANGES = [
    ("site", "frost_depth_in", 0, 120), ("site", "water_table_depth_in", 0, 600), ("site", "rock_depth_in", 0, 600),
    ("site", "soil_bearing_psf", 500, 12000), ("site", "rig_access_width_in", 0, 1200),
    ("site", "grade_fall_x_in_per_ft", -6, 6), ("site", "grade_fall_y_in_per_ft", -6, 6),
    ("house", "foundation_depth_in", 0, 180), ("house", "backfill_age_years", 0, 300),
    ("foundation", "pier_diameter_in", 8, 48),
]  # fmt: skip


@pytest.mark.parametrize(("part", "field", "least", "most"), RANGES)
def test_ground_outside_its_range_is_refused_with_its_place(
    part: str, field: str, least: float, most: float
) -> None:
    for value in (least - 0.01, most + 0.01, -1e9, 1e9):
        (fault,) = faults(spec(**{part: {field: value}}))
        assert (fault.pointer, fault.code) == (f"/{part}/{field}", "out_of_range")
        assert fault.allowed is not None
        assert str(least) in fault.detail or str(most) in fault.detail
    for value in (least, most):
        assert not faults(spec(**{part: {field: value}}))


WRONG: list[tuple[str, str, Any, str]] = [
    ("site", "expansive_soil", "yes", "wrong_type"), ("site", "expansive_soil", 1, "wrong_type"),
    ("site", "soil_class", "gravel", "not_in_list"), ("house", "excavation_slope", "type_d", "not_in_list"),
    ("house", "foundation_depth_in", "8 ft", "wrong_type"), ("foundation", "method", "screw_pile", "not_in_list"),
]  # fmt: skip


@pytest.mark.parametrize(("part", "field", "value", "code"), WRONG)
def test_words_and_answers_about_the_ground_are_checked(part: str, field: str, value: Any, code: str) -> None:
    (fault,) = faults(spec(**{part: {field: value}}))
    assert (fault.pointer, fault.code) == (f"/{part}/{field}", code)


@pytest.mark.parametrize("swells", [True, False, None])
def test_expansive_soil_is_yes_no_or_not_known(swells: bool | None) -> None:
    assert not faults(spec(site={"expansive_soil": swells}))


def test_what_may_be_is_taken() -> None:
    """Water at the ground, rock over the frost, a foundation on the ground: unusual, and no mistake for sure."""
    site = {"water_table_depth_in": 0, "rock_depth_in": 0, "frost_depth_in": 120}
    assert not faults(spec(site=site, house={"foundation_depth_in": 0}))

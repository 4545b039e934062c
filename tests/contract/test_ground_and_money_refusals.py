"""Ground, depths and money that cannot be: each is refused with its place and what is allowed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.contract.fault_bodies import faults, found, spec

# Allowed ranges: the table of request fields of the interface.
NUMBERS: dict[str, tuple[str, str, float, float]] = {
    "soil_bearing": ("site", "soil_bearing_psf", 500, 12_000),
    "frost_depth": ("site", "frost_depth_in", 0, 120),
    "water_table": ("site", "water_table_depth_in", 0, 600),
    "rock": ("site", "rock_depth_in", 0, 600),
    "foundation_depth": ("house", "foundation_depth_in", 0, 180),
    "backfill_age": ("house", "backfill_age_years", 0, 300),
    "pier": ("foundation", "pier_diameter_in", 8, 48),
    "crew_size": ("crew", "size", 1, 20),
}
CREW = {"crew": {"currency": "USD"}, "house": {"wall": "wood_band"}}


def _given(part: str, field: str, value: Any) -> dict[str, Any]:
    return spec(**{part: {**CREW.get(part, {}), field: value}})


@pytest.mark.parametrize(("part", "field", "least", "most"), NUMBERS.values(), ids=NUMBERS)
def test_absurd_number_is_refused_with_its_range(part: str, field: str, least: float, most: float) -> None:
    for value in (least - 1, most + 1, -most, 1e9):
        (fault,) = faults(_given(part, field, value))
        assert (fault.pointer, fault.code) == (f"/{part}/{field}", "out_of_range")
        assert fault.allowed
        said = [limit for limit in (fault.allowed.min, fault.allowed.max) if limit is not None]
        assert said
        assert set(map(float, said)) <= {least, most}
        assert fault.detail
    for value in (least, most):
        assert found(_given(part, field, value)) == []


@pytest.mark.parametrize("value", ["deep", None, True, [1], {}], ids=str)
def test_ground_that_is_no_number_is_refused_or_absent(value: Any) -> None:
    expected = [] if value is None else [("wrong_type", "/site/water_table_depth_in")]
    assert found(_given("site", "water_table_depth_in", value)) == expected


@pytest.mark.parametrize("value", ["quicksand", "", "CLAY", "clay "])
def test_soil_nobody_knows_is_refused(value: str) -> None:
    (fault,) = faults(_given("site", "soil_class", value))
    assert (fault.pointer, fault.code) == ("/site/soil_class", "not_in_list")
    assert fault.allowed
    assert "clay" in (fault.allowed.one_of or ())


@pytest.mark.parametrize("field", ["hourly_rate", "crew_day_value"])
@pytest.mark.parametrize(
    "value", ["-1.00", "1e3", "NaN", "1,450.00", "100000.01", "12.5", "12.345", " 9.00", ""]
)
def test_absurd_pay_is_refused_with_its_form(field: str, value: str) -> None:
    (fault,) = faults(_given("crew", field, value))
    assert (fault.pointer, fault.code) == (f"/crew/{field}", "bad_pattern")
    most = {"hourly_rate": "1000.00", "crew_day_value": "100000.00"}[field]
    assert fault.allowed
    assert fault.allowed.pattern
    assert (fault.allowed.min, fault.allowed.max) == ("0.00", most)
    assert f"0.00 to {most} " in fault.detail


def test_every_absurd_value_is_named_at_once() -> None:
    given = spec(
        site={"soil_bearing_psf": -1, "water_table_depth_in": -5, "rock_depth_in": 1e6},
        house={"wall": "wood_band", "foundation_depth_in": -96},
        crew={"currency": "USD", "size": 0, "crew_day_value": "-3.00"},
    )
    assert {pointer for _, pointer in found(given)} == {
        "/site/soil_bearing_psf", "/site/water_table_depth_in", "/site/rock_depth_in",
        "/house/foundation_depth_in", "/crew/size", "/crew/crew_day_value",
    }  # fmt: skip

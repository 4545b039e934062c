"""Bearing, volumes, torque and bags against worked examples that others published."""

from __future__ import annotations

import math

import pytest

from service.foundations.heave import grip_lb
from service.foundations.pile_capacity import (
    helix_bearing_lb,
    required_torque_ft_lb,
    torque_factor_limit_per_ft,
)
from service.foundations.volumes import bell_cuft, cylinder_cuft
from service.sizing.footings import (
    bearing_area_sqft,
    net_bearing_psf,
    round_for_in,
    square_for_in,
    whole_inches_up,
)
from service.takeoff.concrete import bags

# AWC DCA 6 Table 4 (edition not shown on the page seen): beam span ft, joist span ft, round, square, thickness in
DCA_6_TABLE_4 = [
    (6, 10, 18, 16, 7), (8, 14, 24, 21, 10), (10, 18, 31, 27, 13),
    (12, 14, 30, 26, 13), (14, 18, 37, 33, 16), (16, 10, 29, 26, 12),
]  # fmt: skip
# 77 Ill. Adm. Code 870 Table B: load lb, bearing psf, area sq in as printed
ILLINOIS = [(3200, 1000, 461), (4250, 1500, 408), (7050, 2000, 508), (5300, 3000, 254)]


@pytest.mark.parametrize("case", DCA_6_TABLE_4, ids=lambda c: f"DCA-6-Table-4-beam-{c[0]}ft-joist-{c[1]}ft")
def test_own_weight_of_the_base(case: tuple[float, float, float, float, float]) -> None:
    beam_ft, joist_ft, diameter, side, thickness = case
    load_lb = 50.0 * beam_ft * (joist_ft / 2 + joist_ft / 4)
    area = bearing_area_sqft(load_lb, net_bearing_psf("base", 1500.0, thickness, 0.0))
    assert whole_inches_up(round_for_in(area)) == diameter
    # the sides are rounded up as well, but for one of 26.04 printed 26
    assert side - 1 < square_for_in(area) <= side + 0.05


@pytest.mark.parametrize("case", ILLINOIS, ids=lambda c: f"77-Ill-Adm-Code-870-Table-B-{c[0]}lb-{c[1]}psf")
def test_area_from_load_and_bearing(case: tuple[float, float, float]) -> None:
    load_lb, bearing_psf, printed = case
    assert bearing_area_sqft(load_lb, bearing_psf) * 144 == pytest.approx(printed, abs=0.5)


def test_forum_of_code_officials_12_in_tube_on_1500_psf() -> None:
    # "about 1170 lb available" with the area rounded to 113 sq in
    assert pytest.approx(1177, abs=1) == 1500 * 113 / 144
    assert round_for_in(bearing_area_sqft(1178.1, 1500)) == pytest.approx(12.0, abs=0.01)


def test_estimating_in_building_construction_example_10_3_bell() -> None:
    assert bell_cuft(18, 42, 60) == pytest.approx(8.96, abs=0.005)


def test_public_how_to_page_8_in_hole_36_in_deep_takes_two_80_lb_bags() -> None:
    volume = cylinder_cuft(8, 36)
    assert volume == pytest.approx(1.0, abs=0.05)
    assert bags(volume, 80, 0.0) == 2


def test_public_page_on_concrete_cylinders_10_in_3_ft() -> None:
    # the page rounds the radius to 0.42 ft
    assert cylinder_cuft(10, 36) == pytest.approx(1.66, rel=0.015)


@pytest.mark.parametrize(("bag_lb", "per_cuyd"), [(40, 90), (50, 72), (60, 60), (80, 45), (90, 40)])
def test_bag_yield_rule_bags_in_a_cubic_yard(bag_lb: float, per_cuyd: int) -> None:
    assert bags(27.0, bag_lb, 0.0) == per_cuyd


def test_common_practice_no_source_12_in_pier_32_in_deep_takes_six_60_lb_bags() -> None:
    assert bags(cylinder_cuft(12, 32), 60) == 6


def test_common_practice_no_source_12_in_pier_carries_about_24_sqft() -> None:
    assert 1500 * math.pi * 6**2 / 144 / 50 == pytest.approx(24, abs=0.5)
    assert round_for_in(bearing_area_sqft(24 * 50, 1500)) == pytest.approx(12, abs=0.15)


def test_ac358_october_2016_torque_factor_of_a_3_5_in_shaft() -> None:
    # the assigned factor 7 is from memory; the equation was seen
    assert torque_factor_limit_per_ft(3.5) == pytest.approx(7.0, abs=0.05)


# Q = Kt T with safety 2, 4000 lb: Kt 1/ft, torque ft-lb
@pytest.mark.parametrize(("kt", "torque"), [(10, 800), (9, 889), (8, 1000), (7, 1143)])
def test_ibc_1810_3_3_1_9_torque_for_4000_lb(kt: float, torque: float) -> None:
    assert required_torque_ft_lb(4000, 2, kt) == pytest.approx(torque, abs=0.5)


def test_engineering_forum_individual_bearing_of_a_14_in_helix() -> None:
    assert helix_bearing_lb([1.05], 5000, 9) == pytest.approx(47_250)


# ICC-ES AC358, October 2016: Kt = 22.285 d^-0.9195; diameters in (round, or about a square bar), factors as collected
AC358 = [
    (2.121, 11.16), (2.475, 9.69), (2.875, 8.44), (3.0, 8.12), (3.5, 7.04), (2.375, 10.06), (4.0, 6.23), (4.5, 5.59),
    (2.828, 8.57), (3.182, 7.69), (4.243, 5.9),
]  # fmt: skip


@pytest.mark.parametrize("case", AC358, ids=lambda c: f"ICC-ES-AC358-October-2016-{c[0]}in-shaft")
def test_torque_factor_by_the_equation(case: tuple[float, float]) -> None:
    diameter_in, factor = case
    assert torque_factor_limit_per_ft(diameter_in) == pytest.approx(factor, abs=0.005)


def test_two_helices_in_clay_of_1500_psf_bear_16_7_kips_computed() -> None:
    # 10 and 12 in on a 2.875 in shaft: 1.240 sq ft net
    assert helix_bearing_lb([0.5003, 0.7403], 1500, 9) == pytest.approx(16_740, abs=10)


# Canadian Foundation Engineering Manual, 4th edition, quoting Penner 1974: kPa on 32 in of frost; round to the hundred
GRIPS = [
    ("12-in-pier-65-kPa", math.pi * 12, 65, 11_400), ("8-in-pier-65-kPa", math.pi * 8, 65, 7_600),
    ("2.875-in-shaft-100-kPa", math.pi * 2.875, 100, 4_200), ("1.5-in-square-bar-100-kPa", 4 * 1.5, 100, 2_800),
]  # fmt: skip


@pytest.mark.parametrize("case", GRIPS, ids=lambda c: f"CFEM-4th-edition-{c[0]}-computed")
def test_grip_of_freezing_soil(case: tuple[str, float, float, float]) -> None:
    _, perimeter_in, kpa, force_lb = case
    assert grip_lb(perimeter_in, 32, kpa * 20.885) == pytest.approx(force_lb, abs=50)

"""Members of a supplier's sections against published examples and closed forms."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from context import timber

from service.mechanics.beam import Beam, Point
from service.rules.sections import SECTION_EXAMPLE, SupplierSection
from service.sizing.calculated_members import Member, MemberLine, member_lines
from service.sizing.calculated_species import all_on_deck
from service.sizing.supplier_sections import Ply, section_lines, section_span
from service.timber.refusal import NoRule
from service.timber.sections import section

STEEL = SupplierSection(
    section="925s200-54", material="light_gauge_steel", use="both", depth_in=9.25, width_in=2.0, weight_plf=2.8,
    service="wet", protection="g90", most_plies=1, fb_psi=None, fv_psi=None, fc_perp_psi=None, e_psi=29_500_000.0,
    inertia_in4=9.51, allowable_moment_lb_ft=4710.0, allowable_shear_lb=850.0, allowable_reaction_lb=550.0,
    reaction_bearing_in=1.5, item="light_gauge_steel.925s200-54.50ksi.g90", source="Invented",
)  # fmt: skip


def lines(ply: Ply, beam: Beam, dead: float, live: float, bearing_in: float = 3.5) -> dict[str, MemberLine]:
    return {one.check: one for one in section_lines(ply, beam, dead, live, bearing_in)}


def test_aisc_design_example_f_1_1_a_w18x50_over_35_ft() -> None:
    """AISC Design Examples, F.1-1A: 35 ft, 0.45 kip/ft dead, 0.75 live, L/360 (figures from memory).

    Ma = 184 kip-ft against 252; deflection limit 1.17 in; moment of inertia needed 746 in4 of the 800 there are.
    """
    beam = replace(
        STEEL, e_psi=29_000_000.0, inertia_in4=800.0, allowable_moment_lb_ft=252_000.0,
        allowable_shear_lb=128_000.0, allowable_reaction_lb=100_000.0,
    )  # fmt: skip
    found = lines(Ply(beam), Beam(35.0, (0.0, 35.0)), 450.0, 750.0)
    assert round(found["bending"].demand / 1000) == 184
    assert round(found["deflection"].capacity, 2) == 1.17
    # the example divides by the limit as it rounds it
    assert round(800 * found["deflection"].demand / 1.17) == 746
    assert "bending_and_shear" not in found


def test_two_equal_spans_by_the_beam_formulas_of_awc_design_aid_6() -> None:
    """Figure of two equal spans, uniform load: M = w L2 / 8, V = 5 w L / 8, middle reaction 10 w L / 8."""
    w, span = 60.0, 11.0
    found = lines(Ply(STEEL), Beam(2 * span, (0.0, span, 2 * span)), 0.0, w, bearing_in=1.5)
    moment, shear, reaction = w * span**2 / 8, 0.625 * w * span, 1.25 * w * span
    assert found["bending"].demand == pytest.approx(moment)
    assert found["shear"].demand == pytest.approx(shear)
    assert found["bearing"].demand == pytest.approx(reaction)
    # AISI S100-16 H2 and AISI 1996 C3.5.1, both from memory
    assert found["bending_and_shear"].demand == pytest.approx(math.hypot(moment / 4710, shear / 850))
    assert found["bending_and_reaction"].demand == pytest.approx((1.2 * reaction / 550 + moment / 4710) / 1.5)


def test_a_simple_span_by_the_beam_formulas_of_awc_design_aid_6() -> None:
    """Figure of a simple span, uniform load: w L2 / 8, w (L / 2 - d), 5 w L4 / 384 E I, by hand."""
    found = lines(Ply(SECTION_EXAMPLE, 2), Beam(12.0, (0.0, 12.0)), 100.0, 400.0)
    assert found["bending"].demand == pytest.approx(500 * 12**2 / 8 * 12 / (3.5 * 9.25**2 / 6))
    assert found["shear"].demand == pytest.approx(1.5 * 500 * (6 - 9.25 / 12) / (3.5 * 9.25))
    assert found["bearing"].demand == pytest.approx(500 * 6 / (3.5 * 3.5))
    inertia = 3.5 * 9.25**3 / 12
    bent = 5 * (400 / 12) * 144**4 / (384 * 1_700_000 * inertia)
    assert found["deflection"].demand == pytest.approx(bent)
    assert found["deflection"].capacity == pytest.approx(144 / 360)


def test_an_overhang_by_the_beam_formulas_of_awc_design_aid_6() -> None:
    """Point load at the tip of an overhang: M = P a, deflection P a2 (L + a) / 3 E I; a / 180 (IRC R507.6)."""
    points = [Point(12.0, 220.0)]
    for ply in (Ply(SECTION_EXAMPLE), Ply(STEEL)):
        found = {
            one.check: one for one in section_lines(ply, Beam(12.0, (0.0, 10.0)), 0.0, 1e-6, 1.5, points)
        }
        stiffness = ply.section.e_psi * ply.inertia_in4
        over = found["overhang_deflection"]
        assert over.demand == pytest.approx(220 * 24**2 * (120 + 24) / (3 * stiffness), rel=1e-4)
        assert over.capacity == pytest.approx(24 / 180)
    assert found["bending"].demand == pytest.approx(440.0, rel=1e-4)


def test_with_the_values_of_sawn_lumber_the_checks_are_those_of_sawn_lumber() -> None:
    """Hem-fir 2x10: the adjusted values of NDS put in a section table give what the sawn member's check gives."""
    (values,) = _adjusted()
    as_table = replace(
        SECTION_EXAMPLE, width_in=1.5, fb_psi=values.fb_psi, fv_psi=values.fv_psi, fc_perp_psi=values.fc_perp_psi,
        e_psi=values.e_psi,
    )  # fmt: skip
    beam = Beam(15.0, (0.0, 12.5))
    sawn = member_lines(timber(), Member("hem_fir", "2x10"), beam, 13.3, 53.3)
    assert not isinstance(sawn, NoRule)
    ours = section_lines(Ply(as_table), beam, 13.3, 53.3, 1.5)
    assert [(one.check, one.demand, one.capacity) for one in ours] == [
        (one.check, one.demand, one.capacity) for one in sawn
    ]


def _adjusted():  # type: ignore[no-untyped-def]
    piece = section("2x10")
    assert not isinstance(piece, NoRule)
    found = all_on_deck(timber(), "hem_fir", "no_2", piece, "live", 1.0, "")
    assert not isinstance(found, NoRule)
    return found


@pytest.mark.parametrize("one", [SECTION_EXAMPLE, STEEL, replace(STEEL, allowable_moment_lb_ft=900.0)])
@pytest.mark.parametrize("load", [30.0, 66.7, 160.0])
def test_at_its_span_a_section_is_full_and_no_fuller(one: SupplierSection, load: float) -> None:
    """The span found from closed forms is where the checks of the solved beam reach 1 (shear at the support)."""
    ply = Ply(one)
    found = section_span(ply, 0.2 * load, 0.8 * load, 1.5)
    feet = found.value / 12
    checked = lines(ply, Beam(feet, (0.0, feet)), 0.2 * load, 0.8 * load, 1.5)
    most = max(line.ratio for line in checked.values())
    assert checked[found.governing].ratio == pytest.approx(most) or found.governing == "shear"
    assert most == pytest.approx(1.0, rel=1e-9) or found.governing == "shear"


@pytest.mark.parametrize("bearing_in", [0.75, 1.5, 3.5])
def test_a_reaction_is_never_more_than_the_table_has_and_less_on_less_bearing(bearing_in: float) -> None:
    found = lines(Ply(STEEL), Beam(10.0, (0.0, 10.0)), 10.0, 40.0, bearing_in)
    assert found["bearing"].capacity == pytest.approx(550.0 * min(1.0, bearing_in / 1.5))

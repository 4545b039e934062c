"""How much a frame gives, against the beam solver and figures by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from context import criteria
from laid import arranged, rectangle_region

from service.choice.search.deflection import Deflections, row_shares_ft, stiffness_lb_in2
from service.mechanics.beam import Beam, Uniform
from service.mechanics.response import analyse
from service.sizing.calculated_joists import joist_span

RULES = criteria("2021")


def test_a_joist_at_the_span_its_deflection_limits_gives_a_360th_of_it() -> None:
    """Joists 2x6 of hem-fir at 12 in are limited by L/360 (IRC R301.7): there both calculations have to meet."""
    rules = criteria("2021", species="hem_fir")
    assert rules.timber is not None
    found = joist_span(rules.timber, "hem_fir", "2x6", 12.0, 40.0)
    laid = arranged(rectangle_region(192.0, found.value + 3.0, "ledger"), (found.value + 1.5,))
    assert found.governing == "deflection"
    assert Deflections(rules).joists(laid, "2x6", 12.0) == pytest.approx(
        max(laid.lines[0][2].spans_in) / 360, rel=1e-6
    )


@pytest.mark.parametrize("at_in", [96.0, 120.0])
def test_a_beam_gives_what_the_solver_finds_for_its_longest_span(at_in: float) -> None:
    """Half of it counts where joists hang on a ledger all along, all of it where both their ends stand on beams."""
    stiff = stiffness_lb_in2(RULES, "2x10", 2)
    hung = arranged(rectangle_region(192.0, 144.0, "ledger"), (at_in,))
    free = arranged(rectangle_region(192.0, 144.0, "wall"), (24.0, at_in))
    for laid, part in ((hung, 0.5), (free, 1.0)):
        spans = [max(row.spans_in) for row in laid.rows]
        most = max(
            _solved_in(span, share, stiff) for span, share in zip(spans, row_shares_ft(laid), strict=True)
        )
        found = Deflections(RULES).beams(laid, "2x10", 2, [spans])
        assert found == pytest.approx([part * most], rel=1e-3)


def test_behind_a_ledger_the_bay_between_two_beams_goes_down_with_both() -> None:
    """At its middle: half of what each of its two beams gives."""
    stiff = stiffness_lb_in2(RULES, "2x10", 2)
    laid = arranged(rectangle_region(192.0, 252.0, "ledger"), (120.0, 240.0))
    spans = [max(row.spans_in) for row in laid.rows]
    each = [_solved_in(span, share, stiff) for span, share in zip(spans, row_shares_ft(laid), strict=True)]
    assert each[0] > 1.5 * each[1]
    assert Deflections(RULES).beams(laid, "2x10", 2, [spans]) == pytest.approx([sum(each) / 2], rel=1e-3)


def _solved_in(span_in: float, share_ft: float, stiff: float) -> float:
    span_ft = span_in / 12
    solved = analyse(Beam(span_ft, (0.0, span_ft)), [Uniform(0.0, span_ft, 40.0 * share_ft)], stiff)
    return max(abs(peak.value) for peak in solved.bay_deflections_in)


def test_snow_counts_where_it_is_more_and_deeper_stiffer_wood_gives_less() -> None:
    laid = arranged(rectangle_region(192.0, 144.0, "ledger"), (120.0,))
    light, snow = (
        Deflections(RULES).joists(laid, "2x8", 16.0),
        Deflections(criteria("2021", 60)).joists(laid, "2x8", 16.0),
    )
    assert snow == pytest.approx(1.5 * light)
    assert Deflections(RULES).joists(laid, "2x10", 16.0) < light
    assert Deflections(RULES).joists(laid, "2x8", 12.0) == pytest.approx(0.75 * light)


def test_the_least_stiff_species_behind_a_name_counts() -> None:
    """E of NDS Supplement Table 4A (second hand): No. 2 hem-fir 1.3, spruce-pine-fir 1.4, wet service 0.9."""
    fir, pine = (
        stiffness_lb_in2(criteria("2021", species=one), "2x8") for one in ("hem_fir", "southern_pine")
    )
    assert fir < pine
    inertia = 1.5 * 7.25**3 / 12
    assert fir == pytest.approx(1.3e6 * 0.9 * 0.95 * inertia)


def test_without_design_values_nothing_is_told() -> None:
    laid = arranged(rectangle_region(192.0, 144.0, "ledger"), (120.0,))
    assert Deflections(replace(RULES, timber=None)).joists(laid, "2x8", 16.0) == 0.0

"""Beams whose plies are joined over posts: judged as one piece and span by span, each post by all it carries."""

from __future__ import annotations

import pytest
from context import criteria, timber

from service.checks.calculated import beam_findings
from service.contract.report_frame import Beam, Splice
from service.units.finding import Finding

SPAN_IN, PLF = 96.0, 500.0
ONE = Splice(1, "main.post-1-2")
TWO = Splice(2, "main.post-1-3")


def beam(*splices: Splice, spans: int = 3) -> Beam:
    """A beam of two 2x12 plies over equal spans of 8 ft, 500 plf, without overhangs."""
    return Beam(
        id="main.beam-1", mark="B1", size="2x12", plies=2, placement="dropped", species="hem_fir", grade="no_2",
        start_ft=(0.0, 10.0), end_ft=(8.0 * spans, 10.0), bottom_height_in=20.0,
        supports_ft=tuple(8.0 * n for n in range(spans + 1)), spans_in=(SPAN_IN,) * spans,
        overhang_start_in=0.0, overhang_end_in=0.0, splices=splices, line_load_plf=PLF,
    )  # fmt: skip


def found(*splices: Splice, spans: int = 3) -> dict[str, list[Finding]]:
    by_check: dict[str, list[Finding]] = {}
    for one in beam_findings(
        beam(*splices, spans=spans), "4x4", criteria("2021", species="hem_fir"), timber()
    ):
        by_check.setdefault(one.check, []).append(one)
    return by_check


def test_a_post_under_a_joint_bears_both_spans_over_its_whole_seat() -> None:
    """Joined or not: as one piece 1.1 to 1.2 w L comes down at worst, which a joint does not take away.

    Three equal spans, dead load everywhere, live on the two beside a support: R = 1.1 wd L + 1.2 wl L (handbook
    table of continuous beams: 1.100 and 1.200). wd = 100, wl = 400 plf, L = 8 ft: 880 + 3,840 = 4,720 lb on
    2 x 1.5 x 3.5 = 10.5 sq in: 449.5 psi.
    """
    plain, joined = found(), found(ONE, TWO)
    (alone,), (together,) = plain["beam_bearing_on_post"], joined["beam_bearing_on_post"]
    assert alone.demand == pytest.approx(449.5, abs=0.3)
    assert together.demand == alone.demand


def test_joined_beams_are_judged_as_one_piece_and_span_by_span() -> None:
    """Simple span: M = w L2 / 8 = 4,000 lb ft; as one piece it is less, its shear 0.617 wl + 0.6 wd of L is more."""
    plain, joined = found(), found(ONE, TWO)
    bending = [one.demand for one in joined["beam_bending"]]
    assert len(bending) == 4
    assert bending[0] == plain["beam_bending"][0].demand
    # S = 2 x 1.5 x 11.25^2 / 6 = 63.28 in3
    assert max(bending) == pytest.approx(12 * 4000 / 63.28125, rel=1e-4)
    shear = [one.demand for one in joined["beam_shear"]]
    assert shear[0] == plain["beam_shear"][0].demand == max(shear)


def test_a_post_bears_at_least_what_the_spans_on_both_sides_bring() -> None:
    """Span by span: (w L1 + w L2) / 2 = 500 x (8 + 8) / 2 = 4,000 lb at least, whatever the beam does as one piece."""
    (bearing,) = found(ONE, TWO)["beam_bearing_on_post"]
    assert bearing.demand * 10.5 >= 4000


def test_a_beam_without_joints_is_one_piece() -> None:
    assert {name: len(every) for name, every in found().items() if name != "beam_deflection"} == {
        "beam_bending": 1, "beam_shear": 1, "beam_bearing_on_post": 1,
    }  # fmt: skip

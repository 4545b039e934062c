"""A place's greater live load on stairs: no stringer span is read for it, and no beam under it counts as under snow."""

from __future__ import annotations

from dataclasses import replace

import pytest
from context import criteria, designed, spec_of, timber
from overlays import LAW, block, context_of, place_of

from service.checks.calculated import beam_findings, post_compression, stair_load_kind
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Post
from service.framing.edge_loads import EdgeLoad, Taken
from service.mechanics.beam import Uniform
from service.rules.amend import apply_amendments
from service.sizing.criteria import Criteria

ROW = 'key = "stair_live_load"'


def stairs_of(psf: float) -> str:
    return block("stairs", "loads_and_soil", ROW, f"value = {psf}")


def report(*amendments: str) -> DesignReport:
    spec = spec_of(
        jurisdiction="fellmarch-borough",
        levels=[{"width_ft": 14, "projection_ft": 10, "surface_height_in": 28}],
        stairs=[{"edge": 2, "offset_ft": 4, "width_in": 36}],
    )
    return designed(spec, context_of(place_of(*amendments)))


def test_a_stair_that_carries_more_than_the_guides_forty_psf_is_an_engineers_by_the_local_row() -> None:
    plain, heavy = report(), report(stairs_of(100))
    assert plain.verdict.status == "prescriptive", plain.verdict.reasons
    assert heavy.verdict.status == "engineer_required"
    (reason,) = [one for one in heavy.verdict.reasons if one.code == "size_or_spacing_off_tables"]
    assert reason.text == "stringer span is for less live load than the stair's: 100 psf, limit 40"
    assert reason.member == "deck.stair-1"
    assert (reason.citation.document, reason.citation.section) == (LAW, "stairs")
    (check,) = [one for one in heavy.checks if one.check == "stringer_span"]
    assert (check.demand, check.capacity, check.unit, check.passes) == (100, 40, "psf", False)


def test_a_local_row_of_the_same_forty_psf_changes_no_verdict() -> None:
    assert report(stairs_of(40)).verdict == report().verdict


def snowed(stair_psf: float, snow_psf: float) -> Criteria:
    plain = criteria("2021", snow_psf, "hem_fir")
    return replace(plain, rulebook=apply_amendments(plain.rulebook, place_of(stairs_of(stair_psf))))


@pytest.mark.parametrize(
    ("stair_psf", "snow_psf", "kind"),
    [(40, 50, "snow"), (50, 50, "snow"), (100, 50, "live"), (40, 30, "live"), (100, 30, "live")],
)
def test_the_load_that_lasts_longest_decides_where_it_is_the_greatest(stair_psf, snow_psf, kind) -> None:
    assert stair_load_kind(snowed(stair_psf, snow_psf)) == kind


def beam(size: str = "2x12") -> Beam:
    return Beam(
        id="main.beam-1", mark="B1", size=size, plies=2, placement="dropped", species="hem_fir", grade="no_2",
        start_ft=(0.0, 10.0), end_ft=(8.0, 10.0), bottom_height_in=20.0, supports_ft=(0.0, 8.0), spans_in=(96.0,),
        overhang_start_in=0.0, overhang_end_in=0.0, splices=(), line_load_plf=500.0,
    )  # fmt: skip


def bending_capacity(where: Criteria, *stairs: Taken, under_stair: bool = False) -> float:
    found = beam_findings(beam(), "4x4", where, timber(), stairs, under_stair)
    return next(one.capacity for one in found if one.check == "beam_bending")


def test_a_beam_in_snow_has_no_snows_duration_under_a_stair_of_more_live_load() -> None:
    """CD is 1.15 for snow and 1.0 for floor live load (NDS 2.3.2): stronger by that only where snow is the most."""
    heavy, usual = snowed(100, 50), snowed(40, 50)
    on_it = Taken(
        EdgeLoad("deck.stair-1", 2, (2.0, 10.0), (5.0, 10.0), 700.0), 0, Uniform(2.0, 5.0, 233.3), 0.0
    )
    bare = bending_capacity(heavy)
    assert bare == bending_capacity(usual, on_it) == bending_capacity(usual, under_stair=True)
    assert bending_capacity(heavy, on_it) == pytest.approx(bare / 1.15)
    assert bending_capacity(heavy, under_stair=True) == pytest.approx(bare / 1.15)


def test_a_post_under_such_a_stair_neither() -> None:
    post = Post(
        id="main.post-1-1", mark="P1", size="4x4", species="hem_fir", grade="no_2", x_ft=0.0, y_ft=10.0,
        level="main", height_in=24.0, cut_length_in=24.0, load_lb=3000.0, base=None, cap=None, beam="main.beam-1",
    )  # fmt: skip
    heavy = snowed(100, 50)
    (alone,) = post_compression(post, 3000.0, heavy)
    (under,) = post_compression(post, 3000.0, heavy, under_stair=True)
    assert under.capacity < alone.capacity

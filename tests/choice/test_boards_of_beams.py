"""Boards of one size may be sold shorter than those of another: plies are joined by what their own size comes in."""

from __future__ import annotations

from typing import Any

import pytest
from context import NOWHERE, context, designed, prices, spec_of

from service.contract.report import DesignReport

SHORT, LONG = "lumber.2x6.douglas_fir_larch.no_2.uc4a", "lumber.2x10.douglas_fir_larch.no_2.uc3b"
# 27 ft 3 in of beam: with a joint it took boards of 18 ft, which 2x6 is not sold in
JOINED: dict[str, Any] = {
    "site": {**NOWHERE, "ground_snow_load_psf": 0},
    "house": {"wall": "none"},
    "levels": [{"width_ft": 27.25, "projection_ft": 179 / 12, "surface_height_in": 30}],
    "framing": {"species": "douglas_fir_larch", "beam_size": "2x6", "joist_size": "2x12"},
}  # fmt: skip


def longest_in(item: str) -> float:
    return 12 * max(line.length_ft or 0.0 for line in prices().lines if line.item == item)


@pytest.fixture(scope="module")
def report() -> DesignReport:
    return designed(spec_of(**JOINED), context(None, "irc-2018"))


def test_the_book_sells_2x6_shorter_than_2x10() -> None:
    assert (longest_in(SHORT), longest_in(LONG)) == (192.0, 240.0)


def test_no_ply_is_longer_than_boards_of_its_size(report: DesignReport) -> None:
    plies = [one for one in report.takeoff.pieces if one.item == SHORT]
    assert plies
    assert max(one.length_in for one in plies) <= longest_in(SHORT)
    assert SHORT not in {one.item for one in report.takeoff.unpriced}


def test_joints_of_the_frame_are_those_of_the_order(report: DesignReport) -> None:
    """Three plies of 327 in, each in two or three boards: a joint more than a board less one for each ply."""
    beams = report.levels[0].beams
    joints = sum(len(beam.splices) for beam in beams)
    pieces = sum(one.quantity for one in report.takeoff.pieces if one.item == SHORT)
    assert pieces == sum(beam.plies for beam in beams) + joints

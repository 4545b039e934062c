"""Boards of one size may be sold shorter than those of another: joists lap and plies are joined by their own size's."""

from __future__ import annotations

from typing import Any

import pytest
from choice.priced_cases import case_of
from context import NOWHERE, context, designed, prices, spec_of

from service.choice.search.decide import search_of
from service.choice.search.plans import plans
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


@pytest.mark.parametrize("projection_ft", [16.5, 18.0, 24.0])
@pytest.mark.parametrize("attachment", ["ledger", "freestanding"])
def test_no_joist_is_longer_than_boards_of_its_size(projection_ft: float, attachment: str) -> None:
    """2x8 is sold to 16 ft: over that joists lap on a beam between, or are of another size."""
    item = "lumber.2x8.douglas_fir_larch.no_2"
    level = {"width_ft": 14, "projection_ft": projection_ft, "surface_height_in": 40}
    framing = {"species": "douglas_fir_larch", "joist_size": "2x8", "attachment": attachment}
    house = {"wall": "wood_band", "door_sill_height_in": 41.5}
    spec = spec_of(site=NOWHERE, house=house, levels=[level], framing=framing)
    report = designed(spec, context(None, "irc-2021"))
    joists = [one for one in report.takeoff.pieces if item in one.item]
    assert joists
    assert max(one.length_in for one in joists) <= max(longest_in(one.item) for one in joists) == 192.0


def test_joists_of_every_size_tried_lap_as_their_own_boards_are_sold() -> None:
    """18 ft of floor: 2x10 is sold to 20 ft and runs through, 2x6 and 2x8 to 16 ft lap on the beam between."""
    level = {"width_ft": 14, "projection_ft": 18, "surface_height_in": 40}
    framing = {"species": "douglas_fir_larch", "attachment": "freestanding"}
    case = case_of(levels=[level], framing=framing)
    (region,) = next(iter(plans(case, "freestanding"))).regions
    seen = set()
    for choice in search_of(case, region).field(1).joists:
        board_in = 12 * max(
            line.length_ft or 0.0
            for line in prices().lines
            if line.item.startswith(f"lumber.{choice.size}.douglas_fir_larch.no_2.")
        )
        assert choice.laid.longest_piece_in <= board_in
        seen.add((choice.size, choice.laid.lapped))
    assert seen >= {("2x8", True), ("2x10", False)}

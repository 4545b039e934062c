"""Footings that stand too near each other: no table is for ground that is pressed on twice."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import msgspec
from context import context, designed, spec_of

from service.checks.footings_apart import judge_apart
from service.contract.report import DesignReport
from service.contract.report_frame import Footing

PINNED_IN = {"tube_form_pier": 40}
METHODS = ("tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile")
# Gaps that leave ground between the last hole of one level and the first of the other, and less than 6 in of it.
SOME_GROUND_FT = {"tube_form_pier": 37 / 12, "belled_pier": 19 / 12, "post_on_buried_pad": 19 / 12}


def two_levels(gap_ft: float, method: str) -> DesignReport:
    """Two free-standing levels side by side on soft clay: the last post of one, the first of the other."""
    side = {"width_ft": 18, "projection_ft": 16}
    levels: list[dict[str, Any]] = [
        {"id": "main", "surface_height_in": 40, **side},
        {"id": "low", "origin_ft": [18 + gap_ft, 0], "surface_height_in": 30, **side},
    ]
    asked = {
        "house": {"wall": "none"},
        "levels": levels,
        "foundation": {"method": method, "pier_diameter_in": PINNED_IN.get(method)},
        "site": {"soil_bearing_psf": 500},
    }
    return designed(spec_of(jurisdiction="alder-county", **asked), context("alder-county"))


def needed_in(a: Footing, b: Footing) -> float:
    """6 in of ground between two holes; helices count singly three diameters apart (both from memory)."""
    if a.pile and b.pile:
        return 3.0 * max(*a.pile.helices, *b.pile.helices)
    wide = [
        one.concrete.base_size_in or one.concrete.shaft_diameter_in or 0.0 for one in (a, b) if one.concrete
    ]
    return sum(wide) / 2.0 + 6.0


def too_near(report: DesignReport) -> set[str]:
    return {
        b.id
        for a, b in combinations(report.footings, 2)
        if 12 * math.dist((a.x_ft, a.y_ft), (b.x_ft, b.y_ft)) < needed_in(a, b)
    }


def test_footings_too_near_are_an_engineers() -> None:
    near = set()
    for method in METHODS:
        for gap_ft in (0.0, SOME_GROUND_FT.get(method, 0.5), 8.0):
            report = two_levels(gap_ft, method)
            assert report.footings
            told = {one.member for one in report.verdict.reasons if one.code == "footings_overlap"}
            assert told == too_near(report), (method, gap_ft)
            near.add((method, bool(told)))
    # a tube or a bell too wide for its neighbour, and room enough
    assert {(method, True) for method in ("tube_form_pier", "belled_pier")} <= near
    assert {told for _, told in near} == {True, False}


def test_piles_stand_three_diameters_of_the_larger_helix_apart() -> None:
    """14 in and 10 in: 42 in, from memory of how capacities of single helices are added; a hair less is too near."""
    report = two_levels(8.0, "helical_pile")
    one = next(found for found in report.footings if found.pile)
    assert one.pile is not None
    wide = msgspec.structs.replace(one.pile, helices=(10.0, 14.0))
    for apart_in, told in ((42.1, False), (41.9, True)):
        first = msgspec.structs.replace(one, id="first", x_ft=0.0, y_ft=0.0, pile=wide)
        single = msgspec.structs.replace(one.pile, helices=(12.0,))
        other = msgspec.structs.replace(one, id="other", x_ft=apart_in / 12, y_ft=0.0, pile=single)
        assert bool(judge_apart([first, other]).reasons) is told

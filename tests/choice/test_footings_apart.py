"""Footings that stand too near each other: no table is for ground that is pressed on twice."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import pytest
from context import context, designed, spec_of

from service.contract.report import DesignReport
from service.contract.report_frame import Footing


def two_levels(gap_ft: float, method: str) -> DesignReport:
    """Two free-standing levels side by side: the last post of one, the first of the other."""
    levels: list[dict[str, Any]] = [
        {"id": "main", "width_ft": 18, "projection_ft": 16, "surface_height_in": 40},
        {
            "id": "low",
            "origin_ft": [12 + gap_ft, 0],
            "width_ft": 10,
            "projection_ft": 12,
            "surface_height_in": 30,
        },
    ]
    # soft clay makes bases wide, whatever else an engineer says to it
    soft = {"soil_bearing_psf": 500}
    foundation = {"method": method, "pier_diameter_in": 40 if method == "tube_form_pier" else None}
    asked = {"house": {"wall": "none"}, "levels": levels, "foundation": foundation, "site": soft}
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


@pytest.mark.parametrize(
    "method", ["tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad", "helical_pile"]
)
def test_footings_too_near_are_an_engineers(method: str) -> None:
    found = set()
    for gap_ft in (0.0, 0.5, 8.0):
        report = two_levels(gap_ft, method)
        assert report.footings
        told = {one.member for one in report.verdict.reasons if one.code == "footings_overlap"}
        assert told == too_near(report)
        found.add(bool(told))
    assert found == {True, False}

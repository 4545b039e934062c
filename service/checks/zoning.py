"""Setbacks: how near the deck and its stairs come to the lot lines."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from service.checks.judged import Judged, reason
from service.contract.report_frame import Point, Stair
from service.contract.spec import PropertyLineSpec
from service.units.citation import Citation
from service.units.finding import Finding, at_least
from service.units.working import step

ZONING = Citation(document="zoning ordinance, as given by the caller", status="second_hand")


def _reach(points: Sequence[Point], side: str) -> float:
    """How far the deck reaches towards a side from where that side's distance is measured, ft."""
    if side == "rear":
        return max(y for _, y in points)
    return -min(x for x, _ in points) if side == "left" else max(x for x, _ in points)


def _check(line: PropertyLineSpec, points: Sequence[Point]) -> Finding:
    reach = _reach(points, line.side)
    left = line.distance_from_house_ft - reach
    steps = (
        step("line", line.distance_from_house_ft, "ft", f"caller, {line.side}"),
        step("reach", reach, "ft", "deck and stairs"),
    )
    found = at_least(f"site.{line.side}-line", "setback", "rule", left, line.setback_ft, "ft", ZONING, steps)
    if found.passes:
        return found
    return msgspec.structs.replace(
        found, would_pass=f"{line.setback_ft - left:.4g} ft less towards that line"
    )


def judge_setbacks(
    lines: Sequence[PropertyLineSpec], corners: Sequence[Point], stairs: Sequence[Stair]
) -> Judged:
    """Judge the distance of deck and stairs, with the landings at their feet, to every lot line given."""
    points = [*corners, *(corner for stair in stairs for corner in stair.footprint_ft)]
    findings = tuple(_check(line, points) for line in lines)
    reasons = tuple(
        reason(
            "setback",
            f"{finding.demand:.4g} ft is left to the {finding.member.split('.')[1].replace('-', ' ')}: "
            f"{finding.capacity:.4g} ft is asked.",
            finding.member,
            finding.citation,
        )
        for finding in findings
        if not finding.passes
    )
    return Judged(findings, reasons)

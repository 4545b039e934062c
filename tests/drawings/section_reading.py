"""A section read back from its SVG: members by id, places in ft and heights in inches."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from drawings.sheet_checks import SVG, Sheet, corners_pt
from shapely.geometry import LineString

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Level
from service.contract.spec_level import LevelSpec
from service.drawings.sheets import sheet_svg

# dressed depths and widths as everyone in the trade knows them: American Softwood Lumber Standard PS 20
DEPTH_IN = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
PLY_IN = 1.5
Outline = Sequence[tuple[float, float]]


def drawn(report: DesignReport, paper: str = "tabloid") -> Sheet:
    return Sheet(sheet_svg(report, "section", paper))


def plane_ft(sheet: Sheet) -> float:
    return float(sheet.group("section").attrib["data-x-ft"])


def near_ft(sheet: Sheet) -> float:
    """What rounding to hundredths of a point leaves, twice over, ft."""
    return 0.021 / float(sheet.group("section").attrib["data-pt-per-ft"])


def outlines(sheet: Sheet, one: Element) -> list[list[tuple[float, float]]]:
    """The polygons of a group, places in ft and heights in inches."""
    return [
        [(y, 12 * height) for y, height in (sheet.feet(corner, "section") for corner in corners_pt(shape))]
        for shape in one.iter(f"{SVG}polygon")
    ]


def reach(outline: Outline) -> tuple[float, float, float, float]:
    """From where to where, ft, and from what height to what height, in."""
    ys, heights = zip(*outline, strict=True)
    return min(ys), max(ys), min(heights), max(heights)


def members(sheet: Sheet) -> dict[str, Element]:
    """What is drawn, by what it is in the report."""
    return {one.attrib["data-member"]: one for one in sheet.root.iter() if "data-member" in one.attrib}


def cut_beams(report: DesignReport, sheet: Sheet) -> Iterator[tuple[LevelSpec, Level, Beam, float]]:
    """Beams the plane goes through, found here by crossing two lines in plan with a library of others."""
    plane = LineString([(plane_ft(sheet), -400), (plane_ft(sheet), 400)])
    for spec, level in zip(report.resolved_spec.levels, report.levels, strict=True):
        for beam in level.beams:
            met = LineString([beam.start_ft, beam.end_ft]).intersection(plane)
            if met.geom_type == "Point":
                yield spec, level, beam, met.coords[0][1]


def told_beside(sheet: Sheet) -> str:
    return " ".join(one.text or "" for one in sheet.group("side").iter(f"{SVG}text"))

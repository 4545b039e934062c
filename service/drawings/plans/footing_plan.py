"""The footing plan: every footing at its place from the house corner, what it is, and the ground it stands in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise
from xml.etree.ElementTree import Element

from shapely import unary_union
from shapely.geometry import MultiPolygon, Polygon, box

from service.contract.plan import outline_in_frame
from service.contract.report import DesignReport
from service.contract.report_frame import Footing
from service.drawings.kit.dimensions import SIZE_PT, Baseline, string
from service.drawings.kit.ink import GREY, HATCH, LIGHT, At, Stroke, circle, group, hatched, line, polygon
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box, width_pt
from service.drawings.kit.paper import Paper, View
from service.drawings.kit.sheet import Content
from service.drawings.plans.footing_notes import notes_of
from service.drawings.plans.footing_schedule import place_table, type_table
from service.drawings.plans.footing_symbols import symbol, widest_in
from service.drawings.plans.ordinates import ordinates
from service.drawings.plans.plan import Reach, Room, Shown, house, outlines, reach_of, shown, view_of
from service.units.text import feet_inches

TITLE = "Footing plan"
NO_FRAME = "NO FRAME WAS FOUND"
_ROOM = Room(88.0, 34.0, 34.0, 82.0)
_LOT_LINE_PT = 14.0
_DECK = Stroke(0.5, "9 3", GREY)
_STRING_PT, _NEXT_PT, _ORDINATE_PT = 16.0, 15.0, 16.0
_PAST_PT = 22.0
_CORNERS = ((-1, -1), (1, -1), (-1, 1), (1, 1))


def footing_plan(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return the footing plan of the whole deck, or of one level."""
    part = shown(report, level)
    reach = _with_origin(reach_of(part))
    view, placing = view_of(reach, paper, _room_beside(report)), Placing(paper.area)
    for footing in part.footings:
        if not _is_slab(footing):
            placing.keep(_room_of(footing, view))
    body = [
        group(_zones(report, reach, view), id="backfill", **view.data),
        house(report, part, view, placing),
        group([*outlines(part, view, _DECK), *_stairs(part, view)], id="deck-above"),
        group(_dimensions(part, reach, view, placing), id="ordinates"),
        group(_symbols(part, view), id="footings", **view.data),
        _origin(view),
    ]
    _mark(part, view, placing)
    _write(report, part, reach, view, placing)
    return Content(
        TITLE,
        f"Scale {view.scale.text}",
        body,
        placing.written(),
        _told(part),
        (type_table(part.footings), place_table(part.footings)),
        notes_of(report, part, placing),
        view.scale.pt_per_ft,
    )


def _with_origin(reach: Reach) -> Reach:
    left, top, right, bottom = reach
    return min(left, 0.0), min(top, 0.0), max(right, 0.0), max(bottom, 0.0)


def _room_beside(report: DesignReport) -> Room:
    rear = any(one.side == "rear" for one in report.resolved_spec.site.property_lines)
    return _ROOM._replace(bottom=_ROOM.bottom + _LOT_LINE_PT * rear)


def _is_slab(footing: Footing) -> bool:
    """Whether its mark may stand on it: a pad on the ground, with two sides."""
    return footing.concrete is not None and footing.concrete.width_in is not None


def _room_of(footing: Footing, view: View) -> Box:
    (x, y), half = view.at(footing.x_ft, footing.y_ft), view.pt(widest_in(footing)) / 2
    return Box(x - half, y - half, x + half, y + half)


def _symbols(part: Shown, view: View) -> list[Element]:
    stairs = {stair.id: stair for stair in part.stairs}
    return [symbol(one, stairs.get(one.serves), view) for one in part.footings]


def _stairs(part: Shown, view: View) -> list[Element]:
    return [
        group([polygon([view.at(*corner) for corner in stair.footprint_ft], _DECK)], id=stair.id)
        for stair in part.stairs
        if stair.footprint_ft
    ]


def _dug(report: DesignReport, reach: Reach, view: View) -> list[Polygon]:
    """The ground beside the house that was dug out and put back, as far as the sheet shows it."""
    zones = [Polygon(corners) for corners in report.ground.backfill_zones_ft]
    past = _PAST_PT / view.scale.pt_per_ft
    left, top, right, bottom = reach
    shown_ft = unary_union(zones).intersection(box(left - past, top - past, right + past, bottom + past))
    parts = shown_ft.geoms if isinstance(shown_ft, MultiPolygon) else (shown_ft,)
    return [one for one in parts if isinstance(one, Polygon) and not one.is_empty]


def _zones(report: DesignReport, reach: Reach, view: View) -> list[Element]:
    found: list[Element] = []
    for number, zone in enumerate(_dug(report, reach, view), start=1):
        corners = [view.at(x, y) for x, y in zone.exterior.coords[:-1]]
        parts = [*hatched(corners, 7.0), polygon(corners, HATCH._replace(dashes="6 3", weight_pt=0.6))]
        found.append(group(parts, id=f"backfill-zone-{number}"))
    return found


def _origin(view: View) -> Element:
    at = view.at(0.0, 0.0)
    cross = [
        line((at[0] - 7, at[1]), (at[0] + 7, at[1]), LIGHT),
        line((at[0], at[1] - 7), (at[0], at[1] + 7), LIGHT),
    ]
    return group([circle(at, 3.5, LIGHT), *cross], id="origin")


def _dimensions(part: Shown, reach: Reach, view: View, placing: Placing) -> list[Element]:
    """Places from the origin, below and on the left, and what lies between them where there is room."""
    if not part.footings:
        return []
    left, _, _, bottom = reach
    across = Baseline(view.at(0.0, bottom), (1.0, 0.0), (0.0, 1.0))
    down = Baseline(view.at(left, 0.0), (0.0, 1.0), (-1.0, 0.0))
    places = [(one.x_ft, one.y_ft) for one in part.footings]
    return [
        *_running(across, places, 0, _rows(part, 0), view, placing),
        *_running(down, places, 1, _rows(part, 1)[:1], view, placing),
    ]


def _running(
    base: Baseline,
    places: Sequence[At],
    axis: int,
    rows: Iterable[Sequence[float]],
    view: View,
    placing: Placing,
) -> list[Element]:
    per_ft, out = view.scale.pt_per_ft, _STRING_PT
    found: list[Element] = []
    for row in rows:
        texts = [feet_inches(12 * (b - a)) for a, b in pairwise(row)]
        stops = [place * per_ft for place in row]
        if _fits(stops, texts):
            found += string(base, stops, texts, out, placing).parts
            out += _NEXT_PT
    stops_pt = {"0": (0.0, base.out_of(view.at(0.0, 0.0)) + 4.0)}
    for place in places:
        text, begins = feet_inches(12 * place[axis]), base.out_of(view.at(*place)) + 4.0
        _, before = stops_pt.get(text, (0.0, begins))
        stops_pt[text] = (place[axis] * per_ft, max(before, begins))
    # the lines first: the texts of the strings lie over them
    return [*ordinates(base, stops_pt, out + _ORDINATE_PT - _STRING_PT + 10.0, placing), *found]


def _fits(stops: Sequence[float], texts: Sequence[str]) -> bool:
    return all(
        width_pt(text, SIZE_PT) + 7 <= b - a for (a, b), text in zip(pairwise(stops), texts, strict=True)
    )


def _rows(part: Shown, axis: int) -> list[list[float]]:
    """Places along one axis of footings that stand in a row, each different row once; from the origin on the left."""
    rows: dict[str, set[float]] = {}
    for one in part.footings:
        along, other = (one.x_ft, one.y_ft) if axis == 0 else (one.y_ft, one.x_ft)
        rows.setdefault(feet_inches(12 * other) if axis == 0 else "", set()).add(round(along, 3))
    if axis == 1:
        rows[""].add(0.0)
    different = {tuple(sorted(row)): None for row in rows.values() if len(row) > 1}
    return [list(row) for row in different][:2]


def _mark(part: Shown, view: View, placing: Placing) -> None:
    for one in part.footings:
        at, half = view.at(one.x_ft, one.y_ft), view.pt(widest_in(one)) / 2
        near, far = around(at, half + 10, half + 20), around(at, half + 26, half + 80)
        if _is_slab(one):
            near = (*((at[0] + a * half / 2, at[1] + b * half / 2) for a, b in _CORNERS), *near)
        label = Label(one.mark, near, 8.0, bold=True)
        beside = placing.has_room(label)
        placing.place(label if beside else label._replace(places=far, of=at))


def _write(report: DesignReport, part: Shown, reach: Reach, view: View, placing: Placing) -> None:
    for zone in _dug(report, reach, view):
        for text in ("BACKFILL: dug out and put back", "BACKFILL"):
            label = Label(text, _inside(zone, text, view), 7.5)
            if placing.has_room(label):
                placing.place(label)
                break
    for label in _lot_lines(report, placing.room):
        placing.place(label)
    if not any(level.joists for level in part.levels):
        placing.place(_no_frame(part, view))


def _inside(zone: Polygon, text: str, view: View) -> tuple[At, ...]:
    """Places in a zone where a text lies wholly within it, those near its middle first."""
    left, top, right, bottom = zone.bounds
    half = (width_pt(text, 7.5) / 2 / view.scale.pt_per_ft, 6.0 / view.scale.pt_per_ft)
    shares = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
    middles = [(left + a * (right - left), top + b * (bottom - top)) for b in shares for a in shares]
    return tuple(
        view.at(x, y)
        for x, y in middles
        if zone.covers(box(x - half[0], y - half[1], x + half[0], y + half[1]))
    )


def _lot_lines(report: DesignReport, area: Box) -> list[Label]:
    """Where lot lines lie, told at their side of the sheet."""
    wide, high = area.right - area.left, area.bottom - area.top
    found = []
    for one in report.resolved_spec.site.property_lines:
        text = f"{one.side.capitalize()} lot line {feet_inches(12 * one.distance_from_house_ft)} from the "
        text += "house wall" if one.side == "rear" else "origin"
        text += f", setback {feet_inches(12 * one.setback_ft)}"
        shares = (0.5, 0.35, 0.65, 0.25, 0.75)
        if one.side == "rear":
            places = [
                (area.left + share * wide, area.bottom - aside) for aside in (7, 17) for share in shares
            ]
            found.append(Label(text, tuple(places)))
        else:
            x = area.left + 6 if one.side == "left" else area.right - 6
            found.append(Label(text, tuple((x, area.top + share * high) for share in shares), turn_deg=-90.0))
    return found


def _no_frame(part: Shown, view: View) -> Label:
    corners = [corner for spec in part.specs for corner in outline_in_frame(spec)]
    xs, ys = zip(*corners, strict=True)
    middle = view.at((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    return Label(NO_FRAME, (middle, *around(middle)), 11.0, bold=True)


def _told(part: Shown) -> str:
    kinds = Counter(one.method.replace("_", " ") for one in part.footings)
    counted = ", ".join(f"{count} {kind}" for kind, count in kinds.items()) or "none: no frame was found"
    return (
        f"Footings from above, the house at the top: {counted}. Places are from the house corner, to centres."
    )

"""The section: the deck cut from the house out into the yard, from below its footings to the top of its guard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple
from xml.etree.ElementTree import Element

from service.contract.report import DesignReport
from service.contract.report_frame import Brace
from service.drawings.kit.dimensions import APART_PT, FIRST_PT, Baseline, string
from service.drawings.kit.ink import CENTRE, At, group, line
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.paper import Paper, View, scale_for
from service.drawings.kit.sheet import Content
from service.drawings.kit.side import Table
from service.drawings.plans.plan import Room, shown
from service.drawings.section import section_house, section_ink
from service.drawings.section.section_cut import Cut, CutLevel, cut_of, ground_line, height_at
from service.drawings.section.section_house import Wall, walls_of
from service.drawings.section.section_ink import at, beam_heights, box, joist_heights
from service.drawings.section.section_marks import mark_joists, mark_members
from service.drawings.section.section_words import Call, braces_of, calls_of, notes_of
from service.units.text import feet_inches

TITLE = "Section"
NO_FRAME = "NO FRAME WAS FOUND"
_ROOM = Room(22.0, 24.0, 74.0, 62.0)
_LEVEL_PT = 34.0
_STAIR_FT, _MARGIN_IN, _HEAD_IN = 6.0, 8.0, 14.0


class Scene(NamedTuple):
    """All that a section shows, and where: the plane, walls, ground, ends along it in ft, heights in inches."""

    report: DesignReport
    cut: Cut
    walls: tuple[Wall, ...]
    braces: tuple[Brace, ...]
    ground_ft: tuple[At, ...]
    ends_ft: tuple[float, float]
    heights_in: tuple[float, float]


def section(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return the section of the whole deck, or of one level."""
    scene = _scene(report, level)
    view, placing = _view(scene, paper), Placing(paper.area)
    calls = calls_of(report, scene.cut, scene.braces)
    dimensions = group(_dimensions(scene, view, placing), id="dimensions")
    mark_joists(scene.cut, view, placing)
    for wall in scene.walls:
        _mark_house(scene, wall, view, placing)
    _keep_members(scene, view, placing)
    _mark_ground(scene, view, placing)
    if not any(one.level.joists for one in scene.cut.levels):
        _tell_no_frame(scene, view, placing)
    _call(calls, view, placing)
    mark_members(scene.cut, view, placing)
    body = [
        group(_ground(scene, view), id="ground"),
        group(_members(scene, view), id="section", x_ft=repr(scene.cut.x_ft), **view.data),
        dimensions,
    ]
    return Content(
        TITLE,
        f"Scale {view.scale.text}",
        body,
        placing.written(),
        _told(scene),
        (_connections(calls),),
        _notes(scene, placing),
        view.scale.pt_per_ft,
    )


def _scene(report: DesignReport, level: str | None) -> Scene:
    part = shown(report, level)
    cut = cut_of(part)
    walls = tuple(wall for one in cut.levels for wall in walls_of(report, one, cut.x_ft))
    ends = _ends(cut, walls)
    faces = [wall.y_ft for wall in walls if wall.out > 0]
    ground = ground_line(report, cut, (min(faces, default=ends[0]), ends[1]))
    braces = braces_of(part.levels, cut.posts)
    return Scene(report, cut, walls, braces, ground, ends, _heights(report, cut, walls, ground))


def _ends(cut: Cut, walls: Iterable[Wall]) -> tuple[float, float]:
    ys = [y for one in cut.levels for floor in one.floor_ft for y in floor]
    limit = max(ys) + _STAIR_FT
    ys += [foot.y_ft + side * foot.width_in / 24 for foot in cut.footings for side in (-1, 1)]
    flights = [flight for stair in cut.stairs for flight in stair.flights]
    ys += [min(y + 0.5, limit) for flight in flights for _, y in flight.corners_ft]
    ys += [wall.y_ft - wall.out * section_house.INTO_FT for wall in walls]
    ys += [y for one in cut.levels for beam in one.along for _, y in (beam.start_ft, beam.end_ft)]
    return min(ys) - 0.4, max(ys) + 0.6


def _heights(
    report: DesignReport, cut: Cut, walls: Sequence[Wall], ground: Iterable[At]
) -> tuple[float, float]:
    lows = [height - report.ground.frost_depth_in for _, height in ground]
    lows += [foot.bottom_height_in for foot in cut.footings]
    if walls and report.ground.house_footing_depth_in is not None:
        lows.append(-report.ground.house_footing_depth_in)
    tops = [one.spec.surface_height_in + _HEAD_IN for one in cut.levels]
    tops += [
        one.spec.surface_height_in + guard.height_in
        for one in cut.levels
        for guard in (*one.beyond, *(guard for guard, _, _ in one.guards))
    ]
    return min(lows) - _MARGIN_IN, max(tops) + _MARGIN_IN


def _view(scene: Scene, paper: Paper) -> View:
    (left, right), (low, top), area = scene.ends_ft, scene.heights_in, paper.area
    more = _LEVEL_PT * (len(scene.cut.levels) - 1)
    wide = area.right - area.left - _ROOM.left - more - _ROOM.right
    high = area.bottom - area.top - _ROOM.top - _ROOM.bottom
    scale = scale_for(right - left, (top - low) / 12, wide, high)
    per_ft = scale.pt_per_ft
    spare = (max(0.0, wide - (right - left) * per_ft) / 2, max(0.0, high - (top - low) / 12 * per_ft) / 2)
    origin = (
        area.left + _ROOM.left + more + spare[0] - left * per_ft,
        area.top + _ROOM.top + spare[1] + top / 12 * per_ft,
    )
    return View(scale, origin, -1.0)


def _ground(scene: Scene, view: View) -> list[Element]:
    found: list[Element] = []
    for number, wall in enumerate(scene.walls, start=1):
        corners = section_house.dug(scene.report, wall, scene.ground_ft, scene.ends_ft[1])
        if corners:
            found.append(section_house.backfill(corners, view, number))
    frost = section_ink.frost(scene.ground_ft, scene.report.ground.frost_depth_in, view)
    return [
        *found,
        group(section_ink.ground(scene.ground_ft, view), id="grade"),
        group([frost], id="frost-line"),
    ]


def _members(scene: Scene, view: View) -> list[Element]:
    cut = scene.cut
    top = scene.heights_in[1] - _MARGIN_IN / 2
    limit = scene.ends_ft[1] - 0.6
    return [
        *(section_ink.stair(one, limit, view) for one in cut.stairs),
        *(
            section_house.house(scene.report, wall, height_at(scene.ground_ft, wall.y_ft), top, view, number)
            for number, wall in enumerate(scene.walls, start=1)
        ),
        *(section_ink.footing(one, view) for one in cut.footings),
        *(section_ink.post(one, view) for one in cut.posts),
        *(section_ink.brace(one, view) for one in scene.braces),
        *(part for one in cut.levels for part in section_ink.level(one, view)),
        *_centre_lines(scene, view),
    ]


def _centre_lines(scene: Scene, view: View) -> list[Element]:
    low, _ = scene.heights_in
    beams = [
        (beam.met.y_ft, beam_heights(one, beam.beam)[1]) for one in scene.cut.levels for beam in one.beams
    ]
    lines = [line(at(view, y, top), at(view, y, low), CENTRE) for y, top in beams]
    return [group(lines, id="centre-lines")] if lines else []


def _dimensions(scene: Scene, view: View, placing: Placing) -> list[Element]:
    found: list[Element] = []
    for number, one in enumerate(reversed(scene.cut.levels)):
        found += _level_heights(scene, one, number, view, placing)
    return [*found, *_depths(scene, view, placing), *_along(scene, view, placing)]


def _measured(
    base: Baseline,
    places_ft: Sequence[float],
    texts: Sequence[str],
    out_pt: float,
    view: View,
    placing: Placing,
) -> list[Element]:
    stops = [place * view.scale.pt_per_ft for place in places_ft]
    return string(base, stops, texts, out_pt, placing).parts


def _level_heights(scene: Scene, one: CutLevel, number: int, view: View, placing: Placing) -> list[Element]:
    """Heights of a level over the ground at its outer edge: the outermost level on the right, others on the left."""
    edge = one.floor_ft[-1][1] if number == 0 else one.floor_ft[0][0]
    end = scene.ends_ft[1] if number == 0 else scene.ends_ft[0]
    side = 1.0 if number == 0 else -1.0
    base = Baseline((view.at(end, 0.0)[0], view.origin[1]), (0.0, -1.0), (side, 0.0))
    grade, surface = height_at(scene.ground_ft, edge), one.spec.surface_height_in
    guards = [guard for guard, _, _ in one.guards] or one.beyond
    guard = max((guard.height_in for guard in guards), default=0.0)
    frame = [joist_heights(one)[0]] if one.level.joists else []
    frame += [beam.beam.bottom_height_in for beam in one.beams[-1:]]
    heights = _distinct([grade, *(h for h in frame if h > grade), surface])
    texts = [feet_inches(b - a) for a, b in pairwise(heights)]
    if guard:
        heights, texts = [*heights, surface + guard], [*texts, f"guard {feet_inches(guard)}"]
    out = 10.0 + _LEVEL_PT * max(0, number - 1)
    found = _measured(base, [h / 12 for h in heights], texts, out, view, placing)
    if len(heights) > 2 + bool(guard):
        told = f"surface {feet_inches(surface - grade)}"
        found += _measured(base, [grade / 12, surface / 12], [told], out + APART_PT + 6, view, placing)
    return found


def _distinct(heights: Iterable[float]) -> list[float]:
    found: list[float] = []
    for height in sorted(heights):
        if not found or height - found[-1] > 0.06:
            found.append(height)
    return found


def _depths(scene: Scene, view: View, placing: Placing) -> list[Element]:
    """How deep each footing goes below the ground, beside it."""
    found: list[Element] = []
    for foot in scene.cut.footings:
        edge = view.at(foot.y_ft, 0.0)[0] + view.pt(foot.width_in) / 2
        base = Baseline((edge, view.origin[1]), (0.0, -1.0), (1.0, 0.0))
        heights = (foot.bottom_height_in / 12, foot.grade_height_in / 12)
        told = feet_inches(foot.grade_height_in - foot.bottom_height_in)
        found += _measured(base, heights, [told], 14.0, view, placing)
    return found


def _along(scene: Scene, view: View, placing: Placing) -> list[Element]:
    """How far beams and edges lie from the house, below."""
    low, _ = scene.heights_in
    base = Baseline((view.origin[0], at(view, 0.0, low)[1]), (1.0, 0.0), (0.0, 1.0))
    floors = [y for one in scene.cut.levels for floor in one.floor_ft for y in floor]
    beams = [beam.met.y_ft for one in scene.cut.levels for beam in one.beams]
    start = min([wall.y_ft for wall in scene.walls if wall.out > 0], default=min(floors))
    stops = _apart(sorted({start, *floors, *beams}))
    texts = [feet_inches(12 * (b - a)) for a, b in pairwise(stops)]
    found = _measured(base, stops, texts, 12.0, view, placing)
    if len(stops) > 2:
        whole = feet_inches(12 * (stops[-1] - stops[0]))
        found += _measured(base, [stops[0], stops[-1]], [whole], 12.0 + FIRST_PT + 8, view, placing)
    return found


def _apart(places: Sequence[float]) -> list[float]:
    found: list[float] = []
    for place in places:
        if not found or place - found[-1] > 0.02:
            found.append(place)
    return found


def _tell_no_frame(scene: Scene, view: View, placing: Placing) -> None:
    one = scene.cut.levels[0]
    start, end = one.floor_ft[0]
    middle = at(view, (start + end) / 2, one.spec.surface_height_in)
    placing.place(Label(NO_FRAME, around(middle, 24, 120), 11.0, bold=True))


def _keep_members(scene: Scene, view: View, placing: Placing) -> None:
    """No call-out is written on the house, on a member that is cut, on a post or a footing."""
    kept: list[tuple[float, float, tuple[float, float]]] = []
    for one in scene.cut.levels:
        heights = (joist_heights(one)[0], one.spec.surface_height_in)
        kept += [((a + b) / 2, (b - a) / 2, heights) for a, b in one.floor_ft]
        kept += [(met.y_ft, 0.25 * met.slant, beam_heights(one, beam)) for beam, met in one.beams]
    kept += [(post.y_ft, 0.25, (post.bottom_height_in, post.top_height_in)) for post in scene.cut.posts]
    kept += [
        (foot.y_ft, foot.width_in / 24, (foot.bottom_height_in, foot.top_height_in))
        for foot in scene.cut.footings
    ]
    half = section_house.INTO_FT / 2
    kept += [(wall.y_ft - wall.out * half, half, scene.heights_in) for wall in scene.walls]
    for y, half, heights in kept:
        placing.keep(_paper_box(view, (y - half, y + half), heights))


def _paper_box(view: View, ys_ft: tuple[float, float], heights_in: tuple[float, float]) -> Box:
    (left, bottom), _, (right, top), _ = box(view, ys_ft, heights_in)
    return Box(left, top, right, bottom)


def _call(calls: Sequence[Call], view: View, placing: Placing) -> None:
    for number, call in enumerate(calls, start=1):
        place = at(view, *call.place)
        placing.place(Label(f"{number} {call.name}", around(place, 22, 140), of=place))


def _mark_ground(scene: Scene, view: View, placing: Placing) -> None:
    (left, _), (right, _) = scene.ground_ft[0], scene.ground_ft[-1]
    frost = scene.report.ground.frost_depth_in
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.9, 0.1, 0.25, 0.75)
    ys = [left + share * (right - left) for share in shares]
    grades = [at(view, y, height_at(scene.ground_ft, y)) for y in ys]
    out_there = at(
        view, left + 0.95 * (right - left), height_at(scene.ground_ft, left + 0.95 * (right - left))
    )
    placing.place(Label("grade", tuple((x, y - 7) for x, y in (out_there, *reversed(grades)))))
    deep = view.pt(frost)
    under = [(x, y + deep + aside) for aside in (8, -7, 18, 28) for x, y in grades]
    outside = around((grades[7][0], grades[7][1] + deep), 12, 120)
    placing.place(Label(f"frost line, {feet_inches(frost)} below grade", (*under, *outside)))


def _mark_house(scene: Scene, wall: Wall, view: View, placing: Placing) -> None:
    """What stands and lies beside the deck; written before the house keeps its room."""
    middle = wall.y_ft - wall.out * section_house.INTO_FT / 2
    heights = [scene.heights_in[1] - 22.0 - 8.0 * step for step in range(16)]
    places = tuple(at(view, middle, height) for height in heights)
    placing.place(Label("HOUSE", places, 8.0, bold=True, turn_deg=-90.0))
    corners = section_house.dug(scene.report, wall, scene.ground_ft, scene.ends_ft[1])
    if corners:
        ys, hs = zip(*corners, strict=True)
        wide, low, top = max(ys) - min(ys), min(hs), max(hs)
        inside = [
            at(view, wall.y_ft + wall.out * share * wide, top - down * (top - low))
            for down in (0.3, 0.5, 0.2, 0.6, 0.7, 0.8)
            for share in (0.3, 0.4, 0.5, 0.2)
        ]
        placing.place(Label("backfill", tuple(inside)))


def _connections(calls: Sequence[Call]) -> Table:
    rows = tuple((str(number), call.name, call.what) for number, call in enumerate(calls, start=1))
    return Table("Connections", ("No.", "At", "What"), rows)


def _notes(scene: Scene, placing: Placing) -> list[str]:
    if not any(one.level.joists for one in scene.cut.levels):
        return ["No frame was found: only floor, house and ground are shown."]
    return notes_of(scene.report, scene.cut, placing.missed, at_house=bool(scene.walls))


def _told(scene: Scene) -> str:
    cut = scene.cut
    beams = sum(len(one.beams) for one in cut.levels)
    levels = ", ".join(f"{one.level.id} {feet_inches(one.spec.surface_height_in)} up" for one in cut.levels)
    return (
        f"Section seen from the side, the house on the left. Levels: {levels}. {beams} beams cut, {len(cut.posts)} "
        f"posts and {len(cut.footings)} footings shown."
    )

"""The framing plan: ledgers, joists, beams, posts, blocking, braces, guards and stairs, seen from above."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from xml.etree.ElementTree import Element

from service.contract.plan import footprint
from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Guard, Joists, Ledger, Level, Rim, Stair
from service.drawings.kit import symbols
from service.drawings.kit.dimensions import APART_PT, Baseline, between
from service.drawings.kit.ink import DIMENSION, HIDDEN, LIGHT, At, group, line, polygon, polyline
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.paper import Paper, View
from service.drawings.kit.schedules import beam_table, frame_table, guard_table, lumber, post_table
from service.drawings.kit.sheet import Content
from service.drawings.kit.words import piece_words
from service.drawings.plans.plan import (
    Around,
    Shown,
    edge_dimensions,
    house,
    inner_of,
    measured,
    outlines,
    plan_view,
    reach_of,
    shown,
)

TITLE = "Framing plan"
LEGEND = (
    "Plan seen from above, the house at the top; mark north on the site plan. Beams are dashed where joists lie on "
    "them. Short bold dashes are braces, black triangles lateral ties into the house."
)
_SAME_FT, _STRING_PT = 0.02, 6.0
_CONNECTORS = {
    "joist_hanger": "Joists that end at a ledger or at the face of a beam hang in hangers, end joists too.",
    "uplift_tie": "Joists are tied down at every beam they rest on.",
}


def framing_plan(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return the framing plan of the whole deck, or of one level."""
    part = shown(report, level)
    view, placing = plan_view(part, paper), Placing(paper.area)
    around_it = edge_dimensions(report, part, view, placing)
    body = [
        house(report, part, view, placing),
        group(outlines(part, view, LIGHT), id="outlines"),
        group(
            [*_members(part, view), *_heavy(report, part, view), *_spans(part, view)],
            id="framing",
            **view.data,
        ),
        group(around_it.parts, id="edge-dimensions"),
        group(_positions(part, view, around_it, paper.area, placing), id="position-dimensions"),
    ]
    _mark(report, part, view, placing)
    tables = (
        frame_table(part.levels),
        beam_table(_beams(part)),
        post_table(part.posts, _saddles(part)),
        guard_table(part.levels, part.stairs),
    )
    notes = _notes(report, part, placing)
    return Content(
        TITLE,
        f"Scale {view.scale.text}",
        body,
        placing.written(),
        _told(part),
        tables,
        notes,
        view.scale.pt_per_ft,
    )


def _beams(part: Shown) -> Iterable[Beam]:
    yield from (beam for level in part.levels for beam in level.beams)
    yield from (beam for stair in part.stairs for beam in stair.beams)


def _members(part: Shown, view: View) -> list[Element]:
    found = [symbols.stair(stair, view) for stair in part.stairs]
    for level in part.levels:
        inner = inner_of(level)
        found += [symbols.joists(one, view) for one in level.joists]
        found += [symbols.blocking(one, view) for one in level.blocking]
        found += [symbols.rim(one, view) for one in level.rims]
        found += [symbols.ledger(one, inner, view) for one in level.ledgers]
        found += [symbols.beam(one, view) for one in level.beams]
        found += [symbols.brace(one, view) for one in level.braces]
        found += [symbols.guard(one, view) for one in level.guards]
    found += [symbols.saddle(one, view) for one in _saddles(part)]
    return found + [symbols.post(post, view) for post in part.posts]


def _saddles(part: Shown) -> list[Footing]:
    """The footings beams sit on without a post between."""
    beams = {beam.id for beam in _beams(part)}
    return [one for one in part.footings if one.post is None and one.serves in beams]


def _heavy(report: DesignReport, part: Shown, view: View) -> list[Element]:
    """What stands on the deck and is heavy: its footprint, crossed."""
    found: list[Element] = []
    places = {spec.id: spec.origin_ft for spec in part.specs}
    for number, thing in enumerate(report.resolved_spec.heavy_objects, start=1):
        if thing.level in places:
            x0, y0 = places[thing.level]
            corners = [view.at(x + x0, y + y0) for x, y in footprint(thing)]
            cross = [line(corners[0], corners[2], DIMENSION), line(corners[1], corners[3], DIMENSION)]
            found.append(group([polygon(corners, HIDDEN), *cross], id=f"deck.heavy-{number}"))
    return found


def _positions(part: Shown, view: View, edges: Around, area: Box, placing: Placing) -> list[Element]:
    """How far beams lie from the house and posts along those that run away from it, on the left; the others below."""
    left, _, _, bottom = reach_of(part)
    per_ft = view.scale.pt_per_ft
    down = Baseline(view.at(left, 0.0), (0.0, 1.0), (-1.0, 0.0))
    across = Baseline(view.at(0.0, bottom), (1.0, 0.0), (0.0, 1.0))
    rows = _stops([beam.start_ft[1] for beam in _level_beams(part) if _along_x(beam)], part, 1)
    columns = _stops([beam.start_ft[0] for beam in _level_beams(part) if _along_y(beam)], part, 0)
    beams_down, beams_across = ([stops] if len(stops) > 2 else [] for stops in (rows, columns))
    sides = (
        (down, edges.left_pt, down.out_of((area.left, 0.0)), [*beams_down, *_post_stops(part, 1)]),
        (
            across,
            edges.bottom_pt,
            across.out_of((0.0, area.bottom)),
            [*_post_stops(part, 0), *beams_across],
        ),
    )
    found: list[Element] = []
    for base, edge_pt, room_pt, strings in sides:
        out = base.out_of((edge_pt, edge_pt)) + APART_PT
        for stops in strings:
            # what finds no room here has its place on the footing plan
            if out + _STRING_PT > room_pt:
                break
            drawn = measured(base, stops, per_ft, out, placing)
            found += drawn.parts
            out = drawn.reach_pt + APART_PT - 4
    return found


def _level_beams(part: Shown) -> list[Beam]:
    return [beam for level in part.levels for beam in level.beams]


def _along_x(beam: Beam) -> bool:
    return abs(beam.start_ft[1] - beam.end_ft[1]) < _SAME_FT


def _along_y(beam: Beam) -> bool:
    return abs(beam.start_ft[0] - beam.end_ft[0]) < _SAME_FT


def _stops(places: Iterable[float], part: Shown, axis: int) -> list[float]:
    ends = [corner[axis] for level in part.levels for corner in level.outline_ft]
    return _distinct([min(ends), *places, max(ends)])


def _distinct(places: Iterable[float]) -> list[float]:
    found: list[float] = []
    for place in sorted(places):
        if not found or place - found[-1] > _SAME_FT:
            found.append(place)
    return found


def _post_stops(part: Shown, axis: int) -> list[list[float]]:
    """The strings of post places from one end of their level to the other, one for each different row of posts.

    Args:
        part: what the plan shows.
        axis: 0 for beams along x, 1 for those along y.
    """
    rows: dict[tuple[float, ...], list[float]] = {}
    for level in part.levels:
        ends = [corner[axis] for corner in level.outline_ft]
        for beam in level.beams:
            if (_along_x, _along_y)[axis](beam):
                start, sense = beam.start_ft[axis], 1 if beam.end_ft[axis] > beam.start_ft[axis] else -1
                stops = _distinct([min(ends), *(start + sense * at for at in beam.supports_ft), max(ends)])
                rows.setdefault(tuple(round(stop, 2) for stop in stops), stops)
    return list(rows.values())


def _mark(report: DesignReport, part: Shown, view: View, placing: Placing) -> None:
    for post in part.posts:
        at = view.at(post.x_ft, post.y_ft)
        placing.place(Label(post.mark, around(at, 10), bold=True, of=at))
    for footing in _saddles(part):
        at = view.at(footing.x_ft, footing.y_ft)
        placing.place(Label(footing.mark, around(at, 10), bold=True, of=at))
    for beam in _beams(part):
        placing.place(_beam_label(beam, view))
    for level in part.levels:
        _mark_level(level, view, placing)
    for stair in part.stairs:
        placing.place(_stair_label(stair, view))
    for number, thing in enumerate(report.resolved_spec.heavy_objects, start=1):
        if any(spec.id == thing.level for spec in part.specs):
            placing.place(_heavy_label(report, number, view))


def _heavy_label(report: DesignReport, number: int, view: View) -> Label:
    thing = report.resolved_spec.heavy_objects[number - 1]
    x0, y0 = next(spec.origin_ft for spec in report.resolved_spec.levels if spec.id == thing.level)
    xs, ys = zip(*footprint(thing), strict=True)
    middle = view.at(x0 + (min(xs) + max(xs)) / 2, y0 + (min(ys) + max(ys)) / 2)
    text = f"{thing.kind.replace('_', ' ')}, {thing.filled_weight_lb:.0f} lb"
    return Label(text, (middle, *around(middle)), of=middle)


def _beam_label(beam: Beam, view: View) -> Label:
    a, b = view.at(*beam.start_ft), view.at(*beam.end_ft)
    text = f"{beam.mark}  {lumber(beam.size, beam.plies)}"
    base = between(a, b, a)
    long = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    along = [base.at(long * share, side) for side in (-8.5, 8.5) for share in (0.5, 0.35, 0.65, 0.2, 0.8)]
    middle = base.at(long / 2, 0)
    return Label(text, (*along, *around(middle)), bold=True, turn_deg=base.turn_deg, of=middle)


def _mark_level(level: Level, view: View, placing: Placing) -> None:
    for joists in level.joists:
        start, end = _middle_joist(joists, view)
        text = f'{joists.mark}  {lumber(joists.size, joists.plies)} at {joists.spacing_in:g}" on centre'
        places = [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
                  for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)]  # fmt: skip
        placing.place(Label(text, (*places, *around(places[0])), bold=True, of=places[0]))
    named: Iterable[Ledger | Rim | Guard] = (*level.ledgers, *level.rims, *level.guards)
    for one in named:
        a, b = view.at(*one.start_ft), view.at(*one.end_ft)
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        placing.place(Label(one.mark, around(middle, 9), of=middle))


def _middle_joist(joists: Joists, view: View) -> tuple[At, At]:
    start, end = symbols.joist_ends(joists.lines[len(joists.lines) // 2])
    return view.at(*start), view.at(*end)


def _spans(part: Shown, view: View) -> list[Element]:
    """The way joists span, an arrow along the middle one of each group."""
    return [
        group(_span_arrow(*_middle_joist(joists, view)), id=f"{joists.id}.span")
        for level in part.levels
        for joists in level.joists
    ]


def _span_arrow(start: At, end: At) -> list[Element]:
    long = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5 or 1.0
    along = ((end[0] - start[0]) / long, (end[1] - start[1]) / long)
    heads = []
    for tip, sense in ((start, 1), (end, -1)):
        back = (tip[0] + sense * 7 * along[0], tip[1] + sense * 7 * along[1])
        wings = [(back[0] - side * 2.5 * along[1], back[1] + side * 2.5 * along[0]) for side in (1, -1)]
        heads.append(polyline([wings[0], tip, wings[1]], LIGHT))
    return [line(start, end, LIGHT), *heads]


def _stair_label(stair: Stair, view: View) -> Label:
    xs, ys = zip(*stair.footprint_ft, strict=True)
    middle = view.at(sum(xs) / len(xs), sum(ys) / len(ys))
    risers = sum(flight.risers for flight in stair.flights)
    return Label(f"{stair.mark}  down, {risers} risers", (middle, *around(middle)), of=middle)


def _told(part: Shown) -> str:
    joists = sum(one.count for level in part.levels for one in level.joists)
    beams = len(list(_beams(part)))
    return (
        f"Plan from above, the house at the top. {joists} joist lines, {beams} beams, {len(part.posts)} posts, "
        f"{len(part.footings)} footings, {len(part.stairs)} stairs."
    )


def _blocks(level: Level) -> list[str]:
    counts: Counter[tuple[str, str]] = Counter()
    for one in level.blocking:
        counts[one.size, one.because] += one.count
    return [
        f"{count} {'block' if count == 1 else 'blocks'} {size}: {why}."
        for (size, why), count in counts.items()
    ]


def _connectors(report: DesignReport, part: Shown) -> list[str]:
    """What joists hang in and are tied down by, as it is ordered."""
    shown_here = {joists.id for level in part.levels for joists in level.joists}
    found = []
    for kind, where in _CONNECTORS.items():
        lines = [
            line
            for line in report.takeoff.hardware
            if line.item.partition(".")[0] == kind and shown_here & set(line.members)
        ]
        pieces = "; ".join(f"{line.quantity:g} {piece_words(line.item)}" for line in lines)
        if pieces:
            found.append(f"{where} In the order for the whole deck: {pieces}.")
    return found


def _notes(report: DesignReport, part: Shown, placing: Placing) -> list[str]:
    found = []
    if not any(level.joists for level in part.levels):
        found.append("No frame was found: only the outline is drawn.")
    if placing.missed:
        found.append(
            f"No room on this paper to write: {', '.join(placing.missed)}. See the schedules or larger paper."
        )
    found += _connectors(report, part)
    for level in part.levels:
        for ledger in level.ledgers:
            found.append(
                f"{ledger.mark}: {ledger.fastener_count} fasteners, two staggered rows; see the ledger detail."
            )
    blocks = [text for level in part.levels for text in _blocks(level)]
    return [*found, *blocks, LEGEND]

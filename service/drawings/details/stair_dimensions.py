"""What is written about one stair seen from its side: its dimension strings and its labels."""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element

from service.drawings.details.stair_elevation import BEYOND_IN, DECK_IN, UNDER_IN, Shown
from service.drawings.kit.dimensions import APART_PT, FIRST_PT, Baseline, string
from service.drawings.kit.ink import DIMENSION, At, group, line
from service.drawings.kit.labels import Label, Placing, around
from service.drawings.kit.lettering import Box
from service.drawings.kit.views import Placed, kept
from service.units.text import feet_inches

HEADS = {
    "hung": "stringers hang here",
    "own_beam": "stringers stand on a beam of their own",
    "box": "box step: stands on what is under it, only touches the deck",
    "step": "a single step",
}


def counted(count: int, one: str, each_in: float) -> str:
    """Return so many risers or treads with the height or depth of each.

    >>> counted(5, "riser", 7.2), counted(1, "tread", 10.5)
    ('5 risers at 7 3/16"', '1 tread at 10 1/2"')
    """
    return f"{count} {one}{'s' if count != 1 else ''} at {feet_inches(each_in)}"


def dimensions(one: Shown, at: Placed, placing: Placing) -> Element:
    """Return rises on the right, runs below: of each part, then of the whole."""
    throats = [line(at.at(*a), at.at(*b), DIMENSION) for a, b in filter(None, [one.profiles[0].throat()])]
    return group(
        [*_rises(one, at, placing), *_runs(one, at, placing), *throats], id=f"{one.stair.id}.dimensions"
    )


def _rises(one: Shown, at: Placed, placing: Placing) -> list[Element]:
    low = one.stair.foot_height_in
    base = Baseline(at.at(one.end_in + BEYOND_IN, low), (0.0, -1.0), (1.0, 0.0))
    flights = [profile.flight for profile in one.profiles][::-1]
    heights = [low, *(flight.head_height_in for flight in flights)]
    texts = [counted(flight.risers, "riser", flight.riser_in) for flight in flights]
    return _strings(base, heights, low, texts, f"rise {feet_inches(one.stair.rise_in)}", at, placing)


def _runs(one: Shown, at: Placed, placing: Placing) -> list[Element]:
    lowest = min(
        one.stair.foot_height_in, *(foot.grade_height_in for foot in one.footings), one.stair.foot_height_in
    )
    base = Baseline(at.at(0.0, lowest - UNDER_IN), (1.0, 0.0), (0.0, 1.0))
    stops, texts = [0.0], []
    for profile in one.profiles:
        if profile.out_in > stops[-1]:
            stops.append(profile.out_in)
            texts.append(f"landing {feet_inches(profile.out_in - stops[-2])}")
        if profile.flight.treads:
            stops.append(profile.end_in)
            texts.append(counted(profile.flight.treads, "tread", profile.flight.tread_in))
    run = f"run {feet_inches(stops[-1])}"
    found: list[Element] = []
    landing = one.foot_landing
    if landing is not None:
        ends = [at.view.pt(stops[-1]), at.view.pt(one.end_in)]
        found += string(base, ends, [f"landing {feet_inches(landing.depth_in)}"], FIRST_PT, placing).parts
        keep(placing, base.at(ends[0], FIRST_PT - 4), base.at(ends[1], FIRST_PT + 4))
    return [*found, *_strings(base, stops, 0.0, texts, run, at, placing)]


def _strings(
    base: Baseline,
    stops_in: list[float],
    zero_in: float,
    texts: list[str],
    whole: str,
    at: Placed,
    placing: Placing,
) -> list[Element]:
    stops = [at.view.pt(stop - zero_in) for stop in stops_in]
    if len(stops) < 2:
        return []
    first = string(base, stops, texts, FIRST_PT, placing)
    further = string(
        base, [stops[0], stops[-1]], [whole], max(first.reach_pt, FIRST_PT) + APART_PT - 3, placing
    )
    out = max(first.reach_pt, FIRST_PT) + APART_PT + 4
    keep(placing, base.at(stops[0], FIRST_PT - 4), base.at(stops[-1], out))
    return [*first.parts, *further.parts]


def keep(placing: Placing, a: At, b: At) -> None:
    """Let no label lie in an upright rectangle, by two of its corners."""
    placing.keep(Box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])))


def keep_clear(one: Shown, at: Placed, placing: Placing) -> None:
    """Let no label lie over wood, ground or concrete."""
    low = one.top_height_in - one.decking_in - one.joist_depth_in
    kept(at, -DECK_IN, one.top_height_in, 0.0, low, placing)
    if one.carrier is not None:
        kept(at, -DECK_IN, low, 0.0, one.carrier.bottom_height_in, placing)
    for profile in one.profiles:
        for (back, top), (front, _) in profile.treads():
            low = max(profile.lower_edge_in(back), profile.flight.foot_height_in)
            kept(at, back, top, front, low, placing)
    for post in one.posts:
        middle = one.along_in((post.x_ft, post.y_ft))
        kept(at, middle - 4, post.top_height_in + 8, middle + 4, post.bottom_height_in - 8, placing)
    for landing in one.stair.landings[:-1]:
        start = next(p for p in one.profiles if abs(p.flight.foot_height_in - landing.height_in) < 1).end_in
        kept(at, start, landing.height_in, start + landing.depth_in, landing.height_in - 10, placing)
    foot = one.stair.foot_height_in
    kept(at, one.profiles[-1].seat_in() - 12, foot + 0.5, one.end_in + BEYOND_IN, foot - 5, placing)


def write_labels(one: Shown, at: Placed, placing: Placing, size: str) -> None:
    """Write what parts are, each with a leader to it."""
    for text, of in _told(one, at, size):
        placing.place(_label(text, of))


def _label(text: str, of: At) -> Label:
    return Label(text, around(of, 14.0, 230.0), of=of)


def _told(one: Shown, at: Placed, size: str) -> Iterable[tuple[str, At]]:
    first, last = one.profiles[0], one.profiles[-1]
    flight, top = first.flight, one.top_height_in
    thick = first.throat()
    if thick is not None and flight.throat_in is not None:
        yield f"throat {feet_inches(flight.throat_in)}", at.at(*thick[1])
    if flight.treads:
        notch = flight.riser_in + first.tread_thickness_in
        seat = "notch" if flight.stringer_kind == "cut" else "tread seat"
        yield f"top {seat} {feet_inches(notch)} below the deck's surface", at.at(0.0, top - notch)
        lowest = last.flight.riser_in - last.flight.drop_in
        cut = f"lowest {seat} {feet_inches(lowest)} up: {feet_inches(last.flight.drop_in)} cut off (drop)"
        yield cut, at.at(last.end_in, last.flight.foot_height_in + lowest)
        middle = (first.out_in + first.end_in) / 2
        apart = feet_inches(flight.stringer_spacing_in)
        kind = f"({flight.stringers}) {size} {flight.stringer_kind}, {apart} on centre"
        yield kind, at.at(middle, (first.upper_edge_in(middle) + first.lower_edge_in(middle)) / 2 - 2)
    yield _head(one), at.at(0.0, top - one.decking_in - one.joist_depth_in / 2)
    for name, rail in (("handrail, graspable", one.stair.handrail), ("guard", one.stair.guard)):
        if rail is not None:
            x, y = first.nosing_in(max(1, flight.treads // 2) if name == "guard" else 0)
            sides = "both sides" if rail.sides > 1 else "one side"
            yield f"{name}, {feet_inches(rail.height_in)} over nosings, {sides}", at.at(x, y + rail.height_in)
    for pad in one.footings:
        if pad.serves == one.stair.id and pad.post is None:
            thick_in = feet_inches(pad.top_height_in - pad.bottom_height_in)
            x = one.along_in((pad.x_ft, pad.y_ft))
            yield (
                f"{pad.mark} concrete pad, {thick_in} thick",
                at.at(x, (pad.top_height_in + pad.bottom_height_in) / 2),
            )


def _head(one: Shown) -> str:
    words = HEADS.get(one.stair.head, one.stair.head.replace("_", " "))
    mark = one.carrier.mark if one.carrier else one.stair.carried_by
    return f"{words}: {mark} carries" if mark else words

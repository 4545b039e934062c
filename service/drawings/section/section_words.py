"""What a section calls out: its members, and how they are connected, in the words of the order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import NamedTuple

from service.contract.report import DesignReport
from service.contract.report_frame import Brace, Footing, Level, Post
from service.drawings.kit.ink import At
from service.drawings.section.section_cut import Cut, CutLevel
from service.drawings.section.section_ink import beam_heights, joist_heights
from service.units.text import feet_inches, item_words

_GUARD_PARTS = ("bolt", "guard_post_connector", "guard_post_base", "structural_screw")


class Call(NamedTuple):
    """A connection: its short name beside the leader, what it is, and where along the plane and how high it is."""

    name: str
    what: str
    place: At


def calls_of(report: DesignReport, cut: Cut, braces: tuple[Brace, ...]) -> list[Call]:
    """Return the connections a section shows, each kind once for each level, from the house out."""
    found = [call for one in cut.levels for call in _of_level(report, one)]
    found += [*_of_posts(cut), *_of_footings(report, cut), *_of_braces(braces), *_of_guards(cut)]
    return list({(call.name, call.what): call for call in reversed(found)}.values())[::-1]


def _of_level(report: DesignReport, one: CutLevel) -> Iterator[Call]:
    low, top = joist_heights(one)
    for ledger, y in one.ledgers:
        spaced = f" at {feet_inches(ledger.spacing_in)} on centre" if ledger.spacing_in else ""
        rows = ledger.row_heights_in[-1] if ledger.row_heights_in else ledger.top_height_in
        what = f"{item_words(ledger.fastener)}{spaced}, two staggered rows, {ledger.fastener_count} in all"
        yield Call("ledger fasteners", what, (y + 0.1, rows))
        if ledger.lateral_devices:
            each = ledger.lateral_devices[0].capacity_lb
            what = f"{len(ledger.lateral_devices)} of {each:,.0f} lb, places on the framing plan"
            yield Call("lateral tie", what, (y, (low + top) / 2))
    if one.joist is None:
        yield from _of_crossing(report, one)
    else:
        joists, line = one.joist
        flush = [beam.met.y_ft for beam in one.beams if beam.beam.placement == "flush"]
        hung = [*([line.y_start_ft or 0.0] if one.ledgers else []), *flush]
        ends = " and ".join(["ledger"] * bool(one.ledgers) + ["flush beam"] * bool(flush))
        for item in _plain(_items(report, "joist_hanger", joists.id)) if hung else ():
            yield Call("joist hanger", f"{item_words(item)}, at the {ends}", (hung[0] + 0.1, (low + top) / 2))
        resting = [beam for beam in one.beams if beam.beam.placement == "dropped"]
        for item in _items(report, "uplift_tie", joists.id) if resting else ():
            what = f"{item_words(item)}, joist to beam"
            yield Call("uplift tie", what, (resting[-1].met.y_ft, beam_heights(one, resting[-1].beam)[1]))


def _of_crossing(report: DesignReport, one: CutLevel) -> Iterator[Call]:
    """What holds joists that the plane cuts to the beams beyond it."""
    for joists, ys in one.crossing:
        low, _ = joist_heights(one, joists.size)
        for item in _items(report, "uplift_tie", joists.id):
            yield Call("uplift tie", f"{item_words(item)}, joist to beam", (ys[-1], low))
        for item in _plain(_items(report, "joist_hanger", joists.id)):
            yield Call("joist hanger", item_words(item), (ys[-1], low))


def _plain(items: list[str]) -> list[str]:
    """Hangers of joists within the floor; those with a concealed flange hold the end ones."""
    return [item for item in items if not item.endswith("concealed_flange")] or items


def _items(report: DesignReport, kind: str, *members: str) -> list[str]:
    """Items of one kind the order has for any of some members."""
    return [
        line.item
        for line in report.takeoff.hardware
        if line.item.partition(".")[0] == kind and set(members) & set(line.members)
    ]


def _of_posts(cut: Cut) -> Iterator[Call]:
    for post in cut.posts:
        if post.cap:
            yield Call("post cap", item_words(post.cap), (post.y_ft, post.top_height_in))
        if post.base:
            yield Call("post base", item_words(post.base), (post.y_ft, post.bottom_height_in))


def _of_footings(report: DesignReport, cut: Cut) -> Iterator[Call]:
    posts = {foot.id: foot.post or "" for foot in cut.footings}
    for foot in cut.footings:
        kinds = [("anchor", "anchor"), ("saddle", "saddle")]
        if not posts[foot.id]:
            kinds.append(("pile_cap", "pile cap"))
        for kind, name in kinds:
            for item in _items(report, kind, foot.id, posts[foot.id]):
                yield Call(name, item_words(item), (foot.y_ft, foot.top_height_in))


def _of_braces(braces: tuple[Brace, ...]) -> Iterator[Call]:
    for one in braces:
        if one.hardware:
            counted = Counter(one.hardware)
            what = "; ".join(f"{count} {item_words(item)}" for item, count in counted.items())
            yield Call("brace bolts", what, (one.end_ft[1], one.high_height_in))


def _of_guards(cut: Cut) -> Iterator[Call]:
    for one in cut.levels:
        low, top = joist_heights(one)
        for _, _, stand in one.guards:
            parts = Counter(
                item for item in (stand.hardware if stand else ()) if item.startswith(_GUARD_PARTS)
            )
            if stand is not None and parts:
                what = "; ".join(f"{count} {item_words(item)}" for item, count in parts.items())
                yield Call("guard post", f"{stand.mount} mounted: {what}", (stand.y_ft, (low + top) / 2))


def braces_of(levels: tuple[Level, ...], posts: tuple[Post, ...]) -> tuple[Brace, ...]:
    """Return the braces across the beams of some posts: those that lie in the plane of a section."""
    standing = {post.id for post in posts}
    return tuple(
        one
        for level in levels
        for one in level.braces
        if one.post in standing and one.direction == "across_beam"
    )


def notes_of(report: DesignReport, cut: Cut, missed: list[str], *, at_house: bool) -> list[str]:
    """Return the notes of a section."""
    found = [_where(cut), _shown(cut)]
    found.append(f"Frost line {feet_inches(report.ground.frost_depth_in)} below the ground, dashed.")
    found += list(_ground(report))
    if report.ground.backfill_top_width_in is not None:
        found.append("Hatched: ground dug out for the house and put back.")
    found += [
        f"{footing.mark}: helices are drawn at three diameters from each other; their maker's drawing governs."
        for footing in cut.footings
        if footing.pile is not None and len(footing.pile.helices) > 1
    ]
    if cut.stairs:
        found.append("Stairs are shown to 6 ft past the deck; see the stair detail.")
    if at_house:
        found.append(_house(report))
    if missed:
        found.append(f"No room on this paper to write: {', '.join(missed)}.")
    return found


def _where(cut: Cut) -> str:
    beside = "beside a joist" if cut.at_joist else "across joists that run along the house, which are cut"
    return f"Cut at {feet_inches(12 * cut.x_ft)} from the origin along the house, {beside}; looking the way x grows."


def _shown(cut: Cut) -> str:
    marks = ", ".join(_mark(foot) for foot in cut.footings) or "none"
    return f"Posts and footings are those nearest to the cut: {marks}. Guards and stairs beyond it in grey."


def _mark(foot: Footing) -> str:
    return f"{foot.mark} at {feet_inches(12 * foot.x_ft)}"


def _ground(report: DesignReport) -> Iterator[str]:
    if report.resolved_spec.site.grade_points is not None:
        yield (
            "Ground drawn straight between the heights at the footings shown, at stairs' feet and at the origin; "
            "measure it along the cut."
        )


def _house(report: DesignReport) -> str:
    told = report.resolved_spec.house
    wall, foundation = told.wall.replace("_", " "), told.foundation_wall.replace("_", " ")
    return f"House as it was told (wall: {wall}, foundation: {foundation}), to break lines; check it on site."

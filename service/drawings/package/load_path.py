"""How the load goes down: joists to beam to post to footing to ground, with the loads the report tells."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.contract.report import DesignReport
from service.contract.report_frame import Beam, Footing, Post
from service.drawings.package.blocks import AnyBlock, Column, Section, fact_table, table
from service.drawings.package.marks import Marks, all_beams, all_joists
from service.drawings.package.words import NOTHING, figure, number, words

Row = tuple[str, ...]
DOWN = (
    Column("joists", 1.2), Column("beam", 0.8), Column("on the beam, plf", 1, "right"), Column("post", 0.8),
    Column("on the post, lb", 1, "right"), Column("footing", 0.9), Column("on the footing, lb", 1, "right"),
    Column("floor carried, sq ft", 1, "right"), Column("into the ground by", 1.6),
)  # fmt: skip
HOUSE = (
    Column("joists", 1.2), Column("ledger", 0.8), Column("floor carried, sq ft", 1, "right"),
    Column("into the house at", 1.6),
)  # fmt: skip
SIDEWAYS = (Column("what holds", 1.5), Column("where", 4))


@dataclass(frozen=True)
class _Way:
    """What stands on what, by id."""

    posts: dict[str, Post]
    beams: dict[str, Beam]
    joists: dict[str, list[str]]


def _way(report: DesignReport) -> _Way:
    joists: dict[str, list[str]] = {}
    for group in all_joists(report):
        for member in {support.member for line in group.lines for support in line.supports}:
            joists.setdefault(member, []).append(group.id)
    return _Way({one.id: one for one in report.posts}, {one.id: one for one in all_beams(report)}, joists)


def load_path(report: DesignReport, marks: Marks) -> Section:
    """Return the section that follows the load from the boards to the ground."""
    way = _way(report)
    blocks: list[AnyBlock] = [*fact_table("Loads", _loads(report))]
    blocks += table("Through ledgers into the house", HOUSE, _ledgers(report, way, marks))
    blocks += table(
        "Down to the ground", DOWN, (_footing(one, report, way, marks) for one in report.footings)
    )
    blocks += table("Sideways", SIDEWAYS, _sideways(report, marks))
    return Section(title="Load path", blocks=tuple(blocks))


def _loads(report: DesignReport) -> Iterator[tuple[str, str]]:
    loads = report.loads
    yield "live load", figure(loads.live_psf, "psf")
    yield "snow load", figure(loads.snow_psf, "psf")
    yield "dead load", figure(loads.dead_psf, "psf")
    yield (
        "design load",
        f"{figure(loads.design_psf, 'psf')}: dead and the greater of live and snow ({loads.governing})",
    )


def _bearing(way: _Way, marks: Marks, member: str) -> str:
    """The groups of joists that bear on a member."""
    return marks.all_of(way.joists.get(member, ())) or NOTHING


def _ledgers(report: DesignReport, way: _Way, marks: Marks) -> Iterator[Row]:
    for level in report.levels:
        for one in level.ledgers:
            yield (
                _bearing(way, marks, one.id),
                marks.of(one.id),
                number(one.tributary_sqft, 1),
                words(one.lands_on),
            )


def _footing(footing: Footing, report: DesignReport, way: _Way, marks: Marks) -> Row:
    post = way.posts.get(footing.post or "")
    beam = way.beams.get(post.beam if post else footing.serves)
    return (
        _bearing(way, marks, beam.id) if beam else NOTHING,
        marks.of(beam.id) if beam else marks.of(footing.serves),
        number(beam.line_load_plf) if beam else NOTHING,
        marks.of(post.id) if post else NOTHING,
        number(post.load_lb) if post else NOTHING,
        marks.of(footing.id),
        number(footing.load_lb),
        number(footing.tributary_sqft, 1),
        _ground(footing, report),
    )


def _ground(footing: Footing, report: DesignReport) -> str:
    if footing.pile is not None:
        return f"helix, torque {number(footing.pile.torque_ft_lb)} ft-lb"
    site = report.resolved_spec.site
    bearing = "" if site.soil_bearing_psf is None else f", {number(site.soil_bearing_psf)} psf"
    return f"{words(site.soil_class or 'unknown')}{bearing}"


def _sideways(report: DesignReport, marks: Marks) -> Iterator[Row]:
    for level in report.levels:
        for ledger in level.ledgers:
            if ledger.lateral_devices:
                yield (
                    f"{len(ledger.lateral_devices)} lateral devices",
                    f"{marks.of(ledger.id)}, to the house",
                )
    braces = [brace for level in report.levels for brace in level.braces]
    braces += [brace for stair in report.stairs for brace in stair.braces]
    for direction in dict.fromkeys(brace.direction for brace in braces):
        posts = [brace.post for brace in braces if brace.direction == direction]
        yield (f"braces {words(direction)}", f"at {marks.all_of(posts)}")

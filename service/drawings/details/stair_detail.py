"""The stair detail: every stair from its side, with what it is cut from and what holds it."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element

from service.contract.report import DesignReport
from service.contract.report_frame import Stair
from service.drawings.details.stair_dimensions import counted, dimensions, keep_clear, write_labels
from service.drawings.details.stair_elevation import drawing, reach_of, shown, stringer_size
from service.drawings.kit.labels import Placing
from service.drawings.kit.nothing import no_room, nothing_to_draw
from service.drawings.kit.paper import Paper
from service.drawings.kit.reasons import cautions_told
from service.drawings.kit.sheet import Content
from service.drawings.kit.side import Table
from service.drawings.kit.views import most_that_fit, named, scale_of, scale_said
from service.drawings.kit.words import piece_words
from service.units.text import feet_inches, sentence

TITLE = "Stair detail"
LEAST_PT_PER_FT = 13.5  # 3/16" = 1'-0": a tread is a sixth of an inch wide on paper


def stair_detail(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return every stair of the deck, or of one level, from its side; as many as can be read."""
    stairs = [stair for stair in report.stairs if level in (None, stair.level) and stair.flights]
    if not stairs:
        return nothing_to_draw(TITLE, "No stair: none was asked for, or none can be built here.", paper)
    kinds = _alike(report, stairs)
    every = [shown(report, kind[0]) for kind in kinds]
    views = most_that_fit([reach_of(one) for one in every], paper.area, LEAST_PT_PER_FT)
    placing = Placing(paper.area)
    body: list[Element] = []
    for one, kind, at in zip(every, kinds, views, strict=False):
        marks = ", ".join(stair.mark for stair in kind)
        name = f"{marks}: down from {one.stair.level}"
        body += [named(at, name, placing), drawing(one, at), dimensions(one, at, placing)]
        keep_clear(one, at, placing)
    for one, at in zip(every, views, strict=False):
        write_labels(one, at, placing, stringer_size(report, one.stair))
    left = [stair.mark for kind in kinds[len(views) :] for stair in kind]
    return Content(
        TITLE,
        scale_said(views),
        body,
        placing.written(),
        _told(stairs),
        _tables(report, stairs),
        _notes(report, stairs, left, placing),
        scale_of(views),
    )


def _alike(report: DesignReport, stairs: Sequence[Stair]) -> list[list[Stair]]:
    """Stairs that look alike from their side together: as high, cut alike, held and railed alike, on posts as tall."""
    found: dict[tuple[object, ...], list[Stair]] = {}
    for stair in stairs:
        flights = tuple(
            (
                one.risers,
                one.riser_in,
                one.tread_in,
                one.stringers,
                one.stringer_kind,
                one.drop_in,
                one.head_height_in,
            )
            for one in stair.flights
        )
        beams = {beam.id: (beam.size, beam.plies, beam.bottom_height_in) for beam in stair.beams}
        posts = tuple(post.height_in for post in report.posts if post.beam in beams)
        held = (
            stair.level,
            stair.width_in,
            stair.head,
            stair.handrail,
            stair.guard,
            tuple(beams.values()),
            posts,
        )
        landings = tuple((one.depth_in, one.height_in, one.guard) for one in stair.landings)
        found.setdefault((flights, held, landings), []).append(stair)
    return list(found.values())


def _told(stairs: Sequence[Stair]) -> str:
    return " ".join(
        f"{stair.mark}: {' and '.join(counted(one.risers, 'riser', one.riser_in) for one in stair.flights)},"
        f" {feet_inches(stair.rise_in)} high."
        for stair in stairs
    )


def _tables(report: DesignReport, stairs: Sequence[Stair]) -> tuple[Table, ...]:
    climbs, strings = [], []
    for kind in _alike(report, stairs):
        stair, marks = kind[0], ", ".join(one.mark for one in kind)
        for flight in stair.flights:
            climbs.append(
                (marks, feet_inches(stair.width_in), f"{flight.risers} x {feet_inches(flight.riser_in)}",
                 f"{flight.treads} x {feet_inches(flight.tread_in)}")
            )  # fmt: skip
            strings.append(
                (marks, f"{flight.stringers} {stringer_size(report, stair)}", flight.stringer_kind,
                 f"{feet_inches(flight.stringer_spacing_in)} on centre, {feet_inches(flight.stringer_length_in)} long,"
                 f" drop {feet_inches(flight.drop_in)}"
                 + (f", throat {feet_inches(flight.throat_in)}" if flight.throat_in is not None else "")
                 + (f", held in {flight.bays} bays" if flight.bays > 1 else ""))
            )  # fmt: skip
    return (
        Table("Stairs, each flight", ("Mark", "Width", "Risers", "Treads"), tuple(dict.fromkeys(climbs))),
        Table("Stringers, each flight", ("Mark", "Pieces", "Kind", "What"), tuple(dict.fromkeys(strings))),
        _hardware(report, stairs),
    )


def _hardware(report: DesignReport, stairs: Sequence[Stair]) -> Table:
    """Hardware that the stairs alone take."""
    ids = tuple(stair.id for stair in stairs)
    rows = [
        (
            f"{line.quantity:g}" if line.unit == "each" else f"{line.quantity:g} {line.unit}",
            piece_words(line.item),
        )
        for line in report.takeoff.hardware
        if line.members and all(member.startswith(ids) for member in line.members)
    ]
    return Table("Hardware of the stairs alone", ("Count", "What"), tuple(rows))


def _notes(report: DesignReport, stairs: Sequence[Stair], left: Sequence[str], placing: Placing) -> list[str]:
    found = no_room(left, placing)
    found += [
        "Every riser is alike: divide the total rise by their number, and mark from one end, not riser by riser.",
        "Measure the rise on site from the finished landing to the finished surface before anything is cut.",
    ]
    found += [sentence(text) for stair in stairs if (text := _failing(report, stair))]
    return found + _cautions(report, stairs)


def _cautions(report: DesignReport, stairs: Sequence[Stair]) -> list[str]:
    """What is to be known of stairs, those of which the same is to be known together."""
    ids = tuple(f"{stair.id}:" for stair in stairs)
    return cautions_told(report, (one for one in report.cautions if one.text.startswith(ids)))


def _failing(report: DesignReport, stair: Stair) -> str:
    """Return which rule of a stair is not met, in words; nothing where all are."""
    failing = [one for one in report.checks if one.member.startswith(stair.id) and not one.passes]
    if not failing:
        return ""
    names = dict.fromkeys(one.check.replace("_", " ") for one in failing)
    return f"{stair.mark} does not pass: {', '.join(names)}"

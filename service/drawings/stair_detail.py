"""The stair detail: every stair from its side, with what it is cut from and what holds it."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree.ElementTree import Element

from service.contract.report import DesignReport
from service.contract.report_frame import Stair
from service.drawings.labels import Placing
from service.drawings.nothing import nothing_to_draw, verdict_notes
from service.drawings.paper import Paper
from service.drawings.sheet import Content
from service.drawings.side import Table
from service.drawings.stair_dimensions import counted, dimensions, keep_clear, labels
from service.drawings.stair_elevation import drawing, reach_of, shown, stringer_size
from service.drawings.views import most_that_fit, named, scale_said
from service.drawings.words import item_words
from service.units.text import feet_inches, sentence

TITLE = "Stair detail"
LEAST_PT_PER_FT = 13.5  # 3/16" = 1'-0": a tread is a sixth of an inch wide on paper


def stair_detail(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return every stair of the deck, or of one level, from its side; as many as can be read."""
    stairs = [stair for stair in report.stairs if level in (None, stair.level) and stair.flights]
    if not stairs:
        return nothing_to_draw(
            report, TITLE, "No stair: none was asked for, or none can be built here.", paper
        )
    every = [shown(report, stair) for stair in stairs]
    views = most_that_fit([reach_of(one) for one in every], paper.area, LEAST_PT_PER_FT)
    placing = Placing(paper.area)
    body: list[Element] = []
    for one, at in zip(every, views, strict=False):
        body += named(at, f"{one.stair.mark}  down from {one.stair.level}", placing)
        body += [drawing(one, at), dimensions(one, at, placing)]
        keep_clear(one, at, placing)
    for one, at in zip(every, views, strict=False):
        body.append(labels(one, at, placing, stringer_size(report, one.stair)))
    left = [stair.mark for stair in stairs[len(views) :]]
    return Content(
        TITLE,
        scale_said(views),
        body,
        _told(stairs),
        _tables(report, stairs),
        _notes(report, stairs, left, placing),
    )


def _told(stairs: Sequence[Stair]) -> str:
    return " ".join(
        f"{stair.mark}: {' and '.join(counted(one.risers, 'riser', one.riser_in) for one in stair.flights)},"
        f" {feet_inches(stair.rise_in)} high."
        for stair in stairs
    )


def _tables(report: DesignReport, stairs: Sequence[Stair]) -> tuple[Table, ...]:
    climbs, strings = [], []
    for stair in stairs:
        for flight in stair.flights:
            climbs.append(
                (stair.mark, feet_inches(stair.width_in), f"{flight.risers} x {feet_inches(flight.riser_in)}",
                 f"{flight.treads} x {feet_inches(flight.tread_in)}")
            )  # fmt: skip
            strings.append(
                (stair.mark, f"{flight.stringers} {stringer_size(report, stair)}", flight.stringer_kind,
                 f"{feet_inches(flight.stringer_spacing_in)} on centre, {feet_inches(flight.stringer_length_in)} long,"
                 f" drop {feet_inches(flight.drop_in)}"
                 + (f", throat {feet_inches(flight.throat_in)}" if flight.throat_in is not None else "")
                 + (f", held in {flight.bays} bays" if flight.bays > 1 else ""))
            )  # fmt: skip
    return (
        Table("Stairs", ("Mark", "Width", "Risers", "Treads"), tuple(dict.fromkeys(climbs))),
        Table("Stringers", ("Mark", "Pieces", "Kind", "What"), tuple(dict.fromkeys(strings))),
        _hardware(report, stairs),
    )


def _hardware(report: DesignReport, stairs: Sequence[Stair]) -> Table:
    """Hardware that the stairs alone take."""
    ids = tuple(stair.id for stair in stairs)
    rows = [
        (f"{line.quantity:g}", item_words(line.item))
        for line in report.takeoff.hardware
        if line.members and all(member.startswith(ids) for member in line.members)
    ]
    return Table("Hardware of the stairs alone", ("Count", "What"), tuple(rows))


def _notes(report: DesignReport, stairs: Sequence[Stair], left: Sequence[str], placing: Placing) -> list[str]:
    found = [
        "Every riser is alike: divide the total rise by the number of risers, and mark from one end, not riser by riser.",
        "Measure the rise on site from the finished landing to the finished surface before anything is cut.",
    ]
    found += [sentence(check_text(report, stair)) for stair in stairs if check_text(report, stair)]
    ids = tuple(stair.id for stair in stairs)
    found += [
        _by_mark(f"{sentence(one.text)} {sentence(one.action)}", stairs)
        for one in report.cautions
        if one.text.startswith(ids)
    ]
    if left:
        found.append(f"No room on this paper for {', '.join(left)}: ask for larger paper, or for one level.")
    if placing.missed:
        found.append(f"No room on this paper to write: {'; '.join(placing.missed)}.")
    return found + verdict_notes(report)


def _by_mark(text: str, stairs: Sequence[Stair]) -> str:
    """Return a text that begins with a stair's id with its mark instead."""
    name, colon, rest = text.partition(":")
    return next((f"{stair.mark}{colon}{rest}" for stair in stairs if stair.id == name), text)


def check_text(report: DesignReport, stair: Stair) -> str:
    """Return which rule of a stair is not met, in words; nothing where all are."""
    failing = [one for one in report.checks if one.member.startswith(stair.id) and not one.passes]
    if not failing:
        return ""
    names = dict.fromkeys(one.check.replace("_", " ") for one in failing)
    return f"{stair.mark} does not pass: {', '.join(names)}"

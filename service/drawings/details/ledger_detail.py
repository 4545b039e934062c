"""The ledger detail: each kind of ledger from the yard and cut through, with its fasteners' distances."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from xml.etree.ElementTree import Element

from service.contract.report import DesignReport
from service.contract.report_frame import Level, Rim
from service.drawings.details import ledger_elevation, ledger_section
from service.drawings.details.ledger_walls import Hung, checks_of, different_ledgers
from service.drawings.kit.labels import Placing
from service.drawings.kit.lettering import Box
from service.drawings.kit.nothing import no_room, nothing_to_draw
from service.drawings.kit.paper import Paper
from service.drawings.kit.reasons import cautions_told
from service.drawings.kit.sheet import Content
from service.drawings.kit.side import Table
from service.drawings.kit.symbols import LUMBER_IN
from service.drawings.kit.views import Placed, cells, named, placed, scale_of, scale_said
from service.drawings.kit.words import piece_words
from service.units.finding import Finding
from service.units.text import feet_inches, sentence

TITLE = "Ledger detail"
LEAST_PT_PER_FT = 36.0  # 1/2" = 1'-0": two rows of fasteners are still told apart
_ELEVATION_SHARE = 0.4
_CAUTIONS = ("ledger_flashing", "ledger_below_band")
_CHECKS = (
    "ledger_fastener_spacing",
    "ledger_fastener_rows",
    "ledger_in_band",
    "lateral_devices",
    "ledger_size",
)


def ledger_detail(report: DesignReport, paper: Paper, level: str | None = None) -> Content:
    """Return each different ledger of the deck, or of one level; as many as can be read."""
    kinds = different_ledgers(report, level)
    if not kinds:
        return _none(report, paper, level)
    views = _views(kinds, paper.area)
    placing = Placing(paper.area)
    body: list[Element] = []
    for one, (seen, cut) in zip(kinds, views, strict=False):
        marks = ", ".join(one.marks)
        body += [
            named(seen, f"{marks} from the yard", placing),
            named(cut, f"{marks} in section", placing),
            ledger_elevation.drawing(one, seen),
            ledger_elevation.dimensions(one, seen, placing),
            ledger_section.drawing(one, cut),
            ledger_section.dimensions(one, cut, placing),
        ]
        ledger_elevation.write_labels(one, seen, placing)
        ledger_section.write_labels(one, cut, placing)
    left = [mark for one in kinds[len(views) :] for mark in one.marks]
    every = [view for pair in views for view in pair]
    return Content(
        TITLE,
        scale_said(every),
        body,
        placing.written(),
        _told(kinds),
        _tables(report, kinds),
        _notes(report, kinds, left, placing),
        scale_of(every),
    )


def _views(kinds: Sequence[Hung], area: Box) -> list[tuple[Placed, Placed]]:
    """One column for each kind, elevation over section; as many as stay legible, one at least."""
    for count in range(len(kinds), 0, -1):
        found = [_pair(one, column) for one, column in zip(kinds, cells(area, count, 1), strict=False)]
        if count == 1 or min(seen.view.scale.pt_per_ft for seen, _ in found) >= LEAST_PT_PER_FT:
            return found
    return []


def _pair(one: Hung, column: Box) -> tuple[Placed, Placed]:
    cut = column.top + _ELEVATION_SHARE * (column.bottom - column.top)
    upper, lower = column._replace(bottom=cut), column._replace(top=cut)
    return placed(ledger_elevation.reach_of(one), upper), placed(ledger_section.reach_of(one), lower)


def _told(kinds: Sequence[Hung]) -> str:
    return " ".join(
        f"{', '.join(one.marks)}: {one.ledger.size} on {one.ledger.lands_on.replace('_', ' ')}, {_fastened(one)}."
        for one in kinds
    )


def _fastened(one: Hung) -> str:
    ledger = one.ledger
    if ledger.spacing_in is None or not ledger.row_heights_in:
        return "no table fasteners: designed by an engineer"
    return f"{ledger.fastener_count} fasteners in two staggered rows, {feet_inches(ledger.spacing_in)} apart at most"


def _tables(report: DesignReport, kinds: Sequence[Hung]) -> tuple[Table, ...]:
    ledgers = [
        (
            ", ".join(one.marks),
            one.ledger.size,
            feet_inches(one.length_in),
            f"{piece_words(one.ledger.fastener)}; {_fastened(one)}",
        )
        for one in kinds
    ]
    checks = [
        (
            "yes" if check.passes else "NO",
            _figure(check),
            f"{check.check.replace('_', ' ')}: {_source(check)}",
        )
        for one in kinds
        for check in checks_of(report, one.ledger.id, *_CHECKS)
        if check.basis != "calculated"
    ]
    return (
        Table("Ledgers", ("Mark", "Size", "Length", "Fasteners"), tuple(ledgers)),
        Table("What was checked", ("Met", "Figure and limit", "Rule"), tuple(dict.fromkeys(checks))),
    )


def _figure(check: Finding) -> str:
    if check.demand is None or check.capacity is None:
        return "-"
    word = "at most" if check.sense == "at_most" else "at least"
    return f"{check.demand:g}, {word} {check.capacity:g} {check.unit}"


def _source(check: Finding) -> str:
    return check.citation.table or check.citation.section or check.citation.document


def _notes(report: DesignReport, kinds: Sequence[Hung], left: Sequence[str], placing: Placing) -> list[str]:
    found = no_room(left, placing)
    found += cautions_told(report, (one for one in report.cautions if one.code in _CAUTIONS))
    if any(one.fasteners() for one in kinds):
        found.append(
            "Fasteners stand by turns in the lower and the upper row; at butts they keep off both ends alike."
        )
    found.append(
        "Thickness of foundation, plate, wall and cladding are drawn for their place only; measure them on site."
    )
    if any(one.ledger.lateral_devices for one in kinds):
        found.append("Lateral ties: their height and fixing are by their listing.")
    return found


def _none(report: DesignReport, paper: Paper, level: str | None) -> Content:
    levels = [one for one in report.levels if level in (None, one.id)]
    told = " ".join(sentence(one.text) for one in report.attachment.because)
    because = [f"How that was decided: {told}"] if told else []
    gaps = [sentence(text) for one in levels for text in _gap_texts(one)]
    if not any(one.joists for one in levels):
        why = "No ledger: no frame was found for this deck."
    else:
        why = "No ledger: this deck stands free of the house."
    return nothing_to_draw(TITLE, why, paper, [*gaps, *because])


def _gap_texts(level: Level) -> Iterable[str]:
    found = [
        gap for line in level.house_lines_ft for rim in level.rims if (gap := _gap_in(line, rim)) is not None
    ]
    if found:
        yield f"Level {level.id} keeps {feet_inches(min(found))} from the house wall"


def _gap_in(line: tuple[tuple[float, float], tuple[float, float]], rim: Rim) -> float | None:
    """How far the outer face of a rim that runs along a wall stands from it, in; null of any other rim."""
    (ax, ay), (bx, by) = line
    long = math.dist(*line)
    apart = [abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / long for x, y in (rim.start_ft, rim.end_ft)]
    if abs(apart[0] - apart[1]) > 0.01 or min(apart) > 0.5:
        return None
    return 12 * min(apart) - LUMBER_IN / 2

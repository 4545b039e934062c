"""A sheet: the drawing in its frame, with what it is, whose it is, and what it is not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple
from xml.etree.ElementTree import Element, tostring

from service.contract.ids import pinned_text
from service.contract.report import DesignReport
from service.drawings.kit.free import under
from service.drawings.kit.ink import CUT, LIGHT, At, centred, group, letters, line, rectangle
from service.drawings.kit.lettering import Box, shortened, width_pt
from service.drawings.kit.paper import Paper
from service.drawings.kit.reasons import reasons_of
from service.drawings.kit.side import Notes, Table, side_column

VERDICTS = {
    "prescriptive": "WITHIN THE TABLES READ",
    "engineer_required": "ENGINEER REQUIRED",
    "not_permitted": "NOT PERMITTED",
}
NOT_AN_APPROVAL = "Not an approval. Local codes and licensed practice decide."
ACROSS = "#c8c8c8"
_BAR_FEET, _BAR_PT = (50, 20, 10, 5, 2, 1, 0.5, 0.25, 0), 66.0


class Content(NamedTuple):
    """What a sheet shows: ``body`` and what is written over it; ``said`` is told to a reader who cannot see it."""

    title: str
    scale: str
    body: Sequence[Element]
    lettering: Sequence[Element]
    said: str
    tables: Sequence[Table] = ()
    notes: Sequence[str] = ()
    pt_per_ft: float | None = None


def framed(report: DesignReport, content: Content, paper: Paper, place: str) -> str:
    """Return a sheet as SVG; ``place`` is its number among the sheets, as it is printed."""
    root = Element("svg", _root_attributes(paper))
    _add_said(root, content)
    root.append(rectangle(0, 0, paper.width_pt, paper.height_pt, LIGHT._replace(weight_pt=0), "#ffffff"))
    root.extend(_across(report, paper))
    root.append(group(content.body, id="drawing"))
    root.append(group(content.lettering, id="lettering"))
    root.append(group(_side(report, content, paper), id="side"))
    root.append(group([*_frame(paper), *_title_block(report, content, paper, place)], id="title-block"))
    return tostring(root, encoding="unicode", short_empty_elements=True) + "\n"


def _side(report: DesignReport, content: Content, paper: Paper) -> list[Element]:
    """The column beside the drawing: why it may not be built as drawn comes before all that is built from."""
    why = Notes(f"{VERDICTS[report.verdict.status].capitalize()}: why", reasons_of(report))
    free = under([*content.body, *content.lettering], paper.area, paper.side_pt)
    return side_column(paper.side, why, content.tables, Notes("Notes", content.notes), free)


def _root_attributes(paper: Paper) -> dict[str, str]:
    return {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": f"{paper.width_pt / 72:g}in",
        "height": f"{paper.height_pt / 72:g}in",
        "viewBox": f"0 0 {paper.width_pt:g} {paper.height_pt:g}",
        "role": "img",
    }


def _add_said(root: Element, content: Content) -> None:
    for name, text in (("title", content.title), ("desc", content.said)):
        one = Element(name)
        one.text = text
        root.append(one)


def _across(report: DesignReport, paper: Paper) -> list[Element]:
    """The verdict across the sheet, under its lines, where it is anything but the best one."""
    if report.verdict.status == "prescriptive":
        return []
    text, area = VERDICTS[report.verdict.status], paper.area
    wide, high = area.right - area.left, area.bottom - area.top
    size = 0.72 * math.hypot(wide, high) / width_pt(text, 1.0, bold=True)
    middle = ((area.left + area.right) / 2, (area.top + area.bottom) / 2)
    turn = -math.degrees(math.atan2(high, wide))
    found = centred(text, middle, size, bold=True, turn_deg=turn)
    found.set("fill", ACROSS)
    return [group([found], id="verdict-across")]


def _frame(paper: Paper) -> list[Element]:
    frame, side, title = paper.frame, paper.side, paper.title
    return [
        rectangle(*frame, CUT),
        line((frame.left, title.top), (frame.right, title.top), CUT),
        line((side.left, frame.top), (side.left, title.top), LIGHT),
    ]


def _title_block(report: DesignReport, content: Content, paper: Paper, place: str) -> list[Element]:
    box = paper.title
    wide = box.right - box.left
    first, second = box.left + 0.27 * wide, box.left + 0.64 * wide
    rules = [line((x, box.top), (x, box.bottom), LIGHT) for x in (first, second)]
    return [
        *rules,
        *_what(content, place, Box(box.left, box.top, first, box.bottom)),
        *_column(_whose(report), Box(first, box.top, second, box.bottom)),
        *_column(_what_not(report), Box(second, box.top, box.right, box.bottom)),
    ]


def _what(content: Content, place: str, box: Box) -> list[Element]:
    room = box.right - box.left - 12
    return [
        letters(shortened(content.title, room, 12, bold=True), (box.left + 6, box.top + 20), 12, bold=True),
        letters(shortened(content.scale, room, 8), (box.left + 6, box.top + 36), 8),
        letters(place, (box.left + 6, box.top + 52), 8),
        *_bar(content.pt_per_ft, (box.right - 84, box.top + 49)),
    ]


def _bar(pt_per_ft: float | None, at: At) -> list[Element]:
    """A bar of so many feet: it stays true when a sheet is printed at another size."""
    if pt_per_ft is None:
        return []
    feet = next(one for one in _BAR_FEET if one * pt_per_ft <= _BAR_PT)
    (x, y), long = at, feet * pt_per_ft
    half = rectangle(x, y, x + long / 2, y + 4, LIGHT, "#000000")
    ends = [
        letters("0", (x, y - 3), 7, anchor="middle"),
        letters(f"{feet} ft", (x + long, y - 3), 7, anchor="middle"),
    ]
    return [rectangle(x, y, x + long, y + 4, LIGHT), half, *ends]


def _column(told: Sequence[tuple[str, bool]], box: Box) -> list[Element]:
    room = box.right - box.left - 12
    return [
        letters(shortened(text, room, 7.5, bold), (box.left + 6, box.top + 12 + 9.6 * row), 7.5, bold=bold)
        for row, (text, bold) in enumerate(told)
    ]


def _whose(report: DesignReport) -> list[tuple[str, bool]]:
    loads, book = report.loads, report.rulebook
    where = "no jurisdiction named"
    if report.jurisdiction is not None:
        where = pinned_text(report.jurisdiction.id, report.jurisdiction.version)
    return [
        (f"Reference: {report.reference or '-'}", True),
        (f"Place: {where}, as of {report.as_of}", False),
        (f"Code: {book.edition}, rulebook {pinned_text(book.id, book.version)}", False),
        (f"Loads, psf: live {loads.live_psf:g}, dead {loads.dead_psf:g}, snow {loads.snow_psf:g}", False),
        (f"Rulebook digest {book.digest[:16]}", False),
        (f"Design {report.design_id}", False),
    ]


def _what_not(report: DesignReport) -> list[tuple[str, bool]]:
    reasons = reasons_of(report)
    first = reasons[0] if reasons else "within the tables of the rulebook named here"
    more = f", {len(reasons)} reasons" if len(reasons) > 1 else ""
    return [
        (f"Verdict: {VERDICTS[report.verdict.status]}{more}", True),
        (first, False),
        (NOT_AN_APPROVAL, True),
        ("Call before you dig. Written dimensions govern; check them on site.", False),
        (f"Prepared with the deck framing service {report.engine_version}", False),
    ]

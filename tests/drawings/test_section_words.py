"""What a section writes: heights, places, connections; and that it says so where no frame was found."""

from __future__ import annotations

import msgspec
import pytest
from drawings.section_reading import (
    cut_beams,
    drawn,
    members,
    told_beside,
)
from drawings.sheet_checks import EXAMPLES, PAPERS, SVG, Sheet, faults, report_of

from service.drawings.sheets import sheet_svg
from service.units.text import feet_inches, item_words


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_the_strings_say_heights_and_places(example: str, paper: str) -> None:
    report = report_of(example)
    sheet = drawn(report, paper)
    lettered = [one.text for one in sheet.group("lettering").iter(f"{SVG}text")]
    assert not any(one.startswith("No room on this paper") for one in sheet.said())
    for _, _, beam, _ in cut_beams(report, sheet):
        assert any(beam.mark in (text or "").split() for text in lettered)
    for footing in report.footings:
        if footing.id in members(sheet):
            assert feet_inches(footing.grade_height_in - footing.bottom_height_in) in lettered


def test_the_strings_of_one_deck_by_hand() -> None:
    """Surface 36 in up, a 2x8 under 1 in boards on a 2x12: 36 - 1 - 7.25 - 11.25 = 16.5 in; the beam 2 1/4 in in."""
    said = drawn(report_of("ledger-composite")).said()
    for told in (
        "surface 3'-0\"",
        "guard 3'-0\"",
        "1'-4 1/2\"",
        '11 1/4"',
        '8 1/4"',
        "9'-9\"",
        '2 1/4"',
        "12'-0\"",
    ):
        assert told in said


@pytest.mark.parametrize("example", EXAMPLES)
def test_connections_are_called_out_in_words(example: str) -> None:
    report = report_of(example)
    sheet = drawn(report)
    beside = " ".join(told_beside(sheet).split())
    for level in report.levels:
        for ledger in level.ledgers:
            if ledger.id in members(sheet):
                assert item_words(ledger.fastener)[:22] in beside
    for post in report.posts:
        if post.id in members(sheet):
            for item in (post.cap, post.base):
                assert item is None or item_words(item).rpartition(",")[0] in beside
    assert "hot_dip" not in beside


def test_calls_and_table_have_the_same_numbers() -> None:
    sheet = drawn(report_of("ledger-composite"))
    lettered = [one.text or "" for one in sheet.group("lettering").iter(f"{SVG}text")]
    names = ("ledger fasteners", "lateral tie", "joist hanger", "uplift tie", "post cap", "post base")
    for number, name in enumerate(names, start=1):
        assert f"{number} {name}" in lettered
        assert name in told_beside(sheet)
    assert "lag screw, 1/2 in, 4 in" in told_beside(sheet)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", ["hot-tub", "freestanding-veneer", "hillside"])
def test_without_a_frame_the_sheet_says_so(example: str, paper: str) -> None:
    report = report_of(example)
    empty = [
        msgspec.structs.replace(
            one, joists=(), ledgers=(), rims=(), beams=(), blocking=(), braces=(), guards=()
        )
        for one in report.levels
    ]
    bare = msgspec.structs.replace(report, levels=tuple(empty), posts=(), footings=(), stairs=())
    svg = sheet_svg(bare, "section", paper)
    assert faults(svg) == []
    assert "NO FRAME WAS FOUND" in Sheet(svg).said()
    for reason in report.verdict.reasons:
        assert reason.text.rstrip(".")[-25:] in told_beside(Sheet(svg))

"""Ledgers read back from the sheet: fasteners where the report has them, and as far from edges as the code asks."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from drawings.details import NEAR_IN, Place, has, inches_of, sheet_of
from drawings.sheet_checks import EXAMPLES, PAPERS, SVG, Sheet, faults, report_of

from service.contract.report_frame import Ledger
from service.drawings.sheets import sheet_svg

NAME = "ledger_detail"
HUNG = tuple(example for example in EXAMPLES if any(level.ledgers for level in report_of(example).levels))
FREE = tuple(example for example in EXAMPLES if example not in HUNG)
# IRC Table R507.9.1.3(2): least distances of fasteners, in
TOP_IN, BOTTOM_IN, END_IN, END_AT_MOST_IN, APART_IN, APART_AT_MOST_IN = 2.0, 0.75, 2.0, 5.0, 1.625, 5.0
BAND_TOP_IN, BAND_BOTTOM_IN = 0.75, 2.0


def drawn(example: str, paper: str) -> list[Ledger]:
    """The ledgers of an example that have an elevation of their own."""
    sheet = sheet_of(example, NAME, paper)
    every = [ledger for level in report_of(example).levels for ledger in level.ledgers]
    return [ledger for ledger in every if has(sheet, f"{ledger.id}.elevation")]


def fasteners(sheet: Sheet, ledger: Ledger) -> list[Place]:
    circles = sheet.group(f"{ledger.id}.fasteners").iter(f"{SVG}circle")
    return [inches_of(sheet, one, f"{ledger.id}.elevation")[0] for one in circles]


def board(sheet: Sheet, ledger: Ledger) -> tuple[float, float, float, float]:
    """Left, right, bottom and top of the board in the elevation, in."""
    corners = inches_of(sheet, sheet.group(ledger.id)[0], f"{ledger.id}.elevation")
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return min(xs), max(xs), min(ys), max(ys)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", EXAMPLES)
def test_nothing_is_wrong_with_the_sheet(example: str, paper: str) -> None:
    assert faults(sheet_svg(report_of(example), NAME, paper)) == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", HUNG)
def test_every_fastener_of_the_stretch_is_drawn_where_the_report_has_it(example: str, paper: str) -> None:
    sheet = sheet_of(example, NAME, paper)
    assert drawn(example, paper)
    for ledger in drawn(example, paper):
        _, end, _, _ = board(sheet, ledger)
        wanted = [at for at in ledger.fasteners_at_in if at <= end]
        found = fasteners(sheet, ledger)
        assert [x for x, _ in found] == pytest.approx(wanted, abs=NEAR_IN)
        heights = [ledger.row_heights_in[number % 2] for number in range(len(wanted))]
        assert [y for _, y in found] == pytest.approx(heights, abs=NEAR_IN)
        assert len(found) >= min(4, ledger.fastener_count)


@pytest.mark.parametrize("example", HUNG)
def test_all_fasteners_of_a_ledger_are_told_at_or_under_their_spacing(example: str) -> None:
    for level in report_of(example).levels:
        for ledger in level.ledgers:
            places = ledger.fasteners_at_in
            assert len(places) == ledger.fastener_count
            assert ledger.spacing_in is not None
            assert max(b - a for a, b in pairwise(places)) <= ledger.spacing_in + 1e-3
            long = 12 * math.dist(ledger.start_ft, ledger.end_ft)
            assert END_IN <= places[0] <= END_AT_MOST_IN
            assert END_IN <= long - places[-1] <= END_AT_MOST_IN


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("example", HUNG)
def test_fasteners_drawn_keep_the_distances_of_the_code(example: str, paper: str) -> None:
    """IRC Table R507.9.1.3(2), measured on the drawing: edges of ledger and band, ends, rows apart."""
    sheet = sheet_of(example, NAME, paper)
    for ledger in drawn(example, paper):
        left, _, bottom, top = board(sheet, ledger)
        found = fasteners(sheet, ledger)
        rows = sorted({round(y, 1) for _, y in found})
        assert min(rows) - bottom >= BOTTOM_IN - NEAR_IN
        assert top - max(rows) >= TOP_IN - NEAR_IN
        assert APART_IN - NEAR_IN <= max(rows) - min(rows) <= APART_AT_MOST_IN + 2 * NEAR_IN
        assert END_IN - NEAR_IN <= found[0][0] - left <= END_AT_MOST_IN + NEAR_IN
        band = [
            inches_of(sheet, one, f"{ledger.id}.elevation")[0][1] for one in sheet.group(f"{ledger.id}.band")
        ]
        assert max(band) - max(rows) >= BAND_TOP_IN - NEAR_IN
        assert min(rows) - min(band) >= BAND_BOTTOM_IN - NEAR_IN


@pytest.mark.parametrize("example", HUNG)
def test_the_section_has_a_fastener_in_each_row_and_the_band_behind(example: str) -> None:
    sheet = sheet_of(example, NAME, "tabloid")
    for ledger in drawn(example, "tabloid"):
        view = f"{ledger.id}.section"
        shafts = [one for one in sheet.group(view).iter(f"{SVG}g") if one.get("data-part") == "fastener"]
        middles = []
        for one in shafts:
            ys = [y for _, y in inches_of(sheet, one[0], view)]
            middles.append((min(ys) + max(ys)) / 2)
        assert middles == pytest.approx(list(ledger.row_heights_in), abs=NEAR_IN)
        heights = [y for one in sheet.group(view).iter(f"{SVG}rect") for _, y in inches_of(sheet, one, view)]
        for wanted in (
            ledger.top_height_in,
            ledger.bottom_height_in,
            ledger.band_top_height_in,
            ledger.band_bottom_height_in,
        ):
            assert min(abs(height - (wanted or 0.0)) for height in heights) < NEAR_IN


def test_lengths_and_cautions_are_written_out() -> None:
    """The composite deck: a 2x8 of 7 1/4 with rows 3/4 and 2 from its edges, 4 1/2 apart; 13 spaces in 185 in."""
    said = sheet_of("ledger-composite", NAME, "letter").said()
    for text in ('3/4"', '4 1/2"', '2"', '3 1/2"', "1'-2 1/4\""):
        assert text in said
    whole = " ".join(said)
    assert "14 fasteners in two staggered rows" in whole
    assert "Water behind a ledger rots the band" in whole


@pytest.mark.parametrize("example", FREE)
def test_a_deck_that_stands_free_says_so(example: str) -> None:
    said = " ".join(sheet_of(example, NAME, "letter").said())
    assert "No ledger: this deck stands free of the house." in said


def test_a_free_deck_tells_its_gap_to_the_house() -> None:
    """1 in clear, so that water runs off behind (common practice, no source)."""
    assert (
        'Level main keeps 1" from the house wall.' in sheet_of("freestanding-veneer", NAME, "letter").said()
    )

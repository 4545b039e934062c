"""Whole designs whose pins leave one table cell of joists, beams or decking to decide, posted exactly at the cell
and a sixteenth over.

Cells are drawn by the committed seed of `published_cells` from the reference copies of the IRC tables.
"""

from __future__ import annotations

import pytest
from context import EDITIONS
from pinned_decks import DEPTH_IN, flush_deck, keys, one, report_of
from published_cells import SHORT, SIXTEENTH_IN, SPECIES, Row, cited, drawn, rows, safer

from service.contract.spec import DeckSpec

STOCK_IN = 240.0  # longest board a yard usually has (common practice, no source)

# ---------------------------------------------------------------- joists


def span_id(row: Row) -> str:
    group = SHORT[row["species_group"]]
    return cited(
        "joist_spans", row, f"{row['load_psf']}psf", group, row["nominal_size"], f"{row['spacing_in']}in"
    )


def joist_deck(row: Row, span_in: float) -> DeckSpec:
    return flush_deck(
        span_in, load_psf=float(row["load_psf"]), species=SPECIES[row["species_group"]],
        joist=(row["nominal_size"], float(row["spacing_in"])),
    )  # fmt: skip


JOISTS = [row for edition in EDITIONS for row in drawn(rows("joist_spans", edition=edition), 5, "designs")]


@pytest.mark.parametrize("row", JOISTS, ids=span_id)
def test_joists_at_their_printed_span(row: Row) -> None:
    cell = float(row["max_span_in"])
    report = report_of(row["edition"], joist_deck(row, cell))
    found = one(report, "joist_span")
    assert (found.demand, found.capacity, found.ratio, found.passes) == (cell, cell, 1.0, True)
    assert (found.citation.edition, found.citation.column) == (row["edition"], "max_span_in")
    assert (keys(found)["nominal_size"], keys(found)["spacing_in"]) == (
        row["nominal_size"],
        row["spacing_in"],
    )
    (line, *_) = report.levels[0].joists[0].lines
    assert line.spans_in == (cell,)


@pytest.mark.parametrize("row", JOISTS, ids=lambda row: f"{span_id(row)}-and_a_sixteenth")
def test_joists_a_sixteenth_over_their_printed_span(row: Row) -> None:
    cell = float(row["max_span_in"])
    report = report_of(row["edition"], joist_deck(row, cell + SIXTEENTH_IN))
    found = one(report, "joist_span")
    assert (found.demand, found.capacity, found.passes) == (cell + SIXTEENTH_IN, cell, False)
    assert report.verdict.status == "not_permitted"
    assert "check_failed" in {reason.code for reason in report.verdict.reasons}
    assert report.alternatives
    assert report.alternatives[0].verdict != "not_permitted"


# ---------------------------------------------------------------- beams


def beam_id(row: Row) -> str:
    over = f"_C{row['joist_cantilever_ft']}ft" if row["joist_cantilever_ft"] else ""
    beam, group = f"{row['plies']}ply_{row['nominal_size']}", SHORT[row["species_group"]]
    return cited("beam_spans", row, f"{row['load_psf']}psf", group, beam, f"J{row['joist_span_ft']}ft{over}")


def joist_span_in(row: Row) -> float:
    """The joist span that is read in this column without a cantilever: 2021 factors it by 0.66 first."""
    printed_ft = float(row["joist_span_ft"])
    return printed_ft / 0.66 * 12 if row["edition"] == "2021" else printed_ft * 12


def carrying(row: Row) -> str | None:
    """The shallowest joist at 12 in that spans so far and is no deeper than the beam."""
    load = row["load_psf"] if row["edition"] in ("2021", "2024") else "40"
    species = SPECIES[row["species_group"]]
    spans = [
        one
        for one in rows("joist_spans", edition=row["edition"], load_psf=load, spacing_in="12")
        if SPECIES[one["species_group"]] == species and float(one["max_span_in"]) >= joist_span_in(row)
    ]
    fitting = [one["nominal_size"] for one in spans if DEPTH_IN[one["nominal_size"]] <= depth_of(row)]
    return min(fitting, key=lambda size: DEPTH_IN[size], default=None)


def depth_of(row: Row) -> float:
    return DEPTH_IN[f"2x{row['nominal_size'].split('x')[1]}"]


def overhang_in(span_in: float) -> float:
    """The longest overhang of the search's that a quarter of the span allows."""
    return max(o for o in (12.0, 18.0, 24.0, 30.0) if o <= span_in / 4)


def fits(row: Row) -> bool:
    span = safer(row, "max_beam_span_in") or 0.0
    zero = row["joist_cantilever_ft"] in ("", "0")
    short = span >= 48 and span + 2 * overhang_in(span) + SIXTEENTH_IN * 2 <= STOCK_IN
    return zero and short and row["nominal_size"].startswith("2x") and carrying(row) is not None


def beam_deck(row: Row, span_in: float) -> DeckSpec:
    joist = carrying(row)
    assert joist is not None
    over = overhang_in(float(safer(row, "max_beam_span_in") or 0.0))
    return flush_deck(
        joist_span_in(row), span_in + 2 * over, float(row["load_psf"]), SPECIES[row["species_group"]],
        (joist, 12.0), (int(row["plies"]), row["nominal_size"]),
    )  # fmt: skip


BEAMS = [
    row
    for edition in EDITIONS
    for row in drawn((r for r in rows("beam_spans", edition=edition) if fits(r)), 4, "designs")
]


@pytest.mark.parametrize("row", BEAMS, ids=beam_id)
def test_beam_at_its_printed_span_stands_on_two_posts_and_a_sixteenth_over_on_three(row: Row) -> None:
    cell = safer(row, "max_beam_span_in")
    assert cell is not None
    report = report_of(row["edition"], beam_deck(row, cell))
    found = one(report, "beam_span")
    assert (found.demand, found.passes) == (cell, True)
    assert found.capacity == pytest.approx(cell, abs=1e-4)
    assert found.citation.edition == row["edition"]
    assert (keys(found)["nominal_size"], keys(found)["plies"]) == (row["nominal_size"], row["plies"])
    assert len(report.posts) == 2
    longer = report_of(row["edition"], beam_deck(row, cell + SIXTEENTH_IN))
    assert len(longer.posts) >= 3
    assert (one(longer, "beam_span").demand or 0) < cell


# ---------------------------------------------------------------- decking

BOARDS = [r for r in rows("decking_joist_spacing") if r["board_span_class"] != "single span"]


def board_id(row: Row) -> str:
    return cited(
        "decking_joist_spacing", row, f"{row['decking'].split()[0]}in", row["orientation"].split()[0],
        f"{row['max_joist_spacing_in']}in",
    )  # fmt: skip


def board_deck(row: Row, spacing_in: float) -> DeckSpec:
    boards = {
        "material": "wood",
        "thickness_in": 1.0 if row["decking"].startswith("1.25") else 1.5,
        "angle_deg": 0 if row["orientation"] == "perpendicular" else 45,
    }
    return flush_deck(96.0, joist=("2x10", spacing_in), decking=boards)


@pytest.mark.parametrize("row", BOARDS, ids=board_id)
def test_joists_at_the_printed_spacing_under_the_boards(row: Row) -> None:
    cell = float(row["max_joist_spacing_in"])
    found = one(report_of(row["edition"], board_deck(row, cell)), "joist_spacing_for_decking")
    assert (found.demand, found.capacity, found.ratio, found.passes) == (cell, cell, 1.0, True)
    assert found.citation.edition == row["edition"]


NARROW = [row for row in BOARDS if float(row["max_joist_spacing_in"]) < 24]


@pytest.mark.parametrize("row", NARROW, ids=lambda row: f"{board_id(row)}-and_a_sixteenth")
def test_joists_a_sixteenth_wider_than_the_boards_allow(row: Row) -> None:
    cell = float(row["max_joist_spacing_in"])
    report = report_of(row["edition"], board_deck(row, cell + SIXTEENTH_IN))
    found = one(report, "joist_spacing_for_decking")
    assert (found.passes, found.would_pass) == (False, f"{cell:g} in spacing")
    assert report.verdict.status == "not_permitted"

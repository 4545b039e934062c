"""Joists against the cells of the IRC joist tables: at the printed span they pass, 1/16 in over they fail.

Cells are drawn by the committed seed of `published_cells` from the reference copies; spans are whole inches, so
limits must match exactly.
"""

from __future__ import annotations

import pytest
from context import EDITIONS, criteria
from laid import arranged, members, rectangle_region
from published_cells import SHORT, SIXTEENTH_IN, SPECIES, Row, between, cited, drawn, rows

from service.checks.frame import judge_joists
from service.framing.members import Members
from service.sizing.criteria import Criteria
from service.units.finding import Finding

SPANS, REACHES = "joist_spans", "joist_cantilevers_2021_2024"
BEAM_HALF_IN = 2.25


def layout(size: str, spacing_in: float, span_in: float, reach_in: float = BEAM_HALF_IN) -> Members:
    """An attached deck on one beam: ledger face to beam centre is the span, the rest is past the beam."""
    region = rectangle_region(192.0, 1.5 + span_in + reach_in, "ledger")
    return members(arranged(region, (1.5 + span_in,), 4.5, stock_in=480.0), size, spacing_in, ("2x12", 3))


def checked(check: str, laid: Members, by: Criteria) -> Finding:
    (found,) = [f for f in judge_joists(laid, by).findings if f.check == check]
    return found


def of(row: Row) -> Criteria:
    return criteria(row["edition"], float(row["load_psf"]), SPECIES[row["species_group"]])


def keys(finding: Finding) -> dict[str, str]:
    return {cell.name: cell.value for cell in finding.citation.rows}


def span_id(row: Row) -> str:
    group = SHORT[row["species_group"]]
    return cited(SPANS, row, f"{row['load_psf']}psf", group, row["nominal_size"], f"{row['spacing_in']}in")


SPAN_CELLS = [row for edition in EDITIONS for row in drawn(rows(SPANS, edition=edition), 8)]


@pytest.mark.parametrize("row", SPAN_CELLS, ids=span_id)
def test_span_at_the_cell_passes_and_a_sixteenth_more_fails(row: Row) -> None:
    cell = float(row["max_span_in"])
    size, spacing = row["nominal_size"], float(row["spacing_in"])
    at = checked("joist_span", layout(size, spacing, cell), of(row))
    assert (at.basis, at.demand, at.capacity, at.ratio, at.passes) == ("table", cell, cell, 1.0, True)
    assert (at.citation.edition, at.citation.column) == (row["edition"], "max_span_in")
    assert keys(at)["nominal_size"] == size
    assert (keys(at)["spacing_in"], keys(at)["load_psf"]) == (row["spacing_in"], row["load_psf"])
    assert keys(at)["species_group"] == row["species_group"]
    over = checked("joist_span", layout(size, spacing, cell + SIXTEENTH_IN), of(row))
    assert (over.capacity, over.passes) == (cell, False)


def would_carry(row: Row, span_in: float) -> bool:
    """Whether any row of the same edition, load and group at this spacing or closer carries the span."""
    alike = rows(SPANS, edition=row["edition"], load_psf=row["load_psf"], species_group=row["species_group"])
    closer = [one for one in alike if float(one["spacing_in"]) <= float(row["spacing_in"])]
    return any(float(one["max_span_in"]) >= span_in for one in closer)


@pytest.mark.parametrize("row", SPAN_CELLS, ids=lambda row: f"{span_id(row)}-would_pass")
def test_a_failing_span_names_joists_that_would_pass(row: Row) -> None:
    over_in = float(row["max_span_in"]) + SIXTEENTH_IN
    over = checked("joist_span", layout(row["nominal_size"], float(row["spacing_in"]), over_in), of(row))
    if not would_carry(row, over_in):
        assert over.would_pass is None
        return
    size, _, spacing = (over.would_pass or "").split(",")[0].removesuffix(" in").partition(" at ")
    (named,) = rows(
        SPANS, edition=row["edition"], load_psf=row["load_psf"], species_group=row["species_group"],
        nominal_size=size, spacing_in=spacing,
    )  # fmt: skip
    assert float(named["max_span_in"]) >= over_in


# 2015: cantilevers deeper than the nominal joist depth use the with-cantilever column.
WITH_COLUMN = drawn(rows(SPANS, edition="2015"), 6, "with cantilever")


@pytest.mark.parametrize("row", WITH_COLUMN, ids=lambda row: f"{span_id(row)}-with_cantilever_column")
def test_2015_long_cantilevers_use_their_own_column(row: Row) -> None:
    cell, depth = float(row["max_span_with_cantilever_in"]), float(row["nominal_size"].split("x")[1])
    size, spacing = row["nominal_size"], float(row["spacing_in"])
    long_reach = checked("joist_span", layout(size, spacing, cell, depth + SIXTEENTH_IN), of(row))
    assert (long_reach.capacity, long_reach.passes) == (cell, True)
    assert long_reach.citation.column == "max_span_with_cantilever_in"
    short_reach = checked("joist_span", layout(size, spacing, cell, depth), of(row))
    assert short_reach.capacity == float(row["max_span_in"])
    over = checked("joist_span", layout(size, spacing, cell + SIXTEENTH_IN, depth + SIXTEENTH_IN), of(row))
    assert not over.passes


@pytest.mark.parametrize(
    "size", ["2x6", "2x8", "2x10"], ids=lambda size: f"IRC-2015-R507.5-quarter_of_span-{size}"
)
def test_2015_cantilever_is_a_quarter_of_the_span(size: str) -> None:
    by = criteria("2015")
    at = checked("joist_cantilever", layout(size, 12.0, 80.0, 20.0), by)
    assert (at.capacity, at.passes) == (20.0, True)
    assert not checked("joist_cantilever", layout(size, 12.0, 80.0, 20.0 + SIXTEENTH_IN), by).passes


COLUMN_2018 = drawn(rows(SPANS, edition="2018"), 8, "cantilever column")


@pytest.mark.parametrize("row", COLUMN_2018, ids=lambda row: f"{span_id(row)}-max_cantilever")
def test_2018_cantilever_is_the_lesser_of_column_and_quarter(row: Row) -> None:
    cell, span = float(row["max_cantilever_in"]), float(row["max_span_in"])
    limit = min(cell, span / 4)
    size, spacing = row["nominal_size"], float(row["spacing_in"])
    at = checked("joist_cantilever", layout(size, spacing, span, limit), of(row))
    assert (at.capacity, at.passes, at.citation.column) == (limit, True, "max_cantilever_in")
    assert not checked("joist_cantilever", layout(size, spacing, span, limit + SIXTEENTH_IN), of(row)).passes


def reach_id(row: Row) -> str:
    cell = row["max_cantilever_in"] or "NP"
    back = f"back_span_{row['joist_back_span_ft']}ft"
    return cited(
        REACHES, row, f"{row['load_psf']}psf", SHORT[row["species_group"]], row["nominal_size"], back, cell
    )


PRINTED = [
    r for e in ("2021", "2024") for r in drawn((r for r in rows(REACHES, edition=e) if not r["flag"]), 7)
]
FORBIDDEN = [r for e in ("2021", "2024") for r in drawn(rows(REACHES, edition=e, flag="NP"), 5)]


@pytest.mark.parametrize("row", PRINTED, ids=reach_id)
def test_cantilever_at_the_cell_passes_and_a_sixteenth_more_fails(row: Row) -> None:
    back_in = float(row["joist_back_span_ft"]) * 12
    limit = min(float(row["max_cantilever_in"]), back_in / 4)
    at = checked("joist_cantilever", layout(row["nominal_size"], 12.0, back_in, limit), of(row))
    assert (at.capacity, at.ratio, at.passes) == (limit, 1.0, True)
    assert keys(at)["joist_back_span_ft"] == row["joist_back_span_ft"]
    over = checked(
        "joist_cantilever", layout(row["nominal_size"], 12.0, back_in, limit + SIXTEENTH_IN), of(row)
    )
    assert not over.passes
    assert over.would_pass == f"a cantilever up to {limit:.6g} in"


@pytest.mark.parametrize("row", FORBIDDEN, ids=reach_id)
def test_a_not_permitted_cell_permits_no_cantilever(row: Row) -> None:
    found = checked(
        "joist_cantilever",
        layout(row["nominal_size"], 12.0, float(row["joist_back_span_ft"]) * 12, 6.0),
        of(row),
    )
    assert (found.capacity, found.ratio, found.passes) == (None, None, False)
    assert "no cantilever" in (found.would_pass or "")


MIDDLES = [r for e in ("2021", "2024") for r in drawn(rows(REACHES, edition=e), 6, "middle")]


@pytest.mark.parametrize("row", MIDDLES, ids=lambda row: f"{reach_id(row)}-and_7_inches")
def test_between_back_spans_the_line_and_nothing_next_to_a_prohibition(row: Row) -> None:
    alike = rows(
        REACHES, edition=row["edition"], load_psf=row["load_psf"], species_group=row["species_group"],
        nominal_size=row["nominal_size"],
    )  # fmt: skip
    points = [
        (float(r["joist_back_span_ft"]), float(r["max_cantilever_in"]) if r["max_cantilever_in"] else None)
        for r in alike
    ]
    back_in = float(row["joist_back_span_ft"]) * 12 + 7
    on_line = between(points, back_in / 12)
    found = checked("joist_cantilever", layout(row["nominal_size"], 12.0, back_in, 6.0), of(row))
    expected = None if on_line is None else min(on_line, back_in / 4)
    assert found.capacity == (None if expected is None else pytest.approx(expected, abs=1e-9))
    assert found.passes == (expected is not None and expected >= 6.0)


@pytest.mark.parametrize(
    "edition", ["2021", "2024"], ids=lambda e: f"IRC-{e}-Table_R507.6-under_4ft_back_span"
)
def test_no_cantilever_beside_a_back_span_under_4_ft(edition: str) -> None:
    assert checked("joist_cantilever", layout("2x10", 12.0, 48.0, 12.0), criteria(edition)).passes
    found = checked("joist_cantilever", layout("2x10", 12.0, 48.0 - SIXTEENTH_IN, 6.0), criteria(edition))
    assert (found.capacity, found.passes) == (None, False)

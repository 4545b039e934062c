"""Posts and decking against the cells of the IRC tables: at the printed height or spacing, and a sixteenth over."""

from __future__ import annotations

import pytest
from context import criteria
from published_cells import SHORT, SIXTEENTH_IN, SPECIES, Row, between, cited, drawn, rows

from service.contract.spec import DeckingSpec
from service.sizing.allowed import Allowed, allowed_post_height
from service.sizing.decking import decking_spacing_limit
from service.units.finding import at_most

NAME = "post_heights"
HEIGHT = "max_height_in"
TWO_PLIES = 2


def read(row: Row, area_sqft: float, height_in: float = 0.0, plies: int = TWO_PLIES) -> Allowed:
    by = criteria(row["edition"], float(row["load_psf"]), SPECIES.get(row["species_group"], "hem_fir"))
    return allowed_post_height(by, row["post_size"], plies, area_sqft, height_in)


def passes(found: Allowed, height_in: float) -> bool:
    return at_most(
        "main.post-1-1", "post_height", found.basis, height_in, found.value_in, "in", found.citation
    ).passes


def post_id(row: Row, *more: object) -> str:
    area = f"{row['tributary_area_sqft']}sqft" if row["tributary_area_sqft"] else "any_area"
    cell = row[HEIGHT] or "NP"
    return cited(
        NAME, row, f"{row['load_psf']}psf", SHORT[row["species_group"]], row["post_size"], area, cell, *more
    )


# 2018 note c of the table: the printed 4x4 height (81 in) is for three plies; 96 in under one or two.
SINGLE = [
    (row, 3)
    for edition in ("2015", "2018")
    for row in rows(NAME, edition=edition)
    if row["post_size"] != "8x8"
] + [(row, 3) for row in rows(NAME, edition="2018", post_size="8x8")]


@pytest.mark.parametrize("case", SINGLE, ids=lambda case: post_id(case[0], f"under_{case[1]}_plies"))
def test_2015_and_2018_print_one_height_a_size(case: tuple[Row, int]) -> None:
    row, plies = case
    cell = float(row[HEIGHT])
    found = read(row, 60.0, plies=plies)
    assert (found.value_in, found.basis, found.citation.edition) == (cell, "table", row["edition"])
    assert passes(found, cell)
    assert not passes(found, cell + SIXTEENTH_IN)


@pytest.mark.parametrize(
    ("plies", "height_in"),
    [(1, 96.0), (2, 96.0), (3, 81.0)],
    ids=lambda v: f"IRC-2018-Table_R507.4-4x4-{v:g}",
)
def test_2018_4x4_by_plies(plies: int, height_in: float) -> None:
    (row,) = rows(NAME, edition="2018", post_size="4x4")
    assert row[HEIGHT] == "81"
    assert read(row, 60.0, plies=plies).value_in == height_in


BY_AREA = [row for e in ("2021", "2024") for row in drawn((r for r in rows(NAME, edition=e) if r[HEIGHT]), 8)]


@pytest.mark.parametrize("row", BY_AREA, ids=post_id)
def test_2021_and_2024_height_at_the_printed_area(row: Row) -> None:
    cell, area = float(row[HEIGHT]), float(row["tributary_area_sqft"])
    found = read(row, area)
    assert (found.value_in, found.basis) == (cell, "table")
    named = {one.name: one.value for one in found.citation.rows}
    assert (named["tributary_area_sqft"], named["post_size"]) == (
        row["tributary_area_sqft"],
        row["post_size"],
    )
    assert passes(found, cell)
    assert not passes(found, cell + SIXTEENTH_IN)


NOT_PERMITTED = [row for e in ("2021", "2024") for row in drawn(rows(NAME, edition=e, flag="NP"), 4)]


@pytest.mark.parametrize("row", NOT_PERMITTED, ids=post_id)
def test_a_not_permitted_cell_permits_no_post(row: Row) -> None:
    found = read(row, float(row["tributary_area_sqft"]))
    assert (found.value_in, found.basis) == (None, "table")
    assert not passes(found, 12.0)


MIDDLES = [row for e in ("2021", "2024") for row in drawn(rows(NAME, edition=e), 7, "middle")]


@pytest.mark.parametrize("row", MIDDLES, ids=lambda row: post_id(row, "and_7.5_sqft"))
def test_2021_and_2024_between_areas_the_line_or_nothing(row: Row) -> None:
    alike = rows(NAME, **{k: row[k] for k in ("edition", "load_psf", "species_group", "post_size")})
    points = [
        (float(one["tributary_area_sqft"]), float(one[HEIGHT]) if one[HEIGHT] else None) for one in alike
    ]
    area = float(row["tributary_area_sqft"]) + 7.5
    expected, found = between(points, area), read(row, area)
    if area > 160:
        assert found.basis == "calculated"
    else:
        assert found.basis == "table"
        assert found.value_in == (None if expected is None else pytest.approx(expected, abs=1e-9))


@pytest.mark.parametrize(
    "edition", ["2015", "2018", "2021", "2024"], ids=lambda e: f"IRC-{e}-posts_end_at_14ft"
)
def test_no_table_above_14_ft(edition: str) -> None:
    row = next(one for one in rows(NAME, edition=edition, post_size="6x6") if one[HEIGHT] == "168")
    area = float(row["tributary_area_sqft"] or 20)
    assert read(row, area, 168.0).basis == "table"
    assert read(row, area, 168.0 + SIXTEENTH_IN).basis == "calculated"


def boards(row: Row) -> DeckingSpec:
    return DeckingSpec(
        material="wood",
        thickness_in=1.0 if row["decking"].startswith("1.25") else 1.5,
        angle_deg=0.0 if row["orientation"] == "perpendicular" else 45.0,
    )


# Every board is taken to cross three joists (own convention): the multiple-span rows.
DECKING = [row for row in rows("decking_joist_spacing") if row["board_span_class"] != "single span"]


@pytest.mark.parametrize(
    "row",
    DECKING,
    ids=lambda r: cited(
        "decking_joist_spacing", r, r["decking"].split()[0] + "in", r["orientation"].split()[0],
        f"{r['max_joist_spacing_in']}in",
    ),
)  # fmt: skip
def test_decking_sets_the_joist_spacing(row: Row) -> None:
    cell = float(row["max_joist_spacing_in"])
    limit = decking_spacing_limit(criteria(row["edition"]), boards(row))
    assert (limit.spacing_in, limit.by_label, limit.citation.edition) == (cell, False, row["edition"])
    cited_rows = {one.name: one.value for one in limit.citation.rows}
    assert (cited_rows["decking"], cited_rows["orientation"]) == (row["decking"], row["orientation"])

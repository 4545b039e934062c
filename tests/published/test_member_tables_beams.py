"""Beams against the cells of the IRC beam tables, each edition read the way it is printed.

2015 and 2018 by the next larger joist span column; 2021 by the factored joist span, interpolated; 2024 by the
printed pair of joist span and cantilever. Each reading is made again here from the reference rows alone.
"""

from __future__ import annotations

import pytest
from context import criteria
from published_cells import SEED, SHORT, SIXTEENTH_IN, SPECIES, Row, between, cited, drawn, rows, safer

from service.sizing.allowed import Allowed, allowed_beam_span, allowed_interior_beam_span
from service.sizing.beams import interior_beam_table_limit
from service.sizing.line_load_beam import line_load_beam_span
from service.timber.refusal import NoRule

NAME = "beam_spans"
SPAN = "max_beam_span_in"
GROUP_KEYS = ("edition", "load_psf", "species_group", "plies", "nominal_size")
TOLERANCE_IN = 1e-6


def alike(row: Row) -> list[Row]:
    """All rows of the same beam under the same load."""
    return rows(NAME, **{key: row[key] for key in GROUP_KEYS})


def read(row: Row, joist_ft: float, over_ft: float) -> Allowed:
    by = criteria(row["edition"], float(row["load_psf"]), SPECIES[row["species_group"]])
    return allowed_beam_span(by, row["nominal_size"], int(row["plies"]), joist_ft, over_ft)


def beam_id(row: Row, *more: object) -> str:
    beam = f"{row['plies']}ply_{row['nominal_size']}"
    over = f"J{row['joist_span_ft']}ft" + (
        f"_C{row['joist_cantilever_ft']}ft" if row["joist_cantilever_ft"] else ""
    )
    return cited(NAME, row, f"{row['load_psf']}psf", SHORT[row["species_group"]], beam, over, *more)


NEXT_COLUMN = [row for edition in ("2015", "2018") for row in drawn(rows(NAME, edition=edition), 8)]


@pytest.mark.parametrize("row", NEXT_COLUMN, ids=beam_id)
def test_2015_and_2018_read_the_column_that_reaches(row: Row) -> None:
    column_ft = float(row["joist_span_ft"])
    columns = sorted(float(one["joist_span_ft"]) for one in alike(row))
    at = read(row, column_ft, 0.0)
    assert (at.value_in, at.basis, at.citation.edition) == (safer(row, SPAN), "table", row["edition"])
    cited_rows = {cell.name: cell.value for cell in at.citation.rows}
    assert cited_rows["joist_span_ft"] == row["joist_span_ft"]
    assert (cited_rows["nominal_size"], cited_rows["plies"]) == (row["nominal_size"], row["plies"])
    past = read(row, column_ft + SIXTEENTH_IN / 12, 0.0)
    following = [one for one in columns if one > column_ft]
    if not following:
        assert past.basis == "calculated"
        return
    (reached,) = [one for one in alike(row) if float(one["joist_span_ft"]) == following[0]]
    assert past.value_in == safer(reached, SPAN)


def factor_2021(ratio: float) -> float:
    points = [
        (float(row["cantilever_to_span_ratio"]), safer(row, "joist_span_factor", max))
        for row in rows("beam_joist_span_factors_2021")
    ]
    found = between(points, ratio)
    assert found is not None
    return found


def span_2021(row: Row, joist_ft: float, over_ft: float) -> float | None:
    effective = max(6.0, joist_ft * factor_2021(over_ft / joist_ft))
    return between([(float(one["joist_span_ft"]), safer(one, SPAN)) for one in alike(row)], effective)


@pytest.mark.parametrize(
    "row",
    rows("beam_joist_span_factors_2021"),
    ids=lambda r: (
        f"IRC-2021-Table_R507.5(5)-ratio_{r['cantilever_to_span_ratio']}-factor_{r['joist_span_factor']}"
    ),
)
def test_2021_factor_at_each_printed_ratio(row: Row) -> None:
    """At each ratio the effective span is joist span times the factor; the row out of family counts as 0.78."""
    used = 0.78 if row["cantilever_to_span_ratio"] == "0.0833" else float(row["joist_span_factor"])
    ratio, joist_ft = float(row["cantilever_to_span_ratio"]), 10 / used
    cell = rows(
        NAME, edition="2021", load_psf="40", species_group="southern_pine", plies="2", nominal_size="2x10",
        joist_span_ft="10",
    )  # fmt: skip
    at = read(cell[0], joist_ft, joist_ft * ratio)
    assert at.value_in == pytest.approx(float(cell[0][SPAN]), abs=1e-4)


def test_IRC_2021_R507_5_5_factor_out_of_family_is_flagged_on_the_beam() -> None:
    (cell,) = rows(
        NAME, edition="2021", load_psf="40", species_group="southern_pine", plies="2", nominal_size="2x10",
        joist_span_ft="10",
    )  # fmt: skip
    assert read(cell, 12.0, 1.0).suspect  # ratio 1/12, printed factor 0.72, likely 0.78
    assert not read(cell, 12.0, 2.4).suspect  # between the printed 0.90 and 1.00


FACTORED = drawn(rows(NAME, edition="2021"), 12, "factored")


@pytest.mark.parametrize("row", FACTORED, ids=lambda row: beam_id(row, "no_cantilever"))
def test_2021_column_reached_without_a_cantilever(row: Row) -> None:
    joist_ft = float(row["joist_span_ft"]) / 0.66
    at = read(row, joist_ft, 0.0)
    assert at.value_in == pytest.approx(safer(row, SPAN), abs=TOLERANCE_IN)
    past = read(row, joist_ft + 0.5, 0.0)
    if row["joist_span_ft"] == "18":
        assert past.basis == "calculated"
    else:
        assert past.value_in is not None
        assert at.value_in is not None
        assert past.value_in <= at.value_in


def draw_pair(row: Row) -> tuple[float, float]:
    """A joist span and cantilever that no printed column equals, from the committed seed."""
    place = sum(map(ord, "".join(row.values()))) + SEED
    joist_ft = 7 + place % 83 / 10
    return joist_ft, joist_ft * (place % 24) / 100


BETWEEN_2021 = drawn(rows(NAME, edition="2021"), 12, "between columns")


@pytest.mark.parametrize(
    "row", BETWEEN_2021, ids=lambda row: beam_id(row, "at_J{:.1f}ft_C{:.2f}ft".format(*draw_pair(row)))
)
def test_2021_factor_and_span_are_both_interpolated(row: Row) -> None:
    joist_ft, over_ft = draw_pair(row)
    assert read(row, joist_ft, over_ft).value_in == pytest.approx(
        span_2021(row, joist_ft, over_ft), abs=TOLERANCE_IN
    )


def test_2021_short_spans_are_read_at_6_ft() -> None:
    """IRC 2021 Table R507.5: an effective joist span under 6 ft is read in the 6 ft column."""
    (cell,) = rows(
        NAME, edition="2021", load_psf="40", species_group="southern_pine", plies="3", nominal_size="2x8",
        joist_span_ft="6",
    )  # fmt: skip
    assert read(cell, 4.0, 0.0).value_in == float(cell[SPAN])
    assert read(cell, 6 / 0.66, 0.0).value_in == pytest.approx(float(cell[SPAN]))
    assert read(cell, 6 / 0.66 + 0.1, 0.0).value_in < float(cell[SPAN])


def span_2024(row: Row, joist_ft: float, over_ft: float) -> float | None:
    reached = [
        safer(one, SPAN)
        for one in alike(row)
        if float(one["joist_span_ft"]) >= joist_ft and float(one["joist_cantilever_ft"]) >= over_ft
    ]
    return max((value for value in reached if value is not None), default=None)


PAIRS = drawn(rows(NAME, edition="2024"), 14, "pairs")


@pytest.mark.parametrize("row", PAIRS, ids=beam_id)
def test_2024_printed_pair_and_just_past_it(row: Row) -> None:
    joist_ft, over_ft = float(row["joist_span_ft"]), float(row["joist_cantilever_ft"])
    more_ft = SIXTEENTH_IN / 12
    for joist, over in ((joist_ft, over_ft), (joist_ft + more_ft, over_ft), (joist_ft, over_ft + more_ft)):
        expected = span_2024(row, joist, over)
        found = read(row, joist, over)
        if expected is None:
            assert found.basis == "calculated"
        else:
            assert (found.value_in, found.basis) == (expected, "table")
    assert (read(row, joist_ft, over_ft).value_in or 0) >= (safer(row, SPAN) or 0)


BETWEEN_2024 = drawn(rows(NAME, edition="2024"), 12, "between columns")


@pytest.mark.parametrize(
    "row", BETWEEN_2024, ids=lambda row: beam_id(row, "at_J{:.1f}ft_C{:.2f}ft".format(*draw_pair(row)))
)
def test_2024_no_blending_between_pairs(row: Row) -> None:
    joist_ft, over_ft = draw_pair(row)
    expected, found = span_2024(row, joist_ft, over_ft), read(row, joist_ft, over_ft)
    if expected is None:
        assert found.basis == "calculated"
    else:
        assert (found.value_in, found.basis) == (expected, "table")
        assert expected in {safer(one, SPAN) for one in alike(row)}


SUSPECT = [row for row in rows(NAME) if row["flag"] == "suspect"]


@pytest.mark.parametrize(
    "row", SUSPECT, ids=lambda r: beam_id(r, f"suspect_{r[SPAN]}_likely_{r[f'likely_{SPAN}']}")
)
def test_a_row_out_of_family_is_used_at_its_safer_value(row: Row) -> None:
    joist_ft, over_ft = float(row["joist_span_ft"]), float(row["joist_cantilever_ft"] or 0)
    if row["edition"] == "2021":
        joist_ft /= 0.66
    found = read(row, joist_ft, over_ft)
    if row["edition"] == "2024":
        assert found.value_in == span_2024(row, joist_ft, over_ft)
    else:
        assert found.value_in == pytest.approx(min(float(row[SPAN]), float(row[f"likely_{SPAN}"])), abs=1e-4)
        assert found.suspect
        said = [(step.symbol, step.value) for step in found.working]
        assert (SPAN, float(row[SPAN])) in said
        assert (f"likely_{SPAN}", float(row[f"likely_{SPAN}"])) in said


# Joists on both sides (own convention, trade fact): the table at the sum of both spans, no factor, no cantilever.
@pytest.mark.parametrize(
    "edition", ["2015", "2018", "2021", "2024"], ids=lambda e: f"IRC-{e}-joists_on_both_sides"
)
def test_interior_beam_reads_the_table_at_the_sum_of_both_spans(edition: str) -> None:
    wanted = {"edition": edition, "load_psf": "40", "species_group": "southern_pine", "plies": "3"}
    (cell,) = [
        row
        for row in rows(NAME, nominal_size="2x12", joist_span_ft="14", **wanted)
        if row["joist_cantilever_ft"] in ("", "0")
    ]
    limit = interior_beam_table_limit(criteria(edition), "2x12", 3, 8.0, 6.0)
    assert limit.value_in == float(cell[SPAN])
    assert interior_beam_table_limit(criteria(edition), "2x12", 3, 10.0, 8.1).outcome == "off_table"


# Joists on both sides are calculated too, and the lesser of table and calculation is used (own convention).
@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"], ids=lambda e: f"IRC-{e}-lesser_of_both")
@pytest.mark.parametrize("size", ["2x8", "2x10", "2x12"])
def test_interior_beam_takes_the_lesser_of_table_and_calculation(edition: str, size: str) -> None:
    by = criteria(edition)
    assert by.timber is not None
    table = interior_beam_table_limit(by, size, 3, 7.0, 7.0).value_in
    for share_ft in (5.0, 7.0, 9.0, 20.0):
        calculated = line_load_beam_span(by.timber, "southern_pine", size, 3, 10 * share_ft, 40 * share_ft)
        assert not isinstance(calculated, NoRule)
        broken = allowed_interior_beam_span(by, size, 3, 7.0, 7.0, True, share_ft)
        assert table is not None
        assert broken.value_in == min(table, calculated.value)
        assert broken.basis == ("table" if table < calculated.value else "calculated")
        through = allowed_interior_beam_span(by, size, 3, 7.0, 7.0, False, share_ft)
        assert through.value_in == (calculated.value if edition == "2024" else broken.value_in)

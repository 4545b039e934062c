"""The look-up forms: exact, next row up, linear, largest that covers; off the table is a refusal."""

from __future__ import annotations

import pytest

from service.rules.lookups import at_or_above, at_or_below, exact, largest_covering, linear, next_row_up
from service.rules.rulebook import Rulebook
from service.rules.table import Table

PINE = {"load_psf": 40, "species_group": "southern_pine"}
JOIST = {**PINE, "nominal_size": "2x10"}
CEDAR_BEAM = {
    "load_psf": 40,
    "species_group": "redwood_western_cedars_ponderosa_red_pine",
    "plies": 2,
    "nominal_size": "2x10",
}

Books = dict[str, Rulebook]


def _table(rulebooks: Books, edition: int, name: str) -> Table:
    return rulebooks[f"irc-{edition}"].tables[name]


def test_exact_reads_the_printed_cell_irc_2021_table_r507_6(rulebooks: Books) -> None:
    reading = exact(_table(rulebooks, 2021, "joist_spans"), {**JOIST, "spacing_in": 16}, "max_span_in")
    assert (reading.value, reading.printed, reading.outcome, reading.suspect) == (168, 168, "found", False)
    cited = reading.citation
    assert (cited.document, cited.edition) == ("International Residential Code", "2021")
    assert (cited.section, cited.table, cited.column) == ("R507.6", "Table R507.6", "max_span_in")
    assert [(row.name, row.value) for row in cited.rows] == [
        ("load_psf", "40"), ("species_group", "southern_pine"), ("nominal_size", "2x10"), ("spacing_in", "16"),
    ]  # fmt: skip
    assert cited.table_url == "/v1/rulebooks/irc-2021/versions/1/tables/joist_spans"
    assert cited.status == "two_sources"
    assert [(step.value, step.unit) for step in reading.steps] == [(168, "in")]


def test_exact_refuses_a_row_that_is_not_printed(rulebooks: Books) -> None:
    reading = exact(_table(rulebooks, 2021, "joist_spans"), {**JOIST, "spacing_in": 19.2}, "max_span_in")
    assert (reading.value, reading.outcome, reading.rows) == (None, "off_table", ())
    assert "spacing_in 19.2" in reading.why


def test_next_row_up_takes_the_next_larger_column_irc_2015_table_r507_6(rulebooks: Books) -> None:
    beams = _table(rulebooks, 2015, "beam_spans")
    key = {**PINE, "plies": 2, "nominal_size": "2x6", "joist_cantilever_ft": None}
    assert next_row_up(beams, key, "max_beam_span_in", 6).value == 83
    assert next_row_up(beams, key, "max_beam_span_in", 6.01).value == 71
    assert next_row_up(beams, key, "max_beam_span_in", 18.01).outcome == "off_table"


def test_arithmetic_dust_does_not_move_to_the_next_row(rulebooks: Books) -> None:
    beams = _table(rulebooks, 2015, "beam_spans")
    key = {**PINE, "plies": 2, "nominal_size": "2x6", "joist_cantilever_ft": None}
    assert next_row_up(beams, key, "max_beam_span_in", 0.1 * 3 * 20 + 1e-12).value == 83


@pytest.mark.parametrize(
    ("back_span_ft", "value", "outcome"),
    [
        (3.9, None, "off_table"), (4, 12, "found"), (5, 15, "found"), (8, 24, "found"), (9, 27, "found"),
        (16, 40, "found"), (16.5, None, "not_permitted"), (18, None, "not_permitted"),
        (18.1, None, "off_table"),
    ],
)  # fmt: skip
def test_linear_between_rows_only_irc_2021_table_r507_6(
    rulebooks: Books, back_span_ft: float, value: float | None, outcome: str
) -> None:
    reading = linear(_table(rulebooks, 2021, "joist_cantilevers"), JOIST, "max_cantilever_in", back_span_ft)
    assert (reading.value, reading.outcome) == (value, outcome)


def test_interpolated_value_cites_both_rows(rulebooks: Books) -> None:
    reading = linear(_table(rulebooks, 2021, "joist_cantilevers"), JOIST, "max_cantilever_in", 9)
    spans = [row.value for row in reading.citation.rows if row.name == "joist_back_span_ft"]
    assert spans == ["8", "10"]
    assert [step.value for step in reading.steps] == [24, 30, 0.5, 27]
    assert reading.printed is None


def test_suspect_factor_uses_the_larger_irc_2021_table_r507_5_5(rulebooks: Books) -> None:
    factors = _table(rulebooks, 2021, "beam_joist_span_factors")
    reading = exact(factors, {"cantilever_to_span_ratio": 0.0833}, "joist_span_factor")
    assert (reading.value, reading.printed, reading.suspect) == (0.78, 0.72, True)
    assert [row.name for row in reading.citation.rows] == ["cantilever_to_span_ratio"]
    assert [(step.symbol, step.value) for step in reading.steps] == [
        ("joist_span_factor", 0.72), ("likely_joist_span_factor", 0.78), ("joist_span_factor", 0.78),
    ]  # fmt: skip
    assert reading.citation.status == "one_source"


def test_suspect_beam_span_uses_the_shorter_irc_2024_table_r507_5_1(rulebooks: Books) -> None:
    beams = _table(rulebooks, 2024, "beam_spans")
    reading = largest_covering(
        beams, CEDAR_BEAM, "max_beam_span_in", {"joist_span_ft": 6, "joist_cantilever_ft": 0}
    )
    assert (reading.value, reading.printed, reading.suspect) == (122, 146, True)


def test_suspect_footing_diameter_uses_the_larger_irc_2024_table_r507_3_1(rulebooks: Books) -> None:
    footings = _table(rulebooks, 2024, "footing_sizes")
    key = {"load_psf": 40, "soil_bearing_psf": 2000, "tributary_area_sqft": 20}
    assert exact(footings, key, "round_diameter_in").value == 10
    assert exact(footings, key, "square_side_in").suspect is False


def test_largest_covering_never_reads_a_smaller_pair_irc_2024_table_r507_5_1(rulebooks: Books) -> None:
    beams = _table(rulebooks, 2024, "beam_spans")
    asked = {"joist_span_ft": 9.0, "joist_cantilever_ft": 1.25}
    reading = largest_covering(beams, CEDAR_BEAM, "max_beam_span_in", asked)
    covering = [
        beams.cell(n, "max_beam_span_in")
        for n in beams.rows_with(CEDAR_BEAM)
        if beams.cell(n, "joist_span_ft") >= 9 and beams.cell(n, "joist_cantilever_ft") >= 1.25
    ]
    assert reading.value == max(covering)
    assert largest_covering(beams, CEDAR_BEAM, "max_beam_span_in", {"joist_span_ft": 18.5}).value is None


def test_corrected_misprint_cites_what_was_printed_irc_2021_table_r507_5_3(rulebooks: Books) -> None:
    beams = _table(rulebooks, 2021, "beam_spans")
    key = {**CEDAR_BEAM, "load_psf": 60, "plies": 3, "nominal_size": "2x8", "joist_cantilever_ft": None}
    reading = next_row_up(beams, key, "max_beam_span_in", 10)
    assert reading.value == 83
    assert {row.name for row in reading.citation.rows} <= set(beams.kind.key)
    assert [(step.symbol, step.value, step.value_text) for step in reading.steps] == [
        ("printed", None, "6-22"), ("max_beam_span_in", 83, None),
    ]  # fmt: skip


def test_not_permitted_post_is_not_off_the_table(rulebooks: Books) -> None:
    posts = _table(rulebooks, 2024, "post_heights")
    np_row = next(n for n in range(len(posts.rows)) if posts.cell(n, "flag") == "NP")
    key = {name: posts.cell(np_row, name) for name in posts.kind.key}
    assert exact(posts, key, "max_height_in").outcome == "not_permitted"


def test_column_the_edition_does_not_print_is_off_the_table(rulebooks: Books) -> None:
    spans = _table(rulebooks, 2015, "joist_spans")
    assert exact(spans, {**JOIST, "spacing_in": 16}, "max_cantilever_in").outcome == "off_table"


def test_a_wrong_key_is_a_mistake_of_the_program(rulebooks: Books) -> None:
    spans = _table(rulebooks, 2021, "joist_spans")
    with pytest.raises(KeyError, match="nominal_size"):
        exact(spans, PINE, "max_span_in")
    with pytest.raises(KeyError, match="spacing_in"):
        linear(spans, {**JOIST, "grade": "no_2"}, "max_span_in", 14)


def test_printed_values_and_neighbours(rulebooks: Books) -> None:
    footings = _table(rulebooks, 2018, "footing_sizes")
    soils = footings.printed_values("soil_bearing_psf")
    assert soils == (1500, 2000, 2500, 3000)
    assert (at_or_below(soils, 2499), at_or_below(soils, 12000), at_or_below(soils, 1499)) == (
        2000,
        3000,
        None,
    )
    loads = footings.printed_values("load_psf")
    assert (at_or_above(loads, 41), at_or_above(loads, 71)) == (50, None)


@pytest.mark.parametrize(
    ("edition", "table", "species", "group"),
    [
        (2021, "joist_spans", "hem_fir", "douglas_fir_larch_hem_fir_spruce_pine_fir"),
        (2015, "beam_spans", "red_pine", "df_hf_spf_and_redwood_cedar_ponderosa_red_pine"),
        (2018, "post_heights", "southern_pine", "any"),
        (2021, "joist_spans", "northern_species", None),
    ],
)
def test_species_group(rulebooks: Books, edition: int, table: str, species: str, group: str | None) -> None:
    assert _table(rulebooks, edition, table).species_group(species) == group


def test_every_printed_species_group_is_known(rulebooks: Books) -> None:
    for book in rulebooks.values():
        for table in book.tables.values():
            if "species_group" in table.columns:
                assert table.species_group("red_pine") or table.species_group("southern_pine"), table.name

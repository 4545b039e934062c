"""An amendment listed as applied is kept to: by the order, the limits and the search; one that is not is told so."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from context import criteria, designed, rulebooks, spec_of
from overlays import block, context_of, place_of

from service.contract.report import DesignReport
from service.rules.amend import adoption_faults, apply_amendments
from service.rules.faults import TableRefused
from service.rules.lookups import largest_covering
from service.rules.rulebook import Rulebook
from service.sizing.criteria import Criteria
from service.sizing.joists import joist_span_limit
from service.sizing.posts import post_height_limit

DECK: dict[str, Any] = {
    "house": {"wall": "none"},
    "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 36}],
    "stairs": [{"edge": 2, "offset_ft": 4, "width_in": 36}],
    "foundation": {"method": "tube_form_pier"},
}


def amended(edition: str, *blocks: str) -> Rulebook:
    return apply_amendments(rulebooks()[f"irc-{edition}"], place_of(*blocks))


def kept_to(edition: str, *blocks: str) -> Criteria:
    book = amended(edition, *blocks)
    assert book.unapplied == ()
    return replace(criteria(edition), rulebook=book)


# ---------------------------------------------------------------- openings of guards


HIGH = DECK | {"levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 60}]}
SCREW = "decking_screw.no_8.2-1-2in.hot_dip_galvanized"


def balusters(report: DesignReport) -> int:
    return sum(piece.quantity for piece in report.takeoff.pieces if ".baluster." in piece.item)


def ordered(*blocks: str) -> DesignReport:
    return designed(spec_of(**HIGH), context_of(place_of(*blocks)))


@pytest.mark.parametrize("key", ["guard_opening_sphere", "stair_guard_opening_sphere"])
def test_smaller_openings_are_kept_with_more_balusters(key: str) -> None:
    before = ordered()
    after = ordered(block("small", "stair_and_guard_limits", f'key = "{key}"', "value = 3.5"))
    assert [one.id for one in after.amendments] == ["small"]
    assert balusters(after) > balusters(before) > 0


def test_more_balusters_take_more_screws() -> None:
    narrow = block("narrow", "stair_and_guard_limits", 'key = "guard_opening_sphere"', "value = 1")
    boxes = [
        sum(line.quantity for line in report.takeoff.hardware if line.item == SCREW)
        for report in (ordered(), ordered(narrow))
    ]
    assert boxes[1] > boxes[0]


# ---------------------------------------------------------------- single limits


@pytest.mark.parametrize(("given", "height_in"), [(60, 60), (90, 90), (120, 96)])
def test_a_post_under_few_plies_is_no_taller_than_its_amended_row(given: float, height_in: float) -> None:
    rules = kept_to("2018", block("posts", "post_heights", 'post_size = "4x4"', f"max_height_in = {given}"))
    assert post_height_limit(criteria("2018"), "4x4", 2, 60.0).value_in == 96
    limit = post_height_limit(rules, "4x4", 2, 60.0)
    assert (limit.value_in, limit.citation.section) == (height_in, "posts")


def pairs(span_ft: float, over_ft: float = 0) -> str:
    return (
        'load_psf = 40, species_group = "southern_pine", plies = 2, nominal_size = "2x10", '
        f"joist_span_ft = {span_ft}, joist_cantilever_ft = {over_ft}"
    )


PAIR = {"load_psf": 40.0, "species_group": "southern_pine", "plies": 2.0, "nominal_size": "2x10"}


def covering(book: Rulebook, span_ft: float, over_ft: float = 0) -> tuple[str, float | None, tuple[str, ...]]:
    asked = {"joist_span_ft": span_ft, "joist_cantilever_ft": over_ft}
    reading = largest_covering(book.tables["beam_spans"], PAIR, "max_beam_span_in", asked)
    return reading.outcome, reading.value, reading.amended


def test_a_removed_pair_is_not_read_past_to_a_harsher_one() -> None:
    """Of 2024, pairs of span and cantilever: what the removed one covered best is off the table."""
    before = covering(rulebooks()["irc-2024"], 10)
    assert before == ("found", 116, ())
    book = amended("2024", block("gone", "beam_spans", pairs(10), "", "removed"))
    assert covering(book, 10) == covering(book, 9) == ("off_table", None, ("gone",))
    assert covering(book, 8)[0] == covering(book, 10.5)[0] == "found"


def test_a_lowered_pair_caps_the_pairs_that_are_harsher() -> None:
    """10 and 2.5 ft lowered stays over 16 and 2.5, its next along an axis, and under 12 and 3."""
    book = amended("2024", block("gone", "beam_spans", pairs(10, 2.5), "", "removed"))
    table = book.tables["beam_spans"]
    row = table.by_key[40.0, "southern_pine", 2.0, "2x10", 10.0, 2.5]
    place = table.kind.position["max_beam_span_in"]
    cells = (*table.rows[row][:place], 50.0, *table.rows[row][place + 1 :])
    lowered = replace(book, tables={**book.tables, "beam_spans": replace(
        table, rows=(*table.rows[:row], cells, *table.rows[row + 1 :]), removed=frozenset()
    )})  # fmt: skip
    assert covering(lowered, 9.5, 2.3) == ("found", 50, ("gone",))


JOISTS_2015 = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x8"'


def test_no_cantilever_lets_a_joist_span_farther_than_its_amended_row() -> None:
    before = [joist_span_limit(criteria("2015"), "2x8", 12.0, over).value_in for over in (0.0, 12.0)]
    rules = kept_to("2015", block("short", "joist_spans", JOISTS_2015, "max_span_in = 80"))
    limits = [joist_span_limit(rules, "2x8", 12.0, over) for over in (0.0, 12.0)]
    assert all(value is not None and value > 80 for value in before)
    assert [(one.value_in, one.citation.section) for one in limits] == [(80, "short"), (80, "short")]


# ---------------------------------------------------------------- rows that no longer fall in order

BEAM = 'load_psf = 40, species_group = "southern_pine", plies = 2, nominal_size = "2x10", joist_span_ft = {}'
JOIST = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x8", spacing_in = {}'
BACK = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x10", joist_back_span_ft = {}'
POST = 'load_psf = 40, species_group = "southern_pine", post_size = "4x4", tributary_area_sqft = {}'
FOOT = "load_psf = 40, soil_bearing_psf = {}, tributary_area_sqft = {}"
FASTENER = 'load_psf = 40, fastener = "1/2 in lag screw", max_sheathing_in = 0.5, joist_span_ft = {}'
DISORDERED = [
    ("2018", "beam_spans", BEAM.format(10), "max_beam_span_in = 57", "88 at joist_span_ft 12"),
    ("2021", "beam_spans", BEAM.format(10), "max_beam_span_in = 57", "at joist_span_ft 12"),
    ("2018", "beam_spans", BEAM.format(10), "max_beam_span_in = 130", "at joist_span_ft 8"),
    ("2024", "beam_spans", pairs(10, 2.5), "max_beam_span_in = 85", "at joist_span_ft 12, joist_cantilever_ft 3"),
    ("2021", "joist_spans", JOIST.format(16), "max_span_in = 100", "at spacing_in 24"),
    ("2021", "joist_cantilevers", BACK.format(10), "max_cantilever_in = 20", "at joist_back_span_ft 12"),
    ("2021", "post_heights", POST.format(40), "max_height_in = 50", "at tributary_area_sqft"),
    ("2021", "footing_sizes", FOOT.format(1500, 60), "square_side_in = 60", "at tributary_area_sqft"),
    ("2021", "footing_sizes", FOOT.format(2000, 60), "square_side_in = 11", "at tributary_area_sqft"),
    ("2021", "beam_joist_span_factors", "cantilever_to_span_ratio = 0", "joist_span_factor = 1.5", "ratio 0.0833"),
]  # fmt: skip


@pytest.mark.parametrize(("edition", "table", "match", "given", "where"), DISORDERED)
def test_a_row_that_a_harsher_one_outdoes_is_no_amendment(
    edition: str, table: str, match: str, given: str, where: str
) -> None:
    book = amended(edition, block("dodged", table, match, given))
    assert (book.unapplied, book.amendments) == (("dodged",), ())


@pytest.mark.parametrize(
    ("table", "match", "given", "where"), [one[1:] for one in DISORDERED if one[0] == "2021"]
)
def test_the_row_out_of_order_is_a_fault_with_its_neighbour(
    table: str, match: str, given: str, where: str
) -> None:
    faults = adoption_faults(place_of(block("dodged", table, match, given)), rulebooks())
    assert any(where in one.text and "amend that row too" in one.text for one in faults), faults


def test_a_row_is_lowered_where_the_harsher_ones_are_too() -> None:
    spans = (10, 12, 14, 16, 18)
    blocks = [block(f"to-{ft}", "beam_spans", BEAM.format(ft), "max_beam_span_in = 57") for ft in spans]
    assert amended("2018", *blocks).unapplied == ()
    # Without the last, it outdoes each of them.
    assert amended("2018", *blocks[:-1]).unapplied == tuple(f"to-{ft}" for ft in spans[:-1])


def test_the_hardest_row_is_lowered_and_the_easiest_raised_alone() -> None:
    hardest = block("hardest", "beam_spans", BEAM.format(18), "max_beam_span_in = 40")
    easiest = block("easiest", "beam_spans", BEAM.format(6), "max_beam_span_in = 150")
    assert amended("2018", hardest, easiest).unapplied == ()


def test_a_cantilever_that_rises_with_the_span_as_printed_is_in_order() -> None:
    longest = block("longest", "joist_cantilevers", BACK.format(16), "max_cantilever_in = 38")
    assert amended("2021", longest).unapplied == ()


def test_rows_out_of_order_as_printed_stay_so() -> None:
    """Every cell given once more as it is printed: nothing is stricter or laxer, whatever its neighbours."""
    for edition, table, column in (
        ("2018", "beam_spans", "max_beam_span_in"),
        ("2021", "post_heights", "max_height_in"),
    ):
        found = rulebooks()[f"irc-{edition}"].tables[table]
        blocks = []
        for number, row in enumerate(found.rows):
            cell = found.cell(number, column)
            if isinstance(cell, float):
                key = {name: row[found.kind.position[name]] for name in found.kind.key}
                match = ", ".join(f"{n} = {v!r}".replace("'", '"') for n, v in key.items() if v is not None)
                blocks.append(block(f"row-{number}", table, match, f"{column} = {cell}"))
        assert amended(edition, *blocks).unapplied == ()


# ---------------------------------------------------------------- what no design reads

UNREAD = [
    ("2015", "joist_spans", JOISTS_2015, "max_cantilever_in = 12"),
    ("2018", "joist_spans", JOISTS_2015, "max_span_with_cantilever_in = 80"),
    ("2021", "joist_spans", JOISTS_2015, "max_cantilever_in = 12"),
    ("2021", "joist_spans", JOISTS_2015, "max_span_with_cantilever_in = 80"),
    ("2024", "joist_spans", JOISTS_2015, "max_cantilever_in = 12"),
    ("2021", "post_heights_live_60", 'post_size = "6x6", tributary_area_sqft = 20', "max_height_in = 24"),
    ("2021", "ledger_placement", 'member = "band joist", dimension = "row spacing"', "min_in = 2"),
    ("2021", "ledger_placement", 'member = "band joist", dimension = "end distance"', "min_in = 3"),
    ("2021", "ledger_placement", 'member = "bolt", dimension = "hole oversize"', "max_in = 0.05"),
    ("2021", "ledger_placement", 'dimension = "row spacing"', "min_in = 2"),
    ("2021", "ledger_placement", 'member = "ledger", dimension = "top edge distance"', "max_in = 3"),
    ("2018", "loads_and_soil", 'key = "band_engineered_thickness"', "value = 2"),
    ("2018", "connection_rules", 'key = "band_engineered_thickness"', "value = 2"),
]  # fmt: skip


@pytest.mark.parametrize(("edition", "table", "match", "given"), UNREAD)
def test_what_no_design_reads_is_not_told_as_applied(
    edition: str, table: str, match: str, given: str
) -> None:
    book = amended(edition, block("unread", table, match, given))
    assert (book.unapplied, book.amendments) == (("unread",), ())


def test_a_whole_table_that_no_design_reads_is_neither_thinned_nor_told() -> None:
    gone = block("gone", "post_heights_live_60", 'post_size = "6x6"', "", "removed")
    assert amended("2021", gone).unapplied == ("gone",)


def test_a_deck_under_what_is_not_kept_to_is_for_an_engineer() -> None:
    report = ordered(block("unread", *UNREAD[6][1:]))
    (told,) = [one for one in report.verdict.reasons if one.code == "rulebook_not_in_force"]
    assert told.citation is not None
    assert (told.citation.section, report.verdict.status) == ("unread", "engineer_required")


@pytest.mark.parametrize(
    ("edition", "match", "given"),
    [
        ("2015", JOISTS_2015, "max_span_with_cantilever_in = 80"),
        ("2018", JOISTS_2015, "max_cantilever_in = 12"),
    ],
)
def test_a_column_that_its_edition_reads_is_amended(edition: str, match: str, given: str) -> None:
    book = amended(edition, block("read", "joist_spans", match, given))
    assert (book.unapplied, [one.id for one in book.amendments]) == ((), ["read"])


@pytest.mark.parametrize(
    ("key", "value", "why"),
    [("calculated_engineer_ratio", 0.9, ">= 1"), ("calculated_caution_ratio", 1, "no local setting")],
)
def test_a_setting_that_is_not_kept_to_is_refused(key: str, value: float, why: str) -> None:
    with pytest.raises(TableRefused) as refused:
        place_of(block("ratio", "settings", f'key = "{key}"', f"value = {value}"))
    assert why in refused.value.faults[0].text

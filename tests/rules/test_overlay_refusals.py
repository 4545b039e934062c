"""Amendments that no rulebook, or the one in force, can take: a fault with its place, and never a better answer."""

from __future__ import annotations

from typing import Any

import pytest
from context import designed, rulebooks, spec_of
from overlays import block, context_of, fellmarch, place_of

from service.rules.amend import adoption_faults
from service.rules.faults import TableRefused

LOW: dict[str, Any] = {
    "house": {"wall": "none"},
    "levels": [{"width_ft": 8, "projection_ft": 8, "surface_height_in": 20}],
    "foundation": {"method": "tube_form_pier"},
}
GUARD = 'key = "guard_height"'
ROWS = 'member = "ledger", dimension = "row spacing"'
JOISTS = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x8", spacing_in = 16'
UNFIT = [
    ("zero", "stair_and_guard_limits", GUARD, "value = 0", "changed", "as 0"),
    ("too-high", "stair_and_guard_limits", GUARD, "value = 2000", "changed", "1000"),
    ("a-word", "stair_and_guard_limits", GUARD, 'value = "tall"', "changed", "a word where"),
    ("not-read", "stair_and_guard_limits", 'key = "grip_edge_radius"', "value = 1", "changed", "no check reads"),
    ("by-setting", "connection_rules", 'key = "beam_overhang_limit"', "value = 0.2", "changed", "no check reads"),
    ("not-there", "joist_spans", 'nominal_size = "2x14"', "max_span_in = 90", "changed", "finds no row"),
    ("twice", "joist_spans", JOISTS, 'load_kind = "live", max_span_in = 90', "added", "change it"),
    ("half", "joist_spans", JOISTS.replace("2x8", "2x14"), "max_span_in = 90", "added", "cell missing"),
    ("a-gap", "joist_spans", JOISTS.replace("= 16", "= 19"), 'load_kind = "live", max_span_in = 90', "added", "a gap"),
    ("forbids", "joist_cantilevers", 'nominal_size = "2x6"', "max_cantilever_in = 12", "changed", "carries a value"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "table", "match", "given", "change", "why"), UNFIT, ids=[one[0] for one in UNFIT]
)
def test_what_does_not_fit_is_a_fault_of_the_place_and_never_a_better_answer(
    name: str, table: str, match: str, given: str, change: str, why: str
) -> None:
    place = place_of(block(name, table, match, given, change))
    (fault,) = adoption_faults(place, rulebooks())
    assert name in fault.text
    assert why in fault.text
    report = designed(spec_of(**LOW), context_of(place))
    (told,) = [one for one in report.verdict.reasons if one.code == "rulebook_not_in_force"]
    assert told.citation is not None
    assert (told.citation.section, report.verdict.status) == (name, "engineer_required")
    assert report.amendments == ()


REFUSED = [
    ("site", 'key = "frost_depth_in"', "value = 400", "changed", "<= 120"),
    ("site", 'key = "frost_depth_in"', 'value = "deep"', "changed", "Expected `float`"),
    ("site", 'key = "frost_depth"', "value = 40", "changed", "no value of a site"),
    ("site", 'key = "frost_depth_in"', "", "removed", "by its key"),
    ("site", 'key = "pile_inspection"', 'value = "a_friend"', "changed", "Invalid enum"),
    ("site", 'key = "pile_inspection"', 'value = ""', "changed", ">= 1"),
    ("settings", 'key = "joist_cantilever_rule"', 'value = "by_back_span"', "changed", "no local setting"),
    ("settings", 'key = "dead_load_psf"', "value = -3", "changed", "> 0"),
    ("stair_and_guard_limits", GUARD, "value = -3", "changed", "'-3' is not a number"),
    ("stair_and_guard_limits", GUARD, "value = nan", "changed", "'nan' is not a number"),
    ("stair_and_guard_limits", GUARD, "value = inf", "changed", "'inf' is not a number"),
    ("stair_and_guard_limits", GUARD, "value = true", "changed", "no yes or no"),
    ("stair_and_guard_limits", GUARD, "", "changed", "gives a value"),
    ("stair_and_guard_limits", GUARD, "", "removed", "can't be removed"),
    ("stair_and_guard_limits", GUARD, "value = 3", "removed", "gives no values"),
    ("stair_and_guard_limits", 'key = "grip"', "value = 3", "added", "no check reads a row grip"),
    ("loads_and_soil", 'key = "deck_footing_width"', 'value = 16, unit = "ft"', "added", "unit is no column"),
    ("ledger_placement", ROWS, "", "removed", "can't be removed"),
    ("joist_spans", 'nominal_size = "2x8"', "max_span_in = 90", "added", "load_psf is missing"),
    ("joist_spans", JOISTS, 'source_id = "s001", max_span_in = 90', "added", "source_id is no column"),
    ("joist_spans", JOISTS, 'load_kind = "live", max_span_in = "far"', "added", "takes a number"),
    ("joist_spans", "max_span_in = 90", "max_span_in = 90", "changed", "not keyed by max_span_in"),
]  # fmt: skip


@pytest.mark.parametrize(("table", "match", "given", "change", "why"), REFUSED)
def test_what_no_table_may_have_is_refused_with_its_place(
    table: str, match: str, given: str, change: str, why: str
) -> None:
    with pytest.raises(TableRefused) as refused:
        place_of(fellmarch()[1][0], block("wrong", table, match, given, change))
    first = refused.value.faults[0]
    assert first.file == "fellmarch-borough.toml"
    assert str(first.column).startswith("amendments[1]")
    assert why in first.text

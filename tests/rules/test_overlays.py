"""A borough with an amendment of every sort: what each changes of one deck, told with where it is written."""

from __future__ import annotations

from typing import Any

import pytest
from context import designed, places, rulebooks, spec_of
from overlays import LAW, block, context_of, fellmarch, named, place_of

from service.contract.report import DesignReport, Reason
from service.rules.amend import adoption_faults, apply_amendments
from service.rules.lookups import exact, next_row_up
from service.rules.rulebook import Rulebook
from service.units.citation import Citation
from service.units.finding import Finding

DECK: dict[str, Any] = {
    "house": {"wall": "none"},
    "levels": [{"width_ft": 12, "projection_ft": 10, "surface_height_in": 36}],
    "stairs": [{"edge": 2, "offset_ft": 4, "width_in": 36}],
    "foundation": {"method": "tube_form_pier"},
}
LOW: dict[str, Any] = DECK | {
    "levels": [{"width_ft": 8, "projection_ft": 8, "surface_height_in": 20}],
    "stairs": [{"edge": 2, "offset_ft": 2, "width_in": 36}],
}


def design(*ids: str, deck: dict[str, Any] = DECK, rulebook: str = "irc-2021") -> DesignReport:
    return designed(spec_of(**deck), context_of(named(*ids), rulebook))


def pair(name: str, deck: dict[str, Any] = DECK) -> tuple[DesignReport, DesignReport]:
    """The deck without an amendment and with it; the report lists what it was made by."""
    without, with_it = design(deck=deck), design(name, deck=deck)
    assert [one.id for one in without.amendments] == []
    assert [one.id for one in with_it.amendments] == [name]
    assert with_it.amendments[0].citation.document == "Fellmarch Borough code (invented)"
    return without, with_it


def checks(report: DesignReport, name: str) -> list[Finding]:
    return [one for one in report.checks if one.check == name]


def reasons(report: DesignReport, code: str) -> list[Reason]:
    return [one for one in report.verdict.reasons if one.code == code]


def section(cited: Citation | None) -> str | None:
    return None if cited is None else cited.section


def test_live_load_of_60_is_off_the_tables_by_the_borough_s_own_words() -> None:
    without, with_it = pair("live-60")
    assert (without.loads.live_psf, with_it.loads.live_psf) == (40, 60)
    assert (without.loads.design_psf, with_it.loads.design_psf) == (50, 70)
    assert not reasons(without, "live_load_above_tables")
    (why,) = reasons(with_it, "live_load_above_tables")
    assert (section(why.citation), with_it.verdict.status) == ("12.08.010", "engineer_required")
    live = next(one for one in with_it.inputs if one.pointer == "/site/live_load_psf")
    assert (live.value, live.source) == ("60", "amendment")
    # joists are calculated for 60, not read where the tables have 60 of snow
    assert {one.basis for one in checks(with_it, "joist_span")} == {"calculated"}


def test_a_live_load_under_the_borough_s_is_told_with_its_law() -> None:
    deck = DECK | {"site": {"live_load_psf": 40}}
    (why,) = reasons(design("live-60", deck=deck), "site_value_below_jurisdiction")
    assert section(why.citation) == "12.08.010"


def test_frost_goes_deeper() -> None:
    without, with_it = pair("frost-48")
    for report, frost, cited in ((without, 36, None), (with_it, 48, "12.08.020")):
        found = checks(report, "footing_below_frost")
        assert {one.capacity for one in found} == {frost}
        assert all(one.demand is not None and one.demand >= frost for one in found)
        assert cited is None or {one.citation.section for one in found} == {cited}
    assert with_it.footings[0].bottom_height_in < without.footings[0].bottom_height_in
    depth = next(one for one in with_it.inputs if one.pointer == "/site/frost_depth_in")
    assert (depth.value, depth.source) == ("48", "amendment")


def test_a_frost_depth_of_the_caller_s_own_is_not_the_borough_s() -> None:
    deck = DECK | {"site": {"frost_depth_in": 54}}
    found = checks(design("frost-48", deck=deck), "footing_below_frost")
    assert {one.capacity for one in found} == {54}
    assert "12.08.020" not in {one.citation.section for one in found}
    shallow = DECK | {"site": {"frost_depth_in": 40}}
    (why,) = reasons(design("frost-48", deck=shallow), "site_value_below_jurisdiction")
    assert section(why.citation) == "12.08.020"


def test_handrail_from_three_risers_on() -> None:
    """The stair of the low deck has three risers: 20 in at 7.75 at most."""
    without, with_it = pair("handrail-3", LOW)
    assert without.stairs[0].flights[0].risers == 3
    rail = with_it.stairs[0].handrail
    assert without.stairs[0].handrail is None
    assert rail is not None
    assert rail.required
    assert not checks(without, "handrail_height")
    (found,) = checks(with_it, "handrail_required")
    assert section(found.citation) == "12.08.030"
    ordered = [{line.item for line in report.takeoff.hardware} for report in (without, with_it)]
    assert ordered[1] > ordered[0]


def test_no_helical_pile_without_a_special_inspector() -> None:
    deck = DECK | {"foundation": {"method": "helical_pile"}}
    without, with_it = pair("piles-inspected", deck)
    assert not reasons(without, "pile_policy_needs_engineer")
    found = reasons(with_it, "pile_policy_needs_engineer")
    assert {section(one.citation) for one in found} == {"12.08.040"}
    assert with_it.verdict.status == "engineer_required"
    bought = [
        {line.item for method in report.footing_comparison.methods if method.method == "helical_pile"
         for line in method.quantities}
        for report in (without, with_it)
    ]  # fmt: skip
    assert "service.special_inspector.visit" in bought[1] - bought[0]


def test_footings_go_at_least_so_deep() -> None:
    without, with_it = pair("footings-42-deep")
    assert {one.capacity for one in checks(without, "footing_in_undisturbed_ground")} == {12}
    found = checks(with_it, "footing_in_undisturbed_ground")
    assert {(one.capacity, section(one.citation)) for one in found} == {(42, "12.08.050 (a)")}
    assert {one.bottom_height_in for one in without.footings if one.post} == {-36}
    assert {one.bottom_height_in for one in with_it.footings if one.post} == {-42}


def test_the_older_row_of_a_footing_s_depth_counts_too() -> None:
    """2021 has a row of all footings and one of deck footings, both 12 in: the one that asks for more holds."""
    deeper = block("deeper", "loads_and_soil", 'key = "footing_depth"', "value = 50")
    report = designed(spec_of(**DECK), context_of(place_of(deeper)))
    found = checks(report, "footing_in_undisturbed_ground")
    assert {(one.capacity, section(one.citation)) for one in found} == {(50, "deeper")}


def widths(report: DesignReport) -> set[float | None]:
    found = (
        one for one in checks(report, "footing_size") if one.basis != "calculated" and one.sense == "at_least"
    )
    return {one.demand for one in found}


def test_footings_are_at_least_so_wide() -> None:
    without, with_it = pair("footings-16-wide", LOW)
    assert (widths(without), widths(with_it)) == ({12}, {16})
    found = checks(with_it, "footing_size")
    assert {(one.capacity, section(one.citation)) for one in found if one.basis == "table"} == {
        (16, "12.08.050 (b)")
    }
    shafts = {one.concrete.shaft_diameter_in for one in with_it.footings if one.concrete}
    assert shafts - {None} == {16}


@pytest.mark.parametrize("method", ["tube_form_pier", "pad_and_pier", "belled_pier", "post_on_buried_pad"])
def test_a_least_width_holds_for_every_footing_of_concrete(method: str) -> None:
    deck = LOW | {"foundation": {"method": method}}
    wide = block("wide", "loads_and_soil", 'key = "deck_footing_width"', "value = 26", "added")
    report, before = designed(spec_of(**deck), context_of(place_of(wide))), design(deck=deck)
    assert max(one or 0 for one in widths(before)) < 26
    if report.verdict.status == "prescriptive":
        assert min(one or 0 for one in widths(report)) >= 26
    cited = [one for one in checks(report, "footing_size") if section(one.citation) == "wide"]
    assert {one.capacity for one in cited} <= {26}
    assert cited or reasons(report, "method_cannot_serve")


def test_guards_are_42_in_high() -> None:
    without, with_it = pair("guards-42")
    assert {one.capacity for one in checks(without, "guard_height")} == {36}
    found = checks(with_it, "guard_height")
    assert {(one.demand, one.capacity, section(one.citation)) for one in found} == {(42, 42, "12.08.060")}


def test_all_together_are_told_in_their_order_and_fit_the_edition() -> None:
    place = places()["fellmarch-borough"]
    assert adoption_faults(place, rulebooks()) == []
    report = designed(spec_of(**DECK), context_of(place))
    assert [one.id for one in report.amendments] == [text.split('"')[1] for text in fellmarch()[1]]
    assert report.verdict.status == "engineer_required"
    assert {one.code for one in report.verdict.reasons} == {"live_load_above_tables"}


def amended(*blocks: str, edition: str = "irc-2021") -> Rulebook:
    return apply_amendments(rulebooks()[edition], place_of(*blocks))


GUARD = 'key = "guard_height"'


def test_of_two_amendments_of_a_cell_the_later_holds_and_both_are_told() -> None:
    first = block("first", "stair_and_guard_limits", GUARD, "value = 42")
    second = block("second", "stair_and_guard_limits", GUARD, "value = 39")
    for blocks, value, ids in (
        ((first, second), 39, ["first", "second"]),
        ((second, first), 42, ["second", "first"]),
    ):
        book = amended(*blocks)
        reading = book.limit("guard_height")
        assert (reading.value, reading.citation.section, [one.id for one in book.amendments]) == (
            value,
            ids[1],
            ids,
        )
        printed, before, after = reading.steps
        assert (printed.symbol, printed.value, after.value) == ("printed_before_amendment", 36, value)
        assert [f"{LAW} {name}" in one.source for name, one in zip(ids, (before, after), strict=True)] == [
            True,
            True,
        ]
    told = [(one.printed, one.value) for one in amended(first, second).amendments]
    assert told == [("36", "42"), ("42", "39")]


JOISTS = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x8", spacing_in = 16'


ROWS = 'member = "ledger", dimension = "row spacing"'


def test_an_amendment_changes_several_columns_at_once() -> None:
    book = amended(
        block(
            "both",
            "ledger_placement",
            'member = "ledger", dimension = "row spacing"',
            "min_in = 2, max_in = 4",
        )
    )
    key = {"member": "ledger", "dimension": "row spacing"}
    for column, value in (("min_in", 2), ("max_in", 4)):
        reading = exact(book.tables["ledger_placement"], key, column)
        assert (reading.value, reading.citation.section) == (value, "both")
    assert [(one.id, one.column) for one in book.amendments] == [("both", "min_in"), ("both", "max_in")]


def test_of_an_amendment_of_several_columns_the_report_tells_once() -> None:
    both = block("both", "ledger_placement", ROWS, "min_in = 2, max_in = 4")
    report = designed(spec_of(**DECK), context_of(place_of(both)))
    assert [one.id for one in report.amendments] == ["both"]


def test_a_removed_row_is_off_the_table_and_its_neighbours_are_not_read_for_it() -> None:
    """Beams of 2018 are read in the next column up: past a removed one is no next one."""
    key = {
        "load_psf": 40.0,
        "species_group": "southern_pine",
        "plies": 2.0,
        "nominal_size": "2x10",
        "joist_cantilever_ft": None,
    }
    match = (
        'load_psf = 40, species_group = "southern_pine", plies = 2, nominal_size = "2x10", joist_span_ft = 10'
    )
    before, after = (
        rulebooks()["irc-2018"],
        amended(block("gone", "beam_spans", match, "", "removed"), edition="irc-2018"),
    )
    assert next_row_up(before.tables["beam_spans"], key, "max_beam_span_in", 9.0).found
    for feet, outcome in ((9.0, "off_table"), (10.0, "off_table"), (8.0, "found"), (10.5, "found")):
        reading = next_row_up(after.tables["beam_spans"], key, "max_beam_span_in", feet)
        assert reading.outcome == outcome
    read = next_row_up(after.tables["beam_spans"], key, "max_beam_span_in", 9.0)
    assert (read.citation.section, read.amended) == ("gone", ("gone",))
    assert [one.value_text for one in read.steps if one.symbol == "max_beam_span_in"] == ["removed"]
    assert [(one.id, one.value) for one in after.amendments] == [("gone", "removed")]


def test_a_row_that_forbids_goes_on_forbidding() -> None:
    table = rulebooks()["irc-2021"].tables["joist_cantilevers"]
    place = table.kind.position
    row = next(one for one in table.rows if one[place["flag"]] == "NP")
    match = ", ".join(f"{name} = {row[place[name]]!r}".replace("'", '"') for name in table.kind.key)
    book = amended(block("gone", "joist_cantilevers", match, "", "removed"))
    assert book.unapplied == ("gone",)
    assert (
        exact(
            book.tables["joist_cantilevers"], {n: row[place[n]] for n in table.kind.key}, "max_cantilever_in"
        ).outcome
        == "not_permitted"
    )


def test_a_row_is_added_where_it_leaves_no_gap() -> None:
    """A tributary area more, for every load and soil; where one of them is left out none is taken."""
    table = rulebooks()["irc-2021"].tables["footing_sizes"]
    loads, soils = table.printed_values("load_psf"), table.printed_values("soil_bearing_psf")
    sizes = 'load_kind = "live", square_side_in = 40, round_diameter_in = 45, thickness_in = 20'
    keys = [(f"row-{n}-{m}", load, soil) for n, load in enumerate(loads) for m, soil in enumerate(soils)]
    blocks = [
        block(
            name, "footing_sizes",
            f"load_psf = {load}, tributary_area_sqft = 200, soil_bearing_psf = {soil}", sizes, "added",
        )
        for name, load, soil in keys
    ]  # fmt: skip
    book = amended(*blocks)
    assert book.unapplied == ()
    key = {"load_psf": loads[0], "soil_bearing_psf": soils[0], "tributary_area_sqft": 200.0}
    reading = exact(book.tables["footing_sizes"], key, "round_diameter_in")
    assert (reading.value, reading.citation.section) == (45, "row-0-0")
    assert [one.symbol for one in reading.steps] == ["round_diameter_in"]
    assert (
        amended(*blocks[1:]).unapplied
        == tuple(f"row-{n}-{m}" for n in range(len(loads)) for m in range(len(soils)))[1:]
    )


def test_a_removed_row_may_be_put_in_anew() -> None:
    match = 'load_psf = 40, species_group = "southern_pine", nominal_size = "2x8", spacing_in = 16'
    book = amended(
        block("gone", "joist_spans", match, "", "removed"),
        block("anew", "joist_spans", match, 'load_kind = "live", max_span_in = 120', "added"),
    )
    key = {"load_psf": 40.0, "species_group": "southern_pine", "nominal_size": "2x8", "spacing_in": 16.0}
    assert exact(book.tables["joist_spans"], key, "max_span_in").value == 120
    assert (book.unapplied, [one.id for one in book.amendments]) == ((), ["gone", "anew", "anew"])


def test_own_values_are_amended_one_after_the_other() -> None:
    place = place_of(
        block("first", "site", 'key = "frost_depth_in"', "value = 40"),
        block("second", "site", 'key = "frost_depth_in"', "value = 44"),
        block("banned", "site", 'key = "methods_not_allowed"', 'value = "helical_pile belled_pier"'),
    )
    assert (place.site.frost_depth_in, place.methods_not_allowed) == (44, ("helical_pile", "belled_pier"))
    told = [
        (one.id, one.column, one.printed, one.value)
        for one in apply_amendments(rulebooks()["irc-2021"], place).amendments
    ]
    assert told == [
        ("first", "frost_depth_in", "36", "40"), ("second", "frost_depth_in", "40", "44"),
        ("banned", "methods_not_allowed", "", "helical_pile belled_pier"),
    ]  # fmt: skip
    assert section(place.law_of("frost_depth_in")) == "second"


def test_a_method_that_an_amendment_bans_is_refused_in_its_words() -> None:
    banned = block("banned", "site", 'key = "methods_not_allowed"', 'value = "tube_form_pier"')
    report = designed(spec_of(**DECK), context_of(place_of(banned)))
    (why,) = reasons(report, "method_not_allowed_here")
    assert (section(why.citation), report.verdict.status) == ("banned", "not_permitted")


def test_a_setting_is_amended_with_a_citation() -> None:
    place = place_of(block("by-law", "settings", 'key = "own_weight_rule"', 'value = "full"'))
    book = apply_amendments(rulebooks()["irc-2021"], place)
    reading = book.setting("own_weight_rule")
    assert (book.in_force_settings.own_weight_rule, reading.text, section(reading.citation)) == (
        "full",
        "full",
        "by-law",
    )
    assert [(one.id, one.column, one.printed, one.value) for one in book.amendments] == [
        ("by-law", "own_weight_rule", "gross", "full")
    ]
    report = designed(spec_of(**DECK), context_of(place))
    used = next(one for one in report.inputs if one.pointer == "/settings/own_weight_rule")
    assert (used.value, used.source) == ("full", "amendment")


def test_places_of_before_are_read_as_before() -> None:
    """Their digests are over what their files say, and no amendment of theirs is another."""
    kept = {
        "alder-county": "521f161774dfdbbaefc90b3d2f8af787b329d6e532c5abf3834ced0c65bfa279",
        "ketterwick-township": "ff31bd92e2f5b1b47cb02d994bc63db207ba0cd381a4a48d68f67de059d4487c",
        "sallowmere-bay": "204ef0704583603bbe809ecf39d2c492a8fd3e4e5888653f9757602a55f97990",
        "sundrel-flats": "f19619aa243edef501cdeff0d75ef9008bd536fe3a1e1d2c904d94d622b772de",
    }
    assert {name: places()[name].digest for name in kept} == kept

"""POST /v1/member-checks: what is refused, what is answered and how, and which side decides."""

from __future__ import annotations

from typing import Any

import pytest

from service.contract.vocabulary import known
from service.web.openapi.examples import REQUEST_EXAMPLES
from tests.contract.api import call
from tests.contract.member_bodies import BEAM, BOTH, FOOTING, GUARD_POST, JOIST, LEDGER, POST

PATH = "/v1/member-checks"
ALL = (JOIST, BEAM, BOTH, POST, FOOTING, LEDGER, GUARD_POST)
EXAMPLES = [pytest.param(body, id=title) for title, _, body in REQUEST_EXAMPLES["checkMember"]]
TOP = [
    "kind", "as_of", "rulebook", "jurisdiction", "amendments", "loads", "allowable", "governing", "table",
    "calculated", "checks", "verdict", "cautions",
]  # fmt: skip


def asked(given: dict[str, Any], **more: Any) -> dict[str, Any]:
    answer = call("POST", PATH, json={**given, **more})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def codes(answer: dict[str, Any], side: str) -> list[str]:
    return [one["code"] for one in answer[side]["refusals"]]


def reasons(answer: dict[str, Any]) -> list[str]:
    return [one["code"] for one in answer["verdict"]["reasons"]]


def checks(answer: dict[str, Any], basis: str) -> dict[str, dict[str, Any]]:
    return {one["check"]: one for one in answer["checks"] if one["basis"] == basis}


def limits(answer: dict[str, Any]) -> list[dict[str, Any]]:
    sides = (answer["table"], answer["calculated"])
    return [one for side in sides for one in (side["allowable"], *side["also"]) if one is not None]


@pytest.mark.parametrize("body", EXAMPLES)
def test_member_check_examples_have_every_field_and_known_words(body: dict[str, Any]) -> None:
    answer = asked(body)
    assert list(answer) == TOP
    assert answer["kind"] == body["kind"]
    for one in limits(answer):
        assert one["quantity"] in known("member_checks.quantity")
        assert one["method"] in known("member_checks.method")
        assert one["governing"] in known("member_checks.governing")
        assert one["working"]
        assert all(step["source"] for step in one["working"])
        assert one["citation"]["document"]
    said = set(known("member_checks.refusal")) | set(known("reason.engineer_required"))
    assert {*codes(answer, "table"), *codes(answer, "calculated")} <= said
    assert {one["check"] for one in answer["checks"]} <= set(known("check"))
    assert len({one["id"] for one in answer["checks"]}) == len(answer["checks"])


@pytest.mark.parametrize("body", [pytest.param(one, id=one["kind"]) for one in ALL])
def test_member_check_same_body_same_bytes_and_null_is_absent(body: dict[str, Any]) -> None:
    first = call("POST", PATH, json=body)
    assert first.headers["vary"] == "Accept, Accept-Encoding, Authorization, Origin"
    assert call("POST", PATH, json=body).content == first.content
    assert call("POST", PATH, json={**body, "jurisdiction": None, "as_of": None}).content == first.content


def test_member_check_without_lengths_has_limits_and_no_verdict() -> None:
    answer = asked(JOIST)
    assert (answer["verdict"], answer["checks"]) == (None, [])
    assert answer["allowable"]["basis"] == "table"
    assert answer["governing"] == "table_cell"


def test_member_check_every_factor_has_its_value_and_section() -> None:
    """NDS Table 4.3.1: the product of the factors shown is the adjusted value shown."""
    working = asked(JOIST)["calculated"]["allowable"]["working"]
    names = [step["symbol"] for step in working]
    factors = working[names.index("Fb") + 1 : names.index("Fb*")]
    assert {"CD", "CM", "Ct", "CF", "Cr"} <= {step["symbol"] for step in factors}
    product = working[names.index("Fb")]["value"]
    for step in factors:
        product *= step["value"]
        assert "NDS" in step["source"]
    assert product == pytest.approx(working[names.index("Fb*")]["value"], abs=0.1)


def test_member_check_table_decides_where_it_says_no() -> None:
    answer = asked(JOIST, span_in=180)
    assert (answer["verdict"]["status"], reasons(answer)[0]) == ("not_permitted", "check_failed")
    advice = checks(answer, "table")["joist_span"]["would_pass"]
    assert advice == "at most 168 in"


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({**JOIST, "ground_snow_load_psf": 90}, "snow_above_tables"),
        ({**JOIST, "rulebook": "irc-2018", "ground_snow_load_psf": 50}, "snow_above_tables"),
        ({**JOIST, "live_load_psf": 60}, "live_load_above_tables"),
        ({**JOIST, "species": "northern_species"}, "material_not_in_rulebook"),
        ({**JOIST, "spacing_in": 19.2}, "size_or_spacing_off_tables"),
    ],
)
def test_member_check_off_the_table_is_calculated_and_an_engineer_s(given: dict[str, Any], code: str) -> None:
    answer = asked(given, span_in=96)
    assert codes(answer, "table")[0] == code
    assert answer["table"]["allowable"] is None
    assert answer["allowable"]["basis"] == "calculated"
    assert answer["calculated"]["allowable"]["method"] == "nds"
    assert answer["verdict"]["status"] == "engineer_required"
    assert code in reasons(answer)
    assert checks(answer, "calculated")["joist_span"]["passes"]


def test_member_check_a_better_grade_goes_beyond_the_table_only_by_an_engineer() -> None:
    long = {**JOIST, "size": "2x8", "spacing_in": 24, "span_in": 125}
    assert asked(long)["verdict"]["status"] == "not_permitted"
    better = asked(long, grade="select_structural")
    assert (better["verdict"]["status"], reasons(better)) == ("engineer_required", ["grade_off_tables"])
    assert not checks(better, "table")["joist_span"]["passes"]


def test_member_check_a_value_sources_disagree_on_is_no_value() -> None:
    answer = asked(JOIST, species="spruce_pine_fir", grade="select_structural", spacing_in=19.2, span_in=60)
    assert answer["allowable"] is None
    assert "no_rule_covers" in codes(answer, "calculated")
    assert answer["verdict"]["status"] == "engineer_required"


def test_member_check_a_remembered_value_is_said() -> None:
    answer = asked(POST, height_in=180)
    assert answer["calculated"]["allowable"]["status"] == "memory"
    assert "value_from_memory" in [one["code"] for one in answer["cautions"]]


def test_member_check_no_cantilever_beside_a_short_or_long_back_span() -> None:
    short = asked(JOIST, back_span_in=40, cantilever_in=6)
    assert codes(short, "table") == codes(short, "calculated") == ["back_span_under_table"]
    assert short["verdict"]["status"] == "engineer_required"
    long = asked(JOIST, size="2x6", back_span_in=216, cantilever_in=6)
    assert codes(long, "table") == ["not_permitted_cell"]
    assert long["verdict"]["status"] == "not_permitted"
    assert checks(long, "table")["joist_cantilever"]["capacity"] is None


def test_member_check_joists_on_both_sides_take_the_lesser_and_an_engineer() -> None:
    answer = asked(BOTH, span_in=96)
    assert codes(answer, "table") == ["joists_on_both_sides"]
    at_sum = next(one for one in answer["table"]["also"] if one["quantity"] == "beam_span_at_sum_of_spans")
    nds = answer["calculated"]["allowable"]
    assert answer["allowable"]["value"] == min(at_sum["value"], nds["value"])
    assert reasons(answer) == ["joists_on_both_sides"]
    # (L1 + L2) / 2 where broken; 1.25 x tributary where two equal spans run through (trade fact).
    through = asked(BOTH, joists_over_beam="continuous", far_joist_span_ft=8)
    half = asked(BOTH, far_joist_span_ft=8)
    loads = [
        next(step["value"] for step in one["calculated"]["allowable"]["working"] if step["symbol"] == "w")
        for one in (through, half)
    ]
    assert loads[0] == pytest.approx(1.25 * loads[1], rel=1e-3)


def test_member_check_joists_that_overhang_over_a_quarter_are_off_every_table() -> None:
    for edition in ("2015", "2018", "2021", "2024"):
        answer = asked(BEAM, rulebook=f"irc-{edition}", joist_cantilever_ft=2.1)
        assert codes(answer, "table") == ["joists_overhang_too_far"]
        assert answer["allowable"]["basis"] == "calculated"
        assert asked(BEAM, rulebook=f"irc-{edition}", joist_cantilever_ft=2)["table"]["allowable"]


def test_member_check_bearing_of_a_beam_needs_its_post() -> None:
    assert "beam_bearing_on_post" not in checks(asked(BEAM, span_in=96), "calculated")
    narrow, wide = (
        checks(asked(BEAM, span_in=96, post_size=size), "calculated")["beam_bearing_on_post"]["demand"]
        for size in ("4x4", "6x6")
    )
    assert narrow == pytest.approx(wide * 5.5 / 3.5, rel=1e-3)


def test_member_check_a_post_shows_the_table_s_rule_and_the_column() -> None:
    """For a tall slender post of a limber species the 2021 table allows more than NDS does."""
    answer = asked(POST, species="western_cedar", size="4x4")
    table, rule = answer["table"]["allowable"], answer["calculated"]["allowable"]
    column = next(one for one in answer["calculated"]["also"] if one["method"] == "nds")
    assert rule["method"] == "table_rule"
    assert table["value"] == rule["printed"] > column["value"]
    assert "table_permits_calculation_does_not" in [one["code"] for one in answer["cautions"]]


def test_member_check_a_post_that_crushes_has_no_height() -> None:
    answer = asked(POST, tributary_sqft=None, size="4x4", load_lb=40_000, height_in=36)
    assert answer["allowable"] is None
    assert "post_crushes" in codes(answer, "calculated")
    assert answer["verdict"]["status"] == "not_permitted"


def test_member_check_a_post_over_14_ft_is_off_the_table() -> None:
    answer = asked(POST, height_in=168.5)
    assert codes(answer, "table") == ["post_above_table"]
    assert reasons(answer) == ["post_above_table"]
    assert asked(POST, height_in=168)["verdict"]["status"] == "prescriptive"


def test_member_check_own_weight_asked_for_may_not_undo_the_table() -> None:
    plain = asked(FOOTING, diameter_in=20)
    assert (plain["allowable"]["value"], plain["allowable"]["basis"]) == (19, "table")
    assert plain["verdict"]["status"] == "prescriptive"
    full = asked(FOOTING, diameter_in=20, own_weight_rule="full", concrete_length_in=35)
    # 150 pcf x 35/12 ft off 1500 psf (DCA 6 Table 4 note 2 for the 150).
    assert full["allowable"]["value"] == pytest.approx(22.7527, abs=1e-3)
    assert full["verdict"]["status"] == "not_permitted"
    assert asked(FOOTING, diameter_in=23, own_weight_rule="full", concrete_length_in=35)["verdict"][
        "status"
    ] == ("prescriptive")


def test_member_check_footing_of_2015_has_no_table() -> None:
    answer = asked(FOOTING, rulebook="irc-2015", diameter_in=20)
    assert codes(answer, "table") == ["no_table_in_edition"]
    assert answer["allowable"]["basis"] == "calculated"
    assert "no_footing_table" in [one["code"] for one in answer["cautions"]]


def test_member_check_weak_soil_and_too_much_load_are_an_engineer_s() -> None:
    assert reasons(asked(FOOTING, soil_bearing_psf=1200, diameter_in=30)) == ["soil_needs_engineer"]
    assert reasons(asked(FOOTING, load_lb=9000, diameter_in=40)) == ["footing_above_table"]


def test_member_check_a_ledger_is_not_verified_by_yield_equations() -> None:
    answer = asked(LEDGER, spacing_in=15)
    assert "yield equations" in answer["calculated"]["text"]
    assert "ledger_rests_on_tests" in [one["code"] for one in answer["cautions"]]
    load = checks(answer, "calculated")["ledger_fastener_spacing"]
    # 50 psf x 12/2 ft x 15/12 ft against the 384 lb that Table R507.9.1.3(1) implies.
    assert (load["demand"], load["capacity"], load["unit"]) == (375, 384, "lb")
    wide = asked(LEDGER, spacing_in=16)
    assert wide["verdict"]["status"] == "not_permitted"


@pytest.mark.parametrize(
    ("more", "table", "calculated"),
    [
        ({"sheathing_thickness_in": 0.75}, "sheathing_off_tables", "tests_only"),
        ({"joist_span_ft": 18.5}, "size_or_spacing_off_tables", "no_rule_covers"),
    ],
)
def test_member_check_a_ledger_off_the_table_has_no_spacing(
    more: dict[str, Any], table: str, calculated: str
) -> None:
    answer = asked(LEDGER, spacing_in=6, **more)
    assert answer["allowable"] is None
    assert (codes(answer, "table"), codes(answer, "calculated")) == ([table], [calculated])
    assert answer["verdict"]["status"] == "engineer_required"


def test_member_check_guard_post_height_by_its_connector() -> None:
    answer = asked(GUARD_POST)
    assert answer["loads"] is None
    assert codes(answer, "table") == ["no_table_in_edition"]
    highest = answer["allowable"]["value"]
    held, pulled = (asked(GUARD_POST, guard_height_in=highest + more) for more in (0, 0.01))
    moment = [checks(one, "calculated")["guard_post_moment"]["passes"] for one in (held, pulled)]
    assert moment == [True, False]
    assert "guard_connector_unproven" in reasons(pulled)
    assert codes(asked(GUARD_POST, mount="surface"), "calculated") == ["tests_only"]
    assert "size_or_spacing_off_tables" in reasons(asked(GUARD_POST, carrier_size="2x6"))


def test_member_check_local_law_holds() -> None:
    """Sallowmere Bay (invented) asks for guards of 42 in and has adopted the 2018 edition."""
    local = asked(GUARD_POST, jurisdiction="sallowmere-bay")
    assert "rulebook_not_in_force" in reasons(local)
    assert checks(local, "rule")["guard_height"]["capacity"] == 42
    assert {one["id"] for one in local["amendments"]} == {"guards-42", "stainless-3000"}
    adopted = asked(JOIST, jurisdiction="sallowmere-bay", rulebook="irc-2018", span_in=120)
    assert adopted["verdict"]["status"] == "prescriptive"
    assert adopted["jurisdiction"]["id"] == "sallowmere-bay"


def test_member_check_site_values_come_from_the_place_and_less_safe_ones_are_an_engineer_s() -> None:
    alder = {"jurisdiction": "alder-county", "ground_snow_load_psf": None}
    place = call("GET", "/v1/jurisdictions/alder-county").json()["site"]
    assert asked(JOIST, **alder)["loads"]["snow_psf"] == place["ground_snow_load_psf"]
    assert asked({**FOOTING, **alder, "soil_bearing_psf": None})["table"]["allowable"]
    less = asked(JOIST, jurisdiction="alder-county", ground_snow_load_psf=5, span_in=120)
    assert "site_value_below_jurisdiction" in reasons(less)


def test_member_check_a_place_that_weighs_the_concrete_asks_for_its_length() -> None:
    """Sundrel Flats (invented) counts all concrete over the bearing."""
    there = {**FOOTING, "jurisdiction": "sundrel-flats", "rulebook": "irc-2021"}
    refused = call("POST", PATH, json=there)
    assert refused.status_code == 422
    assert [one["pointer"] for one in refused.json()["errors"]] == ["/concrete_length_in"]
    answer = asked(there, concrete_length_in=35, own_weight_rule="gross")
    assert (answer["allowable"]["basis"], answer["governing"]) == ("calculated", "bearing")
    assert answer["calculated"]["allowable"]["method"] == "bearing_full"


def test_member_check_a_suspect_row_is_used_at_its_safer_value() -> None:
    """IRC 2021 Table R507.5, 40 psf, hem-fir 1-2x12 at 16 ft: the cell repeats the 2x10 row."""
    answer = asked(BEAM, species="hem_fir", size="2x12", plies=1, joist_span_ft=16 / 0.66)
    assert "table_row_suspect" in [one["code"] for one in answer["cautions"]]


@pytest.mark.parametrize("edition", ["2015", "2018", "2021", "2024"])
def test_member_check_a_species_without_tables_has_no_post_cell(edition: str) -> None:
    """The 2015 and 2018 post tables have one row a size, for the species of their other tables."""
    answer = asked(POST, rulebook=f"irc-{edition}", species="northern_species", size="4x4")
    assert codes(answer, "table") == ["material_not_in_rulebook"]


def test_member_check_stresses_count_dead_and_live_load() -> None:
    """M = w L2 / 8 with 50 psf at 16 in over 141 in, S = 1.5 x 9.25^2 / 6: by hand."""
    bending = checks(asked(JOIST, span_in=141), "calculated")["joist_bending"]
    by_hand = 50 * 16 / 144 * 141**2 / 8 / (1.5 * 9.25**2 / 6)
    assert bending["demand"] == pytest.approx(by_hand, abs=0.1)


def test_member_check_each_fastener_is_read_in_its_own_column() -> None:
    """IRC 2021 Table R507.9.1.3(1), 40 psf, 12 ft: bolts 29 in, bolts with washers 24 in apart."""
    bolt = asked(LEDGER, fastener="bolt")
    washers = asked(LEDGER, fastener="bolt_with_washers")
    assert (bolt["allowable"]["value"], washers["allowable"]["value"]) == (29, 24)
    assert codes(asked(LEDGER, fastener="bolt", sheathing_thickness_in=1), "table") == [
        "sheathing_off_tables"
    ]


def test_member_check_a_beam_bears_as_on_a_middle_post() -> None:
    """Two equal spans put 1.25 w L on the middle post: w = 50 psf x 8/2 ft, L 8 ft, on 4.5 x 5.5 in, by hand."""
    bearing = checks(asked(BEAM, span_in=96, post_size="6x6"), "calculated")["beam_bearing_on_post"]
    assert bearing["demand"] == pytest.approx(1.25 * 200 * 8 / (4.5 * 5.5), abs=0.1)

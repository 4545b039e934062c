"""Member checks by the hundred: each is answered, in registered words, and more load never allows more."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.contract.vocabulary import known
from tests.contract.api import call
from tests.contract.deck_specs import JURISDICTIONS, RULEBOOKS

CASES = 60
SPECIES = (
    "southern_pine", "douglas_fir_larch", "hem_fir", "spruce_pine_fir", "redwood", "western_cedar",
    "ponderosa_pine", "red_pine", "northern_species",
)  # fmt: skip
GRADES = ("no_2", "no_2", "no_1", "no_1_and_better", "select_structural")
JOISTS = ("2x6", "2x8", "2x10", "2x12")
SOLID = ("3x6", "3x10", "4x6", "4x8", "4x12")


def inches(low: int, high: int) -> st.SearchStrategy[float]:
    return st.integers(4 * low, 4 * high).map(lambda quarters: quarters / 4)


maybe = {"span_in": st.none() | inches(24, 260), "cantilever_in": st.none() | inches(0, 60)}
COMMON: dict[str, st.SearchStrategy[Any]] = {
    "rulebook": st.sampled_from(RULEBOOKS),
    "jurisdiction": st.none() | st.sampled_from(JURISDICTIONS),
    "ground_snow_load_psf": st.sampled_from((0, 30, 45, 50, 70, 90, 300)),
    "live_load_psf": st.sampled_from((None, 40, 60, 200)),
    "grade": st.sampled_from(GRADES),
}
WOOD = {"species": st.sampled_from(SPECIES)}
KINDS: dict[str, dict[str, st.SearchStrategy[Any]]] = {
    "joist": {
        **WOOD,
        **maybe,
        "size": st.sampled_from(JOISTS),
        "spacing_in": st.sampled_from((6, 12, 16, 19.2, 24)),
        "back_span_in": inches(24, 260),
    },
    "beam": {
        **WOOD,
        "size": st.sampled_from((*JOISTS, *SOLID)),
        "plies": st.integers(1, 3),
        "joist_span_ft": inches(2, 22),
        "joist_cantilever_ft": inches(0, 6),
        "span_in": inches(24, 260),
        "overhang_in": inches(0, 60),
        "post_size": st.sampled_from((None, "4x4", "8x8")),
    },
    "post": {
        **WOOD,
        "size": st.sampled_from(("4x4", "4x6", "6x6", "8x8")),
        "load_lb": st.integers(1, 60_000),
        "height_in": st.none() | inches(1, 400),
        "beam_plies": st.integers(1, 3),
    },
    "footing": {
        "tributary_sqft": st.integers(1, 400),
        "soil_bearing_psf": st.sampled_from((500, 1500, 1700, 4000, 12_000)),
        "diameter_in": st.none() | inches(6, 60),
        "own_weight_rule": st.sampled_from((None, "gross", "base", "full", "net_of_soil")),
        "concrete_length_in": inches(6, 180),
    },
    "ledger": {
        "fastener": st.sampled_from(("lag_screw", "bolt", "bolt_with_washers")),
        "sheathing_thickness_in": st.sampled_from((0, 0.5, 0.625, 1, 1.5)),
        "joist_span_ft": inches(2, 20),
        "spacing_in": st.none() | inches(4, 40),
    },
    "guard_post": {
        "species": st.none() | st.sampled_from(SPECIES),
        "guard_height_in": inches(24, 72),
        "mount": st.sampled_from(("side", "surface")),
        "carrier_size": st.sampled_from(JOISTS),
    },
}
WORDS = {
    "quantity": set(known("member_checks.quantity")),
    "method": set(known("member_checks.method")),
    "governing": set(known("member_checks.governing")),
    "status": set(known("citation.status")),
    "refusal": {*known("member_checks.refusal"), *known("reason.engineer_required")},
    "reason": {*known("reason.engineer_required"), *known("reason.not_permitted")},
}


def bodies(kind: str) -> st.SearchStrategy[dict[str, Any]]:
    fields = st.fixed_dictionaries({"kind": st.just(kind), **COMMON, **KINDS[kind]})
    return fields.map(standing)


def standing(body: dict[str, Any]) -> dict[str, Any]:
    """A solid beam has one ply."""
    return {**body, "plies": 1} if str(body.get("size")) in SOLID and "plies" in body else body


def ask(body: dict[str, Any]) -> dict[str, Any]:
    answer = call("POST", "/v1/member-checks", json=body)
    assert answer.status_code == 200, (body, answer.text)
    found: dict[str, Any] = answer.json()
    return found


def sound(answer: dict[str, Any]) -> None:
    for side in ("table", "calculated"):
        said = answer[side]
        main = said["allowable"]
        for one in [*said["also"], *([main] if main else [])]:
            assert all(one[name] in WORDS[name] for name in ("quantity", "method", "governing", "status")), (
                one
            )
            assert all(bound["check"] in WORDS["governing"] for bound in one["bounds"]), one
            assert one["value"] > 0
            assert one["working"]
        assert {one["code"] for one in said["refusals"]} <= WORDS["refusal"]
        assert main or said["refusals"]
    verdict = answer["verdict"]
    if verdict is not None:
        assert {one["code"] for one in verdict["reasons"]} <= WORDS["reason"]
        assert (verdict["status"] == "prescriptive") == (not verdict["reasons"])


def never_a_yes_past_what_is_allowed(answer: dict[str, Any]) -> None:
    """A table that refuses, or that is exceeded, or that has nothing to say, is never prescriptive."""
    if answer["verdict"] is None or answer["verdict"]["status"] != "prescriptive":
        return
    assert all(one["passes"] for one in answer["checks"] if one["basis"] != "calculated")
    over = [one["ratio"] for one in answer["checks"] if one["basis"] == "calculated" and not one["passes"]]
    assert all(ratio is not None and ratio <= 1.15 for ratio in over)
    if answer["kind"] not in ("guard_post", "footing"):
        assert answer["table"]["allowable"]


@pytest.mark.parametrize("kind", KINDS)
def test_member_checks_are_all_answered_soundly(kind: str) -> None:
    @given(bodies(kind))
    @settings(max_examples=CASES)
    def one(body: dict[str, Any]) -> None:
        answer = ask(body)
        sound(answer)
        never_a_yes_past_what_is_allowed(answer)

    one()


def _main(answer: dict[str, Any]) -> float | None:
    """The calculated limit of the main quantity by NDS or by bearing, the same method whatever the load."""
    said = answer["calculated"]
    limits = [said["allowable"], *said["also"]] if said["allowable"] else []
    usual = ("nds", "bearing_gross", "test_load")
    found = [
        one["value"] for one in limits if one["method"] in usual and one["quantity"] == limits[0]["quantity"]
    ]
    return found[0] if found else None


@pytest.mark.parametrize("kind", ["joist", "beam", "footing", "ledger"])
def test_more_load_never_allows_more(kind: str) -> None:
    @given(bodies(kind), st.sampled_from((60, 80, 120)))
    @settings(max_examples=CASES)
    def one(body: dict[str, Any], more_psf: int) -> None:
        # Live at both, so that the duration of load is the same.
        light, heavy = (
            _main(ask({**body, "live_load_psf": live, "ground_snow_load_psf": 0})) for live in (40, more_psf)
        )
        if light is None or heavy is None:
            return
        wider = kind == "footing"
        assert heavy >= light if wider else heavy <= light

    one()

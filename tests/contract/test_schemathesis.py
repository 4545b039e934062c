"""The document attacked: cases generated from it, for every operation, with every check on.

The tool takes a valid body that is refused for a fault of the service, but a deck may be well formed and
still impossible: two levels in one place, a stair off its edge. So a 422 is allowed where a spec is taken,
and made up for here: it may carry only faults a schema cannot express, and at least nine of ten decks that
people build, from a strategy written by hand, are answered 200.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.config import SchemathesisConfig

from tests.contract.api import application, call
from tests.contract.deck_specs import JURISDICTIONS, RULEBOOKS, deck_specs

CASES_EACH = 30
DECKS = 60
WISHES_ONE_IN = 4
TAKES_A_SPEC = (
    "createDesign", "createTakeoff", "compareFootings", "layoutStair", "checkMember", "listOptions",
    "drawSheet", "createPermitPackage",
)  # fmt: skip
# These name another version in the query, which there may not be.
NAMES_ANOTHER = ("compareVersions", "compareJurisdictionVersions")
# What a member check needs beside what its schema can ask for.
MEMBER_NEEDS = (
    "/ground_snow_load_psf", "/load_lb", "/soil_bearing_psf", "/back_span_in", "/span_in", "/far_joist_span_ft",
    "/joists_over_beam", "/concrete_length_in",
)  # fmt: skip
# Faults a schema cannot express: between fields, of names, of the calendar and of Unicode.
BEYOND_A_SCHEMA = {
    "both_given", "unknown_rulebook", "unknown_jurisdiction", "unknown_price_book", "unknown_level",
    "duplicate_id", "reserved_id", "outline_crosses_itself", "outline_repeats_point", "outline_sliver",
    "edge_out_of_range", "house_edge_not_on_wall", "edge_wall_repeated", "floor_behind_wall", "levels_overlap",
    "level_floats", "stair_off_edge", "stairs_overlap", "object_off_level", "objects_overlap", "stair_to_itself",
    "stair_goes_up", "stair_on_house_edge", "grade_points_in_line", "grade_points_differ", "currency_mixed",
    "date_out_of_range",
}  # fmt: skip
# Codes a schema does express in most places, and the places where it cannot.
SOMETIMES = {
    "missing": ("/jurisdiction", "/width_ft", "/projection_ft", "/total_rise_in", "/rulebook", *MEMBER_NEEDS),
    "out_of_range": (
        *(f"/levels/{number}" for number in range(4)),
        "/beam_plies",
        "/plies",
        "/joist_cantilever_ft",
    ),
}
REAL = {"jurisdiction": JURISDICTIONS, "rulebook": RULEBOOKS, "price_book": ("brindlemoor-yard",)}
_IMPOSSIBLE = {"expected-statuses": ["2xx", "404", "422"]}
CONFIG = SchemathesisConfig.from_dict(
    {
        "operations": [
            {"include-operation-id": name, "checks": {"positive_data_acceptance": _IMPOSSIBLE}}
            for name in (*TAKES_A_SPEC, *NAMES_ANOTHER)
        ]
    }
)
# The tool writes no NDJSON; these calls are attacked line by line in tests/integration.
IN_LINES = ["designBatch", "reprice", "assessRuleImpacts"]
SCHEMA = schemathesis.openapi.from_asgi("/openapi.json", application(), config=CONFIG).exclude(
    operation_id=IN_LINES
)
SETTINGS = settings(
    max_examples=CASES_EACH, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)


@SCHEMA.parametrize()
@SETTINGS
def test_schemathesis_case(case: Any) -> None:
    valid = case.meta is not None and case.meta.generation.mode.is_positive
    # one engine is behind all designs, so one call takes their cases all the way
    whole = case.path in ("/v1/takeoffs", "/v1/member-checks") or (
        case.path == "/v1/designs" and with_wishes(case.body)
    )
    if valid and whole:
        case.body = steered(case.body)
    answer = case.call_and_validate()
    if valid and answer.status_code == 422:
        unlisted = [fault for fault in answer.json()["errors"] if not beyond_a_schema(fault)]
        assert unlisted == [], case.body


def with_wishes(body: Any) -> bool:
    """Whether this case is designed whole: wishes take several times as long as the deck that all calls work out."""
    return len(str(body)) // 2 % WISHES_ONE_IN == 0


def steered(body: dict[str, Any]) -> dict[str, Any]:
    """A valid body made likelier to be a deck: names that stand for something, and every other time one shape.

    Names made up by the tool are never found, and chance seldom gives a level just one kind of size.
    """
    named = {
        name: REAL[name][len(value) % len(REAL[name])] if name in REAL and isinstance(value, str) else value
        for name, value in body.items()
    }
    if "levels" not in named or len(str(body)) % 2:
        return named
    level = {**named["levels"][0], "width_ft": 14, "projection_ft": 10}
    for place in ("outline_ft", "house_edges", "id"):
        level.pop(place, None)
    return {**named, "jurisdiction": named.get("jurisdiction") or JURISDICTIONS[0], "levels": [level]}


def beyond_a_schema(fault: dict[str, Any]) -> bool:
    return fault["code"] in BEYOND_A_SCHEMA or fault["pointer"].endswith(
        SOMETIMES.get(fault["code"], ()) or "\0"
    )


def test_decks_people_build_are_answered() -> None:
    answers: Counter[int] = Counter()

    @given(deck_specs())
    @settings(SETTINGS, max_examples=DECKS)
    def one(spec: dict[str, Any]) -> None:
        path = "/v1/designs" if with_wishes(spec) else "/v1/takeoffs"
        answer = call("POST", path, json=spec)
        answers[answer.status_code] += 1
        assert answer.status_code in (200, 422), (spec, answer.text)

    one()
    assert answers[200] >= 0.9 * answers.total() > 0

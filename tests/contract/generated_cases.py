"""What the generated cases need to know of this service: bodies of lines, names that exist, and how many there were.

A module of hooks, for the tests in this process and for the tool's own command alike.

The tool takes a valid body that is refused for a fault of the service, but a deck may be well formed and
still impossible: two levels in one place, a stair off its edge. So a 422 is allowed where a spec is taken,
and made up for here: it may carry only faults a schema cannot express.
"""

from __future__ import annotations

import atexit
import json
import os
from collections import Counter
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

import schemathesis
from jsonschema import Draft202012Validator
from schemathesis.generation.meta import TestPhase

from service.web.openapi.build import document
from tests.contract.deck_specs import JURISDICTIONS, RULEBOOKS

LINE_TYPES = ("application/x-ndjson", "application/ndjson")
IN_LINES = ("designBatch", "reprice", "assessRuleImpacts")
TAKES_A_SPEC = (
    "createDesign", "createTakeoff", "compareFootings", "layoutStair", "checkMember", "listOptions",
    "drawSheet", "createPermitPackage",
)  # fmt: skip
# These read the spec as `createTakeoff` does, where every bound of it is tried one by one.
SAME_SPEC = ("createDesign", "compareFootings", "drawSheet", "createPermitPackage")
# These name another version in the query, which there may not be.
NAMES_ANOTHER = ("compareVersions", "compareJurisdictionVersions", "reprice", "assessRuleImpacts")
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
BOOK, OWN_BOOK, PLACE, EDITION = "brindlemoor-yard", "tollgate-yard", JURISDICTIONS[0], RULEBOOKS[2]
REAL = {"jurisdiction": JURISDICTIONS, "rulebook": RULEBOOKS, "price_book": (BOOK,)}
REAL_IN_PATHS = {
    "rulebook_id": EDITION,
    "jurisdiction_id": PLACE,
    "price_book_id": BOOK,
    "table": "joist_spans",
}
REAL_IN_QUERIES = {"price_book": f"{BOOK}@2", "from": f"{EDITION}@1", "to": f"{RULEBOOKS[3]}@1"}
WISHES_ONE_IN = 4
LOCK = Lock()
SENT: Counter[tuple[str, str]] = Counter()


def is_valid(case: Any) -> bool:
    return case.meta is not None and case.meta.generation.mode.is_positive


def operation_of(case: Any) -> str:
    return str(case.operation.definition.raw["operationId"])


@schemathesis.serializer(*LINE_TYPES)
def as_lines(context: Any, value: Any) -> bytes | None:
    """A generated value is one line; the document's own examples are text of several."""
    if isinstance(value, bytes):
        return value
    if isinstance(value, str) and is_valid(context.case):
        return value.encode()
    return json.dumps(value).encode() + b"\n"


@schemathesis.deserializer(*LINE_TYPES)
def first_line(context: Any, answer: Any) -> Any:
    return lines_of(answer)[0]


def lines_of(answer: Any) -> list[dict[str, Any]]:
    return [json.loads(line) for line in answer.content.splitlines()]


@schemathesis.hook
def before_call(context: Any, case: Any, kwargs: dict[str, Any]) -> None:
    """Make valid cases likelier to be of something that is there; names made up by the tool are never found."""
    if not is_valid(case) or case.meta.phase.name == TestPhase.STATEFUL:
        return
    turn = len(str((case.path_parameters, case.query, case.body)))
    if isinstance(case.body, dict) and designed_whole(operation_of(case), case.body):
        case.body = steered(case.body)
    if case.meta.phase.name == TestPhase.FUZZING and turn % 3:
        place = {name: REAL_IN_PATHS[name] for name in case.path_parameters if name in REAL_IN_PATHS}
        if operation_of(case) == "uploadPriceBookVersion":
            place["price_book_id"] = OWN_BOOK
        case.path_parameters = {**case.path_parameters, **place}
        named = {name: REAL_IN_QUERIES[name] for name in case.query or () if name in REAL_IN_QUERIES}
        case.query = {**(case.query or {}), **named}


def designed_whole(operation: str, body: dict[str, Any]) -> bool:
    """Whether a case is steered to a deck that stands: one engine is behind all calls, so not each goes all the way."""
    if operation in ("createTakeoff", "checkMember"):
        return True
    return operation in ("createDesign", *IN_LINES) and with_wishes(body)


def with_wishes(body: Any) -> bool:
    """Whether a case is designed whole: wishes take several times as long as the deck that all calls work out."""
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


@schemathesis.hook
def after_call(context: Any, case: Any, response: Any) -> None:
    """Count what was sent and answered, by phase."""
    phase = "none" if case.meta is None else case.meta.phase.name.value
    with LOCK:
        SENT[phase, operation_of(case)] += 1


@schemathesis.check
def refused_for_what_no_schema_says(context: Any, response: Any, case: Any) -> None:
    """A valid spec is refused only for what its schema cannot express."""
    if response.status_code == 422 and is_valid(case) and operation_of(case) in TAKES_A_SPEC:
        assert_beyond_a_schema(response.json(), case.body)


def assert_beyond_a_schema(problem: dict[str, Any], body: Any) -> None:
    unlisted = [fault for fault in problem["errors"] if not beyond_a_schema(fault)]
    assert unlisted == [], body


def beyond_a_schema(fault: dict[str, Any]) -> bool:
    return fault["code"] in BEYOND_A_SCHEMA or fault["pointer"].endswith(
        SOMETIMES.get(fault["code"], ()) or "\0"
    )


@schemathesis.check
def lines_are_answered_one_by_one(context: Any, response: Any, case: Any) -> None:
    """Every line is as the document says, a bad one is a problem, a good one is refused for what no schema says."""
    if operation_of(case) not in IN_LINES or response.status_code != 200:
        return
    *lines, end = lines_of(response)
    assert end["kind"] == "end", end
    assert end["results"] + end["problems"] == len(lines)
    for line in (*lines, end):
        line_schema(operation_of(case)).validate(line)
    refused = [line["problem"] for line in lines if line["kind"] == "problem"]
    if is_valid(case):
        for problem in refused:
            assert_beyond_a_schema(problem, case.body)
    elif lines and negative_body(case):
        assert refused, case.body


def negative_body(case: Any) -> bool:
    return any(
        place.value == "body" and part.mode.is_negative for place, part in case.meta.components.items()
    )


@cache
def line_schema(operation: str) -> Draft202012Validator:
    whole = document()
    (call,) = (
        item["post"]
        for item in whole["paths"].values()
        if item.get("post", {}).get("operationId") == operation
    )
    schema = call["responses"]["200"]["content"][LINE_TYPES[0]]["schema"]
    return Draft202012Validator({**schema, "components": whole["components"]})


def counts_by_phase() -> dict[str, int]:
    """How many cases were sent and answered, examples first."""
    return {
        phase.value: sum(count for (name, _), count in SENT.items() if name == phase.value)
        for phase in TestPhase
    }


def _write_counts(file: str) -> None:
    Path(file).write_text(json.dumps(counts_by_phase()), "utf-8")


# The tool's own command is a process by itself: what it sent is told to who started it.
_COUNTS = os.environ.get("CASE_COUNTS")  # noqa: TID251
if _COUNTS:
    atexit.register(_write_counts, _COUNTS)

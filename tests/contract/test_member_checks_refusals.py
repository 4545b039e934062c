"""Member checks that are no member check: each fault names its place, all of them at once."""

from __future__ import annotations

from typing import Any

import pytest

from tests.contract.api import call
from tests.contract.member_bodies import BEAM, BOTH, FOOTING, JOIST, POST

PATH = "/v1/member-checks"


def faults(given: dict[str, Any], **more: Any) -> list[tuple[str, str]]:
    answer = call("POST", PATH, json={**given, **more})
    assert answer.status_code == 422, answer.text
    return [(one["pointer"], one["code"]) for one in answer.json()["errors"]]


@pytest.mark.parametrize(
    ("given", "found"),
    [
        ({}, [("/kind", "missing")]),
        ({"kind": "girder"}, [("/kind", "not_in_list")]),
        ({**JOIST, "plies": 2}, [("/plies", "unknown_field")]),
        ({**JOIST, "spacing_in": 30}, [("/spacing_in", "out_of_range")]),
        ({**JOIST, "cantilever_in": 12}, [("/back_span_in", "missing")]),
        ({**JOIST, "ground_snow_load_psf": None}, [("/ground_snow_load_psf", "missing")]),
        ({**JOIST, "species": None}, [("/species", "missing")]),
        ({**JOIST, "rulebook": "irc-1999"}, [("/rulebook", "unknown_rulebook")]),
        ({**JOIST, "rulebook": "dca-6"}, [("/rulebook", "unknown_rulebook")]),
        ({**JOIST, "jurisdiction": "nowhere-town"}, [("/jurisdiction", "unknown_jurisdiction")]),
        ({**JOIST, "as_of": "2014-12-31"}, [("/as_of", "date_out_of_range")]),
        ({**BEAM, "size": "4x10"}, [("/plies", "out_of_range")]),
        ({**BEAM, "overhang_in": 12}, [("/span_in", "missing")]),
        ({**BEAM, "far_joist_span_ft": 6}, [("/far_joist_span_ft", "both_given")]),
        ({**BOTH, "joists_over_beam": None}, [("/joists_over_beam", "missing")]),
        ({**BOTH, "joist_cantilever_ft": 1}, [("/joist_cantilever_ft", "out_of_range")]),
        ({**POST, "tributary_sqft": None}, [("/load_lb", "missing")]),
        ({**POST, "load_lb": 3000}, [("/tributary_sqft", "both_given")]),
        ({**FOOTING, "soil_bearing_psf": None}, [("/soil_bearing_psf", "missing")]),
        ({**FOOTING, "own_weight_rule": "full"}, [("/concrete_length_in", "missing")]),
        (
            {"kind": "joist", "rulebook": "irc-1999", "spacing_in": 99},
            [
                ("/species", "missing"), ("/size", "missing"), ("/spacing_in", "out_of_range"),
                ("/rulebook", "unknown_rulebook"),
            ],
        ),
    ],
)  # fmt: skip
def test_member_check_faults_name_their_place(given: dict[str, Any], found: list[tuple[str, str]]) -> None:
    assert faults(given) == found


@pytest.mark.parametrize("body", [b"[]", b"3", b'"joist"', b"null"])
def test_member_check_of_no_object_is_refused(body: bytes) -> None:
    answer = call("POST", PATH, content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert [one["code"] for one in answer.json()["errors"]] == ["wrong_type"]

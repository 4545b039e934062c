"""The document attacked: cases generated from it, for every call, in every phase, with every check on.

`fuzz.py` sends many more to a server and its database, calls of lines too.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.config import SchemathesisConfig

from tests.contract.api import application, call
from tests.contract.deck_specs import deck_specs
from tests.contract.generated_cases import (
    IN_LINES,
    NAMES_ANOTHER,
    SAME_SPEC,
    TAKES_A_SPEC,
    counts_by_phase,
    with_wishes,
)

CASES_EACH = 15
DECKS = 60
LEAST_CASES = 1500
# A tag the caller has, `*` among them, may be the one there is.
_IMPOSSIBLE = {"expected-statuses": ["2xx", "304", "404", "422"]}
_POSSIBLE = {"expected-statuses": ["2xx", "304", "401", "403", "404", "409"]}
# seconds; less than that is cut off, which is no answer
PATIENCE_S = 300
CONFIG = SchemathesisConfig.from_dict(
    {
        "request-timeout": PATIENCE_S,
        "checks": {"positive_data_acceptance": _POSSIBLE},
        "operations": [
            {
                "include-operation-id": name,
                "checks": {"positive_data_acceptance": _IMPOSSIBLE},
                "phases": {"coverage": {"enabled": name not in SAME_SPEC}},
            }
            for name in (*TAKES_A_SPEC, *NAMES_ANOTHER)
        ],
    }
)
SCHEMA = schemathesis.openapi.from_asgi("/openapi.json", application(), config=CONFIG).exclude(
    operation_id=list(IN_LINES)
)
SETTINGS = settings(
    max_examples=CASES_EACH, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck)
)


# Without a parameter pytest gives the tests of all operations one id, and of equal ids pytest-xdist runs one test.
@SCHEMA.parametrize()
@pytest.mark.parametrize("source", ["document"])
@SETTINGS
def test_schemathesis_case(case: Any, source: str) -> None:
    case.call_and_validate()


TestSteps = SCHEMA.as_state_machine().TestCase
TestSteps.settings = settings(SETTINGS, stateful_step_count=6)


def test_schemathesis_sent_cases_of_every_phase() -> None:
    """The tests of a file run in one process and in their order."""
    sent = counts_by_phase()
    print(sent, sum(sent.values()))
    assert all(sent.values()), sent
    assert sum(sent.values()) >= LEAST_CASES, sent


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

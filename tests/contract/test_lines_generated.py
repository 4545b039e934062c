"""Calls of lines attacked with cases generated from the document, over real HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from service.cli.trial import served
from tests.contract.api import application
from tests.contract.generated_cases import IN_LINES, SENT

CASES_EACH = 8
TOLD = ["200", "400", "401", "403", "404", "406", "415", "422"]
CONFIG = SchemathesisConfig.from_dict(
    {
        "request-timeout": 300,
        # bodies are refused as those of one spec are, whose bounds are tried by `createTakeoff`
        "phases": {"coverage": {"enabled": False}},
        "checks": {
            "positive_data_acceptance": {"expected-statuses": ["200", "404", "422"]},
            "negative_data_rejection": {"expected-statuses": TOLD},
        },
    }
)


@pytest.fixture(scope="module")
def api() -> Iterator[Any]:
    with served(application()) as address:
        schema = schemathesis.openapi.from_url(f"{address}/openapi.json", config=CONFIG, timeout=300)
        yield schema.include(operation_id=list(IN_LINES))


@schemathesis.pytest.from_fixture("api").parametrize()
@settings(max_examples=CASES_EACH, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
def test_lines_are_answered_as_the_document_says(case: Any) -> None:
    case.call_and_validate()


def test_lines_were_sent() -> None:
    sent = {name: sum(count for (_, call), count in SENT.items() if call == name) for name in IN_LINES}
    print(sent)
    assert min(sent.values()) >= CASES_EACH, sent

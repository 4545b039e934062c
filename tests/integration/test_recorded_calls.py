"""Every call of the document is answered as it is recorded, and so is every kind of refusal integrators meet."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.contract.vocabulary import PROBLEM_KINDS
from service.web.openapi.build import document
from tests.recorded_calls import keys_of, recorded, send
from tests.serving import serving

RECORDED = recorded()
# What needs a service in trouble, or very many bytes: tested where that is made.
ELSEWHERE = {
    "overloaded", "no_rulebook", "store_unavailable", "internal", "request_timeout", "too_many_requests",
    "too_large", "too_deep", "head_too_large", "took_too_long", "wrong_host", "origin_not_allowed",
}  # fmt: skip


@pytest.fixture(scope="module")
def answers() -> Iterator[list[dict[str, Any]]]:
    """What a fresh service answers to all of them, in their order."""
    with tempfile.TemporaryDirectory(prefix="deck-framing-test-") as name:
        data = Path(name) / "data"
        with serving(data) as address:
            keys = keys_of(data)
            yield [send(address, keys, call) for call in RECORDED]


@pytest.mark.parametrize("number", range(len(RECORDED)), ids=[one["name"] for one in RECORDED])
def test_a_call_is_answered_as_recorded(answers: list[dict[str, Any]], number: int) -> None:
    assert answers[number] == RECORDED[number]["answer"]


def test_every_call_of_the_document_is_recorded() -> None:
    wanted = {call["operationId"] for item in document()["paths"].values() for call in item.values()}
    good = {one["operation"] for one in RECORDED if one["answer"]["status"] < 400}
    assert wanted - good == set()


def test_every_kind_of_problem_is_recorded() -> None:
    bodies = [one["answer"]["body"] for one in RECORDED if one["answer"]["status"] >= 400]
    assert set(PROBLEM_KINDS) - {body["code"] for body in bodies} == ELSEWHERE

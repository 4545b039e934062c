"""A committed corpus of bodies nobody of good will sends: each has its answer, none makes the service fail."""

from __future__ import annotations

import pytest

from service.contract.strict import DEFAULT_LIMITS
from service.contract.vocabulary import problem_kind
from service.settings import Settings
from tests.contract.api import call
from tests.hostile import Hostile, hostile_bodies

JSON = {"Content-Type": "application/json"}
# Fifty faults, each with the words that would have been taken.
MOST_ANSWER_BYTES = 65_536


@pytest.mark.parametrize("hostile", hostile_bodies(), ids=lambda one: one.name)
def test_a_hostile_body_has_the_answer_it_is_to_have(hostile: Hostile) -> None:
    answer = call("POST", hostile.path, content=hostile.body, headers=JSON)
    told = answer.json()
    assert (answer.status_code, told["code"]) == (hostile.status, hostile.code), answer.text[:500]
    assert answer.headers["content-type"] == "application/problem+json"
    assert len(answer.content) <= MOST_ANSWER_BYTES
    assert len(told["errors"]) <= DEFAULT_LIMITS.faults
    assert bool(told["errors"]) == (hostile.status == 422)
    if hostile.fault is not None:
        assert told["errors"][0]["code"] == hostile.fault, told["errors"][0]


def test_the_corpus_is_what_it_is_said_to_be() -> None:
    bodies = hostile_bodies()
    assert len(bodies) >= 200
    assert len({one.name for one in bodies}) == len({(one.path, one.body) for one in bodies}) == len(bodies)
    assert all(problem_kind(one.code).status == one.status for one in bodies)
    largest = max(len(one.body) for one in bodies)
    assert 0.9 * Settings().max_body_bytes < largest <= Settings().max_body_bytes

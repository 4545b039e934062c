"""The service over real HTTP, answering from a real PostgreSQL."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.store.reader import load_snapshot

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
DECK = (EXAMPLES / "ledger-composite.json").read_bytes()
JSON = {"Content-Type": "application/json"}


@pytest.fixture(scope="module")
def address(service_url: str) -> Iterator[str]:
    with served(make_app(make_desk(load_snapshot(service_url)))) as found:
        yield found


@pytest.fixture
def client(address: str) -> Iterator[httpx.Client]:
    with httpx.Client(base_url=address, trust_env=False, timeout=60) as found:
        yield found


def test_http_is_ready(client: httpx.Client) -> None:
    found = client.get("/health/ready").json()
    assert (found["rulebooks"], found["jurisdictions"]) == (5, 5)


def test_http_database_and_files_give_the_same_answer(client: httpx.Client) -> None:
    """What is loaded into PostgreSQL and read back designs the same deck as the files themselves."""
    answer = client.post("/v1/designs", content=DECK, headers=JSON)
    assert answer.status_code == 200
    with served(make_app(make_desk(bundled_snapshot()))) as other:
        from_files = httpx.post(
            f"{other}/v1/designs", content=DECK, headers=JSON, trust_env=False, timeout=60
        )
    assert answer.content == from_files.content


def test_http_tables_come_back_as_they_were_loaded(client: httpx.Client) -> None:
    for (name, version), book in bundled_snapshot().rulebooks.versions.items():
        found = client.get(f"/v1/rulebooks/{name}/versions/{version}").json()
        assert {table["name"]: table["digest"] for table in found["tables"]} == {
            table.name: table.digest for table in book.tables.values()
        }


def test_http_body_over_the_limit_is_refused_before_it_is_read(client: httpx.Client) -> None:
    answer = client.post("/v1/designs", content=b" " * 300_000, headers=JSON)
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")


def test_http_body_without_a_length_is_limited_too(client: httpx.Client) -> None:
    chunks = (b" " * 65_536 for _ in range(8))
    answer = client.post("/v1/designs", content=chunks, headers=JSON)
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")


def test_http_head_ends_cleanly(client: httpx.Client) -> None:
    """A second request on the same connection works: no stray body was sent."""
    assert client.head("/v1/rulebooks").content == b""
    assert client.get("/health/live").json()["status"] == "ok"


def test_http_health_is_answered_while_a_deck_is_worked_out(address: str) -> None:
    answers: list[int] = []

    def design() -> None:
        answers.append(
            httpx.post(f"{address}/v1/designs", content=DECK, headers=JSON, trust_env=False).status_code
        )

    workers = [threading.Thread(target=design) for _ in range(3)]
    for worker in workers:
        worker.start()
    assert httpx.get(f"{address}/health/live", trust_env=False, timeout=5).status_code == 200
    for worker in workers:
        worker.join()
    assert answers == [200, 200, 200]


def test_http_concurrent_answers_are_the_same(address: str) -> None:
    bodies: set[bytes] = set()

    def design() -> None:
        bodies.add(httpx.post(f"{address}/v1/designs", content=DECK, headers=JSON, trust_env=False).content)

    workers = [threading.Thread(target=design) for _ in range(4)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert len(bodies) == 1
    assert json.loads(bodies.pop())["reference"] == "EXAMPLE-LEDGER"

"""A permit package over real HTTP, from a real PostgreSQL: the same bytes as from the files themselves."""

from __future__ import annotations

import threading
from io import BytesIO
from pathlib import Path

import httpx
from pypdf import PdfReader

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.store.reader import load_snapshot

DECK = (Path(__file__).parents[2] / "openapi" / "examples" / "hillside.json").read_bytes()
BODY = b'{"paper": "tabloid", "job": {"owner": "R. Example"}, "spec": ' + DECK + b"}"
JSON = {"Content-Type": "application/json", "Accept": "application/pdf"}


def post(address: str, body: bytes = BODY) -> httpx.Response:
    url = f"{address}/v1/permit-packages"
    return httpx.post(url, content=body, headers=JSON, trust_env=False, timeout=60)


def test_http_permit_package_from_database_and_files_is_the_same(service_url: str) -> None:
    with served(make_app(make_desk(load_snapshot(service_url)))) as address:
        stored = post(address)
    with served(make_app(make_desk(bundled_snapshot()))) as address:
        bundled = post(address)
    assert (stored.status_code, stored.headers["content-type"]) == (200, "application/pdf")
    assert stored.content == bundled.content
    first = PdfReader(BytesIO(stored.content)).pages[0].extract_text()
    assert "R. Example" in first
    assert stored.headers["deck-design-id"] in first


def test_http_health_is_answered_while_a_package_is_set(service_url: str) -> None:
    with served(make_app(make_desk(load_snapshot(service_url)))) as address:
        answers: list[int] = []
        work = threading.Thread(target=lambda: answers.append(post(address).status_code))
        work.start()
        health = httpx.get(f"{address}/health/live", trust_env=False, timeout=10)
        assert (health.status_code, answers) == (200, [])
        work.join()
    assert answers == [200]

"""Who is let in: host names, this machine and others, with and without a key."""

from __future__ import annotations

from functools import cache

import httpx
import pytest

from service.web.door import Door, door_of
from service.web.envelope import Application
from tests.contract.api import SMALLEST, call
from tests.contract.keyed import SECRET_HEADER, keyed

OPEN_PAGES = (
    "/",
    "/docs",
    "/openapi.json",
    "/health/live",
    "/health/ready",
    "/problems/wrong_host",
    "/assets/try/form.js",
)
ANYWHERE = "0.0.0.0"  # noqa: S104 - nothing listens there: it is what a door is told
LAW = ("/v1/rulebooks", "/v1/jurisdictions", "/v1/jurisdictions/alder-county")


@cache
def app(listening: str, *names: str) -> Application:
    return keyed(door_of(listening, names))


def ask(
    listening: str, names: tuple[str, ...], method: str, path: str, host: str, **sent: object
) -> httpx.Response:
    # the address the connection came in at stands in the URL, the name it came under in the header
    headers = {**dict(sent.pop("headers", {})), "Host": host}
    return call(method, f"http://{listening}{path}", app(listening, *names), headers=headers, **sent)


def code(answer: httpx.Response) -> tuple[int, str]:
    return answer.status_code, answer.json()["code"]


@pytest.mark.parametrize("host", ["localhost", "127.0.0.1:8000", "[::1]:8000", "LOCALHOST:1", "[::1]"])
def test_on_loopback_this_machine_designs_without_a_key(host: str) -> None:
    assert ask("127.0.0.1", (), "POST", "/v1/takeoffs", host, json=SMALLEST).status_code == 200
    assert ask("127.0.0.1", (), "GET", "/v1/options", host).status_code == 200
    for method, path in (("POST", "/v1/price-books"), ("GET", "/v1/price-books")):
        assert code(ask("127.0.0.1", (), method, path, host)) == (401, "unauthenticated")


@pytest.mark.parametrize(
    "host",
    [
        "evil.example", "evil.example:8000", "localhost.evil.example", "127.0.0.1.evil.example", "localhost.", "",
        "localhost:8000:1", "localhost@evil.example", "192.0.2.1", "[::2]", "[::1", ANYWHERE,
        "localhost, evil.example",
    ],
)  # fmt: skip
def test_a_name_that_leads_here_is_not_ours(host: str) -> None:
    """DNS rebinding: a page of evil.example whose name now means 127.0.0.1 is told nothing."""
    for path in (*OPEN_PAGES, *LAW, "/v1/options", "/nothing"):
        for headers in ({}, SECRET_HEADER):
            answer = ask("127.0.0.1", (), "GET", path, host, headers=headers)
            assert code(answer) == (421, "wrong_host")
    assert code(ask("127.0.0.1", (), "POST", "/v1/designs", host, json=SMALLEST)) == (421, "wrong_host")
    preflight = {"Origin": "https://yard.example", "Access-Control-Request-Method": "POST"}
    assert code(ask("127.0.0.1", (), "OPTIONS", "/v1/designs", host, headers=preflight)) == (
        421,
        "wrong_host",
    )


def test_two_host_headers_are_none() -> None:
    for hosts in ((b"localhost", b"evil.example"), (b"evil.example", b"localhost")):
        answer = call("GET", "http://127.0.0.1/", app("127.0.0.1"), headers=[(b"Host", one) for one in hosts])
        assert code(answer) == (421, "wrong_host")


def test_elsewhere_every_call_needs_a_key_but_public_law() -> None:
    for listening, names, host in (
        (ANYWHERE, (), "anything.example"),
        ("127.0.0.1", ("decks.example",), "decks.example"),
    ):
        for path in (*OPEN_PAGES, *LAW):
            assert ask(listening, names, "GET", path, host).status_code == 200
            assert ask(listening, names, "HEAD", path, host).status_code == 200
        for method, path in (
            ("POST", "/v1/designs"), ("GET", "/v1/options"), ("POST", "/v1/design-batches"), ("GET", "/v1/nothing"),
            ("POST", "/v1/rulebooks"), ("POST", "//v1/designs"), ("GET", "/v1//options"),
            ("GET", "/v1/rulebooksx"), ("POST", "/v1/jurisdictions/alder-county"),
        ):  # fmt: skip
            answer = ask(listening, names, method, path, host)
            assert code(answer) == (401, "unauthenticated")
            assert answer.headers["www-authenticate"] == "Bearer"
        keyed_answer = ask(
            listening, names, "POST", "/v1/takeoffs", host, headers=SECRET_HEADER, json=SMALLEST
        )
        assert keyed_answer.status_code == 200


@pytest.mark.parametrize("host", ["decks.example", "DECKS.example:443", "localhost:80"])
def test_names_that_are_set_are_the_only_ones(host: str) -> None:
    names = ("decks.example", "localhost")
    assert ask("127.0.0.1", names, "GET", "/health/live", host).status_code == 200
    for other in ("www.decks.example", "127.0.0.1", "decks.example."):
        assert code(ask("127.0.0.1", names, "GET", "/health/live", other)) == (421, "wrong_host")


def test_the_open_door_is_shut_to_connections_from_elsewhere() -> None:
    """Whoever starts the application with another server may listen on more than this machine."""
    answer = call("GET", "http://192.0.2.1/v1/options", app("127.0.0.1"), headers={"Host": "localhost"})
    assert code(answer) == (401, "unauthenticated")


def test_without_a_door_anyone_comes_in() -> None:
    assert Door() == Door(hosts=None, keyless=True, on_loopback=False)
    assert call("GET", "http://192.0.2.1/v1/options", keyed(), headers={"Host": "x"}).status_code == 200

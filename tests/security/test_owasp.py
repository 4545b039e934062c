"""The OWASP API Security Top 10 of 2023, one by one: what an attacker tries, and what he gets.

What is tried at length elsewhere is tried here once more in its plainest form; DEVELOPERS.md names the places.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.web.envelope import Application
from service.web.openapi.build import show_document
from service.web.routes import HANDLERS, STREAMS
from tests.contract.api import SMALLEST, call
from tests.contract.keyed import (
    KEYS,
    OWN,
    PAGE_KEY,
    PRIVATE,
    RULES_KEY,
    SECRET,
    SECRET_HEADER,
    SECRET_KEY,
    api_key,
    bearer,
    from_page,
    keyed,
)
from tests.contract.test_api_refusals import (
    test_api_damaged_version_is_not_served as test_api10_consumption_of_what_is_stored,
)

__all__ = ["test_api10_consumption_of_what_is_stored"]  # no other service is asked: see the seventh

ROOT = Path(__file__).parents[2]
DOCUMENT: dict[str, Any] = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))
DESIGNS_KEY = "6" * 16
JSON = {"Content-Type": "application/json"}


@cache
def app() -> Application:
    return keyed(keys=(*KEYS, api_key(DESIGNS_KEY)))


def ask(method: str, path: str, headers: dict[str, str] | None = None, **sent: Any) -> httpx.Response:
    return call(method, path, app(), headers=headers or {}, **sent)


def operations() -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Method, a path with its names filled in, and what the document says of it."""
    filled = {"rulebook_id": "irc-2021", "jurisdiction_id": "alder-county", "price_book_id": PRIVATE, "version": "1",
              "table": "joist_spans", "code": "not_found"}  # fmt: skip
    for path, found in DOCUMENT["paths"].items():
        for method, operation in found.items():
            yield method.upper(), re.sub(r"\{(\w+)\}", lambda one: filled[one[1]], path), operation


def scopes_of(operation: dict[str, Any]) -> set[str]:
    return {scope for way in operation["security"] for scope in way.get("key", ())}


def same_but_for_ids(first: httpx.Response, second: httpx.Response) -> bool:
    told = [
        re.sub(r'"(request_id|instance)":"[^"]*"', "", one.text.replace(PRIVATE, OWN + "-x"))
        for one in (first, second)
    ]
    return first.status_code == second.status_code and told[0] == told[1]


@pytest.mark.parametrize("path", ["", "/versions", "/versions/1"])
def test_api1_object_level_authorization(path: str) -> None:
    """Another organisation's price book is answered as one that is not there, whoever asks."""
    theirs, none = (
        ask("GET", f"/v1/price-books/{book}{path}", SECRET_HEADER) for book in (PRIVATE, OWN + "-x")
    )
    assert theirs.status_code == 404
    assert same_but_for_ids(theirs, none)


def test_api1_object_level_authorization_in_a_body() -> None:
    theirs, none = (
        ask("POST", "/v1/designs", SECRET_HEADER, json={**SMALLEST, "price_book": book})
        for book in (PRIVATE, OWN + "-x")
    )
    assert theirs.status_code == 422
    assert same_but_for_ids(theirs, none)


@pytest.mark.parametrize(
    "headers",
    [
        {"Authorization": bearer(SECRET_KEY, "secret", "B" * 43)},
        {"Authorization": bearer("9" * 16, "secret")},
        {"Authorization": bearer(PAGE_KEY, "secret")},
        {"Authorization": bearer(SECRET_KEY, "secret").replace("Bearer", "Basic")},
        {"Cookie": f"key=secret.{SECRET_KEY}.{SECRET}"},
        {"X-Api-Key": f"secret.{SECRET_KEY}.{SECRET}"},
    ],
)
def test_api2_authentication(headers: dict[str, str]) -> None:
    """A key is its secret, in one header alone."""
    answer = ask("GET", "/v1/price-books", headers)
    assert (answer.status_code, answer.json()["code"]) == (401, "unauthenticated")


def test_api2_keys_are_compared_in_constant_time() -> None:
    """The one place that judges a key takes the same steps for each: no branch before the comparison is done."""
    tree = ast.parse((ROOT / "service" / "web" / "keys.py").read_text("utf-8"))
    judge = next(one for one in tree.body if isinstance(one, ast.FunctionDef) and one.name == "key_of")
    steps = [ast.unparse(one) for one in judge.body]
    constant = "hmac.compare_digest(secret_digest(secret), key.secret_digest)"
    compared = next(n for n, step in enumerate(steps) if constant in step)
    refused = next(n for n, step in enumerate(steps) if step.startswith("if not (same and in_force"))
    looked_up = next(n for n, step in enumerate(steps) if ".get(id, NO_KEY)" in step)
    assert looked_up < compared < refused
    between = judge.body[looked_up:refused]
    assert not any(isinstance(one, ast.If | ast.Return | ast.Raise | ast.Try) for one in between)


def test_api2_no_secret_is_compared_otherwise() -> None:
    for file in (ROOT / "service").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Compare):
                assert "secret_digest" not in ast.unparse(node), f"{file.name}:{node.lineno}"


@pytest.mark.parametrize(
    "more",
    [
        {"organisation": "oakline"},
        {"public": True},
        {"created_at": "2020-01-01"},
        {"id": PRIVATE, "owner": 1},
    ],
)
def test_api3_property_level_authorization(more: dict[str, Any]) -> None:
    """Nothing is set that a call does not offer: whose a book is and who sees it are never the caller's to say."""
    answer = ask("POST", "/v1/price-books", SECRET_HEADER, json={"id": "new-yard", **more})
    assert answer.status_code == 422
    assert answer.json()["errors"]


def test_api3_no_schema_takes_what_it_does_not_name() -> None:
    """Each object of a request is closed; so is each of an answer, which therefore tells nothing more."""
    schemas = DOCUMENT["components"]["schemas"]
    open_ones = [
        name
        for name, schema in schemas.items()
        if schema.get("type") == "object" and "properties" in schema and name.endswith(("Spec", "Upload", "Draft"))
        and schema.get("additionalProperties") is not False
    ]  # fmt: skip
    assert open_ones == []


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b" " * 300_000, 413),
        (b"[" * 100_000, 400),
        (json.dumps({**SMALLEST, "reference": "A" * 200_000}).encode(), 422),
        (json.dumps({**SMALLEST, "levels": SMALLEST["levels"] * 2000}).encode(), 422),
        (json.dumps({**SMALLEST, "stairs": [{}] * 9}).encode(), 422),
    ],
)
def test_api4_resource_consumption(body: bytes, status: int) -> None:
    """What costs more than a deck can is refused before it costs anything."""
    assert ask("POST", "/v1/designs", {**SECRET_HEADER, **JSON}, content=body).status_code == status


WRITES = [(method, path, operation) for method, path, operation in operations() if path.startswith("/v1/")]


@pytest.mark.parametrize(("method", "path", "operation"), WRITES, ids=lambda one: str(one)[:60])
def test_api5_function_level_authorization(method: str, path: str, operation: dict[str, Any]) -> None:
    """A key does what its scopes say: each call with a scope is refused to a key without it, and to none."""
    open_to_all = {} in operation["security"]
    needed = scopes_of(operation)
    sent = {
        "headers": {"Authorization": bearer(DESIGNS_KEY, "secret"), **JSON, "If-Match": '"x"'},
        "content": b"{}",
    }
    answer = call(method, path, app(), **sent)
    if not open_to_all and "designs" not in needed:
        assert answer.status_code == 403
        assert answer.json()["code"] == "scope_missing"
        assert call(method, path, app(), content=b"{}", headers=JSON).status_code == 401
    else:
        assert (
            answer.json().get("code") != "scope_missing"
            if answer.content[:1] == b"{"
            else answer.status_code < 500
        )


def test_api5_a_key_bound_to_rules_writes_no_others() -> None:
    headers = {"Authorization": bearer(RULES_KEY, "secret"), **JSON}
    answer = ask("POST", "/v1/rulebooks/irc-2024/versions", headers, content=b"{}")
    assert answer.status_code in (403, 404)


def test_api6_sensitive_flows() -> None:
    """What a rival would automate is reading a supplier's prices: a page's key cannot, and is counted by address."""
    for path in ("/v1/price-books", f"/v1/price-books/{OWN}/versions/1"):
        answer = ask("GET", path, from_page())
        assert (answer.status_code, answer.json()["code"]) == (403, "scope_missing")
    few = keyed(per_minute=3)
    found = [call("GET", "/v1/options", few, headers=from_page()).status_code for _ in range(5)]
    assert 429 in found


# What could open connections, and where it is: to the database, and within this machine.
CLIENTS = {
    "socket": {
        "service/cli/listening.py",  # where it listens
        "service/cli/serve.py",  # is the port free
        "service/cli/trial.py",  # a free port
        "service/datasets/files.py",  # the name of this machine
        "service/store/patience.py",  # cuts one that is there
        "service/web/streams/pool.py",  # to its own processes
        "service/web/streams/worker.py",
    },
    "httpx": {"service/cli/trial.py"},
    "psycopg": {"service/store/backup.py", "service/store/cluster.py", "service/store/listen.py"},
    "urllib.request": set(),
    "http.client": set(),
    "requests": set(),
    "aiohttp": set(),
    "ftplib": set(),
    "smtplib": set(),
}


def test_api7_server_side_request_forgery() -> None:
    """No request makes the service ask anything of anyone: nothing that could is imported where requests are served."""
    found: dict[str, set[str]] = {name: set() for name in CLIENTS}
    for file in sorted((ROOT / "service").rglob("*.py")):
        place = file.relative_to(ROOT).as_posix()
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            names = [one.name for one in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            for client in CLIENTS:
                if any(name == client or name.startswith(f"{client}.") for name in names):
                    found[client].add(place)
    for client, places in found.items():
        assert places - CLIENTS[client] == set(), client


def test_api7_no_field_of_a_request_is_an_address() -> None:
    text = json.dumps(
        {name: one for name, one in DOCUMENT["components"]["schemas"].items() if name.endswith("Spec")}
    )
    assert '"uri"' not in text
    assert "callbacks" not in json.dumps(DOCUMENT["paths"])


PATHS = ["/", "/docs", "/health/live", "/openapi.json", "/problems/not_found", "/v1/rulebooks", "/v1/nothing", "/x",
         "/assets/try/deck-framing.js"]  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_api8_security_misconfiguration(path: str) -> None:
    """Every answer says as little of what runs as can be, and is taken for what it is."""
    answer = ask("GET", path)
    assert answer.headers["x-content-type-options"] == "nosniff"
    assert not {"server", "x-powered-by", "set-cookie"} & set(answer.headers)
    assert answer.headers.get("access-control-allow-origin") != "*"
    if answer.headers["content-type"].startswith("text/html"):
        policy = answer.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "geolocation=()" in answer.headers["permissions-policy"]


@pytest.mark.parametrize("method", ["TRACE", "CONNECT", "PUT", "PROPFIND", "DEBUG"])
def test_api8_methods_nobody_needs(method: str) -> None:
    assert ask(method, "/v1/designs", SECRET_HEADER).status_code == 405


def test_api9_inventory() -> None:
    """Every path that is answered is in the document, but the files of the pages; and none besides is."""
    served = {
        re.sub(r":(str|int)\}", "}", path)
        for one in [*HANDLERS, *STREAMS, show_document]
        for path in one.paths
    }
    assert served - set(DOCUMENT["paths"]) == {"/assets/{folder}/{file}"}
    assert set(DOCUMENT["paths"]) <= served
    for path in ("/schema", "/schema/openapi.json", "/v2/designs", "/debug", "/admin", "/.env", "/docs/.git"):
        assert ask("GET", path).status_code == 404

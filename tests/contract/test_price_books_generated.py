"""Price books against the document: reading with a key, and bodies the schema refuses.

Uploads are published in tests/integration, with a database.
"""

from __future__ import annotations

import copy
import json
from collections import Counter
from dataclasses import replace
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from schemathesis.config import SchemathesisConfig
from schemathesis.specs.openapi.checks import ignored_auth

from service.app import make_app
from service.contract.problem import Rejected
from service.store.access import Access, ApiKey, secret_digest
from service.web.openapi.build import document
from service.web.openapi.upload_examples import NEW_PRICES
from service.web.price_upload import read_json
from tests.contract.api import call, desk

SECRET, KEY_ID, OWNER = "A" * 43, "0" * 16, "brindlemoor-timber"
KEY = {"Authorization": f"Bearer secret.{KEY_ID}.{SECRET}"}
SCOPES = frozenset({"prices:read", "prices:write"})
READS = ["listPriceBooks", "getPriceBook", "listPriceBookVersions", "getPriceBookVersion"]
SETTINGS = settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


def keyed() -> Any:
    """The application with a key of the organisation the demo book is of."""
    key = ApiKey(KEY_ID, OWNER, "secret", SCOPES, None, secret_digest(SECRET))
    access = Access(keys={KEY_ID: key}, books=desk().snapshot.access.books)
    return make_app(replace(desk(), snapshot=replace(desk().snapshot, access=access)))


APP = keyed()
# Calls without a key are attacked with all others; a version that is not there is as well formed as one that is.
CONFIG = SchemathesisConfig.from_dict(
    {
        "generation": {"mode": "positive"},
        "checks": {"positive_data_acceptance": {"expected-statuses": ["2xx", "304", "404"]}},
    }
)
SCHEMA = schemathesis.openapi.from_asgi("/openapi.json", APP, config=CONFIG)


# With a parameter of its own each operation's test has an id of its own.
@SCHEMA.include(operation_id=READS).parametrize()
@pytest.mark.parametrize("source", ["document"])
@SETTINGS
def test_price_books_are_read_as_the_document_says(case: Any, source: str) -> None:
    if "price_book_id" in case.path_parameters:
        case.path_parameters["price_book_id"] = "brindlemoor-yard"
    case.headers = {**(case.headers or {}), **KEY}
    # this check takes the key away again
    case.call_and_validate(excluded_checks=[ignored_auth])


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-2, 10**7),
    st.floats(-1, 200, allow_nan=False),
    st.text(max_size=5),
    st.sampled_from(["", "=1", "1.5", "1.505050", "x" * 130, "2027-1-1", [], {}, [{}], ["x"]]),
)


@st.composite
def spoilt_uploads(draw: st.DrawFn) -> dict[str, Any]:
    """The example with one value replaced, or one field taken out or put in, in the head or in a line."""
    body = copy.deepcopy(NEW_PRICES)
    place = draw(st.sampled_from([body, *body["lines"], body["lines"][0]["breaks"][0]]))
    name = draw(st.sampled_from([*place, "colour"]))
    if draw(st.booleans()):
        place.pop(name, None)
    else:
        place[name] = draw(JUNK)
    return body


def test_what_the_schema_refuses_is_refused() -> None:
    """The document's schema, read by a general library, against our own reading of the body."""
    schema = {"$ref": "#/components/schemas/PriceBookUpload", "components": document()["components"]}
    validator = Draft202012Validator(schema)
    counts: Counter[tuple[str, bool]] = Counter()

    @given(spoilt_uploads())
    @settings(SETTINGS, max_examples=300)
    def one(body: dict[str, Any]) -> None:
        valid = validator.is_valid(body)
        try:
            read_json(json.dumps(body).encode())
        except Rejected:
            counts["refused", valid] += 1
            return
        counts["taken", valid] += 1
        assert valid, body

    one()
    assert counts["refused", False] > 50
    assert counts["taken", True] > 10


def test_without_a_database_nothing_is_kept() -> None:
    body = {"id": OWNER}
    answer = call("POST", "/v1/price-books", APP, json=body, headers=KEY)
    assert (answer.status_code, answer.json()["code"]) == (503, "store_unavailable")


@pytest.mark.parametrize("version", [1, 2, 3, 4, 5, 6])
def test_the_demo_book_is_shown_whole(version: int) -> None:
    path = f"/v1/price-books/brindlemoor-yard/versions/{version}"
    shown = call("GET", path, APP, headers=KEY).json()
    text = call("GET", path, APP, headers={**KEY, "Accept": "text/csv"}).text
    heads = 9 if shown["sections"] else 8
    assert len(shown["lines"]) + len(shown["sections"]) == len(text.splitlines()) - heads
    assert bool(shown["sections"]) == (version == 6)
    assert shown["effective_to"] == {
        1: "2026-11-24", 2: "2026-11-27", 3: "2027-01-01", 4: "2026-12-31", 5: "2027-01-02", 6: None,
    }[version]  # fmt: skip
    assert "\n#effective_to:\n" in text

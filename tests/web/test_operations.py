"""What a request is called where it is counted: fixed words, whatever its path."""

from __future__ import annotations

import pytest

from service.web.methods import operation_at
from service.web.openapi.build import document
from service.web.seen.operations import NO_OPERATION, fixed_method

DOCUMENTED = [
    (method.upper(), path, operation["operationId"])
    for path, item in document()["paths"].items()
    for method, operation in item.items()
]


@pytest.mark.parametrize(("method", "path", "id"), DOCUMENTED)
def test_each_operation_of_the_document_is_found(method, path, id):
    filled = path.replace("{version}", "7").replace("{", "x-").replace("}", "")
    found = operation_at(method, filled)
    assert (found.id, found.route) == (id, path)
    assert operation_at(method, f"/{filled}//") == found, "as the router takes it"


def test_other_paths_and_methods_have_no_name_of_their_own():
    for path in (
        "/v1/secret",
        "/v1/rulebooks/secret/versions/x",
        "/v1/designs/secret",
        "/",
        "",
        "/\x00",
        "/%0a" * 2000,
    ):
        assert operation_at("DELETE", path).id == "none"
        assert "secret" not in operation_at("DELETE", path).route
    assert operation_at("GET", "/v1/secret") == NO_OPERATION
    assert operation_at("PUT", "/v1/designs").route == "/v1/designs"


def test_methods_are_fixed_words():
    assert [fixed_method(one) for one in ("GET", "get", "SECRET", "")] == ["GET", "other", "other", "other"]

"""The document under the recommended rules of two linters that are not ours: no error and no warning."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from service.web.openapi.build import document
from tests.clients.conftest import Run

RELEASED = "../../openapi/openapi.json"
WHOLE = document()
IN_LINES = ("/v1/design-batches", "/v1/repricings", "/v1/rule-impacts")


def spectral(npx: Run, file: str) -> str:
    return npx("spectral", "lint", "--ruleset", "spectral.yaml", "--fail-severity", "hint", file)


def test_redocly_finds_nothing(npx: Run) -> None:
    told = npx("redocly", "lint", "--config", "redocly.yaml", RELEASED)
    assert "Your API description is valid" in told
    assert "warning" not in told.replace("Deprecation warning", "")


def test_spectral_finds_nothing(npx: Run) -> None:
    assert "No results with a severity of 'hint' or higher found!" in spectral(npx, RELEASED)


@pytest.mark.parametrize("gone", ["summary", "items"])
def test_a_fault_is_found(npx: Run, gone: str, tmp_path: Path) -> None:
    """A list without items is one for spectral, a call without a summary one for redocly."""
    spoilt = json.loads(json.dumps(WHOLE))
    if gone == "summary":
        del spoilt["paths"]["/v1/designs"]["post"]["summary"]
        found = ("redocly", "lint", "--config", "redocly.yaml")
    else:
        del spoilt["components"]["schemas"]["LevelSpec"]["properties"]["origin_ft"]["items"]
        found = ("spectral", "lint", "--ruleset", "spectral.yaml")
    file = tmp_path / "openapi.json"
    file.write_text(json.dumps(spoilt), "utf-8")
    with pytest.raises(AssertionError, match=gone):
        npx(*found, file)


@pytest.mark.parametrize("path", IN_LINES)
def test_each_line_of_the_examples_is_of_the_schema(path: str) -> None:
    """What is waived for the linters, since they read the lines as one value."""
    for content in WHOLE["paths"][path]["post"]["requestBody"]["content"].values():
        reader = Draft202012Validator({**content["schema"], "components": WHOLE["components"]})
        lines: list[Any] = [json.loads(line) for line in content["examples"]["lines"]["value"].splitlines()]
        assert len(lines) == 2
        for line in lines:
            reader.validate(line)


def test_no_registry_stands_in_the_lock() -> None:
    lock = json.loads(Path(__file__).with_name("package-lock.json").read_text("utf-8"))
    assert lock["packages"]
    assert not [name for name, one in lock["packages"].items() if "resolved" in one]

"""The schema of a deck spec says all there is to say of each field."""

from __future__ import annotations

import json
from typing import Any

import msgspec

from service.contract.spec import DeckSpec


def request_schemas() -> dict[str, Any]:
    return msgspec.json.schema_components([DeckSpec])[1]


def test_spec_every_field_is_described_and_every_struct_closed() -> None:
    for name, schema in request_schemas().items():
        assert schema["additionalProperties"] is False, name
        assert schema.get("description"), name
        for field, about in schema["properties"].items():
            assert about.get("description"), (name, field)


def test_spec_every_text_has_a_pattern() -> None:
    text = json.dumps(request_schemas())
    assert text.count('"type": "string"') == text.count('"pattern"') + text.count('"format": "date"')

"""A service over a real database of its own, with keys that write and publish rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import httpx

from service.store.embedded import EmbeddedServer
from service.store.key_writer import Bounds, create_key
from tests.integration.price_service import bearer, until

SPAN_KEY = {"load_psf": "40", "species_group": "southern_pine", "nominal_size": "2x8", "spacing_in": "16"}
DRAFTS = "/v1/rulebooks/irc-2021/versions"
RULES = ("irc-2018", "irc-2021", "alder-county", "brook-code", "empty-code")
PLACES = "/v1/jurisdictions/alder-county/versions"


def cells(**given: str) -> list[dict[str, str]]:
    return [{"column": column, "value": value} for column, value in given.items()]


def span(value: str, **key: str) -> dict[str, Any]:
    """A change of one joist span."""
    return {
        "table": "joist_spans",
        "change": "changed",
        "key": cells(**{**SPAN_KEY, **key}),
        "cells": cells(max_span_in=value),
    }


@dataclass(frozen=True)
class Hand:
    """Whoever holds a key, and what may be asked with it."""

    address: str
    key: str | None

    def ask(self, method: str, path: str, tag: str | None = None, **sent: Any) -> httpx.Response:
        headers = {**(bearer(self.key) if self.key else {}), **({"If-Match": tag} if tag else {})}
        headers |= sent.pop("headers", {})
        return httpx.request(
            method, self.address + path, headers=headers, trust_env=False, timeout=120, **sent
        )

    def begin(self, body: dict[str, Any], path: str = DRAFTS) -> httpx.Response:
        answer = self.ask("POST", path, json=body)
        assert answer.status_code == 201, answer.text
        return answer


def hand(server: EmbeddedServer, address: str, *scopes: str) -> Hand:
    """A new key with these scopes, which the service has seen."""
    rules = RULES if any(one.startswith("rules:") for one in scopes) else ()
    key = create_key(server.owner_url, "brook-county", scopes, bounds=Bounds(rules=rules))
    made = Hand(address, key)
    until(lambda: made.ask("GET", DRAFTS).status_code == 200)
    return made


def discarded(writer: Hand, path: str, tag: str) -> None:
    answer = writer.ask("DELETE", path, tag)
    assert answer.status_code == 204, answer.text

"""The application in this process, answering from what comes with the service: no server, no database."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import httpx

from service.app import bundled_snapshot, make_app, make_desk
from service.web.desk import Desk
from service.web.envelope import Application

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "openapi" / "examples"
NOON = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
SMALLEST = {
    "jurisdiction": "alder-county",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}


@cache
def desk() -> Desk:
    """A desk on a fixed day, so that recorded answers stay."""
    return replace(make_desk(bundled_snapshot()), clock=lambda: NOON)


@cache
def application() -> Application:
    return make_app(desk())


def call(method: str, path: str, app: Application | None = None, **sent: Any) -> httpx.Response:
    """One request to the application; an error in it is answered, as a server would."""

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=app or application(), raise_app_exceptions=False)
        # no proxy of the environment is looked at, and no certificates are read for one
        async with httpx.AsyncClient(
            transport=transport, base_url="http://deck.test", trust_env=False
        ) as client:
            return await client.request(method, path, **sent)

    return asyncio.run(ask())


def example(name: str) -> dict[str, Any]:
    return json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))


def deck_names() -> list[str]:
    written = ("answers.json", ".answer.json")
    return sorted(path.stem for path in EXAMPLES.glob("*.json") if not path.name.endswith(written))

"""The hostile bodies of `tests/contract/hostile/bodies.jsonl`, each with the answer it is to have.

A line holds `name`, `path`, `status`, `code`, perhaps `fault`, the code of the first fault told, and `body`: parts
put one after another. A part is a text; a text and how often it comes; `{"hex", "times"}` for bytes that are no text;
or `{"count", "each"}`, where `%d` counts from nought.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FILE = Path(__file__).parent / "contract" / "hostile" / "bodies.jsonl"


@dataclass(frozen=True)
class Hostile:
    """A body and the answer to it."""

    name: str
    path: str
    status: int
    code: str
    fault: str | None
    body: bytes


@cache
def hostile_bodies() -> tuple[Hostile, ...]:
    """Return all of them, in the order of the file."""
    lines = [json.loads(line) for line in FILE.read_text("ascii").splitlines()]
    return tuple(
        Hostile(
            one["name"],
            one["path"],
            one["status"],
            one["code"],
            one.get("fault"),
            b"".join(_part(part) for part in one["body"]),
        )
        for one in lines
    )


def _part(part: Any) -> bytes:
    if isinstance(part, str):
        return part.encode()
    if isinstance(part, list):
        text, times = part
        return text.encode() * times
    if "hex" in part:
        return bytes.fromhex(part["hex"]) * part["times"]
    return "".join(part["each"].replace("%d", str(number)) for number in range(part["count"])).encode()

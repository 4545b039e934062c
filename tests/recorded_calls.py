"""Calls with their answers as integrators know them, in `openapi/calls.json`: sent in their order, to a fresh service.

Lists are recorded by how long they are and their first member; what differs from run to run is left out, and the day
an answer was made on is written as `(today)`.
`PYTHONPATH=.:tests python -m recorded_calls` records the answers anew: only where a change of them is meant.
"""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
from datetime import timedelta
from email.utils import parsedate_to_datetime
from pathlib import Path
from typing import Any

import httpx

from tests.serving import ROOT, key_of, serving

FILE = ROOT / "openapi" / "calls.json"
SCOPES = ("designs", "prices:read", "prices:write", "admin")
RULE_SCOPES = {"writer": "rules:write", "publisher": "rules:publish"}
RULES_OF = ("irc-2021", "alder-county")
# Of a run, of the host or of the engine's version, which the headers name too.
NOT_KEPT = {
    "request_id",
    "at",
    "engine_version",
    "design_id",
    "design_ids",
}
KEY_ID = re.compile(r"\bkey [0-9a-f]{16}\b")
HEADERS = (
    "content-type",
    "location",
    "deck-verdict",
    "deck-rulebook",
    "deck-jurisdiction",
    "deck-price-book",
    "retry-after",
)
Json = dict[str, Any]


def recorded() -> list[Json]:
    found: list[Json] = json.loads(FILE.read_text("utf-8"))
    return found


def keys_of(folder: Path) -> dict[str, str]:
    """A key for each name a call may send one by."""
    made = {name: key_of(folder, scope, rules_of=RULES_OF) for name, scope in RULE_SCOPES.items()}
    return {"key": key_of(folder, *SCOPES), **made}


def send(address: str, keys: dict[str, str], call: Json) -> Json:
    """Send a call as it is recorded; return what of its answer is kept."""
    headers = dict(call.get("headers", {}))
    if call.get("key"):
        headers["Authorization"] = f"Bearer {keys[call['key']]}"
    body = call.get("body")
    if body is not None and not isinstance(body, str):
        headers.setdefault("Content-Type", "application/json")
        body = json.dumps(body)
    answer = httpx.request(
        call["method"], address + call["path"], content=body, headers=headers, timeout=120, trust_env=False
    )
    kept = {name: answer.headers[name] for name in HEADERS if name in answer.headers}
    return {
        "status": answer.status_code,
        "headers": kept,
        "body": undated(kept_body(answer), days_of(answer)),
    }


def days_of(answer: httpx.Response) -> set[str]:
    """The days it was anywhere on earth when an answer was made: a place's designs are of the place's own day."""
    moment = parsedate_to_datetime(answer.headers["date"])
    return {(moment + timedelta(hours=hours)).date().isoformat() for hours in (-12, 0, 14)}


def undated(value: Any, days: set[str]) -> Any:
    """A body whose answer's own day is written as such: it is another one whenever the calls are sent."""
    return json.loads(re.sub(f'"({"|".join(days)})"', '"(today)"', json.dumps(value)))


def kept_body(answer: httpx.Response) -> Any:
    kind = answer.headers.get("content-type", "")
    if "ndjson" in kind:
        return [outlined(json.loads(line)) for line in answer.text.splitlines()]
    if "json" in kind and "oai.openapi" not in kind:
        return outlined(answer.json())
    if kind.startswith(("text/csv", "application/toml")):
        text = answer.text.encode()
        return {
            "first_line": answer.text.partition("\n")[0].strip(),
            "sha256": hashlib.sha256(text).hexdigest(),
        }
    return None


def outlined(value: Any) -> Any:
    """What is kept of a value: lists by length and first member, nothing that differs from run to run."""
    if isinstance(value, dict):
        return {name: outlined(one) for name, one in value.items() if name not in NOT_KEPT}
    if isinstance(value, list):
        return {"length": len(value), "first": outlined(value[0])} if value else []
    return KEY_ID.sub("key …", value) if isinstance(value, str) else value


def main() -> None:
    calls = recorded()
    with tempfile.TemporaryDirectory() as name:
        data = Path(name) / "data"
        with serving(data) as address:
            keys = keys_of(data)
            for call in calls:
                call["answer"] = send(address, keys, call)
    lines = ",\n".join(json.dumps(call, ensure_ascii=False) for call in calls)
    FILE.write_text(f"[\n{lines}\n]\n", "utf-8")


if __name__ == "__main__":
    main()

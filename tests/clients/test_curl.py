"""NDJSON calls with curl, as shells make them."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.settings import Settings
from tests.ndjson import DESIGNS, REPRICINGS, body, quote, spec

TYPE = ("--header", "Content-Type: application/x-ndjson")


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    settings = Settings(batch_workers=1, max_batch_bytes=2_000_000)
    with served(make_app(make_desk(bundled_snapshot()), settings)) as found:
        yield found


def curl(*arguments: str) -> subprocess.CompletedProcess[bytes]:
    command = ("curl", "--silent", "--show-error", "--noproxy", "*", "--max-time", "60", *TYPE, *arguments)
    return subprocess.run(command, capture_output=True)


def test_curl_posts_a_file(address: str, tmp_path: Path) -> None:
    file = tmp_path / "decks.ndjson"
    file.write_bytes(body(spec(1), "nope", spec(3)))
    done = curl("--fail", "--data-binary", f"@{file}", address + DESIGNS)
    assert done.returncode == 0, done.stderr
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [line["kind"] for line in lines] == ["result", "problem", "result", "end"]


def test_curl_sends_what_is_piped_in_pieces(address: str, tmp_path: Path) -> None:
    """A body over a megabyte: curl asks before it sends it, and waits for 100 Continue."""
    file = tmp_path / "quotes.ndjson"
    file.write_bytes(b"".join(body(quote(number)) + b" " * 5000 + b"\n" for number in range(300)))
    done = curl(
        "--fail", "--no-buffer", "--upload-file", str(file), "--request", "POST", address + REPRICINGS
    )
    assert done.returncode == 0, done.stderr
    last = json.loads(done.stdout.splitlines()[-1])
    assert last == {"kind": "end", "lines": 600, "results": 300, "problems": 0}


def test_curl_is_told_that_a_file_is_too_large(address: str, tmp_path: Path) -> None:
    file = tmp_path / "blank.ndjson"
    file.write_bytes(b"\n" * 3_000_000)
    done = curl("--data-binary", f"@{file}", address + DESIGNS)
    assert json.loads(done.stdout)["code"] == "too_large"

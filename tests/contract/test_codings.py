"""Compressed answers: which coding is taken, what is never packed, and that tags go on working."""

from __future__ import annotations

import asyncio
import gzip
import zlib
from collections.abc import Awaitable, Callable
from typing import Any

import brotli
import httpx
import pytest

from service.web.asgi import Message
from service.web.codings import LEAST_BYTES, PACKABLE, THREAD_BYTES, Coding, Packing, coding_of
from service.web.outgoing import PART_BYTES
from tests.contract.api import SMALLEST, call

OPTIONS, SMALL = "/v1/options", "/health/live"
PLAIN = {"Accept-Encoding": "identity"}


def taken(accept: str | None) -> httpx.Response:
    """The answer as it came over the wire."""
    headers = [] if accept is None else [(b"Accept-Encoding", accept.encode())]
    return raw("GET", OPTIONS, headers)


def raw(method: str, path: str, headers: Any = ()) -> httpx.Response:
    """An answer whose content is not unpacked."""
    from tests.contract.api import application

    sent: list[Message] = []
    name, _, query = path.partition("?")

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {
        "type": "http", "method": method, "path": name, "raw_path": name.encode(), "query_string": query.encode(),
        "headers": list(headers), "http_version": "1.1", "scheme": "http", "root_path": "",
        "asgi": {"version": "3.0"}, "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80),
    }  # fmt: skip
    asyncio.run(application()(scope, receive, send))
    body = b"".join(one.get("body", b"") for one in sent[1:])
    answer = httpx.Response(sent[0]["status"], headers=sent[0]["headers"])
    answer.extensions["raw"] = body
    return answer


def unpacked(body: bytes, coding: str | None) -> bytes:
    if coding == "br":
        return brotli.decompress(body)
    return gzip.decompress(body) if coding == "gzip" else body


@pytest.mark.parametrize(
    ("accept", "coding"),
    [
        (None, None), ("", None), ("identity", None), ("deflate", None), ("compress;q=1, zstd", None),
        ("gzip", "gzip"), ("GZIP", "gzip"), ("x-gzip", "gzip"), ("br", "br"), ("gzip, deflate, br", "br"),
        ("br;q=0.5, gzip;q=0.8", "gzip"), ("br;q=0, gzip", "gzip"), ("br;q=0, *", "gzip"), ("*", "br"),
        ("*;q=0.5, br;q=0", "gzip"), ("gzip;q=0, br;q=0", None), ("identity, gzip;q=0.5", None),
        ("identity;q=0.5, gzip;q=0.5", "gzip"), ("identity;q=0, *", "br"), ("gzip;q=high", None), (";;,,", None),
        ("gzip;q=1.000 , identity; q=0", "gzip"), ("*;q=0, gzip", "gzip"),
    ],
)  # fmt: skip
def test_the_coding_liked_best_is_taken(accept: str | None, coding: str | None) -> None:
    headers = [] if accept is None else [(b"accept-encoding", accept.encode())]
    assert coding_of(headers).name == coding


@pytest.mark.parametrize(
    ("accept", "coding"), [("gzip, br", "gzip"), ("br", "br"), ("gzip;q=0.5, br", "br"), ("*", "gzip")]
)
def test_of_equals_a_stream_is_packed_with_gzip(accept: str, coding: str) -> None:
    assert coding_of([(b"accept-encoding", accept.encode())]).stream == coding


def test_an_answer_is_the_same_in_every_coding() -> None:
    plain = taken(None)
    for accept, coding in (("gzip", "gzip"), ("br", "br"), ("identity", None)):
        found = taken(accept)
        assert found.headers.get("content-encoding") == coding
        assert unpacked(found.extensions["raw"], coding) == plain.extensions["raw"]
        assert int(found.headers["content-length"]) == len(found.extensions["raw"])
        assert "Accept-Encoding" in found.headers["vary"].split(", ")
        assert coding is None or len(found.extensions["raw"]) < len(plain.extensions["raw"]) / 3
        head = raw("HEAD", OPTIONS, [(b"Accept-Encoding", accept.encode())])
        assert head.extensions["raw"] == b""
        own = ("x-request-id", "traceresponse")
        assert {k: v for k, v in head.headers.items() if k not in own} == {
            k: v for k, v in found.headers.items() if k not in own
        }


@pytest.mark.parametrize(
    "accept", ["identity;q=0", "*;q=0", "identity;q=0, gzip;q=0, br;q=0.0", "zstd, *;q=0"]
)
def test_who_takes_nothing_is_refused_before_any_work(accept: str) -> None:
    for method, path in (("GET", OPTIONS), ("POST", "/v1/price-books"), ("GET", "/v1/nothing")):
        answer = call(method, path, headers={"Accept-Encoding": accept})
        assert (answer.status_code, answer.json()["code"]) == (406, "not_acceptable")
        assert "content-encoding" not in answer.headers


def test_small_answers_stay_as_they_are_unless_that_is_refused() -> None:
    found = raw("GET", SMALL, [(b"accept-encoding", b"br")])
    assert len(found.extensions["raw"]) < LEAST_BYTES
    assert "content-encoding" not in found.headers
    forced = raw("GET", SMALL, [(b"accept-encoding", b"gzip, identity;q=0")])
    assert forced.headers["content-encoding"] == "gzip"
    assert gzip.decompress(forced.extensions["raw"]) == found.extensions["raw"]


@pytest.mark.parametrize(
    "path", ["/openapi.json", "/docs", "/", "/assets/try/deck-framing.js", "/v1/rulebooks", OPTIONS]
)
@pytest.mark.parametrize("coding", ["gzip", "br", "identity"])
def test_tags_of_each_coding_are_told_apart_and_each_is_good(path: str, coding: str) -> None:
    first = call("GET", path, headers={"Accept-Encoding": coding})
    plain = call("GET", path, headers=PLAIN)
    tag = first.headers["etag"]
    assert not tag.startswith("W/")
    assert (tag == plain.headers["etag"]) is ("content-encoding" not in first.headers)
    for sent in (tag, f"W/{tag}", f'"other", {tag}', "*"):
        for method in ("GET", "HEAD"):
            again = call(method, path, headers={"If-None-Match": sent, "Accept-Encoding": coding})
            assert (again.status_code, again.content) == (304, b"")
            assert again.headers["etag"] == (plain.headers["etag"] if sent == "*" else tag)
            assert again.headers["vary"] == first.headers["vary"]
            assert again.headers["cache-control"] == first.headers["cache-control"]
            assert {"content-length", "content-type", "content-encoding"} & set(again.headers) == set()
    other = call("GET", path, headers={"If-None-Match": f'"{"0" * 64}"', "Accept-Encoding": coding})
    assert other.status_code == 200


def test_health_is_of_the_moment() -> None:
    for path in ("/health/live", "/health/ready"):
        answer = call("GET", path, headers={"If-None-Match": "*"})
        assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-store")
        assert "etag" not in answer.headers


# One answer by hand: what a step does with messages, piece by piece.


def packed_by(start: Message, bodies: list[Message], coding: Coding) -> list[Message]:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    async def run() -> None:
        packing = Packing(send)
        packing.coding = coding
        step: Callable[[Message], Awaitable[None]] = packing
        for message in (start, *bodies):
            await step(message)

    asyncio.run(run())
    return sent


def start_of(media_type: str, *more: tuple[bytes, bytes], status: int = 200) -> Message:
    headers = [(b"content-type", media_type.encode()), *more]
    return {"type": "http.response.start", "status": status, "headers": headers}


def body_of(content: bytes, more: bool = False) -> Message:
    return {"type": "http.response.body", "body": content, "more_body": more}


@pytest.mark.parametrize("coding", ["gzip", "br"])
def test_each_piece_of_a_stream_can_be_read_as_it_comes_and_up_to_a_cut(coding: str) -> None:
    lines = [b'{"line":%d}\n' % number for number in range(5)]
    if coding == "gzip":
        lines.append(b"x" * (THREAD_BYTES + 1) + b"\n")
    length = (b"content-length", b"99")
    sent = packed_by(
        start_of("application/x-ndjson", length),
        [body_of(one, more=True) for one in lines],
        Coding(coding, coding),
    )
    assert (b"content-encoding", coding.encode()) in sent[0]["headers"]
    assert length not in sent[0]["headers"]
    reader: Any = brotli.Decompressor() if coding == "br" else zlib.decompressobj(31)
    read = reader.process if coding == "br" else reader.decompress
    assert [read(message["body"]) for message in sent[1:]] == lines


@pytest.mark.parametrize("coding", ["gzip", "br"])
def test_a_stream_has_an_end(coding: str) -> None:
    bodies = [body_of(b"one\n", more=True), body_of(b"", more=True), body_of(b"end\n")]
    sent = packed_by(start_of("application/x-ndjson"), bodies, Coding(coding, coding))
    assert [one["more_body"] for one in sent[1:]] == [True, False]
    assert unpacked(b"".join(one["body"] for one in sent[1:]), coding) == b"one\nend\n"


@pytest.mark.parametrize("media_type", sorted(PACKABLE))
def test_text_is_packed(media_type: str) -> None:
    content = b"deck " * 1000
    sent = packed_by(start_of(f"{media_type}; charset=utf-8"), [body_of(content)], Coding("br"))
    assert brotli.decompress(sent[1]["body"]) == content


@pytest.mark.parametrize(
    ("media_type", "more", "status"),
    [
        ("application/pdf", [], 200),
        ("application/octet-stream", [], 200),
        ("text/html", [(b"content-encoding", b"gzip")], 200),
        ("application/json", [], 304),
    ],
)
def test_what_is_packed_already_or_empty_is_left(media_type: str, more: Any, status: int) -> None:
    sent = packed_by(start_of(media_type, *more, status=status), [body_of(b"x" * 5000)], Coding("gzip"))
    assert sent[1]["body"] == b"x" * 5000
    assert [value for name, value in sent[0]["headers"] if name == b"content-encoding"] == [
        value for _, value in more
    ]


def test_a_weak_tag_stays_weak() -> None:
    start = start_of("text/html", (b"etag", b'W/"a"'))
    sent = packed_by(start, [body_of(b"x" * 5000)], Coding("gzip"))
    assert (b"etag", b'W/"a"') in sent[0]["headers"]


LARGE = ("/openapi.json", "/v1/rulebooks/irc-2021/versions/1/compare?with=irc-2024@1")


@pytest.mark.parametrize("coding", ["identity", "gzip", "br"])
@pytest.mark.parametrize("path", LARGE)
def test_a_large_answer_is_whole_to_what_tags_and_packs_it(path: str, coding: str) -> None:
    """It goes out in parts; that is done last."""
    asked = {"Accept-Encoding": coding}
    answer = call("GET", path, headers=asked)
    assert len(answer.content) > 2 * PART_BYTES
    assert answer.headers.get("content-encoding", "identity") == coding
    assert answer.headers["etag"] == call("HEAD", path, headers=asked).headers["etag"]
    assert int(answer.headers["content-length"]) > 0
    again = call("GET", path, headers={**asked, "If-None-Match": answer.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_design_is_packed_in_one_piece() -> None:
    answer = call("POST", "/v1/designs", json=SMALLEST, headers={"Accept-Encoding": "gzip, br"})
    assert answer.headers["content-encoding"] == "br"
    assert 0 < int(answer.headers["content-length"]) < PART_BYTES < len(answer.content)

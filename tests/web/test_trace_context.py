"""W3C Trace Context: what is taken for a parent, what is not, and what an answer says."""

from __future__ import annotations

import re

import pytest

from service.web.seen.trace_context import RANDOM, SAMPLED, parent_of, untraced
from tests.contract.api import call

TRACE, SPAN = "0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331"
GOOD = f"00-{TRACE}-{SPAN}-01"
RESPONSE = re.compile(r"00-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})")


def parent(*values: str, state: tuple[str, ...] = ()):
    given = [(b"traceparent", one.encode("latin-1")) for one in values]
    return parent_of([*given, *((b"tracestate", one.encode("latin-1")) for one in state)])


@pytest.mark.parametrize(
    ("value", "flags"),
    [
        (GOOD, SAMPLED),
        (f"00-{TRACE}-{SPAN}-00", 0),
        (f"00-{TRACE}-{SPAN}-02", RANDOM),
        (f"00-{TRACE}-{SPAN}-ff", SAMPLED | RANDOM),
        (f"00-{TRACE}-{SPAN}-0a", RANDOM),
        (f"01-{TRACE}-{SPAN}-03", SAMPLED),  # of a later version only what this one knows
        (f"cc-{TRACE}-{SPAN}-01-what-the-future-brings", SAMPLED),
        (f"cc-{TRACE}-{SPAN}-01-", SAMPLED),
    ],
)
def test_a_parent_in_the_form_of_the_standard_is_taken(value, flags):
    found = parent(value)
    assert (found.trace_id, found.span_id, found.flags) == (TRACE, SPAN, flags)
    assert parent_of([(b"TraceParent", value.encode())]) == found


@pytest.mark.parametrize(
    "value",
    [
        "",
        "00",
        GOOD.upper(),
        f"ff-{TRACE}-{SPAN}-01",
        f"00-{'0' * 32}-{SPAN}-01",
        f"00-{TRACE}-{'0' * 16}-01",
        f"00-{TRACE[:-1]}-{SPAN}-01",
        f"00-{TRACE}0-{SPAN}-01",
        f"00-{TRACE}-{SPAN[:-1]}-01",
        f"00-{TRACE}-{SPAN}-1",
        f"00-{TRACE}-{SPAN}-001",
        f"00-{TRACE}-{SPAN}-0g",
        f"00-{TRACE}-{SPAN}-01-more",  # version 00 has nothing behind
        f"00-{TRACE}-{SPAN}-01-",
        f"cc-{TRACE}-{SPAN}-01.what",
        f"cc-{TRACE}-{SPAN}-01-{'x' * 500}",
        f"0-{TRACE}-{SPAN}-01",
        f"00_{TRACE}_{SPAN}_01",
        f" {GOOD}",
        f"{GOOD}\n",
        f"{GOOD},{GOOD}",
        GOOD.replace("0af7", "٠af7").encode().decode("latin-1"),
        "00-" + "x" * 52,
    ],
)
def test_anything_else_is_as_if_there_were_none(value):
    assert parent(value) is None


def test_two_parents_are_none():
    assert parent(GOOD, GOOD) is None
    assert parent(GOOD, "") is None


@pytest.mark.parametrize(
    ("values", "found"),
    [
        (("a=1",), (("a", "1"),)),
        (("a=1,b=2", "c=3"), (("a", "1"), ("b", "2"), ("c", "3"))),
        ((" a=1 ,\t, b=x y ",), (("a", "1"), ("b", "x y"))),
        (("fw529a3039@dt=FfAaBb",), (("fw529a3039@dt", "FfAaBb"),)),
        (("0a*/_-=~!",), (("0a*/_-", "~!"),)),
        (("",), ()),
        (("a=1,a=2",), ()),
        (("A=1",), ()),
        (("a=",), ()),
        (("a=b=c",), ()),
        (("a=\x7f",), ()),
        (("a=é",), ()),
        (("a",), ()),
        ((",".join(f"k{number}=1" for number in range(33)),), ()),
        ((f"a={'x' * 257}",), ()),
        ((f"{'a' * 257}=x",), ()),
        (("a=" + "x" * 250, "b=" + "x" * 250, "c=" + "x" * 250), ()),
    ],
)
def test_the_state_is_taken_whole_or_not_at_all(values, found):
    """A state that cannot be used does not spoil the parent."""
    assert parent(GOOD, state=values).state == found
    assert parent(GOOD, state=values).trace_id == TRACE
    assert parent("00", state=values) is None


def test_a_request_that_is_not_recorded_stays_in_its_callers_trace():
    place = untraced(parent(GOOD))
    assert place.trace_id == TRACE
    assert place.span_id != SPAN
    assert place.flags == 0, "said to be sampled, and nobody records it"
    assert untraced(None).flags == RANDOM
    assert untraced(None).trace_id != untraced(None).trace_id


def test_every_answer_says_where_it_stands():
    for method, path, status in (
        ("GET", "/health/live", 200),
        ("GET", "/v1/nothing", 404),
        ("PUT", "/v1/designs", 405),
    ):
        answer = call(method, path, headers={"traceparent": GOOD})
        trace_id, span_id, flags = RESPONSE.fullmatch(answer.headers["traceresponse"]).groups()
        assert (answer.status_code, trace_id, flags) == (status, TRACE, "00")
        assert span_id != SPAN
        assert "traceparent" not in answer.headers
        assert "tracestate" not in answer.headers


@pytest.mark.parametrize("value", [GOOD.upper(), "<script>", f"{GOOD}-x", "a" * 10_000])
def test_a_hostile_parent_is_not_echoed(value):
    answer = call("GET", "/health/live", headers={"traceparent": value, "tracestate": "evil=1"})
    found = RESPONSE.fullmatch(answer.headers["traceresponse"])
    assert found[1] not in (TRACE, "0" * 32)
    assert "evil" not in str(answer.headers)

"""The context of a trace, as W3C Trace Context has it: read strictly from a request, told in the answer.

`traceparent` and `tracestate` are read as Level 1 (Recommendation, 2021) and Level 2 (its random flag, its keys) say.
An answer names its trace in `traceresponse`, the header of the editors' draft: `traceparent` is for requests alone.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Iterable
from dataclasses import dataclass

TRACEPARENT, TRACESTATE, TRACERESPONSE = b"traceparent", b"tracestate", b"traceresponse"
SAMPLED, RANDOM = 0x01, 0x02
MOST_CHARACTERS = 512
MOST_MEMBERS = 32
_PARENT = re.compile(rb"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?", re.DOTALL)
_MEMBER = re.compile(
    r"[a-z0-9][a-z0-9_*/@-]{0,255}=[\x20-\x2b\x2d-\x3c\x3e-\x7e]{0,255}[\x21-\x2b\x2d-\x3c\x3e-\x7e]"
)
_NO_TRACE, _NO_PARENT = b"0" * 32, b"0" * 16

Headers = Iterable[tuple[bytes, bytes]]


@dataclass(frozen=True)
class Parent:
    """What a caller says of the trace its request belongs to.

    Attributes:
        trace_id: 32 hex digits
        span_id: 16 hex digits, the caller's own
        flags: of those sent the ones that are known: `SAMPLED`, `RANDOM`
        state: members of `tracestate`, in order
    """

    trace_id: str
    span_id: str
    flags: int
    state: tuple[tuple[str, str], ...] = ()

    @property
    def sampled(self) -> bool:
        """Whether the caller records its part of the trace."""
        return bool(self.flags & SAMPLED)


def parent_of(headers: Headers) -> Parent | None:
    """Return the parent a request names; None where it names none, or not in the standard's form.

    >>> parent_of([(b"traceparent", b"00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01")]).sampled
    True
    >>> parent_of([(b"traceparent", b"00-0AF7651916CD43DD8448EB211C80319C-b7ad6b7169203331-01")])
    """
    pairs = [(name.lower(), value) for name, value in headers]
    given = [value for name, value in pairs if name == TRACEPARENT]
    found = _PARENT.fullmatch(given[0]) if len(given) == 1 and len(given[0]) <= MOST_CHARACTERS else None
    if found is None:
        return None
    version, trace_id, span_id, flags, more = found.groups()
    # a later version may say more behind what this one says; ff is no version
    if version == b"ff" or trace_id == _NO_TRACE or span_id == _NO_PARENT or (version == b"00" and more):
        return None
    known = SAMPLED | RANDOM if version == b"00" else SAMPLED
    state = _state(value for name, value in pairs if name == TRACESTATE)
    return Parent(trace_id.decode(), span_id.decode(), int(flags, 16) & known, state)


def _state(values: Iterable[bytes]) -> tuple[tuple[str, str], ...]:
    """The members of all headers together; none where one of them is malformed, twice there, or they are too many."""
    text = b",".join(values).decode("latin-1")
    members = [part for part in (part.strip(" \t") for part in text.split(",")) if part]
    if len(text) > MOST_CHARACTERS or len(members) > MOST_MEMBERS:
        return ()
    if not all(_MEMBER.fullmatch(one) for one in members):
        return ()
    pairs = tuple((key, value) for key, _, value in (one.partition("=") for one in members))
    return pairs if len({key for key, _ in pairs}) == len(pairs) else ()


@dataclass(frozen=True)
class Place:
    """Where a request stands in its trace.

    Attributes:
        trace_id: 32 hex digits, the caller's where it named a parent
        span_id: 16 hex digits, of what is done for this request
        flags: `SAMPLED` where that is recorded here, `RANDOM` where the trace id was drawn at random
    """

    trace_id: str
    span_id: str
    flags: int = 0

    @property
    def header(self) -> bytes:
        """The value of `traceresponse`.

        >>> Place("0af7651916cd43dd8448eb211c80319c", "b7ad6b7169203331", SAMPLED).header
        b'00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01'
        """
        return f"00-{self.trace_id}-{self.span_id}-{self.flags:02x}".encode()


def untraced(parent: Parent | None) -> Place:
    """Return the place of a request that is not recorded here: in its caller's trace, or in one of its own."""
    span_id = secrets.token_hex(8)
    if parent is None:
        return Place(secrets.token_hex(16), span_id, RANDOM)
    return Place(parent.trace_id, span_id, parent.flags & RANDOM)

"""What the server and a process of the pool say to each other, and in what form."""

from __future__ import annotations

import copyreg
import io
import pickle
import struct
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType
from typing import Any

import msgspec

from service.web.caller import NOBODY, Caller
from service.web.desk import Desk
from service.web.seen.tally import Tally
from service.web.visit import WORK_SECONDS

# One byte says what follows, four say how many bytes of it.
HEADER = struct.Struct("!cI")
DESK, TASK, READY, WORKED = b"D", b"T", b"R", b"W"


class Line(msgspec.Struct, frozen=True, array_like=True):
    """A line of a body; its text is null where it is too long to be kept."""

    number: int
    text: bytes | None


class Call(msgspec.Struct, frozen=True, kw_only=True):
    """What is the same for every line of a call.

    Attributes:
        work: what is done with a line, by name
        instance: path of the call, for problems
        request_id: id of the call, for problems
        moment: when the call came: today, for lines that name no day, is one day for all of them
        options: what the query asks for
        caller: who asks
        line_seconds: processor seconds a line may take
    """

    work: str
    instance: str
    request_id: str
    moment: datetime
    options: dict[str, str]
    caller: Caller = NOBODY
    line_seconds: float = WORK_SECONDS


class Task(msgspec.Struct, frozen=True, kw_only=True):
    """Some lines of a call, to be worked in order."""

    call: Call
    lines: list[Line]


class Worked(msgspec.Struct, frozen=True, kw_only=True):
    """The answer lines of a task, how many of each kind, the seconds they took, and what is counted of them."""

    body: bytes
    results: int
    problems: int
    seconds: float
    tally: Tally = msgspec.field(default_factory=Tally)


def frame(kind: bytes, content: bytes = b"") -> bytes:
    """Return a message as it goes over a socket.

    >>> frame(READY)
    b'R\\x00\\x00\\x00\\x00'
    """
    return HEADER.pack(kind, len(content)) + content


def _sealed(content: dict[Any, Any]) -> MappingProxyType[Any, Any]:
    return MappingProxyType(content)


class _Pickler(pickle.Pickler):
    """Pickles sealed mappings too."""

    dispatch_table = copyreg.dispatch_table.copy()
    dispatch_table[MappingProxyType] = lambda sealed: (_sealed, (dict(sealed),))


def desk_dumped(desk: Desk) -> bytes:
    """Return what lines are answered from, for another process of ours on this machine."""
    file = io.BytesIO()
    # callers are known by then: the keys stay with the server
    snapshot = replace(desk.snapshot, access=replace(desk.snapshot.access, keys={}))
    parts = (snapshot, desk.facts, desk.timber, desk.minutes, desk.engine_version)
    _Pickler(file, pickle.HIGHEST_PROTOCOL).dump(parts)
    return file.getvalue()


def desk_loaded(content: bytes) -> Desk:
    """Return a desk for what `desk_dumped` wrote."""
    parts: Any = pickle.loads(content)  # noqa: S301 - written by our own server, over a socket nobody else has
    return Desk(*parts)

"""What is known of a request while it is answered, and where code deep inside tells what it does.

It lies in a context variable, so that a handler, the thread it works in and the tasks it starts tell the same one.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar

from service.choice.level.watch import Watch
from service.web.seen.names import WAITING
from service.web.seen.operations import Operation
from service.web.seen.tally import Tally
from service.web.seen.trace_context import Parent, Place, untraced

T = TypeVar("T")
_log = logging.getLogger("deck_framing.seen")


class Told(Protocol):
    """Who is told of stages: a request, or the tally of a task of an NDJSON call."""

    def stage(self, name: str, began: float, ended: float) -> None:
        """Take down a stage, with its moments of `time.perf_counter`."""


class Sink(Protocol):
    """Where what is seen of requests goes: metrics, traces, log lines. It is told from several threads."""

    def begun(self, request: Seen) -> None:
        """Take down that a request has begun."""

    def staged(self, request: Seen, name: str, began: float, ended: float) -> None:
        """Take down a stage of its answer."""

    def worked(self, request: Seen, tally: Tally) -> None:
        """Take down a task of an NDJSON call."""

    def ended(self, request: Seen) -> None:
        """Take down that it has ended."""


@dataclass
class Seen:
    """One request.

    Attributes:
        method: HTTP method, in fixed words
        operation: what is called
        parent: what the caller says of its trace
        sinks: who is told
        began: moment of `time.perf_counter`
        place: where it stands in its trace
        request_id: as the answer has it
        status: of the answer; 0 before it begins
        sent_bytes: of the body of the answer
        code: of the problem it is answered with
        headers: those of the answer that tell the design and its versions, by their names
        key_id: of the key it came with, which is no secret
        tally: lines of an NDJSON call, all tasks together
        waited_s: seconds its work waited for its turn
        span: what traces record it in
        ended_at: moment of `time.perf_counter`; 0 until then
    """

    method: str
    operation: Operation
    parent: Parent | None
    sinks: tuple[Sink, ...]
    began: float = field(default_factory=time.perf_counter)
    place: Place = field(init=False)
    request_id: str = ""
    status: int = 0
    sent_bytes: int = 0
    code: str = ""
    headers: dict[str, str] = field(default_factory=dict)
    key_id: str = ""
    tally: Tally = field(default_factory=Tally)
    ended_at: float = 0.0
    waited_s: float = 0.0
    span: Any = None

    def __post_init__(self) -> None:
        """Give it a place of its own, until somebody records it."""
        self.place = untraced(self.parent)

    @property
    def seconds(self) -> float:
        """How long it has lasted; to its end, once it has ended."""
        return (self.ended_at or time.perf_counter()) - self.began

    def begin(self) -> None:
        """Tell that it has begun."""
        self._each(lambda sink: sink.begun(self))

    def stage(self, name: str, began: float, ended: float) -> None:
        """Tell of a stage."""
        if name == WAITING:
            self.waited_s += ended - began
        self._each(lambda sink: sink.staged(self, name, began, ended))

    def worked(self, tally: Tally) -> None:
        """Tell of a task of an NDJSON call."""
        self.tally.add(tally)
        self._each(lambda sink: sink.worked(self, tally))

    def end(self) -> None:
        """Tell that it has ended."""
        self.ended_at = time.perf_counter()
        self._each(lambda sink: sink.ended(self))

    def _each(self, tell: Callable[[Sink], None]) -> None:
        for sink in self.sinks:
            try:
                tell(sink)
            except Exception as fault:  # what is seen of a request must not change it
                _log.error("%s failed: %s", type(sink).__name__, type(fault).__name__)


_HERE: ContextVar[Told | None] = ContextVar("seen", default=None)


def seen_here() -> Seen | None:
    """Return the request this is done for, None where it is not seen."""
    found = _HERE.get()
    return found if isinstance(found, Seen) else None


@contextmanager
def telling(told: Told) -> Iterator[None]:
    """Have stages within the block told to somebody."""
    token = _HERE.set(told)
    try:
        yield
    finally:
        _HERE.reset(token)


@contextmanager
def stage(name: str) -> Iterator[None]:
    """Tell how long the block takes, if anybody wants to know.

    >>> tally = Tally()
    >>> with telling(tally), stage("encode"):
    ...     pass
    >>> [(name, len(seconds)) for name, seconds in tally.stages.items()]
    [('encode', 1)]
    """
    told, began = _HERE.get(), time.perf_counter()
    try:
        yield
    finally:
        if told is not None:
            told.stage(name, began, time.perf_counter())


class Stages(Watch):
    """Tells the stages of a design."""

    def stage(self, name: str) -> AbstractContextManager[object]:
        """Return what is open for as long as a stage of the design lasts."""
        return stage(name)


def after_waiting(work: Callable[..., T]) -> Callable[..., T]:
    """Return the same work, which also tells how long it waited from now on until it was begun."""
    began = time.perf_counter()

    def begun(*arguments: object) -> T:
        told = _HERE.get()
        if told is not None:
            told.stage(WAITING, began, time.perf_counter())
        return work(*arguments)

    return begun


def note_problem(code: str) -> None:
    """Take down the code of the problem a request is answered with."""
    found = seen_here()
    if found is not None:
        found.code = code


def note_worked(tally: Tally) -> None:
    """Take down what a task of an NDJSON call came to."""
    found = seen_here()
    if found is not None:
        found.worked(tally)

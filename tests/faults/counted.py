"""Clients that ask again and again while something breaks, and count what becomes of every request.

A request ends in the answer that was expected, in a problem, or in a closed connection. There is no fourth way: a
good status with another body, a refusal that is no problem, an answer without an end, nothing in time.
"""

from __future__ import annotations

import itertools
import json
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException, HTTPResponse, IncompleteRead, RemoteDisconnected
from typing import Any

from service.contract.vocabulary import PROBLEM_KINDS

PATIENCE_S = 180.0
# What may become of a request; `refused` ones were never taken, since no connection came about.
ANSWER, PROBLEM, CLOSED, CUT_OFF, REFUSED, WRONG = (
    "answer",
    "problem",
    "closed",
    "cut off",
    "refused",
    "wrong",
)


@dataclass(frozen=True)
class Call:
    """A request, and how its answer is known.

    Attributes:
        path: what is asked
        body: sent with POST; none for GET
        headers: beside those of HTTP
        expected: whether a status and a body are the answer
        about: what the test knows it by
    """

    path: str
    expected: Callable[[int, bytes], bool]
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)
    about: Any = None


@dataclass(frozen=True)
class Outcome:
    """What became of a call: its kind, the problem's code and detail or what was wrong, when and how long."""

    call: Call
    kind: str
    code: str = ""
    detail: str = ""
    began: float = 0.0
    seconds: float = 0.0


def ask(address: str, call: Call, patience_s: float = PATIENCE_S) -> Outcome:
    """Send one request over a connection of its own, and say what became of it."""
    began = time.monotonic()
    kind, code, detail = _asked(address, call, patience_s)
    seconds = time.monotonic() - began
    if seconds > patience_s:
        kind, detail = WRONG, f"{seconds:.0f} s: {kind} {detail}"
    return Outcome(call, kind, code, detail, began, seconds)


def _asked(address: str, call: Call, patience_s: float) -> tuple[str, str, str]:
    connection = HTTPConnection(address.removeprefix("http://"), timeout=patience_s)
    try:
        connection.connect()
    except OSError as fault:
        return REFUSED, "", str(fault)
    try:
        method = "GET" if call.body is None else "POST"
        connection.request(method, call.path, call.body, {"Connection": "close", **call.headers})
        answer = connection.getresponse()
        return _known(call, answer, answer.read())
    except IncompleteRead as fault:
        return CUT_OFF, "", f"after {len(fault.partial)} bytes"
    except (RemoteDisconnected, ConnectionError) as fault:
        return CLOSED, "", str(fault)
    except TimeoutError:
        return WRONG, "", f"nothing in {patience_s:g} s"
    except HTTPException as fault:
        return WRONG, "", repr(fault)
    finally:
        connection.close()


def _known(call: Call, answer: HTTPResponse, body: bytes) -> tuple[str, str, str]:
    if not answer.chunked and answer.headers["content-length"] != str(len(body)):
        return WRONG, "", f"{answer.status} without its length"
    if answer.headers["content-type"] == "application/problem+json":
        return _problem(call, answer, body)
    if call.expected(answer.status, body):
        return ANSWER, "", ""
    return WRONG, "", f"{answer.status} {body[:200]!r}"


def _problem(call: Call, answer: HTTPResponse, body: bytes) -> tuple[str, str, str]:
    problem = json.loads(body)
    kind = PROBLEM_KINDS[problem["code"]]
    told = (problem["status"], problem["request_id"], problem["instance"])
    right = (answer.status, answer.headers["x-request-id"], call.path.partition("?")[0])
    if told != right or kind.status != answer.status:
        return WRONG, "", f"{answer.status} {body[:200]!r}"
    return PROBLEM, problem["code"], problem["detail"]


class Counted:
    """What became of the requests of some clients."""

    def __init__(self) -> None:
        self.sent = 0
        self.outcomes: list[Outcome] = []
        self._lock = threading.Lock()

    def sending(self) -> None:
        """Count a request that is about to be sent."""
        with self._lock:
            self.sent += 1

    def took(self, outcome: Outcome) -> None:
        """Take down what became of one."""
        with self._lock:
            self.outcomes.append(outcome)

    def of(self, *kinds: str) -> list[Outcome]:
        """Those of some kinds."""
        return [one for one in self.outcomes if one.kind in kinds]

    def codes(self) -> set[str]:
        """Codes of the problems there were."""
        return {one.code for one in self.of(PROBLEM)}

    def since(self, moment: float) -> list[Outcome]:
        """Those begun after a moment of the monotonic clock."""
        return [one for one in self.outcomes if one.began > moment]

    def told(self) -> str:
        """The count in a line."""
        kinds = Counter(f"{one.kind} {one.code}".strip() for one in self.outcomes)
        longest = max((one.seconds for one in self.outcomes), default=0.0)
        parts = " + ".join(f"{count} {kind}" for kind, count in sorted(kinds.items()))
        return f"{self.sent} sent = {parts or 'nothing'}; the longest took {longest:.1f} s"

    def check(self, name: str, *, cut_off: bool = False) -> None:
        """Print the count, and require that every request ended in one of the ways there are."""
        print(f"\n{name}: {self.told()}")
        wrong = [f"{one.call.path}: {one.detail}" for one in self.of(WRONG, *([] if cut_off else [CUT_OFF]))]
        assert not wrong, wrong[:5]
        assert self.sent == len(self.outcomes), "some requests never ended"


@contextmanager
def clients(
    address: str, count: int, calls: Callable[[int], Iterator[Call]], patience_s: float = PATIENCE_S
) -> Iterator[Counted]:
    """So many clients that ask as long as the block runs, each its next question when the last is answered.

    Args:
        address: of the service
        count: how many clients
        calls: the questions of a client, by its number
        patience_s: how long one waits
    """
    counted, done = Counted(), threading.Event()

    def client(number: int) -> None:
        for call in calls(number):
            if done.is_set():
                return
            counted.sending()
            outcome = ask(address, call, patience_s)
            counted.took(outcome)
            if outcome.kind != ANSWER:
                time.sleep(0.05)

    threads = [threading.Thread(target=client, args=(number,), daemon=True) for number in range(count)]
    for one in threads:
        one.start()
    try:
        yield counted
    finally:
        done.set()
        for one in threads:
            one.join(patience_s + 10)


def alternating(*givers: Callable[[int], Iterator[Call]]) -> Callable[[int], Iterator[Call]]:
    """Questions of one sort for the first client, of the next for the second, and so on round."""
    return lambda number: givers[number % len(givers)](number // len(givers))


def again_and_again(calls: list[Call]) -> Callable[[int], Iterator[Call]]:
    """The same questions over and over; each client begins at another."""
    return lambda number: itertools.cycle(calls[number % len(calls) :] + calls[: number % len(calls)])

"""One large call of each kind: rate, memory, and what interactive calls feel of it.

How: `PYTHONPATH=. python tests/bench/streams.py [takeoffs] [specs] [probes] [pinned]` from the project's folder;
100,000, 20,000 and 200 unless given; the specs go through `design-batches`, then through `rule-impacts`, which
designs each by two versions and compares them. With `pinned` the specs name sizes and method, as those of quotes do
whose frame is settled: four times as quick. Takes as long as the specs take: their count times the seconds of one,
over the processes.

The server is a process of its own with one process for batches less than the machine has cores. The body is made up
while it is sent. The seconds of one item are processor time of the same function, alone in a process before anything
else runs, so that the rate can be held against what the processes could do: `of possible` is rate x seconds of one
item / processes for batches. Memory is the sum of what the server and its processes hold, in RSS, read every half
second; `p99` is of one client that posts the same deck again and again. Where other programs keep the cores, the
line about its processes tells what is theirs: only the time spent waiting for lines is lost by the service.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import httpx

from service.app import bundled_snapshot, make_desk
from service.settings import Settings
from service.web.desk import utc_now
from service.web.streams.messages import Call, Line, Task
from service.web.streams.work import work_task

TAKEOFFS, SPECS, PROBES = (
    int(sys.argv[place]) if len(sys.argv) > place else count
    for place, count in ((1, 100_000), (2, 20_000), (3, 200))
)
PINS = {
    "framing": {
        "attachment": "freestanding", "joist_size": "2x10", "joist_spacing_in": 16, "beam_size": "2x10",
        "beam_plies": 2, "beam_placement": "dropped", "post_size": "6x6",
    },
    "foundation": {"method": "tube_form_pier"},
}  # fmt: skip
ALONE = {"repricings": 2000, "designs": 20, "impacts": 20}
WORKERS = Settings().batch_workers
PATHS = {
    "repricings": "/v1/repricings?price_book=brindlemoor-yard",
    "designs": "/v1/design-batches",
    "impacts": "/v1/rule-impacts?from=irc-2021@1&to=irc-2024@1",
}
OPTIONS = {
    "repricings": {"price_book": "brindlemoor-yard@2"},
    "designs": {"view": "summary"},
    "impacts": {"from": "irc-2021@1", "to": "irc-2024@1"},
}
SERVER = """
import sys
from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
with served(make_app(make_desk(bundled_snapshot()))) as address:
    print(address, flush=True)
    sys.stdin.read()
"""


def deck(number: int) -> dict[str, object]:
    """A deck around 16 x 12 ft: its sizes, height and place change from line to line."""
    level = {
        "width_ft": 12 + number % 9,
        "projection_ft": 10 + number // 9 % 5,
        "surface_height_in": 24 + number // 45 % 31,
    }
    return {
        "reference": f"LEAD-{number}",
        "jurisdiction": "alder-county",
        "price_book": "brindlemoor-yard",
        "levels": [level],
        **(PINS if "pinned" in sys.argv else {}),
    }


class Orders:
    """Open quotes made from the takeoff of one deck, with quantities that change from line to line."""

    def __init__(self, takeoff: dict[str, list[dict[str, object]]]) -> None:
        groups = (takeoff[name] for name in ("stock", "decking", "hardware", "concrete"))
        priced = [one for group in groups for one in group if one["unit_price"]]
        self.lines = [(one["item"], one.get("length_ft"), one.get("unit"), one["quantity"]) for one in priced]

    def quote(self, number: int) -> dict[str, object]:
        """An open quote."""
        lines = [
            {"item": item, "length_ft": length_ft, "unit": unit, "quantity": quantity + number % 7}
            for item, length_ft, unit, quantity in self.lines
        ]
        total = {"currency": "USD", "amount": f"{3000 + number % 2000}.00"}
        return {"reference": f"LEAD-{number}", "previous_total": total, "lines": lines}


def seconds_alone(work: str, line: Callable[[int], dict[str, object]]) -> float:
    """Return processor seconds of one item, alone in this process."""
    desk = make_desk(bundled_snapshot())
    call = Call(work=work, instance="/", request_id="", moment=utc_now(), options=OPTIONS[work])
    lines = [Line(number, json.dumps(line(number)).encode()) for number in range(1, ALONE[work] + 1)]
    work_task(Task(call=call, lines=lines[: len(lines) // 10]), desk)
    began = time.process_time()
    worked = work_task(Task(call=call, lines=lines), desk)
    spent = time.process_time() - began
    assert worked.results == len(lines), worked.body[:2000]
    return spent / len(lines)


class Memory:
    """Reads RSS of a process and those it started, until it is told to stop."""

    def __init__(self, process: int) -> None:
        self.process = process
        self.read: list[tuple[float, int]] = []
        self.over = threading.Event()
        self.thread = threading.Thread(target=self._watch)

    def __enter__(self) -> Memory:
        self.thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.over.set()
        self.thread.join()

    def _watch(self) -> None:
        while not self.over.wait(0.5):
            self.read.append((time.monotonic(), self.now()))

    def now(self) -> int:
        """Return bytes held."""
        return sum(_rss_bytes(one) for one in (self.process, *_children(self.process)))


def _rss_bytes(process: int) -> int:
    try:
        return int(Path(f"/proc/{process}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (FileNotFoundError, ProcessLookupError):
        return 0


def _children(process: int) -> list[int]:
    found = []
    for thread in Path(f"/proc/{process}/task").glob("*/children"):
        found += [int(one) for one in thread.read_text().split()]
    return found


def _schedule(processes: list[int]) -> tuple[float, float]:
    """Return the seconds that processes ran, and that they were ready to run and others had the cores."""
    fields = [Path(f"/proc/{one}/schedstat").read_text().split() for one in processes]
    return sum(int(one[0]) for one in fields) / 1e9, sum(int(one[1]) for one in fields) / 1e9


def batch(
    address: str, work: str, count: int, line: Callable[[int], dict[str, object]], memory: Memory
) -> None:
    """Make one call and print what it came to."""
    mark: list[int] = []

    def content() -> Iterator[bytes]:
        for first in range(1, count + 1, 500):
            numbers = range(first, min(first + 500, count + 1))
            yield b"".join(json.dumps(line(number)).encode() + b"\n" for number in numbers)

    lines, end, began, first_at = 0, "", time.monotonic(), 0.0
    headers = {"Content-Type": "application/x-ndjson"}
    with httpx.stream(
        "POST", address + PATHS[work], content=content(), headers=headers, trust_env=False, timeout=600
    ) as answer:
        for line_read in answer.iter_lines():
            end = line_read
            lines += 1
            if not first_at:
                first_at, pool = time.monotonic(), _children(memory.process)
                before = _schedule(pool)
            if lines == max(1, count // 10):
                mark.append(memory.now())
    took = time.monotonic() - first_at
    ran, queued = (after - start for after, start in zip(_schedule(pool), before, strict=True))
    told = json.loads(end)
    assert (told["lines"], told["results"]) == (count, count), told
    rate = count / took
    alone = RATES[work]
    print(
        f"{work}: {count} lines, body sent and first line back after {first_at - began:.1f} s, all after "
        f"{time.monotonic() - began:.1f} s; {rate:.1f} /s; one alone {1000 * alone:.2f} ms; "
        f"of possible {rate * alone / WORKERS:.2f}"
    )
    share = [f"{100 * part / (took * len(pool)):.0f} %" for part in (ran, queued)]
    print(f"  its processes ran {share[0]} of the time, waited for a core {share[1]}, else for lines")
    peak = max(size for at, size in memory.read if at >= began)
    begun, now = mark[0] / 1e6, memory.now() / 1e6
    print(
        f"  RSS at 10 % {begun:.0f} MB, at the end {now:.0f} MB ({now / begun:.2f}), peak {peak / 1e6:.0f} MB"
    )


RATES: dict[str, float] = {}


def probe(address: str, name: str, going: Callable[[], bool]) -> tuple[float, float]:
    """Post the same deck again and again; return p50 and p99 in ms."""
    took: list[float] = []
    with httpx.Client(trust_env=False, timeout=120) as client:
        while going() and len(took) < PROBES:
            began = time.perf_counter()
            client.post(f"{address}/v1/designs", json=deck(200)).raise_for_status()
            took.append(1000 * (time.perf_counter() - began))
    took.sort()
    p99 = took[min(len(took) - 1, round(0.99 * len(took)))]
    print(f"  interactive {name}: p50 {statistics.median(took):.0f} ms, p99 {p99:.0f} ms, n {len(took)}")
    return statistics.median(took), p99


def main() -> None:
    """Print everything."""
    command = [sys.executable, "-c", SERVER]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as server:
        assert server.stdin is not None
        assert server.stdout is not None
        address = server.stdout.readline().strip()
        answer = httpx.post(f"{address}/v1/takeoffs", json=deck(200), trust_env=False, timeout=60)
        orders = Orders(answer.json()["takeoff"])
        kinds = {
            "repricings": (TAKEOFFS, orders.quote),
            "designs": (SPECS, deck),
            "impacts": (SPECS, deck),
        }
        RATES.update({work: seconds_alone(work, line) for work, (_, line) in kinds.items()})
        print(f"{os.cpu_count()} cores, {WORKERS} processes for batches, {len(orders.lines)} lines an order")
        _, without = probe(address, "without", lambda: True)
        for work, (count, line) in kinds.items():
            with Memory(server.pid) as memory, ThreadPoolExecutor(1) as pool:
                running = pool.submit(batch, address, work, count, line, memory)
                _, meanwhile = probe(address, f"beside {work}", lambda running=running: not running.done())
                running.result()
                print(f"  interactive p99 beside {work} / without: {meanwhile / without:.2f}")
        server.stdin.close()


if __name__ == "__main__":
    main()

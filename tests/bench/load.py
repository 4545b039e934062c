"""A closed loop against the real service: rate, tail, memory and errors, with a no-op in the same run.

How: `PYTHONPATH=.:tests python tests/bench/load.py [seconds] [clients] [batches]` from the project's folder; 60
seconds and 4 clients unless given, on a quiet machine with nothing else on its cores. With `batches` it ends with
`tests/bench/streams.py` on smaller numbers, for batches with interactive calls beside them.

A `deck-framing serve` of two workers, a process of its own with its own database, is asked over keep-alive
connections by clients that each send the next request when they have the last answer. First one client alone tells
the processor seconds of one design: those of the service's processes, PostgreSQL among them, over the requests. What
two workers could do at most is their number over those seconds. It ends with 1 unless, for designs, the rate is at
least 0.8 of that, p99 is under 8 times p50, nothing failed, and the service's memory (RSS of all its processes but
PostgreSQL) at the end is at most 1.05 of what it was after a quarter of the time. The clients are one process; what
it takes of a core is told, since it is lost to the service.
"""

from __future__ import annotations

import asyncio
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.serving import served

WORKERS = 2
LEAST_OF_POSSIBLE, MOST_TAIL, MOST_GROWTH = 0.8, 8.0, 1.05
ALONE, WARM = 24, 12
DECK = {
    "jurisdiction": "alder-county",
    "price_book": "brindlemoor-yard",
    "levels": [{"width_ft": 16, "projection_ft": 12, "surface_height_in": 34}],
}
TICK_S, PAGE = 1 / os.sysconf("SC_CLK_TCK"), os.sysconf("SC_PAGE_SIZE")


def _request(method: str, path: str, body: bytes = b"") -> bytes:
    head = f"{method} {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: {len(body)}\r\n"
    return (head + "Content-Type: application/json\r\n\r\n").encode() + body


NOOP = _request("GET", "/health/live")
DESIGN = _request("POST", "/v1/designs", json.dumps(DECK).encode())
TAKEOFF = _request("POST", "/v1/takeoffs", json.dumps(DECK).encode())


def processes(parent: int) -> list[int]:
    """Return a process and all that it and they have started."""
    found = [parent]
    for tasks in Path(f"/proc/{parent}/task").glob("*/children"):
        for child in tasks.read_text().split():
            found += processes(int(child))
    return found


def cpu_seconds(some: list[int]) -> float:
    """Return processor seconds processes have taken, in user and system mode."""
    return sum(sum(map(int, _stat(one)[11:13])) for one in some) * TICK_S


def _stat(process: int) -> list[str]:
    return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()


def rss_bytes(some: list[int]) -> int:
    """Return what processes hold, without those of PostgreSQL."""
    ours = (one for one in some if "postgres" not in Path(f"/proc/{one}/comm").read_text())
    return sum(int(Path(f"/proc/{one}/statm").read_text().split()[1]) * PAGE for one in ours)


@dataclass
class Outcome:
    """What came of a closed loop: times in ms, how many failed, and what was used."""

    name: str
    seconds: float = 0.0
    took_ms: list[float] = field(default_factory=list)
    failures: list[str] = field(default_factory=list)
    service_cpu_s: float = 0.0
    clients_cpu_s: float = 0.0
    rss_bytes: list[int] = field(default_factory=list)
    worker_cpu_s: list[float] = field(default_factory=list)

    @property
    def rate(self) -> float:
        """Answers a second."""
        return len(self.took_ms) / self.seconds

    def part(self, percent: float) -> float:
        """Return a percentile of the times."""
        ordered = sorted(self.took_ms)
        return ordered[min(len(ordered) - 1, int(percent / 100 * len(ordered)))]

    def line(self) -> str:
        """Return a row of the table."""
        parts = "".join(f"{self.part(one):9.1f}" for one in (50, 95, 99))
        cpu_ms = 1000 * self.service_cpu_s / len(self.took_ms)
        rss = "->".join(f"{one / 1e6:.0f}" for one in self.rss_bytes)
        used = f"{100 * self.clients_cpu_s / self.seconds:7.1f} %"
        row = f"{self.name:12}{len(self.took_ms):7}{self.rate:9.2f}{parts}{cpu_ms:10.2f}{used:>10}"
        return f"{row}{len(self.failures):7}  {rss}"


_COLUMNS = {
    "n": 7,
    "rate /s": 9,
    "p50 ms": 9,
    "p95 ms": 9,
    "p99 ms": 9,
    "CPU ms": 10,
    "clients": 10,
    "failed": 7,
}
HEADER = " " * 12 + "".join(f"{name:>{width}}" for name, width in _COLUMNS.items()) + "  RSS MB"


class Client:
    """One connection, opened again when the service closes it."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._streams: tuple[asyncio.StreamReader, asyncio.StreamWriter] | None = None

    async def ask(self, request: bytes) -> str:
        """Send a request, read its answer whole, and return what was wrong with it."""
        if self._streams is None:
            self._streams = await asyncio.open_connection("127.0.0.1", self._port, limit=1 << 20)
        reader, writer = self._streams
        writer.write(request)
        head = (await reader.readuntil(b"\r\n\r\n")).lower()
        await reader.readexactly(int(head.partition(b"content-length:")[2].split(b"\r\n")[0]))
        if b"connection: close" in head:
            self.close()
        return "" if head.startswith(b"http/1.1 200") else head.partition(b"\r\n")[0].decode()

    def close(self) -> None:
        """Close the connection."""
        if self._streams is not None:
            self._streams[1].close()
        self._streams = None


async def _loop(client: Client, request: bytes, until: float, most: int, outcome: Outcome) -> None:
    while time.monotonic() < until and len(outcome.took_ms) < most:
        began = time.perf_counter()
        try:
            wrong = await client.ask(request)
        except (OSError, EOFError, ValueError) as fault:
            wrong = repr(fault)
            client.close()
        outcome.took_ms.append(1000 * (time.perf_counter() - began))
        if wrong:
            outcome.failures.append(wrong)
    client.close()


async def _watch(outcome: Outcome, some: list[int], seconds: float) -> None:
    for part in (0.25, 0.75):
        await asyncio.sleep(part * seconds)
        outcome.rss_bytes.append(rss_bytes(some))


def closed_loop(
    name: str, address: tuple[int, int], request: bytes, seconds: float, clients: int, most: int = 1 << 60
) -> Outcome:
    """Return what comes of so many clients for so long, or until there are so many answers."""
    port, process = address
    some = processes(process)
    outcome = Outcome(name)
    before, own, began = {one: cpu_seconds([one]) for one in some}, time.process_time(), time.monotonic()

    async def run() -> None:
        loops = [_loop(Client(port), request, began + seconds, most, outcome) for _ in range(clients)]
        watching = asyncio.ensure_future(_watch(outcome, some, seconds))
        await asyncio.gather(*loops)
        if most < 1 << 60:
            watching.cancel()
        await asyncio.gather(watching, return_exceptions=True)

    asyncio.run(run())
    outcome.seconds = time.monotonic() - began
    spent = {one: cpu_seconds([one]) - before[one] for one in some}
    outcome.service_cpu_s, outcome.clients_cpu_s = sum(spent.values()), time.process_time() - own
    outcome.worker_cpu_s = sorted(spent.values(), reverse=True)[:WORKERS]
    return outcome


def _told(designs: Outcome, alone_s: float) -> bool:
    possible = WORKERS / alone_s
    first, last = designs.rss_bytes
    shares = " and ".join(f"{100 * one / designs.seconds:.0f} %" for one in designs.worker_cpu_s)
    print(f"the workers took {shares} of a core; possible at most {possible:.2f} /s")
    asked = {
        f"rate / possible {designs.rate / possible:.3f}, at least {LEAST_OF_POSSIBLE}": designs.rate
        >= LEAST_OF_POSSIBLE * possible,
        f"p99 / p50 {designs.part(99) / designs.part(50):.2f}, under {MOST_TAIL:g}": designs.part(99)
        < MOST_TAIL * designs.part(50),
        f"failed {len(designs.failures)} {designs.failures[:3]}": not designs.failures,
        f"RSS at the end / after a quarter {last / first:.3f}, at most {MOST_GROWTH}": last
        <= MOST_GROWTH * first,
    }
    for text, holds in asked.items():
        print(f"{'holds' if holds else 'FAILS'}  {text}")
    return all(asked.values())


def main(seconds: float = 60.0, clients: int = 4) -> bool:
    """Print the table and return whether all that is asked holds."""
    with (
        tempfile.TemporaryDirectory() as folder,
        served(Path(folder) / "data", WORKERS=str(WORKERS)) as address,
    ):
        closed_loop("warming", address, DESIGN, max(20.0, seconds / 2), clients, most=WARM)
        alone = closed_loop("alone", address, DESIGN, max(10.0, seconds / 2), 1, most=ALONE)
        noop = closed_loop("no-op", address, NOOP, max(1.0, seconds / 12), clients)
        designs = closed_loop("designs", address, DESIGN, seconds, clients)
        takeoffs = closed_loop("takeoffs", address, TAKEOFF, max(1.0, seconds / 4), clients)
    print(f"{os.cpu_count()} cores, {WORKERS} workers, {clients} clients, load {os.getloadavg()[0]:.1f}")
    print(HEADER)
    for one in (alone, noop, designs, takeoffs):
        print(one.line())
    return _told(designs, alone.service_cpu_s / len(alone.took_ms))


if __name__ == "__main__":
    numbers = [float(one) for one in sys.argv[1:] if one != "batches"]
    held = main(*numbers[:1], *map(int, numbers[1:2]))
    if "batches" in sys.argv:
        beside = [sys.executable, "tests/bench/streams.py", "20000", "1000", "60"]
        held = subprocess.run(beside, check=False).returncode == 0 and held
    sys.exit(not held)

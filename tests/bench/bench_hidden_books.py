"""Another organisation's price book beside an id that is not there, in one run: no clock tells them apart.

How: `PYTHONPATH=. python tests/bench/bench_hidden_books.py [rounds]` from the project's folder.
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import replace

import httpx

from service.app import bundled_snapshot, make_app, make_desk
from service.cli.trial import served
from service.store.access import Access, ApiKey, BookHead, secret_digest

ROUNDS = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
SECRET = "A" * 43
KEY_ID = "0" * 16
ALL = frozenset({"designs", "prices:read", "prices:write"})
PATHS = {
    "another's": "/v1/price-books/tollgate-yard",
    "not there": "/v1/price-books/tollgate-nope",
}
KEYS = {
    "wrong secret": f"secret.{KEY_ID}.{'B' * 43}",
    "unknown id": f"secret.{'1' * 16}.{'B' * 43}",
}


def told(title: str, seconds: dict[str, list[float]]) -> None:
    """Print the medians, their ratio, and that of the first kind's own halves, which is chance."""
    first, second = seconds.values()
    halves = [statistics.median(first[half::2]) for half in (0, 1)]
    for name, found in seconds.items():
        print(f"{title:8} {name:14} median {statistics.median(found) * 1e6:8.1f} us")
    print(
        f"{title:8} ratio of medians {statistics.median(first) / statistics.median(second):.3f}; "
        f"of two halves of the same {halves[0] / halves[1]:.3f}"
    )


def main() -> None:
    """Ask for each in turn, so that the machine's mood is shared."""
    snapshot = bundled_snapshot()
    access = Access(
        keys={KEY_ID: ApiKey(KEY_ID, "other", "secret", ALL, None, secret_digest(SECRET))},
        books={**snapshot.access.books, "tollgate-yard": BookHead("tollgate-yard", "tollgate", public=False)},
    )
    app = make_app(make_desk(replace(snapshot, access=access)))
    with served(app) as address, httpx.Client(base_url=address, trust_env=False) as client:

        def timed(path: str, key: str) -> float:
            began = time.perf_counter()
            client.get(path, headers={"Authorization": f"Bearer {key}"})
            return time.perf_counter() - began

        good = f"secret.{KEY_ID}.{SECRET}"
        books: dict[str, list[float]] = {name: [] for name in PATHS}
        keys: dict[str, list[float]] = {name: [] for name in KEYS}
        for _ in range(ROUNDS):
            for name, path in PATHS.items():
                books[name].append(timed(path, good))
            for name, key in KEYS.items():
                keys[name].append(timed("/v1/price-books", key))
        told("books", books)
        told("keys", keys)


if __name__ == "__main__":
    main()

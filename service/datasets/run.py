"""A whole data set: its partitions one after another here, or on the workers of a cluster."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import msgspec

from service.datasets.files import clear_unfinished, partitions
from service.datasets.partition import Counts, Done, reprice_partition
from service.datasets.supplies import DataSetError, Supplies

SUMMARY_FILE = "_summary.json"
WAIT_FOR_WORKERS_S = 30
Tell = Callable[[str], None]


class Summary(msgspec.Struct, frozen=True, kw_only=True):
    """What a run came to; ``change`` is over the results that have one."""

    price_book: str
    as_of: str
    partitions: int
    kept: int
    currency: str
    counts: Counts
    change: str


def reprice_data_set(
    source: Path, target: Path, supplies: Supplies, scheduler: str | None, tell: Tell
) -> Summary:
    """Reprice every partition of ``source`` into ``target`` and return what it came to.

    The summary is written last, as `_summary.json`: where it stands the whole data set is done.

    Args:
        source: folder of the data set; the workers see it, and ``target``, under the same path
        target: folder of the result, made where it is not there
        supplies: what quotes are answered from
        scheduler: address of a Dask scheduler; None to work here
        tell: told of every partition that is done

    Raises:
        DataSetError: there are no partitions, one cannot be read, or the result would be mixed with something else
    """
    source, target = source.resolve(), target.resolve()
    names = _checked(source, target)
    target.mkdir(parents=True, exist_ok=True)
    (target / SUMMARY_FILE).unlink(missing_ok=True)
    works = _here if scheduler is None else _on_cluster(scheduler)
    done = []
    for one in works(source, target, names, supplies):
        done.append(one)
        how = "was done already" if one.kept else f"{one.counts.quotes} quotes"
        tell(f"{len(done)} of {len(names)}: {one.partition}, {how}")
    clear_unfinished(target)
    return _summed(done, target, supplies)


def _checked(source: Path, target: Path) -> list[str]:
    if target == source or source in target.parents or target in source.parents:
        raise DataSetError(f"{target}: the result needs a folder outside the data set {source}")
    names = partitions(source)
    if not names:
        raise DataSetError(f"{source} holds no .parquet files")
    strange = sorted(set(partitions(target)) - set(names)) if target.is_dir() else []
    if strange:
        raise DataSetError(f"{target} holds {strange[0]}, which is no partition of {source}: empty it first")
    return names


Works = Callable[[Path, Path, list[str], Supplies], Iterator[Done]]


def _here(source: Path, target: Path, names: list[str], supplies: Supplies) -> Iterator[Done]:
    return (reprice_partition(str(source), str(target), name, supplies) for name in names)


def _on_cluster(scheduler: str) -> Works:
    def work(source: Path, target: Path, names: list[str], supplies: Supplies) -> Iterator[Done]:
        # a large import, and of no use in one process
        from distributed import Client, as_completed

        with Client(scheduler, timeout=WAIT_FOR_WORKERS_S) as client:
            client.wait_for_workers(1, timeout=WAIT_FOR_WORKERS_S)
            # A task of its own: should the worker that holds the supplies die, they are sent again.
            shared = client.submit(_as_sent, supplies, pure=False)
            futures = [
                client.submit(reprice_partition, str(source), str(target), name, shared, pure=False)
                for name in names
            ]
            for future in as_completed(futures):
                yield future.result()

    return work


def _as_sent(supplies: Supplies) -> Supplies:
    return supplies


def _summed(done: list[Done], target: Path, supplies: Supplies) -> Summary:
    counts = Counts()
    for one in done:
        counts = counts.plus(one.counts)
    found = Summary(
        price_book=f"{supplies.prices.id}@{supplies.prices.version}",
        as_of=supplies.day.isoformat(),
        partitions=len(done),
        kept=sum(one.kept for one in done),
        currency=supplies.prices.currency,
        counts=counts,
        change=str(counts.total - counts.previous_total),
    )
    unfinished = target / f".{SUMMARY_FILE}.unfinished"
    unfinished.write_bytes(msgspec.json.format(msgspec.json.encode(found), indent=1) + b"\n")
    unfinished.replace(target / SUMMARY_FILE)
    return found

"""The files of a data set: partitions read in batches, results written whole or not at all."""

from __future__ import annotations

import hashlib
import os
import socket
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq

from service.datasets.supplies import DataSetError

BATCH_ROWS = 256
COLUMNS = ("reference", "line")
MONEY = pa.decimal128(11, 2)
RESULT = pa.schema(
    [
        ("reference", pa.string()),
        ("row", pa.int64()),
        ("kind", pa.string()),
        ("currency", pa.string()),
        ("previous_total", MONEY),
        ("total", MONEY),
        ("complete", pa.bool_()),
        ("change", MONEY),
        ("answer", pa.string()),
    ]
)
INPUTS, COUNTS = b"deck_framing.inputs", b"deck_framing.counts"
ENDING = ".parquet"


def partitions(folder: Path) -> list[str]:
    """Return the paths of the partitions of a data set within its folder, in order.

    What begins with a dot or an underscore is no partition, as elsewhere with Parquet.
    """
    found = (path.relative_to(folder) for path in folder.rglob(f"*{ENDING}") if path.is_file())
    return sorted(str(path) for path in found if not any(part[0] in "._" for part in path.parts))


def digest_of_file(path: Path) -> str:
    """Return the SHA-256 of a file's bytes."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def quotes(path: Path) -> Iterator[tuple[str, bytes]]:
    """Yield the reference and the bytes of the line of every quote of a partition; a null is an empty text.

    Nothing but a reader looks whether text in Parquet is UTF-8, and one line that is not has to stop no other.

    Raises:
        DataSetError: the file is no Parquet, or lacks a column of text
    """
    try:
        with pq.ParquetFile(path) as file:
            _check_columns(path, file.schema_arrow)
            for batch in file.iter_batches(BATCH_ROWS, columns=list(COLUMNS)):
                columns = (batch.column(name).cast(pa.binary()).to_pylist() for name in COLUMNS)
                for reference, line in zip(*columns, strict=True):
                    yield (reference or b"").decode(errors="replace"), line or b""
    except pa.ArrowInvalid as fault:
        raise DataSetError(f"{path} cannot be read as Parquet: {fault}") from fault


def _check_columns(path: Path, schema: Any) -> None:
    for name in COLUMNS:
        kind = schema.field(name).type if name in schema.names else None
        if kind is None or not (pa.types.is_string(kind) or pa.types.is_large_string(kind)):
            raise DataSetError(
                f"{path} needs a column {name} of text; it has {', '.join(schema.names) or 'none'}"
            )


def counts_if_done(path: Path, inputs: str) -> bytes | None:
    """Return the counts in a result that was made from the same inputs; None where there is none."""
    if not path.is_file():
        return None
    try:
        found: dict[bytes, bytes] = pq.read_metadata(path).metadata or {}
    except (OSError, pa.ArrowInvalid):
        return None
    return found.get(COUNTS) if found.get(INPUTS) == inputs.encode() else None


def write_result(path: Path, rows: Iterable[dict[str, Any]], inputs: str, counts: Any) -> None:
    """Write the rows of a partition under a name of its own, then give it the name that is looked for.

    Args:
        path: where the result is looked for
        rows: worked out as they are written, so that only a batch is in memory
        inputs: digest of what they were made from
        counts: called after the last row; gives what is kept beside them
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{socket.gethostname()}-{os.getpid()}.unfinished")
    try:
        with pq.ParquetWriter(unfinished, RESULT, compression="zstd") as writer:
            for batch in _batches(rows):
                writer.write_table(pa.Table.from_pylist(batch, schema=RESULT))
            writer.add_key_value_metadata({INPUTS: inputs.encode(), COUNTS: counts()})
        _to_disk(unfinished)
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)


def _batches(rows: Iterable[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    batch: list[dict[str, Any]] = []
    for row in rows:
        batch.append(row)
        if len(batch) == BATCH_ROWS:
            yield batch
            batch = []
    if batch:
        yield batch


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def clear_unfinished(folder: Path) -> None:
    """Remove what workers that were killed left behind."""
    for path in folder.rglob(f".*{ENDING}.*.unfinished"):
        path.unlink(missing_ok=True)

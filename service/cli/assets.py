"""`deck-framing assets`: the files of other people's that the reference page is made of."""

from __future__ import annotations

import shutil
import subprocess
import tarfile
import tempfile
from importlib.resources import files
from pathlib import Path

import click

from service.web.vendored import (
    KEPT,
    MANIFEST,
    PACKAGE,
    VERSION,
    escaped,
    manifest_of,
    manifest_text,
    vendored_faults,
)

_FOLDER = click.option(
    "--folder",
    default=str(files("service") / "web" / "assets" / "swagger-ui"),
    show_default="where the service keeps them",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder of the files.",
)


@click.group()
def assets() -> None:
    """Fetch or check the files of the reference page.

    \b
    Example:
      deck-framing assets check
    """


@assets.command()
@_FOLDER
def check(folder: Path) -> None:
    """Fail when a file is not as it was published.

    \b
    Example:
      deck-framing assets check
    """
    held = {one.name: one.read_bytes() for one in sorted(folder.glob("*")) if one.is_file()}
    faults = vendored_faults(held)
    if faults:
        raise click.ClickException("\n".join([*faults, "run: deck-framing assets refresh"]))
    click.echo(f"{PACKAGE} {VERSION}: {len(held) - 1} files as their manifest says")


@assets.command()
@_FOLDER
def refresh(folder: Path) -> None:
    """Fetch the files anew with npm and write their manifest.

    \b
    Example:
      deck-framing assets refresh
    """
    kept = {name: escaped(name, content) for name, content in fetched().items()}
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in kept.items():
        (folder / name).write_bytes(content)
    (folder / MANIFEST).write_bytes(manifest_text(manifest_of(kept)))
    click.echo(f"{PACKAGE} {VERSION}: {len(kept)} files in {folder}")


def fetched() -> dict[str, bytes]:
    """Return the files kept, as npm's registry has them; npm compares the package with its published digest.

    Raises:
        click.ClickException: there is no npm, it fails, or the package lacks a file
    """
    npm = shutil.which("npm")
    if npm is None:
        raise click.ClickException("npm is not installed; it fetches the package")
    with tempfile.TemporaryDirectory() as folder:
        wanted = [npm, "pack", f"{PACKAGE}@{VERSION}", "--silent", "--pack-destination", folder]
        done = subprocess.run(wanted, capture_output=True, text=True)  # noqa: S603 - no word of it is given
        if done.returncode:
            raise click.ClickException(f"npm failed: {done.stderr.strip()}")
        return _kept(next(Path(folder).glob("*.tgz")))


def _kept(package: Path) -> dict[str, bytes]:
    with tarfile.open(package) as held:
        found = {name: held.extractfile(f"package/{name}") for name in KEPT}
        return {name: file.read() for name, file in found.items() if file is not None}
